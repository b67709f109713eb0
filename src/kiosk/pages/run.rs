//! A run of chords: the line with its bars and beats, the bar that is played by weight.

use super::line::{Kept, Room};
use crate::engraving::{Face, Ink, Mark, Point, text};
use crate::exam::form::{Item, RunTask};
use crate::exam::script::Pace;
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Button, Sheet, Type};
use crate::kiosk::words::{Words, fill};
use crate::marking::reason::capital;
use crate::time::Time;

/// Beats in a bar: runs are written in four-four time.
const BEATS: i64 = 4;
/// A line of so many bars stays in the measure; a longer one goes on to the end of the page.
const SHORT: u32 = 4;

/// Tells whether a run is in the candidate's own time.
pub(super) const fn is_free(task: &RunTask) -> bool {
    matches!(task.pace, Pace::Free { .. })
}

/// Where a run in tempo is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Moment {
    /// It has not begun, or is looked at.
    Look,
    /// It is counted in: the beat from 0 of all that are counted.
    CountIn(i64),
    /// A bar and its beat, from 0.
    Bar(usize, i64),
}

pub(super) fn draw(
    sheet: &mut Sheet<Act>,
    kiosk: &Kiosk,
    seat: &Seat,
    item: &Item,
    task: &RunTask,
) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let sitting = seat.sitting();
    let factor = sitting.allowance().factor;
    let free = is_free(task);
    let since = sitting
        .zero()
        .map_or(Time::ZERO, |zero| seat.time(kiosk.now) - zero);
    let moment = moment(task, factor, since);

    if let Some((left, of)) = seat.time_left(kiosk.now) {
        super::time_left(sheet, words, left, of);
    }
    let imperative = match moment {
        _ if free => words.play_on,
        Moment::Look => words.look,
        Moment::CountIn(_) => words.count_in,
        Moment::Bar(..) => words.play_on,
    };
    // What is said of the pace is told by the line itself, with the candidate's own factor.
    let asked = super::asked(item);
    let asked = asked
        .rsplit_once("; ")
        .map_or(asked.as_str(), |(form, _)| form);
    let y = super::lead(sheet, imperative, asked, paper.y(196.0));
    let y = if paper.is_folded() {
        y - paper.line(Role::Lead) * 0.5
    } else {
        let quiet = Type::of(Role::Text).ink(Ink::Quiet);
        let width = paper.x(KEYS) - paper.left();
        sheet.wrap(
            &sentence(words, task, factor),
            paper.left(),
            y,
            width,
            quiet,
        ) - paper.line(Role::Text) * 0.3
    };

    let echo = sitting.exam().rules.echo;
    let below = match (echo, free && paper.is_folded()) {
        (true, _) => super::strip::TOP,
        (false, true) => 930.0,
        (false, false) => 1000.0,
    };
    score(
        sheet,
        kiosk,
        seat,
        task,
        moment,
        (y, paper.y(below) - paper.y(20.0)),
    );

    if let Moment::CountIn(beat) = moment {
        count_in(sheet, words, task, beat);
    }
    if echo {
        super::strip::draw(sheet, kiosk, paper.y(super::strip::TOP), true);
    }
    if free {
        let _ = sheet.button(
            Button::at_foot(&paper, words.hand_in, words.enter),
            Act::HandIn,
        );
    }
}

/// How a run is played, in a sentence.
fn sentence(words: &Words, task: &RunTask, factor: u32) -> String {
    match task.pace {
        Pace::Free { limit, .. } => {
            let limit = limit.scaled(i64::from(factor), 100);
            let seconds = super::seconds(limit);
            format!(
                "{} {}",
                words.run_free_text,
                fill(words.seconds_a_chord, &[&seconds])
            )
        }
        Pace::Tempo { bars_in, .. } => {
            let bars = match bars_in {
                1 => words.one_bar_in.to_owned(),
                bars => {
                    let count = super::count(words, bars as usize);
                    capital(&fill(words.bars_in, &[&count]))
                }
            };
            let bass = if task.with_bass {
                format!(" {}", words.bass_roots)
            } else {
                String::new()
            };
            format!("{bars} {}{bass}", words.run_text)
        }
    }
}

