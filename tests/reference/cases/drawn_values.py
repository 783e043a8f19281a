"""Drawings of parts with values changed on purpose: each value stands where it belongs, and a wrong one is seen to be wrong.

ezdxf reads the DXF. The boxes of geometric tolerances are put together again from bare lines, circles and texts: the kind by the shape of its
symbol (ISO 1101, table 1), the zone, the letter M of maximum material, the datums. Each tolerance key of the parameter file gets a value
that no other has; it must stand in the boxes of its own surface and nowhere else; errors of other parts stand nowhere. Fits are held against
the tolerance grades of ISO 286-1, table 1, threads and holes against ISO 261, ISO 273 and ISO 2306. Every expectation is also put to the drawing of the file as it is, where it must fail: a check that passes there could see nothing.
"""

import re
import tempfile
from collections import Counter, defaultdict
from pathlib import Path

import ezdxf
import yaml
from checks import call

BOX = 4.2  # height of a box, and width of the one with the symbol, mm of paper
FILE = "demo_mm"
# Parameter files in which features stand that the demonstration does not have.
ELSEWHERE = {"rail_bore": "short_lugs"}

# Key of `mating.tolerances`: kind, whether the zone is round, whether at maximum material, datums, number of boxes on the sheet.
KEYS = {
    "bushing_seat": ("position", True, False, ("A", "B"), 1),
    "seal_bore": ("coaxiality", True, False, ("D",), 1),
    "seal_shoulder_runout": ("run-out", False, False, ("D",), 1),
    "face_squareness": ("perpendicularity", False, False, ("D",), 1),
    "face_flatness": ("flatness", False, False, (), 1),
    "pad_flatness": ("flatness", False, False, (), 2),
    "pad_squareness": ("perpendicularity", False, False, ("A",), 2),
    "rear_parallelism": ("parallelism", False, False, ("A",), 1),
    "rail_bore": ("position", True, False, ("A", "B", "C"), 1),
    "sender_bore": ("position", True, False, ("A", "B", "C"), 1),
    "flange_holes": ("position", True, True, ("A", "B"), 1),
}

# Keys of `mating.tolerances` that tell of gearbox, bushing and assembly: no sheet of the housing may show them.
OF_OTHER_PARTS = ("gearbox_bore", "gearbox_squareness", "gearbox_holes", "rail_parallelism", "bushing_wall")


def add(run):
    if run.share[0] == 0:
        run.checks.run("values on drawings, changed on purpose", compare, run)


def text_of(entity):
    """A text as it is read."""
    told = re.sub(r"\\U\+([0-9A-F]{4})", lambda m: chr(int(m.group(1), 16)), entity.dxf.text)
    return told.replace("%%%", "%")


class Sheet:
    """A drawing's DXF: its boxes, its texts, where they stand."""

    def __init__(self, path):
        self.model = ezdxf.readfile(path).modelspace()
        self.written = [(text_of(t), t) for t in self.model.query("TEXT")]
        self.texts = Counter(text for text, _ in self.written)
        self.dimensions = Counter(text_of(d) for d in self.model.query("DIMENSION"))
        self.lines = [((e.dxf.start.x, e.dxf.start.y), (e.dxf.end.x, e.dxf.end.y)) for e in self.model.query("LINE")]
        self.circles = [((e.dxf.center.x, e.dxf.center.y), e.dxf.radius) for e in self.model.query("CIRCLE")]
        self.frames = self.boxes()

    def all(self):
        return self.texts + self.dimensions

    def boxes(self):
        """Boxes of tolerances: (kind, zone, at maximum material, datums)."""
        sides = defaultdict(set)
        for (ax, ay), (bx, by) in self.lines:
            if abs(ax - bx) < 1e-6 and abs(abs(ay - by) - BOX) < 1e-3:
                sides[round(min(ay, by), 2)].add(round(ax, 2))
        found = []
        for low, places in sides.items():
            cells = [(a, b, self.within(a, b, low)) for a, b in zip(sorted(places), sorted(places)[1:])]
            frame = None
            for a, b, words in cells:
                if not words and abs(b - a - BOX) < 0.02:
                    frame = [self.kind(a, low)]
                    found.append(frame)
                elif not words or b - a > 40:
                    frame = None  # A gap between two boxes at one height.
                elif frame is not None:
                    frame.append(words)
        return Counter(self.read(frame) for frame in found if len(frame) > 1)

    def within(self, a, b, low):
        inside = [(t.dxf.insert.x, text) for text, t in self.written
                  if a - 0.01 < t.get_placement()[1].x < b + 0.01 and low < t.get_placement()[1].y < low + BOX]
        return tuple(text for _, text in sorted(inside))

    @staticmethod
    def read(frame):
        kind, (zone, *more), *datums = frame
        return (kind, zone, "M" in more, tuple("/".join(cell) for cell in datums))

    def kind(self, x, low):
        """The kind, by what is drawn within the box of the symbol."""
        middle = (x + BOX / 2, low + BOX / 2)
        near = lambda p: abs(p[0] - middle[0]) < 0.49 * BOX and abs(p[1] - middle[1]) < 0.49 * BOX
        circles = sum(near(c) for c, r in self.circles if r < 0.4 * BOX)
        lines = [(b[0] - a[0], b[1] - a[1]) for a, b in self.lines if near(a) and near(b)]
        level = sum(abs(dy) < 1e-3 for _, dy in lines)
        upright = sum(abs(dx) < 1e-3 for dx, _ in lines)
        lean = len(lines) - level - upright
        shapes = {(1, 1, 1, 0): "position", (2, 0, 0, 0): "coaxiality", (0, 1, 1, 0): "perpendicularity",
                  (0, 2, 0, 2): "flatness", (0, 0, 0, 2): "parallelism", (0, 0, 0, 1): "run-out"}
        return shapes.get((circles, level, upright, lean), f"unknown {circles, level, upright, lean}")


