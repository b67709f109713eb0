//! Sentences of single chords: the table, the routine gap, the time over the items.

use crate::fraction::{self, Fraction};
use crate::marking::statistics;
use crate::printing::words::{capital, counted, list, number, plain_seconds, seconds};
use crate::time::Time;

/// Fewer cold chords of a quality carry no statement about it (a proposal of ours, no source).
const FEWEST_COLD: usize = 4;

/// What stands over a table of keys.
pub(in crate::printing::sheet) fn caption(limit: Time, twice: bool) -> String {
    let twice = if twice { "; asked twice, both" } else { "" };

    format!(
        "Level, 4 to 0, and seconds to complete{twice}; the limit was {} seconds",
        plain_seconds(limit)
    )
}

/// What stands under it; `printed` are the chords that are printed on another root than the
/// column's. Where levels were entered by hand no hand was inferred.
pub(in crate::printing::sheet) fn legend(printed: &[(String, String)], by_hand: bool) -> String {
    let mut text = "4 right at once\u{a0}· 3 one correction, or up to half as long again\u{a0}· 2 right notes, \
                    other form, or later\u{a0}· 1 root, third and seventh right\u{a0}· 0 another chord; \
                    credit 100, 75, 50, 25 and 0\u{a0}%. Bold: not level 4, or over the limit."
        .to_owned();

    let printed: Vec<String> = printed
        .iter()
        .map(|(column, print)| format!("{column} is printed {print}"))
        .collect();
    if !printed.is_empty() {
        text.push(' ');
        text.push_str(&list(&printed));
        text.push('.');
    }
    if !by_hand {
        text.push_str(" Hands are inferred from pitch.");
    }

    text
}

/// The gap against a run in the candidate's own time, and what it says.
pub(in crate::printing::sheet) fn gap_medians(
    chords: &str,
    (cold, run): (Time, Time),
    count: usize,
    slowest: &[String],
) -> String {
    // The difference of what is printed is what the reader works out.
    let tenths = |time: Time| (time.tenths() + 500) / 1000;
    let gap = tenths(cold) - tenths(run);
    let figures = format!(
        "{} took {} seconds when they came cold and {} inside the run",
        capital(chords),
        seconds(cold),
        seconds(run)
    );
    let gap_words = match gap {
        0 => "no gap".to_owned(),
        gap => format!(
            "a gap of {}{} seconds",
            if gap < 0 { "−" } else { "" },
            seconds(Time::from_ms(gap.abs() * 100))
        ),
    };
    let figures = format!("{figures}, {gap_words} (medians).");

    if count < FEWEST_COLD {
        return format!("{figures} {}", too_few(count));
    }
    // A second, or half a second that is half as long again, is more than a symbol takes to be
    // read; less than half a second is none (a proposal of ours, no source).
    if gap >= 10 || gap >= 5 && 2 * tenths(cold) >= 3 * tenths(run) {
        let practise = if slowest.is_empty() {
            String::new()
        } else {
            format!("; practise {} out of order", list(slowest))
        };
        format!("{figures} The routine is known better than the chords{practise}.")
    } else if gap < 5 {
        format!("{figures} The chords are known outside their routine too.")
    } else {
        figures
    }
}

fn too_few(count: usize) -> String {
    format!(
        "Only {} came cold and whole: too few to say more.",
        number(count)
    )
}

/// A quality against runs in tempo only.
pub(in crate::printing::sheet) struct InTempo {
    /// Its chords in words.
    pub(in crate::printing::sheet) chords: String,
    /// The share right in the run, and the mean credit cold.
    pub(in crate::printing::sheet) shares: (Fraction, Fraction),
    /// How many came cold.
    pub(in crate::printing::sheet) count: usize,
    /// The weakest of them.
    pub(in crate::printing::sheet) weakest: Vec<String>,
}

/// The gaps against runs in tempo only.
pub(in crate::printing::sheet) fn gap_shares(all: &[InTempo]) -> String {
    let percent = |share| fraction::percent(share, Fraction::from_integer(1)).unwrap_or(0);
    let figures: Vec<String> = all
        .iter()
        .map(|of| {
            format!(
                "{} {} % right in the run, {} % of their credit cold",
                of.chords,
                percent(of.shares.0),
                percent(of.shares.1)
            )
        })
        .collect();
    let enough = |of: &&InTempo| of.count >= FEWEST_COLD;
    let wide: Vec<&InTempo> = all
        .iter()
        .filter(enough)
        .filter(|of| of.shares.0 - of.shares.1 >= Fraction::new(1, 4))
        .collect();
    let few: Vec<&str> = all
        .iter()
        .filter(|of| !enough(of))
        .map(|of| of.chords.as_str())
        .collect();
    let mut text = format!("In tempo: {}.", figures.join("; "));

    for of in wide {
        let practise = match of.weakest.as_slice() {
            [] => String::new(),
            weakest => format!("; practise {} out of order", list(weakest)),
        };
        text.push_str(&format!(
            " The routine of {} is known better than the chords{practise}.",
            of.chords
        ));
    }
    if !few.is_empty() {
        text.push_str(&format!(" Too few {} came cold to say more.", list(&few)));
    }

    text
}

