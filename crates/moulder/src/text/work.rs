//! How much a reader has gone through, counted in tests alone: signs and names, not time.

#[cfg(test)]
std::thread_local! {
    static DONE: std::cell::Cell<usize> = const { std::cell::Cell::new(0) };
}

/// Counts so many signs gone through or names compared.
#[cfg_attr(
    not(test),
    expect(unused_variables, reason = "only tests ask how much it was")
)]
pub(crate) fn count(steps: usize) {
    #[cfg(test)]
    DONE.with(|done| done.set(done.get() + steps));
}

/// How many were counted while that was done.
#[cfg(test)]
pub(crate) fn of<T>(task: impl FnOnce() -> T) -> usize {
    DONE.with(|done| done.set(0));
    task();
    DONE.with(std::cell::Cell::get)
}
