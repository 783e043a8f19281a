"""A sweep beside the same variants by build123d and trimesh: 20 mount offsets, without fillets on both sides.

    .venv/bin/python tests/bench/sweep_beside.py [--rows 20] [--rays 20000]

The other side builds the same solid tree by Open CASCADE, meshes it at 0.05 mm, and takes as many wall thicknesses by ray with
trimesh as `--rays` says; imports are not counted. tailpattern sweeps three times: solids alone, solids and all their walls on
the exact faces (as much as the other side does), and all checks of all forms. Both in one process; tailpattern with one worker
and with one a core.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import trimesh

import filleted
import tree_sides

REPO = Path(__file__).resolve().parents[2]
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", REPO / "target"))


# Checks on the thickness of walls.
WALLS = ["wall", "metal beside a machined face", "oil wall, worst case"]


def run(command):
    done = subprocess.run([str(p) for p in command], stdout=subprocess.DEVNULL)
    if done.returncode not in (0, 1):
        sys.exit(f"{command[1]} ended with {done.returncode}")


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
        over = ["--over", f"mount_pad.offset=-40..40/{args.rows}"]
        own = {}
        for what, checks in (("solids", ["none"]), ("solids and walls", WALLS), ("all checks of all forms", ["all"])):
            for threads in (1, os.cpu_count()):
                out = folder / f"{what} {threads}"
                named = [word for check in checks for word in ("--check", check)]
                begun = time.perf_counter()
                run([program, "sweep", params, *over, *named, "--threads", threads, "--out", out])
                own[what, threads] = (time.perf_counter() - begun) / args.rows
        kept = folder / "kept"
        run([program, "sweep", params, *over, "--check", "none", "--keep", "unchecked", "--out", kept])
        trees = []
        for variant in sorted((kept / "variants").glob("*.yaml")):
            tree = folder / f"{variant.stem}.json"
            run([program, "build", variant, "--form", "finished", "--out", folder / "built", "--tree", tree])
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
    build, mesh, ray = spent / len(trees)
    print(f"build123d and trimesh, {len(trees)} variants: build {build:.3f} s, mesh {mesh:.3f} s, {args.rays} rays {ray:.3f} s each")
    for (what, threads), each in own.items():
        other = build if what == "solids" else build + mesh + ray
        print(f"tailpattern, {what}, {threads} workers: {each:.4f} s each; the other side takes {other / each:.1f} times as long (aim 100)")


if __name__ == "__main__":
    main()
