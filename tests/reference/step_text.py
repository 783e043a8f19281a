"""Judges a STEP file by its own text, without Open CASCADE.

    python step_text.py FILE.step [--solids N]

Open CASCADE heals flipped faces, moved vertices and wrong ids while it reads, so a file
that it calls valid may still be wrong for another program. This reads what is written:
edge uses, loops, ends on curves and surfaces, Euler-Poincare, senses, area and volume.
"""

import argparse
import sys
from collections import Counter, defaultdict
from dataclasses import dataclass, field

import numpy as np
import part21
from part21 import DERIVED, FileFault, Ref, Typed, Word
from step_curves import Edge, truth, vertex_point
from step_moments import about
from step_paths import gap as path_gap
from step_surfaces import surface

VERTEX_GAP = 1e-5  # mm, a vertex from its curves and surfaces
PATH_GAP = 1e-5  # mm, an edge's path on a surface from the edge
EDGE_GAP = 1e-3  # mm, an edge curve from the surfaces it bounds
SCHEMAS = ("AUTOMOTIVE_DESIGN", "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING")
OTHER_SHAPES = (
    "SHELL_BASED_SURFACE_MODEL",
    "FACETED_BREP",
    "GEOMETRIC_SET",
    "GEOMETRIC_CURVE_SET",
    "MANIFOLD_SURFACE_SHAPE_REPRESENTATION",
    "OPEN_SHELL",
)


@dataclass
class TextReport:
    """What was measured, and every fault with its reason."""

    faults: list = field(default_factory=list)
    solids: int = 0
    shells: int = 0
    faces: int = 0
    edges: int = 0
    vertices: int = 0
    genus: list = field(default_factory=list)
    volume: float | None = 0.0
    area: float | None = 0.0
    first: np.ndarray | None = field(default_factory=lambda: np.zeros(6))  # see step_moments
    vertex_gap: float = 0.0
    edge_gap: float = 0.0
    path_gap: float = 0.0
    product: str = ""
    face_names: list = field(default_factory=list)
    cylinders: list = field(default_factory=list)  # (face name, radius, origin, axis)
    points: dict = field(default_factory=dict)  # vertex id -> coordinates
    shares: list = field(default_factory=list)  # (face name, area, share in the volume as a cone from the origin)

    @property
    def centroid(self):
        """By first moments along the edges, or None where the volume is not known."""
        return None if self.volume is None or not self.volume else self.first[3:] / self.volume

    def line(self):
        size = lambda v: "unknown" if v is None else f"{v:.6f}"
        middle = "unknown" if self.centroid is None else " ".join(f"{c:.6f}" for c in self.centroid)
        return (
            f"text: solids {self.solids} faces {self.faces} edges {self.edges} "
            f"vertices {self.vertices} genus {self.genus} volume {size(self.volume)} "
            f"area {size(self.area)} centroid {middle} vertex gap {self.vertex_gap:.1e} edge gap {self.edge_gap:.1e} path gap {self.path_gap:.1e}"
        )


@dataclass
class Use:
    """One use of an edge by a loop: its direction with every flag taken into account."""

    edge: int
    forward: bool
    face: int


