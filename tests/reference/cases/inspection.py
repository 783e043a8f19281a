"""What `inspect judge` finds on the invented first article, worked out by other means from the same points.

Least squares by scipy, pins and rings by minimising the greatest (or the least) distance with scipy's SLSQP, the datum frame
built anew from its definition: tangent plane, ring square to it, first bolt hole.
"""

import csv
import json
import subprocess
import tempfile
from collections import defaultdict
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares, minimize

ROOT = Path(__file__).resolve().parents[3]
POINTS, PARAMS = ROOT / "examples" / "first_article_points.csv", ROOT / "params" / "demo_mm.yaml"
SAME = 2e-4  # mm: SLSQP stops within a few hundred-thousandths
FREE = 1e-8  # mm: pins whose radii differ by no more are alike
HOLE_1 = np.radians(60.0)  # of the first bolt hole: clock 30, from y towards z


def add(run):
    found = []
    run.checks.run("inspection: judged", judged, run.program, found)
    for what in ("diameters", "seat and counterbore", "bolt holes"):
        run.checks.run(f"inspection: {what}", compared, found, what)


def judged(program, found):
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "judged.json"
        call = [str(program), "inspect", "judge", str(PARAMS), str(POINTS), "--json", str(out)]
        done = subprocess.run(call, capture_output=True, text=True)
        if done.returncode != 1 or not out.exists():
            return [], [f"exit code {done.returncode}: {done.stderr[:400]}"]
        items = json.loads(out.read_text())["articles"][0]["characteristics"]
    found.append({(i["what"], i["characteristic"]): i for i in items})
    return [f"{len(items)} characteristics"], []


def read():
    points = defaultdict(list)
    with POINTS.open() as file:
        for row in csv.DictReader(file):
            points[row["element"]].append([float(row[f"measured_{k}_mm"]) for k in "xyz"])
    return {name: np.array(all_) for name, all_ in points.items()}


def unit(v):
    return v / np.linalg.norm(v)


def radii(points, foot, direction):
    off = points - foot
    return np.linalg.norm(off - np.outer(off @ direction, direction), axis=1)


