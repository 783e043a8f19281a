"""All forms of 100 drawn housings (drawn_forms.py), the undercuts of ten of them against rays; with --all only. In a usual run the pattern of one.

The seeds are odd: even ones are kept for figures that nobody tunes the program on.
"""

import json
from collections import Counter
from types import SimpleNamespace

import drawn_forms

SHARES = 4
LAST = 199
RAYS = 10  # one housing in so many
FOLD = 167  # an edge of its pattern's upper half runs over the end of a fold: without a path in the file, Open CASCADE's own crosses itself


def fold(run):
    """Each piece of that pattern is a valid closed solid, with the figures that the program gives."""
    folder, reasons = run.example("drawn_files", 1, LAST)
    params = folder / f"seed_{FOLD}.yaml"
    (folder / "fold").mkdir(exist_ok=True)
    outcome, step, measured, told, _ = drawn_forms.built(run.program, params, folder / "fold")
    if reasons or step is None:
        return [], [*reasons, f"{outcome}: {told}"]
    built = SimpleNamespace(params=params, step=step, expect=lambda: json.loads(measured.read_text("utf-8")))
    return drawn_forms.case("forms").Forms(built).steps("pattern")


def add(run):
    run.checks.run("drawn housings: a pattern with an edge over the end of a fold", fold, run)
    if not run.everything:
        run.checks.add("drawn housings: with --all only", [], ["not looked at in a usual run"])
        return
    folder, reasons = run.example("drawn_files", 1, LAST)
    run.checks.add("drawn housings: written", reasons)
    total = Counter()
    for params in run.mine(sorted(folder.glob("*.yaml"))):
        rays = int(params.stem.split("_")[1]) // 2 % RAYS == 0
        counts, reasons, lines, _ = drawn_forms.judge(run.program, params, rays)
        total += counts
        run.checks.add(f"drawn housing {params.stem}", reasons, lines)
    run.checks.add("drawn housings: some are built", [] if total["built"] else ["none"], [drawn_forms.summary(total)])
