//! What was seen and is not marked.

use super::Source;
use super::keys::{Shown, shown};
use crate::exam::form::Task;
use crate::marking::item::Marked;
use crate::marking::statistics;
use crate::marking::voicing::spread_words;
use crate::printing::sheet::words::happened;
use crate::printing::words::{capital, counted, ms, number};
use crate::time::Time;

pub(super) fn seen(source: &Source<'_>) -> Vec<String> {
    if source.sitting.by_hand().is_some() {
        return Vec::new();
    }
    let touch = !source.given.equipment.without_touch;
    let all: Vec<Shown<'_>> = shown(source).collect();
    let offered: Vec<&Shown<'_>> = all
        .iter()
        .filter(|shown| !shown.marked.facts.keys.is_empty())
        .collect();
    let mut said = Vec::new();

    if touch {
        let mut spreads: Vec<Time> = offered
            .iter()
            .filter_map(|shown| shown.marked.facts.spread.map(|(.., chord)| chord))
            .collect();
        let most = spreads.iter().max().copied();
        if let Some((median, most)) = statistics::median(&mut spreads).zip(most) {
            said.push(spread(median, most));
        }
    }
    let rooted: Vec<bool> = offered
        .iter()
        .filter(|shown| shown.task.voicing.bass(shown.task.chord).is_some())
        .map(|shown| shown.marked.facts.root_in_bass)
        .collect();
    if !rooted.is_empty() {
        let right = rooted.iter().filter(|right| **right).count();
        said.push(root(right, rooted.len()));
    }
    if !all.is_empty() {
        said.push(happened::grazed(
            all.iter().map(|shown| shown.marked.facts.grazes).sum(),
        ));
    }
    if touch {
        let balances: Vec<i32> = offered
            .iter()
            .filter_map(|shown| shown.marked.facts.balance)
            .collect();
        said.extend(balance(&balances).map(str::to_owned));
    }
    let low = offered
        .iter()
        .filter(|shown| !shown.marked.facts.low.is_empty())
        .count();
    said.extend(low_intervals(low));
    let mut lags: Vec<Time> = source
        .outcome
        .items
        .iter()
        .filter(|of| of.counts() && matches!(of.item.task, Task::Run(_)))
        .filter_map(|of| match &of.marked {
            Marked::Run(marked) => marked.lag,
            _ => None,
        })
        .collect();
    let runs = lags.len();
    said.extend(statistics::median(&mut lags).map(|lag| tempo(lag, runs)));

    said
}

fn spread(median: Time, most: Time) -> String {
    format!(
        "Chords spread by {} (median): {}; by {} at most: {}.",
        ms(median),
        spread_words(median),
        ms(most),
        spread_words(most)
    )
}

fn root(right: usize, of: usize) -> String {
    format!("Root in the bass {right} times of {of}.")
}

/// Steps of velocity between the hands: alike, a little, clearly (a proposal of ours, no source).
const BALANCE: [i32; 2] = [5, 15];

fn balance(right_over_left: &[i32]) -> Option<&'static str> {
    let count = i32::try_from(right_over_left.len())
        .ok()
        .filter(|n| *n > 0)?;
    let mean = right_over_left.iter().sum::<i32>() / count;

    Some(match (mean, mean.abs()) {
        (_, less) if less < BALANCE[0] => "Both hands equally loud.",
        (1.., less) if less < BALANCE[1] => "The right hand a little louder than the left.",
        (1.., _) => "The right hand clearly louder than the left.",
        (_, less) if less < BALANCE[1] => "The left hand a little louder than the right.",
        _ => "The left hand clearly louder than the right.",
    })
}

fn low_intervals(count: usize) -> Option<String> {
    (count > 0).then(|| {
        format!(
            "{} an interval that lies low for a clear sound.",
            capital(&counted(count, "chord has", "chords have"))
        )
    })
}

fn tempo(lag: Time, runs: usize) -> String {
    let way = if lag < Time::ZERO { "before" } else { "after" };
    let runs = match runs {
        1 => "The run in tempo lay".to_owned(),
        _ => format!("{} runs in tempo lay", capital(&number(runs))),
    };

    format!("{runs} {} {way} the beat (median).", ms(lag))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_seen_is_named_by_its_step() {
        assert_eq!(
            spread(Time::from_ms(34), Time::from_ms(61)),
            "Chords spread by 34 ms (median): good; by 61 ms at most: acceptable."
        );
        assert_eq!(root(23, 24), "Root in the bass 23 times of 24.");
        assert_eq!(low_intervals(0), None);
        assert_eq!(
            low_intervals(1).as_deref(),
            Some("One chord has an interval that lies low for a clear sound.")
        );
        assert_eq!(
            tempo(Time::from_ms(-23), 5),
            "Five runs in tempo lay 23 ms before the beat (median)."
        );
    }

    #[test]
    fn the_balance_of_the_hands_has_words() {
        let check = |values: &[i32], expected| assert_eq!(balance(values), expected);
        check(&[], None);
        check(&[4, -4, 4], Some("Both hands equally loud."));
        check(
            &[6, 8],
            Some("The right hand a little louder than the left."),
        );
        check(&[30], Some("The right hand clearly louder than the left."));
        check(&[-9], Some("The left hand a little louder than the right."));
        check(&[-19], Some("The left hand clearly louder than the right."));
    }
}
