//! Printing through a real service (CUPS) that has printers and no paper.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fs;
use std::io::Write;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use viva_voicing::cli::lp::{Error, Service};

/// A private service; it ends with the test.
struct Cups {
    folder: tempfile::TempDir,
    service: Service,
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
    fn start(test: &str) -> Option<Self> {
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
            service: Service {
                server: Some(format!("127.0.0.1:{port}")),
                ..Service::default()
            },
        })
    }

    fn sheet(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.folder.path().join(name);
        fs::write(&path, bytes).unwrap();
        path
    }

    /// What the printer got of a job, once it is there.
    fn kept(&self, job: &str) -> Vec<u8> {
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

    fn stop(&self) {
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

/// Bytes that no filter may change: a page is not what this is about.
fn pdf() -> Vec<u8> {
    let mut bytes = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n".to_vec();
    bytes.extend((0..200_000_u32).map(|i| (i * 7 + i / 251) as u8));
    bytes
}

#[test]
fn a_sheet_arrives_at_the_printer_byte_for_byte() {
    let Some(cups) = Cups::start("a_sheet_arrives_at_the_printer_byte_for_byte") else {
        return;
    };
    // A name that looks like an option is a name.
    let sheet = cups.sheet("-d 3118 ♭.pdf", &pdf());

    for printer in [None, Some("practice")] {
        let told = cups.service.print(&sheet, printer).unwrap();
        let job = told.job.unwrap();
        assert!(job.starts_with("practice-"), "{job}");
        assert!(told.words.contains(&format!("job {job}")), "{}", told.words);
        assert!(!told.words.contains("paused"), "{}", told.words);
        assert!(cups.kept(&job) == pdf(), "{job}: other bytes arrived");
    }
}

#[test]
fn a_paused_printer_is_told_of() {
    let Some(cups) = Cups::start("a_paused_printer_is_told_of") else {
        return;
    };
    let sheet = cups.sheet("sheet.pdf", &pdf());

    let told = cups.service.print(&sheet, Some("paused")).unwrap();
    let job = told.job.unwrap();
    assert!(job.starts_with("paused-"), "{job}");
    let expected = format!(
        "handed to paused, but that printer is paused (Out of paper); job {job} waits until it \
         goes on (`cupsenable paused`)"
    );
    assert!(told.words.contains(&expected), "{}", told.words);
    let kept = cups.folder.path().join("kept");
    assert_eq!(fs::read_dir(kept).unwrap().count(), 0);
}

#[test]
fn a_printer_that_is_not_there_is_told_of_with_those_that_are() {
    let Some(cups) = Cups::start("a_printer_that_is_not_there_is_told_of_with_those_that_are")
    else {
        return;
    };
    let sheet = cups.sheet("sheet.pdf", &pdf());

    let error = cups.service.print(&sheet, Some("practise")).unwrap_err();
    assert!(
        matches!(&error, Error::Unknown { name, known, .. }
            if name == "practise" && *known == ["paused", "practice"]),
        "{error}"
    );

    cups.stop();
    let begun = Instant::now();
    // It ends in its own time.
    let error = loop {
        match cups.service.print(&sheet, Some("practise")) {
            Err(Error::Unknown { .. } | Error::Other { .. })
                if begun.elapsed() < Duration::from_secs(30) => {}
            told => break told.unwrap_err(),
        }
    };
    assert!(matches!(error, Error::Silent(_)), "{error}");
    assert!(error.to_string().contains("sheet.pdf"), "{error}");
}
