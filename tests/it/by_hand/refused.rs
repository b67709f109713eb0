//! Tables as spreadsheets leave them are read; whatever is wrong in one is told, line by line.

use viva_voicing::exam::code::Code;
use viva_voicing::exam::draw;
use viva_voicing::exam::form::{Form, Item};
use viva_voicing::exam::script::Exam;
use viva_voicing::marking::item::Allowance;
use viva_voicing::marking::noted::{Heard, Note};
use viva_voicing::sitting::by_hand::ByHand;

use super::{DIGEST, HEADS, empty, read, table};
use crate::sittings::room::mixed;

type Lines = Vec<Vec<String>>;

/// The exam of the tests and a form of it.
fn asked() -> (Exam, Form) {
    let (exam, _) = mixed();
    let form = draw::draw(&exam, Code::FIRST).unwrap();

    (exam, form)
}

/// A good table of it; spare items are left empty.
fn good() -> Lines {
    let (exam, form) = asked();
    let mut lines = empty(&exam, &form, DIGEST);

    for line in &mut lines {
        let number: usize = line[0].parse().unwrap();
        let entry = match (line[1].as_str(), line[2].as_str()) {
            _ if number > form.items.len() => "",
            ("A" | "B", _) => "4",
            ("C", "harmony") => "2,5",
            ("C", "voicing") => "2",
            ("C", "leading" | "readiness" | "time") => "3",
            ("D", "1") => "m7",
            ("D", "2") => "third",
            ("E", _) => "C E G Bb",
            ("F", _) => "7,5",
            _ => "",
        };
        entry.clone_into(&mut line[5]);
    }

    lines
}

/// Reads lines as a table of it.
fn taken(lines: &Lines, by: Option<&str>) -> Result<ByHand, Vec<String>> {
    let (exam, form) = asked();

    read(&table(lines), (&exam, &form, Allowance::NONE), by)
}

/// The faults of a good table once it is spoilt.
fn spoilt(spoil: impl FnOnce(&mut Lines)) -> Vec<String> {
    let mut lines = good();
    spoil(&mut lines);

    taken(&lines, Some("Inez")).err().unwrap_or_default()
}

/// The line of an item and part, from 0.
fn at(lines: &Lines, item: u32, part: &str) -> usize {
    let item = item.to_string();
    let found = lines
        .iter()
        .position(|line| line[0] == item && line[2] == part);
    found.unwrap_or_else(|| panic!("no line {item} {part}"))
}

/// Sets cells, by item, part and column, and wants one fault there that says something.
#[track_caller]
fn check(item: u32, part: &str, column: &str, text: &str, expected: &str) {
    let place = HEADS.iter().position(|head| *head == column).unwrap();
    let mut line = 0;
    let faults = spoilt(|lines| {
        line = at(lines, item, part) + 2;
        text.clone_into(&mut lines[line - 2][place]);
    });

    let [fault] = faults.as_slice() else {
        panic!("{item} {part} {column} {text:?}: {faults:#?}");
    };
    let head = format!("line {line}, column {column}: expected ");
    assert!(fault.starts_with(&head), "{fault}");
    assert!(fault.contains(expected), "{fault}\nfor {expected}");
    if !text.is_empty() {
        assert!(fault.contains(&format!("`{text}`")), "{fault}");
    }
}

#[test]
fn a_good_table_has_no_fault() {
    assert_eq!(spoilt(|_| {}), Vec::<String>::new());
}

#[test]
fn an_entry_that_cannot_be_is_told_with_what_can_be() {
    for text in ["5", "-1", "3.5", "four", "4 of 4", "3;", "⁴"] {
        check(
            1,
            "",
            "entry",
            text,
            "a level from 0 to 4, `not reached` or `void`",
        );
    }
    for text in ["6", "5.25", "five", "-1", "1e1"] {
        check(
            10,
            "harmony",
            "entry",
            text,
            "a number of chords from 0 to 5 in steps of 0.5",
        );
    }
    check(10, "leading", "entry", "5", "a step from 1 to 4, or 0");
    check(10, "readiness", "entry", "0", "a step from 1 to 4");
    check(11, "time", "entry", "1,5", "a step from 0 to 4");
    check(12, "1", "entry", "m7b", "maj7, 7, m7, `right`, `wrong`");
    check(12, "2", "entry", "m7", "third, fifth, seventh");
    for text in ["17", "H", "?", "1/3"] {
        check(
            18,
            "",
            "entry",
            text,
            "the notes as written, such as `C Eb Gb`",
        );
    }
    for text in ["11", "10,5", "-1", "void", "good"] {
        check(21, "", "entry", text, "a mark from 0 to 10, or `awaited`");
    }
}

