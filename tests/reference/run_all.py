"""Builds every parameter file with the program and runs all reference checks on the results.

    python run_all.py PROGRAM [--cases DIR] [--jobs N] [--all] [--only TEXT]

For each params/NAME.yaml the program is called as
    PROGRAM build FILE --form all --out DIR --measured FILE.json
and must write DIR/<housing name>/finished.step and finished.stl. `--cases` names a folder
written by the kernel_cases example. Further checks: each file in cases/ (see cases/README.md).

The files are built once; the checks then run as jobs, as many side by side as there are cores, each in a process of its
own. What they print comes in the order of the jobs, with the processor time that each took. `--all` adds what a usual run
leaves out (cases/README.md); `--only` runs the jobs whose name holds a text.
"""

import argparse
import contextlib
import fcntl
import importlib.util
import io
import json
import multiprocessing
import os
import resource
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
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
DAMAGED = "minimal"  # its files are damaged on purpose; with --all the demo's too
KERNEL_SHARES = 4  # jobs over which the cases of the kernel are spread


@dataclass
class Built:
    """The files of one build, all forms."""

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
    share: tuple = (0, 1)  # which job of how many this is, of a file in cases/ with SHARES
    everything: bool = False  # also what a usual run leaves out
    shared: Path = None  # folder of what several jobs use

    def mine(self, things):
        """Those of some things that this job looks at: each job of a file has others."""
        number, count = self.share
        return list(things)[number::count]

    def usual(self, things, few):
        """All of some things with --all, else those few."""
        return [thing for thing in things if self.everything or thing in few]

    def parts(self, few=None):
        """The parameter files of this job; in a usual run those few, or all but the one that tells of the demo's part in inches."""
        files = sorted(self.params.glob("*.yaml"))
        few = [path.stem for path in files if path.stem != PAIR[1]] if few is None else few
        names = self.usual([path.stem for path in files], few)
        return self.mine(path for path in files if path.stem in names)

    def once(self, name, make):
        """(folder, reasons against it) of what `make(folder)` writes for all jobs that ask under this name: the first one
        makes it, the others wait."""
        folder, told = self.shared / name, self.shared / f"{name}.reasons"
        with open(self.shared / f"{name}.lock", "w", encoding="utf-8") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not told.exists():
                folder.mkdir()
                told.write_text(json.dumps(make(folder)), "utf-8")
        return folder, json.loads(told.read_text("utf-8"))

    def example(self, name, *arguments):
        """The folder that an example writes, which is built beside the program; and reasons against it."""
        command = [self.program.parent / "examples" / name]
        return self.once(name, lambda folder: call([str(part) for part in (*command, folder, *arguments)])[1])


def build(run, params):
    """One parameter file built; its files are noted in run.built."""
    out = run.folder / "built" / params.stem
    sidecar = run.folder / f"{params.stem}.json"
    command = [run.program, "build", params, "--form", "all", "--out", out, "--measured", sidecar]
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


def add_builds(run):
    """Every parameter file built."""
    files = sorted(run.params.glob("*.yaml"))
    run.checks.add("parameter files are there", [] if files else [f"no *.yaml in {run.params.name}/"])
    for params in files:
        run.checks.run(f"{params.stem}: build", build, run, params)


def add_built(run, name):
    """One build judged."""
    built = run.built[name]
    run.checks.run(f"{name}: step", _step, built)
    run.checks.run(f"{name}: mesh", _mesh, built)


def add_pair(run):
    """The two demo files tell of one part, in millimetres and in inches."""
    missing = [name for name in PAIR if name not in run.built]
    if missing:
        run.checks.add("the demo pair is built", [f"not built: {', '.join(missing)}"])
        return
    first, second = (run.built[name] for name in PAIR)
    run.checks.run("the demo pair agrees", same_part.compare, first.step, second.step)


def add_damages(run, name):
    """The checkers must refuse every damaged form of a sound part's files."""
    for good in run.usual((DAMAGED, PAIR[0]), (DAMAGED,)):
        made = run.built.get(good)
        if made is None:
            run.checks.add("damaged files", [f"{good} was not built"])
            continue
        module, files = {
            "steps": (damaged_steps, (made.step, made.expect())),
            "meshes": (damaged_meshes, (made.stl, made.expect(), made.step)),
        }[name]
        try:
            for damage, reasons in module.run(*files):
                run.checks.add(f"{module.__name__} of {good}: {damage}", reasons)
        except Exception as fault:
            run.checks.add(module.__name__, [f"could not run on: {type(fault).__name__}: {fault}"])


