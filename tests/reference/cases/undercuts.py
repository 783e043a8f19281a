"""The undercuts that `check` and `build` tell, found again by rays on fine meshes of pattern and core, face by face.

Each half of the pattern, and of the core, is sampled evenly. A sample holds the mould where its triangle leans against the
pull, or where a ray along the pull meets metal of the same half; embreex answers the rays. A lean of about a degree is forgiven, and so
is what a wall that leans so little covers of itself: such a strip need not be told. What stays free when it is moved
sideways by half a millimetre is freed by rapping. Of each half the program tells those faces whole of which rapping leaves more than a
square millimetre held, a shadow traced within a quarter of a millimetre, so each sample goes to the face that it lies on (the figures of `--measured` tell how many triangles of the STL
file each face has). Every face of which the samples surely leave more than that must be told, no face of which rapping frees all may be, and the
area told of a face must be that of its samples. The halves are built in one piece (`loose_pieces: false`).
"""

import json
import subprocess
from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
from moulds import USUAL, Half, built_in_one_piece, named, pull, without_parting
from scipy.spatial import cKDTree

SHARE = 0.03  # of an area, that both may differ by
EDGE = 2.0  # mm2 more, of a face: chords of the mesh beside the limit of slope
LEAST = 1.0  # mm2: a face of which no more is held is not told
OUTLINE = 0.25  # mm: so finely the program traces the outlines of shadows, as it says of itself; a narrower strip may be missed
COUNTED = 20  # samples in a disc at least, by which it is told whether a shadow fills it
SIGMAS = 3.0  # of the count of samples
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
    level = pull(params)
    # A core box may be parted at another clock than the mould.
    box = np.array(built["core-box"].get("split_up") or level)
    for form, pieces, up in (("pattern", built["pattern"]["pieces"], level), ("core box", built["core"]["pieces"], box)):
        halves = list(of_halves(folder / params.stem, form, pieces, up))
        for shadow in (False, True):
            seen = compared(rows[form], halves, shadow)
            lines.append(f"{form}, {seen.text()}")
            faults += [f"{form}, {seen.kind}: {fault}" for fault in seen.faults()]
    return lines, faults


def key(rows):
    return sorted((r["face"], r["under"] or "", round(r["area_mm2"], 6)) for r in rows)


def same_severity(found, told):
    """What check warns of, build warns of: pattern and core box are among the forms built."""
    words = {"warn": "warning[G004]", "fail": "error[G004]"}
    wanted = [f"{words[c['verdict']]}: {c['what']}:" for c in found if c["verdict"] in words]
    faults = [f"build does not say: {text}" for text in wanted if text not in told]
    return faults + ([] if told.count("[G004]") == len(wanted) else [f"build says more: {told}"])


def of_halves(folder, form, pieces, up):
    """The halves to look at: of the pattern as they are written, of the core by the sign of the height."""
    for piece in pieces:
        if form == "pattern" and not piece["name"].endswith(" half"):
            continue  # a feeder or gate, drawn by itself
        body = named(folder / piece["file"].replace(".step", ".stl"), piece)
        if form == "pattern":
            way = up if "upper" in piece["name"] else -up
            yield Half(without_parting(body, way), way, lambda points, _: np.ones(len(points), bool))
            continue
        for way in (up, -up):
            # The vent is no work of the box. A ray along the pull never comes back to the other half.
            def own(points, normals, way=way):
                return (points @ way > 0.0) & ((np.linalg.norm(points[:, 1:], axis=1) > 8.0) | (np.abs(normals[:, 0]) > 0.5))

            yield Half(body, way, own)


@dataclass
class Seen:
    """What the program tells of some halves beside what rays find; areas in mm2."""

    kind: str  # "against" or "shadow"
    told: float
    found: float  # of faces that are told or must be
    allowed: float  # by how much a face's own areas may differ, summed
    missed: list = field(default_factory=list)  # (face, area) that must be told and is not
    wrong: list = field(default_factory=list)  # (face, area) told that no ray finds
    faces: int = 0  # compared
    off: list = field(default_factory=list)  # (face, area told, area found) that differ
    far: list = field(default_factory=list)  # (face, mm) whose place told is far from all samples of that face

    def text(self):
        return f"{self.kind}: {self.told:.1f} mm2 told, {self.found:.1f} found"

    def faults(self):
        return (
            [f"{face}: {area:.1f} mm2 found, not told" for face, area in self.missed]
            + [f"{face}: {area:.1f} mm2 told, none held" for face, area in self.wrong]
            + [f"{face}: {told:.1f} mm2 told, {found:.1f} found" for face, told, found in self.off]
            + [f"{face}: told {off:.1f} mm off any sample of it" for face, off in self.far]
        )


def off_outline(points, each):
    """Which samples of what is held of a shadow surely lie farther off its outline than the program traces it: those about which samples
    fill a disc of that radius but for a fifth. On large faces samples stand so far apart that the disc must be larger: fewer than
    twenty in it tell nothing."""
    if len(points) == 0:
        return np.zeros(0, bool)
    radius = np.maximum(OUTLINE, np.sqrt(COUNTED * each / np.pi))
    near = cKDTree(points).query_ball_point(points, radius, return_length=True)
    return near * each > 0.8 * np.pi * radius**2


def compared(rows, halves, shadow):
    """The rows told of some halves beside the samples of these, face by face."""
    kind = "shadow" if shadow else "against"
    told, at = defaultdict(float), defaultdict(list)
    for row in rows:
        if (row["under"] is not None) == shadow:
            told[row["face"]] += row["area_mm2"]
            at[row["face"]].append(row["at_mm"])
    # Of each face: area of the halves in which it is surely told, of those in which it may be, and the spread of what samples tell.
    sure, possible, spread, places = (defaultdict(make) for make in (float, float, float, list))
    for half in halves:
        points, held = half.sets[kind]
        for name in np.unique(half.names[kind]):
            if name.startswith("parting/"):
                continue  # seams lie on another piece, not in the sand
            own = half.names[kind] == name
            each = half.area[kind][own]
            area, left = each.sum(), each[held[own]].sum()
            own_bend = half.bend[kind][own]
            surely = half.sure[kind][own] & ~own_bend
            inner = each[surely]
            if shadow:
                inner = inner[off_outline(points[own][surely], inner)]
            if inner.sum() - SIGMAS * np.sqrt((inner**2).sum()) > LEAST:
                sure[name] += each[~own_bend].sum()
            if left > 0.0:
                possible[name] += area
                spread[name] += (each**2).sum()
                # On the border between what leans and what lies in a shadow a strip may be of either kind.
                places[name] += [half.sets[other][0][half.names[other] == name] for other in half.sets]
    out = Seen(kind, sum(told.values()), 0.0, 0.0)
    for name in sorted({*told, *sure}):
        least, most = sure[name], possible[name]
        out.faces += 1
        slack = SHARE * most + EDGE + SIGMAS * np.sqrt(spread[name])
        out.found, out.allowed = out.found + min(max(told.get(name, 0.0), least), most), out.allowed + slack
        if name not in told:
            out.missed.append((name, least))
        elif name not in possible or not places[name]:
            out.wrong.append((name, told[name]))
        elif not least - slack <= told[name] <= most + slack:
            out.off.append((name, told[name], least if told[name] < least else most))
        else:
            nearest = max(cKDTree(np.vstack(places[name])).query(place)[0] for place in at[name])
            if nearest > 2.0:
                out.far.append((name, nearest))
    return out
