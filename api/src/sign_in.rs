//! Accounts: signing up, signing in, tokens, and their end.
pub mod hashing;
pub mod keys;
