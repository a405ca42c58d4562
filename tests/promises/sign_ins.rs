//! Sessions of people: what ends them, who may guess at a password, and what a flood of sign-ins costs others.
mod events;
mod flood;
mod guesses;
mod rotation;
mod timing;

use stridewright_tests::barn::PASSWORD;
use stridewright_tests::{Answer, Client, json};

const SIGN_INS: &str = "/api/v1/sign-ins";
const ME: &str = "/api/v1/me";

fn sign_in(client: &Client, email: &str, password: &str) -> Answer {
    client.ask("POST", SIGN_INS).json(&json!({"email": email, "password": password})).send()
}

fn signed_in(client: &Client, email: &str) -> Answer {
    sign_in(client, email, PASSWORD).expect(201)
}

fn refresh(client: &Client, token: &str) -> Answer {
    client.ask("POST", "/api/v1/sign-ins/refresh").json(&json!({"refresh_token": token})).send()
}
