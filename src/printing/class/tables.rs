//! The tables of a class report.

use super::Given;
use crate::cohort::confusion::Matrix;
use crate::cohort::{self, Exam};
use crate::engraving::{Face, text};
use crate::printing::sheet::content::ROOTS;
use crate::printing::table::{Cell, Column, Table};
use crate::printing::words;
use crate::printing::writer::TEXT;
use crate::theory::symbol;

/// From the margin to the text, and to the right edge.
const LEFT: f32 = 120.0;
const RIGHT: f32 = 666.0;
/// Sittings that are printed one by one at most; of a larger class the files have them.
pub(super) const SITTINGS: usize = 240;
/// Rows of the tables of items and forms at most; the files have all.
const ITEMS: usize = 12;
const FORMS: usize = 14;

/// Standards not reached that are named one by one.
const STANDARDS: usize = 12;

/// All tables of a report.
pub(super) struct Tables {
    pub(super) bands: Table,
    pub(super) class: Table,
    pub(super) class_note: String,
    pub(super) forms: Table,
    pub(super) items: Table,
    /// Title, table and legend.
    pub(super) keys: Vec<(String, Table, String)>,
    pub(super) heard: Vec<(String, Table, String)>,
    pub(super) gaps: Table,
}

impl Tables {
    pub(super) fn of(exam: &Exam, given: Given<'_>) -> Self {
        let (class, class_note) = class(exam, given);

        Self {
            bands: bands(exam),
            class,
            class_note,
            forms: forms(exam),
            items: items(exam),
            keys: keys(exam).into_iter().collect(),
            heard: exam
                .confusions
                .iter()
                .map(|matrix| heard(exam, matrix))
                .collect(),
            gaps: gaps(exam),
        }
    }
}

fn bands(exam: &Exam) -> Table {
    let all = exam.rows.len().max(1);
    let rows = exam.bands.iter().map(|band| {
        let name = match band.name.as_str() {
            "" => "no band".to_owned(),
            name => words::capital(name),
        };
        vec![
            Cell::new(name),
            Cell::new(band.count.to_string()),
            Cell::new(format!("{} %", (band.count * 100 + all / 2) / all)),
        ]
    });

    Table {
        about: "How many have which band".to_owned(),
        columns: vec![
            Column::words("band", LEFT, 320.0),
            Column::numbers("sittings", 560.0, 80.0),
            Column::numbers("share", RIGHT, 80.0),
        ],
        rows: rows.collect(),
        notes: Vec::new(),
    }
}

/// The widest of some texts, with room beside it.
fn widest<'a>(texts: impl IntoIterator<Item = &'a str>, most: f32) -> f32 {
    texts
        .into_iter()
        .map(|words| text::width(words, Face::Regular, TEXT))
        .fold(40.0_f32, f32::max)
        .min(most)
}

/// A row a sitting, and what the signs in it mean.
fn class(exam: &Exam, given: Given<'_>) -> (Table, String) {
    let names: Vec<String> = exam
        .rows
        .iter()
        .map(|row| (given.name)(&row.candidate).unwrap_or_default())
        .collect();
    let named = names.iter().any(|name| !name.is_empty());
    let numbers = widest(exam.rows.iter().map(|row| row.candidate.as_str()), 130.0);
    let mut columns = vec![Column::words("candidate", 0.0, numbers)];
    let mut at = numbers + 12.0;
    if named {
        let room = widest(names.iter().map(String::as_str), 130.0);
        columns.push(Column::words("name", at, room));
        at += room + 12.0;
    }
    // The sections stand against the right edge, then what happened; the mark before them.
    let ids: Vec<&str> = exam
        .sections
        .iter()
        .map(|section| section.id.as_str())
        .collect();
    let happened = 64.0;
    let each = 34.0_f32.min((RIGHT - at - 230.0 - happened) / ids.len().max(1) as f32);
    let shown: &[&str] = if each >= 22.0 { &ids } else { &[] };
    let sections = RIGHT - happened - each * shown.len() as f32;
    columns.push(Column::words("form", at, 62.0));
    columns.push(Column::numbers("mark", at + 98.0, 34.0));
    columns.push(Column::numbers("± error", at + 142.0, 36.0));
    columns.push(Column::words("band", at + 152.0, sections - at - 156.0));
    for (place, id) in shown.iter().enumerate() {
        let x = sections + each * (place + 1) as f32;
        columns.push(Column::numbers(id, x, each - 2.0));
    }
    columns.push(Column::numbers("noted", RIGHT, happened - 6.0));

    let printed = match exam.rows.len() {
        count if count > SITTINGS => 0,
        count => count,
    };
    let rows = exam
        .rows
        .iter()
        .zip(&names)
        .take(printed)
        .map(|(row, name)| {
            let failed = row.passed == Some(false);
            let mark = match (row.void, row.percent) {
                (false, Some(percent)) => percent.to_string(),
                _ => "–".to_owned(),
            };
            let band = match (row.void, row.provisional, row.band.as_str()) {
                (true, ..) => "Void".to_owned(),
                (_, true, _) => words::capital(cohort::class::AWAITED),
                (_, _, band) => words::capital(band),
            };
            let mut cells = vec![Cell::new(row.candidate.clone())];
            if named {
                cells.push(Cell::new(name.clone()));
            }
            cells.push(Cell::new(row.form.clone()));
            cells.push(Cell::new(mark).bold_if(failed));
            cells.push(Cell::new(
                row.error
                    .map(|error| format!("{error:.0}"))
                    .unwrap_or_default(),
            ));
            cells.push(Cell::new(band).bold_if(failed));
            for id in shown {
                let share = row
                    .sections
                    .iter()
                    .find(|(own, ..)| own == id)
                    .filter(|(_, _, out_of)| *out_of > 0)
                    .map(|(_, mark, out_of)| ((mark * 200 + out_of) / (2 * out_of)).to_string());
                let missed = row.hurdles_missed.iter().any(|own| own == id);
                cells.push(Cell::new(share.unwrap_or_else(|| "–".to_owned())).bold_if(missed));
            }
            cells.push(Cell::new(happenings(row)));
            cells
        });
    let table = Table {
        about: "The class: a row for each sitting".to_owned(),
        rows: rows.collect(),
        columns,
        notes: Vec::new(),
    };
    let note = "Mark and sections in percent; the error in marks. Bold: not passed, or a hurdle \
                missed. Noted: w chords found by way of a neighbour, i incidents, o items overruled \
                by a person, a items that await a person's mark, h marked by hand at a piano.";
    let unreached = unreached(exam);

    (table, format!("{note}{unreached}"))
}

