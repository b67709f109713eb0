//! The pages, a file each: what is printed on them.

mod check;
mod cover;
mod detail;
pub mod ear;
mod end;
mod fault;
pub mod feedback;
mod flow;
mod foot;
mod gap;
mod invigilator;
pub mod line;
pub mod own;
mod plan;
mod rest;
mod review;
mod run;
mod section;
mod sign_in;
pub mod spell;
mod stop;
mod strip;
mod voicing;

use super::act::{Act, Do};
use super::model::{Kiosk, Screen};
use super::paper::{KEYS, Paper, Role};
use super::seat::{Phase, Seat};
use super::sheet::{Sheet, TARGET, Type, wrapped};
use super::words::{Words, fill};
use crate::engraving::{Anchor, Bounds, Face, Ink, text};
use crate::exam::form::{Item, Task};
use crate::instruments::speaker::Level;
use crate::sitting::Prompt;
use crate::time::Time;

/// Draws the page that a kiosk is on, with the focus.
pub fn sheet(kiosk: &Kiosk, paper: Paper) -> Sheet<Act> {
    let mut sheet = Sheet::new(paper);
    let words = kiosk.setup.words;

    if let Some(page) = &kiosk.invigilator.page {
        invigilator::draw(&mut sheet, kiosk, page);
        focus(&mut sheet, kiosk.focus);
        return sheet;
    }
    match &kiosk.screen {
        Screen::Cover => cover::draw(&mut sheet, kiosk),
        Screen::SignIn { typed, refused } => {
            sign_in::draw(&mut sheet, kiosk, typed, refused.as_deref());
        }
        Screen::Check(check) => check::draw(&mut sheet, kiosk, check),
        Screen::Plan(_) => plan::draw(&mut sheet, kiosk),
        Screen::Seat(seat) => seated(&mut sheet, kiosk, seat),
        Screen::End(ended) => end::draw(&mut sheet, kiosk, ended),
        Screen::Trouble(why) => fault::trouble(&mut sheet, words, why),
    }
    invigilator::beside(&mut sheet, kiosk);
    focus(&mut sheet, kiosk.focus);

    sheet
}

/// Names the page, for lists of windows; of an item it tells no more than its kind.
pub fn name(kiosk: &Kiosk) -> &'static str {
    let words = kiosk.setup.words;

    match &kiosk.screen {
        Screen::Cover => words.practice_examination,
        Screen::SignIn { .. } => words.your_number,
        Screen::Check(check) => check::name(words, check),
        Screen::Plan(_) => words.plan_title,
        Screen::Seat(seat) if seat.asks_to_stop => words.stop_title,
        Screen::Seat(seat) => match &seat.phase {
            Phase::Page(_) => words.next_section,
            Phase::Gap => words.next,
            Phase::Item(_) => match seat.item().map(|item| &item.task) {
                Some(Task::Ear(_)) => words.listen,
                Some(Task::Spell(_)) => words.write,
                Some(Task::Run(_)) => words.play_on,
                _ => words.play,
            },
            Phase::Review => words.compare,
            Phase::Rest(_) => words.rest_title,
            Phase::Stopped { .. } => words.paused_title,
            Phase::NotKept(_) => words.not_kept,
            Phase::Ended => words.thank_you,
        },
        Screen::End(_) => words.thank_you,
        Screen::Trouble(_) => words.not_kept,
    }
}

