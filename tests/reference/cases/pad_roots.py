"""The root of the mount's pad by finite elements, beside the program's section of the pad by itself, for each form of pad.

The demonstration's own hollow leg stands in `stresses.py`; here the same housing stands on a block, a pocket, and plates on walls and
gussets. Plates and pocket, whose elements are many, run with `--all` only.
"""

import copy
import subprocess

import yaml

from elastic import Body
from load_case import METAL, root_peak, told, within

SHARES = 2
SIZE = 10.0  # mm, edge of the elements

PLATE = {"thickness": 22, "tie_thickness": 10}

# The form's keys, and the greatest share of the section's stress that the program counts on (`checks::pad_root`).
FORMS = {
    "first draft": ({}, 12.0),  # solid_pads.yaml as it stands, a small block on a thinner shell, which bends: measured 4.5 to 11.6
    "block": ({}, 12.0),  # 5.5 to 6.5
    "walls": ({"plate": {**PLATE, "tie": "walls"}}, 5.0),  # 2.5 to 4.6
    "gussets": ({"plate": {**PLATE, "tie": "gussets"}}, 5.0),  # 2.5 to 4.6
    "pocket": ({"hollow": {"opens": "outside", "wall": 7.14375, "floor": 7.14375, "boss_diameter": 15.875}}, 7.0),  # 4.6 to 6.4
}

WEIGHT = 70 * 9.80665
# What acts alone: the key that says so, and force and couple on the pad's face with a lever of 25 mm below it.
LOADS = {
    "torque": ({"torque_share": 0.25}, [0, 0, 0], [0.25 * 2 * 760e3, 0, 0]),
    "braking": ({"longitudinal": 1.5}, [1.5 * WEIGHT, 0, 0], [0, -25 * 1.5 * WEIGHT, 0]),
    "cornering": ({"lateral": 1}, [0, WEIGHT, 0], [25 * WEIGHT, 0, 0]),
}


def add(run):
    built = run.built.get("demo_mm")
    if built is None:
        run.checks.add("pad roots: the demonstration", ["demo_mm was not built"])
        return
    design = yaml.safe_load(built.params.read_text("utf-8"))
    draft = run.built.get("solid_pads")
    for form in run.mine(run.usual(list(FORMS), ["first draft", "walls"])):
        if form != "first draft":
            run.checks.run(f"pad roots: {form}", roots, run, on(design, FORMS[form][0]), form)
        elif draft is None:
            run.checks.add(f"pad roots: {form}", ["solid_pads was not built"])
        else:
            run.checks.run(f"pad roots: {form}", roots, run, yaml.safe_load(draft.params.read_text("utf-8")), form)


def on(design, keys):
    """The design on another form of pad."""
    design = copy.deepcopy(design)
    del design["mount_pad"]["hollow"], design["casting"]["fed"]
    design["mount_pad"].update(keys)
    return design


def roots(run, design, form):
    most, pad = FORMS[form][1], design["mount_pad"]
    body = Body(step(run, design, form), SIZE, METAL)
    facets = body.facets(lambda x: abs(x[2] + pad["drop"]) < 1e-4)
    about = [pad["base_station"] + pad.get("offset", 0), 0.0, -float(pad["drop"])]
    lines, reasons = [], []
    for what, (loads, force, moment) in LOADS.items():
        section = told(run, design, f"{form}_{what}", "mount", **loads)[0]["stress at the root, mount_pad"]
        places, stress = body.stress(body.solve(body.load(facets, force, moment, about)))
        share = root_peak(places, stress, pad) / section
        reasons += within(f"{what}, elements over section", share, (1.0, most), lines)
    return lines, reasons


def step(run, design, form):
    """The finished part of a design as a STEP file."""
    file = run.folder / f"{form}.yaml"
    file.write_text(yaml.safe_dump(design), "utf-8")
    command = [str(run.program), "build", str(file), "--form", "finished", "--out", str(run.folder / form)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    if done.returncode:
        raise RuntimeError(done.stderr[-600:])
    return next((run.folder / form).rglob("finished.step"))
