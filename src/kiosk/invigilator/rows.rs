//! The rows of the invigilator's pages: what can be done now, and what each says.

use super::Page;
use crate::exam::form::Task;
use crate::kiosk::model::{Kiosk, Screen};
use crate::kiosk::seat::{Phase, Seat};
use crate::kiosk::words::fill;
use crate::sitting::Prompt;
use crate::time::Time;

/// What a row does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    /// The clock goes on after a count of three.
    GoOn,
    /// Closes the invigilator's pages.
    Close,
    /// Asks how much time to add.
    AddTime,
    /// Adds time to the item that comes next.
    Add(Time),
    /// Voids the item that was shown last, and replaces it.
    Void,
    /// Asks what kind of incident.
    Note,
    /// Asks what happened.
    Kind(&'static str),
    /// Asks why to stop.
    Stop,
    /// Stops the sitting.
    StopFor(&'static str),
    /// Leaves a sitting that nothing can be kept of, to be taken up later.
    Park,
    /// Leaves the program.
    Leave,
    /// Asks what the next candidate is allowed.
    Allow,
    /// The next time factor.
    NextFactor,
    /// The next number of hearings.
    NextHearings,
    /// What everybody is allowed.
    AsUsual,
    /// Shows the sittings that wait to be taken up.
    Waiting,
    /// Asks what to do with one of them.
    One(usize),
    /// Goes on with it.
    TakeUp(usize),
    /// Hands it in as it is.
    HandIn(usize),
    /// Asks for the panel's marks.
    Panel,
    /// Back to what can be done.
    Back,
    /// Shows the earlier results, from a place on.
    Results(usize),
    /// Opens one of them.
    Result(usize),
    /// Shows the items of an ended sitting, from a row on; from 0 they are marked and sorted first.
    Items(usize),
    /// Opens one of them.
    Item(usize),
    /// Prints the mark sheet of what is looked at.
    Print,
    /// Sets an item's level, once it is said why and by whom.
    Level(usize, u8),
    /// Gives a reason for it; an empty one asks for own words.
    Because(usize, u8, &'static str),
    /// Sets it.
    Overrule,
    /// Closes the list of items or of results.
    EndReview,
}

/// A row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// What it does, in words.
    pub label: String,
    /// More of it.
    pub text: String,
    /// What it does.
    pub action: Action,
    /// Whether it can be done now.
    pub is_open: bool,
}

/// The kinds of incidents that a person notes, as the result has them.
const KINDS: [&str; 5] = ["late", "noise", "equipment", "illness", "help given"];

/// Returns the rows of the page that is open.
pub fn rows(kiosk: &Kiosk) -> Vec<Row> {
    match &kiosk.invigilator.page {
        Some(Page::Desk) => desk(kiosk),
        Some(Page::AddTime) => add_time(kiosk),
        Some(Page::Note) => note(kiosk),
        Some(Page::Stop) => stop(kiosk),
        Some(Page::Allow) => allow(kiosk),
        Some(Page::Waiting) => waiting(kiosk),
        Some(Page::TakeUp(place)) => take_up(kiosk, *place),
        Some(Page::Results(first)) => kiosk.result_rows(*first),
        Some(Page::Items(first)) => kiosk.item_rows_with_print(*first),
        Some(Page::Level(row)) => kiosk.level_rows(*row),
        Some(Page::Reason { row, level }) => kiosk.reason_rows(*row, *level),
        Some(Page::Sure { .. }) => kiosk.sure_rows(),
        _ => Vec::new(),
    }
}

/// The figure of the first row: rows of levels have the levels' own.
pub fn first(kiosk: &Kiosk) -> usize {
    usize::from(!matches!(kiosk.invigilator.page, Some(Page::Level(_))))
}

fn row(label: &str, text: &str, action: Action) -> Row {
    Row {
        label: label.to_owned(),
        text: text.to_owned(),
        action,
        is_open: true,
    }
}

fn only_if(is_open: bool, row: Row) -> Row {
    Row { is_open, ..row }
}

fn desk(kiosk: &Kiosk) -> Vec<Row> {
    let words = kiosk.setup.words;
    let leave = row(words.inv_leave, words.inv_leave_text, Action::Leave);
    let note = row(words.inv_note, words.inv_note_text, Action::Note);

    match &kiosk.screen {
        Screen::Seat(seat) if matches!(seat.phase, Phase::NotKept(_)) => vec![
            row(words.inv_park, words.inv_park_text, Action::Park),
            leave,
        ],
        Screen::Seat(seat) => vec![
            row(words.inv_go_on, words.inv_go_on_text, Action::GoOn),
            only_if(
                takes_time(seat),
                row(words.inv_add, words.inv_add_text, Action::AddTime),
            ),
            if can_void(seat) {
                row(words.inv_void, words.inv_void_text, Action::Void)
            } else {
                let text = if seat.sitting().showings().is_empty() {
                    words.inv_void_none
                } else {
                    words.inv_void_done
                };
                only_if(false, row(words.inv_void, text, Action::Void))
            },
            note,
            row(words.inv_stop, words.inv_stop_text, Action::Stop),
            only_if(
                false,
                row(words.inv_leave, words.inv_leave_after, Action::Leave),
            ),
        ],
        screen => {
            let mut rows = vec![row(words.inv_close, words.inv_close_text, Action::Close)];
            let waiting = kiosk.invigilator.waiting.len();
            if waiting > 0 && matches!(screen, Screen::Cover) {
                let text = fill(words.inv_waiting_text, &[&waiting.to_string()]);
                rows.push(row(words.inv_waiting, &text, Action::Waiting));
            }
            if !kiosk.panel_items().is_empty() {
                rows.push(row(words.inv_panel, words.inv_panel_text, Action::Panel));
            }
            match screen {
                Screen::End(ended) if ended.kept.is_ok() => {
                    rows.push(row(words.rev_items, words.rev_items_text, Action::Items(0)));
                    rows.push(kiosk.print_row());
                }
                Screen::Cover => {
                    let text = words.rev_results_text;
                    rows.push(row(words.rev_results, text, Action::Results(0)));
                }
                _ => {}
            }
            if !matches!(screen, Screen::End(_)) {
                rows.push(row(words.inv_allow, &allowed(kiosk), Action::Allow));
            }
            rows.push(note);
            rows.push(leave);
            rows
        }
    }
}

/// Tells whether the item that comes next can have more time: the beats of a run go on.
fn takes_time(seat: &Seat) -> bool {
    let sitting = seat.sitting();
    let next = sitting.at_hand().and_then(|prompt| match prompt {
        Prompt::Item(_) => sitting.item(prompt),
        Prompt::WarmUp(_) | Prompt::Again(_) => None,
    });

    next.is_some_and(|item| !matches!(item.task, Task::Run(_) | Task::Panel(_)))
}

/// Tells whether there is an item to void: one that was open has been voided when the clock stopped.
fn can_void(seat: &Seat) -> bool {
    seat.sitting()
        .showings()
        .last()
        .is_some_and(|showing| showing.voided.is_none())
}

/// What the next candidate is allowed, in words.
fn allowed(kiosk: &Kiosk) -> String {
    let allowed = kiosk.invigilator.allowed;
    let factor = format!("{}.{:02}", allowed.factor / 100, allowed.factor % 100);

    fill(
        kiosk.setup.words.inv_allow_text,
        &[&factor, &allowed.hearings.to_string()],
    )
}

fn add_time(kiosk: &Kiosk) -> Vec<Row> {
    let words = kiosk.setup.words;
    let mut rows: Vec<Row> = [5, 10, 30]
        .into_iter()
        .map(|seconds: i64| {
            let label = fill(words.seconds_left, &[&seconds.to_string()]);
            row(&label, "", Action::Add(Time::from_ms(1_000 * seconds)))
        })
        .collect();

    rows.push(row(words.inv_back, "", Action::Back));
    rows
}

fn note(kiosk: &Kiosk) -> Vec<Row> {
    let words = kiosk.setup.words;
    let labels = [
        words.inv_late,
        words.inv_noise,
        words.inv_equipment,
        words.inv_illness,
        words.inv_help,
    ];
    let mut rows: Vec<Row> = labels
        .iter()
        .zip(KINDS)
        .map(|(label, kind)| row(label, "", Action::Kind(kind)))
        .collect();

    rows.push(row(words.inv_back, "", Action::Back));
    rows
}

fn stop(kiosk: &Kiosk) -> Vec<Row> {
    let words = kiosk.setup.words;

    vec![
        row(
            words.inv_stop_ill,
            words.inv_stop_ill_text,
            Action::StopFor("illness"),
        ),
        row(
            words.inv_equipment,
            words.inv_stop_text,
            Action::StopFor("equipment"),
        ),
        row(
            words.inv_stop_other,
            words.inv_stop_other_text,
            Action::Kind(""),
        ),
        row(words.inv_back, "", Action::Back),
    ]
}

fn allow(kiosk: &Kiosk) -> Vec<Row> {
    let words = kiosk.setup.words;
    let allowed = kiosk.invigilator.allowed;
    let factor = format!("{}.{:02}", allowed.factor / 100, allowed.factor % 100);

    vec![
        row(
            &fill(words.inv_factor, &[&factor]),
            words.inv_press_again,
            Action::NextFactor,
        ),
        row(
            &fill(words.inv_hearings, &[&allowed.hearings.to_string()]),
            words.inv_press_again,
            Action::NextHearings,
        ),
        row(words.inv_as_usual, "", Action::AsUsual),
        row(words.inv_back, "", Action::Back),
    ]
}

fn waiting(kiosk: &Kiosk) -> Vec<Row> {
    let words = kiosk.setup.words;
    let shown = 7;
    let mut rows: Vec<Row> = kiosk
        .invigilator
        .waiting
        .iter()
        .take(shown)
        .enumerate()
        .map(|(place, waiting)| {
            let label = fill(words.candidate, &[&waiting.candidate]);
            let day = waiting.started.get(..10).unwrap_or_default();
            let clock = kiosk.desk.clock(&waiting.started, Time::ZERO);
            let text = format!("{}, {day} {clock}", waiting.exam);
            row(&label, &text, Action::One(place))
        })
        .collect();

    rows.push(row(words.inv_back, "", Action::Back));
    rows
}

fn take_up(kiosk: &Kiosk, place: usize) -> Vec<Row> {
    let words = kiosk.setup.words;
    let is_over = kiosk
        .invigilator
        .waiting
        .get(place)
        .is_some_and(|waiting| waiting.is_over);

    vec![
        only_if(
            !is_over,
            row(
                words.inv_take_up,
                words.inv_take_up_text,
                Action::TakeUp(place),
            ),
        ),
        row(
            words.inv_hand_in,
            words.inv_hand_in_text,
            Action::HandIn(place),
        ),
        row(words.inv_leave_it, words.inv_leave_it_text, Action::Back),
    ]
}
