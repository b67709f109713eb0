//! Items made of picks: prompts, answer keys, sounds.

mod answer;
mod ear;
mod hands;
mod order;

use std::collections::BTreeMap;
use std::sync::Arc;

pub use self::answer::same_answer;
pub(super) use self::answer::{accepted, dictated, quality_texts};
pub use self::ear::sounded_as;
pub(super) use self::hands::{line, voiced};
use super::chance::Chance;
use super::code::Code;
use super::draw::{Pick, Plan};
use super::form::{Form, Item, PanelTask, SpellTask, Task};
use super::script::{Ask, EarSection, Exam, Kind, RunCell, SpellCell, SpellSection};
use crate::theory::voicing::Voicing;
use crate::theory::{Chord, Degree, Name, symbol};

/// What is asked on each chord of a run, for each order that it may start with.
type Lines = Arc<Vec<Vec<Voicing>>>;

/// Makes the items of forms.
///
/// What a pick asks hangs on nothing but the exam, so that the forms of a set, which ask much the
/// same in other places, share what has been made once. Only sounds are made for each item: their
/// touch is drawn.
#[derive(Debug)]
pub(super) struct Maker<'a> {
    exam: &'a Exam,
    /// The form that is being made: lines at random are drawn with it.
    code: Code,
    /// Prompts and tasks, sounds apart, by section and pick.
    made: BTreeMap<(usize, Pick), (String, Task)>,
    /// What voicing items share, by section and cell.
    voicings: BTreeMap<(usize, u16), hands::Shared>,
    /// The voicings of a run by section, cell and variant: they are the same in every key.
    lines: BTreeMap<(usize, u16, u8), Lines>,
    /// What ear items share, by section, cell and variant.
    questions: BTreeMap<(usize, u16, u8), ear::Shared>,
    /// The options of ear sections.
    options: BTreeMap<usize, Arc<Vec<Vec<String>>>>,
}

impl<'a> Maker<'a> {
    pub(super) const fn new(exam: &'a Exam) -> Self {
        Self {
            exam,
            code: Code::FIRST,
            made: BTreeMap::new(),
            voicings: BTreeMap::new(),
            lines: BTreeMap::new(),
            questions: BTreeMap::new(),
            options: BTreeMap::new(),
        }
    }

    /// Makes the items of a form from the plans of its sections.
    pub(super) fn form(&mut self, code: Code, plans: &[&Plan]) -> Form {
        self.code = code;
        let mut chance = Chance::new("items 1", &[u64::from(code.seed()), u64::from(code.seat())]);
        let count = |of: fn(&Plan) -> usize| plans.iter().map(|plan| of(plan)).sum();
        let mut form = Form {
            code,
            items: Vec::with_capacity(count(|plan| plan.picks.len())),
            reserve: Vec::with_capacity(count(|plan| plan.reserve.len())),
            warm_ups: Vec::with_capacity(count(|plan| plan.warm_ups.len())),
        };
        let mut number = 0;
        let mut next = || {
            number += 1;
            number
        };

        for (section, plan) in plans.iter().enumerate() {
            if let Kind::Panel(panel) = &self.exam.sections[section].kind {
                for (cell, criterion) in panel.criteria.iter().enumerate() {
                    form.items.push(Item {
                        number: next(),
                        section,
                        cell,
                        prompt: criterion.clone(),
                        task: Task::Panel(PanelTask {
                            criterion: criterion.clone(),
                        }),
                    });
                }
            }
            for pick in &plan.picks {
                let item = self.item(next(), section, *pick, &mut chance);
                form.items.push(item);
            }
        }
        for (section, plan) in plans.iter().enumerate() {
            for pick in &plan.reserve {
                let item = self.item(next(), section, *pick, &mut chance);
                form.reserve.push(item);
            }
        }
        for (section, plan) in plans.iter().enumerate() {
            for pick in &plan.warm_ups {
                let item = self.item(0, section, *pick, &mut chance);
                form.warm_ups.push(item);
            }
        }

        form
    }

