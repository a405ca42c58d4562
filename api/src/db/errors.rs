//! One reading of database errors for both databases.
use diesel::result::{DatabaseErrorKind, Error};

/// Nobody got round to the request in time; it may be sent again.
#[derive(Debug, Clone, Copy, thiserror::Error)]
#[error("busy")]
pub struct Busy;

/// The name of the violated constraint, as far as the database tells it.
pub fn constraint(error: &Error) -> Option<&str> {
    match error {
        Error::DatabaseError(_, info) => Some(info.constraint_name().unwrap_or_else(|| info.message())),
        _ => None,
    }
}

pub fn is_overlap(error: &Error) -> bool {
    constraint(error).is_some_and(|name| name.contains("occupancy_no_overlap"))
}

pub const fn is_unique(error: &Error) -> bool {
    matches!(error, Error::DatabaseError(DatabaseErrorKind::UniqueViolation, _))
}

/// A lock that was not had in time, on either database.
pub fn is_busy(error: &Error) -> bool {
    match error {
        Error::DatabaseError(DatabaseErrorKind::SerializationFailure, _) => true,
        Error::DatabaseError(_, info) => {
            let text = info.message();
            text.contains("database is locked")
                || text.contains("lock timeout")
                || text.contains("deadlock detected")
                || text.contains("statement timeout")
        }
        _ => false,
    }
}
