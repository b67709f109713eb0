//! A printing service of a test's own (CUPS), with printers and no paper.

use std::fs;
use std::io::Write;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// A private service; it ends with the test.
pub(crate) struct Cups {
    pub(crate) folder: tempfile::TempDir,
    /// Its address and port.
    pub(crate) server: String,
}

/// Says what this machine lacks, if anything.
fn lacks() -> Option<&'static str> {
    // It may lie in a folder that only the superuser looks for programs in.
    let has = |names: &[&str]| {
        let path = std::env::var_os("PATH").unwrap_or_default();
        let mut folders: Vec<PathBuf> = std::env::split_paths(&path).collect();
        folders.push("/usr/sbin".into());
        names
            .iter()
            .all(|name| folders.iter().any(|folder| folder.join(name).is_file()))
    };

    if !has(&["cupsd"]) {
        Some("cupsd (Debian cups-daemon)")
    } else if !has(&["lp", "lpstat"]) {
        Some("lp (Debian cups-client)")
    } else {
        None
    }
}

impl Cups {
    /// Starts the service, or says that a test was not run.
    pub(crate) fn start(test: &str) -> Option<Self> {
        if let Some(missing) = lacks() {
            let must_run = std::env::var("CI").is_ok_and(|ci| ci == "true");
            assert!(!must_run, "{test} must run here, and lacks {missing}");
            drop(writeln!(
                std::io::stderr(),
                "printers: NOT RUN: {test} lacks {missing}"
            ));
            return None;
        }
        let folder = tempfile::tempdir().unwrap();
        // Free at this moment, and nobody else is likely to take it at the next.
        let free = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = free.local_addr().unwrap().port();
        drop(free);
        let path = std::env::var("PATH").unwrap_or_default();
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/servers/start_cups.sh");
        let status = Command::new(script)
            .arg(folder.path())
            .arg(port.to_string())
            .env("PATH", format!("{path}:/usr/sbin"))
            .stdin(Stdio::null())
            .status()
            .unwrap();
        assert!(status.success(), "the printing service does not start");

        Some(Self {
            folder,
            server: format!("127.0.0.1:{port}"),
        })
    }

    /// What the printer got of a job, once it is there.
    pub(crate) fn kept(&self, job: &str) -> Vec<u8> {
        let (_, number) = job.rsplit_once('-').unwrap();
        let path = self.folder.path().join("kept").join(number);
        let begun = Instant::now();
        while !path.exists() {
            assert!(
                begun.elapsed() < Duration::from_secs(30),
                "job {job} does not arrive:\n{}",
                fs::read_to_string(self.folder.path().join("cups.log")).unwrap_or_default()
            );
            std::thread::yield_now();
        }

        fs::read(path).unwrap()
    }

    /// Ends it; that takes its own time.
    pub(crate) fn stop(&self) {
        let pid = fs::read_to_string(self.folder.path().join("cups.pid")).unwrap_or_default();
        let _ = Command::new("kill")
            .arg(pid.trim())
            .stderr(Stdio::null())
            .status();
    }
}

impl Drop for Cups {
    fn drop(&mut self) {
        self.stop();
    }
}
