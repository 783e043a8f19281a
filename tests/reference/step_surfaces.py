"""The surfaces that a STEP file may use, evaluated from its text alone.

Each surface has distance(points) and patch(loops, sense): the area of the face bounded by
the loops, its share of 3 x volume apart from origin . (vector area), and the sums of step_moments
about its origin. Loops are lists of
(points, steps) pairs that run anticlockwise about the face normal. All integrals go along
the loops (Green's theorem); the formulas are the textbook ones for each kind.
"""

import math

import numpy as np
from part21 import FileFault
from step_curves import Frame, real
from step_moments import about, ring, sums, whole
from step_spline_surface import SplineSurface

TURN = 2.0 * math.pi


def _angles(x, y, dx, dy):
    """The change of the polar angle over each step."""
    return (x * dy - y * dx) / (x * x + y * y)


def _windings(total):
    turns = total / TURN
    if abs(turns - round(turns)) > 1e-3:
        raise FileFault(f"a loop turns {turns:.4f} times about its axis, not a whole number")
    return round(turns)


class Plane:
    exact = True

    def __init__(self, step, entity):
        self.frame = Frame(step, entity.args[1])
        self.origin = self.frame.origin

    def distance(self, points):
        return np.abs(self.frame.local(points)[:, 2])

    def patch(self, loops, sense):
        area, walks = 0.0, []
        for points, steps in loops:
            p, d = self.frame.local(points), self.frame.turn(steps)
            area += 0.5 * np.sum(p[:, 0] * d[:, 1] - p[:, 1] * d[:, 0])
            walks.append((*p[:, :2].T, *d[:, :2].T))
        return sense * area, 0.0, sums(self.place, walks)

    def place(self, u, v):
        f = self.frame
        return np.multiply.outer(u, f.x) + np.multiply.outer(v, f.y), np.broadcast_to(f.z, (len(u), 3))


class Round:
    """A surface with one radius about its placement."""

    exact = True

    def __init__(self, step, entity):
        self.frame = Frame(step, entity.args[1])
        self.origin = self.frame.origin
        self.radius = _positive(entity, 2)


class Cylinder(Round):
    def distance(self, points):
        p = self.frame.local(points)
        return np.abs(np.hypot(p[:, 0], p[:, 1]) - self.radius)

    def patch(self, loops, sense):
        area, turn, walks = 0.0, 0.0, []
        for points, steps in loops:
            p, d = self.frame.local(points), self.frame.turn(steps)
            du = _angles(p[:, 0], p[:, 1], d[:, 0], d[:, 1])
            area -= self.radius * np.sum(p[:, 2] * du)
            turn += np.sum(du)
            walks.append((np.arctan2(p[:, 1], p[:, 0]), p[:, 2], du, d[:, 2]))
        if _windings(turn) != 0:
            raise FileFault("a cylindrical face has no second bound: its area is endless")
        return sense * area, self.radius * area, sums(self.place, walks)

    def place(self, u, v):
        out, along = ring(self.frame, u)
        return self.radius * out + v[:, None] * along, self.radius * out


class Cone:
    exact = True

    def __init__(self, step, entity):
        self.frame = Frame(step, entity.args[1])
        radius, self.angle = real(entity.args[2], entity), real(entity.args[3], entity)
        if radius < 0.0 or not 0.0 < self.angle < math.pi / 2.0:
            raise FileFault(f"#{entity.id} cone of radius {radius} and half angle {self.angle}")
        self.apex = radius / math.tan(self.angle)
        self.origin = self.frame.origin - self.frame.z * self.apex

    def distance(self, points):
        p = self.frame.local(points)
        along, out = p[:, 2] + self.apex, np.hypot(p[:, 0], p[:, 1])
        return np.abs(out * math.cos(self.angle) - along * math.sin(self.angle))

    def patch(self, loops, sense):
        area, turn, across, walks = 0.0, 0.0, np.zeros(3), []
        scale = math.tan(self.angle) / math.cos(self.angle)
        for points, steps in loops:
            p, d = self.frame.local(points), self.frame.turn(steps)
            height = p[:, 2] + self.apex
            if height.min() < -1e-5:
                raise FileFault("a conical face reaches past its apex")
            du = _angles(p[:, 0], p[:, 1], d[:, 0], d[:, 1])
            area -= 0.5 * scale * np.sum(height**2 * du)
            turn += np.sum(du)
            across += 0.5 * np.cross(points, steps).sum(axis=0)
            walks.append((np.arctan2(p[:, 1], p[:, 0]), height, du, d[:, 2]))
        return sense * area, 0.0, self._first(walks, turn, across)

    def _first(self, walks, turn, across):
        """The sums about the apex. What an edge misses the surface by counts times its distance from where they are taken, and the apex of a
        lean cone lies metres away: they are taken about a place within the face, and moved. A face that holds the apex, in it or in its rim,
        has to be summed from there: about the apex the angle is not defined."""
        heights = np.concatenate([height for _, height, *_ in walks])
        if abs(turn) > 1e-3 or heights.min() < 0.1 * heights.max():
            return sums(self.place, walks)
        low = 0.5 * (heights.min() + heights.max())
        spot = low * self.frame.z

        def place(u, v):
            points, normals = self.place(u, v)
            return points - spot, normals

        return about(spot, across, sums(place, walks, low))

    def place(self, u, v):
        (out, along), v, slope = ring(self.frame, u), v[:, None], math.tan(self.angle)
        return v * (slope * out + along), v * slope * (out - slope * along)


