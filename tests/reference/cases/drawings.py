"""Dimensioned drawings, read by other eyes: ezdxf audits and reads the DXF, pypdf the PDF, lxml the SVG.

Every dimension says what it measures at the scale of its view; lengths of the parameter file stand on the sheet; diameters
and stations are found again on the STEP file of the same part, which Open CASCADE reads.
"""

import math
import re
import tempfile
from pathlib import Path

import ezdxf
import yaml
from build123d import GeomType, import_step
from checks import call
from lxml import etree
from pypdf import PdfReader

SHARES = 2
CLOSE = 6e-5  # of the file's unit: dimensions are printed to four places
INCH = 25.4
LAYERS = {"visible", "smooth", "hidden", "centre", "hatch", "dimension", "text", "frame", "phantom"}
SIZES = {"mm": [(297, 420), (420, 594), (594, 841), (841, 1189)],
         "inch": [(11 * INCH, 17 * INCH), (17 * INCH, 22 * INCH), (22 * INCH, 34 * INCH), (34 * INCH, 44 * INCH)]}


def add(run):
    for params in run.mine(sorted(run.params.glob("*.yaml"))):
        run.checks.run(f"drawing of {params.stem}", compare, run, params)


def number(text):
    """The figure that a dimension says."""
    return float(re.match(r"Ø?(-?[\d.]+)", text).group(1))


def compare(run, params):
    with tempfile.TemporaryDirectory() as folder:
        call([str(run.program), "draw", str(params), "--out", folder])
        call([str(run.program), "build", str(params), "--form", "finished", "--out", folder])
        made = Path(folder) / params.stem
        solid = import_step(str(made / "finished.step"))
        drawing = ezdxf.readfile(made / "finished-drawing.dxf")
        written = made / "finished-drawing.pdf"
        page = PdfReader(written).pages[0]
        size = sorted(float(x) * INCH / 72 for x in page.mediabox[2:])
        pdf = page.extract_text()
        svg = etree.parse(str(made / "finished-drawing.svg")).getroot()
    given = yaml.safe_load(params.read_text())
    unit = INCH if given["units"] in ("in", "inch", "inches") else 1.0
    faults, audit = [], drawing.audit()
    faults += [f"audit: {e.message}" for e in audit.errors + audit.fixes]
    model = drawing.modelspace()
    if not {e.dxf.layer for e in model} <= LAYERS:
        faults.append(f"layers: {({e.dxf.layer for e in model})}")
    kinds = {e.dxftype() for e in model}
    faults += [f"no {kind}" for kind in ("LINE", "CIRCLE", "ARC", "DIMENSION", "TEXT") if kind not in kinds]
    known = SIZES["inch" if unit > 1 else "mm"]
    if not any(abs(size[0] - a) < 0.1 and abs(size[1] - b) < 0.1 for a, b in known):
        faults.append(f"a sheet of {size}")
    dimensions = list(model.query("DIMENSION"))
    values, angles = measured(dimensions, unit, faults)
    faults += not_given(given, angles)
    faults += missing(given, values)
    faults += on_solid(solid, given, dimensions, unit)
    faults += same_writing(model, pdf, svg)
    return [f"{len(dimensions)} dimensions, {len(list(model))} entities"], faults


def measured(dimensions, unit, faults):
    """What each dimension says, held against its own points at the scale of its view."""
    values, angles = set(), []
    for d in dimensions:
        said = number(d.dxf.text.replace("\\U+00D8", "Ø"))
        values.add(round(said, 4))
        per = drawing_scale(d)
        if d.dimtype == 6:
            along = 0 if d.dxf.dimtype & 64 else 1
            length = (d.dxf.defpoint2[along] - d.dxf.defpoint[along]) * per
        elif d.dimtype == 5:
            angles.append(said)
            faults += angle(d, said)
            continue
        else:
            along = 1 if d.dxf.angle == 90 else 0
            length = abs(d.dxf.defpoint3[along] - d.dxf.defpoint2[along]) * per
        for what, value in (("points", length), ("measurement", d.dxf.actual_measurement)):
            if abs(value / unit - said) > CLOSE:
                faults.append(f"{d.dxf.text}: {what} give {value / unit:.5f}")
    return values, angles


