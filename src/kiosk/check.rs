//! The check before a sitting: is the keyboard heard, does it lie right, is the sound comfortable,
//! and how late does the candidate hear and tap.

use crate::instruments::keyboard::{Fact, Keyboard, Touch};
use crate::instruments::metronome::{Metronome, Plan};
use crate::instruments::piano::{Note, Piano};
use crate::instruments::speaker::{self, Clip, Lag, Level, Speaker, tap_along};
use crate::marking::event::KeySet;
use crate::theory::Key;
use crate::time::Time;

/// Beats to tap along with, and beats before them that count in.
pub const BEATS: u32 = 8;
/// Beats that count in.
pub const COUNT_IN: u32 = 4;
/// Beats a minute, in hundredths: a walking pace, which most people tap most evenly at (common
/// practice, no source).
const TEMPO: u32 = 9_000;
/// The chord of the level check and how long it sounds.
const CHORD: [i64; 4] = [48, 55, 64, 71];
const SOUNDS: Time = Time::from_ms(2_500);
/// Keyboards by their lowest key and how many keys they have (common practice, no source).
const USUAL: [(u8, u8); 3] = [(21, 88), (28, 76), (36, 61)];
/// A pause between two soundings of the chord.
const PAUSE: Time = Time::from_ms(1_200);

/// A step of the check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// No keyboard is there yet.
    Keyboard,
    /// The lowest key.
    Lowest,
    /// Middle C.
    MiddleC,
    /// The level.
    Level,
    /// Tapping along.
    Tap,
}

/// Where the chord sounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// On the left.
    Left,
    /// On the right.
    Right,
    /// On both.
    Both,
}

impl Side {
    /// Returns what sounds after it.
    const fn next(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right | Self::Both => Self::Both,
        }
    }
}

/// What an exam needs of the check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Needs {
    /// The lowest and the highest key, where hands play.
    pub keys: Option<(u8, u8)>,
    /// Whether anything sounds.
    pub sound: bool,
    /// Whether beats are played to.
    pub beats: bool,
}

/// What was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Found {
    /// The lowest key, where it was asked for.
    pub lowest: Option<Key>,
    /// How late the candidate taps.
    pub lag: Option<Lag>,
    /// The level that is comfortable.
    pub level: Option<Level>,
}

/// A check on its way.
#[derive(Debug, Clone)]
pub struct Check {
    needs: Needs,
    /// The step.
    pub step: Step,
    /// What was found so far.
    pub found: Found,
    /// The key that was played for middle C and is none.
    pub other: Option<Key>,
    /// By how many octaves the keyboard is shifted, where a C was played for middle C.
    pub shift: i8,
    /// Whether the lowest key is too high for the exam.
    pub too_few: bool,
    /// Whether there is anything to sound on.
    pub has_sound: bool,
    /// Where the chord sounds, or sounds next.
    pub side: Side,
    /// Whether too few beats were tapped.
    pub again: bool,
    taps: Vec<Time>,
    /// The level.
    pub level: Level,
    /// Keys that are down.
    pub held: KeySet,
    chord: Option<Clip>,
    metronome: Option<Metronome>,
    /// When the beats began to be heard.
    begun: Option<Time>,
    sounding: bool,
    next: Option<Time>,
}

impl Check {
    /// Begins a check; the chord is rendered here, in some milliseconds.
    pub fn new(needs: Needs, level: Level, piano: &Piano) -> Self {
        let notes: Vec<Note> = CHORD
            .iter()
            .filter_map(|number| Key::new(*number).ok())
            .map(|key| Note {
                at: Time::ZERO,
                held: Time::from_ms(2_000),
                key,
                velocity: 80,
            })
            .collect();

        Self {
            needs,
            step: Step::Keyboard,
            found: Found::default(),
            other: None,
            shift: 0,
            too_few: false,
            has_sound: true,
            side: Side::Left,
            again: false,
            taps: Vec::new(),
            level,
            held: KeySet::EMPTY,
            chord: needs
                .sound
                .then(|| piano.render(&notes, SOUNDS, 0.0).ok())
                .flatten(),
            metronome: metronome(),
            begun: None,
            sounding: false,
            next: None,
        }
    }

