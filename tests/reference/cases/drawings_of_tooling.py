"""Drawings of casting, pattern and core box: ezdxf reads the DXF, Open CASCADE the STEP files of the same forms.

Each dimension is found again as a distance between planes that bound the bodies, or the parting plane, the diameters of core prints
as the width of what Open CASCADE's triangles have there; stations as those of the parameter file, times the contraction, or as places of
round edges and flat faces of the casting's STEP file; each row of the table of
pieces is the size and the volume of the STEP file of that piece, contraction included; each dowel is a round edge there. Open CASCADE
knows nothing of contraction: its sizes are those of the files that a pattern maker gets. What is printed to a tenth of a
millimetre, or a hundredth of an inch, may be half of that off.
"""

import itertools
import math
import re
import tempfile
from pathlib import Path

import ezdxf
import numpy as np
import yaml
from build123d import GeomType, import_step
from checks import call
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib

SHARES = 2
# In inches; with other contraction along than across; with a solid block that parts elsewhere. All with --all.
USUAL = ("demo_inch", "long_iron", "solid_pads")
INCH = 25.4
# The kind of dimension that DXF calls by this number.
ORDINATE = 6
# Of the printed value's last place, and what the file's own figures leave open (STEP has 1e-5 mm, boxes as much).
HALF_PLACE = {"mm": 0.05 + 1e-3, "inch": 0.005 * INCH + 1e-3}
# Chord error of the triangles between which and the box the size of a piece lies, mm.
CHORD = 0.01
FORMS = {"casting": ["casting"], "pattern": ["pattern_upper", "pattern_lower"], "core_box": ["core_box_upper", "core_box_lower"]}


def add(run):
    files = [f for f in sorted(run.params.glob("*.yaml")) if run.everything or f.stem in USUAL]
    for params in run.mine(files):
        if params.stem not in run.built:
            run.checks.add(f"tooling drawings of {params.stem}", ["not built"])
            continue
        run.checks.run(f"tooling drawings of {params.stem}", compare, run, params)


def box(shape):
    """The six sides of a body's box. Beside splines it may be too large: a half that ends in a plane reached 0.55 mm beyond it."""
    around = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape.wrapped, around, False, False)
    low, high = around.CornerMin(), around.CornerMax()
    return [(low.X(), high.X()), (low.Y(), high.Y()), (low.Z(), high.Z())]


def corners(points):
    """The six sides of the corners of a body's triangles, which lie on its faces: never beyond the body."""
    return list(zip(points.min(axis=0), points.max(axis=0)))


def triangle_corners(shape):
    """The corners of Open CASCADE's triangles of a body."""
    return np.array([(p.X, p.Y, p.Z) for p in shape.tessellate(CHORD, 0.1)[0]])


class Bodies:
    """The STEP files of a form, with what several questions ask of each: its box, and the corners of its triangles."""

    def __init__(self, made, names):
        self.solids = {name: import_step(str(made / f"{name}.step")) for name in names}
        self.boxes = {name: box(solid) for name, solid in self.solids.items()}
        self._corners = {}

    def corners_of(self, name):
        if name not in self._corners:
            self._corners[name] = triangle_corners(self.solids[name])
        return self._corners[name]


def compare(run, params):
    made = run.built[params.stem].step.parent
    given = yaml.safe_load(params.read_text())
    units = "inch" if given["units"] in ("in", "inch", "inches") else "mm"
    lines, faults = [], []
    with tempfile.TemporaryDirectory() as folder:
        call([str(run.program), "draw", str(params), "--form", "casting,pattern,core-box", "--out", folder])
        ends = places = None
        for form, bodies in FORMS.items():
            drawing = ezdxf.readfile(Path(folder) / params.stem / f"{form}-drawing.dxf")
            audit = drawing.audit()
            faults += [f"{form}: audit: {e.message}" for e in audit.errors + audit.fixes]
            loose = sorted(path.stem for path in made.glob("pattern_loose_piece_*.step")) if form == "pattern" else []
            made_of = Bodies(made, bodies + loose)
            # As they lie in the pattern: the casting's STEP file has no contraction.
            ends = [x * factor(given) for x in made_of.boxes["casting"][0]] if form == "casting" else ends
            places = stations(given, made_of, ends, units) if form == "casting" else places
            dimensions, found = sizes(form, drawing, made_of, ends, places, units)
            rows, more = pieces(form, drawing, made_of, units)
            holes, last = dowels(form, drawing, made_of.solids, units)
            faults += found + more + last
            lines.append(f"{form}: {dimensions} dimensions, {rows} pieces, {holes} dowels")
    return lines, faults


