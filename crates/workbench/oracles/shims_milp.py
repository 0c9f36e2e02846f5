"""200 random shim problems solved by full enumeration and by SciPy's HiGHS, for tests/shims.rs.

Each has limited stock, pieces already fitted, either box mounting, and unequal overhangs.
Run: python oracles/shims_milp.py > oracles/shims_milp.json   (needs numpy and scipy)
"""

import itertools
import json
import sys

import numpy as np
import scipy
from scipy.optimize import Bounds, LinearConstraint, milp

SEED = 20261125
PLACES = ("washer_a", "washer_b", "box_a", "box_b")
STEP = 25_400  # one thousandth of an inch, nm


def heights(p, t_a, t_b, s_a, s_b):
    two_a = p["centres_nm"]
    q_a, q_b = p["overhang_a_nm"] / two_a, p["overhang_b_nm"] / two_a
    return (
        p["height_a_nm"] + t_a * (1 + q_a) - t_b * q_a - p["sign_a"] * s_a,
        p["height_b_nm"] + t_b * (1 + q_b) - t_a * q_b - p["sign_b"] * s_b,
    )


def sizes(p, kind):
    """Thickness -> (count held, fitted at a, fitted at b)."""
    out = {}
    for t, n in p[kind + "_stock"]:
        out.setdefault(t, [0, 0, 0])[0] += n
    for at, end in ((1, "a"), (2, "b")):
        for t in p[f"fitted_{kind}_{end}"]:
            row = out.setdefault(t, [0, 0, 0])
            row[0] += 1
            row[at] += 1
    return dict(sorted(out.items()))


def brute(p):
    """Every stack in every place; None when nothing is within tolerance."""

    def stacks(kind, at):
        table = sizes(p, kind)
        t = list(table)
        fitted = [table[x][at] for x in t]
        high = max(p["stack_max"], sum(fitted))
        out = []
        for n in itertools.product(*[range(min(table[x][0], high) + 1) for x in t]):
            if sum(n) <= high:
                moved = sum(abs(i - j) for i, j in zip(n, fitted))
                out.append((np.array(n), sum(i * x for i, x in zip(n, t)) - sum(i * x for i, x in zip(fitted, t)), moved))
        held = np.array([table[x][0] for x in t])
        return out, held

    (wa, held_w), (wb, _) = stacks("washer", 1), stacks("washer", 2)
    (ba, held_b), (bb, _) = stacks("box", 1), stacks("box", 2)
    counts_a, counts_b = np.array([x[0] for x in ba]), np.array([x[0] for x in bb])
    joint = ((counts_a[:, None, :] + counts_b[None, :, :]) <= held_b).all(axis=2)
    s_a, s_b = np.array([x[1] for x in ba]), np.array([x[1] for x in bb])
    m_a, m_b = np.array([x[2] for x in ba]), np.array([x[2] for x in bb])
    allowed = p["tolerance_nm"] - p["guard_nm"]
    best = None
    for n_a, t_a, k_a in wa:
        for n_b, t_b, k_b in wb:
            if ((n_a + n_b) > held_w).any():
                continue
            h_a, h_b = heights(p, t_a, t_b, s_a, s_b)
            off_a, off_b = np.abs(h_a - p["target_nm"]), np.abs(h_b - p["target_nm"])
            cost_a = np.where(off_a <= allowed + 1e-3, p["w_h"] * off_a * 1e-6 + p["w_c"] * m_a, np.inf)
            cost_b = np.where(off_b <= allowed + 1e-3, p["w_h"] * off_b * 1e-6 + p["w_c"] * m_b, np.inf)
            both = np.where(joint, cost_a[:, None] + cost_b[None, :], np.inf).min()
            ride = abs(p["ride_a_nm"] + t_a) + abs(p["ride_b_nm"] + t_b)
            cost = p["w_r"] * ride * 1e-6 + p["w_c"] * (k_a + k_b) + both
            if cost < np.inf and (best is None or cost < best):
                best = float(cost)
    return best


