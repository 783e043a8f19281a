"""Cones by least squares: each that the cones example prints, fitted again to the same points by scipy.

scipy.optimize.least_squares minimises the squared distances of the points, square to the wall, in unknowns of its own: the axis's foot
in the plane through the points' middle, two angles of its direction, the radius there, the half angle. Its differences are taken
by complex steps, so that rounding leaves its answer as sharp as the program's. Both must be the same least sum of squares, and each
unknown the same within SAME.
"""

import numpy as np
from checks import printed_twice
from scipy.optimize import least_squares

COUNT = 20
SAME = 1e-7  # mm, and radians
SUM = 1e-9  # relative, of the sum of squares


def add(run):
    maker = run.program.parent / "examples" / "cones"
    printed = []
    run.checks.run("cones: printed", write, maker, printed)
    for number, case in enumerate(printed[0] if printed else []):
        run.checks.run(f"cones: {number}", same, case)


def write(maker, printed):
    cases, lines, reasons = printed_twice(maker, "cones", COUNT)
    printed.append(cases)
    return lines, reasons


def unit(v):
    return v / np.linalg.norm(v)


def square_to(axis):
    e1 = unit(np.cross(axis, [0.3, 0.5, 0.81]))
    return e1, np.cross(axis, e1)


def distances(u, q):
    """Of points from the wall, square to it; q in the frame of the start. Sums of squares without conjugation, for complex steps."""
    foot = np.array([u[0], u[1], 0.0 * u[0]])
    axis = np.array([np.sin(u[2]) * np.cos(u[3]), -np.sin(u[3]), np.cos(u[2]) * np.cos(u[3])])
    off = q - foot
    height = off @ axis
    radial = np.sqrt(((off - np.outer(height, axis)) ** 2).sum(axis=1))
    return (radial - u[4]) * np.cos(u[5]) - height * np.sin(u[5])


def jacobian(u, q):
    step = 1e-30
    columns = []
    for k in range(len(u)):
        moved = np.array(u, dtype=complex)
        moved[k] += 1j * step
        columns.append(distances(moved, q).imag / step)
    return np.column_stack(columns)


def same(case):
    points = np.array(case["points"])
    start, found = case["start"], case["found"]
    z = unit(np.array(start["axis"]))
    e1, e2 = square_to(z)
    middle = points.mean(axis=0)
    origin = np.array(start["origin"])
    origin = origin + z * ((middle - origin) @ z)
    rows = np.array([e1, e2, z])
    q = (points - origin) @ rows.T
    grown = (middle - np.array(start["origin"])) @ z * np.tan(start["half_angle"])
    guess = [0, 0, 0, 0, start["radius"] + grown, start["half_angle"]]
    solved = least_squares(distances, guess, jac=jacobian, args=(q,), method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
    u = solved.x
    # The cone of the program in the same unknowns.
    axis = rows @ unit(np.array(found["axis"]))
    foot = rows @ (np.array(found["origin"]) - origin)
    foot_here = foot - axis * foot[2] / axis[2]
    along = -foot[2] / axis[2]
    radius = found["radius"] + along * np.tan(found["half_angle"])
    theirs = np.array([foot_here[0], foot_here[1], np.arctan2(axis[0], axis[2]), -np.arcsin(axis[1]), radius, found["half_angle"]])
    sums = [(distances(v, q) ** 2).sum() for v in (u, theirs)]
    spread = np.sqrt(sums[0] / (len(q) - 6))
    names = ("foot", "foot", "direction", "direction", "radius", "half angle")
    faults = [
        f"{name} {told}, expected {wanted} within {SAME:.3g}"
        for name, told, wanted in zip(names, theirs, u)
        if not abs(told - wanted) <= SAME
    ]
    if not abs(sums[1] - sums[0]) <= SUM * sums[0]:
        faults.append(f"sum of squares {sums[1]}, expected {sums[0]}")
    # Points scatter in space by so much in each direction: the spread off the wall must be of that size.
    if not 0.3 < spread / case["scatter"] < 2.0:
        faults.append(f"the points lie {spread} off the wall, made with {case['scatter']}")
    return [f"{len(q)} points, {spread:.4f} mm off: within {np.abs(theirs - u).max():.1e}"], faults
