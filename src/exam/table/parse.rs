//! From text to a document, with every fault of its TOML.

use toml::de::DeTable;

use super::Document;
use super::statement::Sections;
use crate::exam::diagnostic::Diagnostics;

/// Reads the TOML of a script, recording all that is wrong with it.
///
/// Lines that cannot be read are left out of the document, so that the rest can still be vetted;
/// there is no document if the script nests too deeply or too little of it can be told.
pub fn parse(source: &str, out: &Diagnostics) -> Option<Document> {
    let (table, errors) = DeTable::parse_recoverable(source);
    for error in errors {
        out.fault(
            super::wording::fit(source, error.span().unwrap_or(0..0)),
            error.message(),
            None,
        );
    }
    Some(Document::new(table.into_inner(), source, &Sections {}))
}