def draw(run, folder, given, name, *more):
    """The sheets of a file, by form."""
    path = Path(folder) / f"{name}.yaml"
    path.write_text(yaml.safe_dump(given, allow_unicode=True, sort_keys=False), encoding="utf-8")
    _, reasons = call([str(run.program), "draw", str(path), "--out", str(folder), *more])
    if reasons:
        raise RuntimeError(f"{name}: {reasons}")
    return {p.name.split("-")[0]: Sheet(p) for p in sorted((Path(folder) / name).glob("*-drawing.dxf"))}


def compare(run):
    text = (run.params / f"{FILE}.yaml").read_text(encoding="utf-8")
    lines, faults = [], []
    with tempfile.TemporaryDirectory() as folder:
        plain = draw(run, folder, yaml.safe_load(text), "plain", "--form", "finished,casting,pattern")
        foreign = draw(run, folder, with_errors_of_other_parts(yaml.safe_load(text)), "foreign")["finished"]
        zones = draw(run, folder, with_zones(yaml.safe_load(text)), "zones")["finished"]
        others = draw(run, folder, with_others(yaml.safe_load(text)), "others", "--form", "finished,casting,pattern")
        third = draw(run, folder, yaml.safe_load(text), "third", "--angle", "third")["finished"]
        inch = draw(run, folder, yaml.safe_load((run.params / "demo_inch.yaml").read_text(encoding="utf-8")), "inch")["finished"]
        for key, name in ELSEWHERE.items():
            given = yaml.safe_load((run.params / f"{name}.yaml").read_text(encoding="utf-8"))
            before = draw(run, folder, given, f"{name}_plain")["finished"]
            faults += seen(before, draw(run, folder, with_zones(given), f"{name}_zones")["finished"], [key])
    faults += seen(plain["finished"], zones, [key for key in KEYS if key not in ELSEWHERE])
    lines.append(f"{sum(zones.frames.values())} boxes, {len(KEYS)} keys")
    faults += apart_from_source(plain["finished"], foreign, "errors of other parts")
    if not apart_from_source(plain["finished"], zones, "the housing's own"):
        faults.append("changed tolerances of the housing itself leave its sheet as it was")
    faults += counted(others["finished"])
    if not counted(plain["finished"]):
        faults.append("the holes of the part as it was pass as those of the changed one")
    for form, wanted in OTHERS.items():
        faults += [f"{form}: `{text}` is not on the sheet of the changed part" for text in wanted if not holds(others[form], text)]
        faults += [f"{form}: `{text}` is on the sheet of the part as it was" for text in wanted if holds(plain[form], text)]
    lines.append(f"{sum(map(len, OTHERS.values()))} other values")
    faults += arranged(plain["finished"], first=True) + arranged(third, first=False)
    if not arranged(plain["finished"], first=False) or not arranged(third, first=True):
        faults.append("the other arrangement of views passes as well")
    faults += of_standard(plain["finished"], "ISO A", "millimetres", "µm") + of_standard(inch, "ASME ", "inches", "µin")
    if not of_standard(plain["finished"], "ASME ", "inches", "µin") or not of_standard(inch, "ISO A", "millimetres", "µm"):
        faults.append("a sheet of the other standard passes as well")
    return lines, faults


def seen(plain, changed, keys):
    """Faults of the changed values' sheet, and keys whose changed value would pass on the plain one."""
    blind = [key for key in keys if not in_their_boxes(plain, zone, [key])]
    return in_their_boxes(changed, zone, keys) + [f"{key}: another value passes as well" for key in blind]


def zone(key):
    """A value in mm that no other key has and that the file does not use."""
    return round(0.0113 + 0.0017 * list(KEYS).index(key), 4)


