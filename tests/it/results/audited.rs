//! A changed byte is found, and its place named.

use viva_voicing::exam::chance::Chance;
use viva_voicing::results::seal::{self, Fault};

use super::{eventful, run, written};

/// The line, from 1, on which a byte stands.
fn line_of(text: &str, byte: usize) -> usize {
    text[..byte].matches('\n').count() + 1
}

#[test]
fn any_edit_is_found_and_its_place_named() {
    let whole = written(&eventful());
    let seal_at = whole.rfind("\n[seal]\n").unwrap();
    let mut chance = Chance::new("edits", &[3]);
    let mut in_blocks = 0;

    for _ in 0..600 {
        let mut at = chance.below(whole.len());
        while !whole.is_char_boundary(at) {
            at -= 1;
        }
        let sign = whole[at..].chars().next().unwrap();
        let other = ['x', '0', ' ', '\n', '"', '♭', '[', '9'][chance.below(8)];
        let mut changed = whole.clone();
        match chance.below(3) {
            0 => changed.insert(at, other),
            1 => drop(changed.remove(at)),
            _ => changed.replace_range(at..at + sign.len_utf8(), &other.to_string()),
        }
        if changed == whole {
            continue;
        }
        let fault = seal::audit(&changed).expect_err("the edit is found");
        let line = line_of(&whole, at);
        match &fault {
            Fault::Block { lines, .. } => {
                in_blocks += 1;
                assert!(
                    lines.contains(&line) || lines.contains(&(line + 1)),
                    "line {line}: {fault}"
                );
                assert!(at <= seal_at, "{fault}");
            }
            Fault::Seal { .. } | Fault::NoSeal | Fault::After { .. } => {
                assert!(at >= seal_at, "byte {at} of {seal_at}: {fault}");
            }
            other => panic!("line {line}: {other}"),
        }
        assert!(!fault.to_string().contains('\n'), "{fault}");
    }
    assert!(in_blocks > 300, "{in_blocks}");
}

#[test]
fn the_block_that_was_changed_is_named() {
    let whole = written(&eventful());
    let check = |from: &str, to: &str, expected: &str| {
        assert!(whole.contains(from), "{from}");
        let fault = seal::audit(&whole.replacen(from, to, 1)).unwrap_err();
        assert!(fault.to_string().contains(expected), "{fault}");
    };
    check("candidate = \"3118\"", "candidate = \"3119\"", "[sitting]");
    check("[total]\nmark = ", "[total]\nmark = 1", "[total]");
    check("\nnumber = 3\n", "\nnumber = 4\n", "[[item]] number");
    check("version = 1", "version = 2", "the head of the file");
    check("title = \"A bit", "title = \"A lot", "[sitting]");
    check("pass = 60", "pass = 10", "[exam]");
    check("algorithm", "algorithms", "the seal itself was changed");
}

#[test]
fn audit_says_line_by_line_what_is_whole_and_what_is_not() {
    let folder = tempfile::tempdir().unwrap();
    let whole = written(&eventful());
    let put = |name: &str, bytes: &[u8]| std::fs::write(folder.path().join(name), bytes).unwrap();
    put("whole.toml", whole.as_bytes());
    put("other.toml", whole.replace("3118", "3119").as_bytes());
    put("cut.toml", &whole.as_bytes()[..whole.len() / 2]);
    put("latin.toml", &[whole.as_bytes(), b"\xff"].concat());
    put("empty.toml", b"");

    let (code, said, complaint) = run(
        folder.path(),
        &[
            "audit",
            "other.toml",
            "whole.toml",
            "cut.toml",
            "latin.toml",
            "empty.toml",
            "missing.toml",
        ],
    );
    assert_eq!(code, 1);
    assert_eq!(said.lines().count(), 1, "{said}");
    assert!(
        said.starts_with("whole.toml: whole and unaltered, digest "),
        "{said}"
    );
    let complaints: Vec<&str> = complaint.lines().collect();
    let expected = [
        "other.toml: lines ",
        "cut.toml: expected a table [seal] at the end",
        "latin.toml: expected UTF-8 text, found another byte at offset",
        "empty.toml: expected a table [seal] at the end",
        "missing.toml: expected a file, found nothing of this name",
    ];
    assert_eq!(complaints.len(), expected.len(), "{complaint}");
    for (complaint, expected) in complaints.iter().zip(expected) {
        assert!(complaint.starts_with(expected), "{complaint}");
    }

    let (code, said, _) = run(
        folder.path(),
        &["audit", "--json", "whole.toml", "cut.toml"],
    );
    let reports: Vec<serde_json::Value> = said
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert_eq!(code, 1);
    assert_eq!(reports[0]["whole"], true);
    assert_eq!(reports[0]["fault"], serde_json::Value::Null);
    assert_eq!(reports[1]["whole"], false);
    assert_eq!(reports[1]["result"], "cut.toml");
}
