"""A strict reading by Open CASCADE of the finished part of every housing in a folder.

    python drawn_solids.py PROGRAM FOLDER_OF_PARAMETER_FILES [--jobs N]

A file that the rules or the kernel refuse is counted, with the reasons told. What is written must be read as one closed solid that
BRepCheck calls valid, with no free edge, no edge used twice in one direction, no tolerance above that of step_check.py, and the
volume that the program tells, within what Open CASCADE's plain rule may miss; where that rule misses more, the integral of the text's
own surfaces and edges must give the volume, and Open CASCADE's must be near it. `drawn_files` writes parameter files at random.
"""

import argparse
import json
import sys
import tempfile
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import drawn_forms
import occ_read
import step_check
import step_text


def judge(program, params):
    """(count, largest tolerance in mm, share by which the volume is off, reasons) of one housing."""
    with tempfile.TemporaryDirectory() as folder:
        outcome, step, measured, told, _ = drawn_forms.built(program, params, Path(folder), "finished")
        if step is None:
            return outcome, 0.0, 0.0, [] if outcome == "refused" else [told]
        try:
            found = occ_read.measure(occ_read.read(step))
        except occ_read.ReadFault as fault:
            return "read", 0.0, 0.0, [f"occ: {fault}"]
        reasons = step_check._solid(found, 1)
        wanted = json.loads(measured.read_text("utf-8"))["volume_mm3"]
        off = step_check._off(found.volume, wanted)
        if off <= step_check.PLAIN_RULE:
            return "read", found.tolerance, off, reasons
        by_text = step_check._off(step_text.check(step).volume or 0.0, wanted)
        if off > step_check.ROUGH or by_text > step_check.EXACT:
            reasons.append(f"occ: volume {found.volume:.4f} mm3 is off by {off:.1e}, the text's by {by_text:.1e}")
        return "read, volume by the text's integral", found.tolerance, by_text, reasons


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("program", type=Path)
    parser.add_argument("params", type=Path, help="folder of parameter files")
    parser.add_argument("--jobs", type=int, default=1)
    args = parser.parse_args()
    files = sorted(args.params.glob("*.yaml"), key=lambda path: (len(path.stem), path.stem))
    counts, faulty, tolerance, off = Counter(), 0, 0.0, 0.0
    with ProcessPoolExecutor(args.jobs) as pool:
        for path, future in [(path, pool.submit(judge, args.program.resolve(), path)) for path in files]:
            count, own, share, reasons = future.result()
            counts[count] += 1
            faulty += bool(reasons)
            tolerance, off = max(tolerance, own), max(off, share)
            for reason in reasons:
                print(f"FAULT {path.stem}: {reason}", flush=True)
    told = ", ".join(f"{name} {count}" for name, count in sorted(counts.items()))
    print(f"{len(files)} files: {told}; {faulty} with a fault")
    print(f"largest tolerance {tolerance:.1e} mm (limit {step_check.TOLERANCE} mm); volume off by at most {off:.1e}")
    return 1 if faulty or not counts["read"] else 0


if __name__ == "__main__":
    sys.exit(main())
