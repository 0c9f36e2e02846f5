"""Check values for the rank-sum test and for the adjustment of many probabilities.

Writes oracles/rank_tests.json from SciPy's mannwhitneyu (two-sided, method 'auto') and
false_discovery_control (method 'by'), on groups drawn from a fixed seed: small ones without equal
values, and readings in steps with many.  Needs numpy and scipy.
"""

import json
import pathlib

import numpy
import scipy
from scipy.stats import false_discovery_control, mannwhitneyu

rng = numpy.random.default_rng(20261125)
cases = []
for n1, n2, shift, step in [
    (3, 5, 0.0, None), (8, 8, 0.5, None), (5, 200, 1.5, None), (8, 60, 0.2, None), (1, 9, 0.0, None),
    (9, 9, 0.4, None), (30, 400, 0.3, None),
    (6, 40, 0.0, 0.5), (25, 300, 0.4, 0.25), (60, 60, 0.1, 1.0), (200, 900, 0.2, 0.5), (5, 5, 0.0, 3.0),
]:
    first, second = rng.normal(shift, 1.0, n1), rng.normal(0.0, 1.0, n2)
    if step:
        first, second = numpy.round(first / step) * step, numpy.round(second / step) * step
    found = mannwhitneyu(first, second, alternative="two-sided", method="auto")
    cases.append({"first": first.tolist(), "second": second.tolist(),
                  "u": float(found.statistic), "p": float(found.pvalue)})
families = []
for count in (1, 2, 7, 25):
    p = rng.uniform(0.0, 1.0, count) ** 3
    families.append({"p": p.tolist(), "by": false_discovery_control(p, method="by").tolist()})
path = pathlib.Path(__file__).with_suffix(".json")
path.write_text(json.dumps({"made_with": f"SciPy {scipy.__version__}, NumPy {numpy.__version__}",
                            "rank_tests": cases, "families": families}) + "\n")
