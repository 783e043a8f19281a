"""Lines, planes, circles, cylinders and cones: each that the fits example prints, fitted again to the same points by scipy.

By least squares: scipy.optimize.least_squares in unknowns of its own, and numpy's singular values for lines and planes. Touching (narrowest zone,
largest pin, smallest ring): scipy.optimize.minimize, method SLSQP, with the bounds of the zone as two unknowns more and one constraint for each point. Both must come to the same
value within SAME; where the program's is better, that is told and is no fault, since it is the same task. Cases from the fifth on have arcs of a
third of a turn: no pin or ring about such an arc has a bound, so these are asked of whole turns only. A cone on such an arc that scatters by 0.2 mm
(a tenth is far beyond what machining leaves) has more than one narrowest zone nearby, of which the program finds the one next to the
best cone by least squares: how much wider it is is printed.
"""

import numpy as np
from checks import printed_twice
from scipy.optimize import least_squares, minimize

COUNT = 8
WHOLE = 4  # of them are whole turns
SAME = 1e-7  # mm, of places and radii by least squares; radians of directions
ROUGH = 0.1  # mm
TOUCHING = 2e-6  # mm, of zones, pins and rings: SLSQP stops there


def add(run):
    maker = run.program.parent / "examples" / "fits"
    printed = []
    run.checks.run("elements: printed", write, maker, printed)
    for number, case in enumerate(printed[0] if printed else []):
        for what, check in (("line", line), ("plane", plane), ("circle", circle), ("cylinder", cylinder), ("cone", cone)):
            run.checks.run(f"elements: {what} {number}", check, case[what], number < WHOLE, case["scatter"])


def write(maker, printed):
    cases, lines, reasons = printed_twice(maker, "cases", COUNT)
    printed.append(cases)
    return lines, reasons


def frame_of(told):
    """Origin and rows: two directions square to the axis, and the axis."""
    z = np.array(told["axis"]) / np.linalg.norm(told["axis"])
    x = np.cross(z, [0.3, 0.5, 0.81])
    x /= np.linalg.norm(x)
    return np.array(told["origin"]), np.array([x, np.cross(z, x), z])


def local(points, told):
    origin, rows = frame_of(told)
    return (np.array(points) - origin) @ rows.T


def held(faults, what, told, wanted, within):
    if not abs(told - wanted) <= within:
        faults.append(f"{what} {told}, expected {wanted} within {within:.1e}")
    return abs(told - wanted)


def scattered(points):
    points = np.array(points)
    middle = points.mean(axis=0)
    _, _, rows = np.linalg.svd(points - middle)
    return middle, rows


def line(case, whole, scatter):
    middle, rows = scattered(case["points"])
    faults = []
    off = held(faults, "direction", np.linalg.norm(np.cross(case["found"]["axis"], rows[0])), 0.0, SAME)
    from_line = np.array(case["found"]["origin"]) - middle
    off = max(off, held(faults, "place", np.linalg.norm(np.cross(from_line, rows[0])), 0.0, SAME))
    return [f"within {off:.1e}"], faults


def plane(case, whole, scatter):
    middle, rows = scattered(case["points"])
    faults = []
    off = held(faults, "direction", np.linalg.norm(np.cross(case["found"]["axis"], rows[2])), 0.0, SAME)
    off = max(off, held(faults, "place", (np.array(case["found"]["origin"]) - middle) @ rows[2], 0.0, SAME))
    q = local(case["points"], case["found"])
    heights = lambda u: (q[:, 2] - u[0] * q[:, 0] - u[1] * q[:, 1]) / np.sqrt(1 + u[0] ** 2 + u[1] ** 2)
    return touched(faults, [f"within {off:.1e}"], heights, 2, {"zone": case["zone"]})


def distances(u, q):
    """From an axis through (u0, u1) with slopes (u2, u3); real and complex."""
    d = np.array([u[2], u[3], 1.0 + 0 * u[2]])
    d = d / np.sqrt((d * d).sum())
    off = q - np.array([u[0], u[1], 0 * u[0]])
    square = off - np.outer(off @ d, d)
    return np.sqrt((square * square).sum(axis=1))


def jacobian(function, u):
    step = 1e-30
    columns = []
    for k in range(len(u)):
        moved = np.array(u, dtype=complex)
        moved[k] += 1j * step
        columns.append(function(moved).imag / step)
    return np.column_stack(columns)


