//! Seals that others made, and every changed byte found.

use super::*;

/// Sealed by Python 3.11's `hashlib`, by the rule in this module's documentation.
const SEALED: &str = r#"exam = "E001"

[candidate]
number = 17
name = "Zoë" # as on the slip

[[item]]
level = 4

[[item]]
level = 2
note = """
[seal]
"""

[seal]
algorithm = "sha256-chain"
journal = "cdfc80d508a8d491a3d320aa31d23b8d2cf6c12747eee7223a25053ef407981e"
bytes = [15, 56, 20, 41]
links = [
    "511a860d504ea872",
    "37e95902ec93bf66",
    "6ae23f2561566f2f",
    "e8779a05ac719347",
]
text = "e8779a05ac719347e5f7cd336ca34e51afbf48f708a4b730b4e5873262e9f2e6"
head = "c444c1e10e095c778c40441c342e88419d300d42fccd437785ec3b9935c6bca4"
"#;
const JOURNAL: &str = "cdfc80d508a8d491a3d320aa31d23b8d2cf6c12747eee7223a25053ef407981e";

fn blocks() -> [&'static str; 4] {
    let (head, rest) = SEALED.split_at(15);
    let (candidate, rest) = rest.split_at(56);
    let (first, rest) = rest.split_at(20);
    [head, candidate, first, &rest[..41]]
}

#[test]
fn the_seal_is_the_one_worked_out_by_another_program() {
    let journal = JOURNAL.parse().unwrap();
    let text = blocks().concat() + &seal(&blocks(), Some(&journal));
    assert_eq!(text, SEALED);
    let verified = audit(SEALED).unwrap();
    assert_eq!(verified.journal, Some(journal));
    assert_eq!(verified.blocks, 4);
    assert_eq!(short(&verified.head), "c444-c1e1");
}

#[test]
fn whatever_is_sealed_is_whole_and_still_toml() {
    let check = |blocks: &[&str]| {
        let text = blocks.concat() + &seal(blocks, None);
        let verified = audit(&text).unwrap();
        assert_eq!(
            (verified.journal, verified.blocks),
            (None, blocks.len()),
            "{text}"
        );
        let table: toml::Table = text.parse().unwrap();
        assert_eq!(
            table["seal"]["head"].as_str(),
            Some(&*verified.head.to_string())
        );
    };
    check(&[]);
    check(&[""]);
    check(&["a = 1"]);
    check(&["a = 1\n"]);
    check(&["", "a = 1\n", "", "[b]\n", ""]);
    check(&["a = '''\n[seal]\nhead = \"\"\n'''\n", "[b]\n"]);
    check(&["\u{feff}a = 'é'\r\n", "[b]\r\n# 𝄪\r\n"]);
}

#[test]
fn a_split_document_is_the_same_document() {
    let check = |text: &str, expected: &[&str]| {
        assert_eq!(split(text), expected);
        assert_eq!(expected.concat(), text);
    };
    check("", &[]);
    check("a = 1\n", &["a = 1\n"]);
    check("[a]\n[[b]]\n", &["[a]\n", "[[b]]\n"]);
    check(
        "# on\n\n[a]\nb = [\n  [1],\n]\n",
        &["# on\n\n", "[a]\nb = [\n  [1],\n]\n"],
    );
    let text = blocks().concat();
    assert_eq!(split(&text)[..3], blocks()[..3]);
}