class Sphere(Round):
    def distance(self, points):
        return np.abs(np.linalg.norm(points - self.origin, axis=1) - self.radius)

    def patch(self, loops, sense):
        pole = self._free_pole(loops)
        side = np.cross(pole, np.eye(3)[np.argmin(np.abs(pole))])
        side /= np.linalg.norm(side)
        axes = np.array([side, np.cross(pole, side), pole]).T
        solid, turn, walks = 0.0, 0.0, []
        for points, steps in loops:
            p, d = (points - self.origin) @ axes, steps @ axes
            du = _angles(p[:, 0], p[:, 1], d[:, 0], d[:, 1])
            solid -= np.sum(p[:, 2] / self.radius * du)
            turn += np.sum(du)
            out = np.hypot(p[:, 0], p[:, 1])
            walks.append((np.arctan2(p[:, 1], p[:, 0]), np.arctan2(p[:, 2], out), du, None))
        by_loops = sense * (solid + turn)  # from the pole on
        solid = _whole(sense * solid + TURN * _windings(turn), 2.0 * TURN)
        area = self.radius**2 * solid
        turns = round((solid - by_loops) / (2.0 * TURN))
        volume = 2.0 * TURN / 3.0 * self.radius**3
        first = sums(lambda u, v: self._place(axes, u, v), walks, math.pi / 2.0) + sense * turns * whole(volume)
        return area, sense * self.radius * area, first

    def _place(self, axes, u, v):
        out = np.stack([np.cos(v) * np.cos(u), np.cos(v) * np.sin(u), np.sin(v)], axis=1) @ axes.T
        return self.radius * out, self.radius**2 * np.cos(v)[:, None] * out

    def _free_pole(self, loops):
        """A direction far from every bound, so that the polar angle is smooth there."""
        if not loops:
            return np.array([0.0, 0.0, 1.0])
        bounds = np.concatenate([points for points, _ in loops]) - self.origin
        tries = np.random.default_rng(1).normal(size=(400, 3))
        tries /= np.linalg.norm(tries, axis=1)[:, None]
        return tries[np.argmin(np.max(np.abs(tries @ bounds.T), axis=1))]


class Torus:
    exact = True

    def __init__(self, step, entity):
        self.frame = Frame(step, entity.args[1])
        self.origin = self.frame.origin
        self.major, self.minor = _positive(entity, 2), _positive(entity, 3)

    def distance(self, points):
        p = self.frame.local(points)
        return np.abs(np.hypot(np.hypot(p[:, 0], p[:, 1]) - self.major, p[:, 2]) - self.minor)

    def _area(self, v):
        """The antiderivative over v of the area element."""
        return self.minor * (self.major * v + self.minor * np.sin(v))

    def _flux(self, v):
        """The antiderivative over v of (x - origin) . n times the area element."""
        big, small = self.major, self.minor
        wave = 1.5 * v + 0.25 * np.sin(2.0 * v)
        return small * ((big**2 + small**2) * np.sin(v) + big * small * wave)

    def patch(self, loops, sense):
        area, flux, around, across = 0.0, 0.0, [], []
        data = []
        for points, steps in loops:
            p, d = self.frame.local(points), self.frame.turn(steps)
            out = np.hypot(p[:, 0], p[:, 1])
            du = _angles(p[:, 0], p[:, 1], d[:, 0], d[:, 1])
            d_out = (p[:, 0] * d[:, 0] + p[:, 1] * d[:, 1]) / out
            dv = _angles(out - self.major, p[:, 2], d_out, d[:, 2])
            u = np.unwrap(np.arctan2(p[:, 1], p[:, 0]))
            v = np.unwrap(np.arctan2(p[:, 2], out - self.major))
            around.append(_windings(np.sum(du)))
            across.append(_windings(np.sum(dv)))
            data.append((u, v, du, dv))
        if any(around) and any(across):
            raise FileFault("a toroidal face is bounded by loops that wind both ways")
        for u, v, du, dv in data:
            if any(across):
                out = self.major + self.minor * np.cos(v)
                near = self.major * np.cos(v) + self.minor
                area += np.sum(u * self.minor * out * dv)
                flux += np.sum(u * self.minor * out * near * dv)
            else:
                area -= np.sum(self._area(v) * du)
                flux -= np.sum(self._flux(v) * du)
        all_round = TURN * self._area(TURN)
        rest = _whole(sense * area, all_round)
        turns = (rest - sense * area) / all_round
        first = sums(self.place, data, along_v=not any(across)) + sense * round(turns) * whole(math.pi * TURN * self.major * self.minor**2)
        return rest, sense * (sense * flux + turns * TURN * self._flux(TURN)), first

    def place(self, u, v):
        (out, along), cos, sin = ring(self.frame, u), np.cos(v)[:, None], np.sin(v)[:, None]
        normal = cos * out + sin * along
        return self.major * out + self.minor * normal, self.minor * (self.major + self.minor * cos) * normal


_KINDS = {
    "PLANE": Plane,
    "CYLINDRICAL_SURFACE": Cylinder,
    "CONICAL_SURFACE": Cone,
    "SPHERICAL_SURFACE": Sphere,
    "TOROIDAL_SURFACE": Torus,
    "B_SPLINE_SURFACE_WITH_KNOTS": SplineSurface,
}


def _positive(entity, place):
    value = real(entity.args[place], entity)
    if not value > 0.0:
        raise FileFault(f"#{entity.id} {entity.kind} has a radius that is not positive")
    return value


def _whole(value, whole):
    """The value brought into (0, whole]: a closed surface has no outside to run off to."""
    value %= whole
    return value if value > 1e-9 * whole else whole


def surface(step, ref):
    """The surface named by `ref`; any type that is not allowed is a fault."""
    entity = step[ref]
    for name, kind in _KINDS.items():
        if entity.is_a(name):
            return kind(step, entity)
    raise FileFault(f"#{entity.id} {entity.kind} is not an allowed surface type")
