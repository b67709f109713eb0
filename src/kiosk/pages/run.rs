//! A run of chords: the line with its bars and beats, the bar that is played by weight.

use crate::engraving::line::{self, Line};
use crate::engraving::{Face, Ink, Point};
use crate::exam::form::{Item, RunTask};
use crate::exam::script::Pace;
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Button, Sheet, Type};
use crate::theory::progression::Placed;
use crate::time::Time;

/// Beats in a bar: runs are written in four-four time.
const BEATS: i64 = 4;

/// Tells whether a run is in the candidate's own time.
pub(super) const fn is_free(task: &RunTask) -> bool {
    matches!(task.pace, Pace::Free { .. })
}

/// Where a run in tempo is.
enum Moment {
    /// It has not begun, or is looked at.
    Look,
    /// It is counted in; beats from 1.
    CountIn(i64),
    /// A bar from 0.
    Bar(usize),
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
    let timing = task.timing(factor);
    let free = is_free(task);
    let since = sitting
        .zero()
        .map_or(Time::ZERO, |zero| seat.time(kiosk.now) - zero);
    let moment = moment(task, factor, since);

    if let Some(left) = sitting.left() {
        super::time_left(sheet, words, left.min(timing.end), timing.end);
    }
    let width = paper.x(KEYS) - paper.left();
    let (imperative, count) = match moment {
        _ if free => (words.play_on, None),
        Moment::Look => (words.look, None),
        Moment::CountIn(beat) => (words.count_in, Some(beat)),
        Moment::Bar(_) => (words.play_on, None),
    };
    let y = paper.y(184.0);
    sheet.imperative(imperative, y);
    let y = sheet.wrap(
        &super::asked(item),
        paper.left(),
        y,
        width,
        Type::of(Role::Lead),
    );
    let text = if free {
        words.run_free_text
    } else {
        words.run_text
    };
    let quiet = Type::of(Role::Text).ink(Ink::Quiet);
    let y = sheet.wrap(text, paper.left(), y, width, quiet);

    let space = paper.y(16.0).max(10.0);
    let chords: Vec<Placed> = task
        .chords
        .iter()
        .map(|chord| Placed {
            chord: chord.chord,
            bar: (chord.at_twelfths / 12) as usize,
            at_twelfths: chord.at_twelfths,
            twelfths: chord.twelfths,
        })
        .collect();
    let end = task
        .chords
        .last()
        .map_or(12, |last| last.at_twelfths + last.twelfths);
    let current = match moment {
        Moment::Bar(bar) if !free => Some((bar, words.now)),
        _ => None,
    };
    let (tempo, bars) = match task.pace {
        Pace::Tempo { tempo, .. } => {
            // Printed as it is played, the time factor included.
            let slowed = (tempo + factor / 2) / factor;
            (Some(slowed as u16), end.div_ceil(12) as usize)
        }
        Pace::Free { .. } => (None, end.div_ceil(12) as usize),
    };
    let engraved = line::layout(&Line {
        chords: &chords,
        hands: &[],
        bars,
        beats: 4,
        signature: 0,
        tempo,
        style: sitting.exam().style,
        symbol: 5.5,
        width: (paper.x(KEYS) - paper.left()) / space,
        current,
    });
    let fits = ((paper.y(850.0) - y) / (engraved.drawing.height * space)).min(1.0);
    let scale = space * fits;
    let top = y + paper.y(16.0) + engraved.drawing.origin.y * scale;
    sheet.say(&engraved.drawing.words);
    sheet.put_moving(&engraved.drawing, Point::new(paper.left(), top), scale);

    if let Some(beat) = count {
        let of = paper.size(Role::Display);
        let figure = crate::engraving::text::layout(&beat.to_string(), Face::Regular, of);
        sheet.say(&beat.to_string());
        sheet.put_moving(&figure, Point::new(paper.x(0.0), paper.y(330.0)), 1.0);
    }
    if sitting.exam().rules.echo {
        super::strip::draw(sheet, kiosk, paper.y(880.0), true);
    }
    if free {
        let button = Button {
            y: paper.y(980.0),
            ..Button::at_foot(&paper, words.hand_in, words.enter)
        };
        let _ = sheet.button(button, Act::HandIn);
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
        Moment::CountIn(beats % BEATS + 1)
    } else {
        Moment::Bar(((beats - counted) / BEATS) as usize)
    }
}
