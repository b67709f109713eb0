//! Numbers, lists, times and names as a printed page has them in its sentences, in English.

use chrono::{DateTime, FixedOffset, TimeDelta};

use crate::theory::{Quality, symbol};
use crate::time::Time;

const SMALL: [&str; 21] = [
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
    "twenty",
];

/// Writes a number to twenty in words and any other in figures.
pub fn number(number: usize) -> String {
    SMALL
        .get(number)
        .map_or_else(|| number.to_string(), |word| (*word).to_owned())
}

/// Counts things: `no chords`, `one chord`, `24 chords`.
pub fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{} {}", number(count), if count == 1 { one } else { many })
}

/// Says how often: `once`, `twice`, `five times`.
pub fn times(count: usize) -> String {
    match count {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        _ => format!("{} times", number(count)),
    }
}

/// Joins names: `A♭7, E♭7 and G♭7`.
pub fn list<S: AsRef<str>>(names: &[S]) -> String {
    let names: Vec<&str> = names.iter().map(AsRef::as_ref).collect();

    match names.split_last() {
        None => String::new(),
        Some((last, [])) => (*last).to_owned(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
    }
}

/// Begins a text with a capital, unless it begins with a chord's name anyhow.
pub fn capital(text: &str) -> String {
    let mut signs = text.chars();

    signs.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + signs.as_str()
    })
}

/// Makes a sentence of a text: a capital, and a full stop where no stop is.
pub fn sentence(text: &str) -> String {
    let text = capital(text.trim());

    if text.is_empty() || text.ends_with(['.', '!', '?']) {
        text
    } else {
        text + "."
    }
}

