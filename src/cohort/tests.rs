//! Small cohorts whose figures can be worked out by hand.

use super::*;
use crate::results::summary::{Ear, Item, Section};
use crate::sitting::journal::Head;

/// A summary of a one-section exam whose items have these credits in hundredths.
fn summary(candidate: &str, form: &str, credits: &[i64]) -> Summary {
    let points = 100 * credits.len() as i64;
    let mark = credits.iter().sum();

    Summary {
        digest: Head::START.then(format!("{candidate} {form} {credits:?}").as_bytes()),
        program: "0.1.0".to_owned(),
        rubric: 1,
        remark_of: None,
        exam: "quiz".to_owned(),
        title: "Quiz".to_owned(),
        edition: String::new(),
        exam_digest: "ab".repeat(32),
        form: form.to_owned(),
        candidate: candidate.to_owned(),
        started: "2026-03-12T10:21:00Z".to_owned(),
        length_ms: Some(60_000.0),
        by_hand: Vec::new(),
        ended: "complete".to_owned(),
        factor: 100,
        mark,
        out_of: points,
        band: if mark * 2 >= points {
            "pass"
        } else {
            "not yet"
        }
        .to_owned(),
        passed: Some(mark * 2 >= points),
        error: None,
        provisional: false,
        sections: vec![Section {
            id: "A".to_owned(),
            title: "All".to_owned(),
            kind: "spell".to_owned(),
            mark,
            out_of: points,
            items: credits.len() as u32,
            error: None,
            hurdle: None,
            each: None,
        }],
        items: credits
            .iter()
            .zip(1..)
            .map(|(credit, number)| item(number, *credit))
            .collect(),
        walked: 0,
        chords: Vec::new(),
        gaps: Vec::new(),
        ears: Vec::new(),
        overrules: 0,
        incidents: 0,
    }
}

fn item(number: u32, credit: i64) -> Item {
    Item {
        number,
        section: "A".to_owned(),
        kind: "spell".to_owned(),
        cell: 1,
        prompt: format!("question {number}"),
        counts: true,
        reached: true,
        level: (credit / 25) as u8,
        credit: Some(credit),
        mark: credit,
        out_of: 100,
        ..Item::default()
    }
}

fn report(results: &[(&str, Summary)]) -> Report {
    let mut cohort = Cohort::default();
    for (file, summary) in results {
        cohort.add(file, summary);
    }

    cohort.report()
}

fn remark(of: (&str, &Summary), with_digest: bool, credits: &[i64]) -> Summary {
    let (name, old) = of;
    let mut new = summary(&old.candidate, &old.form, credits);
    new.digest = old.digest.then(format!("{credits:?}").as_bytes());
    new.remark_of = Some((name.to_owned(), with_digest.then(|| old.digest.to_string())));

    new
}

#[test]
fn of_a_chain_the_last_counts_and_of_copies_one() {
    let first = summary("1", "222-229", &[0, 100]);
    let second = remark(("one.toml", &first), true, &[100, 100]);
    let third = remark(("other-name.toml", &second), true, &[25, 100]);
    let found = report(&[
        ("b/copy-of-one.toml", first.clone()),
        ("one.toml", first.clone()),
        ("one-remark.toml", second.clone()),
        ("one-remark-2.toml", third),
    ]);

    let aside: Vec<(&str, chain::Why)> = found
        .set_aside
        .iter()
        .map(|of| (of.file.as_str(), of.why))
        .collect();
    assert_eq!(
        aside,
        [
            ("b/copy-of-one.toml", chain::Why::Copy),
            ("one-remark.toml", chain::Why::Remarked),
            ("one.toml", chain::Why::Remarked),
        ]
    );
    let [row] = found.exams[0].rows.as_slice() else {
        panic!("{found:?}")
    };
    assert_eq!((row.mark, row.file.as_str()), (125, "one-remark-2.toml"));

    // An older program told no digest: the name in the same folder tells, and in no other.
    let second = remark(("one.toml", &first), false, &[100, 100]);
    let rows = |file| {
        report(&[("one.toml", first.clone()), (file, second.clone())]).exams[0]
            .rows
            .len()
    };
    assert_eq!((rows("two.toml"), rows("b/two.toml")), (1, 2));
}

