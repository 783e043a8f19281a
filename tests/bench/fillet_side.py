"""One solid tree with fillets by Open CASCADE: the bodies are joined, their joints filleted, then all other steps made.

    python fillet_side.py TREE.json OUT.json RADIUS

Where the radius is refused, or what comes of it is no sound solid, smaller ones are tried; OUT.json
tells each radius tried with its outcome and time. The time of a build is that of the sharp union,
of the last fillet tried, and of the steps after it. What is added after a first cut (a plug in an
opening) keeps its joints sharp here, which favours this side.
"""

import json
import os
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "reference"))
import occ_fillet
import tree_sides

FACE = 1e-3  # mm, how near the gearbox face an edge lies in it
SHARES = (1.0, 0.75, 0.5, 0.35, 0.2)  # of the radius, as the program itself tries them


def cast(edge):
    """Whether an edge lies behind the gearbox face (station 0): that and what is ahead of it is machined."""
    curve = occ_fillet.BRepAdaptor_Curve(edge)
    low, high = curve.FirstParameter(), curve.LastParameter()
    return max(curve.Value(low + (high - low) * k / 8).X() for k in range(9)) > FACE


def fillet(union, edges, radius):
    """(shape or None, [{radius_mm, word, seconds}])."""
    tried = []
    for share in SHARES:
        begin = time.perf_counter()
        word, shape = occ_fillet.filleted(union, edges, radius * share)
        tried.append({"radius_mm": radius * share, "word": word, "seconds": time.perf_counter() - begin})
        if word == "valid":
            return shape, tried
    return None, tried


def side(tree, radius, out):
    import build123d as b3
    from OCP.BRepCheck import BRepCheck_Analyzer

    begin = time.perf_counter()
    groups = tree_sides.runs(tree)
    if [op for op, _ in groups[:2]] != ["add", "cut"]:
        raise RuntimeError("the tree does not begin with bodies that are joined and then cut")
    solids = tree_sides.occ_boolean(groups[:1]).solids()
    union = solids[0].wrapped
    edges = [edge for edge in occ_fillet.joints(union) if cast(edge)]
    union_s = time.perf_counter() - begin
    shape, tried = fillet(union, edges, radius)
    found = {"joints": len(edges), "tried": tried, "union_s": union_s, "fillet_s": tried[-1]["seconds"]}
    if shape is None:
        return found
    begin = time.perf_counter()
    cut = b3.Compound(shape)
    for op, steps in groups[1:]:
        tools = [tree_sides.occ_primitive(step) for step in steps]
        cut = cut.fuse(*tools) if op == "add" else cut.cut(*tools)
    found["cuts_s"] = time.perf_counter() - begin
    begin = time.perf_counter()
    b3.export_step(cut, os.path.join(out, "occ.step"))
    found["step_s"] = time.perf_counter() - begin
    found["solids"] = len(cut.solids())
    found["valid"] = BRepCheck_Analyzer(cut.wrapped).IsValid()
    found["volume_mm3"] = occ_fillet.volume(cut.wrapped)
    return found


def main():
    tree, result, radius = sys.argv[1:]
    tree = json.loads(Path(tree).read_text("utf-8"))
    with tempfile.TemporaryDirectory() as out:
        found = side(tree, float(radius), out)
    Path(result).write_text(json.dumps(found), "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
