//! A standard for each answer: so many right of each quality, not only in all.

use crate::exam::form::{Form, Task};
use crate::exam::item::same_answer;
use crate::exam::script::{Ask, Exam, Kind};
use crate::theory::symbol;

/// A sound as a standard for each answer counts it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heard {
    /// The section, from 0.
    pub section: usize,
    /// The right answer to the first question, as it stands among the options.
    pub answer: String,
    /// Whether the form means to ask it; a spare one only takes the place of another.
    pub is_meant: bool,
    /// Whether it was answered right; `None` where it does not count.
    pub right: Option<bool>,
}

/// A standard for each answer, and how it came out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Each {
    /// The least number of right answers for each.
    pub least: usize,
    /// What is asked: a quality, or another answer.
    pub is_quality: bool,
    /// The other sections whose sounds are counted too, by their letters.
    pub with: Vec<String>,
    /// The answers, in the order of the options.
    pub answers: Vec<Answer>,
}

/// How one answer came out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// The answer as it stands among the options.
    pub option: String,
    /// The same as it is printed.
    pub label: String,
    /// How many were right.
    pub right: usize,
    /// How many count.
    pub of: usize,
    /// How many the form means to ask.
    pub meant: usize,
    /// How many must be right: where items were voided, no more may be missed than before.
    pub needs: usize,
}

impl Answer {
    /// Whether enough were right.
    pub const fn is_reached(&self) -> bool {
        self.right >= self.needs
    }

    /// Writes it with its count: `m7♭5 (5)`, or `m7♭5 (5 of 7)` where some do not count.
    pub fn counted(&self, of: &str) -> String {
        if self.of == self.meant {
            format!("{} ({})", self.label, self.right)
        } else {
            format!("{} ({} {of} {})", self.label, self.right, self.of)
        }
    }
}

impl Each {
    /// Whether every answer has enough.
    pub fn is_reached(&self) -> bool {
        self.answers.iter().all(Answer::is_reached)
    }

    /// Returns how often each sounds, where each sounds as often.
    pub fn sounds(&self) -> Option<usize> {
        let first = self.answers.first()?.meant;

        self.answers
            .iter()
            .all(|answer| answer.meant == first)
            .then_some(first)
    }

    /// Says what is needed: `6 of 8 of each quality`.
    pub fn needed(&self) -> String {
        let what = if self.is_quality { "quality" } else { "answer" };

        match self.sounds() {
            Some(sounds) => format!("{} of {sounds} of each {what}", self.least),
            None => format!("at least {} of each {what}", self.least),
        }
    }

    /// Says what is needed and how it came out.
    pub fn words(&self) -> String {
        let missed: Vec<String> = self
            .answers
            .iter()
            .filter(|answer| !answer.is_reached())
            .map(|answer| answer.counted("of"))
            .collect();

        match missed.split_last() {
            None => format!("{}: reached", self.needed()),
            Some((last, [])) => format!("{}: not reached for {last}", self.needed()),
            Some((last, others)) => format!(
                "{}: not reached for {} and {last}",
                self.needed(),
                others.join(", ")
            ),
        }
    }
}

/// Returns a standard of a section as a form means to ask it, before anybody has answered.
pub fn planned(exam: &Exam, form: &Form, index: usize) -> Option<Each> {
    let heard: Vec<Heard> = form
        .items
        .iter()
        .filter_map(|item| match &item.task {
            Task::Ear(task) => Some(Heard {
                section: item.section,
                answer: task.options.first()?.get(*task.right.first()?)?.clone(),
                is_meant: true,
                right: None,
            }),
            _ => None,
        })
        .collect();

    standard(exam, index, &heard)
}

