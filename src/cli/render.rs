//! `render`: the sounds of a form's ear items, and what a bass plays, as WAV files with an index.

use std::fmt::Write as _;
use std::io::Cursor;
use std::path::PathBuf;

use clap::Args;

use super::{End, Fault, disk, load, say};
use crate::exam::draw;
use crate::exam::form::Task;
use crate::instruments::piano::{self, Piano};
use crate::instruments::speaker::{Clip, RATE};
use crate::room;

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The exam script
    #[arg(value_name = "EXAM")]
    exam: PathBuf,
    /// The form code; the first form of the first set if absent
    #[arg(long, value_name = "CODE")]
    form: Option<String>,
    /// The folder to write to; it is made if it is not there
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// A SoundFont 2 to play with in place of the bundled piano
    #[arg(long, value_name = "FILE.sf2")]
    soundfont: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let (exam, _) = load::exam(&arguments.exam)?;
    let code = load::code(arguments.form.as_deref())?;
    let form = draw::draw(&exam, code)?;
    let piano = match &arguments.soundfont {
        Some(path) => Piano::load(&load::bytes(path)?)
            .map_err(|error| Fault::new(format_args!("{}: {error}", path.display())))?,
        None => Piano::bundled()?,
    };
    std::fs::create_dir_all(&arguments.out)
        .map_err(|error| Fault::new(format_args!("{}: {error}", arguments.out.display())))?;
    let mut index = format!(
        "exam = \"{}\"\nform = \"{code}\"\nframes_a_second = {RATE}\nlevel_db = {:.1}\n",
        exam.name,
        piano::LEVEL_DB
    );
    let mut count = 0;

    for item in form.items.iter().chain(&form.reserve) {
        let Some(clip) = room::item_sound(&piano, item, 100) else {
            continue;
        };
        let clip = clip?;
        let (rove, length) = match &item.task {
            Task::Ear(task) => (f32::from(task.sound.rove) / 10.0, task.sound.length),
            _ => (0.0, clip.length()),
        };
        let name = format!("item-{:03}.wav", item.number);
        disk::write_new(&arguments.out.join(&name), &wav(&clip)?)?;
        let _ = write!(
            index,
            "\n[[sound]]\nitem = {}\nsection = \"{}\"\nfile = \"{name}\"\nsound_ms = {}\nrove_db = {rove:.2}\n",
            item.number, exam.sections[item.section].id, length
        );
        count += 1;
    }
    if count == 0 {
        return Err(Fault::new(format_args!(
            "{}: this exam has nothing to be heard and no sounded bass, there is nothing to render",
            arguments.exam.display()
        )));
    }
    let path = arguments.out.join("index.toml");
    disk::write_new(&path, index.as_bytes())?;
    say(&format!("{count} sounds, listed in {}\n", path.display()));

    Ok(End::Fine)
}

/// Writes a clip as a WAV file of 16 bits, stereo.
pub(super) fn wav(clip: &Clip) -> Result<Vec<u8>, Fault> {
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: RATE,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut out = Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut out, spec)?;

    for sample in clip.frames.iter().flatten() {
        writer.write_sample((sample * f32::from(i16::MAX)).round() as i16)?;
    }
    writer.finalize()?;

    Ok(out.into_inner())
}
