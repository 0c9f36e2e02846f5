"""One longitudinal case in general engines and in ours, in one run: time and error side by side.

The case is crates/train/tests/vectors/b4_case_p80.json: 80 cars and 3 locomotives start on 1 %, helpers
disagree by 3 %, the head end loses power for a second with locked wheels, the train stops; 24 s.
The truth is SUNDIALS CVODE at a relative tolerance of 1e-11; the error of an engine is the rms over all coupler
forces at every 10 ms over the rms force.

Engines: CVODE with its band solver and an analytic band Jacobian (C, compiled here); LSODA with bands,
BDF and Radau with a sparse Jacobian (SciPy; the same compiled right-hand side through ctypes); MuJoCo
with slide joints, limited tendons and frictionloss, whose stops are soft constraints and not springs,
so that its law differs; ours, crates/train/examples/motion_case.rs.

Tolerances are the same for all: absolute, metres for places and 100 times as much in m/s for speeds (a
relative one would measure places from the start of the line and loosen as the train moves on).
Times are of the processor, not of the clock, because the machine is shared.

    python3 -m venv /tmp/v && /tmp/v/bin/pip install numpy scipy mujoco    # and Debian's libsundials-dev
    cargo build --release -p gradeworthy-train --example motion_case --example motion_many
    /tmp/v/bin/python oracles/motion_oracles.py [kept.csv] | tee oracles/motion_oracles.txt

With a file named, the truth at every 100 ms is kept there for the tests, in millinewtons.
"""

import ctypes
import datetime
import json
import os
import platform
import subprocess
import sys
import tempfile
import time

import mujoco
import numpy as np
import scipy
from scipy.integrate import solve_ivp
from scipy.sparse import lil_matrix

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(HERE)
VECTORS = os.path.join(ROOT, "crates/train/tests/vectors/b4_case_p80.json")
GRID = 0.01

