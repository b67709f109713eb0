//! On every page, size and language: nothing leaves the page, nothing lies on another thing.

use viva_voicing::engraving::{Bounds, Mark};
use viva_voicing::kiosk::act::{Act, Key as Meaning, Reason};
use viva_voicing::kiosk::model::Screen;
use viva_voicing::kiosk::seat::Phase;
use viva_voicing::kiosk::sheet::TARGET;
use viva_voicing::kiosk::words::{ENGLISH, GERMAN, Words};
use viva_voicing::kiosk::{Kiosk, Paper, Sheet};

use super::stage::{Scene, Stage, script};

/// Shows every page with every leaf to a visitor.
pub(crate) fn visit(words: &'static Words, visitor: &mut dyn FnMut(&str, &Stage)) {
    let mixed = || Scene {
        words,
        ..Scene::mixed()
    };
    let bundled = || Scene {
        words,
        ..Scene::bundled()
    };
    let mut add = |name: &str, scene: Scene, go: &dyn Fn(&mut Stage)| {
        let mut stage = Stage::new(scene);
        go(&mut stage);
        visitor(name, &stage);
    };

    add("cover", bundled(), &|_| {});
    let several = Scene {
        scripts: (1..=7).map(|_| script("exams/guide-tones.toml")).collect(),
        ..bundled()
    };
    add("cover-several", several, &|_| {});
    add("sign-in", bundled().roster(24), &|stage| {
        for number in ["3104", "3107", "3112", "3115"] {
            let _ = stage.kiosk.handed_in.insert(number.to_owned());
        }
        stage.enter();
        stage.types("3118");
    });
    add("sign-in-long", bundled().roster(200), &|stage| {
        stage.enter();
        stage.types("32");
    });
    add("sign-in-refused", bundled().roster(24), &|stage| {
        stage.enter();
        stage.types("9999");
        stage.enter();
    });
    add("sign-in-free", bundled(), &|stage| stage.enter());

    let absent = Scene {
        midi: false,
        ..bundled()
    };
    add("check-absent", absent.clone(), &|stage| {
        stage.reach_check("3118");
    });
    let alone = Scene {
        computer: false,
        ..absent
    };
    add("check-absent-alone", alone, &|stage| {
        stage.reach_check("3118")
    });
    add("check-too-few", bundled(), &|stage| {
        stage.reach_check("3118");
        stage.play(60);
    });
    add("check-shifted", bundled(), &|stage| {
        stage.reach_check("3118");
        stage.play(36);
        stage.play(72);
    });
    add("check-level-full", bundled(), &|stage| {
        to_level(stage);
        for _ in 0..10 {
            stage.key(Meaning::Arrow(1));
        }
    });
    add("check-no-sound", bundled(), &|stage| {
        to_level(stage);
        stage.speaker.lock().lose();
        stage.pass(40);
    });

    let mut stage = Stage::new(bundled());
    stage.reach_check("3118");
    visitor("check-lowest", &stage);
    stage.play(36);
    visitor("check-middle-c", &stage);
    stage.play(60);
    visitor("check-level", &stage);
    stage.enter();
    stage.pass(5_000);
    stage.kiosk.act(Act::Again);
    let began = stage.now;
    stage.plan_taps(23);
    stage.pass(4_500);
    visitor("check-tap", &stage);
    stage.pass(10_000 - (stage.now - began).tenths() / 10);
    visitor("check-tapped", &stage);
    stage.enter();
    leaves("plan", &mut stage, visitor);

    let mut stage = Stage::new(mixed());
    stage.reach_plan("3118");
    leaves("plan-mixed", &mut stage, visitor);
    stage.reach_items();
    stage.sit_until(|kiosk| matches!(phase(kiosk), Some(Phase::Gap)));
    visitor("gap", &stage);
    stage.key(Meaning::Function(10));
    visitor("stop", &stage);
    stage.enter();
    for section in [0, 1, 2, 3, 4, 5] {
        stage.sit_until(|kiosk| match phase(kiosk) {
            Some(Phase::Page(Some(at))) => *at == section,
            Some(Phase::Rest(_)) => section == 1,
            _ => false,
        });
        visitor(&format!("section-{section}"), &stage);
    }
    stage.sit_until(|kiosk| matches!(kiosk.screen, Screen::End(_)));
    leaves("end", &mut stage, visitor);
    super::review::visit(words, &mut stage, visitor);

    super::print::visit(words, visitor);

    for (name, reason) in [("end-void", Reason::Pain), ("end-stopped", Reason::Done)] {
        let mut stage = Stage::new(mixed());
        stopped(&mut stage, reason);
        leaves(name, &mut stage, visitor);
    }
    let mut stage = Stage::new(mixed().with("[rules]", "[rules]\nshow_marks = false"));
    stopped(&mut stage, Reason::Done);
    visitor("end-hidden", &stage);
}

