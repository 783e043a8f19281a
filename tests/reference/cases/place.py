"""The side view that `place --svg` draws, read as XML: its lengths are those of the parameter file, in millimetres.

The XML reader is lxml (PyPI); stations are reckoned here from the hard points.
"""

import re
import subprocess
import tempfile
from pathlib import Path

from lxml import etree

PARAMS = Path(__file__).resolve().parents[3] / "params"
NAMES = {"s": "http://www.w3.org/2000/svg"}
# Of demo_mm.yaml and demo_inch.yaml, mm.
FACE = 285.75 + 368.3
REAR, JOINT, OLD_REAR = 339.725, 1085.85 - FACE, 539.75


def add(run):
    for name in ("demo_mm", "demo_inch"):
        run.checks.run(f"side view {name}", compare, run.program, PARAMS / f"{name}.yaml")


def compare(program, params):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "side.svg"
        subprocess.run([str(program), "place", str(params), "--svg", str(path)], check=True, capture_output=True, timeout=60)
        root = etree.parse(str(path)).getroot()
    faults = []
    width, box = root.get("width"), [float(x) for x in root.get("viewBox").split()]
    if not width.endswith("mm") or abs(float(width[:-2]) - box[2]) > 0.06:
        faults.append(f"not to scale: {width} for {box[2]}")

    def corners(kind):
        for path in root.findall(f"s:path[@class='{kind}']", NAMES):
            numbers = [float(x) for x in re.findall(r"-?[\d.]+", path.get("d"))]
            yield from zip(numbers[::2], numbers[1::2])

    for kind, want in (("new", REAR), ("old", OLD_REAR)):
        most = max(x for x, _ in corners(kind))
        if abs(most - want) > 0.01:
            faults.append(f"{kind} ends at {most}, not at {want}")
    lines = root.findall("s:line[@class='point']", NAMES)
    upright = [float(line.get("x1")) for line in lines if line.get("x1") == line.get("x2")]
    if not any(abs(x - JOINT) < 0.01 for x in upright):
        faults.append(f"no mark at the front joint {JOINT}: {upright}")
    texts = [t.text for t in root.findall("s:text", NAMES)]
    if not any("invented" in t for t in texts) or not any("licensed engineer" in t for t in texts):
        faults.append("the words on it are not complete")
    return [f"{len(texts)} texts, {len(lines)} marks"], faults
