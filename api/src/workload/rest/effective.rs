//! The limits that matter on a day: of a kind that can be compared only the strictest.
use super::wire::EffectiveLimit;
use crate::workload::limits::wire::Numbers;
use crate::workload::words;
use std::collections::BTreeMap;
use stridewright_core::calendar::Day;
use stridewright_core::rest::{Book, Code, Limit};
use uuid::Uuid;

/// The strictest of each kind that has one value and looks at all efforts; the others stand by themselves.
pub fn limits(book: &Book<Uuid>, day: Day, sees_rows: bool) -> Vec<EffectiveLimit> {
    let mut strictest = BTreeMap::<Code, &Limit<Uuid>>::new();
    let mut others = Vec::new();
    for limit in book.limits().filter(|limit| limit.valid_on(day)) {
        if limit.from_height.is_some() || limit.rule.value().is_none() {
            others.push(limit);
            continue;
        }
        // of equals, the one that binds
        let rank = |limit: &Limit<Uuid>| (limit.rule.value(), !limit.binds());
        let held = strictest.entry(limit.rule.code()).or_insert(limit);
        if rank(limit) < rank(held) {
            *held = limit;
        }
    }
    strictest.into_values().chain(others).filter_map(|limit| out(limit, sees_rows)).collect()
}

fn out(limit: &Limit<Uuid>, sees_rows: bool) -> Option<EffectiveLimit> {
    let (kind, _) = Numbers::of(&limit.rule)?;
    Some(EffectiveLimit {
        kind,
        words: words::limit(limit),
        source: limit.source,
        binding: limit.binds(),
        workload_limit_id: sees_rows.then(|| limit.id.into()),
    })
}
