//! How a candidate has come on since earlier sittings of the same exam.

use super::{Development, Sat, Share, Source};
use crate::fraction;
use crate::marking::grade::SectionMark;
use crate::marking::statistics::StandardError;
use crate::printing::sheet::words::growth as say;
use crate::printing::words::Moment;
use crate::results::summary::{self, Summary};
use crate::theory::symbol;

/// A sitting as far as its development is told: marks in percent with their errors.
struct Told {
    share: f64,
    error: Option<f64>,
    sections: Vec<(String, f64, Option<f64>)>,
    /// Root and quality in ASCII, with the level.
    chords: Vec<(String, u8)>,
}

pub(super) fn development(source: &Source<'_>, earlier: &[Summary]) -> Option<Development> {
    let before = last_of_each(source, earlier);
    if before.is_empty() {
        return None;
    }

    let mut rows: Vec<Sat> = before
        .iter()
        .map(|summary| Sat {
            date: date(&summary.started),
            form: summary.form.clone(),
            mark: share(&told(summary)),
            band: summary.band.clone(),
            this: false,
        })
        .collect();
    let now = this(source);
    let total = &source.outcome.grade.total;
    rows.push(Sat {
        date: date(&source.given.started),
        form: source.sitting.form().code.to_string(),
        mark: share(&now),
        band: match source.outcome.void {
            true => "void".to_owned(),
            false => total.band.clone().unwrap_or_default(),
        },
        this: true,
    });

    let mut words = Vec::new();
    let last = before.last().filter(|last| last.band != "void");
    if let Some(last) = last.filter(|_| !source.outcome.void) {
        if last.exam_digest != source.given.digest {
            words.push(say::other_script());
        }
        if last.form == source.sitting.form().code.to_string() {
            words.push(say::same_form());
        }
        let then = told(last);
        words.push(say::total(
            &date(&last.started),
            (then.share, then.error),
            (now.share, now.error),
        ));
        words.extend(sections(&then, &now));
        let chords = chords(&then, &now, source.exam.style);
        words.extend(say::chords(&chords.0, &chords.1));
        if before.len() > 1
            && let Some(first) = before.first().filter(|first| first.band != "void")
        {
            let first_told = told(first);
            words.push(say::total(
                &date(&first.started),
                (first_told.share, first_told.error),
                (now.share, now.error),
            ));
        }
    }

    Some(Development { rows, words })
}

/// The earlier sittings by their time: of results made from one another the last alone, and none
/// of this sitting itself.
fn last_of_each<'a>(source: &Source<'_>, earlier: &'a [Summary]) -> Vec<&'a Summary> {
    let given = source.given;
    let begun = Moment::read(&given.started);
    let mut kept: Vec<&Summary> = Vec::new();

    for summary in earlier {
        let is_earlier = match (Moment::read(&summary.started), begun) {
            (Some(then), Some(now)) => then < now,
            _ => summary.started < given.started,
        };
        let fits = summary.exam == source.exam.name && summary.candidate == given.candidate;
        if !is_earlier || !fits {
            continue;
        }
        // Results of one sitting: the one that another was made from gives way to it.
        let made_from = |one: &Summary, other: &Summary| {
            one.remark_of.as_ref().is_some_and(|(_, digest)| {
                digest.as_deref() == Some(other.digest.to_string().as_str())
            })
        };
        match kept
            .iter_mut()
            .find(|other| other.started == summary.started && other.form == summary.form)
        {
            Some(other) => {
                let later = made_from(summary, other)
                    || (!made_from(other, summary)
                        && other.remark_of.is_none()
                        && summary.remark_of.is_some());
                if later {
                    *other = summary;
                }
            }
            None => kept.push(summary),
        }
    }
    kept.sort_by(|one, other| {
        let moment = |of: &Summary| Moment::read(&of.started);
        moment(one)
            .cmp(&moment(other))
            .then_with(|| one.started.cmp(&other.started))
    });

    kept
}

fn date(started: &str) -> String {
    Moment::read(started).map_or_else(|| started.to_owned(), Moment::date)
}

fn share(told: &Told) -> Share {
    let hundredths = |value: f64| (value * 100.0).round() as i64;

    Share {
        share: hundredths(told.share),
        error: told.error.map(hundredths),
    }
}

