//! Many forms of each exam are as its script says, read by another reader than the program's.

use std::collections::{BTreeMap, BTreeSet};

use viva_voicing::exam::draw;
use viva_voicing::exam::form::{EarTask, Form, Item, RunTask, Task};
use viva_voicing::exam::item::same_answer;
use viva_voicing::theory::{Key, Name, Quality, leading, symbol};

use super::{Shipped, shipped};
use crate::forms::{content, root};

/// So many forms of each exam are looked at: a thousand where that is quick.
const FORMS: usize = if cfg!(debug_assertions) { 100 } else { 1_000 };

/// The key groups where a script has none of its own.
const GROUPS: [(&str, &[&str]); 3] = [
    ("I", &["C", "F", "G", "D", "Bb"]),
    ("II", &["A", "Eb", "E", "Ab"]),
    ("III", &["B", "Db", "Gb"]),
];

/// A cell as the script has it.
struct Cell {
    count: usize,
    roots: BTreeSet<u8>,
    table: toml::Table,
}

impl Cell {
    fn text(&self, key: &str) -> Option<&str> {
        self.table.get(key)?.as_str()
    }

    fn number(&self, key: &str) -> Option<i64> {
        self.table.get(key)?.as_integer()
    }

    fn numbers(&self, key: &str) -> Option<Vec<i64>> {
        numbers(&self.table, key)
    }
}

/// What a script asks, section by section.
struct Asked {
    sections: Vec<(toml::Table, Vec<Cell>)>,
    /// The first chord of each of its own progressions.
    first: BTreeMap<String, String>,
}

impl Asked {
    fn new(source: &str) -> Self {
        let script: toml::Table = source.parse().expect("a shipped script is TOML");
        let mut groups: BTreeMap<String, BTreeSet<u8>> = GROUPS
            .iter()
            .map(|(name, roots)| {
                (
                    (*name).to_owned(),
                    roots.iter().map(|root| class(root)).collect(),
                )
            })
            .collect();
        for (name, roots) in script
            .get("key_groups")
            .and_then(toml::Value::as_table)
            .into_iter()
            .flatten()
        {
            let _ = groups.insert(name.clone(), classes(roots));
        }
        let list = |key: &str| tables(&script, key);

        Self {
            sections: list("section")
                .into_iter()
                .map(|section| {
                    let cells = tables(&section, "cells")
                        .into_iter()
                        .map(|table| Cell {
                            count: table
                                .get("count")
                                .map_or(1, |count| count.as_integer().unwrap() as usize),
                            roots: match (table.get("roots"), table.get("group")) {
                                (Some(roots), _) => classes(roots),
                                (_, Some(group)) => groups[group.as_str().unwrap()].clone(),
                                _ => (0..12).collect(),
                            },
                            table,
                        })
                        .collect();
                    (section, cells)
                })
                .collect(),
            first: list("progression")
                .iter()
                .map(|own| {
                    let text = |value: &toml::Value| value.as_str().unwrap().to_owned();
                    (text(&own["name"]), text(&own["bars"][0]))
                })
                .collect(),
        }
    }

    /// The tones that a section asks to be spelled, where it says so.
    fn tones(&self, section: usize) -> Option<Vec<i64>> {
        numbers(&self.sections[section].0, "tones")
    }

    /// How far above its key a line begins, in semitones.
    fn begins(&self, line: &str) -> u8 {
        let first = self.first.get(line).map_or(line, String::as_str);
        let numeral: String = first
            .chars()
            .take_while(|sign| "#bIViv".contains(*sign))
            .collect::<String>()
            .to_uppercase();

        match numeral.as_str() {
            // Round the cycle the key is the first root.
            // Of a line at random too.
            "" | "I" => 0,
            "II" => 2,
            "IV" => 5,
            other => panic!("{line} begins with {other}"),
        }
    }
}

fn tables(table: &toml::Table, key: &str) -> Vec<toml::Table> {
    let list = table.get(key).and_then(toml::Value::as_array);

    list.into_iter()
        .flatten()
        .map(|value| value.as_table().expect("a table").clone())
        .collect()
}

fn numbers(table: &toml::Table, key: &str) -> Option<Vec<i64>> {
    let list = table.get(key)?.as_array()?;

    list.iter().map(toml::Value::as_integer).collect()
}

fn class(name: &str) -> u8 {
    Name::parse(name).expect("a root").class()
}

fn classes(roots: &toml::Value) -> BTreeSet<u8> {
    let roots = roots.as_array().expect("a list of roots");

    roots
        .iter()
        .map(|root| class(root.as_str().unwrap()))
        .collect()
}

