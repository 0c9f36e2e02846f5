"""Reference values for the bench mechanics from NumPy and SciPy, general-purpose libraries.

Run:  python3 -m venv /tmp/oracle && /tmp/oracle/bin/pip install numpy scipy
      /tmp/oracle/bin/python oracles/bench_mechanics.py > oracles/bench_mechanics.json

The models are written here from their differential equations and definitions, not from the Rust
code; the solvers, distributions and optimisers are SciPy's. Input data are invented and seeded.
SI units unless a key says otherwise.
"""

import json
import platform

import numpy as np
import scipy
from scipy import integrate, optimize, stats

G = 9.80665


def rounded(values, places):
    return [round(float(value), places) for value in values]


def students_t():
    """Quantiles and probabilities of Student's t."""
    rows = []
    for degrees in (3.0, 6.0, 9.5, 22.0, 31.0, 120.0):
        law = stats.t(degrees)
        rows.append(
            {
                "degrees": degrees,
                "quantile": [[p, law.ppf(p)] for p in (0.9, 0.95, 0.975, 0.995)],
                "cdf": [[x, law.cdf(x)] for x in (-3.0, -0.5, 0.7, 2.5)],
            }
        )
    return rows


def spin_down():
    """Time to a standstill by integrating J w' = -(Mc + c w) numerically."""
    rows = []
    for moment, coulomb, viscous, start in (
        (3.63291139168762e-08, 2e-06, 1e-09, 400.0),
        (3.63291139168762e-08, 2e-06, 0.0, 400.0),
        (2.39e-09, 1.5e-07, 4e-10, 800.0),
        (6.69e-09, 4e-07, 1e-13, 300.0),
    ):
        stop = lambda t, w: w[0]
        stop.terminal = True
        stop.direction = -1.0
        run = integrate.solve_ivp(
            lambda t, w: [-(coulomb + viscous * w[0]) / moment],
            (0.0, 1e3),
            [start],
            events=stop,
            rtol=1e-12,
            atol=1e-9,
            method="DOP853",
        )
        rows.append(
            {
                "moment_kg_m2": moment,
                "coulomb_n_m": coulomb,
                "viscous_n_m_s": viscous,
                "start_rad_per_s": start,
                "time_s": run.t_events[0][0],
            }
        )
    return rows


def calibration():
    """grade = a0 + b0/t by curve_fit, its own weights refreshed until they stand still."""
    rng = np.random.default_rng(20)
    spin_s = np.array(rounded(rng.uniform(7.0, 40.0, 18), 1))
    truth = 0.007 + 0.21 / spin_s
    grade = np.array(rounded(truth * (1 + 0.1 * rng.standard_normal(18)), 5))
    reading, relative = 0.001, 0.12
    line = lambda t, a0, b0: a0 + b0 / t
    (a0, b0), _ = optimize.curve_fit(line, spin_s, grade)
    for _ in range(200):
        sigma = np.hypot(reading, relative * b0 / spin_s)
        (a0, b0), covariance = optimize.curve_fit(
            line, spin_s, grade, p0=(a0, b0), sigma=sigma, xtol=1e-15, ftol=1e-15
        )
    factor = np.sum(((grade - line(spin_s, a0, b0)) / sigma) ** 2) / (len(spin_s) - 2)
    at = np.array([1.0, 1.0 / 15.0])
    variance = at @ covariance @ at + factor * (reading**2 + (relative * b0 / 15.0) ** 2)
    return {
        "spin_s": list(spin_s),
        "grade": list(grade),
        "reading": reading,
        "relative": relative,
        "offset": a0,
        "slope_s": b0,
        "standard_errors": list(np.sqrt(np.diag(covariance))),
        "at_15_s": line(15.0, a0, b0),
        "half_width_95": stats.t(len(spin_s) - 2).ppf(0.975) * np.sqrt(variance),
    }


def coasting_times(a, b, eps, grade, speed, positions):
    """Gate times by integrating the equation of motion; NaN past the standstill."""
    angle = np.arctan(grade)
    push = G * (np.sin(angle) - a * np.cos(angle)) / (1 + eps)
    drag = G * b * np.cos(angle) / (1 + eps)
    stop = lambda t, y: y[1] - 1e-9
    stop.terminal = True
    motion = integrate.solve_ivp(
        lambda t, y: [y[1], push - drag * y[1]],
        (0.0, 60.0),
        [0.0, speed],
        events=stop,
        rtol=1e-11,
        atol=1e-13,
        dense_output=True,
    )
    end = motion.t[-1]
    times = []
    for position in positions:
        if position > motion.sol(end)[0]:
            times.append(None)
        else:
            times.append(optimize.brentq(lambda t: motion.sol(t)[0] - position, 0.0, end))
    return times


