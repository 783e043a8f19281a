"""Holes and sections on drawings, held against the STEP file of the same part, which Open CASCADE reads.

Each row of the table of holes must be a round face of the STEP file with that diameter about that place. Open CASCADE cuts the part along the
shaft; the contour of its cut must be drawn in section A–A. In the section along the sender's axis each step of the bore must stand as two
lines that are its diameter apart. Everything is also asked for with a wrong size or at a wrong place, where it must not be found.
"""

import re
import tempfile
from pathlib import Path

import ezdxf
import numpy as np
import yaml
from build123d import import_step
from checks import call
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepAlgoAPI import BRepAlgoAPI_Section
from OCP.GCPnts import GCPnts_UniformAbscissa
from OCP.GeomAbs import GeomAbs_Cylinder
from OCP.gp import gp_Dir, gp_Pln, gp_Pnt
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from scipy.spatial import cKDTree

INCH = 25.4
FILES = ("demo_mm", "demo_inch", "short_lugs", "two_mounts", "pulse_sender")
HALF_PLACE = 6e-5  # of the file's unit: places are printed to four decimals
WRONG = 0.05  # mm by which a wrong place or radius is off
STEP = 0.4  # mm on the part, from one point of a contour to the next
NEAR = 0.15  # mm of paper: a chain's chord, and a quarter of a millimetre by which the cut may lie beside a face that the plane touches
SHARE = 0.01  # of the points may lie on no line of the drawing


def add(run):
    for params in run.mine([run.params / f"{name}.yaml" for name in FILES]):
        run.checks.run(f"holes and sections on the drawing of {params.stem}", compare, run, params)


def compare(run, params):
    with tempfile.TemporaryDirectory() as folder:
        _, reasons = call([str(run.program), "draw", str(params), "--out", folder])
        if not reasons:
            _, reasons = call([str(run.program), "build", str(params), "--form", "finished", "--out", folder])
        if reasons:
            return [], reasons
        drawing = ezdxf.readfile(Path(folder) / params.stem / "finished-drawing.dxf")
        solid = import_step(str(Path(folder) / params.stem / "finished.step"))
    unit = INCH if yaml.safe_load(params.read_text("utf-8"))["units"] in ("in", "inch", "inches") else 1.0
    model = drawing.modelspace()
    texts = [(decoded(t), t) for t in model.query("TEXT")]
    told = hole_rows([text for text, _ in texts], unit)
    faults = [] if told else ["the table of holes is empty"]
    faults += holes(solid, told, unit)
    shown, off = contour(solid, model, texts)
    steps, more = sender(model, texts, told)
    return [f"{len(told)} holes, {shown} points of the cut, {steps} steps at the sender"], faults + off + more


def decoded(text):
    return re.sub(r"\\U\+([0-9A-F]{4})", lambda m: chr(int(m.group(1), 16)), text.dxf.text)


def hole_rows(texts, unit):
    """(name, diameter, place, whether it is a step of the sender's bore) of each row, mm."""
    start = next((k for k, text in enumerate(texts) if text.startswith("Holes")), None)
    out = []
    cells = texts[start + 8:] if start is not None else []
    while len(cells) >= 7 and re.fullmatch(r"[A-Z]+\d+", cells[0]) and cells[2].startswith("Ø"):
        out.append((cells[0], float(cells[2][1:]) * unit, np.array([float(x) for x in cells[4:7]]) * unit, cells[3].startswith("sender")))
        cells = cells[7:]
    return out


def holes(solid, told, unit):
    """Rows that are no round face of the solid, or would be one with another size or at another place."""
    round_faces = []
    for face in solid.faces():
        surface = BRepAdaptor_Surface(face.wrapped)
        if surface.GetType() == GeomAbs_Cylinder:
            axis, radius = surface.Cylinder().Axis(), surface.Cylinder().Radius()
            at, way = axis.Location(), axis.Direction()
            round_faces.append((np.array([at.X(), at.Y(), at.Z()]), np.array([way.X(), way.Y(), way.Z()]), radius))

    def found(diameter, place):
        # A place is rounded in each of its coordinates.
        return any(abs(2 * r - diameter) < 2 * HALF_PLACE * unit and np.linalg.norm(np.cross(place - p, d)) < 2 * HALF_PLACE * unit
                   for p, d, r in round_faces)

    out = []
    for name, diameter, place, _ in told:
        if not found(diameter, place):
            out.append(f"{name}: no hole of {diameter:.4f} mm at {place} in the STEP file")
        if found(diameter + WRONG, place) or all(found(diameter, place + WRONG * way) for way in np.eye(3)):
            out.append(f"{name}: a wrong size or place passes as well")
    return out


