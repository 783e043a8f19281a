"""Holds a binary STL against trimesh, manifold3d, a sidecar and the exact solid.

    python mesh_check.py FILE.stl [--expect FILE.json] [--step FILE.step] [--chord 0.05]

The mesh must be one closed, oriented manifold of positive volume. Its volume may differ
from the sidecar's by at most area x chord error; it must not run through itself; all its vertices must lie on the STEP
solid's faces, and the middles of its triangles within the chord error of them.
"""

import argparse
import os
import sys

import manifold3d
import numpy as np
import occ_read
import step_near
import trimesh
from near_faces import distances
from step_check import load_sidecar

SLACK = 1e-4  # mm: single precision of the file and edge tolerance
STEPS = 50.0  # of single precision: a triangle as low as these has no direction of its own
INTO = 0.02  # mm off a triangle: where it is asked how deep in the metal a place lies
RAYS = 5  # by whose median it is told: one may graze an edge
MOST_ASKED = 50_000  # at once
HEAD = 84  # bytes before the first triangle
TRIANGLE = np.dtype([("normal", "<f4", 3), ("points", "<f4", (3, 3)), ("spare", "<u2")])


class MeshFault(Exception):
    """The STL cannot be read."""


def read(path):
    """(vertices, triangles): corners with the same three numbers are one vertex."""
    size = os.path.getsize(path)
    if size < HEAD:
        raise MeshFault("truncated: shorter than its head")
    with open(path, "rb") as file:
        count = int.from_bytes(file.read(HEAD)[80:84], "little")
        if size != HEAD + count * TRIANGLE.itemsize:
            raise MeshFault(f"{count} triangles announced, but the file has {size} bytes")
        data = np.frombuffer(file.read(), dtype=TRIANGLE)
    if count == 0:
        raise MeshFault("no triangles")
    corners = data["points"].reshape(-1, 3)
    if not np.all(np.isfinite(corners)):
        raise MeshFault("a coordinate that is not finite")
    vertices, index = np.unique(corners + np.float32(0.0), axis=0, return_inverse=True)
    return vertices.astype(float), index.reshape(-1, 3), data["normal"]


def check(path, expect=None, step=None, chord=0.05):
    """(lines of figures, reasons)."""
    try:
        vertices, triangles, normals = read(path)
    except MeshFault as fault:
        return [], [f"mesh: {fault}"]
    thin = [len(set(t)) < 3 for t in triangles.tolist()]
    reasons = [f"mesh: {sum(thin)} triangles with two equal corners"] if any(thin) else []
    mesh = trimesh.Trimesh(vertices, triangles, process=False)
    reasons += _trimesh(mesh, normals) + edges(triangles)
    if not reasons:
        reasons += through_itself(mesh)
    solid_volume, manifold_reasons = manifold(vertices, triangles)
    reasons += manifold_reasons
    lines = [
        f"mesh: vertices {len(vertices)} triangles {len(triangles)} volume {mesh.volume:.6f} "
        f"area {mesh.area:.6f} manifold volume {solid_volume:.6f}"
    ]
    if expect is not None:
        bound = expect["area_mm2"] * chord
        gap = abs(mesh.volume - expect["volume_mm3"])
        lines.append(f"mesh: volume off by {gap:.6f}, bound {bound:.6f}")
        if not gap <= bound:
            reasons.append(f"mesh: volume {mesh.volume}, expected {expect['volume_mm3']} within {bound:.3f}")
    # A mesh that is refused already need not be held against the solid point by point.
    if step is not None and not reasons:
        solid = occ_read.read(step)
        for what, points, limit in (
            ("vertex", mesh.vertices, SLACK),
            ("middle of a triangle", mesh.triangles_center, chord + SLACK),
        ):
            far = distances(solid, points, limit)
            beyond = np.flatnonzero(~(far <= limit))
            if len(beyond):
                by_text = step_near.distances(step, points[beyond], limit)
                lines.append(f"mesh: {len(beyond)} places that Open CASCADE finds up to {far.max():.6f} mm off are up to {by_text.max():.6f} mm off by the text")
                far[beyond] = np.minimum(far[beyond], by_text)
            lines.append(f"mesh: every {what} within {far.max():.6f} mm of the solid, limit {limit:.4f}")
            if not far.max() <= limit:
                off = int(np.sum(~(far <= limit)))
                reasons.append(f"mesh: a {what} lies {far.max():.6f} mm off the solid, limit {limit} ({off} are off)")
    return lines, reasons


