//! The invigilator's pages: the PIN, what can be done, and the log.

use crate::engraving::{Anchor, Bounds, Face, Ink, text};
use crate::kiosk::act::{Act, Do};
use crate::kiosk::desk::Before;
use crate::kiosk::invigilator::{Action, Page, Row, Said, first, rows};
use crate::kiosk::model::{Kiosk, Screen};
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Button, Sheet, TARGET, Type, wrapped};
use crate::kiosk::shelf;
use crate::kiosk::words::fill;

/// Signs of the boxes to touch: figures as on a telephone (ITU-T E.161).
const FIGURES: [char; 10] = ['1', '2', '3', '4', '5', '6', '7', '8', '9', '0'];

pub(super) fn draw(sheet: &mut Sheet<Act>, kiosk: &Kiosk, page: &Page) {
    let words = kiosk.setup.words;
    let candidate = kiosk
        .looked()
        .map_or(kiosk.candidate.as_str(), |(_, _, candidate)| candidate);
    let who = if candidate.is_empty() {
        String::new()
    } else {
        fill(words.candidate, &[candidate])
    };
    if !matches!(page, Page::Counting(_) | Page::Item(_)) {
        let left = match kiosk.looked() {
            Some((sitting, ..)) if kiosk.is_alone() => sitting.exam().title.as_str(),
            _ => words.inv_invigilator,
        };
        sheet.header(left, &who);
    }

    match page {
        Page::Pin { typed, wrong } => pin(sheet, kiosk, typed, *wrong),
        Page::NewPin { typed, first, said } => new_pin(sheet, kiosk, typed, first, said),
        Page::Told(said) => told(sheet, kiosk, said),
        Page::Words { kind, typed } => written(
            sheet,
            kiosk,
            if kind.is_empty() {
                words.inv_why_title
            } else {
                words.inv_what_title
            },
            words.inv_what_text,
            typed,
        ),
        Page::Panel { place, share, by } => panel(sheet, kiosk, *place, share, by.as_deref()),
        Page::Counting(until) => {
            sheet.header(&kiosk.shelved().exam.title, &who);
            let left = (until.tenths() - kiosk.now.tenths() + 9_999) / 10_000;
            let y = super::title(sheet, "", words.inv_count_title, words.inv_count_text);
            let figure = left.clamp(1, 3).to_string();
            let at = sheet.paper.left();
            let _ = sheet.write(
                &figure,
                at,
                y + sheet.paper.y(260.0),
                Type::of(Role::Prompt),
            );
            sheet.foot(words.next, words.inv_next_count);
        }
        Page::Desk => desk(sheet, kiosk),
        Page::AddTime => list(sheet, kiosk, words.inv_add, words.inv_add_text),
        Page::Note => list(sheet, kiosk, words.inv_note, words.inv_note_text),
        Page::Stop => list(sheet, kiosk, words.inv_stop, words.inv_stop_text),
        Page::Allow => list(sheet, kiosk, words.inv_allow, words.inv_allow_note),
        Page::Waiting | Page::TakeUp(_) => {
            list(sheet, kiosk, words.inv_waiting, words.inv_waiting_note);
        }
        Page::Results(_) => list(sheet, kiosk, words.rev_results, words.rev_results_note),
        Page::Item(row) => super::review::item(sheet, kiosk, *row, &who),
        Page::Because { typed, .. } => {
            let (title, text) = (words.rev_reason_title, words.rev_because_text);
            written(sheet, kiosk, title, text, typed);
        }
        Page::By { typed, .. } => {
            written(sheet, kiosk, words.rev_by_title, words.rev_by_text, typed);
        }
        Page::Items(_) | Page::Level(_) | Page::Reason { .. } | Page::Sure { .. } => {
            let (title, text) = super::review::heads(kiosk, page);
            list(sheet, kiosk, &title, &text);
        }
    }
}

