//! The pages, a file each: what is printed on them.

mod check;
mod cover;
mod detail;
pub mod ear;
mod end;
mod fault;
mod flow;
mod foot;
mod gap;
mod plan;
mod rest;
mod run;
mod section;
mod sign_in;
pub mod spell;
mod stop;
mod strip;
mod voicing;

use super::act::Act;
use super::model::{Kiosk, Screen};
use super::paper::{KEYS, Paper, Role};
use super::seat::{Phase, Seat};
use super::sheet::{Sheet, Type};
use super::words::{Words, fill};
use crate::engraving::Bounds;
use crate::exam::form::{Item, Task};
use crate::instruments::speaker::Level;
use crate::sitting::Prompt;
use crate::time::Time;

/// Draws the page that a kiosk is on, with the focus.
pub fn sheet(kiosk: &Kiosk, paper: Paper) -> Sheet<Act> {
    let mut sheet = Sheet::new(paper);
    let words = kiosk.setup.words;

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
    match &kiosk.screen {
        Screen::Seat(seat) if seat.asks_to_stop => Some(Act::Back),
        Screen::Seat(seat) => match seat.phase {
            Phase::Page(_) | Phase::Rest(_) => Some(Act::Go),
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
        Phase::Rest(until) => rest::draw(sheet, kiosk, seat, *until),
        Phase::Stopped { by_person, .. } => fault::stopped(sheet, kiosk, seat, *by_person),
        Phase::NotKept(why) => fault::not_kept(sheet, words, why),
        Phase::Ended => {}
    }
}

/// The header of an item: its section and number, and what is left of its time.
fn heading(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat, prompt: Prompt, item: &Item) {
    let words = kiosk.setup.words;
    let left = match prompt {
        Prompt::WarmUp(place) => {
            let count = seat.sitting().form().warm_ups.len().to_string();
            fill(words.not_marked, &[&(place + 1).to_string(), &count])
        }
        Prompt::Item(_) => {
            let section = &seat.sitting().exam().sections[item.section];
            let (place, count) = place(seat, item);
            fill(
                words.of,
                &[&section.title, &place.to_string(), &count.to_string()],
            )
        }
    };

    sheet.header(&left, &fill(words.candidate, &[&kiosk.candidate]));
}

/// The place of an item among those that its section asks, and how many there are; a spare one
/// has the place of the one that it stands for.
fn place(seat: &Seat, item: &Item) -> (usize, usize) {
    let sitting = seat.sitting();
    let count = sitting
        .form()
        .items
        .iter()
        .filter(|other| other.section == item.section)
        .count();
    let counted = sitting
        .showings()
        .iter()
        .filter(|showing| showing.voided.is_none())
        .filter(|showing| {
            sitting
                .form()
                .item(showing.number)
                .is_some_and(|other| other.section == item.section)
        })
        .count();
    let is_open = sitting.open_item() == Some(item.number);

    (
        (counted + usize::from(!is_open)).clamp(1, count.max(1)),
        count,
    )
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
