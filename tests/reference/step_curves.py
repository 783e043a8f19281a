"""The curves that a STEP file may use, evaluated from its text alone.

Each curve has point(t), slope(t), parameter(p) and spans(t0, t1): the pieces on which
it is smooth, for Gauss quadrature.
"""

import math

import numpy as np
from part21 import DERIVED, FileFault, Word
from scipy.interpolate import BSpline

ALLOWED_CURVES = {"LINE", "CIRCLE", "ELLIPSE", "B_SPLINE_CURVE_WITH_KNOTS"}
_WRAPPERS = {"SURFACE_CURVE", "SEAM_CURVE"}
_GAUSS = np.polynomial.legendre.leggauss(12)
NODES = len(_GAUSS[0])  # of each span
# What the polynomial through a span's nodes is at its beginning, as weights of its values there.
TO_END = np.linalg.solve(np.vander(_GAUSS[0], increasing=True).T, np.vander([-1.0], NODES, increasing=True)[0])


def vector(step, ref):
    """A CARTESIAN_POINT or DIRECTION as an array."""
    entity = step[ref]
    if not (entity.is_a("CARTESIAN_POINT") or entity.is_a("DIRECTION")):
        raise FileFault(f"#{entity.id} {entity.kind} where a point or direction is needed")
    values = np.array([real(v, entity) for v in entity.args[1]])
    if values.shape != (3,) or not np.all(np.isfinite(values)):
        raise FileFault(f"#{entity.id} has no three finite coordinates")
    return values


def real(value, entity):
    """A REAL: part 21 writes it with a decimal point."""
    if not isinstance(value, float):
        raise FileFault(f"#{entity.id} {entity.kind}: {value} where a real with a decimal point is needed")
    return value


def unit(values, what):
    size = np.linalg.norm(values)
    if size < 1e-12:
        raise FileFault(f"{what} is a direction of no length")
    return values / size


class Frame:
    """An AXIS2_PLACEMENT_3D: origin and the right-handed axes x, y, z."""

    def __init__(self, step, ref):
        entity = step[ref]
        if not entity.is_a("AXIS2_PLACEMENT_3D"):
            raise FileFault(f"#{entity.id} {entity.kind} where a placement is needed")
        _, origin, axis, along = entity.args
        label = f"#{entity.id}"
        self.origin = vector(step, origin)
        self.z = unit(vector(step, axis), label) if axis else np.array([0.0, 0.0, 1.0])
        hint = vector(step, along) if along else np.array([1.0, 0.0, 0.0])
        if not along and abs(self.z[0]) > 0.999:
            hint = np.array([0.0, 1.0, 0.0])
        self.x = unit(hint - self.z * (hint @ self.z), label)
        self.y = np.cross(self.z, self.x)

    def local(self, points):
        """Coordinates of points (n, 3) in this frame."""
        return (points - self.origin) @ np.array([self.x, self.y, self.z]).T

    def turn(self, vectors):
        """Directions (n, 3) in this frame."""
        return vectors @ np.array([self.x, self.y, self.z]).T


class Line:
    period = None

    def __init__(self, step, entity):
        _, start, along = entity.args
        self.start = vector(step, start)
        _, direction, size = step[along].args
        self.along = unit(vector(step, direction), f"#{entity.id}") * size

    def point(self, t):
        return self.start + np.multiply.outer(t, self.along)

    def slope(self, t):
        return np.broadcast_to(self.along, (len(t), 3))

    def parameter(self, point):
        return (point - self.start) @ self.along / (self.along @ self.along)

    def spans(self, t0, t1):
        return [t0, t1]


class Ellipse:
    """A circle too, with equal half axes."""

    period = 2.0 * math.pi

    def __init__(self, step, entity):
        self.frame = Frame(step, entity.args[1])
        self.a, self.b = real(entity.args[2], entity), real(entity.args[-1], entity)
        if min(self.a, self.b) <= 0.0:
            raise FileFault(f"#{entity.id} {entity.kind} has a radius that is not positive")

    def point(self, t):
        f = self.frame
        x, y = np.multiply.outer(np.cos(t), f.x), np.multiply.outer(np.sin(t), f.y)
        return f.origin + self.a * x + self.b * y

    def slope(self, t):
        f = self.frame
        x, y = np.multiply.outer(-np.sin(t), f.x), np.multiply.outer(np.cos(t), f.y)
        return self.a * x + self.b * y

    def parameter(self, point):
        x, y, _ = self.frame.local(point)
        return math.atan2(y / self.b, x / self.a)

    def spans(self, t0, t1):
        count = max(1, math.ceil(abs(t1 - t0) / (math.pi / 32)))
        return list(np.linspace(t0, t1, count + 1))


