//! A second look after a sitting: the items, what can be heard, and a level that a person sets.

use viva_voicing::kiosk::act::Key as Meaning;
use viva_voicing::kiosk::invigilator::{Looked, Page};
use viva_voicing::kiosk::model::Screen;
use viva_voicing::kiosk::words::{ENGLISH, GERMAN, Words};
use viva_voicing::results::document;
use viva_voicing::sitting::outcome::outcome;

use super::stage::{Scene, Stage};

/// Opens the list of the items at the end of a sitting.
pub(super) fn open(stage: &mut Stage) {
    stage.key(Meaning::Function(12));
    stage.types("2468");
    stage.enter();
    let words = stage.kiosk.setup.words;
    stage.point(words.rev_items);
}

/// The row of the first item of a kind, one that lost marks where there is one.
pub(super) fn row_of(stage: &Stage, kind: &str) -> usize {
    let Screen::End(ended) = &stage.kiosk.screen else {
        panic!("the sitting has ended");
    };
    stage
        .kiosk
        .review_lines()
        .iter()
        .position(|line| {
            let item = ended.sitting.form().item(line.number);
            line.counts && item.is_some_and(|item| item.task.word() == kind)
        })
        .unwrap_or_else(|| panic!("the exam has a {kind}"))
}

/// A sitting that has ended, with its end page open.
pub(super) fn ended(scene: Scene) -> Stage {
    let mut stage = Stage::new(scene);
    stage.reach_sitting("3118");
    stage.sit_until(|kiosk| matches!(kiosk.screen, Screen::End(_)));
    stage
}

fn credit(stage: &Stage, number: u32) -> String {
    let Screen::End(ended) = &stage.kiosk.screen else {
        panic!("the sitting has ended");
    };
    let outcome = outcome(&ended.sitting);
    let of = outcome.items.iter().find(|of| of.item.number == number);
    of.unwrap().credit().unwrap().to_string()
}

#[test]
fn keys_alone_lead_to_an_item_and_set_its_level() {
    let mut stage = ended(Scene::mixed());
    open(&mut stage);
    stage.says("lost marks; they stand first.");
    let lines = stage.kiosk.review_lines().to_vec();
    let lost = lines.iter().take_while(|line| line.lost).count();
    assert!(lost > 0 && lines[lost..].iter().all(|line| !line.lost));

    // The second row by its figure.
    let line = lines[1].clone();
    let before = line.level.unwrap();
    stage.key(Meaning::Sign('2'));
    assert_eq!(stage.kiosk.invigilator.page, Some(Page::Item(1)));
    stage.says(&format!("item {}", line.number));
    stage.says(&format!("level {before}, "));
    stage.says("Candidate 3118");

    // The level it has already asks nothing.
    stage.types(&before.to_string());
    assert_eq!(stage.kiosk.invigilator.page, Some(Page::Item(1)));
    stage.types("4");
    stage.says("Why?");
    // The fifth row asks for own words.
    stage.types("5");
    stage.types("pedal 3 squeaked");
    stage.says("pedal 3 squeaked");
    stage.enter();
    stage.says("Who says so?");
    stage.enter();
    stage.says("Who says so?");
    stage.types("JW");
    stage.enter();
    stage.says(&format!("Item {}: level 4", line.number));
    stage.says("Pedal 3 squeaked; by JW");
    assert_ne!(credit(&stage, line.number), "1");
    stage.key(Meaning::Sign('1'));
    stage.says("The new result is nowhere, reviewed; the old one stays.");
    assert_eq!(credit(&stage, line.number), "1");
    stage.enter();
    stage.says("Level 4 by JW: pedal 3 squeaked");
    stage.says("level 4, the whole mark");

    // The name is kept for the next one; an offered reason goes into the result as it is.
    stage.enter();
    assert_eq!(stage.kiosk.invigilator.page, Some(Page::Item(2)));
    stage.types("4");
    stage.types("1");
    stage.says("JW");
    stage.enter();
    stage.says("Key stuck; by JW");
    stage.tab_to("Back");
    assert_eq!(stage.kiosk.invigilator.page, Some(Page::Item(2)));
    assert_ne!(credit(&stage, lines[2].number), "1");
    stage.key(Meaning::Backspace);
    assert_eq!(stage.kiosk.invigilator.page, Some(Page::Items(0)));
    stage.key(Meaning::Backspace);
    assert_eq!(stage.kiosk.invigilator.page, Some(Page::Desk));
    stage.enter();
    stage.says("Your grade");
}

