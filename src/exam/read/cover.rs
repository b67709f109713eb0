//! The cover of a script: rules of the room, symbols, key groups, bands, own forms and
//! progressions.

use super::{Place, marks, seconds};
use crate::exam::diagnostic::Diagnostics;
use crate::exam::script::{Band, Group, Rules};
use crate::exam::table::{Spanned, Table, Within};
use crate::theory::progression::Progression;
use crate::theory::symbol::{House, Style};
use crate::theory::voicing::form::{Form, Order, Shape, Tone};
use crate::theory::voicing::{Register, SPAN};
use crate::theory::{Degree, Name};
use crate::time::Time;

/// What stands before the sections.
pub(super) struct Cover {
    pub(super) level: String,
    pub(super) edition: String,
    pub(super) about: String,
    pub(super) style: Style,
    pub(super) pass: Option<Spanned<u32>>,
    pub(super) rules: Rules,
    pub(super) timing: Option<Place>,
    pub(super) groups: Vec<Group>,
    pub(super) forms: Vec<Form>,
    pub(super) progressions: Vec<Progression>,
    pub(super) bands: Vec<Spanned<Band>>,
}

pub(super) fn read(root: &Table<'_>, out: &Diagnostics) -> Cover {
    let text = |key| {
        root.text(key)
            .map(|text| text.value.to_owned())
            .unwrap_or_default()
    };
    let house = root.choice(
        "symbols",
        &[
            ("maj7/m7", House::Lower),
            ("MA7/MI7", House::Capital),
            ("△/−", House::Signs),
        ],
    );
    let slashed = root.choice(
        "half_diminished",
        &[("m7b5", false), ("m7♭5", false), ("ø7", true)],
    );
    let (rules, timing) = rules(root);

    Cover {
        level: text("level"),
        edition: text("edition"),
        about: text("about"),
        style: Style {
            house: house.map_or(House::Lower, |house| house.value),
            slashed: slashed.is_some_and(|slashed| slashed.value),
        },
        pass: marks(root, "pass"),
        rules,
        timing,
        groups: groups(root, out),
        forms: forms(root, out),
        progressions: progressions(root, out),
        bands: bands(root),
    }
}

fn rules(root: &Table<'_>) -> (Rules, Option<Place>) {
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
    };
    let Some(table) = root.table("rules") else {
        return (rules, None);
    };

    if let Some(tries) = table.integer("tries", 1..=9) {
        rules.tries = tries.value as u8;
    }
    if let Some(feedback) = table.boolean("feedback") {
        rules.feedback = feedback.value;
    }
    if let Some(echo) = table.boolean("echo") {
        rules.echo = echo.value;
    }
    if let Some(show) = table.boolean("show_marks") {
        rules.show_marks = show.value;
    }
    if let Some(factors) = table.list("time_factor") {
        let place = factors.span.clone();
        let read: Vec<u32> = factors
            .value
            .into_iter()
            .filter_map(|value| value.number(1.0..=10.0))
            .map(|factor| (factor.value * 100.0).round() as u32)
            .collect();
        match read[..] {
            [least, most] if least <= most => rules.time_factor = (least, most),
            [_, _] => table.fault(
                place,
                "expected the least time factor before the greatest",
                Some("write for example `time_factor = [1.0, 2.0]`".to_owned()),
            ),
            _ => table.fault(
                place,
                format!(
                    "expected two time factors, least and greatest, found {}",
                    read.len()
                ),
                Some("write for example `time_factor = [1.0, 2.0]`".to_owned()),
            ),
        }
    }
    let timing = table.text("timing");
    if let Some(timing) = &timing {
        timing.value.clone_into(&mut rules.timing);
    }
    if let Some(warm_ups) = table.integer("warm_ups", 0..=9) {
        rules.warm_ups = warm_ups.value as u8;
    }
    if let Some(reserve) = table.integer("reserve", Within::from(0..=100).of("percent")) {
        rules.reserve = reserve.value as u8;
    }
    if let Some(seats) = table.integer("seats", 1..=31) {
        rules.seats = seats.value as u8;
    }
    if let Some(settle) = seconds(&table, "settle", 0.1, 5.0) {
        rules.settle = settle.value;
    }
    span(&table, &mut rules);
    let place = timing.map(|timing| timing.span);
    table.finish();

    (rules, place)
}

