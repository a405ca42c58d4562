//! How fast one address may ask.
use crate::problem::Problem;
use crate::problem::table::Kind;
use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::{Error, ResponseError};
use governor::clock::{Clock, DefaultClock};
use governor::middleware::StateInformationMiddleware;
use governor::state::keyed::DefaultKeyedStateStore;
use governor::{Quota, RateLimiter};
use std::net::IpAddr;
use std::num::NonZeroU32;
use std::sync::Arc;

type Limiter = RateLimiter<IpAddr, DefaultKeyedStateStore<IpAddr>, DefaultClock, StateInformationMiddleware>;

/// The bound of one process; `None` for no bound.
#[derive(Clone)]
pub struct Bound(Option<Arc<(Limiter, u32)>>);

impl Bound {
    pub fn new(per_second: u32) -> Self {
        Self(
            NonZeroU32::new(per_second)
                .map(|n| Arc::new((RateLimiter::keyed(Quota::per_second(n)).with_middleware(), n.get()))),
        )
    }
}

/// Answers 429 to who asks faster than the bound, and says the bound to everybody.
pub async fn limit(
    request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let bound = request.app_data::<Bound>().and_then(|b| b.0.clone());
    let address = request.peer_addr().map(|a| a.ip());
    let (Some(bound), Some(address)) = (bound, address) else {
        return Ok(next.call(request).await?.map_into_boxed_body());
    };
    let (mut response, left, seconds) = match bound.0.check_key(&address) {
        Ok(state) => (next.call(request).await?.map_into_boxed_body(), state.remaining_burst_capacity(), 1),
        Err(early) => {
            let wait = early.wait_time_from(DefaultClock::default().now()).as_secs() + 1;
            let seconds = u32::try_from(wait).unwrap_or(60);
            let problem = Problem::new(Kind::TooManyRequests).retry_after(seconds);
            (request.into_response(problem.error_response()), 0, seconds)
        }
    };
    for (name, value) in [
        ("ratelimit-policy", format!("\"address\";q={};w=1", bound.1)),
        ("ratelimit", format!("\"address\";r={left};t={seconds}")),
    ] {
        if let Ok(value) = HeaderValue::from_str(&value) {
            response.headers_mut().insert(HeaderName::from_static(name), value);
        }
    }
    Ok(response)
}
