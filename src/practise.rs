//! A practice paper for one candidate, drawn from what the evidence of their results shows.
//!
//! It is an exam script like any other: commented, without fault, with `feedback = true` and no
//! pass mark. All it asks is asked as the exams that were sat ask it: their sections are copied key
//! by key, and only what is drawn from, how often, and how fast a line goes that broke down are
//! changed. Why each part is there stands above it and in [`Part::because`].

#![deny(clippy::disallowed_methods)]

mod choose;
mod ear;
mod evidence;
mod lines;
mod need;
mod run;
mod share;
mod source;
mod spell;
mod voicing;
mod words;
mod write;

#[cfg(test)]
mod tests;

use thiserror::Error;

pub use crate::exam::draft::MINUTES;

use self::choose::{Aim, Strand};
use self::evidence::Evidence;
use self::share::Block;
use self::source::Source;
use crate::exam::code::Code;
use crate::exam::diagnostic::Severity;
use crate::exam::duration;
use crate::exam::script::Exam;
use crate::exam::{draw, read};
use crate::sitting::Sitting;
use crate::time::Time;

/// The minutes where nobody asks for others.
pub const USUAL_MINUTES: u32 = 10;

/// One sitting of the candidate, and what its result holds beside it.
#[derive(Debug, Clone, Copy)]
pub struct Sat<'a> {
    /// The sitting, with its evidence.
    pub sitting: &'a Sitting,
    /// The script that was sat, whole.
    pub script: &'a str,
    /// When it began, RFC 3339: newer ones weigh more.
    pub started: &'a str,
}

/// What is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wishes {
    /// How long it may last, within [`MINUTES`]; looking at answers comes on top.
    pub minutes: u32,
    /// What decides between equals: the same seed gives the same paper.
    pub seed: u64,
}

/// A practice paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Paper {
    /// The script.
    pub script: String,
    /// The exam that it makes.
    pub exam: Exam,
    /// Its parts, in the order of the script, rests apart.
    pub parts: Vec<Part>,
    /// How long it lasts, without looking at answers: usually, and at most.
    pub minutes: (i64, i64),
}

/// A part of the paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// The short name of its section.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Why it is there, in a sentence with the figures it rests on.
    pub because: String,
}

/// Why there is no paper.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// No result was given.
    #[error("expected at least one result, found none")]
    Nothing,
    /// A script cannot be taken apart.
    #[error("the exam script inside the result cannot be read: {0}")]
    Script(String),
    /// No item that can be practised was shown and counts.
    #[error(
        "expected at least one item that was played, heard or spelled and counts, found none: \
         there is no evidence to practise from"
    )]
    NoEvidence,
    /// The time does not hold a single part.
    #[error("{0} minutes hold none of what there is to practise: ask for more")]
    TooShort(u32),
    /// The check finds something, whatever is left out.
    #[error("what there is to practise makes no script without fault: {0}")]
    Faulty(String),
}

/// Draws a practice paper.
///
/// # Errors
/// Says why there is none: no evidence, too little time, or a script that cannot be taken apart.
pub fn paper(sat: &[Sat<'_>], wishes: Wishes) -> Result<Paper, Error> {
    paper_for(sat, wishes, Aim::Weak)
}

/// As [`paper`], but of what was sure alone: the contrary, which must help less. For comparisons.
///
/// # Errors
/// As [`paper`].
pub fn paper_of_what_is_sure(sat: &[Sat<'_>], wishes: Wishes) -> Result<Paper, Error> {
    paper_for(sat, wishes, Aim::Sure)
}

fn paper_for(sat: &[Sat<'_>], wishes: Wishes, aim: Aim) -> Result<Paper, Error> {
    let mut sat = sat.to_vec();
    // The newest first; of one moment in the order given.
    sat.sort_by(|a, b| b.started.cmp(a.started));
    if sat.is_empty() {
        return Err(Error::Nothing);
    }
    let sources = source::all(&sat)?;
    let evidence = Evidence::of(&sat);
    if evidence.is_empty() {
        return Err(Error::NoEvidence);
    }

    let minutes = wishes.minutes.clamp(*MINUTES.start(), *MINUTES.end());
    let most = Time::from_ms(i64::from(minutes) * 60_000);
    let strands = choose::strands(&sources, &evidence, wishes.seed, aim);
    let drawing = Drawing {
        sources: &sources,
        evidence: &evidence,
        sat: &sat,
        seed: wishes.seed,
        most,
    };

    // What an exam was warned of itself may have to stay in its practice.
    match drawing.paper(&strands, Severity::Warning) {
        Err(Error::Faulty(_)) => drawing.paper(&strands, Severity::Fault),
        other => other,
    }
}

/// What a paper is drawn from.
struct Drawing<'a> {
    sources: &'a [Source<'a>],
    evidence: &'a Evidence,
    sat: &'a [Sat<'a>],
    seed: u64,
    /// How long it may last.
    most: Time,
}

