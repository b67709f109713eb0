//! The cover of a script: level, symbols, pass mark, rules of the room, bands.

use super::{Place, REACH, filled, marks, no_breaks, rubric, seconds};
use crate::exam::script::{Band, Rules};
use crate::exam::table::{Complaint, Spanned, Table, Within, clip, nearest};
use crate::theory::symbol::{House, Style};
use crate::theory::voicing::SPAN;
use crate::time::Time;

/// What stands before the sections.
pub(in crate::exam) struct Cover {
    pub(in crate::exam) level: String,
    pub(in crate::exam) edition: String,
    pub(in crate::exam) about: String,
    pub(in crate::exam) style: Style,
    pub(in crate::exam) pass: Option<Spanned<u32>>,
    /// Whether a pass mark is written, faulty or not.
    pub(in crate::exam) pass_written: bool,
    pub(in crate::exam) rules: Rules,
    /// Whether the script says how many forms a set has.
    pub(in crate::exam) seats_written: bool,
    /// Where a reason for the timing is missed.
    pub(in crate::exam) no_timing: Option<Place>,
    pub(in crate::exam) bands: Vec<Step>,
}

/// A grade band as far as it could be read.
pub(in crate::exam) struct Step {
    pub(in crate::exam) from: Option<Spanned<u32>>,
    pub(in crate::exam) name: Option<Spanned<String>>,
}

impl Step {
    pub(super) fn whole(self) -> Option<Band> {
        Some(Band {
            from: self.from?.value,
            name: self.name?.value,
        })
    }
}

/// The houses of style as a script may name them, real signs or words for them.
const HOUSES: &[(&str, House)] = &[
    ("maj7/m7", House::Lower),
    ("MA7/MI7", House::Capital),
    ("△/−", House::Signs),
    ("triangle/dash", House::Signs),
    // A typed hyphen looks the same; so do the other triangles.
    ("△/-", House::Signs),
    ("Δ/−", House::Signs),
    ("Δ/-", House::Signs),
];

/// The signs of the half-diminished chord: whether it is slashed.
const HALF_DIMINISHED: &[(&str, bool)] = &[
    ("m7b5", false),
    ("ø7", true),
    ("m7♭5", false),
    ("ø", true),
    ("half-diminished", true),
];

pub(super) fn read(root: &Table<'_>) -> Cover {
    let line = |key| {
        root.text(key)
            .and_then(|text| no_breaks(root, key, text))
            .map_or_else(String::new, |text| text.value.to_owned())
    };
    let (level, edition) = (line("level"), line("edition"));
    let about = root
        .text("about")
        .map_or_else(String::new, |text| text.value.to_owned());
    let house = root.parsed("symbols", |text| one_of(text, HOUSES, 4));
    let slashed = root.parsed("half_diminished", |text| one_of(text, HALF_DIMINISHED, 2));
    let pass = marks(root, "pass");
    let (rules, seats_written, no_timing) = rules(root);

    Cover {
        level,
        edition,
        about,
        style: Style {
            house: house.map_or(House::Lower, |house| house.value),
            slashed: slashed.is_some_and(|slashed| slashed.value),
        },
        pass,
        pass_written: root.has("pass"),
        rules,
        seats_written,
        no_timing,
        bands: bands(root),
    }
}

/// Reads one of some names; only the first few are offered, the rest are other writings of them.
fn one_of<T: Copy>(text: &str, known: &[(&str, T)], offered: usize) -> Result<T, Complaint> {
    if let Some((_, value)) = known.iter().find(|(name, _)| *name == text) {
        return Ok(*value);
    }

    let offered = || known.iter().take(offered).map(|(name, _)| *name);
    let all: Vec<String> = offered().map(|name| format!("`{name}`")).collect();
    Err(Complaint {
        at: None,
        message: format!("expected one of {}, found `{}`", all.join(", "), clip(text)),
        help: Some(match nearest(text, offered()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "copy it letter by letter".to_owned(),
        }),
    })
}

