//! The forty steps of scenario.md: `forty-steps <address of the service>`.

#[allow(warnings, reason = "it is generated, and most of it unused here")]
mod client {
    include!(concat!(env!("OUT_DIR"), "/client.rs"));
}
mod people;
mod ringside;
mod seen;
mod sessions;
mod steps;
mod yard;

#[tokio::main(flavor = "current_thread")]
async fn main() {
    let base = std::env::args().nth(1).expect("the address of the service");
    let crowd = people::run(&base).await;
    let place = yard::run(&crowd).await;
    let booked = sessions::run(&crowd, &place).await;
    let ridden = ringside::run(&crowd, &booked).await;
    seen::run(&crowd, &place, &booked, &ridden).await;
}
