//! The practice paper of the last page: who is offered one, how it opens, and that it is a sitting.

use viva_voicing::exam::read;
use viva_voicing::kiosk::act::{Act, Reason};
use viva_voicing::kiosk::model::Screen;
use viva_voicing::kiosk::words::{ENGLISH, GERMAN, Words};

use super::look;
use super::stage::{Scene, Stage};

/// A sitting of so many items, with its end page open.
fn sat(scene: Scene, items: usize) -> Stage {
    let mut stage = Stage::new(scene);
    stage.reach_sitting("3118");
    stage.sit_until(|kiosk| {
        matches!(&kiosk.screen, Screen::Seat(seat) if seat.sitting().showings().len() >= items)
    });
    stage.kiosk.act(Act::AskToStop);
    stage.kiosk.act(Act::Stop(Reason::Done));
    stage.pass(100);
    assert!(matches!(stage.kiosk.screen, Screen::End(_)));
    stage
}

fn is_offered(stage: &Stage) -> bool {
    let sheet = stage.sheet();

    sheet
        .targets
        .iter()
        .any(|target| matches!(target.act, Act::Practise))
}

#[test]
fn it_opens_by_key_by_pointer_by_finger_and_by_the_tabulator() {
    for way in 0..4 {
        let mut stage = sat(Scene::mixed(), 3);
        match way {
            0 => stage.types("u"),
            1 => stage.point("Practise this"),
            2 => stage.tab_to("Practise this"),
            _ => {
                let sheet = stage.sheet();
                let target = sheet.targets.iter().find(|it| it.act == Act::Practise);
                let at = target.expect("a button").bounds;
                let at = viva_voicing::engraving::Point::new(at.left + 4.0, at.top + 4.0);
                stage.kiosk.touch(1, at, stage.paper);
                stage.kiosk.lift(1);
            }
        }
        stage.pass(100);
        assert!(
            matches!(stage.kiosk.screen, Screen::Check(_) | Screen::Plan(_)),
            "{way}: {:?}",
            stage.sheet().said
        );
        assert_eq!(stage.kiosk.candidate, "3118");
        let papers = stage.printer.papers();
        assert_eq!(papers.len(), 1);
        let (exam, found) = read::read(&papers[0], &stage.kiosk.shelved().exam.name);
        assert!(found.is_empty(), "{found:?}");
        assert_eq!(exam.as_ref(), Some(&stage.kiosk.shelved().exam));
        assert_eq!(stage.kiosk.shelved().script, papers[0]);
        assert!(stage.kiosk.shelved().exam.name.ends_with("-practice"));
    }
}

#[test]
fn it_is_offered_where_marks_or_answers_are_shown_unless_the_exam_says_otherwise() {
    let rules = "[rules]\n";
    let check = |with: &str, expected: bool| {
        let said = format!("{rules}{with}");
        let stage = sat(Scene::bundled().with(rules, &said), 2);
        assert_eq!(is_offered(&stage), expected, "{with}");
    };

    check("", true);
    check("show_marks = false\n", false);
    check("show_marks = false\npractise = true\n", true);
    check("practise = false\n", false);
}

#[test]
fn who_did_nothing_or_whose_sitting_is_void_is_offered_nothing() {
    let nothing = sat(Scene::bundled(), 0);
    assert!(!is_offered(&nothing));

    let mut stage = Stage::new(Scene::bundled());
    stage.reach_sitting("3118");
    stage.sit_until(
        |kiosk| matches!(&kiosk.screen, Screen::Seat(seat) if seat.sitting().showings().len() >= 2),
    );
    stage.kiosk.act(Act::AskToStop);
    stage.kiosk.act(Act::Stop(Reason::Pain));
    stage.pass(100);
    assert!(!is_offered(&stage));
    stage.types("u");
    assert!(stage.printer.papers().is_empty());
}

/// The practice paper is sat, its answers are looked at, and its end offers the next one.
#[test]
fn the_paper_is_sat_as_the_next_sitting_and_offers_the_next_one() {
    let mut stage = sat(Scene::bundled(), 8);
    stage.types("u");
    stage.pass(100);
    stage.play(36);
    stage.play(60);
    for _ in 0..40 {
        if matches!(stage.kiosk.screen, Screen::Plan(_)) {
            break;
        }
        stage.enter();
        stage.pass(100);
    }
    stage.says("Practice: Guide-tone voicings");
    stage.reach_items();
    for _ in 0..20_000 {
        let Screen::Seat(seat) = &stage.kiosk.screen else {
            break;
        };
        if seat.sitting().showings().len() >= 2 {
            break;
        }
        stage.enter();
        stage.pass(200);
    }
    stage.kiosk.act(Act::AskToStop);
    stage.kiosk.act(Act::Stop(Reason::Done));
    stage.pass(100);
    assert!(
        matches!(stage.kiosk.screen, Screen::End(_)),
        "{:?}",
        stage.sheet().said
    );
    assert!(is_offered(&stage));
    stage.types("u");
    stage.pass(60);
    assert_eq!(stage.printer.papers().len(), 2);
    // One practice of a practice has no longer name.
    assert_eq!(stage.kiosk.shelved().exam.name, "exam-practice");
}

#[test]
fn it_is_offered_in_each_language() {
    let check = |words: &'static Words, name: &str, file: &str| {
        let stage = sat(
            Scene {
                words,
                ..Scene::bundled()
            },
            6,
        );
        assert!(
            stage.sheet().targets.iter().any(|it| it.name == name),
            "{name}"
        );
        look::keep(file, &stage);
    };

    check(&ENGLISH, "Practise this", "end-practise");
    check(&GERMAN, "Das üben", "end-practise-de");
}
