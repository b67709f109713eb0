//! The explanation in plain words, for a terminal of a hundred columns.

mod layout;

use self::layout::{line, row, table};
use super::{Explanation, FACTORS, Level, Section, Stretch};
use crate::exam::duration;
use crate::fraction::{self, Fraction};
use crate::marking::statistics::{self, FEWEST_SOUNDINGS, StandardError};

/// The time factors as they head their columns.
const HEADS: [&str; FACTORS.len()] = ["factor 1", "factor 1.5", "factor 2"];

/// Writes the explanation, paragraph by paragraph.
pub fn words(of: &Explanation) -> String {
    let blocks = [
        asks(of),
        lasts(of),
        guessing(of),
        errors(of),
        thin(of),
        hands(of),
    ];
    let blocks: Vec<String> = blocks
        .into_iter()
        .filter(|block| !block.is_empty())
        .collect();

    blocks.join("\n")
}

/// Writes a count with its word.
pub(super) fn counted(count: usize, word: &str) -> String {
    if count == 1 {
        format!("1 {word}")
    } else {
        format!("{count} {word}s")
    }
}

/// Writes marks as a teacher would: `75`, `12.5`.
fn marks(value: Fraction) -> String {
    let text = fraction::hundredths(value);

    match text.split_once('.') {
        Some((whole, part)) if part.trim_end_matches('0').is_empty() => whole.to_owned(),
        Some(_) => text.trim_end_matches('0').to_owned(),
        None => text,
    }
}

