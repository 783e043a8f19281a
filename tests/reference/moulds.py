"""Halves of a pattern in their mould, as meshes: what of them leans against their pull, lies in a shadow, is freed by rapping."""

import json
import re

import numpy as np
import trimesh
import yaml
from checks import call

USUAL = ("demo_mm", "long_iron", "short_lugs")  # parted level, with the most undercuts, and parted upright; all with --all
CHORD = 0.02  # mm, of the meshes
SLOPE = 0.02  # as a sine: less than this against the pull is forgiven
RAP = 0.5  # mm
DOUBT = 0.05  # mm, of a rap: chord, start of the rays, and what a wall leans by on its way to the side
OFF = 0.02  # mm: where rays start over the surface
DENSITY = 10.0  # samples a mm2
CLOSER = 100.0  # samples a mm2 of faces of which some is held
MOST_SAMPLES = 1_000_000
SMOOTH = np.cos(np.radians(20.0))  # triangles that meet at less are one smooth surface
ROUND = np.cos(np.radians(35.0))  # so are those of one face: a rounding of half a millimetre turns by thirty degrees from one triangle to the next


def in_one_piece(text):
    """A parameter file whose pattern has no loose pieces."""
    tree = yaml.safe_load(text)
    tree.setdefault("casting", {}).setdefault("mould", {})["loose_pieces"] = False
    return yaml.safe_dump(tree, sort_keys=False)


def built_in_one_piece(run, params):
    """(folder with the files, measured figures of the forms, reasons) of casting, pattern, core and core box without loose pieces."""

    def make(folder):
        whole, told = folder / params.name, folder / "measured.json"
        whole.write_text(in_one_piece(params.read_text("utf-8")), "utf-8")
        command = [run.program, "build", whole, "--form", "casting,pattern,core,core-box", "--chord", CHORD, "--out", folder, "--measured", told]
        return unwritten(call([str(part) for part in command], folder / "told.txt")[1])

    folder, reasons = run.once(f"in_one_piece_{params.stem}", make)
    figures = {} if reasons else json.loads((folder / "measured.json").read_text("utf-8"))["forms"]
    return folder, figures, reasons


def unwritten(reasons):
    """Why a build wrote nothing: with exit code 1 it says that a limit is not kept, and its files are written."""
    return [] if reasons and reasons[0].endswith(" ended with 1") else reasons


def pull(params):
    """The direction in which the upper half is drawn."""
    clock = re.search(r"^ +parting_clock: ([-0-9.]+)", params.read_text("utf-8"), re.MULTILINE)
    angle = np.radians(float(clock[1]) if clock else 0.0)
    return np.array([0.0, np.sin(angle), np.cos(angle)])


class Named:
    """A mesh whose triangles bear the names of the faces that they lie on."""

    def __init__(self, mesh, names):
        self.mesh, self.names = mesh, names

    def part(self, triangles):
        """Some of its triangles."""
        return Named(self.mesh.submesh([triangles], append=True), self.names[triangles])


def named(path, piece):
    """A piece's mesh in the size of the casting. An STL file holds the triangles face by face; the figures of `--measured` tell the name
    and the number of triangles of each."""
    mesh = trimesh.load_mesh(path)
    names = np.repeat([name for name, _ in piece["triangles_of_faces"]], [count for _, count in piece["triangles_of_faces"]])
    if len(names) != len(mesh.faces):
        raise ValueError(f"{path}: {len(mesh.faces)} triangles, {len(names)} told")
    mesh.vertices /= np.array([piece["scale"][0], piece["scale"][1], piece["scale"][1]])
    return Named(mesh, names)