def numbers(given, keys):
    """All values of some keys in a parameter file, wherever they stand, in its unit."""
    if isinstance(given, dict):
        own = [v for k, v in given.items() if k in keys and isinstance(v, (int, float))]
        return own + [x for v in given.values() for x in numbers(v, keys)]
    return [x for v in given for x in numbers(v, keys)] if isinstance(given, list) else []


def stations(given, bodies, ends, units):
    """Where along the shaft something may be told to stand, contraction included: what the file says, and the casting's ends, round edges about
    the shaft and the rims of flat faces that are square to it but for draft."""
    per = INCH if units == "inch" else 1.0
    whole = given["housing"]["overall_length"]
    said = numbers(given, {"station", "thickness", "base_station"})
    pads = [given[k] for k in ("mount_pad", "second_mount_pad") if k in given]
    said += [pad["base_station"] + pad.get("offset", 0) for pad in pads if "base_station" in pad]
    tail = given["tail"]
    said += [whole - tail[k] for k in ("length", "collar_length") if k in tail]
    if "length" not in tail and "wall" in given["shell"]:
        # As `describe tail.length` tells: the ring begins a wall ahead of the cavity's end, at least.
        said.append(given["shell"]["cavity"][-1]["station"] - given["shell"]["wall"])
    out = [x * per * factor(given) for x in said] + list(ends)
    rims = [given["gearbox_face"]["flange"]["diameter"], tail["outside_diameter"]]
    solid = bodies.solids["casting"]
    for edge in solid.edges():
        if edge.geom_type == GeomType.CIRCLE and max(abs(edge.arc_center.Y), abs(edge.arc_center.Z)) < 1e-3:
            out.append(edge.arc_center.X * factor(given))
    for face in solid.faces():
        if face.geom_type in (GeomType.PLANE, GeomType.CONE) and abs(face.normal_at().X) > 0.99:
            out += [x * factor(given) for x in at_rims(face, [0.5 * d * per for d in rims])]
    return out


def at_rims(face, radii):
    """Where a face nearly square to the shaft lies along it at some radii: draft leans it from its rim on, and its own edge is rounded."""
    middle, normal = face.center(), face.normal_at()
    off = math.hypot(middle.Y, middle.Z)
    if off < 1e-9:
        return [middle.X]
    lean = (normal.Y * middle.Y + normal.Z * middle.Z) / off
    return [middle.X - lean / normal.X * (r - off) for r in radii]


def sizes(form, drawing, bodies, casting_ends, places, units):
    """Dimensions that are no distance between two bounding planes of the bodies, the casting's ends or the parting plane."""
    boxes = bodies.boxes
    known = [0.0]
    for sides in boxes.values():
        known += [b - a for a, b in sides]
    halves = [boxes[name] for name in FORMS[form]]
    ends = [side for sides in halves for side in sides[0]]
    if form == "pattern":
        ends += casting_ends
    known += [abs(a - b) for a, b in itertools.combinations(ends, 2)]
    for axis in (1, 2):
        across = [side for sides in halves for side in sides[axis]] + [0.0]
        known += [abs(a - b) for a, b in itertools.combinations(across, 2)]
    per = INCH if units == "inch" else 1.0
    all_of_it = list(drawing.modelspace().query("DIMENSION"))
    told = [float(d.dxf.text) * per for d in all_of_it if d.dimtype == ORDINATE]
    texts = [re.sub(r"\\U\+00D8", "Ø", d.dxf.text) for d in all_of_it if d.dimtype != ORDINATE]
    round_ones = [float(text.lstrip("Ø")) * per for text in texts if text.startswith("Ø")]
    prints = print_diameters(bodies, casting_ends) if form == "pattern" else []
    out = [f"{form}: {form} has prints of {prints}, the sheet {round_ones}"] if not alike(round_ones, prints, HALF_PLACE[units]) else []
    said = [float(text) * per for text in texts if not text.startswith("Ø")]
    wrong = [value for value in said if min(abs(value - k) for k in known) > HALF_PLACE[units]]
    out += [f"{form}: {value:.3f} mm is no size of the STEP files" for value in wrong]
    astray = [x for x in told if min(abs(x - place) for place in places) > HALF_PLACE[units]]
    out += [f"{form}: nothing stands at {x:.3f} mm" for x in astray]
    if form != "casting" and len(told) < 4:
        out.append(f"{form}: {len(told)} stations only")
    return len(all_of_it), out + ([] if len(said) >= 3 else [f"{form}: {len(said)} dimensions only"])


def alike(some, others, most):
    """Whether two lists hold the same lengths, within a bound."""
    return len(some) == len(others) and all(abs(a - b) < most for a, b in zip(sorted(some), sorted(others)))


