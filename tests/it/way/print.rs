//! The mark sheet on paper: who may print it, how often, and what is said of it.

use viva_voicing::kiosk::act::{Act, Key as Meaning, Reason};
use viva_voicing::kiosk::invigilator::{Looked, Page, Said};
use viva_voicing::kiosk::model::Screen;
use viva_voicing::kiosk::print::{Became, Lack, Stands};
use viva_voicing::kiosk::words::{ENGLISH, GERMAN, Words};

use super::review::{ended, open};
use super::stage::{Scene, Stage};

fn handed(stands: Stands) -> Became {
    Became::Handed {
        printer: "Room-2".to_owned(),
        job: "Room-2-17".to_owned(),
        stands,
    }
}

fn kept(lack: Lack) -> Became {
    Became::Kept {
        file: "/media/results/guide-tones-3118-222-229-20260312T102100Z-sheet.pdf".to_owned(),
        lack,
    }
}

/// A sitting of one item, with its end page open.
fn brief(scene: Scene) -> Stage {
    let mut stage = Stage::new(scene);
    stop(&mut stage, Reason::Done);
    stage
}

fn stop(stage: &mut Stage, reason: Reason) {
    stage.reach_sitting("3118");
    stage.sit_until(
        |kiosk| matches!(&kiosk.screen, Screen::Seat(seat) if !seat.sitting().showings().is_empty()),
    );
    stage.kiosk.act(Act::AskToStop);
    stage.kiosk.act(Act::Stop(reason));
    stage.pass(100);
    assert!(matches!(stage.kiosk.screen, Screen::End(_)));
}

#[test]
fn the_candidate_prints_once_by_key_or_by_pointer() {
    for by_key in [true, false] {
        let mut stage = brief(Scene::mixed());
        if by_key {
            stage.types("p");
        } else {
            stage.point("Print");
        }
        assert_eq!(stage.printer.sent(), ["nowhere"]);
        stage.says("The mark sheet is being printed.");
        for _ in 0..3 {
            stage.types("pP");
            stage.kiosk.act(Act::Print);
        }
        assert!(!stage.sheet().targets.iter().any(|it| it.name == "Print"));

        stage.printer.tell(handed(Stands::Printing));
        let changes = stage.kiosk.changes();
        stage.pass(20);
        assert!(stage.kiosk.changes() > changes, "the window draws it");
        stage.says("Room-2 is printing the mark sheet (job Room-2-17).");
        stage.types("p");
        assert_eq!(stage.printer.sent().len(), 1);
        // It can be read for a minute from now on.
        stage.pass(59_000);
        stage.says("Room-2 is printing");
        stage.pass(2_000);
        assert!(matches!(stage.kiosk.screen, Screen::Cover));
    }
}

#[test]
fn a_page_can_be_left_while_it_prints_and_the_next_prints_its_own() {
    let mut stage = brief(Scene::mixed());
    stage.types("p");
    stage.enter();
    stage.pass(40);
    assert!(matches!(stage.kiosk.screen, Screen::Cover));
    stop(&mut stage, Reason::Done);
    stage.says_not("The mark sheet is being printed.");
    stage.says("Print");
    stage.printer.tell(handed(Stands::Done));
    stage.pass(40);
    stage.says_not("The mark sheet has been printed");
    stage.types("p");
    assert_eq!(stage.printer.sent().len(), 2);
}

#[test]
fn nobody_prints_where_marks_are_hidden_a_sitting_is_void_or_the_room_says_no() {
    let hidden = Scene::mixed().with("[rules]", "[rules]\nshow_marks = false");
    let silent = Scene {
        print: false,
        ..Scene::mixed()
    };
    for (scene, reason) in [
        (hidden, Reason::Done),
        (silent, Reason::Done),
        (Scene::mixed(), Reason::Pain),
    ] {
        let mut stage = Stage::new(scene);
        stop(&mut stage, reason);
        stage.says_not("Print");
        stage.types("p");
        stage.kiosk.act(Act::Print);
        assert!(stage.printer.sent().is_empty());

        // The invigilator may all the same.
        stage.key(Meaning::Function(12));
        stage.types("2468");
        stage.enter();
        stage.point("Print the mark sheet");
        assert_eq!(stage.printer.sent(), ["nowhere"]);
        stage.says("The mark sheet is being printed.");
        stage.printer.tell(kept(Lack::Printing));
        stage.pass(20);
        stage.says(
            "This computer has no printing set up. The mark sheet is kept as \
             guide-tones-3118-222-229-20260312T102100Z-sheet.pdf.",
        );
        stage.enter();
        assert_eq!(stage.kiosk.invigilator.page, Some(Page::Desk));
    }
}

