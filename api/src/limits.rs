//! How fast one address may ask.
use crate::problem::Problem;
use crate::problem::table::Kind;
use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::{Error, ResponseError};
use governor::clock::{Clock, DefaultClock};
use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};
use std::net::IpAddr;
use std::num::NonZeroU32;
use std::sync::Arc;

/// The bound of one process; `None` for no bound.
#[derive(Clone)]
pub struct Bound(Option<Arc<(DefaultKeyedRateLimiter<IpAddr>, u32)>>);

impl Bound {
    pub fn new(per_second: u32) -> Self {
        Self(NonZeroU32::new(per_second).map(|n| Arc::new((RateLimiter::keyed(Quota::per_second(n)), n.get()))))
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
    if let Err(early) = bound.0.check_key(&address) {
        let seconds = early.wait_time_from(DefaultClock::default().now()).as_secs() + 1;
        let problem = Problem::new(Kind::TooManyRequests).retry_after(u32::try_from(seconds).unwrap_or(60));
        return Ok(request.into_response(problem.error_response()));
    }
    let mut response = next.call(request).await?.map_into_boxed_body();
    if let Ok(policy) = HeaderValue::from_str(&format!("\"address\";q={};w=1", bound.1)) {
        response.headers_mut().insert(HeaderName::from_static("ratelimit-policy"), policy);
    }
    Ok(response)
}