C_SOURCE = r"""
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sunmatrix/sunmatrix_band.h>
#include <sunlinsol/sunlinsol_band.h>

static int n, drives, rows[16], where[16];
static double *m, *W, *R, *L, *s, *k, *c, *c0, *x0, *v0, K[16], sch[16][64][4];
static double grade, d, eps, T;
static double since;              /* start of the stretch of time */
static double drag[4096];

static double *list(FILE *f, int count) {
    double *p = malloc(sizeof(double) * (count + 1));
    for (int i = 0; i < count; i++) if (fscanf(f, "%lf", p + i) != 1) exit(3);
    return p;
}

void load(const char *name) {
    FILE *f = fopen(name, "r");
    if (fscanf(f, "%d %d %lf %lf %lf %lf", &n, &drives, &grade, &d, &eps, &T) != 6) exit(3);
    m = list(f, n); W = list(f, n); R = list(f, n); x0 = list(f, n); v0 = list(f, n);
    L = list(f, n - 1); s = list(f, n - 1); k = list(f, n - 1); c = list(f, n - 1); c0 = list(f, n - 1);
    for (int j = 0; j < drives; j++) {
        if (fscanf(f, "%d %lf %d", &where[j], &K[j], &rows[j]) != 3) exit(3);
        for (int i = 0; i < rows[j]; i++) for (int q = 0; q < 4; q++)
            if (fscanf(f, "%lf", &sch[j][i][q]) != 1) exit(3);
    }
    fclose(f);
}

static int row_of(int j) {
    int i = 0;
    while (i + 1 < rows[j] && sch[j][i + 1][0] <= since) i++;
    return i;
}

void stretch(double from) {
    since = from;
    for (int i = 0; i < n; i++) drag[i] = R[i];
    for (int j = 0; j < drives; j++) drag[where[j]] += sch[j][row_of(j)][3];
}

/* Force of coupling i and its slopes; y is x0 v0 x1 v1 ... */
static double force(const double *y, int i, double *by_e, double *by_w) {
    double e = y[2 * i] - y[2 * i + 2] - L[i], w = y[2 * i + 1] - y[2 * i + 3];
    double f = c0[i] * w, fe = 0.0, fw = c0[i];
    for (int side = 1; side >= -1; side -= 2) {
        double z = side * e - 0.5 * s[i];
        if (z <= -d) continue;
        double r, r1, r2;
        if (z < d) { r = (z + d) * (z + d) / (4 * d); r1 = (z + d) / (2 * d); r2 = 1 / (2 * d); }
        else { r = z; r1 = 1; r2 = 0; }
        f += side * k[i] * r + c[i] * w * r1;
        fe += k[i] * r1 + side * c[i] * w * r2;
        fw += c[i] * r1;
    }
    *by_e = fe; *by_w = fw;
    return f;
}

static double pull(int j, double t, double v, double *by_v) {
    int i = row_of(j);
    double asked = sch[j][i][1], cap = sch[j][i][2];
    if (i + 1 < rows[j])
        asked += (sch[j][i + 1][1] - asked) * (t - sch[j][i][0]) / (sch[j][i + 1][0] - sch[j][i][0]);
    double free = K[j] * (asked - v);
    *by_v = 0.0;
    if (free > cap) return cap;
    if (free < -cap) return -cap;
    *by_v = -K[j];
    return free;
}

void rhs(double t, const double *y, double *dy) {
    double before = 0.0, a, b;
    for (int i = 0; i < n; i++) {
        double after = i + 1 < n ? force(y, i, &a, &b) : 0.0, v = y[2 * i + 1];
        double share = v / eps;
        if (share > 1) share = 1;
        if (share < -1) share = -1;
        dy[2 * i] = v;
        dy[2 * i + 1] = -W[i] * grade - drag[i] * share + before - after;
        before = after;
    }
    for (int j = 0; j < drives; j++) dy[2 * where[j] + 1] += pull(j, t, y[2 * where[j] + 1], &a);
    for (int i = 0; i < n; i++) dy[2 * i + 1] /= m[i];
}

static int f_cv(realtype t, N_Vector y, N_Vector dy, void *data) {
    (void)data;
    rhs(t, NV_DATA_S(y), NV_DATA_S(dy));
    return 0;
}

static int j_cv(realtype t, N_Vector yv, N_Vector fy, SUNMatrix J, void *data, N_Vector a1, N_Vector a2, N_Vector a3) {
    (void)fy; (void)data; (void)a1; (void)a2; (void)a3;
    const double *y = NV_DATA_S(yv);
    double b;
    for (int i = 0; i < n; i++) {
        SM_ELEMENT_B(J, 2 * i, 2 * i + 1) = 1.0;
        if (fabs(y[2 * i + 1]) < eps) SM_ELEMENT_B(J, 2 * i + 1, 2 * i + 1) -= drag[i] / eps / m[i];
    }
    for (int i = 0; i + 1 < n; i++) {
        double fe, fw;
        force(y, i, &fe, &fw);
        int p = 2 * i + 1, q = 2 * i + 3;
        SM_ELEMENT_B(J, p, 2 * i) -= fe / m[i];     SM_ELEMENT_B(J, p, 2 * i + 2) += fe / m[i];
        SM_ELEMENT_B(J, p, p) -= fw / m[i];         SM_ELEMENT_B(J, p, q) += fw / m[i];
        SM_ELEMENT_B(J, q, 2 * i) += fe / m[i + 1]; SM_ELEMENT_B(J, q, 2 * i + 2) -= fe / m[i + 1];
        SM_ELEMENT_B(J, q, p) += fw / m[i + 1];     SM_ELEMENT_B(J, q, q) -= fw / m[i + 1];
    }
    for (int j = 0; j < drives; j++) {
        int p = 2 * where[j] + 1;
        pull(j, t, y[p], &b);
        SM_ELEMENT_B(J, p, p) += b / m[where[j]];
    }
    return 0;
}

void forces(const double *y, double *f) {
    double a, b;
    for (int i = 0; i + 1 < n; i++) f[i] = force(y, i, &a, &b);
}

static int ascending(const void *a, const void *b) {
    double p = *(const double *)a, q = *(const double *)b;
    return (p > q) - (p < q);
}

#ifdef MAIN
int main(int argc, char **argv) {
    if (argc < 5) return 2;
    load(argv[1]);
    double rtol = atof(argv[2]), atol = atof(argv[3]), grid = 0.01;
    SUNContext ctx;
    SUNContext_Create(NULL, &ctx);
    N_Vector y = N_VNew_Serial(2 * n, ctx), tol = N_VNew_Serial(2 * n, ctx);
    for (int i = 0; i < n; i++) {
        NV_Ith_S(y, 2 * i) = x0[i]; NV_Ith_S(y, 2 * i + 1) = v0[i];
        NV_Ith_S(tol, 2 * i) = atol; NV_Ith_S(tol, 2 * i + 1) = 100 * atol;
    }
    double breaks[1024];
    int count = 0;
    for (int j = 0; j < drives; j++) for (int i = 0; i < rows[j]; i++)
        if (sch[j][i][0] > 0 && sch[j][i][0] < T) breaks[count++] = sch[j][i][0];
    breaks[count++] = T;
    qsort(breaks, count, sizeof(double), ascending);
    int samples = (int)floor(T / grid + 1e-9);
    double *out = malloc(sizeof(double) * (size_t)(samples + 1) * (n - 1));
    struct timespec a, b;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &a);
    void *cv = CVodeCreate(CV_BDF, ctx);
    stretch(0.0);
    CVodeInit(cv, f_cv, 0.0, y);
    CVodeSVtolerances(cv, rtol, tol);
    CVodeSetMaxNumSteps(cv, 100000000);
    SUNMatrix A = SUNBandMatrix(2 * n, 3, 3, ctx);
    SUNLinearSolver S = SUNLinSol_Band(y, A, ctx);
    CVodeSetLinearSolver(cv, S, A);
    CVodeSetJacFn(cv, j_cv);
    double t = 0.0;
    long steps = 0, part;
    int sample = 0;
    forces(NV_DATA_S(y), out);
    for (int q = 0; q < count; q++) {
        if (breaks[q] <= t) continue;
        stretch(t);
        if (q > 0) CVodeReInit(cv, t, y);
        CVodeSetStopTime(cv, breaks[q]);
        while (t < breaks[q]) {
            double next = (sample + 1) * grid, to = next < breaks[q] - 1e-12 ? next : breaks[q];
            int flag = CVode(cv, to, y, &t, CV_NORMAL);
            if (flag < 0) return 4;
            if (fabs(t - next) < 1e-9) forces(NV_DATA_S(y), out + (size_t)(n - 1) * ++sample);
        }
        t = breaks[q];
        CVodeGetNumSteps(cv, &part);
        steps += part;
    }
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &b);
    FILE *f = fopen(argv[4], "wb");
    fwrite(out, sizeof(double), (size_t)(sample + 1) * (n - 1), f);
    fclose(f);
    printf("%.9f %ld %d\n", (b.tv_sec - a.tv_sec) + 1e-9 * (b.tv_nsec - a.tv_nsec), steps, sample + 1);
    return 0;
}
#endif
"""


