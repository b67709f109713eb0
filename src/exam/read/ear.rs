//! Sections that are heard.

use super::{Scope, count, one_or_more};
use crate::exam::draw::Pick;
use crate::exam::item::{accepted, same_answer};
use crate::exam::script::{Ask, EarCell, EarSection, Motion, Spacing, Stimulus};
use crate::exam::table::{Spanned, Table, Within};
use crate::theory::interval::Interval;
use crate::theory::quality::{Family, Quality};
use crate::theory::{Degree, likeness, symbol};
use crate::time::Time;

pub(super) fn read(table: &Table<'_>, scope: &Scope<'_>) -> Option<EarSection> {
    let asks = asks(table)?;
    let limit = table
        .required_number("seconds", Within::from(1.0..=600.0).of("seconds"))
        .map(|limit| Time::from_seconds(limit.value));
    let hearings = table
        .integer("hearings", 1..=9)
        .map_or(usual_hearings(asks[0]), |hearings| hearings.value as u8);
    let rooted = table
        .boolean("root_heard")
        .is_none_or(|rooted| rooted.value);
    let mut cells = Vec::new();
    let mut places = Vec::new();
    let mut whole = true;

    for cell in table.required_array_of_tables("cells") {
        let place = cell.span();
        let of = cell_of(&cell, &asks, rooted, scope);
        cell.finish();
        whole &= of.is_some();
        places.extend(of.is_some().then_some(place));
        cells.extend(of);
    }
    let options = options(table, &asks, &cells, &places, scope)?;

    if let (Ask::Quality, false, true) = (asks[0], rooted, whole) {
        ambiguous(table, &cells, scope);
    }

    Some(EarSection {
        asks,
        limit: limit?,
        hearings,
        rooted,
        options,
        cells,
    })
    .filter(|_| whole)
}

/// Hearings when the script says nothing: 1 for triads and intervals is the script's to say;
/// sevenths and tensions 2, progressions 4.
const fn usual_hearings(ask: Ask) -> u8 {
    match ask {
        Ask::Progression => 4,
        _ => 2,
    }
}

fn asks(table: &Table<'_>) -> Option<Vec<Ask>> {
    let value = table.required_value("ask")?;
    let place = value.span();
    let words = one_or_more(value)?;
    let mut asks = Vec::new();

    for word in &words {
        match Ask::WORDS.iter().find(|(known, _)| *known == word.value) {
            Some((_, ask)) => asks.push(*ask),
            None => {
                let known: Vec<&str> = Ask::WORDS.iter().map(|(word, _)| *word).collect();
                let help = match super::nearest(word.value, &known) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("known are: {}", known.join(", ")),
                };
                table.fault(
                    word.span.clone(),
                    format!("unknown question `{}`", word.value),
                    Some(help),
                );
            }
        }
    }
    if asks.len() != words.len() {
        return None;
    }

    let of_chords = |ask: &Ask| matches!(ask, Ask::Quality | Ask::Top | Ask::Inversion);
    let fine = match asks.as_slice() {
        [_] => true,
        [a, b] => a != b && of_chords(a) && of_chords(b),
        _ => false,
    };
    if !fine {
        table.fault(
            place,
            "expected one question, or two of `quality`, `top` and `inversion`",
            Some("write for example `ask = [\"quality\", \"inversion\"]`".to_owned()),
        );
        return None;
    }

    Some(asks)
}

fn cell_of(cell: &Table<'_>, asks: &[Ask], rooted: bool, scope: &Scope<'_>) -> Option<EarCell> {
    let _ = cell.required_value("count");
    let n = count(cell, "count", 200);
    let roots = scope.roots(cell);
    let stimulus = match asks[0] {
        Ask::Quality | Ask::Top | Ask::Inversion => chord(cell, asks, rooted, scope),
        Ask::Interval => interval(cell),
        Ask::Tension => tension(cell),
        Ask::Progression => cell
            .required_text("progression")
            .and_then(|name| scope.progression(&name))
            .map(|progression| Stimulus::Progression { progression }),
        Ask::RootMotion => {
            let quality = cell.parsed("quality", super::quality);
            cell.required_integer("up", Within::from(1..=11).of("semitones"))
                .map(|up| Stimulus::RootMotion {
                    quality: quality.map_or(Quality::DOMINANT, |quality| quality.value),
                    up: up.value as u8,
                })
        }
        Ask::WrongVoice => {
            let quality = cell.required_parsed("quality", super::quality);
            let voice = member(cell, "voice");
            quality.zip(voice.flatten()).and_then(|(quality, voice)| {
                has_member(cell, quality.value, &voice).then_some(Stimulus::WrongVoice {
                    quality: quality.value,
                    voice: voice.value,
                })
            })
        }
    };

    Some(EarCell {
        count: n?.value,
        stimulus: stimulus?,
        roots: roots?,
    })
}

