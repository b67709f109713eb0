//! The room of a test: its server, its player, and who listens.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::sync::{Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use rustix::time::{ClockId, clock_gettime};
use viva_voicing::instruments::keyboard::{Event, Fact, Keyboard as _, Preference, Touch};
use viva_voicing::instruments::midi;
use viva_voicing::time::Time;

/// Names the private server, in the process that has one.
const SERVER: &str = "VIVA_VOICING_TEST_SERVER";

/// Says something even where the test passes.
pub(super) fn say(text: &str) {
    drop(writeln!(std::io::stderr(), "keyboards: {text}"));
}

/// The clock that the player stamps its strikes with, in microseconds.
pub(super) fn raw_us() -> u64 {
    let time = clock_gettime(ClockId::MonotonicRaw);
    time.tv_sec as u64 * 1_000_000 + time.tv_nsec as u64 / 1000
}

fn servers(file: &str) -> PathBuf {
    [env!("CARGO_MANIFEST_DIR"), "tests", "servers", file]
        .iter()
        .collect()
}

/// The Python of the independent player.
fn python() -> PathBuf {
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/servers/bin/python");

    match std::env::var_os("PYTHON") {
        Some(python) => python.into(),
        None if own.exists() => own,
        None => "python3".into(),
    }
}

/// Says what this machine lacks, if anything.
fn lacks() -> Option<&'static str> {
    let runs = |command: &mut Command| {
        command
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status()
            .is_ok_and(|status| status.success())
    };

    if !runs(Command::new("jackd").arg("--version")) {
        Some("jackd (Debian jackd2)")
    } else if !runs(Command::new(python()).args(["-c", "import rtmidi; rtmidi.API_UNIX_JACK"])) {
        Some("python-rtmidi (tests/servers/setup.sh)")
    } else {
        None
    }
}

/// Runs a test in a process of its own, with a private server that ends after it.
pub(super) fn in_a_room(test: &str, proof: impl FnOnce(&mut Server)) {
    in_a_room_of("keyboards::jack", test, proof);
}

/// The same for a test of any module.
pub(crate) fn in_a_room_of(module: &str, test: &str, proof: impl FnOnce(&mut Server)) {
    if let Some(name) = std::env::var_os(SERVER) {
        return proof(&mut Server::new(&name.to_string_lossy()));
    }

    if let Some(missing) = lacks() {
        let must_run = std::env::var("CI").is_ok_and(|ci| ci == "true");
        assert!(!must_run, "{test} must run here, and lacks {missing}");
        say(&format!("NOT RUN: {test} lacks {missing}"));
        return;
    }

    // One after the other: they would disturb each other's figures, and servers that start together
    // each other.
    static ONE: Mutex<()> = Mutex::new(());
    let _one = ONE.lock().unwrap_or_else(PoisonError::into_inner);
    let name = format!("vv-test-{}", std::process::id());
    let mut server = Server::new(&name);
    server.start();
    let output = Command::new(std::env::current_exe().expect("a test knows itself"))
        .args([&format!("{module}::{test}"), "--exact", "--nocapture"])
        .env(SERVER, &name)
        .env("JACK_DEFAULT_SERVER", &name)
        .env("JACK_NO_START_SERVER", "1")
        .env("JACK_NO_AUDIO_RESERVATION", "1")
        .output()
        .expect("a test can run itself");
    server.stop();
    server.tidy();

    let errors = String::from_utf8_lossy(&output.stderr);
    drop(write!(std::io::stderr(), "{errors}"));
    let told = String::from_utf8_lossy(&output.stdout);
    assert!(
        output.status.success() && told.contains("1 passed"),
        "{test}: {}\n{told}",
        output.status
    );
}

/// A private JACK server without hardware.
pub(crate) struct Server {
    name: String,
    folder: PathBuf,
}

impl Server {
    fn new(name: &str) -> Self {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        fs::create_dir_all(&folder).expect("the folder for scratch files can be written");

        Self {
            name: name.to_owned(),
            folder,
        }
    }

    /// Starts it, and waits until clients can come.
    pub(super) fn start(&mut self) {
        let status = Command::new(servers("start_jack.sh"))
            .arg(&self.folder)
            .arg(&self.name)
            .status()
            .expect("there is a shell");
        assert!(
            status.success(),
            "{}",
            fs::read_to_string(self.folder.join("jack.log")).unwrap_or_default()
        );
    }

