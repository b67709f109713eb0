//! Values that are what is asked for, or not.

use super::super::{Complaint, Within};
use super::{Table, check, check_help, right};

fn within<T>(bounds: impl Into<Within<T>>) -> Within<T> {
    bounds.into()
}

#[test]
fn values_come_with_their_places() {
    right("a = \"x\"\nb = 'y'\nc = 7\nd = 0x1F\n", |table| {
        let a = table.text("a").unwrap();
        assert_eq!((a.value, a.span), ("x", 4..7));
        let b = table.text("b").unwrap();
        assert_eq!((b.value, b.span), ("y", 12..15));
        let c = table.integer("c", 1..=9).unwrap();
        assert_eq!((c.value, c.span), (7, 20..21));
        assert_eq!(table.integer("d", ..).unwrap().value, 31);
    });
    right(
        "a = 1_000\nb = -2.5e1\nc = 3\nd = true\ne = []\nf = [\"x\", 'y',]",
        |table| {
            assert_eq!(table.integer("a", ..).unwrap().value, 1000);
            assert_eq!(table.number("b", ..).unwrap().value, -25.0);
            assert_eq!(table.number("c", 0.5..=3.0).unwrap().value, 3.0);
            assert!(table.boolean("d").unwrap().value);
            assert!(table.texts("e").unwrap().value.is_empty());
            let texts = table.texts("f").unwrap();
            let texts: Vec<_> = texts.value.into_iter().map(|t| (t.value, t.span)).collect();
            assert_eq!(texts, [("x", 48..51), ("y", 53..56)]);
        },
    );
}

#[test]
fn a_key_that_is_not_there_is_nothing_and_no_fault() {
    right("", |table| {
        assert!(table.text("a").is_none());
        assert!(table.integer("b", 1..=9).is_none());
        assert!(table.texts("c").is_none());
        assert!(table.table("d").is_none());
        assert!(table.array_of_tables("e").is_empty());
        assert!(!table.has("f"));
    });
}

#[test]
fn a_text_is_expected() {
    let read = |table: Table<'_>| {
        let _ = table.text("a");
    };
    check(
        "a = 12",
        read,
        &["1:5+2 expected a text, found the number 12"],
    );
    check(
        "a = 1.5",
        read,
        &["1:5+3 expected a text, found the number 1.5"],
    );
    check("a = true", read, &["1:5+4 expected a text, found `true`"]);
    check("a = [1]", read, &["1:5+3 expected a text, found a list"]);
    check(
        "a = { b = 1 }",
        read,
        &["1:5+9 expected a text, found a table"],
    );
    check("[a]", read, &["1:1+3 expected a text, found a table"]);
    check(
        "a = 12:30:00",
        read,
        &["1:5+8 expected a text, found a date or time"],
    );
    check_help("a = 12", read, "put it in quotes: \"12\"");
}

#[test]
fn a_number_is_expected() {
    let seconds = |table: Table<'_>| {
        let _ = table.number("a", within(0.5..=60.0).of("seconds"));
    };
    check(
        "a = \"x\"",
        seconds,
        &["1:5+3 expected a number of seconds, found a text"],
    );
    check(
        "a = 0.4",
        seconds,
        &["1:5+3 expected 0.5 to 60 seconds, found 0.4"],
    );
    check(
        "a = 61",
        seconds,
        &["1:5+2 expected 0.5 to 60 seconds, found 61"],
    );
    check(
        "a = nan",
        seconds,
        &["1:5+3 expected 0.5 to 60 seconds, found nan"],
    );
    check(
        "a = inf",
        seconds,
        &["1:5+3 expected 0.5 to 60 seconds, found inf"],
    );
    check_help("a = \" 12\"", seconds, "write it without quotes: 12");
    let any = |table: Table<'_>| {
        let _ = table.number("a", ..);
    };
    check(
        "a = -inf",
        any,
        &["1:5+4 expected a finite number, found -inf"],
    );
    check(
        "a = +nan",
        any,
        &["1:5+4 expected a finite number, found +nan"],
    );
    check(
        "a = 1e999",
        any,
        &["1:5+5 expected a finite number, found 1e999"],
    );
    check(
        "a = 99999999999999999999",
        any,
        &["1:5+20 expected a finite number, found 99999999999999999999"],
    );
}

