//! A sitting with hands and ears: what keyboard and speaker tell goes in, what the sitting asks is
//! sounded, and whoever has the screen is told what to show.
//!
//! ```text
//! keyboard ─┐                     ┌─▶ journal, before anything counts
//! speaker ──┼─▶ Room::poll ─▶ Sitting
//! screen ───┘   (in order of time) └─▶ changes for the screen, clips for the speaker
//! ```
//!
//! Whoever polls has one clock for the instruments, which never runs backwards and which they may
//! have known before; the sitting's time counts from where that clock was when it began. The room keeps three things true that neither the sitting nor a device can:
//!
//! - *Sounds count from when they were heard.* The time of an ear item begins when its compulsory
//!   hearing was heard to end, and a run in tempo begins when its clip (silence to look, count-in
//!   and beats in one piece) was heard to start. So the delay of the output is in no mark.
//! - *The clock stops while an instrument that is needed is gone*, and goes on by itself when it is
//!   back. The keyboard is needed where hands play, the speaker where something sounds.
//! - *Prompt is needed next is rendered before it is needed.*

mod change;
mod need;
mod sounds;
mod told;

#[cfg(test)]
mod tests;

use crate::exam::form::Task;
use crate::instruments::keyboard::{Fact, Keyboard, Touch};
use crate::instruments::piano::{self, Note, Piano};
use crate::instruments::speaker::{self, Clip, Level, Speaker};
use crate::marking::event::{Action, KeySet};
use crate::sitting::journal::Head;
use crate::sitting::{Effect, Event, Incident, Prompt, Sitting};
use crate::time::Time;
use need::Need;
use sounds::Sounds;
use told::{Source, Told};

pub use change::Change;
pub use sounds::{item_sound, notes, render};

/// How far the room lets time pass behind the clock, so that a key counts at its own time although
/// its message takes some milliseconds.
pub const BEHIND: Time = Time::from_ms(10);

/// Keeps what happens before it counts.
pub trait Journal {
    /// Writes an event down; it is safe when this returns.
    ///
    /// # Errors
    /// Says in words why it cannot be kept.
    fn keep(&mut self, at: Time, event: &Event) -> Result<(), String>;

    /// Returns the head of its chain, where it has one, for the seal of the result.
    fn head(&self) -> Option<Head> {
        None
    }

    /// Returns once, in words, that it goes on in another place.
    fn notice(&mut self) -> Option<String> {
        None
    }
}

/// Keeps nothing, for rehearsals.
#[derive(Debug, Clone, Copy, Default)]
pub struct NoJournal;

impl Journal for NoJournal {
    fn keep(&mut self, _: Time, _: &Event) -> Result<(), String> {
        Ok(())
    }
}

/// What sounds, or is about to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Playing {
    /// A hearing of an ear item.
    Hearing(Prompt),
    /// The beats of a run; the prompt counts from their start.
    Beats(Prompt),
    /// The bass under a voicing; the prompt counts as ever.
    Bass,
    /// Notes outside an item.
    Aside,
}

/// A sitting in its room.
pub struct Room {
    sitting: Sitting,
    keyboard: Box<dyn Keyboard>,
    speaker: Box<dyn Speaker>,
    sounds: Sounds,
    journal: Box<dyn Journal>,
    /// Where the clock was when the sitting began.
    begun: Time,
    /// A prompt that is called for and not yet on the screen.
    called: Option<Prompt>,
    playing: Option<Playing>,
    held: KeySet,
    keyboard_there: bool,
    speaker_there: bool,
    stop: Stop,
    /// The journal has failed; nothing counts any more.
    broken: bool,
}

/// Why the clock stands still.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stop {
    /// It goes.
    No,
    /// An instrument is gone.
    Instrument,
    /// A person stopped it.
    Person,
}

impl Room {
    /// Puts a sitting into a room. The level is what was found comfortable before; nothing sounds
    /// louder than that.
    pub fn new(
        sitting: Sitting,
        keyboard: Box<dyn Keyboard>,
        mut speaker: Box<dyn Speaker>,
        piano: Piano,
        level: Level,
        journal: Box<dyn Journal>,
    ) -> Self {
        speaker.set_level(level);

        Self {
            keyboard_there: keyboard.is_there(),
            speaker_there: speaker.is_there(),
            sitting,
            keyboard,
            speaker,
            sounds: Sounds::new(piano),
            journal,
            begun: Time::ZERO,
            called: None,
            playing: None,
            held: KeySet::EMPTY,
            stop: Stop::No,
            broken: false,
        }
    }

    /// Has the speaker sound what is played, for keyboards that are silent themselves.
    pub fn set_monitoring(&mut self, on: bool) {
        self.speaker.set_monitoring(on);
    }

