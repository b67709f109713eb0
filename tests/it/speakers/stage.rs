//! The stage of a test: a process with a private server, a speaker, a monitor, a clock.

use std::env;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::{Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use viva_voicing::instruments::piano::Piano;
use viva_voicing::instruments::playback::{Playback, Setup};
use viva_voicing::instruments::speaker::{Clip, Fact, Level, RATE, Speaker};
use viva_voicing::time::Time;

use super::capture::Capture;
use super::server::{self, Server};

/// Set in the process that a test runs itself again in, to its folder.
pub(super) const FOLDER: &str = "VIVA_VOICING_SPEAKERS";
/// How long anything may take that takes no time of its own.
pub(super) const SOON: Duration = Duration::from_secs(15);

/// One at a time: two sound servers on a small machine starve each other.
static TURN: Mutex<()> = Mutex::new(());

/// Runs a test named by its path below `speakers::` on a stage, for at most `limit`.
pub(super) fn on_stage(name: &str, limit: Duration, test: impl FnOnce(&mut Stage)) {
    on_stage_of("speakers", name, limit, test);
}

/// The same for a test of any module.
pub(crate) fn on_stage_of(
    module: &str,
    name: &str,
    limit: Duration,
    test: impl FnOnce(&mut Stage),
) {
    let name = format!("{module}::{name}");

    if let Some(folder) = env::var_os(FOLDER) {
        return test(&mut Stage::new(Path::new(&folder)));
    }
    if let Some(missing) = server::missing() {
        let line = format!("{name} was not run: {missing} is missing\n");
        assert!(env::var_os("CI").is_none_or(|ci| ci != "true"), "{line}");
        // Straight to the terminal: what passes is else not shown.
        std::io::stderr().write_all(line.as_bytes()).unwrap();
        return;
    }

    let _turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
    let folder = tempfile::tempdir().unwrap();
    let mut child = Command::new(env::current_exe().unwrap())
        .args(["--exact", "--nocapture", &name])
        .env(FOLDER, folder.path())
        .env("PULSE_SERVER", server::address(folder.path()))
        .env("HOME", folder.path())
        .env("XDG_RUNTIME_DIR", folder.path())
        .stdin(Stdio::null())
        .spawn()
        .unwrap();

    let deadline = Instant::now() + limit;
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break Some(status);
        }
        if Instant::now() > deadline {
            child.kill().unwrap();
            drop(child.wait());
            break None;
        }
        thread::park_timeout(Duration::from_millis(5));
    };
    server::end(folder.path());

    let status = status.unwrap_or_else(|| panic!("{name} took over {limit:?}"));
    assert!(status.success(), "{name}: {status}");
}

/// What a test works with.
pub(crate) struct Stage {
    pub(crate) folder: PathBuf,
    pub(crate) server: Option<Server>,
    start: Instant,
    /// What the speaker told, in order.
    pub(super) facts: Vec<Fact>,
}

impl Stage {
    fn new(folder: &Path) -> Self {
        Self {
            folder: folder.to_owned(),
            server: Some(Server::start(folder)),
            start: Instant::now(),
            facts: Vec::new(),
        }
    }

    /// The room's time.
    pub(super) fn now(&self) -> Time {
        self.time(Instant::now())
    }

    /// A moment in the room's time.
    pub(super) fn time(&self, instant: Instant) -> Time {
        let micros = instant.saturating_duration_since(self.start).as_micros();
        Time::from_tenths((micros / 100) as i64)
    }

    /// Opens the null sink at full level, its first frames already asked for.
    pub(super) fn speaker(&mut self, output: &str) -> Playback {
        self.open(Setup {
            output: Some(output.to_owned()),
            ..Setup::default()
        })
    }

    /// The same with the keyboard monitored, on buffers of so many frames.
    pub(super) fn monitored(&mut self, output: &str, buffer: Option<u32>) -> Playback {
        let mut speaker = self.open(Setup {
            output: Some(output.to_owned()),
            buffer,
            monitor: Some(Piano::bundled().unwrap()),
        });

        speaker.set_monitoring(true);
        speaker
    }

    fn open(&mut self, setup: Setup) -> Playback {
        let mut speaker = Playback::open(setup).unwrap();

        speaker.set_level(Level::FULL);
        self.wait(&mut speaker, "the device asks for frames", |speaker, _| {
            speaker.latency().is_some()
        });
        speaker
    }

    /// Records the null sink's monitor from now on.
    pub(crate) fn listen(&self) -> Capture {
        Capture::start()
    }

    /// Polls the speaker like a room, every 5 ms, until something is so.
    pub(super) fn wait(
        &mut self,
        speaker: &mut Playback,
        what: &str,
        mut is_so: impl FnMut(&Playback, &[Fact]) -> bool,
    ) {
        self.wait_for(SOON, speaker, what, |speaker, facts| is_so(speaker, facts));
    }

    /// The same with a limit of its own.
    pub(super) fn wait_for(
        &mut self,
        limit: Duration,
        speaker: &mut Playback,
        what: &str,
        mut is_so: impl FnMut(&Playback, &[Fact]) -> bool,
    ) {
        let deadline = Instant::now() + limit;

        loop {
            self.facts.extend(speaker.poll(self.now()));
            if is_so(speaker, &self.facts) {
                return;
            }
            assert!(
                Instant::now() < deadline,
                "in {limit:?} it did not come that {what}; facts: {:?}",
                self.facts
            );
            thread::park_timeout(Duration::from_millis(5));
        }
    }

    /// Lets the clip go on for a third of a second.
    pub(super) fn beat(&mut self, speaker: &mut Playback) {
        let over = Instant::now() + Duration::from_millis(333);
        self.wait(speaker, "a while is over", |_, _| Instant::now() >= over);
    }

    /// Plays a clip to its end and returns when it started and ended.
    pub(super) fn play(&mut self, speaker: &mut Playback, clip: &Clip) -> (Time, Time) {
        let before = self.facts.len();
        let limit = SOON + Duration::from_secs(clip.frames.len() as u64 / u64::from(RATE));

        speaker.play(clip, self.now()).unwrap();
        self.wait_for(limit, speaker, "the clip ends", |_, facts| {
            matches!(facts[before..], [.., Fact::Ended { .. }])
        });
        match self.facts[before..] {
            [Fact::Started { at: start }, Fact::Ended { at: end }] => (start, end),
            ref other => panic!("expected a start and an end, found {other:?}"),
        }
    }
}

/// Noise at a peak of −1 dBFS, the same at each run.
pub(super) fn noise(frames: usize) -> Vec<[f32; 2]> {
    let mut state = 0x9E37_79B9_u32;
    let mut next = || {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        (f64::from(state) / f64::from(u32::MAX) * 2.0 - 1.0) as f32 * 0.89
    };

    (0..frames).map(|_| [next(), next()]).collect()
}

/// A tone of 441 Hz that fades in and out over 10 ms, alike on both sides.
pub(super) fn tone(frames: usize, amplitude: f64) -> Vec<[f32; 2]> {
    (0..frames)
        .map(|frame| {
            let edge = frame.min(frames - 1 - frame) as f64;
            let rise = (edge / 480.0).min(1.0);
            let phase = std::f64::consts::TAU * 441.0 * frame as f64 / f64::from(RATE);
            [(amplitude * rise * phase.sin()) as f32; 2]
        })
        .collect()
}
