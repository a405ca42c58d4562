//! The barn's week: who rides what, where and when.
use crate::cast::{DECLINING, FOUNDER, IMPROVING, RETURNING, SECOND_TRAINER, SHOWING, STEADY, STOOD_DOWN, YOUNG};
use crate::exercises::{BEND, COMBINATION, COURSE, EIGHT, FAN, GRID, NARROW, POLES, SERPENTINE, TWO, TWO_LONG};
use crate::places::{INDOOR, OUTDOOR, SETS};
use jiff::civil::{Time, Weekday, time};

/// One session of the week.
pub struct Slot {
    pub title: &'static str,
    pub weekday: Weekday,
    pub at: Time,
    pub minutes: i64,
    pub arena: &'static str,
    pub trainer: &'static str,
    /// Which fence set; none for flat work.
    pub set: Option<usize>,
    /// Week by week in turn; none for flat work.
    pub exercises: &'static [&'static str],
    pub places: u8,
    pub pairs: &'static [(&'static str, &'static str)],
}

const FIRST: [(&str, &str); 4] = [
    (STEADY, "Tilda Wexcombe"),
    (IMPROVING, "Oskar Pellow"),
    (DECLINING, "Bryony Tasker"),
    (SHOWING, "Nadia Corriedale"),
];
const SECOND: [(&str, &str); 4] = [
    (YOUNG, "Felix Umberlow"),
    ("Oatcake", "Rowan Thistlewick"),
    (RETURNING, "Hettie Marlpit"),
    (STOOD_DOWN, "Tilda Wexcombe"),
];
const PONIES: [(&str, &str); 3] =
    [("Tansy", "Juno Fennimoor"), ("Button Moss", "Pip Sorrelby"), ("Pepperpot", "Eddy Brackwater")];
const SATURDAY: [(&str, &str); 4] = [
    ("Damson", "Rowan Thistlewick"),
    ("Tansy", "Juno Fennimoor"),
    ("Button Moss", "Pip Sorrelby"),
    ("Pepperpot", "Eddy Brackwater"),
];

const fn jumping(
    title: &'static str,
    weekday: Weekday,
    at: Time,
    place: (&'static str, &'static str, usize),
    exercises: &'static [&'static str],
    pairs: &'static [(&'static str, &'static str)],
) -> Slot {
    let (arena, trainer, set) = place;
    Slot { title, weekday, at, minutes: 60, arena, trainer, set: Some(set), exercises, places: 0, pairs }
}

pub const WEEK: [Slot; 8] = [
    Slot {
        title: "Flat: one canter, then another",
        weekday: Weekday::Monday,
        at: time(9, 30, 0, 0),
        minutes: 45,
        arena: INDOOR,
        trainer: SECOND_TRAINER,
        set: None,
        exercises: &[],
        places: 0,
        pairs: &[(STEADY, "Tilda Wexcombe"), ("Damson", "Rowan Thistlewick")],
    },
    jumping(
        "Tuesday group",
        Weekday::Tuesday,
        time(17, 0, 0, 0),
        (INDOOR, FOUNDER, 0),
        &[TWO, TWO_LONG, BEND, TWO_LONG, SERPENTINE],
        &FIRST,
    ),
    Slot {
        places: 4,
        ..jumping(
            "Pony lesson",
            Weekday::Wednesday,
            time(16, 30, 0, 0),
            (OUTDOOR, SECOND_TRAINER, 2),
            &[POLES, TWO, FAN, TWO_LONG],
            &PONIES,
        )
    },
    jumping(
        "Thursday group",
        Weekday::Thursday,
        time(17, 30, 0, 0),
        (INDOOR, FOUNDER, 1),
        &[TWO, BEND, TWO_LONG, COMBINATION],
        &SECOND,
    ),
    jumping(
        "Friday group",
        Weekday::Friday,
        time(17, 0, 0, 0),
        (INDOOR, FOUNDER, 0),
        &[TWO_LONG, POLES, NARROW, EIGHT, COURSE],
        &FIRST,
    ),
    Slot {
        places: 4,
        ..jumping(
            "Saturday lesson",
            Weekday::Saturday,
            time(10, 0, 0, 0),
            (OUTDOOR, SECOND_TRAINER, 2),
            &[TWO_LONG, GRID, TWO, BEND],
            &SATURDAY,
        )
    },
    jumping(
        "Sunday group",
        Weekday::Sunday,
        time(10, 0, 0, 0),
        (OUTDOOR, SECOND_TRAINER, 1),
        &[TWO_LONG, TWO, SERPENTINE, POLES, NARROW],
        &SECOND,
    ),
    Slot {
        title: "Flat: transitions for the young horses",
        weekday: Weekday::Tuesday,
        at: time(8, 30, 0, 0),
        minutes: 45,
        arena: OUTDOOR,
        trainer: SECOND_TRAINER,
        set: None,
        exercises: &[],
        places: 0,
        pairs: &[(YOUNG, "Felix Umberlow"), ("Oatcake", "Rowan Thistlewick")],
    },
];

impl Slot {
    pub fn fence_set(&self) -> Option<&'static str> {
        SETS.get(self.set?).copied()
    }

    /// The exercise of a week, by its number.
    pub fn exercise(&self, week: usize) -> Option<&'static str> {
        self.exercises.get(week.checked_rem(self.exercises.len())?).copied()
    }

    pub fn kind(&self) -> &'static str {
        if self.exercises.is_empty() { "flat" } else { "jumping" }
    }
}
