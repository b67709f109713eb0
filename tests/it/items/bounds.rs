//! Nothing overflows, no text lies over another, and what can be pressed is large enough.

use viva_voicing::engraving::{Bounds, Face, Mark};
use viva_voicing::kiosk::act::{Act, Key as Meaning};
use viva_voicing::kiosk::sheet::TARGET;
use viva_voicing::kiosk::words::{ENGLISH, GERMAN};
use viva_voicing::kiosk::{Paper, Sheet};
use viva_voicing::theory::Key;

use super::scripts::*;
use super::stand::Stand;

/// Pages and enlargements of text.
const PAPERS: [(f32, f32, f32); 8] = [
    (1920.0, 1080.0, 1.0),
    (1920.0, 1080.0, 1.5),
    (1920.0, 1080.0, 2.0),
    (1280.0, 720.0, 1.0),
    (1280.0, 720.0, 1.5),
    (1280.0, 720.0, 2.0),
    (1366.0, 768.0, 1.0),
    (1366.0, 768.0, 2.0),
];

fn overlap(a: &Bounds, b: &Bounds) -> bool {
    let (x, y) = (
        a.right.min(b.right) - a.left.max(b.left),
        a.bottom.min(b.bottom) - a.top.max(b.top),
    );
    x > 3.0 && y > 3.0
}

/// The inked height of running text: from its capitals to its baseline.
fn inked(mark: &Mark) -> Option<Bounds> {
    match mark {
        Mark::Text { size, at, text, .. } if !text.trim().is_empty() => {
            let bounds = mark.bounds();
            Some(Bounds {
                top: at.y - 0.7 * size,
                bottom: at.y,
                ..bounds
            })
        }
        _ => None,
    }
}

fn faults(sheet: &Sheet<Act>) -> Vec<String> {
    let mut faults = Vec::new();
    let paper = sheet.paper;

    for mark in sheet.marks.iter().chain(&sheet.moving) {
        let bounds = mark.bounds();
        if bounds.left < 0.0
            || bounds.top < 0.0
            || bounds.right > paper.width
            || bounds.bottom > paper.height
        {
            faults.push(format!("{mark:?} leaves the page"));
        }
    }
    for target in &sheet.targets {
        let Bounds {
            left,
            top,
            right,
            bottom,
        } = target.bounds;
        // WCAG 2.2, 2.5.5 Target Size (Enhanced): 44 by 44 CSS pixels.
        if right - left < TARGET - 0.5 || bottom - top < TARGET - 0.5 {
            faults.push(format!(
                "{} is {} by {}",
                target.name,
                right - left,
                bottom - top
            ));
        }
        if left < 0.0 || top < 0.0 || right > paper.width || bottom > paper.height {
            faults.push(format!("the target {} leaves the page", target.name));
        }
    }
    for (place, one) in sheet.targets.iter().enumerate() {
        for other in &sheet.targets[place + 1..] {
            if overlap(&one.bounds, &other.bounds) {
                faults.push(format!("{} lies over {}", one.name, other.name));
            }
        }
    }
    let texts: Vec<(&Mark, Bounds)> = sheet
        .marks
        .iter()
        .filter_map(|mark| Some((mark, inked(mark)?)))
        .collect();
    for (place, (one, its)) in texts.iter().enumerate() {
        for (other, theirs) in &texts[place + 1..] {
            if overlap(its, theirs) {
                faults.push(format!("{one:?} lies over {other:?}"));
            }
        }
    }
    // What is bold takes the place of what it covers.
    let regular = |mark: &&Mark| {
        !matches!(
            mark,
            Mark::Text {
                face: Face::Bold,
                ..
            }
        )
    };
    let moving = sheet.moving.iter().filter(regular).filter_map(inked);
    for seconds in moving {
        for (other, theirs) in &texts {
            if matches!(other, Mark::Text { size, .. } if *size < 60.0) && overlap(&seconds, theirs)
            {
                faults.push(format!("what moves lies over {other:?}"));
            }
        }
    }

    faults
}

#[track_caller]
fn check(what: &str, stand: &Stand) {
    for (width, height, enlarged) in PAPERS {
        let sheet = stand
            .kiosk
            .sheet(Paper::new(width, height, enlarged, false));
        let faults = faults(&sheet);
        assert!(
            faults.is_empty(),
            "{what} at {width} by {height}, text {enlarged}:\n{}",
            faults.join("\n")
        );
    }
}

/// Keeps a page for eyes.
fn keep(name: &str, stand: &Stand) {
    crate::way::look::keep_on(name, 0.., |paper| stand.kiosk.sheet(paper));
}