fn rules(root: &Table<'_>) -> (Rules, bool, Option<Place>) {
    let mut rules = Rules {
        tries: 2,
        feedback: false,
        echo: true,
        time_factor: (100, 300),
        timing: String::new(),
        warm_ups: 3,
        reserve: 10,
        seats: 4,
        span: SPAN,
        settle: Time::from_ms(600),
        show_marks: true,
        practise: true,
        hearings: None,
        rubric: rubric::read(root),
    };
    let Some(table) = root.table("rules") else {
        return (rules, false, (!root.has("rules")).then(|| root.span()));
    };

    if let Some(tries) = table.integer("tries", 1..=9) {
        rules.tries = tries.value as u8;
    }
    for (key, slot) in [
        ("feedback", &mut rules.feedback),
        ("echo", &mut rules.echo),
        ("show_marks", &mut rules.show_marks),
    ] {
        if let Some(flag) = table.boolean(key) {
            *slot = flag.value;
        }
    }
    rules.practise = table
        .boolean("practise")
        .map_or(rules.feedback || rules.show_marks, |offered| offered.value);
    time_factor(&table, &mut rules);
    let timing = table.text("timing");
    let no_timing = match &timing {
        Some(timing) => timing.value.trim().is_empty().then(|| timing.span.clone()),
        None => (table.is_whole() && !table.has("timing")).then(|| table.span()),
    };
    if let Some(timing) = timing {
        timing.value.trim().clone_into(&mut rules.timing);
    }
    if let Some(warm_ups) = table.integer("warm_ups", 0..=9) {
        rules.warm_ups = warm_ups.value as u8;
    }
    if let Some(reserve) = table.integer("reserve", Within::from(0..=100).of("percent")) {
        rules.reserve = reserve.value as u8;
    }
    let seats_written = table.has("seats");
    if seats_written {
        // Where the number cannot be read, nothing is to be said of pools too small for it.
        rules.seats = table
            .integer("seats", 1..=31)
            .map_or(1, |seats| seats.value as u8);
    }
    rules.hearings = table.integer("hearings", 1..=9).map(|n| n.value as u8);
    if let Some(settle) = seconds(&table, "settle", 0.1, 5.0) {
        rules.settle = settle.value;
    }
    if table.has("span") {
        rules.span = span(&table);
    }
    table.finish();

    (rules, seats_written, no_timing)
}

fn time_factor(table: &Table<'_>, rules: &mut Rules) {
    let Some(factors) = table.list("time_factor") else {
        return;
    };
    let help = Some("write for example `time_factor = [1.0, 2.0]`".to_owned());
    let count = factors.value.len();
    let read: Vec<u32> = factors
        .value
        .into_iter()
        .filter_map(|value| value.number(Within::from(1.0..=10.0).of("times the limit")))
        .map(|factor| (factor.value * 100.0).round() as u32)
        .collect();

    match read[..] {
        _ if count != 2 => table.fault(
            factors.span,
            format!("expected two time factors, least and greatest, found {count}"),
            help,
        ),
        [least, most] if least <= most => rules.time_factor = (least, most),
        [_, _] => table.fault(
            factors.span,
            "expected the least time factor before the greatest",
            help,
        ),
        _ => {}
    }
}

/// The widest hand: an octave by default; a tenth can be reached by few, more by nobody.
fn span(table: &Table<'_>) -> u8 {
    let Some(span) = table.integer("span", Within::from(1..=48).of("semitones")) else {
        return REACH;
    };
    match span.value {
        17.. => {
            table.fault(
                span.span,
                format!(
                    "a hand span of {} semitones is one that nobody can reach",
                    span.value
                ),
                Some(
                    "an octave is 12, a tenth 15 or 16: most hands cannot play a tenth at once"
                        .to_owned(),
                ),
            );
            REACH
        }
        13.. => {
            table.warning(
                span.span,
                format!(
                    "a hand span of {} semitones is out of reach for many",
                    span.value
                ),
                Some(
                    "say in `about` that wide chords may be rolled, or ask for a form within an octave, 12"
                        .to_owned(),
                ),
            );
            span.value as u8
        }
        value => value as u8,
    }
}

fn bands(root: &Table<'_>) -> Vec<Step> {
    root.array_of_tables("band")
        .into_iter()
        .map(|table| {
            let from = table
                .required_number("from", Within::from(0.0..=10_000.0).of("marks"))
                .map(|from| from.map(|marks| (marks * 100.0).round() as u32));
            let name = filled(&table, "name").map(|name| name.map(str::to_owned));
            table.finish();

            Step { from, name }
        })
        .collect()
}
