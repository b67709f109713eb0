//! A dictation: the chords side by side, bass over quality, and the answers of the place that is
//! being answered.

use super::rows::{self, Rows};
use crate::engraving::symbol::{self, Setting};
use crate::engraving::text;
use crate::engraving::{Anchor, Bounds, Drawing, Face, Ink, Point};
use crate::exam::form::EarTask;
use crate::exam::script::Ask;
use crate::kiosk::act::Act;
use crate::kiosk::model::Kiosk;
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::seat::Seat;
use crate::kiosk::sheet::{Sheet, TARGET, Type};
use crate::kiosk::words::{Words, fill};
use crate::theory::symbol::{self as symbols, Style};

/// Parts of a chord: its bass and its quality.
pub(in crate::kiosk) const PARTS: usize = 2;

/// Tells whether an item is a dictation.
pub(in crate::kiosk) fn is_one(task: &EarTask) -> bool {
    task.asks.first() == Some(&Ask::Bass)
}

/// Draws the grid and the answers down to the foot; returns where the margin may go on.
pub(super) fn draw(
    sheet: &mut Sheet<Act>,
    kiosk: &Kiosk,
    seat: &Seat,
    task: &EarTask,
    prompt: &str,
    foot: f32,
) -> f32 {
    let paper = sheet.paper;
    let words = kiosk.setup.words;
    let folded = paper.is_folded();
    let part = seat.answer.part;
    let wide = paper.x(KEYS) - paper.left();

    let asked = place_words(words, part);
    let top = if folded {
        let y = paper.y(96.0) + paper.size(Role::Lead) * 1.35;
        sheet.say(prompt);
        let accent = Type::of(Role::Lead).face(Face::Bold).ink(Ink::Accent);
        let _ = sheet.write(&asked, paper.left(), y, accent);
        y + paper.size(Role::Lead) * 0.45
    } else {
        let y = paper.y(176.0);
        sheet.imperative(words.listen, y);
        let room = paper.right() - paper.left();
        let y = sheet.wrap(prompt, paper.left(), y, room, Type::of(Role::Lead));
        let quiet = Type::of(Role::Text).ink(Ink::Quiet);
        let y = y - paper.line(Role::Lead) + paper.line(Role::Text) * 1.15;
        sheet.wrap(words.dictation_text, paper.left(), y, wide, quiet)
            - paper.line(Role::Text) * 0.55
    };
    let grid = Grid {
        left: paper.left(),
        right: paper.right(),
        top,
        row: (paper.size(Role::Lead) * 1.3)
            .max(TARGET)
            .max(paper.y(72.0)),
        style: kiosk.shelved().exam.style,
        caption: None,
        compared: false,
    };
    let below = grid.draw(sheet, words, task, &seat.answer.options, Some(part));
    let top = if folded {
        below + paper.y(10.0)
    } else {
        let y = below + paper.line(Role::Text) * 1.2;
        let accent = Type::of(Role::Text).face(Face::Bold).ink(Ink::Accent);
        let _ = sheet.write(&asked, paper.left(), y, accent);
        y + paper.size(Role::Text) * 0.5
    };
    let room = Bounds {
        left: paper.left(),
        top,
        right: paper.right(),
        bottom: foot,
    };
    Rows::of(seat, task, part, room, true).draw(sheet, kiosk);

    grid.top
}

/// Names the place of an answer.
fn place_words(words: &Words, part: usize) -> String {
    let what = if part.is_multiple_of(PARTS) {
        words.bass
    } else {
        words.quality
    };

    fill(words.chord_part, &[&(part / PARTS + 1).to_string(), what])
}

/// The chords side by side, and where they stand.
pub(in crate::kiosk::pages) struct Grid {
    pub(in crate::kiosk::pages) left: f32,
    pub(in crate::kiosk::pages) right: f32,
    pub(in crate::kiosk::pages) top: f32,
    pub(in crate::kiosk::pages) row: f32,
    pub(in crate::kiosk::pages) style: Style,
    /// Stands in place of the chords' numbers.
    pub(in crate::kiosk::pages) caption: Option<&'static str>,
    /// In practice: what is not as it was is bold.
    pub(in crate::kiosk::pages) compared: bool,
}

