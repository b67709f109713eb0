//! The runs, by their criteria in shares.

use super::{RunRow, Runs, Source};
use crate::exam::form::{RunTask, Task};
use crate::exam::script::{Kind, Line, RunCell, Start};
use crate::fraction::{self, Fraction};
use crate::marking::item::Marked;
use crate::printing::words::sentences;
use crate::sitting::outcome::ItemOutcome;

/// The criteria in their order, by the names that marks have.
const CRITERIA: [&str; 5] = ["harmony", "voicing", "voice leading", "readiness", "time"];

pub(super) fn runs(source: &Source<'_>) -> Runs {
    let of_runs: Vec<&ItemOutcome<'_>> = source
        .outcome
        .items
        .iter()
        .filter(|of| of.counts() && matches!(of.item.task, Task::Run(_)))
        .collect();
    let columns: Vec<&'static str> = CRITERIA
        .into_iter()
        .filter(|name| {
            of_runs.iter().any(|of| match &of.marked {
                Marked::Run(marked) => marked.criteria.iter().any(|(of, ..)| of == name),
                _ => false,
            })
        })
        .collect();

    Runs {
        rows: of_runs
            .into_iter()
            .map(|of| row(source, of, &columns))
            .collect(),
        columns,
    }
}

fn row(source: &Source<'_>, of: &ItemOutcome<'_>, columns: &[&'static str]) -> RunRow {
    let percent =
        |share: Fraction| fraction::percent(share, Fraction::from_integer(1)).unwrap_or(0);
    let section = &source.exam.sections[of.item.section];
    let (shares, reached) = match &of.marked {
        Marked::Run(marked) => {
            let shares = columns
                .iter()
                .map(|column| {
                    let found = marked.criteria.iter().find(|(name, ..)| name == column);
                    found.map(|(.., credit)| percent(*credit))
                })
                .collect();
            (shares, true)
        }
        _ => (vec![None; columns.len()], false),
    };
    let credit = of.credit().unwrap_or_default();
    let is_perfect = credit == Fraction::from_integer(1);
    let what = match (&of.item.task, &section.kind) {
        (Task::Run(task), Kind::Run(kind)) => kind
            .cells
            .get(of.item.cell)
            .map(|cell| what(task, cell))
            .unwrap_or_default(),
        _ => String::new(),
    };

    RunRow {
        id: source.id(of.item),
        section: section.title.clone(),
        what,
        shares,
        mark: percent(credit),
        reached,
        reason: if is_perfect {
            String::new()
        } else {
            sentences(&of.reasons())
        },
    }
}

/// What a run was: its key where it has one, and which order it started with.
fn what(task: &RunTask, cell: &RunCell) -> String {
    let mut parts = Vec::new();

    match &cell.line {
        Line::Cycle { .. } => {
            // Round the cycle the first chord says where it starts; the usual start needs no word.
            let first = task.chords.first().map(|first| first.chord.root);
            if let Some(root) = first.filter(|root| root.class() != 0) {
                parts.push(format!("from {root}"));
            }
        }
        // Its chords stand in the form.
        Line::AtRandom { .. } => {
            let first = task.chords.first().map(|first| first.chord.root);
            parts.push(first.map_or_else(
                || "at random".to_owned(),
                |root| format!("at random, from {root}"),
            ));
        }
        Line::Progression(progression) if progression.is_fixed() => {
            parts.push(progression.name.clone());
        }
        Line::Progression(progression) => {
            let tonic = (0..12).map(|class| progression.tonic(class)).find(|tonic| {
                let placed = progression.in_key(*tonic);
                placed.len() == task.chords.len()
                    && placed
                        .iter()
                        .zip(&task.chords)
                        .all(|(placed, asked)| placed.chord == asked.chord)
            });
            let mode = if progression.is_minor() {
                "minor"
            } else {
                "major"
            };
            parts.push(tonic.map_or_else(
                || progression.name.clone(),
                |tonic| format!("{tonic} {mode}"),
            ));
        }
    }
    parts.push(start(task, cell));

    parts.join(", ")
}

fn start(task: &RunTask, cell: &RunCell) -> String {
    let Some(form) = &cell.form else {
        return "any voicing with third and seventh".to_owned();
    };
    let named = |order: usize| {
        form.orders.get(order).map_or_else(
            || form.name.replace('-', " "),
            |order| format!("starting with the {}", order.name),
        )
    };

    match cell.start {
        Start::Open => "either order to start with".to_owned(),
        Start::Order(order) => named(order),
        Start::Drawn => {
            let first = task
                .chords
                .first()
                .zip(task.lines.first().and_then(|line| line.first()));
            first
                .and_then(|(placed, asked)| {
                    (0..form.orders.len()).find(|order| {
                        form.voicing(placed.chord, *order)
                            .is_ok_and(|voicing| voicing.hands == asked.hands)
                    })
                })
                .map_or_else(|| form.name.replace('-', " "), named)
        }
    }
}
