//! Counts the work of a reader, for tests: characters and names, not time.

#[cfg(test)]
std::thread_local! {
    static DONE: std::cell::Cell<usize> = const { std::cell::Cell::new(0) };
}

/// Counts characters read or names compared.
#[cfg_attr(
    not(test),
    expect(unused_variables, reason = "only tests read the count")
)]
pub(crate) fn count(steps: usize) {
    #[cfg(test)]
    DONE.with(|done| done.set(done.get() + steps));
}

/// Steps counted during a task.
#[cfg(test)]
pub(crate) fn of<T>(task: impl FnOnce() -> T) -> usize {
    DONE.with(|done| done.set(0));
    task();
    DONE.with(std::cell::Cell::get)
}
