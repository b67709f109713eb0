//! Sentences of what happened: how a sitting ended, what was allowed, incidents, second looks.

use crate::printing::words::{
    capital, counted, hundredths, list, ms, number, plain_seconds, sentence,
};
use crate::sitting::equipment::Equipment;
use crate::time::Time;

/// What it was sat with, and what that cannot tell.
pub(in crate::printing::sheet) fn instrument(equipment: &Equipment) -> Vec<String> {
    let kind = match equipment.instrument.as_str() {
        "" => "Played on an instrument that is not named".to_owned(),
        "performance file" => "Played from a performance file".to_owned(),
        kind if kind.starts_with(['a', 'e', 'i', 'o']) => format!("Played on an {kind}"),
        kind => format!("Played on a {kind}"),
    };
    let name = match equipment.name.as_str() {
        "" => String::new(),
        name => format!(", {name}"),
    };
    let mut said = vec![sentence(&format!("{kind}{name}"))];

    if equipment.without_touch {
        said.push(
            "It does not tell how its keys were touched: togetherness and balance are not reported."
                .to_owned(),
        );
    }
    if !equipment.output.is_empty() {
        let late = equipment
            .delay
            .map(|delay| {
                format!(
                    ", which sounds {} late; beats count from when they were heard",
                    ms(delay)
                )
            })
            .unwrap_or_default();
        said.push(sentence(&format!("Heard from {}{late}", equipment.output)));
    }
    said.push("Hands are inferred from pitch.".to_owned());

    said
}

/// Who entered the marks of a sitting at a piano.
pub(in crate::printing::sheet) fn entered(examiners: &[&str]) -> String {
    sentence(&format!(
        "Marked by hand at a piano: the marks were entered by {}",
        list(examiners)
    ))
}

/// What a sitting that no program listened to cannot tell.
pub(in crate::printing::sheet) fn by_hand(examiners: &[&str]) -> Vec<String> {
    vec![
        sentence(&format!(
            "Played on a piano and marked by {}",
            list(examiners)
        )),
        "The program did not listen: what was played, how together, how loud and how well in time \
         is not recorded, nor how often a sound was heard. Times are those that the examiner wrote \
         down; without times of a run there is no routine gap."
            .to_owned(),
    ]
}

fn not_reached(count: usize) -> String {
    match count {
        0 => String::new(),
        _ => format!(
            " {} not reached and {} nothing.",
            capital(&counted(count, "item was", "items were")),
            if count == 1 { "scores" } else { "score" }
        ),
    }
}

/// Nothing more came.
pub(in crate::printing::sheet) fn early(unreached: usize) -> String {
    format!(
        "The sitting ended before its last item.{}",
        not_reached(unreached)
    )
}

/// It was stopped.
pub(in crate::printing::sheet) fn stopped(reason: &str, unreached: usize) -> String {
    format!(
        "{}{}",
        sentence(&format!("The sitting was stopped: {}", because(reason))),
        not_reached(unreached)
    )
}

/// It counts as not sat.
pub(in crate::printing::sheet) fn void(reason: &str) -> String {
    format!(
        "{} It is void, not failed: it counts as not sat, and the marks below stand for feedback alone.",
        sentence(&format!("The sitting was stopped: {}", because(reason)))
    )
}

/// It never ended.
pub(in crate::printing::sheet) fn interrupted(unreached: usize) -> String {
    format!(
        "The sitting was interrupted and not taken up again.{}",
        not_reached(unreached)
    )
}

fn because(reason: &str) -> &str {
    match reason.trim() {
        "" => "no reason is given",
        reason => reason,
    }
}

/// Where a sheet of a second marking comes from.
pub(in crate::printing::sheet) fn remark(of: &str, digest: Option<&str>, why: &str) -> String {
    let digest = digest
        .map(|digest| format!(" (result {digest})"))
        .unwrap_or_default();

    sentence(&format!(
        "Marked again from {of}{digest}, because: {}",
        because(why).trim_end_matches('.')
    ))
}

/// What changed by it.
pub(in crate::printing::sheet) fn change(change: &str) -> String {
    sentence(&format!("Changed: {}", change.replace("->", "→")))
}

/// A time factor, as allowed; never why.
pub(in crate::printing::sheet) fn factor(hundred: u32) -> Option<String> {
    (hundred != 100).then(|| {
        format!(
            "Time factor {}, as allowed: limits are multiplied by it and tempos divided.",
            hundredths(i64::from(hundred))
        )
    })
}