impl Grid {
    /// Draws what was answered, under the numbers of the chords; one place may be marked as being
    /// answered, and each can be pressed then. Returns the height below.
    pub(in crate::kiosk::pages) fn draw(
        &self,
        sheet: &mut Sheet<Act>,
        words: &Words,
        task: &EarTask,
        options: &[Option<usize>],
        now: Option<usize>,
    ) -> f32 {
        let paper = sheet.paper;
        let chords = (task.asks.len() / PARTS).max(1);
        let width = (self.right - self.left) / chords as f32;
        let note = Type::of(Role::Note).ink(Ink::Quiet).anchor(Anchor::Middle);
        let first = match self.caption {
            Some(caption) => {
                let y = self.top + paper.size(Role::Text);
                let italic = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
                let _ = sheet.write(caption, self.left, y, italic);
                y + paper.size(Role::Text) * 0.3
            }
            None => self.top + paper.size(Role::Note) * 1.35,
        };

        for chord in (0..chords).filter(|_| self.caption.is_none()) {
            let middle = self.left + (chord as f32 + 0.5) * width;
            let number = (chord + 1).to_string();
            let of = if now.is_some_and(|now| now / PARTS == chord) {
                note.face(Face::Bold).ink(Ink::Accent)
            } else {
                note
            };
            let _ = sheet.write_unsaid(&number, middle, first - paper.size(Role::Note) * 0.3, of);
        }
        let height = first + PARTS as f32 * self.row;
        for line in 0..=PARTS {
            let y = first + line as f32 * self.row;
            sheet.rule(self.left, self.right, y, 1.0, Ink::Quiet);
        }
        for line in 0..=chords {
            let x = self.left + line as f32 * width;
            sheet.rect(x, first, 1.0, height - first, Ink::Rule);
        }
        if !paper.is_folded() {
            for (line, label) in [words.bass, words.quality].into_iter().enumerate() {
                let middle = first + (line as f32 + 0.5) * self.row;
                let y = middle + 0.34 * paper.size(Role::Text);
                let of = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
                let end = self.left - paper.key() * 0.5;
                let _ = sheet.write(label, end, y, of.anchor(Anchor::End));
            }
        }

        for part in 0..task.asks.len() {
            let left = self.left + (part / PARTS) as f32 * width;
            let top = first + (part % PARTS) as f32 * self.row;
            let bounds = Bounds {
                left,
                top,
                right: left + width,
                bottom: top + self.row,
            };
            let chosen = options.get(part).copied().flatten();
            let option = chosen.and_then(|place| task.options.get(part)?.get(place));
            let is_now = now == Some(part);
            let mut name = place_words(words, part);
            match option {
                Some(option) => {
                    let of = match chosen != task.right.get(part).copied() && self.compared {
                        _ if is_now => (Face::Bold, Ink::Accent),
                        true => (Face::Bold, Ink::Plain),
                        false => (Face::Regular, Ink::Plain),
                    };
                    self.answer(sheet, task.asks[part], option, bounds, of);
                    let (short, long) = rows::named(Some(task.asks[part]), option);
                    name = format!("{name}: {}", long.unwrap_or(short));
                }
                None => name = format!("{name}: {}", words.no_answer),
            }
            sheet.say(&name);
            if is_now {
                sheet.outline(bounds, 4.0, Ink::Accent);
            }
            if now.is_some() {
                sheet.target(bounds, Act::Part(part), &name);
            }
        }

        height
    }

    /// An answer in its place, as large as it fits.
    fn answer(
        &self,
        sheet: &mut Sheet<Act>,
        ask: Ask,
        option: &str,
        bounds: Bounds,
        of: (Face, Ink),
    ) {
        let lead = sheet.paper.size(Role::Lead);
        let room = bounds.right - bounds.left - 16.0;
        let mut size = lead.min((bounds.bottom - bounds.top) * 0.72);
        let mut drawing = self.drawn(ask, option, size, of);
        if drawing.width > room {
            size *= room / drawing.width;
            drawing = self.drawn(ask, option, size, of);
        }
        let x = (bounds.left + bounds.right - drawing.width) / 2.0;
        let y = (bounds.top + bounds.bottom) / 2.0 + 0.34 * size;
        sheet.put(&drawing, Point::new(x, y), 1.0);
    }

    fn drawn(&self, ask: Ask, option: &str, size: f32, (face, ink): (Face, Ink)) -> Drawing {
        if ask == Ask::Quality
            && let Ok(quality) = symbols::parse_quality(option)
        {
            let setting = Setting {
                bold: face == Face::Bold,
                ink,
                ..Setting::new(self.style, size * 1.3)
            };
            let drawing = symbol::quality(quality, setting);
            // A major triad is written without any sign.
            if !drawing.marks.is_empty() {
                return drawing;
            }
        }
        let (short, long) = rows::named(Some(ask), option);
        let words = if short.is_empty() {
            long.unwrap_or_default()
        } else {
            short
        };
        let mut drawing = text::layout(&words, face, size);
        for mark in &mut drawing.marks {
            mark.set_ink(ink);
        }
        drawing
    }
}

/// Returns the part that a step leads to: along the chords, or from bass to quality and back.
pub(in crate::kiosk) fn moved(task: &EarTask, part: usize, step: i8, across: bool) -> usize {
    let parts = task.asks.len();

    if across {
        let chords = (parts / PARTS).max(1) as i64;
        let chord = (part / PARTS) as i64 + i64::from(step);
        chord.rem_euclid(chords) as usize * PARTS + part % PARTS
    } else {
        part - part % PARTS + usize::from(step > 0)
    }
}

/// Returns the part that comes after one was answered: the next open one in its row, or else the
/// first that is open.
pub(in crate::kiosk) fn next(answered: &[Option<usize>], part: usize) -> Option<usize> {
    let is_open = |part: &usize| answered[*part].is_none();
    let mut row = (part % PARTS..answered.len()).step_by(PARTS);

    row.clone()
        .find(|other| *other > part && is_open(other))
        .or_else(|| row.find(is_open))
        .or_else(|| (0..answered.len()).find(is_open))
}