class Spline:
    """B_SPLINE_CURVE_WITH_KNOTS, plain or rational."""

    period = None

    def __init__(self, step, entity):
        if len(entity.parts) == 1:
            _, degree, poles, _, _, _, counts, knots, _ = entity.args
            weights = None
        else:
            degree, poles = entity.parts["B_SPLINE_CURVE"][:2]
            counts, knots = entity.parts["B_SPLINE_CURVE_WITH_KNOTS"][:2]
            weights = entity.parts.get("RATIONAL_B_SPLINE_CURVE", [None])[0]
        points = np.array([vector(step, p) for p in poles])
        full = np.repeat(np.array(knots, dtype=float), counts)
        if len(full) != len(points) + degree + 1:
            raise FileFault(f"#{entity.id} B-spline: knots and poles do not fit")
        weights = np.ones(len(points)) if weights is None else np.array(weights, dtype=float)
        homogeneous = np.column_stack([points * weights[:, None], weights])
        self.curve = BSpline(full, homogeneous, degree)
        self.rate = self.curve.derivative()
        self.first, self.last = full[degree], full[len(points)]
        self.knots = np.unique(full[degree : len(points) + 1])
        ends = self.point(np.array([self.first, self.last]))
        closed = np.linalg.norm(ends[0] - ends[1]) < 1e-6
        if closed:
            self.period = self.last - self.first

    def point(self, t):
        value = self.curve(self._inside(t))
        return value[..., :3] / value[..., 3:]

    def slope(self, t):
        t = self._inside(t)
        value, rate = self.curve(t), self.rate(t)
        weight = value[..., 3:]
        return (rate[..., :3] - value[..., :3] / weight * rate[..., 3:]) / weight

    def _inside(self, t):
        t = np.asarray(t, dtype=float)
        if self.period is not None:
            over = (t > self.last) | (t < self.first)
            return np.where(over, self.first + np.mod(t - self.first, self.period), t)
        return np.clip(t, self.first, self.last)

    def parameter(self, point):
        for end in (self.first, self.last):
            if np.linalg.norm(self.point(np.array([end]))[0] - point) < 1e-6:
                return end
        grid = np.concatenate([np.linspace(a, b, 9) for a, b in zip(self.knots, self.knots[1:])])
        t = grid[np.argmin(np.linalg.norm(self.point(grid) - point, axis=1))]
        for _ in range(30):
            gap = self.point(np.array([t]))[0] - point
            slope = self.slope(np.array([t]))[0]
            t = float(np.clip(t - gap @ slope / (slope @ slope), self.first, self.last))
        return t

    def spans(self, t0, t1):
        low, high = min(t0, t1), max(t0, t1)
        inner = list(self.knots)
        if self.period is not None:
            inner += list(self.knots + self.period) + list(self.knots - self.period)
        cuts = [low, *sorted({k for k in inner if low < k < high}), high]
        return cuts if t0 <= t1 else cuts[::-1]


def curve(step, ref):
    """The curve named by `ref`; any type that is not allowed is a fault."""
    entity = step[ref]
    if any(entity.is_a(name) for name in _WRAPPERS) and len(entity.parts) == 1:
        return curve(step, entity.args[1])
    if entity.is_a("LINE"):
        return Line(step, entity)
    if entity.is_a("CIRCLE") or entity.is_a("ELLIPSE"):
        return Ellipse(step, entity)
    if entity.is_a("B_SPLINE_CURVE_WITH_KNOTS"):
        return Spline(step, entity)
    raise FileFault(f"#{entity.id} {entity.kind} is not an allowed curve type")


def flat_path(step, entity):
    """The curve of a PCURVE in its surface's parameters: a plain B-spline curve of two coordinates."""
    if not entity.is_a("PCURVE"):
        raise FileFault(f"#{entity.id} {entity.kind} where a PCURVE is needed")
    (item,) = step[entity.args[2]].args[1]
    _, degree, poles, _, _, _, counts, knots, _ = step[item].args
    points = [[real(value, step[pole]) for value in step[pole].args[1]] for pole in poles]
    if any(len(point) != 2 for point in points):
        raise FileFault(f"#{step[item].id}: poles of a path have two coordinates")
    return BSpline(np.repeat(np.array(knots, dtype=float), counts), np.array(points), degree)


