//! The kiosk: which page, what a press does, and what comes next.

mod entry;
mod press;
mod seated;

use std::collections::{BTreeMap, BTreeSet};

use super::act::Act;
use super::check::{Check, Found};
use super::desk::{Before, Desk, Stored};
use super::hands::Computer;
use super::invigilator::Invigilator;
use super::pages;
use super::paper::Paper;
use super::print::Prints;
use super::seat::{Phase, Seat};
use super::sheet::Sheet;
use super::shelf::Shelved;
use super::words::Words;
use crate::exam::code::Code;
use crate::exam::form::{Form, GENERATOR};
use crate::instruments::keyboard::{Fact, Keyboard, Touch};
use crate::instruments::piano::Piano;
use crate::instruments::speaker::{Level, Speaker};
use crate::marking::event::KeySet;
use crate::marking::item::Allowance;
use crate::results::document::Given;
use crate::room::{Journal, Room};
use crate::sitting::equipment::Equipment;
use crate::sitting::{End, Event, Sitting, wire};
use crate::theory::Key;
use crate::time::Time;

/// C2, the lowest of 61 keys.
const LOWEST: u8 = 36;
/// The last page closes by itself after so long.
pub(super) const CLOSES: Time = Time::from_ms(60_000);
/// Signs of a candidate's number at most.
pub const LONGEST: usize = 12;

/// What a kiosk is set up with.
pub struct Setup {
    /// The exams, one at least.
    pub shelf: Vec<Shelved>,
    /// The exam that the room is set to, where there is no choice.
    pub set: Option<usize>,
    /// The candidates' numbers; empty where any will do.
    pub roster: Vec<String>,
    /// The forms that were allotted to them beforehand, in the same order; it may be shorter.
    pub forms: Vec<Option<Code>>,
    /// The seed and first seat of the forms: each candidate of a roster has the seat of their place.
    pub code: Code,
    /// The words of the pages.
    pub words: &'static Words,
    /// The level that the check begins with.
    pub level: Level,
    /// Whether the computer's own keys may stand in.
    pub computer: bool,
    /// Whether the program sounds what is played.
    pub monitoring: bool,
    /// Whether a candidate may print their mark sheet.
    pub print: bool,
    /// The version of the program.
    pub program: String,
}

/// A page, with what it needs.
pub enum Screen {
    /// The cover.
    Cover,
    /// The candidate's number.
    SignIn {
        /// What is written.
        typed: String,
        /// What was written and is not on the list.
        refused: Option<String>,
    },
    /// Keyboard and sound.
    Check(Box<Check>),
    /// The plan.
    Plan(Found),
    /// The sitting.
    Seat(Box<Seat>),
    /// The end.
    End(Box<Ended>),
    /// Something keeps the exam from beginning.
    Trouble(String),
}

/// An ended sitting.
pub struct Ended {
    /// The sitting.
    pub sitting: Sitting,
    /// Where the result is, or why it is nowhere.
    pub kept: Result<Stored, String>,
    /// When the page closes.
    pub closes: Time,
    /// What the result holds beside the sitting.
    pub given: Given,
    /// The journal, for the panel's marks.
    pub journal: Box<dyn Journal>,
}

/// A kiosk.
pub struct Kiosk {
    /// What it is set up with.
    pub setup: Setup,
    pub(super) desk: Box<dyn Desk>,
    pub(super) piano: Piano,
    pub(super) keyboard: Option<Box<dyn Keyboard>>,
    pub(super) speaker: Option<Box<dyn Speaker>>,
    computer: Computer,
    /// Whether the computer's own keys are played on.
    pub on_computer: bool,
    /// The page.
    pub screen: Screen,
    /// The time of the last tick.
    pub now: Time,
    /// The exam that was chosen.
    pub chosen: usize,
    /// The candidate.
    pub candidate: String,
    /// Candidates who have handed in.
    pub handed_in: BTreeSet<String>,
    pub(super) form: Option<Form>,
    /// The invigilator's part.
    pub invigilator: Invigilator,
    /// What a candidate who signs in was told: their number, and what is known of them.
    pub told: Option<(String, Before)>,
    /// The mark sheets that were sent to the printer.
    pub(super) prints: Prints,
    /// The exam of a sitting that was taken up.
    pub(super) resumed: Option<Shelved>,
    /// The target that has the focus.
    pub focus: Option<usize>,
    /// The leaf of the page, where it has several.
    pub leaf: usize,
    held: KeySet,
    pub(super) left: bool,
    /// Piano keys that fingers hold, by finger.
    fingers: BTreeMap<u64, Key>,
    /// The lowest key of the keyboard, as far as the check has found it.
    lowest: Option<Key>,
    /// How often something was pressed or came by itself that changes the page.
    pub(super) changes: u64,
}

