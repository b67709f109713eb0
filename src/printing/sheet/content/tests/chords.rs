//! What the marks and the chords say.

use super::*;

#[test]
fn a_sheet_says_who_what_and_when() {
    let sheet = of(&sat(&GOOD, |_, _| {}), &given(), &[]);

    assert_eq!(sheet.title, "Try-out");
    assert_eq!(sheet.what, "Mark sheet");
    assert_eq!(sheet.candidate, "Candidate 3118");
    assert!(
        sheet
            .when
            .starts_with("Thursday 12 March 2026, 10:21 to 10:")
    );
    let code = drawn().1.code;
    assert_eq!(
        sheet.foot,
        format!("Form {code} · exam 5f0c-91ab · rubric 1 · program 1.0.0 · result 8e27-44d1")
    );
    assert_eq!(
        sheet.instrument,
        [
            "Played on a MIDI keyboard.",
            "Hands are inferred from pitch."
        ]
    );
    assert!(sheet.notes.is_empty());
    assert!(sheet.incidents.is_empty() && sheet.overruled.is_empty());
    assert_eq!(sheet.development, None);
}

#[test]
fn sections_stand_against_their_hurdles_and_panels_are_awaited() {
    let awaited = of(&sat(&GOOD, |_, _| {}), &given(), &[]);
    let row = |sheet: &Content, place: usize| {
        let of = &sheet.sections[place];
        (
            of.mark.clone(),
            of.of.clone(),
            of.error.clone(),
            of.note.clone(),
        )
    };
    let text = |text: &str| text.to_owned();
    assert_eq!(
        row(&awaited, 0),
        (
            text("100 %"),
            text("of 50"),
            text("2.1 or more"),
            text("hurdle 30 passed")
        )
    );
    assert_eq!(
        row(&awaited, 1),
        (text("0 %"), text("of 20"), text("not known"), text(""))
    );
    assert_eq!(
        row(&awaited, 4),
        (text("–"), text("of 10"), text("–"), text("awaited"))
    );
    assert_eq!(awaited.panel[0].share, "awaited");
    assert!(awaited.grade.sentences.contains(&text(
        "A person’s marks are awaited: the total is not final."
    )));

    let sitting = sat(&GOOD, |form, past| {
        for item in &form.items {
            if matches!(item.task, Task::Panel(_)) {
                let mark = (Fraction::new(4, 5), "Ines".to_owned());
                assert!(past.panel.insert(item.number, mark).is_none());
            }
        }
    });
    let sheet = of(&sitting, &given(), &[]);
    assert_eq!(
        row(&sheet, 4),
        (text("80 %"), text("of 10"), text("–"), text("by Ines"))
    );
    assert_eq!(sheet.panel[1].criterion, "Sound");
    assert_eq!(
        (sheet.panel[1].share.as_str(), sheet.panel[1].by.as_str()),
        ("80 %", "Ines")
    );
    assert_eq!(
        (sheet.grade.word.as_str(), sheet.grade.mark.as_str()),
        ("Not yet", "78")
    );
    assert_eq!(sheet.grade.of, "of 100 marks");
}

#[test]
fn a_missed_hurdle_is_said_beside_its_section() {
    let silent = Student {
        voicing: |_, _| Vec::new(),
        ..GOOD
    };
    let sheet = of(&sat(&silent, |_, _| {}), &given(), &[]);

    assert_eq!(sheet.sections[0].note, "hurdle 30 missed");
    assert!(sheet.sections[0].missed);
    assert!(sheet.grade.sentences.contains(
        &"Section A needs 30 of 50 marks and has 0: not passed, whatever the total.".to_owned()
    ));
    assert!(sheet.lost.chords.iter().all(|chord| {
        chord.fault == Fault::Nothing
            && chord.played == Hands::default()
            && chord.reason == "Nothing was played."
    }));
    assert_eq!(sheet.paces[0].words, "No chord was completed.");
}

#[test]
fn the_table_has_every_chord_with_level_and_time() {
    let sheet = of(&sat(&GOOD, |_, _| {}), &given(), &[]);
    let table = &sheet.keys[0];
    let askings: Vec<&Asking> = table
        .rows
        .iter()
        .flat_map(|row| row.cells.iter().flatten())
        .collect();

    assert_eq!(table.rows.len(), 2);
    assert_eq!(table.rows[0].words, "dominant seventh");
    assert_eq!(askings.len(), 12);
    assert!(askings.iter().all(|asking| asking.level == 4
        && !asking.bold
        && !asking.over
        && asking.seconds.as_deref() == Some("2.0")));
    assert!(
        table.legend.contains("m7 on D♭ is printed C♯m7"),
        "{}",
        table.legend
    );
    assert_eq!(sheet.paces[0].points.len(), 12);
}

#[test]
fn late_chords_are_bold_and_a_person_may_set_a_level() {
    let late = Student {
        voicing: |place, item| chord(item, if place == 0 { 7000 } else { 2000 }, |_| {}),
        ..GOOD
    };
    let mut sitting = sat(&late, |_, _| {});
    let first = sitting.form().items[0].number;
    let cell = |sheet: &Content| {
        let id = format!("A {first}");
        let mut all = sheet.keys[0]
            .rows
            .iter()
            .flat_map(|row| row.cells.iter().flatten());
        all.find(|asking| asking.id == id).cloned().unwrap()
    };
    let asking = cell(&of(&sitting, &given(), &[]));
    assert!(asking.bold && asking.over && asking.level == 3);
    assert_eq!(asking.seconds.as_deref(), Some("7.0"));

    sitting
        .overrule(
            first,
            2,
            (
                "It was the wrong pedal",
                "Ines",
                "2026-03-13T09:10:00+01:00",
            ),
        )
        .unwrap();
    let sheet = of(&sitting, &given(), &[]);
    assert_eq!(cell(&sheet).level, 2);
    assert_eq!(sheet.what, "Mark sheet after a second look");
    assert_eq!(
        sheet.overruled,
        [Happened {
            when: "13 March 2026, 09:10".to_owned(),
            text: format!("A {first}: level 2, level 3 before, by Ines: It was the wrong pedal."),
        }]
    );
    let lost = &sheet.lost.chords[0];
    assert_eq!((lost.level, lost.fault), (2, Fault::Late));
    assert_eq!(
        lost.reason,
        "Level 2 by Ines: It was the wrong pedal. Right, 1.0 s late."
    );
}