    /// Sends it a signal by its name.
    pub(crate) fn signal(&self, signal: &str) {
        let pid = fs::read_to_string(self.folder.join("jack.pid")).unwrap_or_default();
        let _ = Command::new("kill")
            .args(["-s", signal, pid.trim()])
            .status();
    }

    /// Ends it, if it runs, and waits until it has ended.
    pub(super) fn stop(&mut self) {
        let Ok(pid) = fs::read_to_string(self.folder.join("jack.pid")) else {
            return;
        };
        let pid = pid.trim();
        let state = || fs::read_to_string(format!("/proc/{pid}/stat")).unwrap_or_default();
        let runs = || state().contains("(jackd) ") && !state().contains("(jackd) Z");

        if runs() {
            let _ = Command::new("kill").arg(pid).status();
            wait("the server ends", || !runs());
        }
    }

    /// Removes what a server leaves behind that ended before its clients. It keeps its place among
    /// the eight servers that a machine can have; one of the same name takes that over, and gives
    /// it back when it ends by itself.
    fn tidy(&mut self) {
        let registry = fs::read("/dev/shm/jack-shm-registry").unwrap_or_default();
        let name = format!(":{}:", self.name).into_bytes();

        if registry.windows(name.len()).any(|window| window == name) {
            let pid = fs::read_to_string(self.folder.join("jack.pid")).unwrap_or_default();
            let process = Path::new("/proc").join(pid.trim());
            wait("the server's process is gone", || !process.exists());
            self.start();
            self.stop();
        }
        for entry in fs::read_dir("/dev/shm").into_iter().flatten().flatten() {
            if entry.file_name().to_string_lossy().contains(&self.name) {
                drop(fs::remove_file(entry.path()));
            }
        }
        drop(fs::remove_dir_all(&self.folder));
    }
}

/// Waits until something is so.
fn wait(what: &str, is_so: impl Fn() -> bool) {
    let deadline = Instant::now() + Duration::from_secs(20);

    while !is_so() {
        assert!(Instant::now() < deadline, "waited in vain until {what}");
        thread::park_timeout(Duration::from_millis(2));
    }
}

/// Something struck, as its sender or as its receiver saw it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Strike {
    pub(super) raw_us: u64,
    /// In the room's time; the sender has none.
    pub(super) at: Time,
    pub(super) key: u8,
    pub(super) velocity: u8,
}

/// The independent player.
pub(crate) struct Player {
    process: Child,
    /// Until it is to end.
    orders: Option<ChildStdin>,
    lines: Receiver<String>,
}

impl Player {
    pub(crate) fn new() -> Self {
        let mut process = Command::new(python())
            .arg(servers("send_keys_jack.py"))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the player starts");
        let orders = process.stdin.take();
        let output = process.stdout.take().expect("it was piped");
        let (sender, lines) = mpsc::channel();
        let _ = thread::spawn(move || {
            for line in BufReader::new(output).lines().map_while(Result::ok) {
                if sender.send(line).is_err() {
                    break;
                }
            }
        });
        let player = Self {
            process,
            orders,
            lines,
        };
        assert_eq!(player.line(Duration::from_secs(20)), "READY");

        player
    }

    /// Tells it to do something.
    pub(crate) fn tell(&mut self, order: &str) {
        let orders = self.orders.as_mut().expect("it was piped");
        writeln!(orders, "{order}").expect("the player listens");
    }

    /// Tells it to come or leave, if that has not been told, and returns when it began and ended
    /// to do so.
    pub(crate) fn ask(&mut self, order: &str, within: Duration) -> (u64, u64) {
        if !order.is_empty() {
            self.tell(order);
        }

        loop {
            let line = self.line(within);
            match line.split_once(' ') {
                Some(("OPENED" | "CLOSED", span)) => {
                    let (from, to) = span.split_once(' ').expect("two times");
                    return (from.parse().expect("a time"), to.parse().expect("a time"));
                }
                _ => assert!(line == "DONE" || line.starts_with("SEND"), "{line}"),
            }
        }
    }

    /// Returns what it struck, once it is done.
    pub(crate) fn strikes(&mut self, within: Duration) -> Vec<Strike> {
        let mut strikes = Vec::new();

        loop {
            let line = self.line(within);
            if line == "DONE" {
                return strikes;
            }
            let numbers: Vec<u64> = line
                .strip_prefix("SEND ")
                .expect("a strike")
                .split(' ')
                .map(|number| number.parse().expect("a number"))
                .collect();
            strikes.push(Strike {
                raw_us: numbers[0],
                at: Time::ZERO,
                key: numbers[1] as u8,
                velocity: numbers[2] as u8,
            });
        }
    }

