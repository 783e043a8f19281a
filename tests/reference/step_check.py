"""Holds a STEP file against Open CASCADE, against its own text and against a sidecar.

    python step_check.py FILE.step [--expect FILE.json] [--solids N]

Prints the figures measured; ends with 1 and a list of reasons when the file is at fault.

Open CASCADE's integrals are themselves wrong on some sound faces. Its plain rule is tried first;
where any figure is off, the adaptive one; where the volume still is, the finest (there is none for
areas). Where a figure still is off, the text's
own integral may stand in for it, but only if that agrees with the sidecar to 1e-8 and Open
CASCADE's figure to 1e-3, and for a volume only if the curves that Open CASCADE made on
reading miss the file's edges, which explains it. The same holds of the centroid, to 5e-6 and
1e-3 mm. A line of the output then says so.

The sidecar is what `tailpattern build ... --measured FILE.json` writes:
  file, product            text
  volume_mm3, area_mm2     numbers
  centroid_mm              [x, y, z]
  inertia_about_centroid_mm5   [Ixx, Iyy, Izz, Ixy, Iyz, Izx], unit density; a product of
                           inertia is the plain integral of x y (no minus sign)
  faces, edges, vertices   counts of the file
  cylinders                [{name, radius_mm, point_mm, axis}], every bore, seat and hole;
                           point_mm is any point of the axis
  face_names               one "feature/role" a face, in any order
"""

import argparse
import json
import sys
from collections import Counter

import numpy as np
import occ_read
import step_text

TOLERANCE = 1e-3  # mm, the largest edge or vertex tolerance after reading
RELATIVE = 1e-6  # volume and area by Open CASCADE
ROUGH = 1e-3  # volume and area by Open CASCADE where the text's integral stands in for it
FLAT_GAP = 1e-4  # mm, Open CASCADE's own curves off the edges: more explains wrong integrals
SMALL = 5e-5  # mm3 or mm2, below what edges within 1e-6 mm of their surfaces can tell
CENTROID = 1e-4  # mm
CENTROID_BY_TEXT = 5e-6  # mm, first moments along the text's own edges; lets them stand in
PLAIN_RULE = 1e-5  # of the volume: what Open CASCADE's plain rule may miss on spline faces
EXACT = 1e-8  # volume and area from the text's own surfaces and edges; lets them stand in
MANY_FACES = 300
FEW_FACES = 50  # up to which Open CASCADE measures all faces by one rule
PLAIN_SLACK = 10.0  # how much wider centroid and inertia may then miss
INERTIA = 1e-5  # of the trace
RADIUS = 1e-6  # mm
AXIS_OFFSET = 1e-6  # mm
AXIS_SINE = 1e-8
KEYS = (
    "file product volume_mm3 area_mm2 centroid_mm inertia_about_centroid_mm5 "
    "faces edges vertices cylinders face_names"
).split()


def check(path, expect=None, solids=1):
    """(lines of figures, reasons). `expect` is the sidecar as a dictionary."""
    text = step_text.check(path, solids)
    lines, reasons = [text.line()], [f"text: {fault}" for fault in text.faults]
    if text.faults:
        # The text alone refuses the file. Open CASCADE heals such faults without a word on reading, and may
        # try for many minutes.
        return lines, reasons
    try:
        shape = occ_read.read(path)
        found = occ_read.measure(shape)
        products, names = occ_read.read_names(path)
    except occ_read.ReadFault as fault:
        return lines, reasons + [f"occ: {fault}"]
    told = expect is not None and all(key in expect for key in KEYS)
    wanted = expect if told else {"volume_mm3": text.volume, "area_mm2": text.area}
    by_face = False
    if _off(found.volume, wanted["volume_mm3"]) > RELATIVE or _moments(found, expect):
        # On few faces the finest rule takes no time, and needs no choice by the text.
        shares = [share for _, _, share in text.shares] if found.faces > FEW_FACES else []
        by_face = occ_read.adapt_volume(found, shape, shares)
    if _off(found.area, wanted["area_mm2"]) > RELATIVE and not (found.faces > MANY_FACES and _by_text(text.area, wanted["area_mm2"])):
        occ_read.adapt_area(found, shape)
    lines.append(found.line())
    off = _off(found.volume, wanted["volume_mm3"])
    if RELATIVE < off <= PLAIN_RULE and _off(text.volume, wanted["volume_mm3"]) <= EXACT and found.faces > MANY_FACES:
        # The finer rule would take many minutes on as many spline faces; the text's own integral is the second road.
        lines.append(f"occ: volume off by {off:.1e}, as its plain rule may be; the text's integral agrees")
        found.volume, found.plain = text.volume, PLAIN_SLACK
    elif off > RELATIVE:
        if not by_face:
            first = found.volume
            occ_read.refine(found, shape)
            lines.append(f"occ: volume by its finer rule {found.volume:.6f}, the first off by {_off(first, found.volume):.1e}")
        found.flat_gap = occ_read.flat_gap(shape)
    reasons += _solid(found, solids)
    if expect is None:
        return lines, reasons + _two_roads(found, text)
    missing = [key for key in KEYS if key not in expect]
    if missing:
        return lines, reasons + [f"sidecar: no {', '.join(missing)}"]
    reasons += _figures(found, text, expect, lines)
    reasons += _cylinders(found, text, expect["cylinders"])
    reasons += _names(text, products, names, expect)
    return lines, reasons


