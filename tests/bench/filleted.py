"""The part with root fillets: tailpattern's whole build and STEP beside Open CASCADE's, in one run."""

import json
import statistics
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
RADIUS = 4.0  # mm


def with_fillets(params, folder, outside):
    """The parameter file with this radius at all joints, none in the cavity, sharp cast edges and solid pads.

    The tree file does not tell of rounded edges nor of the fillets within a hollow pad, which has no
    radius below 1 mm, so neither is made on any side.
    """
    lines = without_hollows(params.read_text("utf-8").splitlines())
    if any(line.strip().startswith("fillets:") for line in lines):
        sys.exit(f"{params.name} sets fillets of its own: time a file that leaves them to the bench")
    radii = ["  fillets:", f"    outside: {outside} mm", "    cavity: 0 mm", "    edges: 0 mm"]
    if "casting:" in lines:
        at = lines.index("casting:") + 1
        lines[at:at] = radii
    else:
        lines += ["casting:", *radii]
    path = folder / f"{params.stem}_{outside}.yaml"
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


def without_hollows(lines):
    """The lines without the blocks `hollow:`, each as far as it is set in deeper than its key."""
    kept, block = [], None
    for line in lines:
        depth = len(line) - len(line.lstrip())
        if block is not None and (depth > block or not line.strip()):
            continue
        block = depth if line.strip().startswith("hollow:") else None
        if block is None:
            kept.append(line)
    return kept


def occ_side(tree, folder, repeat, radius, timed):
    """Open CASCADE's figures: the first run's words, the medians of all runs' times."""
    out = folder / "filleted.json"
    found = []
    for _ in range(repeat):
        timed([sys.executable, HERE / "fillet_side.py", tree, out, radius])
        found.append(json.loads(out.read_text("utf-8")))
    keys = [key for key in found[0] if key.endswith("_s")]
    return found[0] | {key: statistics.median(f[key] for f in found) for key in keys}


def compare(own_side, timed, params, folder, repeat, sharp_volume):
    """Prints the comparison. Reasons against: only what tailpattern itself got wrong.

    `own_side` gives (figures, tree, sidecar) of a parameter file.
    """
    own, tree, _ = own_side(with_fillets(params, folder, RADIUS))
    occ = occ_side(tree, folder, repeat, RADIUS, timed)
    print(f"\nwith root fillets, the same radius at all joints of cast faces ({occ['joints']} edges)")
    line(f"tailpattern, {RADIUS} mm: build + STEP", seconds(own))
    for one in occ["tried"]:
        line(f"Open CASCADE, {one['radius_mm']:g} mm: {one['word']}", one["seconds"], "the fillet alone")
    reasons = [] if own["volume_mm3"] > sharp_volume else ["the fillets add no metal"]
    if occ["tried"][-1]["word"] != "valid":
        line("Open CASCADE: no radius of these", None)
        return reasons
    radius = occ["tried"][-1]["radius_mm"]
    like, _, _ = own_side(with_fillets(params, folder, radius))
    total = occ["union_s"] + occ["fillet_s"] + occ["cuts_s"] + occ["step_s"]
    line(f"tailpattern, {radius:g} mm: build + STEP", seconds(like))
    ratio = f"{total / seconds(like):.1f} x ({total / seconds(own):.1f} x of {RADIUS} mm)"
    line(f"Open CASCADE, {radius:g} mm: build + STEP", total, ratio)
    added = like["volume_mm3"] - sharp_volume, occ["volume_mm3"] - sharp_volume
    sound = "valid" if occ["valid"] and occ["solids"] == 1 else "not one valid solid"
    print(f"  metal added by {radius:g} mm: tailpattern {added[0]:.1f} mm3, Open CASCADE {added[1]:.1f} mm3, its solid {sound}")
    return reasons


def seconds(side):
    return side["build_s"] + side["step_s"]


def line(what, time, note=""):
    shown = "-" if time is None else f"{time:.5f} s"
    print(f"  {what:48}{shown:>12}  {note}".rstrip())
