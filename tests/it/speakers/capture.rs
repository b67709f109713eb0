//! What a null sink's monitor hears, recorded by a client that is none of ours.

use std::io::Read;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use super::stage::SOON;

/// A recording that goes on.
pub(crate) struct Capture {
    recorder: Child,
    reader: Option<JoinHandle<()>>,
    tape: Arc<Mutex<Tape>>,
}

/// What has arrived.
#[derive(Default)]
pub(super) struct Tape {
    bytes: Vec<u8>,
    /// How many bytes had arrived when.
    arrivals: Vec<(usize, Instant)>,
}

/// A frame is two floats.
const FRAME: usize = 8;

impl Capture {
    /// Starts, and returns when the first frames have come.
    pub(super) fn start() -> Self {
        let mut recorder = Command::new("parec")
            .args(["--raw", "--device=exam.monitor", "--rate=48000"])
            .args(["--channels=2", "--format=float32le", "--latency-msec=20"])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut sound = recorder.stdout.take().unwrap();
        let tape = Arc::<Mutex<Tape>>::default();
        let shared = Arc::clone(&tape);
        let reader = thread::spawn(move || {
            let mut piece = vec![0; 1 << 16];
            while let Ok(read @ 1..) = sound.read(&mut piece) {
                let mut tape = shared.lock().unwrap();
                tape.bytes.extend(&piece[..read]);
                let length = tape.bytes.len();
                tape.arrivals.push((length, Instant::now()));
            }
        });
        let capture = Self {
            recorder,
            reader: Some(reader),
            tape,
        };

        capture.wait(1);
        capture
    }

    /// Waits until so many frames more have come, and ends.
    pub(crate) fn end_after(mut self, frames: usize) -> Recording {
        self.wait(self.frames() + frames);
        self.end();

        let tape = std::mem::take(&mut *self.tape.lock().unwrap());
        Recording {
            frames: tape
                .bytes
                .chunks_exact(FRAME)
                .map(|frame| {
                    let (left, right) = frame.split_at(4);
                    [left, right].map(|side| f32::from_le_bytes(side.try_into().unwrap()))
                })
                .collect(),
            arrivals: tape.arrivals,
        }
    }

    fn frames(&self) -> usize {
        self.tape.lock().unwrap().bytes.len() / FRAME
    }

    fn wait(&self, frames: usize) {
        let deadline = Instant::now() + SOON;

        while self.frames() < frames {
            assert!(Instant::now() < deadline, "the monitor gives no sound");
            thread::park_timeout(Duration::from_millis(2));
        }
    }

    fn end(&mut self) {
        drop(self.recorder.kill());
        drop(self.recorder.wait());
        if let Some(reader) = self.reader.take() {
            drop(reader.join());
        }
    }
}

impl Drop for Capture {
    fn drop(&mut self) {
        self.end();
    }
}

/// A recording that has ended.
pub(crate) struct Recording {
    pub(crate) frames: Vec<[f32; 2]>,
    arrivals: Vec<(usize, Instant)>,
}

impl Recording {
    /// The first frame that is not silent, from a frame on.
    pub(super) fn onset(&self, from: usize) -> usize {
        from + self.frames[from..]
            .iter()
            .position(|frame| *frame != [0.0; 2])
            .expect("there is sound")
    }

    /// When a frame had arrived.
    pub(super) fn arrival(&self, frame: usize) -> Instant {
        let end = (frame + 1) * FRAME;
        self.arrivals
            .iter()
            .find(|(bytes, _)| *bytes >= end)
            .expect("the frame has arrived")
            .1
    }

    /// Says where a clip that begins at a frame is not there bit by bit.
    pub(super) fn check(&self, start: usize, clip: &[[f32; 2]]) {
        let heard = &self.frames[start..];
        assert!(heard.len() >= clip.len(), "the recording is cut short");

        let wrong: Vec<usize> = (0..clip.len())
            .filter(|&frame| heard[frame].map(f32::to_bits) != clip[frame].map(f32::to_bits))
            .collect();
        assert!(
            wrong.is_empty(),
            "{} of {} frames differ, the first at {}: expected {:?}, found {:?}",
            wrong.len(),
            clip.len(),
            wrong[0],
            clip[wrong[0]],
            heard[wrong[0]]
        );
    }

    /// Finds the stretches of silence, 8 frames and more, where sound should be: where they begin,
    /// counted from there, and how long they are.
    pub(super) fn gaps(&self, from: usize, length: usize) -> Vec<(usize, usize)> {
        let mut at = 0;

        self.frames[from..(from + length).min(self.frames.len())]
            .chunk_by(|one, other| (*one == [0.0; 2]) == (*other == [0.0; 2]))
            .filter_map(|run| {
                let begin = at;
                at += run.len();
                (run[0] == [0.0; 2] && run.len() >= 8).then_some((begin, run.len()))
            })
            .collect()
    }

    /// Says where it is not silent between two frames.
    pub(super) fn check_silence(&self, from: usize, to: usize) {
        for (index, frame) in self.frames[from..to].iter().enumerate() {
            assert_eq!(*frame, [0.0; 2], "sound at frame {}", from + index);
        }
    }
}
