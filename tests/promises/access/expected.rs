//! The table of expected answers, which stands beside the policy's own.
use super::operations::Operation;
use std::collections::BTreeSet;

const TABLE: &str = include_str!("expected.txt");

pub const COLUMNS: [&str; 11] = [
    "anonymous",
    "trainer",
    "rider-own",
    "rider-other",
    "guardian-own",
    "guardian-other",
    "owner-own",
    "owner-other",
    "stranger",
    "rail-own",
    "rail-other",
];

pub struct Line<'a> {
    pub operation: &'a Operation,
    /// The operation's line, with its variant.
    pub line: String,
    pub cells: Vec<&'static str>,
}

impl Line<'_> {
    pub fn cell(&self, column: &str) -> &'static str {
        self.cells[COLUMNS.iter().position(|c| *c == column).expect("a column")]
    }
}

/// Whether the status is of the class.
pub fn is(status: u16, cell: &str) -> bool {
    if cell == "ok" { (200..300).contains(&status) } else { status.to_string() == cell }
}

/// The lines, each with its operation; every operation has one, and every line one.
pub fn lines(operations: &[Operation]) -> Vec<Line<'_>> {
    let rows = TABLE.lines().filter(|row| !row.is_empty() && !row.starts_with('#'));
    let lines: Vec<Line<'_>> = rows
        .map(|row| {
            let (line, cells) = row.split_once(" | ").unwrap_or_else(|| panic!("no cells in: {row}"));
            let line = line.trim_end().to_owned();
            let bare = line.split(" [").next().unwrap();
            let operation = operations.iter().find(|o| o.line() == bare);
            let operation =
                operation.unwrap_or_else(|| panic!("expected.txt has a line for what is no operation: {line}"));
            let cells: Vec<&str> = cells.split_whitespace().collect();
            assert_eq!(cells.len(), COLUMNS.len(), "{line}");
            for cell in &cells {
                assert!(["ok", "401", "403", "404", "409"].contains(cell), "{line}: {cell}");
            }
            Line { operation, line, cells }
        })
        .collect();
    let has: BTreeSet<String> = lines.iter().map(|line| line.operation.line()).collect();
    let lacking: Vec<String> = operations.iter().map(Operation::line).filter(|line| !has.contains(line)).collect();
    assert_eq!(lacking, Vec::<String>::new(), "operations without a line in expected.txt");
    let once: BTreeSet<&String> = lines.iter().map(|line| &line.line).collect();
    assert_eq!(once.len(), lines.len(), "a line stands twice");
    lines
}
