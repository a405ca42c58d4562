//! How far a horse shortens and lengthens its stride on request, how sure that is, whether it changes,
//! and what to ask next.
//!
//! Every attempt is a stretch x = ln(stride asked for / the horse's normal stride): below 0 collecting,
//! above 0 lengthening. The chance that the horse shows a stretch is a logistic threshold with a fixed
//! lapse, one end on each side and one steepness for both, fitted as the maximum of the posterior with a
//! normal approximation around it (Laplace). Attempts fade with age, and those of one day, which share
//! footing and form, count for less than as many single ones (the design effect of cluster sampling,
//! Kish, *Survey Sampling*, 1965). A threshold with a lapse is the psychometric function of Wichmann and
//! Hill, "The psychometric function I", *Perception & Psychophysics* 63 (2001).
//!
//! Figures and limits are conventions of this program ([`Settings`]); the trainer on the ground decides.
//!
//! ```
//! use stridewright_core::adjustability::{Attempt, Kind, Line, Settings, Side, fit, next_ask};
//! use stridewright_core::calendar::Day;
//! use stridewright_core::units::Metres;
//!
//! let today: Day = "2026-06-04".parse()?;
//! let met = |days_ago: i32, asked: u8| Attempt {
//!     day: today.plus(-days_ago),
//!     rider: Some("a"),
//!     distance: Metres::new(21.9456).unwrap(), // 72 ft
//!     allowance: Metres::new(3.6576).unwrap(), // 12 ft
//!     asked: Some(asked),
//!     ridden: Some(asked),
//!     fault: None,
//!     approach: None,
//!     height: Metres::new(0.8).unwrap(),
//!     kind: Kind::Fence,
//!     combination: false,
//!     circle: false,
//! };
//! let attempts = [met(9, 5), met(7, 5), met(2, 6)];
//! let settings = Settings::default();
//! let range = fit(&attempts, today, Metres::new(3.6576)?, &settings);
//! assert!(range.ratio().value.get() > 1.0);
//! assert!(range.long_end().assumed, "no lengthening was ridden");
//!
//! let line = Line {
//!     distance: Metres::new(21.9456)?,
//!     allowance: Metres::new(3.6576)?,
//!     side: Side::Either,
//!     height: Metres::new(0.8)?,
//!     kind: Kind::Fence,
//!     combination: false,
//! };
//! let next = next_ask(&line, &range, &attempts, today, &settings).unwrap();
//! assert_eq!(next.natural, 5);
//! assert_eq!(next.ask.unwrap().count, 6);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
mod attempt;
mod linear;
mod next_ask;
mod pair;
mod posterior;
mod range;
mod settings;
mod trend;
mod weekly;

pub use attempt::{Approach, ApproachHint, Attempt, Fault, Kind};
pub use next_ask::{Ask, Line, NextAsk, SettleReason, Side, Status, next_ask};
pub use pair::{of_rider, pair};
pub use range::{End, Range, Ratio, fit};
pub use settings::Settings;
pub use trend::{Trend, Verdict, trend};
pub use weekly::{WeekPoint, decline_before, mondays, weekly};
