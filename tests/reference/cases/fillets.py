"""Root fillets beside those that Open CASCADE makes of the same sharp bodies.

The fillet_cases example, built beside the program, writes the cases. The simple ones must agree:
sharp volume, volume that the fillets add, kinds of surface, and the file as a whole by
step_check. On the hard ones, and on whole parts with large fillets, Open CASCADE is asked with --all and its answer printed,
never relied on; the file must be sound all the same. A count of 1.7e7 points that no ball of the radius can cover gave
921.5 mm3 for "boss across a cone by 31.0" and 1064.6 mm3 by 36.0, within 0.12 % of the program's
figures; Open CASCADE's are 0.4 to 0.5 % too small there. What ends in a crease is counted in closing.py.
"""

import json
import subprocess
import sys
from collections import Counter
from pathlib import Path

import occ_fillet
import occ_read
import step_check
import step_text
from checks import call
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.GeomAbs import GeomAbs_Cylinder, GeomAbs_Sphere, GeomAbs_Torus
from OCP.TopAbs import TopAbs_FACE, TopAbs_SOLID
from OCP.TopoDS import TopoDS

BENCH = Path(__file__).resolve().parent.parent.parent / "bench"
FILLET = BENCH.parent / "reference" / "occ_fillet.py"
SIDE = BENCH / "fillet_side.py"
sys.path.insert(0, str(BENCH))
import filleted

SHARES = 4
LARGE = (("demo_mm", 7.0), ("solid_pads", 7.0), ("solid_pads", 8.0), ("solid_pads", 10.0))  # mm
SHARP = 1e-7  # relative, volume of the sharp bodies
ADDED = 5e-3  # relative, volume added: Open CASCADE's fillets are approximations
CLOSED = 1e-7  # relative, volume added where it has a closed form
RADIUS = 1e-6  # mm
EVERY = 5  # every fifth hard case is read back, and all whose fillets end in creases
CREASED = 1e-6  # relative, the text's integral over faces that end in a crease: points beside it may lie on the other sheet
LIMIT = 120  # seconds for one fillet of Open CASCADE
RADII = {
    "cylinder": (GeomAbs_Cylinder, lambda s: s.Cylinder().Radius()),
    "torus": (GeomAbs_Torus, lambda s: s.Torus().MinorRadius()),
    "sphere": (GeomAbs_Sphere, lambda s: s.Sphere().Radius()),
}


def add(run):
    folder, reasons = run.example("fillet_cases")
    run.checks.add("fillet cases: written", reasons)
    cases = [json.loads(path.read_text("utf-8")) | {"path": path} for path in sorted(folder.glob("*.sharp.json"))]
    simple, hard = ([c for c in cases if c["hard"] == wanted] for wanted in (False, True))
    run.checks.add("fillet cases: there are some of both kinds", [] if simple and hard else ["none of a kind"])
    table = [add_simple(run.checks, case) for case in run.mine(simple)]
    for i, case in run.mine(enumerate(hard)):
        if i % EVERY == 0 or case["folded"]:
            run.checks.run(f"{case['name']}: step", sound, case)
        table.append(row(case, ask(case) if run.everything else {"word": "not asked"}))
    print(f"    {'':32}{'own, mm3':>12}{'joints made':>13}{'Open CASCADE':>15}{'mm3':>12}{'differs':>10}")
    for line in table:
        print(f"    {line}")
    for name, radius in run.mine(LARGE):
        run.checks.run(f"{name} with fillets of {radius} mm", larger, run, name, radius)


def larger(run, name, radius):
    """The program must build it; with --all the lines say what Open CASCADE makes of the like part."""
    params = filleted.with_fillets(run.params / f"{name}.yaml", run.folder, radius)
    tree, result = params.with_suffix(".tree"), params.with_suffix(".occ")
    out = run.folder / f"{name}_{radius}"
    _, reasons = call([str(p) for p in (run.program, "build", params, "--form", "finished", "--out", out, "--tree", tree)])
    if reasons:
        return [], reasons
    step = next(out.glob("*/finished.step"))
    text, shape = step_text.check(step), occ_read.read(step)
    reasons = [f"text: {fault}" for fault in text.faults] + one_valid_solid(shape)
    if not run.everything:
        return [text.line()], reasons
    command = [sys.executable, str(SIDE), str(tree), str(result), str(radius)]
    _, fault = call(command)
    if fault:
        return [text.line(), f"Open CASCADE: {fault[0]}"], reasons
    tried = json.loads(result.read_text("utf-8"))["tried"]
    return [text.line()] + [f"Open CASCADE, {t['radius_mm']:g} mm: {t['word']}" for t in tried], reasons


