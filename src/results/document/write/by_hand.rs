//! What an examiner wrote of an item, as a block of its own: a re-mark goes by it.

use super::block::{Block, exact};
use crate::fraction::Fraction;
use crate::marking::noted::{Heard, Note};
use crate::sitting::by_hand::Written;

/// Writes it.
pub(super) fn written((number, written): (&u32, &Written)) -> String {
    let mut block = Block::new("[[by_hand]]");

    block.line("item", &number.to_string());
    match &written.note {
        Note::Level(level, complete) => {
            block.line("level", &level.to_string());
            if let Some(complete) = complete {
                block.ms("complete_ms", *complete);
            }
        }
        Note::Run(counts) => {
            block.line("chords_right", &exact(Fraction::new(counts.harmony, 2)));
            block.line("chords_in_form", &exact(Fraction::new(counts.voicing, 2)));
            block.line("leading", &counts.leading.to_string());
            block.line("pace", &counts.pace.to_string());
        }
        Note::Credit(credit) => block.line("credit", &exact(*credit)),
        Note::Heard(parts) => {
            let parts: Vec<String> = parts
                .iter()
                .map(|part| match part {
                    Heard::Answer(text) => format!("answer {text}"),
                    Heard::Nothing => "nothing".to_owned(),
                    Heard::Told(true) => "right".to_owned(),
                    Heard::Told(false) => "wrong".to_owned(),
                })
                .collect();
            block.texts("heard", &parts);
        }
        Note::Spelled(text) => block.text("spelled", text.as_deref().unwrap_or_default()),
        Note::Tones(right) => block.line("tones", &right.to_string()),
        Note::Nothing => block.flag("nothing", true),
    }
    if let Some(reason) = &written.voided {
        block.text("voided", reason);
    }
    block.text("by", &written.by);
    if !written.remark.is_empty() {
        block.text("remark", &written.remark);
    }

    block.end()
}
