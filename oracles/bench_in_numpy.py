"""The bench's work on 10,000 invented cars done again in NumPy and in HiGHS, timed in one run.

Verdicts: the same sheet, all cars at once, column by column, from the rule book's own text and the
independently keyed tables of crates/standards/tests/rekeyed. How many lines of every aspect come out
fit, watch and bad order must agree with the Rust engine's count, or this exits with 1.
Cures: the same choices of washers and of weights as mixed-integer programmes in scipy.optimize.milp
(HiGHS); what they cost must agree wherever both prove their answer.

    python3 -m venv /tmp/v && /tmp/v/bin/pip install numpy pandas scipy
    /tmp/v/bin/python oracles/bench_in_numpy.py > oracles/bench_in_numpy.txt

Both sides run alone, one after the other, on one core; times are of the processor, not of the wall, and
of HiGHS alone, without the time Python takes to write a problem down.
Lengths are whole nanometres in int64, angles microdegrees, grades millionths, so that a reading at its
limit is exact. The engine keeps angles and grades as doubles, which fall either way exactly at the edge of
a band: for these alone it may differ by as many lines as lie on an edge, and says so.
"""

import datetime
import json
import os
import pathlib
import platform
import re
import statistics
import subprocess
import sys
import tempfile
import time
import tomllib

for pool in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[pool] = "1"  # before NumPy is imported

import numpy as np
import pandas as pd
import scipy
from scipy.optimize import Bounds, LinearConstraint, milp

ROOT = pathlib.Path(__file__).resolve().parent.parent
PASSES = 7
# Bases: nanometre, gram, microdegree, millionth, second, newton.
UNITS = {"mm": 1e6, "in": 25.4e6, "g": 1.0, "oz": 28.349523125, "deg": 1e6, "%": 1e4, "s": 1.0, "gf": 9.80665e-3}
WHOLE = {"mm", "in", "deg", "%"}
GRAVITY = 9.80665
DOUBLES = {"start grade", "roll grade", "tilt index", "tilt difference"}


# ---------------------------------------------------------------- reading


def amount(text):
    """A figure of the rule book: '0.10 mm', '1/32 in'."""
    number, unit = text.split()
    top, _, bottom = number.partition("/")
    value = float(top) / float(bottom or 1) * UNITS[unit]
    return int(round(value)) if unit in WHOLE else value


def column(cells):
    """Values and reading steps of one column, in base units."""
    parts = cells.str.extract(r"^\s*(-?[\d.]+)\s*(\S*)\s*$")
    unit = parts[1].map(UNITS).to_numpy(float)
    places = parts[0].str.partition(".")[2].str.len().fillna(0).to_numpy()
    value = parts[0].to_numpy(float) * unit
    step = np.power(10.0, -places.astype(float)) * unit
    if set(parts[1].dropna()) <= WHOLE:
        value = np.rint(value).astype(np.int64)
    return value, step


def read_sheet(folder):
    """The sheet as columns, cars that were worked on since left out."""
    sheet = pd.read_csv(folder / "sheet.csv", dtype=str, keep_default_na=False)
    sheet = sheet[sheet["Done since"] == ""].reset_index(drop=True)
    answers, numbers = {}, {}
    words = ("look over", "wheel dirt", "centring", "knuckle")
    facts = list(sheet.columns[: list(sheet.columns).index("Done since") + 1])
    lengths = ["Body length", "Length over couplers", "Truck centres", "Truck wheelbase"]
    for name in sheet.columns:
        if name in lengths:
            numbers[name] = column(sheet[name])
        elif name.startswith(words):
            answers[name] = sheet[name].to_numpy()
        elif name not in facts:
            numbers[name] = column(sheet[name])
    return sheet, answers, numbers