impl Kiosk {
    /// Opens a kiosk on its cover.
    pub fn new(
        setup: Setup,
        desk: Box<dyn Desk>,
        piano: Piano,
        keyboard: Box<dyn Keyboard>,
        speaker: Box<dyn Speaker>,
    ) -> Self {
        let mut kiosk = Self {
            chosen: setup.set.unwrap_or(0),
            setup,
            desk,
            piano,
            keyboard: Some(keyboard),
            speaker: Some(speaker),
            computer: Computer::default(),
            on_computer: false,
            screen: Screen::Cover,
            now: Time::ZERO,
            candidate: String::new(),
            handed_in: BTreeSet::new(),
            form: None,
            invigilator: Invigilator::default(),
            told: None,
            prints: Prints::default(),
            resumed: None,
            focus: None,
            leaf: 0,
            held: KeySet::EMPTY,
            left: false,
            fingers: BTreeMap::new(),
            lowest: None,
            changes: 0,
        };

        kiosk.look_round();
        kiosk
    }

    /// Tells whether there is no exam to choose.
    pub fn is_set(&self) -> bool {
        self.setup.set.is_some() || self.setup.shelf.len() == 1
    }

    /// Tells whether a keyboard is there to be played.
    pub fn has_keyboard(&self) -> bool {
        self.keyboard
            .as_ref()
            .is_some_and(|keyboard| keyboard.is_there())
    }

    /// Returns the exam that was chosen.
    pub fn shelved(&self) -> &Shelved {
        let chosen = self.chosen.min(self.setup.shelf.len() - 1);

        self.resumed.as_ref().unwrap_or(&self.setup.shelf[chosen])
    }

    /// Returns the form that was drawn.
    pub const fn form(&self) -> Option<&Form> {
        self.form.as_ref()
    }

    /// Returns the keys that are down.
    pub fn held(&self) -> KeySet {
        match &self.screen {
            Screen::Seat(seat) => seat.room().held(),
            Screen::Check(check) => check.held,
            _ => self.held,
        }
    }

    /// Tells whether something moves, so that the window has to look often.
    pub fn is_busy(&self) -> bool {
        matches!(self.screen, Screen::Seat(_) | Screen::Check(_)) || self.invigilator.is_open()
    }

    /// Tells whether the invigilator has left the program.
    pub const fn has_left(&self) -> bool {
        self.left
    }

    /// Tells whether keys below the 61 of the measure may be played.
    pub fn is_wide(&self) -> bool {
        let lowest = match &self.screen {
            Screen::Check(check) => check.found.lowest,
            _ => self.lowest,
        };

        self.on_computer || lowest.is_some_and(|lowest| lowest.number() < LOWEST)
    }

    /// Returns the name of the keyboard.
    pub fn keyboard_name(&self) -> String {
        self.keyboard
            .as_ref()
            .map_or_else(String::new, |keyboard| keyboard.name())
    }

    /// Returns how often the page may have changed but for what moves.
    pub const fn changes(&self) -> u64 {
        self.changes
    }

    /// Draws the page.
    pub fn sheet(&self, paper: Paper) -> Sheet<Act> {
        pages::sheet(self, paper)
    }

    /// Lets time pass: instruments are heard, and what is due happens.
    pub fn tick(&mut self, now: Time) {
        self.mind_jumps(self.now.max(now));
        self.now = self.now.max(now);
        let now = self.now;
        self.hear_of_prints();

        match &mut self.screen {
            Screen::Seat(seat) => {
                let before = seat.open_prompt();
                seat.poll(now);
                let is_over = before.is_some() && seat.open_prompt() != before;
                let has_ended = seat.phase == Phase::Ended;
                // What the pointer held belonged to the item that is over.
                if is_over && self.on_computer {
                    self.let_go();
                }
                if has_ended {
                    self.end();
                }
            }
            Screen::Check(check) => {
                let keyboard = keyboard(&mut self.keyboard, &mut self.computer, self.on_computer);
                if let Some(speaker) = &mut self.speaker
                    && check.poll(keyboard, speaker.as_mut(), now)
                {
                    self.checked();
                }
            }
            Screen::End(ended) if ended.closes <= now && !self.invigilator.is_open() => {
                self.close();
            }
            _ => self.idle(now),
        }
        self.count();
    }