#[test]
fn a_fault_is_named_where_it_is() {
    let check = |from: &str, to: &str, expected: &str| {
        assert!(SEALED.contains(from), "{from}");
        let fault = audit(&SEALED.replacen(from, to, 1)).unwrap_err();
        let message = fault.to_string();
        assert!(message.starts_with(expected), "{from} to {to}: {message}");
    };
    check(
        "E001",
        "E002",
        "lines 1 to 2: the head of the file was changed",
    );
    check(
        "exam",
        "\u{feff}exam",
        "line 1: the head of the file was changed",
    );
    check("17", "71", "lines 3 to 6: [candidate] number 1 was changed");
    check(
        "slip",
        "slop",
        "lines 3 to 6: [candidate] number 1 was changed",
    );
    check(
        "Zoë",
        "Zoe",
        "lines 3 to 7: [candidate] number 1 was changed",
    );
    check(
        "[candidate]",
        "[Candidate]",
        "lines 3 to 6: [Candidate] number 1 was changed",
    );
    check(
        "[candidate]",
        "#candidate]",
        "lines 3 to 6: block 2 was changed",
    );
    check(
        "level = 4",
        "level = 3",
        "lines 7 to 9: [[item]] number 1 was changed",
    );
    check(
        "level = 2",
        "level = 3",
        "lines 10 to 14: [[item]] number 2 was changed",
    );
    check(
        "level = 4\n\n[[item]]\n",
        "",
        "lines 7 to 9: [[item]] number 1 was changed",
    );
    check(
        "[[item]]\nlevel = 4\n\n",
        "",
        "lines 7 to 9: [[item]] number 1 was changed",
    );
    check(
        "[[item]]\nlevel = 2\nnote = \"\"\"\n[seal]\n\"\"\"\n",
        "",
        "line 10: expected 4 blocks before the seal, block 4 is missing",
    );
    check(
        "\"\"\"\n\n[seal]",
        "\"\"\"\n\n\n[seal]",
        "line 15: text was added between",
    );
    check(
        "sha256-chain",
        "sha256-chaim",
        "line 17: the seal itself was changed: expected `algorithm = \"sha256-chain\"`",
    );
    check(
        "cdfc80d5",
        "cdfc80d6",
        "line 16: the seal itself was changed: expected the lines that its head stands for",
    );
    check(
        "15, 56",
        "15,56",
        "line 19: the seal itself was changed: expected `bytes = [15, 56, 20, 41]`",
    );
    check("[15, 56, ", "[71, ", "line 16: the seal itself was changed");
    check(
        "6ae23f25",
        "6ae23f26",
        "line 16: the seal itself was changed",
    );
    check("\"c444", "\"d444", "line 16: the seal itself was changed");
    check(
        "\"c444",
        "\"C444",
        "line 16: the seal itself was changed: expected digests of 64",
    );
    check(
        "sha256-chain\"\n",
        "sha256-chain\" # fine\n",
        "line 17: the seal itself was changed: expected `algorithm",
    );
    check(
        "bca4\"\n",
        "bca4\"",
        "line 27: the seal itself was changed: expected `head = ",
    );
    check(
        "bca4\"\n",
        "bca4\"\nmore = 1\n",
        "line 28: text was added after the seal",
    );
    check(
        "bca4\"\n",
        "bca4\"\n\n",
        "line 28: text was added after the seal",
    );
    check(
        "algorithm",
        "algorithn",
        "line 17: the seal itself was changed: expected the table",
    );
    // With the real one hidden, what looks like a seal inside the last block is taken for it.
    check(
        "\n[seal]\nalg",
        "\n [seal]\nalg",
        "line 27: the seal itself was changed",
    );
}

#[test]
fn a_file_without_a_seal_says_so() {
    let check = |text: &str, expected: &Fault| assert_eq!(&audit(text).unwrap_err(), expected);
    check("", &Fault::NoSeal);
    check("exam = 'E001'\n", &Fault::NoSeal);
    check(&blocks()[..3].concat(), &Fault::NoSeal);
    let near = |line| Fault::Seal {
        line,
        expected: "a line [seal] ended by a line feed alone, with a line before it".to_owned(),
    };
    check("[seal]\n", &near(1));
    check(&SEALED.replace('\n', "\r\n"), &near(13));
}

#[test]
fn an_editors_line_endings_are_found_even_in_one_place() {
    for (at, _) in SEALED.match_indices('\n') {
        let changed = format!("{}\r{}", &SEALED[..at], &SEALED[at..]);
        assert!(audit(&changed).is_err(), "line feed at {at}");
    }
}

#[test]
fn lengths_beyond_reason_are_a_fault_and_no_crash() {
    for bytes in [
        "[18446744073709551615]",
        "[9223372036854775807, 9223372036854775807]",
        "[-1]",
    ] {
        let links = "    \"0123456789abcdef\",\n".repeat(bytes.split(',').count());
        let zeros = Head::START;
        let lines = format!(
            "\n[seal]\nalgorithm = \"sha256-chain\"\nbytes = {bytes}\nlinks = [\n{links}]\ntext = \"{zeros}\"\n"
        );
        let text = format!(
            "a = 1\n{lines}head = \"{}\"\n",
            zeros.then(lines.as_bytes())
        );
        assert!(audit(&text).is_err(), "{bytes}");
    }
    let deep = format!("\n[seal]\nbytes = {}", "[".repeat(100_000));
    assert!(matches!(audit(&deep), Err(Fault::Seal { .. })));
}

/// Writes a seal over the given digest, one that vouches for itself.
fn forged(blocks: &[&str], text: Head) -> String {
    let true_seal = seal(blocks, None);
    let parts = Table::read(&true_seal).unwrap();
    let mut table = Table { text, ..parts };
    table.head = text.then(table.lines().as_bytes());
    format!(
        "{}{}{}",
        blocks.concat(),
        table.lines(),
        last_line(&table.head)
    )
}

#[test]
fn short_links_alone_do_not_settle_it() {
    for blocks in [&["a = 1\n"][..], &[]] {
        let text = forged(
            blocks,
            Head::START.then(b"another text with the same links"),
        );
        let fault = audit(&text).unwrap_err().to_string();
        assert!(
            fault.contains("the seal itself was changed: expected text = "),
            "{fault}"
        );
    }
}

#[test]
fn a_header_with_control_characters_does_not_reach_the_terminal() {
    let text = SEALED.replace("[candidate]", "[cand\u{1b}[2J]");
    let fault = audit(&text).unwrap_err().to_string();
    assert!(fault.contains("[cand\u{fffd}[2J] number 1"), "{fault}");
}
