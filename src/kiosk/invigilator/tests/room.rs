//! The page in every phase and on every paper, and a room in which things go wrong.

use super::*;

#[test]
fn the_page_opens_in_every_phase_and_goes_back_to_it() {
    let drawer = drawer();
    let mut stand = Stand::with(&drawer);
    let mut seen = Vec::new();
    let around = |stand: &mut Stand| {
        stand.open("2468");
        assert_eq!(*stand.page(), Page::Desk);
        stand.press(Meaning::Enter);
        stand.wait(3_100);
        assert!(!stand.kiosk.invigilator.is_open());
    };
    stand.sit("3118");
    for _ in 0..3_000 {
        let Screen::Seat(seat) = &stand.kiosk.screen else {
            break;
        };
        let name = match &seat.phase {
            Phase::Page(Some(section)) => format!("page {section}"),
            Phase::Rest(_) => "rest".to_owned(),
            Phase::Item(Prompt::Item(_)) => seat.item().unwrap().task.word().to_owned(),
            Phase::Gap => "gap".to_owned(),
            _ => String::new(),
        };
        if !name.is_empty() && !seen.contains(&name) {
            seen.push(name.clone());
            stand.wait(200);
            around(&mut stand);
            let phase = &stand.seat().phase;
            assert!(!matches!(phase, Phase::Stopped { .. }), "{name}: {phase:?}");
            // A page waits, and a rest goes on: they are the same.
            match name.as_str() {
                "rest" => assert!(matches!(phase, Phase::Rest(_)), "{phase:?}"),
                page if page.starts_with("page") => {
                    assert!(matches!(phase, Phase::Page(_)), "{phase:?}");
                }
                _ => {}
            }
        } else if matches!(seat.phase, Phase::Page(_)) {
            stand.kiosk.act(Act::Go);
        }
        stand.wait(200);
    }
    seen.sort();
    assert_eq!(
        seen,
        [
            "ear", "gap", "page 0", "page 1", "page 2", "rest", "voicing"
        ]
    );
    assert_eq!(drawer.borrow().stored, [(0, true)]);
}

#[test]
fn a_suspension_stops_the_clock_and_costs_no_time() {
    let check = |step: i64, wall: Option<i64>, stops: bool| {
        let what = format!("{step} ms, wall {wall:?}");
        let drawer = drawer();
        drawer.borrow_mut().wall = wall.map(|_| Time::from_ms(1_000_000));
        let mut stand = Stand::with(&drawer);
        stand.sit("3118");
        let item = stand.open_item(1_000);
        drawer.borrow_mut().wall = None;
        stand.wait(20);
        drawer.borrow_mut().wall = wall.map(|_| Time::from_ms(2_000_000));
        stand.wait(20);
        let before = stand.seat().time(stand.now);
        drawer.borrow_mut().wall = wall.map(|wall| Time::from_ms(2_000_000 + wall));
        stand.now += Time::from_ms(step);
        stand.kiosk.tick(stand.now);

        let sitting = stand.seat().sitting();
        assert_eq!(sitting.open_item().is_none(), stops, "{what}");
        if !stops {
            return;
        }
        assert_eq!(sitting.showings()[0].number, item, "{what}");
        assert_eq!(
            sitting.showings()[0].voided.as_deref(),
            Some(SUSPENDED),
            "{what}"
        );
        // It lasted six seconds: the gap would have closed it.
        assert!(sitting.now() - before < Time::from_ms(6_000), "{what}");
        stand.says("The computer stood still");
        // The candidate goes on: nobody else need be there.
        stand.press(Meaning::Enter);
        stand.says("The clock goes on");
        drawer.borrow_mut().wall = None;
        stand.wait(3_100);
        assert_ne!(stand.open_item(0), item, "{what}");
    };
    check(20, Some(20), false);
    check(4_900, Some(4_900), false);
    check(4_900, None, false);
    check(5_100, None, true);
    check(3_600_000, Some(3_600_000), true);
    check(20, Some(5_100), true);
    check(20, Some(-3_600_000), true);
}