#[test]
fn a_whole_number_is_expected() {
    let read = |table: Table<'_>| {
        let _ = table.integer("a", 1..=9);
    };
    check("a = 12", read, &["1:5+2 expected 1 to 9, found 12"]);
    check("a = -1", read, &["1:5+2 expected 1 to 9, found -1"]);
    check(
        "a = 3.0",
        read,
        &["1:5+3 expected a whole number, found 3.0"],
    );
    check(
        "a = \"3\"",
        read,
        &["1:5+3 expected a whole number, found a text"],
    );
    check(
        "a = 99999999999999999999",
        read,
        &["1:5+20 expected 1 to 9, found 99999999999999999999"],
    );
    check(
        "a = 0xFFFFFFFFFFFFFFFFFF",
        read,
        &["1:5+20 expected 1 to 9, found 0xFFFFFFFFFFFFFFFFFF"],
    );
    let huge = format!("a = {}", "9".repeat(60));
    let told = format!("1:5+60 expected 1 to 9, found {}…", "9".repeat(40));
    check(&huge, read, &[&told]);
    let any = |table: Table<'_>| {
        let _ = table.integer("a", ..);
    };
    check(
        "a = 9223372036854775808",
        any,
        &["1:5+19 expected a smaller whole number, found 9223372036854775808"],
    );
    check("a = -9223372036854775808", any, &[]);
}

#[test]
fn bounds_may_be_open() {
    let read = |table: Table<'_>| {
        let _ = table.integer("a", 1..);
        let _ = table.integer("b", ..=9);
        let _ = table.integer("c", within(4..=4).of("bars"));
        let _ = table.integer("d", within(2..).of("bars"));
    };
    check(
        "a = 0\nb = 10\nc = 3\nd = 1",
        read,
        &[
            "1:5+1 expected 1 or more, found 0",
            "2:5+2 expected 9 or less, found 10",
            "3:5+1 expected 4 bars, found 3",
            "4:5+1 expected 2 or more bars, found 1",
        ],
    );
}

#[test]
fn true_or_false_is_expected() {
    let read = |table: Table<'_>| {
        let _ = table.boolean("a");
    };
    check(
        "a = 1",
        read,
        &["1:5+1 expected `true` or `false`, found the number 1"],
    );
    check_help("a = \"true\"", read, "write it without quotes: true");
}

#[test]
fn a_list_of_texts_is_expected() {
    let read = |table: Table<'_>| {
        let _ = table.texts("a");
    };
    check(
        "a = \"x\"",
        read,
        &["1:5+3 expected a list of texts, found a text"],
    );
    check_help("a = \"x\"", read, "write it in square brackets: [\"...\"]");
    check(
        "a = [\"x\", 1, \"y\", true]",
        read,
        &[
            "1:11+1 expected a text, found the number 1",
            "1:19+4 expected a text, found `true`",
        ],
    );
}

#[test]
fn a_choice_offers_the_nearest_name() {
    #[derive(Clone, Debug, PartialEq)]
    enum Kind {
        Shell,
        Rootless,
    }
    let options = [("shell", Kind::Shell), ("rootless", Kind::Rootless)];
    right("a = \"rootless\"", |table| {
        assert_eq!(table.choice("a", &options).unwrap().value, Kind::Rootless);
    });
    let read = |table: Table<'_>| {
        let _ = table.choice("a", &options);
    };
    check(
        "a = \"shel\"",
        read,
        &["1:5+6 expected one of `shell`, `rootless`, found `shel`"],
    );
    check_help("a = \"shel\"", read, "did you mean `shell`?");
    check_help("a = \"Rootless\"", read, "did you mean `rootless`?");
    check_help("a = \"rotoless\"", read, "did you mean `rootless`?");
    check(
        "a = 3",
        read,
        &["1:5+1 expected one of `shell`, `rootless`, found the number 3"],
    );
    check(
        "a = \"quartal\"",
        read,
        &["1:5+9 expected one of `shell`, `rootless`, found `quartal`"],
    );
}

