//! One open stream to one device.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{self, Sender};
use std::sync::{Arc, OnceLock};
use std::thread;
use std::time::{Duration, Instant};

use cpal::traits::{DeviceTrait, StreamTrait};
use cpal::{
    BufferSize, ErrorKind, FromSample, HostId, SampleFormat, SizedSample, StreamConfig,
    SupportedBufferSize, SupportedStreamConfig,
};

use super::deck::{Deck, Order};
use super::monitor::{Keys, monitor};
use super::stamp::{Marks, Stamp};
use super::tape::Tape;
use super::{Setup, device};
use crate::instruments::speaker::{Clip, Error, Level, RATE};
use crate::time::Time;

/// Frames at a time where nothing else is asked, 42.7 ms: with half of it a busy machine with two
/// cores ran dry now and then. Sounds are rendered beforehand and their delay is known, so that
/// nothing but monitoring asks for less.
const BUFFER: u32 = 2_048;
/// Frames at a time where the keyboard is monitored, 5.3 ms.
const QUICK: u32 = 256;
/// How long a device may take to open, and to ask for its first sounds.
const PATIENCE: Duration = Duration::from_secs(3);
/// Between two looks whether it has.
const GLANCE: Duration = Duration::from_millis(5);
/// How often to try to open it.
const TRIES: usize = 5;
/// Between two tries.
const PAUSE: Duration = Duration::from_millis(50);

/// An open stream, which ends when dropped.
pub(super) struct Line {
    stream: cpal::Stream,
    orders: Sender<Order>,
    keys: Option<Keys>,
    stamp: Stamp,
    fault: Arc<Fault>,
    id: String,
    name: String,
    host: HostId,
    config: StreamConfig,
    buffer: u32,
}

/// What the device complained of: the first fatal complaint counts and the rest is dropped, as a
/// dying server may send a million a second.
#[derive(Default)]
struct Fault {
    fatal: OnceLock<cpal::Error>,
    gaps: AtomicU64,
}

/// Opens the device that is meant, and waits until it plays at an even pace.
pub(super) fn open(setup: &Setup, known: Option<HostId>) -> Result<Line, Error> {
    let device = device::find(setup, known)?;

    // On a busy machine a driver may stumble over its first sounds and play well the next time.
    let mut tries = 1;
    loop {
        match start(&device, setup) {
            Err(_) if tries < TRIES => thread::park_timeout(PAUSE),
            result => return result,
        }
        tries += 1;
    }
}

fn start(device: &cpal::Device, setup: &Setup) -> Result<Line, Error> {
    let name = device::name(device);
    let refused = |error: cpal::Error| device::refused(&name, &error);

    let id = device.id().map_err(refused)?;
    let supported = choose(device).map_err(refused)?;
    let usual = if setup.monitor.is_some() {
        QUICK
    } else {
        BUFFER
    };
    let asked = setup.buffer.unwrap_or(usual);
    let config = StreamConfig {
        channels: supported.channels(),
        sample_rate: supported.sample_rate(),
        buffer_size: buffer_size(supported.buffer_size(), asked),
    };

    let (orders, taken) = mpsc::channel();
    let (keys, monitor) = setup.monitor.as_ref().and_then(monitor).unzip();
    let stamp = Stamp::default();
    let fault = Arc::<Fault>::default();
    let deck = Deck::new(taken, monitor, stamp.clone());
    let tape = Tape::new(deck, stamp.clone(), &config)
        .ok_or_else(|| refused(cpal::Error::new(ErrorKind::UnsupportedConfig)))?;

    let stream = build(
        device,
        supported.sample_format(),
        config,
        tape,
        Arc::clone(&fault),
    )
    .map_err(refused)?;
    stream.play().map_err(refused)?;
    settle(&stamp, &fault).map_err(refused)?;

    Ok(Line {
        buffer: stream.buffer_size().unwrap_or(asked),
        stream,
        orders,
        keys,
        stamp,
        fault,
        host: id.host(),
        id: id.to_string(),
        name,
        config,
    })
}

/// Waits until the device has asked for sound so often that its times can be believed; one that
/// asks for none would stay silent for ever.
fn settle(stamp: &Stamp, fault: &Fault) -> Result<(), cpal::Error> {
    let start = Instant::now();

    while !stamp.is_settled() {
        if let Some(error) = fault.fatal.get() {
            return Err(error.clone());
        }
        if start.elapsed() > PATIENCE {
            return Err(cpal::Error::with_message(
                ErrorKind::BackendError,
                "it asks for no sound",
            ));
        }
        thread::park_timeout(GLANCE);
    }
    Ok(())
}

impl Line {
    pub(super) fn id(&self) -> &str {
        &self.id
    }

    pub(super) fn name(&self) -> &str {
        &self.name
    }

    pub(super) const fn host(&self) -> HostId {
        self.host
    }

    pub(super) const fn buffer(&self) -> u32 {
        self.buffer
    }

    pub(super) const fn rate(&self) -> u32 {
        self.config.sample_rate
    }

    pub(super) fn gaps(&self) -> u64 {
        self.fault.gaps.load(Ordering::Relaxed)
    }