    /// Says where the clock is as the sitting begins or is taken up; without it the sitting begins
    /// with the clock at zero.
    #[must_use]
    pub fn begun_at(mut self, now: Time) -> Self {
        self.begun = now - self.sitting.now();
        self
    }

    /// Has the sitting's time stand still for so long, as when the computer slept.
    pub fn skip(&mut self, time: Time) {
        self.begun += time;
    }

    /// Returns the sitting's time where the clock is at a moment.
    pub fn time(&self, now: Time) -> Time {
        now - self.begun
    }

    /// Returns the sitting.
    pub const fn sitting(&self) -> &Sitting {
        &self.sitting
    }

    /// Returns the keys that are down.
    pub const fn held(&self) -> KeySet {
        self.held
    }

    /// Returns the keyboard.
    pub fn keyboard(&mut self) -> &mut dyn Keyboard {
        self.keyboard.as_mut()
    }

    /// Tells whether the keyboard is there.
    pub const fn has_keyboard(&self) -> bool {
        self.keyboard_there
    }

    /// Tells whether the clock stands still.
    pub fn is_stopped(&self) -> bool {
        self.stop != Stop::No
    }

    /// Gives the sitting and its instruments back.
    pub fn leave(self) -> (Sitting, Box<dyn Keyboard>, Box<dyn Speaker>) {
        let (sitting, keyboard, speaker, _) = self.close();

        (sitting, keyboard, speaker)
    }

