//! A class: published examples by way of the cohort, and `moderate` as a user has it.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

#[path = "../benches/moderate/class.rs"]
#[allow(dead_code, reason = "the class is shared with benchmarks")]
pub(crate) mod class;
mod folder;
mod published;
mod remarked;

use viva_voicing::results::summary::{Item, Section, Summary};
use viva_voicing::sitting::journal::Head;

/// A summary of a sitting of right/wrong items, a point each.
fn summary(candidate: usize, right: &[bool]) -> Summary {
    let points = |right: bool| if right { 100 } else { 0 };
    let items = right.iter().zip(1..).map(|(right, number)| Item {
        number,
        section: "A".to_owned(),
        kind: "spell".to_owned(),
        cell: number,
        prompt: format!("item {number}"),
        counts: true,
        reached: true,
        level: if *right { 4 } else { 0 },
        credit: Some(points(*right)),
        mark: points(*right),
        out_of: 100,
        ..Item::default()
    });
    let mark = right.iter().map(|right| points(*right)).sum();
    let out_of = 100 * right.len() as i64;

    Summary {
        digest: Head::START.then(&candidate.to_le_bytes()),
        program: "0.1.0".to_owned(),
        rubric: 1,
        remark_of: None,
        exam: "published".to_owned(),
        title: "A published example".to_owned(),
        edition: String::new(),
        exam_digest: "0".repeat(64),
        form: "222-229".to_owned(),
        candidate: candidate.to_string(),
        started: "2026-03-12T10:21:00Z".to_owned(),
        length_ms: Some(1.0),
        by_hand: Vec::new(),
        ended: "complete".to_owned(),
        factor: 100,
        mark,
        out_of,
        band: String::new(),
        passed: None,
        error: None,
        provisional: false,
        sections: vec![Section {
            id: "A".to_owned(),
            title: "All".to_owned(),
            kind: "spell".to_owned(),
            mark,
            out_of,
            items: right.len() as u32,
            error: None,
            hurdle: None,
            each: None,
        }],
        items: items.collect(),
        walked: 0,
        chords: Vec::new(),
        gaps: Vec::new(),
        ears: Vec::new(),
        overrules: 0,
        incidents: 0,
    }
}
