"""The undercuts that `check` and `build` tell, found again by rays on fine meshes of pattern and core.

Each half of the pattern, and of the core, is sampled evenly. A sample holds the mould where its triangle leans against the
pull, or where a ray along the pull meets metal of the same half; embreex answers the rays. What stays free when it is moved
sideways by half a millimetre is freed by rapping: patches of samples that all do so are left out, as the program leaves out
such faces. The halves are built in one piece (`loose_pieces: false`). Both sums of areas must agree, each face told must be among the samples found, and no patch of samples may lie
off all the faces told.
"""

import json
import subprocess

import numpy as np
import trimesh
from moulds import DENSITY, USUAL, Half, built_in_one_piece, pull, without_parting
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

SHARE = 0.03  # of an area, that both may differ by
EDGE = 6.0  # mm2 more: the program leaves out whole faces that rapping frees, this check patches of samples
PATCH = 0.8  # mm between samples of one patch
SHARES = 3


def add(run):
    for params in run.parts(USUAL):
        run.checks.run(f"undercuts of {params.stem}", compare, run, params)


def compare(run, params):
    folder, built, reasons = built_in_one_piece(run, params)
    if reasons:
        return [], reasons
    checked = run.folder / f"{params.stem}.check.json"
    command = [run.program, "check", params, "--form", "casting", "--json", checked]
    subprocess.run([str(c) for c in command], capture_output=True, text=True, timeout=240, check=False)
    found = [c for c in json.loads(checked.read_text("utf-8"))["checked"] if c["check"] == "undercut"]
    faults, lines = same_severity(found, (folder / "told.txt").read_text("utf-8")), []
    rows = {form: [u for c in found if c["what"].startswith(form) for u in c["undercuts"]] for form in ("pattern", "core box")}
    if key(rows["pattern"]) != key(built["casting"]["moulding"]["undercuts"]):
        faults.append("check and build tell other undercuts of the pattern")
    up = pull(params)
    for form, pieces in (("pattern", built["pattern"]["pieces"]), ("core box", built["core"]["pieces"])):
        halves = list(of_halves(folder / params.stem, form, pieces, up))
        more = [judge(form, rows[form], halves, shadow) for shadow in (False, True)]
        lines += [m[0] for m in more]
        faults += [fault for m in more for fault in m[1]]
    return lines, faults


def key(rows):
    return sorted((r["face"], r["under"] or "", round(r["area_mm2"], 6)) for r in rows)


def same_severity(found, told):
    """What check warns of, build warns of; the pattern's at least, which is among the forms built."""
    words = {"warn": "warning[G004]", "fail": "error[G004]"}
    wanted = [f"{words[c['verdict']]}: {c['what']}:" for c in found if c["verdict"] in words and c["what"].startswith("pattern")]
    faults = [f"build does not say: {text}" for text in wanted if text not in told]
    return faults + ([] if told.count("[G004]") == len(wanted) else [f"build says more: {told}"])


def of_halves(folder, form, pieces, up):
    """The halves to look at: of the pattern as they are written, of the core by the sign of the height."""
    for piece in pieces:
        mesh = trimesh.load_mesh(folder / piece["file"].replace(".step", ".stl"))
        mesh.vertices /= np.array([piece["scale"][0], piece["scale"][1], piece["scale"][1]])
        if form == "pattern":
            way = up if "upper" in piece["name"] else -up
            yield Half(without_parting(mesh, way), way, lambda points, _: np.ones(len(points), bool))
            continue
        for way in (up, -up):
            # The vent is no work of the box.
            outside = lambda points, normals: (np.linalg.norm(points[:, 1:], axis=1) > 8.0) | (np.abs(normals[:, 0]) > 0.5)
            cut = trimesh.intersections.slice_faces_plane(mesh.vertices, mesh.faces, way, np.zeros(3))
            yield Half(trimesh.Trimesh(cut[0], cut[1]), way, outside)


def figures(rows, halves, shadow):
    """(kind, area told, area found, what both may differ by, places told that no sample found is near, area found with what rapping
    frees) of some halves. A face of which rapping frees a part is told whole, and one that it frees wholly is not told, however
    near to another that is held: so what is told lies between both areas."""
    name = "shadow" if shadow else "against"
    rows = [r for r in rows if (r["under"] is not None) == shadow]
    told = sum(r["area_mm2"] for r in rows)
    area, all_of_it, places = 0.0, 0.0, [np.zeros((0, 3))]
    for half in halves:
        points, held = half.sets[name]
        all_of_it += half.all_against if name == "against" else len(points) * half.each
        for patch in patches(points):
            if held[patch].sum() * half.each > 1.0:
                places.append(points[patch])
                area += held[patch].sum() * half.each
    places = np.vstack(places)
    spread = 3 * np.sqrt(max(area, 0.0) / DENSITY) if shadow else 0.0
    nearest = [cKDTree(places).query(row["at_mm"])[0] if len(places) else np.inf for row in rows]
    return name, told, area, SHARE * told + EDGE + spread, sum(off > 2.0 for off in nearest), all_of_it


def judge(form, rows, halves, shadow):
    name, told, area, allowed, off, most = figures(rows, halves, shadow)
    faults = []
    # A face of which rapping frees a part is told whole.
    if not area - allowed <= told <= max(area, most) + allowed:
        faults.append(f"{form}, {name}: {told:.1f} mm2 told, {area:.1f} found")
    if off:
        faults.append(f"{form}, {name}: {off} places are told more than 2 mm off any sample found")
    return f"{form}, {name}: {told:.1f} mm2 told, {area:.1f} found", faults


def patches(points):
    """Samples that hang together, as lists of numbers."""
    if len(points) == 0:
        return []
    pairs = cKDTree(points).query_pairs(PATCH, output_type="ndarray")
    links = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(points),) * 2)
    count, label = connected_components(links, directed=False)
    return np.split(np.argsort(label, kind="stable"), np.cumsum(np.bincount(label, minlength=count))[:-1])