def corner_normals(body):
    """The normal of each triangle's corners on the smooth surface that the triangles stand for: the mean of those that meet there
    smoothly, of whatever face: fillets are tangent to walls, and the triangles of one side alone lean by half a step."""
    mesh, count = body.mesh, len(body.mesh.faces)
    corners = mesh.faces.ravel()
    order = np.argsort(corners, kind="stable")
    first = np.searchsorted(corners[order], np.arange(len(mesh.vertices) + 1))
    about = np.diff(first)[corners]
    own = np.repeat(np.arange(3 * count), about)
    other = order[np.repeat(first[corners], about) + np.arange(len(own)) - np.repeat(np.cumsum(about) - about, about)] // 3
    turned = (mesh.face_normals[other] * mesh.face_normals[own // 3]).sum(axis=1)
    alike = (turned > SMOOTH) | ((turned > ROUND) & (body.names[other] == body.names[own // 3]))
    weight = mesh.area_faces[other[alike], None] * mesh.face_normals[other[alike]]
    sums = np.stack([np.bincount(own[alike], weight[:, k], minlength=3 * count) for k in range(3)], axis=1)
    return (sums / np.linalg.norm(sums, axis=1, keepdims=True)).reshape(count, 3, 3)


class Half:
    """Samples of a half: places, normals, names of their faces, area of each; which lean against the pull, lie in a shadow, are held.
    Where some of a face is held, more samples stand on that face."""

    def __init__(self, body, way, keep):
        self.rays, self.way, self.mesh = trimesh.ray.ray_pyembree.RayMeshIntersector(body.mesh), way, body.mesh
        self.corners = corner_normals(body)
        found = self.sampled(body, np.arange(len(body.mesh.faces)), keep, DENSITY)
        held = {name for _, left, names, *_ in found.values() for name in np.unique(names[left])}
        self.sets, self.names, self.area, self.sure, self.bend = {}, {}, {}, {}, {}
        closer = np.flatnonzero(np.isin(body.names, list(held)))
        if len(closer):
            again = self.sampled(body, closer, keep, min(CLOSER, MOST_SAMPLES / body.mesh.area_faces[closer].sum()))
        for kind, columns in found.items():
            other = ~np.isin(columns[2], list(held))
            parts = [tuple(column[other] for column in columns)] + ([again[kind]] if len(closer) else [])
            points, left, self.names[kind], self.area[kind], self.sure[kind], self.bend[kind] = (np.concatenate(column) for column in zip(*parts))
            self.sets[kind] = (points, left)

    def sampled(self, body, triangles, keep, density):
        """(points, which are held, names, area of each, which are surely held, which lie under their own bend) of what leans against the
        pull, and of what lies in a shadow."""
        areas = body.mesh.area_faces[triangles]
        count = max(int(areas.sum() * density), 1)
        random = np.random.default_rng(7)
        faces = triangles[np.searchsorted(np.cumsum(areas), random.random(count) * areas.sum()).clip(max=len(triangles) - 1)]
        share = np.sqrt(random.random(count)), random.random(count)
        shares = np.stack([1 - share[0], share[0] * (1 - share[1]), share[0] * share[1]], axis=1)
        points = np.einsum("ij,ijk->ik", shares, body.mesh.triangles[faces])
        smooth = np.einsum("ij,ijk->ik", shares, self.corners[faces])
        normals, names = body.mesh.face_normals[faces], body.names[faces]
        use = keep(points, normals)
        points, normals, names, smooth = points[use], normals[use], names[use], smooth[use]
        lean = (smooth @ self.way) / np.linalg.norm(smooth, axis=1)
        against = lean < -SLOPE
        over = np.full(len(points), -1)
        over[~against] = self.over(points[~against] + OFF * normals[~against])
        shadow = over >= 0
        # A wall that leans so little that it is forgiven stands over itself, by micrometres: that is forgiven as well.
        bend = shadow & (lean < 0.0) & (body.names[over] == names)
        each = areas.sum() / count
        return {
            kind: (points[part], self.held(points[part], normals[part]), names[part], np.full(part.sum(), each), self.surely(points[part], normals[part]), bend[part])
            for kind, part in (("against", against), ("shadow", shadow))
        }

    def over(self, starts):
        """The triangle by which a ray along the pull enters metal, or -1."""
        if len(starts) == 0:
            return np.zeros(0, int)
        first = self.rays.intersects_first(starts, np.tile(self.way, (len(starts), 1)))
        return np.where((first >= 0) & (self.mesh.face_normals[first] @ self.way < -1e-4), first, -1)

    def surely(self, points, normals):
        """Whether it is held though it is rapped a little farther: rays start over the surface, and it bends over by as much."""
        return self.held(points, normals, RAP + DOUBT)

    def held(self, points, normals, rap=RAP):
        """Whether a sample, moved to any side by the rapping, is in the metal or has some over it."""
        out = np.ones(len(points), bool)
        axis = np.array([1.0, 0.0, 0.0])
        for turn in np.arange(8) * np.pi / 4 if len(points) else []:
            to = np.cos(turn) * axis + np.sin(turn) * np.cross(self.way, axis)
            out &= self.rays.intersects_any(points + OFF * normals + rap * to, np.tile(self.way, (len(points), 1)))
        return out


def without_parting(body, way):
    """A half without its face in the parting plane and without the holes of its dowels."""
    mesh = body.mesh
    height = mesh.triangles @ way
    flat = (mesh.face_normals @ way < -0.9999) & (np.abs(height).max(axis=1) < 0.05)
    left = body.part(np.flatnonzero(~flat))
    mesh = left.mesh
    part = trimesh.graph.connected_component_labels(mesh.face_adjacency, node_count=len(mesh.faces))
    hole = np.zeros(len(mesh.faces), bool)
    for number in range(part.max() + 1):
        own = part == number
        corners = mesh.triangles[own].reshape(-1, 3)
        if np.ptp(corners[:, 0]) < 15 and (corners @ way).min() < 0.05 and np.ptp(corners @ way) < 25:
            hole |= own
    return left.part(np.flatnonzero(~hole))
