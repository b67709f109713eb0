//! Tables, their sections and their keys.

use super::{Table, check, check_help, right};

#[test]
fn tables_are_read_however_they_are_written() {
    let scripts = [
        "[exam]\ntitle = \"x\"\n[exam.marks]\npass = 5",
        "exam.title = \"x\"\nexam.marks.pass = 5",
        "exam = { title = \"x\", marks = { pass = 5 } }",
        "exam = { title = \"x\", marks.pass = 5 }",
        "[exam.marks]\npass = 5\n[exam]\ntitle = \"x\"",
        "[exam]\nmarks.pass = 5\n\"title\" = 'x'",
    ];
    for script in scripts {
        right(script, |table| {
            let exam = table.required_table("exam").unwrap();
            assert_eq!(exam.required_text("title").unwrap().value, "x");
            let marks = exam.required_table("marks").unwrap();
            assert_eq!(marks.required_integer("pass", 1..=9).unwrap().value, 5);
            marks.finish();
            exam.finish();
        });
    }
}

#[test]
fn sections_are_read_in_their_order() {
    for script in [
        "[[question]]\nask = \"a\"\n[[question]]\nask = \"b\"",
        "question = [{ ask = \"a\" }, { ask = \"b\" }]",
    ] {
        right(script, |table| {
            let asked: Vec<_> = table
                .required_array_of_tables("question")
                .into_iter()
                .map(|question| question.required_text("ask").unwrap().value.to_owned())
                .collect();
            assert_eq!(asked, ["a", "b"]);
        });
    }
}

#[test]
fn tables_know_their_names_and_places() {
    let script = "[exam]\n[[question]]\n[[question]]\n[question.hint]\n[[question.step]]\n";
    right(script, |table| {
        assert_eq!((table.name(), table.span()), ("the top level", 0..0));
        let exam = table.table("exam").unwrap();
        assert_eq!((exam.name(), exam.span()), ("[exam]", 0..6));
        let questions = table.array_of_tables("question");
        assert_eq!(
            (questions[1].name(), questions[1].span()),
            ("[[question]] 2", 20..32)
        );
        let hint = questions[1].table("hint").unwrap();
        assert_eq!((hint.name(), hint.span()), ("[question.hint]", 33..48));
        let steps = questions[1].array_of_tables("step");
        assert_eq!(
            (steps[0].name(), steps[0].span()),
            ("[[question.step]] 1", 49..66)
        );
    });
    right("# note\n\na = { b = [{}] }", |table| {
        assert_eq!(table.span(), 8..8);
        let a = table.table("a").unwrap();
        assert_eq!((a.name(), a.span()), ("`a`", 12..24));
        let b = a.array_of_tables("b");
        assert_eq!((b[0].name(), b[0].span()), ("`b` 1", 19..21));
    });
}

#[test]
fn a_missing_key_is_marked_at_the_header() {
    let read = |table: Table<'_>| {
        let _ = table.required_text("title");
        for question in table.required_array_of_tables("question") {
            let _ = question.required_integer("marks", 1..=9);
        }
    };
    check(
        "# note\nx = 1\n[[question]]\nmarks = 1\n[[question]]\n",
        read,
        &[
            "2:1+0 missing key `title` at the top level",
            "5:1+12 missing key `marks` in [[question]] 2",
        ],
    );
    check(
        "title = \"\"",
        read,
        &["1:1+0 missing section [[question]]"],
    );
    check_help(
        "title = \"\"",
        read,
        "add a section that begins with the line [[question]]",
    );
    check_help(
        "[[question]]\nmarks = 2",
        read,
        "add `title = \"...\"` at the top of the script, before the first section",
    );
    check_help(
        "title = \"\"\n[[question]]",
        read,
        "add `marks = 1` to [[question]] 1",
    );
    check(
        "title = \"\"\nquestion = [{ mark = 1 }]",
        read,
        &["2:13+12 missing key `marks` in `question` 1"],
    );
}

#[test]
fn a_missing_key_asked_for_twice_is_one_fault() {
    let read = |table: Table<'_>| {
        let _ = table.required_text("title");
        let _ = table.required_value("title");
    };
    check("", read, &["1:1+0 missing key `title` at the top level"]);
}

