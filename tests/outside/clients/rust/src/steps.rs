//! Says which steps were passed, and takes answers for what the document says they are.
use crate::client::types::{Day, EntityTag, IdempotencyKey, Instant, Problem};
use crate::client::{Client, Error, ResponseValue};
use chrono::{DateTime, Days, NaiveDate, Utc};
use reqwest::header::{AUTHORIZATION, HeaderMap};
use std::fmt::Debug;
use std::str::FromStr;

pub const PASSWORD: &str = "five-strides-past-the-gate";

pub type Answer<T> = Result<ResponseValue<T>, Error<Problem>>;

pub fn passed(number: u8) {
    println!("passed {number}");
}

/// Nobody, or whoever has the token.
pub fn client(base: &str, token: Option<&str>) -> Client {
    let mut headers = HeaderMap::new();
    if let Some(token) = token {
        headers.insert(AUTHORIZATION, format!("Bearer {token}").parse().expect("a header"));
    }
    let http = reqwest::Client::builder().default_headers(headers).build().expect("a client");
    Client::new_with_client(base, http)
}

/// Any of the document's texts, where it keeps the document's rules.
pub fn of<T: FromStr<Err: Debug>>(text: &str) -> T {
    text.parse().expect("a text that keeps the rules")
}

/// A fresh key.
pub fn key() -> IdempotencyKey {
    of(&uuid::Uuid::now_v7().to_string())
}

/// The answer, where it has this status.
#[track_caller]
pub fn told<T: Debug>(answer: Answer<T>, status: u16) -> T {
    versioned(answer, status).0
}

/// The answer and its ETag, where it has one.
#[track_caller]
pub fn versioned<T: Debug>(answer: Answer<T>, status: u16) -> (T, Option<EntityTag>) {
    match answer {
        Ok(answer) => {
            assert_eq!(answer.status().as_u16(), status, "{:?}", *answer);
            let etag = answer.headers().get("etag").map(|etag| of(etag.to_str().expect("a text")));
            (answer.into_inner(), etag)
        }
        Err(error) => panic!("{error:?} instead of {status}"),
    }
}

/// The problem, where it is this one.
#[track_caller]
pub fn refused<T: Debug>(answer: Answer<T>, status: u16, code: &str) -> Problem {
    match answer {
        Err(Error::ErrorResponse(problem)) => {
            assert_eq!(problem.status().as_u16(), status);
            let problem = problem.into_inner();
            assert_eq!((problem.status, problem.code.as_str()), (i32::from(status), code));
            problem
        }
        other => panic!("no problem, but {other:?}"),
    }
}

pub fn today() -> NaiveDate {
    Utc::now().date_naive()
}

pub fn day_after(day: &Day, days: u64) -> Day {
    Day(day.0.checked_add_days(Days::new(days)).expect("a day"))
}

pub fn at(day: &Day, days: u64, hour: u32) -> Instant {
    let time = day_after(day, days).0.and_hms_opt(hour, 0, 0).expect("a time");
    Instant(DateTime::from_naive_utc_and_offset(time, Utc))
}
