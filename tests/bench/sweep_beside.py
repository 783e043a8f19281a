"""A sweep beside the same variants by build123d and trimesh: 20 mount offsets, without fillets on both sides.

    .venv/bin/python tests/bench/sweep_beside.py [--rows 20] [--rays 20000]

tailpattern makes each part and all checks of the finished form. The other side builds the same solid tree by Open CASCADE,
meshes it at 0.05 mm, and takes as many wall thicknesses by ray with trimesh as `--rays` says: one check of many. Each side runs
in one process; the other side's imports are not counted.
"""

import argparse
import json
import os
import subprocess
import tempfile
import time
from pathlib import Path

import numpy as np
import trimesh

import filleted
import tree_sides

REPO = Path(__file__).resolve().parents[2]
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", REPO / "target"))


def mesh_of(shape, chord=0.05):
    """Triangles of a build123d shape."""
    points, triangles = shape.tessellate(chord, 0.1)
    return trimesh.Trimesh([(p.X, p.Y, p.Z) for p in points], triangles)


def walls(mesh, rays):
    """Least thickness by rays from places all over, along the inward normals."""
    places, faces = trimesh.sample.sample_surface(mesh, rays, seed=1)
    normals = mesh.face_normals[faces]
    hits, which, _ = mesh.ray.intersects_location(places - 0.1 * normals, -normals, multiple_hits=False)
    return np.min(np.linalg.norm(hits - places[which], axis=1))


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--rows", type=int, default=20)
    parser.add_argument("--rays", type=int, default=20000)
    args = parser.parse_args()
    program = TARGET / "release" / "tailpattern"
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        params = filleted.with_fillets(REPO / "params" / "demo_mm.yaml", folder, 0.0)
        out = folder / "sweep"
        command = [program, "sweep", params, "--over", f"mount_pad.offset=-40..40/{args.rows}", "--out", out, "--keep", "pass,warn,fail"]
        begun = time.perf_counter()
        subprocess.run([str(p) for p in command], stdout=subprocess.DEVNULL, check=True)
        own = time.perf_counter() - begun
        kept = sorted((out / "variants").glob("*.yaml"))
        trees = []
        for variant in kept:
            tree = folder / f"{variant.stem}.json"
            call = [program, "build", variant, "--form", "finished", "--out", folder / "built", "--tree", tree]
            subprocess.run([str(p) for p in call], stdout=subprocess.DEVNULL, check=True)
            trees.append(json.loads(tree.read_text()))
        spent = np.zeros(3)
        for tree in trees:
            times = [time.perf_counter()]
            shape = tree_sides.occ_boolean(tree_sides.runs(tree))
            times.append(time.perf_counter())
            mesh = mesh_of(shape)
            times.append(time.perf_counter())
            walls(mesh, args.rays)
            times.append(time.perf_counter())
            spent += np.diff(times)
    other = spent.sum()
    print(f"tailpattern: {len(trees)} variants, all checks and their STEP files, {own:.1f} s, {own / len(trees):.3f} s each")
    build, mesh, ray = spent / len(trees)
    print(f"build123d and trimesh: {other:.1f} s, {other / len(trees):.3f} s each (build {build:.3f}, mesh {mesh:.3f}, {args.rays} rays {ray:.3f})")
    print(f"ratio {other / own:.1f} (aim 100)")


if __name__ == "__main__":
    main()