#[test]
fn of_two_re_marks_of_one_result_the_later_name_counts() {
    let first = summary("1", "222-229", &[0, 100]);
    let found = report(&[
        (
            "a-remark-10.toml",
            remark(("a.toml", &first), true, &[25, 25]),
        ),
        (
            "a-remark-9.toml",
            remark(("a.toml", &first), true, &[50, 25]),
        ),
    ]);

    assert_eq!(found.exams[0].rows[0].mark, 50);
    assert_eq!(found.set_aside[0].why, chain::Why::Beside);

    // Two results that name each other end nothing.
    let mut one = summary("1", "222-229", &[0, 100]);
    let mut other = summary("1", "222-229", &[0, 0]);
    one.remark_of = Some(("b.toml".to_owned(), None));
    other.remark_of = Some(("a.toml".to_owned(), None));
    assert_eq!(
        report(&[("a.toml", one), ("b.toml", other)]).exams[0]
            .rows
            .len(),
        1
    );
}

#[test]
fn both_sittings_of_a_resit_count() {
    let mut again = summary("1", "333-338", &[100, 100]);
    again.started = "2026-04-12T10:21:00Z".to_owned();
    let found = report(&[
        ("a.toml", summary("1", "222-229", &[0, 0])),
        ("b.toml", again),
    ]);

    assert_eq!(found.exams[0].resits, [("1".to_owned(), 2)]);
    assert_eq!(found.exams[0].rows.len(), 2);
}

#[test]
fn void_sittings_and_those_that_wait_for_marks_are_not_weighed() {
    let mut void = summary("1", "222-229", &[0, 0]);
    void.ended = "void".to_owned();
    void.band = "void".to_owned();
    void.passed = None;
    let mut waits = summary("2", "222-229", &[100, 0]);
    waits.provisional = true;
    let found = report(&[
        ("a.toml", void),
        ("b.toml", waits),
        ("c.toml", summary("3", "222-229", &[100, 100])),
    ]);
    let exam = &found.exams[0];

    let bands: Vec<(&str, usize)> = exam
        .bands
        .iter()
        .map(|band| (band.name.as_str(), band.count))
        .collect();
    assert_eq!(bands, [("pass", 1), (class::AWAITED, 1), ("void", 1)]);
    assert_eq!(exam.settled, 1);
    assert_eq!(exam.forms.all.as_ref().map(|all| all.mean), Some(2.0));
    assert_eq!(exam.items[0].asked, 1);
}

/// Thirty candidates who do the better the later they come, with a question of the ear.
fn thirty(turned: bool) -> Exam {
    let results: Vec<Summary> = (0..30)
        .map(|candidate| {
            let good = candidate >= 15;
            let credits = [
                if good != turned { 100 } else { 0 },
                if good { 100 } else { 25 },
            ];
            let mut summary = summary(&candidate.to_string(), "222-229", &credits);
            let mut heard = item(3, if good { 100 } else { 0 });
            heard.kind = "ear".to_owned();
            heard.right = vec!["7".to_owned()];
            heard.answered = vec![if good { "7" } else { "m7" }.to_owned()];
            summary.mark += heard.mark;
            summary.items.push(heard);
            summary.ears.push(Ear {
                section: "A".to_owned(),
                part: 1,
                right: u32::from(good),
                items: 1,
                labels: ["maj7", "7", "m7"].map(str::to_owned).to_vec(),
                confusion: vec![
                    vec![0, 0, 0, 0],
                    vec![0, u32::from(good), u32::from(!good), 0],
                    vec![0, 0, 0, 0],
                ],
            });

            summary
        })
        .collect();
    let named: Vec<(String, Summary)> = results
        .into_iter()
        .enumerate()
        .map(|(place, summary)| (format!("{place}.toml"), summary))
        .collect();
    let named: Vec<(&str, Summary)> = named
        .iter()
        .map(|(file, summary)| (file.as_str(), summary.clone()))
        .collect();

    report(&named).exams.remove(0)
}

