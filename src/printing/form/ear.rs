//! Ear items without their key: the options to tick, a row for each sound.

use std::rc::Rc;

use super::boxes;
use super::group::{Group, ROOM, SYMBOL, rows, under};
use crate::engraving::symbol::Setting;
use crate::engraving::text::width;
use crate::engraving::{Anchor, Face};
use crate::exam::form::{Item, Task};
use crate::exam::script::{Ask, Kind, Stimulus};
use crate::printing::columns::{FALL, MEASURE};
use crate::printing::page::Meaning;
use crate::printing::plan::Block;
use crate::printing::writer::{LINE, TEXT, Type, Writer};
use crate::theory::interval::Interval;
use crate::theory::progression::numeral;
use crate::theory::symbol;
use crate::theory::{Chord, Degree, Quality};

/// Where options begin, from the margin, and how wide their columns are at most.
const OPTIONS: f32 = 44.0;
const COLUMN: f32 = 78.0;
/// Between two questions.
const BETWEEN: f32 = 22.0;
/// The width of the column of hearings.
const HEARD: f32 = 34.0;
/// The height of a row.
const ROW: f32 = 31.0;
/// The size of a symbol whose quality is as high as text.
const SETTING: f32 = 20.0;

pub(super) fn blocks<'a>(group: &Rc<Group<'a>>, all: &mut Vec<Block<'a>>) {
    rows(group, 4, (heads, draw), all);
}

/// How an option is printed.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Label {
    Quality(Quality),
    Text(String),
}

impl Label {
    pub(super) fn of(ask: Option<Ask>, option: &str, style: symbol::Style) -> Self {
        match ask {
            Some(Ask::Quality) => match symbol::parse_quality(option) {
                Ok(quality) if !symbol::print_quality(quality, style).is_empty() => {
                    Self::Quality(quality)
                }
                Ok(quality) => Self::Text(symbol::words(quality).unwrap_or("major").to_owned()),
                Err(_) => Self::Text(option.to_owned()),
            },
            Some(Ask::Interval) => Self::Text(
                Interval::parse(option)
                    .map_or(option, |of| of.short())
                    .to_owned(),
            ),
            Some(Ask::Bass) => Self::Text(numeral(option)),
            Some(Ask::Tension) => Self::Text(
                Degree::parse(option).map_or_else(|_| option.to_owned(), |of| of.to_string()),
            ),
            _ => Self::Text(option.to_owned()),
        }
    }

    fn width(&self, style: symbol::Style) -> f32 {
        match self {
            Self::Quality(quality) => {
                crate::engraving::symbol::quality(*quality, Setting::new(style, SETTING)).width
            }
            Self::Text(text) => width(text, Face::Regular, TEXT),
        }
    }

    pub(super) fn words(&self, style: symbol::Style) -> String {
        match self {
            Self::Quality(quality) => symbol::print_quality(*quality, style),
            Self::Text(text) => text.clone(),
        }
    }
}

/// The columns of a section's questions.
struct Table {
    labels: Vec<Vec<Label>>,
    /// The middle of each option's column, from the margin.
    middles: Vec<Vec<f32>>,
    /// Whether the options are lettered, as their names have no room.
    lettered: bool,
    /// Where the hearings and the figures to be marked begin.
    heard: f32,
    right: f32,
    /// Whether a symbol is printed for each sound.
    has_symbol: bool,
}

impl Table {
    fn of(on: &Writer, group: &Group<'_>) -> Self {
        let style = group.paper.exam.style;
        let (asks, options): (&[Ask], &[Vec<String>]) = match &group.section.kind {
            Kind::Ear(of) => (&of.asks, &of.options),
            _ => (&[], &[]),
        };
        let labels: Vec<Vec<Label>> = options
            .iter()
            .enumerate()
            .map(|(part, options)| {
                let ask = asks.get(part).copied();
                options
                    .iter()
                    .map(|option| Label::of(ask, option, style))
                    .collect()
            })
            .collect();
        let parts = labels.len().max(1);
        let right = on.right() - boxes::width(parts + 1);
        let heard = right - 16.0 - HEARD;
        let has_symbol = asks.contains(&Ask::WrongVoice);
        let start = if has_symbol {
            SYMBOL + ROOM + 8.0
        } else {
            OPTIONS
        };
        let count: usize = labels.iter().map(Vec::len).sum();
        let room = heard - 14.0 - on.margin() - start - BETWEEN * (parts - 1) as f32;
        let column = (room / count.max(1) as f32).min(COLUMN);
        let lettered = labels
            .iter()
            .flatten()
            .any(|label| label.width(style) > column - 6.0);
        let mut x = start;
        let middles = labels
            .iter()
            .map(|labels| {
                let own = labels
                    .iter()
                    .enumerate()
                    .map(|(place, _)| x + column * (place as f32 + 0.5))
                    .collect();
                x += column * labels.len() as f32 + BETWEEN;
                own
            })
            .collect();

        Self {
            labels,
            middles,
            lettered,
            heard,
            right,
            has_symbol,
        }
    }
}