def printed(table, row):
    """A row of an independently keyed table, in nanometres."""
    text = (ROOT / f"crates/standards/tests/rekeyed/{table}.csv").read_text()
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    frame = pd.read_csv(pd.io.common.StringIO("\n".join(lines)), dtype=str)
    own = frame[(frame["row"] == row) & (frame["unit"] == "in")]
    return {c: int(round(float(p) * 25.4e6)) for c, p in zip(own["column"], own["printed"])}


# ---------------------------------------------------------------- verdicts


class Judge:
    """Fit, watch or bad order for whole columns, by the rule book's rule 'prove either'."""

    def __init__(self, rules, letters):
        assert rules["decision"]["rule"] == "prove either"
        self.factor = rules["decision"]["guard"]
        self.own = rules["scale"]["HO"]
        self.letters = letters
        self.counts, self.on_edge = {}, {}

    def limits(self, name):
        """Each limit of the book for the cars it holds for, classes first."""
        left = np.ones(len(self.letters), bool)
        for cls in self.own["class"]:
            here = np.array([t.startswith(tuple(cls["types"])) for t in self.letters])
            if name in cls.get("limit", {}):
                yield left & here, cls["limit"][name]
                left &= ~here
        if name in self.own["limit"]:
            yield left, self.own["limit"][name]

    def limited(self, name, value, step=0.0, u=None):
        """A plain limit. u: standard uncertainty, where it is not the book's usual one."""
        for here, limit in self.limits(name):
            at = lambda key: amount(limit[key]) if key in limit else None
            lower, upper = at("min"), at("max")
            if "nominal" in limit:
                lower, upper = at("nominal") - at("tolerance"), at("nominal") + at("tolerance")
            own = at("uncertainty") if u is None else u
            both = np.hypot(own, np.asarray(step) / np.sqrt(12))
            pick = lambda array: array[here] if np.ndim(array) else array
            self.judge(name, pick(value), lower, upper, at("caution") or 0, pick(both))

    def judge(self, aspect, value, lower, upper, caution, u):
        guard = self.factor * 2 * u
        if np.issubdtype(np.asarray(value).dtype, np.integer):
            guard = np.rint(guard)
        margin = np.full(np.shape(value), np.inf)
        if lower is not None:
            margin = value - lower
        if upper is not None:
            margin = np.minimum(margin, upper - value)
        fit = margin >= np.maximum(caution, guard)
        if aspect in DOUBLES:
            edges = (margin == np.maximum(caution, guard)) | (margin == 0) | (-margin == guard)
            self.on_edge[aspect] = self.on_edge.get(aspect, 0) + int(edges.sum())
        bad = ~fit & (margin < 0) & (-margin >= guard)
        self.count(aspect, fit, bad)

    def count(self, aspect, fit, bad):
        row = np.array([fit.sum(), fit.size - fit.sum() - bad.sum(), bad.sum()])
        self.counts[aspect] = self.counts.get(aspect, 0) + row


