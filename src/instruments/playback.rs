//! The real speaker: one stream to a sound output, kept open, lost and found again.
//!
//! Above this module nobody knows which library is below. A clip passes through the `deck` that
//! mixes, fades and limits, then through rodio's converter for devices of another rate, and out
//! through cpal's stream, whose own time stamps tell when a frame is heard; rodio's ready-made
//! output hides these, so the stream is opened here.
//!
//! A keyboard that makes no sound of its own is sounded by a `monitor` in the same stream, below
//! the same level and limiter. What that costs is stated by [`Speaker::monitoring_latency`]: a
//! touch waits for the device's next call, at most one buffer, and the call comes so long before
//! its sound as [`Speaker::latency`] says. Measured from `monitor` to a recorder on the monitor of a
//! null sink (PulseAudio 16 without hardware, two cores, 24 to 40 touches, test
//! `monitor::a_touch_is_heard_soon`):
//!
//! | frames a call | stated at most | median | range |
//! | --- | --- | --- | --- |
//! | 128 | 5.5 ms | 3.8 ms | 2.4–5.3 ms |
//! | 256 | 10.4 ms | 8.2 ms | 5.7–10.9 ms |
//! | 512 | 21.5 ms | 16.1 ms | 10.5–21.2 ms |
//!
//! The way from the key to `monitor` (the cable and the room's polling) and a real converter, which
//! a null sink has not, come on top. Players do not tell 10 ms from none, but 20 ms, or 10 ms that
//! waver by 3, they do (Jack, Mehrabi, Stockman and McPherson, on action-sound latency). So 256
//! frames reach 10 ms in the middle on the sound server's side alone, and a whole instrument on a
//! sound server does not; where it matters an instrument that sounds by itself is the answer, and
//! monitoring is off at first.
//!
//! Small buffers run dry where other programs take the processor: on the same machine, busy with
//! other work, 256 and 512 frames a call lost some milliseconds a few times a minute and 1,024 once
//! in three minutes; calm, 256 lost nothing in 20 s, 128 did. Of ten minutes at 2,048 frames while
//! 500 events a second arrived (debug build, other builds running beside it) a clip lost no frame;
//! with the same events sounded, one run lost 33 ms and another 0.8 s in nine pieces, 0.4 s the
//! longest. Ten minutes of that without a gap are still to be shown, on a machine of its own.
//! PulseAudio's client does not tell of gaps, so that [`Playback::gaps`] stays 0 there. A room that
//! hears gaps asks for more by [`Setup::buffer`].

mod deck;
mod device;
mod limiter;
mod line;
mod monitor;
mod stamp;
mod tape;

use std::sync::Arc;
use std::sync::mpsc::{self, Receiver, TryRecvError};
use std::thread;
use std::time::Duration;

use super::keyboard::Touch;
use super::piano::Piano;
use super::speaker::{Clip, Error, Fact, Level, Speaker};
use crate::time::Time;
use line::Line;
use stamp::Marks;

pub use device::{Output, outputs};

/// How long to wait after a vain look for a device before the next.
const LOOK_EVERY: Time = Time::from_ms(500);
/// A device that asks for no frames for so long is as good as gone.
const SILENCE: Time = Time::from_ms(1_000);
/// How long to wait for a device to open.
const PATIENCE: Duration = Duration::from_secs(20);
/// How long to wait for a device to close.
const CLOSING: Duration = Duration::from_secs(1);
/// What a single gap between two polls may add to such a silence: when the room itself was held
/// up, the device is given time to show itself.
const GLANCE: Time = Time::from_ms(100);

/// Which output to use and how.
#[derive(Debug, Clone, Default)]
pub struct Setup {
    /// The output by its stable id or its name, in any case; `None` for the system's own choice.
    pub output: Option<String>,
    /// Frames the device asks for at a time; `None` for what suits the purpose: 2,048, and 256
    /// where the keyboard can be monitored.
    pub buffer: Option<u32>,
    /// The piano that sounds the keyboard once [`Speaker::set_monitoring`] has switched it on;
    /// `None` where that is never wanted.
    pub monitor: Option<Piano>,
}

/// A sound output that plays clips.
pub struct Playback {
    setup: Setup,
    level: Level,
    state: State,
    /// The name in words, and the system the device was found on, where it will be looked for.
    known: Option<Known>,
    /// What the clip that sounds has told, and what of it is not yet handed on.
    sounding: Option<Sounding>,
    /// Clips the device may still read: freed here, not in the device's own thread.
    kept: Vec<Clip>,
    is_monitoring: bool,
    polled: Option<Time>,
}