/// Says which standards for each answer were not reached, of so many sittings one by one.
fn unreached(exam: &Exam) -> String {
    let all: Vec<String> = exam
        .rows
        .iter()
        .filter(|row| !row.void)
        .flat_map(|row| {
            row.unreached
                .iter()
                .map(|(section, words)| format!("{}, section {section}: {words}.", row.candidate))
        })
        .collect();
    let more = match all.len().saturating_sub(STANDARDS) {
        0 => String::new(),
        more => format!(" And {more} more, as the class table in CSV has them."),
    };

    match all.is_empty() {
        true => String::new(),
        false => format!(" {}{more}", all[..all.len().min(STANDARDS)].join(" ")),
    }
}

fn happenings(row: &cohort::class::Row) -> String {
    let parts = [
        (row.walked, 'w'),
        (row.incidents, 'i'),
        (row.overruled, 'o'),
        (row.awaited, 'a'),
    ];
    let by_hand = (!row.by_hand.is_empty()).then(|| "h".to_owned());
    let said: Vec<String> = parts
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, sign)| format!("{count}{sign}"))
        .chain(by_hand)
        .collect();

    said.join(" ")
}

fn forms(exam: &Exam) -> Table {
    let mut forms: Vec<_> = exam.forms.rows.iter().collect();
    forms.sort_by_key(|form| (std::cmp::Reverse(form.count), form.code.clone()));
    let rows = forms.iter().take(FORMS).map(|form| {
        vec![
            Cell::new(form.code.clone()),
            Cell::new(form.count.to_string()),
            Cell::new(format!("{:.1}", form.mean)),
            Cell::new(
                form.error
                    .map(|error| format!("{error:.1}"))
                    .unwrap_or_default(),
            ),
        ]
    });

    Table {
        about: "Forms side by side".to_owned(),
        columns: vec![
            Column::words("form", LEFT, 200.0),
            Column::numbers("sittings", 420.0, 80.0),
            Column::numbers("mean", 540.0, 80.0),
            Column::numbers("standard error", RIGHT, 100.0),
        ],
        rows: rows.collect(),
        notes: Vec::new(),
    }
}

/// The items to look at, the most urgent first; under each why.
fn items(exam: &Exam) -> Table {
    let mut rows = Vec::new();
    let mut notes = Vec::new();

    for item in cohort::words::to_look_at(exam).into_iter().take(ITEMS) {
        let doubtful = item.discrimination.is_some_and(|r| r < 0.0);
        let r = item
            .discrimination
            .map_or_else(|| "–".to_owned(), |r| minus(format!("{r:.2}")));
        rows.push(vec![
            Cell::new(item.words()),
            Cell::new(item.sittings.to_string()),
            Cell::new(format!("{:.2}", item.difficulty)),
            Cell::new(r).bold_if(doubtful),
        ]);
        notes.push(words::capital(&item.look.join("; ")));
    }

    Table {
        about: "Items to look at".to_owned(),
        columns: vec![
            Column::words("item", 0.0, 440.0),
            Column::numbers("sittings", 500.0, 50.0),
            Column::numbers("difficulty", 570.0, 60.0),
            Column::numbers("discrimination", RIGHT, 90.0),
        ],
        rows,
        notes,
    }
}

