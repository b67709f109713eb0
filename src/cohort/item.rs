//! Item analysis: how hard, how telling, and which wrong answers nobody believes.

use std::collections::BTreeMap;

use super::record::{Asked, Names, Record};
use crate::marking::statistics::{Basis, Comoments, discrimination_word};

/// What a line of the item analysis is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Scope {
    /// The same question, wherever it was asked.
    Item {
        /// Its prompt.
        prompt: String,
        /// What is right, a part each; empty for hand items.
        right: Vec<String>,
    },
    /// All items of a cell of the section, from 1.
    Cell(u16),
}

/// An item, or all items of a cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// The short name of its section.
    pub section: String,
    /// Its kind.
    pub kind: String,
    /// Which.
    pub scope: Scope,
    /// How often it was asked and marked; one sitting may ask it several times.
    pub asked: u64,
    /// In how many sittings.
    pub sittings: usize,
    /// What so many sittings can carry.
    pub basis: Basis,
    /// The mean credit, 0 to 1.
    pub difficulty: f64,
    /// The share with full credit, 0 to 1.
    pub right: f64,
    /// How often each level came, from 0 to 4.
    pub levels: [u64; 5],
    /// The correlation of its mark with the total without it, −1 to 1; `None` where one of them is
    /// the same throughout. Below 20 sittings it is worked out and not to be told.
    pub discrimination: Option<f64>,
    /// Wrong answers by part (from 1): the label, and how often it was chosen.
    pub distractors: Vec<(usize, String, u64)>,
    /// Why it should be looked at; empty where it need not.
    pub look: Vec<String>,
}

impl Item {
    /// Says what it is, in a line.
    pub fn words(&self) -> String {
        match &self.scope {
            Scope::Item { prompt, right } if self.kind == "ear" && !right.is_empty() => {
                format!("{}: {prompt} = {}", self.section, right.join(", "))
            }
            Scope::Item { prompt, .. } => format!("{}: {prompt}", self.section),
            Scope::Cell(cell) => format!("{}: cell {cell}", self.section),
        }
    }

    /// What a discrimination means, where there are sittings enough.
    pub fn word(&self) -> &'static str {
        match (self.basis, self.discrimination) {
            (Basis::Counts, _) => "",
            (_, Some(r)) => discrimination_word(r),
            (_, None) => "no spread",
        }
    }

    /// The most urgent first: a doubtful key, then the least telling.
    pub fn urgency(&self) -> (bool, f64) {
        let r = self.discrimination.unwrap_or(0.0);

        (r >= 0.0, r - (self.difficulty - 0.5).abs())
    }
}

/// A wrong answer chosen in a smaller share than this does nothing (Weber State University's page
/// on item analysis).
const FEWEST_CHOSEN: f64 = 0.05;

/// Difficulties that can be used (the same page).
const USABLE: std::ops::RangeInclusive<f64> = 0.20..=0.80;

/// Discriminations from here on are fair (the same page).
const FAIR: f64 = 0.20;

/// Sums of an item.
#[derive(Debug, Default, Clone)]
struct Sums {
    credits: u64,
    pairs: Comoments,
    sittings: usize,
    last: Option<usize>,
    full: u64,
    levels: [u64; 5],
    kind: u32,
    /// By the joined answer.
    answers: BTreeMap<u32, u64>,
}

impl Sums {
    fn add(&mut self, asked: &Asked, sitting: usize, total: i64) {
        self.credits += asked.credit.unsigned_abs() as u64;
        self.pairs
            .add(i64::from(asked.mark), total - i64::from(asked.mark));
        if self.last.replace(sitting) != Some(sitting) {
            self.sittings += 1;
        }
        self.full += u64::from(asked.credit == 100);
        self.levels[usize::from(asked.level.min(4))] += 1;
        self.kind = asked.item;
        if let Some(answer) = asked.answer() {
            *self.answers.entry(answer).or_default() += 1;
        }
    }
}

