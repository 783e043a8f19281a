"""Holds a 3MF or GLB file against lib3mf, trimesh, manifold3d and what is expected of it.

    python pack_check.py FILE.3mf|FILE.glb --expect FILE.json

The expectation names all bodies and all metadata:

    {"bodies": [{"name": "finished", "volume_mm3": 1.0, "volume_bound_mm3": 0.1,
                 "triangles": 12, "box_mm": [[0, 0, 0], [1, 1, 1]],
                 "mean_mm": [0.5, 0.5, 0.5],
                 "paints": {"cast": {"rgb": [1, 2, 3], "triangles": 12}}}],
     "metadata": {"Title": "...", "tailpattern:form": "..."}}

`mean_mm` is the mean of all vertices: a round part lies in the same box however it is turned.
The file must be in the units of its format (3MF: millimetres; glTF: metres, Y up). Each body must
be one closed, oriented manifold of the expected volume, place and colours; nothing may be added
to the metadata. A 3MF file must also pass lib3mf in strict mode without a warning.
"""

import argparse
import json
import sys
from dataclasses import dataclass

import lib3mf
import mesh_check
import numpy as np
import pygltflib
import trimesh

NAMESPACE = "urn:tailpattern:metadata:1"
PREFIX = "tailpattern:"
MILLIMETRE = 1
# glTF has Y up: x stays, y is the part's z, z its -y.
UPRIGHT = np.array([[1, 0, 0], [0, 0, 1], [0, -1, 0]]) / 1000.0
SLACK = 1e-4  # mm: single precision within some 500 mm
CHORD = 0.05  # mm, of meshes as `build` makes them
COLOUR = 0.004  # share of a colour: a step of 255


@dataclass
class Seen:
    """One body as a file shows it: mm, Z up, in its place; colours as sRGB shares."""

    name: str
    vertices: np.ndarray
    triangles: np.ndarray
    paints: dict  # name: (rgb, triangles)


def read_3mf(path):
    """(bodies, metadata, reasons) by lib3mf; trimesh must see the same bodies."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    warnings = [reader.GetWarning(i) for i in range(reader.GetWarningCount())]
    reasons = [f"pack: lib3mf warns: {warning}" for warning in warnings]
    if int(model.GetUnit()) != MILLIMETRE:
        reasons.append(f"pack: unit {model.GetUnit()}, not millimetre")
    materials = {}
    groups = model.GetBaseMaterialGroups()
    while groups.MoveNext():
        group = groups.GetCurrentBaseMaterialGroup()
        for number in group.GetAllPropertyIDs():
            colour = group.GetDisplayColor(number)
            rgb = (colour.Red / 255, colour.Green / 255, colour.Blue / 255)
            materials[group.GetResourceID(), number] = (group.GetName(number), rgb)
    bodies = []
    items = model.GetBuildItems()
    while items.MoveNext():
        item = items.GetCurrent()
        thing = item.GetObjectResource()
        mesh = model.GetMeshObjectByID(thing.GetResourceID())
        if not mesh.IsManifoldAndOriented():
            reasons.append(f"pack: {thing.GetName()}: lib3mf finds it not manifold or not oriented")
        bodies.append(_body_3mf(thing.GetName(), mesh, item.GetObjectTransform(), materials))
    found = model.GetMetaDataGroup()
    metadata = {}
    for i in range(found.GetMetaDataCount()):
        entry = found.GetMetaData(i)
        prefix = {"": "", NAMESPACE: PREFIX}.get(entry.GetNameSpace(), entry.GetNameSpace())
        metadata[prefix + entry.GetName()] = entry.GetValue()
    return bodies, metadata, reasons + _trimesh_3mf(path, bodies)


def _body_3mf(name, mesh, transform, materials):
    place = np.array([list(row) for row in transform.Fields])
    vertices = np.array([list(v.Coordinates) for v in mesh.GetVertices()])
    triangles = np.array([list(t.Indices) for t in mesh.GetTriangleIndices()])
    own = mesh.GetObjectLevelProperty()
    paints = {}
    for entry in mesh.GetAllTriangleProperties():
        key = (entry.ResourceID, entry.PropertyIDs[0]) if entry.ResourceID else tuple(own[:2])
        label, rgb = materials[key]
        paints[label] = (rgb, paints.get(label, (rgb, 0))[1] + 1)
    return Seen(name, vertices @ place[:3] + place[3], triangles, paints)


def _trimesh_3mf(path, bodies):
    """trimesh reads double precision: its meshes must be closed too, and lie in the same place."""
    scene = trimesh.load_scene(path, process=False)
    reasons = []
    if scene.units not in ("millimeter", "millimeters"):
        reasons.append(f"pack: trimesh reads the unit {scene.units}")
    for body in bodies:
        if body.name not in scene.graph.nodes_geometry:
            found = list(scene.graph.nodes_geometry)
            reasons.append(f"pack: {body.name}: trimesh does not find it in {found}")
            continue
        place, geometry = scene.graph[body.name]
        mesh = scene.geometry[geometry].copy()
        mesh.apply_transform(place)
        if not (mesh.is_watertight and mesh.is_winding_consistent):
            reasons.append(f"pack: {body.name}: open: trimesh finds it not watertight")
        different = len(np.unique(mesh.vertices, axis=0))
        if different != len(mesh.vertices):
            reasons.append(f"pack: {body.name}: {len(mesh.vertices) - different} vertices coincide")
        if mesh.vertices.shape != body.vertices.shape or np.abs(mesh.vertices - body.vertices).max() > SLACK:
            reasons.append(f"pack: {body.name}: trimesh and lib3mf see different vertices")
    return reasons


def read_glb(path):
    """(bodies, metadata, reasons) by pygltflib and trimesh."""
    text = pygltflib.GLTF2().load_binary(str(path))
    metadata = dict(text.asset.extras or {})
    reasons = [] if text.asset.version == "2.0" else [f"pack: glTF version {text.asset.version}"]
    nodes = [text.nodes[i] for i in text.scenes[text.scene].nodes]
    scene = trimesh.load_scene(path, process=False, merge_primitives=False)
    bodies = []
    for node in nodes:
        parts = [name for name in scene.graph.nodes_geometry if _root_of(scene, name) == node.name]
        if len(parts) != len(text.meshes[node.mesh].primitives):
            reasons.append(f"pack: {node.name}: trimesh finds {len(parts)} of its primitives")
        if parts:
            bodies.append(_body_glb(node.name, scene, sorted(parts)))
    return bodies, metadata, reasons + _normals_glb(text)


def _root_of(scene, name):
    """The node right below the scene's base that a node hangs from."""
    parents = scene.graph.transforms.parents
    while parents.get(name) not in (None, scene.graph.base_frame):
        name = parents[name]
    return name


