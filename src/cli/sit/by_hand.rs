//! A sitting from the marks that an examiner at a piano entered by hand.

use std::path::Path;

use super::super::{Fault, disk, load};
use super::{Arguments, Room, candidate, factor, started};
use crate::exam::draw;
use crate::marking::item::Allowance;
use crate::results::by_hand::{self, Asked};
use crate::results::document::Given;
use crate::sitting::Sitting;
use crate::sitting::equipment::Equipment;
use crate::sitting::journal::Writer;
use crate::time::Time;

/// The longest table, in bytes: a thousand items take a few hundred thousand.
const LARGEST: u64 = 16 << 20;

/// Puts a sitting together from a table, once all of it is right.
pub(super) fn room(arguments: &Arguments, table: &Path) -> Result<Room, Fault> {
    let name = table.display();
    let text = text(table)?;
    let path = arguments.exam.as_deref().unwrap_or(Path::new(""));
    let (exam, script) = load::exam(path)?;
    let digest = load::digest(&script);
    let named = by_hand::form(&text);
    let code = match (&arguments.form, named.as_deref()) {
        (Some(code), _) => load::code(Some(code))?,
        (None, named) => load::code(named)
            .map_err(|Fault(fault)| Fault(format!("{name}: column form: {fault}")))?,
    };
    let form = draw::draw(&exam, code)?;
    let allowance = Allowance {
        factor: factor(&exam, arguments.time_factor)?,
        hearings: arguments.extra_hearings,
        lag: Time::ZERO,
    };
    let by = arguments.by.as_deref().map(str::trim);
    let asked = Asked {
        exam: &exam,
        form: &form,
        digest: &digest,
        allowance,
        by: by.filter(|by| !by.is_empty()),
    };
    let read = by_hand::read(&text, &asked).map_err(|faults| {
        let lines: Vec<String> = faults
            .iter()
            .map(|fault| format!("{name}: {fault}"))
            .collect();
        Fault(lines.join("\n"))
    })?;
    let given = Given {
        program: env!("CARGO_PKG_VERSION").to_owned(),
        digest,
        candidate: candidate(&arguments.candidate)?,
        started: started(arguments.started.as_deref())?,
        equipment: Equipment {
            instrument: "piano, marked by hand".to_owned(),
            ..Equipment::default()
        },
        script,
        remark: None,
        journal: None,
    };

    Ok(Room {
        sitting: Sitting::written_down(exam, form, allowance, read),
        given,
        journal: None,
        writer: Writer::new(),
        offset: Time::ZERO,
    })
}

fn text(table: &Path) -> Result<String, Fault> {
    let bytes = disk::read_limited(table, LARGEST)?;

    String::from_utf8(bytes).map_err(|error| {
        Fault::new(format_args!(
            "{}: expected UTF-8 text, found another byte at offset {}; when saving the table choose \
             CSV with UTF-8",
            table.display(),
            error.utf8_error().valid_up_to()
        ))
    })
}
