"""Reads the text of a STEP part 21 file into plain Python values.

No geometry library is used: this is the second road beside Open CASCADE, which heals
many faults while it reads. Every fault found here is a FileFault with a reason.
"""

import re
from dataclasses import dataclass


class FileFault(Exception):
    """The file cannot be read as one whole part 21 file."""


@dataclass(frozen=True)
class Ref:
    """A reference such as #12."""

    id: int


@dataclass(frozen=True)
class Word:
    """An enumeration such as .T. or .UNSPECIFIED. (held without its dots)."""

    text: str


@dataclass(frozen=True)
class Typed:
    """A typed value such as LENGTH_MEASURE(1.)."""

    kind: str
    args: tuple


DERIVED = object()  # the value written as *

_TOKEN = re.compile(
    r"""\s*(?:
      (?P<comment>/\*.*?\*/)
    | (?P<string>'(?:[^']|'')*')
    | (?P<ref>\#\d+)
    | (?P<real>[+-]?\d+(?:\.\d*(?:E[+-]?\d+)?)?)
    | (?P<word>\.[A-Z0-9_]+\.)
    | (?P<name>!?[A-Z][A-Z0-9_]*(?:-[A-Z0-9-]+)?)
    | (?P<binary>"[0-9A-F]*")
    | (?P<sign>[(),;=$*])
    )""",
    re.VERBOSE | re.DOTALL,
)


def decoded(text):
    """A string with its \\X2\\00FC\\X0\\ and \\X\\FC forms turned into letters."""
    wide = lambda m: bytes.fromhex(m[1]).decode("utf-16-be", errors="replace")
    text = re.sub(r"\\X2\\((?:[0-9A-F]{4})+)\\X0\\", wide, text)
    text = re.sub(r"\\X\\([0-9A-F]{2})", lambda m: chr(int(m[1], 16)), text)
    return text.replace("\\\\", "\\")


@dataclass
class Entity:
    """One instance of the data section: its parts and where it stands in the text.

    A simple instance has one part; a complex one has several, kept by name.
    """

    id: int
    parts: dict
    start: int
    end: int

    @property
    def kind(self):
        return next(iter(self.parts)) if len(self.parts) == 1 else "+".join(self.parts)

    @property
    def args(self):
        if len(self.parts) != 1:
            raise FileFault(f"#{self.id} is a complex instance where a simple one is needed")
        return next(iter(self.parts.values()))

    def is_a(self, name):
        return name in self.parts


class _Reader:
    def __init__(self, text):
        self.text = text
        self.at = 0
        self.token = None
        self.start = 0
        self.step()

    def step(self):
        """Moves to the next token that is no comment."""
        while True:
            match = _TOKEN.match(self.text, self.at)
            if match is None:
                rest = self.text[self.at :].strip()
                if rest:
                    raise FileFault(f"not part 21 text: {rest[:40]!r}")
                self.token = (None, "")
                self.start = self.at
                return
            self.at = match.end()
            kind = match.lastgroup
            if kind != "comment":
                self.token = (kind, match.group(kind))
                self.start = match.start(kind)
                return

    def take(self, text):
        if self.token[1] != text or self.token[0] == "string":
            found = self.token[1] or "the end of the file"
            raise FileFault(f"truncated or broken: {text!r} expected, found {found!r}")
        self.step()

    def value(self):
        kind, text = self.token
        if kind == "string":
            self.step()
            return decoded(text[1:-1].replace("''", "'"))
        if kind == "ref":
            self.step()
            return Ref(int(text[1:]))
        if kind == "real":
            self.step()
            return float(text) if "." in text else int(text)
        if kind == "word":
            self.step()
            return Word(text[1:-1])
        if kind == "name":
            self.step()
            return Typed(text, tuple(self.values()))
        if kind == "binary":
            self.step()
            return text
        if text == "$":
            self.step()
            return None
        if text == "*":
            self.step()
            return DERIVED
        if text == "(":
            return self.values()
        found = text or "the end of the file"
        raise FileFault(f"truncated or broken: a value expected, found {found!r}")

    def values(self):
        """A list in brackets."""
        self.take("(")
        out = []
        if self.token[1] == ")" and self.token[0] == "sign":
            self.step()
            return out
        while True:
            out.append(self.value())
            if self.token == ("sign", ","):
                self.step()
                continue
            self.take(")")
            return out

    def name(self):
        kind, text = self.token
        if kind != "name":
            raise FileFault(f"truncated or broken: a name expected, found {text!r}")
        self.step()
        return text


class StepFile:
    """The whole file: `header` (name -> values) and `entities` (id -> Entity)."""

    def __init__(self, text):
        self.text = text
        self.header = {}
        self.entities = {}
        if not text.rstrip().endswith("END-ISO-10303-21;"):
            raise FileFault("truncated: the text does not end with END-ISO-10303-21;")
        reader = _Reader(text)
        reader.take("ISO-10303-21")
        reader.take(";")
        reader.take("HEADER")
        reader.take(";")
        while reader.token[1] != "ENDSEC":
            name = reader.name()
            self.header[name] = reader.values()
            reader.take(";")
        reader.take("ENDSEC")
        reader.take(";")
        reader.take("DATA")
        reader.take(";")
        while reader.token[0] == "ref":
            self._entity(reader)
        reader.take("ENDSEC")
        reader.take(";")
        reader.take("END-ISO-10303-21")
        reader.take(";")
        if reader.token[0] is not None:
            raise FileFault("text after END-ISO-10303-21")
        self._no_dangling()

    def _entity(self, reader):
        start = reader.start
        number = int(reader.token[1][1:])
        reader.step()
        reader.take("=")
        parts = {}
        if reader.token == ("sign", "("):
            reader.step()
            while reader.token[0] == "name":
                name = reader.name()
                parts[name] = reader.values()
            reader.take(")")
        else:
            name = reader.name()
            parts[name] = reader.values()
        end = reader.start + 1
        reader.take(";")
        if number in self.entities:
            raise FileFault(f"id #{number} is used twice")
        self.entities[number] = Entity(number, parts, start, end)

    def _no_dangling(self):
        for entity in self.entities.values():
            for target in references(entity):
                if target not in self.entities:
                    raise FileFault(f"dangling reference: #{entity.id} names #{target}, which is missing")

    def __getitem__(self, ref):
        return self.entities[ref.id if isinstance(ref, Ref) else ref]

    def all(self, *names):
        """Every instance that has one of these types."""
        return [e for e in self.entities.values() if any(e.is_a(n) for n in names)]


def references(entity):
    """Every id an instance names."""
    stack = [list(entity.parts.values())]
    while stack:
        value = stack.pop()
        if isinstance(value, Ref):
            yield value.id
        elif isinstance(value, Typed):
            stack.extend(value.args)
        elif isinstance(value, (list, tuple)):
            stack.extend(value)


def read(path):
    with open(path, encoding="latin-1") as file:
        return StepFile(file.read())