/// What is said on other pages of what concerns the invigilator.
pub(super) fn beside(sheet: &mut Sheet<Act>, kiosk: &Kiosk) {
    let words = kiosk.setup.words;
    let said = match &kiosk.screen {
        Screen::Cover => kiosk.invigilator.waiting.first().map(|waiting| {
            let text = fill(words.inv_interrupted, &[&waiting.candidate]);
            (text, Some(Act::Invigilator(Do::Open)))
        }),
        Screen::SignIn { .. } => kiosk.told.as_ref().map(|(number, before)| {
            let text = match before {
                Before::HandedIn => words.inv_handed_in,
                Before::Interrupted => words.inv_interrupted_again,
                Before::Sitting => words.inv_sits_elsewhere,
            };
            (fill(text, &[number]), None)
        }),
        Screen::End(ended) => match &ended.kept {
            Ok(stored) if stored.elsewhere => {
                Some((fill(words.inv_elsewhere, &[&stored.name]), None))
            }
            _ => None,
        },
        _ => None,
    };
    let Some((said, act)) = said else { return };

    // Just above the foot, as many lines as it needs.
    let paper = sheet.paper;
    let role = if paper.is_folded() {
        Role::Note
    } else {
        Role::Text
    };
    let width = paper.x(KEYS) - paper.left();
    let lines = wrapped(&said, Face::Regular, paper.size(role), width).len();
    let step = paper.line(role);
    let y = paper.y(952.0) - step * (lines as f32 - 0.6);
    let of = Type::of(role).face(Face::Bold);
    let end = sheet.wrap(&said, paper.left(), y, width, of);
    if let Some(act) = act {
        let bottom = (end - step * 0.6).min(paper.y(950.0));
        let bounds = Bounds {
            left: paper.left(),
            top: bottom - TARGET.max(step * lines as f32),
            right: paper.x(KEYS),
            bottom,
        };
        sheet.target(bounds, act, &said);
    }
}

/// The page of the PIN: it says what happens before it happens.
fn pin(sheet: &mut Sheet<Act>, kiosk: &Kiosk, typed: &str, wrong: bool) {
    let words = kiosk.setup.words;
    let next = kiosk.invigilator.next_try;
    let seconds = (next.tenths() - kiosk.now.tenths() + 9_999) / 10_000;
    let said = if seconds > 0 && wrong {
        fill(words.inv_wait, &[&seconds.to_string()])
    } else if wrong {
        words.inv_wrong.to_owned()
    } else if matches!(kiosk.screen, Screen::Seat(_)) {
        words.inv_pin_sitting.to_owned()
    } else {
        words.inv_pin_text.to_owned()
    };

    let y = super::title(sheet, words.inv_type, words.inv_pin_title, &said);
    figures(sheet, kiosk, typed, y);
    let next = if matches!(kiosk.screen, Screen::Seat(_)) {
        words.inv_next_stops
    } else {
        words.inv_next_desk
    };
    pin_foot(sheet, kiosk, next);
}

fn new_pin(
    sheet: &mut Sheet<Act>,
    kiosk: &Kiosk,
    typed: &str,
    first: &Option<String>,
    said: &Option<Said>,
) {
    let words = kiosk.setup.words;
    let (title, text) = match (first, said) {
        (Some(_), _) => (words.inv_again_title, words.inv_again_text),
        (None, Some(Said::TooShort)) => (words.inv_new_title, words.inv_too_short),
        (None, Some(_)) => (words.inv_new_title, words.inv_differ),
        (None, None) => (words.inv_new_title, words.inv_new_text),
    };

    let y = super::title(sheet, words.inv_type, title, text);
    figures(sheet, kiosk, typed, y);
    pin_foot(sheet, kiosk, words.inv_next_kept);
}

fn pin_foot(sheet: &mut Sheet<Act>, kiosk: &Kiosk, next: &str) {
    let words = kiosk.setup.words;
    let paper = sheet.paper;

    if paper.is_folded() {
        sheet.foot("", "");
    } else {
        sheet.foot(words.next, next);
    }
    let _ = sheet.button(
        Button::at_foot(&paper, words.go_on, words.enter),
        Act::Invigilator(Do::Enter),
    );
}

