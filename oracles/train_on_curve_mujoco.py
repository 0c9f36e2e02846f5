"""A short train on a circular curve as rigid bodies, statically loaded, in MuJoCo.

Independent check of coupler angles, side forces of the trucks and the stringline tip force of
crates/train. MuJoCo knows nothing of our formulas: each car is a rigid body in space that stands on
four frictionless contacts, its bolsters are tied in plan to arms that turn about the centre of the
curve, rigid links join the pivots at coupler height, gravity pulls, the last car's trucks drag.

Run in a virtual environment outside the repository:
    python3 -m venv /tmp/v && /tmp/v/bin/pip install mujoco numpy
    /tmp/v/bin/python oracles/train_on_curve_mujoco.py crates/train/tests/kept/mujoco_curve.json

The contacts and ties of MuJoCo yield a little (a car leans by a fraction of a milliradian), which is
what the tolerances in the kept file allow for.

SI units. The kept file holds versions, inputs, results and how far the model was from rest.
"""

import json
import math
import sys

import mujoco
import numpy as np

G = 9.80665
RADIUS = 0.6
GAUGE = 0.0178
COUPLER_HEIGHT = 0.0099
CG_HEIGHT = 0.022
LINK = 0.016
WHEEL = 0.002
SHORT = {"a": 0.035, "p": 0.045, "weight": 0.8}
MIDDLE = {"a": 0.050, "p": 0.064, "weight": 1.112}
LONG = {"a": 0.095, "p": 0.125, "weight": 1.8}


def places(cars):
    """Angle of each car's middle about the centre of the curve, head first, clockwise behind."""
    at, out = 0.0, []
    for index, car in enumerate(cars):
        reach = math.hypot(math.sqrt(RADIUS**2 - car["a"] ** 2), car["p"])
        lead = math.asin(car["p"] / reach)
        if index:
            b_reach, b_lead = before
            between = math.acos((reach**2 + b_reach**2 - LINK**2) / (2 * reach * b_reach))
            at -= lead + b_lead + between
        out.append(at)
        before = (reach, lead)
    return out


def model_xml(cars):
    """The train on a left-hand curve about the origin."""
    bodies, ties = [], []
    angles = places(cars)
    pivots = []
    for index, (car, angle) in enumerate(zip(cars, angles)):
        d = math.sqrt(RADIUS**2 - car["a"] ** 2)
        radial = np.array([math.cos(angle), math.sin(angle)])
        forward = np.array([-math.sin(angle), math.cos(angle)])
        centre = d * radial
        yaw = math.degrees(angle) + 90.0
        mass = car["weight"] / G
        feet = "".join(
            f'<geom name="foot{index}_{x}{y}" type="sphere" size="{WHEEL}" mass="0" '
            f'pos="{sx * car["a"]} {sy * GAUGE / 2} {WHEEL}" condim="1" contype="1" conaffinity="2"/>'
            for x, sx in (("f", 1), ("r", -1))
            for y, sy in (("l", 1), ("r", -1))
        )
        sides = (2 * car["p"], 0.03, 0.03)
        inertia = [mass / 12 * (sides[j] ** 2 + sides[k] ** 2) for j, k in ((1, 2), (0, 2), (0, 1))]
        bodies.append(
            f'<body name="car{index}" pos="{centre[0]} {centre[1]} 0" euler="0 0 {yaw}">'
            f'<joint type="free" damping="0.002"/>'
            f'<inertial pos="0 0 {CG_HEIGHT}" mass="{mass}" '
            f'diaginertia="{inertia[0]} {inertia[1]} {inertia[2]}"/>{feet}</body>'
        )
        for end, sign in (("f", 1), ("r", -1)):
            spot = centre + sign * car["a"] * forward
            held = index == 0 and end == "f"
            turn = "" if held else f'<joint name="turn{index}{end}" type="hinge" axis="0 0 1" damping="0.05"/>'
            bodies.append(
                f'<body name="arm{index}{end}">{turn}'
                f'<inertial pos="{spot[0]} {spot[1]} 0" mass="1e-3" diaginertia="1e-6 1e-6 1e-6"/>'
                f'<body name="tip{index}{end}" pos="{spot[0]} {spot[1]} 0">'
                f'<joint type="slide" axis="0 0 1" damping="0.01"/>'
                f'<inertial pos="0 0 0" mass="1e-5" diaginertia="1e-9 1e-9 1e-9"/></body></body>'
            )
            ties.append(
                f'<connect name="bolster{index}{end}" body1="car{index}" body2="tip{index}{end}" '
                f'anchor="{sign * car["a"]} 0 0"/>'
            )
        pivots.append((centre + car["p"] * forward, centre - car["p"] * forward))
    for index in range(1, len(cars)):
        ahead, behind = pivots[index - 1][1], pivots[index][0]
        middle = (ahead + behind) / 2
        yaw = math.degrees(math.atan2(*(ahead - behind)[::-1]))
        bodies.append(
            f'<body name="link{index}" pos="{middle[0]} {middle[1]} {COUPLER_HEIGHT}" euler="0 0 {yaw}">'
            f'<joint type="free" damping="1e-5"/>'
            f'<inertial pos="0 0 0" mass="1e-5" diaginertia="1e-9 1e-9 1e-9"/></body>'
        )
        ties.append(
            f'<connect name="rear{index}" body1="link{index}" body2="car{index - 1}" anchor="{LINK / 2} 0 0"/>'
            f'<connect name="front{index}" body1="link{index}" body2="car{index}" anchor="{-LINK / 2} 0 0"/>'
        )
    return f"""<mujoco><compiler angle="degree"/>
<option timestep="0.0005" gravity="0 0 {-G}" integrator="implicitfast" solver="Newton"
 iterations="100" tolerance="1e-14"/>
<default><equality solref="0.002 1" solimp="0.9999 0.9999 0.001"/>
<geom solref="0.002 1" solimp="0.9999 0.9999 0.001"/></default>
<worldbody><geom name="floor" type="plane" size="2 2 0.1" contype="2" conaffinity="1" condim="1"/>
{"".join(bodies)}</worldbody><equality>{"".join(ties)}</equality></mujoco>"""


