//! Which sound outputs are there, which is used, and how late it is.

use std::thread;
use std::time::Duration;

use super::super::page::Page;
use super::patience::{PATIENCE, within};
use super::{Clock, Lack};
use crate::instruments::piano::Piano;
use crate::instruments::playback::{Output, Playback, Setup, outputs};
use crate::instruments::speaker::{Clip, Error, Fact, Lag, RATE, Speaker};
use crate::settings::Sound;
use crate::time::Time;

/// How often the delay is measured; the middle counts.
const READINGS: usize = 5;
/// The silence that is played for it, in frames: 20 ms.
const SILENCE: usize = RATE as usize / 50;
/// How long a silent clip may take to start and end.
const SOON: Time = Time::from_ms(3_000);
/// How often the speaker is asked.
const GLANCE: Duration = Duration::from_millis(2);

/// Why nothing is heard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Silent {
    /// The system says so.
    Known(Error),
    /// The sound service does not answer.
    NoAnswer,
}

/// Opens the output of the settings, with the piano that monitors where they want it.
pub(super) fn open(settings: &Sound, piano: &Piano) -> Result<Playback, Silent> {
    let setup = Setup {
        output: settings.output.clone(),
        buffer: settings.buffer,
        monitor: settings.monitoring.then(|| piano.clone()),
    };

    match within(PATIENCE + PATIENCE / 2, || Playback::open(setup)) {
        Some(playback) => playback.map_err(Silent::Known),
        None => Err(Silent::NoAnswer),
    }
}

/// Tells of the sound outputs. Returns what is missing, and how late a monitored key is heard.
pub(super) fn tell(page: &mut Page, settings: &Sound, piano: &Piano) -> (Lack, Option<Time>) {
    const LACK: Lack = Some("no sound");

    page.head("Sound");
    // Opened first: a sound service that has just been started may need a moment, and takes it.
    let mut playback = match open(settings, piano) {
        Ok(playback) => playback,
        Err(silent) => {
            let is_choice = matches!(
                silent,
                Silent::Known(Error::Missing { .. } | Error::Refused { .. })
            );
            silent.tell(page);
            if is_choice {
                listed(page, "");
            }
            return (LACK, None);
        }
    };

    used(page, &playback, settings);
    listed(page, playback.id().unwrap_or_default());
    // Half a second goes by in measuring.
    page.say();
    delays(page, &mut playback);
    level(page, settings);
    playback.set_monitoring(settings.monitoring);

    (None, playback.monitoring_latency())
}

impl Silent {
    /// Says why, and what to do.
    pub(super) fn tell(&self, page: &mut Page) {
        let (why, remedy) = match self {
            Self::NoAnswer => (
                "This computer's sound service does not answer.".to_owned(),
                "start the service or the computer anew, and look again.",
            ),
            Self::Known(Error::None) => (
                "No sound output is there.".to_owned(),
                "plug in loudspeakers or headphones, see that this computer's sound service runs, \
                 and look again.",
            ),
            Self::Known(Error::Missing { wanted, .. }) => (
                format!(
                    "The settings ask for the sound output `{wanted}`, which is not there. No \
                     other takes its place."
                ),
                "plug it in, or name another under [sound] in the settings file; then look again.",
            ),
            Self::Known(Error::Refused { name, reason }) => (
                format!("The sound output {name} does not open. The system says: {reason}."),
                "close other programs that use it, or name another as `output` under [sound] in \
                 the settings file; then look again.",
            ),
            Self::Known(Error::Gone { name }) => (
                format!("The sound output {name} has just gone."),
                "plug it in again, and look again.",
            ),
        };
        page.line(&why);
        page.more(&format!("What to do: {remedy}"));
    }
}

/// Says which output is used, and why.
pub(super) fn used(page: &mut Page, playback: &Playback, settings: &Sound) {
    page.line(&format!(
        "{} (id {})",
        playback.name(),
        playback.id().unwrap_or("unknown")
    ));
    page.more(&match &settings.output {
        Some(output) => format!("Used: the settings ask for `{output}`."),
        None => "Used: it is this computer's own choice.".to_owned(),
    });
}

