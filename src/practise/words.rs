//! Why each part is there, in sentences with the figures they rest on.

use super::choose::{Entry, Why};
use super::evidence::{Cold, Confusion, Evidence, Gap, SLOW};
use super::share::Block;
use super::source::Source;
use super::{Sat, lines, write};
use crate::exam::script::{Ask, Exam, Kind};
use crate::fraction::Fraction;
use crate::theory::{Quality, symbol};
use crate::time::Time;

/// So many things are named in a sentence; of more it says how many.
const NAMED: usize = 4;

/// What stands at the head of the script.
pub(super) fn head(
    title: &str,
    sat: &[Sat<'_>],
    evidence: &Evidence,
    seed: u64,
    lasts: (i64, i64),
) -> String {
    let lasts = match lasts {
        (1, 1) => "a minute".to_owned(),
        (usual, most) if usual == most => format!("{usual} minutes"),
        (usual, most) => format!("{usual} to {most} minutes"),
    };
    let from: Vec<String> = sat
        .iter()
        .map(|sat| {
            let day = sat.started.get(..10).unwrap_or(sat.started);
            format!("\"{}\" of {day}", sat.sitting.exam().title)
        })
        .collect();
    let more = match sat {
        [_] => "",
        _ => "; newer ones weigh more",
    };

    lines::comment(&format!("Practice after {title}."))
        + "#\n"
        + &lines::comment(&format!(
            "For one candidate, drawn from what {} items of {} show{more}. Above each section stands \
             why it is there. The same results and --seed {seed} give the same paper again.",
            evidence.items,
            list(&from),
        ))
        + &lines::comment(&format!(
            "It takes about {lasts}, looking at the answers apart. Marks: 100 in all, and no pass mark."
        ))
}

/// What the paper is about.
pub(super) fn about(sat: &[Sat<'_>]) -> String {
    let results = match sat.len() {
        1 => "the last result shows".to_owned(),
        count => format!("the last {count} results show"),
    };

    format!("What {results} to be weak, and some of what was sure so that it stays.")
}

/// Says why a part is there; `slower` is the tempo that its lines had and have.
pub(super) fn because(
    sources: &[Source<'_>],
    evidence: &Evidence,
    block: &Block<'_>,
    slower: Option<(i64, i64)>,
) -> String {
    let exam = sources[block.strand.source].exam;
    let kind = &exam.sections[block.strand.section].kind;
    let weak: Vec<&Entry> = distinct(
        block
            .entries
            .iter()
            .filter(|entry| !block.between.contains(entry)),
    );
    let said = match &block.strand.why {
        Why::Weak => format!(
            "{}: asked cold, in leaps",
            chords(exam, kind, evidence, &weak, said_level)
        ),
        Why::Slow => format!(
            "{}: right, but near the limit or beyond it",
            chords(exam, kind, evidence, &weak, said_time)
        ),
        Why::Routine(gaps) => format!(
            "{}: {}, asked cold and in leaps, never after the chord that leads there",
            gaps_in_words(exam, gaps),
            names(&weak)
        ),
        Why::Confused(pairs) => confused(exam, kind, pairs),
        Why::Heard => heard(exam, evidence, &weak),
        Why::Spelt => spelt(evidence, exam, &weak),
        Why::Lines => played(evidence, kind, &weak, slower),
        Why::Next => next(exam, kind, evidence, &weak),
        Why::Sure => format!("{} were sure", names(&weak)),
    };

    capital(&(said + &between(exam, block) + "."))
}

/// Says what was put between.
fn between(exam: &Exam, block: &Block<'_>) -> String {
    let sure: Vec<&Entry> = distinct(
        block
            .between
            .iter()
            .filter(|entry| block.strand.sure.iter().any(|sure| sure == *entry)),
    );
    let apart: Vec<&Entry> = distinct(
        block
            .between
            .iter()
            .filter(|entry| !block.strand.sure.iter().any(|sure| sure == *entry)),
    );
    let mut out = String::new();
    let label = |entries: &[&Entry]| {
        let all: Vec<String> = entries
            .iter()
            .map(|entry| printed(exam, &entry.name))
            .collect();
        few(&all)
    };

    match sure.as_slice() {
        [] => {}
        [_] => {
            out += &format!(
                "; {}, which was sure, is among them so that it stays",
                label(&sure)
            )
        }
        _ => {
            out += &format!(
                "; {}, which were sure, are among them so that they stay",
                label(&sure)
            )
        }
    }
    match apart.as_slice() {
        [] => {}
        [_] => out += &format!("; {} keeps them apart", label(&apart)),
        _ => out += &format!("; {} keep them apart", label(&apart)),
    }

    out
}

/// Names chords with what was seen of each.
fn chords(
    exam: &Exam,
    kind: &Kind,
    evidence: &Evidence,
    weak: &[&Entry],
    said: fn(&Cold) -> String,
) -> String {
    let mut seen = Vec::new();
    let mut unseen = Vec::new();

    for entry in weak {
        match cold(exam, kind, evidence, entry) {
            // A chord that is near weak ones, and was right itself, is told as such.
            Some(cold) => seen.push(format!("{} ({})", entry.name, said(cold))),
            None => unseen.push(entry.name.clone()),
        }
    }
    match (seen.is_empty(), unseen.is_empty()) {
        (_, true) => few(&seen),
        (true, _) => format!(
            "{} {} not asked, and the others of their key and quality were weak",
            few(&unseen),
            were(unseen.len())
        ),
        _ => format!(
            "{}, and {}, not asked but near what was weak",
            few(&seen),
            few(&unseen)
        ),
    }
}

fn said_level(cold: &Cold) -> String {
    match (cold.level, cold.ratio()) {
        (4, Some(ratio)) if ratio < SLOW => "right when asked".to_owned(),
        (4, Some(_)) => said_time(cold),
        (level, _) => format!("level {level} of 4"),
    }
}

fn said_time(cold: &Cold) -> String {
    match cold.complete {
        Some(complete) => format!("{} of {}", seconds(complete), seconds(cold.limit)),
        None => format!("level {} of 4", cold.level),
    }
}

/// Finds how a chord came when it was asked last.
fn cold<'a>(exam: &Exam, kind: &Kind, evidence: &'a Evidence, entry: &Entry) -> Option<&'a Cold> {
    let Kind::Voicing(section) = kind else {
        return None;
    };
    let cell = &section.cells[entry.cell];

    evidence
        .cold
        .iter()
        .filter(|cold| {
            cold.form == cell.form.name && symbol::print(cold.chord, exam.style) == entry.name
        })
        // The newest come first; of one result the worst says why.
        .min_by_key(|cold| cold.level)
}

fn gaps_in_words(exam: &Exam, gaps: &[(Quality, Gap)]) -> String {
    let all: Vec<String> = gaps
        .iter()
        .map(|(quality, gap)| {
            let name = quality_name(exam, *quality);
            match gap {
                Gap::Times(run, cold) => format!(
                    "{name} took {} inside the run and {} cold",
                    seconds(*run),
                    seconds(*cold)
                ),
                Gap::Shares(run, cold) => format!(
                    "{name} were right {run}\u{a0}% of the time inside the run and {cold}\u{a0}% cold"
                ),
            }
        })
        .collect();

    list(&all)
}

fn confused(exam: &Exam, kind: &Kind, pairs: &[Confusion]) -> String {
    let all: Vec<String> = pairs
        .iter()
        .map(|pair| {
            format!(
                "{} was taken for {} {} of {}",
                printed(exam, &pair.sounded),
                printed(exam, &pair.answered),
                times(pair.count),
                pair.of
            )
        })
        .collect();
    let is_single =
        matches!(kind, Kind::Ear(ear) if matches!(ear.asks.as_slice(), [ask] if *ask != Ask::Top));

    if is_single {
        format!(
            "{}: they are offered against each other and sound more often than the rest",
            list(&all)
        )
    } else {
        format!("{}: the sounds that were missed come again", list(&all))
    }
}

fn heard(exam: &Exam, evidence: &Evidence, weak: &[&Entry]) -> String {
    let all: Vec<String> = weak
        .iter()
        .map(|entry| {
            let (named, of) = (
                evidence.named(0, &entry.name),
                evidence.sounded(0, &entry.name),
            );
            match of {
                0 => printed(exam, &entry.name),
                of => format!("{} ({named} of {of})", printed(exam, &entry.name)),
            }
        })
        .collect();

    format!(
        "{} {} named late or not each time",
        few(&all),
        were(all.len())
    )
}

fn spelt(evidence: &Evidence, exam: &Exam, weak: &[&Entry]) -> String {
    let mut fault = None;
    let (mut wrong, mut right, mut unseen) = (Vec::new(), Vec::new(), Vec::new());

    for entry in weak {
        let known = evidence
            .written
            .iter()
            .filter(|spelt| symbol::print(spelt.chord, exam.style) == entry.name)
            .min_by_key(|spelt| spelt.credit);
        match known {
            Some(spelt) if spelt.credit < Fraction::new(1, 1) => {
                wrong.push(format!("{} ({})", entry.name, write::percent(spelt.credit)));
                let first = || format!("; in {} {}", entry.name, small(&spelt.reason));
                fault = fault.or_else(|| Some(first()));
            }
            Some(_) => right.push(entry.name.clone()),
            None => unseen.push(entry.name.clone()),
        }
    }

    let mut parts = Vec::new();
    if !wrong.is_empty() {
        let (were, fault) = (were(wrong.len()), fault.unwrap_or_default());
        parts.push(format!("{} {were} misspelt{fault}", few(&wrong)));
    }
    if !right.is_empty() {
        parts.push(format!(
            "{} {} right, but took longest",
            few(&right),
            were(right.len())
        ));
    }
    if !unseen.is_empty() {
        parts.push(format!(
            "{} {} not asked yet",
            few(&unseen),
            were(unseen.len())
        ));
    }

    parts.join("; ")
}

fn played(evidence: &Evidence, kind: &Kind, weak: &[&Entry], slower: Option<(i64, i64)>) -> String {
    let Kind::Run(section) = kind else {
        return String::new();
    };
    let mut seen = Vec::new();
    let mut unseen = Vec::new();

    for entry in weak {
        let cell = &section.cells[entry.cell];
        let key = entry.root.as_ref().map(|(root, _)| *root);
        let known = evidence
            .played
            .iter()
            .filter(|played| played.name == cell.line.name())
            .filter(|played| key.is_none_or(|key| played.key == key))
            .min_by_key(|played| played.credit);
        match known {
            Some(played) => {
                let lowest = played
                    .criteria
                    .iter()
                    .min_by_key(|(_, credit)| *credit)
                    .map_or_else(String::new, |(name, credit)| {
                        format!(", {name} {}", write::percent(*credit))
                    });
                let credit = write::percent(played.credit);
                seen.push(format!("{} ({credit}{lowest})", entry.name));
            }
            None => unseen.push(entry.name.clone()),
        }
    }
    let mut out = match (seen.is_empty(), unseen.is_empty()) {
        (_, true) => format!("{} brought least", few(&seen)),
        (true, _) => format!("{} {} not asked yet", few(&unseen), were(unseen.len())),
        _ => format!(
            "{} brought least, and {} {} not asked yet",
            few(&seen),
            few(&unseen),
            were(unseen.len())
        ),
    };
    if let Some((was, now)) = slower {
        out += &format!(
            "; in tempo harmony or time brought less than half, so the tempo is {now} in place of {was}"
        );
    }

    out
}

fn next(exam: &Exam, kind: &Kind, evidence: &Evidence, weak: &[&Entry]) -> String {
    let (seen, unseen): (Vec<&Entry>, Vec<&Entry>) =
        weak.iter().copied().partition(|entry| entry.is_seen);
    let slow: Vec<String> = seen
        .iter()
        .map(|entry| match cold(exam, kind, evidence, entry) {
            Some(cold) => format!("{} ({})", entry.name, said_time(cold)),
            None => printed(exam, &entry.name),
        })
        .collect();
    let open: Vec<String> = unseen
        .iter()
        .map(|entry| printed(exam, &entry.name))
        .collect();
    let mut parts = Vec::new();
    if !slow.is_empty() {
        parts.push(format!("{} took longest", few(&slow)));
    }
    if !open.is_empty() {
        parts.push(format!("{} {} not asked yet", few(&open), were(open.len())));
    }

    format!("nothing went wrong; {}", list(&parts))
}

/// Each entry once, by its name.
fn distinct<'a>(entries: impl Iterator<Item = &'a Entry>) -> Vec<&'a Entry> {
    let mut all: Vec<&Entry> = Vec::new();

    for entry in entries {
        if all.iter().all(|other| other.name != entry.name) {
            all.push(entry);
        }
    }
    // The neediest first.
    all.sort_by(|a, b| b.need.total_cmp(&a.need));

    all
}