    fn line(&self, within: Duration) -> String {
        self.lines
            .recv_timeout(within)
            .expect("the player does what it is told")
    }
}

impl Drop for Player {
    fn drop(&mut self) {
        // It ends by itself when there is nobody to tell it anything; with a dead server perhaps
        // not.
        drop(self.orders.take());
        let deadline = Instant::now() + Duration::from_secs(3);
        while Instant::now() < deadline && matches!(self.process.try_wait(), Ok(None)) {
            thread::park_timeout(Duration::from_millis(2));
        }
        drop(self.process.kill());
        drop(self.process.wait());
    }
}

/// What was heard, with the moment at which a poll returned it.
#[derive(Default)]
pub(super) struct Heard {
    events: Vec<(u64, Time, Event)>,
}

impl Heard {
    pub(super) fn facts(&self) -> Vec<Fact> {
        self.events
            .iter()
            .map(|(.., event)| event.fact.clone())
            .collect()
    }

    pub(super) fn tells(&self, fact: &Fact) -> bool {
        self.events.iter().any(|(.., event)| event.fact == *fact)
    }

    /// When a fact was first told.
    pub(super) fn raw_us(&self, fact: &Fact) -> u64 {
        self.events
            .iter()
            .find(|(.., event)| event.fact == *fact)
            .expect("it was told")
            .0
    }

    pub(super) fn touches(&self) -> Vec<Touch> {
        self.events
            .iter()
            .filter_map(|(.., event)| match event.fact {
                Fact::Touched(touch) => Some(touch),
                _ => None,
            })
            .collect()
    }

    pub(super) fn downs(&self) -> usize {
        self.count(|touch| matches!(touch, Touch::Down { .. }))
    }

    pub(super) fn ups(&self) -> usize {
        self.count(|touch| matches!(touch, Touch::Up { .. }))
    }

    fn count(&self, which: impl Fn(&Touch) -> bool) -> usize {
        self.events
            .iter()
            .filter(|(.., event)| matches!(&event.fact, Fact::Touched(touch) if which(touch)))
            .count()
    }

    pub(super) fn strikes(&self) -> Vec<Strike> {
        self.events
            .iter()
            .filter_map(|(raw_us, _, event)| match event.fact {
                Fact::Touched(Touch::Down { key, velocity }) => Some(Strike {
                    raw_us: *raw_us,
                    at: event.at,
                    key: key.number(),
                    velocity,
                }),
                _ => None,
            })
            .collect()
    }

    /// The room's time of the last poll that told something.
    pub(super) fn now(&self) -> Time {
        self.events.last().map_or(Time::ZERO, |(_, now, _)| *now)
    }

    /// Asserts that no time lies in the future and none runs backwards.
    pub(super) fn is_in_order(&self) {
        for (_, now, event) in &self.events {
            assert!(event.at <= *now, "{event:?} was told at {now}");
        }
        assert!(self.events.is_sorted_by_key(|(.., event)| event.at));
    }
}

/// Who listens to a keyboard.
pub(super) struct Listener {
    pub(super) keyboard: midi::Keyboard,
    pub(super) heard: Heard,
    begun: Instant,
}

impl Listener {
    pub(super) fn new(preference: Preference) -> Self {
        Self {
            keyboard: midi::Keyboard::follow(preference).expect("there is a thread left"),
            heard: Heard::default(),
            begun: Instant::now(),
        }
    }

    /// Forgets what was heard.
    pub(super) fn forget(&mut self) {
        self.heard.events.clear();
    }

    /// Listens until something is so; `false` where it is not so in time.
    pub(super) fn until(&mut self, within: Duration, is_so: impl Fn(&Heard) -> bool) -> bool {
        let deadline = Instant::now() + within;

        loop {
            let now = Time::from_tenths((self.begun.elapsed().as_micros() / 100) as i64);
            let events = self.keyboard.poll(now);
            let raw_us = raw_us();
            let is_news = !events.is_empty();
            self.heard
                .events
                .extend(events.into_iter().map(|event| (raw_us, now, event)));

            if is_news && is_so(&self.heard) {
                return true;
            }
            if Instant::now() >= deadline {
                return is_so(&self.heard);
            }
            thread::park_timeout(Duration::from_micros(300));
        }
    }
}
