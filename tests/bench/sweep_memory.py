"""Peak memory of sweeps of 1,000 and of 20,000 rows.

    .venv/bin/python tests/bench/sweep_memory.py [--rows 1000 20000] [--check none]

The smallest part, built for each row; without checks unless --check names one, so that 20,000 rows take minutes.
"""

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

REPO = Path(__file__).resolve().parents[2]
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", REPO / "target"))


def own_peak(pid):
    """Peak memory, MB, of the program alone: what wait4 tells counts the pages of this Python too."""
    try:
        status = Path(f"/proc/{pid}/status").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return 0.0
    lines = [line.split() for line in status.splitlines() if line.startswith("VmHWM:")]
    return float(lines[0][1]) * 1024 / 1e6 if lines else 0.0


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--rows", type=int, nargs="+", default=[1000, 20000])
    parser.add_argument("--check", default="none")
    parser.add_argument("--over", default="shell.wall=5..8")
    args = parser.parse_args()
    program = TARGET / "release" / "tailpattern"
    for rows in args.rows:
        with tempfile.TemporaryDirectory() as folder:
            over = f"{args.over}/{rows}"
            command = [program, "sweep", REPO / "params" / "minimal.yaml", "--over", over, "--check", args.check]
            begun = time.perf_counter()
            process = subprocess.Popen([str(p) for p in [*command, "--out", Path(folder) / "out"]], stdout=subprocess.DEVNULL)
            peak = 0.0
            while process.poll() is None:
                peak = max(peak, own_peak(process.pid))
                time.sleep(0.02)
            if process.returncode != 0:
                sys.exit(f"the sweep ended with {process.returncode}")
            size = sum(f.stat().st_size for f in Path(folder).rglob("*") if f.is_file()) / 1e6
            seconds = time.perf_counter() - begun
            print(f"{rows} rows: peak {peak:.1f} MB, {seconds:.0f} s, {size:.1f} MB of files", flush=True)


if __name__ == "__main__":
    main()
