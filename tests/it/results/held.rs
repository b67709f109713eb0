//! What a result holds: every table and key, marks in hundredths, times with one decimal.

use proptest::prelude::*;
use toml::{Table, Value};
use viva_voicing::results::{document, seal};
use viva_voicing::sitting::equipment::Equipment;
use viva_voicing::sitting::{Event, Incident};
use viva_voicing::time::Time;

use super::{Room, eventful, stopped, text, written};

fn tables<'a>(document: &'a Table, key: &str) -> Vec<&'a Table> {
    let all = document.get(key).and_then(Value::as_array);

    all.into_iter()
        .flatten()
        .map(|table| table.as_table().unwrap())
        .collect()
}

fn number(table: &Table, key: &str) -> f64 {
    table
        .get(key)
        .and_then(Value::as_float)
        .unwrap_or_else(|| panic!("{key} in {table}"))
}

fn check_keys(result: &str) {
    let document: Table = result.parse().unwrap();
    let total = document["total"].as_table().unwrap();
    for key in ["mark", "out_of", "percent", "band", "standard_error"] {
        assert!(total.contains_key(key), "[total] {key}");
    }
    assert_eq!(
        total.contains_key("passed"),
        total["band"].as_str() != Some("void"),
        "a void sitting neither passes nor fails"
    );
    for key in ["exam", "form", "candidate", "started", "length_ms", "ended"] {
        let sitting = document["sitting"].as_table().unwrap();
        assert!(sitting.contains_key(key), "[sitting] {key}");
    }

    let sections = tables(&document, "section");
    for section in &sections {
        for key in ["id", "title", "kind", "mark", "out_of", "percent", "items"] {
            assert!(section.contains_key(key), "[[section]] {key}");
        }
    }
    for item in tables(&document, "item") {
        for key in [
            "number", "section", "kind", "prompt", "level", "credit", "mark", "out_of", "reasons",
            "evidence",
        ] {
            assert!(item.contains_key(key), "[[item]] {key}: {item}");
        }
        let credit = number(item, "credit");
        assert!((0.0..=1.0).contains(&credit), "{item}");
        let level = item["level"].as_integer().unwrap();
        assert!((0..=4).contains(&level), "{item}");
        assert!(
            !item["reasons"].as_array().unwrap().is_empty(),
            "{item}: every mark has its reason"
        );
        assert!(number(item, "mark") <= number(item, "out_of") + 0.001);
    }

    // The marks of the items add up to the section's, and the sections' to the total.
    let sum = |items: Vec<&Table>, key: &str| {
        let all = items.iter().map(|table| number(table, key));
        (all.clone().count() as f64, all.sum::<f64>())
    };
    for section in &sections {
        let items: Vec<&Table> = tables(&document, "item")
            .into_iter()
            .filter(|item| item["section"] == section["id"])
            .collect();
        for key in ["mark", "out_of"] {
            let (count, sum) = sum(items.clone(), key);
            let stated = number(section, key);
            assert!(
                (sum - stated).abs() <= 0.005 * (count + 1.0),
                "section {}: {key} {sum} is not {stated}",
                section["id"]
            );
        }
    }
    for key in ["mark", "out_of"] {
        let (count, sum) = sum(sections.clone(), key);
        assert!((sum - number(total, key)).abs() <= 0.005 * (count + 1.0));
    }
}

/// Every mark has two decimals and every time one, always.
fn check_figures(result: &str) {
    let (before, after) = result.split_once("\n[exam]\n").unwrap();
    let (_, after) = after.split_once("\n[seal]\n").unwrap();
    let decimals = |text: &str, places: usize, line: &str| {
        let text = text.trim_start_matches('-');
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
        assert!(
            text == "nan" || digits(whole) && digits(part) && part.len() == places,
            "{line}"
        );
    };

    for line in before.lines().chain(after.lines()) {
        let Some((key, value)) = line.split_once(" = ") else {
            continue;
        };
        match key {
            _ if key.ends_with("_ms") => {
                for value in value.trim_matches(['[', ']']).split(", ") {
                    decimals(value, 1, line);
                }
            }
            "mark" | "out_of" | "standard_error" | "hurdle" | "corrected_share" => {
                decimals(value, 2, line);
            }
            "credit" if !value.starts_with('"') => decimals(value, 2, line),
            _ => {}
        }
        for part in line.split("_ms = ").skip(1) {
            let end = part.find([',', ' ', ']', '}']).unwrap_or(part.len());
            decimals(part[..end].trim_start_matches('['), 1, line);
        }
    }
    let document: Table = result.parse().unwrap();
    for item in tables(&document, "item") {
        for line in item["evidence"].as_array().unwrap() {
            let line = line.as_str().unwrap();
            decimals(line.split(' ').next().unwrap(), 1, line);
        }
    }
}

fn rooms() -> Vec<Room> {
    vec![
        eventful(),
        stopped("fire alarm"),
        stopped("pain in the wrist"),
        Room::new(8).sit(),
        Room::calm(9),
    ]
}

#[test]
fn every_table_and_key_is_there() {
    for room in rooms() {
        check_keys(&written(&room));
    }
}

#[test]
fn marks_have_two_decimals_and_times_one() {
    for room in rooms() {
        check_figures(&written(&room));
    }
}