/// A mark for each figure that was typed, and figures to touch.
fn figures(sheet: &mut Sheet<Act>, kiosk: &Kiosk, typed: &str, top: f32) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let side = paper.y(88.0).max(TARGET);
    let apart = paper.y(12.0);

    // Only how many: whoever stands behind must not read it.
    let dot = paper.y(24.0);
    let top = top + paper.y(12.0);
    for place in 0..typed.len() {
        let x = paper.left() + place as f32 * dot * 1.8;
        sheet.rect(x, top, dot, dot, Ink::Plain);
    }
    let line = paper.left() + 12.0 * dot * 1.8;
    sheet.rule(paper.left(), line, top + dot * 1.4, 1.5, Ink::Quiet);
    sheet.say(&"•".repeat(typed.len()));

    let top = top + dot * 2.6;
    for (place, figure) in FIGURES.iter().enumerate() {
        let (column, row) = (place % 5, place / 5);
        let left = paper.left() + column as f32 * (side + apart);
        let bounds = Bounds {
            left,
            top: top + row as f32 * (side + apart),
            right: left + side,
            bottom: top + row as f32 * (side + apart) + side,
        };
        let name = figure.to_string();
        sheet.outline(bounds, 1.5, Ink::Quiet);
        let middle = Type::of(Role::Lead).anchor(Anchor::Middle);
        let baseline = bounds.top + side / 2.0 + 0.34 * paper.size(Role::Lead);
        let _ = sheet.write_unsaid(&name, left + side / 2.0, baseline, middle);
        sheet.target(bounds, Act::Invigilator(Do::Sign(*figure)), &name);
    }
    let x = paper.left() + 5.0 * (side + apart) + apart;
    let mut button = Button {
        label: words.rub_out,
        hint: "",
        x,
        y: top,
        anchor: Anchor::Start,
        least: 7.0 * paper.key(),
        is_first: false,
    };
    let _ = sheet.button(button, Act::Invigilator(Do::RubOut));
    button.label = words.inv_back;
    let height = paper.y(64.0).max(TARGET).max(paper.size(Role::Text) * 1.9);
    button.y = top + side.max(height) + apart;
    let _ = sheet.button(button, Act::Invigilator(Do::Back));
}

fn told(sheet: &mut Sheet<Act>, kiosk: &Kiosk, said: &Said) {
    let words = kiosk.setup.words;
    let (title, text) = match said {
        Said::Kept => (words.inv_kept_title, words.inv_kept_text.to_owned()),
        Said::Fleeting => (words.inv_kept_title, words.inv_fleeting_text.to_owned()),
        Said::NoPin => (words.inv_no_pin_title, words.inv_no_pin_text.to_owned()),
        Said::Trouble(why) => (words.inv_trouble_title, why.clone()),
        Said::Stored(name) => {
            let name = placed(sheet, name);
            (words.inv_stored_title, fill(words.inv_stored_text, &[name]))
        }
        Said::Printed { name, .. } => (
            words.prn_title,
            kiosk.said_of_print(name).unwrap_or_default(),
        ),
        Said::NoResults => (words.rev_results, words.rev_no_results.to_owned()),
        Said::Reviewed { name, .. } => {
            let name = placed(sheet, name);
            (words.rev_stored_title, fill(words.rev_stored_text, &[name]))
        }
        Said::TooShort => (words.inv_new_title, words.inv_too_short.to_owned()),
        Said::Differ => (words.inv_new_title, words.inv_differ.to_owned()),
    };

    let _ = super::title(sheet, "", title, &text);
    foot(sheet, kiosk, "", words.go_on);
}

/// The name of a result as far as there is room for it: with its folder, or else without.
fn placed<'a>(sheet: &Sheet<Act>, name: &'a str) -> &'a str {
    let paper = sheet.paper;
    let room = paper.x(KEYS) - paper.left() - paper.size(Role::Text);
    let own = name.rsplit(['/', '\\']).next().unwrap_or(name);

    if text::width(name, Face::Regular, paper.size(Role::Text)) <= room {
        name
    } else {
        own
    }
}

/// A line of text that is being written.
fn written(sheet: &mut Sheet<Act>, kiosk: &Kiosk, title: &str, text: &str, typed: &str) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let width = paper.x(KEYS) - paper.left();
    let y = super::title(sheet, words.write, title, text);
    let y = y + paper.line(Role::Lead);
    let of = Type::of(Role::Lead);

    let end = sheet.wrap(typed, paper.left(), y, width, of);
    let line = end - paper.line(Role::Lead) * 0.7;
    sheet.rule(paper.left(), paper.x(KEYS), line, 1.5, Ink::Quiet);
    let button = Button {
        label: words.inv_back,
        hint: "",
        x: paper.left(),
        y: line + paper.y(32.0),
        anchor: Anchor::Start,
        least: 7.0 * paper.key(),
        is_first: false,
    };
    let _ = sheet.button(button, Act::Invigilator(Do::Back));
    foot(sheet, kiosk, "", words.go_on);
}

fn panel(sheet: &mut Sheet<Act>, kiosk: &Kiosk, place: usize, share: &str, by: Option<&str>) {
    let words = kiosk.setup.words;
    let name = kiosk
        .panel_items()
        .get(place)
        .and_then(|number| kiosk.form()?.item(*number))
        .map_or_else(String::new, |item| item.prompt.clone());

    match by {
        None => {
            let text = fill(words.inv_share_text, &[&name]);
            written(sheet, kiosk, words.inv_panel, &text, share);
        }
        Some(by) => written(sheet, kiosk, words.inv_by_title, words.inv_by_text, by),
    }
}