#[test]
fn the_pointer_turns_the_list_and_opens_the_levels() {
    let mut stage = ended(Scene::mixed());
    open(&mut stage);
    let count = stage.kiosk.review_lines().len();
    stage.says(&format!("7 to 12 of {count}"));
    stage.point("More");
    assert_eq!(stage.kiosk.invigilator.page, Some(Page::Items(6)));
    stage.point("Earlier");
    assert_eq!(stage.kiosk.invigilator.page, Some(Page::Items(0)));
    stage.key(Meaning::Sign('1'));
    stage.point("Set the level");
    stage.says("Which level?");
    // Each level has its own figure, nought too.
    let level = stage.kiosk.review_lines()[0].level.unwrap();
    let other = if level == 0 { 3 } else { 0 };
    stage.types(&level.to_string());
    assert_eq!(stage.kiosk.invigilator.page, Some(Page::Level(0)));
    stage.types(&other.to_string());
    let asked = Page::Reason {
        row: 0,
        level: other,
    };
    assert_eq!(stage.kiosk.invigilator.page, Some(asked));
    stage.point("Back");
    stage.point("All items");
    assert_eq!(stage.kiosk.invigilator.page, Some(Page::Items(0)));
}

#[test]
fn what_was_played_and_what_sounded_can_be_heard() {
    let mut stage = ended(Scene::mixed());
    open(&mut stage);
    for (kind, played, asked) in [
        ("voicing", "Hear as played", "Hear as asked"),
        ("ear", "Hear as sounded", "Hear the answer"),
    ] {
        let row = row_of(&stage, kind);
        stage.kiosk.invigilator.page = Some(Page::Item(row));
        for (key, name) in [(' ', played), ('h', asked)] {
            stage.says(name);
            assert!(!stage.speaker.lock().is_sounding(), "{kind}: {name}");
            stage.key(Meaning::Sign(key));
            stage.pass(200);
            assert!(stage.speaker.lock().is_sounding(), "{kind}: {name}");
            stage.pass(12_000);
        }
        stage.says_not("There is no sound output.");
    }
    stage.speaker.lock().lose();
    stage.pass(40);
    stage.key(Meaning::Sign(' '));
    stage.says("There is no sound output.");
}

#[test]
fn nobody_sees_a_mark_before_the_end_or_where_the_exam_shows_none() {
    let mut stage = Stage::new(Scene::mixed().with("[rules]", "[rules]\nshow_marks = false"));
    stage.reach_sitting("3118");
    stage.sit_until(
        |kiosk| matches!(&kiosk.screen, Screen::Seat(seat) if seat.sitting().showings().len() > 3),
    );
    stage.key(Meaning::Function(12));
    stage.types("2468");
    stage.enter();
    stage.says("Go on with the exam");
    for words in ["Review", "Level", "level"] {
        stage.says_not(words);
    }
    stage.enter();
    stage.sit_until(|kiosk| matches!(kiosk.screen, Screen::End(_)));
    open(&mut stage);
    stage.key(Meaning::Sign('1'));
    let line = stage.kiosk.review_lines()[0].clone();
    let level = if line.level == Some(4) { 2 } else { 4 };
    stage.types(&format!("{level}1"));
    stage.types("JW");
    stage.enter();
    stage.types("1");
    stage.says("The level is set");
    for _ in 0..2 {
        stage.key(Meaning::Backspace);
    }
    stage.enter();
    stage.key(Meaning::Backspace);
    stage.key(Meaning::Backspace);
    stage.enter();
    stage.says("Thank you");
    for words in ["Your grade", "marks", "JW"] {
        stage.says_not(words);
    }
}

