//! Whole files there or not at all, and each fault in plain words.

use super::*;

use std::fs::OpenOptions;

use crate::sitting::journal::Writer;

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let name = |entry: io::Result<fs::DirEntry>| entry.unwrap().file_name().into_string().unwrap();
    let mut names: Vec<String> = entries.map(name).collect();
    names.sort();
    names
}

fn message<T: std::fmt::Debug>(result: Result<T, Error>) -> String {
    let message = result.unwrap_err().to_string();
    assert!(!message.contains('\n'), "{message}");
    message
}

#[test]
fn each_report_of_the_system_becomes_plain_words() {
    let check = |kind: ErrorKind, doing, expected: &str| {
        let error = Error::new(Path::new("results/a.toml"), doing, kind.into());
        assert!(error.to_string().starts_with(expected), "{error}");
    };
    check(
        ErrorKind::NotFound,
        Doing::Read,
        "results/a.toml: expected a file, found nothing",
    );
    check(
        ErrorKind::NotFound,
        Doing::Write,
        "results: expected a folder, found none",
    );
    check(
        ErrorKind::NotADirectory,
        Doing::Write,
        "results: expected a folder",
    );
    check(
        ErrorKind::IsADirectory,
        Doing::Write,
        "results/a.toml: expected a file, found a folder",
    );
    check(
        ErrorKind::PermissionDenied,
        Doing::Read,
        "results/a.toml: this account may not read it",
    );
    check(
        ErrorKind::PermissionDenied,
        Doing::Write,
        "results/a.toml: this account may not write it",
    );
    check(
        ErrorKind::AlreadyExists,
        Doing::Write,
        "results/a.toml: a file of this name is there",
    );
    check(
        ErrorKind::StorageFull,
        Doing::Write,
        "results/a.toml: the disk is full",
    );
    check(
        ErrorKind::QuotaExceeded,
        Doing::Write,
        "results/a.toml: the disk is full",
    );
    check(
        ErrorKind::ReadOnlyFilesystem,
        Doing::Write,
        "results/a.toml: the disk is read-only",
    );
    check(
        ErrorKind::InvalidFilename,
        Doing::Write,
        "\"a.toml\": expected a plain file name",
    );
    check(
        ErrorKind::Unsupported,
        Doing::Lock,
        "results/a.toml: could not lock it: ",
    );
}

#[test]
fn no_more_than_the_limit_and_a_byte_is_read() {
    let check = |limit: u64, expected: Option<usize>, left: usize| {
        let mut source = &b"0123456789"[..];
        let found = read_from(&mut source, Path::new("a"), limit);
        assert_eq!(
            found.ok().map(|bytes| bytes.len()),
            expected,
            "limit {limit}"
        );
        assert_eq!(source.len(), left, "limit {limit}");
    };
    check(u64::MAX, Some(10), 0);
    check(10, Some(10), 0);
    check(9, None, 0);
    check(3, None, 6);
    check(0, None, 9);
}

#[test]
fn a_file_is_read_whole_or_says_why_not() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("exam.toml");
    fs::write(&path, "title").unwrap();
    assert_eq!(read_limited(&path, 5).unwrap(), b"title");
    let found = message(read_limited(&path, 4));
    assert!(
        found.contains("exam.toml: expected at most 4 bytes, found more"),
        "{found}"
    );
    let found = message(read_limited(&folder.path().join("exan.toml"), 5));
    assert!(
        found.contains("exan.toml: expected a file, found nothing"),
        "{found}"
    );
    let found = message(read_limited(folder.path(), 5));
    assert!(found.contains("expected a file, found a folder"), "{found}");
}

#[cfg(unix)]
#[test]
fn a_device_or_a_socket_is_refused_before_it_is_opened() {
    let folder = tempfile::tempdir().unwrap();
    let socket = folder.path().join("socket");
    let _listener = std::os::unix::net::UnixListener::bind(&socket).unwrap();
    for path in [Path::new("/dev/null"), &socket] {
        let found = message(read_limited(path, 5));
        assert!(found.contains("found a device or a pipe"), "{found}");
        let found = message(JournalFile::open(path));
        assert!(found.contains("found a device or a pipe"), "{found}");
    }
}

#[test]
fn a_new_file_never_overwrites_an_old_one() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.toml");
    write_new(&path, b"old").unwrap();
    let found = message(write_new(&path, b"new"));
    assert!(
        found.contains("a.toml: a file of this name is there already"),
        "{found}"
    );
    assert_eq!(fs::read(&path).unwrap(), b"old");
    assert_eq!(names(folder.path()), ["a.toml"]);
}

