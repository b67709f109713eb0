//! A private PulseAudio.

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

/// A server that ends with its owner.
pub(crate) struct Server {
    folder: PathBuf,
}

impl Server {
    pub(super) fn start(folder: &Path) -> Self {
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/servers/start_pulse.sh");
        let status = Command::new(script)
            .arg(folder)
            .stdin(Stdio::null())
            .status()
            .unwrap();
        assert!(status.success(), "the sound server does not start");

        Self {
            folder: folder.to_owned(),
        }
    }

    /// Sends the server a signal by its number.
    pub(crate) fn signal(&self, signal: &str) {
        signal_to(&self.folder, signal);
    }
}

/// Ends it at once, without a farewell to its clients.
impl Drop for Server {
    fn drop(&mut self) {
        end(&self.folder);
    }
}

/// Names a program that is missing here, if one is.
pub(super) fn missing() -> Option<&'static str> {
    ["pulseaudio", "parec", "pactl"]
        .into_iter()
        .find(|program| {
            Command::new(program)
                .arg("--version")
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .status()
                .is_err()
        })
}

/// Where clients find the server.
pub(super) fn address(folder: &Path) -> OsString {
    let mut address = OsString::from("unix:");
    address.push(folder.join("pulse.sock"));
    address
}

/// Ends the server that was started in a folder, if it still runs.
pub(super) fn end(folder: &Path) {
    signal_to(folder, "KILL");

    let deadline = Instant::now() + Duration::from_secs(10);
    while process(folder).is_some() && Instant::now() < deadline {
        thread::park_timeout(Duration::from_millis(5));
    }
}

fn signal_to(folder: &Path, signal: &str) {
    if let Some(process) = process(folder) {
        drop(Command::new("kill").args(["-s", signal, &process]).status());
    }
}

/// The server's process number while it is the server's: numbers are used again.
fn process(folder: &Path) -> Option<String> {
    let number = fs::read_to_string(folder.join("pulse.pid")).ok()?;
    let number = number.trim();
    let status = fs::read_to_string(format!("/proc/{number}/status")).ok()?;

    let is_server = status.starts_with("Name:\tpulseaudio\n");
    let has_ended = status.contains("\nState:\tZ");
    (is_server && !has_ended).then(|| number.to_owned())
}
