"""200 random ballast problems solved by SciPy's HiGHS, the smaller ones by full enumeration too, for tests/ballast.rs.

Each has limited stock, pockets with limited room, some blocked, some with weights in them.
Run: python oracles/ballast_milp.py > oracles/ballast_milp.json   (needs numpy and scipy)
"""

import itertools
import json
import math
import sys

import numpy as np
import scipy
from scipy.optimize import Bounds, LinearConstraint, milp

SEED = 20261126


def kinds(p):
    """Mass -> [held, fitted by open pocket], fitted in blocked pockets left out."""
    pockets = p["pockets"]
    out = {}
    for mass, count in p["stock"]:
        out.setdefault(mass, [0, [0] * len(pockets)])[0] += count
    for pocket, mass, count in p["fitted"]:
        if pockets[pocket][4]:
            continue
        row = out.setdefault(mass, [0, [0] * len(pockets)])
        row[0] += count
        row[1][pocket] += count
    return out


def base(p):
    """Mass and moments without movable ballast."""
    m = p["weight_g"]
    moments = [m * c for c in p["centre_mm"]]
    for mass, (_, fitted) in kinds(p).items():
        for pocket, count in zip(p["pockets"], fitted):
            m -= mass * count
            moments = [a - mass * count * c for a, c in zip(moments, pocket[:3])]
    return m, moments


def highs(p):
    table = list(kinds(p).items())
    pockets = p["pockets"]
    open_ = [i for i, pocket in enumerate(pockets) if not pocket[4]]
    m0, mom0 = base(p)
    cells = [(j, i) for j in range(len(table)) for i in open_]
    n = 2 * len(cells) + 1  # counts, moved, weight off
    c = np.zeros(n)
    c[len(cells) : 2 * len(cells)] = p["w_c_g"]
    c[-1] = 1
    high = np.full(n, np.inf)
    whole = np.zeros(n)
    cons = []

    def add(row, lo, hi):
        cons.append((row, lo, hi))

    mass = np.zeros(n)
    coords = np.zeros((3, n))
    for k, (j, i) in enumerate(cells):
        whole[k] = 1
        high[k] = table[j][1][0]
        mass[k] = table[j][0]
        coords[:, k] = pockets[i][:3]
        c[k] = p["w_z_per_mm"] * mass[k] * pockets[i][2]
        f = table[j][1][1][i]
        row = np.zeros(n)
        row[len(cells) + k], row[k] = 1, -1
        add(row, -f, np.inf)
        row = np.zeros(n)
        row[len(cells) + k], row[k] = 1, 1
        add(row, f, np.inf)
    off = np.zeros(n)
    off[-1] = 1
    add(off - mass, m0 - p["target_g"], np.inf)
    add(off + mass, p["target_g"] - m0, np.inf)
    add(mass, p["target_g"] - p["tolerance_g"] - m0, p["target_g"] + p["tolerance_g"] - m0)
    for axis, eps in ((0, p["along_max_mm"]), (1, p["across_max_mm"])):
        for sign in (1, -1):
            add(mass * (sign * coords[axis] - eps), -np.inf, eps * m0 - sign * mom0[axis])
    add(mass * (coords[2] - p["height_max_mm"]), -np.inf, p["height_max_mm"] * m0 - mom0[2])
    for i in open_:
        row = np.array([mass[k] if k < len(cells) and cells[k][1] == i else 0 for k in range(n)])
        add(row, -np.inf, pockets[i][3])
    for j in range(len(table)):
        row = np.array([1.0 if k < len(cells) and cells[k][0] == j else 0 for k in range(n)])
        add(row, -np.inf, table[j][1][0])
    a = np.array([r for r, _, _ in cons])
    options = dict(mip_rel_gap=0, time_limit=60)
    out = milp(c, constraints=LinearConstraint(a, [r[1] for r in cons], [r[2] for r in cons]), integrality=whole, bounds=Bounds(np.zeros(n), high), options=options)
    assert out.status in (0, 2), out.message
    return float(out.fun) if out.status == 0 else None


