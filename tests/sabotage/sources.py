"""Reading Rust just well enough to break it, and writing many breaks into one file."""
from dataclasses import dataclass
from pathlib import Path

PAIRS = {"(": ")", "{": "}"}


@dataclass
class Break:
    number: int
    kind: str
    place: str
    text: str


class Breaks:
    """The breaks so far; each has a number, by which it is switched on."""

    def __init__(self, root: Path):
        self.root, self.found = root, []


class Edited:
    """A file that is broken in many places at once; places are those of the file as it was."""

    def __init__(self, breaks: Breaks, path: Path):
        self.breaks, self.path, self.source, self.edits = breaks, path, path.read_text(), []

    def add(self, kind: str, at: int, text: str) -> int:
        """A new break here; answers its number."""
        place = f"{self.path.relative_to(self.breaks.root)}:{self.source.count(chr(10), 0, at) + 1}"
        number = len(self.breaks.found) + 1
        self.breaks.found.append(Break(number, kind, place, " ".join(text.split())))
        return number

    def replace(self, start: int, end: int, text: str) -> None:
        self.edits.append((start, end, text))

    def insert(self, at: int, text: str) -> None:
        self.replace(at, at, text)

    def wrap(self, start: int, end: int, before: str, after: str) -> None:
        self.insert(start, before)
        self.insert(end, after)

    def flip(self, kind: str, start: int, end: int, text: str | None = None) -> None:
        """The truth of this expression can be turned round."""
        number = self.add(kind, start, text or self.source[start:end])
        self.wrap(start, end, f"stridewright_core::breaks::flip({number}, ", ")")

    def write(self) -> None:
        broken, last = [], 0
        for start, end, text in sorted(self.edits, key=lambda edit: edit[:2]):
            assert start >= last, f"{self.path}: two breaks in one place"
            broken += [self.source[last:start], text]
            last = end
        if self.edits:
            self.path.write_text("".join([*broken, self.source[last:]]))


def closing(source: str, opening: int) -> int:
    """The index of what closes the parenthesis or brace at `opening`."""
    depth, (opens, closes) = 0, (source[opening], PAIRS[source[opening]])
    for i in range(opening, len(source)):
        depth += {opens: 1, closes: -1}.get(source[i], 0)
        if depth == 0:
            return i
    raise ValueError("a parenthesis is not closed")


def split_arguments(text: str) -> list[str]:
    parts, depth, start = [], 0, 0
    for i, c in enumerate(text):
        depth += {"(": 1, "[": 1, "<": 1, ")": -1, "]": -1, ">": -1}.get(c, 0)
        if c == "," and depth == 0:
            parts.append(text[start:i])
            start = i + 1
    return [p.strip() for p in [*parts, text[start:]] if p.strip()]


def terms(source: str, start: int, end: int) -> list[tuple[int, int]]:
    """Where the terms of `a.and(b).and(c)` begin and end."""
    found, i, depth, begin = [], start, 0, start
    while i < end:
        if depth == 0 and source.startswith(".and(", i):
            if begin is not None:
                found.append((begin, i))
                begin = None
            close = closing(source, i + 4)
            found.append((i + 5, close))
            i = close
        else:
            depth += {"(": 1, ")": -1}.get(source[i], 0)
        i += 1
    if begin is not None:
        found.append((begin, end))
    trimmed = []
    for a, b in found:
        text = source[a:b]
        b -= len(text) - len(text.rstrip(" \n,"))
        a += len(text) - len(text.lstrip())
        trimmed.append((a, b))
    return trimmed