class Shell:
    """One CLOSED_SHELL, turned over when its ORIENTED_CLOSED_SHELL says so."""

    def __init__(self, check, ref, void):
        self.check, self.step, self.void = check, check.step, void
        self.turned = False
        entity = self.step[ref]
        if entity.is_a("ORIENTED_CLOSED_SHELL"):
            self.turned = not truth(entity.args[3], entity)
            entity = self.step[entity.args[2]]
        if not entity.is_a("CLOSED_SHELL"):
            raise FileFault(f"#{entity.id} {entity.kind} where a CLOSED_SHELL is needed")
        self.id = entity.id
        self.faces = [f.id for f in entity.args[1]]
        if len(set(self.faces)) != len(self.faces):
            check.fault(f"shell #{self.id} names a face twice")
        self.uses = defaultdict(list)
        self.corners = defaultdict(list)
        self.lone_vertices = set()
        self.loops = 0
        self.unread = set(self.faces)
        self.volume, self.area = 0.0, 0.0
        self.first = np.zeros(6)

    def judge(self):
        for face in self.faces:
            try:
                self._face(self.step[face])
            except FileFault as fault:
                self.check.fault(f"face #{face}: {fault}")
        if self.unread:
            # Without their loops the counts below would only repeat the same fault.
            self.volume = self.area = self.first = None
            return
        self._edge_uses()
        self._one_piece()
        self._fans()
        self._genus()
        if self.volume is None:
            return
        if self.turned:
            self.volume, self.first = -self.volume, -self.first
        if self.volume * (-1.0 if self.void else 1.0) <= 0.0:
            what = "void shell" if self.void else "shell"
            self.check.fault(f"{what} #{self.id} is inside out: signed volume {self.volume:.6f} mm3")

    def _face(self, entity):
        if not entity.is_a("ADVANCED_FACE"):
            raise FileFault(f"{entity.kind} where an ADVANCED_FACE is needed")
        name, bounds, geometry, same = entity.args
        carrier = self.check.carriers.setdefault(geometry.id, surface(self.step, geometry))
        sense = 1.0 if truth(same, entity) else -1.0
        self.check.report.face_names.append(name or "")
        if self.step[geometry].is_a("CYLINDRICAL_SURFACE"):
            frame = carrier.frame
            self.check.report.cylinders.append((name or "", carrier.radius, frame.origin, frame.z))
        if not bounds:
            raise FileFault("no bounds")
        loops, vertices = [], set()
        for bound in bounds:
            bound = self.step[bound]
            if not (bound.is_a("FACE_BOUND") or bound.is_a("FACE_OUTER_BOUND")):
                raise FileFault(f"#{bound.id} {bound.kind} where a FACE_BOUND is needed")
            loops += self._loop(entity, bound, vertices, geometry.id)
        self.unread.discard(entity.id)
        if self.check.near is not None:
            self.check.near.see(carrier, loops)
            return
        points = np.array([self.check.report.points[v] for v in vertices])
        gap = carrier.distance(points).max()
        # A B-spline surface only comes near to the exact one: it gets the limit of edges.
        limit = self.check.vertex_gap if carrier.exact else self.check.edge_gap
        limit(gap, f"a vertex of face #{entity.id} lies {gap:.6f} mm off its surface")
        for points, _, known, _ in loops:
            gap = (carrier.distance(points) if carrier.exact else carrier.distance(points, known)).max()
            self.check.edge_gap(gap, f"an edge of face #{entity.id} lies {gap:.6f} mm off its surface")
        area, flux, first = carrier.patch([loop[:2] for loop in loops] if carrier.exact else loops, sense)
        if area <= 0.0:
            raise FileFault(f"flipped: its loops run against its same_sense flag (area {area:.6f})")
        across = sum((0.5 * np.cross(p, d).sum(axis=0) for p, d, *_ in loops), np.zeros(3))
        share = (flux + carrier.origin @ across) / 3.0
        self.area += area
        self.volume += share
        self.first += about(carrier.origin, across, first)
        self.check.report.shares.append((name or "", area, share))

    def _loop(self, face, bound, vertices, surface):
        """Notes every use of the loop; returns it in a list as its points, their steps, their places on the surface where the file
        tells these, and how many points each edge has, with its ends (see Edge.ends_on)."""
        loop = self.step[bound.args[1]]
        straight = truth(bound.args[2], bound)
        self.loops += 1
        if loop.is_a("VERTEX_LOOP"):
            vertex = loop.args[1].id
            self.check.point(vertex)
            self.lone_vertices.add(vertex)
            vertices.add(vertex)
            return []
        if not loop.is_a("EDGE_LOOP") or not loop.args[1]:
            raise FileFault(f"#{loop.id} {loop.kind} where a filled EDGE_LOOP is needed")
        uses = [self._use(ref, face) for ref in loop.args[1]]
        if not straight:
            uses = [Use(u.edge, not u.forward, u.face) for u in reversed(uses)]
        points, steps, known, ends = [], [], [], []
        for use, following in zip(uses, uses[1:] + uses[:1]):
            edge, after = self.check.edge(use.edge), self.check.edge(following.edge)
            arrive, leave = edge.ends[use.forward], after.ends[not following.forward]
            if arrive != leave:
                raise FileFault(f"loop #{loop.id} is not closed: #{use.edge} ends at #{arrive}, "
                                f"#{following.edge} begins at #{leave}")
            vertices.add(arrive)
            self.uses[use.edge].append(use)
            self.corners[arrive].append(((use.edge, int(use.forward)),
                                         (following.edge, int(not following.forward))))
            p, d = edge.along(use.forward)
            points.append(p)
            steps.append(d)
            known.append(edge.on(surface, use.forward))
            ends.append((len(p), edge.ends_on(surface, use.forward)))
        return [(np.concatenate(points), np.concatenate(steps), np.concatenate(known), ends)]

    def _use(self, ref, face):
        oriented = self.step[ref]
        if not oriented.is_a("ORIENTED_EDGE"):
            raise FileFault(f"#{oriented.id} {oriented.kind} where an ORIENTED_EDGE is needed")
        if oriented.id in self.check.oriented:
            raise FileFault(f"ORIENTED_EDGE #{oriented.id} is used by two loops")
        self.check.oriented.add(oriented.id)
        if oriented.args[1] is not DERIVED or oriented.args[2] is not DERIVED:
            raise FileFault(f"ORIENTED_EDGE #{oriented.id} must derive its vertices (*)")
        return Use(oriented.args[3].id, truth(oriented.args[4], oriented), face.id)

    def _edge_uses(self):
        for edge, uses in self.uses.items():
            faces = ", ".join(f"#{u.face}" for u in uses)
            if len(uses) != 2:
                what = "open shell" if len(uses) < 2 else "not manifold"
                self.check.fault(f"{what}: edge #{edge} is used {len(uses)} times (faces {faces})")
            elif uses[0].forward == uses[1].forward:
                self.check.fault(f"flipped: edge #{edge} is used twice in one direction (faces {faces})")

    def _one_piece(self):
        links = [[u.face for u in uses] for uses in self.uses.values()]
        pieces = count_pieces(self.faces, links)
        if pieces != 1:
            self.check.fault(f"shell #{self.id} falls into {pieces} pieces that share no edge")

    def _fans(self):
        for vertex, links in self.corners.items():
            ends = {end for link in links for end in link}
            if count_pieces(ends, links) != 1:
                self.check.fault(f"not manifold: faces meet at vertex #{vertex} in more than one fan")

    def _genus(self):
        vertices = len(self.corners.keys() | self.lone_vertices)
        rings = self.loops - len(self.faces)
        euler = vertices - len(self.uses) + len(self.faces) - rings
        report = self.check.report
        report.edges += len(self.uses)
        report.vertices += vertices
        report.faces += len(self.faces)
        report.genus.append((2 - euler) / 2)
        if euler > 2 or euler % 2:
            self.check.fault(f"shell #{self.id}: Euler-Poincare gives genus {(2 - euler) / 2}, "
                             f"not a whole number of handles")


