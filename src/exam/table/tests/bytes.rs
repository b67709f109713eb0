//! Bytes that are no script.

use super::super::{LIMIT, source};

#[track_caller]
fn check(bytes: &[u8], expected: Result<&str, &str>) {
    let found = source(bytes).map_err(|error| error.to_string());
    assert_eq!(found, expected.map_err(str::to_owned));
}

#[test]
fn a_script_is_taken_as_it_is() {
    check(b"x = 1", Ok("x = 1"));
    check("x = \"♭\"\r\n".as_bytes(), Ok("x = \"♭\"\r\n"));
    check(b"[exam]\n", Ok("[exam]\n"));
    check(b"# a\n\n  x = 1", Ok("# a\n\n  x = 1"));
}

#[test]
fn a_byte_order_mark_is_dropped() {
    check(b"\xef\xbb\xbfx = 1", Ok("x = 1"));
}

#[test]
fn nothing_is_no_script() {
    check(b"", Err("expected an exam script, found an empty file"));
    for blank in [
        " \n\t\r\n",
        "# only a word\n  # and another",
        "\u{feff}",
        "\u{feff}\n",
    ] {
        check(
            blank.as_bytes(),
            Err("expected an exam script, found only blank lines and comments"),
        );
    }
}

#[test]
fn the_first_byte_that_is_no_utf8_is_named() {
    check(
        b"a = 1\nb\xc2\xb0 = \"caf\xe9\"",
        Err(
            "expected UTF-8 text, found the byte 0xe9 at line 2, column 10: \
             in the editor choose \"Save as\" and the encoding UTF-8",
        ),
    );
    check(
        b"\x80",
        Err(
            "expected UTF-8 text, found the byte 0x80 at line 1, column 1: \
             in the editor choose \"Save as\" and the encoding UTF-8",
        ),
    );
    // A character cut off by the end of the file.
    check(
        b"a\xe2\x99",
        Err(
            "expected UTF-8 text, found the byte 0xe2 at line 1, column 2: \
             in the editor choose \"Save as\" and the encoding UTF-8",
        ),
    );
}

#[test]
fn utf16_is_told_from_other_bytes() {
    // The byte order marks of The Unicode Standard, section 23.8 (from memory).
    for bytes in [b"\xff\xfex\0", b"\xfe\xff\0x"] {
        check(
            bytes,
            Err("expected UTF-8 text, found UTF-16: \
                 in the editor choose \"Save as\" and the encoding UTF-8"),
        );
    }
}

#[test]
fn a_mebibyte_is_the_limit() {
    let fits = "x".repeat(LIMIT);
    check(fits.as_bytes(), Ok(&fits));
    check(
        "x".repeat(LIMIT + 1).as_bytes(),
        Err("expected at most 1048576 bytes (1 MiB), found 1048577: \
             this is no exam script, or it needs splitting"),
    );
}