/// What Enter does where nothing has the focus, on the sheet that is seen.
pub fn first(kiosk: &Kiosk, sheet: &Sheet<Act>) -> Option<Act> {
    if kiosk.invigilator.is_open() {
        return Some(Act::Invigilator(Do::Enter));
    }
    match &kiosk.screen {
        Screen::Seat(seat) if seat.asks_to_stop => Some(Act::Back),
        Screen::Seat(seat) if fault::is_suspended(seat) => Some(Act::Go),
        Screen::Seat(seat) => match seat.phase {
            Phase::Page(_) | Phase::Rest(_) | Phase::Review => Some(Act::Go),
            Phase::Item(_) => match seat.item().map(|item| &item.task) {
                Some(Task::Ear(_) | Task::Spell(_)) => Some(Act::HandIn),
                Some(Task::Run(task)) if run::is_free(task) => Some(Act::HandIn),
                _ => None,
            },
            _ => None,
        },
        Screen::Check(check) => check::first(check),
        Screen::Cover => kiosk.is_set().then_some(Act::Go),
        // The box at the foot comes last in the order of the focus.
        _ => sheet.targets.last().map(|target| target.act),
    }
}

fn seated(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat) {
    let words = kiosk.setup.words;

    if seat.asks_to_stop {
        return stop::draw(sheet, kiosk, words);
    }
    match &seat.phase {
        Phase::Page(section) => section::draw(sheet, kiosk, seat, *section),
        Phase::Gap => gap::draw(sheet, kiosk, seat),
        Phase::Item(prompt) => {
            let Some(item) = seat.item() else { return };
            heading(sheet, kiosk, seat, *prompt, item);
            match &item.task {
                Task::Voicing(task) => voicing::draw(sheet, kiosk, seat, item, task),
                Task::Run(task) => run::draw(sheet, kiosk, seat, item, task),
                Task::Ear(task) => ear::draw(sheet, kiosk, seat, item, task),
                Task::Spell(task) => spell::draw(sheet, kiosk, seat, item, task),
                Task::Panel(_) => {}
            }
        }
        Phase::Review => feedback::draw(sheet, kiosk, seat),
        Phase::Rest(until) => rest::draw(sheet, kiosk, seat, *until),
        Phase::Stopped { by_person, .. } => fault::stopped(sheet, kiosk, seat, *by_person),
        Phase::NotKept(why) => fault::not_kept(sheet, words, why),
        Phase::Ended => {}
    }
}

/// The header of an item: its section and number, and who sits.
fn heading(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat, prompt: Prompt, item: &Item) {
    let words = kiosk.setup.words;
    let sitting = seat.sitting();
    let title = &sitting.exam().sections[item.section].title;
    let left = match prompt {
        Prompt::WarmUp(place) => {
            let count = sitting.form().warm_ups.len().to_string();
            fill(words.not_marked, &[&(place + 1).to_string(), &count])
        }
        Prompt::Again(_) => fill(words.once_more, &[title]),
        Prompt::Item(_) => {
            let (place, count) = place(seat, item);
            let of = fill(words.of, &[title, &place.to_string(), &count.to_string()]);
            if sitting.is_practice() {
                format!("{} · {of}", words.practice)
            } else {
                of
            }
        }
    };

    header(sheet, kiosk, &left);
}

/// The header of a page of the sitting; where the margin is folded in, the candidate's bare number
/// stands on the right if there is room.
fn header(sheet: &mut Sheet<Act>, kiosk: &Kiosk, left: &str) {
    let paper = sheet.paper;
    let size = paper.size(Role::Text);
    let room = paper.x(KEYS) - paper.x(0.0) - paper.key();
    let number = &kiosk.candidate;
    let wide = text::width(number, Face::Regular, size);
    let candidate = fill(kiosk.setup.words.candidate, &[number]);
    let left_room = room - text::width(&candidate, Face::Regular, size);
    let shown = if paper.is_folded() {
        shortened(left, size, room)
    } else {
        shortened(left, size, left_room)
    };

    sheet.header(&shown, &candidate);
    if paper.is_folded() && text::width(&shown, Face::Regular, size) + wide < room {
        let of = Type::of(Role::Text).anchor(Anchor::End);
        let _ = sheet.write(number, paper.x(KEYS), paper.y(72.0), of);
    }
}

