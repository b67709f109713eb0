//! Small scripts whose figures are worked out by hand.

use super::*;
use crate::exam::read;

/// Nine chords and twelve sounds.
const SMALL: &str = r#"
title = "Nine and twelve"
pass = 50

[rules]
time_factor = [1.0, 1.5]
timing = "Going straight to a chord is the skill that is examined."
warm_ups = 2
reserve = 10
seats = 1

[key_groups]
I = ["C", "F", "G", "D", "Bb", "A", "Eb"]

[[section]]
id = "A"
title = "Cold"
kind = "voicing"
points = 40
seconds = 6
grace = 2
gap = 2
form = "guide-tones"
cells = [
    { count = 5, quality = "7", order = "third on top" },
    { count = 4, quality = "m7", order = "seventh on top", roots = ["C", "D", "E", "Gb", "Ab", "Bb"] },
]

[[section]]
id = "B"
title = "Listening"
kind = "ear"
ask = "quality"
points = 60
seconds = 8
hearings = 2
gap = 2
options = ["maj7", "7", "m7", "m7b5"]
cells = [
    { count = 6, quality = "maj7", spacing = "close" },
    { count = 4, quality = "7", spacing = "open", group = "I" },
    { count = 2, quality = "m7", spacing = "two-hand", top = 3 },
]
"#;

fn explained(script: &str) -> Explanation {
    let (exam, found) = read::read(script, "small");
    let messages: Vec<&str> = found.iter().map(|found| found.message.as_str()).collect();

    explain(&exam.unwrap_or_else(|| panic!("{messages:?}"))).unwrap()
}

fn whole(marks: i64) -> Fraction {
    Fraction::from_integer(marks)
}

fn close(found: StandardError, expected: f64) {
    let found = found.formula().unwrap();

    assert!((found - expected).abs() < 5e-5, "{found} and {expected}");
}

#[test]
fn a_form_is_told_section_by_section_and_cell_by_cell() {
    let of = explained(SMALL);
    let cells: Vec<(u32, &str, usize)> = of
        .sections
        .iter()
        .flat_map(|section| &section.cells)
        .map(|cell| (cell.count, cell.what.as_str(), cell.stock.different))
        .collect();

    assert_eq!(
        (of.items(), of.points, of.pass),
        (21, whole(100), Some(whole(50)))
    );
    // A seventh chord has seventh, third and fifth to be on top: 12 × 3 and 7 × 3.
    assert_eq!(
        cells,
        [
            (5, "7, guide-tones, third on top, any root", 12),
            (4, "m7, guide-tones, seventh on top, on C D E G♭ A♭ B♭", 6),
            (6, "maj7, close, any root", 36),
            (4, "7, open, group I", 21),
            (2, "m7, two-hand, third on top, any root", 12),
        ]
    );
    assert_eq!(of.sections[0].asks, "9 chords to play, 6 s each");
    assert_eq!(
        of.sections[1].asks,
        "12 sounds to name, 2 hearings each, 8 s to answer"
    );
}

#[test]
fn a_cell_is_thin_where_items_and_spare_ones_leave_nothing() {
    let stock = |place: usize| explained(SMALL).sections[0].cells[place].stock;

    // A tenth of five is one, and cold items have two at least: 5 + 2 of 12, 4 + 2 of 6.
    assert_eq!((stock(0).asked, stock(0).spare), (5, 2));
    assert!(!stock(0).is_thin());
    assert_eq!((stock(1).asked, stock(1).spare), (4, 2));
    assert!(stock(1).is_thin());

    // Without spare items two of the six are left.
    let without = SMALL.replace("reserve = 10", "reserve = 0");
    let stock = explained(&without).sections[0].cells[1].stock;
    assert_eq!((stock.asked, stock.spare, stock.is_thin()), (4, 0, false));
}

#[test]
fn cells_that_draw_from_the_same_share_their_pool() {
    // Seven roots, three tones on top, whatever the spacing: 21 sounds for 10 + 10 and 1 + 1 spare.
    let of = explained(
        r#"
title = "Two spacings"
[rules]
feedback = true
seats = 1
[key_groups]
I = ["C", "F", "G", "D", "Bb", "A", "Eb"]
[[section]]
id = "A"
title = "Listening"
kind = "ear"
ask = "quality"
points = 10
seconds = 8
options = ["maj7", "7"]
cells = [
    { count = 10, quality = "7", spacing = "open", group = "I" },
    { count = 10, quality = "7", spacing = "close", group = "I" },
    { count = 6, quality = "maj7", spacing = "close" },
]
"#,
    );
    let stock = of.sections[0].cells[0].stock;

    assert_eq!((stock.different, stock.asked, stock.spare), (21, 20, 2));
    assert!(stock.is_thin());
    assert!(!of.sections[0].cells[2].stock.is_thin());
}

