"""Fillets of leaning rods and bars by counting: a point is metal when no ball of the radius that keeps off plate and rod covers it.

The balls that matter are those straight over the point on the plate's side, those straight off it on the rod's side, and
those that touch both, whose centres lie on the bar's outline, as much wider, cut by a plane as much higher: here a dense row of
points (scipy's cKDTree finds the nearest). At small angles that line turns more tightly than the ball and the fillet's two sides
end in a crease, beside the narrow edge of a bar in a crease that forks; the points are counted all the same, without any
knowledge of it. A bar's section is a rectangle with round corners, a rod's has corners and nothing else. Each cell of a grid holds one point at random, since the fillet's thin rims would
fall between the points of an even grid; two draws tell the count's own error.
"""

import json

import numpy as np
from scipy.spatial import cKDTree

STEP = 0.16  # mm, of the grid
SHARE = 2e-3  # of the volume added, that both may differ by
ROW = 40_000  # points of the row
TOP = 10.0  # mm, the plate's upper face
FOOT = np.array([-10.0, 0.0, 5.0])  # a point of the axis
SECTIONS = {  # mm, half the straight sides across and in the plane in which it leans, and the corners' radius
    "rod": (np.array([0.0, 0.0]), 3.0),
    "bar": (np.array([0.2, 3.0]), 1.0),
}


def add(run):
    folder, reasons = run.example("fillet_cases")
    run.checks.add("closing: cases written", reasons)
    for path in run.mine(sorted(folder.glob("*_that_leans*.sharp.json"))):
        run.checks.run(f"closing: {path.name.split('.')[0].replace('_', ' ')}", compare, path)


def compare(path):
    facts = json.loads(path.read_text("utf-8"))
    angle, radius = float(facts["name"].split()[-1]), facts["radius_mm"]
    body = Leaning(np.radians(angle), *SECTIONS[facts["name"].split()[0]])
    draws = [count(body, radius, np.random.default_rng(seed)) for seed in range(2)]
    added, counted, error = facts["added_mm3"], np.mean(draws), abs(draws[1] - draws[0])
    lines = [f"{angle:.0f} degrees: {added:.3f} mm3, counted {counted:.3f} mm3, two draws differ by {error:.3f} mm3"]
    faults = [] if abs(added - counted) < SHARE * counted else [f"{added} mm3 added, {counted} mm3 counted"]
    return lines, faults + [f"joint not whole: {j}" for j in facts["joints"] if j["trouble"]]


class Leaning:
    """A bar without ends about an axis in the plane y = 0."""

    def __init__(self, angle, half, corner):
        self.axis = np.array([np.cos(angle), 0.0, np.sin(angle)])
        self.sides = np.array([[0.0, 1.0, 0.0], [-self.axis[2], 0.0, self.axis[0]]])
        self.half, self.corner = half, corner

    def off(self, points):
        """Distance from the bar, below zero inside, and the direction from its nearest point."""
        q = (points - FOOT) @ self.sides.T
        over = np.abs(q) - self.half
        out = np.maximum(over, 0.0)
        far = np.linalg.norm(out, axis=1)
        inside = np.minimum(over.max(axis=1), 0.0)
        towards = np.sign(q) * out / np.maximum(far, 1e-12)[:, None]
        return far + inside - self.corner, towards @ self.sides

    def row(self, radius):
        """Centres of the balls that touch it and the plate."""
        turn = np.linspace(0.0, 2.0 * np.pi, ROW, endpoint=False)[:, None]
        round_part = np.concatenate([np.cos(turn), np.sin(turn)], axis=1)
        corners = np.sign(round_part) * self.half + (self.corner + radius) * round_part
        steps = np.linspace(-1.0, 1.0, ROW // 4)[:, None]
        reach = self.half + self.corner + radius
        straight = [
            np.concatenate([steps * self.half[0], 0.0 * steps + s * reach[1]], axis=1) for s in (-1.0, 1.0)
        ] + [np.concatenate([0.0 * steps + s * reach[0], steps * self.half[1]], axis=1) for s in (-1.0, 1.0)]
        outline = FOOT + np.concatenate([corners, *straight]) @ self.sides
        return outline + ((TOP + radius - outline[:, 2]) / self.axis[2])[:, None] * self.axis


class Row:
    """Points of a line, asked by every hundredth of them where these decide."""

    def __init__(self, points):
        self.low, self.high = points.min(axis=0), points.max(axis=0)
        self.few, self.all = cKDTree(points[::100]), cKDTree(points)
        self.gap = self.few.query(points)[0].max()

    def beyond(self, points, radius):
        """How many points lie farther than the radius from all of the line's."""
        near = self.few.query(points)[0]
        undecided = (near > radius) & (near <= radius + self.gap)
        return int((near > radius + self.gap).sum() + (self.all.query(points[undecided])[0] > radius).sum())


def count(body, radius, random):
    """Volume of the points above the plate and off the bar that no ball covers, mm3. The half with y > 0, twice."""
    row = Row(body.row(radius))
    low, high = row.low - radius, row.high + radius
    xs, ys = np.arange(low[0], high[0], STEP), np.arange(0.0, high[1], STEP)
    total = 0
    for z in np.arange(TOP, high[2], STEP):
        points = np.stack(np.meshgrid(xs, ys, [z], indexing="ij"), axis=-1).reshape(-1, 3)
        points += STEP * random.random(points.shape)
        points = points[body.off(points)[0] > 0.0]
        over = points * [1, 1, 0] + [0, 0, TOP + radius]
        points = points[~((body.off(over)[0] >= radius) & (points[:, 2] <= TOP + 2.0 * radius))]
        far, towards = body.off(points)
        beside = points + towards * (radius - far)[:, None]
        points = points[~((beside[:, 2] >= TOP + radius) & (np.abs(radius - far) <= radius))]
        free = (points[:, 2] >= TOP + radius) & (body.off(points)[0] >= radius)
        points = points[~free]
        if len(points):
            total += row.beyond(points, radius)
    return 2.0 * total * STEP**3
