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
OFF = 0.02  # mm: where rays start over the surface
DENSITY = 10.0  # samples a mm2


def in_one_piece(text):
    """A parameter file whose pattern has no loose pieces."""
    tree = yaml.safe_load(text)
    tree.setdefault("casting", {}).setdefault("mould", {})["loose_pieces"] = False
    return yaml.safe_dump(tree, sort_keys=False)


def built_in_one_piece(run, params):
    """(folder with the files, measured figures of the forms, reasons) of casting, pattern and core without loose pieces."""

    def make(folder):
        whole, told = folder / params.name, folder / "measured.json"
        whole.write_text(in_one_piece(params.read_text("utf-8")), "utf-8")
        command = [run.program, "build", whole, "--form", "casting,pattern,core", "--chord", CHORD, "--out", folder, "--measured", told]
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


class Half:
    """Samples of a half: places, normals, area of each; which lean against the pull, lie in a shadow, are held."""

    def __init__(self, mesh, way, keep):
        count = int(mesh.area * DENSITY)
        points, faces = trimesh.sample.sample_surface(mesh, count, seed=7)
        normals = mesh.face_normals[faces]
        self.each = mesh.area / count
        use = keep(points, normals)
        points, normals = points[use], normals[use]
        lean = normals @ way
        self.rays, self.way, self.mesh = trimesh.ray.ray_pyembree.RayMeshIntersector(mesh), way, mesh
        against = lean < -SLOPE
        shadow = ~against
        shadow[shadow] = self.covered(points[shadow] + OFF * normals[shadow])
        self.sets = {}
        # All that leans against the pull is known exactly; the samples tell what of it is freed.
        self.all_against = mesh.area_faces[(mesh.face_normals @ way < -SLOPE) & keep(mesh.triangles_center, mesh.face_normals)].sum()
        for name, part in (("against", against), ("shadow", shadow)):
            self.sets[name] = (points[part], self.held(points[part], normals[part]))

    def covered(self, starts):
        """Whether a ray along the pull enters metal."""
        if len(starts) == 0:
            return np.zeros(0, bool)
        first = self.rays.intersects_first(starts, np.tile(self.way, (len(starts), 1)))
        return (first >= 0) & (self.mesh.face_normals[first] @ self.way < -1e-4)

    def held(self, points, normals):
        """Whether a sample, moved to any side by the rapping, is in the metal or has some over it."""
        out = np.ones(len(points), bool)
        axis = np.array([1.0, 0.0, 0.0])
        for turn in np.arange(8) * np.pi / 4 if len(points) else []:
            to = np.cos(turn) * axis + np.sin(turn) * np.cross(self.way, axis)
            out &= self.rays.intersects_any(points + OFF * normals + RAP * to, np.tile(self.way, (len(points), 1)))
        return out


def without_parting(mesh, way):
    """A half without its face in the parting plane and without the holes of its dowels."""
    height = mesh.triangles @ way
    flat = (mesh.face_normals @ way < -0.9999) & (np.abs(height).max(axis=1) < 0.05)
    open_half = mesh.submesh([np.flatnonzero(~flat)], append=True)
    parts = open_half.split(only_watertight=False)
    hole = lambda part: part.extents[0] < 15 and (part.vertices @ way).min() < 0.05 and np.ptp(part.vertices @ way) < 25
    return trimesh.util.concatenate([part for part in parts if not hole(part)])