    /// Takes in what the keyboard and the speaker tell, and sounds what the step needs. Returns
    /// whether the check is over.
    pub fn poll(
        &mut self,
        keyboard: &mut dyn Keyboard,
        speaker: &mut dyn Speaker,
        now: Time,
    ) -> bool {
        for event in keyboard.poll(now) {
            match event.fact {
                Fact::Touched(Touch::Down { key, .. }) => {
                    self.held = self.held.with(key);
                    self.struck(key, event.at);
                }
                Fact::Touched(Touch::Up { key }) => self.held = self.held.without(key),
                _ => {}
            }
        }
        for fact in speaker.poll(now) {
            self.told(&fact);
        }
        self.has_sound = speaker.is_there();

        match self.step {
            Step::Keyboard if self.needs.keys.is_none() => self.go(Step::Level),
            Step::Keyboard if keyboard.is_there() => self.go(Step::Lowest),
            Step::Lowest | Step::MiddleC if !keyboard.is_there() => self.step = Step::Keyboard,
            Step::Level if !self.needs.sound => return true,
            Step::Level => self.sound_chord(speaker, now),
            Step::Tap if !self.needs.beats => return true,
            Step::Tap => self.sound_beats(speaker, now),
            _ => {}
        }

        false
    }

    /// The candidate goes on from a step; returns whether the check is over.
    pub fn go_on(&mut self, speaker: &mut dyn Speaker) -> bool {
        match self.step {
            Step::Keyboard | Step::MiddleC => self.go(Step::Level),
            Step::Lowest => self.go(Step::MiddleC),
            Step::Level => {
                self.hush(speaker);
                self.go(Step::Tap);
                // Beats that nobody hears can't be tapped along with.
                return !self.needs.beats || !self.has_sound;
            }
            Step::Tap => {
                speaker.stop();
                return true;
            }
        }

        false
    }

    /// Returns the names of the lowest and the highest key that the exam needs.
    pub fn keys(&self) -> (String, String) {
        let (low, high) = self.needs.keys.unwrap_or((21, 108));
        let name =
            |key: u8| Key::new(i64::from(key)).map_or_else(|_| String::new(), Key::flat_name);

        (name(low), name(high))
    }

    /// Changes the level; the chord sounds again.
    pub fn set_level(&mut self, level: Level, speaker: &mut dyn Speaker) {
        self.level = level;
        speaker.set_level(level);
        self.hush(speaker);
    }

    /// Once more: the chord on the left and on the right, or the beats.
    pub fn again(&mut self, speaker: &mut dyn Speaker) {
        match self.step {
            Step::Level => self.side = Side::Left,
            Step::Tap => {
                self.found.lag = None;
                self.again = false;
                self.taps.clear();
            }
            Step::Keyboard | Step::Lowest | Step::MiddleC => return,
        }
        self.hush(speaker);
    }

    /// Returns how many keys a keyboard with this lowest key usually has.
    pub fn usual_keys(&self) -> Option<u8> {
        let lowest = self.found.lowest?.number();

        USUAL
            .iter()
            .find(|(key, _)| *key == lowest)
            .map(|(_, count)| *count)
    }

    /// Returns the beat that sounds, from 0, those that count in included.
    pub fn beat(&self, now: Time) -> Option<u32> {
        let (begun, metronome) = (self.begun?, self.metronome.as_ref()?);

        (0..COUNT_IN + BEATS)
            .rev()
            .find(|beat| begun + metronome.at(*beat) <= now)
    }

    /// Returns the beats that were tapped, in the order of the taps.
    pub fn tapped(&self) -> Vec<u32> {
        let (Some(begun), Some(metronome)) = (self.begun, self.metronome.as_ref()) else {
            return Vec::new();
        };
        let nearest = |tap: &Time| {
            (0..COUNT_IN + BEATS).min_by_key(|beat| (begun + metronome.at(*beat) - *tap).abs())
        };

        self.taps
            .iter()
            .filter_map(nearest)
            .filter(|beat| *beat >= COUNT_IN)
            .collect()
    }

    /// Tells whether beats come after the level.
    pub const fn has_beats(&self) -> bool {
        self.needs.beats
    }

    /// Tells whether anything of the exam sounds.
    pub const fn has_level(&self) -> bool {
        self.needs.sound
    }

    /// Tells whether hands play.
    pub const fn has_hands(&self) -> bool {
        self.needs.keys.is_some()
    }

