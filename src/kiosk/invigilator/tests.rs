//! The invigilator, by acts and by what stands on the pages.

use std::cell::RefCell;
use std::rc::Rc;

use super::*;
use crate::exam::code::Code;
use crate::exam::form::Task;
use crate::exam::read;
use crate::instruments::fake_keyboard::Fake;
use crate::instruments::fake_speaker::FakeSpeaker;
use crate::instruments::piano::Piano;
use crate::instruments::speaker::Level;
use crate::kiosk::act::{Act, Key as Meaning, Press, Reason};
use crate::kiosk::desk::{Before, Desk, Stored};
use crate::kiosk::model::Setup;
use crate::kiosk::paper::Paper;
use crate::kiosk::sheet::Sheet;
use crate::kiosk::shelf::Shelved;
use crate::kiosk::words::{ENGLISH, GERMAN};
use crate::results::document::Given;
use crate::room::{Journal, NoJournal};
use crate::sitting::{End, Prompt, Sitting, wire};

const SCRIPT: &str = r#"
title = "Try-out"
level = "class"
edition = "1"
about = "A try-out."

[rules]
timing = "Time is examined."
time_factor = [1.0, 2.0]
seats = 1
warm_ups = 0
reserve = 50

[[section]]
id = "A"
title = "Cold voicings"
kind = "voicing"
points = 40
seconds = 6
gap = 2
form = "guide-tones"
cells = [{ count = 4, quality = "7", order = "third on top" }]

[[section]]
id = "R"
title = "Rest"
kind = "rest"
seconds = 30

[[section]]
id = "C"
title = "Listening"
kind = "ear"
ask = "quality"
points = 20
seconds = 10
hearings = 2
gap = 2
options = ["maj7", "7", "m7"]
cells = [
    { count = 1, quality = "maj7", spacing = "close" },
    { count = 1, quality = "7", spacing = "close" },
    { count = 1, quality = "m7", spacing = "close" },
]

[[section]]
id = "P"
title = "Time feel"
kind = "panel"
points = 5
criteria = ["Steady time", "Sound"]
"#;

/// A desk that a test looks into.
#[derive(Default)]
struct Drawer {
    pin: Option<String>,
    has_file: bool,
    log: Vec<String>,
    wall: Option<Time>,
    stored: Vec<(usize, bool)>,
    /// Lines that a journal takes; any number where there is none.
    room: Option<usize>,
    before: Option<Before>,
    factor: (u32, u8),
}

type Shared = Rc<RefCell<Drawer>>;

struct Lines(Option<usize>);

impl Journal for Lines {
    fn keep(&mut self, _: Time, _: &Event) -> Result<(), String> {
        match &mut self.0 {
            Some(0) => Err("the disk is full".to_owned()),
            Some(left) => {
                *left -= 1;
                Ok(())
            }
            None => Ok(()),
        }
    }
}

impl Desk for Shared {
    fn ready(&mut self) -> Result<(), String> {
        Ok(())
    }

    fn begin(&mut self, header: &wire::Header) -> Result<Box<dyn Journal>, String> {
        self.borrow_mut().factor = (header.factor, header.hearings);
        Ok(match self.borrow().room {
            None => Box::new(NoJournal),
            room => Box::new(Lines(room)),
        })
    }

    fn store(&mut self, sitting: &Sitting, _: &Given) -> Result<Stored, String> {
        let mut drawer = self.borrow_mut();
        drawer
            .stored
            .push((sitting.panel().len(), sitting.end().is_some()));
        Ok(Stored {
            name: format!("result {}", drawer.stored.len()),
            elsewhere: false,
        })
    }

    fn date(&self) -> String {
        "2026-03-12T10:21:00Z".to_owned()
    }

    fn wall(&self) -> Option<Time> {
        self.borrow().wall
    }

    fn pin(&self) -> Pin {
        let drawer = self.borrow();
        match (&drawer.pin, drawer.has_file) {
            (Some(_), _) => Pin::Chosen,
            (None, true) => Pin::Open,
            (None, false) => Pin::Fleeting,
        }
    }