#[test]
fn what_is_missing_is_told_unless_it_was_not_reached() {
    check(
        1,
        "",
        "entry",
        "",
        "found nothing; where it was not asked enter `not reached`",
    );
    check(
        10,
        "voicing",
        "entry",
        "",
        "for item 10, voicing, found nothing",
    );
    check(12, "2", "entry", "", "for item 12, 2, found nothing");
    check(
        21,
        "",
        "entry",
        "",
        "where it was not asked enter `awaited`",
    );
}

#[test]
fn a_time_must_be_one_and_fit_its_level() {
    for text in ["soon", "-1", "4:20", "4.2.1", "99999"] {
        check(
            1,
            "",
            "seconds",
            text,
            "seconds such as 4.2 or 4,2, or nothing",
        );
    }
    // What was noted of a run, an answer or a panel has no time.
    for (item, part) in [(10, "harmony"), (12, "1"), (18, ""), (21, "")] {
        check(
            item,
            part,
            "seconds",
            "3.5",
            "only a single chord with its level has a time",
        );
    }
    for (level, late, latest) in [("4", "6,1", "6"), ("3", "9.01", "9"), ("2", "12.1", "12")] {
        let faults = spoilt(|lines| {
            level.clone_into(&mut lines[0][5]);
            late.clone_into(&mut lines[0][6]);
        });
        let expected = format!(
            "line 2, column seconds: expected at most {latest} s for level {level} of item 1, whose \
             limit is 6 s, found `{late}`; mend the level or the time"
        );
        assert_eq!(faults, [expected]);
    }
    let fits = spoilt(|lines| {
        "2".clone_into(&mut lines[0][5]);
        "12".clone_into(&mut lines[0][6]);
    });
    assert_eq!(fits, Vec::<String>::new());
}

#[test]
fn lines_of_no_item_and_lines_twice_are_told() {
    check(1, "", "part", "harmony", "nothing for item 1");
    check(
        10,
        "leading",
        "part",
        "time",
        "whole, harmony, voicing, leading, readiness",
    );
    for text in ["99", "0", "A 1", "1.5", "-1"] {
        let faults = spoilt(|lines| text.clone_into(&mut lines[0][0]));
        let [first, missing] = faults.as_slice() else {
            panic!("{text}: {faults:#?}");
        };
        let expected = format!(
            "line 2, column item: expected an item's number as on the paper, 1 to 33, found `{text}`"
        );
        assert_eq!(*first, expected);
        assert!(missing.starts_with("expected a line for item 1, found none; put it in again"));
    }
    let twice = spoilt(|lines| {
        let line = lines[0].clone();
        lines.push(line);
    });
    assert_eq!(twice.len(), 1, "{twice:#?}");
    assert!(
        twice[0].ends_with("expected one line for item 1, found another on line 2; take one out")
    );
}

#[test]
fn a_run_is_marked_as_a_whole_or_by_its_parts() {
    let both = spoilt(|lines| "80".clone_into(&mut lines[9][5]));
    assert_eq!(both.len(), 4, "{both:#?}");
    assert!(both[0].contains("expected nothing, as line 11 marks run 10 as a whole, found `"));
    let whole = spoilt(|lines| {
        "67,5 %".clone_into(&mut lines[9][5]);
        for line in &mut lines[10..14] {
            line[5].clear();
        }
    });
    assert_eq!(whole, Vec::<String>::new());
    let more = spoilt(|lines| {
        "3".clone_into(&mut lines[10][5]);
        "3.5".clone_into(&mut lines[11][5]);
    });
    assert_eq!(more.len(), 1, "{more:#?}");
    assert!(more[0].contains("no more chords in the form asked than chords that are right"));
    let unreached = spoilt(|lines| "Not reached".clone_into(&mut lines[9][5]));
    assert_eq!(unreached.len(), 4, "{unreached:#?}");
    assert!(unreached[0].contains("as line 11 says that item 10 is not reached, found"));
}

#[test]
fn a_voided_item_says_why_and_its_spare_one_takes_its_place() {
    let unsaid = spoilt(|lines| "void".clone_into(&mut lines[0][5]));
    assert_eq!(
        unsaid,
        ["line 2, column remark: expected why item 1 was voided, found nothing"]
    );

    let (_, form) = asked();
    for spare in form
        .reserve
        .iter()
        .filter(|spare| spare.task.word() == "voicing")
    {
        let same = |item: &&Item| item.section == spare.section && item.cell == spare.cell;
        let voided = form.items.iter().find(same).unwrap().number;
        let other = form
            .reserve
            .iter()
            .filter(same)
            .find(|of| of.number != spare.number);
        let enter = |lines: &mut Lines, number: u32, entry: &str| {
            let line = at(lines, number, "");
            entry.clone_into(&mut lines[line][5]);
            if entry == "void" {
                "a door".clone_into(&mut lines[line][8]);
            }
        };
        let alone = spoilt(|lines| enter(lines, spare.number, "3"));
        let begins = format!(
            "spare item {} was entered, but no item is voided whose place it takes",
            spare.number
        );
        assert_eq!(alone.len(), 1, "{alone:#?}");
        assert!(alone[0].starts_with(&begins), "{}", alone[0]);
        let placed = spoilt(|lines| {
            enter(lines, voided, "void");
            enter(lines, spare.number, "3");
        });
        assert_eq!(placed, Vec::<String>::new());
        // A second one takes a place only where the first was voided too.
        let Some(other) = other.filter(|other| other.number > spare.number) else {
            continue;
        };
        for (first, faults) in [("3", 1), ("void", 0)] {
            let found = spoilt(|lines| {
                enter(lines, voided, "void");
                enter(lines, spare.number, first);
                enter(lines, other.number, "2");
            });
            assert_eq!(found.len(), faults, "{found:#?}");
        }
    }
}