def coast_model(p, run, index, runs, eps):
    angle = np.arctan(run["grade"])
    push = G * (np.sin(angle) - p[0] * np.cos(angle)) / (1 + eps)
    drag = G * p[1] * np.cos(angle) / (1 + eps)
    reached = [k for k, t in enumerate(run["time_s"]) if t is not None]
    at = np.array([run["position_m"][k] for k in reached])
    since = np.array([run["time_s"][k] for k in reached]) - p[2 + runs + index]
    decay = np.exp(-drag * since)
    speed = p[2 + index] * decay + push / drag * (1 - decay)
    way = push / drag * since - (push / drag - p[2 + index]) * (1 - decay) / drag
    return at, way, speed


def coast(seed, a, b, eps, timing, cases):
    """Drag by SciPy's least_squares with covariance from its Jacobian."""
    rng = np.random.default_rng(seed)
    runs = []
    for grade, speed, positions in cases:
        times = coasting_times(a, b, eps, grade, speed, positions)
        noisy = [
            None if t is None else round(float(t + timing * rng.standard_normal()), 6)
            for t in times
        ]
        runs.append({"grade": grade, "position_m": list(positions), "time_s": noisy})
    count = len(runs)

    def residuals(p):
        parts = []
        for index, run in enumerate(runs):
            at, way, speed = coast_model(p, run, index, count, eps)
            parts.append((at - way) / speed / timing)
        return np.concatenate(parts)

    start = [0.9 * a, 1.1 * b] + [case[1] for case in cases] + [0.0] * count
    scale = [0.01, 0.01] + [0.3] * count + [0.01] * count
    fit = optimize.least_squares(
        residuals, start, x_scale=scale, xtol=1e-15, ftol=1e-15, gtol=1e-15, jac="cs"
    )
    covariance = np.linalg.inv(fit.jac.T @ fit.jac)
    no_clock = fit.jac[:, : 2 + count]
    degrees = len(fit.fun) - len(fit.x)
    return {
        "rotating_part": eps,
        "timing_s": timing,
        "truth": [a, b],
        "runs": runs,
        "fit": list(fit.x),
        "standard_errors": list(np.sqrt(np.diag(covariance))),
        "standard_errors_with_start_times_taken_as_known": list(
            np.sqrt(np.diag(np.linalg.inv(no_clock.T @ no_clock)))[:2]
        ),
        "chi_square": 2 * fit.cost,
        "degrees": degrees,
        "tail_probability": stats.chi2.sf(2 * fit.cost, degrees),
    }


def overbend():
    """The set with the best chance of tomorrow's reading being inside tolerance."""
    rows = []
    for mean, weight, degrees, sd, target, tolerance, reading in (
        (0.45, 4.0, 6.0, 0.0255, 0.20, 0.05, 0.015),
        (0.45, 4.0, 6.0, 0.0255, 0.05, 0.05, 0.015),
        (0.47196246, 9.65525695, 31.0, 0.02882824, 0.20, 0.05, 0.015),
        (0.30, 2.0, 5.0, 0.08, 0.40, 0.03, 0.01),
    ):
        def chance(first):
            centre = (1 - mean) * first
            variance = (first * sd) ** 2 * (1 + 1 / weight)
            variance += reading**2 + ((1 - mean) * reading) ** 2
            law = stats.t(degrees, centre, np.sqrt(variance))
            return law.cdf(target + tolerance) - law.cdf(target - tolerance)

        naive = target / (1 - mean)
        best = optimize.minimize_scalar(
            lambda first: -chance(first),
            bounds=(0.3 * naive, 1.3 * naive),
            method="bounded",
            options={"xatol": 1e-10},
        )
        rows.append(
            {
                "mean": mean, "weight": weight, "degrees": degrees, "sd": sd,
                "target_mm": target, "tolerance_mm": tolerance, "reading_mm": reading,
                "set_mm": best.x, "chance": -best.fun,
            }
        )
    return rows


def main():
    short = np.arange(0.0, 1.76, 0.25)
    long = np.arange(0.0, 2.01, 0.2)
    report = {
        "what": "reference values for the bench mechanics; see bench_mechanics.py",
        "versions": {
            "python": platform.python_version(),
            "numpy": np.__version__,
            "scipy": scipy.__version__,
        },
        "students_t": students_t(),
        "spin_down": spin_down(),
        "calibration": calibration(),
        "coast": [
            coast(1, 0.012, 0.008, 0.05, 0.002,
                  [(0.0, 0.6, short), (0.01, 0.4, short), (0.02, 0.2, long)]),
            coast(2, 0.006, 0.015, 0.04, 0.001, [(0.0, 0.45, long), (0.03, 0.15, long)]),
            coast(3, 0.020, 0.002, 0.06, 0.003,
                  [(0.0, 0.7, short), (0.0, 0.8, long), (0.02, 0.3, long), (0.02, 0.35, long)]),
        ],
        "overbend": overbend(),
    }
    print(json.dumps(report, indent=1))


main()