struct Known {
    name: String,
    host: cpal::HostId,
}

struct Sounding {
    marks: Marks,
    told: bool,
}

enum State {
    There {
        line: Box<Line>,
        watch: Watch,
    },
    Away {
        look_at: Option<Time>,
        search: Option<Receiver<Result<Line, Error>>>,
    },
}

/// Whether the device still asks for frames.
#[derive(Default)]
struct Watch {
    frames: u64,
    silence: Time,
}

impl Playback {
    /// Opens the output and keeps it open.
    ///
    /// Waits until the device plays at an even pace, half a second as a rule and 20 s at worst; call
    /// it before the sitting.
    ///
    /// # Errors
    ///
    /// When there is no such device or it does not open.
    pub fn open(setup: Setup) -> Result<Self, Error> {
        let (sender, receiver) = mpsc::channel();
        let wanted = setup.clone();
        let refused = |reason: &str| Error::Refused {
            name: name(None, &setup),
            reason: reason.to_owned(),
        };

        // A server that hangs would hold up the room for good, so a thread waits in its place.
        let _ = thread::Builder::new()
            .spawn(move || drop(sender.send(line::open(&wanted, None))))
            .map_err(|error| refused(&error.to_string()))?;
        let line = receiver
            .recv_timeout(PATIENCE)
            .map_err(|_| refused("the sound service does not answer"))??;
        let mut playback = Self::absent(setup);
        playback.take(line);

        Ok(playback)
    }

    /// Makes a speaker whose device is not there yet: each [`poll`](Speaker::poll) looks for it,
    /// and [`Fact::Found`] tells when it has come.
    pub const fn absent(setup: Setup) -> Self {
        Self {
            setup,
            level: Level::START,
            state: State::Away {
                look_at: None,
                search: None,
            },
            known: None,
            sounding: None,
            kept: Vec::new(),
            is_monitoring: false,
            polled: None,
        }
    }

    /// The device's stable id, by which [`Setup::output`] names it; `None` while it is gone.
    pub fn id(&self) -> Option<&str> {
        self.line().map(Line::id)
    }

    /// Frames the device asks for at a time; `None` while it is gone.
    pub fn buffer(&self) -> Option<u32> {
        self.line().map(Line::buffer)
    }

    /// Frames a second of the device; `None` while it is gone.
    pub fn rate(&self) -> Option<u32> {
        self.line().map(Line::rate)
    }

    /// How often the device ran dry since it was opened, as far as it tells; on PulseAudio it tells
    /// nothing.
    pub fn gaps(&self) -> u64 {
        self.line().map_or(0, Line::gaps)
    }

    fn line(&self) -> Option<&Line> {
        match &self.state {
            State::There { line, .. } => Some(line),
            State::Away { .. } => None,
        }
    }

    fn take(&mut self, line: Line) {
        line.set_level(self.level);
        self.known = Some(Known {
            name: line.name().to_owned(),
            host: line.host(),
        });
        self.state = State::There {
            line: Box::new(line),
            watch: Watch::default(),
        };
    }

    fn lose(&mut self, now: Time) {
        self.sounding = None;
        self.close(Duration::ZERO, Some(now));
    }

    /// Lets go of the device. Its library may wait for a server that answers no more, so that
    /// happens in a thread of its own, which is waited for so long and no longer.
    fn close(&mut self, patience: Duration, look_at: Option<Time>) {
        let away = State::Away {
            look_at,
            search: None,
        };
        let State::There { line, .. } = std::mem::replace(&mut self.state, away) else {
            return;
        };
        let (sender, closed) = mpsc::channel();
        let closing = thread::Builder::new().spawn(move || {
            drop(line);
            let _ = sender.send(());
        });

        if closing.is_ok() {
            let _ = closed.recv_timeout(patience);
        }
    }

    fn tell(&mut self, now: Time, facts: &mut Vec<Fact>) {
        let (State::There { line, .. }, Some(sounding)) = (&self.state, &mut self.sounding) else {
            return;
        };
        let time = |nanos| line.room_time(nanos, now);

        if !sounding.told
            && let Some(at) = sounding.marks.started().map(time)
            && at <= now
        {
            sounding.told = true;
            facts.push(Fact::Started { at });
        }
        if sounding.told
            && let Some(at) = sounding.marks.ended().map(time)
            && at <= now
        {
            facts.push(Fact::Ended { at });
            self.sounding = None;
        }
    }