def _paths(step, entity):
    """The paths that a SURFACE_CURVE gives beside its curve, by the number of their surface."""
    if not entity.is_a("SURFACE_CURVE"):
        return {}
    if entity.args[3].text != "CURVE_3D":
        raise FileFault(f"#{entity.id} SURFACE_CURVE: its curve in space is not the master")
    return {step[path].args[1].id: flat_path(step, step[path]) for path in entity.args[2]}


class Edge:
    """An EDGE_CURVE: its end vertices, its curve, and quadrature nodes along it."""

    def __init__(self, step, entity):
        _, start, end, geometry, sense = entity.args
        self.id = entity.id
        self.ends = (start.id, end.id)
        self.curve = curve(step, geometry)
        self.paths = _paths(step, step[geometry])
        self.end_points = [vertex_point(step, v) for v in (start, end)]
        forward = truth(sense, entity)
        t0, t1 = (self.curve.parameter(p) for p in self.end_points)
        at = self.curve.point(np.array([t0, t1]))
        self.end_gap = max(np.linalg.norm(at - np.array(self.end_points), axis=1))
        period = self.curve.period
        if period is not None:
            turn = (t1 - t0) if forward else (t0 - t1)
            turn = turn % period
            if start.id == end.id or turn < 1e-12 * period:
                turn = period
            t1 = t0 + turn if forward else t0 - turn
        elif (t1 > t0) != forward:
            raise FileFault(f"#{self.id} EDGE_CURVE runs against its own same_sense flag")
        self._nodes(t0, t1)

    def _nodes(self, t0, t1):
        nodes, weights = [], []
        cuts = self._cuts(t0, t1)
        for a, b in zip(cuts, cuts[1:]):
            nodes.append(a + (b - a) * (_GAUSS[0] + 1.0) / 2.0)
            weights.append(_GAUSS[1] * (b - a) / 2.0)
        t = np.concatenate(nodes)
        self.points = self.curve.point(t)
        # The slope times the weight: summing f . steps is the integral along the edge.
        weights = np.concatenate(weights)[:, None]
        self.steps = self.curve.slope(t) * weights
        self.flat_ends = {surface: path(np.array([t0, t1])) for surface, path in self.paths.items()}
        self.flat = {surface: np.hstack([path(t), path.derivative()(t) * weights]) for surface, path in self.paths.items()}

    def _cuts(self, t0, t1):
        """Where curve or a path has a knot: across one of a path the sum of its slopes would miss what lies between its ends."""
        cuts = self.curve.spans(t0, t1)
        knots = [k for path in self.paths.values() for k in np.unique(path.t) if min(t0, t1) < k < max(t0, t1)]
        cuts = sorted({*cuts, *knots})
        return cuts if t0 <= t1 else cuts[::-1]

    def along(self, forward):
        """(points, steps) in the asked direction."""
        return (self.points, self.steps) if forward else (self.points[::-1], -self.steps[::-1])

    def on(self, surface, forward):
        """At each of the points the surface's parameters and their steps, where the file gives a path; else no numbers."""
        known = self.flat.get(surface, np.full((len(self.points), 4), np.nan))
        return known if forward else known[::-1] * np.array([1.0, 1.0, -1.0, -1.0])

    def ends_on(self, surface, forward):
        """Its first and its last point in the asked direction, each with the surface's parameters where the file gives a path; else no
        numbers."""
        flat = self.flat_ends.get(surface, np.full((2, 2), np.nan))
        ends = list(zip(self.end_points, flat))
        return ends if forward else ends[::-1]


def vertex_point(step, ref):
    entity = step[ref]
    if not entity.is_a("VERTEX_POINT"):
        raise FileFault(f"#{entity.id} {entity.kind} where a VERTEX_POINT is needed")
    return vector(step, entity.args[1])


def truth(value, entity):
    if value is DERIVED or not isinstance(value, Word) or value.text not in ("T", "F"):
        raise FileFault(f"#{entity.id} {entity.kind}: .T. or .F. expected")
    return value.text == "T"