def add_kernel(run, cases):
    """This job's share of the kernel's cases."""
    kernel_cases.add_cases(run.checks, cases, run.mine)


def case_module(path):
    """A file of cases/ as a module."""
    spec = importlib.util.spec_from_file_location(f"cases_{path.stem}", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def add_further(run, path):
    """One file cases/NAME.py: its `add(run)` adds checks of its own."""
    try:
        before = run.checks.passed + run.checks.failed
        case_module(path).add(run)
        if run.checks.passed + run.checks.failed == before:
            run.checks.add(f"cases/{path.name}", ["it made no check"])
    except Exception as fault:
        run.checks.add(f"cases/{path.name}", [f"could not run: {type(fault).__name__}: {fault}"])


def shares(path):
    """Over how many jobs a file of cases/ spreads its checks: its SHARES, else one."""
    for line in path.read_text("utf-8").splitlines():
        if line.startswith("SHARES = "):
            return int(line.split()[2])
    return 1


def jobs(run, cases):
    """(name, function, arguments, share) of all jobs; long ones first, so that none is left over at the end."""
    out = [(f"damaged {name}", add_damages, (name,), (0, 1)) for name in ("meshes", "steps")]
    for path in sorted((HERE / "cases").glob("*.py")):
        count = shares(path)
        out += [(f"cases/{path.name} {k + 1} of {count}", add_further, (path,), (k, count)) for k in range(count)]
    out += [(name, add_built, (name,), (0, 1)) for name in run.built]
    out.append(("the demo pair", add_pair, (), (0, 1)))
    if cases:
        out += [(f"kernel cases {k + 1} of {KERNEL_SHARES}", add_kernel, (cases,), (k, KERNEL_SHARES)) for k in range(KERNEL_SHARES)]
    return out


def processor_seconds():
    """Of this process and of those that it has started and waited for."""
    used = [resource.getrusage(whose) for whose in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(u.ru_utime + u.ru_stime for u in used)


def work(run, job):
    """One job in a process of its own: what it printed, what passed and failed, seconds of the processor."""
    name, function, arguments, share = job
    begin, printed = processor_seconds(), io.StringIO()
    own = replace(run, folder=run.folder / name.replace("/", "_").replace(" ", "_"), checks=Checks(), share=share)
    own.folder.mkdir()
    with contextlib.redirect_stdout(printed):
        function(own, *arguments)
        own.checks.stop()
    return name, printed.getvalue(), own.checks.passed, own.checks.failed, processor_seconds() - begin


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("program", type=Path)
    parser.add_argument("--cases", type=Path, help="folder of the kernel_cases example")
    parser.add_argument("--params", type=Path, default=PARAMS)
    parser.add_argument("--jobs", type=int, default=os.cpu_count(), help="jobs side by side")
    parser.add_argument("--all", action="store_true", help="also what a usual run leaves out")
    parser.add_argument("--only", default="", help="only jobs whose name holds this text")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        shared = Path(folder) / "shared"
        shared.mkdir()
        run = Run(args.program.resolve(), args.params, Path(folder), {}, Checks(), everything=args.all, shared=shared)
        add_builds(run)
        run.checks.stop()
        seconds = {}
        # Processes that are copies of this one know what has been built.
        with ProcessPoolExecutor(args.jobs, mp_context=multiprocessing.get_context("fork")) as pool:
            wanted = [job for job in jobs(run, args.cases) if args.only in job[0]]
            asked = [(job[0], pool.submit(work, run, job)) for job in wanted]
            for name, future in asked:
                try:
                    name, printed, passed, failed, seconds[name] = future.result()
                except Exception as fault:
                    run.checks.add(name, [f"the job could not run: {type(fault).__name__}: {fault}"])
                    run.checks.stop()
                    continue
                run.checks.passed += passed
                run.checks.failed += failed
                print(printed, end="", flush=True)
        print(f"seconds of the processor, {sum(seconds.values()):.0f} in all: " + ", ".join(f"{name} {t:.0f}" for name, t in seconds.items()))
        return run.checks.close()


if __name__ == "__main__":
    sys.exit(main())
