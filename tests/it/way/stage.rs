//! A kiosk with fakes, and somebody at it.

use std::sync::OnceLock;

use viva_voicing::engraving::Point;
use viva_voicing::exam::code::Code;
use viva_voicing::exam::form::Task;
use viva_voicing::exam::read;
use viva_voicing::instruments::fake_keyboard::Fake;
use viva_voicing::instruments::fake_speaker::Shared;
use viva_voicing::instruments::piano::Piano;
use viva_voicing::instruments::speaker::Level;
use viva_voicing::kiosk::act::{Act, Key as Meaning, Press};
use viva_voicing::kiosk::model::{Screen, Setup};
use viva_voicing::kiosk::seat::Phase;
use viva_voicing::kiosk::shelf::Shelved;
use viva_voicing::kiosk::words::{ENGLISH, Words};
use viva_voicing::kiosk::{Kiosk, Paper, Sheet};
use viva_voicing::sitting::Prompt;
use viva_voicing::theory::Key;
use viva_voicing::time::Time;

use super::printer::Printer;

pub(crate) const LARGE: (f32, f32) = (1920.0, 1080.0);

/// How a stage is set.
#[derive(Clone)]
pub(crate) struct Scene {
    pub(crate) scripts: Vec<String>,
    pub(crate) roster: Vec<String>,
    pub(crate) forms: Vec<Option<Code>>,
    pub(crate) words: &'static Words,
    pub(crate) computer: bool,
    pub(crate) midi: bool,
    /// Whether candidates may print.
    pub(crate) print: bool,
}

impl Scene {
    /// The exam of the tests, with no list of candidates.
    pub(crate) fn mixed() -> Self {
        Self {
            scripts: vec![script("tests/fixtures/sittings/mixed.toml")],
            roster: Vec::new(),
            forms: Vec::new(),
            words: &ENGLISH,
            computer: true,
            midi: true,
            print: true,
        }
    }

    /// The bundled exam.
    pub(crate) fn bundled() -> Self {
        Self {
            scripts: vec![script("exams/guide-tones.toml")],
            ..Self::mixed()
        }
    }

    /// With candidates 3101 and so on.
    pub(crate) fn roster(self, count: usize) -> Self {
        Self {
            roster: (0..count).map(|place| (3101 + place).to_string()).collect(),
            ..self
        }
    }

    /// With words of the script replaced.
    pub(crate) fn with(mut self, old: &str, new: &str) -> Self {
        for script in &mut self.scripts {
            assert!(script.contains(old), "the script has {old}");
            *script = script.replace(old, new);
        }
        self
    }
}

pub(crate) fn script(path: &str) -> String {
    std::fs::read_to_string(path).unwrap()
}

/// A kiosk and who is at it.
pub(crate) struct Stage {
    pub(crate) kiosk: Kiosk,
    pub(crate) hands: Fake,
    pub(crate) speaker: Shared,
    pub(crate) printer: Printer,
    pub(crate) now: Time,
    pub(crate) paper: Paper,
    asked: Option<Prompt>,
}

impl Stage {
    pub(crate) fn new(scene: Scene) -> Self {
        static PIANO: OnceLock<Piano> = OnceLock::new();
        let piano = PIANO.get_or_init(|| Piano::bundled().unwrap()).clone();
        let hands = Fake::new("grand piano");
        if !scene.midi {
            hands.unplug(Time::ZERO);
        }
        let printer = Printer::default();
        let speaker = Shared::new(Time::from_ms(10));
        let shelf: Vec<Shelved> = scene
            .scripts
            .iter()
            .map(|script| {
                let (exam, diagnostics) = read::read(script, "exam");
                Shelved {
                    exam: exam.unwrap_or_else(|| panic!("{diagnostics:?}")),
                    script: script.clone(),
                    digest: "0".repeat(64),
                }
            })
            .collect();
        let setup = Setup {
            set: None,
            shelf,
            roster: scene.roster,
            forms: scene.forms,
            code: Code::new(7, 1),
            words: scene.words,
            level: Level::START,
            computer: scene.computer,
            monitoring: false,
            print: scene.print,
            program: "1.0.0".to_owned(),
        };
        let kiosk = Kiosk::new(
            setup,
            Box::new(printer.clone()),
            piano,
            Box::new(hands.clone()),
            Box::new(speaker.clone()),
        );
        let mut stage = Self {
            kiosk,
            hands,
            speaker,
            printer,
            now: Time::ZERO,
            paper: Paper::new(LARGE.0, LARGE.1, 1.0, false),
            asked: None,
        };
        stage.pass(20);
        stage
    }

