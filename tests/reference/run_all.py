"""Builds every parameter file with the program and runs all reference checks on the results.

    python run_all.py PROGRAM [--cases DIR]

For each params/NAME.yaml the program is called as
    PROGRAM build FILE --out DIR --measured FILE.json
and must write DIR/<housing name>/finished.step and finished.stl. `--cases` names a folder
written by the kernel_cases example. Further checks: each file in cases/ (see cases/README.md).
"""

import argparse
import importlib.util
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import damaged_meshes
import damaged_steps
import kernel_cases
import mesh_check
import same_part
import step_check
from checks import Checks, call

HERE = Path(__file__).resolve().parent
PARAMS = HERE.parent.parent / "params"
PAIR = ("demo_mm", "demo_inch")
HALVES = ("parameters", "further")


@dataclass
class Built:
    """The files of one build."""

    name: str
    params: Path
    step: Path
    stl: Path
    sidecar: Path

    def expect(self):
        return step_check.load_sidecar(self.sidecar)


@dataclass
class Run:
    """What every check may use, those in cases/ too."""

    program: Path
    params: Path
    folder: Path
    built: dict
    checks: Checks


def build(run, params):
    """One parameter file built; its files are noted in run.built."""
    out = run.folder / "built" / params.stem
    sidecar = run.folder / f"{params.stem}.json"
    command = [run.program, "build", params, "--form", "finished", "--out", out, "--measured", sidecar]
    seconds, reasons = call([str(part) for part in command])
    steps = sorted(out.glob("*/finished.step"))
    if not reasons and len(steps) != 1:
        reasons = [f"{len(steps)} files named <housing>/finished.step in the output folder"]
    if not reasons:
        stl = steps[0].with_suffix(".stl")
        reasons = [f"not written: {p.name}" for p in (stl, sidecar) if not p.is_file()]
        if not reasons:
            run.built[params.stem] = Built(params.stem, params, steps[0], stl, sidecar)
    return [f"{seconds:.2f} s"], reasons


def _step(built):
    return step_check.check(built.step, built.expect())


def _mesh(built):
    return mesh_check.check(built.stl, built.expect(), built.step)


def add_builds(run, judged):
    """Every parameter file built, and judged."""
    files = sorted(run.params.glob("*.yaml"))
    run.checks.add("parameter files are there", [] if files else [f"no *.yaml in {run.params.name}/"])
    for params in files:
        run.checks.run(f"{params.stem}: build", build, run, params)
        built = run.built.get(params.stem)
        if built and judged:
            run.checks.run(f"{params.stem}: step", _step, built)
            run.checks.run(f"{params.stem}: mesh", _mesh, built)


def add_pair(run):
    """The two demo files tell of one part, in millimetres and in inches."""
    missing = [name for name in PAIR if name not in run.built]
    if missing:
        run.checks.add("the demo pair is built", [f"not built: {', '.join(missing)}"])
        return
    first, second = (run.built[name] for name in PAIR)
    run.checks.run("the demo pair agrees", same_part.compare, first.step, second.step)


def add_damages(run):
    """The checkers must refuse every damaged form of the demo's files."""
    demo = run.built.get(PAIR[0])
    if demo is None:
        run.checks.add("damaged files", [f"{PAIR[0]} was not built"])
        return
    steps = (damaged_steps, (demo.step, demo.expect()))
    meshes = (damaged_meshes, (demo.stl, demo.expect(), demo.step))
    for module, arguments in (steps, meshes):
        try:
            for name, reasons in module.run(*arguments):
                run.checks.add(f"{module.__name__}: {name}", reasons)
        except Exception as fault:
            run.checks.add(module.__name__, [f"could not run on: {type(fault).__name__}: {fault}"])


def add_further(run):
    """Every cases/NAME.py: its `add(run)` adds checks of its own."""
    for path in sorted((HERE / "cases").glob("*.py")):
        try:
            spec = importlib.util.spec_from_file_location(f"cases_{path.stem}", path)
            module = importlib.util.module_from_spec(spec)
            spec.loader.exec_module(module)
            before = run.checks.passed + run.checks.failed
            module.add(run)
            if run.checks.passed + run.checks.failed == before:
                run.checks.add(f"cases/{path.name}", ["it made no check"])
        except Exception as fault:
            run.checks.add(f"cases/{path.name}", [f"could not run: {type(fault).__name__}: {fault}"])


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("program", type=Path)
    parser.add_argument("--cases", type=Path, help="folder of the kernel_cases example")
    parser.add_argument("--params", type=Path, default=PARAMS)
    parser.add_argument("--half", choices=HALVES, help="only one half of the checks, so that two can run side by side")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        run = Run(args.program.resolve(), args.params, Path(folder), {}, Checks())
        parameters, further = (args.half in (None, half) for half in HALVES)
        add_builds(run, judged=parameters)
        if parameters:
            add_pair(run)
            add_damages(run)
            if args.cases:
                kernel_cases.add_cases(run.checks, args.cases)
        if further:
            add_further(run)
        return run.checks.close()


if __name__ == "__main__":
    sys.exit(main())
