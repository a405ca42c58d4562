"""Finds what can be broken in the sources, and writes each break so that a number switches it on.

A condition that names the barn, or by which a caller is known, becomes one that always holds; a word of the policy,
a side of a relation, a question about roles says its opposite. A copy of the sources holds all of them at once, so
that one build serves every break.
"""
from pathlib import Path

import conditions
import judging
from sources import Break, Breaks, Edited

SWITCH = '''//! Which break is switched on: only in copies of the sources that are broken on purpose.
#![allow(missing_docs, clippy::disallowed_methods)]
use std::collections::BTreeSet;
use std::io::Write;
use std::sync::{LazyLock, Mutex};
static ON: LazyLock<u32> =
    LazyLock::new(|| std::env::var("STRIDEWRIGHT_BREAK").ok().and_then(|n| n.parse().ok()).unwrap_or(0));
/// Where it is written down which breaks were met.
static MET: LazyLock<Option<Mutex<(BTreeSet<u32>, std::fs::File)>>> = LazyLock::new(|| {
    let path = std::env::var_os("STRIDEWRIGHT_BREAKS_MET")?;
    let file = std::fs::OpenOptions::new().create(true).append(true).open(path).ok()?;
    Some(Mutex::new((BTreeSet::new(), file)))
});
pub fn is_on(number: u32) -> bool {
    if let Some(met) = MET.as_ref() {
        if let Ok(mut met) = met.lock() {
            if met.0.insert(number) {
                let _ = met.1.write_all(format!("{number}\\n").as_bytes());
            }
        }
    }
    number != 0 && *ON == number
}
pub fn flip(number: u32, said: bool) -> bool {
    said != is_on(number)
}
'''
API_SWITCH = '''//! A condition that holds, and a relation of which a side is turned round, where the break is switched on.
use diesel::IntoSql;
use diesel::sql_types::Bool;
use stridewright_core::breaks::{flip, is_on};
use stridewright_core::policy::{Relation, Verdict};
pub fn on(number: u32) -> diesel::dsl::AsExprOf<bool, Bool> {
    is_on(number).into_sql::<Bool>()
}
pub fn relation([own, owned, paired, open]: [u32; 4], said: Relation) -> Relation {
    Relation {
        own: flip(own, said.own),
        owned: flip(owned, said.owned),
        paired: flip(paired, said.paired),
        open: flip(open, said.open),
    }
}
pub fn verdict(number: u32, said: Verdict) -> Verdict {
    match (is_on(number), said) {
        (false, said) => said,
        (true, Verdict::Allow) => Verdict::Forbid,
        (true, _) => Verdict::Allow,
    }
}
'''


def write_all(root: Path) -> list[Break]:
    """Breaks the copy at `root` in every place; answers the breaks."""
    breaks, policy = Breaks(root), judging.golden(root)
    paths = [path for path in sorted((root / "api/src").rglob("*.rs")) if path.name != "schema.rs"]
    keys = conditions.keys_of((root / "api/src/db/schema.rs").read_text())
    acts = judging.acts_in("\n".join(path.read_text() for path in paths))
    for path in paths:
        file = Edited(breaks, path)
        conditions.of_barns(file, keys)
        if any(path.match(name) for name in conditions.OF_CALLERS):
            conditions.of_callers(file)
        judging.of_relations(file, policy, acts)
        judging.of_roles(file)
        file.write()
    file = Edited(breaks, root / "core/src/policy.rs")
    judging.of_policy(file)
    file.write()
    (root / "core/src/breaks.rs").write_text(SWITCH)
    (root / "api/src/breaks.rs").write_text(API_SWITCH)
    for library in ["core/src/lib.rs", "api/src/lib.rs"]:
        path = root / library
        path.write_text(path.read_text() + "\npub mod breaks;\n")
    return breaks.found
