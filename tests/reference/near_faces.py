"""How far points lie from the faces of a solid, fast for many points near it."""

import numpy as np
from occ_read import parts
from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.GeomAbs import GeomAbs_BSplineSurface, GeomAbs_Cylinder, GeomAbs_Plane
from OCP.IntTools import IntTools_FClass2d
from OCP.gp import gp_Pnt
from OCP.ShapeAnalysis import ShapeAnalysis_Surface
from OCP.TopAbs import TopAbs_FACE, TopAbs_IN, TopAbs_ON
from OCP.TopoDS import TopoDS, TopoDS_Compound

EDGE = 1e-4  # mm, how far a foot point may lie beyond the rim of its face
SLOW = 100  # points measured the slow way; any more that have no near foot count as endlessly far


class _Face:
    """A face with its box and what is needed to find the foot of a point on it."""

    def __init__(self, shape):
        face = TopoDS.Face(shape)
        self.shape = face
        self.surface = ShapeAnalysis_Surface(BRep_Tool.Surface_s(face))
        self.inside = IntTools_FClass2d(face, EDGE)
        box = Bnd_Box()
        BRepBndLib.Add_s(face, box, False)
        self.low, self.high = (np.array([c.X(), c.Y(), c.Z()]) for c in (box.CornerMin(), box.CornerMax()))
        self.adaptor = BRepAdaptor_Surface(face)
        self.last = None

    def reach(self, points):
        """A distance that the surface is at least from each point: its own of planes and cylinders, none of others."""
        kind = self.adaptor.GetType()
        if kind == GeomAbs_Plane:
            axis = self.adaptor.Plane().Axis()
        elif kind == GeomAbs_Cylinder:
            axis = self.adaptor.Cylinder().Axis()
        else:
            return np.zeros(len(points))
        origin, along = (np.array([c.X(), c.Y(), c.Z()]) for c in (axis.Location(), axis.Direction()))
        off = points - origin
        height = off @ along
        if kind == GeomAbs_Plane:
            return np.abs(height)
        return np.abs(np.linalg.norm(off - np.outer(height, along), axis=1) - self.adaptor.Cylinder().Radius())

    def gap(self, point, best):
        """The distance to the foot on the surface when it lies in the face and below `best`."""
        # Neighbours in a mesh have neighbouring feet: a search that starts at the last one is done sooner.
        if self.last is None:
            self.last = self.surface.ValueOfUV(gp_Pnt(*point), 1e-7)
        else:
            self.last = self.surface.NextValueOfUV(self.last, gp_Pnt(*point), 1e-7)
        foot = self.last
        gap = self.surface.Gap()
        if gap < best and self.inside.Perform(foot, True) in (TopAbs_IN, TopAbs_ON):
            return gap
        return best


def distances(shape, points, limit):
    """The distance of each point from the faces of a shape, or from one face of them that it is within the limit of.

    A foot point that lies in a face within the limit is enough; a point without one is
    measured against all faces and their edges, which is slow but rare on a good mesh.
    """
    faces = [_Face(face) for face in parts(shape, TopAbs_FACE)]
    # Feet on splines take longest: they are asked of what lies on no other face.
    faces.sort(key=lambda face: face.adaptor.GetType() == GeomAbs_BSplineSurface)
    points = np.asarray(points, dtype=float)
    best = np.full(len(points), np.inf)
    for face in faces:
        near = np.all((points >= face.low - limit) & (points <= face.high + limit), axis=1) & ~(best <= limit)
        near = np.flatnonzero(near)
        for index in near[face.reach(points[near]) <= limit]:
            best[index] = face.gap(points[index].tolist(), best[index])
    everything = TopoDS_Compound()
    builder = BRep_Builder()
    builder.MakeCompound(everything)
    for face in faces:
        builder.Add(everything, face.shape)
    far = np.flatnonzero(~(best <= limit))
    for index in far[:SLOW]:
        best[index] = _exact(everything, points[index].tolist())
    return best



def _exact(faces, point):
    vertex = BRepBuilderAPI_MakeVertex(gp_Pnt(*point)).Vertex()
    found = BRepExtrema_DistShapeShape(vertex, faces)
    return found.Value() if found.IsDone() else np.inf
