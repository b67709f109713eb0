//! What a form of an exam will ask, how long it takes and how much its marks can tell, before
//! anybody has sat it.

mod cell;
mod words;

#[cfg(test)]
mod tests;

pub use self::words::words;

use super::grade::{self, Each};
use super::statistics::{self, FEWEST_SOUNDINGS, StandardError};
use crate::exam::code::Code;
use crate::exam::draw::{self, Stock};
use crate::exam::duration::{self, PLAYED_WITHOUT_REST, PROMPTS_WITHOUT_REST, Span};
use crate::exam::form::{EarTask, Form, Task};
use crate::exam::script::{Ask, Exam, Kind};
use crate::fraction::{self, Fraction};
use crate::time::Time;

/// The time factors that are worked out, in hundredths.
pub const FACTORS: [u32; 3] = [100, 150, 200];

/// What is to be said of an exam.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// The exam's title.
    pub title: String,
    /// The form that was looked at. The others of its set ask as many items of the same cells.
    pub code: Code,
    /// Parallel forms in a set.
    pub seats: u8,
    /// The least and the greatest time factor that the script allows, in hundredths.
    pub factors: (u32, u32),
    /// The points of all sections.
    pub points: Fraction,
    /// The pass mark.
    pub pass: Option<Fraction>,
    /// The sections, in order.
    pub sections: Vec<Section>,
    /// How many unmarked items come first.
    pub warm_ups: usize,
    /// How long these last.
    pub warm_up_time: Time,
    /// How long all hearings on request would last; they are no part of any span.
    pub on_request: Time,
    /// Expected standard errors, for candidates of one or two levels.
    pub levels: Vec<Level>,
    /// Where hands go on for too long without a rest.
    pub stretches: Vec<Stretch>,
}

/// What is to be said of a section.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Its letter or short name.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Its kind, as scripts have it.
    pub kind: &'static str,
    /// What it asks, in words.
    pub asks: String,
    /// Its points.
    pub points: Fraction,
    /// How many items it asks; of a panel's section its criteria.
    pub items: usize,
    /// Whether its items carry a standard error: not those that a person marks, nor a rest.
    pub is_measured: bool,
    /// Its cells.
    pub cells: Vec<Cell>,
    /// How long it lasts with each of [`FACTORS`].
    pub spans: [Span; 3],
    /// The standard for each answer.
    pub each: Option<Each>,
    /// What guessing brings: a part of an ear section each.
    pub guesses: Vec<Guess>,
    /// Answers that sound fewer than [`FEWEST_SOUNDINGS`] times, and how often.
    pub seldom: Vec<(String, usize)>,
}

/// What is to be said of a cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// What it asks, in words.
    pub what: String,
    /// How many items it asks.
    pub count: u32,
    /// What it has to draw from.
    pub stock: Stock,
}

/// What guessing brings in one part of an ear section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Guess {
    /// What is asked.
    pub ask: Ask,
    /// How many items.
    pub items: usize,
    /// How many options each has.
    pub options: usize,
    /// The marks that a guesser gets on average.
    pub expected: Fraction,
    /// The fewest right answers that a guesser reaches with a chance under 1 %, and the marks that
    /// they bring; `None` where even a full score is not rare enough.
    pub beyond: Option<(usize, Fraction)>,
}

/// The standard errors to be expected of a candidate who gets the same share of every section.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// The share of right answers, 0 to 1.
    pub share: Fraction,
    /// Whether it is that of the pass mark.
    pub is_pass: bool,
    /// The error of each section, in order; `None` where it is not measured.
    pub sections: Vec<Option<StandardError>>,
    /// That of the total.
    pub total: StandardError,
}

/// Sections that are played one after another without a rest for the hands, and too long.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stretch {
    /// The sections, by their letters or names.
    pub sections: Vec<String>,
    /// How many prompts are played.
    pub prompts: usize,
    /// How long it lasts with each of [`FACTORS`] when everything takes its time.
    pub times: [Time; 3],
}