    fn is_pin(&self, typed: &str) -> bool {
        self.borrow().pin.as_deref() == Some(typed)
    }

    fn set_pin(&mut self, typed: &str) -> bool {
        self.borrow_mut().pin = Some(typed.to_owned());
        self.borrow().has_file
    }

    fn log(&mut self, text: &str) {
        self.borrow_mut().log.push(text.to_owned());
    }

    fn before(&mut self, _: &str, _: &str) -> Option<Before> {
        self.borrow().before
    }
}

/// A kiosk with its instruments, and a clock that goes by steps.
pub(crate) struct Stand {
    pub(crate) kiosk: Kiosk,
    pub(crate) keys: Fake,
    now: Time,
}

/// The paper of these tests.
fn paper() -> Paper {
    Paper::new(1920.0, 1080.0, 1.0, false)
}

impl Stand {
    pub(crate) fn new(desk: Box<dyn Desk>) -> Self {
        let (exam, faults) = read::read(SCRIPT, "try-out");
        let exam = exam.unwrap_or_else(|| panic!("{faults:#?}"));
        let keys = Fake::new("stage piano");
        let setup = Setup {
            shelf: vec![Shelved {
                exam,
                script: SCRIPT.to_owned(),
                digest: "0".repeat(64),
            }],
            set: Some(0),
            roster: Vec::new(),
            code: Code::FIRST,
            words: &ENGLISH,
            level: Level::START,
            computer: false,
            monitoring: false,
            program: "0".to_owned(),
        };
        let kiosk = Kiosk::new(
            setup,
            desk,
            Piano::bundled().unwrap(),
            Box::new(keys.clone()),
            Box::new(FakeSpeaker::new(Time::from_ms(20))),
        );

        Self {
            kiosk,
            keys,
            now: Time::ZERO,
        }
    }

    fn with(drawer: &Shared) -> Self {
        Self::new(Box::new(Rc::clone(drawer)))
    }

    /// Lets so many milliseconds pass.
    pub(crate) fn wait(&mut self, ms: i64) {
        let until = self.now + Time::from_ms(ms);
        while self.now < until {
            self.now += Time::from_ms(20);
            self.kiosk.tick(self.now);
        }
    }

    /// Signs a candidate in and brings them to their first section.
    pub(crate) fn sit(&mut self, candidate: &str) {
        self.wait(100);
        self.kiosk.act(Act::Go);
        for sign in candidate.chars() {
            self.kiosk.act(Act::Digit(sign));
        }
        for _ in 0..40 {
            if matches!(self.kiosk.screen, Screen::Seat(_)) {
                return;
            }
            self.wait(100);
            self.kiosk.act(Act::Go);
        }
        panic!("nobody sits: {:?}", self.sheet().said);
    }

    /// Brings them to their first item, and so many milliseconds into it.
    pub(crate) fn open_item(&mut self, ms: i64) -> u32 {
        for _ in 0..200 {
            if let Some(number) = self.seat().sitting().open_item() {
                self.wait(ms);
                return number;
            }
            if matches!(self.seat().phase, Phase::Page(_) | Phase::Rest(_)) {
                self.kiosk.act(Act::Go);
            }
            self.wait(100);
        }
        panic!("no item opens: {:?}", self.seat().phase);
    }

    /// Answers the open item as its number says: chords of even ones are played, and every ear item
    /// gets one of its options.
    pub(crate) fn answer(&mut self, number: u32) {
        let item = self.seat().sitting().form().item(number).unwrap().clone();
        let at = self.seat().time(self.now) + Time::from_ms(300);

        match &item.task {
            Task::Voicing(task) if number.is_multiple_of(2) => {
                let keys = task.voicing.realise(task.chord.root.class()).unwrap();
                self.keys.chord(&keys, at, at + Time::from_ms(700));
            }
            Task::Ear(_) => self.kiosk.act(Act::Answer(0, number as usize % 3)),
            _ => {}
        }
    }

