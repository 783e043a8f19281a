"""Sharp bodies built, joined and filleted by Open CASCADE alone.

    python occ_fillet.py SHARP.json OUT.json

SHARP.json is what the fillet_cases example writes: {"radius_mm", "tree": {"steps": [...]}}, the
steps as in tests/bench/tree_sides.py, with "rounds" [bottom, top], the radii of rounded edges
around a prism's ends. A process of its own: a fillet can bring Open CASCADE down or never end.
"""

import json
import sys
from pathlib import Path

from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Curve2d
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet
from OCP.BRepGProp import BRepGProp
from OCP.GeomLProp import GeomLProp_SLProps
from OCP.gp import gp_Pnt, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_REVERSED
from OCP.TopoDS import TopoDS
from occ_read import INTEGRAL_TOLERANCE, TopAbs_SOLID, distinct, parts

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "bench"))
import tree_sides

SMOOTH = 1e-3  # sine of the angle between two faces that run on into each other
ROUND = 1e-6  # mm, how far an end's edges may lie off the end's plane


def volume(shape):
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, found, INTEGRAL_TOLERANCE, False, False)
    return found.Mass()


def length(edge):
    found = GProp_GProps()
    BRepGProp.LinearProperties_s(edge, found)
    return found.Mass()


def outward(face, edge, at):
    """The face's outward normal at a parameter of its edge."""
    uv = BRepAdaptor_Curve2d(edge, face).Value(at)
    here = GeomLProp_SLProps(BRep_Tool.Surface_s(face), uv.X(), uv.Y(), 1, 1e-9)
    normal = gp_Vec(here.Normal())
    return normal.Reversed() if face.Orientation() == TopAbs_REVERSED else normal


def turn(edge, faces):
    """Sine of the angle by which the solid turns over an edge: below zero where it turns inwards.

    `edge` as the first face uses it: that face lies on its left, seen from outside.
    """
    curve = BRepAdaptor_Curve(edge)
    at = 0.5 * (curve.FirstParameter() + curve.LastParameter())
    along, point = gp_Vec(), gp_Pnt()
    curve.D1(at, point, along)
    along.Normalize()
    if edge.Orientation() == TopAbs_REVERSED:
        along.Reverse()
    first, second = (outward(face, edge, at) for face in faces)
    return first.Crossed(second).Dot(along)


def joints(shape):
    """The edges where two faces meet inwards."""
    uses = {}
    for face in map(TopoDS.Face, parts(shape, TopAbs_FACE)):
        for edge in map(TopoDS.Edge, parts(face, TopAbs_EDGE)):
            if not BRep_Tool.Degenerated_s(edge):
                uses.setdefault(edge.TShape(), []).append((edge, face))
    found = []
    for (edge, first), (_, second) in (both for both in uses.values() if len(both) == 2):
        if not first.IsSame(second) and turn(edge, (first, second)) < -SMOOTH:
            found.append(edge)
    return found


def filleted(shape, edges, radius):
    """(word, shape or None): `valid`, `invalid` or `refused`, and what came out."""
    maker = BRepFilletAPI_MakeFillet(shape)
    for edge in edges:
        maker.Add(radius, edge)
    try:
        maker.Build()
        if not maker.IsDone():
            return "refused", None
        out = maker.Shape()
    except Exception:
        return "refused", None
    solids = list(parts(out, TopAbs_SOLID))
    sound = len(solids) == 1 and BRepCheck_Analyzer(out).IsValid()
    return ("valid" if sound else "invalid"), out


def body(step):
    """One body, the edges around its ends rounded."""
    solid = tree_sides.occ_primitive(step)
    frame = step["frame"]
    origin, along = gp_Vec(*frame["origin"]), gp_Vec(*frame["z"])
    for radius, height in zip(step.get("rounds", [0.0, 0.0]), (0.0, step.get("height", 0.0))):
        if radius > 0.0:
            flat = origin.Dot(along) + height
            edges = map(TopoDS.Edge, distinct(solid.wrapped, TopAbs_EDGE))
            around = [edge for edge in edges if in_plane(edge, along, flat)]
            word, shape = filleted(solid.wrapped, around, radius)
            if word != "valid":
                raise RuntimeError(f"the edges around an end could not be rounded by {radius} mm: {word}")
            solid = type(solid)(shape)
    return solid


def in_plane(edge, along, height):
    curve = BRepAdaptor_Curve(edge)
    low, high = curve.FirstParameter(), curve.LastParameter()
    points = (curve.Value(low + (high - low) * share) for share in (0.0, 0.3, 0.7, 1.0))
    return all(abs(gp_Vec(p.XYZ()).Dot(along) - height) < ROUND for p in points)


def joined(tree):
    """The union of all bodies that are added, faces and edges as the Boolean leaves them."""
    bodies = [body(step) for step in tree["steps"] if step["op"] == "add" and step["kind"] != "fillets"]
    union = bodies[0].fuse(*bodies[1:])
    solids = union.solids()
    if len(solids) != 1:
        raise RuntimeError(f"{len(solids)} solids")
    return solids[0].wrapped


def answer(case):
    """What Open CASCADE makes of a case."""
    sharp = joined(case["tree"])
    edges = joints(sharp)
    out = {
        "sharp_volume_mm3": volume(sharp),
        "joints": len(edges),
        "joint_length_mm": sum(length(edge) for edge in edges),
    }
    out["word"], shape = filleted(sharp, edges, case["radius_mm"])
    if shape is not None:
        out["added_mm3"] = volume(shape) - out["sharp_volume_mm3"]
    return out


def main():
    case, result = sys.argv[1:]
    with open(case, encoding="utf-8") as file:
        found = answer(json.load(file))
    with open(result, "w", encoding="utf-8") as file:
        json.dump(found, file)
    return 0


if __name__ == "__main__":
    sys.exit(main())
