//! Sentences of how a candidate has come on, with no more certainty than the errors allow.

use crate::printing::words::list;

/// A share in percent with its standard error, where it is known.
pub(in crate::printing::sheet) type Told = (f64, Option<f64>);

/// Returns a difference that is more than the root of the sum of the squared errors, in percent;
/// `None` where it is not, or where an error is not known.
pub(in crate::printing::sheet) fn change(then: Told, now: Told) -> Option<f64> {
    let difference = now.0 - then.0;

    (difference.abs() > then.1?.hypot(now.1?)).then_some(difference)
}

/// The total against an earlier one.
pub(in crate::printing::sheet) fn total(date: &str, then: Told, now: Told) -> String {
    let (was, is) = (then.0.round(), now.0.round());

    match change(then, now) {
        Some(change) => format!(
            "Since {date} from {was} to {is} %: {} by more than both standard errors together.",
            if change > 0.0 { "up" } else { "down" }
        ),
        None if then.1.is_none() || now.1.is_none() => format!(
            "Since {date} from {was} to {is} %: no sure change, as a standard error is not known."
        ),
        None => format!(
            "Since {date} from {was} to {is} %: no sure change, within both standard errors together."
        ),
    }
}

/// A section by its letter, with the share then and now.
pub(in crate::printing::sheet) type Moved = (String, f64, f64);

/// The sections that changed for sure.
pub(in crate::printing::sheet) fn sections(up: &[Moved], down: &[Moved]) -> Option<String> {
    let named = |moved: &[Moved]| {
        let all: Vec<String> = moved
            .iter()
            .map(|(id, was, is)| format!("{id} ({was:.0} to {is:.0} %)"))
            .collect();
        let word = if all.len() == 1 {
            "section"
        } else {
            "sections"
        };
        format!("{word} {}", list(&all))
    };
    let mut parts = Vec::new();

    if !up.is_empty() {
        parts.push(format!("surer in {}", named(up)));
    }
    if !down.is_empty() {
        parts.push(format!("less sure in {}", named(down)));
    }

    match parts.is_empty() {
        true => Some("No section changed for sure.".to_owned()),
        false => Some(format!(
            "{}.",
            crate::printing::words::capital(&parts.join("; "))
        )),
    }
}

/// The most chords that are named.
const MOST: usize = 6;

/// Chords that became right at once, and chords that were and slipped.
pub(in crate::printing::sheet) fn chords(sure: &[String], slipped: &[String]) -> Option<String> {
    let named = |all: &[String]| match all.len() {
        ..=MOST => list(all),
        many => format!("{} and {} more", all[..MOST].join(", "), many - MOST),
    };
    let mut parts = Vec::new();

    if !sure.is_empty() {
        parts.push(format!("right at once now and not then: {}", named(sure)));
    }
    if !slipped.is_empty() {
        parts.push(format!(
            "right at once then and not now: {}",
            named(slipped)
        ));
    }

    (!parts.is_empty()).then(|| {
        format!(
            "{}. Single chords are a hint, not a proof.",
            crate::printing::words::capital(&parts.join("; "))
        )
    })
}

/// The exam's script is another one.
pub(in crate::printing::sheet) fn other_script() -> String {
    "The exam’s script has been changed since: the marks can be compared with care only.".to_owned()
}

/// Both sittings asked the same items.
pub(in crate::printing::sheet) fn same_form() -> String {
    "The last two sittings had the same form: what was remembered may count.".to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_is_a_change_only_beyond_both_errors_together() {
        let check = |then: Told, now: Told, expected: &str| {
            assert_eq!(total("3 March 2026", then, now), expected);
        };
        // √(3² + 4²) = 5: a difference of five is not more than that.
        check(
            (70.0, Some(3.0)),
            (75.0, Some(4.0)),
            "Since 3 March 2026 from 70 to 75 %: no sure change, within both standard errors together.",
        );
        check(
            (70.0, Some(3.0)),
            (75.1, Some(4.0)),
            "Since 3 March 2026 from 70 to 75 %: up by more than both standard errors together.",
        );
        check(
            (90.0, Some(3.0)),
            (75.0, Some(4.0)),
            "Since 3 March 2026 from 90 to 75 %: down by more than both standard errors together.",
        );
        check(
            (20.0, None),
            (95.0, Some(4.0)),
            "Since 3 March 2026 from 20 to 95 %: no sure change, as a standard error is not known.",
        );
    }

    #[test]
    fn sections_and_chords_that_moved_are_named() {
        let moved = |id: &str, was, is| (id.to_owned(), was, is);
        assert_eq!(
            sections(&[moved("A", 60.0, 80.4)], &[]).as_deref(),
            Some("Surer in section A (60 to 80 %).")
        );
        assert_eq!(
            sections(
                &[moved("A", 60.0, 80.0), moved("D", 50.0, 75.0)],
                &[moved("E", 90.0, 40.0)]
            )
            .as_deref(),
            Some(
                "Surer in sections A (60 to 80 %) and D (50 to 75 %); less sure in section E (90 to 40 %)."
            )
        );
        assert_eq!(
            sections(&[], &[]).as_deref(),
            Some("No section changed for sure.")
        );
        let names = |text: &str| {
            text.split_whitespace()
                .map(str::to_owned)
                .collect::<Vec<_>>()
        };
        assert_eq!(
            chords(&names("A♭7 E♭7"), &names("Bm7")).as_deref(),
            Some(
                "Right at once now and not then: A♭7 and E♭7; right at once then and not now: Bm7. Single chords are a hint, not a proof."
            )
        );
        assert_eq!(
            chords(&names("C7 F7 B♭7 E♭7 A♭7 D♭7 G♭7 B7"), &[]).as_deref(),
            Some(
                "Right at once now and not then: C7, F7, B♭7, E♭7, A♭7, D♭7 and 2 more. Single chords are a hint, not a proof."
            )
        );
        assert_eq!(chords(&[], &[]), None);
    }
}
