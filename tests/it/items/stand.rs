//! A kiosk without a window, brought to an item by the acts that a candidate does.

use viva_voicing::engraving::Point;
use viva_voicing::exam::code::Code;
use viva_voicing::exam::form::{Item, Task};
use viva_voicing::exam::read;
use viva_voicing::instruments::fake_keyboard::Fake;
use viva_voicing::instruments::fake_speaker::Shared;
use viva_voicing::instruments::piano::Piano;
use viva_voicing::instruments::speaker::Level;
use viva_voicing::kiosk::act::{Act, Key as Meaning, Press};
use viva_voicing::kiosk::desk::NoDesk;
use viva_voicing::kiosk::model::{Kiosk, Screen, Setup};
use viva_voicing::kiosk::seat::{Phase, Seat};
use viva_voicing::kiosk::shelf::Shelved;
use viva_voicing::kiosk::words::{ENGLISH, Words};
use viva_voicing::kiosk::{Paper, Sheet};
use viva_voicing::theory::Key;
use viva_voicing::time::Time;

/// A kiosk with its instruments, and a clock that goes by steps.
pub(crate) struct Stand {
    pub(crate) kiosk: Kiosk,
    pub(crate) keys: Fake,
    pub(crate) speaker: Shared,
    pub(crate) paper: Paper,
    pub(crate) now: Time,
}

/// How far the clock goes at a time.
const STEP: Time = Time::from_ms(20);

impl Stand {
    pub(crate) fn new(script: &str) -> Self {
        Self::saying(script, &ENGLISH)
    }

    /// Brings a candidate to the first item of a script.
    pub(crate) fn saying(script: &str, words: &'static Words) -> Self {
        let (exam, faults) = read::read(script, "stand");
        let exam = exam.unwrap_or_else(|| panic!("{faults:#?}"));
        let keys = Fake::new("stage piano");
        let speaker = Shared::new(Time::from_ms(20));
        let setup = Setup {
            shelf: vec![Shelved {
                exam,
                script: script.to_owned(),
                digest: "0".repeat(64),
            }],
            set: Some(0),
            roster: Vec::new(),
            forms: Vec::new(),
            code: Code::FIRST,
            words,
            level: Level::START,
            computer: false,
            monitoring: false,
            print: true,
            program: "0".to_owned(),
        };
        let kiosk = Kiosk::new(
            setup,
            Box::new(NoDesk),
            Piano::bundled().unwrap(),
            Box::new(keys.clone()),
            Box::new(speaker.clone()),
        );
        let mut stand = Self {
            kiosk,
            keys,
            speaker,
            paper: Paper::new(1920.0, 1080.0, 1.0, false),
            now: Time::ZERO,
        };

        stand.wait(100);
        stand.kiosk.act(Act::Go);
        for sign in "3118".chars() {
            stand.kiosk.act(Act::Digit(sign));
        }
        stand.kiosk.act(Act::Go);
        for _ in 0..12 {
            if matches!(stand.kiosk.screen, Screen::Check(_)) {
                stand.kiosk.act(Act::Skip);
                stand.wait(100);
            }
        }
        assert!(matches!(stand.kiosk.screen, Screen::Plan(_)), "the plan");
        stand.kiosk.act(Act::Go);
        stand
    }

    /// Begins the section whose page is open, and waits for its item.
    pub(crate) fn begin(&mut self) {
        self.kiosk.act(Act::Go);
        self.until("an item", |stand| stand.item().is_some());
        self.wait(60);
    }

    /// Lets milliseconds pass.
    pub(crate) fn wait(&mut self, ms: i64) {
        let until = self.now + Time::from_ms(ms);
        while self.now < until {
            self.now += STEP;
            self.kiosk.tick(self.now);
        }
    }

    /// Lets time pass until something is so, two minutes at most.
    #[track_caller]
    pub(crate) fn until(&mut self, what: &str, is_so: impl Fn(&Self) -> bool) {
        for _ in 0..6_000 {
            if is_so(self) {
                return;
            }
            self.wait(20);
        }
        panic!("waited in vain for {what}: {:?}", self.sheet().said);
    }

    /// The sitting's time, which its instruments go by.
    pub(crate) fn time(&self) -> Time {
        self.seat().time(self.now)
    }

    pub(crate) fn sheet(&self) -> Sheet<Act> {
        self.kiosk.sheet(self.paper)
    }

    #[track_caller]
    pub(crate) fn says(&self, text: &str) {
        let sheet = self.sheet();
        assert!(sheet.says(text), "“{text}” not in {:?}", sheet.said);
    }

    #[track_caller]
    pub(crate) fn says_nothing_of(&self, text: &str) {
        let sheet = self.sheet();
        assert!(!sheet.says(text), "“{text}” in {:?}", sheet.said);
    }

    pub(crate) fn seat(&self) -> &Seat {
        match &self.kiosk.screen {
            Screen::Seat(seat) => seat,
            _ => panic!("nobody sits: {:?}", self.sheet().said),
        }
    }

    pub(crate) fn phase(&self) -> &Phase {
        &self.seat().phase
    }

    pub(crate) fn item(&self) -> Option<&Item> {
        match &self.kiosk.screen {
            Screen::Seat(seat) => seat.item(),
            _ => None,
        }
    }

    pub(crate) fn task(&self) -> Task {
        self.item().expect("an item").task.clone()
    }

    /// Presses a key of the computer.
    pub(crate) fn press(&mut self, key: Meaning) {
        let press = Press {
            code: String::new(),
            key,
            down: true,
            again: false,
            shift: false,
        };
        self.kiosk.press(&press, self.paper);
    }

    /// Types characters.
    pub(crate) fn types(&mut self, text: &str) {
        for sign in text.chars() {
            self.press(Meaning::Sign(sign));
        }
    }

    /// Presses in the middle of what does something.
    #[track_caller]
    pub(crate) fn point(&mut self, act: Act) {
        let sheet = self.sheet();
        let target = sheet
            .targets
            .iter()
            .find(|target| target.act == act)
            .unwrap_or_else(|| panic!("{act:?} is not among {:?}", sheet.targets));
        let bounds = target.bounds;
        let at = Point::new(
            (bounds.left + bounds.right) / 2.0,
            (bounds.top + bounds.bottom) / 2.0,
        );
        self.kiosk.point(at, self.paper);
    }

    /// Plays a chord and holds it for a while.
    pub(crate) fn play(&mut self, keys: &[Key], ms: i64) {
        let from = self.time() + Time::from_ms(10);
        self.keys.chord(keys, from, from + Time::from_ms(ms));
        self.wait(ms + 40);
    }

    /// The keys that the open voicing asks for.
    pub(crate) fn asked(&self) -> Vec<Key> {
        let Task::Voicing(task) = self.task() else {
            panic!("no voicing");
        };
        task.voicing.realise(task.chord.root.class()).unwrap()
    }
}
