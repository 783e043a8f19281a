"""Loose pieces of the pattern, drawn on meshes: each is moved the way the program tells, then out, and must not meet sand.

The hollow in the sand is what both halves in one piece are (built with `loose_pieces: false`); a half and its pieces must fill it but for the
room between them. Of every piece samples are taken all over it, half a millimetre under its wall, for that is what rapping
frees. Along the way that the program tells no sample may leave the hollow (embreex answers the rays; pieces drawn later are
still there), and from its end straight to the parting plane neither. What is left of the half is drawn along its own pull: it must
not lie over a piece, and what holds it, faces towards the pieces with it, is no more than the program tells.
"""

import json

import numpy as np
import trimesh
from checks import call
from moulds import CHORD, USUAL, Half, Named, built_in_one_piece, pull, without_parting
from scipy.spatial import cKDTree

RAP = 0.5  # mm, rapping frees
EDGE = 8.0  # mm2 that a mesh and exact faces may differ by
CLEAR = 0.4  # mm: samples nearer to the hollow's wall are left out; others stand for them
COUNT = 6000
WALL = 10.0  # samples a mm2 of the hollow's wall, by which its distance is told
SHARES = 3


def add(run):
    for params in run.parts(USUAL):
        run.checks.run(f"loose pieces of {params.stem}", drawn, run, params)


def drawn(run, params):
    whole, figures, reasons = built_in_one_piece(run, params)
    measured = run.folder / f"{params.stem}.json"
    command = [run.program, "build", params, "--form", "pattern", "--chord", CHORD, "--out", run.folder, "--measured", measured]
    reasons += call([str(part) for part in command])[1]
    if reasons:
        return [], reasons
    whole, parted = whole / params.stem, run.folder / params.stem
    cut, solid = json.loads(measured.read_text("utf-8"))["forms"]["pattern"], figures["pattern"]
    lines, faults = [], []
    if solid["loose"]:
        faults.append("`loose_pieces: false` leaves loose pieces")
    for half in ("upper", "lower"):
        way = pull(params) * (1 if half == "upper" else -1)
        hollow = Sand(mesh(whole / f"pattern_{half}.stl"), way)
        pieces = [(p, mesh(parted / f"{p['name'].replace(', ', '_').replace(' ', '_')}.stl")) for p in cut["loose"] if p["half"] == half]
        rest = mesh(parted / f"pattern_{half}.stl")
        lost = hollow.mesh.volume - rest.volume - sum(m.volume for _, m in pieces)
        room = sum(0.3 * m.area for _, m in pieces)
        if not -1.0 <= lost <= room:
            faults.append(f"{half} half: {lost:.0f} mm3 are in no piece, where the room between them is {room:.0f} at most")
        own = Half(without_parting(Named(rest, np.full(len(rest.faces), "")), way), way, lambda points, _: np.ones(len(points), bool))
        held = sum(own.area[name][own.sets[name][1]].sum() for name in ("against", "shadow"))
        told = sum(u["area_mm2"] for u in cut["undrawn"] + cut["to_dress"] if (np.array(u["at_mm"]) @ way) > 0.0)
        lines.append(f"{half} half: {held:.0f} mm2 hold what is left of it, {told:.0f} told")
        if held > 1.03 * told + EDGE:
            faults.append(lines[-1])
        for k, (told, piece) in enumerate(pieces):
            over = self_over(rest, piece, way)
            if over:
                faults.append(f"{told['name']}: {over} samples lie under the half")
            later = [trimesh.ray.ray_pyembree.RayMeshIntersector(m) for _, m in pieces[k + 1 :]]
            bad = hollow.stopped(piece, np.array(told["draw"]), told["travel_mm"], later)
            lines.append(f"{told['name']}: {bad[0]} of {bad[1]} samples stopped")
            # A lip no deeper than is dressed by hand stops a few samples.
            if bad[1] < 200 or bad[0] > 0.004 * bad[1]:
                faults.append(lines[-1])
    return lines or ["no loose pieces"], faults


def mesh(path):
    return trimesh.load_mesh(path)


def self_over(rest, piece, way):
    """How many samples of a piece have metal of the half over them, where the half could not leave it."""
    points, faces = trimesh.sample.sample_surface(piece, COUNT, seed=6)
    points = points - RAP * piece.face_normals[faces]
    points = points[piece.contains(points)]
    rays = trimesh.ray.ray_pyembree.RayMeshIntersector(rest)
    return int(rays.intersects_any(points, np.tile(way, (len(points), 1))).sum())


class Sand:
    """The hollow of a half in its box: its walls are those of the half in one piece, but for the parting plane."""

    def __init__(self, whole, way):
        self.mesh, self.way = whole, way
        flat = (whole.face_normals @ way < -0.9999) & (np.abs(whole.triangles @ way).max(axis=1) < 0.05)
        walls = whole.submesh([np.flatnonzero(~flat)], append=True)
        self.rays = trimesh.ray.ray_pyembree.RayMeshIntersector(walls)
        self.wall = cKDTree(trimesh.sample.sample_surface(walls, int(walls.area * WALL), seed=3)[0])

    def met(self, rays, starts, way):
        """How far rays run until they meet a wall above the parting plane."""
        out = np.full(len(starts), np.inf)
        places, which, _ = rays.intersects_location(starts, np.tile(way, (len(starts), 1)), multiple_hits=False)
        above = places @ self.way > 0.0
        out[which[above]] = np.linalg.norm(places - starts[which], axis=1)[above]
        return out

    def stopped(self, piece, draw, travel, later):
        points, faces = trimesh.sample.sample_surface(piece, COUNT, seed=5)
        points = points - RAP * piece.face_normals[faces]
        points = points[piece.contains(points)]
        points = points[self.wall.query(points)[0] > CLEAR]
        stopped = np.zeros(len(points), bool)
        for rays in [self.rays, *later]:
            stopped |= self.met(rays, points, draw) < travel
            moved = points + travel * draw
            inside = moved @ self.way > 0.0
            stopped[inside] |= np.isfinite(self.met(rays, moved[inside], -self.way))
        return int(stopped.sum()), len(points)
