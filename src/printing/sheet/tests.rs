//! Sheets as they are laid out: nothing is cut, nothing stands on the foot, all is told.

use super::content::tests::{GOOD, Student, chord, given, of, sat};
use super::content::{Content, Happened, Panel, Weighed};
use super::*;
use crate::printing::page::Kind;
use crate::printing::pdf;
use crate::printing::tests::meeting;

const FAULTY: Student = Student {
    voicing: |place, item| match place % 4 {
        0 => chord(item, 2000, |keys| *keys.last_mut().expect("a chord") += 1),
        1 => chord(item, 2000, |keys| keys[1] -= 1),
        2 => chord(item, 11_000, |_| {}),
        _ => Vec::new(),
    },
    ..GOOD
};

fn usual(student: &Student) -> Content {
    of(&sat(student, |_, _| {}), &given(), &[])
}

/// Checks that no mark leaves its page, and that what is read stays above the foot.
#[track_caller]
fn check_bounds(document: &Document) {
    let size = document.size;
    let margin = (size.width() - 666.0) / 2.0;

    for (number, page) in document.pages.iter().enumerate() {
        for piece in &page.pieces {
            for mark in &piece.marks {
                let bounds = mark.bounds();
                let text = format!("page {}: {mark:?}", number + 1);
                // A brace hangs in the gutter, half a letter's swash over the edge.
                assert!(bounds.left >= margin - 4.0, "{text}");
                assert!(bounds.right <= margin + 666.0 + 4.0, "{text}");
                assert!(bounds.top >= 50.0, "{text}");
                if piece.kind != Kind::Running {
                    let foot = size.height() - 59.0;
                    assert!(bounds.bottom <= foot, "{text}");
                }
            }
        }
    }
}

/// Lays a sheet out on both papers, and checks that it has so many pages.
#[track_caller]
fn check(content: &Content, pages: usize) -> Document {
    let letter = sheet(content, Size::Letter);
    check_bounds(&letter);
    let document = sheet(content, Size::A4);
    check_bounds(&document);
    assert_eq!(meeting(&document), [""; 0]);
    assert_eq!(document.pages.len(), pages);
    drop(pdf::write(&letter).expect("a sheet is painted"));
    drop(pdf::write(&document).expect("a sheet is painted"));

    document
}

fn whole(document: &Document) -> String {
    document
        .said()
        .iter()
        .map(|line| line.trim())
        .collect::<Vec<_>>()
        .join(" ")
        .replace('\u{a0}', " ")
}

#[test]
fn a_usual_sheet_has_two_pages() {
    for student in [&GOOD, &FAULTY] {
        let content = usual(student);
        let said = whole(&check(&content, 2));
        for text in content
            .grade
            .sentences
            .iter()
            .chain(&content.advice)
            .chain(&content.gaps)
            .chain(&content.seen)
            .chain(content.lost.chords.iter().map(|chord| &chord.reason))
        {
            assert!(said.contains(text.trim_end_matches('.')), "{text}\n{said}");
        }
    }
}

#[test]
fn sections_that_weigh_otherwise_have_a_line_of_their_own() {
    let mut content = usual(&GOOD);
    let usual = content.rubric.weights[0].weights.clone();
    content.rubric.weights.push(Weighed {
        sections: vec!["X".to_owned(), "Y".to_owned()],
        weights: usual.iter().map(|(name, _)| (*name, 60)).collect(),
    });

    let text = whole(&check(&content, 2));
    assert!(text.contains("weights in X and Y"), "{text}");
}

#[test]
fn every_lost_chord_is_engraved_or_told() {
    let content = usual(&FAULTY);
    let document = sheet(&content, Size::A4);
    let said = whole(&document);
    let engraved = document
        .said()
        .iter()
        .filter(|line| line.starts_with("played: "))
        .count();

    assert!(engraved > 0 && engraved < content.lost.chords.len());
    for chord in &content.lost.chords {
        let told = said.contains(&format!("item {} ", chord.id))
            || said.contains(&format!(
                "{} {}",
                chord.id,
                crate::theory::symbol::print(chord.chord, content.style)
            ));
        assert!(told, "{}\n{said}", chord.id);
    }
}

#[test]
fn a_perfect_sheet_has_room_for_the_rubric_in_full() {
    let said = whole(&check(&usual(&GOOD), 2));

    assert!(said.contains("right at the first attempt, no foreign key before it"));
    assert!(said.contains("Level, 4 to 0, and seconds to complete; the limit was 6 seconds"));
}

#[test]
fn what_must_be_said_is_never_cut() {
    let mut content = usual(&FAULTY);
    content.incidents = (0..60)
        .map(|place| Happened {
            when: format!("10:{place:02}:05"),
            text: format!(
                "A {place}: keyboard not heard; the clock stood still for {place} seconds. \
                 Item voided; reserve item A 71 in its place (program)."
            ),
        })
        .collect();
    content.notes = (0..50)
        .map(|place| format!("Changed: item {place}: level 2 → 3, for one reason or another."))
        .collect();
    content.panel = (0..12)
        .map(|place| Panel {
            id: format!("E {place}"),
            criterion: "Steady time".to_owned(),
            share: "80 %".to_owned(),
            by: format!("Examiner {place}"),
        })
        .collect();
    let section = content.sections[0].clone();
    content.sections = vec![section; 40];
    let row = content.keys[0].rows[0].clone();
    content.keys[0].rows = vec![row; 30];
    let run = content.runs.rows[0].clone();
    content.runs.rows = vec![run; 60];
    let lost = content.lost.chords.clone();
    content.lost.chords = std::iter::repeat_n(lost, 20).flatten().collect();
    content.candidate = "Candidate 31180000".to_owned();

    let document = sheet(&content, Size::A4);
    check_bounds(&document);
    assert!(document.pages.len() > 3);
    let said = whole(&document);
    for row in &content.incidents {
        assert!(said.contains(&row.text), "{}", row.text);
    }
    for note in &content.notes {
        assert!(said.contains(note), "{note}");
    }
    assert_eq!(said.matches("starting with the seventh on top").count(), 60);
}

#[test]
fn many_long_labels_of_the_ear_are_numbered() {
    let mut content = usual(&FAULTY);
    let label = super::content::Label {
        quality: None,
        text: "iii–VI–ii–V with a tritone substitute".to_owned(),
    };
    let ear = &mut content.ears[0];
    let mut row = ear.rows[0].clone();
    row.counts = vec![3; 12];
    row.unanswered = 2;
    ear.labels = vec![label; 12];
    ear.rows = vec![row; 12];

    let document = sheet(&content, Size::A4);
    check_bounds(&document);
    let said = whole(&document);
    assert_eq!(said.matches("iii–VI–ii–V with a").count(), 12);
}

#[test]
fn a_sheet_of_nothing_is_a_sheet_all_the_same() {
    let silent = sat(&GOOD, |_, past| {
        past.showings.clear();
        past.end = Some(crate::sitting::End::Early);
    });
    let content = of(&silent, &given(), &[]);
    let document = sheet(&content, Size::A4);
    check_bounds(&document);

    assert!(whole(&document).contains("The sitting ended before its last item."));
    assert!(pdf::write(&document).is_ok());
}