def wheels(judge, numbers, codes, contour, wheel, track):
    rules = judge.own["wheels"]
    usual = amount(rules["uncertainty"])
    caution = amount(rules["caution"])
    clear = lambda key: amount(rules[key])
    ends = lambda *all_of: np.hypot.reduce(np.broadcast_arrays(*all_of))
    check_min = amount(rules["check_gauge_min"]) if "check_gauge_min" in rules else None
    assert not rules["printed_tire_width"]
    flange_of_code = np.array([contour[c]["t"] for c in codes])
    tire_of_code = np.array([contour[c]["n"] for c in codes])
    nm = lambda u: np.rint(u)  # an uncertainty is kept in whole nanometres
    for axle in range(1, 5):
        stations = [numbers[f"back to back, axle {axle}, place {s}"] for s in (1, 2)]
        low, high = np.minimum(stations[0][0], stations[1][0]), np.maximum(stations[0][0], stations[1][0])
        b = np.maximum(*(np.hypot(usual, step / np.sqrt(12)) for _, step in stations))
        parts, worst = {}, {}
        for part, default in (("flange thickness", flange_of_code), ("tire width", tire_of_code)):
            us = []
            for side in ("left", "right"):
                read = numbers.get(f"{part}, axle {axle} {side}")
                parts[part, side] = default if read is None else read[0]
                if read is not None:
                    us.append(np.hypot(usual, read[1] / np.sqrt(12)))
            worst[part] = nm(np.maximum.reduce(us)) if us else nm(b)
        b, t, n = nm(b), worst["flange thickness"], worst["tire width"]
        flange = {side: parts["flange thickness", side] for side in ("left", "right")}

        def say(aspect, value, u, lower=None, upper=None):
            judge.judge(aspect, value, lower, upper, caution, u)

        say("span", low, b, lower=track["s_max"] + clear("span_clearance"))
        say("back-to-back, least", low, b, lower=wheel["b_min"])
        say("gauge", high + flange["left"] + flange["right"], ends(b, t, t), upper=track["g_min"] - clear("gauge_clearance"))
        for side, other in (("left", "right"), ("right", "left")):
            reach = low + flange[other] + parts["tire width", side]
            say("tread support", reach, ends(b, t, n), lower=track["g_max"] + clear("tread_support"))
            if check_min is not None:
                say("check gauge, least", low + flange[side], ends(b, t), lower=check_min)
            say("check gauge, greatest", high + flange[side], ends(b, t), upper=wheel["k_max"])
            say("flange in its flangeway", flange[side], t, upper=track["f_max"] - clear("flange_clearance"))


def seating(judge, numbers):
    gaps = np.stack([numbers[f"gap, axle {a} {s}"][0] for a in range(1, 5) for s in ("left", "right")])
    steps = np.stack([numbers[f"gap, axle {a} {s}"][1] for a in range(1, 5) for s in ("left", "right")])
    usual = amount(judge.own["limit"]["warp"]["uncertainty"])
    u = np.rint(np.hypot(usual, steps / np.sqrt(12)).max(axis=0))
    c, d = (gaps[0::2] + gaps[1::2]) / 2, (gaps[0::2] - gaps[1::2]) / 2
    whole = lambda nm: np.rint(nm).astype(np.int64)
    for first in (0, 2):  # a frame's corner is (d1 - d2)/2, a gap four times as much
        judge.limited("warp", 4 * np.abs(whole((d[first] - d[first + 1]) / 2)), u=4 * np.rint(u / 2))
    across = np.abs(d[0] + d[1] - d[2] - d[3])
    judge.limited("body roll", whole(across), u=np.sqrt(2) * u)
    centres, wheelbase = numbers["Truck centres"][0], numbers["Truck wheelbase"][0]
    chord = (c[0] + c[1] - c[2] - c[3]) / 2 / centres
    for first in (0, 2):
        pitch = (c[first] - c[first + 1]) / wheelbase - chord
        u_pitch = np.hypot(u / wheelbase, u / np.sqrt(2) / centres)
        judge.limited("pitch", whole(np.abs(pitch) * wheelbase), u=u_pitch * wheelbase)


def trucks(judge, numbers):
    own, parts = judge.own, judge.own["parts"]
    centres, wheelbase = numbers["Truck centres"][0], numbers["Truck wheelbase"][0]
    needed = 1e6 * np.degrees(np.arcsin(centres / 2 / amount(own["tightest_radius"])))
    for end in "AB":
        for side in ("left", "right"):
            value, step = numbers[f"truck swing, {end} end, turned {side}"]
            judge.limited("truck swing", value - needed, step)
        force, step = numbers[f"swivel force, {end} end"]
        load = numbers["weight"][0] / 1e3 * GRAVITY / 8
        per_newton = 1e6 * amount(own["swivel_lever"]) / wheelbase / load
        judge.limited("swivel drag", force * per_newton, step * per_newton)
        judge.limited("rock gap", *numbers[f"rock gap, {end} end"])
    roll = 0.0
    for end in "AB":
        play, gap = numbers[f"screw play, {end} end"][0], numbers[f"side bearing gap, {end} end"][0]
        by_screw = play / amount(parts["centre_plate_half_width"])
        roll = roll + np.minimum(by_screw, (gap + play) / amount(parts["side_bearing_offset"]))
    lift = np.minimum(numbers["rock gap, A end"][0], numbers["rock gap, B end"][0])
    by_frames = 2 * lift / (2 * wheelbase) * centres
    twist = np.minimum(by_frames, amount(own["rail_contact_spacing"]) * roll)
    judge.limited("twist capability", np.rint(twist).astype(np.int64))