/// Complains about the first `!` of a text.
fn mild(text: &str) -> Result<usize, Complaint> {
    match text.find('!') {
        Some(at) => Err((at..at + 1, "expected a mild text, found `!`".to_owned()).into()),
        None => Ok(text.len()),
    }
}

#[test]
fn a_parser_may_point_into_a_plain_text() {
    let read = |table: Table<'_>| {
        let _ = table.parsed("a", mild);
    };
    let told = "expected a mild text, found `!`";
    check("a = \"ab\"", read, &[]);
    check("a = \"ab!\"", read, &[&format!("1:8+1 {told}")]);
    check("a = 'C♯!'", read, &[&format!("1:8+1 {told}")]);
    check("a = \"\"\"ab!\"\"\"", read, &[&format!("1:10+1 {told}")]);
    check("a = '''\nab\ncd!'''", read, &[&format!("3:3+1 {told}")]);
    check("a = \"\"\"\r\nab!\"\"\"", read, &[&format!("2:3+1 {told}")]);
    // With an escape the letters do not stand where they are counted, so the whole is marked.
    check("a = \"a\\tb!\"", read, &[&format!("1:5+7 {told}")]);
    check("a = \"\\\"!\"", read, &[&format!("1:5+5 {told}")]);
}

#[test]
fn a_parser_may_point_nowhere_or_wrongly() {
    let complain = |complaint: Complaint| {
        move |table: Table<'_>| {
            let _ = table.parsed::<(), _>("a", |_| Err(complaint));
        }
    };
    check("a = \"♭x\"", complain("odd".into()), &["1:5+4 odd"]);
    check(
        "a = \"♭x\"",
        complain("odd".to_owned().into()),
        &["1:5+4 odd"],
    );
    for wrong in [1..2, 0..1, 0..9, 9..9] {
        check(
            "a = \"♭x\"",
            complain((wrong, "odd".to_owned()).into()),
            &["1:5+4 odd"],
        );
    }
    check(
        "a = \"♭x\"",
        complain((4..4, "odd".to_owned()).into()),
        &["1:8+0 odd"],
    );
    let helpful = (3..4, "odd".to_owned(), Some("mend it".to_owned()));
    check_help("a = \"♭x\"", complain(helpful.into()), "mend it");
}

#[test]
fn a_parser_gets_texts_only() {
    let read = |table: Table<'_>| {
        let _ = table.required_parsed("a", mild);
    };
    check(
        "a = 3",
        read,
        &["1:5+1 expected a text, found the number 3"],
    );
    check("", read, &["1:1+0 missing key `a` at the top level"]);
}

#[test]
fn a_value_of_several_forms_can_be_looked_at() {
    let read = |table: Table<'_>| {
        for value in table
            .required_list("a")
            .map(|list| list.value)
            .unwrap_or_default()
        {
            if value.is_text() {
                let _ = value.parsed(mild);
            } else if value.is_number() {
                let _ = value.integer(1..=9);
            } else {
                value.mismatch("a text or a number", None);
            }
        }
    };
    check(
        "a = [\"x!\", 12, 3, [], {}, true]",
        read,
        &[
            "1:8+1 expected a mild text, found `!`",
            "1:12+2 expected 1 to 9, found 12",
            "1:19+2 expected a text or a number, found a list",
            "1:23+2 expected a text or a number, found a table",
            "1:27+4 expected a text or a number, found `true`",
        ],
    );
}
