//! Marks of performances that an independent marker has worked out, compared exactly.
//!
//! `tests/reference/fixtures.py` made the files of `tests/fixtures/sittings/crosscheck`: the
//! performances are invented there and written by mido 1.3.3, the marks worked out by a marker
//! that shares no code with the program. `tests/reference/crosscheck.py` does the same for as many
//! forms as one likes, by way of the program's own result files.

use std::path::{Path, PathBuf};

use serde::Deserialize;
use viva_voicing::cli::replay;
use viva_voicing::exam::code::Code;
use viva_voicing::exam::{draw, read};
use viva_voicing::fraction::Fraction;
use viva_voicing::instruments::performance;
use viva_voicing::marking::item::{Allowance, Marked};
use viva_voicing::marking::run::Step;
use viva_voicing::sitting::Sitting;
use viva_voicing::sitting::outcome::{ItemOutcome, outcome};

/// What the independent marker makes of a performance.
#[derive(Debug, Deserialize)]
struct Expected {
    exam: PathBuf,
    form: String,
    time_factor: u32,
    total: String,
    section: Vec<Section>,
    item: Vec<Item>,
}

#[derive(Debug, Deserialize)]
struct Section {
    id: String,
    mark: String,
}

#[derive(Debug, Deserialize, PartialEq)]
struct Item {
    number: u32,
    credit: String,
    level: Option<u8>,
    attempts: Option<usize>,
    walked: Option<bool>,
    foreign: Option<u32>,
    grazes: Option<u32>,
    criteria: Option<Vec<String>>,
    harmony: Option<Vec<String>>,
    voicing: Option<Vec<String>>,
}

impl Item {
    /// What the program makes of an item, in the same words.
    fn found(of: &ItemOutcome<'_>) -> Self {
        let credit = of.marked.credit().expect("no item waits for a person");
        let mut item = Self {
            number: of.item.number,
            credit: credit.to_string(),
            level: None,
            attempts: None,
            walked: None,
            foreign: None,
            grazes: None,
            criteria: None,
            harmony: None,
            voicing: None,
        };

        match &of.marked {
            Marked::Voicing(marked) => {
                item.level = Some(marked.level);
                item.attempts = Some(marked.facts.attempts);
                item.walked = Some(marked.facts.walked);
                item.foreign = Some(marked.facts.foreign);
                item.grazes = Some(marked.facts.grazes);
            }
            Marked::Run(marked) => {
                let steps = |of: &dyn Fn(usize) -> Step| {
                    (0..marked.chords.len())
                        .map(|k| word(of(k)).to_owned())
                        .collect::<Vec<_>>()
                };
                let asks_form = marked.criteria.iter().any(|(name, ..)| *name == "voicing");
                item.criteria = Some(
                    marked
                        .criteria
                        .iter()
                        .map(|(name, _, credit)| format!("{name} {credit}"))
                        .collect(),
                );
                item.harmony = Some(steps(&|k| marked.chords[k].harmony));
                item.voicing = asks_form.then(|| steps(&|k| marked.chords[k].voicing));
            }
            _ => {}
        }

        item
    }
}

const fn word(step: Step) -> &'static str {
    match step {
        Step::Right => "right",
        Step::Late => "late",
        Step::Wrong => "wrong",
    }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/sittings/crosscheck")
}

/// Sits a performance, given by the path of what is expected of it.
fn sit(path: &Path, expected: &Expected) -> Sitting {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join(&expected.exam);
    let source = std::fs::read_to_string(&script).expect("the exam is there");
    let (exam, faults) = read::read(&source, "crosscheck");
    let exam = exam.unwrap_or_else(|| panic!("{faults:?}"));
    let code = Code::parse(&expected.form).expect("the code is right");
    let form = draw::draw(&exam, code).expect("the form can be drawn");
    let bytes = std::fs::read(path.with_extension("mid")).expect("the performance is there");
    let performance = performance::read(&bytes).expect("the performance is whole");
    let allowance = Allowance {
        factor: expected.time_factor,
        ..Allowance::NONE
    };
    let mut sitting = Sitting::new(exam, form, allowance);

    let played: Result<(), replay::Error> = replay::play(
        &mut sitting,
        &performance,
        Default::default(),
        &mut |_, _| Ok(()),
    );
    played.expect("the performance is of this form");

    sitting
}

#[test]
fn marks_are_those_of_an_independent_marker_to_the_last_fraction() {
    let mut count = 0;
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder())
        .expect("the folder is there")
        .map(|entry| entry.expect("the folder can be listed").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();
    paths.sort();

    for path in &paths {
        let name = path.display();
        let text = std::fs::read_to_string(path).expect("the marks are there");
        let mut expected: Expected = toml::from_str(&text).expect("the marks can be read");
        let sitting = sit(path, &expected);
        let outcome = outcome(&sitting);
        let mut found: Vec<Item> = outcome.items.iter().map(Item::found).collect();
        found.sort_by_key(|item| item.number);
        expected.item.sort_by_key(|item| item.number);

        for (found, expected) in found.iter().zip(&expected.item) {
            assert_eq!(found, expected, "{name}");
        }
        assert_eq!(found.len(), expected.item.len(), "{name}");
        for section in &expected.section {
            let mark = outcome
                .grade
                .sections
                .iter()
                .find(|mark| sitting.exam().sections[mark.section].id == section.id)
                .map(|mark| mark.mark);
            assert_eq!(mark, Some(fraction(&section.mark)), "{name} {}", section.id);
        }
        assert_eq!(
            outcome.grade.total.mark,
            fraction(&expected.total),
            "{name}"
        );
        count += found.len();
    }

    assert_eq!((paths.len(), count), (15, 616));
}

fn fraction(text: &str) -> Fraction {
    text.parse().expect("a fraction")
}