/// Extra hearings, as allowed.
pub(in crate::printing::sheet) fn hearings(extra: u8) -> Option<String> {
    (extra > 0).then(|| {
        sentence(&format!(
            "{} of each item heard, as allowed",
            counted(usize::from(extra), "extra hearing", "extra hearings")
        ))
    })
}

/// How late the candidate taps along.
pub(in crate::printing::sheet) fn lag(lag: Time, spread: Option<Time>) -> String {
    let way = if lag < Time::ZERO { "early" } else { "late" };
    let spread = spread
        .map(|spread| format!(" (middle distance {})", ms(spread)))
        .unwrap_or_default();

    format!(
        "The candidate taps along {} {way}{spread}: beats of runs in tempo were moved by as much.",
        ms(lag)
    )
}

/// The clock stopped, for as long as it is known.
pub(in crate::printing::sheet) fn clock_stopped(
    item: Option<&str>,
    reason: &str,
    stood: Option<Time>,
) -> String {
    let item = item.map(|item| format!("{item}: ")).unwrap_or_default();
    let stood = match stood {
        Some(stood) => format!("the clock stood still for {}", long(stood)),
        None => "the clock stood still from then on".to_owned(),
    };

    sentence(&format!("{item}{}; {stood}", because(reason)))
}

/// Seconds, or minutes and seconds.
fn long(time: Time) -> String {
    let seconds = (time.tenths() + 5000) / 10_000;

    if seconds >= 120 {
        let minutes = format!("{} minutes", seconds / 60);
        match seconds % 60 {
            0 => minutes,
            rest => format!("{minutes} {rest} s"),
        }
    } else if seconds == 1 {
        "1 second".to_owned()
    } else if seconds == 0 {
        format!("{} seconds", plain_seconds(time))
    } else {
        format!("{seconds} seconds")
    }
}

/// What took a voided item's place.
pub(in crate::printing::sheet) fn replaced(with: &Replaced) -> String {
    match with {
        Replaced::Reserve(id) => format!("Item voided; reserve item {id} in its place (program)."),
        Replaced::Again => "Item voided; it started again with its full time (program).".to_owned(),
        Replaced::None => "Item voided; nothing came in its place.".to_owned(),
    }
}

/// What took a voided item's place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::printing::sheet) enum Replaced {
    /// A reserve item.
    Reserve(String),
    /// The same item.
    Again,
    /// Nothing: the sitting ended.
    None,
}

/// A person voided an item.
pub(in crate::printing::sheet) fn voided(item: Option<&str>, reason: &str, by: &str) -> String {
    let item = item.map(|item| format!("{item}: ")).unwrap_or_default();

    sentence(&format!("{item}{} ({})", because(reason), whose(by)))
}

fn whose(by: &str) -> &str {
    if by.is_empty() { "program" } else { by }
}

/// Anything else.
pub(in crate::printing::sheet) fn noted(
    item: Option<&str>,
    (kind, text): (&str, &str),
    by: &str,
) -> String {
    let item = item.map(|item| format!("{item}: ")).unwrap_or_default();
    let text = match text.trim() {
        "" => String::new(),
        text => format!(": {}", text.trim_end_matches('.')),
    };

    sentence(&format!("{item}{kind}{text} ({})", whose(by)))
}

/// A person set a level.
pub(in crate::printing::sheet) fn overruled(
    item: &str,
    (was, level): (Option<u8>, u8),
    by: &str,
    reason: &str,
) -> String {
    let was = was.map_or_else(
        || "a mark was awaited".to_owned(),
        |was| format!("level {was} before"),
    );

    sentence(&format!(
        "{item}: level {level}, {was}, by {by}: {}",
        reason.trim_end_matches('.')
    ))
}

