"""The packed files that the Rust test tests/part/packs.rs leaves beside the program.

pack_check must accept them and refuse every damaged form of them.
"""

import json

import damaged_packs
import numpy as np
import pack_check


def needles():
    """A triangle whose height over its longest side is within the chord error is a needle, one that is higher is not, whichever corner comes first."""
    reasons = []
    for height, sound in ((0.9 * pack_check.CHORD, False), (1.1 * pack_check.CHORD, True)):
        corners = np.array([[0.0, 0.0, 0.0], [1.3, 0.0, 0.0], [0.6, height, 0.0]])
        turned = np.array([np.roll(corners, first, axis=0) for first in range(3)])
        found = pack_check.facing(turned, np.full(3, 1.3 * height))
        if list(found) != [sound] * 3:
            reasons.append(f"a height of {height} mm: {found.tolist()}, expected {sound}")
    return reasons


def add(run):
    run.checks.add("packs: needles are known by their longest side", needles())
    folder = run.program.parent.parent / "tmp" / "packs"
    missing = [name for name in ("demo.3mf", "demo.glb", "demo.json") if not (folder / name).is_file()]
    run.checks.add("packs: the Rust tests have left their files", [f"not there: {name}" for name in missing])
    if missing:
        return
    expect = json.loads((folder / "demo.json").read_text(encoding="utf-8"))
    for name in ("demo.3mf", "demo.glb"):
        run.checks.run(f"packs: {name}", pack_check.check, folder / name, expect)
    for name, reasons in damaged_packs.run(folder):
        run.checks.add(f"damaged_packs: {name}", reasons)
