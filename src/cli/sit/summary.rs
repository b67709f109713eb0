//! What `sit` prints of a marked sitting.

use std::fmt::Write as _;
use std::path::Path;

use serde::Serialize;

use super::super::Fault;
use super::Room;
use crate::exam::script::Exam;
use crate::fraction;
use crate::marking::grade;
use crate::sitting::outcome::Outcome;
use crate::theory::symbol;
use crate::time::Time;

#[derive(Serialize)]
struct Summary {
    result: String,
    digest: String,
    exam: String,
    form: String,
    candidate: String,
    mark: String,
    out_of: String,
    band: String,
    passed: Option<bool>,
    standard_error: Option<f64>,
    notes: Vec<String>,
    sections: Vec<SectionSummary>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    by_hand: Vec<String>,
}

#[derive(Serialize)]
struct SectionSummary {
    id: String,
    title: String,
    mark: String,
    out_of: String,
    hurdle_passed: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    each_passed: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    each_is: Option<String>,
}

/// The mark summary as JSON, on one line.
pub(super) fn json(
    room: &Room,
    outcome: &Outcome<'_>,
    path: &Path,
    digest: &str,
) -> Result<String, Fault> {
    let total = &outcome.grade.total;
    let exam = room.sitting.exam();
    let summary = Summary {
        result: path.display().to_string(),
        digest: digest.to_owned(),
        exam: exam.name.clone(),
        form: room.sitting.form().code.to_string(),
        candidate: room.given.candidate.clone(),
        mark: fraction::hundredths(total.mark),
        out_of: fraction::hundredths(total.out_of),
        band: band(outcome),
        passed: total.passed.filter(|_| !outcome.void),
        standard_error: total.error.formula(),
        notes: total.notes.clone(),
        sections: outcome
            .grade
            .sections
            .iter()
            .map(|section| SectionSummary {
                id: exam.sections[section.section].id.clone(),
                title: exam.sections[section.section].title.clone(),
                mark: fraction::hundredths(section.mark),
                out_of: fraction::hundredths(section.out_of),
                hurdle_passed: section.hurdle.map(|(_, passed)| passed),
                each_passed: section.each.as_ref().map(grade::Each::is_reached),
                each_is: section.each.as_ref().map(grade::Each::words),
            })
            .collect(),
        by_hand: room
            .sitting
            .by_hand()
            .map(|by_hand| by_hand.examiners())
            .unwrap_or_default()
            .into_iter()
            .map(str::to_owned)
            .collect(),
    };

    Ok(serde_json::to_string(&summary)? + "\n")
}

fn band(outcome: &Outcome<'_>) -> String {
    if outcome.void {
        "void".to_owned()
    } else {
        outcome.grade.total.band.clone().unwrap_or_default()
    }
}

/// The mark summary, in words.
pub(super) fn text(room: &Room, outcome: &Outcome<'_>, path: &Path, digest: &str) -> String {
    let exam = room.sitting.exam();
    let total = &outcome.grade.total;
    let mut out = String::new();
    let whole = |value| fraction::whole(value);

    let _ = writeln!(
        out,
        "{}, form {}, candidate {}\n",
        exam.title,
        room.sitting.form().code,
        room.given.candidate
    );
    if let Some(by_hand) = room.sitting.by_hand() {
        let _ = writeln!(
            out,
            "Marked by hand at a piano, by {}\n",
            by_hand.examiners().join(", ")
        );
    }
    let passed = match total.passed.filter(|_| !outcome.void) {
        Some(true) => ", passed",
        Some(false) => ", not passed",
        None => "",
    };
    let _ = writeln!(
        out,
        "{}: {} of {} marks{passed}",
        match band(outcome).as_str() {
            "" => "Marked".to_owned(),
            band => crate::marking::reason::capital(band),
        },
        fraction::hundredths(total.mark),
        whole(total.out_of)
    );
    for note in &total.notes {
        let _ = writeln!(out, "  {}.", crate::marking::reason::capital(note));
    }
    out.push('\n');

    let width = exam
        .sections
        .iter()
        .map(|section| section.title.chars().count())
        .max()
        .unwrap_or(0);
    for section in &outcome.grade.sections {
        let of = &exam.sections[section.section];
        let hurdle = match section.hurdle {
            Some((hurdle, true)) => format!("  hurdle {} passed", whole(hurdle)),
            Some((hurdle, false)) => format!("  hurdle {} not passed", whole(hurdle)),
            None => String::new(),
        };
        let each = section
            .each
            .as_ref()
            .map_or_else(String::new, |each| format!("  {}", each.words()));
        let line = format!(
            "  {}  {:width$}  {:>6} of {:>3}{hurdle}{each}",
            of.id,
            of.title,
            fraction::hundredths(section.mark),
            whole(section.out_of)
        );
        let _ = writeln!(out, "{}", line.trim_end());
    }
    profile(&mut out, exam, outcome, room.sitting.by_hand().is_some());
    let _ = writeln!(out, "\nResult: {}\nDigest: {digest}", path.display());

    out
}

fn profile(out: &mut String, exam: &Exam, outcome: &Outcome<'_>, by_hand: bool) {
    let profile = &outcome.profile;
    let seconds = |time: Time| format!("{:.1} s", time.as_seconds());

    if by_hand || !profile.gaps.is_empty() || profile.walked > 0 || !profile.ears.is_empty() {
        out.push('\n');
    }
    let has_runs = exam.sections.iter().any(|of| of.kind.word() == "run");
    if by_hand && has_runs && !profile.cells.is_empty() {
        out.push_str("  Routine gap left out: a run at a piano has no times\n");
    }
    for gap in &profile.gaps {
        let quality = symbol::print_quality(gap.quality, exam.style);
        if let Some((cold, run)) = gap.medians {
            let _ = writeln!(
                out,
                "  Routine gap, {quality}: {} cold, {} inside the run",
                seconds(cold),
                seconds(run)
            );
        }
        if let Some((run, cold)) = gap.shares {
            let _ = writeln!(
                out,
                "  Routine gap, {quality}: {} right in the run, {} credit cold",
                fraction::hundredths(run),
                fraction::hundredths(cold)
            );
        }
    }
    if profile.walked > 0 {
        let _ = writeln!(
            out,
            "  {} found by way of a neighbour in the cycle of fourths",
            profile.walked
        );
    }
    for ear in &profile.ears {
        let commonest: Vec<String> = ear
            .confusion
            .commonest(3)
            .iter()
            .map(ToString::to_string)
            .collect();
        let confused = if commonest.is_empty() {
            String::new()
        } else {
            format!("; taken for one another: {}", commonest.join("; "))
        };
        let guess = if ear.distinguishable {
            ""
        } else {
            "; not distinguishable from guessing"
        };
        let _ = writeln!(
            out,
            "  Heard: {} of {} right{guess}{confused}",
            ear.right, ear.items
        );
    }
}
