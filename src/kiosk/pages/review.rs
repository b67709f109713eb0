//! A second look at an item: asked beside played, why it was marked so, and what can be done.

use num_traits::ToPrimitive;

use super::feedback::{self, body};
use crate::engraving::{Face, Ink, text};
use crate::exam::form::Task;
use crate::kiosk::act::{Act, Do};
use crate::kiosk::invigilator::Page;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::sheet::{Button, Sheet, Type, wrapped};
use crate::kiosk::words::{Words, fill};
use crate::marking::item::Marked;
use crate::marking::noted::Note;
use crate::marking::reason::capital;
use crate::sitting::Sitting;
use crate::sitting::outcome::{ItemOutcome, outcome};

/// Reasons at most; a run has many.
const REASONS: usize = 3;

/// The title and the sentence of a list.
pub(super) fn heads(kiosk: &Kiosk, page: &Page) -> (String, String) {
    let words = kiosk.setup.words;
    let lines = kiosk.review_lines();
    let number = |row: usize| {
        lines
            .get(row)
            .map_or_else(String::new, |line| line.number.to_string())
    };

    match page {
        Page::Level(row) => (
            words.rev_level_title.to_owned(),
            fill(words.rev_level_note, &[&number(*row)]),
        ),
        Page::Reason { row, level } => (
            words.rev_reason_title.to_owned(),
            fill(words.rev_reason_note, &[&number(*row), &level.to_string()]),
        ),
        Page::Sure {
            row,
            level,
            reason,
            by,
        } => (
            fill(words.rev_sure_title, &[&number(*row), &level.to_string()]),
            fill(words.rev_sure_text, &[&capital(reason), by]),
        ),
        _ => {
            let lost = lines.iter().filter(|line| line.lost).count().to_string();
            let counted = lines.iter().filter(|line| line.counts).count().to_string();
            (
                words.rev_title.to_owned(),
                fill(words.rev_note, &[&lost, &counted]),
            )
        }
    }
}

/// The page of an item by its row.
pub(super) fn item(sheet: &mut Sheet<Act>, kiosk: &Kiosk, row: usize, who: &str) {
    let mut kept = kiosk.invigilator.review.drawn.borrow_mut();
    // Nothing moves on it: it is drawn once.
    if let Some((_, page)) = kept
        .as_ref()
        .filter(|(of, page)| *of == row && page.paper == sheet.paper)
    {
        sheet.clone_from(page);
        return;
    }
    let (Some((sitting, ..)), Some(line)) = (kiosk.looked(), kiosk.review_lines().get(row)) else {
        return;
    };
    let outcome = outcome(sitting);
    let Some(of) = outcome.items.get(line.place) else {
        return;
    };

    page(sheet, kiosk, row, (sitting, of), who);
    *kept = Some((row, sheet.clone()));
}