    fn hush(&mut self, speaker: &mut dyn Speaker) {
        speaker.stop();
        self.sounding = false;
        self.begun = None;
        self.next = None;
    }

    fn go(&mut self, step: Step) {
        self.step = step;
        self.other = None;
    }

    fn struck(&mut self, key: Key, at: Time) {
        match self.step {
            Step::Lowest => {
                self.found.lowest = Some(key);
                self.judge();
                if !self.too_few {
                    self.go(Step::MiddleC);
                }
            }
            Step::MiddleC if key == Key::MIDDLE_C => self.middle_c(),
            Step::MiddleC => {
                let octaves = (i64::from(key.number()) - i64::from(Key::MIDDLE_C.number())) / 12;
                let is_c = key.class() == Key::MIDDLE_C.class();
                self.other = Some(key);
                self.shift = if is_c { octaves as i8 } else { 0 };
            }
            Step::Tap => self.taps.push(at),
            Step::Keyboard | Step::Level => {}
        }
    }

    /// Middle C lies right, perhaps after the keyboard was set back by octaves.
    fn middle_c(&mut self) {
        let shift = 12 * i64::from(std::mem::take(&mut self.shift));
        let lowest = self.found.lowest.map(|key| i64::from(key.number()) - shift);

        self.found.lowest = lowest.and_then(|key| Key::new(key).ok());
        self.judge();
        self.go(if self.too_few {
            Step::Lowest
        } else {
            Step::Level
        });
    }

    /// Tells whether the keyboard reaches down far enough.
    fn judge(&mut self) {
        let needed = self.needs.keys.map_or(0, |(low, _)| low);

        self.too_few = self.found.lowest.is_some_and(|key| key.number() > needed);
    }

    fn told(&mut self, fact: &speaker::Fact) {
        match fact {
            speaker::Fact::Started { at } => self.begun = Some(*at),
            speaker::Fact::Ended { .. } if !self.sounding => {}
            speaker::Fact::Ended { .. } => {
                self.sounding = false;
                match self.step {
                    Step::Tap => self.sum_up(),
                    Step::Level => self.side = self.side.next(),
                    Step::Keyboard | Step::Lowest | Step::MiddleC => {}
                }
            }
            speaker::Fact::Lost { .. } => {
                self.sounding = false;
                self.begun = None;
            }
            // It goes on by itself, at once.
            speaker::Fact::Found { .. } => self.next = None,
        }
    }

    fn sound_chord(&mut self, speaker: &mut dyn Speaker, now: Time) {
        let due = self.next.is_none_or(|next| next <= now);

        if let (false, true, Some(chord)) = (self.sounding, due, &self.chord) {
            speaker.set_level(self.level);
            self.sounding = speaker.play(&on(chord, self.side), now).is_ok();
            self.next = Some(now + SOUNDS + PAUSE);
        }
    }

    fn sound_beats(&mut self, speaker: &mut dyn Speaker, now: Time) {
        if self.sounding || self.found.lag.is_some() {
            return;
        }
        if let Some(metronome) = &self.metronome {
            self.begun = None;
            self.taps.clear();
            self.sounding = speaker.play(&metronome.clip(), now).is_ok();
        }
    }

    /// The beats are over: the middle of the taps, or once more.
    fn sum_up(&mut self) {
        let (Some(begun), Some(metronome)) = (self.begun.take(), &self.metronome) else {
            return;
        };
        let beats: Vec<Time> = (COUNT_IN..COUNT_IN + BEATS)
            .map(|beat| begun + metronome.at(beat))
            .collect();

        self.found.lag = tap_along(&self.taps, &beats);
        self.again = self.found.lag.is_none();
    }
}

/// The clip on one side, as loud there as both sides are on the whole.
fn on(clip: &Clip, side: Side) -> Clip {
    let placed = |[left, right]: [f32; 2]| {
        let middle = (left + right) / 2.0;
        match side {
            Side::Left => [middle, 0.0],
            Side::Right => [0.0, middle],
            Side::Both => [left, right],
        }
    };

    match side {
        Side::Both => clip.clone(),
        _ => Clip::new(clip.frames.iter().copied().map(placed).collect()),
    }
}

fn metronome() -> Option<Metronome> {
    Metronome::new(Plan {
        tempo: TEMPO,
        factor: 100,
        bar: 4,
        bars_in: 1,
        beats_on: BEATS,
    })
    .ok()
}
