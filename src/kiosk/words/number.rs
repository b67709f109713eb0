//! Numbers in words, as a printed paper has them in its sentences.

use super::{Words, fill};

/// Writes a number of 0 to 100 in words and any other in figures.
pub fn in_words(words: &Words, number: i64) -> String {
    let german = words.language == super::GERMAN.language;
    let Ok(small) = usize::try_from(number) else {
        return number.to_string();
    };

    match (small, german) {
        (0..=19, false) => ENGLISH[small].to_owned(),
        (0..=19, true) => GERMAN[small].to_owned(),
        (20..=99, false) => match small % 10 {
            0 => ENGLISH_TENS[small / 10 - 2].to_owned(),
            ones => format!("{}-{}", ENGLISH_TENS[small / 10 - 2], ENGLISH[ones]),
        },
        (20..=99, true) => match small % 10 {
            0 => GERMAN_TENS[small / 10 - 2].to_owned(),
            1 => format!("einund{}", GERMAN_TENS[small / 10 - 2]),
            ones => format!("{}und{}", GERMAN[ones], GERMAN_TENS[small / 10 - 2]),
        },
        (100, false) => "one hundred".to_owned(),
        (100, true) => "hundert".to_owned(),
        _ => number.to_string(),
    }
}

/// Fills a number into a text of two cases, `one|{} many`, in words.
pub fn counted(words: &Words, text: &str, number: i64) -> String {
    fill(case(text, number), &[&in_words(words, number)])
}

/// The same with figures.
pub fn figured(text: &str, number: i64) -> String {
    fill(case(text, number), &[&number.to_string()])
}

impl Words {
    /// Says a standard for each answer: so many right, of so many where each sounds as often, and
    /// whether the answers are qualities.
    pub fn each(&self, (least, sounds, is_quality): (usize, Option<usize>, bool)) -> String {
        let least = least.to_string();

        match (sounds.map(|sounds| sounds.to_string()), is_quality) {
            (Some(sounds), true) => fill(self.each_quality, &[&least, &sounds]),
            (Some(sounds), false) => fill(self.each_answer, &[&least, &sounds]),
            (None, true) => fill(self.each_quality_least, &[&least]),
            (None, false) => fill(self.each_answer_least, &[&least]),
        }
    }
}

/// Begins a text with a capital.
pub fn capital(text: &str) -> String {
    let mut signs = text.chars();

    signs.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + signs.as_str()
    })
}

fn case(text: &str, number: i64) -> &str {
    match text.split_once('|') {
        Some((one, _)) if number == 1 => one,
        Some((_, many)) => many,
        None => text,
    }
}

const ENGLISH: [&str; 20] = [
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
];
const ENGLISH_TENS: [&str; 8] = [
    "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety",
];
const GERMAN: [&str; 20] = [
    "kein",
    "ein",
    "zwei",
    "drei",
    "vier",
    "fünf",
    "sechs",
    "sieben",
    "acht",
    "neun",
    "zehn",
    "elf",
    "zwölf",
    "dreizehn",
    "vierzehn",
    "fünfzehn",
    "sechzehn",
    "siebzehn",
    "achtzehn",
    "neunzehn",
];
const GERMAN_TENS: [&str; 8] = [
    "zwanzig", "dreißig", "vierzig", "fünfzig", "sechzig", "siebzig", "achtzig", "neunzig",
];

#[cfg(test)]
mod tests {
    use super::super::{ENGLISH, GERMAN};
    use super::*;

    #[test]
    fn numbers_read_as_they_are_spoken() {
        let check = |number, english: &str, german: &str| {
            assert_eq!(in_words(&ENGLISH, number), english);
            assert_eq!(in_words(&GERMAN, number), german);
        };
        check(2, "two", "zwei");
        check(16, "sixteen", "sechzehn");
        check(21, "twenty-one", "einundzwanzig");
        check(30, "thirty", "dreißig");
        check(76, "seventy-six", "sechsundsiebzig");
        check(100, "one hundred", "hundert");
        check(101, "101", "101");
        check(-1, "-1", "-1");
    }

    #[test]
    fn one_has_a_text_of_its_own() {
        let text = "one section|{} sections";
        assert_eq!(counted(&ENGLISH, text, 1), "one section");
        assert_eq!(counted(&ENGLISH, text, 5), "five sections");
        assert_eq!(figured("1 mark|{} marks", 40), "40 marks");
        assert_eq!(capital("über"), "Über");
    }
}
