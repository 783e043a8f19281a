"""Reads a STEP file by Open CASCADE and measures what it holds."""

import math
from dataclasses import dataclass, field

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Curve2d, BRepAdaptor_Surface
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepGProp import BRepGProp, BRepGProp_Domain, BRepGProp_Face, BRepGProp_Vinert, BRepGProp_VinertGK
from OCP.GeomAbs import GeomAbs_BSplineSurface, GeomAbs_Cylinder
from OCP.gp import gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.Message import Message
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.STEPControl import STEPControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_ChildIterator, TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import (
    TopAbs_EDGE,
    TopAbs_FACE,
    TopAbs_FORWARD,
    TopAbs_IN,
    TopAbs_REVERSED,
    TopAbs_SHELL,
    TopAbs_SOLID,
    TopAbs_VERTEX,
)
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from OCP.XCAFDoc import XCAFDoc_DocumentTool

INTEGRAL_TOLERANCE = 1e-9  # the default of GProp drifts
SHARE = 1e-9  # of the volume: what a face's share may be off before a finer rule is tried

# Its own chatter would drown the figures; every fault comes back as a reason instead.
Message.DefaultMessenger_s().ChangePrinters().Clear()


class ReadFault(Exception):
    """Open CASCADE could not read the file."""


@dataclass
class Measured:
    """The figures that Open CASCADE gives for a shape."""

    solids: int
    valid: bool
    free_edges: int
    crossed_edges: int
    tolerance: float
    volume: float
    area: float
    centroid: np.ndarray
    inertia: np.ndarray  # Ixx, Iyy, Izz, Ixy, Iyz, Izx about the centroid, unit density
    inside_out: bool
    faces: int
    edges: int
    cylinders: list = field(default_factory=list)  # (radius, origin, axis)
    flat_gap: float = 0.0  # measured only where an integral is off

    def line(self):
        x, y, z = self.centroid
        return (
            f"occ: solids {self.solids} valid {self.valid} free edges {self.free_edges} "
            f"tolerance {self.tolerance:.2e} volume {self.volume:.6f} area {self.area:.6f} "
            f"centroid {x:.6f} {y:.6f} {z:.6f} faces {self.faces} edges {self.edges}"
        )


def parts(shape, kind):
    """The sub-shapes of a kind, each use as often as it occurs."""
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()


def distinct(shape, kind):
    """The sub-shapes of a kind, each once."""
    return list({part.TShape(): part for part in parts(shape, kind)}.values())


def read(path):
    """The shape of a STEP file by the plain reader."""
    reader = STEPControl_Reader()
    if reader.ReadFile(str(path)) != IFSelect_RetDone:
        raise ReadFault("Open CASCADE cannot read the file")
    if reader.TransferRoots() < 1:
        raise ReadFault("Open CASCADE finds no shape in the file")
    shape = reader.OneShape()
    if shape is None or shape.IsNull():
        raise ReadFault("Open CASCADE makes no shape of the file")
    return shape


def measure(shape):
    """The shape's figures; its integrals by the plain rule, which is quick and right on most faces."""
    volume, area = GProp_GProps(), GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, volume, False, False, False)
    BRepGProp.SurfaceProperties_s(shape, area, False, False)
    free, crossed = _edge_faults(shape)
    centre = volume.CentreOfMass()
    return Measured(
        solids=len(list(parts(shape, TopAbs_SOLID))),
        valid=BRepCheck_Analyzer(shape).IsValid(),
        free_edges=free,
        crossed_edges=crossed,
        tolerance=_tolerance(shape),
        volume=volume.Mass(),
        area=area.Mass(),
        centroid=np.array([centre.X(), centre.Y(), centre.Z()]),
        inertia=_inertia(volume),
        inside_out=any(_holds_infinity(solid) for solid in parts(shape, TopAbs_SOLID)),
        faces=len(distinct(shape, TopAbs_FACE)),
        edges=len(distinct(shape, TopAbs_EDGE)),
        cylinders=[c for face in parts(shape, TopAbs_FACE) if (c := cylinder(face))],
    )


def adapt_volume(found, shape, by_text):
    """Measures volume, centroid and inertia anew, each face by the first rule that comes to the share by the text.

    The rules that halve pieces until a tolerance is met take minutes on a solid of many spline faces, and are needed on a dozen of them; on faces that
    are no splines Gauss-Kronrod is good where they still fail. What is summed is Open CASCADE's own. Where its faces are not those of the text, all are
    measured by the rule with a tolerance. Whether each face was measured by itself."""
    faces = [TopoDS.Face(face) for face in parts(shape, TopAbs_FACE)]
    if len(faces) != len(by_text):
        volume = GProp_GProps()
        BRepGProp.VolumeProperties_s(shape, volume, INTEGRAL_TOLERANCE, False, False)
        _put(found, volume)
        return False
    origin = gp_Pnt(0.0, 0.0, 0.0)
    volume, near = GProp_GProps(origin), SHARE * abs(sum(by_text))
    for face, share in zip(faces, by_text):
        volume.Add(min(_rules(face, origin, share, near), key=lambda own: abs(own.Mass() - share)))
    _put(found, volume)
    return True


def _rules(face, origin, share, near):
    """A face's figures as a part of a solid about the origin, by finer and finer rules until the share is met."""
    own, domain = BRepGProp_Face(face), BRepGProp_Domain(face)
    plain = BRepGProp_Vinert(own, domain, origin)
    yield plain
    if abs(plain.Mass() - share) <= near:
        return
    adapted = BRepGProp_Vinert(own, domain, origin, INTEGRAL_TOLERANCE)
    yield adapted
    spline = BRepAdaptor_Surface(face).GetType() == GeomAbs_BSplineSurface
    if abs(adapted.Mass() - share) > near and not spline:
        yield BRepGProp_VinertGK(own, domain, origin, INTEGRAL_TOLERANCE, True, True)