#[test]
fn times_are_worked_out_with_three_factors() {
    let of = explained(SMALL);
    let minutes = |section: usize| of.sections[section].spans.map(Span::minutes);
    let seconds = |section: usize| {
        of.sections[section]
            .spans
            .map(|span| (span.usual.as_seconds(), span.most.as_seconds()))
    };

    // 9 × (6 + 2), and with the grace 9 × (12 + 2); the gap is the same for all.
    assert_eq!(seconds(0), [(72.0, 126.0), (99.0, 180.0), (126.0, 234.0)]);
    assert_eq!(minutes(0), [(1, 2), (2, 3), (2, 4)]);
    // 12 × (2.5 + 8 + 2): a sound takes 2.5 s whoever hears it.
    assert_eq!(seconds(1), [(150.0, 150.0), (198.0, 198.0), (246.0, 246.0)]);
    assert_eq!(minutes(1), [(3, 3), (3, 3), (4, 4)]);
    assert_eq!(
        [0, 1, 2].map(|place| of.minutes(place)),
        [(4, 5), (5, 6), (6, 8)]
    );
    // Twelve second hearings of 2.5 s, two warm-ups of 6 + 2 s.
    assert_eq!(of.on_request.as_seconds(), 30.0);
    assert_eq!((of.warm_ups, of.warm_up_time.as_seconds()), (2, 16.0));
}

#[test]
fn guessing_brings_a_share_and_seldom_more() {
    let of = explained(SMALL);

    // A quarter of 60. Of twelve at 1/4, seven or more have 1.4 % and eight or more 0.28 %;
    // eight bring 60 × 8/12.
    assert_eq!(
        of.sections[1].guesses,
        [Guess {
            ask: Ask::Quality,
            items: 12,
            options: 4,
            expected: whole(15),
            beyond: Some((8, whole(40))),
        }]
    );
    assert!(of.sections[0].guesses.is_empty());
    assert_eq!(of.by_chance(), whole(15));
}

#[test]
fn two_questions_share_the_marks_of_a_sound() {
    let of = explained(
        r#"
title = "Two questions"
[rules]
feedback = true
seats = 1
[[section]]
id = "A"
title = "Listening"
kind = "ear"
ask = ["quality", "top"]
points = 24
seconds = 8
options = [["maj7", "7", "m7", "m7b5"], ["3", "5", "7"]]
cells = [
    { count = 6, quality = "maj7" },
    { count = 6, quality = "7" },
]
"#,
    );
    let guesses = &of.sections[0].guesses;

    // Twelve marks each: a quarter and a third of them; eight of twelve at 1/4 as before. At 1/3
    // eight or more have 1.9 %, nine or more 0.39 %.
    assert_eq!(guesses[0].expected, whole(3));
    assert_eq!(guesses[1].expected, whole(4));
    assert_eq!(guesses[0].beyond, Some((8, whole(8))));
    assert_eq!(guesses[1].beyond, Some((9, whole(9))));
    assert_eq!(of.by_chance(), whole(7));
}

#[test]
fn the_standard_error_is_told_at_the_pass_mark_and_at_three_quarters() {
    let of = explained(SMALL);
    let [pass, usual] = of.levels.as_slice() else {
        panic!("expected two levels, found {:?}", of.levels);
    };

    // 40 √(1/4 / 8), 60 √(1/4 / 11), √(50 + 81.8182).
    assert!(pass.is_pass && pass.share == Fraction::new(1, 2));
    close(pass.sections[0].unwrap(), 7.0711);
    close(pass.sections[1].unwrap(), 9.0453);
    close(pass.total, 11.4812);
    // 40 √(3/16 / 8), 60 √(3/16 / 11), √(37.5 + 61.3636).
    assert!(!usual.is_pass);
    close(usual.sections[0].unwrap(), 6.1237);
    close(usual.sections[1].unwrap(), 7.8335);
    close(usual.total, 9.9430);

    // A pass mark of three quarters needs no second column, and none has one.
    let levels = |pass: &str| explained(&SMALL.replace("pass = 50\n", pass)).levels;
    assert_eq!(levels("pass = 75\n").len(), 1);
    assert_eq!(levels("").len(), 1);
    assert!(!levels("")[0].is_pass);
}

