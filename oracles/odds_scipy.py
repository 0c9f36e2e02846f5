#!/usr/bin/env python3
"""Quantiles and exact binomial intervals by SciPy, for crates/train/tests/odds/scipy.json.

Run: python oracles/odds_scipy.py > crates/train/tests/odds/scipy.json   (needs scipy)
"""

import json

import scipy
from scipy.stats import beta, binomtest, norm, triang

PARTS = [1e-6, 0.001, 0.01, 0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975, 0.999, 1 - 1e-6]
RANGES = [(1.0, 1.5, 3.0), (0.0, 0.0, 1.0), (-2.0, 5.0, 5.0), (0.004, 0.012, 0.025)]
COUNTS = [(0, 1), (1, 1), (0, 1000), (1, 1000), (19, 300), (50, 100), (999, 1000), (1000, 1000), (7, 12)]


def triangle(low, mode, high):
    law = triang((mode - low) / (high - low), loc=low, scale=high - low)
    return [law.ppf(part) for part in PARTS]


def interval(happened, tried, confidence):
    exact = binomtest(happened, tried).proportion_ci(confidence, method="exact")
    half = (1 - confidence) / 2
    # The same by the quantiles of the beta distribution, as a check on this script itself.
    low = beta.ppf(half, happened, tried - happened + 1) if happened else 0.0
    assert abs(low - exact.low) < 1e-9, (happened, tried)
    return [exact.low, exact.high]


print(
    json.dumps(
        {
            "by": f"SciPy {scipy.__version__}: triang.ppf, norm.ppf, binomtest(...).proportion_ci('exact')",
            "parts": PARTS,
            "normal": [norm.ppf(part) for part in PARTS],
            "triangles": [
                {"low": low, "mode": mode, "high": high, "values": triangle(low, mode, high)}
                for low, mode, high in RANGES
            ],
            "intervals": [
                {"happened": k, "tried": n, "confidence": c, "ends": interval(k, n, c)}
                for k, n in COUNTS
                for c in (0.9, 0.95, 0.99)
            ],
        },
        indent=1,
    )
)