def _moments(found, expect, centroid=CENTROID, inertia=INERTIA):
    """Reasons against Open CASCADE's centroid and inertia; none without a sidecar's."""
    if expect is None or any(key not in expect for key in KEYS):
        return []
    wanted = np.array(expect["inertia_about_centroid_mm5"], dtype=float)
    return _differs("centroid", found.centroid, expect["centroid_mm"], centroid) + _differs(
        "inertia", found.inertia, wanted, inertia * abs(wanted[:3].sum())
    )


def _by_text(value, wanted):
    """Whether the text's own integral agrees: then it stands in for Open CASCADE's area, however that is found (`_size`)."""
    return value is not None and abs(value - wanted) <= max(EXACT * abs(wanted), SMALL)


def _off(value, wanted):
    """The relative difference; endless where there is nothing to compare."""
    return abs(value / wanted - 1.0) if wanted else float("inf")


def _solid(found, solids):
    """What any good file holds, whatever its size."""
    out = []
    if found.solids != solids:
        out.append(f"{found.solids} solids where {solids} expected")
    if not found.valid:
        out.append("BRepCheck calls the shape invalid")
    if found.free_edges:
        out.append(f"open shell: {found.free_edges} free edges")
    if found.crossed_edges:
        out.append(f"flipped: {found.crossed_edges} edges used twice in one direction")
    if found.inside_out:
        out.append("inside out: the far point lies in the solid")
    if not found.tolerance <= TOLERANCE:
        out.append(f"largest tolerance {found.tolerance:.3g} mm, limit {TOLERANCE} mm")
    if not found.volume > 0.0:
        out.append(f"inside out: volume {found.volume}")
    return [f"occ: {reason}" for reason in out]


def _differs(name, value, wanted, limit):
    gap = np.max(np.abs(np.asarray(value, dtype=float) - np.asarray(wanted, dtype=float)))
    return [] if gap <= limit else [f"{name} {value}, expected {wanted}, off by {gap:.3g}, limit {limit:.3g}"]


def _two_roads(found, text):
    """Without a sidecar: Open CASCADE after healing and the text must tell of the same solid."""
    if text.volume is None:
        return []
    return [
        f"occ against text: {reason}"
        for reason in _differs("volume", found.volume, text.volume, RELATIVE * abs(text.volume))
        + _differs("area", found.area, text.area, RELATIVE * abs(text.area))
    ]


def _size(name, value, by_text, wanted, explained, lines):
    """Reasons against a volume or area of Open CASCADE and the one of the text."""
    out = []
    if by_text is not None and not _by_text(by_text, wanted):
        out += _differs(f"{name} by text", by_text, wanted, max(EXACT * abs(wanted), SMALL))
    off = _off(value, wanted)
    if off <= RELATIVE:
        return out
    if by_text is not None and not out and explained and off <= ROUGH:
        lines.append(f"{name} by text integral {by_text:.6f}; Open CASCADE off by {off:.1e}")
        return out
    return out + _differs(name, value, wanted, RELATIVE * abs(wanted))