/// Lists the outputs that are there and not used.
fn listed(page: &mut Page, used: &str) {
    // An output may open though the system lists none.
    let all = within(PATIENCE, outputs).and_then(Result::ok);

    for output in others(&all.unwrap_or_default(), used) {
        page.line(&format!("{} (id {})", output.name, output.id));
        page.more("There, and not used.");
    }
}

/// The outputs that somebody could want in place of the one used: those of the same sound system,
/// and of ALSA's many ways to each card one only.
pub(super) fn others<'a>(all: &'a [Output], used: &str) -> Vec<&'a Output> {
    let system = |id: &str| id.split(':').next().unwrap_or_default().to_owned();
    let is_usual = |id: &str| {
        id.strip_prefix("alsa:").is_none_or(|way| {
            way == "default" || way.starts_with("sysdefault:CARD=") || way.starts_with("hdmi:CARD=")
        })
    };

    all.iter()
        .filter(|output| output.id != used && is_usual(&output.id))
        .filter(|output| used.is_empty() || system(&output.id) == system(used))
        .collect()
}

/// Says how late a sound is heard: as the output says itself, and as it was just measured.
fn delays(page: &mut Page, playback: &mut Playback) {
    let measured = measure(playback);

    if let Some(buffer) = playback.buffer() {
        let rate = playback.rate().unwrap_or(RATE);
        let ms = f64::from(buffer) * 1000.0 / f64::from(rate);
        page.line(&format!("Buffer: {buffer} frames, {ms:.1} ms."));
    }
    match playback.latency() {
        Some(latency) => page.line(&format!(
            "Delay as the output states it: {latency} ms from its buffer to the loudspeaker."
        )),
        None => page.line("The output states no delay."),
    }
    match measured {
        Some(lag) => page.line(&format!(
            "Delay as measured: {} ms from the order to play to the start of the sound (silence, \
             played {READINGS} times; the middle one, half of them within {} ms). The start is \
             told by the output: what a wireless link or an amplifier adds behind it is in neither \
             figure.",
            lag.median, lag.spread
        )),
        None => page.line(
            "The delay could not be measured: the output takes sound and does not say when it \
             starts.",
        ),
    }
    if playback.gaps() > 0 {
        page.line(&format!(
            "The sound broke off {} times meanwhile. Write a larger `buffer` under [sound] in the \
             settings file, such as {}.",
            playback.gaps(),
            playback
                .buffer()
                .map_or(4_096, |buffer| (buffer * 2).min(8_192))
        ));
    }
}

/// Plays silence some times and reads how long each takes to start.
fn measure(playback: &mut Playback) -> Option<Lag> {
    let clock = Clock::start();
    let silence = Clip::new(vec![[0.0; 2]; SILENCE]);
    let readings: Option<Vec<Time>> = (0..READINGS)
        .map(|_| {
            let ordered = clock.now();
            playback.play(&silence, ordered).ok()?;
            Some(played(playback, clock, SOON)? - ordered)
        })
        .collect();

    Lag::of(&readings?)
}

/// Waits until a clip has ended, and returns when it started; `None` where it does not end in so
/// long, or the output goes.
fn played(playback: &mut Playback, clock: Clock, within: Time) -> Option<Time> {
    let deadline = clock.now() + within;
    let mut started = None;

    while clock.now() < deadline {
        for fact in playback.poll(clock.now()) {
            match fact {
                Fact::Started { at } => started = Some(at),
                Fact::Ended { .. } => return started,
                Fact::Lost { .. } => return None,
                Fact::Found { .. } => {}
            }
        }
        thread::park_timeout(GLANCE);
    }

    None
}

fn level(page: &mut Page, settings: &Sound) {
    let level = settings.level;
    let below = level.db().map_or_else(
        || "silent".to_owned(),
        |db| format!("{:.0} dB below full", -db),
    );

    page.line(&format!(
        "Level: a sitting begins at {} of 10 ({below}), and each candidate sets their own. \
         `equipment --sound` plays it.",
        level.step()
    ));
}