fn page(
    sheet: &mut Sheet<Act>,
    kiosk: &Kiosk,
    row: usize,
    (sitting, of): (&Sitting, &ItemOutcome<'_>),
    who: &str,
) {
    let words = kiosk.setup.words;
    let title = &sitting.exam().sections[of.item.section].title;
    sheet.header(
        &fill(words.rev_item, &[title, &of.item.number.to_string()]),
        who,
    );

    let top = told(sheet, sitting, of);
    let above = buttons(sheet, kiosk, row, sitting, of);
    let bottom = figures(sheet, kiosk, sitting, of, above);
    // The candidate is not who reads this page.
    let said = Words {
        you_said: words.rev_said,
        played: match of.written {
            Some(_) => words.rev_unrecorded,
            None => words.played,
        },
        no_answer: match of.written.map(|written| &written.note) {
            Some(Note::Tones(_)) => words.rev_untold,
            _ => words.no_answer,
        },
        ..*words
    };
    body::draw(sheet, sitting, &said, &of.review(), (top, bottom));
}

/// The chord in the margin, and the reasons in words; returns the height below.
fn told(sheet: &mut Sheet<Act>, sitting: &Sitting, of: &ItemOutcome<'_>) -> f32 {
    let paper = sheet.paper;
    let folded = paper.is_folded();
    let mut reasons = of.reasons();
    if let Task::Panel(task) = &of.item.task {
        reasons.insert(0, task.criterion.clone());
    }
    let is_ear = matches!(of.item.task, Task::Ear(_));
    let first = reasons.first().map_or("", String::as_str);
    let mut role = if folded { Role::Lead } else { Role::Title };
    let width = paper.x(KEYS) - paper.left();
    let is_wide = |title: &str, role| text::width(title, Face::Regular, paper.size(role)) > width;
    let (title, rest) = match first.split_once(": ") {
        Some((title, rest)) if is_wide(first, role) && of.overruled.is_none() => {
            (title, Some(capital(rest)))
        }
        _ => (first, None),
    };
    if is_wide(title, role) {
        role = if folded { Role::Text } else { Role::Lead };
    }
    let size = paper.size(role);
    let chord = match &of.item.task {
        Task::Voicing(task) => Some(task.chord),
        Task::Spell(task) => Some(task.chord),
        _ => None,
    };

    let mut y = if folded {
        paper.y(96.0) + paper.size(Role::Lead) * 1.25
    } else {
        paper.y(216.0)
    };
    let mut x = paper.left();
    if let Some(chord) = chord {
        let end = feedback::margin_symbol(sheet, sitting.exam().style, chord, y);
        if folded {
            x = end + size * 0.5;
        }
    }
    sheet.say(title);
    for line in wrapped(title, Face::Regular, size, paper.x(KEYS) - x) {
        let _ = sheet.write_unsaid(&line, x, y, Type::of(role));
        y += paper.line(role);
    }
    y += paper.line(Role::Text) * 1.15 - paper.line(role);
    let count = if is_ear { 0 } else { REASONS - 1 };
    for reason in rest.iter().chain(reasons.iter().skip(1)).take(count) {
        if folded {
            sheet.say(reason);
        } else {
            y = sheet.wrap(reason, paper.left(), y, width, Type::of(Role::Text));
        }
    }

    y - paper.line(Role::Text) * if folded { 0.8 } else { 0.4 }
}

/// The level that counts, the time and what else was seen, above a height; returns the height
/// above them.
fn figures(
    sheet: &mut Sheet<Act>,
    kiosk: &Kiosk,
    sitting: &Sitting,
    of: &ItemOutcome<'_>,
    bottom: f32,
) -> f32 {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let step = paper.line(Role::Text);
    let counts = match of.credit() {
        _ if !of.counts() => words.rev_voided.to_owned(),
        None => words.rev_awaited.to_owned(),
        Some(credit) => {
            let share = feedback::credit_words(words, credit.to_f64().unwrap_or_default());
            fill(words.rev_counts_text, &[&of.level().to_string(), &share])
        }
    };
    let time = feedback::time_words(sitting, words, &of.review());
    let seen = if kiosk.invigilator.review.silent {
        Some(words.rev_no_sound.to_owned())
    } else if of.written.is_some() {
        Some(words.rev_by_hand.to_owned())
    } else {
        seen(words, &of.marked)
    };

    if paper.is_folded() {
        let parts: Vec<String> = std::iter::once(capital(&counts)).chain(time).collect();
        let line = if kiosk.invigilator.review.silent {
            words.rev_no_sound.to_owned()
        } else {
            parts.join(" · ")
        };
        let width = paper.x(KEYS) - paper.x(0.0);
        let shown = super::shortened(&line, paper.size(Role::Text), width);
        let y = bottom - step * 0.35;
        sheet.say(&line);
        let _ = sheet.write_unsaid(
            &shown,
            paper.x(0.0),
            y,
            Type::of(Role::Text).ink(Ink::Quiet),
        );
        return y - step * 0.9;
    }
    let prompt = match of.item.task {
        Task::Panel(_) => None,
        _ => Some((words.asked, super::asked(of.item))),
    };
    let mut rows: Vec<(&str, String)> = prompt.into_iter().collect();
    rows.push((words.rev_counts, counts));
    rows.extend(time.map(|time| (words.rev_time, time)));
    rows.extend(seen.map(|seen| (words.rev_seen, seen)));
    let mut y = bottom - paper.y(36.0) - step * 1.2 * (rows.len() as f32 - 1.0);
    let above = y - step * 1.2;
    for (label, text) in rows {
        sheet.label(label, y);
        let width = paper.x(KEYS) - paper.left();
        let shown = super::shortened(&text, paper.size(Role::Text), width);
        sheet.say(&text);
        let _ = sheet.write_unsaid(&shown, paper.left(), y, Type::of(Role::Text));
        y += step * 1.2;
    }

    above
}

/// What else was seen.
fn seen(words: &Words, marked: &Marked) -> Option<String> {
    match marked {
        Marked::Voicing(marked) => {
            let facts = &marked.facts;
            let text = fill(
                words.rev_seen_text,
                &[
                    &facts.attempts.to_string(),
                    &facts.foreign.to_string(),
                    &facts.grazes.to_string(),
                ],
            );
            Some(text + if facts.walked { words.rev_walked } else { "" })
        }
        Marked::Ear(marked) => Some(fill(words.rev_heard, &[&marked.hearings.to_string()])),
        _ => None,
    }
}

/// The boxes at the foot; returns their upper edge.
fn buttons(
    sheet: &mut Sheet<Act>,
    kiosk: &Kiosk,
    row: usize,
    sitting: &Sitting,
    of: &ItemOutcome<'_>,
) -> f32 {
    let words = kiosk.setup.words;
    let review = of.review();
    let has_own = super::own::own(sitting, &review).is_some();
    let is_shown = of.showing.is_some();
    let sign = |sign| Act::Invigilator(Do::Sign(sign));
    let (played, asked) = match of.item.task {
        Task::Ear(_) => (
            is_shown.then_some(words.rev_hear_sounded),
            has_own.then_some(words.rev_hear_answer),
        ),
        Task::Panel(_) => (None, None),
        _ => (
            has_own.then_some(words.rev_hear_played),
            Some(words.rev_hear_asked),
        ),
    };
    let is_last = row + 1 >= kiosk.review_lines().len();
    let first = Button::at_foot(
        &sheet.paper,
        if is_last {
            words.rev_list
        } else {
            words.rev_next
        },
        words.enter,
    );
    let offered = [
        (played, words.space, sign(' ')),
        (asked, "H", sign('h')),
        (
            kiosk.can_overrule(row).then_some(words.rev_change),
            "0–4",
            sign('l'),
        ),
        (
            (!is_last).then_some(words.rev_list),
            "",
            Act::Invigilator(Do::Back),
        ),
    ];
    let shown = offered
        .into_iter()
        .filter_map(|(label, hint, act)| Some((label?, hint, act)))
        .collect();

    feedback::boxes(sheet, shown, (first, Act::Invigilator(Do::Enter)))
}
