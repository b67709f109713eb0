//! Gathering that is cut off: killed, out of room, and run again.

use super::*;

const RESULTS: usize = 24;

fn many(sat: &Sat, folder: &Path) -> BTreeMap<String, Vec<u8>> {
    for candidate in 0..RESULTS {
        let name = format!("from/{}/{candidate}.toml", candidate % 3);
        put(folder, &name, &sat.result(candidate));
        put(folder, &(name + ".sig"), &format!("{candidate:064}"));
    }
    let from = all(&folder.join("from")).into_iter();

    from.map(|(name, bytes)| (name.rsplit('/').next().unwrap().to_owned(), bytes))
        .collect()
}

/// Everything that has its name is whole, and is what it was.
fn check_whole(into: &Path, expected: &BTreeMap<String, Vec<u8>>) -> usize {
    if !into.exists() {
        return 0;
    }
    let mut there = all(into);
    there.retain(|name, _| !(name.starts_with(".viva-") && name.ends_with(".tmp")));
    for (name, bytes) in &there {
        assert!(expected.get(name) == Some(bytes), "{name} is not whole");
    }

    there.len()
}

#[test]
fn killed_at_any_moment_it_is_run_again_to_the_same_end() {
    let sat = Sat::new();
    let folder = tempfile::tempdir().unwrap();
    let expected = many(&sat, folder.path());
    let mut inside = 0;

    for kill in 0..60_u64 {
        let name = format!("all-{kill}");
        let into = folder.path().join(&name);
        let arguments = ["collect", "from", "--into", &name];
        let mut before = 0;
        for again in 0..2 {
            let mut running = program(folder.path())
                .args(arguments)
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .spawn()
                .unwrap();
            // A wait for another program's work: it is killed once it has got so far.
            let wanted = before + (kill as usize * 7 + again * 13) % (2 * RESULTS);
            let begun = Instant::now();
            while begun.elapsed() < Duration::from_secs(30)
                && running.try_wait().unwrap().is_none()
                && fs::read_dir(&into).map_or(0, Iterator::count) <= wanted
            {
                std::thread::yield_now();
            }
            let _ = running.kill();
            let _ = running.wait().unwrap();
            let now = check_whole(&into, &expected);
            assert!(now >= before, "something is gone");
            inside += usize::from(now > before && now < expected.len());
            before = now;
        }

        let (code, said, complaint) = run(folder.path(), &arguments);
        assert_eq!((code, complaint.as_str()), (0, ""), "{said}");
        assert_eq!(check_whole(&into, &expected), expected.len());
        assert!(said.contains("24 results of 24 candidates"), "{said}");
        fs::remove_dir_all(&into).unwrap();
    }
    assert!(inside > 20, "{inside} kills came inside the work");
}

#[cfg(unix)]
#[test]
fn without_room_it_stops_in_one_line_and_goes_on_later() {
    let sat = Sat::new();
    let folder = tempfile::tempdir().unwrap();
    let expected = many(&sat, folder.path());
    // One result is longer than the limit on the length of files (POSIX `ulimit -f`, blocks of
    // 512 bytes), which stops a write in its middle, as a full disk does. Ignoring the signal
    // turns it into an error.
    let blocks = expected["5.toml"].len() / 512 + 1;
    let long = "# ".to_owned() + &"x".repeat(40_000) + "\n";
    let mut given = sat.given(100);
    given.script += &long;
    put(folder.path(), "from/1/99.toml", &sat.write(&given));

    let inner = program(folder.path());
    let output = std::process::Command::new("sh")
        .args([
            "-c",
            "trap '' XFSZ; ulimit -f \"$1\"; shift; exec \"$@\"",
            "sh",
        ])
        .arg(blocks.to_string())
        .arg(inner.get_program())
        .args(["collect", "from", "--into", "all"])
        .current_dir(folder.path())
        .output()
        .unwrap();
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{complaint}");
    assert_eq!(complaint.lines().count(), 1, "{complaint}");
    assert!(
        complaint.contains("99.toml: could not write it")
            && complaint.contains("run this again to go on"),
        "{complaint}"
    );
    let there = check_whole(&folder.path().join("all"), &expected);
    assert!(there > 0 && there < expected.len(), "{there}");
    let names = names(&folder.path().join("all"));
    assert!(
        names.iter().all(|name| !name.ends_with(".tmp")),
        "{names:?}"
    );

    let (code, _, complaint) = run(folder.path(), &["collect", "from", "--into", "all"]);
    assert_eq!((code, complaint.as_str()), (0, ""));
    let gathered = all(&folder.path().join("all"));
    assert_eq!(gathered.len(), expected.len() + 1);
}

#[cfg(unix)]
#[test]
fn what_may_not_be_read_or_written_is_said_plainly() {
    use std::os::unix::fs::PermissionsExt;

    let sat = Sat::new();
    let folder = tempfile::tempdir().unwrap();
    let expected = many(&sat, folder.path());
    let shut = folder.path().join("from/1");
    fs::set_permissions(&shut, fs::Permissions::from_mode(0o000)).unwrap();
    let is_superuser = fs::read_dir(&shut).is_ok();
    let (code, said, complaint) = run(folder.path(), &["collect", "from", "--into", "all"]);
    fs::set_permissions(&shut, fs::Permissions::from_mode(0o755)).unwrap();

    let there = check_whole(&folder.path().join("all"), &expected);
    if is_superuser {
        // Nothing is shut to the superuser.
        assert_eq!((code, there), (0, expected.len()), "{said}");
    } else {
        assert_eq!((code, there), (1, expected.len() / 3 * 2), "{said}");
        assert!(
            complaint.starts_with("from/1: this account may not look into it"),
            "{complaint}"
        );
    }
}
