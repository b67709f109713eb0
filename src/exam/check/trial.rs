//! Forms drawn for a trial, so that an exam without fault can be sat.

use std::ops::Range;

use super::count;
use super::pool::Supply;
use super::seats::Seats;
use crate::exam::diagnostic::Diagnostics;
use crate::exam::draw;
use crate::exam::script::Exam;

/// Draws a few sets: what cannot be drawn cannot be sat.
///
/// The exam has the sections that could be read, each with its header's place and its supply. Where
/// the script does not say how many forms a set has, it gets as many as can be drawn.
pub(in crate::exam) fn draws(
    exam: &mut Exam,
    sections: &[(Range<usize>, Supply)],
    seats: Seats,
    out: &Diagnostics,
) {
    exam.rules.seats = seats.allowed();
    let items = exam.sections.iter().map(count).sum();
    let mut fine = true;

    for (index, (place, supply)) in sections.iter().enumerate() {
        let section = &exam.sections[index];
        let mut forms = forms(items, exam.rules.seats);
        let mut seed = 0;

        while seed < sets(items, count(section), forms, *supply) {
            seed += 1;
            match draw::trial(section, index, (seed - 1) * 7919, forms) {
                Ok(()) => {}
                Err(1) => {
                    cold(place.clone(), out);
                    fine = false;
                    break;
                }
                Err(seat) => {
                    if !seats.lower(seat - 1, place.clone(), &differing(seat), out) {
                        fine = false;
                        break;
                    }
                    forms = seat - 1;
                    exam.rules.seats = exam.rules.seats.min(forms);
                    seed = 0;
                }
            }
        }
    }
    if fine {
        seats.tell(out);
    }
}

/// Tells of items that have no order at all.
fn cold(place: Range<usize>, out: &Diagnostics) {
    out.fault(
        place,
        "the pool is too small: no order of these items obeys the cold rule",
        Some(
            "an item never repeats the root before it, nor follows it round the cycle of fourths: \
             widen the groups or lower the counts"
                .to_owned(),
        ),
    );
}

fn differing(seat: u8) -> String {
    format!(
        "no form {seat} can be drawn that differs from the others at every place and obeys the cold rule"
    )
}

/// So many items are drawn for a trial.
const BUDGET: u32 = 4_000;

/// Returns how many forms of a set are drawn for a trial.
///
/// Of an exam of thousands of items the first two have to do: what is left for the others has been
/// counted.
fn forms(items: u32, seats: u8) -> u8 {
    let forms = BUDGET / items.max(1);

    u8::try_from(forms).unwrap_or(u8::MAX).max(2).min(seats)
}

/// Returns how many sets of a section are drawn for a trial: many of a small exam, where they cost
/// nothing, and of a small section that has hardly enough to draw from.
fn sets(items: u32, own: u32, forms: u8, supply: Supply) -> u32 {
    let forms = u32::from(forms);
    let many = match supply {
        Supply::Tight => BUDGET / (own * forms).max(1),
        _ => 1,
    };

    (BUDGET / (items * forms).max(1))
        .clamp(1, 8)
        .max(many.min(64))
}