/// Whatever stands in a cell, it is read or told of.
#[test]
fn no_cell_can_bring_it_down() {
    let (exam, form) = asked();
    let of = (&exam, &form, Allowance::NONE);
    let good = good();
    let long = "♭".repeat(600);
    let odd = [
        "",
        "void",
        "not reached",
        "awaited",
        "none",
        "right",
        "999999999999999999999",
        "-0",
        "\0",
        "=1+1",
        "'4",
        "4,",
        ",4",
        "0,00000001",
        "C Eb Gb Bbb",
        "m7 / third",
        "🎹",
        long.as_str(),
    ];

    for line in (0..good.len()).step_by(3) {
        for column in [0, 2, 5, 6, 7, 8, 10] {
            for text in odd {
                let mut lines = good.clone();
                text.clone_into(&mut lines[line][column]);
                let read = read(&table(&lines), of, Some("Inez"));
                let faults = read.err().unwrap_or_default();
                assert!(
                    faults
                        .iter()
                        .all(|fault| fault.contains("expected ") || fault.contains("spare"))
                );
            }
        }
    }
    // Cut anywhere, a table is told of and never half read.
    let whole = table(&good);
    for end in (0..whole.len())
        .step_by(211)
        .filter(|end| whole.is_char_boundary(*end))
    {
        assert!(read(&whole[..end], of, Some("Inez")).is_err(), "{end}");
    }
}

#[test]
fn all_faults_are_told_at_once() {
    let faults = spoilt(|lines| {
        "9".clone_into(&mut lines[0][5]);
        "x".clone_into(&mut lines[1][6]);
        lines[2][5].clear();
        "77".clone_into(&mut lines[3][0]);
    });
    let heads = [
        "line 2, column entry",
        "line 3, column seconds",
        "line 4, column entry",
        "line 5, column item",
        "expected a line for item 4",
    ];
    assert_eq!(faults.len(), heads.len(), "{faults:#?}");
    for (fault, head) in faults.iter().zip(heads) {
        assert!(fault.starts_with(head), "{fault}");
    }
}

#[test]
fn a_table_of_another_exam_form_or_script_is_refused_in_one_line() {
    for (column, name, word) in [
        (9, "exam", "trio"),
        (10, "form", "222-22A"),
        (11, "script", "sha256:0"),
    ] {
        let faults = spoilt(|lines| {
            for line in lines {
                word.clone_into(&mut line[column]);
            }
        });
        let [fault] = faults.as_slice() else {
            panic!("{faults:#?}");
        };
        assert!(
            fault.starts_with(&format!("line 2, column {name}: expected `")),
            "{fault}"
        );
        let said = format!("found `{word}`: the whole table is of another {name}; ");
        assert!(fault.contains(&said), "{fault}");
        // A line that came from elsewhere is told by itself.
        let faults = spoilt(|lines| word.clone_into(&mut lines[4][column]));
        assert_eq!(faults.len(), 1);
        assert!(faults[0].contains("line 6, ") && faults[0].contains("this line is of another"));
    }
}

#[test]
fn who_marked_is_asked_for_once() {
    let mut lines = good();
    assert_eq!(
        taken(&lines, None).unwrap_err(),
        [
            "line 2, column by: expected who marked this, found nothing (nor do 21 more); fill the \
          column, or give the examiner's name once with --by NAME"
        ]
    );
    for line in &mut lines {
        "Inez".clone_into(&mut line[7]);
    }
    "Otto".clone_into(&mut lines[10][7]);
    let read = taken(&lines, None).unwrap();
    assert_eq!(read.examiners(), ["Inez", "Inez and Otto"]);
}

