"""All forms of 100 drawn housings (drawn_forms.py), the undercuts of ten of them against rays; with --all only.

The seeds are odd: even ones are kept for figures that nobody tunes the program on.
"""

from collections import Counter

import drawn_forms

SHARES = 4
LAST = 199
RAYS = 10  # one housing in so many


def add(run):
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
