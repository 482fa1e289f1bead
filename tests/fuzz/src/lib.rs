//! Runs the targets of `tests/hostile/inputs` on bytes, within their limits of time and memory.

#[path = "../../hostile/inputs/mod.rs"]
pub mod inputs;

use std::time::Duration;

use inputs::Target;
use peak_alloc::PeakAlloc;
use rustix::time::{ClockId, clock_gettime};

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// Most memory that reading anything may hold at once; MB.
const MOST_MB: f32 = 64.0;

/// Processor time of this thread: others on the machine do not count.
fn processor() -> Duration {
    let now = clock_gettime(ClockId::ThreadCPUTime);
    Duration::try_from(now).unwrap_or_default()
}

/// Runs a target, and panics also on too much time or memory.
pub fn within_limits(target: &Target, bytes: &[u8]) {
    MEMORY.reset_peak_usage();
    let held_mb = MEMORY.current_usage_as_mb();
    let start = processor();
    (target.read)(bytes);
    let took = processor().saturating_sub(start);
    let most = Duration::from_millis(target.most_ms.into());
    assert!(took <= most || bytes.len() > 65_536, "it took {took:?}");
    let peak_mb = MEMORY.peak_usage_as_mb() - held_mb;
    assert!(peak_mb <= MOST_MB, "it held {peak_mb} MB");
}
