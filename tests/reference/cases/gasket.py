"""Pressure on the gearbox face's gasket between its bolts by finite elements on the STEP file, beside the program's figure.

The bolts press on the spot faces alone; the gearbox face stands on springs as stiff as half the gasket's thickness, since a
gearbox as stiff as the housing bears on the other half.
"""

import numpy as np
import yaml
from skfem import BilinearForm, LinearForm
from scipy.sparse.linalg import splu

from elastic import Body
from load_case import METAL, told, within

SIZE = 9.0  # mm, edge of the elements
GASKET = 0.5, 120.0  # thickness, mm, and modulus, N/mm²: the program's defaults
SLICE = np.radians(4)  # half of the angle about the middle between two bolts in which pressures count

# Program over elements, 0.74, in the ring from the register to the bolts' circle. The straight beam presses less than the true ring.
RING = (0.5, 1.0)


def add(run):
    built = run.built.get("demo_mm")
    if built is None:
        run.checks.add("gasket: the demonstration", ["demo_mm was not built"])
        return
    run.checks.run("gasket: pressure between bolts", between, run, built)


def between(run, built):
    design = yaml.safe_load(built.params.read_text("utf-8"))
    face = design["gearbox_face"]
    circle = face["bolt_circles"][0]
    figures, _, _ = told(run, design, "gasket", subject="gearbox face", vertical=3)
    body = Body(built.step, SIZE, METAL, held_at=None)
    spot = face["flange"]["thickness"] - circle["spot_face"]["depth"]
    heads = body.facets(lambda x: abs(x[0] - spot) < 1e-4)
    seat = body.facets(lambda x: abs(x[0]) < 1e-6)
    thickness, modulus = GASKET
    spring = modulus / (thickness / 2)
    give = BilinearForm(lambda u, v, _: spring * (u[0] * v[0] + (u[1] * v[1] + u[2] * v[2]) / 3)).assemble(seat)
    press = LinearForm(lambda v, _: -v[0]).assemble(heads)
    free = body.free
    stiff = (body.stiffness + give[free][:, free]).tocsc()
    moved = np.zeros(body.basis.N)
    factors = splu(stiff, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    moved[free] = factors.solve(press[free])
    pressure = -spring * np.asarray(seat.interpolate(moved))[0]
    places = seat.global_coordinates().value
    mean = (pressure * seat.dx).sum() / seat.dx.sum()
    radius = np.hypot(places[1], places[2])
    step = 2 * np.pi / circle["count"]
    first = np.radians(float(str(circle["first_clock"]).split()[0]))
    off = (np.arctan2(places[1], places[2]) - first) % step - step / 2
    ring = (abs(off) < SLICE) & (radius < circle["diameter"] / 2)
    share = (pressure * seat.dx)[ring].sum() / seat.dx[ring].sum() / mean
    beyond = (abs(off) < SLICE) & (radius > circle["diameter"] / 2)
    outer = (pressure * seat.dx)[beyond].sum() / seat.dx[beyond].sum() / mean
    balance = (pressure * seat.dx).sum() / heads.dx.sum()
    lines = [f"elements: {share:.3f} of the mean within the bolts' circle, {outer:.3f} outside it"]
    reasons = within("force on the gasket over that of the bolts", balance, (0.999, 1.001), lines)
    reasons += within("program over elements", figures["pressure between bolts"] / 100 / share, RING, lines)
    return lines, reasons
