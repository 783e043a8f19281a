"""How near points come to the faces of a STEP file, by its text alone.

Open CASCADE asks a spline face for a point's foot and then whether that lies between the face's edges. On narrow fillets, and on those that fold
a little beyond a crease, it finds no foot, or one that lies in no face, and tells a distance of millimetres. Here the foot comes from the text's
own surface, and the face's loops are followed in the surface's parameters: a foot about which they wind lies in the face. A place
of an edge belongs to the solid too.
"""

import numpy as np
import part21
from step_text import TextCheck


class Near:
    """The least distance found of each point, from the spline faces and the edges seen."""

    def __init__(self, points, limit):
        self.points, self.limit = np.asarray(points, dtype=float), limit
        self.best = np.full(len(self.points), np.inf)

    def see(self, carrier, loops):
        """A face, as step_text reads it."""
        rim = np.concatenate([points for points, *_ in loops])
        low, high = rim.min(axis=0), rim.max(axis=0)
        beside = 0.1 * np.linalg.norm(high - low) + self.limit  # a face may bulge over the box of its edges
        near = np.all((self.points > low - beside) & (self.points < high + beside), axis=1)
        near = np.flatnonzero(near & ~(self.best <= self.limit))
        if not len(near):
            return
        off = np.linalg.norm(self.points[near, None] - rim[None], axis=2).min(axis=1)
        if not carrier.exact:
            off = np.minimum(off, carrier.distance_within(self.points[near], loops, self.limit))
        self.best[near] = np.minimum(self.best[near], off)


def distances(step, points, limit):
    """Of each point the distance from a face or edge within the limit, or the least that was found."""
    near = Near(points, limit)
    try:
        TextCheck(part21.read(step), 1, near)
    except part21.FileFault:
        return np.full(len(near.points), np.inf)
    return near.best
