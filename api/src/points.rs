//! Named points at which a test has the program die, as by a kill. Without the feature `failpoints` they are nothing.

/// Dies here if `STRIDEWRIGHT_DIE_AT` names the point and the passing: `before commit:3` is its third.
#[cfg(feature = "failpoints")]
pub fn reach(point: &str) {
    use std::sync::LazyLock;
    use std::sync::atomic::{AtomicUsize, Ordering};
    static ARMED: LazyLock<Option<(String, usize)>> = LazyLock::new(|| {
        let said = std::env::var("STRIDEWRIGHT_DIE_AT").ok()?;
        let (name, passing) = said.rsplit_once(':')?;
        Some((name.to_owned(), passing.parse().ok()?))
    });
    static PASSED: AtomicUsize = AtomicUsize::new(0);
    if let Some((name, passing)) = &*ARMED
        && name == point
        && PASSED.fetch_add(1, Ordering::SeqCst) + 1 == *passing
    {
        std::process::abort();
    }
}

#[cfg(not(feature = "failpoints"))]
#[inline(always)]
pub const fn reach(_: &str) {}