pub(super) fn items(settled: &[&Record], names: &Names) -> Vec<Item> {
    let mut by_item: Vec<Sums> = vec![Sums::default(); names.items.len()];
    let mut by_cell: BTreeMap<(u32, u16), Sums> = BTreeMap::new();

    for (sitting, record) in settled.iter().enumerate() {
        for asked in record.items.iter().filter(|asked| !asked.awaited) {
            by_item[asked.item as usize].add(asked, sitting, record.mark);
            // An older program told no cells.
            if asked.cell > 0 {
                by_cell.entry((asked.section, asked.cell)).or_default().add(
                    asked,
                    sitting,
                    record.mark,
                );
            }
        }
    }
    let labels = labels(settled, names);

    let mut items: Vec<Item> = by_item
        .iter()
        .enumerate()
        .filter(|(_, sums)| sums.sittings > 0)
        .map(|(place, sums)| {
            let mut parts = names.items.parts(place as u32).map(str::to_owned);
            let mut next = || parts.next().unwrap_or_default();
            let (section, kind, prompt) = (next(), next(), next());
            let right: Vec<String> = parts.collect();
            let distractors = distractors(&section, &right, sums, &labels, names);

            item(
                section,
                kind,
                Scope::Item { prompt, right },
                distractors,
                sums,
            )
        })
        .collect();
    items.sort_by(|one, other| {
        let words = |of: &Item| of.words();
        (&one.section, std::cmp::Reverse(one.asked), words(one)).cmp(&(
            &other.section,
            std::cmp::Reverse(other.asked),
            words(other),
        ))
    });
    let mut cells: Vec<Item> = by_cell
        .iter()
        .map(|((section, cell), sums)| {
            let kind = names.items.parts(sums.kind).nth(1).unwrap_or_default();

            item(
                names.words.text(*section).to_owned(),
                kind.to_owned(),
                Scope::Cell(*cell),
                Vec::new(),
                sums,
            )
        })
        .collect();
    cells.sort_by(|one, other| {
        let cell = |of: &Item| match of.scope {
            Scope::Cell(cell) => cell,
            Scope::Item { .. } => 0,
        };
        (&one.section, cell(one)).cmp(&(&other.section, cell(other)))
    });
    items.extend(cells);

    items
}

fn item(
    section: String,
    kind: String,
    scope: Scope,
    distractors: Vec<(usize, String, u64)>,
    sums: &Sums,
) -> Item {
    let asked = sums.pairs.xs().count();
    let mut item = Item {
        section,
        kind,
        scope,
        asked,
        sittings: sums.sittings,
        basis: Basis::of(sums.sittings),
        difficulty: sums.credits as f64 / (100 * asked) as f64,
        right: sums.full as f64 / asked as f64,
        levels: sums.levels,
        discrimination: sums.pairs.correlation(),
        distractors,
        look: Vec::new(),
    };
    if item.basis != Basis::Counts {
        item.look = look(&item);
    }

    item
}

fn look(item: &Item) -> Vec<String> {
    let mut why = Vec::new();

    match item.discrimination {
        Some(r) if r < 0.0 => {
            why.push("those who do well in the rest do worse in this: check the key".to_owned())
        }
        Some(r) if r < FAIR => {
            why.push("hardly tells those who do well in the rest from the others".to_owned());
        }
        _ => {}
    }
    if !USABLE.contains(&item.difficulty) {
        why.push(match item.difficulty < 0.5 {
            true => "too hard: mean credit under .20".to_owned(),
            false => "too easy: mean credit over .80".to_owned(),
        });
    }
    for (part, label, count) in &item.distractors {
        if (*count as f64) < FEWEST_CHOSEN * item.asked as f64 {
            let part = match item.distractors.iter().any(|of| of.0 != 1) {
                true => format!(" (part {part})"),
                false => String::new(),
            };
            why.push(format!(
                "{label}{part} was chosen by under 5 %: it does nothing as a wrong answer"
            ));
        }
    }

    why
}

/// The labels of each section and part, in the order shown.
type Labels = BTreeMap<(String, usize), Vec<String>>;

fn labels(settled: &[&Record], names: &Names) -> Labels {
    let mut labels = Labels::new();
    let mut ears: Vec<u32> = settled
        .iter()
        .flat_map(|record| record.ears.iter().map(|(ear, _)| *ear))
        .collect();
    ears.sort_unstable();
    ears.dedup();
    for ear in ears {
        let mut parts = names.ears.parts(ear);
        let section = parts.next().unwrap_or_default().to_owned();
        let part = parts.next().and_then(|part| part.parse().ok()).unwrap_or(1);
        let known = labels.entry((section, part)).or_default();
        for label in parts {
            if !known.iter().any(|other| other == label) {
                known.push(label.to_owned());
            }
        }
    }

    labels
}

fn distractors(
    section: &str,
    right: &[String],
    sums: &Sums,
    labels: &Labels,
    names: &Names,
) -> Vec<(usize, String, u64)> {
    if sums.answers.is_empty() {
        return Vec::new();
    }
    let mut chosen: BTreeMap<(usize, &str), u64> = BTreeMap::new();
    for (answer, count) in &sums.answers {
        for (part, label) in names.answers.parts(*answer).enumerate() {
            *chosen.entry((part, label)).or_default() += count;
        }
    }

    // The chords of a dictation ask the same in turn.
    let questions = (1..)
        .take_while(|part| labels.contains_key(&(section.to_owned(), *part)))
        .count()
        .max(1);

    right
        .iter()
        .enumerate()
        .flat_map(|(part, right)| {
            let known = labels.get(&(section.to_owned(), part % questions + 1));
            let chosen = &chosen;
            known
                .into_iter()
                .flatten()
                .filter(move |label| *label != right)
                .map(move |label| {
                    let count = chosen.get(&(part, label.as_str())).copied().unwrap_or(0);
                    (part + 1, label.clone(), count)
                })
        })
        .collect()
}
