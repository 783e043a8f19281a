"""The path of an edge on a surface that a STEP file gives beside the curve (SURFACE_CURVE, PCURVE of ISO 10303-42).

A reader may take the path for the truth. So at each parameter its image on the surface must be the curve's point."""

import numpy as np
from part21 import FileFault

PLACES = 9  # looked at in each span of the path


def gap(curve, path, surface):
    """The greatest distance, mm, between an edge's curve and the image of its path."""
    if (path.t[0], path.t[-1]) != (curve.first, curve.last):
        raise FileFault("a PCURVE runs over other parameters than its curve")
    knots = np.unique(path.t)
    t = np.concatenate([np.linspace(a, b, PLACES) for a, b in zip(knots, knots[1:])])
    return float(np.linalg.norm(surface.at(*path(t).T)[0] - curve.point(t), axis=1).max())
