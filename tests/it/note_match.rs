//! Counts of right, missing and foreign notes against those of mir_eval.
//!
//! `note_match_notes.csv` has a C7 as asked and as played; `note_match_scores.csv` what mir_eval
//! 0.8.2 makes of it. By pitch class its multipitch errors count what the rubric counts: a note
//! substituted is one missing and one foreign. Its note-by-note measures do not overlap with the
//! rubric, which asks neither for one octave nor for onsets within 50 ms.

use std::collections::{BTreeMap, BTreeSet};

use viva_voicing::exam::code::Code;
use viva_voicing::exam::script::Exam;
use viva_voicing::exam::{draw, form, read};
use viva_voicing::marking::Event;
use viva_voicing::marking::event::Action;
use viva_voicing::marking::item::{Allowance, Marked, mark};
use viva_voicing::marking::run::Step;
use viva_voicing::theory::Key;
use viva_voicing::time::Time;

/// One C7 alone, and one on the first beat after a bar of four seconds.
const EXAM: &str = r#"
title = "One chord"
[rules]
timing = "None is."
warm_ups = 0
reserve = 0
seats = 1
[[progression]]
name = "one"
bars = ["C7"]
[[section]]
id = "A"
title = "Alone"
kind = "voicing"
points = 50
seconds = 6
form = "guide-tones"
cells = [{ count = 1, quality = "7", roots = ["C"], order = "third on top" }]
[[section]]
id = "B"
title = "In tempo"
kind = "run"
points = 50
form = "guide-tones"
cells = [{ progression = "one", start = "third on top", tempo = 60, bars_in = 1 }]
"#;

/// What the rubric says of each case (rows of `marking.md`'s table of levels).
const LEVELS: &[(&str, u8)] = &[
    ("perfect", 4),
    // Another third or seventh, or none, is another chord.
    ("one_missing_3rd", 0),
    ("wrong_7th_maj7", 0),
    ("semitone_all", 0),
    // Two keys of four are no attempt.
    ("only_rh", 0),
    ("nothing_played", 0),
    ("one_extra_9th", 1),
    // Between the hands any distance will do.
    ("octave_up_rh", 4),
    ("onset_late_49ms_one", 4),
    ("onset_late_50ms_one", 4),
    ("onset_late_50.04ms_one", 4),
    ("onset_late_51ms_one", 4),
    ("rolled_30ms_each", 4),
    ("offset_early_0.40s_of_2s", 4),
    ("offset_early_0.41s_of_2s", 4),
    ("duplicate_note_restruck", 4),
];

/// A note: onset and offset in seconds, key.
type Note = (f64, f64, u8);

fn table(name: &str) -> Vec<BTreeMap<String, String>> {
    let path = format!(
        "{}/tests/fixtures/reference/{name}",
        env!("CARGO_MANIFEST_DIR")
    );

    csv::Reader::from_path(path)
        .expect("the table is there")
        .deserialize()
        .map(|row| row.expect("the table is whole"))
        .collect()
}

fn number(row: &BTreeMap<String, String>, column: &str) -> f64 {
    row[column].parse().expect("a number")
}

/// The notes of one side of a case.
fn notes(rows: &[BTreeMap<String, String>], case: &str, side: &str) -> Vec<Note> {
    rows.iter()
        .filter(|row| row["case"] == case && row["side"] == side)
        .map(|row| {
            let key = row["midi"].parse().expect("a key");
            (number(row, "onset_s"), number(row, "offset_s"), key)
        })
        .collect()
}

/// The notes as keys going down and up, from a moment on.
fn events(notes: &[Note], from: f64) -> Vec<Event> {
    let mut events: Vec<Event> = notes
        .iter()
        .flat_map(|(onset, offset, key)| {
            let key = Key::new(i64::from(*key)).expect("a key");
            let at = |seconds: f64| Time::from_seconds(from + seconds);
            [
                Event::new(at(*onset), Action::Down(key, 64)),
                Event::new(at(*offset), Action::Up(key)),
            ]
        })
        .collect();
    events.sort_by_key(|event| event.at);

    events
}

fn marked(exam: &Exam, item: &form::Item, notes: &[Note], from: f64) -> Marked {
    mark(exam, item, Allowance::NONE, &events(notes, from), None)
}

#[test]
fn missing_and_foreign_notes_are_those_that_mir_eval_counts_by_pitch_class() {
    let (exam, faults) = read::read(EXAM, "one");
    let exam = exam.unwrap_or_else(|| panic!("{faults:?}"));
    let form = draw::draw(&exam, Code::FIRST).expect("the form can be drawn");
    let rows = table("note_match_notes.csv");
    let scores = table("note_match_scores.csv");

    assert_eq!(scores.len(), LEVELS.len());
    for score in &scores {
        let case = score["case"].as_str();
        let asked = notes(&rows, case, "ref");
        let played = notes(&rows, case, "est");
        let of_asked = |column: &str| (number(score, column) * asked.len() as f64).round() as usize;
        // A key struck again is one key more to mir_eval, and the same key to the rubric.
        let again = usize::from(case == "duplicate_note_restruck");
        let substituted = of_asked("chroma_subst");
        let foreign = substituted + of_asked("chroma_false_alarm") - again;
        let missing = substituted + of_asked("chroma_miss");

        let Marked::Voicing(alone) = marked(&exam, &form.items[0], &played, 1.0) else {
            unreachable!("the first item is a voicing");
        };
        let level = LEVELS.iter().find(|(name, _)| *name == case);
        assert_eq!(alone.facts.foreign as usize, foreign, "{case}: foreign");
        assert_eq!(
            Some(alone.level),
            level.map(|(_, level)| *level),
            "{case}: level"
        );

        let Marked::Run(run) = marked(&exam, &form.items[1], &played, 4.0) else {
            unreachable!("the second item is a run");
        };
        let classes =
            |keys: &mut dyn Iterator<Item = u8>| keys.map(|key| key % 12).collect::<BTreeSet<u8>>();
        let asked_classes = classes(&mut asked.iter().map(|note| note.2));
        let heard = classes(&mut run.chords[0].keys.numbers());
        assert_eq!(
            asked_classes.difference(&heard).count(),
            missing,
            "{case}: missing"
        );
        let all_right = foreign + missing == 0;
        assert_eq!(
            run.chords[0].harmony == Step::Right,
            all_right,
            "{case}: harmony"
        );
    }
}
