"""Rows a second of a sweep on one and two workers, and one row beside one `check` of the same file.

    .venv/bin/python tests/bench/sweep_rate.py [--rows 1000] [--file params/demo_mm.yaml]

Mount offsets, all checks. Prints wall and processor time; the two sweeps must give the same bytes.
"""

import argparse
import filecmp
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

REPO = Path(__file__).resolve().parents[2]
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", REPO / "target"))


def timed(command, env=None):
    """Wall and processor seconds."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    begun = time.perf_counter()
    done = subprocess.run([str(p) for p in command], stdout=subprocess.DEVNULL, env=env)
    wall = time.perf_counter() - begun
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode not in (0, 1):
        sys.exit(f"{command[1]} ended with {done.returncode}")
    return wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--rows", type=int, default=1000)
    parser.add_argument("--file", type=Path, default=REPO / "params" / "demo_mm.yaml")
    args = parser.parse_args()
    program = TARGET / "release" / "tailpattern"
    with tempfile.TemporaryDirectory() as folder:
        walls = {}
        for threads in (1, 2):
            out = Path(folder) / str(threads)
            over = f"mount_pad.offset=-60..60/{args.rows}"
            wall, processor = timed([program, "sweep", args.file, "--over", over, "--threads", threads, "--out", out])
            walls[threads] = wall
            each = processor / args.rows
            print(f"{threads} workers: {args.rows} rows in {wall:.1f} s, {args.rows / wall:.2f} a second; {each:.3f} s of processor a row")
        print(f"two workers are {walls[1] / walls[2]:.2f} times as fast as one (aim 1.85)")
        one = Path(folder) / "1" / "rows.parquet"
        print("same bytes:", filecmp.cmp(one, Path(folder) / "2" / "rows.parquet", shallow=False))
    alone = min(timed([program, "check", args.file], os.environ | {"RAYON_NUM_THREADS": "1"})[1] for _ in range(5))
    print(f"one check of the file alone, one thread: {alone:.3f} s of processor")


if __name__ == "__main__":
    main()
