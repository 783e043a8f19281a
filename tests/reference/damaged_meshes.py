"""Damages a good binary STL in many ways; mesh_check must refuse each one for its reason.

    python damaged_meshes.py GOOD.stl --expect FILE.json --step GOOD.step

The good file itself must be accepted.
"""

import argparse
import os
import re
import sys
import tempfile

import mesh_check
import numpy as np
from step_check import load_sidecar


def triangle_missing(data):
    return data[1:]


def triangle_flipped(data):
    data["points"][5] = data["points"][5][::-1].copy()
    return data


def inside_out(data):
    data["points"] = data["points"][:, ::-1].copy()
    data["normal"] *= -1.0
    return data


def corner_torn(data):
    """One corner of one triangle leaves its neighbours."""
    data["points"][7][0] += 0.5
    return data


def written_twice(data):
    return np.concatenate([data, data])


def with_copy(data, share):
    """It with a copy, moved by a share of its size."""
    other = data.copy()
    other["points"] += np.float32(share * np.ptp(data["points"]))
    return np.concatenate([data, other])


def two_pieces(data):
    return with_copy(data, 2.0)


def through_itself(data):
    """A second copy stands in the first one."""
    return with_copy(data, 0.1)


def not_a_number(data):
    data["points"][3] = np.nan
    return data


def normal_turned(data):
    """One written normal points into the solid, on a triangle that is no needle."""
    edges = data["points"][:, 1:] - data["points"][:, :1]
    size = np.linalg.norm(np.cross(edges[:, 0], edges[:, 1]), axis=1)
    data["normal"][np.argmax(size)] *= -1.0
    return data


def vertex_moved(data):
    """A whole vertex moved by 0.01 mm: the mesh stays closed and its volume nearly the same."""
    same = np.all(data["points"] == data["points"][33][0], axis=2)
    across = data["normal"][same.any(axis=1)].sum(axis=0)
    data["points"][same] += np.float32(0.01) * across / np.linalg.norm(across)
    return data


def one_percent_larger(data):
    data["points"] *= np.float32(1.01)
    return data


# Each damage with the pattern that one of the reasons must match.
DAMAGES = [
    (triangle_missing, r"open"),
    (triangle_flipped, r"flipped"),
    (inside_out, r"inside out"),
    (corner_torn, r"open"),
    (written_twice, r"not manifold"),
    (two_pieces, r"2 pieces"),
    (through_itself, r"runs through itself"),
    (not_a_number, r"not finite"),
    (normal_turned, r"written normals disagree"),
    (one_percent_larger, r"volume .*, expected"),
    (vertex_moved, r"a vertex lies .* mm off the solid"),
]


def run(path, expect, step):
    """Yields (name, faults) of each case; a case without faults went as it should."""
    with open(path, "rb") as file:
        raw = file.read()
    good = np.frombuffer(raw[mesh_check.HEAD :], dtype=mesh_check.TRIANGLE)
    yield "good file accepted", mesh_check.check(path, expect, step)[1]
    with tempfile.TemporaryDirectory() as folder:
        bad = os.path.join(folder, "bad.stl")

        def refused(name, content, pattern):
            with open(bad, "wb") as file:
                file.write(content)
            reasons = mesh_check.check(bad, expect, step)[1]
            fit = any(re.search(pattern, reason) for reason in reasons)
            return name, [] if fit else [f"not refused for {pattern!r}: {reasons}"]

        yield refused("truncated", raw[:-30], r"triangles announced")
        for damage, pattern in DAMAGES:
            data = damage(good.copy())
            content = raw[:80] + len(data).to_bytes(4, "little") + data.tobytes()
            yield refused(damage.__name__, content, pattern)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("file")
    parser.add_argument("--expect", required=True, help="the sidecar JSON")
    parser.add_argument("--step", required=True, help="the STEP file of the same solid")
    args = parser.parse_args()
    outcome = list(run(args.file, load_sidecar(args.expect), args.step))
    for name, faults in outcome:
        print(f"{'FAULT' if faults else 'ok'} {name} {' '.join(faults)}")
    return 1 if any(faults for _, faults in outcome) else 0


if __name__ == "__main__":
    sys.exit(main())