def squares(function, guess):
    return least_squares(function, guess, jac=lambda u: jacobian(function, u), method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15).x


def circle(case, whole, scatter):
    q = local(case["points"], case["start"])
    from_axis = lambda u: np.sqrt((q[:, 0] - u[0]) ** 2 + (q[:, 1] - u[1]) ** 2)
    u = squares(lambda u: from_axis(u) - u[2], [0, 0, case["radius"]])
    found = local([case["found"]["origin"]], case["start"])[0]
    faults = []
    off = [held(faults, name, told, wanted, SAME) for name, told, wanted in zip(("place", "place", "radius"), [*found[:2], case["radius"]], u)]
    about = local(case["points"], case["found"])
    near = lambda u: np.sqrt((about[:, 0] - u[0]) ** 2 + (about[:, 1] - u[1]) ** 2)
    return touched(faults, [f"within {max(off):.1e}"], near, 2, case if whole else {"zone": case["zone"]})


def cylinder(case, whole, scatter):
    q = local(case["points"], case["start"])
    u = squares(lambda u: distances(u, q) - u[4], [0, 0, 0, 0, case["radius"]])
    faults = []
    axis = frame_of(case["start"])[1] @ np.array(case["found"]["axis"])
    foot = local([case["found"]["origin"]], case["start"])[0]
    foot = foot - axis * foot[2] / axis[2]
    theirs = [foot[0], foot[1], axis[0] / axis[2], axis[1] / axis[2], case["radius"]]
    off = [held(faults, name, told, wanted, SAME) for name, told, wanted in zip(("foot", "foot", "slope", "slope", "radius"), theirs, u)]
    about = local(case["points"], case["found"])
    return touched(faults, [f"within {max(off):.1e}"], lambda u: distances(u, about), 4, case if whole else {"zone": case["zone"]})


def cone(case, whole, scatter):
    q = local(case["points"], case["start"])

    def walls(u):
        d = np.array([u[2], u[3], 1.0 + 0 * u[2]])
        d = d / np.sqrt((d * d).sum())
        off = q - np.array([u[0], u[1], 0 * u[0]])
        height = off @ d
        square = off - np.outer(height, d)
        angle = case["half_angle"] + u[4]
        return np.sqrt((square * square).sum(axis=1)) * np.cos(angle) - height * np.sin(angle)

    notes, faults = touched([], [], walls, 5, {"zone": case["zone"]})
    return notes, faults if whole or scatter < ROUGH else []


def touched(faults, notes, function, unknowns, case):
    """Zone, pin and ring by SLSQP from the fit by least squares, and from two starts beside it; the best counts."""
    scale = np.array([1e-2] * unknowns)
    if unknowns > 2:
        scale[2:] = 1e-3
    first = function(np.zeros(unknowns))
    kinds = {"zone": (-1.0, 1.0), "pin": (-1.0, 0.0), "ring": (0.0, 1.0)}
    for name, (low, high) in kinds.items():
        if name not in case:
            continue
        told = case[name]
        mine = {"zone": told["greatest"] - told["least"], "pin": -told["least"], "ring": told["greatest"]}[name]
        base = first.mean()

        def aim(v):
            return low * v[-2] + high * v[-1]

        bounds = []
        if low:
            bounds.append({"type": "ineq", "fun": lambda v: (function(v[:-2] * scale) - base) - v[-2]})
        if high:
            bounds.append({"type": "ineq", "fun": lambda v: v[-1] - (function(v[:-2] * scale) - base)})
        best = np.inf
        for shift in (0.0, 0.05, -0.05):
            start = np.append(np.full(unknowns, shift), [0.0, 0.0])
            now = function(start[:-2] * scale) - base
            start[-2:] = now.min(), now.max()
            fun = aim if low and high else (lambda v: -v[-2]) if low else (lambda v: v[-1])
            solved = minimize(fun, start, constraints=bounds, method="SLSQP", options={"ftol": 1e-15, "maxiter": 500})
            at = function(solved.x[:-2] * scale)
            reached = at.max() - at.min() if name == "zone" else -at.min() if name == "pin" else at.max()
            best = min(best, reached)
        notes.append(f"{name} {abs(mine):.6f}, off {mine - best:.1e}")
        # Larger is worse in each: a wider zone, a thinner pin, a wider ring.
        if mine - best > TOUCHING:
            faults.append(f"{name}: {abs(mine)}, by SLSQP {abs(best)}")
    return notes, faults