/// Works out what is to be said of an exam.
///
/// # Errors
/// Says which section has no form.
pub fn explain(exam: &Exam) -> Result<Explanation, draw::Error> {
    let form = draw::draw(exam, Code::FIRST)?;
    let points = marks(exam.points());
    let pass = exam.pass.map(marks);
    let sections: Vec<Section> = (0..exam.sections.len())
        .map(|index| section(exam, &form, index))
        .collect();
    let warm_up_time = form
        .warm_ups
        .iter()
        .map(|item| duration::with_gap(exam, item, 100).usual)
        .fold(Time::ZERO, |sum, time| sum + time);

    Ok(Explanation {
        title: exam.title.clone(),
        code: form.code,
        seats: exam.rules.seats,
        factors: exam.rules.time_factor,
        points,
        pass,
        warm_ups: form.warm_ups.len(),
        warm_up_time,
        on_request: form
            .items
            .iter()
            .map(|item| duration::on_request(&item.task))
            .fold(Time::ZERO, |sum, time| sum + time),
        levels: levels(&sections, points, pass),
        stretches: stretches(exam, &sections),
        sections,
    })
}

impl Explanation {
    /// Returns how many items are asked, marks of a panel aside.
    pub fn items(&self) -> usize {
        self.sections
            .iter()
            .filter(|section| section.is_measured)
            .map(|section| section.items)
            .sum()
    }

    /// Returns the marks that a guesser gets on average in all.
    pub fn by_chance(&self) -> Fraction {
        fraction::sum(self.sections.iter().map(Section::by_chance))
    }

    /// Returns the minutes of all sections with one of [`FACTORS`]: usual, and at most. They are
    /// the sum of what is announced for each.
    pub fn minutes(&self, factor: usize) -> (i64, i64) {
        self.sections
            .iter()
            .map(|section| section.spans[factor].minutes())
            .fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1))
    }
}

impl Section {
    /// Returns the marks that a guesser gets on average.
    pub fn by_chance(&self) -> Fraction {
        fraction::sum(self.guesses.iter().map(|guess| guess.expected))
    }
}

impl Stretch {
    /// Returns the first of [`FACTORS`], by its place, with which it lasts too long.
    pub fn too_long(&self) -> Option<usize> {
        self.times
            .iter()
            .position(|time| *time > PLAYED_WITHOUT_REST)
    }

    /// Whether it has too many prompts.
    pub const fn too_many(&self) -> bool {
        self.prompts > PROMPTS_WITHOUT_REST as usize
    }
}

fn marks(hundredths: u32) -> Fraction {
    fraction::from_hundredths(i64::from(hundredths))
}

fn section(exam: &Exam, form: &Form, index: usize) -> Section {
    let of = &exam.sections[index];
    let points = marks(of.points);
    let items = form.items.iter().filter(|item| item.section == index);
    let heard: Vec<&EarTask> = items
        .clone()
        .filter_map(|item| match &item.task {
            Task::Ear(task) => Some(task),
            _ => None,
        })
        .collect();
    let items = items.count();

    Section {
        id: of.id.clone(),
        title: of.title.clone(),
        kind: of.kind.word(),
        asks: cell::section(of, items),
        points,
        items,
        is_measured: !matches!(of.kind, Kind::Panel(_) | Kind::Rest { .. }),
        cells: cell::list(exam, of)
            .into_iter()
            .zip(draw::stock(of, exam.rules.reserve))
            .map(|((count, what), stock)| Cell { what, count, stock })
            .collect(),
        spans: FACTORS.map(|factor| duration::section(exam, form, index, factor)),
        each: grade::planned(exam, form, index),
        guesses: guesses(&of.kind, points, &heard),
        seldom: seldom(form, &heard),
    }
}

fn guesses(kind: &Kind, points: Fraction, heard: &[&EarTask]) -> Vec<Guess> {
    let Kind::Ear(ear) = kind else {
        return Vec::new();
    };
    // In a dictation each chord asks once more.
    let items: usize = heard
        .iter()
        .map(|task| task.right.len() / ear.asks.len().max(1))
        .sum();
    let share = |numerator: usize, denominator: usize| {
        let share = fraction::of(numerator as i64, denominator as i64).unwrap_or_default();
        fraction::product(points, share)
    };
    let parts = ear.asks.len();

    ear.asks
        .iter()
        .zip(&ear.options)
        .map(|(ask, options)| {
            let options = options.len();
            let k = u32::try_from(options).unwrap_or(u32::MAX);
            Guess {
                ask: *ask,
                items,
                options,
                expected: share(1, options * parts),
                beyond: statistics::guesser_score(items, k, statistics::ONE_PERCENT)
                    .map(|score| (score, share(score, items * parts))),
            }
        })
        .collect()
}

