"""The undercuts that `check` and `build` tell, found again by rays on fine meshes of pattern and core.

Each half of the pattern, and of the core, is sampled evenly. A sample holds the mould where its triangle leans against the
pull, or where a ray along the pull meets metal of the same half; embreex answers the rays. What stays free when it is moved
sideways by half a millimetre is freed by rapping: patches of samples that all do so are left out, as the program leaves out
such faces. Both sums of areas must agree, each face told must be among the samples found, and no patch of samples may lie
off all the faces told.
"""

import json
import re
import subprocess

import numpy as np
import trimesh
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

CHORD = 0.02  # mm, of the mesh
SLOPE = 0.02  # as a sine: less than this against the pull is forgiven
RAP = 0.5  # mm
OFF = 0.02  # mm: where rays start over the surface
DENSITY = 10.0  # samples a mm2
SHARE = 0.03  # of an area, that both may differ by
EDGE = 6.0  # mm2 more: the program leaves out whole faces that rapping frees, this check patches of samples
PATCH = 0.8  # mm between samples of one patch
SHARES = 4


def add(run):
    for params in run.mine(sorted(run.params.glob("*.yaml"))):
        run.checks.run(f"undercuts of {params.stem}", compare, run, params)


def compare(run, params):
    folder = run.folder / "undercuts"
    folder.mkdir(exist_ok=True)
    measured, checked = folder / f"{params.stem}.measured.json", folder / f"{params.stem}.check.json"
    command = ["build", params, "--form", "casting,pattern,core", "--chord", CHORD, "--out", folder, "--measured", measured]
    told = subprocess.run([str(c) for c in [run.program, *command]], capture_output=True, text=True, check=True, timeout=240)
    command = [run.program, "check", params, "--form", "casting", "--json", checked]
    subprocess.run([str(c) for c in command], capture_output=True, text=True, timeout=240, check=False)
    built = json.loads(measured.read_text("utf-8"))["forms"]
    found = [c for c in json.loads(checked.read_text("utf-8"))["checked"] if c["check"] == "undercut"]
    faults, lines = same_severity(found, told.stderr), []
    rows = {form: [u for c in found if c["what"].startswith(form) for u in c["undercuts"]] for form in ("pattern", "core box")}
    if key(rows["pattern"]) != key(built["casting"]["moulding"]["undercuts"]):
        faults.append("check and build tell other undercuts of the pattern")
    up = pull(params)
    for form, pieces in (("pattern", built["pattern"]["pieces"]), ("core box", built["core"]["pieces"])):
        halves = list(of_halves(folder / params.stem, form, pieces, up))
        more = [judge(form, rows[form], halves, shadow) for shadow in (False, True)]
        lines += [m[0] for m in more]
        faults += [fault for m in more for fault in m[1]]
    return lines, faults


def key(rows):
    return sorted((r["face"], r["under"] or "", round(r["area_mm2"], 6)) for r in rows)


def same_severity(found, told):
    """What check warns of, build warns of; the pattern's at least, which is among the forms built."""
    words = {"warn": "warning[G004]", "fail": "error[G004]"}
    wanted = [f"{words[c['verdict']]}: {c['what']}:" for c in found if c["verdict"] in words and c["what"].startswith("pattern")]
    faults = [f"build does not say: {text}" for text in wanted if text not in told]
    return faults + ([] if told.count("[G004]") == len(wanted) else [f"build says more: {told}"])


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


def of_halves(folder, form, pieces, up):
    """The halves to look at: of the pattern as they are written, of the core by the sign of the height."""
    for piece in pieces:
        mesh = trimesh.load_mesh(folder / piece["file"].replace(".step", ".stl"))
        mesh.vertices /= np.array([piece["scale"][0], piece["scale"][1], piece["scale"][1]])
        if form == "pattern":
            way = up if "upper" in piece["name"] else -up
            yield Half(without_parting(mesh, way), way, lambda points, _: np.ones(len(points), bool))
            continue
        for way in (up, -up):
            # The vent is no work of the box.
            outside = lambda points, normals: (np.linalg.norm(points[:, 1:], axis=1) > 8.0) | (np.abs(normals[:, 0]) > 0.5)
            cut = trimesh.intersections.slice_faces_plane(mesh.vertices, mesh.faces, way, np.zeros(3))
            yield Half(trimesh.Trimesh(cut[0], cut[1]), way, outside)


def without_parting(mesh, way):
    """A half without its face in the parting plane and without the holes of its dowels."""
    height = mesh.triangles @ way
    flat = (mesh.face_normals @ way < -0.9999) & (np.abs(height).max(axis=1) < 0.05)
    open_half = mesh.submesh([np.flatnonzero(~flat)], append=True)
    parts = open_half.split(only_watertight=False)
    hole = lambda part: part.extents[0] < 15 and (part.vertices @ way).min() < 0.05 and np.ptp(part.vertices @ way) < 25
    return trimesh.util.concatenate([part for part in parts if not hole(part)])


def judge(form, rows, halves, shadow):
    name = "shadow" if shadow else "against"
    rows = [r for r in rows if (r["under"] is not None) == shadow]
    told = sum(r["area_mm2"] for r in rows)
    area, places, faults = 0.0, [np.zeros((0, 3))], []
    for half in halves:
        points, held = half.sets[name]
        own = half.all_against if name == "against" else len(points) * half.each
        for patch in patches(points):
            if held[patch].sum() * half.each > 1.0:
                places.append(points[patch])
            else:
                own -= len(patch) * half.each
        area += own
    places = np.vstack(places)
    spread = 3 * np.sqrt(area / DENSITY) if shadow else 0.0
    if abs(area - told) > SHARE * told + EDGE + spread:
        faults.append(f"{form}, {name}: {told:.1f} mm2 told, {area:.1f} found")
    for row in rows:
        off = cKDTree(places).query(row["at_mm"])[0] if len(places) else np.inf
        if off > 2.0:
            faults.append(f"{form}, {name}: {row['face']} is told at {row['at_mm']}, the nearest sample found is {off:.1f} mm off")
    return f"{form}, {name}: {told:.1f} mm2 told, {area:.1f} found", faults


def patches(points):
    """Samples that hang together, as lists of numbers."""
    if len(points) == 0:
        return []
    pairs = cKDTree(points).query_pairs(PATCH, output_type="ndarray")
    links = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(points),) * 2)
    count, label = connected_components(links, directed=False)
    return np.split(np.argsort(label, kind="stable"), np.cumsum(np.bincount(label, minlength=count))[:-1])
