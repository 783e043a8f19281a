"""Undercuts that the program tells, beside those that rays along the pull find on fine meshes: a table.

    python undercut_table.py PROGRAM FILE_OR_FOLDER... [--jobs N]

For each parameter file: both halves of the pattern in one piece, the halves once loose pieces are parted off, each loose piece along its own
pull, the core, and the halves of its box. The chord of the meshes is 0.02 mm and ten samples stand on each square millimetre. Faces are compared one
by one (cases/undercuts.py says how); the table sums them. `missed` is area of faces that rays find held and the program does not tell, or tells too
little of; `false` what it tells and no ray finds, or too much. Each such face is named below its row, and the command fails. `drawn_files` writes the files
of drawn housings.
"""

import argparse
import importlib.util
import json
import sys
import tempfile
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import trimesh
from checks import call
from moulds import CHORD, Half, built_in_one_piece, named, pull, unwritten, without_parting
from scipy.spatial import cKDTree

CASES = Path(__file__).resolve().parent / "cases"
NEAR = 0.25  # mm: samples of a loose piece this near to the wall of the whole half lie on it, the others on its seams


def case(name):
    """A file of cases/ as a module."""
    spec = importlib.util.spec_from_file_location(f"cases_{name}", CASES / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


undercuts = case("undercuts")


def everywhere(points, _):
    return np.ones(len(points), bool)


def rows_of(program, params):
    """(rows, reasons) of one file; a row is what it is of, and what is seen of it."""
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)

        def once(name, make):
            (folder / name).mkdir()
            return folder / name, make(folder / name)

        run = SimpleNamespace(program=program, folder=folder, once=once)
        whole, figures, reasons = built_in_one_piece(run, params)
        if reasons:
            return [], reasons
        rows, up = [], pull(params)
        pattern, solid = figures.get("pattern"), whole / params.stem
        if pattern:
            told = figures["casting"]["moulding"]["undercuts"]
            rows += against("pattern", told, list(undercuts.of_halves(solid, "pattern", pattern["pieces"], up)))
            rows += in_pieces(program, params, folder, (solid, pattern), up)
        more, reasons = cored(program, params, folder, figures, solid)
        return rows + more, reasons


def against(what, told, halves):
    """Rows of what leans against the pull and of what lies in a shadow."""
    return [(what, undercuts.compared(told, halves, shadow)) for shadow in (False, True)]


def in_pieces(program, params, folder, in_one_piece, up):
    """Rows of the halves with their loose pieces parted off, and of these; the halves in one piece tell what of a piece is wall."""
    solid, whole = in_one_piece
    measured = folder / "pieces.json"
    command = [program, "build", params, "--form", "pattern", "--chord", CHORD, "--out", folder / "pieces", "--measured", measured]
    if unwritten(call([str(part) for part in command])[1]):
        return []
    pattern, parted = json.loads(measured.read_text("utf-8"))["forms"]["pattern"], folder / "pieces" / params.stem
    if not pattern["loose"]:
        return []
    rest = []
    for half, way in (("upper", up), ("lower", -up)):
        rest.append(Half(without_parting(body(parted, f"pattern, {half} half", pattern), way), way, everywhere))
    rows = against("halves with loose pieces", pattern["undrawn"] + pattern["to_dress"], rest)
    for piece in pattern["loose"]:
        own, draw = body(parted, piece["name"], pattern), np.array(piece["draw"])
        wall = without_parting(body(solid, f"pattern, {piece['half']} half", whole), up if piece["half"] == "upper" else -up)
        own = Half(own, -draw, on_wall(wall.mesh, own.mesh))
        rows += against(piece["name"], piece["dressed"], [own])
    return rows


def body(folder, name, form):
    """A piece's mesh in the size of the casting."""
    piece = next(piece for piece in form["pieces"] if piece["name"] == name)
    return named(folder / piece["file"].replace(".step", ".stl"), piece)


def on_wall(whole, piece):
    """Which samples of a piece lie on the wall of the half that it was parted off."""
    low, high = piece.bounds
    near = ((whole.triangles.max(axis=1) > low - 1) & (whole.triangles.min(axis=1) < high + 1)).all(axis=1)
    wall = whole.submesh([np.flatnonzero(near)], append=True)
    tree = cKDTree(trimesh.sample.sample_surface(wall, int(wall.area * 60.0), seed=4)[0])
    return lambda points, normals: (tree.query(points)[0] < NEAR)