def weight_and_balance(judge, numbers, table):
    rule = judge.own["weight"]
    assert rule["kind"] == "RP-20.1" and judge.own["balance_method"] == "rail"
    ounce, body = UNITS["oz"], numbers["Body length"][0]
    target = table["initial_oz"] * ounce + table["additional_oz_per_in"] * ounce * body / 25.4e6
    value, step = numbers["weight"]
    over, u = amount(rule["tolerance"]), np.hypot(amount(rule["uncertainty"]), step / np.sqrt(12))
    judge.judge("weight", value - target, -over, over, amount(rule["caution"]), u)
    (a, step_a), (b, step_b) = numbers["end weight, A end"], numbers["end weight, B end"]
    step = 1e6 * np.hypot(step_a, step_b) / (a + b)
    judge.limited("end balance", 1e6 * np.abs(a - b) / (a + b), step)
    (left, step_l), (right, step_r) = numbers["tilt angle, left side"], numbers["tilt angle, right side"]
    judge.limited("tilt index", np.minimum(left, right), np.where(left <= right, step_l, step_r))
    judge.limited("tilt difference", np.abs(left - right), np.hypot(step_l, step_r))
    usual = amount(judge.own["limit"]["tilt index"]["uncertainty"])
    u = np.maximum(*(np.hypot(usual, step / np.sqrt(12)) for step in (step_l, step_r)))
    tan_l, tan_r = np.tan(np.radians(left / 1e6)), np.tan(np.radians(right / 1e6))
    height = 2 * amount(judge.own["balance_half_width"]) / (tan_l + tan_r)
    share = height / (tan_l + tan_r) * np.radians(u / 1e6)
    u_height = np.hypot((1 + tan_l**2) * share, (1 + tan_r**2) * share)
    judge.limited("cg height", np.rint(height).astype(np.int64), u=np.rint(u_height))


def verdicts(rules, sheet, answers, numbers, tables):
    """Counts of fit, watch and bad order, aspect by aspect."""
    judge = Judge(rules, sheet["Type"].to_numpy())
    names = {"look over": "look-over"}
    for name, given in answers.items():
        aspect = name.split(",")[0]
        judge.count(names.get(aspect, aspect), given == "good", given == "poor")
    wheels(judge, numbers, sheet["Wheel code"].to_numpy(), *tables["wheels"])
    for axle in range(1, 5):
        for aspect in ("wobble", "end play", "spin time"):
            judge.limited(aspect, *numbers[f"{aspect}, axle {axle}"])
    for aspect in ("start grade", "roll grade"):
        judge.limited(aspect, *numbers[aspect])
    seating(judge, numbers)
    trucks(judge, numbers)
    for end in "AB":
        for aspect in ("trip pin", "droop", "coupler height"):
            judge.limited(aspect, *numbers[f"{aspect}, {end} end"])
    weight_and_balance(judge, numbers, tables["weight"])
    return judge.counts, judge.on_edge


def tables(sheet):
    codes = sheet["Wheel code"].unique()
    contours = {code: printed("nmra-rp-25", code) for code in codes}
    text = (ROOT / "crates/standards/tests/rekeyed/nmra-rp-20.1.csv").read_text()
    rows = [line.split(",") for line in text.splitlines() if re.match(r"[^#]*,HO,", line)]
    return {
        "wheels": (contours, printed("nmra-s-4.2-old", "HO"), printed("nmra-s-3.2-old", "HO")),
        "weight": {row[2]: float(row[3]) for row in rows},
    }