fn chord(cell: &Table<'_>, asks: &[Ask], rooted: bool, scope: &Scope<'_>) -> Option<Stimulus> {
    let quality = cell.required_parsed("quality", super::quality)?;
    let spacing = cell
        .choice("spacing", &Spacing::WORDS)
        .map_or(Spacing::Close, |spacing| spacing.value);
    let top = member(cell, "top")?;
    let bass = member(cell, "bass")?;
    let of = quality.value;

    for number in [&top, &bass].into_iter().flatten() {
        if !has_member(cell, of, number) {
            return None;
        }
    }
    if asks.contains(&Ask::Inversion) && bass.is_none() {
        scope.out.fault(
            cell.span(),
            "an inversion is asked and the cell does not say which",
            Some("write `bass = 1`, 3, 5 or 7: the chord tone in the bass".to_owned()),
        );
        return None;
    }

    let symmetric = of.family() == Family::Diminished && of.seventh().is_some()
        || of.fifth() == Some(Degree::SharpFifth) && of.seventh().is_none();
    if asks.contains(&Ask::Inversion) && symmetric {
        scope.out.fault(
            quality.span,
            "diminished sevenths and augmented triads sound the same in every inversion",
            Some("ask for the inversion of another quality".to_owned()),
        );
        return None;
    }
    if !rooted && asks.contains(&Ask::Inversion) {
        scope.out.fault(
            cell.span(),
            "an inversion can be told only if the root is heard",
            Some("leave out `root_heard = false`".to_owned()),
        );
        return None;
    }

    Some(Stimulus::Chord {
        quality: of,
        spacing,
        top: top.map(|top| top.value),
        bass: bass.map_or(1, |bass| bass.value),
    })
}

/// Reads the number of a chord tone; the outer `None` where what is written is none.
#[expect(
    clippy::option_option,
    reason = "faulty, absent and read are three things"
)]
fn member(cell: &Table<'_>, key: &'static str) -> Option<Option<Spanned<u8>>> {
    if !cell.has(key) {
        return Some(None);
    }
    let number = cell.integer(key, 1..=7)?;
    if !matches!(number.value, 1 | 3 | 5 | 7) {
        cell.fault(
            number.span,
            format!(
                "expected a chord tone, 1, 3, 5 or 7, found {}",
                number.value
            ),
            None,
        );
        return None;
    }

    Some(Some(number.map(|number| number as u8)))
}

fn has_member(cell: &Table<'_>, quality: Quality, number: &Spanned<u8>) -> bool {
    let has = quality.own(number.value).is_some();
    if !has {
        cell.fault(
            number.span.clone(),
            format!(
                "`{}` has no chord tone {}",
                symbol::ascii_quality(quality),
                number.value
            ),
            None,
        );
    }

    has
}

fn interval(cell: &Table<'_>) -> Option<Stimulus> {
    let names: Vec<(&str, u8)> = Interval::all()
        .map(|interval| (interval.short(), interval.semitones()))
        .collect();
    let semitones = cell.required_choice("interval", &names);
    let motion = cell.choice(
        "motion",
        &[
            ("harmonic", Motion::Harmonic),
            ("rising", Motion::Rising),
            ("falling", Motion::Falling),
        ],
    );

    Some(Stimulus::Interval {
        semitones: semitones?.value,
        motion: motion.map_or(Motion::Harmonic, |motion| motion.value),
    })
}

fn tension(cell: &Table<'_>) -> Option<Stimulus> {
    const KNOWN: [(&str, Degree); 6] = [
        ("9", Degree::Ninth),
        ("b9", Degree::FlatNinth),
        ("#9", Degree::SharpNinth),
        ("#11", Degree::SharpEleventh),
        ("13", Degree::Thirteenth),
        ("b13", Degree::FlatThirteenth),
    ];

    cell.required_choice("tension", &KNOWN)
        .map(|tension| Stimulus::Tension {
            tension: tension.value,
        })
}

/// The options of each part: as written, or all answers of the cells in the order of likeness.
fn options(
    table: &Table<'_>,
    asks: &[Ask],
    cells: &[EarCell],
    places: &[super::Place],
    scope: &Scope<'_>,
) -> Option<Vec<Vec<String>>> {
    let written = written(table, asks.len())?;
    let mut all = Vec::with_capacity(asks.len());
    let mut whole = true;

    for (part, ask) in asks.iter().enumerate() {
        let answers: Vec<(Vec<String>, i32, usize)> = cells
            .iter()
            .enumerate()
            .flat_map(|(i, cell)| {
                variants(*ask, &cell.stimulus)
                    .into_iter()
                    .map(move |(texts, rank)| (texts, rank, i))
            })
            .collect();
        let Some(own) = written.get(part) else {
            all.push(by_likeness(&answers));
            continue;
        };

        for (i, option) in own.iter().enumerate() {
            let twice = own[..i]
                .iter()
                .any(|other| means_the_same(other.value, option.value, &answers));
            if twice {
                table.fault(
                    option.span.clone(),
                    format!("option `{}` is offered twice", option.value),
                    None,
                );
                whole = false;
            }
        }
        for (texts, _, cell) in &answers {
            let offered = own
                .iter()
                .any(|option| texts.iter().any(|text| same_answer(text, option.value)));
            if !offered {
                scope.out.fault(
                    places[*cell].clone(),
                    format!("the answer `{}` is not among the options", texts[0]),
                    Some(
                        "add it to `options`, or leave `options` out: all answers are offered then"
                            .to_owned(),
                    ),
                );
                whole = false;
            }
        }
        all.push(own.iter().map(|option| option.value.to_owned()).collect());
    }
    if whole && all.iter().any(|part: &Vec<String>| part.len() < 2) && !cells.is_empty() {
        scope.out.fault(
            table.span(),
            "only one answer is offered",
            Some("add cells with other answers, or list `options`".to_owned()),
        );
        whole = false;
    }

    whole.then_some(all)
}

