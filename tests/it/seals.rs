//! Seals and signatures: every changed byte is found, and other programs agree.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::io::{self, Write};
use std::path::Path;
use std::process::{Command, Output};

use proptest::prelude::*;
use viva_voicing::results::{seal, signature};
use viva_voicing::sitting::journal::Head;

fn sample() -> String {
    let journal = Head::START.then(b"journal");
    let blocks = [
        "exam = 'E'\n\n",
        "[candidate]\nnumber = 17 # ♯9\n\n",
        "[[item]]\nlevel = 4\n",
    ];
    blocks.concat() + &seal::seal(&blocks, Some(&journal))
}

/// Whether a reader notices that the bytes are not the sealed ones.
fn found(changed: Vec<u8>) -> bool {
    String::from_utf8(changed).map_or(true, |text| seal::audit(&text).is_err())
}

#[test]
fn every_flipped_bit_breaks_the_seal() {
    let text = sample().into_bytes();
    assert!(!found(text.clone()));
    for index in 0..text.len() {
        for bit in 0..8 {
            let mut changed = text.clone();
            changed[index] ^= 1 << bit;
            assert!(found(changed), "bit {bit} of byte {index}");
        }
    }
}

#[test]
fn every_deleted_or_added_byte_breaks_the_seal() {
    let text = sample().into_bytes();
    for index in 0..text.len() {
        let mut changed = text.clone();
        let _ = changed.remove(index);
        assert!(found(changed), "without byte {index}");
    }
    for index in 0..=text.len() {
        for byte in *b" \n\r\t#[,0" {
            let mut changed = text.clone();
            changed.insert(index, byte);
            assert!(found(changed), "{byte} before byte {index}");
        }
    }
}

#[test]
fn a_file_cut_short_anywhere_breaks_the_seal() {
    let text = sample().into_bytes();
    for end in 0..text.len() {
        assert!(found(text[..end].to_vec()), "cut at {end}");
    }
}

proptest! {
    #[test]
    fn any_replaced_part_breaks_the_seal(
        from in 0_usize..700,
        length in 0_usize..50,
        bytes in prop::collection::vec(any::<u8>(), 0..50),
    ) {
        let text = sample().into_bytes();
        let from = from.min(text.len());
        let end = (from + length).min(text.len());
        let changed = [&text[..from], &bytes, &text[end..]].concat();
        prop_assert_eq!(found(changed.clone()), changed != text);
    }

    #[test]
    fn any_two_parts_in_the_other_order_break_the_seal(
        mut cuts in prop::array::uniform3(0_usize..700),
    ) {
        let text = sample().into_bytes();
        cuts.sort_unstable();
        let [a, b, c] = cuts.map(|cut| cut.min(text.len()));
        let changed = [&text[..a], &text[b..c], &text[a..b], &text[c..]].concat();
        prop_assert_eq!(found(changed.clone()), changed != text);
    }

    #[test]
    fn any_text_is_audited_without_a_crash(text in "(\n?(\\[seal\\]|head = |bytes = \\[|[0-9]|\"|\\PC)\n?){0,30}") {
        prop_assert!(seal::audit(&text).is_err());
    }

    #[test]
    fn any_blocks_can_be_sealed(blocks in prop::collection::vec(any::<String>(), 0..8)) {
        let blocks: Vec<&str> = blocks.iter().map(String::as_str).collect();
        let text = blocks.concat() + &seal::seal(&blocks, None);
        prop_assert_eq!(seal::audit(&text).unwrap().blocks, blocks.len());
        // Another cutting gives another seal of the same text, just as good.
        let whole = blocks.concat();
        let split = seal::split(&whole);
        prop_assert_eq!(split.concat(), whole.as_str());
        prop_assert!(seal::audit(&(whole.clone() + &seal::seal(&split, None))).is_ok());
    }
}

/// Runs the openssl command in a folder; `None` where this machine has none of version 3 or later.
fn openssl(folder: &Path, arguments: &str) -> Option<Output> {
    let run = |arguments: &str| {
        let mut command = Command::new("openssl");
        command
            .args(arguments.split(' '))
            .current_dir(folder)
            .output()
            .ok()
    };
    let version = String::from_utf8(run("version")?.stdout).ok()?;
    let major = version.strip_prefix("OpenSSL ")?.split('.').next()?;
    if major.parse::<u32>().ok()? < 3 {
        return None;
    }
    run(arguments)
}

#[test]
fn openssl_and_this_program_accept_each_others_signatures() {
    let folder = tempfile::tempdir().unwrap();
    let read = |name: &str| std::fs::read(folder.path().join(name)).unwrap();
    let text = sample();
    std::fs::write(folder.path().join("result.toml"), &text).unwrap();
    let run = |arguments: &str| openssl(folder.path(), arguments);
    let done = |arguments: &str| {
        let output = run(arguments).unwrap();
        let words = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.success(), "openssl {arguments}: {words}");
    };
    if run("version").is_none() {
        // Written past the harness, which keeps what a passing test prints.
        writeln!(
            io::stderr(),
            "not run: openssl_and_this_program_accept_each_others_signatures (no openssl 3 here)"
        )
        .unwrap();
        return;
    }
    done("genpkey -algorithm ed25519 -out examiner.key");
    done("pkey -in examiner.key -pubout -out examiner.pem");
    let private = String::from_utf8(read("examiner.key")).unwrap();
    let public = String::from_utf8(read("examiner.pem")).unwrap();

    let ours = signature::sign(&private, text.as_bytes()).unwrap();
    std::fs::write(folder.path().join("result.sig"), ours).unwrap();
    let verify = "pkeyutl -verify -rawin -pubin -inkey examiner.pem -sigfile result.sig -in";
    done(&format!("{verify} result.toml"));
    std::fs::write(folder.path().join("other.toml"), text.replace('4', "3")).unwrap();
    assert!(
        !run(&format!("{verify} other.toml"))
            .unwrap()
            .status
            .success()
    );

    done("pkeyutl -sign -rawin -inkey examiner.key -in result.toml -out theirs.sig");
    assert_eq!(
        signature::verify(&public, text.as_bytes(), &read("theirs.sig")),
        Ok(())
    );
    assert_eq!(read("theirs.sig"), ours, "Ed25519 leaves nothing to chance");

    // Keys of other kinds are refused, whatever wrote them.
    done("genpkey -algorithm X25519 -out other.key");
    done("genpkey -algorithm ed25519 -aes-256-cbc -pass pass:secret -out locked.key");
    for (key, words) in [("other.key", "can't be read"), ("locked.key", "passphrase")] {
        let key = String::from_utf8(read(key)).unwrap();
        let message = signature::sign(&key, b"").unwrap_err().to_string();
        assert!(message.contains(words), "{message}");
    }
}
