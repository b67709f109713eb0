//! Waiting for an answer no longer than so long: a service that hangs must not hang the verb.

use std::sync::mpsc;
use std::thread;
use std::time::Duration;

/// How long a list of devices may take. A service that lives answers within a second, on a busy
/// machine within a few.
pub(super) const PATIENCE: Duration = Duration::from_secs(10);

/// Asks in a thread of its own; `None` where no answer comes in time. The thread is then left
/// behind, and ends with the program.
pub(super) fn within<T: Send + 'static>(
    patience: Duration,
    ask: impl FnOnce() -> T + Send + 'static,
) -> Option<T> {
    let (teller, answer) = mpsc::channel();
    let asking = thread::Builder::new().spawn(move || {
        // Nobody waits any more where it took too long.
        drop(teller.send(ask()));
    });

    asking.ok().and(answer.recv_timeout(patience).ok())
}