    /// Between sittings middle C begins one.
    fn idle(&mut self, now: Time) {
        let events = self
            .keyboard
            .as_mut()
            .map_or_else(Vec::new, |keyboard| keyboard.poll(now));
        if let Some(speaker) = &mut self.speaker {
            let _ = speaker.poll(now);
        }
        for event in events {
            match event.fact {
                Fact::Touched(Touch::Down { key, .. }) => {
                    self.held = self.held.with(key);
                    if key == Key::MIDDLE_C
                        && matches!(self.screen, Screen::Cover)
                        && !self.invigilator.is_open()
                    {
                        self.act(Act::Go);
                    }
                }
                Fact::Touched(Touch::Up { key }) => self.held = self.held.without(key),
                _ => {}
            }
        }
    }

    /// Does what a press does.
    pub fn act(&mut self, act: Act) {
        let now = self.now;
        self.changes += 1;
        let is_set = self.is_set();

        if let Act::Invigilator(what) = act {
            return self.invigilate(what);
        }
        // What lies below an open page is not touched.
        if self.invigilator.is_open() {
            return;
        }
        match (&mut self.screen, act) {
            (Screen::Cover, Act::Choose(place)) => {
                self.chosen = place.min(self.setup.shelf.len() - 1);
                self.sign_in();
            }
            (Screen::Cover, Act::Go) if is_set => self.sign_in(),
            (Screen::End(ended), Act::Turn(leaf)) => {
                // Who turns it still reads it.
                ended.closes = now + CLOSES;
                self.focus = None;
                self.leaf = leaf;
            }
            (Screen::End(_), Act::Print) => self.print_own(),
            (Screen::End(_), Act::Practise) => self.practise_own(),
            (Screen::Cover | Screen::SignIn { .. } | Screen::Plan(_), Act::Turn(leaf)) => {
                self.focus = None;
                self.leaf = leaf;
            }
            (Screen::SignIn { typed, refused }, Act::Digit(sign))
                if typed.chars().count() < LONGEST && (sign.is_alphanumeric() || sign == '-') =>
            {
                typed.push(sign);
                *refused = None;
                self.leaf = 0;
                self.focus = None;
            }
            (Screen::SignIn { typed, refused }, Act::RubOut) => {
                let _ = typed.pop();
                *refused = None;
                self.leaf = 0;
                self.focus = None;
            }
            (Screen::SignIn { typed, .. }, Act::Pick(place)) => {
                if let Some(number) = self.setup.roster.get(place) {
                    typed.clone_from(number);
                    self.signed_in();
                }
            }
            (Screen::SignIn { .. }, Act::Go) => self.signed_in(),
            (Screen::SignIn { .. }, Act::Back) => self.close(),
            (Screen::Check(check), act) => {
                let Some(speaker) = &mut self.speaker else {
                    return;
                };
                let over = match act {
                    Act::Softer => {
                        check.set_level(check.level.softer(), speaker.as_mut());
                        false
                    }
                    Act::Louder => {
                        check.set_level(check.level.louder(), speaker.as_mut());
                        false
                    }
                    Act::UseComputer if self.setup.computer => {
                        self.on_computer = true;
                        check.go_on(speaker.as_mut())
                    }
                    Act::Go | Act::Skip => check.go_on(speaker.as_mut()),
                    Act::Again => {
                        check.again(speaker.as_mut());
                        false
                    }
                    _ => false,
                };
                self.focus = None;
                if over {
                    self.checked();
                }
            }
            (Screen::Plan(found), Act::Go) => {
                let found = *found;
                self.sit(found);
            }
            (Screen::Seat(seat), act) => {
                seated::act(seat, act, now);
                if act == Act::Go {
                    self.go_on_after_suspension();
                }
                self.tick(now);
            }
            (Screen::End(_) | Screen::Trouble(_), Act::Go) => self.close(),
            _ => {}
        }
    }

    /// Turns to another page.
    fn turn(&mut self, screen: Screen) {
        self.focus = None;
        self.leaf = 0;
        self.screen = screen;
    }

    fn checked(&mut self) {
        self.changes += 1;
        if let Screen::Check(check) = &self.screen {
            let found = Found {
                level: Some(check.level),
                ..check.found
            };
            self.lowest = found.lowest;
            self.turn(Screen::Plan(found));
        }
    }