def cored(program, params, folder, figures, solid):
    """Rows of the core and of the halves of its box, which may come apart another way than the mould."""
    if "core" not in figures:
        return [], []
    checked, measured = folder / "check.json", folder / "box.json"
    call([str(part) for part in (program, "check", params, "--form", "casting", "--json", checked)], folder / "check.txt")
    found = [c for c in json.loads(checked.read_text("utf-8"))["checked"] if c["check"] == "undercut" and c["what"].startswith("core box")]
    told = [row for c in found for row in c["undercuts"]]
    command = [program, "build", params, "--form", "core-box", "--chord", CHORD, "--out", folder / "box", "--measured", measured]
    if unwritten(call([str(part) for part in command], folder / "box.txt")[1]):
        return [], []
    form = json.loads(measured.read_text("utf-8"))["forms"]["core-box"]
    split = form.get("split_up")
    up = np.array(split) if split else pull(params)
    rows = against("core", told, list(undercuts.of_halves(solid, "core box", figures["core"]["pieces"], up)))
    halves = []
    for name, way in (("upper", -up), ("lower", up)):
        half = body(folder / "box" / params.stem, f"core box, {name} half", form)
        halves.append(Half(half, way, in_cavity(half.mesh, up)))
    return rows + against("halves of the core box", told, halves), []


def in_cavity(box, up):
    """Which samples of a half of a box lie on its cavity: not on the block about it, nor in the parting plane."""
    axes = np.array([[1.0, 0.0, 0.0], up, np.cross([1.0, 0.0, 0.0], up)])
    low, high = (box.vertices @ axes.T).min(axis=0), (box.vertices @ axes.T).max(axis=0)

    def keep(points, normals):
        own = points @ axes.T
        outer = ((np.abs(own - low) < 0.02) | (np.abs(own - high) < 0.02)).any(axis=1)
        return ~outer & ~((np.abs(own[:, 1]) < 0.05) & (np.abs(normals @ up) > 0.9999))

    return keep


def judged(program, params):
    """(lines, counts) of one file."""
    rows, reasons = rows_of(program, params)
    counts, lines = Counter(files=1, rows=len(rows)), []
    for what, seen in rows:
        less = sum(found - told for _, told, found in seen.off if told < found)
        more = sum(told - found for _, told, found in seen.off if told > found)
        missed, wrong = less + sum(area for _, area in seen.missed), more + sum(area for _, area in seen.wrong)
        counts["missed"] += missed > 0.0
        counts["false"] += wrong > 0.0 or len(seen.far) > 0
        counts["faces"] += seen.faces
        if seen.told + seen.found > 0.0:
            figures = f"{seen.told:9.1f} {seen.found:9.1f} {seen.allowed:8.1f} {missed:8.1f} {wrong:8.1f} {seen.faces:6}"
            lines.append(f"{params.stem:14} {what:26} {seen.kind:8} {figures}")
        lines += [f"    FAULT {fault}" for fault in seen.faults()]
    if reasons:
        counts["not built"] += 1
        said = next((line for line in reasons[1:] if line.startswith("error")), "")
        lines.append(f"{params.stem:14} not built: {reasons[0].split(' ', 1)[1]}: {said[:140]}")
    elif not lines:
        lines.append(f"{params.stem:14} no undercut told, none found, in {len(rows) // 2} forms")
    return lines, counts


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("program", type=Path)
    parser.add_argument("params", type=Path, nargs="+", help="parameter files, or folders of them")
    parser.add_argument("--jobs", type=int, default=1)
    args = parser.parse_args()
    files = [file for path in args.params for file in (sorted(path.glob("*.yaml"), key=lambda p: (len(p.stem), p.stem)) if path.is_dir() else [path])]
    print(f"{'file':14} {'form':26} {'kind':8} {'told mm2':>9} {'rays mm2':>9} {'allowed':>8} {'missed':>8} {'false':>8} {'faces':>6}")
    total = Counter()
    with ProcessPoolExecutor(args.jobs) as pool:
        for lines, counts in pool.map(judged, [args.program.resolve()] * len(files), files):
            total += counts
            print("\n".join(lines), flush=True)
    print(f"{total['files']} files, {total['not built']} of them not built; {total['rows']} comparisons of {total['faces']} faces: {total['missed']} missed, {total['false']} false")
    return 1 if total["missed"] or total["false"] or not total["rows"] else 0


if __name__ == "__main__":
    sys.exit(main())
