"""Runs step_check (and mesh_check) on every case that the kernel example has written.

    cargo run --release --example kernel_cases -- DIR
    python kernel_cases.py DIR

A case is NAME.step with its sidecar NAME.json, and NAME.stl where there is one. Each file
without its partner is a failure, and so is an empty folder.
"""

import argparse
import sys
from pathlib import Path

import mesh_check
import step_check
from checks import Checks


def add_cases(checks, folder, mine=list):
    """Every case of the folder as one or two checks; of several jobs each looks at those that `mine` gives it."""
    folder = Path(folder)
    names = sorted({path.stem for path in folder.iterdir() if path.suffix in (".step", ".json", ".stl")})
    checks.add("the folder of kernel cases is not empty", [] if names else ["no NAME.step with NAME.json there"])
    for name in mine(names):
        step, sidecar, stl = (folder / f"{name}{end}" for end in (".step", ".json", ".stl"))
        missing = [path.name for path in (step, sidecar) if not path.is_file()]
        if missing:
            checks.add(f"case {name}", [f"missing: {', '.join(missing)}"])
            continue
        checks.run(f"case {name}: step", _step, step, sidecar)
        if stl.is_file():
            checks.run(f"case {name}: mesh", _mesh, stl, sidecar, step)


def _step(step, sidecar):
    return step_check.check(step, step_check.load_sidecar(sidecar))


def _mesh(stl, sidecar, step):
    return mesh_check.check(stl, step_check.load_sidecar(sidecar), step)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("folder")
    args = parser.parse_args()
    checks = Checks()
    add_cases(checks, args.folder)
    return checks.close()


if __name__ == "__main__":
    sys.exit(main())