    /// Lets so many milliseconds pass.
    pub(crate) fn pass(&mut self, ms: i64) {
        let until = self.now + Time::from_ms(ms);
        while self.now < until {
            self.now = (self.now + Time::from_ms(20)).min(until);
            self.kiosk.tick(self.now);
        }
    }

    pub(crate) fn sheet(&self) -> Sheet<Act> {
        self.kiosk.sheet(self.paper)
    }

    pub(crate) fn on(&self, paper: Paper) -> Sheet<Act> {
        self.kiosk.sheet(paper)
    }

    /// Turns to another size of page.
    pub(crate) fn paper(&mut self, paper: Paper) {
        self.paper = paper;
    }

    #[track_caller]
    pub(crate) fn says(&self, text: &str) {
        let sheet = self.sheet();
        let targets: Vec<_> = sheet.targets.iter().map(|it| &it.name).collect();
        assert!(
            sheet.says(text),
            "{text:?} in {:#?} and {targets:?}",
            sheet.said
        );
    }

    #[track_caller]
    pub(crate) fn says_not(&self, text: &str) {
        assert!(!self.sheet().says(text), "{text:?}");
    }

    pub(crate) fn key(&mut self, key: Meaning) {
        self.press("", key, false);
    }

    pub(crate) fn press(&mut self, code: &str, key: Meaning, shift: bool) {
        let press = Press {
            code: code.to_owned(),
            key,
            down: true,
            again: false,
            shift,
        };
        self.kiosk.press(&press, self.paper);
        self.kiosk.press(
            &Press {
                down: false,
                ..press
            },
            self.paper,
        );
    }

    pub(crate) fn enter(&mut self) {
        self.key(Meaning::Enter);
    }

    pub(crate) fn types(&mut self, text: &str) {
        for sign in text.chars() {
            self.key(Meaning::Sign(sign));
        }
    }

    /// Presses a target by its name with the pointer.
    #[track_caller]
    pub(crate) fn point(&mut self, name: &str) {
        let sheet = self.sheet();
        let target = sheet
            .targets
            .iter()
            .find(|target| target.name == name)
            .unwrap_or_else(|| panic!("{name:?} is there: {:?}", sheet.said));
        let at = Point::new(
            (target.bounds.left + target.bounds.right) / 2.0,
            (target.bounds.top + target.bounds.bottom) / 2.0,
        );
        self.kiosk.point(at, self.paper);
    }

    /// Goes to a target by the tabulator and presses it by Enter.
    #[track_caller]
    pub(crate) fn tab_to(&mut self, name: &str) {
        for _ in 0..200 {
            self.key(Meaning::Tab);
            let sheet = self.sheet();
            let focus = self.kiosk.focus.and_then(|focus| sheet.targets.get(focus));
            if focus.is_some_and(|target| target.name == name) {
                self.enter();
                return;
            }
        }
        panic!("{name:?} never had the focus: {:?}", self.sheet().said);
    }

    /// Plays a key for a moment.
    pub(crate) fn play(&mut self, number: i64) {
        let key = Key::new(number).unwrap();
        self.hands.down(self.now + Time::from_ms(1), key, 80);
        self.hands.up(self.now + Time::from_ms(60), key);
        self.pass(100);
    }

