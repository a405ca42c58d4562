//! Accounts, sign-ins, tokens.
pub mod accounts;
mod argon;
pub mod guesses;
pub mod handlers;
pub mod hashing;
pub mod keys;
pub mod me;
pub mod operator;
pub mod sign_up;
pub mod tokens;
pub mod wire;
