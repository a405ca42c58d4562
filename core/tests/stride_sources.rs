//! The arithmetic of strides against published figures, typed in as their sources print them.
#![allow(clippy::unwrap_used, reason = "test code")]

#[path = "stride_sources/canter.rs"]
mod canter;
#[path = "stride_sources/charts.rs"]
mod charts;
#[path = "stride_sources/common_practice.rs"]
mod common_practice;
#[path = "stride_sources/guides.rs"]
mod guides;
#[path = "stride_sources/rooms.rs"]
mod rooms;

use stridewright_core::stride::{Line, distance, natural_count};
use stridewright_core::units::Metres;

fn metres(length: f64) -> Metres {
    Metres::new(length).unwrap()
}

/// Decimal feet, by their definition and not by the program's own reading of them.
fn feet(length: f64) -> Metres {
    metres(length * 0.3048)
}

/// A line of two full fences.
fn fences(length: Metres) -> Line {
    Line { distance: length, first: metres(1.0), second: metres(1.0) }
}

/// A line of two poles on the ground.
fn poles(length: Metres) -> Line {
    Line { distance: length, first: metres(0.0), second: metres(0.0) }
}

/// What the program sets for `n` strides of a design stride between full fences.
fn set_for(n: u32, stride: Metres) -> f64 {
    distance(n, stride, stride, metres(1.0), metres(1.0)).unwrap().get()
}

/// How a line rides for a horse whose own stride is the design stride.
fn rides_in(line: &Line, stride: Metres) -> u32 {
    natural_count(line, stride, stride).unwrap().n
}

#[track_caller]
fn close(got: f64, published: f64, within: f64) {
    assert!((got - published).abs() <= within, "published {published}, got {got}");
}
