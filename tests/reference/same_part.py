"""Tells whether two STEP files hold the same part: counts, volume, centroid, vertices."""

import argparse
import sys

import numpy as np
import occ_read
import step_text
from scipy.spatial import cKDTree

VERTEX = 1e-6  # mm
RELATIVE = 1e-9  # volume
CENTROID = 1e-6  # mm


def compare(first, second):
    """(lines, reasons)."""
    texts = [step_text.check(path) for path in (first, second)]
    reasons = [f"text: {fault}" for text in texts for fault in text.faults]
    if reasons:
        return [], reasons
    shapes = [occ_read.measure(occ_read.read(path)) for path in (first, second)]
    for what in ("faces", "edges", "vertices", "genus"):
        a, b = (getattr(text, what) for text in texts)
        if a != b:
            reasons.append(f"{what} differ: {a} and {b}")
    if sorted(texts[0].face_names) != sorted(texts[1].face_names):
        reasons.append("face names differ")
    volumes = [shape.volume for shape in shapes]
    if not abs(volumes[0] - volumes[1]) <= RELATIVE * abs(volumes[0]):
        reasons.append(f"volumes differ: {volumes[0]} and {volumes[1]}")
    shift = np.abs(shapes[0].centroid - shapes[1].centroid).max()
    if not shift <= CENTROID:
        reasons.append(f"centroids differ by {shift:.3g} mm")
    lines = [f"volume {volumes[0]:.6f} and {volumes[1]:.6f}, centroids {shift:.1e} mm apart"]
    points = [np.array(list(text.points.values())) for text in texts]
    if not reasons and len(points[0]):
        # Each point of one file must have a partner in the other, both ways.
        far = max(cKDTree(a).query(b)[0].max() for a, b in (points, points[::-1]))
        lines.append(f"{len(points[0])} vertices, farthest partner {far:.1e} mm")
        if not far <= VERTEX:
            reasons.append(f"a vertex lies {far:.3g} mm from its partner, limit {VERTEX}")
    return lines, reasons


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("first")
    parser.add_argument("second")
    args = parser.parse_args()
    lines, reasons = compare(args.first, args.second)
    print("\n".join(lines + [f"FAULT {reason}" for reason in reasons]))
    return 1 if reasons else 0


if __name__ == "__main__":
    sys.exit(main())
