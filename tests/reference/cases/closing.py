"""Fillets of leaning rods by counting: a point is metal when no ball of the radius that keeps off plate and rod covers it.

The balls that matter are those straight over the point on the plate's side, those straight off it on the rod's side, and
those that touch both, whose centres lie on an ellipse, here a dense row of points (scipy's cKDTree finds the nearest). At
small angles that ellipse turns more tightly than the ball and the fillet's two sides end in a crease; the points are counted
all the same, without any knowledge of it. Each cell of a grid holds one point at random, since the fillet's thin rims would
fall between the points of an even grid; two draws tell the count's own error.
"""

import json

import numpy as np
from checks import call
from scipy.spatial import cKDTree

STEP = 0.16  # mm, of the grid
SHARE = 2e-3  # of the volume added, that both may differ by
ROW = 40_000  # points of the ellipse
TOP = 10.0  # mm, the plate's upper face
ROD = 3.0  # mm, the rod's radius
FOOT = np.array([-10.0, 0.0, 5.0])  # a point of its axis


def add(run):
    folder = run.folder / "closing"
    maker = run.program.parent / "examples" / "fillet_cases"
    run.checks.run("closing: cases written", lambda: ([], call([str(maker), str(folder)])[1]))
    for path in run.mine(sorted(folder.glob("rod_that_leans*.sharp.json"))):
        run.checks.run(f"closing: {path.name.split('.')[0].replace('_', ' ')}", compare, path)


def compare(path):
    facts = json.loads(path.read_text("utf-8"))
    angle, radius = float(facts["name"].split()[-1]), facts["radius_mm"]
    draws = [count(np.radians(angle), radius, np.random.default_rng(seed)) for seed in range(2)]
    added, counted, error = facts["added_mm3"], np.mean(draws), abs(draws[1] - draws[0])
    lines = [f"{angle:.0f} degrees: {added:.3f} mm3, counted {counted:.3f} mm3, two draws differ by {error:.3f} mm3"]
    faults = [] if abs(added - counted) < SHARE * counted else [f"{added} mm3 added, {counted} mm3 counted"]
    return lines, faults + [f"joint not whole: {j}" for j in facts["joints"] if j["trouble"]]


def count(angle, radius, random):
    """Volume of the points above the plate and off the rod that no ball covers, mm3. The half with y > 0, twice."""
    axis = np.array([np.cos(angle), 0.0, np.sin(angle)])
    row = ellipse(axis, radius)
    tree = cKDTree(row)
    low, high = row.min(axis=0) - radius, row.max(axis=0) + radius
    xs, ys = np.arange(low[0], high[0], STEP), np.arange(0.0, high[1], STEP)
    total = 0
    for z in np.arange(TOP, high[2], STEP):
        points = np.stack(np.meshgrid(xs, ys, [z], indexing="ij"), axis=-1).reshape(-1, 3)
        points += STEP * random.random(points.shape)
        points = points[off_axis(points, axis) > ROD]
        over = points * [1, 1, 0] + [0, 0, TOP + radius]
        points = points[~((off_axis(over, axis) >= ROD + radius) & (points[:, 2] <= TOP + 2.0 * radius))]
        along = (points - FOOT) @ axis
        out = points - FOOT - along[:, None] * axis
        beside = FOOT + along[:, None] * axis + out / np.linalg.norm(out, axis=1)[:, None] * (ROD + radius)
        points = points[~((beside[:, 2] >= TOP + radius) & (np.linalg.norm(points - beside, axis=1) <= radius))]
        free = (points[:, 2] >= TOP + radius) & (off_axis(points, axis) >= ROD + radius)
        points = points[~free]
        if len(points):
            total += int((tree.query(points)[0] > radius).sum())
    return 2.0 * total * STEP**3


def off_axis(points, axis):
    return np.linalg.norm(np.cross(points - FOOT, axis), axis=1)


def ellipse(axis, radius):
    """Centres of the balls that touch both: the rod's cylinder, as much wider, cut by a plane as much higher."""
    across, up = np.array([0.0, 1.0, 0.0]), np.array([-axis[2], 0.0, axis[0]])
    turn = np.linspace(0.0, 2.0 * np.pi, ROW, endpoint=False)[:, None]
    ring = FOOT + (ROD + radius) * (np.cos(turn) * across + np.sin(turn) * up)
    return ring + ((TOP + radius - ring[:, 2]) / axis[2])[:, None] * axis
