//! Small figures that are read in black and white: the time over the items, marks over dates.

use super::content::{Content, Development, Pace, Point as Item};
use crate::engraving::text::{self, Hand};
use crate::engraving::{Anchor, Face, Ink, Mark, Point};
use crate::printing::columns::{FALL, MEASURE, NOTE_LINE, RISE};
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::text::label;
use crate::printing::words::{hundredths, plain_seconds, seconds};
use crate::printing::writer::{LINE, NOTE, ROW, TEXT, Type, Writer};

pub(super) fn paces<'a>(content: &'a Content, all: &mut Vec<Block<'a>>) {
    for pace in &content.paces {
        all.push(Block::new(|on| draw(on, pace)));
    }
}

/// The height of the plot of times.
const HEIGHT: f32 = 46.0;
/// Half the size of a point.
const HALF: f32 = 2.6;

fn draw(on: &mut Writer, pace: &Pace) {
    let (left, right) = (on.left(), on.right());
    let top = on.y + 8.0;
    let bottom = top + HEIGHT;
    let longest = pace.points.iter().filter_map(|point| point.time).max();
    let most = longest.unwrap_or_default().max(pace.limit).as_seconds() * 1.08;
    let height = |seconds: f64| bottom - (seconds / most.max(0.1)) as f32 * HEIGHT;
    let (from, to) = (left + 24.0, right);
    let step = (to - from) / pace.points.len().max(1) as f32;
    let mut marks = Vec::new();

    marks.push(line((from, bottom), (to, bottom), Ink::Quiet));
    let limit = height(pace.limit.as_seconds());
    let mut x = from;
    while x < to {
        marks.push(line((x, limit), ((x + 4.0).min(to), limit), Ink::Quiet));
        x += 8.0;
    }
    let number = |words: &str, y: f32| words_at(words, (from - 6.0, y + 4.0), Anchor::End);
    marks.extend(number("0", bottom - 2.0));
    marks.extend(number(&format!("{} s", plain_seconds(pace.limit)), limit));
    for (place, point) in pace.points.iter().enumerate() {
        let x = from + step * (place as f32 + 0.5);
        match point.time {
            Some(time) => marks.extend(sign(point.level, x, height(time.as_seconds()))),
            None => marks.extend(words_at("none", (x, bottom - 3.0), Anchor::Middle)),
        }
    }

    on.part(Meaning::Section, |on| {
        label(on, &format!("Time, {}", lower(&pace.title)), on.y + RISE);
        on.part(Meaning::Figure(said(pace)), |on| on.picture(marks));
        on.part(Meaning::Paragraph, |on| {
            let text = format!("■ level 4, □ 3, × below. {}", pace.words);
            let of = (Type::of(NOTE).quiet(), NOTE_LINE);
            on.y = on.wrap(&text, left, bottom + 17.0, MEASURE, of) + FALL;
        });
    });
}

/// Makes the first letter small, unless the first word is a name or a symbol.
fn lower(title: &str) -> String {
    let mut signs = title.chars();

    match (signs.next(), signs.clone().next()) {
        (Some(first), Some(second)) if second.is_lowercase() => {
            first.to_lowercase().collect::<String>() + signs.as_str()
        }
        _ => title.to_owned(),
    }
}

/// The figure for those who hear it.
fn said(pace: &Pace) -> String {
    let items: Vec<String> = pace
        .points
        .iter()
        .map(|Item { id, time, level }| match time {
            Some(time) => format!("{id}: {} seconds, level {level}", seconds(*time)),
            None => format!("{id}: no chord"),
        })
        .collect();

    format!(
        "Seconds to complete in the order asked, limit {}. {}",
        plain_seconds(pace.limit),
        items.join("; ")
    )
}

fn words_at(words: &str, (x, y): (f32, f32), anchor: Anchor) -> Vec<Mark> {
    let hand = Hand {
        face: Face::Regular,
        size: NOTE,
        anchor,
        ink: Ink::Quiet,
    };

    text::marks(words, hand, Point::new(x, y))
}

fn line(from: (f32, f32), to: (f32, f32), ink: Ink) -> Mark {
    Mark::Line {
        from: Point::new(from.0, from.1),
        to: Point::new(to.0, to.1),
        thickness: 1.0,
        ink,
    }
}