/// The widest hand: an octave by default; a tenth can be reached by few, more by nobody.
fn span(table: &Table<'_>, rules: &mut Rules) {
    let Some(span) = table.integer("span", Within::from(1..=48).of("semitones")) else {
        return;
    };

    match span.value {
        17.. => table.fault(
            span.span,
            format!(
                "a hand span of {} semitones is one that nobody can reach",
                span.value
            ),
            Some(
                "an octave is 12, a tenth 15 or 16: most hands cannot play a tenth at once"
                    .to_owned(),
            ),
        ),
        value => rules.span = value as u8,
    }
}

fn groups(root: &Table<'_>, out: &Diagnostics) -> Vec<Group> {
    let Some(table) = root.table("key_groups") else {
        let group = |name: &str, classes: &[u8]| Group {
            name: name.to_owned(),
            classes: classes.to_vec(),
        };
        return vec![
            group("I", &[0, 5, 7, 2, 10]),
            group("II", &[9, 3, 4, 8]),
            group("III", &[11, 1, 6]),
        ];
    };
    let mut groups: Vec<Group> = Vec::new();

    for (name, value) in table.entries() {
        let Some(list) = value.texts() else {
            continue;
        };
        let mut classes = Vec::new();
        for text in &list.value {
            match Name::parse(text.value) {
                Ok(root) => {
                    let class = root.class();
                    let twice = classes.contains(&class)
                        || groups.iter().any(|group| group.classes.contains(&class));
                    if twice {
                        out.fault(
                            text.span.clone(),
                            format!("key {root} stands in the key groups twice"),
                            Some("each key belongs to one group".to_owned()),
                        );
                    } else {
                        classes.push(class);
                    }
                }
                Err(error) => out.fault(text.span.clone(), error.to_string(), None),
            }
        }
        if list.value.is_empty() {
            out.fault(
                list.span,
                format!("key group `{}` has no keys", name.value),
                Some("list its keys, as in `[\"C\", \"F\", \"Bb\"]`".to_owned()),
            );
        }
        groups.push(Group {
            name: name.value.to_owned(),
            classes,
        });
    }

    groups
}

fn bands(root: &Table<'_>) -> Vec<Spanned<Band>> {
    let mut bands = Vec::new();

    for table in root.array_of_tables("band") {
        let place = table.span();
        let from = table
            .required_number("from", Within::from(0.0..=10_000.0).of("marks"))
            .map(|from| from.map(|marks| (marks * 100.0).round() as u32));
        let name = table.required_text("name");
        table.finish();
        if let (Some(from), Some(name)) = (from, name) {
            bands.push(Spanned::new(
                Band {
                    from: from.value,
                    name: name.value.to_owned(),
                },
                place,
            ));
        }
    }

    bands
}