/// Makes one text of several sentences.
pub fn sentences<S: AsRef<str>>(texts: &[S]) -> String {
    texts
        .iter()
        .map(|text| sentence(text.as_ref()))
        .filter(|text| !text.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

/// Seconds to the nearest tenth: `2.7`.
pub fn seconds(time: Time) -> String {
    let tenths = (time.tenths().abs() + 500) / 1000;
    let sign = if time < Time::ZERO && tenths > 0 {
        "−"
    } else {
        ""
    };

    format!("{sign}{}.{}", tenths / 10, tenths % 10)
}

/// Seconds without a needless decimal: `6`, `7.5`.
pub fn plain_seconds(time: Time) -> String {
    let text = seconds(time);

    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// Whole milliseconds: `34 ms`.
pub fn ms(time: Time) -> String {
    let ms = (time.tenths().abs() + 5) / 10;

    format!("{ms} ms")
}

/// A number of marks to a tenth where it is not whole: `3`, `2.2`.
pub fn marks(points: f64) -> String {
    let text = format!("{points:.1}");

    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// Hundredths as a number: `1.5`, `86.25`, `75`.
pub fn hundredths(value: i64) -> String {
    let sign = if value < 0 { "−" } else { "" };
    let (whole, part) = (value.abs() / 100, value.abs() % 100);

    match (part, part % 10) {
        (0, _) => format!("{sign}{whole}"),
        (_, 0) => format!("{sign}{whole}.{}", part / 10),
        _ => format!("{sign}{whole}.{part:02}"),
    }
}

/// Names the chords of a quality: `dominant sevenths`, `half-diminished chords`, `m9 chords`.
pub fn chords(quality: Quality, style: symbol::Style) -> String {
    match symbol::words(quality) {
        Some("minor with major seventh") => "minor chords with major seventh".to_owned(),
        Some(name) if name.ends_with("diminished") => format!("{name} chords"),
        Some(name) => format!("{name}s"),
        None => format!("{} chords", symbol::print_quality(quality, style)),
    }
}

/// Names a quality by its label in an exam: in words where the trade has them.
pub fn label(label: &str, style: symbol::Style) -> String {
    symbol::parse_quality(label).map_or_else(
        |_| label.to_owned(),
        |quality| {
            symbol::words(quality).map_or_else(
                || symbol::print_quality(quality, style),
                |words| words.to_owned(),
            )
        },
    )
}

/// A moment, as its writer's clock had it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Moment(DateTime<FixedOffset>);

impl Moment {
    /// Reads RFC 3339.
    pub fn read(text: &str) -> Option<Self> {
        DateTime::parse_from_rfc3339(text.trim()).ok().map(Self)
    }

    /// Returns the moment so much later.
    #[must_use]
    pub fn later(self, by: Time) -> Self {
        let later = self
            .0
            .checked_add_signed(TimeDelta::microseconds(by.tenths().saturating_mul(100)));

        Self(later.unwrap_or(self.0))
    }

    /// The day: `Thursday 12 March 2026`.
    pub fn day(self) -> String {
        self.0.format("%A %-d %B %Y").to_string()
    }

    /// The day without its name: `12 March 2026`.
    pub fn date(self) -> String {
        self.0.format("%-d %B %Y").to_string()
    }

    /// The time: `10:21`.
    pub fn time(self) -> String {
        self.0.format("%H:%M").to_string()
    }

    /// The time to the second: `10:27:05`.
    pub fn clock(self) -> String {
        self.0.format("%H:%M:%S").to_string()
    }

    /// `UTC` where the moment was written in it, else nothing: a zone of the place needs no name.
    pub fn zone(self) -> &'static str {
        if self.0.offset().local_minus_utc() == 0 {
            " UTC"
        } else {
            ""
        }
    }
}

/// A span of time: `Thursday 12 March 2026, 10:21 to 10:43 UTC`; over midnight with both days. A
/// text that is no moment is left as it is.
pub fn span(started: &str, length: Time) -> String {
    let Some(from) = Moment::read(started) else {
        return started.to_owned();
    };
    let to = from.later(length);
    let other_day = if from.day() == to.day() {
        String::new()
    } else {
        format!("{}, ", to.day())
    };

    format!(
        "{}, {} to {other_day}{}{}",
        from.day(),
        from.time(),
        to.time(),
        from.zone()
    )
}

/// A moment of a person's act: `13 March 2026, 09:10 UTC`; a text that is no moment as it is.
pub fn moment(text: &str) -> String {
    Moment::read(text).map_or_else(
        || text.to_owned(),
        |moment| format!("{}, {}{}", moment.date(), moment.time(), moment.zone()),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_lists_read_as_they_are_spoken() {
        assert_eq!(counted(0, "chord", "chords"), "no chords");
        assert_eq!(counted(1, "chord", "chords"), "one chord");
        assert_eq!(counted(21, "chord", "chords"), "21 chords");
        assert_eq!(
            (times(1), times(2), times(3)),
            ("once".into(), "twice".into(), "three times".into())
        );
        assert_eq!(list(&["A"]), "A");
        assert_eq!(list(&["A", "B", "C"]), "A, B and C");
        assert_eq!(list::<&str>(&[]), "");
        assert_eq!(
            sentences(&["one is late", "Two!", " ", "three."]),
            "One is late. Two! Three."
        );
    }

    #[test]
    fn times_are_rounded_to_what_is_printed() {
        let check = |tenths: i64, expected: &str| {
            assert_eq!(seconds(Time::from_tenths(tenths)), expected);
        };
        check(26_499, "2.6");
        check(26_500, "2.7");
        check(0, "0.0");
        check(-400, "0.0");
        check(-12_000, "−1.2");
        assert_eq!(plain_seconds(Time::from_ms(6000)), "6");
        assert_eq!(plain_seconds(Time::from_ms(7500)), "7.5");
        assert_eq!(ms(Time::from_tenths(345)), "35 ms");
        assert_eq!(marks(3.04), "3");
        assert_eq!(marks(2.25), "2.2");
        assert_eq!(hundredths(8625), "86.25");
        assert_eq!(hundredths(150), "1.5");
        assert_eq!(hundredths(-250), "−2.5");
    }

    #[test]
    fn qualities_have_the_names_of_the_trade() {
        let check = |quality: &str, many: &str, one: &str| {
            let parsed = symbol::parse_quality(quality).expect("a quality");
            assert_eq!(chords(parsed, symbol::Style::DEFAULT), many);
            assert_eq!(label(quality, symbol::Style::DEFAULT), one);
        };
        check("7", "dominant sevenths", "dominant seventh");
        check("m7b5", "half-diminished chords", "half-diminished");
        check("m9", "m9 chords", "m9");
        check(
            "m(maj7)",
            "minor chords with major seventh",
            "minor with major seventh",
        );
        assert_eq!(
            label("perfect fourth", symbol::Style::DEFAULT),
            "perfect fourth"
        );
    }

    #[test]
    fn a_sitting_is_dated_by_the_clock_of_its_place() {
        let check = |started: &str, minutes: i64, expected: &str| {
            assert_eq!(span(started, Time::from_ms(minutes * 60_000)), expected);
        };
        check(
            "2026-03-12T10:21:00Z",
            22,
            "Thursday 12 March 2026, 10:21 to 10:43 UTC",
        );
        check(
            "2026-03-12T10:21:00+01:00",
            22,
            "Thursday 12 March 2026, 10:21 to 10:43",
        );
        check(
            "2026-12-31T23:50:00+01:00",
            20,
            "Thursday 31 December 2026, 23:50 to Friday 1 January 2027, 00:10",
        );
        check("yesterday", 20, "yesterday");
        assert_eq!(moment("2026-03-13T09:10:42+01:00"), "13 March 2026, 09:10");
    }
}