#[test]
fn a_failed_write_leaves_nothing_behind() {
    let folder = tempfile::tempdir().unwrap();
    let found = message(write_new(&folder.path().join("gone/a.toml"), b""));
    assert!(
        found.contains("gone: expected a folder, found none"),
        "{found}"
    );
    let found = message(write_new(&folder.path().join("a".repeat(300)), b""));
    assert!(found.contains("expected a plain file name"), "{found}");
    fs::create_dir(folder.path().join("sub")).unwrap();
    let found = message(write_new(&folder.path().join("sub"), b""));
    assert!(found.contains("is there already"), "{found}");
    fs::write(folder.path().join("file"), "").unwrap();
    let found = message(write_new(&folder.path().join("file/a.toml"), b""));
    assert!(found.contains("file: expected a folder"), "{found}");
    assert_eq!(names(folder.path()), ["file", "sub"]);
}

#[cfg(unix)]
#[test]
fn a_result_is_as_readable_as_any_new_file() {
    use std::os::unix::fs::{OpenOptionsExt, PermissionsExt};
    let folder = tempfile::tempdir().unwrap();
    let mode = |name: &str| {
        let metadata = fs::metadata(folder.path().join(name)).unwrap();
        metadata.permissions().mode() & 0o7777
    };
    let mut options = OpenOptions::new();
    let plain = options.write(true).create_new(true).mode(0o644);
    let _file = plain.open(folder.path().join("plain")).unwrap();
    write_new(&folder.path().join("result"), b"").unwrap();
    let _journal = JournalFile::create(&folder.path().join("journal")).unwrap();
    assert_eq!(mode("result"), mode("plain"));
    assert_eq!(mode("journal"), mode("plain"));
}

#[test]
fn numbers_are_counted_up_to_the_first_free_name() {
    let folder = tempfile::tempdir().unwrap();
    for expected in ["17.toml", "17-2.toml", "17-3.toml"] {
        let free = free_name(folder.path(), "17", "toml").unwrap();
        let path = write_numbered(folder.path(), "17", "toml", expected.as_bytes()).unwrap();
        assert_eq!(path, folder.path().join(expected));
        assert_eq!(path, free);
        assert_eq!(fs::read(&path).unwrap(), expected.as_bytes());
    }
    for stem in ["", "a/b", "..\\a", "a\0"] {
        let found = message(write_numbered(folder.path(), stem, "toml", b""));
        assert!(found.contains("expected a plain file name"), "{found}");
    }
}

#[cfg(unix)]
#[test]
fn a_link_to_nowhere_is_a_taken_name() {
    let folder = tempfile::tempdir().unwrap();
    std::os::unix::fs::symlink("nowhere", folder.path().join("17.toml")).unwrap();
    let path = write_numbered(folder.path(), "17", "toml", b"").unwrap();
    assert_eq!(path, folder.path().join("17-2.toml"));
}

#[test]
fn many_writers_of_one_stem_each_get_a_name_of_their_own() {
    let folder = tempfile::tempdir().unwrap();
    let write = |writer: usize| {
        let mut mine = Vec::new();
        for number in 0..10 {
            let text = format!("{writer} {number}");
            let path = write_numbered(folder.path(), "17", "toml", text.as_bytes()).unwrap();
            mine.push((path, text));
        }
        mine
    };
    let written: Vec<(PathBuf, String)> = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..4)
            .map(|writer| scope.spawn(move || write(writer)))
            .collect();
        threads
            .into_iter()
            .flat_map(|thread| thread.join().unwrap())
            .collect()
    });
    for (path, text) in &written {
        assert_eq!(&fs::read_to_string(path).unwrap(), text);
    }
    assert_eq!(names(folder.path()).len(), 40);
}

#[test]
fn only_our_own_temporary_files_of_yesterday_are_swept() {
    let folder = tempfile::tempdir().unwrap();
    let now = SystemTime::UNIX_EPOCH + 1000 * STALE;
    let make = |name: &str, age: Duration| {
        let file = File::create(folder.path().join(name)).unwrap();
        file.set_modified(now - age).unwrap();
    };
    let second = Duration::from_secs(1);
    make(".viva-old.tmp", STALE + second);
    make(".viva-older.tmp", 300 * STALE);
    make(".viva-young.tmp", STALE - second);
    make(".viva-old.toml", 2 * STALE);
    make("17.toml", 2 * STALE);
    make(".other.tmp", 2 * STALE);
    fs::create_dir(folder.path().join(".viva-folder.tmp")).unwrap();
    let future = File::create(folder.path().join(".viva-future.tmp")).unwrap();
    future.set_modified(now + STALE).unwrap();
    assert_eq!(sweep(folder.path(), now).unwrap(), 2);
    assert_eq!(
        names(folder.path()),
        [
            ".other.tmp",
            ".viva-folder.tmp",
            ".viva-future.tmp",
            ".viva-old.toml",
            ".viva-young.tmp",
            "17.toml"
        ]
    );
    let found = message(sweep(&folder.path().join("gone"), now));
    assert!(found.contains("gone: expected a folder"), "{found}");
}