#[test]
fn a_sitting_that_cannot_be_kept_is_put_aside() {
    let drawer = drawer();
    drawer.borrow_mut().room = Some(4);
    let mut stand = Stand::with(&drawer);
    stand.sit("3118");
    for _ in 0..600 {
        if matches!(stand.seat().phase, Phase::NotKept(_)) {
            break;
        }
        if matches!(stand.seat().phase, Phase::Page(_)) {
            stand.kiosk.act(Act::Go);
        }
        stand.wait(200);
    }
    stand.says("Your work can’t be kept.");
    stand.open("2468");
    stand.choose("Put the sitting aside");
    assert!(matches!(stand.kiosk.screen, Screen::Cover));
    assert_eq!(drawer.borrow().stored, []);
    stand.choose("Leave the program");
    assert!(stand.kiosk.has_left());
}

#[test]
fn who_signs_in_a_second_time_is_told() {
    let drawer = drawer();
    drawer.borrow_mut().before = Some(Before::Sitting);
    let mut stand = Stand::with(&drawer);
    stand.kiosk.act(Act::Go);
    stand.kiosk.act(Act::Digit('7'));
    for _ in 0..2 {
        stand.kiosk.act(Act::Go);
        stand.says("7 is sitting this examination at another keyboard");
        assert!(matches!(stand.kiosk.screen, Screen::SignIn { .. }));
    }
    drawer.borrow_mut().before = Some(Before::HandedIn);
    stand.kiosk.act(Act::Go);
    stand.says("7 has handed in already");
    stand.kiosk.act(Act::Go);
    assert!(matches!(stand.kiosk.screen, Screen::Check(_)));
}

#[test]
fn every_page_fits_every_paper_in_both_languages() {
    let pages = [
        Page::Pin {
            typed: "123456789012".to_owned(),
            wrong: true,
        },
        Page::new_pin(),
        Page::Told(Said::NoPin),
        Page::Desk,
        Page::AddTime,
        Page::Note,
        Page::Words {
            kind: "noise",
            typed: "x ".repeat(40),
        },
        Page::Stop,
        Page::Allow,
        Page::Counting(Time::from_ms(3_000)),
    ];
    for words in [&ENGLISH, &GERMAN] {
        for seated in [false, true] {
            let mut stand = Stand::with(&drawer());
            stand.kiosk.setup.words = words;
            if seated {
                stand.sit("3118");
                let _ = stand.open_item(100);
                stand.open("2468");
            }
            for page in &pages {
                stand.kiosk.invigilator.page = Some(page.clone());
                for (width, height, enlarged) in [
                    (1280.0, 720.0, 1.0),
                    (1280.0, 720.0, 2.0),
                    (1366.0, 768.0, 1.5),
                    (1920.0, 1080.0, 1.0),
                    (1920.0, 1080.0, 2.0),
                ] {
                    let paper = Paper::new(width, height, enlarged, false);
                    let sheet = stand.kiosk.sheet(paper);
                    fits(
                        &sheet,
                        &format!("{page:?} at {width} × {enlarged}, {}", words.language),
                    );
                }
            }
        }
    }
}

/// Nothing that can be pressed leaves the paper or lies over another.
fn fits(sheet: &Sheet<Act>, what: &str) {
    for (place, target) in sheet.targets.iter().enumerate() {
        let one = target.bounds;
        let inside = one.left >= 0.0
            && one.top >= 0.0
            && one.right <= sheet.paper.width
            && one.bottom <= sheet.paper.height;
        assert!(inside, "{what}: {} at {one:?}", target.name);
        assert!(
            one.bottom - one.top >= 32.0,
            "{what}: {} is {one:?}",
            target.name
        );
        for other in &sheet.targets[place + 1..] {
            let two = other.bounds;
            let apart = one.right <= two.left
                || two.right <= one.left
                || one.bottom <= two.top
                || two.bottom <= one.top;
            assert!(apart, "{what}: {} lies over {}", target.name, other.name);
        }
    }
    for mark in sheet.marks.iter().chain(&sheet.moving) {
        if let crate::engraving::Mark::Text { at, text, .. } = mark {
            assert!(
                at.y <= sheet.paper.height && at.x <= sheet.paper.width,
                "{what}: {text} at {at:?}"
            );
        }
    }
}
