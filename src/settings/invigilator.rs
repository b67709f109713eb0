//! The section `[invigilator]`: who looks after a room.

use super::words;
use crate::exam::table::Table;

/// What a hash of a PIN begins with (the string format of password hashes, Argon2id, RFC 9106).
const HASH: &str = "$argon2id$";

/// Who looks after a room.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Invigilator {
    /// The hash of the PIN; none where it has not been chosen yet.
    pub pin: Option<String>,
}

/// Reads the section, where it is there.
pub(super) fn read(root: &Table<'_>) -> Invigilator {
    let Some(table) = root.table("invigilator") else {
        return Invigilator::default();
    };
    let pin = words(&table, "pin");
    let is_plain = pin.as_deref().is_some_and(|pin| !pin.starts_with(HASH));
    if let Some(written) = table.text("pin")
        && is_plain
    {
        // A PIN in plain text could be read by anybody who sees the file.
        table.fault(
            written.span,
            format!("expected the hash of a PIN, which begins with `{HASH}`"),
            Some("take the line out: the kiosk asks for a new PIN and writes its hash".to_owned()),
        );
    }
    table.finish();

    Invigilator { pin }
}

/// Returns the text of a settings file with the hash of a PIN: in the section that is there, or in
/// one added at the end. Nothing that stands there is changed. `None` where the file has a PIN
/// already or writes its section otherwise than with a line of its own.
pub fn with_pin(source: &str, hash: &str) -> Option<String> {
    let pin = format!("pin = \"{hash}\"\n");
    let mut text = String::with_capacity(source.len() + pin.len() + 32);
    let mut placed = false;

    for line in source.split_inclusive('\n') {
        text.push_str(line);
        let is_header = line
            .split('#')
            .next()
            .is_some_and(|line| line.trim() == "[invigilator]");
        if is_header && !placed {
            if !line.ends_with('\n') {
                text.push('\n');
            }
            text.push_str(&pin);
            placed = true;
        }
    }
    if !placed {
        if !text.is_empty() {
            text.push_str(if text.ends_with('\n') { "\n" } else { "\n\n" });
        }
        text.push_str("[invigilator]\n");
        text.push_str(&pin);
    }
    let (settings, _) = super::read(&text);

    settings
        .is_some_and(|settings| settings.invigilator.pin.as_deref() == Some(hash))
        .then_some(text)
}
