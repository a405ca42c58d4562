//! The addresses that a supervisor asks.
use crate::access::guard::Public;
use crate::access::read::off_the_async_threads;
use crate::db::migrate;
use crate::problem::Problem;
use crate::problem::table::Kind;
use actix_web::HttpResponse;
use std::sync::Arc;

/// The format of the metrics.
const EXPOSITION: &str = "text/plain; version=0.0.4; charset=utf-8";

/// Alive?
///
/// Answers as long as the process does; says nothing of the database.
#[utoipa::path(get, path = "/livez",
    responses((status = 200, description = "Alive.", body = String, content_type = "text/plain")))]
pub async fn livez(_public: Public) -> HttpResponse {
    HttpResponse::Ok().content_type("text/plain; charset=utf-8").body("alive\n")
}

/// Ready?
///
/// The database is reachable, and its tables are those that this program was built for.
#[utoipa::path(get, path = "/readyz",
    responses((status = 200, description = "Ready.", body = String, content_type = "text/plain")))]
pub async fn readyz(public: Public) -> Result<HttpResponse, Problem> {
    let app = Arc::clone(public.app());
    let ready = off_the_async_threads(move || Ok(migrate::is_current(&mut app.db.conn()?).unwrap_or(false))).await?;
    if ready {
        Ok(HttpResponse::Ok().content_type("text/plain; charset=utf-8").body("ready\n"))
    } else {
        Err(Problem::new(Kind::Busy).retry_after(5))
    }
}

/// How it fares.
///
/// Counts for Prometheus: requests by operation and class of status, how long they took, connections in use.
#[utoipa::path(get, path = "/metrics",
    responses((status = 200, description = "The counts.", body = String, content_type = "text/plain")))]
pub async fn metrics(public: Public) -> HttpResponse {
    let app = public.app();
    HttpResponse::Ok().content_type(EXPOSITION).body(app.counts.exposition(app.db.in_use(), app.hasher.evaluations()))
}
