//! Several faults in one script, each told once and all at once.

use super::{Table, check, faults};

/// Reads scripts with a title and questions, the way a schema does.
fn exam(table: Table<'_>) {
    let _ = table.required_text("title");
    let _ = table.integer("limit", 1..=9);
    if let Some(marks) = table.table("marks") {
        let _ = marks.required_number("pass", 0.0..=1.0);
        marks.finish();
    }
    for question in table.required_array_of_tables("question") {
        let _ = question.required_text("ask");
        let _ = question.integer("bars", 1..=12);
        if let Some(hint) = question.table("hint") {
            let _ = hint.required_text("say");
            hint.finish();
        }
        question.finish();
    }
    table.finish();
}

#[test]
fn faults_of_form_and_content_are_told_together() {
    check(
        "titel = \"Blues\"\n\
         limit = 12\n\
         \n\
         [marks]\n\
         pas = 0.5\n\
         \n\
         [[question]]\n\
         ask = \"shell of C7\n\
         bars = 99\n\
         \n\
         [[question]]\n\
         ask = [\"C7\", \"F7\"\n\
         tempo = 120\n\
         \n\
         [[question]]\n\
         ask 12\n\
         bars = twelve\n\
         bars = 4\n",
        exam,
        &[
            "1:1+5 unknown key `titel`",
            "2:9+2 expected 1 to 9, found 12",
            "5:1+3 unknown key `pas`",
            "8:7+12 missing closing \" of this text",
            "9:8+2 expected 1 to 12, found 99",
            "12:7+1 missing `]`: this `[` is never closed",
            "13:1+5 unknown key `tempo`",
            "16:5+0 missing `=` after `ask`",
            "17:8+6 missing quotes around `twelve`",
            "18:1+4 key `bars` stands twice",
        ],
    );
}

#[test]
fn a_line_that_cannot_be_read_hides_no_other_fault() {
    // The TOML reader gives up at the first key without `=`.
    check(
        "title\nlimit = \"\\q\"\nlimit = 3\n[[question]]\nask = \"\"\nbars = 13\nbars = 1",
        exam,
        &[
            "1:6+0 missing `=` after `title`",
            "2:10+2 expected a known letter after the backslash of a text",
            "3:1+5 key `limit` stands twice",
            "6:8+2 expected 1 to 12, found 13",
            "7:1+4 key `bars` stands twice",
        ],
    );
}

#[test]
fn a_key_in_a_faulty_line_is_not_missing() {
    check(
        "title = Blues\n[[question]]\nask = \"\"",
        exam,
        &["1:9+5 missing quotes around `Blues`"],
    );
    check(
        "title = \"\"\n[[question]]\nask = \"\n[[question]]\n",
        exam,
        &[
            "3:7+1 missing closing \" of this text",
            "4:1+12 missing key `ask` in [[question]] 2",
        ],
    );
}

#[test]
fn a_section_with_a_faulty_header_is_left_out() {
    check(
        "title = \"\"\n[[question]\nask = \"\"\nlimt = 1\n",
        exam,
        &["2:12+0 missing `]]` after the name of the section"],
    );
    check(
        "title = \"\"\n[marks\npass = 2\n[[question]]\nbars = 13\n",
        exam,
        &[
            "2:7+0 missing `]` after the name of the section",
            "4:1+12 missing key `ask` in [[question]] 1",
            "5:8+2 expected 1 to 12, found 13",
        ],
    );
    // Its subsections must not fall to the section before it.
    check(
        "title = \"\"\n\
         [[question]]\nask = \"\"\n[question.hint]\nsay = \"\"\n\
         [[question]\nask = 1\n[question.hint]\nsai = \"\"\n\
         [[question]]\nbars = 0\n",
        exam,
        &[
            "6:12+0 missing `]]` after the name of the section",
            "10:1+12 missing key `ask` in [[question]] 2",
            "11:8+1 expected 1 to 12, found 0",
        ],
    );
}

#[test]
fn the_owner_of_a_lost_subsection_does_not_miss_it() {
    let read = |table: Table<'_>| {
        for question in table.array_of_tables("question") {
            let _ = question.required_table("hint");
        }
    };
    check(
        "[[question]]\n[question.hint\nsay = \"\"\n[[question]]\n",
        read,
        &[
            "2:15+0 missing `]` after the name of the section",
            "4:1+12 missing section [question.hint]",
        ],
    );
}

#[test]
fn words_behind_a_header_cost_only_themselves() {
    check(
        "title = \"\"\n[[question]] first\nask = \"\"\nbars = 13\n",
        exam,
        &[
            "2:14+5 expected the end of the line, found `first`",
            "4:8+2 expected 1 to 12, found 13",
        ],
    );
}

#[test]
fn tables_tell_whether_they_were_read_whole() {
    let _ = faults("a = 1\n[b]\nc\n[d]\ne = { f = 1 }\n[g]\nh = }", |table| {
        let whole = |key| table.table(key).unwrap().is_whole();
        assert!(table.is_whole());
        assert_eq!((whole("b"), whole("d"), whole("g")), (false, true, false));
    });
    let _ = faults("a\nb.c = 1\n[d]\n", |table| {
        let whole = |key| table.table(key).unwrap().is_whole();
        assert_eq!(
            (table.is_whole(), whole("b"), whole("d")),
            (false, false, true)
        );
    });
    let _ = faults("[a]\n[b\n", |table| {
        assert!(!table.is_whole());
        assert!(table.table("a").unwrap().is_whole());
    });
    // What stands in one statement was read whole, or not at all.
    let _ = faults("a\nb = { c = 1 }", |table| {
        assert!(table.table("b").unwrap().is_whole());
    });
}

#[test]
fn several_bad_values_of_a_list_are_told_each() {
    check(
        "a = [\n  \"x,\n  C,\n  E,\n  \"y\",\n]\nb = [C, \"\\q\", 01]\n",
        super::nothing,
        &[
            "2:3+3 missing closing \" of this text",
            "7:6+1 missing quotes around `C`",
            "7:10+2 expected a known letter after the backslash of a text",
            "7:15+2 expected a number, found `01`",
        ],
    );
}

#[test]
fn two_thousand_faults_are_two_thousand_findings() {
    let script: String = (0..2000)
        .map(|n| format!("[[question]]\nkey{n} = word\nasc = 1\n"))
        .collect();
    let found = faults(&script, |table| {
        for question in table.array_of_tables("question") {
            let _ = question.text("ask");
            question.finish();
        }
    });
    let words = found
        .iter()
        .filter(|found| found.ends_with("missing quotes around `word`"));
    let keys = found
        .iter()
        .filter(|found| found.ends_with("unknown key `asc`"));
    assert_eq!(
        (words.count(), keys.count(), found.len()),
        (2000, 2000, 4000)
    );
}