    /// Frames asked for so far.
    pub(super) fn frames(&self) -> u64 {
        self.stamp.frames()
    }

    pub(super) fn has_failed(&self) -> bool {
        self.fault.fatal.get().is_some()
    }

    /// Sounds a clip; false when the device is gone.
    pub(super) fn play(&self, clip: Clip, marks: Marks) -> bool {
        !self.has_failed() && self.orders.send(Order::Play(clip, marks)).is_ok()
    }

    pub(super) fn stop(&self) {
        // A stream that takes no orders any more makes no sound either.
        drop(self.orders.send(Order::Stop));
    }

    pub(super) fn set_level(&self, level: Level) {
        drop(self.orders.send(Order::Level(level.factor())));
    }

    /// What takes touches, where the device was opened to monitor the keyboard.
    pub(super) const fn keys(&self) -> Option<&Keys> {
        self.keys.as_ref()
    }

    pub(super) fn latency(&self) -> Option<Time> {
        let lead = self.stamp.lead();
        (lead > 0).then(|| tenths(i128::from(lead)))
    }

    /// How long a call's frames take to sound.
    pub(super) fn call(&self) -> Time {
        tenths(i128::from(self.buffer) * 1_000_000_000 / i128::from(self.rate().max(1)))
    }

    /// Turns the stream's time into the room's, which is `now`.
    pub(super) fn room_time(&self, nanos: u64, now: Time) -> Time {
        now + tenths(i128::from(nanos) - self.stream.now().as_nanos() as i128)
    }
}

/// Nanoseconds to the nearest tenth of a millisecond.
fn tenths(nanos: i128) -> Time {
    let tenths = (nanos + 50_000).div_euclid(100_000);
    Time::from_tenths(i64::try_from(tenths).unwrap_or(i64::MAX))
}

fn buffer_size(supported: &SupportedBufferSize, asked: u32) -> BufferSize {
    match *supported {
        SupportedBufferSize::Range { min, max } if min <= max => {
            BufferSize::Fixed(asked.clamp(min, max))
        }
        _ => BufferSize::Default,
    }
}

/// The device's way that needs least converting: 48,000 frames a second, two sides, floats.
fn choose(device: &cpal::Device) -> Result<SupportedStreamConfig, cpal::Error> {
    let best = device
        .supported_output_configs()?
        .filter(|range| (range.min_sample_rate()..=range.max_sample_rate()).contains(&RATE))
        .filter_map(|range| Some((rank(range.channels(), range.sample_format())?, range)))
        .min_by_key(|(rank, _)| *rank);

    match best {
        Some((_, range)) => Ok(range.with_sample_rate(RATE)),
        None => device.default_output_config(),
    }
}

fn rank(channels: u16, format: SampleFormat) -> Option<(u16, usize)> {
    let format = FORMATS.iter().position(|known| *known == format)?;
    let channels = match channels {
        2 => 0,
        1 => u16::MAX,
        more => more,
    };
    Some((channels, format))
}

/// The formats that can be filled, the best first.
const FORMATS: [SampleFormat; 7] = [
    SampleFormat::F32,
    SampleFormat::F64,
    SampleFormat::I32,
    SampleFormat::I24,
    SampleFormat::I16,
    SampleFormat::U16,
    SampleFormat::U8,
];

fn build(
    device: &cpal::Device,
    format: SampleFormat,
    config: StreamConfig,
    tape: Tape,
    fault: Arc<Fault>,
) -> Result<cpal::Stream, cpal::Error> {
    match format {
        SampleFormat::F32 => build_as::<f32>(device, config, tape, fault),
        SampleFormat::F64 => build_as::<f64>(device, config, tape, fault),
        SampleFormat::I32 => build_as::<i32>(device, config, tape, fault),
        SampleFormat::I24 => build_as::<cpal::I24>(device, config, tape, fault),
        SampleFormat::I16 => build_as::<i16>(device, config, tape, fault),
        SampleFormat::U16 => build_as::<u16>(device, config, tape, fault),
        SampleFormat::U8 => build_as::<u8>(device, config, tape, fault),
        _ => Err(cpal::Error::new(ErrorKind::UnsupportedConfig)),
    }
}

fn build_as<T: SizedSample + FromSample<f32>>(
    device: &cpal::Device,
    config: StreamConfig,
    mut tape: Tape,
    fault: Arc<Fault>,
) -> Result<cpal::Stream, cpal::Error> {
    device.build_output_stream(
        config,
        move |data: &mut [T], info: &cpal::OutputCallbackInfo| {
            let times = info.timestamp();
            let [called, stated] = [times.callback, times.playback]
                .map(|time| u64::try_from(time.as_nanos()).unwrap_or(u64::MAX));
            tape.fill(data, called, stated);
        },
        move |error| fault.note(error),
        Some(PATIENCE),
    )
}

impl Fault {
    fn note(&self, error: cpal::Error) {
        match error.kind() {
            ErrorKind::Xrun => {
                let _ = self.gaps.fetch_add(1, Ordering::Relaxed);
            }
            // The stream goes on all the same.
            ErrorKind::DeviceChanged | ErrorKind::RealtimeDenied => {}
            _ => {
                let _ = self.fatal.set(error);
            }
        }
    }
}