#[test]
fn the_forms_of_each_exam_are_as_their_script_says() {
    for shipped in &shipped() {
        let asked = Asked::new(&shipped.source);
        let mut forms = 0;

        let mut random = BTreeSet::new();
        let mut lines = 0;

        for seed in 0.. {
            if forms >= FORMS {
                break;
            }
            let set =
                draw::draw_set(&shipped.exam, seed * 613 + 5).expect("every set can be drawn");
            check_set(&set);
            for form in &set {
                check(shipped, &asked, form);
                for item in &form.items {
                    if let Task::Run(task) = &item.task
                        && task.name == "at-random"
                    {
                        lines += 1;
                        let _ = random.insert(content(item));
                    }
                }
                forms += 1;
            }
        }
        // Of lines at random no two are the same, in one form or in another.
        assert_eq!(random.len(), lines, "{}", shipped.exam.name);
    }
}

/// The forms of a set have the same cells, and never the same item at the same place.
fn check_set(set: &[Form]) {
    let cells = |form: &Form| {
        let mut cells: Vec<_> = form
            .items
            .iter()
            .map(|item| (item.section, item.cell))
            .collect();
        cells.sort_unstable();
        cells
    };
    let expected = cells(&set[0]);

    for form in set {
        assert_eq!(cells(form), expected, "{}", form.code);
    }
    for place in 0..set[0].items.len() {
        // What a person judges is the same for all.
        if matches!(set[0].items[place].task, Task::Panel(_)) {
            continue;
        }
        let here: BTreeSet<String> = set.iter().map(|form| content(&form.items[place])).collect();
        assert_eq!(here.len(), set.len(), "{}, place {place}", set[0].code);
    }
}

fn check(shipped: &Shipped, asked: &Asked, form: &Form) {
    let at = format!("{} {}", shipped.exam.name, form.code);

    for (index, (section, cells)) in asked.sections.iter().enumerate() {
        let items: Vec<&Item> = form
            .items
            .iter()
            .filter(|item| item.section == index)
            .collect();
        if section["kind"].as_str() == Some("panel") {
            assert_eq!(
                items.len(),
                section["criteria"].as_array().unwrap().len(),
                "{at}"
            );
            continue;
        }
        for (number, cell) in cells.iter().enumerate() {
            let of_cell = items.iter().filter(|item| item.cell == number);
            assert_eq!(
                of_cell.count(),
                cell.count,
                "{at}, cell {number} of section {index}"
            );
        }
        for item in &items {
            check_item(&cells[item.cell], asked, item, &at);
        }
        check_order(section, &items, &at);
    }
}

fn check_item(cell: &Cell, asked: &Asked, item: &Item, at: &str) {
    let quality = cell
        .text("quality")
        .map(|text| symbol::parse_quality(text).unwrap());
    let at = format!("{at}, item {}", item.number);

    match &item.task {
        Task::Voicing(task) => {
            assert!(cell.roots.contains(&root(item)), "{at}");
            assert_eq!(Some(task.chord.quality), quality, "{at}");
            let keys = task.voicing.realise(root(item)).unwrap_or_default();
            let (left, right) = keys.split_at(task.voicing.hands.left.len());
            assert!(!keys.is_empty(), "{at}: it has no place");
            for hand in [left, right] {
                assert!(span(hand) <= 12, "{at}: {hand:?}");
            }
        }
        Task::Run(task) => {
            let key = (root(item) + 12 - asked.begins(&task.name)) % 12;
            assert_eq!(cell.text("progression"), Some(task.name.as_str()), "{at}");
            assert!(cell.roots.contains(&key), "{at}");
            if task.name == "at-random" {
                check_at_random(task, quality, &at);
            }
            for line in task.lines.iter() {
                let roots = task.chords.iter().map(|placed| placed.chord.root.class());
                let chords: Vec<_> = roots.zip(line).collect();
                assert!(
                    leading::line(&chords).is_some(),
                    "{at}: it cannot be played through"
                );
            }
        }
        Task::Ear(task) => {
            assert!(cell.roots.contains(&task.root), "{at}");
            check_heard(cell, task, &at);
        }
        Task::Spell(task) => {
            assert!(cell.roots.contains(&root(item)), "{at}");
            assert_eq!(Some(task.chord.quality), quality, "{at}");
            assert!(
                task.tones.iter().all(|(_, names)| !names.is_empty()),
                "{at}"
            );
            if let Some(tones) = cell.numbers("tones").or_else(|| asked.tones(item.section)) {
                let above = task.tones.iter().skip(1);
                let found: Vec<i64> = above.map(|(degree, _)| degree.number().into()).collect();
                assert_eq!(found, tones, "{at}");
            }
        }
        Task::Panel(_) => {}
    }
}