/// As spreadsheets write it: other signs between, a mark before, lines ends, quotes, blank lines.
#[test]
fn a_table_is_read_however_a_spreadsheet_wrote_it() {
    let (exam, form) = asked();
    let mut lines = good();
    "Top note late,\nthen \"right\"; well".clone_into(&mut lines[0][8]);
    let plain = table(&lines);
    let of = (&exam, &form, Allowance::NONE);
    let expected = read(&plain, of, Some("Inez")).unwrap();
    assert_eq!(
        expected.items[&1].remark,
        "Top note late, then \"right\"; well"
    );

    let again = |sign: u8, end: csv::Terminator, quotes: csv::QuoteStyle| {
        let mut out = csv::WriterBuilder::new()
            .delimiter(sign)
            .terminator(end)
            .quote_style(quotes)
            .from_writer(Vec::new());
        out.write_record(HEADS).unwrap();
        for line in &lines {
            out.write_record(line).unwrap();
        }
        String::from_utf8(out.into_inner().unwrap()).unwrap()
    };
    let any = csv::Terminator::Any(b'\n');
    let always = csv::QuoteStyle::Always;
    let needed = csv::QuoteStyle::Necessary;
    let mut texts = vec![
        again(b';', any, needed),
        again(b'\t', csv::Terminator::CRLF, needed),
        again(b',', csv::Terminator::CRLF, always),
        format!("sep=;\r\n{}", again(b';', csv::Terminator::CRLF, always)),
    ];
    let marked: Vec<String> = texts.iter().map(|text| format!("\u{feff}{text}")).collect();
    texts.extend(marked);
    // Columns the other way round, one more between, and blank lines.
    let turned: String = std::iter::once(HEADS.map(str::to_owned).to_vec())
        .chain(lines.clone())
        .map(|line| {
            let cells: Vec<String> = line
                .iter()
                .rev()
                .map(|cell| format!("\"{}\"", cell.replace('"', "\"\"")))
                .collect();
            format!("note;{}\n;;;;\n\n", cells.join(";"))
        })
        .collect();
    texts.push(turned);
    for text in texts {
        let found = read(&text, of, Some("Inez"));
        assert_eq!(
            found.as_ref(),
            Ok(&expected),
            "{}",
            &text[..text.len().min(200)]
        );
    }

    // The line that is told is the file's, after blank ones and texts over several lines too.
    "9".clone_into(&mut lines[1][5]);
    let text = table(&lines).replacen("\n2,A", "\n\n\n2,A", 1);
    let faults = read(&text, of, Some("Inez")).unwrap_err();
    assert_eq!(faults.len(), 1);
    let line = text
        .lines()
        .position(|line| line.starts_with("2,A"))
        .unwrap()
        + 1;
    assert!(
        faults[0].starts_with(&format!("line {line}, column entry")),
        "{} for {line}",
        faults[0]
    );
}

#[test]
fn what_is_no_table_is_told() {
    let (exam, form) = asked();
    let of = (&exam, &form, Allowance::NONE);
    let heads = HEADS.join(",");
    for (text, expected) in [
        (
            String::new(),
            "expected a first line with the columns item, part, entry",
        ),
        (
            "\u{feff}\n\n".to_owned(),
            "expected a first line with the columns",
        ),
        (
            "what,is,this\n1,2,3\n".to_owned(),
            "line 1, expected a column `item`, found none",
        ),
        (
            heads.replace("entry", "mark"),
            "line 1, expected a column `entry`, found none",
        ),
        (
            format!("{heads},entry\n"),
            "expected one column `entry`, found several",
        ),
        (heads.clone(), "expected a line for each item, found none"),
        (
            format!("{heads}\n,,,,,,,,,,,\n"),
            "expected a line for each item, found none",
        ),
    ] {
        let faults = read(&text, of, Some("Inez")).unwrap_err();
        assert!(faults[0].contains(expected), "{text:?}: {faults:#?}");
    }
}

#[test]
fn words_are_read_in_any_case_and_answers_by_the_rules() {
    let mut lines = good();
    let mut set = |item: u32, part: &str, text: &str| {
        let line = at(&lines, item, part);
        text.clone_into(&mut lines[line][5]);
    };
    set(12, "1", "WRONG");
    set(12, "2", "Right");
    set(13, "1", "NONE");
    set(14, "1", "NOT REACHED");
    set(14, "2", "");
    set(18, "", "2");
    set(19, "", "wrong");
    set(20, "", "C E");
    set(21, "", "Awaited");
    let read = taken(&lines, Some("Inez")).unwrap();
    let note = |item: u32| read.items[&item].note.clone();
    assert_eq!(
        note(12),
        Note::Heard(vec![Heard::Told(false), Heard::Told(true)])
    );
    assert_eq!(
        note(13),
        Note::Heard(vec![Heard::Nothing, Heard::Answer("third".to_owned())])
    );
    assert_eq!((note(14), note(21)), (Note::Nothing, Note::Nothing));
    assert_eq!(note(18), Note::Tones(2));
    assert_eq!(note(19), Note::Tones(0));
    assert_eq!(note(20), Note::Spelled(Some("C E".to_owned())));
}
