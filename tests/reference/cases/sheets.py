"""The sheets beside the files of each form, read by other eyes: pypdf reads the PDF, Python's own parser the page.

Every figure in the program's measured data must stand in both, in the unit of the parameter file; both must say the same;
the page must load nothing, and be usable without sight: language, headings in order, described pictures, named rows.
"""

import json
import math
import re
import tempfile
from html.parser import HTMLParser
from pathlib import Path

import trimesh
from checks import call
from pypdf import PdfReader

SHARES = 2
FORMS = ("finished", "casting", "pattern", "core", "core-box", "trial-print")
SAND = 1600.0  # kg/m3, density of a sand core (common practice, no source)
TWICE = ("demo_inch", "two_mounts")  # built a second time in a usual run, for the same bytes
PAPER = {"mm": (595.28, 841.89), "in": (612.0, 792.0)}  # points: ISO 216 A4; ANSI size A
VOID = {"meta", "img", "br", "link", "input", "hr"}


def add(run):
    for params in run.mine(sorted(run.params.glob("*.yaml"))):
        name = params.stem
        if name not in run.built:
            run.checks.add(f"sheets of {name}", ["not built"])
            continue
        sheets = Sheets(run.built[name])
        run.checks.run(f"sheets of {name}: there", sheets.there)
        if run.usual([name], TWICE):
            run.checks.run(f"sheets of {name}: built twice, same bytes", sheets.again, run.program)
        for form in FORMS:
            run.checks.run(f"sheets of {name}: {form}", sheets.judge, form)


def bare(text):
    """Text without any space: lines are broken differently on paper."""
    return re.sub(r"\s+", "", text)


def plain(value, decimals=4):
    """A number as people write it: no zeros at its end, and no minus zero."""
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def half_up(value):
    """Rounded as the program does: halves away from zero."""
    return math.copysign(math.floor(abs(value) + 0.5), value)


def rounded(value, decimals):
    """Rounded half away from zero, what lies within a millionth of the last place of a half as well."""
    scaled = abs(value) * 10**decimals
    return math.copysign(math.floor(scaled + 0.5 + 1e-6) / 10**decimals, value)


class Page(HTMLParser):
    """The texts of a page, and what is wrong with its structure."""

    def __init__(self, text):
        super().__init__()
        self.open, self.texts, self.rows, self.faults, self.levels = [], [], [], [], []
        self.language = None
        self.feed(text)
        if self.open:
            self.faults.append(f"not closed: {self.open}")
        if self.language != "en":
            self.faults.append("the page does not tell its language")
        if not self.levels or self.levels[0] != 1 or self.levels.count(1) != 1:
            self.faults.append("the page has no single first heading")
        if any(after > before + 1 for before, after in zip(self.levels, self.levels[1:])):
            self.faults.append(f"a level of headings is left out: {self.levels}")

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        if tag == "html":
            self.language = given.get("lang")
        if re.fullmatch("h[1-6]", tag):
            self.levels.append(int(tag[1]))
        if tag == "img" and not (given.get("alt") and given["src"].startswith("data:image/png;base64,")):
            self.faults.append("a picture has no description or is not in the file")
        if tag == "th" and given.get("scope") not in ("col", "row"):
            self.faults.append("a head of a table has no scope")
        if tag in ("script", "link", "iframe", "object", "a", "base") or "href" in given or given.get("src", "data:")[:5] != "data:":
            self.faults.append(f"<{tag}> refers to something outside")
        if tag == "tr":
            self.rows.append("")
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}> closes nothing")

    def handle_data(self, data):
        inside = self.open[-1] if self.open else ""
        if inside in ("style", "title"):
            if "url(" in data or "@import" in data:
                self.faults.append("the style loads something")
            return
        if data.strip():
            self.texts.append(data.strip())
        if "tr" in self.open:
            self.rows[-1] += bare(data)