def brute(p):
    """Full enumeration, or 'too many' above two million placements."""
    table = list(kinds(p).items())
    open_ = [i for i, pocket in enumerate(p["pockets"]) if not pocket[4]]
    sizes = [math.comb(held + len(open_), len(open_)) for _, (held, _) in table]
    if math.prod(sizes) > 2_000_000:
        return "too many"
    at = np.array([p["pockets"][i][:3] for i in open_]).reshape(-1, 3)
    room = np.array([p["pockets"][i][3] for i in open_])
    m0, mom0 = base(p)
    filled, moved = np.zeros((1, len(open_))), np.zeros(1)
    for mass, (held, fitted) in table:
        f = np.array([fitted[i] for i in open_])
        rows = np.array([r for r in itertools.product(range(held + 1), repeat=len(open_)) if sum(r) <= held]).reshape(-1, len(open_))
        filled = (filled[:, None, :] + mass * rows[None, :, :]).reshape(-1, len(open_))
        moved = (moved[:, None] + np.abs(rows - f).sum(axis=1)[None, :]).reshape(-1)
        keep = (filled <= room + 1e-9).all(axis=1)
        filled, moved = filled[keep], moved[keep]
    w = m0 + filled.sum(axis=1)
    mom = np.array(mom0) + filled @ at
    ok = np.abs(w - p["target_g"]) <= p["tolerance_g"] + 1e-9
    ok &= (np.abs(mom[:, 0]) <= p["along_max_mm"] * w + 1e-7) & (np.abs(mom[:, 1]) <= p["across_max_mm"] * w + 1e-7)
    ok &= mom[:, 2] <= p["height_max_mm"] * w + 1e-7
    cost = np.abs(w - p["target_g"]) + p["w_c_g"] * moved + p["w_z_per_mm"] * (filled @ at[:, 2])
    return float(cost[ok].min()) if ok.any() else None


def problem(rng, k):
    i = lambda low, high: int(rng.integers(low, high))
    r = lambda low, high, places: float(np.round(rng.uniform(low, high), places))
    large = k % 4 == 0
    pockets = []
    for j in range(i(4, 8) if large else i(2, 5)):
        pockets.append([(-1) ** j * r(10, 60, 1), r(-6, 6, 1), r(9, 18, 1), r(8, 30, 1), bool(j > 1 and rng.random() < 0.15)])
    masses = sorted({r(1, 15, 2) for _ in range(i(2, 5) if large else i(1, 4))})
    stock = [[m, i(1, 9 if large else 7)] for m in masses]
    fitted = [[i(0, len(pockets)), float(rng.choice(masses)), i(1, 3)] for _ in range(i(0, 3))]
    p = dict(weight_g=r(60, 100, 1), centre_mm=[r(-3, 3, 1), r(-0.6, 0.6, 1), r(17, 21, 1)], pockets=pockets, stock=stock, fitted=fitted)
    p["target_g"] = round(p["weight_g"] + r(-5, 35, 1), 1)
    p |= dict(tolerance_g=r(1, 4, 1), along_max_mm=r(1, 4, 1), across_max_mm=r(0.4, 1.2, 1), height_max_mm=r(18, 22, 1), w_c_g=0.02, w_z_per_mm=0.0001 * i(0, 3))
    return p


def main():
    rng = np.random.default_rng(SEED)
    cases = []
    for k in range(200):
        p = problem(rng, k)
        cases.append(dict(p, cost_brute=brute(p), cost_highs=highs(p)))
    versions = dict(python=sys.version.split()[0], numpy=np.__version__, scipy=scipy.__version__, solver="HiGHS")
    head = json.dumps(dict(seed=SEED, versions=versions))
    rows = ",\n".join(json.dumps(case) for case in cases)  # one case a line
    print(f'{head[:-1]}, "cases": [\n{rows}\n]}}')


main()
