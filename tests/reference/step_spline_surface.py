"""B_SPLINE_SURFACE_WITH_KNOTS, plain or rational: points inverted, faces integrated."""

import numpy as np
from part21 import FileFault
from scipy.interpolate import BSpline
from scipy.spatial import cKDTree
from step_curves import NODES, TO_END, vector
from step_moments import integrands

_GAUSS = np.polynomial.legendre.leggauss(8)
_ROUNDS = 40  # of Newton's method; it stops much sooner
_STARTS = 96  # tried for a point
_TOGETHER = 64  # points whose starts are followed at once
_FAR = 1e-7  # mm, beyond which another start is tried
_NEAR = 1e-5  # mm, from a vertex: a place farther from it is not where its edge ends
_WILD = 1e-3  # of the whole surface: what the slopes of an edge may add up to beside the way between its ends
_OPEN = 1e-6  # of the whole surface: what a loop may lack in one direction
_FLAT = 0.2  # of the largest normal in a strip: a smaller one tells of a fold, where strips are halved
_HALVINGS = 5  # of such a strip; what a kink costs falls as the square of the length
_SUMS = 7  # of each face: its area, and the sums of step_moments
_MISSED = 1e-6  # mm, more than the edges of the program lie off their surfaces
_CAREFUL = 8  # starts from which a place is looked for by steps that only come nearer
_SHORT = 0.02  # of the whole surface: the longest step from another start
_ABOUT = 10.0  # limits, within which places of a face are looked for about the foot of a point
_LATTICE = 120  # of them in each direction


class _Direction:
    """The knots of one direction, and the basis with its slope at many places at once."""

    def __init__(self, entity, degree, knots, counts, poles):
        full = np.repeat(np.array(knots, dtype=float), counts)
        if len(full) != poles + degree + 1:
            raise FileFault(f"#{entity.id} B-spline surface: knots and poles do not fit")
        self.basis = BSpline(full, np.eye(poles), degree)
        self.slope = self.basis.derivative()
        self.first, self.last = full[degree], full[poles]
        self.cuts = np.unique(full[degree : poles + 1])
        self.period = None

    def inside(self, t):
        if self.period is None:
            return np.clip(t, self.first, self.last)
        return self.first + np.mod(t - self.first, self.period)

    def grid(self):
        return np.concatenate([np.linspace(a, b, 7) for a, b in zip(self.cuts, self.cuts[1:])])