/// The sign of a level: full, empty or crossed.
fn sign(level: u8, x: f32, y: f32) -> Vec<Mark> {
    let square = |half: f32, ink| Mark::Rect {
        at: Point::new(x - half, y - half),
        width: 2.0 * half,
        height: 2.0 * half,
        ink,
    };

    match level {
        4 => vec![square(HALF, Ink::Plain)],
        3 => vec![square(HALF, Ink::Plain), square(HALF - 1.0, Ink::Paper)],
        _ => vec![
            line((x - HALF, y - HALF), (x + HALF, y + HALF), Ink::Plain),
            line((x - HALF, y + HALF), (x + HALF, y - HALF), Ink::Plain),
        ],
    }
}

pub(super) fn development<'a>(content: &'a Content, all: &mut Vec<Block<'a>>) {
    if let Some(development) = &content.development {
        all.push(Block::new(|on| marks_over_dates(on, development)));
    }
}

/// The most sittings that are shown: the last ones.
const SITTINGS: usize = 12;

fn marks_over_dates(on: &mut Writer, development: &Development) {
    let (margin, left, right) = (on.margin(), on.left(), on.right());
    let skipped = development.rows.len().saturating_sub(SITTINGS);
    let rows = &development.rows[skipped..];
    let head = on.y + RISE;
    let top = head + 8.0;
    // Shares from 0 to 100 lie between these.
    let (from, to) = (left + 322.0, right);
    let at = |share: i64| from + (share.clamp(0, 10_000) as f32 / 10_000.0) * (to - from);

    on.part(Meaning::Section, |on| {
        label(on, "Development", head);
        on.part(
            Meaning::Table("This and earlier sittings".to_owned()),
            |on| {
                on.part(Meaning::Row, |on| {
                    let heads = [
                        ("date", left, Anchor::Start),
                        ("form", left + 140.0, Anchor::Start),
                        ("mark", left + 296.0, Anchor::End),
                        ("0 to 100 %, with its standard error", from, Anchor::Start),
                    ];
                    for (words, x, anchor) in heads {
                        on.part(Meaning::ColumnHead, |on| {
                            let _ = on.write(words, x, head, Type::label(NOTE).anchor(anchor));
                        });
                    }
                });
                on.rule(margin, right, top, 1.0, Ink::Quiet);
                for (place, row) in rows.iter().enumerate() {
                    let y = top + 15.0 + place as f32 * ROW;
                    let face = if row.this { Face::Bold } else { Face::Regular };
                    let of = Type::of(TEXT).face(face);
                    let mark = (row.mark.share + 50) / 100;
                    let error = row.mark.error.map_or_else(
                        || " ± ?".to_owned(),
                        |error| format!(" ± {}", hundredths((error + 5) / 10 * 10)),
                    );
                    on.part(Meaning::Row, |on| {
                        on.part(Meaning::RowHead, |on| {
                            let _ = on.write(&row.date, left, y, of);
                        });
                        on.part(Meaning::Cell, |on| {
                            let _ = on.write(&row.form, left + 140.0, y, of);
                        });
                        on.part(Meaning::Cell, |on| {
                            let text = format!("{mark}{error} %");
                            let _ = on.write(&text, left + 296.0, y, of.anchor(Anchor::End));
                        });
                        let words = match row.band.as_str() {
                            "" => format!("{mark} %"),
                            band => band.to_owned(),
                        };
                        on.part(Meaning::Cell, |on| {
                            on.part(Meaning::Figure(words), |on| {
                                let y = y - 5.0;
                                let reach = row.mark.error.unwrap_or(0);
                                let (low, high) =
                                    (at(row.mark.share - reach), at(row.mark.share + reach));
                                let mut marks = vec![
                                    line((from, y), (to, y), Ink::Rule),
                                    Mark::Line {
                                        from: Point::new(low, y),
                                        to: Point::new(high, y),
                                        thickness: 2.0,
                                        ink: Ink::Plain,
                                    },
                                ];
                                let level = if row.mark.error.is_some() { 4 } else { 3 };
                                marks.extend(sign(level, at(row.mark.share), y));
                                on.picture(marks);
                            });
                        });
                    });
                    let last = place + 1 == rows.len();
                    let ink = if last { Ink::Quiet } else { Ink::Rule };
                    on.rule(left, right, top + (place + 1) as f32 * ROW, 1.0, ink);
                }
            },
        );
        let y = top + rows.len() as f32 * ROW + 17.0;
        on.y = y - 12.0;
        if !development.words.is_empty() {
            on.part(Meaning::Paragraph, |on| {
                let text = development.words.join(" ");
                on.y = on.wrap(&text, left, y, MEASURE, (Type::of(TEXT), LINE)) + FALL;
            });
        }
    });
}
