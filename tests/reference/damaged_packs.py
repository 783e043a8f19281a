"""Damages a good 3MF and a good GLB file in many ways; pack_check must refuse each for its reason.

    python damaged_packs.py FOLDER

The folder holds demo.3mf, demo.glb and demo.json, as tests/part/packs.rs leaves them; the good files
themselves must be accepted.
"""

import argparse
import copy
import json
import re
import struct
import sys
import tempfile
import zipfile
from pathlib import Path

import pack_check

MODEL = "3D/3dmodel.model"


def _once(pattern, replacement):
    """A damage to the text of a 3MF model: the first match replaced."""

    def damage(text):
        changed, count = re.subn(pattern, replacement, text, count=1)
        assert count == 1, f"{pattern!r} is not in the model"
        return changed

    return damage


# Name, damage to the model's text, pattern that one of the reasons must match.
MODELS = [
    ("triangle missing", _once(r"<triangle [^>]*/>\n", ""), r"open|not manifold|can't be read"),
    ("triangle flipped", _once(r'v1="(\d+)" v2="(\d+)"', r'v1="\2" v2="\1"'), r"open|not oriented|used more than once"),
    ("other unit", _once(r'unit="millimeter"', 'unit="inch"'), r"unit"),
    ("other colour", _once(r'displaycolor="#\w+"', 'displaycolor="#102030"'), r"colour \w+ is"),
    ("colour moved", _once(r'p1="0"', 'p1="1"'), r"on \d+ triangles"),
    ("other name", _once(r'name="finished"', 'name="finish"'), r"bodies"),
    ("title lost", _once(r'<metadata name="Title">.*</metadata>\n', ""), r"metadata Title"),
    ("caution cut", _once(r"invented &amp; ", ""), r"metadata tailpattern:cautions"),
    ("prefix not declared", _once(r' xmlns:tailpattern="[^"]*"', ""), r"metadata|can't be read"),
    ("place moved", _once(r'0 1 300 0 12.5"', '0 1 300 1 12.5"'), r"stands"),
    ("item lost", _once(r"<item [^>]*/>\n", ""), r"bodies"),
    ("vertex moved", _once(r'<vertex x="', '<vertex x="9'), r"volume|can't be read"),
]


def _scaled(text, _):
    for node in text["nodes"]:
        node["matrix"] = [10 * x for x in node["matrix"][:15]] + [1]


def _renamed(text, _):
    text["nodes"][0]["name"] = "finish"


def _lying(text, _):
    """Z up instead of Y up: turned back by a quarter."""
    for node in text["nodes"]:
        m = node["matrix"]
        node["matrix"] = [0.001, 0, 0, 0, 0, 0.001, 0, 0, 0, 0, 0.001, 0, *m[12:]]


def _recoloured(text, _):
    text["materials"][0]["pbrMetallicRoughness"]["baseColorFactor"] = [0, 0, 0, 1]


def _unsaid(text, _):
    del text["asset"]["extras"]["tailpattern:form"]


def _first(text, attribute):
    primitive = text["meshes"][0]["primitives"][0]
    index = primitive["indices"] if attribute == "indices" else primitive["attributes"][attribute]
    return text["bufferViews"][text["accessors"][index]["bufferView"]].get("byteOffset", 0)


def _flipped(text, binary):
    at = _first(text, "indices")
    binary[at : at + 4], binary[at + 4 : at + 8] = binary[at + 4 : at + 8], binary[at : at + 4]


def _torn(text, binary):
    at = _first(text, "POSITION")
    binary[at : at + 4] = struct.pack("<f", struct.unpack("<f", binary[at : at + 4])[0] + 0.5)


def _inwards(text, binary):
    at = _first(text, "NORMAL")
    old = struct.unpack("<3f", binary[at : at + 12])
    binary[at : at + 12] = struct.pack("<3f", *(-x for x in old))


# Name, damage to text and binary part, pattern that one of the reasons must match.
DOCUMENTS = [
    ("ten times larger", _scaled, r"volume"),
    ("other name", _renamed, r"bodies"),
    ("lying", _lying, r"stands"),
    ("other colour", _recoloured, r"colour \w+ is"),
    ("metadata lost", _unsaid, r"metadata tailpattern:form"),
    ("triangle flipped", _flipped, r"open|used more than once"),
    ("corner torn", _torn, r"open"),
    ("normal turned", _inwards, r"a normal is"),
]


def _refused(kind, name, path, expect, pattern):
    reasons = pack_check.check(path, expect)[1]
    fit = any(re.search(pattern, reason) for reason in reasons)
    return f"{kind} {name}", [] if fit else [f"not refused for {pattern!r}: {reasons}"]


def run(folder):
    """Yields (name, faults) of each case; a case without faults went as it should."""
    expect = json.loads((folder / "demo.json").read_text(encoding="utf-8"))
    with zipfile.ZipFile(folder / "demo.3mf") as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    raw = (folder / "demo.glb").read_bytes()
    length = struct.unpack("<I", raw[12:16])[0]
    text, binary = json.loads(raw[20 : 20 + length]), raw[28 + length :]
    with tempfile.TemporaryDirectory() as scratch:
        bad = Path(scratch) / "bad.3mf"
        for name, damage, pattern in MODELS:
            with zipfile.ZipFile(bad, "w") as archive:
                for part, content in parts.items():
                    new = damage(content.decode()) if part == MODEL else content
                    archive.writestr(part, new)
            yield _refused("3MF", name, bad, expect, pattern)
        bad = Path(scratch) / "bad.glb"
        for name, damage, pattern in DOCUMENTS:
            new, numbers = copy.deepcopy(text), bytearray(binary)
            damage(new, numbers)
            head = json.dumps(new).encode()
            head += b" " * (-len(head) % 4)
            chunks = struct.pack("<I4s", len(head), b"JSON") + head
            chunks += struct.pack("<I4s", len(numbers), b"BIN\0") + numbers
            bad.write_bytes(struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks)
            yield _refused("GLB", name, bad, expect, pattern)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("folder", type=Path)
    outcome = list(run(parser.parse_args().folder))
    for name, faults in outcome:
        print(f"{'FAULT' if faults else 'ok'} {name} {' '.join(faults)}")
    return 1 if any(faults for _, faults in outcome) else 0


if __name__ == "__main__":
    sys.exit(main())