/// The line between two heights.
fn score(
    sheet: &mut Sheet<Act>,
    kiosk: &Kiosk,
    seat: &Seat,
    task: &RunTask,
    moment: Moment,
    (top, bottom): (f32, f32),
) {
    let paper = sheet.paper;
    let style = seat.sitting().exam().style;
    let factor = seat.sitting().allowance().factor;
    let end = task
        .chords
        .last()
        .map_or(12, |last| last.at_twelfths + last.twelfths);
    let is_short = end.div_ceil(12) <= SHORT;
    let room = Room {
        left: paper.left(),
        right: if is_short {
            paper.right()
        } else {
            paper.x(KEYS)
        },
        hang: if paper.is_folded() {
            0.0
        } else {
            4.2 * paper.key()
        },
        height: bottom - top,
        space: paper.y(if is_short { 20.0 } else { 18.0 }).max(12.0),
    };
    let mut kept = seat.line.borrow_mut();
    if kept.as_ref().is_none_or(|kept| !kept.fits(room)) {
        *kept = Some(Kept::new(task, style, factor, room));
    }
    let Some(kept) = kept.as_mut() else { return };

    // Nearer to what is asked than to the keys.
    let free = ((bottom - top - kept.height()) * 0.4).max(0.0);
    let at = Point::new(kept.x, top + free + kept.still.origin.y * kept.space);
    sheet.say(&kept.still.words);
    sheet.put(&kept.still, at, kept.space);
    if let Moment::Bar(bar, beat) = moment
        && !is_free(task)
    {
        let word = kiosk.setup.words.now;
        let moving = kept.moving(task, style, factor, bar, word, beat);
        sheet.say(word);
        sheet.put_moving(&moving, at, kept.space);
    }
}

/// The count-in, as a figure and as beats: a row of them a bar.
fn count_in(sheet: &mut Sheet<Act>, words: &Words, task: &RunTask, beat: i64) {
    let Pace::Tempo { bars_in, .. } = task.pace else {
        return;
    };
    let paper = sheet.paper;
    let size = paper.size(Role::Display);
    let figure = (beat % BEATS + 1).to_string();
    let drawing = text::layout(&figure, Face::Regular, size);
    let side = (size * 0.2).round();
    let step = (size * 0.32).round();
    let rows = i64::from(bars_in);
    // In the margin, or where the seconds stand that are left of other items.
    let (x, y, across) = if paper.is_folded() {
        let x = paper.x(KEYS) - size * 0.55;
        let y = paper.y(96.0) + size * 0.86;
        let row = step * BEATS as f32;
        (x, y, (x - row - step * 0.5, y - size * 0.56))
    } else {
        let y = paper.y(196.0) + size * 1.15;
        (paper.x(0.0), y, (paper.x(0.0), y + size * 0.3))
    };

    sheet.say(&figure);
    sheet.say(&fill(
        words.bar_of,
        &[&(beat / BEATS + 1).to_string(), &rows.to_string()],
    ));
    sheet.put_moving(&drawing, Point::new(x, y), 1.0);
    for place in 0..rows * BEATS {
        let at = Point::new(
            across.0 + (place % BEATS) as f32 * step,
            across.1 + (place / BEATS) as f32 * step,
        );
        if place <= beat {
            sheet.moving.push(Mark::Rect {
                at,
                width: side,
                height: side,
                ink: Ink::Plain,
            });
        } else {
            let thin = 1.5;
            for (x, y, width, height) in [
                (at.x, at.y, side, thin),
                (at.x, at.y + side - thin, side, thin),
                (at.x, at.y, thin, side),
                (at.x + side - thin, at.y, thin, side),
            ] {
                sheet.moving.push(Mark::Rect {
                    at: Point::new(x, y),
                    width,
                    height,
                    ink: Ink::Quiet,
                });
            }
        }
    }
}

fn moment(task: &RunTask, factor: u32, since: Time) -> Moment {
    let Pace::Tempo { bars_in, .. } = task.pace else {
        return Moment::Look;
    };
    let timing = task.timing(factor);
    let beat = timing.beat.tenths().max(1);
    let since = since - timing.look;

    if since < Time::ZERO {
        return Moment::Look;
    }
    let beats = since.tenths() / beat;
    let counted = i64::from(bars_in) * BEATS;
    if beats < counted {
        Moment::CountIn(beats)
    } else {
        let played = beats - counted;
        Moment::Bar((played / BEATS) as usize, played % BEATS)
    }
}
