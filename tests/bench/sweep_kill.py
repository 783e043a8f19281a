"""A sweep killed (SIGKILL) at random moments and resumed each time; then held against one that ran through.

    .venv/bin/python tests/bench/sweep_kill.py [--kills 20] [--rows 400] [--seed 1]
"""

import argparse
import csv
import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

REPO = Path(__file__).resolve().parents[2]
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", REPO / "target"))
TABLES = ("rows.csv", "rows.parquet", "checks.csv", "checks.parquet")


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--kills", type=int, default=20)
    parser.add_argument("--rows", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    chance = random.Random(args.seed)
    program = TARGET / "release" / "tailpattern"
    command = [program, "sweep", REPO / "params" / "minimal.yaml", "--over", f"shell.wall=5..8/{args.rows}", "--check", "oil wall, worst case"]
    command = [str(part) for part in command]
    with tempfile.TemporaryDirectory() as folder:
        whole, killed = Path(folder) / "whole", Path(folder) / "killed"
        begun = time.perf_counter()
        subprocess.run([*command, "--out", str(whole)], stdout=subprocess.DEVNULL, check=True)
        seconds = time.perf_counter() - begun
        hits = 0
        for _ in range(args.kills):
            process = subprocess.Popen([*command, "--out", str(killed), "--resume"], stdout=subprocess.DEVNULL)
            time.sleep(chance.uniform(0.02, 1.6 * seconds / args.kills + 0.3))
            process.kill()
            hits += process.wait() == -9
        subprocess.run([*command, "--out", str(killed), "--resume"], stdout=subprocess.DEVNULL, check=True)
        with open(killed / "rows.csv", encoding="utf-8", newline="") as file:
            indexes = [int(row["index"]) for row in csv.DictReader(file)]
        same = [name for name in TABLES if (whole / name).read_bytes() == (killed / name).read_bytes()]
    lost, doubled = set(range(args.rows)) - set(indexes), len(indexes) - len(set(indexes))
    print(f"{hits} of {args.kills} runs killed; {len(lost)} rows lost, {doubled} doubled; {len(same)} of {len(TABLES)} tables the same to the byte")
    sys.exit(0 if not lost and not doubled and len(same) == len(TABLES) else 1)


if __name__ == "__main__":
    main()
