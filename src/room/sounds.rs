//! What a sitting sounds, rendered in a thread of its own before it is needed.

use std::collections::BTreeMap;
use std::sync::mpsc::{self, Receiver, Sender};
use std::thread;

use crate::exam::form::{Item, RunTask, Task};
use crate::exam::script::Pace;
use crate::exam::sound::{self, Sound};
use crate::instruments::metronome::{Metronome, Plan};
use crate::instruments::piano::{self, Note, Piano};
use crate::instruments::speaker::{self, Clip};
use crate::sitting::{Prompt, Sitting};
use crate::theory::Key;
use crate::time::Time;

/// Beats in a bar: runs are written in four-four time.
const BAR: u32 = 4;
/// Twelfths of a bar to a beat.
const TWELFTHS: u32 = 3;

/// How long a chord is held that is heard.
const HELD: Time = Time::from_ms(2000);

type Rendered = Result<Clip, piano::Error>;

/// What is to be rendered.
#[derive(Debug)]
enum Work {
    /// A hearing.
    Sound(Sound),
    /// The bass under a voicing.
    Bass(Sound),
    /// The beats of a run, with the bass under it.
    Backing(Box<Clip>, Sound, Time),
}

impl Work {
    /// Returns what an item sounds of its own, apart from mere beats.
    fn of(item: &Item, factor: u32) -> Option<Self> {
        match &item.task {
            Task::Ear(task) => Some(Self::Sound(task.sound.clone())),
            Task::Voicing(task) if task.with_bass => {
                let limit = task.limit.scaled(i64::from(factor), 100);
                Some(Self::Bass(sound::bass(task.chord, limit)))
            }
            Task::Run(task) => {
                let first = task.timing(factor).beats.first().copied()?;
                let bass = sound::backing(task, factor)?;
                Some(Self::Backing(Box::new(beats(item, factor)?), bass, first))
            }
            _ => None,
        }
    }

    fn render(&self, piano: &Piano) -> Rendered {
        match self {
            Self::Sound(sound) => render(piano, sound),
            Self::Bass(bass) => render_bass(piano, bass),
            Self::Backing(beats, bass, first) => {
                Ok(beats.mixed(&render_bass(piano, bass)?, speaker::frames(*first)))
            }
        }
    }
}

/// Renders a bass: in its first two seconds as loud as a chord is that is held so long.
fn render_bass(piano: &Piano, bass: &Sound) -> Rendered {
    piano.render_by(&notes(bass), bass.length, HELD, piano::LEVEL_DB)
}

/// Renders what an item sounds by itself under a time factor in hundredths: a hearing, the bass
/// under a voicing, or the beats of a run with the bass under it; nothing for any other item.
///
/// # Errors
/// Only if the synthesiser cannot be set up.
pub fn item_sound(piano: &Piano, item: &Item, factor: u32) -> Option<Rendered> {
    Work::of(item, factor).map(|work| work.render(piano))
}

/// The sounds at hand; an exam's worth of them would fill the memory.
pub(super) struct Sounds {
    piano: Piano,
    ask: Sender<(Prompt, Work)>,
    done: Receiver<(Prompt, Rendered)>,
    /// `None` while it is being rendered.
    clips: BTreeMap<Prompt, Option<Rendered>>,
}

impl Sounds {
    pub(super) fn new(piano: Piano) -> Self {
        let (ask, asked) = mpsc::channel::<(Prompt, Work)>();
        let (teller, done) = mpsc::channel();
        let own = piano.clone();
        // Without a thread every sound is rendered when it is needed, some milliseconds late.
        drop(
            thread::Builder::new()
                .name("sounds".to_owned())
                .spawn(move || {
                    for (prompt, work) in asked {
                        if teller.send((prompt, work.render(&own))).is_err() {
                            break;
                        }
                    }
                }),
        );

        Self {
            piano,
            ask,
            done,
            clips: BTreeMap::new(),
        }
    }

    /// Has what is at hand and what comes after it rendered, and forgets all else.
    pub(super) fn prepare(&mut self, sitting: &Sitting) {
        let next = match sitting.at_hand() {
            Some(Prompt::WarmUp(place)) if place + 1 < sitting.form().warm_ups.len() => {
                Some(Prompt::WarmUp(place + 1))
            }
            _ => sitting.next_item().map(Prompt::Item),
        };
        let wanted = [sitting.at_hand(), next];

        self.collect();
        self.clips
            .retain(|prompt, _| wanted.contains(&Some(*prompt)));
        for prompt in wanted.into_iter().flatten() {
            if !self.clips.contains_key(&prompt)
                && let Some(work) = work(sitting, prompt)
                && self.ask.send((prompt, work)).is_ok()
            {
                let _ = self.clips.insert(prompt, None);
            }
        }
    }

    /// Returns the hearing of an ear item, the bass of a voicing, or the beats of a run with its
    /// bass; nothing where an item has none of them.
    pub(super) fn hearing(&mut self, sitting: &Sitting, prompt: Prompt) -> Option<Rendered> {
        self.collect();
        let ready = self.clips.get(&prompt).cloned().flatten();
        let rendered = match ready {
            Some(ready) => ready,
            None => work(sitting, prompt)?.render(&self.piano),
        };
        let _ = self.clips.insert(prompt, Some(rendered.clone()));

        Some(rendered)
    }

    /// Renders notes outside an item.
    pub(super) fn aside(&self, notes: &[Note], length: Time) -> Rendered {
        self.piano.render(notes, length, 0.0)
    }

    fn collect(&mut self) {
        for (prompt, rendered) in self.done.try_iter() {
            if let Some(clip) = self.clips.get_mut(&prompt) {
                *clip = Some(rendered);
            }
        }
    }
}

fn work(sitting: &Sitting, prompt: Prompt) -> Option<Work> {
    Work::of(sitting.item(prompt)?, sitting.allowance().factor)
}

/// Returns the silence to look, the count-in and the beats of a run in tempo, in one piece;
/// nothing for any other item.
pub(super) fn beats(item: &Item, factor: u32) -> Option<Clip> {
    let Task::Run(task) = &item.task else {
        return None;
    };
    let Pace::Tempo {
        tempo,
        bars_in,
        metronome,
        ..
    } = task.pace
    else {
        return None;
    };
    let plan = Plan {
        tempo,
        factor,
        bar: BAR,
        bars_in,
        beats_on: if metronome { beats_on(task) } else { 0 },
    };
    let metronome = Metronome::new(plan).ok()?;

    Some(metronome.clip_after(task.timing(factor).look))
}

/// Beats from the first chord to the end of the last.
fn beats_on(task: &RunTask) -> u32 {
    let end = task
        .chords
        .last()
        .map_or(0, |last| last.at_twelfths + last.twelfths);

    end.div_ceil(TWELFTHS)
}

/// Renders one hearing; the same sound gives the same frames.
///
/// # Errors
/// Only if the synthesiser cannot be set up.
pub fn render(piano: &Piano, sound: &Sound) -> Rendered {
    piano.render(&notes(sound), sound.length, f32::from(sound.rove) / 10.0)
}

/// Returns what a hearing strikes.
pub fn notes(sound: &Sound) -> Vec<Note> {
    sound
        .strikes
        .iter()
        .flat_map(|strike| {
            strike.keys.iter().filter_map(|(key, velocity)| {
                Some(Note {
                    at: strike.at,
                    held: strike.held,
                    key: Key::new(i64::from(*key)).ok()?,
                    velocity: *velocity,
                })
            })
        })
        .collect()
}
