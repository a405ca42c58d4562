//! The gaps of combinations by a rule book that was chosen: books disagree, and none of them is a constant.
use super::judged::Judge;
use super::layout_wire::LayoutFindingOut;
use crate::exercises::layout::{LayoutLine, LineKind};
use stridewright_core::course::RuleSet;
use stridewright_core::layout::Weight;
use stridewright_core::units::Metres;

/// Gaps are taped to the centimetre at best.
const SLACK_M: f64 = 0.005;

/// How far apart elements stand by the book, in words.
pub fn span(rules: RuleSet, write: fn(Metres) -> String) -> String {
    let (least, most) = rules.combination();
    format!("{} to {}", write(least), write(most))
}

/// Elements that stand nearer or further apart than the book has it: what, and its cure.
pub fn gap_off(gap: &str, span: &str) -> (String, String) {
    (
        format!("The elements stand {gap} apart; the rule book asks for {span}."),
        "Set them within it, or number them apart.".to_owned(),
    )
}

/// Two obstacles that stand as near as elements of one: what, and its cure.
pub fn as_near(gap: &str, span: &str) -> (String, String) {
    (
        format!("The fences stand {gap} apart: the rule book calls {span} one obstacle."),
        "Make them elements of one combination, or set them further apart.".to_owned(),
    )
}

impl Judge<'_> {
    /// What of the layout's gaps is not by the book; nothing where none is chosen.
    pub fn by_the_book(&self) -> Vec<LayoutFindingOut> {
        let Some(rules) = self.asked.rules else { return Vec::new() };
        let straight = self.asked.layout.lines.0.iter().filter(|line| line.kind == LineKind::Straight);
        straight.filter_map(|line| self.gap(line, rules)).collect()
    }

    fn gap(&self, line: &LayoutLine, rules: RuleSet) -> Option<LayoutFindingOut> {
        let jumped = |label| self.asked.layout.fence(label).is_some_and(|fence| !fence.is_pole());
        if !jumped(&line.from) || !jumped(&line.to) {
            return None;
        }
        let (gap, (least, most)) = (self.inside(line).distance.get(), rules.combination());
        let (short, long) = (least.get() - gap, gap - most.get());
        let (write, span) = (self.subject.write, span(rules, self.subject.write));
        let (code, missing, (words, cure)) = match line.combination == Some(true) {
            true if short.max(long) > SLACK_M => {
                ("combination_gap", short.max(long), gap_off(&write(Metres::nearest(gap)), &span))
            }
            false if long <= SLACK_M => {
                ("near_as_combination", (-long).max(0.0), as_near(&write(Metres::nearest(gap)), &span))
            }
            _ => return None,
        };
        let missing = Metres::nearest(missing);
        Some(LayoutFindingOut {
            code,
            weight: Weight::Advice,
            line: line.label.clone(),
            fences: vec![line.from.clone(), line.to.clone()],
            missing_m: Some(missing),
            missing_text: Some(missing.into()),
            words,
            cure,
        })
    }
}