    /// Gives everything back, the journal too.
    #[allow(
        clippy::type_complexity,
        reason = "it is taken apart where it is called"
    )]
    pub fn close(
        mut self,
    ) -> (
        Sitting,
        Box<dyn Keyboard>,
        Box<dyn Speaker>,
        Box<dyn Journal>,
    ) {
        self.speaker.stop();
        self.speaker.hush();

        (self.sitting, self.keyboard, self.speaker, self.journal)
    }

    /// Takes in what keyboard and speaker tell, and lets time pass. To be called at least every
    /// 20 ms; `now` does not run backwards.
    pub fn poll(&mut self, now: Time) -> Vec<Change> {
        let mut changes = Vec::new();
        let begun = self.begun;
        let keys = self.keyboard.poll(now).into_iter().map(Told::from);
        let sounds = self.speaker.poll(now).into_iter();
        let mut told: Vec<Told> = keys
            .chain(sounds.map(|fact| Told::of_speaker(fact, now)))
            .collect();
        told.sort_by_key(|told| told.at);
        let now = self.time(now);

        for told in told {
            let at = told.at - begun;
            match told.what {
                Source::Keyboard(fact) => self.keyboard_told(fact, at, &mut changes),
                Source::Speaker(fact) => self.speaker_told(fact, at, &mut changes),
            }
        }
        if !self.broken {
            let effects = self.sitting.advance(now - BEHIND);
            self.carry_out(effects, now, &mut changes);
        }
        self.mind(now, &mut changes);
        if let Some(words) = self.journal.notice() {
            self.note("journal moved", &words, now, &mut changes);
        }
        self.prepare();

        changes
    }

    /// Takes in what the candidate or the invigilator did on the screen.
    pub fn take(&mut self, event: Event, now: Time) -> Vec<Change> {
        let mut changes = self.poll(now);
        let now = self.time(now);

        match event {
            Event::Paused(_) => self.stop = Stop::Person,
            // Whether the instruments are there is looked at below.
            Event::Resumed => {
                if self.stop == Stop::Person {
                    self.go_on(now, &mut changes);
                    self.mind(now, &mut changes);
                }
                return changes;
            }
            _ => {}
        }
        let stops = match &event {
            Event::Paused(reason) => Some(reason.clone()),
            _ => None,
        };
        self.happen(event, now, &mut changes);
        if let Some(reason) = stops {
            changes.push(Change::Stopped {
                reason,
                by_person: true,
            });
        }
        self.prepare();

        changes
    }

    /// Sounds notes while no item is open, as in practice what was asked and what was played; what
    /// sounded before falls silent. Returns whether they sound: without a speaker they do not, and
    /// nobody loses anything by it.
    pub fn hear(&mut self, notes: &[Note], length: Time, now: Time) -> bool {
        if self.sitting.open().is_some() || !self.speaker_there || self.is_stopped() {
            return false;
        }
        let Ok(clip) = self.sounds.aside(notes, length) else {
            return false;
        };

        let sounds = self.speaker.play(&clip, now).is_ok();
        self.playing = sounds.then_some(Playing::Aside);
        sounds
    }

    /// Tells whether notes outside an item sound.
    pub fn is_aside(&self) -> bool {
        self.playing == Some(Playing::Aside)
    }

    /// Takes in that a prompt can be read on the screen.
    pub fn shown(&mut self, prompt: Prompt, now: Time) -> Vec<Change> {
        let mut changes = Vec::new();
        let now = self.time(now);

        if self.called.take_if(|called| *called == prompt).is_none() || self.is_stopped() {
            return changes;
        }
        let factor = self.sitting.allowance().factor;
        let item = self.sitting.item(prompt);
        let bass = item.filter(|item| item.task.has_bass());
        let (is_run, has_bass) = (
            bass.is_some_and(|item| matches!(item.task, Task::Run(_))),
            bass.is_some(),
        );
        let beats = item
            .filter(|_| !has_bass)
            .and_then(|item| sounds::beats(item, factor));
        let bass = has_bass
            .then(|| self.sounds.hearing(&self.sitting, prompt))
            .flatten();
        match (beats, bass) {
            // The prompt counts from the first frame heard.
            (Some(clip), _) => self.play(Playing::Beats(prompt), &clip, now, &mut changes),
            (None, Some(Ok(clip))) if is_run => {
                self.play(Playing::Beats(prompt), &clip, now, &mut changes);
            }
            (None, bass) => {
                self.happen(shown(prompt), now, &mut changes);
                match bass {
                    Some(Ok(clip)) => self.play(Playing::Bass, &clip, now, &mut changes),
                    Some(Err(error)) => self.not_sounded(&error, now, &mut changes),
                    None => {}
                }
            }
        }
        self.prepare();

        changes
    }

    fn keyboard_told(&mut self, fact: Fact, at: Time, changes: &mut Vec<Change>) {
        match fact {
            Fact::Touched(touch) => {
                // Heard first: a journal takes its time.
                self.speaker.monitor(touch);
                self.touched(touch, at, changes);
                changes.push(Change::Touched(touch));
            }
            Fact::Found { name } => {
                self.keyboard_there = self.keyboard.is_there();
                self.note("keyboard found", &name, at, changes);
            }
            Fact::Lost { name } => {
                self.lost_keyboard(&format!("{name} was unplugged"), at, changes)
            }
            Fact::Silent { name } => {
                self.lost_keyboard(&format!("{name} says nothing more"), at, changes);
            }
            Fact::ServerGone => {
                self.lost_keyboard("the computer's MIDI service ended", at, changes);
            }
            Fact::ServerBack => self.note("MIDI service found", "", at, changes),
            Fact::Missed(count) => {
                let text = format!("{count} messages came faster than they could be kept");
                self.note("keyboard overrun", &text, at, changes);
                self.void("the keyboard sent more than could be kept", at, changes);
            }
        }
    }

    fn lost_keyboard(&mut self, text: &str, at: Time, changes: &mut Vec<Change>) {
        self.speaker.hush();
        self.note("keyboard lost", text, at, changes);
        // Even one that is back by now, or that another stands in for, was not heard for a while.
        self.keyboard_there = false;
        self.mind(at, changes);
        self.keyboard_there = self.keyboard.is_there();
    }

    fn touched(&mut self, touch: Touch, at: Time, changes: &mut Vec<Change>) {
        let action = match touch {
            Touch::Down { key, velocity } => {
                self.held = self.held.with(key);
                Action::Down(key, velocity)
            }
            Touch::Up { key } => {
                self.held = self.held.without(key);
                Action::Up(key)
            }
            Touch::Pedal(value) => Action::Pedal(value),
        };

        self.happen(Event::Did(action), at, changes);
    }

    fn speaker_told(&mut self, fact: speaker::Fact, at: Time, changes: &mut Vec<Change>) {
        match fact {
            speaker::Fact::Started { .. } => match self.playing {
                Some(Playing::Beats(prompt)) => {
                    self.happen(shown(prompt), at, changes);
                    changes.push(Change::Begun(prompt, at));
                    self.bass_begun(at, changes);
                }
                Some(Playing::Bass) => self.bass_begun(at, changes),
                Some(Playing::Hearing(prompt)) => changes.push(Change::Hearing(prompt)),
                Some(Playing::Aside) | None => {}
            },
            speaker::Fact::Ended { .. } => {
                if let Some(Playing::Hearing(prompt)) = self.playing.take() {
                    self.happen(Event::Sounded, at, changes);
                    changes.push(Change::Heard(prompt));
                }
            }
            speaker::Fact::Lost { name } => {
                self.speaker_there = false;
                self.playing = None;
                self.note("sound lost", &name, at, changes);
                self.mind(at, changes);
            }
            speaker::Fact::Found { name } => {
                self.speaker_there = true;
                self.note("sound found", &name, at, changes);
            }
        }
    }

    /// Has the sitting know that the bass under what is open is heard.
    fn bass_begun(&mut self, at: Time, changes: &mut Vec<Change>) {
        let has_bass = self
            .sitting
            .open()
            .and_then(|prompt| self.sitting.item(prompt))
            .is_some_and(|item| item.task.has_bass());

        if has_bass {
            self.happen(Event::Sounded, at, changes);
        }
    }

    /// Stops the clock where something needed is gone, and lets it go on where all is there.
    fn mind(&mut self, at: Time, changes: &mut Vec<Change>) {
        if self.sitting.end().is_some() || self.broken {
            return;
        }
        let need = Need::now(&self.sitting);
        let missing = need.missing(self.keyboard_there, self.speaker_there);

        match (self.stop, missing) {
            (Stop::No, Some(words)) => {
                self.stop = Stop::Instrument;
                self.happen(Event::Paused(words.to_owned()), at, changes);
                changes.push(Change::Stopped {
                    reason: words.to_owned(),
                    by_person: false,
                });
            }
            (Stop::Instrument, None) => self.go_on(at, changes),
            _ => {}
        }
    }

    fn go_on(&mut self, at: Time, changes: &mut Vec<Change>) {
        self.stop = Stop::No;
        self.happen(Event::Resumed, at, changes);
        changes.push(Change::GoesOn);
    }

    fn note(&mut self, kind: &str, text: &str, at: Time, changes: &mut Vec<Change>) {
        let incident = Incident {
            at,
            item: None,
            kind: kind.to_owned(),
            text: text.to_owned(),
            by: String::new(),
        };

        self.happen(Event::Noted(incident), at, changes);
    }

    fn void(&mut self, reason: &str, at: Time, changes: &mut Vec<Change>) {
        if self.sitting.open_item().is_some() {
            let event = Event::Voided {
                reason: reason.to_owned(),
                by: String::new(),
            };
            self.happen(event, at, changes);
        }
    }

    /// Keeps an event and has the sitting take it in.
    fn happen(&mut self, event: Event, at: Time, changes: &mut Vec<Change>) {
        if self.broken {
            return;
        }
        let at = at.max(self.sitting.now());

        if let Err(words) = self.journal.keep(at, &event) {
            // Prompt cannot be kept never counts, and nothing after it either.
            self.broken = true;
            self.hush();
            changes.push(Change::NotKept(words));
            return;
        }
        let effects = self.sitting.update(event, at);
        self.carry_out(effects, at, changes);
    }

    fn carry_out(&mut self, effects: Vec<Effect>, at: Time, changes: &mut Vec<Change>) {
        for effect in effects {
            match effect {
                Effect::Page(section) => changes.push(Change::Page(section)),
                Effect::WarmUp(place) => self.call(Prompt::WarmUp(place), changes),
                Effect::Show(number) => self.call(Prompt::Item(number), changes),
                Effect::Again(number) => self.call(Prompt::Again(number), changes),
                Effect::Sound(_) => {
                    if let Some(prompt) = self.sitting.open() {
                        self.sound(prompt, at, changes);
                    }
                }
                Effect::Closed(_) => {
                    self.hush();
                    changes.push(Change::Closed);
                }
                Effect::Rest(until) => changes.push(Change::Rest(until)),
                Effect::ClockStopped => {
                    self.called = None;
                    self.hush();
                }
                Effect::Ended => {
                    self.hush();
                    changes.push(Change::Ended);
                }
            }
        }
    }

    fn call(&mut self, prompt: Prompt, changes: &mut Vec<Change>) {
        if self.is_aside() {
            self.hush();
        }
        self.called = Some(prompt);
        changes.push(Change::Prompt(prompt));
    }

    fn sound(&mut self, prompt: Prompt, at: Time, changes: &mut Vec<Change>) {
        match self.sounds.hearing(&self.sitting, prompt) {
            Some(Ok(clip)) => self.play(Playing::Hearing(prompt), &clip, at, changes),
            None => {}
            Some(Err(error)) => self.not_sounded(&error, at, changes),
        }
    }

    fn not_sounded(&mut self, error: &piano::Error, at: Time, changes: &mut Vec<Change>) {
        self.note("not sounded", &error.to_string(), at, changes);
        self.void("its sound could not be made", at, changes);
    }

    fn play(&mut self, playing: Playing, clip: &Clip, at: Time, changes: &mut Vec<Change>) {
        match self.speaker.play(clip, at + self.begun) {
            Ok(()) => self.playing = Some(playing),
            Err(_) => {
                // It was lost this very moment; the speaker tells so at the next poll.
                self.speaker_there = false;
                self.mind(at, changes);
            }
        }
    }

    fn hush(&mut self) {
        if self.playing.take().is_some() {
            self.speaker.stop();
        }
    }

    /// Has the sound of what comes next rendered.
    fn prepare(&mut self) {
        self.sounds.prepare(&self.sitting);
    }
}

const fn shown(prompt: Prompt) -> Event {
    match prompt {
        Prompt::WarmUp(place) => Event::WarmUpShown(place),
        Prompt::Item(number) => Event::Shown(number),
        Prompt::Again(number) => Event::AgainShown(number),
    }
}