    fn item(&mut self, number: u32, section: usize, pick: Pick, chance: &mut Chance) -> Item {
        let (prompt, task) = match &self.exam.sections[section].kind {
            Kind::Ear(of) => self.ear(of, section, pick, chance),
            Kind::Run(of) if of.cells[usize::from(pick.cell)].line.is_at_random() => {
                self.at_random(&of.cells[usize::from(pick.cell)], section, pick)
            }
            _ => match self.made.get(&(section, pick)) {
                Some(made) => made.clone(),
                None => {
                    let made = self.make(section, pick);
                    self.made.entry((section, pick)).or_insert(made).clone()
                }
            },
        };

        Item {
            number,
            section,
            cell: usize::from(pick.cell),
            prompt,
            task,
        }
    }

    fn ear(
        &mut self,
        of: &EarSection,
        section: usize,
        pick: Pick,
        chance: &mut Chance,
    ) -> (String, Task) {
        let style = self.exam.style;
        let options = self
            .options
            .entry(section)
            .or_insert_with(|| Arc::new(of.options.clone()));
        // Variants differ in their answers only where it is asked what is on top.
        let variant = if of.asks.contains(&Ask::Top) {
            pick.variant
        } else {
            0
        };
        let shared = self
            .questions
            .entry((section, pick.cell, variant))
            .or_insert_with(|| ear::Shared::new(of, pick, style, options));

        ear::item(of, shared, pick, style, chance)
    }

    /// Makes a run whose roots are drawn with this form alone.
    fn at_random(&self, cell: &RunCell, section: usize, pick: Pick) -> (String, Task) {
        let numbers = [
            self.code.seed().into(),
            self.code.seat().into(),
            section as u64,
            pick.cell.into(),
            pick.root.into(),
            pick.variant.into(),
        ];
        let roots = order::draw(pick.root, &mut Chance::new("line 1", &numbers));
        let cell = RunCell {
            line: cell.line.drawn(roots),
            ..cell.clone()
        };
        let lines = Arc::new(hands::lines(&cell, pick, self.exam.rules.span));

        hands::run(&cell, pick, self.exam.style, lines)
    }

    fn make(&mut self, section: usize, pick: Pick) -> (String, Task) {
        let exam = self.exam;
        let cell = usize::from(pick.cell);
        let (style, span) = (exam.style, exam.rules.span);

        match &exam.sections[section].kind {
            Kind::Voicing(of) => {
                let cell = &of.cells[cell];
                let shared = self
                    .voicings
                    .entry((section, pick.cell))
                    .or_insert_with(|| hands::Shared::new(cell, span));
                hands::voicing(of, cell, shared, pick, style)
            }
            Kind::Run(of) => {
                let cell = &of.cells[cell];
                let lines = self
                    .lines
                    .entry((section, pick.cell, pick.variant))
                    .or_insert_with(|| Arc::new(hands::lines(cell, pick, span)));
                hands::run(cell, pick, style, Arc::clone(lines))
            }
            Kind::Spell(of) => spell(of, &of.cells[cell], pick, style),
            Kind::Ear(_) | Kind::Panel(_) | Kind::Rest { .. } => {
                unreachable!("sounds are made one by one, and the others have no picks")
            }
        }
    }
}

fn spell(
    section: &SpellSection,
    cell: &SpellCell,
    pick: Pick,
    style: symbol::Style,
) -> (String, Task) {
    let root = cell
        .roots
        .iter()
        .copied()
        .find(|name| name.class() == pick.root)
        .unwrap_or_else(|| cell.quality.printed_root(pick.root));
    let chord = Chord::new(root, cell.quality);
    let tones: Vec<(Degree, Vec<Name>)> = chord
        .tones()
        .into_iter()
        // The root stands there for all: what is written begins with it or leaves it out.
        .filter(|(degree, _)| {
            let number = degree.number();
            cell.tones.is_empty() || number == 1 || cell.tones.contains(&number)
        })
        .map(|(degree, strict)| (degree, answer::spellings(chord, degree, strict)))
        .collect();
    let count = ["no", "one", "two", "three", "four", "five", "six", "seven"]
        .get(tones.len())
        .copied()
        .unwrap_or("all");
    let asked = if cell.tones.is_empty() {
        format!("its {count} notes from the root up")
    } else {
        let names: Vec<&str> = tones.iter().map(|(degree, _)| degree.words()).collect();
        match names.split_last() {
            Some((last, others)) => format!("its {} and {last}", others.join(", ")),
            None => String::new(),
        }
    };

    (
        format!(
            "{}: {asked}, letter and accidental",
            symbol::print(chord, style)
        ),
        Task::Spell(Arc::new(SpellTask {
            chord,
            tones,
            limit: section.limit,
        })),
    )
}
