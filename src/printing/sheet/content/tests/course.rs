//! What happened in a sitting, and before it.

use super::*;

#[test]
fn an_interruption_is_one_line_with_what_came_in_its_place() {
    let sitting = sat(&GOOD, |form, past| {
        let reserve = form.reserve[0].number;
        let shown = past.showings[2].clone();
        past.showings[2].voided = Some("keyboard not heard".to_owned());
        let mut again = shown.clone();
        again.number = reserve;
        again.shown = shown.shown + ms(12_000);
        past.showings.insert(3, again);
        let incident = |at: i64, kind: &str, text: &str, by: &str| Incident {
            at: shown.shown + ms(at),
            item: Some(shown.number),
            kind: kind.to_owned(),
            text: text.to_owned(),
            by: by.to_owned(),
        };
        past.incidents = vec![
            incident(1000, "clock stopped", "keyboard not heard", ""),
            incident(11_000, "clock started", "", ""),
            incident(11_500, "noise", "drums next door", "Ines"),
        ];
    });
    let sheet = of(&sitting, &given(), &[]);
    let reserve = sitting.form().reserve[0].number;
    let number = sitting.form().items[2].number;

    assert_eq!(
        sheet.incidents,
        [
            Happened {
                when: "10:21:41".to_owned(),
                text: format!(
                    "A {number}: keyboard not heard; the clock stood still for 10 seconds. \
                     Item voided; reserve item A {reserve} in its place (program)."
                ),
            },
            Happened {
                when: "10:21:51".to_owned(),
                text: format!("A {number}: noise: drums next door (Ines)."),
            },
        ]
    );
}

#[test]
fn a_void_sitting_neither_passes_nor_fails() {
    let sitting = sat(&GOOD, |_, past| {
        past.end = Some(End::Void("pain in the wrist".to_owned()));
        past.showings.truncate(5);
    });
    let sheet = of(&sitting, &given(), &[]);

    assert_eq!(sheet.grade.word, "Void");
    assert!(sheet.notes[0].contains("void, not failed"));
    assert!(
        sheet
            .grade
            .sentences
            .iter()
            .all(|text| !text.contains("pass mark"))
    );
}

#[test]
fn what_came_before_is_told_with_no_more_certainty_than_it_has() {
    let earlier = |student: &Student, started: &str| {
        let mut given = given();
        given.started = started.to_owned();
        let text = document::write(&sat(student, |_, _| {}), &given);
        summary::read(&text).unwrap()
    };
    let weak = Student {
        voicing: |place, item| {
            if place % 3 == 2 {
                chord(item, 2000, |_| {})
            } else {
                chord(item, 2000, |keys| *keys.last_mut().unwrap() += 1)
            }
        },
        ..GOOD
    };
    let summaries = [
        earlier(&weak, "2026-03-05T10:00:00+01:00"),
        earlier(&GOOD, "2026-02-05T10:00:00+01:00"),
        // Later than this sitting, so no part of its development.
        earlier(&GOOD, "2026-04-05T10:00:00+01:00"),
    ];
    let sheet = of(&sat(&GOOD, |_, _| {}), &given(), &summaries);
    let development = sheet.development.unwrap();

    let dates: Vec<&str> = development
        .rows
        .iter()
        .map(|row| row.date.as_str())
        .collect();
    assert_eq!(dates, ["5 February 2026", "5 March 2026", "12 March 2026"]);
    assert!(development.rows[2].this);
    assert!(development.words[0].starts_with("The last two sittings had the same form"));
    // A single run has no error, so the total has none.
    assert!(
        development.words[1].ends_with("no sure change, as a standard error is not known."),
        "{:?}",
        development.words
    );
    assert_eq!(development.words[2], "Surer in section A (33 to 100 %).");
    assert!(development.words[3].starts_with("Right at once now and not then: "));
    assert!(development.words[3].ends_with("a hint, not a proof."));
    let mut other = given();
    other.candidate = "4000".to_owned();
    assert_eq!(
        of(&sat(&GOOD, |_, _| {}), &other, &summaries).development,
        None
    );
}

#[test]
fn the_rubric_is_that_of_the_exam() {
    let sheet = of(&sat(&GOOD, |_, _| {}), &given(), &[]);
    let levels: Vec<(u8, u8)> = sheet
        .rubric
        .levels
        .iter()
        .map(|level| (level.level, level.credit))
        .collect();
    let criteria: Vec<(&str, &str)> = sheet
        .rubric
        .criteria
        .iter()
        .map(|criterion| (criterion.name, criterion.weight.as_str()))
        .collect();

    assert_eq!(levels, [(4, 100), (3, 75), (2, 50), (1, 25), (0, 0)]);
    assert_eq!(
        criteria,
        [
            ("harmony", "40"),
            ("voicing", "20"),
            ("voice leading", "10"),
            ("time", "15")
        ]
    );
}
