//! Which keys there are: those that the readers ask for, and no other.

use std::collections::BTreeSet;

use toml::{Table, Value};
use viva_voicing::exam::language::{COVER, Default, Kind, Part, SECTIONS, TOGETHER, parts};
use viva_voicing::exam::read;
use viva_voicing::exam::script::Ask;

use super::{What, beside, cases, exam, faults, header, set, table, text, value, variants, whole};

/// A key that nobody could have meant otherwise.
const STRANGE: &str = "zzzzzzzzzzzz";

/// Returns the keys that a reader says a part's table takes, from the help to an unknown one.
///
/// Nothing where another fault keeps it from coming so far.
fn taken(part: &Part, mut script: Table) -> Option<BTreeSet<String>> {
    drop(table(&mut script, part.path).insert(STRANGE.to_owned(), Value::from(1)));
    let found = read::read(&text(&script), "trial").1;
    let help = found
        .iter()
        .find(|found| found.message == format!("unknown key `{STRANGE}`"))
        .and_then(|found| found.help.as_deref())?;
    let (_, list) = help.split_once(" takes the key").expect("a list of keys");

    Some(
        list.split('`')
            .skip(1)
            .step_by(2)
            .map(str::to_owned)
            .collect(),
    )
}

/// Whether a key is asked for where the script has what its example needs, and so only there.
fn beside_others(part: &Part, name: &str) -> bool {
    cases()
        .into_iter()
        .filter(|case| case.part.id == part.id && case.key == name && case.what == What::Example)
        .filter(|case| {
            part.all_keys()
                .any(|key| key.name == case.key && !key.with.is_empty())
        })
        .filter_map(|case| taken(part, case.script))
        .any(|taken| taken.contains(name))
}

/// The keys of a part's rows, refused ones among them or not.
fn rows(part: &Part, refused: bool) -> BTreeSet<String> {
    let refused = part.refused.iter().filter(|_| refused).map(|(key, _)| *key);

    part.all_keys()
        .map(|key| key.name)
        .chain(refused)
        .map(str::to_owned)
        .collect()
}

#[test]
fn every_key_that_a_reader_asks_for_has_its_row_and_the_other_way_round() {
    let (mut lacking, mut found) = (BTreeSet::new(), Vec::new());

    for (part, script) in variants() {
        let taken = taken(part, script).expect("a sample is read to its end");
        for key in rows(part, false).difference(&taken) {
            if beside_others(part, key) {
                continue;
            }
            let _ = lacking.insert(format!(
                "part `{}` of src/exam/language has a row `{key}`, which no reader of {} asks for",
                part.id,
                header(part)
            ));
        }
        found.push((part, taken));
    }
    // Some keys are asked for only beside others.
    for case in cases() {
        if matches!(case.what, What::Example | What::Word)
            && let Some(taken) = taken(case.part, case.script)
        {
            found.push((case.part, taken));
        }
    }
    for (part, taken) in found {
        for key in taken.difference(&rows(part, true)) {
            let _ = lacking.insert(format!(
                "{} takes the key `{key}`, which has no row in part `{}` of src/exam/language: \
                 write it there with value, unit, default, example and a sentence",
                header(part),
                part.id
            ));
        }
    }

    let lacking: Vec<String> = lacking.into_iter().collect();
    assert!(lacking.is_empty(), "\n{}\n", lacking.join("\n"));
}

#[test]
fn every_question_to_the_ear_has_its_part() {
    let listed: BTreeSet<&str> = SECTIONS
        .iter()
        .flat_map(|section| section.asks)
        .copied()
        .collect();
    let known: BTreeSet<&str> = Ask::WORDS.iter().map(|(word, _)| *word).collect();

    assert_eq!(
        listed, known,
        "each question of `Ask::WORDS` stands in `asks` of one row of `language::SECTIONS`"
    );
}