/// Keys and qualities: the mean level, one decimal.
fn keys(exam: &Exam) -> Option<(String, Table, String)> {
    let mut qualities: Vec<&str> = Vec::new();
    for chord in &exam.chords {
        if !qualities.contains(&chord.quality.as_str()) {
            qualities.push(&chord.quality);
        }
    }
    if qualities.is_empty() {
        return None;
    }
    let step = (RIGHT - LEFT) / 12.0;
    let mut columns = vec![Column::words("quality", 0.0, LEFT - 8.0)];
    for (place, (_, root)) in ROOTS.iter().enumerate() {
        let x = LEFT + step * (place as f32 + 1.0) - 8.0;
        columns.push(Column::numbers(root, x, step));
    }
    let rows = qualities.iter().map(|quality| {
        let label = words::label(quality, symbol::Style::DEFAULT);
        let mut cells = vec![Cell::new(label)];
        for (class, _) in ROOTS {
            let chord = exam
                .chords
                .iter()
                .find(|chord| chord.quality == *quality && class_of(&chord.root) == Some(class));
            cells.push(match chord {
                Some(chord) => Cell::new(format!("{:.1}", chord.level)).bold_if(chord.level < 2.95),
                None => Cell::new("–"),
            });
        }
        cells
    });
    let slow = slowest(exam);
    let note = format!(
        "Mean level, 4 to 0, over all sittings; bold below 3.{slow} Hands are inferred from pitch."
    );

    Some((
        "Keys".to_owned(),
        Table {
            about: "Mean level by quality and root".to_owned(),
            rows: rows.collect(),
            columns,
            notes: Vec::new(),
        },
        note,
    ))
}

/// A quality as a chord symbol has it; other labels as they are.
fn sign(label: &str) -> String {
    symbol::parse_quality(label).map_or_else(
        |_| label.to_owned(),
        |quality| match symbol::print_quality(quality, symbol::Style::DEFAULT) {
            // The major triad's symbol has nothing after the root.
            empty if empty.is_empty() => words::label(label, symbol::Style::DEFAULT),
            sign => sign,
        },
    )
}

/// The pitch class of a root in ASCII.
fn class_of(root: &str) -> Option<u8> {
    crate::theory::Name::parse(root)
        .ok()
        .map(|name| name.class())
}

/// The chords that took longest, in a sentence.
fn slowest(exam: &Exam) -> String {
    let mut timed: Vec<_> = exam
        .chords
        .iter()
        .filter(|chord| chord.timed >= 3)
        .filter_map(|chord| Some((chord.median?, chord)))
        .collect();
    timed.sort_by_key(|(time, _)| std::cmp::Reverse(*time));
    let named: Vec<String> = timed
        .iter()
        .take(3)
        .map(|(time, chord)| {
            let quality = sign(&chord.quality);
            let root = chord.root.replace('b', "♭").replace('#', "♯");
            format!("{root}{quality} {}", words::seconds(*time))
        })
        .collect();

    match named.is_empty() {
        true => String::new(),
        false => format!(" Slowest (median): {}.", words::list(&named)),
    }
}