/// Lines round the cycle, in the candidate's own time, of so many qualities.
fn cycles(qualities: &[&str], seconds: u32) -> String {
    let cells: Vec<String> = qualities
        .iter()
        .map(|quality| {
            format!(
                "{{ progression = \"cycle-of-fourths\", quality = \"{quality}\", seconds = {seconds} }}"
            )
        })
        .collect();

    format!(
        r#"
title = "Cycles"
[rules]
feedback = true
time_factor = [1.0, 1.5]
warm_ups = 0
reserve = 0
seats = 1
[[section]]
id = "A"
title = "Round the cycle"
kind = "run"
points = 10
gap = 0
look = 0
form = "guide-tones"
cells = [{}]
"#,
        cells.join(", ")
    )
}

#[test]
fn a_single_item_has_no_error_of_its_own() {
    let of = explained(&cycles(&["7"], 6));

    assert_eq!(of.levels[0].sections, [Some(StandardError::Unknown)]);
    assert_eq!(of.levels[0].total, StandardError::Unknown);
    let text = words(&of);
    assert!(
        text.contains("A: a section of one item has no standard error of its own."),
        "{text}"
    );
    assert!(
        text.contains("With 1 item, under 20, this is feedback, not a certificate."),
        "{text}"
    );
    assert!(
        text.contains("1 of  24  7 round the cycle of fourths, 12 chords, guide-tones"),
        "{text}"
    );
    assert!(text.contains("Nothing here can be guessed"), "{text}");
}

#[test]
fn hands_are_given_a_rest_after_a_quarter_of_an_hour() {
    let strained = |qualities: &[&str], seconds| {
        let of = explained(&cycles(qualities, seconds));
        of.stretches.first().map(|stretch| {
            let minutes = stretch.times.map(duration::minutes);
            (minutes, stretch.too_long(), stretch.too_many())
        })
    };
    let four = ["7", "maj7", "m7", "m7b5"];

    // Four times twelve chords of 20 s are 16 minutes; of 15 s 12, and with more time 18 and 24.
    assert_eq!(strained(&four, 20), Some(([16, 24, 32], Some(0), false)));
    assert_eq!(strained(&four, 15), Some(([12, 18, 24], Some(1), false)));
    // Of 9 s: 7.2, 10.8 and 14.4.
    assert_eq!(strained(&four, 9), None);
}

#[test]
fn hands_are_given_a_rest_after_forty_prompts_unless_the_ear_comes_between() {
    let section = |id: &str, quality: &str| {
        format!(
            r#"
[[section]]
id = "{id}"
title = "Cold"
kind = "voicing"
points = 10
seconds = 4
form = "guide-tones"
cells = [
    {{ count = 11, quality = "{quality}", order = "third on top" }},
    {{ count = 10, quality = "maj7", order = "third on top" }},
]
"#
        )
    };
    let head = "title = \"Many\"\n[rules]\nfeedback = true\nreserve = 0\nwarm_ups = 0\nseats = 1\n";
    let rest = "[[section]]\nid = \"R\"\ntitle = \"Rest\"\nkind = \"rest\"\nseconds = 60\n";
    let (first, second) = (section("A", "7"), section("B", "m7"));

    let of = explained(&format!("{head}{first}{second}"));
    let [stretch] = of.stretches.as_slice() else {
        panic!("expected one stretch, found {:?}", of.stretches);
    };
    assert_eq!(stretch.sections, ["A", "B"]);
    assert_eq!((stretch.prompts, stretch.too_long()), (42, None));
    assert!(
        words(&of).contains("In sections A and B hands play for 42 prompts without a rest."),
        "{}",
        words(&of)
    );

    let of = explained(&format!("{head}{first}{rest}{second}"));
    assert!(of.stretches.is_empty());
    assert_eq!(of.sections[1].spans.map(Span::minutes), [(1, 1); 3]);
    assert!(!of.sections[1].is_measured);
}

#[test]
fn seldom_sounded_answers_are_named_and_unsounded_ones_are_not() {
    let of = explained(SMALL);

    assert_eq!(
        of.sections[1].seldom,
        [("7".to_owned(), 4), ("m7".to_owned(), 2)]
    );
    let text = words(&of);
    assert!(
        text.contains("B: 7 (4 times) and m7 (twice): under 6 times is too seldom"),
        "{text}"
    );
    assert!(text.contains("A: 1 of 2 cells is thin"), "{text}");
    assert!(
        text.contains("The script allows factors from 1 to 1.5."),
        "{text}"
    );
}
