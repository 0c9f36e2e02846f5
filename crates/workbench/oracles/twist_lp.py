"""Twist capability by linear programme, for the check in tests/seating.rs.

Knows contacts only: a body and two trucks as planes, wheels on a twisted track, centre-plate edges, side
bearings, the screw, and frames that warp. The cross-level over the truck centres is raised as far as every
wheel can stay on the track. Wheel loads come from the energy programme's duals at a tenth of that.
Run: python oracles/twist_lp.py > oracles/twist_lp.json   (needs numpy and scipy)
"""

import json
import sys

import numpy as np
import scipy
from scipy.optimize import linprog

SEED = 20261125


def contacts(p):
    """Rows (coefficients, bound) of A x >= b, wheels apart.

    x = body h, p, r; then per truck h, p, r, warp. Heights: h + p*x + r*y (x from the truck's own centre for
    trucks), warp adds warp*x*sign(y) at a wheel.
    """
    rows = []
    wheels = []
    for t, (x_t, gap, screw) in enumerate([(p["a_mm"], p["gap_a_mm"], p["screw_a_mm"]), (-p["a_mm"], p["gap_b_mm"], p["screw_b_mm"])]):
        k = 3 + 4 * t

        def over(y):
            row = np.zeros(11)
            row[0:3] = [1, x_t, y]
            row[k : k + 3] -= [1, 0, y]
            return row

        for y in (p["b_c_mm"], -p["b_c_mm"]):
            rows.append((over(y), 0.0))
        for y in (p["y_sb_mm"], -p["y_sb_mm"]):
            rows.append((over(y), -gap))
        rows.append((-over(0.0), -screw))
        for x in (p["w_mm"] / 2, -p["w_mm"] / 2):
            for s in (1, -1):
                row = np.zeros(11)
                row[k : k + 4] = [1, x, s * p["y_c_mm"], s * x]
                wheels.append((row, (x_t + x) * s / 2))  # track height per unit twist rate
    return rows, wheels


def bounds(p):
    free = (None, None)
    warp = (-p["warp"], p["warp"])
    return [free] * 3 + ([free] * 3 + [warp]) * 2


def capability(p):
    rows, wheels = contacts(p)
    a_ub = np.array([np.append(-r, 0) for r, _ in rows])
    b_ub = np.array([-b for _, b in rows])
    a_eq = np.array([np.append(r, -z) for r, z in wheels])
    cost = np.zeros(12)
    cost[11] = -1
    out = linprog(cost, A_ub=a_ub, b_ub=b_ub, A_eq=a_eq, b_eq=np.zeros(8), bounds=bounds(p) + [(0, None)], method="highs")
    assert out.status == 0, out.message
    return out.x[11] * 2 * p["a_mm"]


def loads(p, twist):
    rows, wheels = contacts(p)
    every = rows + [(r, z * twist) for r, z in wheels]
    cost = np.zeros(11)
    cost[0] = p["body_n"]
    cost[3] = cost[7] = p["truck_n"]
    out = linprog(cost, A_ub=np.array([-r for r, _ in every]), b_ub=np.array([-b for _, b in every]), bounds=bounds(p), method="highs")
    assert out.status == 0, out.message
    return -out.ineqlin.marginals[len(rows) :]


def main():
    rng = np.random.default_rng(SEED)
    cases = []
    while len(cases) < 120:
        r = lambda low, high: float(np.round(rng.uniform(low, high), 3))
        p = dict(a_mm=r(30, 90), w_mm=r(12, 25), y_c_mm=r(4, 12), b_c_mm=r(0.8, 3), y_sb_mm=r(3.5, 9))
        p |= dict(gap_a_mm=r(0, 0.5), gap_b_mm=r(0, 0.5), screw_a_mm=r(0, 0.3), screw_b_mm=r(0, 0.3))
        p |= dict(warp=float(np.round(rng.uniform(0, 0.02), 5)), body_n=r(0.5, 2), truck_n=r(0.02, 0.1))
        cap = capability(p)
        if cap < 1e-3:
            continue
        # Wide frames and a hair of twist: the body rocks onto one edge of each plate, in the free range.
        rocking = dict(p, warp=0.05)
        if min(rocking["screw_a_mm"], rocking["screw_b_mm"], rocking["gap_a_mm"], rocking["gap_b_mm"]) < 0.02:
            continue
        q = (p["body_n"] + 2 * p["truck_n"]) / 8
        light = loads(rocking, 1e-4 / p["a_mm"]).min() / q
        cases.append(dict(p, cross_level_mm=cap, lightest_wheel=light))
    versions = dict(python=sys.version.split()[0], numpy=np.__version__, scipy=scipy.__version__, solver="HiGHS")
    head = json.dumps(dict(seed=SEED, versions=versions))
    rows = ",\n".join(json.dumps(case) for case in cases)  # one case a line
    print(f'{head[:-1]}, "cases": [\n{rows}\n]}}')


main()