    pub(crate) fn seat(&self) -> &Seat {
        match &self.kiosk.screen {
            Screen::Seat(seat) => seat,
            _ => panic!("nobody sits: {:?}", self.sheet().said),
        }
    }

    fn kinds(&self) -> Vec<&str> {
        let incidents = self.seat().sitting().incidents();
        incidents.iter().map(|one| one.kind.as_str()).collect()
    }

    fn sheet(&self) -> Sheet<Act> {
        self.kiosk.sheet(paper())
    }

    fn says(&self, text: &str) {
        let sheet = self.sheet();
        assert!(sheet.says(text), "{text}: {:#?}", sheet.said);
    }

    fn press(&mut self, key: Meaning) {
        let press = Press {
            code: String::new(),
            key,
            down: true,
            again: false,
            shift: false,
        };
        self.kiosk.press(&press, paper());
    }

    pub(crate) fn write(&mut self, text: &str) {
        for sign in text.chars() {
            self.press(Meaning::Sign(sign));
        }
    }

    /// Opens the invigilator's page.
    pub(crate) fn open(&mut self, pin: &str) {
        self.press(Meaning::Function(12));
        self.write(pin);
        self.press(Meaning::Enter);
    }

    /// Presses the figure of the row with a label.
    pub(crate) fn choose(&mut self, label: &str) {
        let rows = rows(&self.kiosk);
        let place = rows.iter().position(|row| row.label == label);
        let place = place.unwrap_or_else(|| panic!("{label}: {rows:#?}"));
        self.write(&(place + 1).to_string());
    }

    fn page(&self) -> &Page {
        self.kiosk
            .invigilator
            .page
            .as_ref()
            .expect("a page is open")
    }
}

fn drawer() -> Shared {
    let drawer = Shared::default();
    drawer.borrow_mut().pin = Some("2468".to_owned());
    drawer
}

#[test]
fn the_clock_goes_on_until_the_pin_is_right_and_then_the_item_is_replaced() {
    let mut stand = Stand::with(&drawer());
    stand.sit("3118");
    let item = stand.open_item(500);
    stand.press(Meaning::Function(12));
    stand.says("With the PIN it stops, and an item that is open is replaced");
    assert_eq!(stand.seat().sitting().open_item(), Some(item));
    stand.write("2468");
    stand.says("••••");
    assert!(!stand.sheet().says("2468"));
    stand.press(Meaning::Enter);

    stand.says("The clock has stopped");
    stand.says("Section A, item 1 of 4.");
    stand.says("minutes of the examination remain");
    stand.says("Signed in, form");
    stand.says("10:21:00");
    assert_eq!(stand.seat().sitting().open_item(), None);
    let voided = stand.seat().sitting().showings()[0].voided.as_deref();
    assert_eq!(voided, Some("invigilator"));
    assert_eq!(stand.kinds(), ["clock stopped"]);

    // A count of three, in which nothing happens, and then another item of the same cell.
    stand.press(Meaning::Enter);
    stand.says("The clock goes on");
    stand.wait(2_900);
    assert!(stand.kiosk.invigilator.is_open());
    stand.says("1");
    stand.wait(200);
    assert!(!stand.kiosk.invigilator.is_open());
    let other = stand.open_item(0);
    assert_ne!(other, item);
    assert_eq!(stand.kinds(), ["clock stopped", "clock started"]);
}