/// A line of text, its first words only where there is no room for all.
fn shortened(words: &str, size: f32, room: f32) -> String {
    let mut short = words.to_owned();

    while text::width(&short, Face::Regular, size) > room {
        let kept = short.trim_end_matches('…').trim_end();
        let Some((end, _)) = kept.char_indices().next_back() else {
            break;
        };
        short = format!("{}…", kept[..end].trim_end());
    }

    short
}

/// The place of an item among those that its section asks, and how many there are; a spare one
/// has the place of the one that it stands for.
fn place(seat: &Seat, item: &Item) -> (usize, usize) {
    let sitting = seat.sitting();
    let in_section = |number: u32| {
        sitting
            .form()
            .item(number)
            .is_some_and(|other| other.section == item.section)
    };
    let count = sitting
        .form()
        .items
        .iter()
        .filter(|other| other.section == item.section)
        .count();
    let counted = sitting
        .showings()
        .iter()
        .filter(|showing| showing.voided.is_none() && in_section(showing.number))
        .count();
    // It is among the showings while it is open, and while it is looked at.
    let is_shown = sitting
        .open_item()
        .or_else(|| sitting.looked_at())
        .is_some_and(|number| number == item.number);

    (
        (counted + usize::from(!is_shown)).clamp(1, count.max(1)),
        count,
    )
}

/// What comes after an item that is handed in.
fn what_next(seat: &Seat, item: &Item, words: &Words) -> String {
    if seat.sitting().is_practice() {
        return words.next_compare.to_owned();
    }
    let is_warm_up = item.number == 0;
    let (place, count) = place(seat, item);

    match place {
        _ if is_warm_up => words.next_handed_in.to_owned(),
        place if place < count => fill(
            words.next_number_of,
            &[&(place + 1).to_string(), &count.to_string()],
        ),
        _ => words.next_last.to_owned(),
    }
}

/// Writes what is asked at a baseline, with its imperative: in the margin, or before it where the
/// margin is folded in. There the first line leaves room for the seconds that are left, if it
/// stands beside them. Returns the baseline after the last line.
fn lead(sheet: &mut Sheet<Act>, imperative: &str, asked: &str, y: f32) -> f32 {
    let paper = sheet.paper;
    let of = Type::of(Role::Lead);
    if !paper.is_folded() {
        sheet.imperative(imperative, y);
        return sheet.wrap(asked, paper.left(), y, paper.x(KEYS) - paper.left(), of);
    }

    let size = paper.size(Role::Lead);
    let step = paper.line(Role::Lead);
    let y = y.max(paper.y(96.0) + size * 1.35);
    let mut first = if imperative.is_empty() {
        asked.to_owned()
    } else {
        joined("", asked)
    };
    sheet.say(&joined(imperative, asked));
    let mut x = paper.left();
    if !imperative.is_empty() {
        let accent = of.face(Face::Italic).ink(Ink::Accent);
        x = sheet.write_unsaid(imperative, x, y, accent) + size * 0.28;
    }
    let beside_seconds = y - size < paper.y(96.0) + size * 1.7;
    let right = paper.x(KEYS) - if beside_seconds { size * 5.0 } else { 0.0 };
    let lines = wrapped(&first, of.face, size, right - x);
    let _ = sheet.write_unsaid(&lines[0], x, y, of);
    first = lines[1..].join(" ");
    let mut y = y + step;
    if !first.is_empty() {
        for line in wrapped(&first, of.face, size, paper.x(KEYS) - paper.left()) {
            let _ = sheet.write_unsaid(&line, paper.left(), y, of);
            y += step;
        }
    }

    y
}

/// Joins an imperative and what is asked to one sentence.
fn joined(imperative: &str, asked: &str) -> String {
    let mut signs = asked.chars();
    // A symbol or a name keeps its capital.
    let is_word = asked.chars().nth(1).is_some_and(char::is_lowercase);
    let asked = match signs.next() {
        Some(first) if is_word => first.to_lowercase().collect::<String>() + signs.as_str(),
        _ => asked.to_owned(),
    };

    if imperative.is_empty() {
        asked
    } else {
        format!("{imperative} {asked}")
    }
}