class SplineSurface:
    exact = False

    def __init__(self, step, entity):
        if len(entity.parts) == 1:
            args = entity.args[1:]
            shape, knots, weights = args[:3], args[7:11], None
        else:
            shape = entity.parts["B_SPLINE_SURFACE"][:3]
            knots = entity.parts["B_SPLINE_SURFACE_WITH_KNOTS"][:4]
            weights = entity.parts.get("RATIONAL_B_SPLINE_SURFACE", [None])[0]
        poles = np.array([[vector(step, p) for p in row] for row in shape[2]])
        weights = np.ones(poles.shape[:2]) if weights is None else np.array(weights, dtype=float)
        net = np.concatenate([poles * weights[..., None], weights[..., None]], axis=2)
        self.u = _Direction(entity, shape[0], knots[2], knots[0], poles.shape[0])
        self.v = _Direction(entity, shape[1], knots[3], knots[1], poles.shape[1])
        longer = poles.shape[0] >= poles.shape[1]
        self.long, self.short = (self.u, self.v) if longer else (self.v, self.u)
        net = net if longer else net.swapaxes(0, 1)
        self.curves = BSpline(self.long.basis.t, net.reshape(net.shape[0], -1), self.long.basis.k)
        self.curves_slope = self.curves.derivative()
        self.origin = poles.reshape(-1, 3).mean(axis=0)
        self._close()
        self.grid_u, self.grid_v = self.u.grid(), self.v.grid()
        places = np.array(np.meshgrid(self.grid_u, self.grid_v, indexing="ij")).reshape(2, -1)
        points, pu, pv = self.at(*places)
        self.grid = points.reshape(len(self.grid_u), len(self.grid_v), 3)
        # In a cone's apex one slope vanishes and Newton's method would find no way out.
        spread = np.linalg.norm(np.cross(pu, pv), axis=1)
        smooth = spread > 1e-9 * spread.max()
        self.places = places.T[smooth]
        self.tree = cKDTree(points[smooth])

    def _close(self):
        """Finds the directions in which the surface comes back to its beginning."""
        for one, other, turn in ((self.u, self.v, 1), (self.v, self.u, -1)):
            along = other.grid()
            ends = [self.at(*(np.full_like(along, t), along)[::turn])[0] for t in (one.first, one.last)]
            if np.abs(ends[0] - ends[1]).max() < 1e-6:
                one.period = one.last - one.first

    def at(self, u, v):
        """(point, slope along u, slope along v) at many places."""
        u, v = self.u.inside(u), self.v.inside(v)
        # Along the direction of more poles all of them at once by their local support; across it by the basis.
        long, short = (u, v) if self.long is self.u else (v, u)
        rows, slopes = (c(long).reshape(len(long), -1, 4) for c in (self.curves, self.curves_slope))
        weights, tilts = (b(short) for b in (self.short.basis, self.short.slope))
        point, along, across = (np.einsum("nkc,nk->nc", a, b) for a, b in ((rows, weights), (slopes, weights), (rows, tilts)))
        pu, pv = (along, across) if self.long is self.u else (across, along)
        w = point[:, 3:]
        x = point[:, :3] / w
        return x, (pu[:, :3] - x * pu[:, 3:]) / w, (pv[:, :3] - x * pv[:, 3:]) / w

    def invert(self, points):
        """The (u, v) of near surface points."""
        return self._newton(points, *self.places[self.tree.query(points)[1]].T)

    def distance(self, points, known=None):
        """Distances from the surface; `known` holds the parameters of those of which a file tells them.

        A surface that ends in a crease folds a little beyond it: there the way from the nearest place of the grid may lead to
        the other sheet, and the other places at which the grid comes near are tried."""
        return np.linalg.norm(self.at(*self._onto(points, known))[0] - points, axis=1)

    def distance_within(self, points, loops, limit):
        """Distances of points from their feet where these lie in the face of some loops, else from the nearest of many places of the face
        about them; without end where none is within the limit. Where a canal turns about its inner side, the foot of a point may lie beyond the
        rim, and the face hardly farther from the point than the foot."""
        u, v = self._onto(points)
        off = np.linalg.norm(self.at(u, v)[0] - points, axis=1)
        out, asked = np.full(len(points), np.inf), np.flatnonzero(off <= limit)
        if len(asked):
            walks = [self._walk(*loop)[:2] for loop in loops]
            for k in asked:
                if _encloses(walks, u[k], v[k]):
                    out[k] = off[k]
                else:
                    out[k] = self._beside(points[k], (u[k], v[k]), walks, limit)
        return out

    def _beside(self, point, foot, walks, limit):
        """The distance of a point from the nearest of many places of a face that lie about its foot; without end where none is within the
        limit."""
        near = self.places[self.tree.query_ball_point(point, _ABOUT * limit)].reshape(-1, 2)
        near = np.vstack([near, foot])
        lattice = []
        for t, d in zip(near.T, (self.u, self.v)):
            step = np.diff(d.cuts).max() / 6.0  # that of the grid
            lattice.append(np.linspace(max(t.min() - step, d.first), min(t.max() + step, d.last), _LATTICE))
        u, v = np.array(np.meshgrid(*lattice, indexing="ij")).reshape(2, -1)
        off = np.linalg.norm(self.at(u, v)[0] - point, axis=1)
        within = [off[k] for k in np.flatnonzero(off <= limit) if _encloses(walks, u[k], v[k])]
        return min(within, default=np.inf)

    def _onto(self, points, known=None):
        """(u, v) of the surface's places at points: as known, or found from several starts where the nearest one leads to the
        other sheet."""
        if known is None:
            return self._found(points)
        u, v = known[:, 0].copy(), known[:, 1].copy()
        asked = np.flatnonzero(np.isnan(u))
        if len(asked):
            u[asked], v[asked] = self._found(points[asked])
            self._followed(points, u, v)
        return u, v

    def _followed(self, points, u, v):
        """Mends places that missed their point: they are looked for from the place of the point before them in the loop, and then
        from that of the point behind them."""
        off = np.linalg.norm(self.at(u, v)[0] - points, axis=1)
        for turn in (1, -1):
            for k in np.flatnonzero(off > _FAR)[::turn]:
                beside = np.array([k - turn]) % len(points)
                place = self._newton(points[[k]], u[beside], v[beside], _SHORT)
                found = np.linalg.norm(self.at(*place)[0] - points[[k]])
                if found < off[k]:
                    u[k], v[k], off[k] = place[0][0], place[1][0], found

    def _found(self, points):
        u, v = (np.array(t, dtype=float) for t in self.invert(points))
        off = np.linalg.norm(self.at(u, v)[0] - points, axis=1)
        far = np.flatnonzero(off > _FAR)
        for some in np.array_split(far, -(-len(far) // _TOGETHER)) if len(far) else []:
            starts = [self._near(points[k]) for k in some]
            counts = [len(s) for s in starts]
            several = np.repeat(points[some], counts, axis=0)
            places = self._newton(several, *np.concatenate(starts).T, _SHORT)
            found = np.linalg.norm(self.at(*places)[0] - several, axis=1)
            for number, (k, first, count) in enumerate(zip(some, np.cumsum(counts) - counts, counts)):
                best = first + int(np.argmin(found[first : first + count]))
                if found[best] < off[k]:
                    u[k], v[k], off[k] = places[0][best], places[1][best], found[best]
                if off[k] > _MISSED:
                    u[k], v[k] = self._descended(points[k], [(u[k], v[k]), *starts[number][:_CAREFUL]])
        return u, v

    def _descended(self, point, starts):
        """The nearest place that is found by steps that only ever come nearer. In the corner of a face that folds, Newton's method steps out of
        the surface, and what is left of a step at its rim leads away from the point."""
        found, least = starts[0], np.inf
        for place in np.array(starts):
            damping = 1e-6
            for _ in range(_ROUNDS):
                x, xu, xv = (a[0] for a in self.at(*place[:, None]))
                gap = np.linalg.norm(x - point)
                slopes = np.stack([xu, xv], axis=1)
                matrix, target = slopes.T @ slopes, slopes.T @ (point - x)
                while damping < 1e6:
                    step = np.linalg.solve(matrix + damping * np.diag(np.maximum(np.diag(matrix), 1e-12)), target)
                    beyond = np.array([self.u.inside(place[0] + step[0]), self.v.inside(place[1] + step[1])])
                    if np.linalg.norm(self.at(*beyond[:, None])[0][0] - point) < gap:
                        place, damping = beyond, max(damping / 10.0, 1e-9)
                        break
                    damping *= 10.0
                else:
                    break
            if gap < least:
                found, least = place, gap
            if least <= _FAR:
                break
        return found

    def _near(self, point):
        """Places of the grid that are nearer to a point than those beside them."""
        off = np.linalg.norm(self.grid - point, axis=2)
        padded = np.pad(off, 1, constant_values=np.inf)
        n, m = off.shape
        beside = [padded[a : a + n, b : b + m] for a in range(3) for b in range(3) if (a, b) != (1, 1)]
        rows, columns = np.nonzero(off <= np.min(beside, axis=0))
        order = np.argsort(off[rows, columns])[:_STARTS]
        return np.stack([self.grid_u[rows[order]], self.grid_v[columns[order]]], axis=1)

    def _newton(self, points, u, v, most=1.0):
        """The (u, v) of near surface points by Newton's method, in steps of at most a share of the whole surface."""
        u, v = u.copy(), v.copy()
        reach = [most * (d.last - d.first) for d in (self.u, self.v)]
        moving = np.arange(len(u))
        for _ in range(_ROUNDS):
            x, xu, xv = self.at(u[moving], v[moving])
            a, b = (np.clip(s, -r, r) for s, r in zip(_solve(xu, xv, points[moving] - x), reach))
            u[moving], v[moving] = self.u.inside(u[moving] + a), self.v.inside(v[moving] + b)
            moving = moving[np.maximum(np.abs(a), np.abs(b)) >= 1e-13]
            if len(moving) == 0:
                break
        return u, v

    def patch(self, loops, sense):
        """See step_surfaces; a loop may wind about one closed direction, not about both."""
        walks = [self._walk(*loop) for loop in loops]
        turns_v = any(self._turns(self.v, dv) for _, _, _, dv in walks)
        # A loop closes in both directions. Where points beside a crease went to the other sheet, the sum along the fold does
        # not; then the other direction is summed.
        open_u, open_v = (sum(abs(np.sum(walk[k])) for walk in walks) / (d.last - d.first) for k, d in ((2, self.u), (3, self.v)))
        turns_u = any(self._turns(self.u, du) for _, _, du, _ in walks)
        # Along the spine of a canal, whose knots the strips follow, a fold is met more squarely than across it.
        folds = self.long is self.u and any(self._folds(*loop[2:]) for loop in loops)
        if turns_u and turns_v:
            raise FileFault("a B-spline face is bounded by loops that wind both ways")
        total = np.zeros(_SUMS)
        for u, v, du, dv in walks:
            if turns_v or not turns_u and (folds or open_v < open_u > _OPEN):
                total += dv @ self._strips(self.u, u, lambda t, some, v=v: self.at(t, v[some]))
            else:
                total -= du @ self._strips(self.v, v, lambda t, some, u=u: self.at(u[some], t))
        return sense * total[0], total[1:4].sum(), total[1:]

    def _walk(self, points, steps, known=None, ends=None):
        u, v = self._onto(points, known)
        for name, direction in (("u", self.u), ("v", self.v)):
            if direction.period is not None:
                moved = np.unwrap(u if name == "u" else v, period=direction.period)
                u, v = (moved, v) if name == "u" else (u, moved)
        _, xu, xv = self.at(u, v)
        du, dv = _solve(xu, xv, steps)
        if known is not None:
            du, dv = (np.where(np.isnan(told), own, told) for told, own in ((known[:, 2], du), (known[:, 3], dv)))
            if self._folds(known, ends):
                joints = self._joints(u, v, du, dv, ends)
                return tuple(np.concatenate(pair) for pair in zip((u, v, du, dv), joints))
        return u, v, du, dv

    def _folds(self, known, ends):
        """Whether the file tells paths of this loop, as it does on surfaces that fold."""
        open_ways = self.u.period is None and self.v.period is None
        return ends is not None and open_ways and not np.isnan(known).all()

    def _joints(self, u, v, du, dv, ends):
        """(u, v, du, dv) of the steps from each edge's end to the next one's beginning, which close the loop on the surface.

        Where a face folds, its surface all but stands still along one direction: a path that ends within a thousand-millionth of a metre of
        its vertex may end hundredths of a millimetre beside it in the parameters. Without these steps such a loop does not close, and the
        area was 0.0026 mm2 off on one face of a drawn housing; the triangles of Open CASCADE, ever finer, tend to the sum with them.
        Where the file gives no path, the polynomial through the nodes of an edge's last span tells its end: a search from the vertex
        would stop anywhere along that direction."""
        places = []
        for span, (point, flat) in _edge_ends(ends):
            places.append(self._end(u[span], v[span], point) if np.isnan(flat).any() else flat)
        for k, place in enumerate(places):
            if place is None:  # as the edge beside it
                beside = places[k - 1 if k % 2 == 0 else (k + 1) % len(places)]
                places[k] = self._end_of_node(u, v, ends, k) if beside is None else beside
        start, end = np.array(places[::2]), np.array(places[1::2])
        self._tame(u, v, du, dv, ends, start, end)
        step = np.roll(start, -1, axis=0) - end
        return *(end + step / 2.0).T, *step.T

    def _end(self, u, v, point):
        """The (u, v) in which an edge ends whose last nodes these are, from its end inwards; none where these do not tell it."""
        place = np.array([np.clip(TO_END @ t, d.first, d.last) for t, d in ((u, self.u), (v, self.v))])
        found = np.linalg.norm(self.at(*place[:, None])[0] - point)
        return place if found < _NEAR else None

    @staticmethod
    def _end_of_node(u, v, ends, k):
        node = [span[0] for span, _ in _edge_ends(ends)][k]
        return np.array([u[node], v[node]])

    def _tame(self, u, v, du, dv, ends, start, end):
        """Where an edge has no path and lies in a fold, its slopes can't be told in the parameters: the ways between its nodes stand for
        them."""
        first = 0
        for k, (count, ((_, flat), _)) in enumerate(ends):
            own = slice(first, first + count)
            for t, dt, axis, d in ((u, du, 0, self.u), (v, dv, 1, self.v)):
                off = abs(dt[own].sum() - (end[k, axis] - start[k, axis]))
                if np.isnan(flat).any() and off > _WILD * (d.last - d.first):
                    middles = (t[own][1:] + t[own][:-1]) / 2.0
                    dt[own] = np.diff(np.concatenate([[start[k, axis]], middles, [end[k, axis]]]))
            first += count

    def _turns(self, direction, change):
        return direction.period is not None and abs(np.sum(change)) > 0.5 * direction.period

    def _strips(self, direction, ends, place):
        """For each end the integral of the area and the sums of step_moments from the first knot to that end."""
        out = np.zeros((len(ends), _SUMS))
        cuts = direction.cuts
        if direction.period is not None:
            cuts = np.concatenate([cuts[:-1] + k * direction.period for k in range(-2, 3)])
        low, high = min(ends.min(), direction.first), max(ends.max(), direction.first)
        cuts = np.unique(np.concatenate([cuts[(cuts > low) & (cuts < high)], [low, high, direction.first]]))
        for a, b in zip(cuts, cuts[1:]):
            forward = a >= direction.first
            begin = np.full(len(ends), a) if forward else np.clip(ends, a, b)
            end = np.clip(ends, a, b) if forward else np.full(len(ends), b)
            some = np.flatnonzero(begin != end)
            sums = self._gauss(place, some, begin[some], (end - begin)[some])
            out[some] += sums if forward else -sums
        return out

    def _gauss(self, place, some, begin, length, rounds=_HALVINGS):
        """For each end in `some` the integral of the area and the sums of step_moments over a piece of its strip.

        Where a surface folds, its normal turns over and the area's integrand, a length, has a kink at nought. Eight nodes across it
        were 0.006 mm2 off on one drawn housing, so pieces on which the normal turns over or nearly vanishes are halved."""
        out = np.zeros((len(some), _SUMS))
        normals = []
        for node, weight in zip(*_GAUSS):
            x, xu, xv = place(begin + length * (node + 1.0) / 2.0, some)
            normals.append(np.cross(xu, xv))
            scale = weight * length / 2.0
            out[:, 0] += scale * np.linalg.norm(normals[-1], axis=1)
            out[:, 1:] += scale[:, None] * integrands(x - self.origin, normals[-1])
        if rounds:
            sizes = np.linalg.norm(normals, axis=2)
            turned = np.sum(np.array(normals[1:]) * np.array(normals[:-1]), axis=2).min(axis=0) < 0.0
            kinked = np.flatnonzero(turned | (sizes.min(axis=0) < _FLAT * sizes.max(axis=0)))
            if len(kinked):
                half = length[kinked] / 2.0
                out[kinked] = sum(self._gauss(place, some[kinked], begin[kinked] + k * half, half, rounds - 1) for k in (0, 1))
        return out


def _encloses(walks, u, v):
    """Whether loops wind about a place."""
    return round(sum(_winding(a - u, b - v) for a, b in walks)) != 0


def _winding(x, y):
    """How often a closed row of places winds about nought."""
    angles = np.unwrap(np.arctan2(np.append(y, y[0]), np.append(x, x[0])))
    return (angles[-1] - angles[0]) / (2.0 * np.pi)


def _edge_ends(ends):
    """Of each edge of a loop, for its beginning and then for its end: the nodes of the span there, from the end inwards, and what is told of
    the end (see Edge.ends_on)."""
    first, found = 0, []
    for count, pair in ends:
        last = first + count - 1
        found += zip((np.arange(first, first + NODES), np.arange(last, last - NODES, -1)), pair)
        first += count
    return found


def _solve(xu, xv, target):
    """The steps (a, b) for which a xu + b xv comes nearest to the target."""
    uu, uv, vv = (np.sum(p * q, axis=1) for p, q in ((xu, xu), (xu, xv), (xv, xv)))
    tu, tv = np.sum(target * xu, axis=1), np.sum(target * xv, axis=1)
    det = np.maximum(uu * vv - uv * uv, 1e-30)
    return (tu * vv - tv * uv) / det, (tv * uu - tu * uv) / det