/// How many chords were found by way of a neighbour.
pub(in crate::printing::sheet) fn walked(count: usize, of: usize) -> String {
    match count {
        0 => "No chord was found by way of its neighbour in the cycle.".to_owned(),
        _ => format!(
            "{} of {of} {} found by way of a neighbour in the cycle.",
            capital(&number(count)),
            if count == 1 { "was" } else { "were" }
        ),
    }
}

/// Said of the routine gap where a sitting was marked by hand.
pub(in crate::printing::sheet) fn no_gap() -> String {
    "Left out: a run at a piano has no times, and nobody noted which chords were found by way of \
     their neighbour."
        .to_owned()
}

/// Fewer times carry no statement about a trend.
const FEWEST_TIMES: usize = 10;

/// Whether it went faster or slower: the times of the chords that were offered, in order, of so
/// many items.
pub(in crate::printing::sheet) fn pace(times: &[Time], items: usize) -> String {
    let Some(median) = statistics::median(&mut times.to_vec()) else {
        return "No chord was completed.".to_owned();
    };
    let none = items - times.len();
    let mut text = format!("Half within {} seconds", seconds(median));
    if none > 0 {
        text.push_str(&format!(
            "; {} without a chord",
            counted(none, "item", "items")
        ));
    }
    text.push_str(". ");
    if times.len() < FEWEST_TIMES {
        text.push_str("Too few to tell of a trend.");
        return text;
    }

    let half = times.len() / 2;
    let middle = |part: &[Time]| statistics::median(&mut part.to_vec()).unwrap_or_default();
    let (first, last) = (
        seconds(middle(&times[..half])),
        seconds(middle(&times[times.len() - half..])),
    );
    text.push_str(&match trend(times) {
        Trend::Slower => format!("Slower later: {first} in the first half, {last} in the second."),
        Trend::Faster => format!("Faster later: {first} in the first half, {last} in the second."),
        Trend::None => format!("No sure trend: {first} in the first half, {last} in the second."),
    });

    text
}

#[derive(Debug, PartialEq, Eq)]
enum Trend {
    Faster,
    Slower,
    None,
}

