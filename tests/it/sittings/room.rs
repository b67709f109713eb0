//! A room without a room: a sitting driven at its own pace by an invented student.

use std::collections::BTreeMap;

use viva_voicing::exam::chance::Chance;
use viva_voicing::exam::code::Code;
use viva_voicing::exam::form::{GENERATOR, Item};
use viva_voicing::exam::script::Exam;
use viva_voicing::exam::{draw, read};
use viva_voicing::fraction;
use viva_voicing::marking::item::Allowance;
use viva_voicing::results::document::Given;
use viva_voicing::sitting::equipment::Equipment;
use viva_voicing::sitting::journal::Writer;
use viva_voicing::sitting::outcome::outcome;
use viva_voicing::sitting::{Effect, Event, Sitting, wire};
use viva_voicing::time::Time;

use super::student::{self, Doing};

pub(crate) const MIXED: &str = "tests/fixtures/sittings/mixed.toml";

/// Reads the script of the tests.
pub(crate) fn mixed() -> (Exam, String) {
    let source = std::fs::read_to_string(MIXED).unwrap();
    let (exam, diagnostics) = read::read(&source, "mixed");

    (exam.unwrap_or_else(|| panic!("{diagnostics:?}")), source)
}

/// What somebody does in an item under a time factor.
type Play = Box<dyn Fn(&Item, u32, &mut Chance) -> Vec<Doing> + Send + Sync>;

/// One sitting as it went, with its journal.
pub(crate) struct Room {
    pub(crate) sitting: Sitting,
    pub(crate) source: String,
    pub(crate) events: Vec<(Time, Event)>,
    chance: Chance,
    /// What is to come, in order of its time and then of its making.
    planned: BTreeMap<(Time, usize), Event>,
    count: usize,
    calm: bool,
    play: Play,
}

impl Room {
    /// Prepares a sitting; the seed decides on everything.
    pub(crate) fn new(seed: u64) -> Self {
        let (exam, source) = mixed();
        let mut chance = Chance::new("room", &[seed]);
        let code = Code::new(chance.below(1_000) as u32, 1);
        let form = draw::draw(&exam, code).unwrap();
        let allowance = Allowance {
            factor: [100, 100, 125, 150, 233][chance.below(5)],
            hearings: chance.below(3) as u8,
            // By itself, so that what the student does hangs on the seed as it did.
            lag: Time::from_tenths((seed * 397 % 1_201) as i64 - 400),
        };

        Self {
            sitting: Sitting::new(exam, form, allowance),
            source,
            events: Vec::new(),
            chance,
            planned: BTreeMap::new(),
            count: 0,
            calm: false,
            play: Box::new(student::play),
        }
    }

    /// Prepares an undisturbed sitting of any exam's form by somebody who plays in their own way.
    pub(crate) fn of(
        sitting: Sitting,
        source: String,
        seed: u64,
        play: impl Fn(&Item, u32, &mut Chance) -> Vec<Doing> + Send + Sync + 'static,
    ) -> Self {
        Self {
            chance: Chance::new("of", &[seed]),
            play: Box::new(play),
            ..Self::goes_on(sitting, source, seed)
        }
    }

    /// A student whom nobody disturbs.
    pub(crate) fn calm(seed: u64) -> Self {
        Self {
            calm: true,
            ..Self::new(seed)
        }
    }

    /// Goes on with a sitting that was taken up again.
    pub(crate) fn goes_on(sitting: Sitting, source: String, seed: u64) -> Self {
        Self {
            sitting,
            source,
            events: Vec::new(),
            chance: Chance::new("goes on", &[seed]),
            planned: BTreeMap::new(),
            count: 0,
            calm: true,
            play: Box::new(student::play),
        }
    }

    /// Sits it all.
    pub(crate) fn sit(mut self) -> Self {
        let begun = Time::from_tenths(self.chance.below(30_000) as i64);
        self.plan(self.sitting.now() + begun, Event::Go);

        while self.sitting.end().is_none() {
            let planned = self.planned.keys().next().copied();
            let due = self.sitting.deadline();
            match (planned, due) {
                (Some(next), due) if due.is_none_or(|due| next.0 <= due) => {
                    let event = self.planned.remove(&next).unwrap();
                    self.take(next.0, event);
                }
                (_, Some(due)) => {
                    let now = due + Time::from_tenths(1);
                    let effects = self.sitting.advance(now);
                    self.answer(now, &effects);
                }
                // Paused or on a page, and nothing to come.
                (_, None) => {
                    let now = self.sitting.now() + Time::from_ms(1_000);
                    self.take(now, Event::Resumed);
                    self.take(now, Event::Go);
                }
            }
            assert!(self.count < 100_000, "the sitting does not get on");
        }
        // What ended by itself has no event of its own: one that comes later passes it.
        let at = self.sitting.now() + Time::from_tenths(1);
        self.events.push((at, Event::Finished));
        self
    }