def adapt_area(found, shape):
    """Measures the area anew by the same rule."""
    area = GProp_GProps()
    BRepGProp.SurfaceProperties_s(shape, area, INTEGRAL_TOLERANCE, False)
    found.area = area.Mass()


def _put(found, volume):
    centre = volume.CentreOfMass()
    found.volume = volume.Mass()
    found.centroid = np.array([centre.X(), centre.Y(), centre.Z()])
    found.inertia = _inertia(volume)


def refine(found, shape):
    """Measures volume, centroid and inertia anew by the adaptive Gauss-Kronrod rule.

    The plain rule, even with a tolerance, misses 1e-6 to 1e-3 where a face's rim is nearly
    kinked, as where two cylinders of almost equal radius cross; this one does not, but takes
    longer. There is no such rule for areas.
    """
    volume = GProp_GProps()
    BRepGProp.VolumePropertiesGK_s(shape, volume, INTEGRAL_TOLERANCE, False, False, True, True, False)
    _put(found, volume)


def flat_gap(shape):
    """How far the flat (u, v) curves that Open CASCADE makes while reading miss their edges.

    It does not count this into its tolerances, but its integrals run along these curves. A
    circle close by the pole of a sphere comes out as a spline up to 0.05 mm off.
    """
    worst = 0.0
    for face in parts(shape, TopAbs_FACE):
        face = TopoDS.Face(face)
        surface = BRepAdaptor_Surface(face)
        for edge in parts(face, TopAbs_EDGE):
            edge = TopoDS.Edge(edge)
            if BRep_Tool.Degenerated_s(edge):
                continue
            flat, curve = BRepAdaptor_Curve2d(edge, face), BRepAdaptor_Curve(edge)
            for at in np.linspace(curve.FirstParameter(), curve.LastParameter(), 101):
                uv = flat.Value(at)
                worst = max(worst, curve.Value(at).Distance(surface.Value(uv.X(), uv.Y())))
    return worst


def _inertia(properties):
    """About the centroid: GProp gives the matrix of inertia there, with -Ixy off the diagonal."""
    m = properties.MatrixOfInertia()
    return np.array([m.Value(1, 1), m.Value(2, 2), m.Value(3, 3), -m.Value(1, 2), -m.Value(2, 3), -m.Value(1, 3)])


def _edge_faults(shape):
    """Edges not used by two faces, and edges used twice in one direction."""
    free = crossed = 0
    for shell in parts(shape, TopAbs_SHELL):
        uses = {}
        for edge in parts(shell, TopAbs_EDGE):
            if not BRep_Tool.Degenerated_s(TopoDS.Edge(edge)):
                uses.setdefault(edge.TShape(), []).append(edge.Orientation())
        for found in uses.values():
            if len(found) != 2:
                free += 1
            elif set(found) != {TopAbs_FORWARD, TopAbs_REVERSED}:
                crossed += 1
    if not list(parts(shape, TopAbs_SHELL)):
        free = len(distinct(shape, TopAbs_EDGE))
    return free, crossed


def _tolerance(shape):
    """The largest tolerance of an edge or a vertex."""
    edges = [BRep_Tool.Tolerance_s(TopoDS.Edge(e)) for e in distinct(shape, TopAbs_EDGE)]
    vertices = [BRep_Tool.Tolerance_s(TopoDS.Vertex(v)) for v in distinct(shape, TopAbs_VERTEX)]
    return max(edges + vertices, default=math.inf)


def _holds_infinity(solid):
    classifier = BRepClass3d_SolidClassifier(solid)
    classifier.PerformInfinitePoint(1e-7)
    return classifier.State() == TopAbs_IN


def cylinder(face):
    """(radius, origin, axis) of a cylindrical face, else None."""
    adaptor = BRepAdaptor_Surface(TopoDS.Face(face))
    if adaptor.GetType() != GeomAbs_Cylinder:
        return None
    found = adaptor.Cylinder()
    origin, axis = found.Axis().Location(), found.Axis().Direction()
    return (
        found.Radius(),
        np.array([origin.X(), origin.Y(), origin.Z()]),
        np.array([axis.X(), axis.Y(), axis.Z()]),
    )


def read_names(path):
    """(product names, names of faces) as the document reader (XDE) gives them."""
    document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
    reader = STEPCAFControl_Reader()
    # The setting exists only once a reader has been made.
    if not Interface_Static.SetIVal_s("read.stepcaf.subshapes.name", 1):
        raise ReadFault("the document reader (XDE) has no setting for names of faces")
    reader.SetNameMode(True)
    if reader.ReadFile(str(path)) != IFSelect_RetDone:
        raise ReadFault("the document reader (XDE) cannot read the file")
    if not reader.Transfer(document):
        raise ReadFault("the document reader (XDE) cannot transfer the file")
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    products, faces = [], []
    walk = TDF_ChildIterator(tool.Label(), True)
    while walk.More():
        label = walk.Value()
        name = _name(label)
        shape = tool.GetShape_s(label)
        if name is not None and shape is not None and not shape.IsNull():
            if shape.ShapeType() == TopAbs_FACE:
                faces.append(name)
            elif tool.IsFree_s(label) and label.Father().IsEqual(tool.Label()):
                products.append(name)
        walk.Next()
    return products, faces


def _name(label: TDF_Label):
    # Asking for an attribute that is not there can end the process, so its presence is asked first.
    found = TDataStd_Name()
    key = TDataStd_Name.GetID_s()
    if not label.IsAttribute(key) or not label.FindAttribute(key, found):
        return None
    return found.Get().ToExtString()