/// What a stored result states, in percent.
fn told(summary: &Summary) -> Told {
    let points = |value: summary::Hundredths| value as f64 / 100.0;
    let parts = summary.sections.iter().map(|section| {
        let out_of = points(section.out_of);
        // A file has 0 where the formula gives it: then it is at least half an item.
        let half = out_of / (2.0 * f64::from(section.items.max(1)));
        let error = match section.kind.as_str() {
            "panel" => Some(0.0),
            _ => section
                .error
                .map(|error| if error > 0.0 { error } else { half }),
        };
        Part {
            id: section.id.clone(),
            mark: points(section.mark),
            out_of,
            error,
        }
    });

    from_parts(
        parts.collect(),
        (points(summary.mark), points(summary.out_of)),
        summary
            .chords
            .iter()
            .map(|chord| (format!("{}{}", chord.root, chord.quality), chord.level))
            .collect(),
    )
}

/// The sitting of this sheet, in percent.
fn this(source: &Source<'_>) -> Told {
    let grade = &source.outcome.grade;
    let part = |mark: &SectionMark| {
        let error = match mark.error {
            // What a person gives has no error of items.
            None => Some(0.0),
            Some(StandardError::Unknown) => None,
            Some(error) => error.points(),
        };
        Part {
            id: source.exam.sections[mark.section].id.clone(),
            mark: fraction::to_f64(mark.mark),
            out_of: fraction::to_f64(mark.out_of),
            error,
        }
    };

    from_parts(
        grade.sections.iter().map(part).collect(),
        (
            fraction::to_f64(grade.total.mark),
            fraction::to_f64(grade.total.out_of),
        ),
        source
            .outcome
            .profile
            .cells
            .iter()
            .map(|cell| {
                let root = cell.quality.printed_root(cell.root);
                let quality = symbol::ascii_quality(cell.quality);
                (format!("{}{quality}", root.ascii()), cell.level)
            })
            .collect(),
    )
}

/// A section in marks.
struct Part {
    id: String,
    mark: f64,
    out_of: f64,
    error: Option<f64>,
}

fn from_parts(parts: Vec<Part>, (mark, out_of): (f64, f64), chords: Vec<(String, u8)>) -> Told {
    let percent = |value: f64, of: f64| {
        if of > 0.0 { 100.0 * value / of } else { 0.0 }
    };
    // One error that is not known leaves the sum unknown.
    let error = parts
        .iter()
        .filter(|part| part.out_of > 0.0)
        .try_fold(0.0_f64, |sum, part| Some(sum.hypot(part.error?)));

    Told {
        share: percent(mark, out_of),
        error: error.map(|error| percent(error, out_of)),
        sections: parts
            .into_iter()
            .map(|part| {
                let error = part.error.map(|error| percent(error, part.out_of));
                (part.id, percent(part.mark, part.out_of), error)
            })
            .collect(),
        chords,
    }
}

/// The sections that changed for sure.
fn sections(then: &Told, now: &Told) -> Option<String> {
    let mut up = Vec::new();
    let mut down = Vec::new();

    for (id, share, error) in &now.sections {
        let Some((_, was, was_error)) = then.sections.iter().find(|(other, ..)| other == id) else {
            continue;
        };
        match say::change((*was, *was_error), (*share, *error)) {
            Some(change) if change > 0.0 => up.push((id.clone(), *was, *share)),
            Some(_) => down.push((id.clone(), *was, *share)),
            None => {}
        }
    }

    say::sections(&up, &down)
}

/// Chords right at once now and below level 3 then, and the other way round, as printed.
fn chords(then: &Told, now: &Told, style: symbol::Style) -> (Vec<String>, Vec<String>) {
    let worst = |told: &Told, name: &str| {
        let levels = told.chords.iter().filter(|(other, _)| other == name);
        levels.map(|(_, level)| *level).min()
    };
    let mut sure = Vec::new();
    let mut slipped = Vec::new();

    for (name, _) in &now.chords {
        let (Some(was), Some(is)) = (worst(then, name), worst(now, name)) else {
            continue;
        };
        let printed =
            symbol::parse(name).map_or_else(|_| name.clone(), |chord| symbol::print(chord, style));
        let list = match (was, is) {
            (..=2, 4) => &mut sure,
            (4, ..=2) => &mut slipped,
            _ => continue,
        };
        if !list.contains(&printed) {
            list.push(printed);
        }
    }

    (sure, slipped)
}
