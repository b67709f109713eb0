//! Sheets of sittings whose keys are known.

use std::collections::BTreeMap;

use super::*;
use crate::exam::code::Code;
use crate::exam::form::{Form, Task};
use crate::exam::{draw, read};
use crate::fraction::Fraction;
use crate::marking::Event;
use crate::marking::event::Action;
use crate::marking::item::Allowance;
use crate::results::{document, summary};
use crate::sitting::equipment::Equipment;
use crate::sitting::outcome::outcome;
use crate::sitting::{End, Incident, Past, Showing};
use crate::theory::Key;

const SCRIPT: &str = r#"
title = "Try-out"
level = "class"
edition = "1"
about = "A try-out."
pass = 60

[rules]
timing = "Time is examined."
seats = 1
warm_ups = 0
reserve = 20

[[band]]
from = 82
name = "assured"

[[band]]
from = 0
name = "not yet"

[[section]]
id = "A"
title = "Cold voicings"
kind = "voicing"
points = 50
hurdle = 30
seconds = 6
grace = 2
gap = 2
form = "guide-tones"
cells = [
    { count = 6, quality = "7", order = "third on top" },
    { count = 6, quality = "m7", roots = ["Db", "C", "F", "Bb", "E", "G"], order = "seventh on top" },
]

[[section]]
id = "B"
title = "Runs"
kind = "run"
points = 20
gap = 3
form = "guide-tones"
cells = [
    { progression = "ii-V-I", roots = ["F"], start = "seventh on top", tempo = 120, bars_in = 1, look = 10 },
]

[[section]]
id = "C"
title = "Listening"
kind = "ear"
ask = "quality"
points = 10
seconds = 10
hearings = 2
gap = 2
options = ["maj7", "7", "m7"]
cells = [
    { count = 2, quality = "maj7", spacing = "close" },
    { count = 2, quality = "7", spacing = "close" },
    { count = 6, quality = "m7", spacing = "close" },
]

[[section]]
id = "D"
title = "Spelling"
kind = "spell"
points = 10
seconds = 20
gap = 2
cells = [{ count = 1, quality = "7", roots = ["Ab"] }]

[[section]]
id = "E"
title = "Time feel"
kind = "panel"
points = 10
criteria = ["Steady time", "Sound"]
"#;

/// How a student answers: what is done in an item, given its place among those of its kind.
struct Student {
    voicing: fn(usize, &Item) -> Vec<Event>,
    ear: fn(usize, &Item) -> Option<String>,
    spell: &'static str,
}

/// Answers everything right, in two seconds.
const GOOD: Student = Student {
    voicing: |_, item| chord(item, 2000, |_| {}),
    ear: |_, item| right(item),
    spell: "Ab C Eb Gb",
};

fn ms(ms: i64) -> Time {
    Time::from_ms(ms)
}

fn key(number: i64) -> Key {
    Key::new(number).unwrap()
}

/// The chord asked, changed, struck at a time and held for half a second.
fn chord(item: &Item, at: i64, change: fn(&mut Vec<i64>)) -> Vec<Event> {
    let Task::Voicing(task) = &item.task else {
        return Vec::new();
    };
    let keys = task.voicing.realise(task.chord.root.class()).unwrap();
    let mut numbers: Vec<i64> = keys.iter().map(|key| i64::from(key.number())).collect();
    change(&mut numbers);

    let struck = numbers.iter().enumerate().map(|(place, number)| {
        let at = ms(at - 10 * (numbers.len() - 1 - place) as i64);
        Event::new(at, Action::Down(key(*number), 70 + place as u8))
    });
    let raised = numbers
        .iter()
        .map(|number| Event::new(ms(at + 2000), Action::Up(key(*number))));

    struck.chain(raised).collect()
}

fn right(item: &Item) -> Option<String> {
    match &item.task {
        Task::Ear(task) => Some(task.options[0][task.right[0]].clone()),
        _ => None,
    }
}

fn drawn() -> (Exam, Form) {
    let (exam, diagnostics) = read::read(SCRIPT, "try-out");
    let exam = exam.unwrap_or_else(|| panic!("{diagnostics:#?}"));
    let form = draw::draw(&exam, Code::FIRST).unwrap();

    (exam, form)
}

fn past(form: &Form, student: &Student) -> Past {
    let mut showings = Vec::new();
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let mut now = ms(10_000);

    for item in &form.items {
        let place = counts.entry(item.task.word()).or_default();
        let events = match &item.task {
            Task::Voicing(_) => (student.voicing)(*place, item),
            Task::Ear(_) => (student.ear)(*place, item)
                .map(|text| vec![Event::new(ms(3000), Action::Answer(text))])
                .unwrap_or_default(),
            Task::Spell(_) => vec![Event::new(
                ms(9000),
                Action::Answer(student.spell.to_owned()),
            )],
            Task::Run(_) => Vec::new(),
            Task::Panel(_) => continue,
        };
        *place += 1;
        showings.push(Showing {
            number: item.number,
            shown: now,
            zero: now,
            events,
            ended: None,
            added: Time::ZERO,
            voided: None,
        });
        now += ms(15_000);
    }

    Past {
        now,
        showings,
        incidents: Vec::new(),
        panel: BTreeMap::new(),
        overrules: Vec::new(),
        end: Some(End::Complete),
    }
}

fn given() -> Given {
    Given {
        program: "1.0.0".to_owned(),
        script: SCRIPT.to_owned(),
        digest: "5f0c91ab".repeat(8),
        candidate: "3118".to_owned(),
        started: "2026-03-12T10:21:00+01:00".to_owned(),
        equipment: Equipment {
            instrument: "MIDI keyboard".to_owned(),
            ..Equipment::default()
        },
        remark: None,
        journal: None,
    }
}

fn sat(student: &Student, change: impl FnOnce(&Form, &mut Past)) -> Sitting {
    let (exam, form) = drawn();
    let mut past = past(&form, student);
    change(&form, &mut past);

    Sitting::restored(exam, form, Allowance::NONE, past)
}

fn of(sitting: &Sitting, given: &Given, earlier: &[Summary]) -> Content {
    content(sitting, given, &outcome(sitting), "8e27-44d1", earlier)
}

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
    // A single run has no error, so the total has none.
    assert!(
        development.words[0].ends_with("no sure change, as a standard error is not known."),
        "{:?}",
        development.words
    );
    assert_eq!(development.words[1], "Surer in section A (33 to 100 %).");
    assert!(development.words[2].starts_with("Right at once now and not then: "));
    assert!(development.words[2].ends_with("a hint, not a proof."));
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
