//! The actix application: limits, headers, routes, and problems for whatever the framework refuses.
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::routes::list;
use crate::state::App;
use actix_web::middleware::{Compress, DefaultHeaders, from_fn};
use actix_web::{App as Application, HttpServer, ResponseError, web};
use std::net::TcpListener;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::oneshot::Receiver;

/// Serves until stopped: by a signal, or by the channel.
pub fn serve(state: App, listener: TcpListener, stop: Option<Receiver<()>>) -> std::io::Result<()> {
    let state = web::Data::from(Arc::new(state));
    let bound = crate::limits::Bound::new(state.settings.requests_per_second);
    actix_web::rt::System::new().block_on(async move {
        let server = HttpServer::new(move || {
            Application::new()
                .app_data(state.clone())
                .app_data(web::PayloadConfig::new(crate::wire::json::LIMIT))
                .app_data(bound.clone())
                .wrap(from_fn(crate::limits::limit))
                .wrap(Compress::default())
                .wrap(
                    DefaultHeaders::new()
                        .add(("X-Content-Type-Options", "nosniff"))
                        .add(("Referrer-Policy", "no-referrer"))
                        .add(("X-Frame-Options", "DENY"))
                        .add(("Cross-Origin-Resource-Policy", "same-origin"))
                        .add(("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'")),
                )
                .wrap(from_fn(crate::log::refusals))
                .wrap(from_fn(crate::health::counts::measure))
                .configure(|config| list::all().mount(config))
                .default_service(web::to(|| async { Problem::new(Kind::NotFound).error_response() }))
        })
        .workers(std::thread::available_parallelism().map_or(2, |n| n.get().clamp(2, 8)))
        .client_request_timeout(Duration::from_secs(5))
        .keep_alive(Duration::from_secs(30))
        .shutdown_timeout(20)
        .listen(listener)?
        .run();
        if let Some(stop) = stop {
            let handle = server.handle();
            actix_web::rt::spawn(async move {
                let _ = stop.await;
                handle.stop(true).await;
            });
        }
        server.await
    })
}
