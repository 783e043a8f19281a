"""Times one housing built by tailpattern, by build123d / Open CASCADE and by manifold3d.

    .venv/bin/python tests/bench/side_by_side.py [params/NAME.yaml] [--repeat 5] [--scaling]

All three build the same solid tree, which `tailpattern build --tree` writes, without fillets and
rounded edges; each run is a process of its own; the median of the runs is printed. Ends with 1 when
the volumes disagree. Then the same part with root fillets, beside Open CASCADE's, which may refuse
them: smaller radii are tried. `--scaling` also prints how tailpattern's time grows with the number of features.
"""

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import filleted

HERE = Path(__file__).resolve().parent
REPO = HERE.parent.parent
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", REPO / "target"))
PARTS = ("build_s", "step_s", "mesh_s", "stl_s")
EXACT = 1e-6  # relative: volumes of the two exact solids


def timed(command):
    """(wall seconds, peak MB) of one process."""
    begin = time.perf_counter()
    process = subprocess.Popen([str(part) for part in command], stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    wall = time.perf_counter() - begin
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode != 0:
        sys.exit(f"{Path(command[0]).name} ended with {process.returncode}")
    return wall, usage.ru_maxrss / 1024.0


def median(results):
    return {key: statistics.median(r[key] for r in results) for key in results[0]}


def own_side(program, params, folder, repeat):
    """(figures, tree file): the first run writes the tree, the others are timed."""
    folder.mkdir(exist_ok=True)
    tree, measured, timing = (folder / f"{name}.json" for name in ("tree", "measured", "timing"))
    timed([program, "build", params, "--out", folder / "own", "--tree", tree, "--measured", measured])
    with open(measured, encoding="utf-8") as file:
        sidecar = json.load(file)
    results = []
    for _ in range(repeat):
        wall, peak = timed([program, "build", params, "--out", folder / "own", "--timing", timing])
        with open(timing, encoding="utf-8") as file:
            figures = json.load(file)
        missing = [name for name in PARTS if name not in figures]
        if missing:
            sys.exit(f"--timing gives no {', '.join(missing)}")
        # A process started from here counts the pages of this Python too, so the program's
        # own figure is the better one where it gives it.
        peak = figures.get("peak_rss_mb") or peak
        results.append({name: figures[name] for name in PARTS} | {"wall_s": wall, "peak_rss_mb": peak})
    stl = next((folder / "own").glob("*/finished.stl"))
    triangles = (stl.stat().st_size - 84) // 50
    fixed = {"volume_mm3": sidecar["volume_mm3"], "faces": sidecar["faces"], "solids": 1, "triangles": triangles}
    return median(results) | fixed, tree, sidecar


def other_side(name, tree, folder, repeat):
    results = []
    for _ in range(repeat):
        out = folder / f"{name}.json"
        wall, _ = timed([sys.executable, HERE / "tree_sides.py", name, tree, out])
        with open(out, encoding="utf-8") as file:
            results.append(json.load(file) | {"wall_s": wall})
    return median(results)


def show(sides):
    """The table, one row a figure, with ratios to the first side."""
    rows = [
        ("build, s", "build_s", True),
        ("  one step a Boolean, s", "build_each_s", True),
        ("STEP, s", "step_s", True),
        ("mesh at 0.05 mm, s", "mesh_s", True),
        ("STL, s", "stl_s", True),
        ("build + STEP, s", ("build_s", "step_s"), True),
        ("build + mesh, s", ("build_s", "mesh_s"), True),
        ("whole process, s", "wall_s", True),
        ("peak memory, MB", "peak_rss_mb", True),
        ("volume, mm3", "volume_mm3", False),
        ("solids", "solids", False),
        ("faces", "faces", False),
        ("triangles", "triangles", False),
    ]
    own = next(iter(sides.values()))
    print(f"{'':24}" + "".join(f"{name:>28}" for name in sides))
    for label, keys, ratio in rows:
        cells = []
        for side in sides.values():
            number = value(side, keys)
            if number is None:
                cells.append("-")
                continue
            text = f"{number:.5f}" if ratio else f"{number:.6g}" if number < 1e5 else f"{number:.3f}"
            base = value(own, "build_s" if keys == "build_each_s" else keys)
            if ratio and side is not own and base:
                text += f" ({number / base:.1f} x)"
            cells.append(text)
        print(f"{label:24}" + "".join(f"{cell:>28}" for cell in cells))


def value(side, keys):
    """One figure, or the sum of two; manifold3d builds and meshes at once (mesh_s)."""
    keys = (keys,) if isinstance(keys, str) else keys
    if keys == ("build_s", "mesh_s") and "build_s" not in side:
        return side["mesh_s"]
    found = [side.get(key) for key in keys]
    return None if None in found else sum(found)


def disagreement(sides, sidecar):
    """Reasons why the three did not build the same part."""
    own = sidecar["volume_mm3"]
    exact, mesh = sides["build123d / OCC"], sides["manifold3d"]
    out = []
    if not abs(exact["volume_mm3"] - own) <= EXACT * own:
        out.append(f"Open CASCADE's volume is off by {abs(exact['volume_mm3'] / own - 1):.2e}")
    if not abs(mesh["volume_mm3"] - own) <= 0.05 * sidecar["area_mm2"]:
        out.append(f"manifold3d's volume is off by {abs(mesh['volume_mm3'] / own - 1):.2e}")
    out += [f"{name}: {side['solids']:.0f} solids" for name, side in sides.items() if side["solids"] != 1]
    return out


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("params", nargs="?", type=Path, default=REPO / "params" / "demo_mm.yaml")
    parser.add_argument("--program", type=Path, default=TARGET / "release" / "tailpattern")
    parser.add_argument("--repeat", type=int, default=5)
    parser.add_argument("--scaling", action="store_true", help="also run the scaling example")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        own_of = lambda params: own_side(args.program, params, folder / params.stem, args.repeat)
        own, tree, sidecar = own_of(filleted.with_fillets(args.params, folder, 0.0))
        sides = {"tailpattern": own}
        sides["build123d / OCC"] = other_side("occ", tree, folder, args.repeat)
        sides["manifold3d"] = other_side("manifold", tree, folder, args.repeat)
        show(sides)
        reasons = disagreement(sides, sidecar)
        reasons += filleted.compare(own_of, timed, args.params, folder, args.repeat, sidecar["volume_mm3"])
    for reason in reasons:
        print(f"FAULT {reason}")
    if args.scaling:
        sys.stdout.flush()
        subprocess.run(["cargo", "run", "--release", "--quiet", "--example", "scaling"], cwd=REPO, check=True)
    return 1 if reasons else 0


if __name__ == "__main__":
    sys.exit(main())