#[test]
fn brackets_of_a_section_must_be_right() {
    let one = |table: Table<'_>| {
        let _ = table.required_table("exam");
    };
    check(
        "[[exam]]",
        one,
        &["1:1+8 expected one section [exam], found [[exam]]"],
    );
    check(
        "exam = 3",
        one,
        &["1:8+1 expected a table, found the number 3"],
    );
    check("exam = [1]", one, &["1:8+3 expected a table, found a list"]);
    check_help("[[exam]]", one, "write [exam] once, in single brackets");
    let many = |table: Table<'_>| {
        let _ = table.required_array_of_tables("question");
    };
    check(
        "[question]",
        many,
        &["1:1+10 expected sections [[question]], found [question]"],
    );
    check(
        "question.a = 1",
        many,
        &["1:1+8 expected sections [[question]], found [question]"],
    );
    check(
        "question = {}",
        many,
        &["1:12+2 expected sections [[question]], found a table"],
    );
    check(
        "question = 1",
        many,
        &["1:12+1 expected sections [[question]], found the number 1"],
    );
    check(
        "question = [{}, 2, \"x\"]",
        many,
        &[
            "1:17+1 expected a table { ... }, found the number 2",
            "1:20+3 expected a table { ... }, found a text",
        ],
    );
}

/// Reads a table that knows three keys, of which one is required.
fn known(table: Table<'_>) {
    let _ = table.text("hurdle");
    let _ = table.integer("limit", ..);
    let _ = table.required_text("title");
    table.finish();
}

#[test]
fn a_key_nobody_asked_for_is_a_fault() {
    check(
        "title = \"\"\nhurdel = 1",
        known,
        &["2:1+6 unknown key `hurdel`"],
    );
    check_help("title = \"\"\nhurdel = 1", known, "did you mean `hurdle`?");
    check_help("title = \"\"\nLimit = 1", known, "did you mean `limit`?");
    check_help(
        "title = \"\"\npiano = 1",
        known,
        "the top level takes the keys `hurdle`, `limit`, `title`",
    );
    check(
        "title = \"\"\na.b = 1\n\"c d\" = 2\n[e]\nf = 1\n[[g]]\n[[g]]\n[h.i]",
        known,
        &[
            "2:1+1 unknown key `a`",
            "3:1+5 unknown key `c d`",
            "4:2+1 unknown key `e`",
            "6:3+1 unknown key `g`",
            "7:1+5 unknown key `g`",
            "8:2+1 unknown key `h`",
        ],
    );
    let none = |table: Table<'_>| table.finish();
    check_help("a = 1", none, "the top level takes no keys");
}

#[test]
fn a_misspelt_required_key_is_one_fault() {
    check("titel = \"\"", known, &["1:1+5 unknown key `titel`"]);
    check_help("titel = \"\"", known, "did you mean `title`?");
    // A far key explains nothing, so both are said.
    check(
        "piano = \"\"",
        known,
        &[
            "1:1+0 missing key `title` at the top level",
            "1:1+5 unknown key `piano`",
        ],
    );
}

#[test]
fn a_key_that_is_there_is_no_likely_target_of_a_slip() {
    let read = |table: Table<'_>| {
        let _ = table.text("step");
        let _ = table.text("steps");
        table.finish();
    };
    check_help("step = \"\"\nstepp = \"\"", read, "did you mean `steps`?");
    check_help(
        "step = \"\"\nsteps = \"\"\nstepp = \"\"",
        read,
        "did you mean `step`?",
    );
}

#[test]
fn a_key_of_odd_signs_is_quoted_on_one_line() {
    let long = format!("\"{}\" = 1", "k".repeat(100));
    let told = format!("1:1+102 unknown key `{}…`", "k".repeat(40));
    let read = |table: Table<'_>| table.finish();
    check(&long, read, &[&told]);
    check("\"a\\nb\" = 1", read, &["1:1+6 unknown key `a b`"]);
    check("\"\" = 1", read, &["1:1+2 unknown key ``"]);
}

#[test]
fn free_keys_are_read_in_the_order_of_the_script() {
    right("[weights]\nb = 2\na = 1\nc.d = 3", |table| {
        let entries = table.table("weights").unwrap().entries();
        let keys: Vec<_> = entries
            .iter()
            .map(|(key, _)| (key.value, key.span.start))
            .collect();
        assert_eq!(keys, [("b", 10), ("a", 16), ("c", 22)]);
    });
    let read = |table: Table<'_>| {
        for (_, value) in table.entries() {
            let _ = value.number(0.0..=1.0);
        }
    };
    check("b = 2\na = 1", read, &["1:5+1 expected 0 to 1, found 2"]);
}
