"""Times 20,000 wall thicknesses by ray: tailpattern on the exact faces, trimesh over Embree on a mesh.

    .venv/bin/python tests/bench/walls_side.py [params/NAME.yaml] [--chord 0.05]

Both cast from the same places along the same inward normals, one after the other on the same machine. Errors of the mesh are
against the exact lengths; rays whose exact length has no wall behind it are left out on both sides.
"""

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import trimesh
from trimesh.ray.ray_pyembree import RayMeshIntersector

REPO = Path(__file__).resolve().parent.parent.parent
REPEAT = 5


def run(*call):
    return subprocess.run([str(c) for c in call], check=True, capture_output=True, text=True, cwd=REPO).stdout


def main():
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("params", nargs="?", default="params/demo_mm.yaml")
    ask.add_argument("--chord", type=float, default=0.05, help="of the mesh that trimesh gets, mm")
    asked = ask.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        table = Path(folder) / "samples.csv"
        cargo = ("cargo", "run", "--quiet", "--release")
        own = run(*cargo, "--example", "probe_speed", "--", asked.params, "--samples", table)
        run(*cargo, "--", "build", asked.params, "--form", "finished", "--chord", asked.chord, "--out", folder)
        mesh = trimesh.load_mesh(Path(folder) / Path(asked.params).stem / "finished.stl")
        rows = np.genfromtxt(table, delimiter=",")
    print("tailpattern, exact faces:")
    for line in own.splitlines():
        if any(word in line for word in ("prepared", "samples", "rays", "balls")) and "pairs" not in line:
            print("  " + line.strip())
    begin = time.perf_counter()
    rays = RayMeshIntersector(mesh, scale_to_box=False)
    rays.intersects_first(rows[:1, :3], -rows[:1, 3:6])
    prepared = time.perf_counter() - begin
    # Places of the exact surface stand off the mesh by its chord: a ray starts a little deeper, so as not to meet its own
    # triangle.
    start = 2 * asked.chord
    starts, ways = rows[:, :3] - start * rows[:, 3:6], -rows[:, 3:6]
    times = []
    for _ in range(REPEAT):
        begin = time.perf_counter()
        places, which, _ = rays.intersects_location(starts, ways, multiple_hits=False)
        times.append(time.perf_counter() - begin)
    got = np.full(len(rows), np.nan)
    got[which] = np.linalg.norm(places - starts[which], axis=1) + start
    exact = rows[:, 6]
    both = np.isfinite(exact) & np.isfinite(got)
    off = np.abs(got - exact)[both]
    print(f"trimesh over Embree, {len(mesh.faces)} triangles at a chord of {asked.chord} mm:")
    print(f"  prepared in {1e3 * prepared:.1f} ms; {len(rows)} rays {1e3 * min(times):.1f} ms (least of {REPEAT})")
    share = [np.quantile(off, q) for q in (0.5, 0.9, 0.99, 1.0)]
    print("  off the exact length by " + ", ".join(f"{x:.4f}" for x in share) + " mm (half, 90 %, 99 %, all)")
    print(f"  reads below 0.1 mm: {int((got < 0.1).sum())}, exact below 0.1 mm: {int((exact < 0.1).sum())}")
    if both.sum() < 0.5 * np.isfinite(exact).sum():
        sys.exit("most rays have no partner: the two sides did not look at the same part")


main()
