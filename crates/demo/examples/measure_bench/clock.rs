//! Time spent on the processor, and memory, as Linux tells them.

use std::time::Instant;

/// Seconds that `work` took on the processor, and what it gave.
///
/// On a machine that is shared the processor's time is what a core of one's own would take; where
/// the system does not tell it, the clock on the wall has to do.
pub(crate) fn seconds<T>(work: impl FnOnce() -> T) -> (f64, T) {
    #[expect(clippy::disallowed_methods, reason = "this is a measurement")]
    let wall = Instant::now();
    let before = on_processor();
    let result = work();
    let took = match (before, on_processor()) {
        (Some(before), Some(after)) => after - before,
        _ => wall.elapsed().as_secs_f64(),
    };
    (took, result)
}

/// Seconds by the wall clock, for what is too short for the processor's account of its time.
pub(crate) fn wall_seconds<T>(work: impl FnOnce() -> T) -> (f64, T) {
    #[expect(clippy::disallowed_methods, reason = "this is a measurement")]
    let before = Instant::now();
    let result = work();
    (before.elapsed().as_secs_f64(), result)
}

/// The most memory that this process has held so far, MB.
pub(crate) fn peak_megabytes() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib * 1024.0 / 1e6)
}

fn on_processor() -> Option<f64> {
    let account = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    let nanoseconds: f64 = account.split_whitespace().next()?.parse().ok()?;
    Some(nanoseconds / 1e9)
}
