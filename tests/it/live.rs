//! A sitting in a room, with a screen that is a test: what the window does, done by hand.

use std::collections::BTreeMap;
use std::thread;
use std::time::{Duration, Instant};

use viva_voicing::cli::replay;
use viva_voicing::exam::code::Code;
use viva_voicing::exam::form::Item;
use viva_voicing::exam::script::Exam;
use viva_voicing::exam::{draw, read};
use viva_voicing::instruments::keyboard::Keyboard;
use viva_voicing::instruments::performance::{self, Kind, Performance};
use viva_voicing::instruments::piano::Piano;
use viva_voicing::instruments::speaker::{Level, Speaker};
use viva_voicing::marking::event::Action;
use viva_voicing::marking::item::Allowance;
use viva_voicing::room::{Change, NoJournal, Room};
use viva_voicing::sitting::outcome::outcome;
use viva_voicing::sitting::{Event, Prompt, Sitting};
use viva_voicing::theory::Key;
use viva_voicing::time::Time;

/// How often the room is polled.
const LOOK: Duration = Duration::from_millis(1);

/// The room's clock.
enum Clock {
    /// It goes by itself.
    Real(Instant),
    /// It goes on at each look.
    Virtual(Time),
}

/// What is done in each item, since its prompt.
pub(crate) type Doings = BTreeMap<u32, Vec<(Time, Action)>>;

/// An exam script and a performance of a form of it.
pub(crate) struct Paper {
    pub(crate) exam: Exam,
    pub(crate) code: Code,
    pub(crate) performance: Performance,
}

impl Paper {
    /// Reads both from the project.
    pub(crate) fn read(script: &str, performance: &str) -> Self {
        let path = |name: &str| format!("{}/{name}", env!("CARGO_MANIFEST_DIR"));
        let source = std::fs::read_to_string(path(script)).expect("the script is there");
        let name = script
            .rsplit('/')
            .next()
            .and_then(|name| name.strip_suffix(".toml"));
        let (exam, faults) = read::read(&source, name.expect("a script"));
        let bytes = std::fs::read(path(performance)).expect("the performance is there");
        let performance = performance::read(&bytes).expect("it is whole");
        let code = match &performance.form {
            Some(code) => Code::parse(code).expect("a code"),
            None => Code::FIRST,
        };

        Self {
            exam: exam.unwrap_or_else(|| panic!("{faults:#?}")),
            code,
            performance,
        }
    }

    pub(crate) fn sitting(&self) -> Sitting {
        let form = draw::draw(&self.exam, self.code).expect("it can be drawn");

        Sitting::new(self.exam.clone(), form, Allowance::NONE)
    }

    /// Reads a script that nobody has performed.
    #[cfg(feature = "kiosk")]
    pub(crate) fn blank(script: &str) -> Self {
        let path = format!("{}/{script}", env!("CARGO_MANIFEST_DIR"));
        let source = std::fs::read_to_string(path).expect("the script is there");
        let (exam, faults) = read::read(&source, "blank");

        Self {
            exam: exam.unwrap_or_else(|| panic!("{faults:#?}")),
            code: Code::FIRST,
            performance: Performance::default(),
        }
    }

    /// Plays the performance from its file through a sitting.
    pub(crate) fn replayed(&self) -> Sitting {
        let mut sitting = self.sitting();
        replay::play::<replay::Error>(&mut sitting, &self.performance, Time::ZERO, &mut |_, _| {
            Ok(())
        })
        .expect("the performance is of this form");

        sitting
    }

    /// What the performance does on the screen in each item: answers, and hearings asked for.
    fn screen(&self) -> Doings {
        self.doings(|kind| match kind {
            Kind::Answer(text) => Some(Action::Answer(text.clone())),
            Kind::Hear => Some(Action::Hear),
            _ => None,
        })
    }

    /// What the performance's hands do in each item.
    pub(crate) fn hands(&self) -> Doings {
        let key = |number: u8| Key::new(i64::from(number)).expect("a file has no others");

        self.doings(|kind| match *kind {
            Kind::Down {
                key: number,
                velocity,
            } => Some(Action::Down(key(number), velocity)),
            Kind::Up { key: number } => Some(Action::Up(key(number))),
            Kind::Pedal { value } => Some(Action::Pedal(value)),
            _ => None,
        })
    }

    fn doings(&self, action: impl Fn(&Kind) -> Option<Action>) -> Doings {
        let mut doings = Doings::new();
        let (mut item, mut zero) = (0, Time::ZERO);

        for event in &self.performance.events {
            if let Kind::Item(number) = event.kind {
                (item, zero) = (number, event.at);
            } else if let Some(action) = action(&event.kind) {
                doings
                    .entry(item)
                    .or_default()
                    .push((event.at - zero, action));
            }
        }

        doings
    }
}