/// A number in words where there is one for it.
fn count(words: &Words, number: usize) -> String {
    number
        .checked_sub(1)
        .and_then(|place| words.counts.split(' ').nth(place))
        .map_or_else(|| number.to_string(), str::to_owned)
}

/// Seconds in figures, with a tenth where it matters.
fn seconds(time: Time) -> String {
    let tenths = (time.tenths() + 500) / 1_000;

    match (tenths / 10, tenths % 10) {
        (whole, 0) => whole.to_string(),
        (whole, part) => format!("{whole}.{part}"),
    }
}

/// In practice: the key, and the place to press, that gives an item more time.
fn ease(sheet: &mut Sheet<Act>, words: &Words, seat: &Seat) {
    let paper = sheet.paper;
    let can = seat.sitting().is_practice() && seat.sitting().zero().is_some();
    if !can || seat.added > Time::ZERO || paper.is_folded() {
        return;
    }
    let y = paper.y(96.0) + paper.size(Role::Note) * 1.9;
    let of = Type::of(Role::Note).face(Face::Italic).ink(Ink::Quiet);
    let right = sheet.write(words.more_time, paper.x(0.0), y, of);
    let bounds = Bounds {
        left: paper.x(0.0),
        top: paper.y(96.0) + 4.0,
        right,
        bottom: paper.y(96.0) + 4.0 + TARGET,
    };

    sheet.target(bounds, Act::MoreTime, words.more_time);
}

/// Draws what is left of a time, the last five seconds also in figures.
fn time_left(sheet: &mut Sheet<Act>, words: &Words, left: Time, of: Time) {
    if of <= Time::ZERO {
        return;
    }
    sheet.time(left.tenths() as f32 / of.tenths() as f32);
    let seconds = (left.tenths() + 9_999) / 10_000;
    match seconds {
        1 => sheet.time_words(words.second_left),
        2..=5 => sheet.time_words(&fill(words.seconds_left, &[&seconds.to_string()])),
        _ => {}
    }
}

/// Splits an item's prompt into the chord and what is asked, which begins with a capital.
fn asked(item: &Item) -> String {
    let text = item
        .prompt
        .split_once(": ")
        .map_or(item.prompt.as_str(), |(_, asked)| asked);
    let mut signs = text.chars();

    signs.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + signs.as_str()
    })
}

/// Draws the focus round its target: two rules thick, so that it is seen without colour.
fn focus(sheet: &mut Sheet<Act>, focus: Option<usize>) {
    let Some(target) = focus.and_then(|focus| sheet.targets.get(focus)) else {
        return;
    };
    let bounds = target.bounds;
    // It stays on the page.
    let grown = Bounds {
        left: (bounds.left - 6.0).max(0.0),
        top: (bounds.top - 6.0).max(0.0),
        right: (bounds.right + 6.0).min(sheet.paper.width),
        bottom: (bounds.bottom + 6.0).min(sheet.paper.height),
    };

    sheet.outline(grown, 3.0, crate::engraving::Ink::Plain);
}

/// Writes a page's title with a sentence below; returns the baseline after them.
fn title(sheet: &mut Sheet<Act>, imperative: &str, title: &str, text: &str) -> f32 {
    let paper = sheet.paper;
    let width = paper.x(KEYS) - paper.left();
    let y = paper.y(226.0);

    sheet.imperative(imperative, y);
    let y = sheet.wrap(title, paper.left(), y, width, Type::of(Role::Title));
    let y = y - paper.line(Role::Title) + paper.line(Role::Text) * 1.45;
    sheet.wrap(text, paper.left(), y, width, Type::of(Role::Text))
}

/// A level in figures.
fn level(words: &Words, level: Level) -> String {
    fill(words.level_of_ten, &[&level.step().to_string()])
}