def flat(case):
    """The case as numbers for the C program."""
    out = [f"{case['n']} {len(case['li'])} {case['g']!r} {case['d']!r} {case['eps']!r} {case['T']!r}"]
    for key in ("m", "W", "R", "x", "v", "L", "s", "k", "c", "c0"):
        out.append(" ".join(repr(float(own)) for own in case[key]))
    for place, slope, rows in zip(case["li"], case["K"], case["sch"]):
        out.append(f"{place} {slope!r} {len(rows)}")
        out += [" ".join(repr(float(own)) for own in row) for row in rows]
    return "\n".join(out) + "\n"


def longer(case, cars):
    """The same case with another number of cars, locomotives at head, middle and rear."""
    own = [i for i in range(case["n"]) if i not in case["li"]]
    order = [own[i % len(own)] for i in range(cars)]
    middle = cars // 2
    order = [case["li"][0]] + order[:middle] + [case["li"][1]] + order[middle:] + [case["li"][2]]
    n = len(order)
    new = dict(case, n=n, li=[0, middle + 1, n - 1])
    for key in ("m", "W", "R"):
        new[key] = [case[key][i] for i in order]
    for key in ("L", "s", "k", "c", "c0"):
        new[key] = [case[key][0]] * (n - 1)
    new["x"] = [-0.155 * i for i in range(n)]
    new["v"] = [0.0] * n
    share = cars / 80.0
    new["sch"] = [[[t, v, cap * share, drag * share] for t, v, cap, drag in rows] for rows in case["sch"]]
    new["K"] = [own * share for own in case["K"]]
    return new


