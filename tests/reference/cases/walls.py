"""The walls that `check` reports, looked at again by plain rays on a fine mesh of the finished part.

Letters are no walls: strokes and how far they stand out have limits of their own. Their parts are compared without them.

Rays meet triangles by the method of Möller and Trumbore (1997), written out here in numpy; areas and
samples come from trimesh. Meshes and exact faces differ by the chord.
"""

import json
import subprocess
import tempfile
from pathlib import Path

import numpy as np
import trimesh
import yaml

PARAMS = Path(__file__).resolve().parents[3] / "params"
FILES = ("demo_mm", "pulse_sender")
CHORD = 0.02  # mm, of the mesh
WITHIN = 0.06  # mm, two chords and the slant of a ray
SAMPLES = 1500
OPPOSED = -0.5  # cosine: normals opposed by more than 120 degrees
START = 0.02  # mm, nearer hits are the ray's own face
WALLS = ("wall", "metal beside a machined face", "blind hole floor", "thin edge where faces meet")

SHARES = 2


def add(run):
    for name in run.mine(FILES):
        run.checks.run(f"walls {name}", compare, run.program, PARAMS / f"{name}.yaml")


def without_letters(params, folder):
    """The file itself, or a copy of it without marks."""
    design = yaml.safe_load(params.read_text("utf-8"))
    if design.get("casting", {}).pop("marks", None) is None:
        return params
    copy = Path(folder) / params.name
    copy.write_text(yaml.safe_dump(design, sort_keys=False), "utf-8")
    return copy


def compare(program, params):
    with tempfile.TemporaryDirectory() as folder:
        params = without_letters(params, folder)
        found = Path(folder) / "check.json"
        call = [str(program), "check", str(params), "--form", "finished", "--json", str(found)]
        done = subprocess.run(call, capture_output=True, text=True, timeout=120)
        build = [str(program), "build", str(params), "--form", "finished", "--chord", str(CHORD), "--out", folder]
        subprocess.run(build, capture_output=True, text=True, check=True, timeout=120)
        checks = json.loads(found.read_text())
        mesh = trimesh.load_mesh(Path(folder) / params.stem / "finished.stl")
    faults = [] if done.returncode == (1 if checks["fail"] else 0) else [f"exit code {done.returncode}"]
    walls = [c for c in checks["checked"] if c["check"] in WALLS]
    if len(walls) < 4:
        return [], [*faults, f"only {len(walls)} walls"]
    triangles = Triangles(np.asarray(mesh.triangles))
    normals = np.asarray(mesh.face_normals)
    faults += [f for wall in walls for f in confirm(wall, triangles)]
    thinnest = min(wall["value"] for wall in walls)
    least = thinnest_ray(mesh, triangles, normals)
    if least < thinnest - WITHIN:
        faults.append(f"a ray of {least:.4f} mm where the least wall is {thinnest:.4f}")
    return [f"{len(walls)} walls, least {thinnest:.4f}, least of {SAMPLES} rays {least:.4f}"], faults


def confirm(wall, triangles):
    """Both ends of a reported wall lie on the mesh, and all between them in the metal."""
    a, b = (np.array(p) for p in wall["at"])
    length = np.linalg.norm(b - a)
    faults = []
    if abs(length - wall["value"]) > 1e-6:
        faults.append(f"{wall['what']}: {wall['value']} mm between points {length} mm apart")
    for end in (a, b):
        off = distance(end, triangles)
        if off > 1.5 * CHORD:
            faults.append(f"{wall['what']}: an end lies {off:.4f} mm off the mesh")
    if length > 4 * START:
        for share in np.linspace(2 * START / length, 1 - 2 * START / length, 7):
            place = a + (b - a) * share
            # Between two edges of one flat face the way runs along that face.
            if not inside(place, triangles) and distance(place, triangles) > 1.5 * CHORD:
                faults.append(f"{wall['what']}: no metal at {share:.2f} of the way")
    return faults


class Triangles:
    """Triangles with the balls about their middles that hold them: what those rule out need not be looked at."""

    def __init__(self, corners):
        self.corners, self.middles = corners, np.ascontiguousarray(corners.mean(axis=1))
        self.radii = np.linalg.norm(corners - self.middles[:, None], axis=2).max(axis=1) + 1e-9

    def near(self, point):
        """The triangles that may be nearest to a point."""
        off = np.linalg.norm(self.middles - point, axis=1)
        return self.corners[off - self.radii <= (off + self.radii).min()]

    def along(self, origin, way):
        """Numbers of the triangles that a line may meet."""
        off = self.middles - origin
        across = np.einsum("ij,ij->i", off, off) - (off @ way) ** 2 / (way @ way)
        return np.flatnonzero(across <= self.radii**2 + 1e-9)


def distance(point, triangles):
    triangles = triangles.near(point)
    nearest = trimesh.triangles.closest_point(triangles, np.tile(point, (len(triangles), 1)))
    return np.linalg.norm(nearest - point, axis=1).min()


def inside(point, triangles):
    """By the parity of what rays in odd directions meet; two of three decide."""
    ways = np.array([[0.577, 0.211, 0.789], [-0.311, 0.913, 0.263], [0.119, -0.422, -0.899]])
    return sum(len(hits(point, way, triangles, 0.0)) % 2 for way in ways) >= 2


def hits(origin, way, triangles, start):
    """Numbers and distances of the triangles that a ray meets beyond a start, in order of distance."""
    near = triangles.along(origin, way)
    triangles = triangles.corners[near]
    a = triangles[:, 0]
    e, f = triangles[:, 1] - a, triangles[:, 2] - a
    p = np.cross(way, f)
    det = np.einsum("ij,ij->i", e, p)
    det = np.where(np.abs(det) > 1e-14, det, np.nan)
    s = origin - a
    u = np.einsum("ij,ij->i", s, p) / det
    q = np.cross(s, e)
    v = q @ way / det
    t = np.einsum("ij,ij->i", f, q) / det
    met = np.flatnonzero((u >= 0) & (v >= 0) & (u + v <= 1) & (t > start))
    return [(t[k], near[k]) for k in met[np.argsort(t[met])]]


def thinnest_ray(mesh, triangles, normals):
    points, faces = trimesh.sample.sample_surface(mesh, SAMPLES, seed=1)
    least = np.inf
    for point, face in zip(points, faces):
        reach, met = next(iter(hits(point, -normals[face], triangles, START)), (np.inf, face))
        if normals[met] @ normals[face] < OPPOSED:
            least = min(least, reach)
    return least