def contour(solid, model, texts):
    """Points of the contour that Open CASCADE cuts along the shaft, and whether they are drawn in section A–A."""
    section = BRepAlgoAPI_Section(solid.wrapped, gp_Pln(gp_Pnt(0, 0, 0), gp_Dir(0, 1, 0)))
    section.Build()
    points, edges = [], TopExp_Explorer(section.Shape(), TopAbs_EDGE)
    while edges.More():
        curve = BRepAdaptor_Curve(TopoDS.Edge(edges.Current()))
        even = GCPnts_UniformAbscissa(curve, STEP)
        if even.IsDone():
            along = [curve.Value(even.Parameter(k + 1)) for k in range(even.NbPoints())]
            points += [(p.X(), p.Z()) for p in along]
        edges.Next()
    if len(points) < 500:
        return len(points), [f"Open CASCADE's cut has {len(points)} points only"]
    scale = next(text for text, _ in texts if re.fullmatch(r"1:\d+", text))
    factor = 1.0 / float(scale[2:])
    # Stations count from the origin of the section; those of the enlarged tail have another scale.
    stations = [d for d in model.query("DIMENSION") if d.dimtype == 6
                and abs(d.doc.dimstyles.get(d.dxf.dimstyle).dxf.dimlfac * factor - 1.0) < 1e-9]
    origin = np.array(stations[0].dxf.defpoint)[:2]
    drawn = cKDTree(np.array(visible(model)))
    off = [np.mean(drawn.query(origin + factor * np.array(points) + moved)[0] > NEAR) for moved in ((0.0, 0.0), (0.6, 0.6))]
    out = [] if off[0] <= SHARE else [f"{off[0]:.4f} of the cut's contour is not in section A–A"]
    return len(points), out + ([] if off[1] > 0.2 else [f"a contour beside it is drawn as well, but for {off[1]:.4f}"])


def visible(model):
    """Points on all visible lines, a twentieth of a millimetre apart at most."""
    out = []
    for entity in model.query('*[layer=="visible"]'):
        path = ezdxf.path.make_path(entity)
        corners = np.array([(p.x, p.y) for p in path.flattening(0.005)])
        for a, b in zip(corners, corners[1:]):
            out += list(a + (b - a) * np.linspace(0, 1, 2 + int(np.linalg.norm(b - a) / 0.05))[:, None])
    return out


def sender(model, texts, told):
    """Steps of the sender's bore, and those that do not stand in their section as two lines their diameter apart."""
    caption = next(((text, t) for text, t in texts if text.startswith("Section along the sender's axis")), None)
    steps = [(name, diameter) for name, diameter, _, is_step in told if is_step]
    if caption is None:
        return 0, ["no section along the sender's axis"] if steps else []
    paper, part = re.search(r"(\d+):(\d+)$", caption[0]).groups()
    factor, below = float(paper) / float(part), caption[1].get_placement()[1]
    upright = [((e.dxf.start.x, min(e.dxf.start.y, e.dxf.end.y)), e.dxf.layer) for e in model.query("LINE")
               if abs(e.dxf.start.x - e.dxf.end.x) < 1e-6]
    # The axis is the lowest centre line above the caption.
    axes = [(y, x) for (x, y), layer in upright if layer == "centre" and abs(x - below.x) < 60 and y > below.y]
    x = min(axes)[1]
    sides = [a - x for (a, y), layer in upright if layer == "visible" and y > below.y]

    def stands(diameter):
        return all(any(abs(side - half * diameter * factor) < 2e-4 for side in sides) for half in (-0.5, 0.5))

    missing = [f"{name}: no bore of {d:.4f} mm in its section" for name, d in steps if not stands(d)]
    return len(steps), missing + [f"{name}: a wider bore stands there as well" for name, d in steps if stands(d + WRONG)]