class Bench:
    """Files, compiled programs and the truth."""

    def __init__(self, folder):
        self.folder = folder
        self.case = json.load(open(VECTORS))
        self.n = self.case["n"]
        source = self.path("case.c")
        open(source, "w").write(C_SOURCE)
        flags = ["cc", "-O3", source, "-lsundials_cvode", "-lsundials_nvecserial", "-lm", "-o"]
        subprocess.run(flags + [self.path("cvode"), "-DMAIN"], check=True)
        subprocess.run(flags + [self.path("case.so"), "-shared", "-fPIC"], check=True)
        open(self.path("case.txt"), "w").write(flat(self.case))
        self.lib = ctypes.CDLL(self.path("case.so"))
        self.lib.load(self.path("case.txt").encode())
        self.truth = None

    def path(self, name):
        return os.path.join(self.folder, name)

    def error(self, forces):
        return float(np.sqrt(((forces - self.truth) ** 2).mean() / (self.truth**2).mean()))

    def cvode(self, tolerance, atol, repeats=5):
        best = None
        for _ in range(repeats):
            said = subprocess.run(
                [self.path("cvode"), self.path("case.txt"), repr(tolerance), repr(atol), self.path("f")],
                check=True, capture_output=True, text=True)
            seconds, steps, _ = said.stdout.split()
            best = float(seconds) if best is None else min(best, float(seconds))
        return best, int(steps), np.fromfile(self.path("f")).reshape(-1, self.n - 1)

    def ours(self, tolerance, case=None, sample=GRID):
        file = VECTORS
        if case is not None:
            file = self.path("other.json")
            json.dump(case, open(file, "w"))
        said = subprocess.run(
            [os.path.join(ROOT, "target/release/examples/motion_case"), file, repr(tolerance), self.path("f"),
             repr(sample)], check=True, capture_output=True, text=True)
        told = json.loads(said.stdout)
        return told, np.fromfile(self.path("f")).reshape(-1, told["vehicles"] - 1)

    def scipy(self, method, tolerance):
        case, n, lib = self.case, self.n, self.lib
        lib.stretch.argtypes = [ctypes.c_double]
        pointer = ctypes.POINTER(ctypes.c_double)
        lib.rhs.argtypes = [ctypes.c_double, pointer, pointer]
        out = np.empty(2 * n)
        to = out.ctypes.data_as(pointer)

        def rhs(t, y):
            lib.rhs(t, np.ascontiguousarray(y).ctypes.data_as(pointer), to)
            return out.copy()

        times = {row[0] for rows in case["sch"] for row in rows if 0 < row[0] < case["T"]}
        breaks = sorted(times | {case["T"]})
        y = np.empty(2 * n)
        y[0::2], y[1::2] = case["x"], case["v"]
        atol = np.empty(2 * n)
        atol[0::2], atol[1::2] = tolerance, 100 * tolerance
        options = {"method": method, "rtol": 1e-9, "atol": atol}
        if method == "LSODA":
            options |= {"lband": 3, "uband": 3}
        else:
            pattern = lil_matrix((2 * n, 2 * n))
            for i in range(n):
                pattern[2 * i, 2 * i + 1] = 1
                for j in (i - 1, i, i + 1):
                    if 0 <= j < n:
                        pattern[2 * i + 1, 2 * j] = pattern[2 * i + 1, 2 * j + 1] = 1
            options |= {"jac_sparsity": pattern.tocsr()}
        grid = np.round(np.arange(round(case["T"] / GRID) + 1) * GRID, 10)
        states, t = [y.copy()], 0.0
        start = time.process_time()
        for end in breaks:
            lib.stretch(t)
            inside = np.minimum(grid[(grid > t + 1e-12) & (grid <= end + 1e-12)], end)
            solved = solve_ivp(rhs, (t, end), y, t_eval=np.unique(np.append(inside, end)), **options)
            states += list(solved.y.T[: len(inside)])
            y, t = solved.y[:, -1], end
        seconds = time.process_time() - start
        forces = np.empty((len(states), n - 1))
        for row, state in zip(forces, states):
            state = np.ascontiguousarray(state)
            lib.forces(state.ctypes.data_as(pointer), row.ctypes.data_as(pointer))
        return seconds, forces


