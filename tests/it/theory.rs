//! The theory module held against reference tables and against the trade.

mod alike;
mod form;
mod leading;
mod likeness;
mod line;
mod pitch;
mod progression;
mod register;
mod spelling;
mod symbol;
mod symbol_print;
mod voicing;

use viva_voicing::theory::{self, Chord, Degree, Key, Quality, Voicing};

/// A row of a reference table, its fields by their heading.
struct Row {
    headings: csv::StringRecord,
    fields: csv::StringRecord,
}

impl Row {
    fn get(&self, heading: &str) -> &str {
        let place = self
            .headings
            .iter()
            .position(|other| other == heading)
            .unwrap_or_else(|| panic!("the table has no column {heading}"));

        &self.fields[place]
    }

    fn number<T: std::str::FromStr>(&self, heading: &str) -> T {
        let text = self.get(heading);

        text.parse()
            .unwrap_or_else(|_| panic!("expected a number in {heading}, found {text}"))
    }

    fn numbers<T: std::str::FromStr>(&self, heading: &str) -> Vec<T> {
        self.get(heading)
            .split_whitespace()
            .map(|text| {
                text.parse()
                    .unwrap_or_else(|_| panic!("expected numbers in {heading}, found {text}"))
            })
            .collect()
    }
}

/// Reads a table of `tests/fixtures/reference`, which must have a certain number of rows.
fn table(name: &str, rows: usize) -> Vec<Row> {
    let path = format!(
        "{}/tests/fixtures/reference/{name}.csv",
        env!("CARGO_MANIFEST_DIR")
    );
    let mut reader = csv::Reader::from_path(&path).expect("the table is there");
    let headings = reader.headers().expect("the table has headings").clone();
    let table: Vec<Row> = reader
        .records()
        .map(|fields| Row {
            headings: headings.clone(),
            fields: fields.expect("every row is whole"),
        })
        .collect();

    assert_eq!(table.len(), rows, "rows of {name}");
    table
}

fn chord(text: &str) -> Chord {
    theory::symbol::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn quality(text: &str) -> Quality {
    theory::symbol::parse_quality(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

/// Reads a quality as the reference tables name it.
fn quality_in_table(name: &str) -> Quality {
    quality(match name {
        "maj" => "",
        "min" => "m",
        // The syntax of Harte et al. 2005.
        "sus4(b7,9)" => "9sus4",
        other => other,
    })
}

fn degrees(text: &str) -> Vec<Degree> {
    Degree::parse_list(text).expect("the test names degrees")
}

fn ascii(degrees: &[Degree]) -> String {
    degrees
        .iter()
        .map(|degree| degree.ascii())
        .collect::<Vec<_>>()
        .join(" ")
}

fn keys(numbers: &[u8]) -> Vec<Key> {
    numbers
        .iter()
        .map(|number| Key::new(i64::from(*number)).expect("the test names keys"))
        .collect()
}

fn numbers(keys: &[Key]) -> Vec<u8> {
    keys.iter().map(|key| key.number()).collect()
}

/// What a form and order of a name ask of a chord.
fn asked(form: &str, order: &str, chord: Chord) -> Voicing {
    let form = theory::voicing::form::named(form).unwrap_or_else(|| panic!("no form {form}"));
    let order = form
        .order(order)
        .unwrap_or_else(|| panic!("no order {order}"));

    form.voicing(chord, order)
        .unwrap_or_else(|error| panic!("{}: {error}", theory::symbol::ascii(chord)))
}