fn foot(sheet: &mut Sheet<Act>, kiosk: &Kiosk, next: &str, label: &str) {
    let words = kiosk.setup.words;
    let paper = sheet.paper;

    if paper.is_folded() || next.is_empty() {
        sheet.foot("", "");
    } else {
        sheet.foot(words.next, next);
    }
    let _ = sheet.button(
        Button::at_foot(&paper, label, words.enter),
        Act::Invigilator(Do::Enter),
    );
}

/// What can be done, and the log.
fn desk(sheet: &mut Sheet<Act>, kiosk: &Kiosk) {
    let words = kiosk.setup.words;
    let (title, text) = match &kiosk.screen {
        Screen::Seat(seat) => (words.paused_title, whereabouts(kiosk, seat)),
        _ => (words.inv_desk_title, words.inv_desk_text.to_owned()),
    };
    let below = table(sheet, kiosk, title, &text);
    if let Screen::Seat(seat) = &kiosk.screen {
        log(sheet, kiosk, seat, below);
    }

    match rows(kiosk).first().map(|row| row.action) {
        Some(Action::GoOn) => foot(sheet, kiosk, words.inv_next_count, words.go_on),
        Some(Action::Close) => foot(sheet, kiosk, words.inv_close_text, words.close),
        _ => sheet.foot("", ""),
    }
}

/// A list to choose from.
fn list(sheet: &mut Sheet<Act>, kiosk: &Kiosk, title: &str, text: &str) {
    let _ = table(sheet, kiosk, title, text);
    sheet.foot("", "");
}

/// Where the sitting is, and how long it lasts yet.
fn whereabouts(kiosk: &Kiosk, seat: &Seat) -> String {
    let words = kiosk.setup.words;
    let sitting = seat.sitting();
    let next = sitting
        .next_item()
        .or_else(|| sitting.showings().last().map(|showing| showing.number))
        .and_then(|number| sitting.form().item(number));
    let minutes = fill(words.inv_left, &[&shelf::left(sitting).to_string()]);

    next.map_or(minutes.clone(), |item| {
        let (place, count) = super::place(seat, item);
        let section = &sitting.exam().sections[item.section];
        let place = fill(
            words.inv_where,
            &[&section.id, &place.to_string(), &count.to_string()],
        );
        format!("{place} {minutes}")
    })
}

/// Title, sentence and rows; returns the lower edge.
fn table(sheet: &mut Sheet<Act>, kiosk: &Kiosk, title: &str, said: &str) -> f32 {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let rows = rows(kiosk);
    let width = paper.x(KEYS) - paper.left();
    let y = paper.y(if paper.is_folded() { 196.0 } else { 208.0 });

    sheet.imperative(words.choose, y);
    let y = sheet.wrap(title, paper.left(), y, width, Type::of(Role::Title));
    let mut y = y - paper.line(Role::Title) + paper.line(Role::Text) * 1.4;
    let text = Type::of(Role::Text);
    // Large text leaves no room for the sentence above many rows.
    if paper.is_folded() && rows.len() > 3 {
        sheet.say(said);
        y -= paper.line(Role::Text) * 0.9;
    } else {
        y = sheet.wrap(said, paper.left(), y, width, text) - paper.line(Role::Text);
    }

    let mut top = y + paper.y(32.0);
    let most = (paper.y(944.0) - top) / rows.len().max(1) as f32;
    let row = paper
        .y(64.0)
        .max(TARGET)
        .max(paper.size(Role::Text) * 1.25)
        .min(most);
    let focus = kiosk.focus.and_then(|focus| {
        rows.iter()
            .enumerate()
            .filter(|(_, row)| row.is_open)
            .nth(focus)
            .map(|(place, _)| place)
    });
    let chosen = focus.or_else(|| rows.iter().position(|row| row.is_open));

    sheet.rule(paper.left(), paper.x(KEYS), top, 1.0, Ink::Quiet);
    for (place, line) in rows.iter().enumerate() {
        let figure = place + first(kiosk);
        one(
            sheet,
            line,
            (place, figure),
            top,
            row,
            chosen == Some(place),
        );
        top += row;
        let ink = if place + 1 == rows.len() {
            Ink::Quiet
        } else {
            Ink::Rule
        };
        sheet.rule(paper.left(), paper.x(KEYS), top, 1.0, ink);
    }

    top
}

