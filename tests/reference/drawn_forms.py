"""All forms of housings drawn at random: Open CASCADE, manifold3d and trimesh on whatever the program writes of each.

    python drawn_forms.py PROGRAM FOLDER_OF_PARAMETER_FILES [--undercuts N] [--jobs N] [--limit SECONDS] [--times]

A drawn file may describe an impossible part, or one of which a form cannot be made: the program says so, and that is counted, not
judged. What it writes must hold like the forms of the shipped files (cases/forms.py), and the undercuts of the first N housings that
have a pattern and a core must be those that rays find (cases/undercuts.py). `drawn_files` writes the parameter files.

What is not built within the limit is counted, not judged. At the end stands how long the builds of all forms took: median, nine tenths, the longest ones, and how
many took more than `AIM` seconds, by the processor and by the clock. `--times` only builds.
"""

import argparse
import importlib.util
import json
import math
import os
import re
import subprocess
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from types import SimpleNamespace

import mesh_check
import step_check

CASES = Path(__file__).resolve().parent / "cases"
LIMIT = 240  # seconds for one build
AIM = 3.0  # seconds for all forms of a housing
CHORD = 0.05  # mm, as `build` makes meshes
PROGRAM_FAULT = 5  # exit code


def case(name):
    """A file of cases/ as a module."""
    spec = importlib.util.spec_from_file_location(f"cases_{name}", CASES / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def built(program, params, folder, form="all", limit=LIMIT):
    """(what became of it, the finished part's STEP file, the sidecar, what the program told, seconds of the processor and of the clock) of one
    housing; no file where it was not built."""
    measured = folder / "measured.json"
    command = [program, "build", params, "--form", form, "--out", folder, "--measured", measured]
    before, start = os.times(), time.monotonic()
    try:
        done = subprocess.run([str(c) for c in command], capture_output=True, text=True, timeout=limit, check=False)
    except subprocess.TimeoutExpired:
        return "not ready in time", None, measured, f"no build within {limit} s", (math.inf, math.inf)
    after = os.times()
    took = (after.children_user + after.children_system - before.children_user - before.children_system, time.monotonic() - start)
    if done.returncode == PROGRAM_FAULT:
        return "program faults told", None, measured, done.stderr.strip()[:300], took
    step = next(iter(folder.glob("*/finished.step")), None) if measured.is_file() else None
    told = next((line for line in done.stderr.splitlines() if line.startswith("error")), "")
    return ("built" if step else "refused"), step, measured, told[:300], took


def judge(program, params, undercuts, limit=LIMIT, only_times=False):
    """(counts, reasons, lines, seconds) of one housing."""
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        outcome, step, measured, told, took = built(program, params, folder, limit=limit)
        lines = [f"{params.stem}: {outcome} after {took[0]:.1f} s of the processor{': ' if told else ''}{told}"] if told or only_times else []
        if step is None or only_times:
            return Counter({outcome: 1}), [], lines, took
        counts, reasons = made(SimpleNamespace(program=program, folder=folder, params=params, step=step, expect=lambda: json.loads(measured.read_text("utf-8"))))
        if undercuts and counts["pattern"] and counts["core"]:
            more, faults = against_rays(program, params, folder)
            counts["undercuts against rays"] += 1
            lines += [f"{params.stem}: {line}" for line in more]
            reasons += faults
        return counts, [f"{params.stem}: {reason}" for reason in reasons], lines, took


def times(files, seconds):
    """What is told of how long the builds took."""
    lines = []
    for kind, of in (("the processor", 0), ("the clock", 1)):
        ranked = sorted((took[of], path.stem) for path, took in zip(files, seconds, strict=True))
        at = lambda share: ranked[min(len(ranked) - 1, int(share * len(ranked)))][0]  # noqa: E731
        longest = ", ".join(f"{stem} {took:.1f}" for took, stem in ranked[:-9:-1])
        over = sum(took > AIM for took, _ in ranked)
        lines.append(f"all forms of {len(ranked)} housings, seconds of {kind}: median {at(0.5):.1f}, nine tenths {at(0.9):.1f}, over {AIM:g} s {over}; longest {longest}")
    return lines


def made(built):
    """Every check of cases/forms.py for which the forms are there, and the meshes of all pieces."""
    forms = case("forms").Forms(built)
    there = set(forms.figures["forms"])
    counts, reasons = Counter({"built": 1, **{form: 1 for form in there}}), []
    expect = without_lost(built)
    asked = [("finished", lambda: step_check.check(built.step, expect)), ("finished mesh", lambda: mesh_check.check(built.step.with_suffix(".stl"), expect, built.step))]
    for form in sorted(there):
        asked += [(f"{form} step", lambda form=form: forms.steps(form)), (f"{form} packed", lambda form=form: forms.packed(form))]
        asked.append((f"{form} meshes", lambda form=form: meshes(forms, form)))
    if "casting" in there:
        asked += [("finished in casting", forms.contained), ("stock", lambda: stock(built, forms))]
    if {"casting", "core"} <= there:
        asked.append(("core clear of casting", forms.clear))
    if {"casting", "core", "pattern"} <= there:
        asked += [("pattern outside core and prints", forms.pattern), ("side cores", forms.sides)]
        counts["side cores"] += len(forms.side_cores())
    if {"core", "core-box"} <= there:
        asked.append(("core fills its box", forms.boxed))
    for name, check in asked:
        counts["checks"] += 1
        try:
            reasons += [f"{name}: {reason}" for reason in check()[1]]
        except Exception as fault:
            reasons.append(f"{name}: could not be judged: {type(fault).__name__}: {fault}")
    return counts, reasons


def without_lost(built):
    """The sidecar without the cylinders of holes of which other cuts leave no wall, where `check` tells them by name, or warns that a pad stands over that
    plug (D104); others are still asked for."""
    expect = built.expect()
    missing = {c["name"] for c in expect["cylinders"]} - set(expect["face_names"])
    if missing:
        told = built.folder / "lost.json"
        command = [built.program, "check", built.params, "--form", "finished", "--json", told]
        said = subprocess.run([str(c) for c in command], capture_output=True, text=True, timeout=LIMIT, check=False).stderr
        covered = [f"plug {k} " for k in re.findall(r"D104\]: plugs\[(\d+)\]", said)]
        failed = [c["what"] for c in json.loads(told.read_text("utf-8"))["checked"] if c["check"] == "holes without a wall" and c["verdict"] == "fail"]
        named = {what.split(", taken by ")[0] for what in failed}
        missing = {name for name in missing if name in named or any(plug in name for plug in covered)}
    return {**expect, "cylinders": [c for c in expect["cylinders"] if c["name"] not in missing]}


def stock(built, forms):
    """A drawn file may ask for less stock than its own tolerance grade takes away. No stock is left there in the worst case, and `check`
    must fail each such face by name; a face that has stock it must not fail."""
    rows = [row for row in forms.figures["forms"]["casting"]["moulding"]["stock"] if row["least_stock_mm"] is not None]
    told = built.folder / "stock.json"
    command = [built.program, "check", built.params, "--form", "casting", "--json", told]
    subprocess.run([str(c) for c in command], capture_output=True, text=True, timeout=LIMIT, check=False)
    checked = [c for c in json.loads(told.read_text("utf-8"))["checked"] if c["check"] == "stock left, worst case"]
    failed = {c["what"] for c in checked if c["verdict"] == "fail"}
    short = {row["face"] for row in rows if row["least_stock_mm"] < 0}
    missed = [f"{face}: no stock left, and check does not fail it" for face in sorted(short - failed)]
    wrong = [f"{face}: check fails it without cause" for face in sorted(failed - {row["face"] for row in rows if row["least_stock_mm"] <= 0.5})]
    return [], missed + wrong


def meshes(forms, form):
    """manifold3d takes each piece as a closed body of the volume told, within the chord error times its area."""
    reasons = []
    for piece in forms.pieces(form):
        body = forms.solid(piece["file"].removesuffix(".step"), piece["scale"])
        off, slack = abs(body.volume() - piece["unscaled_volume_mm3"]), CHORD * body.surface_area()
        if off > slack:
            reasons.append(f"{piece['name']}: the mesh is {off:.1f} mm3 off, allowed {slack:.1f}")
    return [], reasons


def against_rays(program, params, folder):
    """The undercuts told, found by rays."""

    def once(name, make):
        own = folder / name
        own.mkdir()
        return own, make(own)

    return case("undercuts").compare(SimpleNamespace(program=program, folder=folder, once=once), params)


def summary(counts):
    """What was judged, in a line."""
    return ", ".join(f"{name} {count}" for name, count in sorted(counts.items()))


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("program", type=Path)
    parser.add_argument("params", type=Path, help="folder of parameter files")
    parser.add_argument("--undercuts", type=int, default=10, help="how many housings have their undercuts looked for by rays")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--limit", type=float, default=LIMIT, help="seconds for one build")
    parser.add_argument("--times", action="store_true", help="only build, and tell how long it takes")
    args = parser.parse_args()
    files = sorted(args.params.glob("*.yaml"), key=lambda path: (len(path.stem), path.stem))
    total, faults, seconds = Counter(), 0, []
    with ProcessPoolExecutor(args.jobs) as pool:
        asked = [pool.submit(judge, args.program.resolve(), path, k < args.undercuts, args.limit, args.times) for k, path in enumerate(files)]
        for future in asked:
            counts, reasons, lines, took = future.result()
            total += counts
            faults += len(reasons)
            seconds.append(took)
            for line in [*lines, *(f"FAULT {reason}" for reason in reasons)]:
                print(line, flush=True)
    print("\n".join(times(files, seconds)) if files else "no file")
    print(f"{len(files)} files: {summary(total)}; {faults} faults")
    return 1 if faults or not total["built" if args.times else "checks"] else 0


if __name__ == "__main__":
    sys.exit(main())