class Train:
    """A train that settles under a drag on its last car."""

    def __init__(self, cars):
        self.cars = cars
        self.model = mujoco.MjModel.from_xml_string(model_xml(cars))
        self.data = mujoco.MjData(self.model)
        self.drag = 0.0

    def run(self, seconds):
        last = len(self.cars) - 1
        dofs = [self.model.joint(f"turn{last}{end}").dofadr[0] for end in "fr"]
        for _ in range(round(seconds / self.model.opt.timestep)):
            self.data.qfrc_applied[:] = 0
            for dof in dofs:
                self.data.qfrc_applied[dof] = -0.5 * self.drag * RADIUS
            mujoco.mj_step(self.model, self.data)

    def tie(self, name):
        """World force of a tie on its first body."""
        rows = (self.data.efc_type == mujoco.mjtConstraint.mjCNSTR_EQUALITY) & (
            self.data.efc_id == self.model.equality(name).id
        )
        return self.data.efc_force[rows]

    def axis(self, name):
        return self.data.body(name).xmat.reshape(3, 3)[:2, 0]

    def side(self, index, end):
        """Force of the body on the truck towards the centre of the curve."""
        car = self.data.body(f"car{index}")
        sign = 1 if end == "f" else -1
        spot = car.xpos[:2] + sign * self.cars[index]["a"] * self.axis(f"car{index}")
        inward = -spot / np.linalg.norm(spot)
        return -float(self.tie(f"bolster{index}{end}")[:2] @ inward)

    def coupler(self, index, end):
        """Swing of a coupler, positive when a pull drags that end to the left (inward)."""
        link = self.axis(f"link{index + 1}" if end == "r" else f"link{index}")
        body = self.axis(f"car{index}")
        cross = body[0] * link[1] - body[1] * link[0]
        angle = math.atan2(cross, float(body @ link))
        return -angle if end == "r" else angle

    def force(self, index):
        """Pull in the link in front of a car."""
        return abs(float(self.tie(f"front{index}")[:2] @ self.axis(f"link{index}")))

    def outer_load(self, index):
        """Load on the outer (right-hand) contacts of a car."""
        total = 0.0
        feet = {self.model.geom(f"foot{index}_{end}r").id for end in "fr"}
        for k in range(self.data.ncon):
            if feet & set(self.data.contact[k].geom):
                force = np.zeros(6)
                mujoco.mj_contactForce(self.model, self.data, k, force)
                total += force[0]
        return total


def static_case(cars, drag):
    train = Train(cars)
    train.drag = drag
    train.run(6.0)
    count = len(cars)
    return {
        "cars": cars,
        "drag_n": drag,
        "coupler_rad": [
            [train.coupler(i, "f") if i else 0.0, train.coupler(i, "r") if i + 1 < count else 0.0]
            for i in range(count)
        ],
        "side_n": [[train.side(i, "f"), train.side(i, "r")] for i in range(count)],
        "front_force_n": [0.0] + [train.force(i) for i in range(1, count)],
        "rest_speed_max": float(np.abs(train.data.qvel).max()),
    }


def tip_case():
    """Raises the drag until the outer contacts of the middle car carry nothing."""
    # Ballast keeps the others down, so that the middle one tips alone.
    heavy = dict(MIDDLE, weight=11.12)
    train = Train([heavy, heavy, MIDDLE, heavy, heavy])
    train.drag = 3.0
    train.run(3.0)
    loads = []
    for drag in (3.0, 3.3, 3.6, 3.9):
        train.drag = drag
        train.run(3.0)
        loads.append((train.force(2), train.force(3), train.outer_load(2)))
    mean = np.array([0.5 * (a + b) for a, b, _ in loads])
    slope, level = np.polyfit(mean, [load for _, _, load in loads], 1)
    return {
        "force_n": mean.tolist(),
        "outer_load_n": [load for _, _, load in loads],
        "tip_force_n": float(-level / slope),
        "method": "outer load against pull, straight line through four loads, zero crossing",
    }


def main(path):
    result = {
        "what": "static train on a circle as rigid bodies; see oracles/train_on_curve_mujoco.py",
        "mujoco": mujoco.__version__,
        "numpy": np.__version__,
        "radius_m": RADIUS,
        "link_m": LINK,
        "contact_spacing_m": GAUGE,
        "coupler_height_m": COUPLER_HEIGHT,
        "cg_height_m": CG_HEIGHT,
        "tolerance": {"coupler_rad": 2.5e-3, "side_n": 3e-3, "force_n": 1e-3, "tip_force_relative": 0.005},
        "equal": static_case([MIDDLE] * 5, 2.0),
        "unlike": static_case([SHORT, SHORT, LONG, SHORT, SHORT], 0.8),
        "tip": tip_case(),
    }
    with open(path, "w", encoding="utf-8") as out:
        json.dump(result, out, indent=1)
        out.write("\n")
    print(json.dumps({k: result[k] for k in ("equal", "unlike", "tip")}, indent=1))


if __name__ == "__main__":
    main(sys.argv[1])