    fn look(&mut self, now: Time, facts: &mut Vec<Fact>) {
        let State::Away { look_at, search } = &mut self.state else {
            return;
        };

        if let Some(receiver) = search {
            match receiver.try_recv() {
                Ok(Ok(line)) => {
                    facts.push(Fact::Found {
                        name: line.name().to_owned(),
                    });
                    self.take(line);
                }
                Ok(Err(_)) | Err(TryRecvError::Disconnected) => {
                    *search = None;
                    *look_at = Some(now + LOOK_EVERY);
                }
                Err(TryRecvError::Empty) => {}
            }
        } else if look_at.is_none_or(|at| at <= now) {
            let (sender, receiver) = mpsc::channel();
            let setup = self.setup.clone();
            let host = self.known.as_ref().map(|known| known.host);
            let looking = thread::Builder::new().spawn(move || {
                // When the speaker was dropped meanwhile, so is what was found.
                drop(sender.send(line::open(&setup, host)));
            });

            *look_at = Some(now + LOOK_EVERY);
            *search = looking.is_ok().then_some(receiver);
        }
    }

    fn failed(&mut self, now: Time) -> bool {
        let gap = self.polled.map_or(Time::ZERO, |polled| now - polled);
        let State::There { line, watch } = &mut self.state else {
            return false;
        };
        let frames = line.frames();

        watch.silence = if frames == watch.frames {
            watch.silence + gap.min(GLANCE)
        } else {
            Time::ZERO
        };
        watch.frames = frames;

        line.has_failed() || watch.silence > SILENCE
    }
}

/// A device in good order is closed when the speaker is gone, so that it can be opened again.
impl Drop for Playback {
    fn drop(&mut self) {
        self.close(CLOSING, None);
    }
}

impl Speaker for Playback {
    fn play(&mut self, clip: &Clip, _now: Time) -> Result<(), Error> {
        let marks = Marks::default();
        let played = self
            .line()
            .is_some_and(|line| line.play(clip.clone(), marks.clone()));

        if !played {
            return Err(match &self.known {
                Some(Known { name, .. }) => Error::Gone { name: name.clone() },
                None => Error::None,
            });
        }
        if !self
            .kept
            .iter()
            .any(|kept| Arc::ptr_eq(&kept.frames, &clip.frames))
        {
            self.kept.push(clip.clone());
        }
        self.sounding = Some(Sounding { marks, told: false });
        Ok(())
    }

    fn stop(&mut self) {
        if let Some(line) = self.line() {
            line.stop();
        }
    }

    fn poll(&mut self, now: Time) -> Vec<Fact> {
        let mut facts = Vec::new();

        self.tell(now, &mut facts);
        if self.failed(now) {
            facts.push(Fact::Lost { name: self.name() });
            self.lose(now);
        }
        self.look(now, &mut facts);

        self.kept.retain(|clip| Arc::strong_count(&clip.frames) > 1);
        self.polled = Some(now);
        facts
    }

    fn set_level(&mut self, level: Level) {
        self.level = level;
        if let Some(line) = self.line() {
            line.set_level(level);
        }
    }

    fn set_monitoring(&mut self, on: bool) {
        let can = match self.line() {
            Some(line) => line.keys().is_some(),
            None => self.setup.monitor.is_some(),
        };

        self.is_monitoring = on && can;
        if !self.is_monitoring {
            self.hush();
        }
    }

    fn is_monitoring(&self) -> bool {
        self.is_monitoring
    }

    fn monitor(&mut self, touch: Touch) {
        if self.is_monitoring
            && let Some(keys) = self.line().and_then(Line::keys)
        {
            keys.touch(touch);
        }
    }

    fn hush(&mut self) {
        if let Some(keys) = self.line().and_then(Line::keys) {
            keys.hush();
        }
    }

    fn monitoring_latency(&self) -> Option<Time> {
        let line = self.line().filter(|_| self.is_monitoring)?;

        Some(line.latency()? + line.call())
    }

    fn latency(&self) -> Option<Time> {
        self.line().and_then(Line::latency)
    }

    fn name(&self) -> String {
        name(self.known.as_ref(), &self.setup)
    }

    fn is_there(&self) -> bool {
        self.line().is_some_and(|line| !line.has_failed())
    }
}

fn name(known: Option<&Known>, setup: &Setup) -> String {
    known
        .map(|known| known.name.clone())
        .or_else(|| setup.output.clone())
        .unwrap_or_else(|| "the usual output".to_owned())
}