def one_valid_solid(shape):
    solids = sum(1 for _ in occ_read.parts(shape, TopAbs_SOLID))
    sound = solids == 1 and BRepCheck_Analyzer(shape).IsValid()
    return [] if sound else [f"occ: {solids} solids, or not valid"]


def files(case):
    """STEP file and sidecar of a case."""
    stem = str(case["path"]).removesuffix(".sharp.json")
    return Path(f"{stem}.step"), step_check.load_sidecar(f"{stem}.json")


def add_simple(checks, case):
    """The checks of a simple case; its row of the table. Open CASCADE makes these in this process."""
    other = occ_fillet.answer(case)
    checks.run(f"{case['name']}: step", step_check.check, *files(case))
    checks.run(f"{case['name']}: fillets", compare, case, other, files(case)[0])
    return row(case, other)


def sound(case):
    """A hard case's file by its text, and as a shape of Open CASCADE, whose integrals over it take minutes."""
    step, expect = files(case)
    text, shape = step_text.check(step), occ_read.read(step)
    reasons = [f"text: {fault}" for fault in text.faults]
    if not text.faults:
        within = CREASED if case["folded"] else step_check.EXACT
        reasons += off("volume by text", text.volume, expect["volume_mm3"], within)
    return [text.line()], reasons + one_valid_solid(shape)


def ask(case):
    """Open CASCADE's own fillets, in a process of its own: they may crash or never end."""
    result = case["path"].with_suffix(".occ")
    command = [sys.executable, str(FILLET), str(case["path"]), str(result)]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=LIMIT, check=False)
    except subprocess.TimeoutExpired:
        return {"word": f"over {LIMIT} s"}
    if done.returncode != 0:
        last = (done.stderr.strip().splitlines() or [""])[-1]
        return {"word": "crashed" if done.returncode < 0 else f"failed: {last}"}
    return json.loads(result.read_text("utf-8"))


def row(case, other):
    made = sum(joint["made_mm"] == joint["asked_mm"] for joint in case["joints"])
    text = f"{case['name']:32}{case['added_mm3']:12.4f}{made:7} of {len(case['joints'])}  {other['word']:>15}"
    if "added_mm3" in other:
        text += f"{other['added_mm3']:12.4f}{100 * (other['added_mm3'] / case['added_mm3'] - 1):+9.3f} %"
    return text


def compare(case, other, step):
    """One simple case."""
    reasons = [f"joint {j['faces']} not made: {j['trouble']}" for j in case["joints"] if j["made_mm"] != j["asked_mm"]]
    if other["word"] != "valid":
        return [], [*reasons, f"Open CASCADE: {other['word']}"]
    own = case["added_mm3"]
    reasons += off("sharp volume", case["sharp_volume_mm3"], other["sharp_volume_mm3"], SHARP)
    reasons += off("added volume by Open CASCADE", own, other["added_mm3"], ADDED)
    if case["closed_form_mm3"] is not None:
        reasons += off("added volume in closed form", own, case["closed_form_mm3"], CLOSED)
        reasons += off("Open CASCADE's against the closed form", other["added_mm3"], case["closed_form_mm3"], ADDED)
    kinds = blends(step, case["radius_mm"])
    exact = sum(kinds.values())
    if case["surfaces"] and (exact != case["fillet_faces"] or set(kinds) != set(case["surfaces"])):
        reasons.append(f"fillets read back as {dict(kinds)}, expected {case['fillet_faces']} of {case['surfaces']}")
    difference = other["added_mm3"] / own - 1
    return [f"added {own:.6f} mm3, Open CASCADE {difference:+.2e}; read back: {dict(kinds)}"], reasons


def off(what, value, wanted, within):
    difference = value / wanted - 1
    return [] if abs(difference) <= within else [f"{what}: {value} for {wanted}, off by {difference:.2e}"]


def blends(step, radius):
    """Faces of the file that are cylinders, tori or spheres of the ball's radius, by kind."""
    found = Counter()
    for face in occ_read.distinct(occ_read.read(step), TopAbs_FACE):
        surface = BRepAdaptor_Surface(TopoDS.Face(face))
        for name, (kind, measure) in RADII.items():
            if surface.GetType() == kind and abs(measure(surface) - radius) <= RADIUS:
                found[name] += 1
    return found
