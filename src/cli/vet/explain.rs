//! `vet --explain` as JSON.

use serde_json::{Value, json};

use crate::exam::draw::Stock;
use crate::exam::duration::Span;
use crate::fraction::{self, Fraction};
use crate::marking::explain::{Explanation, FACTORS, Guess, Level, Section, Stretch};
use crate::marking::statistics::StandardError;
use crate::time::Time;

/// Returns an explanation as one object: times in seconds, marks and shares as numbers.
pub(super) fn json(file: &str, of: &Explanation) -> Value {
    let sections: Vec<Value> = of
        .sections
        .iter()
        .enumerate()
        .map(|(place, section)| self::section(of, place, section))
        .collect();

    json!({
        "file": file,
        "explanation": {
            "title": of.title,
            "form": of.code.to_string(),
            "seats": of.seats,
            "items": of.items(),
            "points": number(of.points),
            "pass": of.pass.map(number),
            "time_factor": [factor(of.factors.0), factor(of.factors.1)],
            "sections": sections,
            "minutes": minutes(|place| of.minutes(place)),
            "warm_ups": of.warm_ups,
            "warm_up_seconds": seconds(of.warm_up_time),
            "hearings_on_request_seconds": seconds(of.on_request),
            "by_chance": number(of.by_chance()),
            "expected_error": of.levels.iter().map(|level| error(level, level.total)).collect::<Vec<_>>(),
            "without_rest": of.stretches.iter().map(stretch).collect::<Vec<_>>(),
        },
    })
}

fn section(of: &Explanation, place: usize, section: &Section) -> Value {
    let cells: Vec<Value> = section
        .cells
        .iter()
        .map(|cell| {
            let Stock {
                different,
                asked,
                spare,
            } = cell.stock;
            json!({
                "asks": cell.what,
                "count": cell.count,
                "different": different,
                "asked_of_them": asked,
                "spare_wanted": spare,
                "thin": cell.stock.is_thin(),
            })
        })
        .collect();
    let errors: Vec<Value> = of
        .levels
        .iter()
        .filter_map(|level| Some(error(level, level.sections[place]?)))
        .collect();
    let seldom: Vec<Value> = section
        .seldom
        .iter()
        .map(|(answer, count)| json!({ "answer": answer, "sounds": count }))
        .collect();

    let each = section.each.as_ref().map(|each| {
        json!({ "least": each.least, "of": each.sounds(), "with": each.with, "is": each.needed() })
    });

    json!({
        "id": section.id,
        "title": section.title,
        "kind": section.kind,
        "asks": section.asks,
        "items": section.items,
        "points": number(section.points),
        "cells": cells,
        "each": each,
        "seconds": section.spans.iter().zip(FACTORS).map(span).collect::<Vec<_>>(),
        "minutes": minutes(|place| section.spans[place].minutes()),
        "guessing": section.guesses.iter().map(guess).collect::<Vec<_>>(),
        "expected_error": errors,
        "seldom": seldom,
    })
}

fn guess(guess: &Guess) -> Value {
    json!({
        "ask": guess.ask.word(),
        "items": guess.items,
        "options": guess.options,
        "by_chance": number(guess.expected),
        "one_percent_right": guess.beyond.map(|(right, _)| right),
        "one_percent_marks": guess.beyond.map(|(_, marks)| number(marks)),
    })
}

fn error(level: &Level, error: StandardError) -> Value {
    json!({
        "share": number(level.share),
        "is_pass": level.is_pass,
        "marks": error.points(),
        "at_least": error.is_open(),
    })
}

fn stretch(stretch: &Stretch) -> Value {
    json!({
        "sections": stretch.sections,
        "prompts": stretch.prompts,
        "seconds": stretch.times.map(seconds),
    })
}

fn span((span, hundredths): (&Span, u32)) -> Value {
    json!({
        "factor": factor(hundredths),
        "usual": seconds(span.usual),
        "most": seconds(span.most),
    })
}

fn minutes(of: impl Fn(usize) -> (i64, i64)) -> Vec<Value> {
    FACTORS
        .iter()
        .enumerate()
        .map(|(place, hundredths)| {
            let (usual, most) = of(place);
            json!({ "factor": factor(*hundredths), "usual": usual, "most": most })
        })
        .collect()
}

fn factor(hundredths: u32) -> f64 {
    f64::from(hundredths) / 100.0
}

fn seconds(time: Time) -> f64 {
    time.as_seconds()
}

fn number(value: Fraction) -> f64 {
    fraction::to_f64(value)
}
