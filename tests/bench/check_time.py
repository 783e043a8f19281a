"""Processor time of `tailpattern check` for every parameter file, of one program or of several side by side.

    python3 tests/bench/check_time.py target/release/tailpattern [OTHER_PROGRAM …] [--runs 5] [--params NAME.yaml …]

Prints user and system seconds together, the median of the runs. Programs take turns run by run, so that whatever else the machine does
falls on all of them alike. With two programs or more it also says whether they find the same: every finding of the first must
be among those of the others, values within 1e-6. The exit code is 1 where they differ.
"""

import argparse
import json
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

REPO = Path(__file__).resolve().parent.parent.parent
SAME = 1e-6


def once(program, params, findings):
    """Seconds of processor time of one check; a part that fails its checks ends with 1, which is no fault here."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    call = [program, "check", params, "--json", findings]
    ended = subprocess.run(call, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    if ended.returncode not in (0, 1) or not findings.exists():
        sys.exit(f"{program} check {params}: {ended.stderr}")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


def differences(a, b, at=""):
    """The places at which two JSON values differ, numbers by more than SAME."""
    if isinstance(a, dict) and isinstance(b, dict):
        for key in sorted(a.keys() | b.keys()):
            yield from differences(a.get(key), b.get(key), f"{at}.{key}")
    elif isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        for k, (x, y) in enumerate(zip(a, b)):
            yield from differences(x, y, f"{at}[{k}]")
    elif type(a) in (int, float) and type(b) in (int, float):
        if abs(a - b) > SAME:
            yield f"{at}: {a} and {b}"
    elif a != b:
        yield f"{at}: {a!r} and {b!r}"[:200]


def main():
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("programs", nargs="+", type=Path)
    ask.add_argument("--runs", type=int, default=5)
    ask.add_argument("--params", nargs="+", type=Path, default=sorted((REPO / "params").glob("*.yaml")))
    asked = ask.parse_args()
    programs = [p.resolve() for p in asked.programs]
    differ = False
    print(f"{'user + sys, s':24}" + "".join(f"{p.name[-20:]:>22}" for p in programs))
    with tempfile.TemporaryDirectory() as folder:
        for params in asked.params:
            taken = [[] for _ in programs]
            files = [Path(folder) / f"{params.stem}-{k}.json" for k in range(len(programs))]
            for _ in range(asked.runs):
                for k, program in enumerate(programs):
                    taken[k].append(once(program, params, files[k]))
            line = f"{params.name:24}" + "".join(f"{statistics.median(t):22.3f}" for t in taken)
            found = [json.loads(f.read_text()) for f in files]
            unlike = [d for other in found[1:] for d in differences(found[0], other)]
            if len(found) > 1:
                same_bytes = all(f.read_bytes() == files[0].read_bytes() for f in files[1:])
                line += "  same bytes" if same_bytes else f"  {len(unlike)} differences"
            print(line)
            for d in unlike:
                print(f"    {d}")
            differ = differ or bool(unlike)
    sys.exit(1 if differ else 0)


if __name__ == "__main__":
    main()