#[test]
fn lost_chords_show_one_of_each_kind_of_fault_first() {
    let faulty = Student {
        voicing: |place, item| match place {
            // The lower of the guide tones up an octave: the right notes in another order.
            0 | 1 => chord(item, 2000, |keys| {
                let low = keys.remove(2);
                keys.push(low + 12);
            }),
            // A semitone off the top: another third or seventh.
            2 | 3 => chord(item, 2000, |keys| *keys.last_mut().unwrap() += 1),
            // The fifth a semitone low.
            4 => chord(item, 2000, |keys| keys[1] -= 1),
            5 => chord(item, 11_000, |_| {}),
            6 => Vec::new(),
            _ => chord(item, 2000, |_| {}),
        },
        ..GOOD
    };
    let sheet = of(&sat(&faulty, |_, _| {}), &given(), &[]);
    let faults: Vec<Fault> = sheet.lost.chords.iter().map(|chord| chord.fault).collect();

    assert_eq!(
        faults,
        [
            Fault::Another,
            Fault::Colour,
            Fault::Place,
            Fault::Late,
            Fault::Nothing,
            Fault::Another,
            Fault::Place,
        ]
    );
    for chord in &sheet.lost.chords {
        assert!(chord.level < 3 && !chord.reason.is_empty() && !chord.order.is_empty());
        assert_eq!(chord.asked.left.len() + chord.asked.right.len(), 4);
        let played = chord.played.left.len() + chord.played.right.len();
        assert_eq!(played, if chord.fault == Fault::Nothing { 0 } else { 4 });
    }
}

#[test]
fn the_ear_is_told_with_its_confusions_and_their_limits() {
    let confused = Student {
        ear: |place, item| match (place % 3, right(item)?.as_str()) {
            (0, "m7") => Some("7".to_owned()),
            (1, "maj7") => None,
            (_, right) => Some(right.to_owned()),
        },
        ..GOOD
    };
    let sheet = of(&sat(&confused, |_, _| {}), &given(), &[]);
    let ear = &sheet.ears[0];

    assert_eq!(ear.title, "Listening");
    let texts: Vec<&str> = ear.labels.iter().map(|label| label.text.as_str()).collect();
    assert_eq!(texts, ["maj7", "7", "m7"]);
    let sum: usize = ear
        .rows
        .iter()
        .map(|row| row.counts.iter().sum::<usize>() + row.unanswered)
        .sum();
    assert_eq!(sum, 10);
    assert!(
        ear.words[0].starts_with("Most often confused: minor seventh taken for dominant seventh, "),
        "{:?}",
        ear.words
    );
    assert!(
        ear.words
            .last()
            .unwrap()
            .starts_with("Major seventh and dominant seventh sounded fewer than six times"),
        "{:?}",
        ear.words
    );
}

#[test]
fn runs_say_their_key_and_start_and_shares() {
    let sheet = of(&sat(&GOOD, |_, _| {}), &given(), &[]);
    let row = &sheet.runs.rows[0];

    assert_eq!(
        sheet.runs.columns,
        ["harmony", "voicing", "voice leading", "time"]
    );
    assert_eq!(row.what, "F major, starting with the seventh on top");
    assert_eq!(row.shares, [Some(0); 4]);
    assert!(!row.reason.is_empty());
}

#[test]
fn wrong_spellings_stand_beside_the_right_ones() {
    let wrong = Student {
        spell: "Ab C Eb F#",
        ..GOOD
    };
    let sheet = of(&sat(&wrong, |_, _| {}), &given(), &[]);

    assert_eq!(sheet.spelt.len(), 1);
    assert_eq!(sheet.spelt[0].right, "A♭ C E♭ G♭");
    assert_eq!(sheet.spelt[0].answered, "A♭ C E♭ F♯");
    assert_eq!(sheet.spelt[0].percent, 67);
    let right = of(&sat(&GOOD, |_, _| {}), &given(), &[]);
    assert!(right.spelt.is_empty());
}

#[test]
fn what_was_seen_hangs_on_what_the_instrument_tells() {
    let with = of(&sat(&GOOD, |_, _| {}), &given(), &[]).seen;
    assert_eq!(
        with[0],
        "Chords spread by 30 ms (median): together; by 30 ms at most: together."
    );
    assert_eq!(with[1], "Root in the bass 12 times of 12.");
    assert_eq!(with[2], "No key was grazed.");
    assert_eq!(with[3], "Both hands equally loud.");

    let mut without = given();
    without.equipment.without_touch = true;
    let sheet = of(&sat(&GOOD, |_, _| {}), &without, &[]);
    assert_eq!(sheet.seen[0], "Root in the bass 12 times of 12.");
    assert!(sheet.seen.iter().all(|text| !text.contains("loud")));
    assert!(sheet.instrument[1].contains("togetherness and balance are not reported"));
}