def _body_glb(name, scene, parts):
    """Primitives put together; points of the same three single-precision numbers are one vertex."""
    corners, paints = [], {}
    for part in parts:
        place, geometry = scene.graph[part]
        mesh = scene.geometry[geometry]
        placed = trimesh.transform_points(mesh.vertices, place) @ np.linalg.inv(UPRIGHT).T
        corners.append(placed[mesh.faces].reshape(-1, 3))
        material = mesh.visual.material
        light = np.array(material.baseColorFactor[:3], dtype=float)
        paints[material.name] = (light, len(mesh.faces))
    # The same transform was applied to equal numbers, so that equal points stay equal bit by bit.
    vertices, index = np.unique(np.concatenate(corners), axis=0, return_inverse=True)
    paints = {label: (_display(light), count) for label, (light, count) in paints.items()}
    return Seen(name, vertices, index.reshape(-1, 3), paints)


def _normals_glb(text):
    """Written normals have length 1 and point out of their triangles; needles are left out."""
    blob = text.binary_blob()

    def numbers(index):
        accessor = text.accessors[index]
        view = text.bufferViews[accessor.bufferView]
        kind = {5125: "<u4", 5126: "<f4"}[accessor.componentType]
        width = {"SCALAR": 1, "VEC3": 3}[accessor.type]
        start = (view.byteOffset or 0) + (accessor.byteOffset or 0)
        return np.frombuffer(blob, kind, accessor.count * width, start).reshape(-1, width)

    reasons, worst = [], 1.0
    for mesh in text.meshes:
        for primitive in mesh.primitives:
            if primitive.attributes.NORMAL is None:
                reasons.append(f"pack: {mesh.name}: a primitive without normals")
                continue
            triangles = numbers(primitive.indices).reshape(-1, 3)
            points = numbers(primitive.attributes.POSITION).astype(float)[triangles]
            normals = numbers(primitive.attributes.NORMAL).astype(float)
            if np.abs(np.linalg.norm(normals, axis=1) - 1.0).max() > 1e-5:
                reasons.append(f"pack: {mesh.name}: a normal not of length 1")
            edges = points[:, 1:] - points[:, :1]
            cross = np.cross(edges[:, 0], edges[:, 1])
            size = np.linalg.norm(cross, axis=1)
            sound = facing(points, size)
            flat = cross[sound] / size[sound, None]
            cosine = np.einsum("tj,tkj->tk", flat, normals[triangles[sound]])
            worst = min(worst, cosine.min(initial=1.0))
    if worst <= 0.5:
        reasons.append(f"pack: a normal is {np.degrees(np.arccos(worst)):.1f} degrees off its triangle's")
    return reasons