#[test]
fn a_voided_item_stays_with_its_evidence_and_brings_nothing() {
    let room = eventful();
    let document: Table = written(&room).parse().unwrap();
    let voided: Vec<&Table> = tables(&document, "item")
        .into_iter()
        .filter(|item| item.contains_key("voided"))
        .collect();
    assert!(voided.len() > 2);
    for item in voided {
        assert_eq!((number(item, "mark"), number(item, "out_of")), (0.0, 0.0));
        assert!(item.contains_key("voided_because") && item.contains_key("shown_ms"));
    }
}

#[test]
fn a_panel_item_awaits_its_mark() {
    let room = eventful();
    let result = written(&room);
    let document: Table = result.parse().unwrap();
    let panel: Vec<&Table> = tables(&document, "item")
        .into_iter()
        .filter(|item| item["kind"].as_str() == Some("panel"))
        .collect();
    assert_eq!(number(panel[0], "credit"), 0.67);
    assert!(!panel[0].contains_key("awaited"));
    assert_eq!(number(panel[1], "credit"), 0.0);
    assert_eq!(panel[1]["awaited"], Value::Boolean(true));
    assert_eq!(document["total"]["provisional"], Value::Boolean(true));
    // The exact share is kept beside it.
    assert_eq!(
        tables(&document, "panel")[0]["credit"].as_str(),
        Some("2/3")
    );
}

/// TOML 1.0 as Python's standard library reads it (tomllib, Python 3.11 and later).
#[test]
fn another_reader_of_toml_reads_the_same() {
    const READ: &str = "import json, sys, tomllib\n\
        document = tomllib.load(open(sys.argv[1], 'rb'))\n\
        print(json.dumps(document))";
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("result.toml");

    for room in rooms() {
        let result = written(&room);
        std::fs::write(&path, &result).unwrap();
        let output = std::process::Command::new("python3")
            .args(["-c", READ, path.to_str().unwrap()])
            .output();
        let Some(output) = output.ok().filter(|output| output.status.success()) else {
            let has = std::process::Command::new("python3")
                .args(["-c", "import tomllib"])
                .output();
            assert!(
                has.is_err() || !has.unwrap().status.success(),
                "tomllib refuses a result"
            );
            return;
        };
        let found: Value = {
            let text = String::from_utf8(output.stdout)
                .unwrap()
                .replace("NaN", "\"nan\"");
            serde_json::from_str(&text).unwrap()
        };
        let expected: Table = result.parse().unwrap();
        for key in [
            "sitting", "item", "section", "incident", "exam", "seal", "panel",
        ] {
            let both = (found.get(key), expected.get(key));
            let plain = |value: Option<&Value>| {
                value.map(|value| value.to_string().replace("\"nan\"", "nan"))
            };
            assert_eq!(plain(both.0), plain(both.1), "{key}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Whatever people type, the file is sound and says the same when it is read.
    #[test]
    fn any_words_are_kept(
        candidate in ".{0,20}",
        instrument in "(\\PC|[\"'\\\\\n\r\t\u{0}\u{7f}\u{2028}\u{feff}#=\\[\\]]){0,20}",
        reason in "(\\PC|[\"'\\\\\n\r\t\u{0}\u{1b}\\[\\]]|'''|\"\"\"|\n\\[seal\\]\n){0,8}",
        by in ".{1,12}",
        name in "\\PC{0,9}",
        output in "\\PC{0,9}",
        touchless in any::<bool>(),
        delay in proptest::option::of(-9_000_i64..9_000),
        answer in "(\\PC|[\"'\\\\\n\r\t ]){0,12}",
    ) {
        let mut room = Room::calm(3);
        let spelled = room
            .sitting
            .form()
            .items
            .iter()
            .find(|item| item.task.word() == "spell")
            .map(|item| item.number)
            .unwrap();
        for (at, event) in [
            (1_000, Event::Shown(1)),
            (2_000, Event::Voided { reason: reason.clone(), by: by.clone() }),
            (5_000, Event::Shown(spelled)),
            (6_000, Event::Did(viva_voicing::marking::event::Action::Answer(answer))),
            (
                7_000,
                Event::Noted(Incident {
                    at: Time::ZERO,
                    item: None,
                    kind: by.clone(),
                    text: reason.clone(),
                    by: by.clone(),
                }),
            ),
            (8_000, Event::Stopped(reason)),
        ] {
            room.take(Time::from_ms(at), event);
        }
        let equipment = Equipment {
            instrument,
            name,
            without_touch: touchless,
            output,
            delay: delay.map(Time::from_tenths),
            lag_spread: delay.map(Time::from_tenths),
        };
        let given = document::Given { candidate, equipment, ..room.given() };
        let result = document::write(&room.sitting, &given);
        prop_assert!(seal::audit(&result).is_ok());
        let stored = document::read(&result, None).unwrap();
        prop_assert_eq!(&stored.given, &given);
        prop_assert_eq!(stored.sitting.showings(), room.sitting.showings());
        // An incident by nobody is the program's.
        if by != "program" {
            prop_assert_eq!(stored.sitting.incidents(), room.sitting.incidents());
        }
        prop_assert_eq!(stored.sitting.end(), room.sitting.end());
    }
}

#[test]
fn the_script_inside_is_the_script() {
    let room = Room::calm(9);
    let stored = document::read(&written(&room), None).unwrap();
    assert_eq!(
        stored.script,
        text(std::path::Path::new(crate::sittings::room::MIXED))
    );
}