# ---------------------------------------------------------------- cures


class Programme:
    """Rows and columns of a mixed-integer programme, put together by name."""

    def __init__(self):
        self.index, self.cost, self.high, self.whole, self.rows = {}, [], [], [], []

    def variable(self, name, cost=0.0, high=np.inf, whole=False):
        self.index[name] = len(self.index)
        self.cost.append(cost)
        self.high.append(high)
        self.whole.append(int(whole))

    def add(self, terms, low, high):
        self.rows.append((terms, low, high))

    def solve(self):
        a = np.zeros((len(self.rows), len(self.index)))
        for i, (terms, _, _) in enumerate(self.rows):
            for name, c in terms:
                a[i, self.index[name]] += c
        low, high = np.array([r[1] for r in self.rows]), np.array([r[2] for r in self.rows])
        cost, whole = np.array(self.cost), np.array(self.whole)
        rows, bounds = LinearConstraint(a, low, high), Bounds(0, np.array(self.high))
        start = time.process_time()
        for presolve in (True, False):  # a few need it off
            options = dict(mip_rel_gap=0, time_limit=20, presolve=presolve)
            out = milp(cost, constraints=rows, integrality=whole, bounds=bounds, options=options)
            if out.status in (0, 1, 2):
                break
        took = time.process_time() - start
        assert out.status in (0, 1, 2), out.message
        return (float(out.fun) if out.x is not None else None), out.status != 1, took


def shims(p):
    """Washers and box shims, millimetres; prices of crates/workbench/src/mechanics/shims."""
    mp, mm = Programme(), 1e-6
    ends = (0, 1)
    lines = {}
    for kind, fitted in (("washers", p["fitted_nm"]), ("box_shims", [[], []])):
        held = dict(map(tuple, p[kind]))
        for pieces in fitted:
            for t in pieces:
                held[t] = held.get(t, 0) + 1
        for e in ends:
            terms, base = [], 0.0
            for t, count in held.items():
                lying = fitted[e].count(t)
                mp.variable((kind, e, t), high=count, whole=True)
                if lying:
                    mp.variable(("moved", kind, e, t), cost=0.05)
                    mp.add([(("moved", kind, e, t), 1), ((kind, e, t), -1)], -lying, np.inf)
                    mp.add([(("moved", kind, e, t), 1), ((kind, e, t), 1)], lying, np.inf)
                else:
                    mp.cost[mp.index[kind, e, t]] = 0.05
                terms.append(((kind, e, t), t * mm))
                base -= lying * t * mm
            mp.add([(name, 1) for name, _ in terms], 0, max(p["pieces_max"], len(fitted[e])))
            lines[kind, e] = (terms, base)
        for t, count in held.items():
            mp.add([((kind, e, t), 1) for e in ends], 0, count)
    allowed = p["allowed_nm"] * mm
    for e in ends:
        q = p["overhang_nm"][e] / p["centres_nm"]
        (near, c_near), (far, c_far) = lines["washers", e], lines["washers", 1 - e]
        box, c_box = lines["box_shims", e]
        terms = [(n, c * (1 + q)) for n, c in near] + [(n, -c * q) for n, c in far] + [(n, -c) for n, c in box]
        base = (p["height_nm"][e] - p["target_nm"]) * mm + c_near * (1 + q) - c_far * q - c_box
        mp.add(terms, -allowed - base, allowed - base)
        for name, price, ts, c in (("off", 0.5, terms, base), ("ride", 1.0, near, c_near)):
            mp.variable((name, e), cost=price)
            mp.add([((name, e), 1)] + [(n, -v) for n, v in ts], c, np.inf)
            mp.add([((name, e), 1)] + ts, -c, np.inf)
    return mp.solve()