class TextCheck:
    """The whole file: header, units, solids and their shells."""

    def __init__(self, step, solids, near=None):
        self.step = step
        self.near = near  # where it is given, faces are only shown to it (step_near)
        self.report = TextReport()
        self.oriented = set()
        self.edges = {}
        self.carriers = {}  # surfaces of faces by their number
        self._header()
        self._units()
        self._solids(solids)

    def fault(self, reason):
        self.report.faults.append(reason)

    def vertex_gap(self, gap, reason):
        self.report.vertex_gap = max(self.report.vertex_gap, gap)
        if not gap <= VERTEX_GAP:
            self.fault(reason)

    def edge_gap(self, gap, reason):
        self.report.edge_gap = max(self.report.edge_gap, gap)
        if not gap <= EDGE_GAP:
            self.fault(reason)

    def point(self, vertex):
        points = self.report.points
        if vertex not in points:
            points[vertex] = vertex_point(self.step, Ref(vertex))
        return points[vertex]

    def edge(self, number):
        if number not in self.edges:
            entity = self.step[number]
            if not entity.is_a("EDGE_CURVE"):
                raise FileFault(f"#{number} {entity.kind} where an EDGE_CURVE is needed")
            edge = Edge(self.step, entity)
            self.edges[number] = edge
            for vertex in edge.ends:
                self.point(vertex)
            self.vertex_gap(edge.end_gap, f"a vertex of edge #{number} lies {edge.end_gap:.6f} mm off its curve")
        return self.edges[number]

    def _header(self):
        for name in ("FILE_DESCRIPTION", "FILE_NAME", "FILE_SCHEMA"):
            if name not in self.step.header:
                self.fault(f"the header has no {name}")
        schema = str(self.step.header.get("FILE_SCHEMA"))
        if not any(name in schema for name in SCHEMAS):
            self.fault(f"schema {schema} is neither AP214 nor AP242")
        products = self.step.all("PRODUCT")
        if len(products) != 1:
            self.fault(f"{len(products)} products where one is expected")
        else:
            self.report.product = products[0].args[1] or products[0].args[0]

    def _units(self):
        lengths = self.step.all("LENGTH_UNIT")
        angles = self.step.all("PLANE_ANGLE_UNIT")
        mm = [e for e in lengths if e.parts.get("SI_UNIT") == [Word("MILLI"), Word("METRE")]]
        rad = [e for e in angles if e.parts.get("SI_UNIT") == [None, Word("RADIAN")]]
        if not mm or len(mm) != len(lengths):
            self.fault("lengths are not in millimetres throughout")
        if not rad or len(rad) != len(angles):
            self.fault("angles are not in radians throughout")

    def _solids(self, expected):
        solids = self.step.all("MANIFOLD_SOLID_BREP", "BREP_WITH_VOIDS")
        self.report.solids = len(solids)
        if len(solids) != expected:
            self.fault(f"{len(solids)} solids where {expected} expected")
        for entity in self.step.all(*OTHER_SHAPES):
            self.fault(f"#{entity.id} {entity.kind}: a shape that is not a solid")
        shells = []
        for solid in solids:
            shells.append(Shell(self, solid.args[1], void=False))
            if solid.is_a("BREP_WITH_VOIDS"):
                shells += [Shell(self, ref, void=True) for ref in solid.args[2]]
        for shell in shells:
            shell.judge()
            if shell.volume is None or self.report.volume is None:
                self.report.volume = self.report.area = None
                self.report.first = None
            else:
                self.report.volume += shell.volume
                self.report.area += shell.area
                self.report.first = self.report.first + shell.first
        self.report.shells = len(shells)
        self._strays(shells)
        self._items(solids)
        self._paths()

    def _strays(self, shells):
        """Topology that stands in the file but belongs to no solid."""
        faces = Counter(face for shell in shells for face in shell.faces)
        for face, count in faces.items():
            if count > 1:
                self.fault(f"face #{face} belongs to {count} shells")
        for entity in self.step.all("ADVANCED_FACE"):
            if entity.id not in faces:
                self.fault(f"open shell: face #{entity.id} belongs to no shell")
        for entity in self.step.all("EDGE_CURVE"):
            if entity.id not in self.edges and not any(shell.unread for shell in shells):
                self.fault(f"edge #{entity.id} belongs to no face of a solid")

    def _paths(self):
        """A path on a surface that stands beside an edge's curve must be that curve."""
        for edge in self.edges.values():
            for number, path in edge.paths.items():
                if number not in self.carriers:
                    raise FileFault(f"a path of edge #{edge.id} lies on #{number}, the surface of no face")
                gap = path_gap(edge.curve, path, self.carriers[number])
                self.report.path_gap = max(self.report.path_gap, gap)
                if not gap <= PATH_GAP:
                    self.fault(f"a path of edge #{edge.id} lies {gap:.6f} mm off its curve")

    def _items(self, solids):
        """Each solid must be an item of a shape representation, or readers pass it by."""
        named = set()
        for entity in self.step.all("ADVANCED_BREP_SHAPE_REPRESENTATION"):
            named |= {ref.id for ref in entity.args[1] if not isinstance(ref, Typed)}
        for solid in solids:
            if solid.id not in named:
                self.fault(f"solid #{solid.id} is in no ADVANCED_BREP_SHAPE_REPRESENTATION")


def count_pieces(nodes, links):
    """The number of connected pieces of a graph."""
    parent = {node: node for node in nodes}

    def root(node):
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    for first, *rest in links:
        for other in rest:
            parent[root(first)] = root(other)
    return len({root(node) for node in parent})


def check(path, solids=1):
    """The TextReport of a file; a file that cannot be read has that as its fault."""
    try:
        return TextCheck(part21.read(path), solids).report
    except FileFault as fault:
        return TextReport(faults=[str(fault)])
    except (ValueError, TypeError, IndexError, AttributeError, KeyError) as fault:
        return TextReport(faults=[f"an entity has wrong arguments: {type(fault).__name__}: {fault}"])


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("file")
    parser.add_argument("--solids", type=int, default=1)
    args = parser.parse_args()
    report = check(args.file, args.solids)
    print(report.line())
    for fault in report.faults:
        print(f"FAULT {fault}")
    return 1 if report.faults else 0


if __name__ == "__main__":
    sys.exit(main())