#[test]
fn two_questions_go_together_as_the_data_say() {
    let ear = parts().into_iter().find(|part| part.id == "ear").unwrap();
    let ask = ear.all_keys().find(|key| key.name == "ask").unwrap();

    for (a, _) in Ask::WORDS {
        for (b, _) in Ask::WORDS {
            let script = set(ear, ask, value(&format!("[\"{a}\", \"{b}\"]")));
            let refused = faults(&script)
                .iter()
                .any(|(_, message)| message.starts_with("expected one question, or two"));
            let fine = a != b && TOGETHER.contains(&a) && TOGETHER.contains(&b);
            assert_eq!(refused, !fine, "{a} and {b}: see `language::TOGETHER`");
        }
    }
}

#[test]
fn every_part_has_a_name_of_its_own_and_a_sample_without_fault() {
    let mut ids = BTreeSet::new();

    for part in parts() {
        assert!(ids.insert(part.id), "two parts `{}`", part.id);
        let found = faults(&whole(part));
        assert!(found.is_empty(), "the sample of `{}`: {found:#?}", part.id);
    }
    assert!(ids.len() > COVER.len());
}

#[test]
fn every_table_that_a_key_begins_has_its_part() {
    for key in parts().iter().flat_map(|part| part.all_keys()) {
        if let Kind::Table(id) | Kind::Tables(id) = key.kind {
            let is_there = parts().iter().any(|part| part.id == id);
            // Of these two there are many kinds.
            assert!(
                is_there || matches!(id, "section" | "ear-cell"),
                "key `{}`: no part `{id}`",
                key.name
            );
        }
    }
}

#[test]
fn a_key_that_is_refused_is_refused() {
    for part in parts() {
        for (key, _) in part.refused {
            let mut script = whole(part);
            drop(table(&mut script, part.path).insert((*key).to_owned(), Value::from(1)));
            assert!(!faults(&script).is_empty(), "`{key}` of `{}`", part.id);
        }
    }
}

#[test]
fn every_default_stated_is_the_default() {
    let mut odd = Vec::new();

    for part in parts() {
        for key in part.all_keys() {
            let Default::Is(default) = key.default else {
                continue;
            };
            let mut without = beside(part, key, false);
            drop(table(&mut without, part.path).remove(key.name));
            let mut with = without.clone();
            drop(table(&mut with, part.path).insert(key.name.to_owned(), value(default)));
            let (without, with) = (exam(&without), exam(&with));

            if without.0.is_none() || without.0 != with.0 {
                odd.push(format!(
                    "key `{}` of part `{}`: left out it is not `{default}` {:?} {:?}",
                    key.name, part.id, without.1, with.1
                ));
            }
        }
    }

    assert!(odd.is_empty(), "\n{}\n", odd.join("\n"));
}

#[test]
fn every_example_is_another_value_than_the_default() {
    for part in parts() {
        for key in part.all_keys() {
            if let Default::Is(default) = key.default
                && !key.example.is_empty()
            {
                assert!(
                    value(default) != value(key.example),
                    "key `{}` of part `{}`: an example shows something new",
                    key.name,
                    part.id
                );
            }
        }
    }
}

/// The default of hearings depends on the question, which the guide says in words.
#[test]
fn sounds_are_heard_twice_and_progressions_more_often_unless_the_rules_say_otherwise() {
    for section in SECTIONS {
        for ask in section.asks {
            let part = section.cell.unwrap();
            let mut script = whole(part);
            drop(table(&mut script, "section").insert("ask".to_owned(), Value::from(*ask)));
            if *ask == "inversion" {
                for (cell, bass) in script["section"][0]["cells"]
                    .as_array_mut()
                    .unwrap()
                    .iter_mut()
                    .zip([1, 3, 5])
                {
                    let cell = cell.as_table_mut().unwrap();
                    drop(cell.insert("bass".to_owned(), Value::from(bass)));
                }
            }
            let hearings = |script: &toml::Table| match &exam(script).0.expect(ask).sections[0].kind
            {
                viva_voicing::exam::script::Kind::Ear(ear) => ear.hearings,
                other => panic!("{other:?}"),
            };
            assert_eq!(
                hearings(&script),
                match *ask {
                    "progression" | "dictation" => 4,
                    "cadence" => 3,
                    _ => 2,
                },
                "{ask}: say it in the rows `hearings` of parts `ear` and `rules`"
            );
            drop(script.insert("rules".to_owned(), value("{ hearings = 7 }")));
            assert_eq!(hearings(&script), 7, "{ask}");
        }
    }
}