#[test]
fn wrong_pins_wait_longer_each_time_and_are_noted() {
    let drawer = drawer();
    let mut stand = Stand::with(&drawer);
    stand.sit("3118");
    let item = stand.open_item(100);
    stand.press(Meaning::Function(12));
    for wait in [1_000, 2_000] {
        stand.write("9999");
        stand.press(Meaning::Enter);
        stand.says("That is not the PIN");
        // Even the right one is not looked at before.
        stand.write("2468");
        stand.wait(wait - 100);
        stand.press(Meaning::Enter);
        assert!(matches!(stand.page(), Page::Pin { .. }));
        for _ in 0..4 {
            stand.press(Meaning::Backspace);
        }
        stand.wait(200);
    }
    assert_eq!(stand.kinds(), ["wrong PIN", "wrong PIN"]);
    assert_eq!(stand.seat().sitting().open_item(), Some(item));
    stand.write("2468");
    stand.press(Meaning::Enter);
    assert_eq!(*stand.page(), Page::Desk);

    // Between sittings the log of the room has them, and a wait has its bound.
    let mut stand = Stand::with(&drawer);
    stand.press(Meaning::Function(12));
    for _ in 0..9 {
        stand.write("1");
        stand.press(Meaning::Enter);
        assert!(stand.kiosk.invigilator.next_try - stand.now <= LONGEST_WAIT);
        stand.wait(60_020);
    }
    let log = &drawer.borrow().log;
    assert_eq!(log.iter().filter(|line| *line == "wrong PIN").count(), 9);
}

#[test]
fn a_new_pin_is_typed_twice_and_only_between_sittings() {
    let drawer = Shared::default();
    drawer.borrow_mut().has_file = true;
    let mut stand = Stand::with(&drawer);
    // The settings file has none: it is asked for at the start.
    stand.says("Choose a PIN for the invigilator");
    stand.write("12");
    stand.press(Meaning::Enter);
    stand.says("too short");
    for (first, second) in [("1234", "1235"), ("1234", "1234")] {
        stand.write(first);
        stand.press(Meaning::Enter);
        stand.says("The same PIN once more");
        stand.write(second);
        stand.press(Meaning::Enter);
    }
    stand.says("in the room’s settings file");
    stand.press(Meaning::Enter);
    assert!(!stand.kiosk.invigilator.is_open());
    assert_eq!(drawer.borrow().pin.as_deref(), Some("1234"));

    // Without a settings file F12 asks, but not a candidate in the middle of a sitting.
    let drawer = Shared::default();
    let mut stand = Stand::with(&drawer);
    assert!(!stand.kiosk.invigilator.is_open());
    stand.sit("3118");
    let item = stand.open_item(100);
    stand.open("");
    assert!(!stand.kiosk.invigilator.is_open());
    assert_eq!(stand.seat().sitting().open_item(), Some(item));
    let mut stand = Stand::with(&drawer);
    stand.open("1234");
    stand.write("1234");
    stand.press(Meaning::Enter);
    stand.says("It holds until the program ends");
}

#[test]
fn the_pin_can_be_touched() {
    let mut stand = Stand::with(&drawer());
    stand.press(Meaning::Function(12));
    for sign in "2468".chars() {
        let sheet = stand.sheet();
        let name = sign.to_string();
        let target = sheet.targets.iter().find(|target| target.name == name);
        let bounds = target.unwrap().bounds;
        let at = crate::engraving::Point::new(bounds.left + 2.0, bounds.top + 2.0);
        stand.kiosk.point(at, paper());
    }
    stand.press(Meaning::Enter);
    assert_eq!(*stand.page(), Page::Desk);
}

#[test]
fn added_time_goes_to_the_item_that_comes_next() {
    let mut stand = Stand::with(&drawer());
    stand.sit("3118");
    let _ = stand.open_item(100);
    stand.open("2468");
    stand.choose("Add time to this item");
    stand.choose("10 seconds");
    stand.choose("Go on with the exam");
    stand.wait(3_100);
    let number = stand.open_item(200);
    let showing = stand.seat().sitting().showings().last().unwrap();
    assert_eq!(
        (showing.number, showing.added),
        (number, Time::from_ms(10_000))
    );
    assert_eq!(
        stand.kinds(),
        [
            "clock stopped",
            "time granted",
            "clock started",
            "time added"
        ]
    );
    // The one after has its own time again.
    stand.open("2468");
    stand.choose("Go on with the exam");
    stand.wait(3_100);
    let _ = stand.open_item(200);
    let showing = stand.seat().sitting().showings().last().unwrap();
    assert_eq!(showing.added, Time::ZERO);
}