fn names(entries: &[&Entry]) -> String {
    let all: Vec<String> = entries.iter().map(|entry| entry.name.clone()).collect();

    few(&all)
}

/// A label of the ear as the exam prints it.
fn printed(exam: &Exam, label: &str) -> String {
    let is_tension = label.starts_with(['b', '#']) && label[1..].parse::<u8>().is_ok();
    if is_tension {
        return label.replace('b', "♭").replace('#', "♯");
    }

    symbol::parse_quality(label)
        .ok()
        .filter(|quality| symbol::ascii_quality(*quality) == label)
        .map_or_else(
            || label.to_owned(),
            // A sign alone, such as that of a triad, is no word of a sentence.
            |quality| match symbol::words(quality) {
                Some(words) if words.ends_with("triad") => words.to_owned(),
                _ => symbol::print_quality(quality, exam.style),
            },
        )
}

fn quality_name(exam: &Exam, quality: Quality) -> String {
    match symbol::words(quality) {
        Some(words) if words.ends_with("triad") => format!("{words}s"),
        Some(words) => format!("{words} chords"),
        None => format!("{} chords", symbol::print_quality(quality, exam.style)),
    }
}

fn times(count: usize) -> String {
    match count {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        count => format!("{count} times"),
    }
}

const fn were(count: usize) -> &'static str {
    if count == 1 { "was" } else { "were" }
}

fn seconds(time: Time) -> String {
    format!("{:.1}\u{a0}s", time.as_seconds())
}

/// A list of a few, and how many more.
fn few(all: &[String]) -> String {
    if all.len() <= NAMED + 1 {
        return list(all);
    }

    format!("{} and {} more", all[..NAMED].join(", "), all.len() - NAMED)
}

fn list(all: &[String]) -> String {
    match all.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
    }
}

fn capital(text: &str) -> String {
    let mut signs = text.chars();

    signs.next().map_or_else(String::new, |first| {
        // A name such as m7 or ii–V–I is written small.
        let is_word = text.split(' ').next().is_some_and(|word| {
            word.len() >= 4 && word.chars().all(|sign| sign.is_lowercase() || sign == '-')
        });
        match is_word {
            true => first.to_uppercase().collect::<String>() + signs.as_str(),
            false => text.to_owned(),
        }
    })
}

fn small(text: &str) -> String {
    let mut signs = text.chars();

    signs.next().map_or_else(String::new, |first| {
        first.to_lowercase().collect::<String>() + signs.as_str()
    })
}