fn one(
    sheet: &mut Sheet<Act>,
    line: &Row,
    (place, figure): (usize, usize),
    top: f32,
    height: f32,
    chosen: bool,
) {
    let paper = sheet.paper;
    let key = paper.key();
    let baseline = top + height / 2.0 + 0.34 * paper.size(Role::Text);
    let ink = match (line.is_open, chosen) {
        (true, true) => Ink::Accent,
        (true, false) => Ink::Plain,
        (false, _) => Ink::Quiet,
    };
    let face = if line.is_open {
        Face::Bold
    } else {
        Face::Italic
    };
    let of = Type::of(Role::Text).ink(ink);

    if chosen {
        sheet.rect(paper.left(), top, 12.0, height, Ink::Accent);
    }
    let figure = figure.to_string();
    let number = of.face(if chosen { Face::Bold } else { Face::Regular });
    let _ = sheet.write_unsaid(&figure, paper.left() + key, baseline, number);
    let left = paper.left() + key + (key * 1.5).max(paper.size(Role::Text) * 1.2);
    let end = sheet.write(&line.label, left, baseline, of.face(face));
    let at = (paper.left() + 14.0 * key).max(end + key);
    let size = paper.size(Role::Text);
    let room = paper.x(KEYS) - at;
    sheet.say(&line.text);
    // Of what is said of an item as much is shown as there is room for.
    let shown = match line.action {
        Action::Item(_) | Action::Result(_) if room > 4.0 * size => {
            super::shortened(&line.text, size, room)
        }
        _ => line.text.clone(),
    };
    if text::width(&shown, Face::Regular, size) <= room {
        let quiet = if chosen { Ink::Plain } else { Ink::Quiet };
        let _ = sheet.write_unsaid(&shown, at, baseline, Type::of(Role::Text).ink(quiet));
    }
    if line.is_open {
        let bounds = Bounds {
            left: paper.left(),
            top,
            right: paper.x(KEYS),
            bottom: top + height,
        };
        sheet.target(bounds, Act::Invigilator(Do::Row(place)), &line.label);
    }
}

/// The last incidents that there is room for, with the time of day.
fn log(sheet: &mut Sheet<Act>, kiosk: &Kiosk, seat: &Seat, top: f32) {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let sitting = seat.sitting();
    let step = paper.line(Role::Text) * 1.2;
    let fits = ((paper.y(944.0) - top) / step - 0.3).floor().max(0.0) as usize;
    let clock = kiosk.clock(&seat.given.started);
    let code = sitting.form().code.to_string();
    let mut lines = vec![(clock, fill(words.inv_signed_in, &[&code]), String::new())];

    for (incident, clock) in sitting.incidents().iter().zip(&kiosk.invigilator.clocks) {
        let item = incident.item.and_then(|number| sitting.form().item(number));
        let item = item.map_or_else(String::new, |item| {
            let section = &sitting.exam().sections[item.section].id;
            format!("{section} {}: ", item.number)
        });
        let text = [incident.kind.as_str(), incident.text.as_str()]
            .into_iter()
            .filter(|text| !text.is_empty())
            .collect::<Vec<_>>()
            .join(", ");
        lines.push((clock.clone(), item + &text, incident.by.clone()));
    }

    let first = lines.len().saturating_sub(fits);
    for (place, (clock, text, by)) in lines.iter().skip(first).enumerate() {
        let y = top + step * (place as f32 + 0.95);
        if place == 0 {
            sheet.label(words.inv_log, y);
        }
        let plain = Type::of(Role::Text);
        let _ = sheet.write(clock, paper.left(), y, plain);
        let by = if by.is_empty() { words.inv_program } else { by };
        let quiet = plain.face(Face::Italic).ink(Ink::Quiet);
        let size = paper.size(Role::Text);
        let width = text::width(by, Face::Italic, size);
        let at = paper.left() + (6.0 * paper.key()).max(size * 5.2);
        let room = paper.x(KEYS) - at - width - paper.key();
        let shown = wrapped(text, Face::Regular, size, room);
        let more = if shown.len() > 1 { " …" } else { "" };
        let _ = sheet.write(&format!("{}{more}", shown[0]), at, y, plain);
        let _ = sheet.write(by, paper.x(KEYS), y, quiet.anchor(Anchor::End));
    }
}
