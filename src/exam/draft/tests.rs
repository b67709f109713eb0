//! Drafts for every combination of wishes.

use rayon::prelude::*;

use super::*;
use crate::exam::script;

fn qualities(texts: &[&str]) -> Vec<Quality> {
    texts
        .iter()
        .map(|text| symbol::parse_quality(text).unwrap())
        .collect()
}

fn wishes() -> Wishes {
    Wishes {
        title: "Shells of the \"week\" \\ two".to_owned(),
        kinds: vec![Kind::Voicing, Kind::Ear, Kind::Run, Kind::Spell],
        qualities: qualities(&["maj7", "7", "m7"]),
        groups: vec![0, 1, 2],
        minutes: 15,
        practice: false,
    }
}

/// All choices of at least one.
fn some<T: Clone>(of: &[T]) -> Vec<Vec<T>> {
    (1..1usize << of.len())
        .map(|set| {
            of.iter()
                .enumerate()
                .filter(|(place, _)| set & 1 << place != 0)
                .map(|(_, one)| one.clone())
                .collect()
        })
        .collect()
}

#[test]
fn every_combination_of_wishes_passes_its_check_without_a_word() {
    let sets = [
        &["7"][..],
        &["m7b5", "m7"],
        &["maj7", "7", "m7", "m7b5", "dim7"],
        &["maj7", "7", "m7", "m7b5", "dim7", "6", "m6", "m(maj7)"],
    ];
    let kinds = Kind::WORDS.map(|(_, kind)| kind);
    let all: Vec<Wishes> = some(&kinds)
        .into_iter()
        .flat_map(|kinds| {
            some(&[0, 1, 2])
                .into_iter()
                .map(move |groups| (kinds.clone(), groups))
        })
        .flat_map(|pair| sets.map(|set| (pair.clone(), set)))
        .flat_map(|pair| [(3, false), (15, true), (60, false)].map(|of| (pair.clone(), of)))
        .map(|(((kinds, groups), set), (minutes, practice))| Wishes {
            kinds,
            groups,
            qualities: qualities(set),
            minutes,
            practice,
            ..wishes()
        })
        .collect();

    assert_eq!(all.len(), 15 * 7 * 4 * 3);
    all.par_iter().for_each(passes);
}

fn passes(wishes: &Wishes) {
    let draft = draft(wishes).unwrap_or_else(|error| panic!("{error}: {wishes:?}"));
    let (exam, found) = read::read(&draft.script, "draft");
    assert!(found.is_empty(), "{found:?}\n{}", draft.script);
    assert_eq!(exam, Some(draft.exam.clone()));

    let found: Vec<&str> = draft
        .exam
        .sections
        .iter()
        .map(|of| of.kind.word())
        .collect();
    let expected: Vec<&str> = Kind::WORDS
        .iter()
        .filter(|(_, kind)| wishes.kinds.contains(kind))
        .map(|(word, _)| *word)
        .collect();
    assert_eq!(found, expected);
    assert_eq!(draft.exam.points(), 10_000);
    assert_eq!(draft.exam.rules.feedback, wishes.practice);
}

#[test]
fn a_title_comes_through_as_it_is_written() {
    let draft = draft(&wishes()).unwrap();

    assert_eq!(draft.exam.title, wishes().title);
    assert!(
        draft
            .script
            .starts_with("# Shells of the \"week\" \\ two.\n")
    );
}

#[test]
fn more_minutes_ask_more() {
    let items = |minutes| {
        let draft = draft(&Wishes {
            minutes,
            ..wishes()
        })
        .unwrap();
        let form = draw::draw(&draft.exam, Code::FIRST).unwrap();
        (form.items.len(), draft.minutes.0)
    };
    let ((few, short), (more, long)) = (items(8), items(30));

    assert!(few < more && short < long, "{few} {more} {short} {long}");
}

#[test]
fn only_enough_items_that_count_can_be_passed() {
    let pass = |minutes, practice, kinds: &[Kind]| {
        let wishes = Wishes {
            minutes,
            practice,
            kinds: kinds.to_vec(),
            ..wishes()
        };
        draft(&wishes).unwrap().exam.pass
    };

    assert_eq!(pass(15, false, &wishes().kinds), Some(7500));
    assert_eq!(pass(15, true, &wishes().kinds), None);
    assert_eq!(pass(15, false, &[Kind::Run]), None);
}

#[test]
fn one_quality_alone_is_heard_beside_its_neighbour() {
    let draft = draft(&Wishes {
        kinds: vec![Kind::Ear],
        qualities: qualities(&["m7b5"]),
        ..wishes()
    })
    .unwrap();
    let script::Kind::Ear(ear) = &draft.exam.sections[0].kind else {
        panic!("expected an ear section");
    };

    assert_eq!(ear.options[0].len(), 2);
}

#[test]
fn wishes_that_make_no_script_are_refused() {
    let check = |wishes: Wishes, expected: &str| {
        let error = draft(&wishes).unwrap_err().to_string();
        assert!(error.contains(expected), "{error}");
    };

    check(
        Wishes {
            kinds: vec![],
            ..wishes()
        },
        "at least one kind",
    );
    check(
        Wishes {
            groups: vec![],
            ..wishes()
        },
        "at least one key group",
    );
    check(
        Wishes {
            qualities: vec![],
            ..wishes()
        },
        "at least one chord quality",
    );
    check(
        Wishes {
            qualities: qualities(&[
                "maj7", "7", "m7", "m7b5", "dim7", "6", "m6", "m(maj7)", "7b9",
            ]),
            ..wishes()
        },
        "at most 8",
    );
    // A triad has no seventh for the right hand.
    check(
        Wishes {
            kinds: vec![Kind::Voicing],
            qualities: qualities(&["m"]),
            ..wishes()
        },
        "no script without fault",
    );
}
