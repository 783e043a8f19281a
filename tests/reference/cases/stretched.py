"""Patterns: solids larger by one factor along X and another across it, written by the stretched example.

Each file must be a sound solid of the figures in its sidecar; those must follow the solid's own in
closed form, and be the file's validation properties. Even stretches must keep all kinds of surface.
"""

import json
import re
from collections import Counter

import numpy as np
import part21
import step_check

CLOSED = 1e-9  # relative, volume and centroid against their closed forms
SPLINES = ("B_SPLINE_SURFACE_WITH_KNOTS", "RATIONAL_B_SPLINE_SURFACE")
KINDS = ("PLANE", "CYLINDRICAL_SURFACE", "CONICAL_SURFACE", "SPHERICAL_SURFACE", "TOROIDAL_SURFACE")
WANTED = ("CYLINDRICAL_SURFACE", "CONICAL_SURFACE", "TOROIDAL_SURFACE")

BETWEEN = (1.013, 1.009)
SHARES = 3


def add(run):
    folder, reasons = run.example("stretched", run.params / "demo_mm.yaml")
    run.checks.add("stretched: written", reasons)
    cases = [Case(path) for path in sorted(folder.glob("*.stretch.json"))]
    run.checks.add("stretched: there are some", [] if cases else ["none"])
    for case in run.mine(case for case in cases if run.everything or case.usual):
        run.checks.run(f"stretched {case.name}: step", step_check.check, case.step, case.expect)
        run.checks.run(f"stretched {case.name}: figures", figures, case)
    run.checks.run("stretched: kinds of surface", kinds, cases)


class Case:
    def __init__(self, path):
        self.name = path.name.removesuffix(".stretch.json")
        self.step = path.with_name(f"{self.name}.step")
        self.expect = step_check.load_sidecar(path.with_name(f"{self.name}.json"))
        self.plain = json.loads(path.read_text("utf-8"))
        self.factors = np.array([self.plain["axial"], self.plain["radial"], self.plain["radial"]])
        # The factors between the others tell more on a whole housing only.
        self.usual = tuple(self.factors[:2]) != BETWEEN or self.name.startswith("housing")
        self.even = self.plain["axial"] == self.plain["radial"]


def figures(case):
    """The sidecar follows from the plain solid, and the file's validation properties are the sidecar's."""
    expect, plain, factors = case.expect, case.plain, case.factors
    reasons = off("volume", expect["volume_mm3"], plain["volume_mm3"] * np.prod(factors))
    size = np.cbrt(expect["volume_mm3"])
    gap = np.abs(np.array(expect["centroid_mm"]) - np.array(plain["centroid_mm"]) * factors).max()
    if gap > CLOSED * size:
        reasons.append(f"centroid {gap:.3g} mm off the image of the plain one")
    # An area grows by at least the product of the two smaller factors, at most by that of the two larger.
    grown = expect["area_mm2"] / plain["area_mm2"]
    low, high = np.prod(np.sort(factors)[:2]), np.prod(np.sort(factors)[1:])
    if not low * (1.0 - CLOSED) <= grown <= high * (1.0 + CLOSED):
        reasons.append(f"the area grows by {grown}, not within {low} and {high}")
    text = case.step.read_text("ascii")
    for name, pattern in (("volume_mm3", r"VOLUME_MEASURE\(([^)]*)\)"), ("area_mm2", r"AREA_MEASURE\(([^)]*)\)")):
        reasons += off(f"validation {name}", float(re.search(pattern, text)[1]), expect[name], 0.0)
    centre = re.search(r"'centre point',\(([^)]*)\)", text)[1].split(",")
    if not np.array_equal([float(x) for x in centre], expect["centroid_mm"]):
        reasons.append(f"validation centroid {centre}, sidecar {expect['centroid_mm']}")
    return [f"area grows by {grown:.9f}"], reasons


def off(what, value, wanted, within=CLOSED):
    return [] if abs(value / wanted - 1.0) <= within else [f"{what} {value}, expected {wanted}"]


def kinds(cases):
    """Even stretches leave B-splines to canals alone; uneven ones make them of what is not turned about X."""
    reasons, even, uneven = [], Counter(), Counter()
    for case in cases:
        step = part21.read(case.step)
        found = Counter({kind: len(step.all(kind)) for kind in (*KINDS, SPLINES[0])})
        if case.even:
            even += found
            odd = [face for face in step.all("ADVANCED_FACE") if step[face.args[2]].is_a(SPLINES[0])]
            # Canals are named by the fillets that they are.
            reasons += [f"{case.name}: {face.args[0]} is a B-spline" for face in odd if "fillet" not in face.args[0]]
        else:
            uneven += found
    reasons += [f"no {kind} in any evenly stretched file" for kind in (*KINDS, SPLINES[0]) if not even[kind]]
    reasons += [f"no {kind} in any unevenly stretched file" for kind in (*WANTED[:2], SPLINES[0]) if not uneven[kind]]
    reasons += [f"unevenly stretched, yet {kind}" for kind in KINDS[3:] if uneven[kind]]
    return [f"even: {dict(even)}", f"uneven: {dict(uneven)}"], reasons