def ballast(p):
    """Weights in pockets, grams; prices of crates/workbench/src/mechanics/ballast."""
    mp = Programme()
    mp.variable("off", cost=1.0)
    mass, moment = [], [[], [], []]
    for j, (m, count) in enumerate(p["stock"]):
        for i, pocket in enumerate(p["pockets"]):
            mp.variable((j, i), cost=0.02 + 1e-4 * m * pocket[2], high=count, whole=True)
            mass.append(((j, i), m))
            for axis in range(3):
                moment[axis].append(((j, i), m * pocket[axis]))
        mp.add([((j, i), 1) for i in range(len(p["pockets"]))], 0, count)
    for i, pocket in enumerate(p["pockets"]):
        mp.add([((j, i), m) for j, (m, _) in enumerate(p["stock"])], 0, pocket[3])
    short = p["target_g"] - p["weight_g"]
    negative = [(name, -c) for name, c in mass]
    mp.add([("off", 1)] + negative, -short, np.inf)
    mp.add([("off", 1)] + mass, short, np.inf)
    mp.add(mass, short - p["tolerance_g"], short + p["tolerance_g"])
    for axis, most in enumerate(p["most_mm"]):
        for sign in (1, -1) if axis < 2 else (1,):
            terms = [(n, sign * c - most * m) for (n, c), (_, m) in zip(moment[axis], mass)]
            mp.add(terms, -np.inf, p["weight_g"] * (most - sign * p["centre_mm"][axis]))
    return mp.solve()


def solve_all(problems, solve, key):
    """Microseconds a problem, and the problems where both are sure and differ."""
    answers = [solve(p) for p in problems]
    took = sum(took for _, _, took in answers)
    differ, unsure, plans = [], 0, 0
    for p, (found, proven, _) in zip(problems, answers):
        ours = p[key]
        plans += ours is not None
        if not (proven and p.get("proven", True)):
            unsure += 1
        elif (found is None) != (ours is None) or (found is not None and abs(found - ours) > 1e-5):
            differ.append((ours, found))
    return 1e6 * took / max(len(problems), 1), differ, unsure, plans, len(problems) - plans


# ---------------------------------------------------------------- the run


def median_us(work, cars):
    took = []
    for _ in range(PASSES):
        start = time.process_time()
        result = work()
        took.append(1e6 * (time.process_time() - start) / cars)
    return min(took), statistics.median(took), max(took), result


def rust(folder):
    build = ["cargo", "build", "-q", "--release", "-p", "gradeworthy-demo", "--example", "measure_bench"]
    subprocess.run(build, cwd=ROOT, check=True)
    binary = ROOT / "target/release/examples/measure_bench"
    subprocess.run([binary, "write", folder], check=True, stdout=subprocess.DEVNULL)
    subprocess.run([binary, "run", folder], check=True, stdout=subprocess.DEVNULL)
    return json.loads((folder / "figures.json").read_text())


def disagreements(folder, counts, on_edge):
    """Aspects that differ: lines on an edge that fall the other way as doubles, and all else."""
    told = pd.read_csv(folder / "verdicts.csv", index_col="aspect")
    ours = {aspect: [int(n) for n in row] for aspect, row in told.iterrows()}
    theirs = {aspect: [int(n) for n in row] for aspect, row in counts.items()}
    edges, wrong = [], []
    for aspect in sorted(ours | theirs):
        own, other = ours.get(aspect), theirs.get(aspect)
        if own == other:
            continue
        apart = sum(abs(a - b) for a, b in zip(own, other)) // 2 if own and other else None
        if apart is not None and apart <= on_edge.get(aspect, 0):
            edges.append((aspect, apart, on_edge[aspect]))
        else:
            wrong.append((aspect, own, other))
    return edges, wrong


def problems_of(folder, name):
    return [json.loads(line) for line in (folder / name).read_text().splitlines()]


