"""Damages a good STEP file in many ways; step_check must refuse each one for its reason.

    python damaged_steps.py GOOD.step

The good file itself must be accepted. Each damage is done on the file's text.
"""

import argparse
import os
import re
import sys
import tempfile

import part21
import step_check
from part21 import Ref


def replace(step, changes):
    """The text with the statements of some ids replaced (id -> new text, "" removes it)."""
    text = step.text
    for number in sorted(changes, key=lambda n: step[n].start, reverse=True):
        entity = step[number]
        text = text[: entity.start] + changes[number] + text[entity.end :]
    return text


def statement(step, number):
    return step.text[step[number].start : step[number].end]


def real(value):
    return f"{value:.12f}"


def toggled(text):
    """The statement with its last flag turned over."""
    head, flag, tail = re.fullmatch(r"(.*)\.([TF])\.(.*)", text, re.DOTALL).groups()
    return f"{head}.{'F' if flag == 'T' else 'T'}.{tail}"


def solids(step):
    return step.all("MANIFOLD_SOLID_BREP", "BREP_WITH_VOIDS")


def shells(step):
    return step.all("CLOSED_SHELL")


def a_face(step, kinds=None):
    """A face of the middle of the first shell, with a carrier of one of the kinds."""
    faces = [step[ref] for ref in shells(step)[0].args[1]]
    fit = [f for f in faces if kinds is None or step[f.args[2]].kind in kinds]
    return fit[len(fit) // 2] if fit else None


def bounds(face):
    return [ref.id for ref in face.args[1]]


def truncated(step):
    return step.text[: int(len(step.text) * 0.8)]


def end_cut_off(step):
    return step.text[: step.text.rindex("ENDSEC")]


def open_shell(step):
    shell, face = shells(step)[0], a_face(step)
    text = statement(step, shell.id)
    text = re.sub(rf"#{face.id}\s*,|,\s*#{face.id}(?=\s*\))", "", text, count=1)
    return replace(step, {shell.id: text})


def face_flipped(step):
    """The whole face turned over, flag and loops: its normal points into the solid."""
    face = a_face(step)
    changes = {number: toggled(statement(step, number)) for number in bounds(face)}
    return replace(step, changes | {face.id: toggled(statement(step, face.id))})


def face_sense_flipped(step):
    """Only the same_sense flag of a face turned over."""
    face = a_face(step, ("PLANE", "CYLINDRICAL_SURFACE", "CONICAL_SURFACE"))
    return replace(step, {face.id: toggled(statement(step, face.id))}) if face else None


def bound_flipped(step):
    """Only one loop of a face runs the wrong way round."""
    number = bounds(a_face(step))[0]
    return replace(step, {number: toggled(statement(step, number))})


def inside_out(step):
    """Every face turned over: consistent, but the solid is the outer space."""
    changes = {}
    for shell in shells(step):
        for ref in shell.args[1]:
            for number in [ref.id, *bounds(step[ref])]:
                changes[number] = toggled(statement(step, number))
    return replace(step, changes)


def vertex_moved(step):
    vertices = step.all("VERTEX_POINT")
    point = step[vertices[len(vertices) // 2].args[1]]
    x, y, z = point.args[1]
    moved = ",".join(real(v) for v in (x + 0.3, y + 0.4, z))
    return replace(step, {point.id: f"#{point.id}=CARTESIAN_POINT('',({moved}));"})


def entity_missing(step):
    edges = step.all("EDGE_CURVE")
    return replace(step, {edges[len(edges) // 2].id: ""})


def id_twice(step):
    edges = step.all("ORIENTED_EDGE")
    first, second = edges[len(edges) // 2].id, edges[len(edges) // 2 + 1].id
    return replace(step, {second: statement(step, second).replace(f"#{second}", f"#{first}", 1)})


def two_solids(step):
    """The solid and all it names written once more under new ids, as a second item."""
    solid = solids(step)[0]
    offset = max(step.entities) + 1
    wanted, stack = set(), [solid.id]
    while stack:
        number = stack.pop()
        if number not in wanted:
            wanted.add(number)
            stack.extend(part21.references(step[number]))
    renumber = lambda text: re.sub(r"#(\d+)", lambda m: f"#{int(m[1]) + offset}", text)
    copies = "\n".join(renumber(statement(step, number)) for number in sorted(wanted))
    holder = next(e for e in step.all("ADVANCED_BREP_SHAPE_REPRESENTATION") if Ref(solid.id) in e.args[1])
    text = re.sub(rf"#{solid.id}(?!\d)", f"#{solid.id},#{solid.id + offset}", statement(step, holder.id), count=1)
    return replace(step, {holder.id: text + "\n" + copies})


def radius_changed(step):
    """A bore made 0.01 mm larger while its edges stay."""
    for entity in step.all("CYLINDRICAL_SURFACE"):
        name, frame, radius = entity.args
        return replace(step, {entity.id: f"#{entity.id}=CYLINDRICAL_SURFACE('',#{frame.id},{real(radius + 0.01)});"})
    return None


def odd_surface(step):
    """A cylinder written as a surface type that CAM programs do not know as a bore."""
    for entity in step.all("CYLINDRICAL_SURFACE"):
        text = f"#{entity.id}=SURFACE_OF_REVOLUTION('',#{entity.args[1].id},#{entity.args[1].id});"
        return replace(step, {entity.id: text})
    return None


# Each damage with the pattern that one of the reasons must match.
DAMAGES = [
    (truncated, r"truncated"),
    (end_cut_off, r"truncated"),
    (open_shell, r"text: open shell"),
    (face_flipped, r"text: flipped"),
    (face_sense_flipped, r"text: .*flipped: its loops"),
    (bound_flipped, r"text: flipped|text: .*flipped: its loops"),
    (inside_out, r"text: .*inside out"),
    (vertex_moved, r"text: a vertex of .* mm off"),
    (entity_missing, r"dangling reference"),
    (id_twice, r"id #\d+ is used twice"),
    (two_solids, r"text: 2 solids where 1 expected"),
    (radius_changed, r"text: .* mm off its surface"),
    (odd_surface, r"not an allowed surface type"),
]


def run(path, expect=None):
    """Yields (name, faults) of each case; a case without faults went as it should."""
    step = part21.read(path)
    yield "good file accepted", step_check.check(path, expect)[1]
    with tempfile.TemporaryDirectory() as folder:
        for damage, pattern in DAMAGES:
            text = damage(step)
            if text is None:
                yield damage.__name__, ["the good file has no face to damage so"]
                continue
            bad = os.path.join(folder, damage.__name__ + ".step")
            with open(bad, "w", encoding="latin-1") as file:
                file.write(text)
            reasons = step_check.check(bad)[1]
            fit = any(re.search(pattern, reason) for reason in reasons)
            yield damage.__name__, [] if fit else [f"not refused for {pattern!r}: {reasons}"]


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("file")
    args = parser.parse_args()
    outcome = list(run(args.file))
    for name, faults in outcome:
        print(f"{'FAULT' if faults else 'ok'} {name} {' '.join(faults)}")
    return 1 if any(faults for _, faults in outcome) else 0


if __name__ == "__main__":
    sys.exit(main())
