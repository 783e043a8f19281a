"""Fits and driveline that `check` reports, worked out by other means, on the demonstration and changed copies of it.

Press and heat: two rings as one system of equations for their displacements, expansion included. Running clearance
when hot: from the same rings. Travel: the joints' distance solved in space. Joints: both Cardan joints turned step by
step in space, differences taken. Line-up: convolution. Limits of size: ISO 286-1's table as a textbook reprints it.
"""

import json
import subprocess
import tempfile
from pathlib import Path

import numpy as np
from scipy.optimize import brentq

PARAMS = Path(__file__).resolve().parents[3] / "params"
ALUMINIUM = (72_400.0, 0.33, 21.4e-6)
BUSHINGS = {"bronze": (100_000.0, 0.34, 18.0e-6), "bronze_on_steel": (205_000.0, 0.29, 11.7e-6)}
STEEL = 11.7e-6
RISE = 90.0  # K, 20 to 110 degrees Celsius
FALL = -60.0  # K, 20 to -40 degrees Celsius
SMOOTHED = 0.4 * (0.006 + 0.003)  # mm, DIN 7190-1:2017
WIDTH, SEAT_END = 227.0125, 326.136  # of the gearbox face, and the rear of the bushing's seat
# Of demo_mm.yaml, mm.
BORE, SEAT, BARREL, BUMP, DROOP = 39.6875, 49.2125, 58.7375, 69.85, 82.55
SIZES = {"u6": (0.070, 0.086), "s6": (0.043, 0.059), "r6": (0.034, 0.050), "H7": (0.0, 0.025), "H8": (0.0, 0.039), "f7": (-0.050, -0.025)}
# Its tolerances of line-up: seat, gearbox's bore, bushing's wall, both faces, mm.
SEAT_OFF, GEARBOX_OFF, WALL_OFF, FACE_SQUARENESS, GEARBOX_SQUARENESS = 0.02, 0.03, 0.02, 0.015, 0.02
SOLVED = 1e-9  # mm
SMALL_ANGLES = 0.02  # relative: the charts' sums are those of small angles

CASES = {
    "as it is": {},
    "backed by steel": {"material: bronze": "material: bronze_on_steel", "seat_fit: H7/u6": "seat_fit: H7/s6"},
    "not bored": {"running_fit: H8/f7": "running_fit: H8/f7\n    bored_in_place: false"},
    "out of line": {"pinion_up: 0.3 deg": "pinion_up: 4.9 deg\n    pinion_side: -1 deg\n    rear_joint_side: 70"},
    "yokes crossed": {"pinion_up: 0.3 deg": "pinion_up: -1 deg\n    yokes_in_line: false"},
    "straight up": {"    arm: 622.3\n": ""},
}


def add(run):
    for name, changes in CASES.items():
        found = []
        run.checks.run(f"fits {name}: told", write, run.program, changes, found)
        for subject, check in (("bushing", bushing), ("travel", travel), ("joints", joints), ("line-up", line_up)):
            if found:
                run.checks.run(f"fits {name}: {subject}", check, found[0], changes)


def write(program, changes, found):
    text = (PARAMS / "demo_mm.yaml").read_text()
    for old, new in changes.items():
        if text.count(old) != 1:
            return [], [f"`{old}` stands {text.count(old)} times in the demonstration"]
        text = text.replace(old, new)
    with tempfile.TemporaryDirectory() as folder:
        params, out = Path(folder) / "case.yaml", Path(folder) / "case.json"
        params.write_text(text)
        call = [str(program), "check", str(params), "--form", "finished", "--json", str(out)]
        done = subprocess.run(call, capture_output=True, text=True, timeout=120)
        if not out.exists():
            return [], [done.stderr]
        found.append(json.loads(out.read_text()))
    return [], []


def figure(found, subject, what):
    hits = [f for f in found["sums"]["figures"] if (f["subject"], f["what"]) == (subject, what)]
    return hits[0]["least"], hits[0]["greatest"]


def value(found, check, part):
    return next(c["value"] for c in found["checked"] if c["check"] == check and part in c["what"])


def off(what, told, wanted, within):
    return [] if abs(told - wanted) <= within else [f"{what} {told}, expected {wanted} within {within:.3g}"]


