//! Reports of classes of invented sittings.

use super::*;
use crate::engraving::Mark;
use crate::printing::pdf;
use crate::results::summary::{self, Summary};

/// A sitting of three chords and four sounds, the more right the better the candidate.
fn sitting(number: usize, good: usize) -> Summary {
    let item = |place: u32, kind: &str, right: bool| summary::Item {
        number: place,
        section: if kind == "ear" { "B" } else { "A" }.to_owned(),
        kind: kind.to_owned(),
        cell: 1,
        prompt: format!("prompt {place}"),
        counts: true,
        reached: true,
        level: if right { 4 } else { 1 },
        credit: Some(if right { 100 } else { 25 }),
        mark: if right { 1000 } else { 250 },
        out_of: 1000,
        right: vec!["m7".to_owned()],
        answered: vec![if right { "m7" } else { "7" }.to_owned()],
        time_ms: Some(2000.0),
        attempts: 1,
        hearings: 1,
        ..summary::Item::default()
    };
    let items: Vec<summary::Item> = (1..=7)
        .map(|place| {
            let kind = if place > 3 { "ear" } else { "voicing" };
            item(place, kind, place as usize <= good)
        })
        .collect();
    let mark = items.iter().map(|item| item.mark).sum();
    let section = |id: &str, from: usize, to: usize| summary::Section {
        id: id.to_owned(),
        title: format!("Section {id}"),
        kind: "voicing".to_owned(),
        mark: items[from..to].iter().map(|item| item.mark).sum(),
        out_of: 1000 * (to - from) as i64,
        items: (to - from) as u32,
        error: Some(1.0),
        hurdle: (id == "A").then_some((2000, good > 2)),
        each: None,
    };

    Summary {
        digest: crate::sitting::journal::Head::START.then(&number.to_le_bytes()),
        program: "0.1.0".to_owned(),
        rubric: 1,
        remark_of: None,
        exam: "try-out".to_owned(),
        title: "A try-out with A♭7".to_owned(),
        edition: "1".to_owned(),
        exam_digest: "0".repeat(64),
        form: format!("222-22{}", ["9", "A", "B"][number % 3]),
        candidate: (3101 + number).to_string(),
        started: "2026-03-12T10:21:00Z".to_owned(),
        length_ms: Some(60_000.0),
        by_hand: Vec::new(),
        ended: "complete".to_owned(),
        factor: 100,
        mark,
        out_of: 7000,
        band: if good > 3 { "assured" } else { "not yet" }.to_owned(),
        passed: Some(good > 3),
        error: Some(4.2),
        provisional: false,
        sections: vec![section("A", 0, 3), section("B", 3, 7)],
        walked: u32::from(good == 3),
        chords: vec![summary::Chord {
            root: "Ab".to_owned(),
            quality: "7".to_owned(),
            level: if good > 0 { 4 } else { 1 },
            complete_ms: Some(2500.0),
            cold: true,
        }],
        gaps: vec![summary::Gap {
            quality: "7".to_owned(),
            form: "guide-tones".to_owned(),
            medians_ms: Some((3500.0, 2100.0)),
            shares: None,
        }],
        ears: vec![summary::Ear {
            section: "B".to_owned(),
            part: 1,
            right: 3,
            items: 4,
            labels: vec!["7".to_owned(), "m7".to_owned()],
            confusion: vec![vec![0, 0, 0], vec![1, 3, 0]],
        }],
        overrules: 0,
        incidents: usize::from(number == 4),
        items,
    }
}

fn class(count: usize) -> Exam {
    let mut cohort = cohort::Cohort::default();
    for number in 0..count {
        cohort.add(&format!("{number}.toml"), &sitting(number, number % 8));
    }

    cohort.report().exams.remove(0)
}

fn given(name: &dyn Fn(&str) -> Option<String>) -> Given<'_> {
    Given {
        name,
        cut: None,
        program: "0.1.0",
        damaged: 0,
    }
}

#[test]
fn a_class_is_told_by_number_and_nothing_leaves_its_page() {
    for (count, size) in [
        (1, Size::A4),
        (30, Size::A4),
        (30, Size::Letter),
        (90, Size::A4),
    ] {
        let exam = class(count);
        let document = report(&exam, given(&|_| None), size);
        let said = document.said();

        for number in 0..count {
            assert!(said.contains(&(3101 + number).to_string()), "{number}");
        }
        for page in &document.pages {
            for mark in page.pieces.iter().flat_map(|piece| &piece.marks) {
                let bounds = mark.bounds();
                let is_text = matches!(mark, Mark::Text { .. });
                assert!(
                    bounds.left > 20.0 && bounds.right < size.width() - 20.0,
                    "{mark:?}"
                );
                assert!(!is_text || bounds.bottom < size.height() - 30.0, "{mark:?}");
            }
        }
        assert!(pdf::write(&document).expect("pages").starts_with(b"%PDF"));
    }
}

#[test]
fn a_class_too_large_to_print_is_told_to_be_in_the_files() {
    let document = report(&class(300), given(&|_| None), Size::A4);

    assert!(document.pages.len() <= 3, "{}", document.pages.len());
    let said = document.said().join("\n");
    assert!(
        said.contains("300 sittings are too many to print one by one"),
        "{said}"
    );
}

#[test]
fn names_stand_in_it_when_asked_alone() {
    let exam = class(3);
    let name = |number: &str| (number == "3102").then(|| "Inez Quay".to_owned());
    let with = report(&exam, given(&name), Size::A4).said();
    let without = report(&exam, given(&|_| None), Size::A4).said();

    assert!(with.contains(&"Inez Quay".to_owned()));
    assert!(!without.iter().any(|line| line.contains("Quay")));
}

#[test]
fn what_stands_in_the_report_is_what_the_class_has() {
    let exam = class(30);
    let said = report(&exam, given(&|_| None), Size::A4).said().join("\n");
    let has = |text: &str| assert!(said.contains(text), "{text}\n{said}");

    has("30 sittings");
    has("14 of 30 passed.");
    has("cold 1.4 s slower than inside the cycle");
    has("minor seventh taken for dominant seventh, 30 of 120");
    has("1i");
    has("Alpha");
    // 7 sounds of 8 and so on are stated; the mean of the totals is worked out by hand:
    // credits 0.25 each, and 0.75 more for each right one, times ten points.
    let mean: f64 = (0..30)
        .map(|number| 17.5 + 7.5 * (number % 8) as f64)
        .sum::<f64>()
        / 30.0;
    has(&format!("The mean is {mean:.0} of 70 marks"));
}
