"""Who is right about a volume where Open CASCADE's plain rule differs: one face at a time, by four roads.

Open CASCADE integrates over (u, v) in strips. On the fillets that a rolling ball leaves, and where a
hole runs out so flat that its rim turns back sharply, its plain rule (BRepGProp without a tolerance)
is off by up to 1e-3 of a face, and by 3.5e-5 of the whole part. Asked against it: the integral along
the edges of the file's text, which step_check holds the program's own volume to; Open CASCADE's
adaptive rules; its own triangles; and, on the bushing seat of long_iron.yaml, the program's.
"""

from functools import cache

import numpy as np
import occ_read
import step_text
from checks import call
from mesh_check import read as read_stl
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepGProp import BRepGProp_Domain, BRepGProp_Face, BRepGProp_Vinert, BRepGProp_VinertGK
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepTools import BRepTools
from OCP.GeomAbs import GeomAbs_BSplineSurface
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_FACE, TopAbs_REVERSED
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS

PARTS = ("long_iron", "demo_mm")
WORST = 3  # faces of each part that are asked by all roads
APART = 0.02  # mm3: below this the plain rule's error is not worth a question
FINER = 0.05  # of the plain rule's difference: what the adaptive rules may differ from the text
FINE = 0.01  # mm, deflection of Open CASCADE's triangles
SEAT = ("long_iron", "tail/bushing seat", 28.0)  # part, face, radius in mm
SENDER = (
    ("  side_offset: 27.178 ", "  side_offset: 28.504 "),
    ("  clock: 248 deg ", "  clock: 293.99 deg "),
    ("  tilt: 10 deg ", "  tilt: 14.988 deg "),
)
CHORDS = (0.04, 0.02, 0.01)  # mm
ON_SEAT = 2e-4  # mm: single precision of the STL
SEAT_AREA = 2e-5  # of the seat's area, taken from the last two chords by extrapolation


_text = cache(step_text.check)  # half a minute for a part


def add(run):
    for name in PARTS:
        if name in run.built:
            run.checks.run(f"{name}: volume face by face", faces, run.built[name])
        else:
            run.checks.add(f"{name}: volume face by face", ["not built"])
    run.checks.run("solid_pads, sender moved: volume face by face", moved, run)
    run.checks.run("long_iron: bushing seat by finer and finer meshes", seat, run)


def faces(built):
    return worst(built.step)


def moved(run):
    """The first draft with a sender whose bore breaks out flat into the cavity."""
    text = (run.params / "solid_pads.yaml").read_text("utf-8")
    for old, new in SENDER:
        if text.count(old) != 1:
            return [], [f"solid_pads.yaml does not say once: {old}"]
        text = text.replace(old, new)
    params, out = run.folder / "sender_moved.yaml", run.folder / "sender_moved"
    params.write_text(text, "utf-8")
    _, reasons = call([str(part) for part in (run.program, "build", params, "--form", "finished", "--out", out)])
    return ([], reasons) if reasons else worst(next(out.glob("*/finished.step")))


def worst(step):
    """The faces on which Open CASCADE's plain rule is farthest from the text's integral."""
    text = _text(step)
    found = [TopoDS.Face(f) for f in occ_read.parts(occ_read.read(step), TopAbs_FACE)]
    if text.faults or len(found) != len(text.shares):
        return [], [f"text: {text.faults or 'another number of faces'}"]
    plain = [_integral(BRepGProp_Vinert, face) for face in found]
    off = sorted(range(len(found)), key=lambda i: -abs(plain[i] - text.shares[i][2]))
    total = sum(plain) / text.volume - 1.0
    lines = [f"Open CASCADE's plain rule differs by {total:+.2e} of the volume; its worst faces, mm3:"]
    reasons = []
    for i in off[:WORST]:
        name, _, share = text.shares[i]
        apart = plain[i] - share
        if abs(apart) < APART:
            break
        finer, triangles = _finer(found[i]) - share, _triangles(found[i]) - share
        lines.append(f"  {name:32} text {share:14.4f} plain {apart:+9.4f} adaptive {finer:+9.6f} "
                     f"triangles {triangles:+8.4f}")
        if abs(finer) > FINER * abs(apart):
            reasons.append(f"{name}: the adaptive rule is {finer:+.6f} mm3 off the text's integral")
        if abs(triangles) >= abs(triangles - apart):
            reasons.append(f"{name}: triangles are nearer to the plain rule's integral than to the text's")
    return lines, reasons


