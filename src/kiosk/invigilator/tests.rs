//! The invigilator, by acts and by what stands on the pages.

mod pin;
mod room;
mod row;

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
use crate::kiosk::seat::Seat;
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
            forms: Vec::new(),
            code: Code::FIRST,
            words: &ENGLISH,
            level: Level::START,
            computer: false,
            monitoring: false,
            print: true,
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
    #[cfg_attr(
        not(feature = "kiosk"),
        allow(dead_code, reason = "the kiosk alone needs it")
    )]
    pub(crate) fn answer(&mut self, number: u32) {
        let item = self.seat().sitting().form().item(number).unwrap().clone();
        let at = self.now + Time::from_ms(300);

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