def rings(metal, interference, rise):
    """Pressure between two rings, and growth of the inner one's bore on the diameter; u = a r + b / r in either."""
    inner, seat, outer = BORE / 2.0, SEAT / 2.0, BARREL / 2.0
    (e1, n1, x1), (e2, n2, x2) = metal, ALUMINIUM

    def radial(e, n, r):
        return [e / (1.0 - n), -e / (1.0 + n) / r**2]

    def heated(e, n, x):
        return e * x * rise / (1.0 - n)

    zero = [0.0, 0.0]
    rows = [
        radial(e1, n1, inner) + zero,
        zero + radial(e2, n2, outer),
        radial(e1, n1, seat) + [-c for c in radial(e2, n2, seat)],
        [-seat, -1.0 / seat, seat, 1.0 / seat],
    ]
    right = [heated(e1, n1, x1), heated(e2, n2, x2), heated(e1, n1, x1) - heated(e2, n2, x2), interference / 2.0]
    a1, b1, a2, b2 = np.linalg.solve(np.array(rows), np.array(right))
    pressure = -(np.dot(radial(e2, n2, seat), [a2, b2]) - heated(e2, n2, x2))
    if pressure < 0.0:  # loose: both grow alone
        return 0.0, 2.0 * inner * x1 * rise
    return pressure, 2.0 * (a1 * inner + b1 / inner)


def bushing(found, changes):
    metal = BUSHINGS["bronze_on_steel" if "material: bronze" in changes else "bronze"]
    press = SIZES["s6" if "seat_fit: H7/u6" in changes else "u6"]
    low, high = press[0] - SIZES["H7"][1], press[1] - SIZES["H7"][0]
    reasons = []
    for told, wanted in zip(figure(found, "bushing", "interference"), (low, high), strict=True):
        reasons += off("interference", told, wanted, SOLVED)
    cold = [rings(metal, max(i, 0.0), 0.0) for i in (low, high)]
    hot = [rings(metal, i, RISE) for i in (low, high)]
    for told, (pressure, _) in zip(figure(found, "bushing", "pressure in the seat"), cold, strict=True):
        reasons += off("pressure", told, pressure, 1e-6)
    for told, (_, growth) in zip(figure(found, "bushing", "closing of the bore"), cold, strict=True):
        reasons += off("closing", told, -growth, SOLVED)
    clearance = [SIZES["H8"][0] - SIZES["f7"][1], SIZES["H8"][1] - SIZES["f7"][0]]
    if any("bored_in_place" in new for new in changes.values()):
        clearance = [clearance[0] + cold[1][1], clearance[1] + cold[0][1]]
    for told, wanted in zip(figure(found, "yoke", "running clearance, cold"), clearance, strict=True):
        reasons += off("clearance", told, wanted, SOLVED)
    # From cold to hot the bore grows by what the rings say, the barrel by itself.
    grown = sorted(h[1] - c[1] - BORE * STEEL * RISE for c, h in zip(cold, hot, strict=True))
    for told, wanted, more in zip(figure(found, "yoke", "running clearance, hot"), clearance, grown, strict=True):
        reasons += off("clearance when hot", told, wanted + more, SOLVED)
    froze = [rings(metal, i, FALL) for i in (low, high)]
    shrunk = sorted(h[1] - c[1] - BORE * STEEL * FALL for c, h in zip(cold, froze, strict=True))
    for part, wanted in zip(("least", "greatest"), clearance + np.array(shrunk), strict=True):
        told = value(found, "running clearance of the yoke when cold", part)
        reasons += off("clearance when cold", told, wanted, SOLVED)
    if not changes:
        loose = brentq(lambda rise: low - SMOOTHED - (ALUMINIUM[2] - metal[2]) * SEAT * rise, 0.0, 1000.0)
        reasons += off("tight up to", value(found, "bushing tight up to", ""), 20.0 + loose, 1e-6)
    return [f"hot pressure {hot[0][0]:.4f} to {hot[1][0]:.4f} MPa"], reasons


def geometry(changes):
    text = " ".join(changes.values())
    side = 70.0 if "rear_joint_side" in text else 0.0
    rear = np.array([1714.5 - 265.1125 - 111.125 - 55.5625, side, -42.8625])
    up = next((u for u in (4.9, -1.0) if f"pinion_up: {u:g} deg" in text), 0.3)
    return rear, np.radians(up), np.radians(-1.0 if "pinion_side" in text else 0.0)