/// Each root once, one quality, and no neighbour in the cycle follows another.
fn check_at_random(task: &RunTask, quality: Option<Quality>, at: &str) {
    let roots: Vec<u8> = task.chords.iter().map(|of| of.chord.root.class()).collect();
    let all: BTreeSet<u8> = roots.iter().copied().collect();

    assert_eq!((roots.len(), all.len()), (12, 12), "{at}: {roots:?}");
    for pair in roots.windows(2) {
        let up = (pair[1] + 12 - pair[0]) % 12;
        assert!(up != 5 && up != 7, "{at}: {roots:?}");
    }
    for placed in &task.chords {
        assert_eq!(Some(placed.chord.quality), quality, "{at}");
    }
}

fn span(hand: &[Key]) -> u8 {
    let numbers = || hand.iter().map(|key| key.number());

    numbers().max().unwrap_or(0) - numbers().min().unwrap_or(0)
}

/// A dictation: each part has one right option, and the basses are those that sound.
fn check_dictated(task: &EarTask, at: &str) {
    const BASSES: [&str; 12] = [
        "I", "bII", "II", "bIII", "III", "IV", "#IV", "V", "bVI", "VI", "bVII", "VII",
    ];
    let chords = &task.sound.strikes[1..];

    assert_eq!(task.right.len(), 2 * chords.len(), "{at}");
    for (part, options) in task.options.iter().enumerate() {
        let is_right = |option: &&String| {
            let texts = &task.answers[part];
            texts.iter().any(|text| same_answer(text, option))
        };
        let right: Vec<&String> = options.iter().filter(is_right).collect();
        assert_eq!(right, [&options[task.right[part]]], "{at}: {options:?}");
        if part % 2 == 0 {
            let above = (chords[part / 2].keys[0].0 + 12 - task.root) % 12;
            assert_eq!(right[0], BASSES[usize::from(above)], "{at}, part {part}");
        }
    }
}

/// One option is right, it is the one that the cell names, and no other is.
fn check_heard(cell: &Cell, task: &EarTask, at: &str) {
    if task.is_played() {
        assert!(task.options.is_empty() && task.right.is_empty(), "{at}");
        if let Some(motive) = cell.text("motive") {
            let steps = task.steps();
            assert_eq!(steps.len(), motive.split(' ').count(), "{at}");
            assert!(steps.iter().all(|step| step.len() == 1), "{at}");
        }
        return;
    }
    if task.asks.len() > 2 {
        check_dictated(task, at);
        return;
    }
    let options = &task.options[0];
    let right: Vec<usize> = (0..options.len())
        .filter(|place| {
            task.answers[0]
                .iter()
                .any(|text| same_answer(text, &options[*place]))
        })
        .collect();
    assert_eq!(right, [task.right[0]], "{at}: {options:?}");

    if let Some(up) = cell.number("up") {
        let low = |strike: Option<&viva_voicing::exam::sound::Strike>| strike.unwrap().keys[0].0;
        let (first, last) = (
            low(task.sound.strikes.first()),
            low(task.sound.strikes.last()),
        );
        assert_eq!(
            (i64::from(last) - i64::from(first)).rem_euclid(12),
            up,
            "{at}"
        );
        return;
    }
    let degree = ["top", "bass", "voice"]
        .iter()
        .find_map(|key| cell.number(key))
        .map(|number| number.to_string());
    let named = ["interval", "tension", "progression", "cadence", "quality"]
        .iter()
        .find_map(|key| cell.text(key));
    let expected = degree.as_deref().or(named).unwrap_or_default();
    let expected = if expected.is_empty() {
        "major triad"
    } else {
        expected
    };
    assert!(
        task.answers[0]
            .iter()
            .any(|text| same_answer(text, expected)),
        "{at}: {expected} is not among {:?}",
        task.answers[0]
    );
}

/// No chord twice where it is played or written; none after its neighbour where it is cold or heard;
/// each root as often as the script says.
fn check_order(section: &toml::Table, items: &[&Item], at: &str) {
    let kind = section["kind"].as_str().unwrap();
    let mut seen = BTreeSet::new();

    if matches!(kind, "voicing" | "spell") {
        for item in items {
            assert!(
                seen.insert(content(item)),
                "{at}: item {} twice",
                item.number
            );
        }
    }
    if let Some(times) = section.get("each_root").and_then(toml::Value::as_integer) {
        for class in 0..12 {
            let count = items.iter().filter(|item| root(item) == class).count();
            assert_eq!(count as i64, times, "{at}: root {class}");
        }
    }
    if kind == "voicing" {
        for pair in items.windows(2) {
            let (from, to) = (root(pair[0]), root(pair[1]));
            let leads = from == to || (from + 5) % 12 == to;
            assert!(!leads, "{at}: item {} is not cold", pair[1].number);
        }
    }
    if kind == "ear" && section["ask"].as_str() == Some("quality") {
        for pair in items.windows(2) {
            assert_ne!(
                root(pair[0]),
                root(pair[1]),
                "{at}: item {}",
                pair[1].number
            );
        }
    }
}