#[test]
fn an_item_is_voided_once() {
    let mut stand = Stand::with(&drawer());
    stand.sit("3118");
    let _ = stand.open_item(100);
    stand.open("2468");
    // It was open: the stop has voided it already.
    stand.says("done: another one takes its place");
    stand.choose("Void this item");
    let showings = stand.seat().sitting().showings();
    assert_eq!(showings.len(), 1);
    assert_eq!(stand.kinds(), ["clock stopped"]);
    stand.choose("Go on with the exam");
    stand.wait(3_100);
    // In the gap after an item that closed, the row voids that one.
    let _ = stand.open_item(100);
    while stand.seat().sitting().open_item().is_some() {
        stand.wait(100);
    }
    stand.open("2468");
    let last = |stand: &Stand| stand.seat().sitting().showings().last().unwrap().clone();
    assert_eq!(last(&stand).voided, None);
    stand.choose("Void this item");
    assert_eq!(last(&stand).voided.as_deref(), Some("invigilator"));
    stand.says("done: another one takes its place");
}

#[test]
fn incidents_are_noted_with_their_words() {
    let drawer = drawer();
    let mut stand = Stand::with(&drawer);
    stand.sit("3118");
    let _ = stand.open_item(100);
    stand.open("2468");
    stand.choose("Note an incident");
    stand.choose("Noise");
    // A figure is text here, not a row.
    stand.write("Drill next door, 2 min");
    stand.says("Drill next door, 2 min");
    stand.press(Meaning::Enter);
    let incident = stand.seat().sitting().incidents().last().unwrap().clone();
    assert_eq!(
        (
            incident.kind.as_str(),
            incident.text.as_str(),
            incident.by.as_str()
        ),
        ("noise", "Drill next door, 2 min", "invigilator")
    );
    stand.says("noise, Drill next door, 2 min");
    stand.choose("Note an incident");
    stand.choose("Back");
    assert_eq!(*stand.page(), Page::Desk);

    let mut stand = Stand::with(&drawer);
    stand.open("2468");
    stand.choose("Note an incident");
    stand.choose("Equipment");
    stand.write("a key sticks");
    stand.press(Meaning::Enter);
    assert!(
        drawer
            .borrow()
            .log
            .contains(&"equipment: a key sticks".to_owned())
    );
}

#[test]
fn a_sitting_is_stopped_for_its_reason() {
    let check = |label: &str, words: &str, end: End| {
        let mut stand = Stand::with(&drawer());
        stand.sit("3118");
        let _ = stand.open_item(100);
        stand.open("2468");
        // There is no way out before.
        stand.choose("Leave the program");
        assert!(!stand.kiosk.has_left());
        stand.choose("Stop the sitting");
        stand.choose(label);
        if !words.is_empty() {
            stand.write(words);
            stand.press(Meaning::Enter);
        }
        let Screen::End(ended) = &stand.kiosk.screen else {
            panic!("it has not ended");
        };
        assert_eq!(ended.sitting.end(), Some(&end));
        stand.choose("Leave the program");
        assert!(stand.kiosk.has_left());
    };
    check(
        "Illness, pain or distress",
        "",
        End::Void("illness".to_owned()),
    );
    check("Equipment", "", End::Stopped("equipment".to_owned()));
    check(
        "Another reason",
        "fire drill",
        End::Stopped("fire drill".to_owned()),
    );
}