def travel(found, changes):
    rear, *_ = geometry(changes)
    length, arm = np.linalg.norm(rear), None if "    arm: 622.3\n" in changes else 622.3

    def moved(lift):
        back = 0.0 if arm is None else arm * (np.cos(np.arcsin(lift / arm)) - 1.0)
        joint = rear + [back, 0.0, lift]
        return brentq(lambda x: np.linalg.norm(joint - [x, 0.0, 0.0]) - length, -500.0, 500.0, xtol=1e-13)

    scan = [moved(lift) for lift in np.linspace(-DROOP, BUMP, 4001)]
    reasons = off("length", figure(found, "propeller shaft", "length between joints")[0], length, SOLVED)
    for told, wanted in zip(figure(found, "yoke", "travel"), (min(scan), max(scan)), strict=True):
        reasons += off("travel", told, wanted, 1e-5)
    for what, lift in (("at full bump", BUMP), ("at full droop", -DROOP)):
        joint = rear + [0.0 if arm is None else arm * (np.cos(np.arcsin(lift / arm)) - 1.0), 0.0, lift]
        shaft = joint - [moved(lift), 0.0, 0.0]
        angle = np.degrees(np.arctan2(np.hypot(shaft[1], shaft[2]), shaft[0]))
        reasons += off(what, figure(found, "propeller shaft", f"front joint angle {what}")[0], angle, 1e-7)
        reasons += off(what, value(found, "bolt heads off the seal", what), 36.5125 - 17.4625 + moved(lift), 1e-8)
    return [f"{min(scan):.4f} to {max(scan):.4f} mm"], reasons


def follow(axis_in, axis_out, pins):
    """The driven fork's direction for each of the driving fork's: square to it and to the driven axis."""
    out = np.cross(axis_out, pins)
    return out / np.linalg.norm(out, axis=1)[:, None]


def turned(axis, pins):
    """Angle of pins about an axis, along the rows."""
    a = pins[0]
    return np.unwrap(np.arctan2(np.cross(a, pins) @ axis, pins @ a))


def joints(found, changes):
    rear, up, side = geometry(changes)
    x, shaft = np.array([1.0, 0.0, 0.0]), rear / np.linalg.norm(rear)
    pinion = np.array([1.0, -np.tan(side), -np.tan(up)])
    pinion /= np.linalg.norm(pinion)
    angles = [np.degrees(np.arccos(a @ b)) for a, b in ((x, shaft), (shaft, pinion))]
    reasons = []
    for what, wanted in zip(("front joint angle", "rear joint angle"), angles, strict=True):
        reasons += off(what, figure(found, "propeller shaft", what)[0], wanted, 1e-7)
    turn = np.linspace(0.0, 2.0 * np.pi, 20001)
    first = np.stack([np.zeros_like(turn), np.cos(turn), np.sin(turn)], axis=1)
    second = follow(x, shaft, first)
    # Yokes in line: the tube's rear fork stands as its front one; crossed: a quarter turn on.
    third = np.cross(shaft, second) if any("yokes_in_line: false" in n for n in changes.values()) else second
    fourth = follow(shaft, pinion, third)
    rpm = figure(found, "propeller shaft", "highest speed")[0]
    omega = rpm * np.pi / 30.0
    reasons += off("highest speed", rpm, 105.0 / 60.0 * 3.42 * 820.0, 1e-6)
    for what, axis, pins in (
        ("unevenness of the propeller shaft", shaft, second),
        ("unevenness at the axle", pinion, fourth),
    ):
        angle = turned(axis, pins)
        bent = np.gradient(np.gradient(angle - turn, turn), turn)[5:-5]
        wanted = omega**2 * np.abs(bent).max()
        reasons += off(what, value(found, what, ""), wanted, SMALL_ANGLES * wanted)
    return [f"{angles[0]:.4f} and {angles[1]:.4f} degrees"], reasons


def line_up(found, changes):
    """Three coaxialities and two tilted faces bell-shaped, one float even: the sum's worst case, deviation, and share beyond
    the limit."""
    float_ = 0.040 + 0.025  # H7/h6 at 146 mm: the widths of both zones
    tilts = np.array([FACE_SQUARENESS, GEARBOX_SQUARENESS]) / WIDTH * SEAT_END
    bells = np.concatenate([np.array([SEAT_OFF, GEARBOX_OFF, WALL_OFF]) / 2.0, tilts])
    reasons = off("worst case", value(found, "line-up with the gearbox's shaft", "bushing, worst"), bells.sum() + float_ / 2.0, SOLVED)
    rss = np.sqrt((bells**2).sum() + (float_ / 2.0) ** 2)
    reasons += off("root sum of squares", value(found, "line-up with the gearbox's shaft", "bushing, root"), rss, SOLVED)
    deviation = np.sqrt((bells**2).sum() / 9.0 + (float_ / 2.0) ** 2 / 3.0)
    told = figure(found, "line-up", "bushing: three standard deviations")[0] / 3.0
    reasons += off("deviation", told, deviation, 4.5 * deviation / np.sqrt(2.0 * 100_000))
    return [f"three deviations {3.0 * deviation:.4f} mm"], reasons