#[test]
fn a_question_that_the_weak_get_right_asks_for_its_key() {
    let exam = thirty(true);
    let first = words::to_look_at(&exam)[0];

    assert_eq!(first.words(), "A: question 1");
    assert_eq!(first.discrimination, Some(-1.0));
    assert!(first.look[0].contains("check the key"), "{:?}", first.look);
    assert_eq!(first.word(), "negative: check the key");
    assert_eq!(first.basis, crate::marking::statistics::Basis::Rough);
}

#[test]
fn a_wrong_answer_that_nobody_chooses_is_named() {
    let exam = thirty(false);
    let heard = exam.items.iter().find(|item| item.kind == "ear").unwrap();

    assert_eq!(
        heard.distractors,
        [(1, "maj7".to_owned(), 0), (1, "m7".to_owned(), 15)]
    );
    assert_eq!(
        heard.look,
        ["maj7 was chosen by under 5 %: it does nothing as a wrong answer"]
    );
    let matrix = &exam.confusions[0].counts;
    assert_eq!(matrix.commonest(3)[0].to_string(), "m7 for 7, 15 of 30");
}

#[test]
fn under_twenty_sittings_there_are_counts_and_no_figures() {
    let results: Vec<(String, Summary)> = (0..19)
        .map(|n| {
            (
                format!("{n}.toml"),
                summary(&n.to_string(), "222-229", &[100, 0]),
            )
        })
        .collect();
    let results: Vec<(&str, Summary)> = results
        .iter()
        .map(|(file, of)| (file.as_str(), of.clone()))
        .collect();
    let exam = report(&results).exams.remove(0);

    assert!(exam.items.iter().all(|item| item.look.is_empty()));
    let tables = table::tables(&exam, None, None);
    let items = tables
        .iter()
        .find(|table| table.name == "items.csv")
        .unwrap();
    assert!(
        items
            .csv()
            .contains("question 1,,19,19,counts only,,,0,0,0,0,19,,,,\n")
    );
}

#[test]
fn texts_that_a_spreadsheet_would_reckon_with_are_made_harmless() {
    let check = |text: &str, expected: &str| {
        let mut table = csv::Table::new("a.csv", []);
        table.text(text).end();
        assert_eq!(table.csv(), format!("\n{expected}\n"));
    };

    check("3118", "3118");
    check("=1+1", "'=1+1");
    check("+49", "'+49");
    check("-3", "'-3");
    check("@SUM(A1)", "'@SUM(A1)");
    check("\tx", "'\tx");
    check("=a,\"b\"", "\"'=a,\"\"b\"\"\"");
    let mut table = csv::Table::new("a.csv", []);
    table
        .number(Some(-0.5), 2)
        .number(Some(-0.001), 2)
        .number(Some(f64::NAN), 2)
        .end();
    assert_eq!(table.csv(), "\n-0.50,0.00,\n");
}

#[test]
fn the_order_in_which_results_come_in_changes_nothing() {
    let mut results: Vec<(String, Summary)> = (0..40)
        .map(|n| {
            let credits = [n * 37 % 5 * 25, n * 11 % 5 * 25, n * 3 % 2 * 100];
            let form = ["222-229", "222-33M", "222-446"][n as usize % 3];
            (
                format!("{n}.toml"),
                summary(&(n % 33).to_string(), form, &credits),
            )
        })
        .collect();
    let all = |results: &[(String, Summary)]| {
        let named: Vec<(&str, Summary)> = results
            .iter()
            .map(|(file, of)| (file.as_str(), of.clone()))
            .collect();
        let report = report(&named);
        let tables = table::tables(&report.exams[0], None, None);
        let csv: Vec<String> = tables.iter().map(|of| of.csv().to_owned()).collect();
        (csv, words::exam(&report.exams[0], None))
    };
    let straight = all(&results);
    results.reverse();
    assert_eq!(all(&results), straight);
    results.rotate_left(17);
    assert_eq!(all(&results), straight);
}

