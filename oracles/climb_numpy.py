"""The full check of an invented climb in vectorised NumPy, timed against the Rust one in one run.

Same train and line as crates/train/examples/invented; every step written again, over all places at
once and vehicle by vehicle: placement (Newton in two unknowns), exact statics, balance speed, the
friction-centre truck, all modes. Prints both times, their ratio, and both worst uses, which must
agree; exits with 1 when they do not.

    python3 -m venv /tmp/v && /tmp/v/bin/pip install numpy
    /tmp/v/bin/python oracles/climb_numpy.py [places]
"""

import json
import math
import subprocess
import sys
import time

import numpy as np

G = 9.80665
D = math.pi / 180


def invented_train():
    """One dict per vehicle, SI; keys as in the table of vehicle numbers."""
    ho = dict(slack=0.0012, w=0.0175, gc=0.0178, sigma=0.0003, hcg=0.022, hc=0.0099, face=0.0036,
              least=0.0015, r1=0.0, ms=2.2e-4, mu=0.25, delta=70 * D, gmax=17 * D, pmax=15 * D,
              twist=0.0006, strength=6.0, ck=0.008128, r0=0.015, l=0.008, power=None)
    train, index = [], 0
    for place in range(104):
        if place in (0, 1, 60, 103):
            train.append(dict(ho, a=0.065, p=0.095, w=0.030, W=6.0,
                              power=dict(v=0.25, K=12.0, cap=1.5, stall=2.0, brake=1.1)))
            continue
        a, p, weight = [(0.050, 0.064, 1.112), (0.060, 0.076, 1.25), (0.040, 0.053, 1.0)][index // 4 % 3]
        train.append(dict(ho, a=a, p=p, W=weight, r0=[0.012, 0.015, 0.018, 0.010, 0.014][index % 5],
                          r1=0.002, ck=0.005, strength=8.0))
        index += 1
    return train


class Line:
    """Plan, profile and cant as arrays."""

    NODES, WEIGHTS = np.polynomial.legendre.leggauss(8)

    def __init__(self, length):
        plan, self.cant_s, self.cant_v, s, turn = [], [], [], 0.0, 1.0
        while s + 6.0 < length:
            k = turn / 0.9
            plan += [(1.2, 0, 0), (0.6, 0, k), (3.0, k, k), (0.6, k, 0)]
            for at, angle in ((1.2, 0.0), (1.8, 0.02 * turn), (4.8, 0.02 * turn), (5.4, 0.0)):
                self.cant_s.append(s + at)
                self.cant_v.append(-angle)
            s, turn = s + 5.4, -turn
        plan.append((length - s, 0, 0))
        self.length = sum(p[0] for p in plan)
        self.k0 = np.array([p[1] for p in plan])
        self.rate = np.array([(p[2] - p[1]) / p[0] for p in plan])
        self.s0 = np.concatenate([[0], np.cumsum([p[0] for p in plan])[:-1]])
        self.x0, self.y0, self.t0 = (np.zeros(len(plan)) for _ in range(3))
        for i in range(1, len(plan)):
            dx, dy, dt = self.local(np.array([i - 1]), np.array([plan[i - 1][0]]))
            c, n = math.cos(self.t0[i - 1]), math.sin(self.t0[i - 1])
            self.x0[i] = self.x0[i - 1] + c * dx[0] - n * dy[0]
            self.y0[i] = self.y0[i - 1] + n * dx[0] + c * dy[0]
            self.t0[i] = self.t0[i - 1] + dt[0]
        grades, s = [], 0.0
        while s + 30.0 < length:
            grades += [(20.0, 0.02, 0.02), (1.0, 0.02, 0.0), (3.0, 0.0, 0.0), (1.0, 0.0, 0.02)]
            s += 25.0
        grades.append((length - s, 0.02, 0.02))
        self.g0 = np.array([g[1] for g in grades])
        self.grate = np.array([(g[2] - g[1]) / g[0] for g in grades])
        self.gs = np.concatenate([[0], np.cumsum([g[0] for g in grades])[:-1]])
        rise = [0.5 * (g[1] + g[2]) * g[0] for g in grades]
        self.z0 = np.concatenate([[0], np.cumsum(rise)[:-1]])

    def local(self, i, u):
        k, rate = self.k0[i], self.rate[i]
        half = 0.5 * k * u
        chord = u * np.sinc(half / np.pi)
        dx, dy = chord * np.cos(half), chord * np.sin(half)
        bent = rate != 0
        if bent.any():
            ub, kb, rb = u[bent, None], k[bent, None], rate[bent, None]
            v = 0.5 * ub * (1 + self.NODES)
            angle = v * (kb + 0.5 * rb * v)
            dx[bent] = 0.5 * u[bent] * (np.cos(angle) @ self.WEIGHTS)
            dy[bent] = 0.5 * u[bent] * (np.sin(angle) @ self.WEIGHTS)
        return dx, dy, u * (k + 0.5 * rate * u)

    def at(self, s):
        i = np.searchsorted(self.s0, s, side="right") - 1
        u = s - self.s0[i]
        dx, dy, dt = self.local(i, u)
        c, n = np.cos(self.t0[i]), np.sin(self.t0[i])
        theta = self.t0[i] + dt
        return (self.x0[i] + c * dx - n * dy, self.y0[i] + n * dx + c * dy, np.cos(theta),
                np.sin(theta), self.k0[i] + self.rate[i] * u)

    def profile(self, s):
        i = np.searchsorted(self.gs, s, side="right") - 1
        u = s - self.gs[i]
        return self.z0[i] + u * (self.g0[i] + 0.5 * self.grate[i] * u), self.g0[i] + self.grate[i] * u


def place(train, line, heads):
    """Bolsters, swings and steps of every vehicle at every place of the head."""
    out, ahead = [], None
    for index, car in enumerate(train):
        a, p = car["a"], car["p"]
        if index == 0:
            sf, sr = heads.copy(), heads - 2 * a
            for _ in range(8):
                xf, yf, *_ = line.at(sf)
                xr, yr, cr, nr, _ = line.at(sr)
                dx, dy = xf - xr, yf - yr
                step = (dx * dx + dy * dy - 4 * a * a) / (2 * (dx * cr + dy * nr))
                sr = sr + step
                if np.abs(step).max() < 1e-13:
                    break
        else:
            front = train[index - 1]
            link = front["l"] + car["l"] + 0.5 * 0.5 * (front["slack"] + car["slack"])
            px, py = ahead["pivot_r"]
            sf = ahead["sr"] - (front["p"] - front["a"] + link + p - a)
            sr = sf - 2 * a
            lever = p / (2 * a)
            for _ in range(12):
                xf, yf, cf, nf, _ = line.at(sf)
                xr, yr, cr, nr, _ = line.at(sr)
                dx, dy = xf - xr, yf - yr
                rx, ry = (0.5 + lever) * xf + (0.5 - lever) * xr - px, (0.5 + lever) * yf + (0.5 - lever) * yr - py
                m1, m2 = 0.5 * (dx * dx + dy * dy - 4 * a * a), 0.5 * (rx * rx + ry * ry - link * link)
                j11, j12 = dx * cf + dy * nf, -(dx * cr + dy * nr)
                j21, j22 = (0.5 + lever) * (rx * cf + ry * nf), (0.5 - lever) * (rx * cr + ry * nr)
                det = j11 * j22 - j12 * j21
                ff, rr = (j12 * m2 - j22 * m1) / det, (j21 * m1 - j11 * m2) / det
                sf, sr = sf + ff, sr + rr
                if max(np.abs(ff).max(), np.abs(rr).max()) < 1e-12:
                    break
        xf, yf, cf, nf, kf = line.at(sf)
        xr, yr, cr, nr, kr = line.at(sr)
        ex, ey = (xf - xr) / (2 * a), (yf - yr) / (2 * a)
        zf, gf = line.profile(sf)
        zr, gr = line.profile(sr)
        face = p + car["l"]
        one = dict(sf=sf, sr=sr, axis=(ex, ey), kf=kf, kr=kr, gf=gf, gr=gr,
                   cant=(np.interp(sf, line.cant_s, line.cant_v), np.interp(sr, line.cant_s, line.cant_v)),
                   psi=(np.arctan2(ex * nf - ey * cf, ex * cf + ey * nf), np.arctan2(ex * nr - ey * cr, ex * cr + ey * nr)),
                   pivot_f=(0.5 * (xf + xr) + p * ex, 0.5 * (yf + yr) + p * ey),
                   pivot_r=(0.5 * (xf + xr) - p * ex, 0.5 * (yf + yr) - p * ey),
                   face_f=0.5 * (zf + zr) + face * (zf - zr) / (2 * a),
                   face_r=0.5 * (zf + zr) - face * (zf - zr) / (2 * a),
                   gamma=[0 * sf, 0 * sf], step=[0 * sf, 0 * sf], link=[np.inf, np.inf])
        if index:
            ux = (ahead["pivot_r"][0] - one["pivot_f"][0]) / link
            uy = (ahead["pivot_r"][1] - one["pivot_f"][1]) / link
            one["gamma"][0] = np.arctan2(ex * uy - ey * ux, ex * ux + ey * uy)
            bx, by = ahead["axis"]
            ahead["gamma"][1] = -np.arctan2(bx * uy - by * ux, bx * ux + by * uy)
            one["step"][0] = ahead["face_r"] - one["face_f"]
            ahead["step"][1] = -one["step"][0]
            one["link"][0] = ahead["link"][1] = link
        out.append(one)
        ahead = one
    return out


def forces(train, spots):
    """Balance speed, coupler forces, pulls and rail forces along the track."""
    n, count = len(train), len(spots[0]["sf"])
    coefs = []
    for car, at in zip(train, spots):
        tf, tr = np.tan(at["psi"][0]), np.tan(at["psi"][1])
        mean, yaw = 0.5 * (tf + tr), (tf - tr) / (2 * car["a"])
        gf, gr = at["gamma"]
        df = np.cos(gf) + np.sin(gf) * (mean + yaw * car["p"])
        dr = np.cos(gr) - np.sin(gr) * (mean - yaw * car["p"])
        af, ar = 1 / np.cos(at["psi"][0]), 1 / np.cos(at["psi"][1])
        normal = [car["W"] / 2 / np.sqrt(1 + g * g) for g in (at["gf"], at["gr"])]
        stand = [q * (g + car["r0"] + car["ck"] * np.abs(k))
                 for q, g, k in zip(normal, (at["gf"], at["gr"]), (at["kf"], at["kr"]))]
        speed = [q * car["r1"] for q in normal]
        coefs.append((dr / df, (stand[0] * af + stand[1] * ar) / df, (speed[0] * af + speed[1] * ar) / df,
                      0.5 * (af + ar) / df, stand, speed))
    total, per_speed, gains, through = np.zeros(count), np.zeros(count), [], np.ones(count)
    for car, (pas, stand, speed, pull, *_) in zip(train, coefs):
        total += through * stand
        per_speed += through * speed
        if car["power"]:
            gains.append((car["power"], through * pull))
        through = through * pas

    def effort(q, v):
        return np.clip(q["K"] * (q["v"] - v), -min(q["cap"], q["brake"]), min(q["cap"], q["stall"]))

    low, high = np.zeros(count), np.full(count, max(q["v"] + q["brake"] / q["K"] for q, _ in gains))
    for _ in range(60):
        v = 0.5 * (low + high)
        left = total + per_speed * v - sum(g * effort(q, v) for q, g in gains)
        low, high = np.where(left > 0, low, v), np.where(left > 0, v, high)
    v = 0.5 * (low + high)
    stall = np.abs(total) / sum(g * effort(q, 0.0) for q, g in gains)
    force = [np.zeros(count)]
    pulls, along = [], []
    for car, (pas, stand, speed, pull, st, sp) in zip(reversed(train), reversed(coefs)):
        t = effort(car["power"], v) if car["power"] else np.zeros(count)
        force.append(pas * force[-1] + stand + speed * v - pull * t)
        pulls.append(t)
        along.append([0.5 * t - st[e] - sp[e] * v for e in (0, 1)])
    return v, force[::-1], pulls[::-1], along[::-1], stall


def flanges(t, pole):
    out = []
    for x, load in ((t["w"] / 2, t["q"][0] + t["q"][1]), (-t["w"] / 2, t["q"][2] + t["q"][3])):
        ahead = x - pole
        reach = np.sqrt(ahead**2 + t["y"] ** 2)
        unit = t["mu"] * load / reach
        out.append((-unit * ahead, -unit * (x * ahead + t["y"] ** 2), unit * t["y"] ** 2 / reach**2))
    side, yaw, k = (out[0][j] + out[1][j] for j in range(3))
    total, couple = -(t["s"] + side), -2 * (yaw + t["m"]) / t["w"]
    return 0.5 * (total + couple), 0.5 * (total - couple), k


def root(t, limit, leading):
    """The pole where one flange force vanishes, by Newton clipped to the range; and whether it does."""
    pole = np.sign(limit) * np.minimum(np.abs(limit), 0.87 * t["w"])
    for _ in range(12):
        yl, yt, k = flanges(t, pole)
        value = yl if leading else yt
        slope = -k / t["w"] * (t["w"] / 2 + (pole if leading else -pole))
        pole = np.clip(pole - value / slope, np.minimum(limit, 0), np.maximum(limit, 0))
    yl, yt, _ = flanges(t, pole)
    return pole, np.abs(yl if leading else yt) < 1e-9


def lateral_over_vertical(car, kappa, sides, s, m):
    """Worse axle of a truck: L/V of its flanging wheel."""
    sign = np.where(kappa < 0, -1.0, 1.0)
    left, right = sides[0] / 2, sides[1] / 2
    q = [np.where(sign > 0, left, right), np.where(sign > 0, right, left)] * 2
    t = dict(q=q, mu=car["mu"], w=car["w"], y=car["gc"] / 2, s=sign * s, m=sign * m)
    straight = kappa == 0
    yl, yt, _ = flanges(t, 0.0)
    same = yl * yt >= 0
    limit = -np.sign(yl) * 2 * car["sigma"] / (np.where(straight, 1.0, np.abs(kappa)) * car["w"])
    reach = np.where(limit < 0, limit, np.minimum(limit, car["w"] / 2))
    pole_t, freed_t = root(t, reach, False)
    fine = freed_t & (flanges(t, pole_t)[0] * yl >= 0)
    pole = np.where(same, 0.0, np.where(fine, pole_t, limit))
    yl2, yt2, _ = flanges(t, pole)
    yt2 = np.where(~same & fine, 0.0, yt2)
    other = ~same & ~fine
    if other.any():
        pole_l, freed_l = root(t, limit, True)
        use = other & freed_l
        pole = np.where(use, pole_l, pole)
        a, b, _ = flanges(t, pole)
        yl2, yt2 = np.where(use, 0.0, np.where(other, a, yl2)), np.where(use, b, np.where(other, b, yt2))
    couple = t["m"] / car["w"]
    yl2 = np.where(straight, -0.5 * t["s"] - couple, yl2)
    yt2 = np.where(straight, -0.5 * t["s"] + couple, yt2)
    worst = 0.0
    for x, y in ((car["w"] / 2, yl2), (-car["w"] / 2, yt2)):
        load = np.where(y > 0, q[1], q[0])
        ahead = x - pole
        tread = np.where(straight, 0.0, -car["mu"] * load * ahead / np.sqrt(ahead**2 + t["y"] ** 2))
        worst = np.maximum(worst, np.where(y == 0, 0.0, np.sign(y) * (y + tread)) / load)
    return worst


def check(train, line, heads):
    """Worst use of each mode over all vehicles and places."""
    spots = place(train, line, heads)
    v, force, pulls, along, stall = forces(train, spots)
    worst = dict(Stall=float(stall.max()))

    def take(mode, use):
        worst[mode] = max(worst.get(mode, 0.0), float(np.max(use)))

    for i, (car, at) in enumerate(zip(train, spots)):
        a, p, W, gc = car["a"], car["p"], car["W"], car["gc"]
        ff, fr = force[i], force[i + 1]
        psi, gam = at["psi"], at["gamma"]
        front, rear = ff * np.sin(gam[0]), fr * np.sin(gam[1])
        sc = [((a + p) * front - (p - a) * rear + 2 * a * along[i][0] * np.sin(psi[0])) / (2 * a * np.cos(psi[0])),
              -((p - a) * front - (p + a) * rear - 2 * a * along[i][1] * np.sin(psi[1])) / (2 * a * np.cos(psi[1]))]
        y = [W / 2 * (np.sin(c) - v * v * k / G) for c, k in zip(at["cant"], (at["kf"], at["kr"]))]
        lift = [f * np.clip(at["step"][e] / at["link"][e], -0.3, 0.3) for e, f in ((0, ff), (1, fr))]
        g = 0.5 * (at["gf"] + at["gr"])
        pitch = (ff * car["hc"] - fr * car["hc"] - W * g / np.sqrt(1 + g * g) * car["hcg"]) / (2 * a)
        over = (p - a) / (2 * a)
        q = [W / 2 + pitch - lift[0] * (1 + over) + lift[1] * over,
             W / 2 - pitch - lift[1] * (1 + over) + lift[0] * over]
        roll = [sc[e] * car["hc"] + y[e] * car["hcg"] for e in (0, 1)]
        nadal = (math.tan(car["delta"]) - car["mu"]) / (1 + car["mu"] * math.tan(car["delta"]))
        yaw = (np.tan(psi[0]) - np.tan(psi[1])) / (2 * a)
        play = 0.0
        for e, f, other in ((0, ff, i - 1), (1, fr, i + 1)):
            if 0 <= other < len(train):
                b = train[other]
                angle = (car["sigma"] * p / a + b["sigma"] * b["p"] / b["a"]) / at["link"][e]
                play = play + np.where(f < 0, -f * angle * p, 0.0)
        play = play / (2 * a)
        for e, k in ((0, at["kf"]), (1, at["kr"])):
            sides = [np.maximum(q[e] / 2 + z * roll[e] / gc, 1e-3 * W / 2) for z in (1, -1)]
            m = np.where(k != 0, -np.sign(k) * car["ms"],
                         np.where(np.abs(yaw) < 1e-9, 0.0, np.sign(yaw) * car["ms"]))
            s = sc[e] + y[e]
            take("WheelClimb", lateral_over_vertical(car, k, sides, s, m) / nadal)
            buff = play > 0
            if np.any(buff):
                for z in (1.0, -1.0):
                    use = lateral_over_vertical(car, k, sides, s + z * play, m) / nadal
                    take("Jackknife", np.where(buff, use, 0.0))
            low = np.minimum(q[e] / 2 + roll[e] / gc, q[e] / 2 - roll[e] / gc)
            take("Unloading", (W / 4 - low) / (W / 4))
            take("TruckSwing", np.abs(psi[e]) / car["pmax"])
        pull = sc[0] + sc[1]
        lean = (y[0] + y[1]) * car["hcg"]
        level = 0.5 * W * gc
        stand = level * 0.5 * (np.cos(at["cant"][0]) + np.cos(at["cant"][1])) - np.sign(pull) * lean
        tip = np.abs(pull) * car["hc"] / np.maximum(stand, 1e-3 * level)
        take("Stringline", np.where(ff + fr >= 0, tip, 0.0))
        take("Buckling", np.where(ff + fr < 0, tip, 0.0))
        take("CouplerSwing", np.maximum(np.abs(gam[0]), np.abs(gam[1])) / car["gmax"])
        if car["power"]:
            take("Adhesion", np.abs(pulls[i]) / car["power"]["cap"])
        twist = np.abs(np.sin(at["cant"][0]) - np.sin(at["cant"][1])) * gc / car["twist"]
        take("Twist", twist)
        if i:
            b = train[i - 1]
            take("PullApart", ff / min(car["strength"], b["strength"]))
            room = 0.5 * (car["face"] + b["face"]) - max(car["least"], b["least"])
            take("Bypass", np.abs(at["step"][0]) / room)
    return worst


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    told = subprocess.run(
        ["cargo", "run", "--release", "-q", "-p", "gradeworthy-train", "--example", "hundred_cars", str(count)],
        check=True, capture_output=True, text=True)
    rust = json.loads(told.stdout)
    train, line = invented_train(), Line(count * 0.05 + 17.0)
    heads = rust["first_head_m"] + 0.05 * np.arange(rust["places"])
    start = time.perf_counter()
    worst = check(train, line, heads)
    seconds = time.perf_counter() - start
    print(json.dumps({
        "places": rust["places"], "vehicles": len(train), "numpy": np.__version__,
        "numpy_s": round(seconds, 3), "rust_s": rust["sweep_s"],
        "ratio": round(seconds / rust["sweep_s"], 1),
        "worst_use_numpy": worst, "worst_use_rust": rust["worst_use"],
    }, indent=1))
    apart = {mode: use - rust["worst_use"][mode] for mode, use in worst.items()}
    print("largest difference of a mode:", max(apart.items(), key=lambda item: abs(item[1])))
    sys.exit(0 if max(map(abs, apart.values())) < 1e-6 else 1)


if __name__ == "__main__":
    main()
