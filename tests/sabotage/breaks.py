"""Finds what can be broken in the sources, and writes each break so that a number switches it on.

Two kinds: a condition that names the barn becomes one that holds for every barn, and a word of the policy says
its opposite. A copy of the sources holds all of them at once, so that one build serves every break.
"""
import re
from dataclasses import dataclass
from pathlib import Path

SWITCH = '''//! Which break is switched on: only in copies of the sources that are broken on purpose.
#![allow(missing_docs, clippy::disallowed_methods)]
pub fn is_on(number: u32) -> bool {
    static ON: std::sync::LazyLock<u32> =
        std::sync::LazyLock::new(|| std::env::var("STRIDEWRIGHT_BREAK").ok().and_then(|n| n.parse().ok()).unwrap_or(0));
    *ON == number
}
pub fn flip(number: u32, said: bool) -> bool {
    said != is_on(number)
}
'''
SQL_SWITCH = '''//! A condition that holds where the break is switched on.
use diesel::IntoSql;
use diesel::sql_types::Bool;
pub fn on(number: u32) -> diesel::dsl::AsExprOf<bool, Bool> {
    stridewright_core::breaks::is_on(number).into_sql::<Bool>()
}
'''


@dataclass
class Break:
    number: int
    kind: str
    place: str
    text: str


class Breaks:
    def __init__(self, root: Path):
        self.root, self.found = root, []

    def add(self, kind: str, path: Path, source: str, at: int, text: str) -> int:
        line = source.count("\n", 0, at) + 1
        place = f"{path.relative_to(self.root)}:{line}"
        self.found.append(Break(len(self.found) + 1, kind, place, " ".join(text.split())))
        return len(self.found)


def closing(source: str, opening: int) -> int:
    """The index of the parenthesis that closes the one at `opening`."""
    depth = 0
    for i in range(opening, len(source)):
        depth += {"(": 1, ")": -1}.get(source[i], 0)
        if depth == 0:
            return i
    raise ValueError("a parenthesis is not closed")


def is_assignment(source: str, at: int) -> bool:
    """Whether it stands in a tuple, which is stored, rather than in the parentheses of a call, which is a condition."""
    depth = 0
    for i in range(at - 1, -1, -1):
        depth += {")": 1, "(": -1}.get(source[i], 0)
        if depth < 0:
            call = re.search(r"(\w+)\s*$", source[:i])
            return call is None or call[1] in ("values", "set")
    return False


def split_arguments(text: str) -> list[str]:
    parts, depth, start = [], 0, 0
    for i, c in enumerate(text):
        depth += {"(": 1, "[": 1, "<": 1, ")": -1, "]": -1, ">": -1}.get(c, 0)
        if c == "," and depth == 0:
            parts.append(text[start:i])
            start = i + 1
    return [p.strip() for p in [*parts, text[start:]] if p.strip()]


def keys_of(schema: str) -> dict[str, list[str]]:
    """The primary key of each table that belongs to a barn."""
    tables = re.findall(r"^    (\w+) \(([\w, ]+)\) \{$", schema, re.M)
    keys = {name: [c.strip() for c in columns.split(",")] for name, columns in tables}
    return {name: key for name, key in keys.items() if key[0] == "barn_id"}


def break_conditions(breaks: Breaks, path: Path, keys: dict[str, list[str]]) -> None:
    source = path.read_text()
    edits = []
    for m in re.finditer(r"\b(\w+)::barn_id\s*\.eq\(", source):
        end = closing(source, m.end() - 1) + 1
        if m[1] in keys and not is_assignment(source, m.start()):
            edits.append((m.start(), end, source[m.start():end], None))
    for m in re.finditer(r"\b(\w+)::table\s*\.find\(", source):
        end = closing(source, m.end() - 1)
        inside = source[m.end():end].strip()
        if m[1] not in keys:
            continue
        values = split_arguments(inside[1:-1]) if inside.startswith("(") else [inside]
        columns = [f"{m[1]}::{column}" for column in keys[m[1]]]
        if len(values) == len(columns):
            rest = "".join(f".filter({c}.eq({v}))" for c, v in zip(columns[1:], values[1:]))
            edits.append((m.start(), end + 1, source[m.start():end + 1], (m[1], columns[0], values[0], rest)))
    broken, last = [], 0
    for start, end, text, find in sorted(edits, key=lambda edit: edit[0]):
        number = breaks.add("barn", path, source, start, text)
        switch = f".or(crate::breaks::on({number}))"
        broken.append(source[last:start])
        if find is None:
            broken.append(text + switch)
        else:
            table, column, barn, rest = find
            broken.append(f"{table}::table.filter({column}.eq({barn}){switch}){rest}")
        last = end
    path.write_text("".join([*broken, source[last:]]))


def break_policy(breaks: Breaks, path: Path) -> None:
    source = path.read_text()
    begin = source.index("fn allowed(")
    head, body = source[:begin], source[begin:].replace("const fn trainer", "fn trainer")
    whole = head + body
    words = re.compile(r"\b(is\.(?:own|owned|paired|open)|roles\.(?:trainer|rider|owner|rail|member\(\))|owner|rider|"
                       r"trainer\(resource, action\)|false|true)(?=[\s,;)])")
    broken, last = [], 0
    for m in words.finditer(body):
        before = body[:m.start()]
        line = before.rsplit("\n", 1)[-1]
        if line.lstrip().startswith("//") or re.search(r"let $|\bfn $|: $", before):
            continue
        if "R::Account =>" in line:  # never asked: an account is judged before these functions
            continue
        number = breaks.add("policy", path, whole, begin + m.start(), line.lstrip() + m[0] + body[m.end():].split("\n", 1)[0])
        broken.append(body[last:m.start()] + f"crate::breaks::flip({number}, {m[0]})")
        last = m.end()
    body, broken, last = "".join([*broken, body[last:]]), [], 0
    for m in re.finditer(r"!?matches!\(", body):
        end = closing(body, m.end() - 1) + 1
        number = breaks.add("policy", path, whole, whole.index(body[m.start():end][:40]), body[m.start():end])
        broken.append(body[last:m.start()] + f"crate::breaks::flip({number}, {body[m.start():end]})")
        last = end
    body = "".join([*broken, body[last:]])
    path.write_text(head + body)


def write_all(root: Path) -> list[Break]:
    """Breaks the copy at `root` in every place; answers the breaks."""
    breaks = Breaks(root)
    keys = keys_of((root / "api/src/db/schema.rs").read_text())
    for path in sorted((root / "api/src").rglob("*.rs")):
        if path.name != "schema.rs":
            break_conditions(breaks, path, keys)
    break_policy(breaks, root / "core/src/policy.rs")
    (root / "core/src/breaks.rs").write_text(SWITCH)
    (root / "api/src/breaks.rs").write_text(SQL_SWITCH)
    for library in ["core/src/lib.rs", "api/src/lib.rs"]:
        path = root / library
        path.write_text(path.read_text() + "\npub mod breaks;\n")
    return breaks.found
