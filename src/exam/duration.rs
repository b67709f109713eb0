//! How long what a form asks lasts.

use super::form::{Form, Item, Task};
use super::script::{Exam, Kind};
use crate::time::Time;

/// So many prompts may be played without a pause: hands need rest.
pub const PROMPTS_WITHOUT_REST: u32 = 40;

/// So long may be played without a pause.
pub const PLAYED_WITHOUT_REST: Time = Time::from_ms(15 * 60 * 1000);

/// How long something lasts.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Span {
    /// When everything takes its time.
    pub usual: Time,
    /// At most: a voicing may still be finished late.
    pub most: Time,
}

impl Span {
    const fn always(time: Time) -> Self {
        Self {
            usual: time,
            most: time,
        }
    }

    /// Returns the minutes as they are announced: to the nearest, at least one where there is
    /// anything; usual, and at most.
    pub fn minutes(self) -> (i64, i64) {
        let usual = minutes(self.usual);

        (usual, minutes(self.most).max(usual))
    }
}

impl std::ops::Add for Span {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self {
            usual: self.usual + other.usual,
            most: self.most + other.most,
        }
    }
}

/// Returns how long a section of a form lasts under a time factor in hundredths, the gaps between
/// its items included. A panel's marks take the candidate no time.
pub fn section(exam: &Exam, form: &Form, index: usize, factor: u32) -> Span {
    let of = &exam.sections[index];

    match &of.kind {
        Kind::Rest { length } => Span::always(*length),
        Kind::Panel(_) => Span::default(),
        _ => form
            .items
            .iter()
            .filter(|item| item.section == index)
            .map(|item| with_gap(exam, item, factor))
            .fold(Span::default(), |sum, span| sum + span),
    }
}

/// Returns how long an item lasts with the gap after it, under a time factor in hundredths.
pub fn with_gap(exam: &Exam, item: &Item, factor: u32) -> Span {
    lasts(&item.task, factor) + Span::always(exam.sections[item.section].gap)
}

/// Returns how long an item lasts under a time factor in hundredths: a sound is heard once.
pub fn lasts(task: &Task, factor: u32) -> Span {
    let scaled = |time: Time| time.scaled(i64::from(factor), 100);

    match task {
        Task::Voicing(task) => {
            let limit = scaled(task.limit);
            Span {
                usual: limit,
                most: limit.scaled(i64::from(task.grace.max(100)), 100),
            }
        }
        Task::Run(task) => Span::always(task.timing(factor).end),
        Task::Ear(task) => Span::always(task.sound.length + scaled(task.limit)),
        other => Span::always(scaled(other.limit())),
    }
}

/// Returns how long the hearings on request of an item last, if all are asked for. The clock stands
/// still meanwhile, so that they come on top of what [`lasts`] returns.
pub fn on_request(task: &Task) -> Time {
    match task {
        Task::Ear(task) => task
            .sound
            .length
            .scaled(i64::from(task.hearings.saturating_sub(1)), 1),
        _ => Time::ZERO,
    }
}

/// Returns minutes to the nearest, at least one where there is anything.
pub fn minutes(time: Time) -> i64 {
    let nearest = (time.tenths() + 300_000) / 600_000;

    if time > Time::ZERO { nearest.max(1) } else { 0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_are_to_the_nearest_and_never_none_of_something() {
        let check = |seconds: i64, expected| {
            assert_eq!(
                minutes(Time::from_ms(1000 * seconds)),
                expected,
                "{seconds}"
            );
        };

        check(0, 0);
        check(1, 1);
        check(29, 1);
        check(89, 1);
        check(90, 2);
        check(600, 10);
    }

    #[test]
    fn the_most_is_never_announced_as_less_than_the_usual() {
        let span = Span::always(Time::from_ms(20_000)) + Span::always(Time::from_ms(40_000));

        assert_eq!(span.minutes(), (1, 1));
        let late = Span {
            usual: Time::from_ms(144_000),
            most: Time::from_ms(288_000),
        };
        // 2 min 24 s and 4 min 48 s.
        assert_eq!(late.minutes(), (2, 5));
    }
}
