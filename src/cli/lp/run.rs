//! A program run for a limited time.

use std::io::{self, Read};
use std::process::{Command, Stdio};
use std::sync::mpsc;
use std::thread;
use std::time::{Duration, Instant};

/// What a program that has ended said.
#[derive(Debug)]
pub(super) struct Ran {
    pub(super) fine: bool,
    pub(super) out: String,
    pub(super) complaint: String,
}

impl Ran {
    /// What it said on one line, without its own name before it.
    pub(super) fn said(&self) -> String {
        let said = match self.complaint.trim() {
            "" => self.out.trim(),
            complaint => complaint,
        };
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");

        said.trim_start_matches("lp: ")
            .trim_start_matches("Error - ")
            .to_owned()
    }
}

/// Runs a program and reads what it says. One that takes longer than the limit is ended.
///
/// # Errors
/// `NotFound` where there is no such program, `TimedOut` where it took too long.
pub(super) fn run(command: &mut Command, limit: Duration) -> io::Result<Ran> {
    let begun = Instant::now();
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()?;
    let out = listen(child.stdout.take());
    let complaint = listen(child.stderr.take());
    let left = || limit.saturating_sub(begun.elapsed());
    let said = out
        .recv_timeout(left())
        .and_then(|out| Ok((out, complaint.recv_timeout(left())?)));
    let Ok((out, complaint)) = said else {
        // It may end by itself at this very moment.
        let _ = child.kill();
        let _ = child.wait();
        return Err(io::ErrorKind::TimedOut.into());
    };

    Ok(Ran {
        fine: child.wait()?.success(),
        out,
        complaint,
    })
}

/// Reads a stream to its end, on a thread of its own.
fn listen(stream: Option<impl Read + Send + 'static>) -> mpsc::Receiver<String> {
    let (sender, receiver) = mpsc::channel();
    let _ = thread::spawn(move || {
        let mut bytes = Vec::new();
        let _ = stream.map(|mut stream| stream.read_to_end(&mut bytes));
        // Nobody listens any more where it took too long.
        let _ = sender.send(String::from_utf8_lossy(&bytes).into_owned());
    });

    receiver
}
