"""Builds one solid tree (the JSON of `tailpattern build --tree`) by other libraries.

    python tree_sides.py occ|manifold TREE.json OUT.json

Each side runs in a process of its own, so that its peak memory is its own. Sides:
  occ       build123d / Open CASCADE: exact Booleans, STEP, BRepMesh at the chord, STL
  manifold  manifold3d: the primitives as meshes at the chord, mesh Booleans
The tree: {"steps": [{"op": "add|cut|keep", "kind": "revolve|prism|fillets", "frame": {"origin", "x",
"y", "z"}, "profile": [...], "height": h, "draft_deg": a}]}. Fillets are passed by. A revolve turns its profile
(rho, z) about the frame's z; a prism runs from the frame's xy plane along +z to its height,
its section offset inwards by z tan(draft). A profile is a closed chain of
{"type": "line", "from", "to"} and {"type": "arc", "from", "to", "center", "ccw"}; an arc
that ends where it begins is a full circle.
"""

import argparse
import json
import math
import os
import resource
import sys
import tempfile
import time
from itertools import groupby

import numpy as np

CHORD = 0.05  # mm
ANGLE = 0.5  # radians, the usual angular limit of BRepMesh


def arc_angles(piece):
    """(centre, radius, first angle, signed sweep) of an arc piece."""
    centre = np.array(piece["center"], dtype=float)
    start, end = (np.array(piece[key], dtype=float) - centre for key in ("from", "to"))
    radius = float(np.hypot(*start))
    first = math.atan2(start[1], start[0])
    turn = (math.atan2(end[1], end[0]) - first) * (1.0 if piece["ccw"] else -1.0)
    turn %= 2.0 * math.pi
    if turn < 1e-9 or np.linalg.norm(start - end) < 1e-9:
        turn = 2.0 * math.pi
    return centre, radius, first, turn if piece["ccw"] else -turn


def runs(tree):
    """Neighbouring steps of one kind of Boolean go into one call, which helps both sides."""
    return [(op, list(steps)) for op, steps in groupby(sharp(tree), key=lambda step: step["op"])]


def sharp(tree):
    """The steps without the metal of fillets."""
    return [step for step in tree["steps"] if step["kind"] != "fillets"]


# ---- build123d / Open CASCADE


def occ_primitive(step):
    import build123d as b3

    # Built in its own frame and moved at the end: the tapered sweep wants its axis along z.
    # Profile coordinates are (rho, z) for a revolve, (x, y) for a prism.
    turned = step["kind"] == "revolve"
    across = b3.Vector(0, 0, 1) if turned else b3.Vector(0, 1, 0)
    x = b3.Vector(1, 0, 0)
    at = lambda p: x * float(p[0]) + across * float(p[1])
    edges = []
    for piece in step["profile"]:
        if piece["type"] == "line":
            edges.append(b3.Edge.make_line(at(piece["from"]), at(piece["to"])))
            continue
        centre, radius, first, turn = arc_angles(piece)
        point = lambda a: at(centre + radius * np.array([math.cos(a), math.sin(a)]))
        if abs(turn) > 6.28318530:
            plane = b3.Plane(origin=at(centre), x_dir=x, z_dir=x.cross(across))
            edges.append(b3.Edge.make_circle(radius, plane))
        else:
            edges.append(b3.Edge.make_three_point_arc(at(piece["from"]), point(first + turn / 2), at(piece["to"])))
    face = b3.Face(b3.Wire.combine(edges)[0])
    if turned:
        solid = b3.Solid.revolve(face, 360.0, b3.Axis.Z)
    else:
        along = b3.Vector(0, 0, float(step["height"]))
        if face.normal_at().Z < 0.0:
            face = -face
        draft = float(step.get("draft_deg") or 0.0)
        solid = b3.Solid.extrude(face, along) if draft == 0.0 else b3.Solid.extrude_taper(face, along, draft)
    frame = step["frame"]
    place = b3.Plane(origin=frame["origin"], x_dir=frame["x"], z_dir=frame["z"])
    return solid.moved(b3.Location(place))


def occ_boolean(groups):
    """The shape after all steps; each group is one Boolean call."""
    import build123d as b3

    shape = None
    for op, steps in groups:
        tools = [occ_primitive(step) for step in steps]
        if shape is None:
            shape = tools[0] if len(tools) == 1 else tools[0].fuse(*tools[1:])
        elif op == "add":
            shape = shape.fuse(*tools)
        elif op == "cut":
            shape = shape.cut(*tools)
        else:
            for tool in tools:
                shape = shape.intersect(tool)
                shape = b3.Compound(shape) if isinstance(shape, list) else shape
    return shape


