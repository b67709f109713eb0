//! A guard around the synthesiser, which may panic on a SoundFont whose tables lie.

use std::cell::Cell;
use std::panic::{self, AssertUnwindSafe};
use std::sync::Once;

use super::Error;

thread_local! {
    /// Whether this thread is inside the guard.
    static INSIDE: Cell<bool> = const { Cell::new(false) };
}

/// Calls the synthesiser; where it panics, the SoundFont is refused. Nothing that it had begun may
/// be used afterwards, so it gives back whole results only.
pub(super) fn guarded<T>(call: impl FnOnce() -> Result<T, Error>) -> Result<T, Error> {
    hush();
    let was_inside = INSIDE.replace(true);
    let result = panic::catch_unwind(AssertUnwindSafe(call));
    INSIDE.set(was_inside);

    result.unwrap_or_else(|_| {
        Err(Error::Font(
            "it is damaged: its tables point past their ends".to_owned(),
        ))
    })
}

/// Keeps panics inside the guard from being told on standard error; all others are told as ever.
fn hush() {
    static ONCE: Once = Once::new();

    ONCE.call_once(|| {
        let tell = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            if !INSIDE.get() {
                tell(info);
            }
        }));
    });
}