def axis(points, foot, direction):
    """The axis by least squares: foot, direction, radius."""
    e1 = unit(np.cross(direction, [0.3, 0.5, 0.81]))
    e2 = np.cross(direction, e1)
    middle = foot + direction * ((points.mean(axis=0) - foot) @ direction)

    def placed(u):
        return middle + u[0] * e1 + u[1] * e2, unit(direction + u[2] * e1 + u[3] * e2)

    start = [0, 0, 0, 0, radii(points, middle, direction).mean()]
    solved = least_squares(lambda u: radii(points, *placed(u)) - u[4], start, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    return (*placed(solved.x), solved.x[4])


def touching(points, foot, direction, pin, tilts=True):
    """The largest pin or the smallest ring: foot, direction, radius."""
    e1 = unit(np.cross(direction, [0.3, 0.5, 0.81]))
    e2 = np.cross(direction, e1)
    middle = foot + direction * ((points.mean(axis=0) - foot) @ direction)
    sense = 1.0 if pin else -1.0

    def placed(u):
        tilt = u[2:4] if tilts else (0, 0)
        return middle + u[0] * e1 + u[1] * e2, unit(direction + (tilt[0] * e1 + tilt[1] * e2) / 50)

    first = radii(points, middle, direction)
    start = np.array([0, 0, 0, 0, first.min() if pin else first.max()])
    bounds = {"type": "ineq", "fun": lambda u: sense * (radii(points, *placed(u)) - u[4]) * 100}
    solved = minimize(lambda u: -sense * u[4] * 100, start, constraints=[bounds], method="SLSQP", options={"ftol": 1e-13, "maxiter": 500})
    return (*placed(solved.x), solved.x[4])


def rocking(points, pin, own, stations):
    """The least and the greatest coaxiality about all pins that are as large as the largest one: where a ring of contacts alone holds it, a
    pin may rock, and any place that it then takes is right."""
    foot, direction, radius = pin
    e1 = unit(np.cross(direction, [0.3, 0.5, 0.81]))
    e2 = np.cross(direction, e1)

    def placed(u):
        return foot + (u[0] * e1 + u[1] * e2) / 100, unit(direction + (u[2] * e1 + u[3] * e2) / 5000)

    def offs(u):
        there = placed(u)
        return np.array([np.linalg.norm(at(own[0], own[1], s) - at(there[0], there[1], s)) for s in stations]) * 100

    fits = {"type": "ineq", "fun": lambda u: (radii(points, *placed(u)) - radius + FREE) * 100}
    options = {"ftol": 1e-13, "maxiter": 500}
    start = np.zeros(4)
    far = [minimize(lambda u: -offs(u)[k], start, constraints=[fits], method="SLSQP", options=options).x for k in range(len(stations))]
    below = {"type": "ineq", "fun": lambda u: u[4] - offs(u[:4])}
    held = {"type": "ineq", "fun": lambda u: fits["fun"](u[:4])}
    first = np.append(start, offs(start).max())
    near = minimize(lambda u: u[4], first, constraints=[below, held], method="SLSQP", options=options).x[:4]
    all_ = [2 * offs(u).max() / 100 for u in (start, near, *far) if fits["fun"](u).min() > -1e-4]
    return min(all_), max(all_)


def frame(points):
    """Part axes from A, B and C: origin and rows x, y, z."""
    face = points["gearbox_face/face"]
    middle = face.mean(axis=0)
    normal = np.linalg.svd(face - middle)[2][2]
    everything = np.vstack(list(points.values())).mean(axis=0)
    outward = normal if (everything - middle) @ normal < 0 else -normal
    e1 = unit(np.cross(outward, [0.3, 0.5, 0.81]))
    e2 = np.cross(outward, e1)
    # The narrowest zone: greatest less least distance, by tilts; a linear problem, solved as one.
    flat = np.column_stack([(face - middle) @ e1, (face - middle) @ e2, (face - middle) @ outward])
    from scipy.optimize import linprog

    n = len(flat)
    rows = np.vstack([np.column_stack([flat[:, :2], -np.ones(n), np.zeros(n)]), np.column_stack([-flat[:, :2], np.zeros(n), np.ones(n)])])
    limits = np.concatenate([-flat[:, 2], flat[:, 2]])
    solved = linprog([0, 0, 1, -1], A_ub=rows, b_ub=limits, bounds=[(None, None)] * 4)
    outward = unit(outward + solved.x[0] * e1 + solved.x[1] * e2)
    x = -outward
    on_face = middle + outward * ((face - middle) @ outward).max()
    register = points["gearbox_face/register"]
    foot, _, _ = axis_start(register, x)
    foot, _, _ = touching(register, foot, x, pin=False, tilts=False)
    origin = foot + x * ((on_face - foot) @ x)
    hole = points["gearbox_face/bolt hole 1"]
    start, _, _ = axis_start(hole, x)
    centre, _, _ = touching(hole, start, x, pin=True, tilts=False)
    out = centre - origin
    out = unit(out - x * (out @ x))
    square = np.cross(x, out)
    y = out * np.cos(HOLE_1) - square * np.sin(HOLE_1)
    return origin, np.array([x, y, np.cross(x, y)])


def axis_start(points, direction):
    """A circle by the linear method, seen along a direction."""
    e1 = unit(np.cross(direction, [0.3, 0.5, 0.81]))
    e2 = np.cross(direction, e1)
    middle = points.mean(axis=0)
    q = np.column_stack([(points - middle) @ e1, (points - middle) @ e2])
    solved = np.linalg.lstsq(np.column_stack([2 * q, np.ones(len(q))]), (q**2).sum(axis=1), rcond=None)[0]
    return middle + solved[0] * e1 + solved[1] * e2, direction, None


def at(foot, direction, x):
    return foot + direction * ((x - foot[0]) / direction[0])


def compared(found, what):
    if not found:
        return [], ["nothing was judged"]
    items, points = found[0], read()
    origin, rows = frame(points)
    local = {name: (all_ - origin) @ rows.T for name, all_ in points.items()}
    x = np.array([1.0, 0, 0])
    seat, counterbore = local["tail/bushing seat"], local["tail/seal counterbore"]
    start = np.zeros(3)
    notes, faults = [], []

    def hold(key, wanted, end="greatest_found"):
        item = items[key]
        off = abs(item[end] - wanted)
        notes.append(f"{key[0]} {key[1]}: {item[end]:.4f}, here {wanted:.4f}")
        if off > SAME:
            faults.append(f"{key[0]} {key[1]}: {item[end]} for {wanted:.5f}")

    if what == "diameters":
        for name, hole in (("tail/bushing seat", True), ("tail/seal counterbore", True), ("tail/stop bore", True), ("gearbox_face/register", False)):
            foot, direction, _ = axis(local[name], start, x)
            key = (name.split("/")[1], "diameter")
            # The register is too short to tell its axis's direction: it stands square to datum A.
            free = "register" not in name
            if not free:
                foot, direction, _ = axis_start(local[name], x)
            hold(key, 2 * touching(local[name], foot, direction, True, free)[2], "least_found")
            hold(key, 2 * touching(local[name], foot, direction, False, free)[2], "greatest_found")
    elif what == "seat and counterbore":
        foot, direction, _ = axis(seat, start, x)
        off = [np.hypot(*at(foot, direction, s)[1:]) for s in (281.686, 326.136 - 1.778)]
        hold(("bushing seat", "position"), 2 * max(off))
        datum = touching(seat, foot, direction, pin=True)
        own = axis(counterbore, start, x)
        least, greatest = rocking(seat, datum, own, (326.136, 339.725 - 1.143))
        notes.append(f"coaxiality about every largest pin: {least:.4f} to {greatest:.4f}")
        key = ("seal counterbore", "coaxiality")
        hold(key, min(max(items[key]["greatest_found"], least), greatest))
    else:
        centres = []
        for n in range(6):
            clock = np.radians(90 - 30 - 60 * n)
            nominal = 0.5 * 185.7375 * np.array([0, np.cos(clock), np.sin(clock)])
            foot, direction, _ = axis(local[f"gearbox_face/bolt hole {n + 1}"], nominal, x)
            pin = touching(local[f"gearbox_face/bolt hole {n + 1}"], foot, direction, pin=True)[2]
            centres.append((nominal, foot, direction, max(0.0, 2 * pin - 11.0)))

        def worst(turn):
            c, s = np.cos(turn), np.sin(turn)
            turned = [(np.array([0, n[1] * c - n[2] * s, n[2] * c + n[1] * s]), f, d, b) for n, f, d, b in centres]
            return [2 * max(np.linalg.norm((at(f, d, e) - n)[1:]) for e in (0.0, 12.065)) - b for n, f, d, b in turned], [b for *_, b in turned]

        turns = np.linspace(-0.003, 0.003, 6001)
        best = min(turns, key=lambda t: max(worst(t)[0]))
        values, bonuses = worst(best)
        for n in range(6):
            name = f"F{n + 1}, gearbox face, bolt hole {n + 1}"
            hold((name, "position"), values[n] + bonuses[n])
    return notes, faults