def angle(d, said):
    """An angle's own points and measurement (in radians) held against what it says."""
    ends = [point - d.dxf.defpoint4 for point in (d.dxf.defpoint2, d.dxf.defpoint3)]
    between = abs(ends[0].angle_deg - ends[1].angle_deg) % 360
    found = {"points": min(between, 360 - between), "measurement": math.degrees(d.dxf.actual_measurement)}
    return [f"{d.dxf.text}: {what} give {value:.3f}°" for what, value in found.items() if abs(value - said) > 0.006]


def not_given(given, angles):
    """Angles on the sheet that are none of the parameter file's, counted from the nearest axis of a view."""
    def in_file(node):
        if isinstance(node, dict):
            return [x for value in node.values() for x in in_file(value)]
        if isinstance(node, list):
            return [x for value in node for x in in_file(value)]
        match = re.fullmatch(r"(-?[\d.]+) *(deg|°)", str(node))
        return [float(match.group(1))] if match else []
    from_axis = lambda a: min(a % 90, 90 - a % 90)
    # The first hole of a circle stands at 0 where the file does not say otherwise; gears set a sender's tilt.
    known = [from_axis(a) for a in in_file(given)]
    return [f"{a}° is no angle of the file" for a in angles if not any(abs(a - k) < 0.006 for k in known)]


def drawing_scale(dimension):
    """Lengths on the part for one on paper."""
    return dimension.doc.dimstyles.get(dimension.dxf.dimstyle).dxf.dimlfac


def missing(given, values):
    """Lengths of the parameter file that must stand on the sheet."""
    tail, face = given["tail"], given["gearbox_face"]
    wanted = {
        "overall length": given["housing"]["overall_length"],
        "flange": face["flange"].get("diameter"),
        "flange's thickness": face["flange"].get("thickness"),
        "outside of the tail": tail.get("outside_diameter"),
    }
    wanted |= {f"cavity at {s['station']}": s["station"] for s in given["shell"]["cavity"]}
    bare = {name: length for name, length in wanted.items() if isinstance(length, (int, float))}
    # Values have four places on the sheet, so the fifth may be off by a half.
    near = lambda length: any(abs(float(length) - value) < 5.1e-5 for value in values)
    return [f"{name} {length} is not on it" for name, length in bare.items() if not near(length)]


def on_solid(solid, given, dimensions, unit):
    """Diameters that no round edge of the solid has, and stations of no corner, no round edge, nor the middle of two."""
    rounds = [e for e in solid.edges() if e.geom_type == GeomType.CIRCLE]
    stations = {round(x, 5) for x in [v.X for v in solid.vertices()] + [e.arc_center.X for e in rounds]}
    collar = given["tail"].get("collar_length")
    if collar:
        # Its edge is rounded: the station is where its faces would meet.
        stations.add((given["housing"]["overall_length"] - collar) * unit)
    # A pad's middle is no corner; it lies between those of its outline.
    middles = {0.5 * (a + b) for a in stations for b in stations}
    out = []
    for d in dimensions:
        value, text = d.dxf.actual_measurement, d.dxf.text
        near = lambda places: min(abs(value - place) for place in places) < CLOSE * unit
        if number(text.replace("\\U+00D8", "Ø")) and text.startswith(("Ø", "\\U+00D8")):
            if not near([2 * e.radius for e in rounds]):
                out.append(f"{text}: no such circle on the solid")
        elif d.dimtype == 6 and not near(stations | middles):
            out.append(f"{text}: no such station on the solid")
    return out


def same_writing(model, pdf, svg):
    """Texts of the DXF that PDF or SVG lack."""
    bare = re.compile(r"\s+")
    plain = bare.sub("", pdf)
    drawn = {bare.sub("", t.text or "") for t in svg.iter("{http://www.w3.org/2000/svg}text")}
    out = []
    for text in model.query("TEXT"):
        said = bare.sub("", re.sub(r"\\U\+([0-9A-F]{4})", lambda m: chr(int(m.group(1), 16)), text.dxf.text))
        said = said.replace("%%%", "%")
        if said not in drawn:
            out.append(f"`{said}` is not in the SVG")
        if said not in plain:
            out.append(f"`{said}` is not in the PDF")
    return out