fn means_the_same(a: &str, b: &str, answers: &[(Vec<String>, i32, usize)]) -> bool {
    let among = |text: &str| {
        answers
            .iter()
            .find(|(texts, ..)| texts.iter().any(|known| same_answer(known, text)))
            .map(|(texts, ..)| &texts[0])
    };

    same_answer(a, b) || among(a).is_some() && among(a) == among(b)
}

/// Options as written: one list, or a list for each part.
fn written<'a>(table: &Table<'a>, parts: usize) -> Option<Vec<Vec<Spanned<&'a str>>>> {
    let Some(list) = table.list("options") else {
        return (!table.has("options")).then(Vec::new);
    };

    if parts == 1 {
        let texts: Vec<_> = list
            .value
            .into_iter()
            .filter_map(super::Value::text)
            .collect();
        return Some(vec![texts]);
    }
    if list.value.len() != parts {
        table.fault(
            list.span,
            format!("expected a list of options for each of the {parts} questions"),
            Some("write `options = [[\"maj7\", \"7\"], [\"root\", \"third\"]]`".to_owned()),
        );
        return None;
    }

    Some(
        list.value
            .into_iter()
            .filter_map(super::Value::texts)
            .map(|texts| texts.value)
            .collect(),
    )
}

/// All answers a stimulus can have, with their rank in the order of likeness.
fn variants(ask: Ask, stimulus: &Stimulus) -> Vec<(Vec<String>, i32)> {
    let rank = match (ask, stimulus) {
        (Ask::Quality, Stimulus::Chord { quality, .. }) => -quality.brightness(),
        (Ask::Interval, Stimulus::Interval { semitones, .. }) => i32::from(*semitones),
        (Ask::Tension, Stimulus::Tension { tension }) => tension.semitones(),
        (Ask::RootMotion, Stimulus::RootMotion { up, .. }) => {
            let up = i32::from(*up);
            if up > 6 { up - 12 } else { up }
        }
        (Ask::Inversion, Stimulus::Chord { bass, .. }) => i32::from(*bass),
        (Ask::WrongVoice, Stimulus::WrongVoice { voice, .. }) => i32::from(*voice),
        _ => 0,
    };

    // Only the top varies from item to item of one cell.
    let count = match (ask, stimulus) {
        (Ask::Top, Stimulus::Chord { top: None, .. }) => 3,
        _ => 1,
    };
    (0..count)
        .map(|variant| {
            let pick = Pick {
                cell: 0,
                root: 0,
                variant,
            };
            let texts = accepted(ask, stimulus, pick, symbol::Style::DEFAULT);
            let rank = match ask {
                Ask::Top => texts.get(1).and_then(|text| text.parse().ok()).unwrap_or(0),
                _ => rank,
            };
            (texts, rank)
        })
        .filter(|(texts, _)| !texts.is_empty())
        .collect()
}

fn by_likeness(answers: &[(Vec<String>, i32, usize)]) -> Vec<String> {
    let mut sorted: Vec<&(Vec<String>, i32, usize)> = answers.iter().collect();
    let mut out: Vec<String> = Vec::new();

    sorted.sort_by_key(|(_, rank, cell)| (*rank, *cell));
    for (texts, ..) in sorted {
        if !out.contains(&texts[0]) {
            out.push(texts[0].clone());
        }
    }

    out
}

/// Without a root two qualities may be the same sound: they cannot be offered together.
fn ambiguous(table: &Table<'_>, cells: &[EarCell], scope: &Scope<'_>) {
    let mut qualities: Vec<Quality> = Vec::new();
    for cell in cells {
        if let Stimulus::Chord { quality, .. } = &cell.stimulus
            && !qualities.contains(quality)
        {
            qualities.push(*quality);
        }
    }

    for (i, a) in qualities.iter().enumerate() {
        for b in &qualities[i + 1..] {
            if !likeness::sounds_as(*a, *b).is_empty() {
                scope.out.fault(
                    table.span(),
                    format!(
                        "`{}` and `{}` sound alike without their root and are offered together",
                        symbol::ascii_quality(*a),
                        symbol::ascii_quality(*b)
                    ),
                    Some("leave out `root_heard = false`, or one of them".to_owned()),
                );
            }
        }
    }
}