/// Begins a section of an exam in both languages.
fn begun(script: &str, then: impl Fn(&mut Stand)) {
    for words in [&ENGLISH, &GERMAN] {
        let mut stand = Stand::saying(script, words);
        stand.begin();
        then(&mut stand);
    }
}

#[test]
fn voicings_fit_with_the_widest_symbol() {
    for section in [VOICING, WIDE] {
        begun(&graded(section), |stand| {
            check("a voicing", stand);
            stand.wait(3_000);
            check("its last seconds", stand);
            stand.wait(3_500);
            check("a late voicing", stand);
            stand.keys.unplug(stand.time());
            stand.wait(60);
            check("a lost keyboard", stand);
        });
        begun(&practice(section), |stand| {
            check("practice", stand);
            stand.wait(14_000);
            check("its feedback", stand);
        });
    }
}

#[test]
fn runs_fit_with_twelve_bars() {
    for section in [TEMPO, LONG, FREE] {
        begun(&graded(section), |stand| {
            for _ in 0..8 {
                check("a run", stand);
                stand.wait(1_900);
            }
        });
        begun(&practice(section), |stand| {
            stand.until("feedback", |stand| stand.item().is_none());
            check("its feedback", stand);
        });
    }
}

#[test]
fn ears_fit_with_twelve_options_and_with_two_parts() {
    for section in [EAR, PARTS, TWELVE] {
        begun(&graded(section), |stand| {
            check("while it sounds", stand);
            stand.until("silence", |stand| !stand.seat().sounding);
            stand.types("4");
            check("an answer", stand);
            stand.types("3");
            stand.wait(2_000);
            check("another", stand);
            stand.speaker.lock().lose();
            stand.wait(60);
            check("a lost sound", stand);
        });
        begun(&practice(section), |stand| {
            stand.types("22");
            stand.press(Meaning::Enter);
            check("its feedback", stand);
        });
    }
}

#[test]
fn a_dictation_of_eight_chords_fits() {
    begun(&graded(DICTATION), |stand| {
        check("while it sounds", stand);
        stand.until("silence", |stand| !stand.seat().sounding);
        check("nothing written", stand);
        stand.types("17263545");
        stand.press(Meaning::Side(1));
        check("the basses", stand);
        stand.types("15231456");
        check("all written", stand);
        stand.press(Meaning::Arrow(1));
        check("a quality", stand);
        keep("dictation", stand);
    });
    begun(&practice(DICTATION), |stand| {
        stand.types("1726354515231");
        stand.press(Meaning::Enter);
        check("its feedback", stand);
        keep("dictation-feedback", stand);
    });
}

#[test]
fn what_is_played_back_fits() {
    begun(&graded(BACK), |stand| {
        check("while it sounds", stand);
        stand.until("silence", |stand| !stand.seat().sounding);
        check("nothing played", stand);
        for key in [60, 63] {
            stand.play(&[Key::new(key).unwrap()], 200);
        }
        check("something played", stand);
        keep("play-back", stand);
        stand.keys.unplug(stand.time());
        stand.wait(60);
        check("a lost keyboard", stand);
    });
    begun(&practice(BACK), |stand| {
        stand.until("silence", |stand| !stand.seat().sounding);
        for key in [60, 63, 65, 67] {
            stand.play(&[Key::new(key).unwrap()], 200);
        }
        stand.press(Meaning::Enter);
        check("its feedback", stand);
        keep("play-back-feedback", stand);
    });
}

#[test]
fn spellings_fit_with_five_notes_and_double_accidentals() {
    for section in [SPELL, FIVE] {
        begun(&graded(section), |stand| {
            check("nothing written", stand);
            stand.types("b_d-f_a_c*");
            check("all written", stand);
            stand.wait(17_000);
            check("its last seconds", stand);
        });
        begun(&practice(section), |stand| {
            stand.types("b_d-f_a_c*");
            stand.press(Meaning::Enter);
            check("its feedback", stand);
        });
    }
}

#[test]
fn only_what_moves_moves() {
    for section in [TEMPO, LONG] {
        let mut stand = Stand::new(&graded(section));
        stand.begin();
        stand.wait(6_500);
        let before = stand.sheet();
        stand.wait(700);
        let after = stand.sheet();
        assert_ne!(before.moving, after.moving);
        assert_eq!(before.marks, after.marks);
        // The engraved line stands still, and the bar mark with its symbol is little.
        assert!(after.moving.len() < 24, "{}", after.moving.len());
    }
}