def occ_side(tree, out):
    import build123d as b3
    from OCP.BRepGProp import BRepGProp
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.GProp import GProp_GProps
    from OCP.StlAPI import StlAPI_Writer

    clock = Clock()
    shape = occ_boolean(runs(tree))
    solids = shape.solids() if not isinstance(shape, b3.Solid) else [shape]
    solid = b3.Solid.clean(solids[0]) if len(solids) == 1 else shape
    clock.stop("build_s")
    b3.export_step(solid, os.path.join(out, "occ.step"))
    clock.stop("step_s")
    BRepMesh_IncrementalMesh(solid.wrapped, CHORD, False, ANGLE, False)
    clock.stop("mesh_s")
    writer = StlAPI_Writer()
    writer.ASCIIMode = False
    writer.Write(solid.wrapped, os.path.join(out, "occ.stl"))
    clock.stop("stl_s")
    volume = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid.wrapped, volume, 1e-9, False, False)
    triangles = (os.path.getsize(os.path.join(out, "occ.stl")) - 84) // 50
    peak = peak_mb()
    clock.stop("measure_s")
    occ_boolean([(step["op"], [step]) for step in sharp(tree)])
    clock.stop("build_each_s")
    return clock.times | {
        "peak_rss_mb": peak,
        "volume_mm3": volume.Mass(),
        "solids": len(solids),
        "faces": len(solid.faces()),
        "triangles": triangles,
    }


# ---- manifold3d


def polygon(step):
    """The profile as points, anticlockwise, arcs within the chord error."""
    points = []
    for piece in step["profile"]:
        if piece["type"] == "line":
            points.append(piece["from"])
            continue
        centre, radius, first, turn = arc_angles(piece)
        count = segments(radius, abs(turn))
        angles = first + turn * np.arange(count) / count
        points += (centre + radius * np.column_stack([np.cos(angles), np.sin(angles)])).tolist()
    points = np.array(points, dtype=float)
    nxt = np.roll(points, -1, axis=0)
    area = np.sum(points[:, 0] * nxt[:, 1] - nxt[:, 0] * points[:, 1])
    return points if area > 0.0 else points[::-1]


def segments(radius, turn):
    if radius <= CHORD:
        return max(3, math.ceil(turn / 2.0))
    return max(3 if turn > 3.2 else 1, math.ceil(turn / (2.0 * math.acos(1.0 - CHORD / radius))))


def inset(points, by):
    """Each corner moved inwards so that both its sides move by the same amount."""
    side = np.roll(points, -1, axis=0) - points
    normal = np.column_stack([-side[:, 1], side[:, 0]]) / np.linalg.norm(side, axis=1)[:, None]
    before = np.roll(normal, 1, axis=0)
    return points + by * (normal + before) / (1.0 + np.sum(normal * before, axis=1))[:, None]


def mesh_primitive(step):
    import manifold3d as m3

    points = polygon(step)
    if step["kind"] == "revolve":
        count = max(8, segments(float(points[:, 0].max()), 2.0 * math.pi))
        solid = m3.Manifold.revolve(m3.CrossSection([points]), count)
    elif not step.get("draft_deg"):
        solid = m3.Manifold.extrude(m3.CrossSection([points]), float(step["height"]))
    else:
        height = float(step["height"])
        top = inset(points, height * math.tan(math.radians(step["draft_deg"])))
        count = len(points)
        low, high = np.column_stack([points, np.zeros(count)]), np.column_stack([top, np.full(count, height)])
        cap = np.array(m3.triangulate([points]))
        here, there = np.arange(count), np.roll(np.arange(count), -1)
        sides = [np.column_stack([here, there, there + count]), np.column_stack([here, there + count, here + count])]
        triangles = np.concatenate([cap[:, ::-1], cap + count, *sides]).astype(np.uint64)
        solid = m3.Manifold(m3.Mesh64(vert_properties=np.concatenate([low, high]), tri_verts=triangles))
    if solid.status() != m3.Error.NoError or solid.is_empty():
        raise RuntimeError(f"manifold3d refuses a primitive: {solid.status()}")
    frame = step["frame"]
    return solid.transform(np.array([frame[key] for key in ("x", "y", "z", "origin")], dtype=float).T)


def manifold_side(tree, out):
    import manifold3d as m3

    clock = Clock()
    shape = None
    kinds = {"add": m3.OpType.Add, "cut": m3.OpType.Subtract, "keep": m3.OpType.Intersect}
    for op, steps in runs(tree):
        tools = [mesh_primitive(step) for step in steps]
        first = [] if shape is None else [shape]
        kind = m3.OpType.Add if shape is None else kinds[op]
        shape = m3.Manifold.batch_boolean(first + tools, kind)
    triangles = shape.num_tri()  # the work is lazy: this makes it happen
    clock.stop("mesh_s")
    return clock.times | {
        "peak_rss_mb": peak_mb(),
        "volume_mm3": shape.volume(),
        "solids": len(shape.decompose()),
        "triangles": triangles,
    }


def peak_mb():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


class Clock:
    def __init__(self):
        self.times = {}
        self.last = time.perf_counter()

    def stop(self, name):
        now = time.perf_counter()
        self.times[name] = now - self.last
        self.last = time.perf_counter()


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("side", choices=("occ", "manifold"))
    parser.add_argument("tree")
    parser.add_argument("result")
    args = parser.parse_args()
    with open(args.tree, encoding="utf-8") as file:
        tree = json.load(file)
    side = {"occ": occ_side, "manifold": manifold_side}[args.side]
    # The first use of a library loads it; that is not counted as building.
    __import__({"occ": "build123d", "manifold": "manifold3d"}[args.side])
    with tempfile.TemporaryDirectory() as out:
        result = side(tree, out)
    with open(args.result, "w", encoding="utf-8") as file:
        json.dump(result, file)
    return 0


if __name__ == "__main__":
    sys.exit(main())
