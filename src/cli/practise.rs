//! `practise`: draw a practice paper from a candidate's results.

use std::path::{Path, PathBuf};

use clap::Args;

use super::{End, Fault, complain, disk, load, say};
use crate::practise::{self, Sat, USUAL_MINUTES, Wishes};
use crate::results::document::{self, Stored};
use crate::results::seal;

/// Draw a practice paper from a candidate's results
///
/// The paper is an exam script: what was weak, slow or confused, chords of the routine in leaps, and
/// some of what was sure so that it stays. Why each part is there stands above it. Results of several
/// exams may be given together; newer ones weigh more. The answer is shown after each item.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The results, all of one candidate
    #[arg(required = true, value_name = "RESULT")]
    results: Vec<PathBuf>,
    /// How long it may last, looking at answers apart
    #[arg(long, value_name = "N", default_value_t = USUAL_MINUTES, value_parser = super::new::minutes)]
    minutes: u32,
    /// The same results and seed give the same paper, another seed another one
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// The file to write, and to say why each part is there; otherwise the script is printed
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let stored = arguments
        .results
        .iter()
        .map(|path| read(path))
        .collect::<Result<Vec<Stored>, Fault>>()?;
    if let Some((place, other)) = stored
        .iter()
        .enumerate()
        .find(|(_, other)| other.given.candidate != stored[0].given.candidate)
    {
        return Err(Fault::new(format_args!(
            "{}: expected a result of candidate {}, found one of candidate {}: a paper is for one candidate",
            arguments.results[place].display(),
            stored[0].given.candidate,
            other.given.candidate
        )));
    }
    let sat: Vec<Sat<'_>> = stored
        .iter()
        .map(|stored| Sat {
            sitting: &stored.sitting,
            script: &stored.script,
            started: &stored.given.started,
        })
        .collect();
    let wishes = Wishes {
        minutes: arguments.minutes,
        seed: arguments.seed,
    };
    let paper = practise::paper(&sat, wishes)?;

    let Some(out) = &arguments.out else {
        say(&paper.script);
        return Ok(End::Fine);
    };
    disk::write_new(out, paper.script.as_bytes())?;
    let lasts = match paper.minutes {
        (1, 1) => "1 minute".to_owned(),
        (usual, most) if usual == most => format!("{usual} minutes"),
        (usual, most) => format!("{usual} to {most} minutes"),
    };
    say(&format!(
        "{}: {lasts}, looking at answers apart; --seed {} gives it again\n",
        out.display(),
        arguments.seed
    ));
    for part in &paper.parts {
        say(&format!("{}  {}: {}\n", part.id, part.title, part.because));
    }

    Ok(End::Fine)
}

/// Reads a result whose seal is whole.
fn read(path: &Path) -> Result<Stored, Fault> {
    let text = load::text(path)?;
    let place = |error: &dyn std::fmt::Display| Fault::new(load::placed(path, &error.to_string()));
    let _ = seal::audit(&text).map_err(|fault| place(&fault))?;
    let stored = document::read(&text, None).map_err(|error| place(&error))?;
    if matches!(stored.sitting.end(), Some(crate::sitting::End::Void(_))) {
        complain(&load::placed(
            path,
            "the sitting is void; it is practised from all the same",
        ));
    }

    Ok(stored)
}