fn forms(root: &Table<'_>, out: &Diagnostics) -> Vec<Form> {
    let mut forms: Vec<Form> = Vec::new();

    for table in root.array_of_tables("form") {
        let place = table.span();
        let name = table.required_text("name");
        let order = table.text("order");
        let words = table.required_text("words");
        let hand = |key| tones(&table, key);
        let (left, right) = (hand("left"), hand("right"));
        let flag = |key| table.boolean(key).is_some_and(|flag| flag.value);
        let (open, joined, doubling) = (flag("open"), flag("joined"), flag("doubling"));
        let optional = table
            .parsed("optional", |text| {
                Degree::parse_list(text).map_err(|error| error.to_string())
            })
            .map(|list| list.value)
            .unwrap_or_default();
        let register = register(&table);
        let empty = left.is_empty() && right.is_empty();
        let whole = table.is_whole();
        table.finish();

        let (Some(name), Some(words)) = (name, words) else {
            continue;
        };
        if empty && whole {
            out.fault(
                place,
                format!("form `{}` gives neither hand anything to play", name.value),
                Some(
                    "write the degrees from low to high: `left = \"1 5\"`, `right = \"3 7\"`"
                        .to_owned(),
                ),
            );
            continue;
        }
        let order = Order {
            name: order.map_or("as written", |order| order.value).to_owned(),
            words: words.value.trim_end_matches('.').to_owned(),
            shapes: vec![Shape {
                families: Vec::new(),
                left,
                right,
            }],
        };
        match forms.iter_mut().find(|form| form.name == name.value) {
            Some(form) => form.orders.push(order),
            None => forms.push(Form {
                name: name.value.to_owned(),
                orders: vec![order],
                open,
                joined,
                doubling,
                invertible: false,
                optional,
                register,
            }),
        }
    }

    forms
}

fn tones(table: &Table<'_>, key: &'static str) -> Vec<Tone> {
    table
        .parsed(key, |text| {
            Tone::parse_list(text).map_err(|error| error.to_string())
        })
        .map(|tones| tones.value)
        .unwrap_or_default()
}

fn register(table: &Table<'_>) -> Register {
    let range = |key: &'static str, usual: std::ops::RangeInclusive<u8>| {
        let Some(list) = table.list(key) else {
            return usual;
        };
        let place = list.span.clone();
        let read: Vec<u8> = list
            .value
            .into_iter()
            .filter_map(|value| value.integer(0..=127))
            .map(|key| key.value as u8)
            .collect();
        match read[..] {
            [low, high] if low <= high => low..=high,
            _ => {
                table.fault(
                    place,
                    "expected two MIDI keys, lowest and highest",
                    Some("middle C is 60: `right_lowest = [52, 75]`".to_owned()),
                );
                usual
            }
        }
    };
    let usual = Register::GUIDE_TONES;

    Register {
        left_lowest: range("left_lowest", usual.left_lowest),
        right_lowest: range("right_lowest", usual.right_lowest),
        top: range("top", usual.top),
    }
}

fn progressions(root: &Table<'_>, out: &Diagnostics) -> Vec<Progression> {
    let mut all: Vec<Progression> = Vec::new();

    for table in root.array_of_tables("progression") {
        let name = table.required_text("name");
        let bars = table.required_texts("bars");
        table.finish();
        let (Some(name), Some(bars)) = (name, bars) else {
            continue;
        };
        let texts: Vec<String> = bars.value.iter().map(|bar| bar.value.to_owned()).collect();
        if texts.is_empty() {
            out.fault(
                bars.span,
                format!("progression `{}` has no bars", name.value),
                Some(
                    "write a text for each bar: `bars = [\"IIm7\", \"V7\", \"Imaj7\"]`".to_owned(),
                ),
            );
            continue;
        }
        let mut whole = true;
        // Each bar is read on its own, so that every faulty one is told at its place.
        for (i, bar) in bars.value.iter().enumerate() {
            let mut alone = texts[i..=i].to_vec();
            if i > 0 && alone[0].trim_start().starts_with('%') {
                alone[0] = alone[0].replacen('%', "C", 1);
            }
            if let Err(error) = Progression::parse(name.value, &alone) {
                let text = error
                    .to_string()
                    .replacen("bar 1", &format!("bar {}", i + 1), 1);
                out.fault(
                    bar.span.clone(),
                    text,
                    Some("chords of one bar stand with blanks between: \"IIm7 V7\"".to_owned()),
                );
                whole = false;
            }
        }
        if whole && let Ok(progression) = Progression::parse(name.value, &texts) {
            all.push(progression);
        }
    }

    all
}