def highs(p):
    """The same as a mixed-integer programme in millimetres."""
    table = {kind: sizes(p, kind) for kind in ("washer", "box")}
    index = {}

    def var(name):
        index[name] = len(index)
        return index[name]

    for place in PLACES:
        kind, end = place.split("_")
        for t in table[kind]:
            var(("n", place, t))
            var(("moved", place, t))
    for x in ("ride_a", "ride_b", "off_a", "off_b"):
        var(x)
    n = len(index)
    cost, low, high, whole = np.zeros(n), np.zeros(n), np.full(n, np.inf), np.zeros(n)
    cons = []

    def add(coefficients, lo, hi):
        row = np.zeros(n)
        for name, c in coefficients:
            row[index[name]] += c
        cons.append((row, lo, hi))

    change = {}
    for place in PLACES:
        kind, end = place.split("_")
        at = 1 if end == "a" else 2
        total_fitted = sum(v[at] for v in table[kind].values())
        terms, constant = [], 0.0
        for t, row in table[kind].items():
            i, m = index[("n", place, t)], index[("moved", place, t)]
            whole[i] = 1
            high[i] = row[0]
            cost[m] = p["w_c"]
            add([(("moved", place, t), 1), (("n", place, t), -1)], -row[at], np.inf)
            add([(("moved", place, t), 1), (("n", place, t), 1)], row[at], np.inf)
            terms.append((("n", place, t), t * 1e-6))
            constant -= t * 1e-6 * row[at]
        add([(("n", place, t), 1) for t in table[kind]], 0, max(p["stack_max"], total_fitted))
        change[place] = (terms, constant)
    for kind in ("washer", "box"):
        for t, row in table[kind].items():
            add([(("n", kind + "_a", t), 1), (("n", kind + "_b", t), 1)], 0, row[0])
    allowed = (p["tolerance_nm"] - p["guard_nm"]) * 1e-6
    for end, other in (("a", "b"), ("b", "a")):
        q = p[f"overhang_{end}_nm"] / p["centres_nm"]
        (near, c_near), (far, c_far), (box, c_box) = change["washer_" + end], change["washer_" + other], change["box_" + end]
        sign = p["sign_" + end]
        terms = [(k, v * (1 + q)) for k, v in near] + [(k, -v * q) for k, v in far] + [(k, -sign * v) for k, v in box]
        constant = (p[f"height_{end}_nm"] - p["target_nm"]) * 1e-6 + c_near * (1 + q) - c_far * q - sign * c_box
        add(terms, -allowed - constant, allowed - constant)
        for name, ts, c in ((f"off_{end}", terms, constant), (f"ride_{end}", near, p[f"ride_{end}_nm"] * 1e-6 + c_near)):
            add([(name, 1)] + [(k, -v) for k, v in ts], c, np.inf)
            add([(name, 1)] + ts, -c, np.inf)
        cost[index[f"off_{end}"]], cost[index[f"ride_{end}"]] = p["w_h"], p["w_r"]
    a = np.array([row for row, _, _ in cons])
    rows = LinearConstraint(a, [c[1] for c in cons], [c[2] for c in cons])
    for presolve in (True, False):  # HiGHS gives up on a few with presolve ("Solve error") and solves them without
        out = milp(cost, constraints=rows, integrality=whole, bounds=Bounds(low, high), options=dict(mip_rel_gap=0, presolve=presolve))
        if out.status in (0, 2):
            break
    assert out.status in (0, 2), out.message
    return float(out.fun) if out.status == 0 else None


def problem(rng):
    i = lambda low, high: int(rng.integers(low, high))
    pick = lambda n, low, high: sorted({STEP * i(low, high) for _ in range(n)})
    stock = lambda n, low, high: [[t, i(0, 4)] for t in pick(n, low, high)]
    washers, boxes = stock(i(1, 5), 5, 41), stock(i(1, 5), 5, 31)
    fitted = lambda: [STEP * i(5, 31) for _ in range(i(0, 3))]
    p = dict(centres_nm=i(40_000_000, 180_000_000), overhang_a_nm=i(5_000_000, 40_000_000), overhang_b_nm=i(5_000_000, 40_000_000))
    p |= dict(target_nm=9_921_875, height_a_nm=i(9_300_000, 10_600_000), height_b_nm=i(9_300_000, 10_600_000))
    p |= dict(ride_a_nm=i(-600_000, 300_000), ride_b_nm=i(-600_000, 300_000), tolerance_nm=i(100_000, 300_000), guard_nm=i(0, 50_000))
    p |= dict(washer_stock=washers, box_stock=boxes, fitted_washer_a=fitted(), fitted_washer_b=fitted(), fitted_box_a=fitted()[:1], fitted_box_b=fitted()[:1])
    p |= dict(sign_a=int(rng.choice([1, -1])), sign_b=int(rng.choice([1, -1])), stack_max=3, w_r=1.0, w_h=0.5, w_c=0.05)
    return p


def main():
    rng = np.random.default_rng(SEED)
    cases = []
    for _ in range(200):
        p = problem(rng)
        by_brute, by_highs = brute(p), highs(p)
        cases.append(dict(p, cost_brute=by_brute, cost_highs=by_highs))
    versions = dict(python=sys.version.split()[0], numpy=np.__version__, scipy=scipy.__version__, solver="HiGHS")
    head = json.dumps(dict(seed=SEED, versions=versions))
    rows = ",\n".join(json.dumps(case) for case in cases)  # one case a line
    print(f'{head[:-1]}, "cases": [\n{rows}\n]}}')


main()