#[test]
fn a_cut_is_the_mean_of_the_judges_and_says_what_is_missing() {
    let exam = thirty(false);
    let estimates = cut::read(
        "judge,section,item,estimate\nA,A,1,60\nA,A,question 2,80\nA,A,3,10\nB,A,cell 1,50%\nB,A,1,90\n",
    )
    .unwrap();
    let sheet = cut::sheet(&exam, &estimates);

    let marks: Vec<Option<f64>> = sheet.judges.iter().map(|judge| judge.marks).collect();
    assert_eq!(marks, [Some(1.5), Some(1.9)]);
    assert!((sheet.cut.unwrap() - 1.7).abs() < 1e-9);
    assert!((sheet.deviation.unwrap() - 0.08_f64.sqrt()).abs() < 1e-9);
    assert!((sheet.error.unwrap() - 0.2).abs() < 1e-9);
    assert_eq!(sheet.reached, (15, 30));
    assert_eq!(
        sheet.warnings,
        ["line 4: A expects 10 % of item 3 in section A, and guessing alone brings 33 %"]
    );

    let one = cut::read("judge,section,item,estimate\nA,A,1,60\nA,Z,9,60\n").unwrap();
    let warnings = cut::sheet(&exam, &one).warnings.join("\n");
    assert!(
        warnings.contains("line 3: form 222-229 has no item 9 in section Z"),
        "{warnings}"
    );
    assert!(
        warnings.contains("no estimate for 2 of 3 items of section A"),
        "{warnings}"
    );
    assert!(warnings.contains("one judge alone"), "{warnings}");
}

#[test]
fn estimates_that_cannot_be_read_are_told_with_their_line() {
    let check = |text: &str, expected: &str| {
        let error = cut::read(text).unwrap_err().to_string();
        assert!(error.starts_with(expected), "{error}");
    };

    check("", "line 1: expected a column `judge`");
    check(
        "judge,section,item\n",
        "line 1: expected a column `estimate`",
    );
    check(
        "judge,section,item,estimate\n",
        "expected a row for each judge",
    );
    check(
        "judge,section,item,estimate\nA,,1,50\n",
        "line 2: expected a section's short name",
    );
    for wrong in ["much", "101", "-1", "nan", "inf"] {
        check(
            &format!("estimate,judge,section,item\n{wrong},A,A,1\n"),
            &format!("line 2: expected an estimate from 0 to 100 percent, found `{wrong}`"),
        );
    }
    check(
        "judge,section,item,estimate\nA,A,1,50\nA,A,1,60\n",
        "line 3: A has an estimate of item 1",
    );
}

#[test]
fn a_gradebook_has_the_same_identifiers_after_a_re_mark() {
    let first = summary("1", "222-229", &[0, 100]);
    let again = remark(("one.toml", &first), true, &[100, 100]);
    let id = |results: &[(&str, Summary)]| {
        let exam = report(results).exams.remove(0);
        let table = gradebook::results(&exam, str::to_owned);
        let row = table.csv().lines().nth(1).unwrap().to_owned();
        let cells: Vec<String> = row.split(',').map(str::to_owned).collect();
        (cells[0].clone(), cells[6].clone())
    };
    let (before, after) = (
        id(&[("one.toml", first.clone())]),
        id(&[("one.toml", first.clone()), ("two.toml", again)]),
    );

    assert_eq!(before.0, after.0);
    assert_eq!((before.1.as_str(), after.1.as_str()), ("1.00", "2.00"));
}
