"""All forms of every parameter file: sound in Open CASCADE, and standing to one another as they must.

Open CASCADE reads each STEP file. manifold3d joins and cuts the meshes: the finished part lies in the
casting, the casting's metal keeps clear of the core, pattern and casting agree outside core and prints,
and the core fills its box. Meshes are off by their chord, which bounds what such a cut may leave.
lib3mf and trimesh read the packed files.
"""

import re
from functools import reduce

import manifold3d
import numpy as np
import occ_read
import pack_check
import trimesh
from moulds import pull
from OCP.BRep import BRep_Tool
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_SHELL, TopAbs_SOLID

CHORD = 0.05  # mm, as `build` makes them
SLACK = 0.15  # of chord times area: what two meshes of one curved face leave between them
OUTSIDE = 1.0  # mm3 of the finished part outside its casting, in pieces thicker than the chord
TOLD = 1.25  # of the volume that the program itself tells, where it lacks less than a casting is off
RELATIVE = 1e-5  # volume of a STEP file by Open CASCADE's quick rule, itself good to 1e-6, against the program's own
CLEARANCE = 5000.0  # mm3: room about the core's prints over openings, which the pattern has and the core has not
LOOSE_ROOM = 0.3  # mm over the whole of a loose piece: more than there is between it and its half
SHARES = 7  # one a file
RIGGING = re.compile(r"pattern, (feeder|gate) \d+,|pattern, (sprue|runner),")  # not of the pattern itself
SIDE_CORE = re.compile(r"pattern, side core \d+")  # of sand: it lies in a print of the pattern
PRINT_CLEARANCE = 0.4  # mm, where a file names none
FORMS = ("casting", "pattern", "core", "core-box", "trial-print")


def add(run):
    for params in run.parts():
        if params.stem not in run.built:
            run.checks.add(f"forms of {params.stem}", ["not built"])
            continue
        forms = Forms(run.built[params.stem])
        for form in FORMS:
            run.checks.run(f"forms of {params.stem}: {form} step", forms.steps, form)
            run.checks.run(f"forms of {params.stem}: {form} packed", forms.packed, form)
        run.checks.run(f"forms of {params.stem}: finished in casting", forms.contained)
        run.checks.run(f"forms of {params.stem}: core clear of casting", forms.clear)
        run.checks.run(f"forms of {params.stem}: pattern outside core and prints", forms.pattern)
        run.checks.run(f"forms of {params.stem}: core fills its box", forms.boxed)
        run.checks.run(f"forms of {params.stem}: side cores", forms.sides)
        run.checks.run(f"forms of {params.stem}: stock", forms.stock)


def shell(shape):
    return next(iter(occ_read.parts(shape, TopAbs_SHELL)))