/// The Mann–Kendall test of a trend at 5 %, two-sided, without correction for ties, which makes
/// it claim less (Mann 1945, Kendall 1975, from memory).
fn trend(times: &[Time]) -> Trend {
    let n = times.len() as f64;
    let s: i64 = times
        .iter()
        .enumerate()
        .flat_map(|(i, first)| {
            times[i + 1..]
                .iter()
                .map(move |later| later.tenths().cmp(&first.tenths()) as i64)
        })
        .sum();
    let deviation = (n * (n - 1.0) * (2.0 * n + 5.0) / 18.0).sqrt();
    // One is taken off for continuity.
    let z = (s.unsigned_abs() as f64 - 1.0).max(0.0) / deviation;

    match z >= 1.959_964 {
        true if s > 0 => Trend::Slower,
        true => Trend::Faster,
        false => Trend::None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(names: &[&str]) -> Vec<String> {
        names.iter().map(|name| (*name).to_owned()).collect()
    }

    #[test]
    fn a_gap_in_time_is_read_with_care() {
        let check = |cold: i64, run: i64, count: usize, slow: &[&str], expected: &str| {
            let times = (Time::from_ms(cold), Time::from_ms(run));
            let said = gap_medians("dominant sevenths", times, count, &names(slow));
            assert_eq!(said, expected);
        };
        check(
            2700,
            1400,
            12,
            &["A♭7", "E♭7", "G♭7"],
            "Dominant sevenths took 2.7 seconds when they came cold and 1.4 inside the run, a gap of 1.3 seconds (medians). The routine is known better than the chords; practise A♭7, E♭7 and G♭7 out of order.",
        );
        check(
            3500,
            2500,
            12,
            &[],
            "Dominant sevenths took 3.5 seconds when they came cold and 2.5 inside the run, a gap of 1.0 seconds (medians). The routine is known better than the chords.",
        );
        check(
            3500,
            2800,
            12,
            &["A♭7"],
            "Dominant sevenths took 3.5 seconds when they came cold and 2.8 inside the run, a gap of 0.7 seconds (medians).",
        );
        check(
            1600,
            1400,
            12,
            &[],
            "Dominant sevenths took 1.6 seconds when they came cold and 1.4 inside the run, a gap of 0.2 seconds (medians). The chords are known outside their routine too.",
        );
        check(
            1400,
            1600,
            12,
            &[],
            "Dominant sevenths took 1.4 seconds when they came cold and 1.6 inside the run, a gap of −0.2 seconds (medians). The chords are known outside their routine too.",
        );
        check(
            2700,
            1400,
            3,
            &["A♭7"],
            "Dominant sevenths took 2.7 seconds when they came cold and 1.4 inside the run, a gap of 1.3 seconds (medians). Only three came cold and whole: too few to say more.",
        );
        check(
            1449,
            1351,
            8,
            &[],
            "Dominant sevenths took 1.4 seconds when they came cold and 1.4 inside the run, no gap (medians). The chords are known outside their routine too.",
        );
    }

    #[test]
    fn a_gap_in_shares_is_read_with_care() {
        let of = |chords: &str, run: (i64, i64), cold: (i64, i64), count: usize| InTempo {
            chords: chords.to_owned(),
            shares: (Fraction::new(run.0, run.1), Fraction::new(cold.0, cold.1)),
            count,
            weakest: names(&["Bm7"]),
        };
        let check = |all: &[InTempo], expected: &str| assert_eq!(gap_shares(all), expected);
        check(
            &[of("minor sevenths", (11, 12), (3, 5), 6)],
            "In tempo: minor sevenths 92 % right in the run, 60 % of their credit cold. The routine of minor sevenths is known better than the chords; practise Bm7 out of order.",
        );
        check(
            &[
                of("major sevenths", (3, 4), (19, 24), 6),
                of("minor sevenths", (3, 4), (17, 24), 6),
            ],
            "In tempo: major sevenths 75 % right in the run, 79 % of their credit cold; minor sevenths 75 % right in the run, 71 % of their credit cold.",
        );
        check(
            &[of("minor sevenths", (1, 1), (0, 1), 1)],
            "In tempo: minor sevenths 100 % right in the run, 0 % of their credit cold. Too few minor sevenths came cold to say more.",
        );
    }

    #[test]
    fn the_table_says_its_limit_and_what_is_printed_otherwise() {
        assert_eq!(
            caption(Time::from_ms(6000), false),
            "Level, 4 to 0, and seconds to complete; the limit was 6 seconds"
        );
        assert_eq!(
            caption(Time::from_ms(7500), true),
            "Level, 4 to 0, and seconds to complete; asked twice, both; the limit was 7.5 seconds"
        );
        let printed = [("m7 on D♭".to_owned(), "C♯m7".to_owned())];
        assert!(legend(&printed, false).contains(" m7 on D♭ is printed C♯m7. Hands are inferred"));
        assert!(!legend(&[], true).contains("printed"));
        assert_eq!(
            walked(2, 24),
            "Two of 24 were found by way of a neighbour in the cycle."
        );
    }

    #[test]
    fn a_trend_is_claimed_only_where_chance_does_not_make_it() {
        let check = |times: &[i64], items: usize, expected: &str| {
            let times: Vec<Time> = times.iter().map(|ms| Time::from_ms(*ms)).collect();
            assert_eq!(pace(&times, items), expected);
        };
        let rising: Vec<i64> = (0..12).map(|i| 2000 + 200 * i).collect();
        let falling: Vec<i64> = rising.iter().rev().copied().collect();
        let level = [2000, 2600, 1900, 2700, 2100, 2500, 2000, 2600, 2200, 2400];
        check(
            &rising,
            12,
            "Half within 3.1 seconds. Slower later: 2.5 in the first half, 3.7 in the second.",
        );
        check(
            &falling,
            13,
            "Half within 3.1 seconds; one item without a chord. Faster later: 3.7 in the first half, 2.5 in the second.",
        );
        check(
            &level,
            10,
            "Half within 2.3 seconds. No sure trend: 2.1 in the first half, 2.4 in the second.",
        );
        check(
            &rising[..5],
            5,
            "Half within 2.4 seconds. Too few to tell of a trend.",
        );
        check(&[], 4, "No chord was completed.");
    }
}