def mujoco_run(case, step):
    """Speeds on the grid; slide joints, limited tendons (k, c), frictionloss, pulls set each step."""
    n = case["n"]
    bodies, tendons = [], []
    for i in range(n):
        bodies.append(
            f'<body><joint name="j{i}" type="slide" axis="1 0 0" frictionloss="{case["R"][i]}" '
            f'solreffriction="-1 -1000"/><inertial pos="0 0 0" mass="{case["m"][i]}" diaginertia="1 1 1"/></body>')
    for i in range(n - 1):
        s, k, c = case["s"][i], case["k"][i], case["c"][i]
        # Direct stiffness and damping are per unit of the pair's mass.
        mass = 1 / (1 / case["m"][i] + 1 / case["m"][i + 1])
        tendons.append(
            f'<fixed limited="true" range="{-s / 2} {s / 2}" solreflimit="{-k / mass} {-c / mass}" '
            f'solimplimit="0.99 0.99 0.001"><joint joint="j{i}" coef="1"/><joint joint="j{i + 1}" coef="-1"/></fixed>')
    xml = (f'<mujoco><option timestep="{step}" gravity="0 0 0" integrator="implicitfast" jacobian="sparse" '
           f'solver="Newton"/><worldbody>{"".join(bodies)}</worldbody><tendon>{"".join(tendons)}</tendon></mujoco>')
    model = mujoco.MjModel.from_xml_string(xml)
    data = mujoco.MjData(model)
    weight = -np.array(case["W"]) * case["g"]
    rows = [np.array(own) for own in case["sch"]]
    total, every = round(case["T"] / step), round(GRID / step)
    speeds = np.empty((total // every + 1, n))
    speeds[0] = 0.0
    start = time.process_time()
    data.qfrc_applied[:] = weight
    for count in range(total):
        t = count * step
        for place, slope, own in zip(case["li"], case["K"], rows):
            r = int(np.searchsorted(own[:, 0], t, side="right")) - 1
            asked = own[r, 1]
            if r + 1 < len(own):
                asked += (own[r + 1, 1] - asked) * (t - own[r, 0]) / (own[r + 1, 0] - own[r, 0])
            pull = max(-own[r, 2], min(own[r, 2], slope * (asked - data.qvel[place])))
            data.qfrc_applied[place] = weight[place] + pull
            model.dof_frictionloss[place] = case["R"][place] + own[r, 3]
        mujoco.mj_step(model, data)
        if (count + 1) % every == 0:
            speeds[(count + 1) // every] = data.qvel
    return time.process_time() - start, speeds


def row(*cells):
    print("| " + " | ".join(cells) + " |")


def main():
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(folder)
        print(f"{datetime.date.today()}, {platform.machine()}, Python {platform.python_version()}, NumPy {np.__version__}, "
              f"SciPy {scipy.__version__}, MuJoCo {mujoco.__version__}, Debian libsundials-dev; seconds of one processor\n")
        _, steps, bench.truth = bench.cvode(1e-11, 1e-13, 1)
        _, _, check = bench.cvode(1e-10, 1e-12, 1)
        print(f"truth: CVODE at 1e-11, {steps} steps; against its own 1e-10: rms {100 * bench.error(check):.4f} %; "
              f"peaks {bench.truth.max():+.4f} and {bench.truth.min():+.4f} N on the grid of 10 ms\n")
        if len(sys.argv) > 1:
            np.savetxt(sys.argv[1], np.round(bench.truth[::10] * 1e3, 2), fmt="%.6g", delimiter=",")
        row("engine", "tolerance", "seconds", "rms error %", "steps")
        row("---", "---", "---", "---", "---")
        ours = []
        for tolerance in (1e-5, 3e-6, 1e-6, 7e-7, 5e-7, 3e-7, 1.5e-7, 1e-7, 5e-8, 2e-8, 1e-8):
            told, forces = bench.ours(tolerance)
            ours.append((told["seconds"], bench.error(forces)))
            row("ours", f"{tolerance:g} m", f"{told['seconds']:.4f}", f"{100 * ours[-1][1]:.3f}", str(told["steps"]))
        rivals = []

        def rival(name, tolerance, seconds, error, steps=""):
            rivals.append((f"{name} {tolerance:g}", seconds, error))
            row(name, f"{tolerance:g}", f"{seconds:.4f}", f"{100 * error:.3f}", str(steps))

        for tolerance in (1e-5, 1e-6, 3e-7, 1e-7, 1e-8):
            seconds, steps, forces = bench.cvode(1e-9, tolerance)
            rival("CVODE band", tolerance, seconds, bench.error(forces), steps)
        for method, tolerances in (("LSODA", (1e-6, 1e-7)), ("BDF", (1e-6, 1e-7)), ("Radau", (1e-5, 1e-6))):
            for tolerance in tolerances:
                seconds, forces = bench.scipy(method, tolerance)
                rival("SciPy " + method, tolerance, seconds, bench.error(forces))
        print("\nours against each at equal or smaller error:\n")
        row("engine", "its error %", "ours, its error %", "times as fast")
        row("---", "---", "---", "---")
        for name, seconds, error in rivals:
            good = [own for own in ours if own[1] <= error]
            if good:
                best = min(good)
                row(name, f"{100 * error:.3f}", f"{100 * best[1]:.3f}", f"{seconds / best[0]:.1f}")
        for step in (1e-3, 5e-4):
            seconds, speeds = mujoco_run(bench.case, step)
            finite = np.isfinite(speeds).all()
            row(f"MuJoCo {1e3 * step:g} ms", "law differs", f"{100 * ours[4][1]:.3f}",
                f"{seconds / ours[4][0]:.1f} ({seconds:.3f} s{'' if finite else ', diverged'})")
        print("\ncost over length, tolerance 5e-7 m:\n")
        row("vehicles", "seconds", "iterations", "ns a vehicle and iteration")
        row("---", "---", "---", "---")
        for cars in (17, 37, 77, 157, 317):
            told, _ = bench.ours(5e-7, longer(bench.case, cars), 1.0)
            cost = told["seconds"] / told["iterations"] / told["vehicles"]
            row(str(told["vehicles"]), f"{told['seconds']:.4f}", str(told["iterations"]), f"{1e9 * cost:.1f}")
        many = os.path.join(ROOT, "target/release/examples/motion_many")
        if os.path.exists(many):
            print("\nmany copies:\n")
            print(subprocess.run([many, VECTORS], check=True, capture_output=True, text=True).stdout)


if __name__ == "__main__":
    main()