class Forms:
    def __init__(self, built):
        self.params, self.folder, self.figures = built.params, built.step.parent, built.expect()
        self.solids = {}

    def pieces(self, form):
        return self.figures["forms"][form]["pieces"]

    def steps(self, form):
        """Each piece is one sound solid of the figures that the program gives."""
        lines, reasons = [], []
        for piece in self.pieces(form):
            shape = occ_read.read(self.folder / piece["file"])
            found = GProp_GProps()
            BRepGProp.VolumeProperties_s(shape, found)
            off = abs(found.Mass() / piece["volume_mm3"] - 1)
            if off > RELATIVE:  # the quick rule misses where a face's rim is kinked; the slow one decides
                BRepGProp.VolumeProperties_s(shape, found := GProp_GProps(), 1e-6, False, False)
                off = abs(found.Mass() / piece["volume_mm3"] - 1)
            lines.append(f"{piece['name']}: volume off by {off:.1e}")
            solids = list(occ_read.parts(shape, TopAbs_SOLID))
            closed = all(BRep_Tool.IsClosed_s(shell(solid)) for solid in solids)
            if len(solids) != 1 + self.lumps(piece) or not BRepCheck_Analyzer(shape).IsValid() or not closed:
                reasons.append(f"{piece['file']}: no valid closed solid")
            if off > RELATIVE:
                reasons.append(f"{piece['file']}: {found.Mass():.3f} mm3, expected {piece['volume_mm3']:.3f}")
        return lines, reasons

    def lumps(self, piece):
        """How many lumps of a piece stand apart from its rest, as its notes tell."""
        form = next(form for form in self.figures["forms"].values() if piece in form["pieces"])
        return sum(note.startswith(f"{piece['name']}: a lump of ") for note in form.get("notes", []))

    def packed(self, form):
        """3MF and GLB hold closed bodies with names, colours, form and hash."""
        names = sorted(piece["name"] for piece in self.pieces(form))
        reasons = []
        for kind, read in (("3mf", pack_check.read_3mf), ("glb", pack_check.read_glb)):
            path = self.folder / f"{form.replace('-', '_')}.{kind}"
            bodies, metadata, more = read(path)
            reasons += more
            if sorted(body.name for body in bodies) != names:
                reasons.append(f"{path.name}: bodies {[body.name for body in bodies]}")
            said = {name.split(":")[-1]: value for name, value in metadata.items()}
            if said.get("form") != form or len(said.get("parameter-file-sha256", "")) != 64:
                reasons.append(f"{path.name}: form or hash missing in {sorted(said)}")
        return [], reasons

    def solid(self, stem, scale=(1.0, 1.0)):
        """The manifold of an STL file, brought back to the casting's size."""
        if stem not in self.solids:
            mesh = trimesh.load(self.folder / f"{stem}.stl")
            points = mesh.vertices / np.array([scale[0], scale[1], scale[1]])
            made = manifold3d.Manifold(
                manifold3d.Mesh(points.astype(np.float32), mesh.faces.astype(np.uint32))
            )
            if made.status() != manifold3d.Error.NoError:
                raise ValueError(f"{stem}.stl: {made.status()}")
            self.solids[stem] = made
        return self.solids[stem]

    def form(self, form):
        own = [p for p in self.pieces(form) if not RIGGING.match(p["name"]) and not SIDE_CORE.match(p["name"])]
        solids = [self.solid(p["file"].removesuffix(".step"), p["scale"]) for p in own]
        return reduce(lambda a, b: a + b, solids)

    def slack(self, solid):
        return SLACK * CHORD * solid.surface_area()

    def judge(self, name, left, allowed):
        lines = [f"{name} {left:.1f} mm3, allowed {allowed:.1f}"]
        return lines, [] if left <= allowed else lines

    def contained(self):
        """Finished minus casting leaves nothing; moved by a millimetre it would. What meshes leave of one curved face is thinner
        than their chord; of pieces that are thicker on average, no more than a cubic millimetre may be left beside what the program tells of
        metal that lacks less than a casting's tolerance (TOLD)."""
        finished, casting = self.solid("finished"), self.form("casting")
        slack = self.slack(finished)
        left = finished - casting
        lines, reasons = self.judge("left over", left.volume(), slack)
        for name, piece in (("thick pieces left over", left), ("moved", finished - casting.translate((0.0, 0.0, 1.0)))):
            sizes = [(part.volume(), part.surface_area()) for part in piece.decompose()]
            thick = sum(volume for volume, area in sizes if 2.0 * volume > CHORD * area)
            if piece is left:
                told = sum(row["volume_mm3"] for row in self.figures["forms"]["casting"]["moulding"]["lacking"])
                more = self.judge(name, thick, OUTSIDE + TOLD * told)
                lines, reasons = lines + more[0], reasons + more[1]
            elif thick <= OUTSIDE:
                reasons.append("the check of thick pieces would not see a casting that is off by a millimetre")
        if (finished - casting.translate((0.0, 0.0, 1.0))).volume() <= slack:
            reasons.append("the check would not see a casting that is off by a millimetre")
        return lines, reasons

    def clear(self):
        """Core and casting have nothing in common."""
        core, casting = self.form("core"), self.form("casting")
        return self.judge("in common", (core ^ casting).volume(), self.slack(core))

    def pattern(self):
        """The pattern is casting and core in one, but for prints, vent and dowels."""
        pattern, casting, core = self.form("pattern"), self.form("casting"), self.form("core")
        slack = self.slack(pattern)
        room = sum(LOOSE_ROOM * self.solid(p["file"].removesuffix(".step"), p["scale"]).surface_area() for p in self.pieces("pattern")[2:] if not SIDE_CORE.match(p["name"]))
        lines, reasons = self.judge("casting outside the pattern", (casting - pattern).volume(), slack + self.dowels() + room)
        low, high = casting.bounding_box()[0], casting.bounding_box()[3]
        box = manifold3d.Manifold.cube((high - low - 0.2, 2000.0, 2000.0)).translate((low + 0.1, -1000.0, -1000.0))
        rest, prints = (pattern ^ box) - casting - core, 0.0
        for side in self.side_cores():
            rest, prints = rest - side, prints + 1.2 * self.asked("clearance", PRINT_CLEARANCE) * side.surface_area()
        more = self.judge("pattern outside casting and cores", rest.volume(), slack + self.vent(np.ptp(np.array(core.bounding_box()).reshape(2, 3), axis=0)[0]) + CLEARANCE + prints)
        return lines + more[0], reasons + more[1]

    def side_cores(self):
        return [self.solid(p["file"].removesuffix(".step"), p["scale"]) for p in self.pieces("pattern") if SIDE_CORE.match(p["name"])]

    def sides(self):
        """Side cores have nothing in common with the casting, the core and each other, and lie wholly in the pattern's prints."""
        lines, reasons = [], []
        if not self.side_cores():
            return ["none"], []
        pattern, taken = self.form("pattern"), self.form("casting") + self.form("core")
        for number, side in enumerate(self.side_cores(), 1):
            for name, left in (("metal and other cores", side ^ taken), ("sand", side - pattern)):
                more = self.judge(f"side core {number} in {name}", left.volume(), self.slack(side))
                lines, reasons = lines + more[0], reasons + more[1]
            taken = taken + side
        return lines, reasons

    def asked(self, key, otherwise):
        """A diameter of the parameter file's `casting.prints`, mm: in its own unit, or that of the file."""
        text = self.params.read_text("utf-8")
        found = re.search(rf"^ +{key}: \"?([0-9.]+) *(mm|in)?\b", text, re.MULTILINE)
        if not found:
            return otherwise
        unit = found[2] or re.search(r"^units: (mm|in)\b", text, re.MULTILINE)[1]
        return float(found[1]) * (25.4 if unit == "in" else 1.0)

    def dowels(self):
        return 4 * 2 * 2.1 * self.asked("dowels", 8.0) ** 3 * np.pi / 4

    def vent(self, length):
        """The vent through the core, and the holes for its rod through the box's ends."""
        return 1.05 * np.pi / 4 * self.asked("vent", 6.0) ** 2 * length

    def boxed(self):
        """The halves leave out just the core."""
        core = self.form("core")
        halves = self.form("core-box")
        lines, reasons = self.judge("core in the box's walls", (core ^ halves).volume(), self.slack(core))
        block = self.block(halves)
        hollow = np.prod(block) - halves.volume()
        gap = abs(hollow - core.volume())
        more = self.judge("hollow less core", gap, self.slack(core) + self.vent(block[0]) + self.dowels())
        return lines + more[0], reasons + more[1]

    def block(self, halves):
        """Length, height and width of the block of both halves, which stands square to the plane in which the box comes apart."""
        split = self.figures["forms"]["core-box"].get("split_up")
        up = np.array(split) if split else pull(self.params)
        axes = np.array([[1.0, 0.0, 0.0], up, np.cross([1.0, 0.0, 0.0], up)])
        return np.ptp(halves.to_mesh().vert_properties[:, :3] @ axes.T, axis=0)

    def stock(self):
        """Every machined face is in the table, and each that is cast has stock in the worst case."""
        rows = self.figures["forms"]["casting"]["moulding"]["stock"]
        kept = [row for row in rows if row["stock_mm"] is not None]
        short = [row["face"] for row in kept if row["least_stock_mm"] is None or row["least_stock_mm"] <= 0]
        lines = [f"{len(kept)} faces with stock, {len(rows) - len(kept)} cast solid"]
        return lines, ([] if kept else ["no machined face"]) + [f"{face}: no stock left" for face in short]