    /// Everything that happens goes through here, as through a journal.
    pub(crate) fn take(&mut self, at: Time, event: Event) {
        let at = at.max(self.sitting.now());
        self.events.push((at, event.clone()));
        let effects = self.sitting.update(event, at);
        self.answer(at, &effects);
    }

    fn plan(&mut self, at: Time, event: Event) {
        self.count += 1;
        drop(self.planned.insert((at, self.count), event));
    }

    /// Does what the sitting asks for, as a screen and a student would.
    fn answer(&mut self, now: Time, effects: &[Effect]) {
        for effect in effects {
            let soon = now + Time::from_tenths(self.chance.below(800) as i64);
            match effect {
                Effect::Page(_) => {
                    let at = now + Time::from_tenths(self.chance.below(90_000) as i64);
                    self.plan(at, Event::Go);
                }
                Effect::WarmUp(place) => self.plan(soon, Event::WarmUpShown(*place)),
                Effect::Show(number) => {
                    self.plan(soon, Event::Shown(*number));
                    self.play(*number, soon);
                }
                _ => {}
            }
        }
    }

    fn play(&mut self, number: u32, shown: Time) {
        let item = self.sitting.form().item(number).unwrap();
        let factor = self.sitting.allowance().factor;
        let mut doings = (self.play)(item, factor, &mut self.chance);
        if !self.calm {
            doings.extend(student::disturb(&mut self.chance));
            if self.chance.below(300) == 0 {
                let reason = ["pain in the wrist", "fire alarm"][self.chance.below(2)];
                doings.push((35_000, Event::Stopped(reason.to_owned())));
            }
        }
        for (at, event) in doings {
            // A key struck as the prompt appears is struck after it.
            self.plan(shown + Time::from_tenths(at.max(1)), event);
        }
    }

    /// The journal of the sitting, and where each line ends.
    pub(crate) fn journal(&self) -> (String, Vec<usize>) {
        let mut writer = Writer::new();
        let mut text = writer.line(&self.header()).unwrap();
        let mut ends = vec![text.len()];

        for (at, event) in &self.events {
            text += &writer.line(&wire::Line::new(*at, event)).unwrap();
            ends.push(text.len());
        }
        (text, ends)
    }

    fn header(&self) -> wire::Header {
        let given = self.given();

        wire::Header {
            version: wire::VERSION,
            program: given.program,
            generator: GENERATOR,
            exam: self.sitting.exam().name.clone(),
            script: given.script,
            form: self.sitting.form().code.to_string(),
            candidate: given.candidate,
            started: given.started,
            ..wire::Header::default()
        }
        .with(self.sitting.allowance(), &given.equipment)
    }

    pub(crate) fn given(&self) -> Given {
        Given {
            program: "0.0.0".to_owned(),
            script: self.source.clone(),
            digest: "0".repeat(64),
            candidate: "3118".to_owned(),
            started: "2026-03-12T10:21:00Z".to_owned(),
            equipment: Equipment {
                instrument: "an invented student".to_owned(),
                ..Equipment::default()
            },
            ..Given::default()
        }
    }
}

/// The marks of a sitting: every item's number, whether it counts, its credit and reasons, and
/// the total and sections, exact.
pub(crate) fn marks(sitting: &Sitting) -> Vec<String> {
    let outcome = outcome(sitting);
    let items = outcome.items.iter().map(|item| {
        if item.counts() {
            let credit = item.marked.credit().map(|credit| credit.to_string());
            format!(
                "item {}: {credit:?} {:?}",
                item.item.number,
                item.marked.reasons()
            )
        } else {
            format!("item {}: voided", item.item.number)
        }
    });
    let sections = outcome.grade.sections.iter().map(|section| {
        format!(
            "section {}: {} {:?} {:?}",
            section.section, section.mark, section.error, section.hurdle
        )
    });
    let total = &outcome.grade.total;

    items
        .chain(sections)
        .chain([format!(
            "total {} = {} {:?} {:?} {:?}, void: {}",
            total.mark,
            fraction::hundredths(total.mark),
            total.error,
            total.band,
            total.passed,
            outcome.void
        )])
        .collect()
}

/// Compares two lists and shows no more than the first difference.
pub(crate) fn same<T: PartialEq + std::fmt::Debug>(found: &[T], expected: &[T], what: &str) {
    for (place, (found, expected)) in found.iter().zip(expected).enumerate() {
        assert!(
            found == expected,
            "{what}, place {place}:\n{found:?}\n{expected:?}"
        );
    }
    assert_eq!(found.len(), expected.len(), "{what}");
}
