"""The path of an edge on a surface that a STEP file gives beside the curve (SURFACE_CURVE, PCURVE of ISO 10303-42).

A reader may take the path for the truth. So at each parameter its image on the surface must be the curve's point."""

import numpy as np
from part21 import FileFault
from step_curves import Spline, flat_path
from step_spline_surface import SplineSurface

PLACES = 9  # looked at in each span of the path


def gap(step, entity):
    """The greatest distance, mm, between a SURFACE_CURVE's curve and the images of its paths."""
    _, curve, associated, master = entity.args
    if master.text != "CURVE_3D":
        raise FileFault(f"#{entity.id} SURFACE_CURVE: its curve in space is not the master")
    in_space = Spline(step, step[curve])
    return max(_gap(step, in_space, step[path]) for path in associated)


def _gap(step, in_space, path):
    flat = flat_path(step, path)
    if (flat.t[0], flat.t[-1]) != (in_space.first, in_space.last):
        raise FileFault(f"#{path.id} PCURVE runs over other parameters than its curve")
    knots = np.unique(flat.t)
    t = np.concatenate([np.linspace(a, b, PLACES) for a, b in zip(knots, knots[1:])])
    surface = SplineSurface(step, step[path.args[1]])
    image = surface.at(*flat(t).T)[0]
    return float(np.linalg.norm(image - in_space.point(t), axis=1).max())