/// Returns a standard of a section as it came out.
pub(super) fn standard(exam: &Exam, index: usize, heard: &[Heard]) -> Option<Each> {
    let section = &exam.sections[index];
    let (Some(each), Kind::Ear(ear)) = (&section.each, &section.kind) else {
        return None;
    };
    let counted = |place: usize| place == index || each.with.contains(&exam.sections[place].id);
    let least = each.least as usize;
    let is_quality = ear.asks.first() == Some(&Ask::Quality);
    let print = |option: &str| match symbol::parse_quality(option) {
        Ok(quality) if is_quality => symbol::print_quality(quality, exam.style),
        _ => option.to_owned(),
    };
    let answers = ear
        .options
        .first()?
        .iter()
        .map(|option| {
            let own = || {
                heard
                    .iter()
                    .filter(|one| counted(one.section) && same_answer(&one.answer, option))
            };
            let meant = own().filter(|one| one.is_meant).count();
            let of = own().filter(|one| one.right.is_some()).count();
            let missable = meant.saturating_sub(least);
            Answer {
                label: print(option),
                option: option.clone(),
                right: own().filter(|one| one.right == Some(true)).count(),
                of,
                meant,
                needs: of.saturating_sub(missable).min(least),
            }
        })
        // An option that never sounds is there to be taken for another.
        .filter(|answer| answer.meant > 0)
        .collect();

    Some(Each {
        least,
        is_quality,
        with: each.with.clone(),
        answers,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exam::read::read;

    /// An exam with two sections that are heard, four of each quality, six of eight needed.
    fn exam(with: &str) -> Exam {
        let section = |id: &str, more: &str| {
            format!(
                "[[section]]\nid = \"{id}\"\ntitle = \"{id}\"\nkind = \"ear\"\nask = \"quality\"\n\
                 points = 20\nseconds = 6\noptions = [\"maj7\", \"m7b5\"]\n{more}\
                 cells = [{{ count = 4, quality = \"maj7\" }}, {{ count = 4, quality = \"m7b5\" }}]\n"
            )
        };
        let text = format!(
            "title = \"Two\"\npass = 30\nhalf_diminished = \"m7b5\"\n[rules]\ntiming = \"-\"\n{}{}",
            section("A", ""),
            section("B", with)
        );
        let (exam, found) = read(&text, "two");

        exam.unwrap_or_else(|| panic!("{found:#?}"))
    }

    fn heard(right: [usize; 2], of: usize) -> Vec<Heard> {
        let mut all = Vec::new();
        for (option, right) in ["maj7", "m7b5"].iter().zip(right) {
            for place in 0..8 {
                all.push(Heard {
                    section: place % 2,
                    answer: (*option).to_owned(),
                    is_meant: true,
                    right: (place < of).then_some(place < right),
                });
            }
        }
        all
    }

    #[test]
    fn a_standard_is_said_answer_by_answer() {
        let exam = exam("each = 6\neach_with = [\"A\"]\n");
        let check = |right: [usize; 2], of: usize, expected: &str| {
            let each = standard(&exam, 1, &heard(right, of)).unwrap();
            assert_eq!(each.words(), expected);
            assert_eq!(
                each.is_reached(),
                expected.ends_with("reached") && !expected.contains("not")
            );
        };
        check([8, 8], 8, "6 of 8 of each quality: reached");
        check([6, 6], 8, "6 of 8 of each quality: reached");
        check(
            [6, 5],
            8,
            "6 of 8 of each quality: not reached for m7♭5 (5)",
        );
        check(
            [5, 5],
            8,
            "6 of 8 of each quality: not reached for maj7 (5) and m7♭5 (5)",
        );
    }

    /// Two may be missed of eight, so two of seven.
    #[test]
    fn of_voided_sounds_no_more_may_be_missed_than_before() {
        let exam = exam("each = 6\neach_with = [\"A\"]\n");
        let check = |right: usize, of: usize, expected: bool| {
            let each = standard(&exam, 1, &heard([right, right], of)).unwrap();
            assert_eq!(each.is_reached(), expected, "{right} of {of}");
        };
        check(5, 7, true);
        check(4, 7, false);
        check(1, 3, true);
        check(0, 2, true);
        check(0, 3, false);
        let each = standard(&exam, 1, &heard([4, 7], 7)).unwrap();
        assert_eq!(
            each.words(),
            "6 of 8 of each quality: not reached for maj7 (4 of 7)"
        );
    }

    /// A spare sound in the place of another adds to what counts, never to what is needed.
    #[test]
    fn a_spare_sound_never_asks_for_more() {
        let exam = exam("each = 6\neach_with = [\"A\"]\n");
        let mut all = heard([6, 6], 8);
        all.push(Heard {
            section: 0,
            answer: "maj7".to_owned(),
            is_meant: false,
            right: Some(false),
        });
        let each = standard(&exam, 1, &all).unwrap();
        assert!(each.is_reached(), "{each:?}");
    }

    #[test]
    fn without_each_there_is_no_standard() {
        assert_eq!(standard(&exam(""), 1, &heard([8, 8], 8)), None);
        let own = exam("each = 3\n");
        assert_eq!(standard(&own, 0, &heard([8, 8], 8)), None);
        let each = standard(&own, 1, &heard([8, 8], 8)).unwrap();
        assert_eq!(each.words(), "3 of 4 of each quality: reached");
    }
}
