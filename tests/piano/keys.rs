//! Writes each key of the bundled piano as a WAV file, `021.wav` to `108.wav`, into the folder named.
//!
//! For `check_tuning.py`; the shipped program has no use for single keys.

use std::path::Path;

use viva_voicing::instruments::piano::{Note, Piano};
use viva_voicing::instruments::speaker::RATE;
use viva_voicing::theory::Key;
use viva_voicing::time::Time;

/// How long a key is held and heard.
const LENGTH: Time = Time::from_ms(3_000);
const VELOCITY: u8 = 80;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("expected a folder")?;
    let piano = Piano::bundled()?;
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: RATE,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    std::fs::create_dir_all(&folder)?;

    for number in 21..=108 {
        let note = Note {
            at: Time::ZERO,
            held: LENGTH,
            key: Key::new(number)?,
            velocity: VELOCITY,
        };
        let path = Path::new(&folder).join(format!("{number:03}.wav"));
        let mut writer = hound::WavWriter::create(path, spec)?;
        for sample in piano.render(&[note], LENGTH, 0.0)?.frames.iter().flatten() {
            writer.write_sample((sample * f32::from(i16::MAX)).round() as i16)?;
        }
        writer.finalize()?;
    }
    Ok(())
}