/// How many grazes.
pub(in crate::printing::sheet) fn grazed(count: u32) -> String {
    match count {
        0 => "No key was grazed.".to_owned(),
        1 => "One key was grazed.".to_owned(),
        count => format!("{} keys were grazed.", capital(&number(count as usize))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_instrument_says_what_it_cannot_tell() {
        let check = |kind: &str, name: &str, without_touch: bool, expected: &[&str]| {
            let equipment = Equipment {
                instrument: kind.to_owned(),
                name: name.to_owned(),
                without_touch,
                ..Equipment::default()
            };
            assert_eq!(instrument(&equipment), expected);
        };
        check(
            "MIDI keyboard",
            "Stage 88",
            false,
            &[
                "Played on a MIDI keyboard, Stage 88.",
                "Hands are inferred from pitch.",
            ],
        );
        check(
            "computer keyboard",
            "",
            true,
            &[
                "Played on a computer keyboard.",
                "It does not tell how its keys were touched: togetherness and balance are not reported.",
                "Hands are inferred from pitch.",
            ],
        );
        check(
            "performance file",
            "",
            false,
            &[
                "Played from a performance file.",
                "Hands are inferred from pitch.",
            ],
        );
        let heard = Equipment {
            instrument: "MIDI keyboard".to_owned(),
            output: "Loudspeakers".to_owned(),
            delay: Some(Time::from_ms(12)),
            ..Equipment::default()
        };
        assert_eq!(
            instrument(&heard)[1],
            "Heard from Loudspeakers, which sounds 12 ms late; beats count from when they were heard."
        );
    }

    #[test]
    fn how_a_sitting_ended_is_said_plainly() {
        assert_eq!(
            early(3),
            "The sitting ended before its last item. Three items were not reached and score nothing."
        );
        assert_eq!(
            stopped("fire alarm", 1),
            "The sitting was stopped: fire alarm. One item was not reached and scores nothing."
        );
        assert_eq!(
            void("pain in the wrist"),
            "The sitting was stopped: pain in the wrist. It is void, not failed: it counts as not sat, and the marks below stand for feedback alone."
        );
        assert_eq!(
            interrupted(0),
            "The sitting was interrupted and not taken up again."
        );
    }

    #[test]
    fn what_was_allowed_is_said_without_why() {
        assert_eq!(factor(100), None);
        assert_eq!(
            factor(150).as_deref(),
            Some("Time factor 1.5, as allowed: limits are multiplied by it and tempos divided.")
        );
        assert_eq!(hearings(0), None);
        assert_eq!(
            hearings(1).as_deref(),
            Some("One extra hearing of each item heard, as allowed.")
        );
        assert_eq!(
            lag(Time::from_ms(-23), Some(Time::from_ms(6))),
            "The candidate taps along 23 ms early (middle distance 6 ms): beats of runs in tempo were moved by as much."
        );
    }

    #[test]
    fn a_second_marking_says_from_what_and_why() {
        assert_eq!(
            remark("a.toml", Some("8e27-44d1"), "marked by another script"),
            "Marked again from a.toml (result 8e27-44d1), because: marked by another script."
        );
        assert_eq!(
            change("item 7: level 2 -> 3"),
            "Changed: item 7: level 2 → 3."
        );
        assert_eq!(
            overruled("A 7", (Some(2), 3), "Ines", "the pedal stuck."),
            "A 7: level 3, level 2 before, by Ines: the pedal stuck."
        );
        assert_eq!(
            overruled("E 70", (None, 3), "Ines", "heard again"),
            "E 70: level 3, a mark was awaited, by Ines: heard again."
        );
    }

    #[test]
    fn incidents_read_as_a_log_does() {
        let secs = |seconds: i64| Some(Time::from_ms(seconds * 1000));
        assert_eq!(
            clock_stopped(Some("A 15"), "keyboard not heard", secs(19)),
            "A 15: keyboard not heard; the clock stood still for 19 seconds."
        );
        assert_eq!(
            clock_stopped(None, "", secs(192)),
            "No reason is given; the clock stood still for 3 minutes 12 s."
        );
        assert_eq!(
            clock_stopped(None, "a fire drill", None),
            "A fire drill; the clock stood still from then on."
        );
        assert_eq!(
            replaced(&Replaced::Reserve("A 71".to_owned())),
            "Item voided; reserve item A 71 in its place (program)."
        );
        assert_eq!(
            voided(Some("A 3"), "lights went out", "Ines"),
            "A 3: lights went out (Ines)."
        );
        assert_eq!(
            noted(Some("A 3"), ("noise", "drums next door."), "Ines"),
            "A 3: noise: drums next door (Ines)."
        );
        assert_eq!(noted(None, ("wrong PIN", ""), ""), "Wrong PIN (program).");
        assert_eq!(grazed(3), "Three keys were grazed.");
    }
}