#[test]
fn a_crash_leaves_a_name_that_the_sweep_knows() {
    let folder = tempfile::tempdir().unwrap();
    let staged = stage(&folder.path().join("17.toml"), b"half").unwrap();
    let (_file, path) = staged.keep().unwrap();
    let later = fs::metadata(&path).unwrap().modified().unwrap() + 2 * STALE;
    assert_eq!(sweep(folder.path(), later).unwrap(), 1);
    assert!(names(folder.path()).is_empty());
}

#[test]
fn a_journal_goes_on_after_it_was_closed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("17.journal");
    let mut writer = Writer::new();
    let mut journal = JournalFile::create(&path).unwrap();
    for number in 0..3 {
        journal.append(&writer.line(&number).unwrap()).unwrap();
    }
    drop(journal);
    let (journal, reading) = JournalFile::open(&path).unwrap();
    assert_eq!(reading.decode::<i32>().unwrap(), [0, 1, 2]);
    let mut journal = journal.without_sync();
    journal.append(&writer.line(&3).unwrap()).unwrap();
    journal.sync().unwrap();
    assert_eq!((journal.head(), journal.count()), (writer.head(), 4));
    drop(journal);
    let (_, reading) = JournalFile::open(&path).unwrap();
    assert_eq!(reading.decode::<i32>().unwrap(), [0, 1, 2, 3]);
}

#[test]
fn a_torn_line_is_cut_off_and_the_journal_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let mut writer = Writer::new();
    let whole = writer.line("first").unwrap();
    let next = writer.line("second").unwrap();
    for cut in 0..next.len() {
        let path = folder.path().join(format!("{cut}.journal"));
        fs::write(&path, format!("{whole}{}", &next[..cut])).unwrap();
        let (mut journal, reading) = JournalFile::open(&path).unwrap();
        assert_eq!(reading.torn, cut > 0);
        assert_eq!(fs::read_to_string(&path).unwrap(), whole);
        // The disk is not under test here, so waiting for it 90 times is left out.
        journal = journal.without_sync();
        journal.append(&next).unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), format!("{whole}{next}"));
    }
}

#[test]
fn a_broken_chain_is_told_and_the_file_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("17.journal");
    let mut writer = Writer::new();
    let text = writer.line("first").unwrap().replace("first", "fist") + "torn";
    fs::write(&path, &text).unwrap();
    let found = message(JournalFile::open(&path));
    assert!(
        found.contains("17.journal: line 1: expected digest"),
        "{found}"
    );
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
}

#[test]
fn two_programs_cannot_write_one_sitting() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("17.journal");
    let journal = JournalFile::create(&path).unwrap();
    let found = message(JournalFile::open(&path));
    assert!(
        found.contains("another program is writing this sitting"),
        "{found}"
    );
    let found = message(JournalFile::create(&path));
    assert!(
        found.contains("a file of this name is there already"),
        "{found}"
    );
    drop(journal);
    let (_journal, reading) = JournalFile::open(&path).unwrap();
    assert!(reading.bodies.is_empty());
}

#[test]
fn a_line_that_does_not_follow_is_refused_and_not_written() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("17.journal");
    let mut journal = JournalFile::create(&path).unwrap();
    let mut writer = Writer::new();
    let first = writer.line("first").unwrap();
    let second = writer.line("second").unwrap();
    let found = message(journal.append(&second));
    assert!(
        found.contains("17.journal: line 1: expected digest"),
        "{found}"
    );
    journal.append(&first).unwrap();
    assert!(journal.append(&first).is_err());
    journal.append(&second).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), first + &second);
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told_and_what_cannot_be_mended_stays_closed() {
    // The kernel's device that is always full (full(4)); it can't be cut back either.
    let path = Path::new("/dev/full");
    let file = OpenOptions::new().write(true).open(path).unwrap();
    let mut journal = JournalFile::at(path, file, Writer::new(), 0);
    let line = Writer::new().line("first").unwrap();
    let found = message(journal.append(&line));
    assert!(found.contains("/dev/full: the disk is full"), "{found}");
    for found in [message(journal.append(&line)), message(journal.sync())] {
        assert!(found.contains("an earlier write failed"), "{found}");
    }
}