def with_zones(given):
    given["mating"]["tolerances"] |= {key: f"{zone(key)} mm" for key in KEYS}
    return given


def with_errors_of_other_parts(given):
    given["mating"]["tolerances"] |= {key: f"{0.0213 + 0.0019 * k:g} mm" for k, key in enumerate(OF_OTHER_PARTS)}
    return given


def apart_from_source(plain, changed, what):
    """Texts that stand on one of two sheets only; the line that names the file, with its hash, differs always."""
    told = [Counter({t: n for t, n in sheet.all().items() if "sha256" not in t}) for sheet in (plain, changed)]
    return [f"{what}: on one sheet only {sorted((told[0] - told[1]) + (told[1] - told[0]))}"] if told[0] != told[1] else []


def counted(sheet):
    """Diameters of the changed part's table of holes that stand there another number of times."""
    return [f"{size} stands {sheet.texts[size]} times in the table, not {n}" for size, n in COUNTS.items() if sheet.texts[size] != n]


def in_their_boxes(sheet, value, keys=KEYS):
    """Tolerances that stand in other boxes, or in others as well, than their own."""
    out = []
    for key in keys:
        kind, is_round, at_most, datums, number = KEYS[key]
        said = ("Ø" if is_round else "") + f"{value(key):g}"
        own = {frame: n for frame, n in sheet.frames.items() if frame[1].lstrip("Ø") == said.lstrip("Ø")}
        if own != {(kind, said, at_most, datums): number}:
            out.append(f"{key}: {own or 'no box'} instead of {number} of {(kind, said, at_most, datums)}")
    return out


def with_others(given):
    """Values of other kinds, each one that the demonstration does not have."""
    given["housing"]["name"] = "Changed on purpose"
    given["mating"]["register"]["fit"] = "H8/h7"
    given["mating"]["bushing"]["seat_roughness"] = "4.7 µm"
    given["mating"]["tolerances"]["register_at_maximum"] = True
    given["gearbox_face"]["flange"]["thickness"] += 1.5
    given["gearbox_face"]["bolt_circles"][0]["size"] = "M8"
    given["mount_pad"]["holes"] |= {"thread": "M8", "depth": 19.25, "drill_depth": 24.75}
    given["shift_box_pad"]["holes"] |= {"thread": "M6"}
    given["casting"]["mould"]["draft"] = "2.25 deg"
    given["casting"]["stock"]["tolerance_grade"] = 9
    given["casting"]["contraction"] = {"axial": "1.45 %", "radial": "1.45 %"}
    given["casting"].setdefault("fillets", {})["outside"] = 7.25
    return given


# Holes of the changed part: six clearance holes for M8 (9 mm: ISO 273, medium), four tapped M8 (drill 6.8: ISO 2306), six tapped M6 (drill 5)
# and the sender's own M6.
COUNTS = {"Ø9": 6, "Ø6.8": 4, "Ø5": 7}

# Texts of the changed part. Coarse pitches of M8 and M6: 1.25 and 1 mm (ISO 261). H7 and h7 on a register of 146.05 mm: IT7 is 40 µm from 120 to 180 mm (ISO 286-1, table 1), h begins at nought.
OTHERS = {
    "finished": ["Changed on purpose", "h7 (0/-0.04)", "Rz 4.7", "DCTG 9", "R7.25 outside", "6× Ø9 through", "4× M8 (M1",
                 "M8×1.25, 19.25 deep, drill 24.75", "6× M6 (S1", "M6×1, 16.764 deep, drill 21.082"],
    "casting": ["DCTG 9", "Draft 2.25°", "1.45 % along the shaft", "draft 2.25° from it"],
    "pattern": ["Contraction 1.45 %", "draft 2.25° from it", "Draft 2.25° both ways"],
}


def holds(sheet, text):
    return any(text in said for said in sheet.all())


def arranged(sheet, first):
    """First angle: the view from above stands below the section, the view on the gearbox face (from ahead) on its right; third angle: the
    other way round (ISO 5456-2). Where the view from above tells nothing of its own, that from below alone may be there, on the other side."""
    at = {text: t.dxf.insert for text, t in sheet.written}
    main, face = at["Section A–A"], at["View on the gearbox face"]
    if "From above" in at:
        is_below = at["From above"].y < main.y
    else:
        is_below = at["From below"].y > main.y
    is_first = is_below and face.x > main.x
    is_third = not is_below and face.x < main.x
    return [] if (is_first if first else is_third) else [f"views are not in {'first' if first else 'third'} angle"]


def of_standard(sheet, name, unit, rough):
    """The sheet's name, its unit and that of roughness."""
    out = [] if any(text.startswith(name) for text in sheet.texts) else [f"no sheet {name}"]
    out += [] if any(text == unit for text in sheet.texts) else [f"lengths are not in {unit}"]
    return out + ([] if holds(sheet, rough) else [f"no roughness in {rough}"])
