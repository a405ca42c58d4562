//! How much a harness does: a little beside every other test, more where it is built for speed, and far more on request.

/// The little of a debug build, the size of a release build, or that of `STRIDEWRIGHT_LONG=1`.
pub fn of(little: usize, release: usize, long: usize) -> usize {
    if std::env::var_os("STRIDEWRIGHT_LONG").is_some_and(|value| value == "1") {
        long
    } else if cfg!(debug_assertions) {
        little
    } else {
        release
    }
}

/// A number that is said for one run, so that a long one can be done in parts: `STRIDEWRIGHT_SEED` for `SEED`.
pub fn said(name: &str) -> Option<usize> {
    std::env::var(format!("STRIDEWRIGHT_{name}")).ok()?.parse().ok()
}