    /// Begins the sitting.
    fn sit(&mut self, found: Found) {
        let Some(form) = self.form.clone() else {
            return;
        };
        let shelved = self.shelved().clone();
        let Some((hands, speaker)) = self.take_instruments() else {
            return;
        };
        let (least, most) = shelved.exam.rules.time_factor;
        let allowed = self.invigilator.allowed;
        let allowance = Allowance {
            factor: allowed.factor.clamp(least, most),
            hearings: allowed.hearings,
            lag: found.lag.map_or(Time::ZERO, |lag| lag.median),
        };
        let equipment = Equipment {
            instrument: hands.kind().words().to_owned(),
            name: hands.name(),
            without_touch: !hands.kind().has_spread(),
            output: speaker.name(),
            delay: speaker.latency(),
            lag_spread: found.lag.map(|lag| lag.spread),
        };
        let given = Given {
            program: self.setup.program.clone(),
            script: shelved.script.clone(),
            digest: shelved.digest.clone(),
            candidate: self.candidate.clone(),
            started: self.desk.date(),
            equipment,
            ..Given::default()
        };
        let header = wire::Header {
            version: wire::VERSION,
            program: given.program.clone(),
            generator: GENERATOR,
            exam: shelved.exam.name.clone(),
            script: given.script.clone(),
            form: form.code.to_string(),
            candidate: given.candidate.clone(),
            started: given.started.clone(),
            ..wire::Header::default()
        }
        .with(allowance, &given.equipment);

        match self.desk.begin(&header) {
            Ok(journal) => {
                let sitting = Sitting::new(shelved.exam, form, allowance);
                let mut room = Room::new(
                    sitting,
                    hands,
                    speaker,
                    self.piano.clone(),
                    found.level.unwrap_or(self.setup.level),
                    journal,
                )
                .begun_at(self.now);
                room.set_monitoring(self.setup.monitoring);
                let mut seat = Seat::new(room, given);
                // The plan was the first page of the unmarked items.
                if seat.phase == Phase::Page(None) {
                    seat.take(Event::Go, self.now);
                }
                self.screen = Screen::Seat(Box::new(seat));
            }
            Err(why) => {
                self.take_back(hands, speaker);
                self.screen = Screen::Trouble(why);
            }
        }
        self.focus = None;
    }

    /// The sitting has ended: the result is stored.
    fn end(&mut self) {
        self.changes += 1;
        let Screen::Seat(mut seat) = std::mem::replace(&mut self.screen, Screen::Cover) else {
            return;
        };
        // A journal says itself that nothing more comes, later than a sitting that ended by itself.
        seat.take(Event::Finished, self.now);
        let mut given = seat.given.clone();
        let (sitting, keyboard, speaker, journal) = seat.leave();

        given.journal = journal.head();
        self.take_back(keyboard, speaker);
        let kept = self.desk.store(&sitting, &given);
        // Who had to stop can sit another form.
        if !matches!(sitting.end(), Some(End::Void(_))) {
            let _ = self.handed_in.insert(self.candidate.clone());
        }
        self.focus = None;
        self.leaf = 0;
        self.screen = Screen::End(Box::new(Ended {
            sitting,
            kept,
            closes: self.now + CLOSES,
            given,
            journal,
        }));
    }

    /// The same candidate sits another exam next, with what they are allowed.
    pub(super) fn sit_next(&mut self, shelved: Shelved) {
        let (candidate, allowed) = (self.candidate.clone(), self.invigilator.allowed);
        self.close();
        self.candidate = candidate;
        self.invigilator.allowed = allowed;
        self.resumed = Some(shelved);
        self.check(self.setup.code);
    }

    /// Something keeps the exam from beginning.
    pub(super) fn trouble(&mut self, why: String) {
        self.turn(Screen::Trouble(why));
    }

    /// Back to the cover.
    pub(super) fn close(&mut self) {
        self.changes += 1;
        // What was allowed holds for one sitting.
        if matches!(self.screen, Screen::End(_)) {
            self.invigilator.allowed = super::invigilator::Allowed::NOTHING;
        }
        self.invigilator.clocks.clear();
        self.invigilator.waiting = self.desk.unfinished();
        self.told = None;
        self.prints.turn();
        self.resumed = None;
        self.turn(Screen::Cover);
        self.candidate.clear();
        self.form = None;
        self.on_computer = false;
        self.let_go();
    }

    /// Tells how the last sitting ended, where its page is open.
    pub fn ended(&self) -> Option<&End> {
        match &self.screen {
            Screen::End(ended) => ended.sitting.end(),
            _ => None,
        }
    }
}

/// The keyboard that is played on.
fn keyboard<'a>(
    midi: &'a mut Option<Box<dyn Keyboard>>,
    computer: &'a mut Computer,
    on_computer: bool,
) -> &'a mut dyn Keyboard {
    match midi {
        Some(midi) if !on_computer => midi.as_mut(),
        _ => computer,
    }
}
