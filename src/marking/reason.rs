//! Why an item got its mark, in words that a student understands.

use std::fmt::Write as _;

use super::asked::{Asked, Shape};
use super::event::KeySet;
use crate::theory::{Degree, Name};
use crate::time::Time;

/// Names a time over a limit: `2.4 s late`.
pub fn late(over: Time) -> String {
    let tenths = (over.tenths() + 999) / 1000;

    format!("{}.{} s late", tenths / 10, tenths % 10)
}

/// Names a pitch class as the asked chord would spell it, for print.
pub fn named(asked: &Asked, class: u8) -> Name {
    asked.chord.name_class(class).in_print()
}

/// Says what is wrong with a chord of other pitch classes than asked.
pub fn wrong_notes(asked: &Asked, keys: KeySet) -> String {
    let shape = nearest_shape(asked, keys);
    let played = keys.classes();
    let mut missing: Vec<(u8, bool)> = shape
        .classes
        .iter()
        .enumerate()
        .filter(|(_, class)| played & 1 << **class == 0)
        .map(|(i, class)| (*class, i < shape.left))
        .collect();
    let mut extra: Vec<u8> = (0..12)
        .filter(|class| played & 1 << class != 0 && shape.set & 1 << class == 0)
        .collect();
    let mut parts: Vec<String> = Vec::new();

    // A missing note and a foreign one within a tone are one slip of one finger.
    missing.retain(|(class, left)| {
        let near = extra
            .iter()
            .enumerate()
            .map(|(i, other)| (i, apart(*class, *other)))
            .filter(|(_, apart)| *apart <= 2)
            .min_by_key(|(_, apart)| *apart);
        match near {
            Some((i, _)) => {
                let other = extra.remove(i);
                parts.push(format!(
                    "{} instead of {}{}",
                    slip(asked, other, *class),
                    named(asked, *class),
                    hand(shape, *left)
                ));
                false
            }
            None => true,
        }
    });
    for (class, left) in missing {
        parts.push(format!(
            "{} ({}) missing{}",
            named(asked, class),
            degree_words(asked, shape, class),
            hand(shape, left)
        ));
    }
    for class in extra {
        parts.push(format!("{} added", named(asked, class)));
    }

    join(&parts)
}

/// Says how right pitch classes lie otherwise than asked.
pub fn wrong_place(asked: &Asked, keys: KeySet) -> String {
    let shape = nearest_shape(asked, keys);
    let numbers: Vec<u8> = keys.numbers().collect();
    let in_order = numbers.len() == shape.classes.len()
        && numbers
            .iter()
            .zip(&shape.classes)
            .all(|(number, class)| number % 12 == *class);

    if numbers.len() > shape.classes.len() {
        return "Right notes, but some are doubled".to_owned();
    }
    if in_order {
        return if asked.matches(keys, false).is_some() {
            "Right notes in the right order, but outside the register asked".to_owned()
        } else {
            "Right notes in the right order, but a hand is spread wider than asked".to_owned()
        };
    }
    if !asked.has_right_bass(keys) {
        let lowest = numbers.first().map_or(0, |number| number % 12);
        return format!(
            "Right notes, but the {} was lowest: the {} was asked there",
            degree_words(asked, shape, lowest),
            shape
                .classes
                .first()
                .map_or("root", |class| degree_words(asked, shape, *class))
        );
    }

    let top = numbers.last().map_or(0, |number| number % 12);
    match shape.classes.last() {
        Some(wanted) if *wanted != top => format!(
            "Right notes, but the {} was on top: the {} was asked",
            degree_words(asked, shape, top),
            degree_words(asked, shape, *wanted)
        ),
        _ => "Right notes, but in another order than asked".to_owned(),
    }
}

/// Says that a foreign third or seventh makes another chord, where it does.
pub fn another_chord(asked: &Asked, keys: KeySet) -> Option<String> {
    let classes = keys.classes();
    let quality = asked.chord.quality;
    let root = asked.chord.root.class();
    let absent = |degree: Option<Degree>| {
        degree.filter(|degree| classes & 1 << degree.class_over(root) == 0)
    };
    let what = match (absent(quality.third()), absent(quality.seventh())) {
        (Some(third), Some(seventh)) => {
            format!("the {} and the {} are", third.words(), seventh.words())
        }
        (Some(degree), None) | (None, Some(degree)) => format!("the {} is", degree.words()),
        (None, None) => return None,
    };

    Some(format!("{what} not there, so it is another chord"))
}

/// Joins parts of a sentence, the first with a capital.
pub fn join(parts: &[String]) -> String {
    let mut out = String::new();

    for (i, part) in parts.iter().enumerate() {
        if i > 0 {
            out.push_str(", ");
        }
        let _ = write!(out, "{part}");
    }

    capital(&out)
}

/// Makes the first letter a capital.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();

    chars
        .next()
        .map(|first| first.to_uppercase().chain(chars).collect())
        .unwrap_or_default()
}

fn hand(shape: &Shape, left: bool) -> &'static str {
    if shape.left == 0 || shape.left == shape.classes.len() {
        ""
    } else if left {
        " in the left hand"
    } else {
        " in the right hand"
    }
}

/// The asked shape that shares most pitch classes with what was played.
fn nearest_shape(asked: &Asked, keys: KeySet) -> &Shape {
    let played = keys.classes();

    asked
        .shapes
        .iter()
        .max_by_key(|shape| {
            let shared = (shape.set & played).count_ones() as i32;
            let foreign = (played & !shape.set).count_ones() as i32;
            shared - foreign
        })
        .unwrap_or(&asked.shapes[0])
}

fn apart(a: u8, b: u8) -> u8 {
    let up = (a + 12 - b) % 12;

    up.min(12 - up)
}

/// Names a wrong note so that it shows the slip: D♭ for D, not C♯ for D.
fn slip(asked: &Asked, played: u8, wanted: u8) -> Name {
    let wanted_name = named(asked, wanted);
    let step = (i32::from(played) - i32::from(wanted) + 18).rem_euclid(12) - 6;

    i8::try_from(step)
        .ok()
        .filter(|step| step.abs() == 1)
        .and_then(|step| Name::new(wanted_name.letter(), wanted_name.accidental() + step))
        .filter(|name| !name.is_double())
        .unwrap_or_else(|| named(asked, played))
}

fn degree_words(asked: &Asked, shape: &Shape, class: u8) -> &'static str {
    let root = asked.chord.root.class();
    let place = shape.classes.iter().position(|other| *other == class);
    let degree = place.and_then(|place| asked.voicing.hands.degrees().nth(place));

    degree
        .filter(|degree| degree.class_over(root) == class)
        .or_else(|| {
            Degree::ALL
                .into_iter()
                .find(|degree| degree.class_over(root) == class)
        })
        .map_or("note", Degree::words)
}