/// Writes marks that are no whole number of hundredths anyway, to a tenth.
fn about(value: Fraction) -> String {
    let text = format!("{:.1}", fraction::to_f64(value));

    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

fn asks(of: &Explanation) -> String {
    let mut out = line(
        0,
        &format!(
            "{}: what a form asks ({}, {} marks, {})",
            of.title,
            counted(of.items(), "item"),
            marks(of.points),
            match of.seats {
                1 => "one form in a set".to_owned(),
                seats => format!("{seats} parallel forms in a set"),
            }
        ),
    );

    for section in &of.sections {
        let points = if section.kind == "rest" {
            String::new()
        } else {
            format!(
                ", {}",
                match marks(section.points).as_str() {
                    "1" => "1 mark".to_owned(),
                    points => format!("{points} marks"),
                }
            )
        };
        out += &line(
            2,
            &format!(
                "{}  {}: {}{points}",
                section.id, section.title, section.asks
            ),
        );
        for cell in &section.cells {
            let thin = if cell.stock.is_thin() { "  [thin]" } else { "" };
            out += &line(
                6,
                &format!(
                    "{:>2} of {:>3}  {}{thin}",
                    cell.count, cell.stock.different, cell.what
                ),
            );
        }
    }
    for section in &of.sections {
        if let Some(each) = &section.each {
            let with = match each.with.as_slice() {
                [] => String::new(),
                with => format!(", counted with {}", list(with)),
            };
            out += &line(
                2,
                &format!(
                    "{} needs {} right{with}; of what is voided no more may be missed than before.",
                    section.id,
                    each.needed()
                ),
            );
        }
    }
    out += &line(
        2,
        "\"2 of 5\" asks two items of a pool of five different ones.",
    );

    out
}

fn lasts(of: &Explanation) -> String {
    let mut rows = vec![row("", HEADS.map(str::to_owned))];

    for section in of.sections.iter().filter(|section| section.kind != "panel") {
        rows.push(row(
            &section.id,
            section.spans.map(|span| range(span.minutes())),
        ));
    }
    rows.push(row(
        "in all",
        [0, 1, 2].map(|place| range(of.minutes(place))),
    ));

    let mut out = line(0, "How long it takes, in minutes: usually, and at most");
    out += &table(&rows);
    let mut apart =
        vec!["the equipment check (about two minutes; common practice, no source)".to_owned()];
    if of.warm_ups > 0 {
        apart.push(format!(
            "{} (about {} with factor 1)",
            counted(of.warm_ups, "unmarked item"),
            counted(duration::minutes(of.warm_up_time) as usize, "minute")
        ));
    }
    if of.sections.iter().any(|section| section.kind == "panel") {
        apart.push("what a person takes to mark".to_owned());
    }
    out += &line(2, &format!("Not counted: {}.", list(&apart)));
    if duration::minutes(of.on_request) > 0 {
        out += &line(
            2,
            &format!(
                "Hearings on request stop the clock; if all are asked for they add {}.",
                counted(duration::minutes(of.on_request) as usize, "minute")
            ),
        );
    }
    let (least, greatest) = of.factors;
    let factor = |hundredths: u32| f64::from(hundredths) / 100.0;
    out += &line(
        2,
        &if least == greatest {
            format!("The script allows factor {} only.", factor(least))
        } else {
            format!(
                "The script allows factors from {} to {}.",
                factor(least),
                factor(greatest)
            )
        },
    );

    out
}

fn guessing(of: &Explanation) -> String {
    let ears: Vec<&Section> = of
        .sections
        .iter()
        .filter(|section| !section.guesses.is_empty())
        .collect();
    let mut out = line(0, "What guessing brings");

    for section in &ears {
        for guess in &section.guesses {
            let part = if section.guesses.len() > 1 {
                format!(" ({})", guess.ask.word())
            } else {
                String::new()
            };
            let beyond = match guess.beyond {
                Some((score, brings)) => {
                    let right = if score == guess.items {
                        format!("All {score} right")
                    } else {
                        format!("{score} or more of {} right", guess.items)
                    };
                    format!(
                        "{right}, which {} {}, a guesser reaches with a chance under 1 %.",
                        if score == guess.items {
                            "bring"
                        } else {
                            "bring at least"
                        },
                        about(brings)
                    )
                }
                None => "Even all right would not rule out guessing: there are too few items."
                    .to_owned(),
            };
            out += &line(
                2,
                &format!(
                    "{}{part}: {} of {} marks on average, with {} to choose from. {beyond}",
                    section.id,
                    about(guess.expected),
                    marks(section.points),
                    counted(guess.options, "option"),
                ),
            );
        }
    }
    out += &line(
        2,
        &match (ears.is_empty(), of.pass) {
            (true, _) => {
                "Nothing here can be guessed: all is played, written or judged.".to_owned()
            }
            (false, Some(pass)) => format!(
                "In all {} of {} marks; the pass mark is {}. What is played or written is not guessed.",
                about(of.by_chance()),
                marks(of.points),
                marks(pass)
            ),
            (false, None) => format!(
                "In all {} of {} marks. What is played or written is not guessed.",
                about(of.by_chance()),
                marks(of.points)
            ),
        },
    );

    out
}

fn errors(of: &Explanation) -> String {
    if of.items() == 0 {
        return String::new();
    }
    let head = |level: &Level| {
        let percent = fraction::percent(level.share, Fraction::from_integer(1)).unwrap_or(0);
        if level.is_pass {
            format!("at the pass mark ({percent} %)")
        } else {
            format!("at {percent} %")
        }
    };
    let cells = |text: &dyn Fn(&Level) -> String| of.levels.iter().map(text).collect::<Vec<_>>();
    let mut rows = vec![(String::new(), cells(&head))];

    for (place, section) in of.sections.iter().enumerate() {
        if section.is_measured {
            rows.push((
                section.id.clone(),
                cells(&|level| level.sections[place].map_or_else(String::new, error)),
            ));
        }
    }
    rows.push(("in all".to_owned(), cells(&|level| error(level.total))));

    let mut out = line(
        0,
        "How sure the marks are: the standard error to be expected, in marks",
    );
    out += &table(&rows);
    out += &line(
        2,
        "An expectation, not a measurement, for a candidate who gets the same share of every section \
         right. It takes items to be right or wrong and independent of each other (Lord's formula); \
         credit in between makes it smaller. In all: the root of the sum of squares.",
    );
    if let Some(note) = statistics::feedback_note(of.items()) {
        out += &line(
            2,
            &format!(
                "With {}, under {}, {note}.",
                counted(of.items(), "item"),
                statistics::FEWEST_ITEMS
            ),
        );
    }

    out
}

fn error(error: StandardError) -> String {
    match error {
        StandardError::Unknown => "not known".to_owned(),
        StandardError::AtLeastHalfItem { points } => format!("at least {points:.1}"),
        StandardError::AtLeast(points) => format!("at least {points:.1}"),
        StandardError::Known(points) => format!("± {points:.1}"),
    }
}

fn thin(of: &Explanation) -> String {
    let mut said = Vec::new();

    for section in &of.sections {
        let id = &section.id;
        let thin: Vec<_> = section
            .cells
            .iter()
            .filter(|cell| cell.stock.is_thin())
            .collect();
        let short = thin
            .iter()
            .filter(|cell| cell.stock.different < cell.stock.asked + cell.stock.spare)
            .count();
        if !thin.is_empty() {
            let cells = match (thin.len(), section.cells.len()) {
                (1, 1) => "its one cell is thin".to_owned(),
                (thin, all) if thin == all => format!("all {all} cells are thin"),
                (thin, all) => format!("{thin} of {all} cells {} thin", is_or_are(thin)),
            };
            let spare = match short {
                0 => String::new(),
                _ if short == thin.len() => {
                    " There are too few for all the spare items wanted.".to_owned()
                }
                short => format!(" In {short} there are too few for all the spare items wanted."),
            };
            let alike = match of.seats {
                1 => "one form after another has".to_owned(),
                seats => format!("the {seats} forms of a set have"),
            };
            said.push(format!(
                "{id}: {cells}: the pool is no larger than the items with their spare ones, so that \
                 {alike} nearly the same there in another order.{spare}"
            ));
        }
        if !section.seldom.is_empty() {
            let counts: Vec<String> = section
                .seldom
                .iter()
                .map(|(answer, count)| format!("{answer} ({})", times(*count)))
                .collect();
            said.push(format!(
                "{id}: {}: under {FEWEST_SOUNDINGS} times is too seldom to say anything of one answer.",
                list(&counts)
            ));
        }
        if section.is_measured && section.items == 1 {
            said.push(format!(
                "{id}: a section of one item has no standard error of its own."
            ));
        }
    }
    if said.is_empty() {
        said.push("Nothing: every cell has more to draw from than a form takes.".to_owned());
    }

    said.iter()
        .fold(line(0, "What is thin"), |out, text| out + &line(2, text))
}

fn hands(of: &Explanation) -> String {
    let said: Vec<String> = of
        .stretches
        .iter()
        .map(|stretch| strain(of, stretch))
        .collect();

    if said.is_empty() {
        return String::new();
    }
    said.iter()
        .fold(line(0, "Hands"), |out, text| out + &line(2, text))
}

fn strain(of: &Explanation, stretch: &Stretch) -> String {
    let sections = match stretch.sections.as_slice() {
        [only] => format!("section {only}"),
        several => format!("sections {}", list(several)),
    };
    let too_long = stretch.too_long().map(|place| {
        let factor = f64::from(FACTORS[place]) / 100.0;
        let with = if FACTORS[place] > of.factors.1 {
            format!("with factor {factor}, which the script does not allow")
        } else {
            format!("with factor {factor}")
        };
        format!(
            "for {} {with}",
            counted(duration::minutes(stretch.times[place]) as usize, "minute")
        )
    });
    let how: Vec<String> = stretch
        .too_many()
        .then(|| format!("for {}", counted(stretch.prompts, "prompt")))
        .into_iter()
        .chain(too_long)
        .collect();

    format!(
        "In {sections} hands play {} without a rest. After about {} prompts or {} minutes they need \
         one: add a section of kind `rest`, or listen in between.",
        how.join(" and "),
        duration::PROMPTS_WITHOUT_REST,
        duration::minutes(duration::PLAYED_WITHOUT_REST)
    )
}

const fn is_or_are(count: usize) -> &'static str {
    if count == 1 { "is" } else { "are" }
}

fn times(count: usize) -> String {
    match count {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        count => format!("{count} times"),
    }
}

fn list(parts: &[impl AsRef<str>]) -> String {
    let parts: Vec<&str> = parts.iter().map(AsRef::as_ref).collect();

    match parts.as_slice() {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [start @ .., last] => format!("{} and {last}", start.join(", ")),
    }
}

/// Minutes, usually and at most; one number where they are the same.
fn range((usual, most): (i64, i64)) -> String {
    if usual == most {
        usual.to_string()
    } else {
        format!("{usual}–{most}")
    }
}
