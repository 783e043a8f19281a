"""The packed files that the Rust test tests/part/packs.rs leaves beside the program.

pack_check must accept them and refuse every damaged form of them.
"""

import json

import damaged_packs
import pack_check


def add(run):
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