/// A live sitting.
pub(crate) struct Live {
    pub(crate) room: Room,
    pub(crate) changes: Vec<Change>,
    clock: Clock,
    has_begun: bool,
    screen: Doings,
    /// What is still to be done on the screen in the item that is open.
    to_do: Vec<(Time, Action)>,
}

impl Live {
    pub(crate) fn new(
        paper: &Paper,
        keyboard: Box<dyn Keyboard>,
        speaker: Box<dyn Speaker>,
        level: Level,
    ) -> Self {
        let piano = Piano::bundled().expect("the program was built whole");
        let journal = Box::new(NoJournal);

        Self {
            room: Room::new(paper.sitting(), keyboard, speaker, piano, level, journal),
            changes: Vec::new(),
            clock: Clock::Real(Instant::now()),
            has_begun: false,
            screen: paper.screen(),
            to_do: Vec::new(),
        }
    }

    /// Has time go on by the looks alone.
    pub(crate) fn in_no_time(self) -> Self {
        Self {
            clock: Clock::Virtual(Time::ZERO),
            ..self
        }
    }

    /// The sitting's time.
    pub(crate) fn now(&self) -> Time {
        match &self.clock {
            Clock::Real(begun) => Time::from_tenths((begun.elapsed().as_micros() / 100) as i64),
            Clock::Virtual(now) => *now,
        }
    }

    fn step(&mut self) {
        match &mut self.clock {
            Clock::Real(_) => thread::park_timeout(LOOK),
            Clock::Virtual(now) => *now += Time::from_ms(1),
        }
    }

    /// Returns the item of the paper that a prompt shows.
    pub(crate) fn item(&self, prompt: Prompt) -> &Item {
        self.room.sitting().item(prompt).expect("the form has it")
    }

    /// Goes on until something is so; `begins` is told each prompt with its time zero for the hands.
    ///
    /// # Panics
    /// Where it is not so in time.
    pub(crate) fn until(
        &mut self,
        what: &str,
        within: Duration,
        mut begins: impl FnMut(Prompt, &Item, Time),
        is_so: impl Fn(&Room, &[Change]) -> bool,
    ) {
        let deadline = self.now() + Time::from_ms(within.as_millis() as i64);

        while !is_so(&self.room, &self.changes) {
            assert!(
                self.now() < deadline,
                "waited in vain until {what}; last: {:?}; incidents: {:?}",
                &self.changes[self.changes.len().saturating_sub(12)..],
                self.room.sitting().incidents(),
            );
            self.look(&mut begins);
            self.step();
        }
    }

    fn look(&mut self, begins: &mut impl FnMut(Prompt, &Item, Time)) {
        let now = self.now();
        let mut changes = self.room.poll(now);
        if !std::mem::replace(&mut self.has_begun, true) {
            changes.extend(self.room.take(Event::Go, now));
        }
        let due = self.to_do.partition_point(|(at, _)| *at <= now);
        for (_, action) in self.to_do.drain(..due).collect::<Vec<_>>() {
            changes.extend(self.room.take(Event::Did(action), self.now()));
        }
        let mut at = 0;

        while at < changes.len() {
            match changes[at] {
                Change::Page(_) => {
                    let more = self.room.take(Event::Go, self.now());
                    changes.extend(more);
                }
                Change::Prompt(prompt) => {
                    let now = self.now();
                    let more = self.room.shown(prompt, now);
                    changes.extend(more);
                    // A run in tempo begins with its beats.
                    if self.room.sitting().open() == Some(prompt) {
                        begins(prompt, self.item(prompt), now);
                        self.plan(prompt, now);
                    }
                }
                Change::Begun(prompt, at) => begins(prompt, self.item(prompt), at),
                Change::Closed => self.to_do.clear(),
                _ => {}
            }
            at += 1;
        }
        self.changes.extend(changes);
    }

    fn plan(&mut self, prompt: Prompt, shown: Time) {
        if let Prompt::Item(number) = prompt {
            self.to_do = self.screen.get(&number).cloned().unwrap_or_default();
            for (at, _) in &mut self.to_do {
                *at += shown;
            }
        }
    }
}

/// The marks of the items that count: number, credit and reasons.
pub(crate) fn marks(sitting: &Sitting) -> Vec<(u32, String, Vec<String>)> {
    let mut marks: Vec<_> = outcome(sitting)
        .items
        .iter()
        .filter(|item| item.counts())
        .map(|item| {
            let credit = item.marked.credit();
            (
                item.item.number,
                credit.map_or_else(String::new, |credit| credit.to_string()),
                item.marked.reasons(),
            )
        })
        .collect();
    marks.sort();

    marks
}
