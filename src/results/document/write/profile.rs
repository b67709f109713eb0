//! What stands beside the marks of a sitting.

use super::block::{Block, decimal};
use crate::marking::profile::Profile;
use crate::sitting::Sitting;
use crate::theory::symbol;

/// Writes what stands beside the marks.
pub(super) fn profile(sitting: &Sitting, profile: &Profile, blocks: &mut Vec<String>) {
    let mut walked = Block::new("[profile]");
    // By hand nobody notes how a chord was found.
    if sitting.by_hand().is_none() {
        walked.line("walked", &profile.walked.to_string());
    }
    blocks.push(walked.end());

    for cell in &profile.cells {
        let mut block = Block::new("[[profile.chord]]");
        let root = cell.quality.printed_root(cell.root);
        block.text("root", &root.ascii());
        block.text("quality", &symbol::ascii_quality(cell.quality));
        block.line("level", &cell.level.to_string());
        if let Some(complete) = cell.complete {
            block.ms("complete_ms", complete);
        }
        block.flag("cold", cell.cold);
        blocks.push(block.0);
    }
    for gap in &profile.gaps {
        let mut block = Block::new("[[profile.routine_gap]]");
        block.text("quality", &symbol::ascii_quality(gap.quality));
        block.text("form", &gap.form);
        if let Some((cold, run)) = gap.medians {
            block.ms("cold_ms", cold);
            block.ms("in_run_ms", run);
            block.ms("gap_ms", cold - run);
        }
        if let Some((in_run, cold)) = gap.shares {
            block.marks("right_in_run", in_run);
            block.marks("credit_cold", cold);
            block.marks("gap", in_run - cold);
        }
        blocks.push(block.0);
    }
    for ear in &profile.ears {
        let mut block = Block::new("[[profile.ear]]");
        block.text("section", &sitting.exam().sections[ear.section].id);
        block.line("part", &(ear.part + 1).to_string());
        block.line("right", &ear.right.to_string());
        block.line("items", &ear.items.to_string());
        if let Some(corrected) = ear.corrected {
            block.marks("corrected_share", corrected);
        }
        if let Some(score) = ear.guesser {
            block.line("guesser_score", &score.to_string());
        }
        block.flag("distinguishable_from_guessing", ear.distinguishable);
        block.texts("labels", ear.confusion.labels());
        let rows: Vec<String> = ear
            .confusion
            .rows()
            .map(|row| {
                let counts: Vec<String> = row
                    .counts
                    .iter()
                    .map(ToString::to_string)
                    .chain([row.unanswered.to_string()])
                    .collect();
                format!("[{}]", counts.join(", "))
            })
            .collect();
        block.line("confusion", &format!("[{}]", rows.join(", ")));
        let sensitivity: Vec<String> = ear
            .confusion
            .labels()
            .iter()
            .map(|label| decimal(ear.confusion.sensitivity(label).unwrap_or(f64::NAN)))
            .collect();
        block.line("d_prime", &format!("[{}]", sensitivity.join(", ")));
        let commonest: Vec<String> = ear
            .confusion
            .commonest(3)
            .iter()
            .map(ToString::to_string)
            .collect();
        block.texts("commonest_confusions", &commonest);
        blocks.push(block.0);
    }
    if let Some(last) = blocks.last_mut() {
        last.push('\n');
    }
}
