"""Words that judge: the policy's, how a caller stands to each thing, and what is asked of roles outside of the policy."""
import re
from pathlib import Path

from sources import Edited, closing

FIELDS = ["own", "owned", "paired", "open"]


def of_policy(file: Edited) -> None:
    """The policy's functions: every word says its opposite."""
    source, begin = file.source, file.source.index("fn allowed(")
    words = re.compile(r"\b(is\.(?:own|owned|paired|open)|roles\.(?:trainer|rider|owner|rail|member\(\))|owner|rider|"
                       r"trainer\(resource, action\)|false|true)(?=[\s,;)])|!?matches!\(")
    for m in words.finditer(source, begin):
        line = source[source.rindex("\n", 0, m.start()) + 1:m.start()]
        rest = source[m.end():].split("\n", 1)[0]
        if line.lstrip().startswith("//") or re.search(r"let $|\bfn $|: $", line):
            continue
        if "R::Account =>" in line:  # never asked: an account is judged before these functions
            continue
        end = m.end() if m[1] else closing(source, m.end() - 1) + 1
        text = line.lstrip() + m[0] + rest if m[1] else source[m.start():end]
        number = file.add("policy", m.start(), text)
        file.wrap(m.start(), end, f"crate::breaks::flip({number}, ", ")")
    constant = source.index("const fn trainer(resource")
    file.replace(constant, constant + len("const "), "")


class Policy:
    """The agreed table: which sides of a relation a verdict about a resource depends on at all."""

    def __init__(self, golden: str):
        self.rows = {}
        for line in golden.splitlines():
            if not line.startswith("#"):
                role, resource, relation, verdicts = line.split()
                self.rows[role, resource, relation] = verdicts
        self.actions = re.search(r"columns: \[(.*)\]", golden)[1].split(", ")

    def matters(self, field: str, resource: str, action: str) -> bool:
        at = self.actions.index(action)
        return any(verdicts[at] != self.rows[role, resource, field][at]
                   for (role, of, relation), verdicts in self.rows.items() if of == resource and relation == "-")


def acts_in(sources: str) -> dict[str, set[str]]:
    """What the guards of handlers let be done with each entity."""
    acts: dict[str, set[str]] = {}
    for entity, act in re.findall(r"May<(\w+), (\w+)>", sources):
        acts.setdefault(entity, set()).add(act)
    return acts


def of_relations(file: Edited, policy: Policy, acts: dict[str, set[str]]) -> None:
    """How a caller stands to a thing: each side of it that a verdict depends on is turned round."""
    source = file.source
    for m in re.finditer(r"\bfn (\w+)\([^)]*\) -> Relation \{", source):
        end = closing(source, m.end() - 1)
        body = source[m.end():end]
        if m[1] == "relation":
            impl = [i for i in re.finditer(r"impl Entity for (\w+) \{", source) if i.start() < m.start()][-1]
            whole = source[impl.start():closing(source, impl.end() - 1)]
            several = "fn resource(" in whole
            resources = re.findall(r"Resource::(\w+)", source if several else whole)
            asked = [(r, a) for r in resources for a in acts.get(impl[1], ())]
            fields = [f for f in FIELDS if any(policy.matters(f, r, a) for r, a in asked)]
            name = impl[1]
        else:
            fields, name = [f for f in FIELDS if re.search(rf"\b{f}:", body)], m[1]
        if not fields:
            continue
        numbers = {f: file.add("relation", m.start(), f"{f} in {name}: {body}") for f in fields}
        switches = ", ".join(str(numbers.get(f, 0)) for f in FIELDS)
        file.wrap(m.end(), end, f" crate::breaks::relation([{switches}], (|| -> Relation {{", "})()) ")


def of_roles(file: Edited) -> None:
    """What is asked of roles, and of the policy, outside of the guards."""
    source = file.source
    for m in re.finditer(r"\b(?:(?:\w+\.)?who|self)\.roles\.(?:trainer|rider|owner|rail|member\(\))", source):
        line = source[source.rindex("\n", 0, m.start()) + 1:].split("\n", 1)[0]
        file.flip("role", m.start(), m.end(), f"{m[0]} in {line}")
    for m in re.finditer(r"\b(?:\w+\.)?who\.may\(", source):
        called = closing(source, m.end() - 1) + 1
        compared = re.match(r"\s*[!=]= Verdict::\w+", source[called:])
        if compared:
            file.flip("role", m.start(), called + compared.end())
        else:
            number = file.add("role", m.start(), source[m.start():called])
            file.wrap(m.start(), called, f"crate::breaks::verdict({number}, ", ")")
    if file.path.match("access/standing.rs"):
        # what a standing's roles are made of
        for m in re.finditer(r"\bRoles \{ (.*?) \}", source):
            for said in re.finditer(r"\b(trainer|rider|owner|rail)(: [^,}]+)?(?=,| *$)", m[1]):
                at, (name, value) = m.start(1) + said.start(), said.groups()
                if value:
                    file.flip("role", at + len(name) + 2, at + len(said[0]), f"{said[0]} in {m[0]}")
                else:
                    number = file.add("role", at, f"{name} in {m[0]}")
                    file.insert(at + len(name), f": stridewright_core::breaks::flip({number}, {name})")


def golden(root: Path) -> Policy:
    return Policy((root / "core/tests/golden/policy.txt").read_text())
