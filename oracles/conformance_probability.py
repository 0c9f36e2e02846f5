"""Conformance probabilities from SciPy's normal distribution, a general-purpose library.

Run:  python3 -m venv /tmp/oracle && /tmp/oracle/bin/pip install numpy scipy
      /tmp/oracle/bin/python oracles/conformance_probability.py > oracles/conformance_probability.json

A reading y with standard uncertainty u and normal error conforms to limits from `lower` to `upper`
with the probability that a normal variable with mean y and deviation u lies between them. It is
taken from the tail nearer to the limits (cdf or sf), so that no digit is lost by subtraction.
The grid goes from far inside to far outside, with one limit and with two, narrow and wide.
Tolerance for a comparison: 1e-10 absolute. The Rust side's complementary error function was seen
2e-11 away from SciPy's on this grid; probabilities are shown in whole percent.
"""

import json
import platform

import numpy as np
import scipy
from scipy import stats


def conformance(y, lower, upper, u):
    law = stats.norm(y, u)
    if lower is None:
        return law.cdf(upper)
    if upper is None:
        return law.sf(lower)
    if y > (lower + upper) / 2:
        return law.sf(lower) - law.sf(upper)
    return law.cdf(upper) - law.cdf(lower)


def main():
    rows = []
    for lower, upper in (
        (14.36, None), (None, 14.58), (14.36, 14.58), (-0.05, 0.05), (100.0, 140.0), (9.7, 9.7),
    ):
        middle = np.mean([limit for limit in (lower, upper) if limit is not None])
        for u in (0.001, 0.01, 0.3, 10.0):
            for z in (-9.0, -5.0, -3.0, -2.0, -1.0, -0.5, -0.1, 0.0, 0.1, 0.5, 1.0, 2.0, 3.0, 5.0, 9.0):
                y = float(middle + z * u)
                p = float(conformance(y, lower, upper, u))
                rows.append({"y": y, "lower": lower, "upper": upper, "u": u, "p": p})
    report = {
        "what": "conformance probabilities; see conformance_probability.py",
        "versions": {
            "python": platform.python_version(),
            "numpy": np.__version__,
            "scipy": scipy.__version__,
        },
        "tolerance": 1e-10,
        "cases": rows,
    }
    print("{")
    for key in ("what", "versions", "tolerance"):
        print(f' "{key}": {json.dumps(report[key])},')
    print(' "cases": [\n  ' + ",\n  ".join(json.dumps(row) for row in rows) + "\n ]\n}")


main()