/// Shows a page with as many leaves as it may have.
fn leaves(name: &str, stage: &mut Stage, visitor: &mut dyn FnMut(&str, &Stage)) {
    for leaf in 0..3 {
        stage.kiosk.leaf = leaf;
        visitor(&format!("{name}-{leaf}"), stage);
    }
    stage.kiosk.leaf = 0;
}

fn to_level(stage: &mut Stage) {
    stage.reach_check("3118");
    stage.play(36);
    stage.play(60);
    stage.pass(100);
}

fn stopped(stage: &mut Stage, reason: Reason) {
    stage.reach_sitting("3118");
    stage.sit_until(|kiosk| matches!(phase(kiosk), Some(Phase::Rest(_))));
    stage.kiosk.act(Act::AskToStop);
    stage.kiosk.act(Act::Stop(reason));
    stage.pass(100);
}

fn phase(kiosk: &Kiosk) -> Option<&Phase> {
    match &kiosk.screen {
        Screen::Seat(seat) => Some(&seat.phase),
        _ => None,
    }
}

/// The box of a text without the room above its capitals and below its tails.
fn text_box(mark: &Mark) -> Option<(Bounds, String)> {
    let Mark::Text { text, at, size, .. } = mark else {
        return None;
    };
    if text.trim().is_empty() {
        return None;
    }
    let bounds = mark.bounds();

    Some((
        Bounds {
            top: at.y - 0.72 * size,
            bottom: at.y + 0.2 * size,
            ..bounds
        },
        text.clone(),
    ))
}

fn meet(one: &Bounds, other: &Bounds) -> bool {
    one.left < other.right - 1.0
        && other.left < one.right - 1.0
        && one.top < other.bottom - 1.0
        && other.top < one.bottom - 1.0
}

fn within(one: &Bounds, other: &Bounds) -> bool {
    one.left >= other.left - 1.0
        && one.right <= other.right + 1.0
        && one.top >= other.top - 1.0
        && one.bottom <= other.bottom + 1.0
}

/// Returns what is amiss with a page.
pub(super) fn faults(sheet: &Sheet<Act>) -> Vec<String> {
    let Paper { width, height, .. } = sheet.paper;
    let page = Bounds {
        left: 0.0,
        top: 0.0,
        right: width,
        bottom: height,
    };
    let marks = || sheet.marks.iter().chain(&sheet.moving);
    let texts: Vec<_> = marks().filter_map(text_box).collect();
    let mut faults = Vec::new();

    for mark in marks() {
        let bounds = text_box(mark).map_or_else(|| mark.bounds(), |(bounds, _)| bounds);
        if !within(&bounds, &page) {
            faults.push(format!("off the page: {mark:?}"));
        }
    }
    for (place, (one, text)) in texts.iter().enumerate() {
        for (other, below) in &texts[place + 1..] {
            if meet(one, other) {
                faults.push(format!("{text:?} lies on {below:?}"));
            }
        }
        for target in &sheet.targets {
            if meet(one, &target.bounds) && !within(one, &target.bounds) {
                faults.push(format!("{text:?} lies half on {:?}", target.name));
            }
        }
        for mark in marks() {
            if let Mark::Rect { width, height, .. } = mark
                && *width > 300.0
                && *height < 4.0
                && meet(one, &mark.bounds())
            {
                faults.push(format!("{text:?} is struck through"));
            }
        }
    }
    for (place, target) in sheet.targets.iter().enumerate() {
        let bounds = target.bounds;
        if bounds.bottom - bounds.top < TARGET - 0.01 || bounds.right - bounds.left < TARGET {
            faults.push(format!("{:?} is smaller than {TARGET}", target.name));
        }
        if !within(&bounds, &page) {
            faults.push(format!("{:?} is off the page", target.name));
        }
        for other in &sheet.targets[place + 1..] {
            if meet(&bounds, &other.bounds) {
                faults.push(format!("{:?} lies on {:?}", target.name, other.name));
            }
        }
    }

    faults
}

fn check(words: &'static Words) {
    let mut all = Vec::new();

    visit(words, &mut |name, stage| {
        // Where text is as usual, one leaf is enough.
        // In another language the least page tells, and the usual one.
        let papers = super::papers().into_iter().filter(|paper| {
            (stage.kiosk.leaf == 0 || paper.enlarged > 1.0)
                && (words.language == ENGLISH.language
                    || paper.height < 730.0
                    || paper.enlarged < 1.1)
        });
        for paper in papers {
            let at = format!(
                "{} {name} {}x{} {}",
                words.language, paper.width, paper.height, paper.enlarged
            );
            for fault in faults(&stage.on(paper)) {
                all.push(format!("{at}: {fault}"));
            }
        }
        if words.language == ENGLISH.language {
            super::look::keep(name, stage);
        }
    });

    assert!(all.is_empty(), "{} faults:\n{}", all.len(), all.join("\n"));
}

#[test]
fn nothing_leaves_a_page_and_nothing_lies_on_another_thing() {
    check(&ENGLISH);
}

#[test]
fn the_same_holds_in_german() {
    check(&GERMAN);
}