def _integral(rule, face, *tolerance):
    """The face's share in the volume: the cone from the origin over it."""
    found = rule()
    found.SetLocation(gp_Pnt(0.0, 0.0, 0.0))
    found.Perform(BRepGProp_Face(face, False), BRepGProp_Domain(face), *tolerance)
    return found.Mass()


def _finer(face):
    """By the adaptive rules: Gauss-Kronrod takes minutes on spline surfaces, and the other fails beside hairpins."""
    if BRepAdaptor_Surface(face).GetType() == GeomAbs_BSplineSurface:
        return _integral(BRepGProp_Vinert, face, occ_read.INTEGRAL_TOLERANCE)
    return _integral(BRepGProp_VinertGK, face, occ_read.INTEGRAL_TOLERANCE, False, False)


def _triangles(face):
    """By triangles of two finenesses, extrapolated: their own error falls as the square of their size, and would be larger on a long wall than what
    they are to decide."""
    coarse, fine = (_by_triangles(face, FINE / part**2, 0.02 / part) for part in (1, 2))
    return fine + (fine - coarse) / 3.0


def _by_triangles(face, deflection, angle):
    BRepTools.Clean_s(face)
    BRepMesh_IncrementalMesh(face, deflection, False, angle, False)
    mesh = BRep_Tool.Triangulation_s(face, TopLoc_Location())
    nodes = [mesh.Node(k) for k in range(1, mesh.NbNodes() + 1)]
    points = np.array([[p.X(), p.Y(), p.Z()] for p in nodes])
    corners = points[np.array([mesh.Triangle(k).Get() for k in range(1, mesh.NbTriangles() + 1)]) - 1]
    volume = np.sum(corners[:, 0] * np.cross(corners[:, 1], corners[:, 2])) / 6.0
    return -volume if face.Orientation() == TopAbs_REVERSED else volume


def seat(run):
    """The area of the seat that the oil feed breaks into, from the program's own meshes."""
    part, name, radius = SEAT
    built = run.built[part]
    text = _text(built.step)
    wanted = sum(area for face, area, _ in text.shares if face == name)
    exact = built.expect()["volume_mm3"]
    stations = _stations(built.step, name)
    areas, lines = [], []
    for chord in CHORDS:
        out = run.folder / f"{part}_{chord}"
        command = [run.program, "build", built.params, "--form", "finished", "--out", out, "--chord", chord]
        _, reasons = call([str(part) for part in command])
        if reasons:
            return lines, reasons
        vertices, triangles, _ = read_stl(next(out.glob("*/finished.stl")))
        corners = vertices[triangles]
        volume = np.sum(corners[:, 0] * np.cross(corners[:, 1], corners[:, 2])) / 6.0
        on = np.all(np.abs(np.hypot(corners[..., 1], corners[..., 2]) - radius) < ON_SEAT, axis=1)
        middle = corners[..., 0].mean(axis=1)
        on &= (middle > stations[0]) & (middle < stations[1])
        across = np.cross(corners[on, 1] - corners[on, 0], corners[on, 2] - corners[on, 0])
        areas.append(0.5 * np.linalg.norm(across, axis=1).sum())
        lines.append(f"chord {chord}: seat {areas[-1]:.4f} mm2, text {wanted:.4f}; volume {volume / exact - 1.0:+.2e}")
    limit = 2.0 * areas[-1] - areas[-2]
    off = limit / wanted - 1.0
    lines.append(f"extrapolated {limit:.4f} mm2, {off:+.1e}")
    return lines, [] if abs(off) <= SEAT_AREA else [f"the meshes' seat tends to {limit} mm2, the text's is {wanted}"]


def _stations(step, name):
    """First and last place along X of the seat's rims."""
    names = [share[0] for share in _text(step).shares]
    found = occ_read.parts(occ_read.read(step), TopAbs_FACE)
    ends = []
    for face, own in zip(found, names):
        if own == name:
            adaptor = BRepAdaptor_Surface(TopoDS.Face(face))
            axis = adaptor.Cylinder().Axis()
            x = [axis.Location().X() + axis.Direction().X() * v for v in
                 (adaptor.FirstVParameter(), adaptor.LastVParameter())]
            ends += x
    return min(ends), max(ends)
