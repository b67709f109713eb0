//! Printing with programs that say what a test wants.

use std::fs;

use super::queue::state;
use super::*;

/// A folder whose `lp` and `lpstat` are what a test says they are.
#[cfg(unix)]
fn service(lp: &str, lpstat: &str) -> (tempfile::TempDir, Service, PathBuf) {
    use std::os::unix::fs::PermissionsExt;

    let folder = tempfile::tempdir().unwrap();
    for (name, body) in [("lp", lp), ("lpstat", lpstat)] {
        let path = folder.path().join(name);
        fs::write(&path, format!("#!/bin/sh\n{body}\n")).unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o755)).unwrap();
    }
    let sheet = folder.path().join("sheet 3118.pdf");
    fs::write(&sheet, "%PDF-1.7\n").unwrap();
    let service = Service {
        programs: Some(folder.path().to_owned()),
        ..Service::default()
    };

    (folder, service, sheet)
}

/// Runs what a test says; a file that another thread has open for writing at the moment it forks
/// cannot be run just then.
#[cfg(unix)]
fn print(service: &Service, sheet: &Path, printer: Option<&str>) -> Result<Told, Error> {
    loop {
        match service.print(sheet, printer) {
            Err(Error::Other { said, .. }) if said.contains("busy") => std::thread::yield_now(),
            told => return told,
        }
    }
}

#[test]
fn how_a_job_stands_is_read_from_the_queue() {
    let check = |waiting: &str, printer: &str, expected: State| {
        assert_eq!(state(waiting, printer, "Room-2-17"), expected, "{printer}");
    };
    let waits = "Room-2-17   anna  9216   Thu 12 Mar 2026 10:21:00\n";
    let idle = "printer Room-2 is idle.  enabled since Thu 12 Mar 2026 10:20:00\n";

    check("", idle, State::Gone);
    check("Room-2-18  anna 1 x\n", idle, State::Gone);
    check(waits, idle, State::Waiting);
    check(
        waits,
        "printer Room-2 now printing Room-2-17.  enabled since Thu 12 Mar 2026 10:21:00\n",
        State::Printing,
    );
    check(
        waits,
        "printer Room-2 now printing Room-2-1.  enabled since Thu 12 Mar 2026 10:21:00\n",
        State::Waiting,
    );
    check(
        waits,
        "printer Room-2 disabled since Thu 12 Mar 2026 10:20:00 -\n\tOut of paper.\n",
        State::Paused("Out of paper".to_owned()),
    );
    check(waits, "", State::Unknown);
    check(waits, "lpstat: no", State::Unknown);
}

#[test]
fn the_job_is_read_from_what_lp_says() {
    let check = |said: &str, expected: Option<&str>| {
        assert_eq!(queue::job(said).as_deref(), expected, "{said}");
    };

    check("request id is Room-2-17 (1 file(s))\n", Some("Room-2-17"));
    check("request id is office-1 (0 file(s))\n", Some("office-1"));
    check("request id is office (1 file(s))\n", None);
    check("request id is ", None);
    check("", None);
    assert_eq!(queue::printer("Room-2-17"), "Room-2");
}

#[test]
fn without_lp_it_is_said_where_the_file_is() {
    let folder = tempfile::tempdir().unwrap();
    let sheet = folder.path().join("sheet.pdf");
    fs::write(&sheet, "%PDF-1.7\n").unwrap();
    let service = Service {
        programs: Some(folder.path().to_owned()),
        ..Service::default()
    };

    let told = service.print(&sheet, None).unwrap();
    assert_eq!(told.job, None);
    assert!(
        told.words
            .starts_with(&format!("{}: nothing was printed", sheet.display())),
        "{}",
        told.words
    );
    let missing = service.print(&folder.path().join("other.pdf"), None);
    assert!(matches!(missing, Err(Error::Missing(_))));
}

#[cfg(unix)]
#[test]
fn a_program_that_hangs_is_ended() {
    let (_folder, service, sheet) = service("exec tail -f /dev/null", "");
    let service = Service {
        limit: Duration::from_millis(200),
        ..service
    };

    let error = print(&service, &sheet, None).unwrap_err();
    assert!(
        matches!(error, Error::Slow { program: "lp", .. }),
        "{error}"
    );
    assert!(error.to_string().contains("sheet 3118.pdf"), "{error}");
}

#[cfg(unix)]
#[test]
fn a_queue_that_hangs_is_not_waited_for() {
    let (_folder, service, sheet) = service(
        "echo 'request id is Room-1 (1 file(s))'",
        "exec tail -f /dev/null",
    );
    let service = Service {
        limit: Duration::from_millis(1_000),
        ..service
    };

    let told = print(&service, &sheet, None).unwrap();
    assert_eq!(told.job.as_deref(), Some("Room-1"));
    assert!(
        told.words.contains("does not say how it stands"),
        "{told:?}"
    );
}

#[cfg(unix)]
#[test]
fn the_arguments_are_those_that_were_meant() {
    let (folder, service, sheet) = service(
        r#"for each; do echo "$each"; done >"$(dirname "$0")/told"; echo "$LC_ALL $CUPS_SERVER" >>"$(dirname "$0")/told"; echo 'request id is -d-1 (1 file(s))'"#,
        "",
    );
    let service = Service {
        server: Some("127.0.0.1:6310".to_owned()),
        ..service
    };

    let told = print(&service, &sheet, Some("-d")).unwrap();
    assert_eq!(told.job.as_deref(), Some("-d-1"));
    let lines = fs::read_to_string(folder.path().join("told")).unwrap();
    let expected = format!(
        "-d\n-d\n-t\nsheet 3118\n--\n{}\nC 127.0.0.1:6310\n",
        sheet.display()
    );
    assert_eq!(lines, expected);
}

#[cfg(unix)]
#[test]
fn each_refusal_is_said_in_its_own_words() {
    let check = |complaint: &str, printer: Option<&str>, expected: &str| {
        let running = if expected.contains("does not answer") {
            "not "
        } else {
            ""
        };
        let (_folder, service, sheet) = service(
            &format!("echo 'lp: {complaint}' >&2; exit 1"),
            &format!(
                "[ \"$1\" = -e ] && printf 'Office\\nRoom-2\\n' || \
                 echo scheduler is {running}running"
            ),
        );
        let error = print(&service, &sheet, printer).unwrap_err().to_string();
        assert!(error.contains(expected), "{error}");
        assert!(error.contains("sheet 3118.pdf"), "{error}");
        assert_eq!(error.lines().count(), 1, "{error}");
    };

    check(
        "Error - The printer or class does not exist.",
        Some("Offce"),
        "found `Offce`; it knows Office, Room-2;",
    );
    check(
        "Error - No default destination.",
        None,
        "no printer is set as the usual one; it knows Office, Room-2;",
    );
    check("Error - No default destination.", None, "does not answer");
    check(
        "Destination \"Office\" is not accepting jobs.",
        Some("Office"),
        "says: Destination \"Office\" is not accepting jobs.;",
    );
}