/// Lists the answers of a section that sound too seldom in the whole exam for a word about each of
/// them; an option that never sounds is there to be taken for another.
fn seldom(form: &Form, heard: &[&EarTask]) -> Vec<(String, usize)> {
    let Some(first) = heard.first() else {
        return Vec::new();
    };
    let same = |task: &EarTask| {
        let within = |a: &EarTask, b: &EarTask| a.asks.iter().all(|ask| b.asks.contains(ask));
        within(task, first) && within(first, task)
    };
    let alike = form.items.iter().filter_map(|item| match &item.task {
        Task::Ear(task) if same(task) => Some(task),
        _ => None,
    });
    // How often an option is the key to the question of a part: the chords of a dictation are alike.
    let keyed = |task: &EarTask, part: usize, option: &String| {
        task.asks
            .iter()
            .zip(task.right.iter().zip(task.options.iter()))
            .filter(|(ask, (right, options))| {
                first.asks.get(part) == Some(*ask) && options.get(**right) == Some(option)
            })
            .count()
    };
    let new = |part: &usize| !first.asks[..*part].contains(&first.asks[*part]);

    first
        .options
        .iter()
        .enumerate()
        .take(first.asks.len())
        .filter(|(part, _)| new(part))
        .flat_map(|(part, options)| options.iter().map(move |option| (part, option)))
        .filter(|(part, option)| heard.iter().any(|task| keyed(task, *part, option) > 0))
        .map(|(part, option)| {
            let count = alike.clone().map(|task| keyed(task, part, option)).sum();
            (option.clone(), count)
        })
        .filter(|(_, count)| *count < FEWEST_SOUNDINGS)
        .collect()
}

/// The expected errors at the pass mark and at three quarters.
fn levels(sections: &[Section], points: Fraction, pass: Option<Fraction>) -> Vec<Level> {
    let usual = Fraction::new(3, 4);
    let zero = Fraction::from_integer(0);
    let pass = pass
        .filter(|_| points > zero)
        .map(|pass| fraction::narrow(fraction::widen(pass) / fraction::widen(points)));
    let shares = pass
        .map(|share| (share, true))
        .into_iter()
        .chain((pass != Some(usual)).then_some((usual, false)));

    shares
        .map(|(share, is_pass)| {
            let sections: Vec<Option<StandardError>> = sections
                .iter()
                .map(|section| {
                    section
                        .is_measured
                        .then(|| statistics::expected_error(section.points, section.items, share))
                })
                .collect();
            let known: Vec<StandardError> = sections.iter().copied().flatten().collect();
            Level {
                share,
                is_pass,
                total: statistics::combine(&known),
                sections,
            }
        })
        .collect()
}

/// Finds where hands go on for too long; listening, writing and a rest let them rest.
fn stretches(exam: &Exam, sections: &[Section]) -> Vec<Stretch> {
    let mut all: Vec<Stretch> = Vec::new();
    let mut goes_on = false;

    for (of, section) in exam.sections.iter().zip(sections) {
        match of.kind {
            Kind::Voicing(_) | Kind::Run(_) => {
                if !goes_on {
                    all.push(Stretch {
                        sections: Vec::new(),
                        prompts: 0,
                        times: [Time::ZERO; 3],
                    });
                }
                goes_on = true;
                if let Some(stretch) = all.last_mut() {
                    stretch.sections.push(section.id.clone());
                    stretch.prompts += section.items;
                    for (time, span) in stretch.times.iter_mut().zip(section.spans) {
                        *time += span.usual;
                    }
                }
            }
            Kind::Ear(_) | Kind::Spell(_) | Kind::Rest { .. } => goes_on = false,
            Kind::Panel(_) => {}
        }
    }
    all.retain(|stretch| stretch.too_many() || stretch.too_long().is_some());

    all
}