def main():
    folder = pathlib.Path(tempfile.mkdtemp(prefix="bench_in_numpy_"))
    ours = rust(folder)
    cars = ours["cars"]
    start = time.process_time()
    sheet, answers, numbers = read_sheet(folder)
    reading = 1e6 * (time.process_time() - start) / cars
    rules = tomllib.loads((folder / "rules.toml").read_text())
    known = tables(sheet)
    low, mid, high, (counts, on_edge) = median_us(lambda: verdicts(rules, sheet, answers, numbers, known), cars)
    edges, wrong = disagreements(folder, counts, on_edge)
    lines = sum(int(row.sum()) for row in counts.values())
    shim = solve_all(problems_of(folder, "shims.jsonl"), shims, "cost")
    weigh = solve_all(problems_of(folder, "ballast.jsonl"), ballast, "cost_g")

    rust_low, rust_mid, rust_high = ours["verdicts_us_per_car"]
    cure_low, cure_mid, cure_high = ours["verdicts_and_cures_us_per_car"]
    row = "{:<46}{:>12}{:>14}{:>10}".format
    print(f"The bench against NumPy and HiGHS, {datetime.date.today()}: {cars} invented cars, {ours['readings']} readings")
    print(f"python {platform.python_version()}, numpy {np.__version__}, pandas {pd.__version__}, scipy {scipy.__version__} (HiGHS); {rustc()}")
    print(f"{platform.machine()}, {os.cpu_count()} cores shared with other work; processor time of one core, medians of {PASSES} passes\n")
    print(row("", "Gradeworthy", "NumPy/HiGHS", "ratio"))
    print(row("reading the sheet, us a car", f"{ours['intake_us_per_row']:.1f}", f"{reading:.1f}", f"{reading / ours['intake_us_per_row']:.2f}"))
    print(row("verdicts, us a car", f"{rust_mid:.1f}", f"{mid:.1f}", f"{mid / rust_mid:.2f}"))
    print(row("verdicts, ns a reading", f"{ours['verdicts_ns_per_reading'][1]:.0f}", f"{1e3 * mid * cars / ours['readings']:.0f}", f"{mid / rust_mid:.2f}"))
    print(row("choice of washers and shims, us a problem", f"{ours['shims_us_per_problem']:.1f}", f"{shim[0]:.0f}", f"{shim[0] / ours['shims_us_per_problem']:.0f}"))
    print(row("choice of weights, us a problem", f"{ours['ballast_us_per_problem']:.1f}", f"{weigh[0]:.0f}", f"{weigh[0] / ours['ballast_us_per_problem']:.0f}"))
    print(f"\nspread of the passes: verdicts {rust_low:.1f} to {rust_high:.1f} and {low:.1f} to {high:.1f} us a car")
    print(f"verdicts with all cures: {cure_mid:.0f} us a car ({cure_low:.0f} to {cure_high:.0f}); the slowest car {ours['slowest_car_ms']:.1f} ms")
    print(f"peak memory of the Rust run: {ours['peak_mb_lines_let_go']:.0f} MB with each car's lines let go, {ours['peak_mb_everything_kept']:.0f} MB with all kept")
    print(f"cars: {', '.join(f'{n} {v}' for v, n in ours['cars_by_verdict'].items())}; {ours['cures']} cures")
    print(f"\nagreement: {len(counts)} aspects, {lines} lines counted fit, watch and bad order: {len(wrong)} aspects differ")
    for aspect, apart, all_of in edges:
        print(f"  {aspect}: {apart} of the {all_of} lines exactly on an edge fall the other way as doubles")
    for aspect, own, other in wrong:
        print(f"  {aspect}: {own} against {other}")
    for name, (_, differ, unsure, plans, none) in (("washers", shim), ("weights", weigh)):
        print(f"{name}: {plans} plans, {none} without one; {len(differ)} costs differ by more than 1e-5; {unsure} not proven by one side or the other")
        for own, other in differ[:5]:
            print(f"  {own} against {other}")
    sys.exit(bool(wrong or shim[1] or weigh[1]))


def rustc():
    return subprocess.run(["rustc", "--version"], capture_output=True, text=True, cwd=ROOT).stdout.strip()


main()
