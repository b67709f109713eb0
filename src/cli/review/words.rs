//! An item with what was asked and what was played, in words.

use std::fmt::Write as _;

use super::item::{ByHand, Item, Told, hand_words};
use super::line::seconds;

/// Where the texts begin.
const COLUMN: usize = 15;

/// Says all of an item.
pub(super) fn words(item: &Item) -> String {
    let line = &item.line;
    let mut out = format!("{}, {}: {}\n", line.place(), line.title(), line.prompt());
    if let Some(why) = line.voided() {
        let _ = writeln!(out, "Voided ({why}): it does not count");
    }

    part(&mut out, "Asked", &item.asked);
    let head = match line.kind() {
        "ear" | "spell" => "Answered",
        _ => "Played",
    };
    part(&mut out, head, &played(item));
    part(&mut out, "", &item.seen);
    let mark = match (line.level(), line.credit()) {
        (Some(level), Some(credit)) => format!("level {level}, credit {credit}"),
        _ => "a person's mark is awaited".to_owned(),
    };
    let reasons = line.reasons().iter().enumerate().map(|(place, reason)| {
        let label = if place == 0 { "because" } else { "" };
        (label.to_owned(), reason.clone())
    });
    let marked: Vec<Told> = std::iter::once(("mark".to_owned(), mark))
        .chain(reasons)
        .collect();
    part(&mut out, "Marked", &marked);

    let overruled: Vec<Told> = item
        .overruled_by
        .iter()
        .map(|of| {
            let was = of.was.as_deref().map_or_else(
                || "a mark was awaited".to_owned(),
                |was| format!("credit {was} before"),
            );
            let text = format!(
                "{} set level {} ({was}), {}: {}",
                of.by, of.level, of.at, of.reason
            );
            (String::new(), text)
        })
        .collect();
    part(&mut out, "Overruled", &overruled);
    let incidents: Vec<Told> = item
        .incidents
        .iter()
        .map(|of| {
            let by = if of.by.is_empty() { "program" } else { &of.by };
            let text = [of.kind.as_str(), of.text.as_str()]
                .into_iter()
                .filter(|text| !text.is_empty())
                .collect::<Vec<_>>()
                .join(", ");
            (seconds(of.at_ms), format!("{text} ({by})"))
        })
        .collect();
    part(&mut out, "Incidents", &incidents);

    out
}

/// A headed part, left out where it is empty; without a head it goes on.
fn part(out: &mut String, head: &str, lines: &[Told]) {
    if lines.is_empty() {
        return;
    }
    if !head.is_empty() {
        let _ = writeln!(out, "\n{head}");
    }
    for (label, text) in lines {
        let gap = COLUMN.saturating_sub(label.chars().count()).max(1);
        let line = format!("  {label}{}{text}", " ".repeat(gap));
        let _ = writeln!(out, "{}", line.trim_end());
    }
}

/// What was played or answered, line by line.
fn played(item: &Item) -> Vec<Told> {
    let mut lines: Vec<Told> = Vec::new();

    for (place, attempt) in item.attempts.iter().enumerate() {
        let mut text = format!(
            "{}; last key at {:.3} s, spread {:.0} ms; {}",
            hand_words(&attempt.keys),
            attempt.onset_ms / 1_000.0,
            attempt.spread_ms,
            if attempt.matches {
                "as asked"
            } else {
                "not as asked"
            }
        );
        if let Some(chord) = &attempt.walked {
            let _ = write!(text, "; by way of {chord}");
        }
        lines.push((format!("attempt {}", place + 1), text));
    }
    for (place, chord) in item.chords.iter().enumerate() {
        let time = match (chord.onset_ms, chord.beat_ms, chord.complete_ms) {
            (Some(onset), Some(beat), _) => {
                format!(
                    "; at {:.3} s, {:+.0} ms from the beat",
                    onset / 1_000.0,
                    onset - beat
                )
            }
            (Some(onset), None, Some(complete)) => format!(
                "; at {:.3} s, complete after {:.1} s",
                onset / 1_000.0,
                complete / 1_000.0
            ),
            (Some(onset), None, None) => format!("; at {:.3} s", onset / 1_000.0),
            (None, ..) => String::new(),
        };
        let text = format!(
            "{}{time}; harmony {}, voicing {}",
            hand_words(&chord.keys),
            chord.harmony,
            chord.voicing
        );
        lines.push((format!("{} {}", place + 1, chord.chord), text));
    }
    for done in &item.done {
        let answer = done.answer.as_deref().unwrap_or_default();
        let text = format!("{} {answer}", done.what);
        lines.push((format!("{:.3} s", done.at_ms / 1_000.0), text));
    }
    if item.line.by_hand().is_some() && matches!(item.line.kind(), "ear" | "spell") {
        // What was written stands under what counts.
    } else if let Some(by) = item.line.by_hand() {
        let text = format!("not recorded: marked by hand at a piano by {by}");
        lines.push((String::new(), text));
    } else if lines.is_empty() {
        lines.push((String::new(), "nothing".to_owned()));
    } else if item
        .attempts
        .iter()
        .map(|one| &one.keys)
        .chain(item.chords.iter().map(|one| &one.keys))
        .any(has_keys)
    {
        lines.push((String::new(), "(hands are inferred from pitch)".to_owned()));
    }

    lines
}

fn has_keys(keys: &ByHand) -> bool {
    !keys.left.is_empty() || !keys.right.is_empty()
}