#[test]
fn every_item_of_the_demonstration_fits_on_every_page() {
    let folder = tempfile::tempdir().unwrap();
    let exams = std::fs::canonicalize("exams").unwrap();
    let path = |name: &str| exams.join(name).display().to_string();
    let (code, _, complaint) = crate::sittings::run(
        folder.path(),
        &[
            "sit",
            &path("guide-tones.toml"),
            "--performance",
            &path("demo/first-sitting.mid"),
            "--candidate",
            "3118",
        ],
    );
    assert_eq!(code, 0, "{complaint}");
    let result = crate::sittings::only_result(&folder.path().join("results"));
    let text = std::fs::read_to_string(result).unwrap();

    let mut all = Vec::new();
    for words in [&ENGLISH, &GERMAN] {
        let mut stage = Stage::new(Scene {
            words,
            ..Scene::bundled()
        });
        let stored = document::read(&text, None).unwrap();
        let looked = Looked {
            candidate: stored.given.candidate,
            sitting: stored.sitting,
            name: "nowhere".to_owned(),
        };
        stage.kiosk.look_at(looked, Some(16));
        stage.says("Cold voicings");
        let count = stage.kiosk.review_lines().len();
        let lists = (0..count).step_by(6).map(Page::Items);
        let pages: Vec<Page> = (0..count).map(Page::Item).chain(lists).collect();
        for page in pages {
            stage.kiosk.invigilator.page = Some(page.clone());
            let name = stage.sheet().said.first().cloned();
            for paper in super::papers() {
                for fault in super::bounds::faults(&stage.on(paper)) {
                    let size = (paper.width, paper.height, paper.enlarged);
                    all.push(format!("{page:?} {name:?} {size:?}: {fault}"));
                }
            }
        }
        // Whoever looks at one result leaves it for no room.
        stage.kiosk.invigilator.page = Some(Page::Items(0));
        stage.key(Meaning::Backspace);
        assert!(stage.kiosk.has_left());
    }
    assert!(all.is_empty(), "{} faults:\n{}", all.len(), all.join("\n"));
}

/// Shows all pages of the second look to a visitor.
pub(super) fn visit(words: &Words, stage: &mut Stage, visitor: &mut dyn FnMut(&str, &Stage)) {
    let german = words.language == GERMAN.language;
    open(stage);
    visitor("review-items", stage);
    stage.kiosk.invigilator.page = Some(Page::Items(6));
    visitor("review-items-more", stage);
    for kind in ["voicing", "run", "ear", "spell", "panel"] {
        let row = row_of(stage, kind);
        stage.kiosk.invigilator.page = Some(Page::Item(row));
        visitor(&format!("review-{kind}"), stage);
    }
    let last = stage.kiosk.review_lines().len() - 1;
    stage.kiosk.invigilator.page = Some(Page::Item(last));
    visitor("review-last", stage);

    let reason = if german {
        "richtig unter anderem Namen"
    } else {
        "right by another name, and played as the lead sheet has it"
    };
    let (row, level) = (0, 4);
    for (name, page) in [
        ("level", Page::Level(row)),
        ("reason", Page::Reason { row, level }),
        (
            "because",
            Page::Because {
                row,
                level,
                typed: reason.to_owned(),
            },
        ),
        (
            "by",
            Page::By {
                row,
                level,
                reason: reason.to_owned(),
                typed: "J. Whitfield".to_owned(),
            },
        ),
        (
            "sure",
            Page::Sure {
                row,
                level,
                reason: reason.to_owned(),
                by: "J. Whitfield".to_owned(),
            },
        ),
    ] {
        stage.kiosk.invigilator.page = Some(page);
        visitor(&format!("review-{name}"), stage);
    }
    stage.enter();
    stage.key(Meaning::Sign('1'));
    visitor("review-stored", stage);
    stage.enter();
    visitor("review-set", stage);
    stage.kiosk.invigilator.page = None;
}