def _trimesh(mesh, normals):
    out = []
    if not mesh.is_watertight:
        out.append("open: trimesh finds it not watertight")
    if not mesh.is_winding_consistent:
        out.append("flipped: trimesh finds its winding not consistent")
    if not mesh.volume > 0.0:
        out.append(f"inside out: volume {mesh.volume}")
    # Written normals must agree with the corners; needles are left out, their own is noise, and so are triangles that are as
    # low as the steps of the single precision in which corners are written: 15 nm, where these are 15 nm apart.
    edges = mesh.triangles[:, 1:] - mesh.triangles[:, :1]
    cross = np.cross(edges[:, 0], edges[:, 1])
    longest = np.linalg.norm(edges, axis=2).max(axis=1)
    size = np.linalg.norm(cross, axis=1)
    step = np.spacing(np.abs(mesh.triangles).max(axis=(1, 2)).astype(np.float32)).astype(float)
    sound = size > np.maximum(0.01 * longest, STEPS * step) * longest
    cosine = np.sum(cross[sound] * normals[sound], axis=1) / size[sound]
    wrong = int(np.sum(cosine < 0.999))
    if wrong:
        out.append(f"flipped: {wrong} written normals disagree with their triangles")
    return [f"mesh: {reason}" for reason in out]


def through_itself(mesh):
    """Whether the boundary runs through itself: beside each triangle, outside and inside, lie places that are neither out of the metal nor once in it.

    Each face of a solid may be sound, and all edges paired, where two fillets run through each other in a gap; what lies between them is then turned
    inside out."""
    rays = trimesh.ray.ray_pyembree.RayMeshIntersector(mesh)
    random = np.random.default_rng(7)
    own = np.flatnonzero(mesh.area_faces > INTO * INTO)
    places = np.einsum("ij,ijk->ik", random.dirichlet((1.0, 1.0, 1.0), len(own)), mesh.triangles[own])
    places = np.vstack([places + side * INTO * mesh.face_normals[own] for side in (1.0, -1.0)])
    depth = _depth(mesh, rays, places, random)
    doubtful = np.flatnonzero((depth < 0) | (depth > 1))
    if not len(doubtful):
        return []
    depth = np.median([_depth(mesh, rays, places[doubtful], random) for _ in range(RAYS)], axis=0)
    wrong = places[doubtful[(depth < 0) | (depth > 1)]]
    return [f"mesh: it runs through itself near {np.round(np.median(wrong, axis=0), 1).tolist()}, {len(wrong)} places"] if len(wrong) else []


def _depth(mesh, rays, places, random):
    """How often each place lies in the metal: how often a ray from there leaves it, less how often it enters."""
    out = np.zeros(len(places))
    for first in range(0, len(places), MOST_ASKED):
        some = places[first : first + MOST_ASKED]
        ways = random.normal(size=(len(some), 3))
        ways /= np.linalg.norm(ways, axis=1)[:, None]
        _, ray, triangle = rays.intersects_location(some, ways, multiple_hits=True)
        leaves = np.sign(np.sum(mesh.face_normals[triangle] * ways[ray], axis=1))
        out[first : first + len(some)] = np.bincount(ray, weights=leaves, minlength=len(some))
    return out


def edges(triangles):
    """Every directed edge once, with its opposite once."""
    count = int(triangles.max()) + 1
    starts = triangles.astype(np.int64).ravel()
    ends = np.roll(triangles, -1, axis=1).astype(np.int64).ravel()
    edges, uses = np.unique(starts * count + ends, return_counts=True)
    out = []
    if np.any(uses > 1):
        out.append(f"mesh: not manifold: {int(np.sum(uses > 1))} directed edges used more than once")
    missing = np.setdiff1d(edges, ends * count + starts)
    if len(missing):
        out.append(f"mesh: open: {len(missing)} directed edges without an opposite")
    return out


def manifold(vertices, triangles):
    mesh = manifold3d.Mesh64(
        vert_properties=np.ascontiguousarray(vertices),
        tri_verts=np.ascontiguousarray(triangles, dtype=np.uint64),
    )
    solid = manifold3d.Manifold(mesh)
    if solid.status() != manifold3d.Error.NoError:
        return float("nan"), [f"mesh: manifold3d refuses it: {solid.status()}"]
    # The wall of a void is a piece of negative volume.
    pieces = sum(piece.volume() > 0.0 for piece in solid.decompose())
    if solid.volume() <= 0.0:
        return solid.volume(), [f"mesh: inside out: manifold3d volume {solid.volume()}"]
    return solid.volume(), [] if pieces == 1 else [f"mesh: {pieces} pieces"]


def report(path, expect=None, step=None, chord=0.05):
    """Prints the outcome of one file; true when it is good."""
    lines, reasons = check(path, expect, step, chord)
    for line in lines:
        print(line)
    for reason in reasons:
        print(f"FAULT {reason}")
    return not reasons


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("file")
    parser.add_argument("--expect", help="the sidecar JSON")
    parser.add_argument("--step", help="the STEP file of the same solid")
    parser.add_argument("--chord", type=float, default=0.05, help="chord error in mm")
    args = parser.parse_args()
    expect = load_sidecar(args.expect) if args.expect else None
    return 0 if report(args.file, expect, args.step, args.chord) else 1


if __name__ == "__main__":
    sys.exit(main())