    /// Taps along with the beats, so many milliseconds late.
    pub(crate) fn tap(&mut self, late: i64) {
        self.plan_taps(late);
        self.pass(10_000);
    }

    /// Will tap along with the beats that begin now.
    pub(crate) fn plan_taps(&mut self, late: i64) {
        // Ninety beats a minute, four of which count in; the speaker is 10 ms late.
        let begun = self.now + Time::from_ms(20 + 10);
        for beat in 4..12_i64 {
            let at = begun + Time::from_tenths(beat * 600_000 / 90 + late * 10);
            self.hands.down(at, Key::MIDDLE_C, 80);
            self.hands.up(at + Time::from_ms(50), Key::MIDDLE_C);
        }
    }

    /// Goes from the cover to the check.
    pub(crate) fn reach_check(&mut self, number: &str) {
        self.enter();
        self.types(number);
        self.enter();
        self.pass(40);
        assert!(matches!(self.kiosk.screen, Screen::Check(_)));
    }

    /// Goes from the cover to the plan of an exam that has nothing to check.
    pub(crate) fn reach_free_plan(&mut self, number: &str) {
        self.enter();
        self.types(number);
        self.enter();
        self.pass(60);
        assert!(matches!(self.kiosk.screen, Screen::Plan(_)));
    }

    /// Goes from the cover to the plan by Enter and the keys that are asked for.
    pub(crate) fn reach_plan(&mut self, number: &str) {
        self.reach_check(number);
        self.play(36);
        self.play(60);
        self.enter();
        self.pass(40);
        for _ in 0..2 {
            if matches!(self.kiosk.screen, Screen::Check(_)) {
                self.enter();
                self.pass(40);
            }
        }
        assert!(matches!(self.kiosk.screen, Screen::Plan(_)));
    }

    /// Goes from the cover to the first item.
    pub(crate) fn reach_sitting(&mut self, number: &str) {
        self.reach_plan(number);
        self.reach_items();
    }

    /// Goes on from the plan, leaf after leaf.
    pub(crate) fn reach_items(&mut self) {
        while matches!(self.kiosk.screen, Screen::Plan(_)) {
            self.enter();
        }
    }

    /// Goes on in the sitting until something is so, answering what is asked: two of three right.
    pub(crate) fn sit_until(&mut self, is: impl Fn(&Kiosk) -> bool) {
        for _ in 0..90_000 {
            if is(&self.kiosk) {
                return;
            }
            self.answer();
            self.pass(20);
        }
        panic!("it never came: {:?}", self.sheet().said);
    }

    fn answer(&mut self) {
        let Screen::Seat(seat) = &self.kiosk.screen else {
            return;
        };
        let prompt = match seat.phase {
            Phase::Page(_) | Phase::Rest(_) => return self.enter(),
            Phase::Item(prompt) => prompt,
            _ => return self.asked = None,
        };
        if self.asked == Some(prompt) {
            return;
        }
        self.asked = Some(prompt);
        let Some(item) = seat.item().cloned() else {
            return;
        };
        let is_right = item.number % 3 != 0;
        match &item.task {
            Task::Voicing(task) => {
                let root = task.chord.root.class();
                let keys: Vec<Key> = task.voicing.realise(root).unwrap().into_iter().collect();
                let played = if is_right { &keys[..] } else { &keys[1..] };
                let from = self.now + Time::from_ms(900);
                self.hands.chord(played, from, from + Time::from_ms(900));
                if !is_right {
                    // The second attempt is no better.
                    let from = from + Time::from_ms(1_800);
                    self.hands.chord(played, from, from + Time::from_ms(900));
                }
            }
            Task::Ear(task) => {
                self.pass(3_000);
                for (part, right) in task.right.iter().enumerate() {
                    let option = if is_right { *right } else { 0 };
                    self.kiosk.act(Act::Answer(part, option));
                }
                self.kiosk.act(Act::HandIn);
            }
            _ => self.kiosk.act(Act::HandIn),
        }
    }
}