def _centroid(found, text, wanted, limit, lines):
    """Reasons against Open CASCADE's centroid and the one of the text."""
    by_text = [] if text.centroid is None else _differs("centroid by text", text.centroid, wanted, CENTROID_BY_TEXT)
    off = _differs("centroid", found.centroid, wanted, limit)
    if off and text.centroid is not None and not by_text and not _differs("centroid", found.centroid, wanted, max(limit, ROUGH)):
        lines.append(f"centroid by text integral {' '.join(f'{c:.6f}' for c in text.centroid)}; Open CASCADE off by {np.abs(found.centroid - wanted).max():.1e} mm")
        return []
    return by_text + off


def _figures(found, text, expect, lines):
    volume, area = text.volume, text.area
    explained = volume is not None and found.flat_gap > FLAT_GAP
    slack = getattr(found, "plain", 1.0)
    if explained:
        lines.append(f"occ: its own curves on faces miss the file's edges by {found.flat_gap:.6f} mm; "
                     f"centroid and inertia are compared roughly")
    out = _size("volume", found.volume, volume, expect["volume_mm3"], explained, lines)
    out += _size("area", found.area, area, expect["area_mm2"], True, lines)
    rough = (found.flat_gap, ROUGH) if explained else (CENTROID * slack, INERTIA * slack)
    out += _centroid(found, text, expect["centroid_mm"], rough[0], lines)
    out += _moments(found, expect, np.inf, rough[1])
    for name in ("faces", "edges", "vertices"):
        if getattr(text, name) != expect[name]:
            out.append(f"{getattr(text, name)} {name} in the file, expected {expect[name]}")
    return [f"against sidecar: {reason}" for reason in out]


def _same_cylinder(cylinder, wanted):
    radius, origin, axis = cylinder
    along = np.array(wanted["axis"], dtype=float)
    along /= np.linalg.norm(along)
    off = np.array(wanted["point_mm"], dtype=float) - origin
    return (
        abs(radius - wanted["radius_mm"]) <= RADIUS
        and np.linalg.norm(np.cross(axis, along)) <= AXIS_SINE
        and np.linalg.norm(off - axis * (off @ axis)) <= AXIS_OFFSET
    )


def _cylinders(found, text, wanted_list):
    out = []
    for wanted in wanted_list:
        where = f"{wanted['name']} radius {wanted['radius_mm']} mm"
        if not any(_same_cylinder(c, wanted) for c in found.cylinders):
            out.append(f"occ: no cylindrical face for {where} on its axis")
        named = [c[1:] for c in text.cylinders if c[0] == wanted["name"]]
        if not any(_same_cylinder(c, wanted) for c in named):
            out.append(f"text: no cylindrical face named {wanted['name']!r} for {where} on its axis")
    return out


def _names(text, products, names, expect):
    out = []
    if text.product != expect["product"]:
        out.append(f"text: product {text.product!r}, expected {expect['product']!r}")
    if expect["product"] not in products:
        out.append(f"occ: products {products}, expected {expect['product']!r}")
    wanted = Counter(expect["face_names"])
    if any(not name for name in expect["face_names"]):
        out.append("sidecar: a face without a name")
    odd = wanted - Counter(text.face_names), Counter(text.face_names) - wanted
    if odd[0] or odd[1]:
        out.append(f"text: face names missing {dict(odd[0])}, not expected {dict(odd[1])}")
    # Faces of one name may share a label there, so sets are compared. The document reader
    # gives no names for the faces of void shells; all others must come back.
    seen = set(names)
    odd = seen ^ set(wanted) if text.shells == 1 else seen - set(wanted)
    if odd or not seen:
        out.append(f"occ: face names (XDE) {sorted(odd)} on one side only")
    return out


def report(path, expect=None, solids=1):
    """Prints the outcome of one file; true when it is good."""
    lines, reasons = check(path, expect, solids)
    for line in lines:
        print(line)
    for reason in reasons:
        print(f"FAULT {reason}")
    return not reasons


def load_sidecar(path):
    with open(path, encoding="utf-8") as file:
        return json.load(file)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("file")
    parser.add_argument("--expect", help="the sidecar JSON")
    parser.add_argument("--solids", type=int, default=1)
    args = parser.parse_args()
    expect = load_sidecar(args.expect) if args.expect else None
    return 0 if report(args.file, expect, args.solids) else 1


if __name__ == "__main__":
    sys.exit(main())