#[test]
fn nothing_but_the_invigilator_leaves_the_program() {
    let mut stand = Stand::with(&drawer());
    // Escape and the fourth function key with Alt come from the window as any other key.
    for key in [Meaning::Other, Meaning::Function(4), Meaning::Function(10)] {
        stand.press(key);
    }
    assert!(matches!(stand.kiosk.screen, Screen::Cover));
    stand.press(Meaning::Function(12));
    stand.press(Meaning::Other);
    assert!(matches!(stand.page(), Page::Pin { .. }));
    stand.kiosk.act(Act::Invigilator(Do::Back));
    assert!(!stand.kiosk.invigilator.is_open() && !stand.kiosk.has_left());
    // Acts of the page below do nothing while another lies over it.
    stand.press(Meaning::Function(12));
    stand.kiosk.act(Act::Go);
    stand
        .keys
        .down(Time::from_ms(20), crate::theory::Key::MIDDLE_C, 80);
    stand.wait(100);
    assert!(matches!(stand.kiosk.screen, Screen::Cover));
    stand.write("2468");
    stand.press(Meaning::Enter);
    stand.choose("Leave the program");
    assert!(stand.kiosk.has_left());
}

#[test]
fn what_is_allowed_holds_for_one_sitting_and_within_the_exam() {
    let drawer = drawer();
    let mut stand = Stand::with(&drawer);
    stand.open("2468");
    stand.choose("Allow the next candidate");
    for _ in 0..3 {
        stand.write("1");
    }
    stand.choose("0 extra hearings");
    stand.choose("Back");
    stand.says("time factor 2.00, 1 extra hearings");
    stand.choose("Close this page");
    stand.sit("3118");
    assert_eq!(drawer.borrow().factor, (200, 1));
    let allowance = stand.seat().sitting().allowance();
    assert_eq!((allowance.factor, allowance.hearings), (200, 1));
    stand.kiosk.act(Act::AskToStop);
    stand.kiosk.act(Act::Stop(Reason::Done));
    stand.kiosk.act(Act::Go);
    stand.sit("3119");
    assert_eq!(drawer.borrow().factor, (100, 0));
}

#[test]
fn a_panel_marks_after_the_sitting_and_a_new_result_is_stored() {
    let drawer = drawer();
    let mut stand = Stand::with(&drawer);
    stand.sit("3118");
    stand.kiosk.act(Act::AskToStop);
    stand.kiosk.act(Act::Stop(Reason::Done));
    assert_eq!(drawer.borrow().stored, [(0, true)]);
    stand.open("2468");
    // The page does not close under the invigilator's hands.
    stand.wait(61_000);
    stand.choose("The panel’s marks");
    let items = stand.kiosk.panel_items().len();
    for _ in 0..items {
        stand.write("101");
        stand.says("10");
        stand.write("0");
        stand.press(Meaning::Enter);
        stand.says("Who gives this mark?");
        stand.write("JW");
        stand.press(Meaning::Enter);
    }
    stand.says("It is result 2.");
    assert_eq!(drawer.borrow().stored, [(0, true), (items, true)]);
    let Screen::End(ended) = &stand.kiosk.screen else {
        panic!("it has ended");
    };
    let marks: Vec<_> = ended.sitting.panel().values().collect();
    assert!(
        items > 0
            && marks
                .iter()
                .all(|(credit, by)| *credit == Fraction::new(1, 1) && by == "JW")
    );
}

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
fn a_candidate_cannot_end_the_invigilators_pause() {
    let mut stand = Stand::with(&drawer());
    stand.sit("3118");
    let _ = stand.open_item(100);
    stand.open("2468");
    stand.kiosk.act(Act::AskToStop);
    stand.kiosk.act(Act::Back);
    stand.kiosk.invigilator.page = None;
    stand.kiosk.act(Act::AskToStop);
    stand.kiosk.act(Act::Back);
    assert!(matches!(stand.seat().phase, Phase::Stopped { .. }));
    // Asked by themselves they may go on.
    stand.open("2468");
    stand.press(Meaning::Enter);
    stand.wait(3_100);
    let _ = stand.open_item(100);
    stand.kiosk.act(Act::AskToStop);
    stand.kiosk.act(Act::Back);
    assert!(!matches!(stand.seat().phase, Phase::Stopped { .. }));
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
        new_pin(),
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
