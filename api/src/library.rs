//! The library of exercises: what each is for, how it is laid out, and where it fits.
pub mod handlers;
mod laid_out;
mod placing;
pub mod wire;
