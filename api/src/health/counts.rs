//! Counts of requests, in the text format that Prometheus reads (exposition format 0.0.4).
use crate::state::App;
use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::middleware::Next;
use actix_web::{Error, web};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Upper bounds of the buckets, in seconds.
const BUCKETS: [f64; 9] = [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 5.0];

#[derive(Default)]
struct Operation {
    /// Answers by the first digit of their status.
    classes: BTreeMap<u16, u64>,
    /// How many took at most so long.
    buckets: [u64; BUCKETS.len()],
    count: u64,
    seconds: f64,
}

/// The counts of one process, by method and registered address: there are as many as there are operations.
#[derive(Default)]
pub struct Counts(Mutex<BTreeMap<(String, String), Operation>>);

impl Counts {
    fn record(&self, method: String, path: String, status: u16, took: Duration) {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let operation = all.entry((method, path)).or_default();
        let seconds = took.as_secs_f64();
        *operation.classes.entry(status / 100).or_default() += 1;
        for (count, bound) in operation.buckets.iter_mut().zip(BUCKETS) {
            *count += u64::from(seconds <= bound);
        }
        operation.count += 1;
        operation.seconds += seconds;
    }

    /// All counts as text, with the database's connections in use and at most, and the password hashes reckoned.
    pub fn exposition(&self, (in_use, most): (u32, u32), hashes: u64) -> String {
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let mut text = String::from("# TYPE http_requests_total counter\n");
        for ((method, path), operation) in all.iter() {
            for (class, count) in &operation.classes {
                let labels = format!("method=\"{method}\",path=\"{path}\",status=\"{class}xx\"");
                let _ = writeln!(text, "http_requests_total{{{labels}}} {count}");
            }
        }
        text.push_str("# TYPE http_request_duration_seconds histogram\n");
        for ((method, path), operation) in all.iter() {
            let (labels, name) = (format!("method=\"{method}\",path=\"{path}\""), "http_request_duration_seconds");
            for (bound, count) in BUCKETS.iter().zip(operation.buckets) {
                let _ = writeln!(text, "{name}_bucket{{{labels},le=\"{bound}\"}} {count}");
            }
            let (count, seconds) = (operation.count, operation.seconds);
            let _ = writeln!(text, "{name}_bucket{{{labels},le=\"+Inf\"}} {count}");
            let _ = writeln!(text, "{name}_sum{{{labels}}} {seconds}\n{name}_count{{{labels}}} {count}");
        }
        let _ = writeln!(text, "# TYPE db_connections_in_use gauge\ndb_connections_in_use {in_use}");
        let _ = writeln!(text, "# TYPE db_connections_max gauge\ndb_connections_max {most}");
        let _ = writeln!(text, "# TYPE password_hashes_total counter\npassword_hashes_total {hashes}");
        text
    }
}

/// Counts and times every request.
#[allow(clippy::disallowed_methods, reason = "how long a request took is measured, not simulated")]
pub async fn measure(
    request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<impl MessageBody>, Error> {
    let began = Instant::now();
    let response = next.call(request).await?;
    let asked = response.request();
    if let Some(app) = asked.app_data::<web::Data<App>>() {
        // a path or a method that is not ours would make a new count each time
        let path = asked.match_pattern().unwrap_or_else(|| "none".to_owned());
        let method = asked.method().as_str();
        let known = ["GET", "POST", "PATCH", "PUT", "DELETE", "HEAD", "OPTIONS"].contains(&method);
        let method = if known { method } else { "other" }.to_owned();
        app.counts.record(method, path, response.status().as_u16(), began.elapsed());
    }
    Ok(response)
}