class Sheets:
    def __init__(self, built):
        self.params, self.folder, self.figures = built.params, built.step.parent, built.expect()
        self.unit = re.search(r"^units: *(\w+)", self.params.read_text("utf-8"), re.MULTILINE)[1]

    def there(self):
        names = [f"{stem(form)}.{kind}" for form in FORMS for kind in ("pdf", "html")]
        return [], [f"no {name}" for name in names if not (self.folder / name).is_file()]

    def again(self, program):
        """All files of a second build are those of the first."""
        with tempfile.TemporaryDirectory() as folder:
            seconds, reasons = call([str(part) for part in (program, "build", self.params, "--form", "all", "--out", folder)])
            first, second = ({p.name: p.read_bytes() for p in sorted(f.iterdir())} for f in (self.folder, Path(folder) / self.params.stem))
        differ = [name for name in first | second if first.get(name) != second.get(name)]
        return [f"{len(first)} files, {seconds:.2f} s"], reasons + [f"{name} differs" for name in differ]

    def length(self, mm, per=100):
        """A length to that part of a millimetre, as the program shows it."""
        shown = f"{plain(half_up(mm * per) / per)} mm"
        # In inches with two more decimals, four at most, rounded from the length itself.
        return shown if self.unit == "mm" else f"{plain(rounded(mm / 25.4, 3 if per == 10 else 4))} in ({shown})"

    def cell(self, mm, per=100):
        """A length in a table: in the file's unit alone, since columns with both are too wide for the paper."""
        return self.length(mm, per).split(" (")[0]

    def number(self, mm):
        return plain(half_up(mm * 100) / 100) if self.unit == "mm" else plain(rounded(mm / 25.4, 4))

    def area(self, square_mm):
        return f"{rounded(square_mm, 0):.0f} mm²" if self.unit == "mm" else f"{rounded(square_mm / 25.4**2, 2):.2f} in²"

    def volume(self, cubic_mm):
        return f"{rounded(cubic_mm / 1e3, 1):.1f} cm³" if self.unit == "mm" else f"{rounded(cubic_mm / 25.4**3, 2):.2f} in³"

    def mass(self, kg):
        """A mass, in pounds of 0.45359237 kg (NIST SP 811) first where the file is in inches."""
        return f"{kg:.3f} kg" if self.unit == "mm" else f"{kg / 0.45359237:.3f} lb ({kg:.3f} kg)"

    def centre(self, at):
        decimals, by = (2, 1.0) if self.unit == "mm" else (3, 25.4)
        values = [rounded(v / by, decimals) + 0.0 for v in at]
        return " ".join(f"{n} {v:.{decimals}f}" for n, v in zip("xyz", values)) + f" {self.unit}"

    def judge(self, form):
        reader = PdfReader(self.folder / f"{stem(form)}.pdf")
        page = Page((self.folder / f"{stem(form)}.html").read_text("utf-8"))
        paper = bare("".join(self.without_foot(p.extract_text()) for p in reader.pages))
        reasons = list(page.faults)
        size = tuple(float(x) for x in reader.pages[0].mediabox[2:])
        if any(abs(a - b) > 0.01 for a, b in zip(size, PAPER[self.unit])):
            reasons.append(f"the paper is {size} points")
        if any(key in reader.metadata for key in ("/CreationDate", "/ModDate")):
            reasons.append("the PDF tells a time")
        # What the page says the paper says too; the foot stands at the end of each sheet.
        reasons += [f"not on paper: {text}" for text in page.texts[:-1] if bare(text) not in paper]
        on_page = bare("".join(page.texts))
        count = 0
        for what, row in self.expected(form):
            count += 1
            where = [name for name, text in (("paper", paper), ("page", on_page)) if bare(row) not in text]
            reasons += [f"{what}: not on {name}: {row}" for name in where]
            # Bare numbers without a name might stand anywhere.
            wrong = bare(re.sub(r"\d(?=\D*$)", lambda m: str((int(m[0]) + 3) % 10), row))
            if wrong != bare(row) and re.search("[a-z]", row) and wrong in paper:
                reasons.append(f"{what}: a wrong figure would not be seen: {wrong}")
        return [f"{len(reader.pages)} pages, {count} entries, {len(page.texts)} texts"], reasons

    def without_foot(self, text):
        """A page's text without its last line."""
        text, feet = re.subn(r"tailpattern \d[\d.]*;\s*parameter file sha256\s+[0-9a-f\s]{64,70}?\s*page \d+ of \d+\s*$", "", text)
        if feet != 1:
            raise ValueError(f"a page ends with {text[-160:]!r}")
        return text

    def expected(self, form):
        """(what, text) of everything that the sheet must show."""
        density = self.figures["density_kg_m3"] * 1e-9
        finished = self.mass(self.figures["volume_mm3"] * density)
        if form == "finished":
            yield "weight", f"Weight{finished}"
            yield "centre of mass", self.centre(self.figures["centroid_mm"])
            yield from self.machined()
            yield "size", f"finished{self.sizes(self.mesh_extent())}{self.volume(self.figures['volume_mm3'])}"
            return
        made = self.figures["forms"][form]
        for piece in made["pieces"]:
            row = f"{piece['name']}{self.sizes(piece['extent_mm'])}{self.volume(piece['volume_mm3'])}"
            stem_of = piece["file"].removesuffix(".step")
            yield piece["name"], f"{row}{stem_of}.step, {stem_of}.stl"
        for note in made["notes"]:
            yield "note", note.replace("`", "")
        for k, (x, *across) in enumerate(made["dowels_mm"]):
            yield "dowel", f"{k + 1}{self.number(x)}{self.number(self.across(across))}"
        axial, radial = ((s - 1) * 100 for s in made["pieces"][0]["scale"])
        if form in ("pattern", "core", "core-box"):
            one = f"contraction of {plain(axial, 3)} % in all directions is in this file: do not add shrink"
            two = f"contraction of {plain(axial, 3)} % along the shaft and {plain(radial, 3)} % across it is in this file: do not add shrink"
            yield "scale", one if plain(axial, 3) == plain(radial, 3) else two
        if form == "core":
            volume = sum(piece["volume_mm3"] for piece in made["pieces"])
            yield "core sand", f"Core sand{self.volume(volume)}; about {self.mass(volume * 1e-9 * SAND)} at {SAND:.0f} kg/m³"
        if form == "casting":
            yield "weight finished", f"Weight finished{finished}"
            yield "weight as cast", f"Weight as cast{self.mass(made['pieces'][0]['volume_mm3'] * density)}"
            yield from self.moulding(made["moulding"])
            yield from self.feeding(made["feeding"], made["rigging"])

    def across(self, place):
        """Distance from the shaft axis in the parting plane, by the clock angle at which the file parts the mould."""
        found = re.search(r"^ +parting_clock: *(-?[0-9.]+)", self.params.read_text("utf-8"), re.MULTILINE)
        clock = math.radians(float(found[1]) if found else 0.0)
        # Up is (sin, cos) of the clock angle in (right, up); across is up turned by a quarter.
        return place[0] * math.cos(clock) - place[1] * math.sin(clock)

    def sizes(self, extent):
        return "".join(self.cell(x, 10) for x in extent)

    def mesh_extent(self):
        low, high = trimesh.load(self.folder / "finished.stl").bounds
        return high - low

    def machined(self):
        for fit in self.figures["fits"]:
            nominal, least, greatest = (self.length(fit[key], 10000) for key in ("nominal_mm", "least_mm", "greatest_mm"))
            yield f"fit of {fit['what']}", f"{fit['what']}{nominal}{fit['fit']}{least}{greatest}"
        for bore in self.figures["cylinders"]:
            yield bore["name"], f"{bore['name']}{self.number(2 * bore['radius_mm'])}"
            yield f"place of {bore['name']}", "".join(self.number(x) for x in bore["point_mm"])

    def moulding(self, moulding):
        for row in moulding["stock"]:
            if row["stock_mm"] is None:
                continue
            cells = [self.cell(row[key]) for key in ("finished_mm", "casting_mm", "stock_mm")]
            if row["least_stock_mm"] is not None:
                cells += ["±" + self.cell(row["half_tolerance_mm"]), self.cell(row["least_stock_mm"])]
            yield f"stock on {row['face']}", f"{row['face']}{row['what']}{''.join(cells)}"
        for undercut in moulding["undercuts"][:12]:
            holder = (undercut["under"] or undercut["face"]).split("/")[0]
            word = "cannot be drawn" if holder in moulding["loose_pieces"] else "can be drawn once dressed by hand"
            yield "undercut", f"{word}: {undercut['face']}, {self.area(undercut['area_mm2'])}"
        if moulding["loose_pieces"]:
            *names, last = (name.replace("shift_box", "shift-box").replace("_", " ") for name in moulding["loose_pieces"])
            yield "loose pieces", "Loose pieces or cores" + " and ".join([", ".join(names), last] if names else [last])

    def feeding(self, advised, placed):
        for lump in advised["lumps"][:12]:
            ball, modulus, high = (self.cell(x, 10) for x in (lump["ball_mm"], lump["modulus_mm"], lump["feeder"]["height_mm"]))
            diameter, neck = ("Ø " + self.cell(lump["feeder"][key], 10) for key in ("diameter_mm", "neck_mm"))
            chill = " to ".join(self.cell(x, 10) for x in lump["chill_mm"])
            row = [lump["feature"], ball, modulus, self.volume(lump["volume_mm3"]), diameter, high, neck, chill]
            yield f"lump in {lump['feature']}", "".join(row)
        # With what is placed, the metal of that is told.
        made = placed or advised
        poured = self.mass(made["poured_kg"])
        yield "metal poured", f"{poured}, of which the casting is {100 * made['yield']:.0f} %"
        words = "feeders and necks" if made is not advised else "feeders"
        yield "feeders", f"{words} {self.mass(made['feeders_kg'])}"
        gating = made["gating"]
        yield "gates", f"poured in {gating['time_s']:.1f} s for a wall of {self.length(gating['wall_mm'], 10)}"
        foot, runners, gates = gating["areas_mm2"]
        yield "areas", (
            f"foot of the sprue {self.area(foot)}, its top {self.area(gating['sprue_top_mm2'])}, "
            f"runners {self.area(runners)}, gates {self.area(gates)}"
        )


def stem(form):
    return form.replace("-", "_")