#[test]
fn the_invigilator_prints_again_and_the_newest_of_a_chain() {
    let mut stage = ended(Scene::mixed());
    stage.types("p");
    open(&mut stage);
    // While it is on its way nothing is sent again.
    stage.says("The mark sheet is being printed.");
    stage.types("8");
    assert_eq!(stage.kiosk.invigilator.page, Some(Page::Items(0)));
    stage.printer.tell(handed(Stands::Done));
    stage.pass(20);
    stage.types("8");
    assert_eq!(stage.printer.sent(), ["nowhere", "nowhere"]);
    let said = Said::Printed {
        name: "nowhere".to_owned(),
        is_from_list: true,
    };
    assert_eq!(stage.kiosk.invigilator.page, Some(Page::Told(said)));
    stage
        .printer
        .tell(handed(Stands::Paused("Out of paper".to_owned())));
    stage.pass(20);
    stage.says("Room-2 is paused (Out of paper)");
    stage.enter();
    assert_eq!(stage.kiosk.invigilator.page, Some(Page::Items(0)));

    // A level that is set makes a new result, whose sheet is printed from now on.
    stage.types("1");
    let has = stage.kiosk.review_lines()[0].level;
    stage.types(if has == Some(4) { "2" } else { "4" });
    stage.types("1JW");
    stage.enter();
    stage.types("1");
    stage.enter();
    stage.key(Meaning::Backspace);
    stage.types("8");
    assert_eq!(stage.printer.sent()[2], "nowhere, reviewed");
    // The candidate has had their sheet.
    stage.printer.tell(handed(Stands::Done));
    stage.pass(20);
    for _ in 0..2 {
        stage.enter();
        stage.key(Meaning::Backspace);
    }
    stage.kiosk.invigilator.page = None;
    stage.says("The mark sheet has been printed by Room-2 (job Room-2-17).");
    stage.types("p");
    assert_eq!(stage.printer.sent().len(), 3);
}

#[test]
fn an_earlier_result_is_printed_from_its_list() {
    let mut stage = ended(Scene::mixed());
    let Screen::End(sat) = std::mem::replace(&mut stage.kiosk.screen, Screen::Cover) else {
        unreachable!()
    };
    let looked = Looked {
        sitting: sat.sitting,
        name: "earlier".to_owned(),
        candidate: "3099".to_owned(),
    };
    stage.kiosk.look_at(looked, None);
    stage.says("Candidate 3099");
    stage.point("Print the mark sheet");
    assert_eq!(stage.printer.sent(), ["earlier"]);
    stage.printer.tell(handed(Stands::Waiting));
    stage.pass(20);
    stage.says("The mark sheet waits its turn at Room-2 (job Room-2-17).");
    stage.key(Meaning::Backspace);
}

#[test]
fn everything_is_said_in_plain_words_in_each_language() {
    let all = all();
    for words in [&ENGLISH, &GERMAN] {
        let mut said: Vec<String> = all.iter().map(|became| became.words(words)).collect();
        for text in &said {
            let lower = text.to_lowercase();
            assert!(!text.contains("{}"), "{text}");
            assert!(
                !lower.contains("error") && !lower.contains("fehler"),
                "{text}"
            );
        }
        said.sort();
        said.dedup();
        assert_eq!(said.len(), all.len());
    }
}

fn all() -> Vec<Became> {
    let paused = [String::new(), "Out of paper".to_owned()].map(Stands::Paused);
    let stands = [
        Stands::Done,
        Stands::Printing,
        Stands::Waiting,
        Stands::Unknown,
    ];
    let lacks = [
        Lack::Printing,
        Lack::Usual,
        Lack::Named("Room-3".to_owned()),
        Lack::Answer,
        Lack::Time,
        Lack::Other("the paper jams".to_owned()),
    ];
    let none = Became::None("result.toml: the file was altered".to_owned());

    (stands.into_iter().chain(paused).map(handed))
        .chain(lacks.into_iter().map(kept))
        .chain([none])
        .collect()
}

/// Shows the end page and the invigilator's while a sheet is printed, and all that may be said
/// of it, to a visitor.
pub(super) fn visit(words: &'static Words, visitor: &mut dyn FnMut(&str, &Stage)) {
    let mut stage = ended(Scene {
        words,
        ..Scene::mixed()
    });
    stage.types("p");
    visitor("print-going-last", &stage);
    stage.kiosk.leaf = 0;
    visitor("print-going", &stage);
    for (name, became) in [
        ("paused", handed(Stands::Paused("Out of paper".to_owned()))),
        ("slow", kept(Lack::Time)),
    ] {
        stage.printer.tell(became);
        stage.pass(20);
        for leaf in 0..3 {
            stage.kiosk.leaf = leaf;
            visitor(&format!("print-{name}-{leaf}"), &stage);
        }
        stage.kiosk.leaf = 0;
    }
    stage.key(Meaning::Function(12));
    stage.types("2468");
    stage.enter();
    visitor("print-desk", &stage);
    stage.point(words.prn_row);
    visitor("print-row", &stage);
    for (place, became) in all().into_iter().enumerate() {
        stage.printer.tell(became);
        stage.pass(20);
        visitor(&format!("print-told-{place}"), &stage);
    }
}
