"""Conditions of queries: those that name the barn, wherever they stand, and all of those by which a caller is known."""
import re

from sources import Edited, closing, split_arguments, terms

# by these it is told who asks, and how they stand
OF_CALLERS = ["access/caller.rs", "access/standing.rs"]


def is_assignment(source: str, at: int) -> bool:
    """Whether it stands in a tuple, which is stored, rather than in the parentheses of a call, which is a condition."""
    depth = 0
    for i in range(at - 1, -1, -1):
        depth += {")": 1, "(": -1}.get(source[i], 0)
        if depth < 0:
            call = re.search(r"(\w+)\s*$", source[:i])
            return call is None or call[1] in ("values", "set")
    return False


def keys_of(schema: str) -> dict[str, list[str]]:
    """The primary key of each table that belongs to a barn."""
    tables = re.findall(r"^    (\w+) \(([\w, ]+)\) \{$", schema, re.M)
    keys = {name: [c.strip() for c in columns.split(",")] for name, columns in tables}
    return {name: key for name, key in keys.items() if key[0] == "barn_id"}


def of_barns(file: Edited, keys: dict[str, list[str]]) -> None:
    source = file.source
    for m in re.finditer(r"\b(\w+)::barn_id\s*\.eq\(|\b(\w+)::table\s*\.find\(", source):
        end = closing(source, m.end() - 1) + 1
        if m[1]:
            if m[1] in keys and not is_assignment(source, m.start()):
                number = file.add("barn", m.start(), source[m.start():end])
                file.insert(end, f".or(crate::breaks::on({number}))")
            continue
        table, inside = m[2], source[m.end():end - 1].strip()
        if table not in keys:
            continue
        values = split_arguments(inside[1:-1]) if inside.startswith("(") else [inside]
        columns = [f"{table}::{column}" for column in keys[table]]
        if len(values) == len(columns):
            number = file.add("barn", m.start(), source[m.start():end])
            switch = f".or(crate::breaks::on({number}))"
            rest = "".join(f".filter({c}.eq({v}))" for c, v in zip(columns[1:], values[1:]))
            file.replace(m.start(), end, f"{table}::table.filter({columns[0]}.eq({values[0]}){switch}){rest}")


def of_callers(file: Edited) -> None:
    """The other terms of what is asked of credentials and of members."""
    source = file.source
    for m in re.finditer(r"\.filter\(", source):
        for start, end in terms(source, m.end(), closing(source, m.end() - 1)):
            if "::barn_id" in source[start:end] or source[start] == "|":  # of no query: its roles are broken elsewhere
                continue
            number = file.add("caller", start, source[start:end])
            file.insert(end, f".or(crate::breaks::on({number}))")
