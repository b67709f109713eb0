//! Ctrl-C as a wish to end, not as a blow: what sounds fades out, and the exit code is 0.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether somebody has pressed Ctrl-C or told the program to end.
#[derive(Debug, Clone)]
pub(super) struct Interrupt(Arc<AtomicBool>);

impl Interrupt {
    /// Watches from now on. Where the system does not let us, Ctrl-C ends the program at once, as
    /// it does anywhere; every line is out by then.
    pub(super) fn watch() -> Self {
        let pressed = Arc::<AtomicBool>::default();
        let teller = Arc::clone(&pressed);
        drop(ctrlc::set_handler(move || {
            teller.store(true, Ordering::Relaxed);
        }));

        Self(pressed)
    }

    pub(super) fn is_wanted(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}