/// What was sounded and answered in a section.
fn heard(exam: &Exam, matrix: &Matrix) -> (String, Table, String) {
    let counts = &matrix.counts;
    let title = exam
        .sections
        .iter()
        .find(|section| section.id == matrix.section)
        .map_or_else(|| matrix.section.clone(), |section| section.title.clone());
    let title = match matrix.part {
        1 => title,
        part => format!("{title}, part {part}"),
    };
    let labels: Vec<String> = counts.labels().iter().map(|label| sign(label)).collect();
    let head = widest(labels.iter().map(String::as_str), 150.0) + 10.0;
    let step = ((RIGHT - LEFT - head - 100.0) / (labels.len() + 1) as f32).min(64.0);
    // Long labels are numbered in the head and named in the rows.
    let numbered = labels
        .iter()
        .any(|label| text::width(label, Face::Regular, TEXT) > step - 4.0);
    let mut columns = vec![Column::words("sounded", LEFT, head)];
    for (place, label) in labels.iter().enumerate() {
        let label = match numbered {
            true => (place + 1).to_string(),
            false => label.clone(),
        };
        columns.push(Column::numbers(
            &label,
            LEFT + head + step * (place + 1) as f32,
            step,
        ));
    }
    let none = LEFT + head + step * (labels.len() + 1) as f32;
    columns.push(Column::numbers("none", none, step));
    columns.push(Column::numbers("right", RIGHT - 44.0, 50.0));
    columns.push(Column::numbers("d′", RIGHT, 40.0));

    let rows = counts
        .rows()
        .zip(&labels)
        .enumerate()
        .map(|(place, (row, label))| {
            let name = match numbered {
                true => format!("{} {label}", place + 1),
                false => label.clone(),
            };
            let mut cells = vec![Cell::new(name)];
            for (column, count) in row.counts.iter().enumerate() {
                let text = match count {
                    0 => "·".to_owned(),
                    count => count.to_string(),
                };
                // The diagonal is what is right; what stands out beside it is bold.
                cells.push(Cell::new(text).bold_if(column != place && *count * 10 > row.total()));
            }
            cells.push(Cell::new(match row.unanswered {
                0 => "·".to_owned(),
                count => count.to_string(),
            }));
            let right = row.counts.get(place).copied().unwrap_or(0);
            cells.push(Cell::new(match row.total() {
                0 => "–".to_owned(),
                total => format!("{} %", (right * 100 + total / 2) / total),
            }));
            cells.push(Cell::new(
                counts
                    .sensitivity(row.sounded)
                    .map(|d| format!("{d:.1}"))
                    .unwrap_or_default(),
            ));
            cells
        });
    let confused: Vec<String> = counts
        .commonest(3)
        .iter()
        .map(|pair| {
            let name = |label: &String| words::label(label, symbol::Style::DEFAULT);
            format!(
                "{} taken for {}, {} of {}",
                name(pair.sounded),
                name(pair.answered),
                pair.count,
                pair.of
            )
        })
        .collect();
    let note = match confused.is_empty() {
        true => "Nothing was taken for anything else.".to_owned(),
        false => format!(
            "Most often confused: {}. Bold: more than a tenth of what sounded.",
            confused.join("; ")
        ),
    };

    (
        title,
        Table {
            about: "What sounded, by what was answered".to_owned(),
            columns,
            rows: rows.collect(),
            notes: Vec::new(),
        },
        note,
    )
}

/// A number with a minus that is as wide as a plus.
fn minus(number: String) -> String {
    number.replace('-', "−")
}

/// The routine gap by candidate and quality, in seconds or hundredths of share.
fn gaps(exam: &Exam) -> Table {
    let mut kinds: Vec<(&str, &str)> = Vec::new();
    let mut sittings: Vec<(&str, &str)> = Vec::new();
    let printed = match exam.rows.len() {
        count if count > SITTINGS => &[],
        _ => exam.gaps.rows.as_slice(),
    };
    for gap in printed {
        let kind = (gap.quality.as_str(), gap.form.as_str());
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
        let sitting = (gap.candidate.as_str(), gap.started.as_str());
        if !sittings.contains(&sitting) {
            sittings.push(sitting);
        }
    }
    let place = |quality: &str| {
        exam.chords
            .iter()
            .position(|chord| chord.quality == quality)
    };
    kinds.sort_by_key(|(quality, form)| (place(quality), *form));
    kinds.truncate(6);
    let step = (RIGHT - LEFT - 110.0) / kinds.len().max(1) as f32;
    let mut columns = vec![Column::words("candidate", LEFT, 100.0)];
    for (place, (quality, form)) in kinds.iter().enumerate() {
        // Where one quality was asked in several forms, the form tells them apart.
        let alone = kinds.iter().filter(|(other, _)| other == quality).count() == 1;
        let label = match alone {
            true => sign(quality),
            false => format!("{} {form}", sign(quality)),
        };
        let x = LEFT + 110.0 + step * (place + 1) as f32;
        columns.push(Column::numbers(&label, x, step - 6.0));
    }
    let rows = sittings.iter().map(|(candidate, started)| {
        let mut cells = vec![Cell::new(*candidate)];
        for kind in &kinds {
            let gap = printed.iter().find(|gap| {
                (gap.candidate.as_str(), gap.started.as_str()) == (*candidate, *started)
                    && (gap.quality.as_str(), gap.form.as_str()) == *kind
            });
            cells.push(match gap.map(|gap| (gap.ms(), gap.share())) {
                Some((Some(ms), _)) => {
                    Cell::new(minus(format!("{:.1} s", ms / 1000.0))).bold_if(ms > 1000.0)
                }
                Some((None, Some(share))) => {
                    Cell::new(minus(format!("{:+.0} %", share * 100.0))).bold_if(share > 0.25)
                }
                _ => Cell::new("–"),
            });
        }
        cells
    });

    Table {
        about: "Routine gap by candidate and quality".to_owned(),
        columns,
        rows: rows.collect(),
        notes: Vec::new(),
    }
}
