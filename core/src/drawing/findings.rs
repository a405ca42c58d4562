//! What is found about a layout: a dashed outline round the place, a letter, and the sentence below the plan.
use super::page::Page;
use super::plan::PlanFinding;
use super::svg::{At, Svg, Type};
use super::words::lines;

const LINE: f64 = 21.0;
/// Between the plan and the first sentence.
const ABOVE: f64 = 20.0;
/// Around a place, in metres.
const AROUND: f64 = 2.6;

/// The letter of a finding: A to Z, then numbers.
fn letter(n: usize) -> String {
    u8::try_from(n).ok().filter(|n| *n < 26).map_or_else(|| (n + 1).to_string(), |n| char::from(b'A' + n).to_string())
}

fn broken(finding: &PlanFinding, room: f64) -> Vec<String> {
    lines(&finding.words, Type::LABEL, room - 36.0)
}

/// How much the sentences take below the plan.
pub(super) fn height(findings: &[PlanFinding], room: f64) -> f64 {
    let lines: f64 = findings.iter().flat_map(|finding| broken(finding, room)).map(|_| LINE).sum();
    if lines > 0.0 { lines + ABOVE } else { 0.0 }
}

/// Outlines, letters and sentences.
pub(super) fn draw(svg: &mut Svg, page: &Page, findings: &[PlanFinding], (left, top): At, room: f64) {
    let mut down = top + ABOVE;
    for (n, finding) in findings.iter().enumerate() {
        let letter = letter(n);
        if let Some(at) = finding.at {
            let (at, radius) = (page.point(at), AROUND * page.scale);
            svg.around(at, radius);
            let corner = radius * std::f64::consts::FRAC_1_SQRT_2;
            svg.text((at.0 + corner + 3.0, at.1 - corner - 1.0), Type { size: 16.0, ..Type::LABEL }.bold(), &letter);
        }
        svg.text((left, down), Type { size: 16.0, ..Type::LABEL }.bold(), &letter);
        for line in broken(finding, room) {
            svg.text((left + 26.0, down), Type::LABEL, &line);
            down += LINE;
        }
    }
}