def facing(points, size):
    """Which triangles have a way to face, of their corners and the lengths of their cross products (twice the areas). Corners nearly in a line
    along a bent surface lie within the chord of it whichever way their triangle faces: their height over their longest side counts."""
    longest = np.linalg.norm(points - np.roll(points, 1, axis=1), axis=2).max(axis=1)
    return size > np.maximum(0.01 * longest, CHORD) * longest


def _display(light):
    """sRGB of light, both as shares; trimesh gives a colour as 0 to 255."""
    light = light / 255.0 if light.max() > 1.0 else light
    return np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055)


def _judge(seen, expect):
    """Reasons against one body."""
    lines, reasons = [], []
    mesh = trimesh.Trimesh(seen.vertices, seen.triangles, process=False)
    reasons += mesh_check.edges(seen.triangles)
    if not mesh.is_watertight:
        reasons.append("open: trimesh finds it not watertight")
    solid, refused = mesh_check.manifold(seen.vertices, seen.triangles)
    reasons += refused
    gap = abs(mesh.volume - expect["volume_mm3"])
    lines.append(
        f"pack: {seen.name}: vertices {len(seen.vertices)} triangles {len(seen.triangles)} "
        f"volume {mesh.volume:.4f} off by {gap:.6f}, manifold volume {solid:.4f}"
    )
    if not gap <= expect["volume_bound_mm3"]:
        reasons.append(f"volume {mesh.volume}, expected {expect['volume_mm3']}")
    box = np.array([seen.vertices.min(axis=0), seen.vertices.max(axis=0)])
    if np.abs(box - np.array(expect["box_mm"])).max() > SLACK:
        reasons.append(f"stands in the box {box.tolist()}, expected {expect['box_mm']}")
    mean = seen.vertices.mean(axis=0)
    if np.abs(mean - np.array(expect["mean_mm"])).max() > SLACK:
        reasons.append(f"stands with its vertices about {mean.tolist()}, expected {expect['mean_mm']}")
    if len(seen.triangles) != expect["triangles"]:
        reasons.append(f"{len(seen.triangles)} triangles, expected {expect['triangles']}")
    if set(seen.paints) != set(expect["paints"]):
        reasons.append(f"colours {sorted(seen.paints)}, expected {sorted(expect['paints'])}")
    for label in sorted(set(seen.paints) & set(expect["paints"])):
        (rgb, count), other = seen.paints[label], expect["paints"][label]
        if np.abs(np.array(rgb) - np.array(other["rgb"]) / 255).max() > COLOUR:
            reasons.append(f"colour {label} is {np.array(rgb) * 255}, expected {other['rgb']}")
        if count != other["triangles"]:
            reasons.append(f"colour {label} on {count} triangles, expected {other['triangles']}")
    return lines, [f"pack: {seen.name}: {reason}" for reason in reasons]


def check(path, expect):
    """(lines of figures, reasons)."""
    try:
        bodies, metadata, reasons = read_3mf(path) if str(path).endswith(".3mf") else read_glb(path)
    except Exception as fault:
        return [], [f"pack: can't be read: {type(fault).__name__}: {fault}"]
    lines = []
    names = [body.name for body in bodies]
    asked = [body["name"] for body in expect["bodies"]]
    if names != asked:
        return lines, [*reasons, f"pack: bodies {names}, expected {asked}"]
    for body, other in zip(bodies, expect["bodies"], strict=True):
        more = _judge(body, other)
        lines += more[0]
        reasons += more[1]
    for name in sorted(set(metadata) | set(expect["metadata"])):
        found, wanted = metadata.get(name), expect["metadata"].get(name)
        if found != wanted:
            reasons.append(f"pack: metadata {name}: {found!r}, expected {wanted!r}")
    return lines, reasons


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("file")
    parser.add_argument("--expect", required=True, help="JSON of what must be in it")
    args = parser.parse_args()
    with open(args.expect, encoding="utf-8") as file:
        lines, reasons = check(args.file, json.load(file))
    for line in lines:
        print(line)
    for reason in reasons:
        print(f"FAULT {reason}")
    return 1 if reasons else 0


if __name__ == "__main__":
    sys.exit(main())