def print_diameters(bodies, ends):
    """Of the core prints, ahead of the casting and behind it: twice how far the triangles' corners reach from the shaft's axis there. Prints
    are cylinders: other corners than those at both ends of the print have none of their triangles."""
    points = np.concatenate([bodies.corners_of(half) for half in FORMS["pattern"]])
    off = np.hypot(points[:, 1], points[:, 2])
    # Half a millimetre off the casting: its own faces lie within that of its ends, drafted ones too.
    sides = (points[:, 0] < min(ends) - 0.5, points[:, 0] > max(ends) + 0.5)
    return [2 * off[side].max() for side in sides]


def factor(given):
    """Pattern over casting along the shaft. What is not in the file is aluminium's 1.3 % (reference value of trade pages)."""
    told = (given.get("casting") or {}).get("contraction") or {}
    percent = told.get("axial", 1.3) if isinstance(told, dict) else told
    return 1.0 + float(str(percent).rstrip(" %")) / 100.0


def table(drawing, first):
    """Texts of the sheet from a table's title on, decoded."""
    decode = lambda t: re.sub(r"\\U\+([0-9A-F]{4})", lambda m: chr(int(m.group(1), 16)), t)
    texts = [decode(t.dxf.text) for t in drawing.modelspace().query("TEXT")]
    start = next((k for k, t in enumerate(texts) if t.startswith(first)), None)
    return [] if start is None else texts[start + 1:]


def pieces(form, drawing, bodies, units):
    """The table of pieces, each row held against its STEP file."""
    if form == "casting":
        return 0, []
    texts = table(drawing, "Pieces, with contraction")[5:]
    per, cubic = (INCH, INCH**3) if units == "inch" else (1.0, 1000.0)
    out, rows, widths = [], 0, []
    for name, solid in bodies.solids.items():
        row = texts[5 * rows : 5 * rows + 5]
        rows += 1
        if row[0].replace(", ", "_").replace(" ", "_") not in (name, name + "_half"):
            out.append(f"{form}: row {rows} is of {row[0]}, not of {name}")
            continue
        for axis, (said, inner, outer) in enumerate(zip(row[1:4], corners(bodies.corners_of(name)), bodies.boxes[name])):
            least, most = inner[1] - inner[0], outer[1] - outer[0]
            if not least - HALF_PLACE[units] <= float(said) * per <= most + HALF_PLACE[units]:
                out.append(f"{name}: {'XYZ'[axis]} {said}, {least / per:.4f} to {most / per:.4f} in the STEP file")
            widths.append(most - least)
        said, unit = row[4].split()
        if unit != ("in\u00b3" if units == "inch" else "cm\u00b3") or abs(float(said) - solid.volume / cubic) > 0.05 + 1e-4 * solid.volume / cubic:
            out.append(f"{name}: {row[4]}, {solid.volume / cubic:.2f} in the STEP file")
    # Both sides tell nearly the same of most sizes, or this would hold any value.
    if sorted(widths)[len(widths) // 2] > 0.05:
        out.append(f"{form}: sizes are known to {sorted(widths)[len(widths) // 2]:.3f} mm only")
    return rows, out


def dowels(form, drawing, solids, units):
    """Dowels of the table without a round edge of that size in both halves' STEP files at that place."""
    texts = table(drawing, "Dowels, with contraction")[4:] if form != "casting" else []
    per, near = (INCH, 3e-4 * INCH) if units == "inch" else (1.0, 6e-3)
    edges = {n: list(solids[n].edges()) for n in FORMS[form]}
    out, rows = [], 0
    while len(texts) >= 4 * rows + 4 and re.fullmatch(r"D\d+", texts[4 * rows]):
        name, bore, x, across = texts[4 * rows : 4 * rows + 4]
        rows += 1
        bore, x, across = (float(v.lstrip("\u00d8")) * per for v in (bore, x, across))
        for half, all_edges in edges.items():
            if not any(is_rim(e, bore, (x, across), near) for e in all_edges):
                out.append(f"{half}: no hole for {name} at {x:.3f}, {across:.3f} mm")
    return rows, out + ([] if rows or form == "casting" else [f"{form}: no dowel is listed"])


def is_rim(edge, bore, at, near):
    """Whether an edge is a hole's rim about a place of the parting plane. Uneven contraction leaves an oval about the dowel."""
    x, across = at
    if edge.geom_type == GeomType.CIRCLE:
        middle = edge.arc_center
        off = (middle.X - x, (middle.Y**2 + middle.Z**2) ** 0.5 - abs(across))
        return abs(2 * edge.radius - bore) < 2 * near and all(abs(d) < near for d in off)
    points = [edge.position_at(k / 8) for k in range(9)]
    if edge.geom_type == GeomType.LINE or max(abs(p.Z) for p in points) > near:
        return False
    radii = [((p.X - x) ** 2 + (p.Y - across) ** 2) ** 0.5 for p in points]
    return 0.5 * bore - near < min(radii) and max(radii) < 0.505 * bore + near