impl Drawing<'_> {
    fn script(&self, blocks: &[Block<'_>], lasts: (i64, i64)) -> String {
        write::script(
            self.sources,
            self.evidence,
            blocks,
            self.sat,
            self.seed,
            lasts,
        )
    }

    /// Shares the time out anew until the paper fits it and nothing so severe is found.
    fn paper(&self, strands: &[Strand], least: Severity) -> Result<Paper, Error> {
        let mut budget = self.most.as_seconds();
        let mut without: Vec<usize> = Vec::new();
        let mut found = None;

        for _ in 0..TRIES {
            let blocks = share::out(strands, budget, &without);
            if blocks.is_empty() {
                break;
            }
            match checked(&self.script(&blocks, (0, 0)), least) {
                Ok((exam, lasts)) if lasts <= self.most => return Ok(self.made(exam, &blocks)),
                Ok((_, lasts)) => {
                    let over = lasts.as_seconds() / self.most.as_seconds().max(1.0);
                    budget *= 0.98 / over;
                }
                Err(fault) => {
                    // What cannot be drawn by itself is left out.
                    let faulty = blocks.iter().find(|block| {
                        let alone = self.script(std::slice::from_ref(*block), (0, 0));
                        checked(&alone, least).is_err()
                    });
                    match faulty {
                        Some(block) => without.push(block.at),
                        None => budget *= 0.8,
                    }
                    found = Some(fault);
                }
            }
        }

        let minutes = (self.most.as_seconds() / 60.0) as u32;
        Err(found.map_or(Error::TooShort(minutes), Error::Faulty))
    }

    /// Makes the paper of an exam that was checked.
    fn made(&self, mut exam: Exam, blocks: &[Block<'_>]) -> Paper {
        let minutes = minutes_of(&exam);
        let newest = &self.sat[0].sitting.exam().name;
        exam.name = format!("{}{NAMED}", newest.trim_end_matches(NAMED));

        Paper {
            // A comment changes nothing of what has been checked.
            script: self.script(blocks, minutes),
            parts: write::parts(self.sources, self.evidence, blocks),
            exam,
            minutes,
        }
    }
}

/// What is put behind the name of the exam that was sat last.
const NAMED: &str = "-practice";
/// So often a paper is begun again that is too long or cannot be drawn.
const TRIES: usize = 24;

/// Checks a script for what is so severe at least, and tells how long its first form lasts.
fn checked(script: &str, least: Severity) -> Result<(Exam, Time), String> {
    let (exam, found) = read::read(script, "practice");
    let severe = |of: Severity| of == Severity::Fault || of == least;
    if let Some(first) = found.iter().find(|one| severe(one.severity)) {
        return Err(first.message.clone());
    }
    let exam = exam.ok_or_else(|| "the script is not whole".to_owned())?;
    let form = draw::draw(&exam, Code::FIRST).map_err(|error| error.to_string())?;
    let lasts = (0..exam.sections.len())
        .map(|index| duration::section(&exam, &form, index, 100).usual)
        .fold(Time::ZERO, |sum, time| sum + time);

    Ok((exam, lasts))
}

fn minutes_of(exam: &Exam) -> (i64, i64) {
    draw::draw(exam, Code::FIRST).map_or((0, 0), |form| {
        (0..exam.sections.len())
            .map(|index| duration::section(exam, &form, index, 100))
            .fold(duration::Span::default(), |sum, span| sum + span)
            .minutes()
    })
}