fn letter(place: usize) -> String {
    char::from_u32('a' as u32 + place as u32 % 26)
        .unwrap_or('?')
        .to_string()
}

const fn part(ask: Ask) -> &'static str {
    match ask {
        Ask::Quality => "quality",
        Ask::Top => "on top",
        Ask::Interval => "interval",
        Ask::Inversion => "in the bass",
        Ask::Tension => "tension",
        Ask::Progression => "progression",
        Ask::RootMotion => "the root moved",
        Ask::WrongVoice => "wrong voice",
        Ask::Cadence => "cadence",
        Ask::Bass => "in the bass",
        Ask::PlayBack => "played back",
    }
}

fn heads(on: &mut Writer, group: &Group<'_>) {
    let table = Table::of(on, group);
    let style = group.paper.exam.style;
    let margin = on.margin();
    let asks: &[Ask] = match &group.section.kind {
        Kind::Ear(of) => &of.asks,
        _ => &[],
    };

    if table.lettered {
        legend(on, &table, style);
    }
    if table.labels.len() > 1 {
        let y = on.y + 11.0;
        for (ask, middles) in asks.iter().zip(&table.middles) {
            let first = margin + middles.first().copied().unwrap_or(0.0);
            boxes::head(on, part(*ask), first - boxes::SIDE / 2.0, y, Anchor::Start);
        }
        on.y += 15.0;
    }
    let y = on.y + 17.0;
    for (labels, middles) in table.labels.iter().zip(&table.middles) {
        for (place, (label, middle)) in labels.iter().zip(middles).enumerate() {
            let x = margin + middle;
            on.part(Meaning::Paragraph, |on| match label {
                _ if table.lettered => {
                    let of = Type::of(TEXT).face(Face::Italic).anchor(Anchor::Middle);
                    let _ = on.write(&letter(place), x, y, of);
                }
                Label::Quality(quality) => {
                    let setting = Setting::new(style, SETTING);
                    on.quality(*quality, setting, (x, y), Anchor::Middle);
                }
                Label::Text(text) => {
                    let _ = on.write(text, x, y, Type::of(TEXT).anchor(Anchor::Middle));
                }
            });
        }
    }
    if group.is_marked() {
        boxes::head(on, "heard", table.heard, y, Anchor::Start);
        boxes::head(on, "right", table.right, y, Anchor::Start);
    }
    on.y = y + 8.0;
    under(on);
}

/// The options by their letters, where their names are long.
fn legend(on: &mut Writer, table: &Table, style: symbol::Style) {
    let left = on.left();

    for labels in &table.labels {
        let names: Vec<String> = labels
            .iter()
            .enumerate()
            .map(|(place, label)| {
                let name = label.words(style).replace(' ', "\u{a0}");
                format!("{}\u{a0}\u{a0}{name}", letter(place))
            })
            .collect();
        on.part(Meaning::Paragraph, |on| {
            let of = (Type::of(TEXT), LINE);
            let y = on.y + 14.0;
            on.y = on.wrap(&names.join(" · "), left, y, MEASURE, of) + FALL;
        });
    }
    on.y += 6.0;
}

/// The chord that is printed where one of its voices is wrong.
pub(super) fn printed(group: &Group<'_>, item: &Item) -> Option<Chord> {
    let (Kind::Ear(of), Task::Ear(task)) = (&group.section.kind, &item.task) else {
        return None;
    };
    match of.cells.get(item.cell).map(|cell| &cell.stimulus) {
        Some(Stimulus::WrongVoice { quality, .. }) => {
            Some(Chord::new(quality.printed_root(task.root), *quality))
        }
        _ => None,
    }
}

fn draw(on: &mut Writer, group: &Group<'_>, items: &[&Item]) {
    let table = Table::of(on, group);
    let style = group.paper.exam.style;
    let margin = on.margin();
    let about = format!("{}: options to tick", group.section.title);

    on.part(Meaning::Table(about), |on| {
        for item in items {
            let y = on.y + 20.0;
            on.part(Meaning::Row, |on| {
                on.part(Meaning::RowHead, |on| group.number(on, item, margin, y));
                if table.has_symbol {
                    on.part(Meaning::Cell, |on| {
                        if let Some(chord) = printed(group, item) {
                            group.symbol(on, chord, ROOM, (margin + SYMBOL, y + 2.0));
                        }
                    });
                }
                for (labels, middles) in table.labels.iter().zip(&table.middles) {
                    for (label, middle) in labels.iter().zip(middles) {
                        let words = format!("{} ", label.words(style));
                        on.part(Meaning::Cell, |on| {
                            boxes::empty(on, &words, margin + middle, y);
                        });
                    }
                }
                if group.is_marked() {
                    boxes::blank(on, table.heard, table.heard + HEARD - 6.0, y);
                    on.part(Meaning::Cell, |on| right(on, &table, y));
                }
            });
            on.y += ROW;
            under(on);
        }
    });
}

fn right(on: &mut Writer, table: &Table, y: f32) {
    let parts = table.labels.len().max(1);

    boxes::figures(on, &boxes::down(parts, 0), "Right", table.right, y);
}
