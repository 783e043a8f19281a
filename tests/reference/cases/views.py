"""Hidden lines held against Open CASCADE's: what either draws as visible must lie on what the other draws.

The view_points example gives points along the visible lines of drawings; HLRBRep_Algo finds the visible sharp edges and outlines
of the STEP file of the same part. The share of points of one without a point of the other is bounded. Smooth edges, which drawings
leave out, may be sharp for Open CASCADE where a surface in the file is a spline that fits within a tolerance: points of its lines
may lie on those.
"""

import subprocess
import tempfile
from pathlib import Path

import numpy as np
from checks import call
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepLib import BRepLib
from OCP.GCPnts import GCPnts_UniformAbscissa
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from scipy.spatial import cKDTree

VIEWS = {"left": ((0, -1, 0), (1, 0, 0)), "front": ((-1, 0, 0), (0, -1, 0)),
         "above": ((0, 0, 1), (1, 0, 0)), "below": ((0, 0, -1), (1, 0, 0))}
STEP = 0.25  # mm, from one point to the next
NEAR = 0.3  # mm: a step and a chord error
EXTENT = 0.02  # mm
SHARE = 0.01  # of the points may lie on no line of the other
FILES = ("minimal", "demo_mm")


def add(run):
    for name in FILES:
        run.checks.run(f"views of {name} beside Open CASCADE's", compare, run, run.params / f"{name}.yaml")


def compare(run, params):
    maker = run.program.parent / "examples" / "view_points"
    told = subprocess.run([str(maker), str(params)], check=True, capture_output=True, text=True, timeout=120).stdout
    ours, name = {}, None
    for line in told.splitlines():
        if line.split()[0] in VIEWS:
            name = line
            ours[name] = []
        else:
            ours[name].append([float(x) for x in line.split()])
    with tempfile.TemporaryDirectory() as folder:
        call([str(run.program), "build", str(params), "--form", "finished", "--out", folder])
        reader = STEPControl_Reader()
        reader.ReadFile(str(Path(folder) / params.stem / "finished.step"))
        reader.TransferRoots()
        shape = reader.OneShape()
    lines, faults = [], []
    for name, (eye, right) in VIEWS.items():
        own, other = np.array(ours[name]), theirs(shape, eye, right)
        known = np.array(ours[name] + ours[f"{name} smooth"])
        off = [np.abs(own.min(0) - other.min(0)).max(), np.abs(own.max(0) - other.max(0)).max()]
        shares = [np.mean(cKDTree(b).query(a)[0] > NEAR) for a, b in ((own, other), (other, known))]
        lines.append(f"{name}: only ours {shares[0]:.4f}, only theirs {shares[1]:.4f}, extents within {max(off):.4f} mm")
        if max(off) > EXTENT:
            faults.append(f"{name}: extents differ by {max(off):.4f} mm")
        faults += [f"{name}: {share:.4f} of the lines {whose}" for share, whose in zip(shares, ("only ours", "only theirs")) if share > SHARE]
    return lines, faults


def theirs(shape, eye, right):
    """Points along the visible sharp edges and outlines."""
    found = HLRBRep_Algo()
    found.Add(shape, 0)
    found.Projector(HLRAlgo_Projector(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(*eye), gp_Dir(*right))))
    found.Update()
    found.Hide()
    lines = HLRBRep_HLRToShape(found)
    out = []
    for compound in (lines.VCompound(), lines.OutLineVCompound()):
        if compound is None or compound.IsNull():
            continue
        BRepLib.BuildCurves3d_s(compound)
        edges = TopExp_Explorer(compound, TopAbs_EDGE)
        while edges.More():
            curve = BRepAdaptor_Curve(TopoDS.Edge(edges.Current()))
            places = GCPnts_UniformAbscissa(curve, STEP)
            ends = [curve.FirstParameter(), curve.LastParameter()]
            inner = [places.Parameter(k + 1) for k in range(places.NbPoints())] if places.IsDone() else []
            out += [[p.X(), p.Y()] for p in map(curve.Value, ends + inner)]
            edges.Next()
    return np.array(out)
