//! What stands at the head and the foot, and what is said of the sitting as a whole.

use super::Source;
use crate::marking::item::Marked;
use crate::printing::sheet::words::happened as say;
use crate::printing::words::{moment, span};
use crate::results::document::RUBRIC;
use crate::results::seal;
use crate::sitting::End;
use crate::time::Time;

pub(super) struct Head {
    pub(super) what: String,
    pub(super) candidate: String,
    pub(super) when: String,
    pub(super) notes: Vec<String>,
    pub(super) instrument: Vec<String>,
    pub(super) examiners: Vec<String>,
    pub(super) foot: String,
}

pub(super) fn head(source: &Source<'_>, digest: &str) -> Head {
    let given = source.given;
    let by_hand = source.sitting.by_hand();
    let what = match (&given.remark, source.sitting.overrules()) {
        (_, [_, ..]) => "Mark sheet after a second look",
        (Some(_), []) => "Mark sheet, marked again",
        (None, []) if by_hand.is_some() => "Mark sheet, marked by hand",
        (None, []) => "Mark sheet",
    };
    let exam = given.digest.get(..8).map_or_else(
        || given.digest.clone(),
        |start| format!("{}-{}", &start[..4], &start[4..]),
    );

    Head {
        what: what.to_owned(),
        candidate: format!("Candidate {}", given.candidate),
        when: match by_hand {
            Some(_) => moment(&given.started),
            None => span(&given.started, source.sitting.now()),
        },
        notes: notes(source),
        instrument: match by_hand {
            Some(by_hand) => say::by_hand(&by_hand.examiners()),
            None => say::instrument(&given.equipment),
        },
        examiners: by_hand
            .map(|by_hand| by_hand.examiners().into_iter().map(str::to_owned).collect())
            .unwrap_or_default(),
        foot: format!(
            "Form {} · exam {exam} · rubric {RUBRIC} · program {} · result {digest}",
            source.sitting.form().code,
            given.program
        ),
    }
}

fn notes(source: &Source<'_>) -> Vec<String> {
    let mut notes = Vec::new();
    let unreached = source
        .outcome
        .items
        .iter()
        .filter(|of| of.counts() && matches!(of.marked, Marked::NotReached))
        .count();

    notes.extend(match source.sitting.end() {
        Some(End::Complete) => None,
        Some(End::Early) => Some(say::early(unreached)),
        Some(End::Stopped(reason)) => Some(say::stopped(reason, unreached)),
        Some(End::Void(reason)) => Some(say::void(reason)),
        None => Some(say::interrupted(unreached)),
    });
    if let Some(remark) = &source.given.remark {
        let digest = remark.digest.as_ref().map(seal::short);
        notes.push(say::remark(&remark.of, digest.as_deref(), &remark.because));
        notes.extend(remark.changes.iter().map(|change| say::change(change)));
    }
    if let Some(by_hand) = source.sitting.by_hand() {
        notes.push(say::entered(&by_hand.examiners()));
    }
    let allowance = source.sitting.allowance();
    notes.extend(say::factor(allowance.factor));
    notes.extend(say::hearings(allowance.hearings));
    if allowance.lag != Time::ZERO {
        notes.push(say::lag(allowance.lag, source.given.equipment.lag_spread));
    }

    notes
}
