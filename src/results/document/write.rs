//! Writing a result.

use super::{RUBRIC, VERSION};
use crate::exam::form::GENERATOR;
use crate::exam::script::Section;
use crate::fraction::{self, Fraction};
use crate::marking::Event;
use crate::marking::event::Action;
use crate::marking::grade::{self, SectionMark};
use crate::marking::item::Marked;
use crate::results::seal;
use crate::sitting::equipment::Equipment;
use crate::sitting::journal::Head;
use crate::sitting::outcome::{ItemOutcome, Outcome, outcome};
use crate::sitting::overrule::Overrule;
use crate::sitting::{End, Incident, Sitting};
use crate::time::Time;
use block::{Block, exact};

mod block;
mod by_hand;
mod facts;
mod profile;

/// What a result holds that the sitting does not know.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Given {
    /// The program's version.
    pub program: String,
    /// The exam script, whole.
    pub script: String,
    /// The digest of the exam script, 64 hexadecimal digits.
    pub digest: String,
    /// The candidate's number.
    pub candidate: String,
    /// When the sitting began, RFC 3339.
    pub started: String,
    /// What it was sat with.
    pub equipment: Equipment,
    /// Of a re-mark: where it comes from.
    pub remark: Option<Remark>,
    /// The journal's head, where the sitting was journalled.
    pub journal: Option<Head>,
}

/// Where a re-mark comes from.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Remark {
    /// The name of the result it was made from.
    pub of: String,
    /// The digest of that result, where it is known.
    pub digest: Option<Head>,
    /// Why it was made.
    pub because: String,
    /// What changed, in sentences.
    pub changes: Vec<String>,
}

/// Writes a result, sealed.
pub fn write(sitting: &Sitting, given: &Given) -> String {
    let outcome = outcome(sitting);
    let mut blocks = vec![head(given), sitting_block(sitting, given)];

    blocks.push(total(&outcome));
    for section in &outcome.grade.sections {
        blocks.push(section_block(
            &sitting.exam().sections[section.section],
            section,
        ));
    }
    for item in &outcome.items {
        blocks.push(item_block(sitting, given, &outcome, item));
    }
    for (number, (credit, by)) in sitting.panel() {
        let mut block = Block::new("[[panel]]");
        block.line("item", &number.to_string());
        block.line("credit", &exact(*credit));
        block.text("by", by);
        blocks.push(block.end());
    }
    if let Some(by_hand) = sitting.by_hand() {
        blocks.extend(by_hand.items.iter().map(by_hand::written));
    }
    blocks.extend(sitting.overrules().iter().map(overrule));
    blocks.extend(sitting.incidents().iter().map(incident));
    profile::profile(sitting, &outcome.profile, &mut blocks);
    let mut script = Block::new("[exam]");
    script.text("digest", &given.digest);
    script.text("script", &given.script);
    blocks.push(script.0);

    let parts: Vec<&str> = blocks.iter().map(String::as_str).collect();
    let seal = seal::seal(&parts, given.journal.as_ref());

    blocks.concat() + &seal
}

fn head(given: &Given) -> String {
    let mut block = Block(
        "# A result of Viva Voicing, sealed: `viva-voicing audit` finds any changed byte.\n[result]\n"
            .to_owned(),
    );
    block.line("version", &VERSION.to_string());
    block.text("program", &given.program);
    block.line("rubric", &RUBRIC.to_string());
    block.line("generator", &GENERATOR.to_string());
    if let Some(remark) = &given.remark {
        block.text("remark_of", &remark.of);
        if let Some(digest) = remark.digest {
            block.text("remark_digest", &digest.to_string());
        }
        block.text("remark_because", &remark.because);
        block.texts("remark_changes", &remark.changes);
    }

    block.end()
}

fn sitting_block(sitting: &Sitting, given: &Given) -> String {
    let exam = sitting.exam();
    let allowance = sitting.allowance();
    let mut block = Block::new("[sitting]");
    block.text("exam", &exam.name);
    block.text("title", &exam.title);
    block.text("edition", &exam.edition);
    block.text("exam_digest", &given.digest);
    block.text("form", &sitting.form().code.to_string());
    block.text("candidate", &given.candidate);
    block.text("started", &given.started);
    match sitting.by_hand() {
        Some(by_hand) => block.texts("marked_by_hand_by", &by_hand.examiners()),
        None => block.ms("length_ms", sitting.now()),
    }
    let (ended, reason) = match sitting.end() {
        Some(End::Stopped(reason)) => ("stopped", Some(reason)),
        Some(End::Void(reason)) => ("void", Some(reason)),
        Some(End::Complete) => ("complete", None),
        Some(End::Early) => ("early", None),
        None => ("interrupted", None),
    };
    block.text("ended", ended);
    if let Some(reason) = reason {
        block.text("reason", reason);
    }
    let equipment = &given.equipment;
    block.text("instrument", &equipment.instrument);
    if !equipment.name.is_empty() {
        block.text("instrument_name", &equipment.name);
    }
    if equipment.without_touch {
        block.line("without_touch", "true");
    }
    if !equipment.output.is_empty() {
        block.text("output", &equipment.output);
    }
    if let Some(delay) = equipment.delay {
        block.ms("output_delay_ms", delay);
    }
    if let Some(spread) = equipment.lag_spread {
        block.ms("lag_spread_ms", spread);
    }
    if allowance.lag != Time::ZERO || equipment.lag_spread.is_some() {
        block.ms("lag_ms", allowance.lag);
    }
    block.line(
        "time_factor",
        &fraction::hundredths(fraction::from_hundredths(i64::from(allowance.factor))),
    );
    block.line("extra_hearings", &allowance.hearings.to_string());
    if sitting.by_hand().is_none() {
        block.text("hands", "inferred from pitch");
    }

    block.end()
}

fn total(outcome: &Outcome<'_>) -> String {
    let total = &outcome.grade.total;
    let mut block = Block::new("[total]");
    block.marks("mark", total.mark);
    block.marks("out_of", total.out_of);
    block.line(
        "percent",
        &fraction::percent(total.mark, total.out_of)
            .unwrap_or(0)
            .to_string(),
    );
    // A void sitting neither passes nor fails.
    if outcome.void {
        block.text("band", "void");
    } else {
        block.text("band", total.band.as_deref().unwrap_or(""));
        if let Some(passed) = total.passed {
            block.flag("passed", passed);
        }
    }
    block.error(total.error);
    block.flag("provisional", total.provisional);
    block.texts("notes", &total.notes);

    block.end()
}

fn section_block(section: &Section, mark: &SectionMark) -> String {
    let mut block = Block::new("[[section]]");
    block.text("id", &section.id);
    block.text("title", &section.title);
    block.text("kind", section.kind.word());
    block.marks("mark", mark.mark);
    block.marks("out_of", mark.out_of);
    block.line(
        "percent",
        &fraction::percent(mark.mark, mark.out_of)
            .unwrap_or(0)
            .to_string(),
    );
    block.line("items", &mark.items.to_string());
    if let Some(of) = mark.error {
        block.error(of);
    }
    if let Some((hurdle, passed)) = mark.hurdle {
        block.marks("hurdle", hurdle);
        block.flag("hurdle_passed", passed);
    }
    if let Some(each) = &mark.each {
        let list = |of: fn(&grade::Answer) -> usize| {
            let counts: Vec<String> = each.answers.iter().map(|one| of(one).to_string()).collect();
            format!("[{}]", counts.join(", "))
        };
        let options: Vec<&str> = each.answers.iter().map(|one| one.option.as_str()).collect();
        block.line("each", &each.least.to_string());
        if !each.with.is_empty() {
            block.texts("each_with", &each.with);
        }
        block.texts("each_answer", &options);
        block.line("each_right", &list(|one| one.right));
        block.line("each_of", &list(|one| one.of));
        block.line("each_needs", &list(|one| one.needs));
        block.flag("each_passed", each.is_reached());
        block.text("each_is", &each.words());
    }

    block.end()
}

fn item_block(
    sitting: &Sitting,
    given: &Given,
    outcome: &Outcome<'_>,
    of: &ItemOutcome<'_>,
) -> String {
    let item = of.item;
    let section = &sitting.exam().sections[item.section];
    let items = outcome
        .grade
        .sections
        .iter()
        .find(|mark| mark.section == item.section)
        .map_or(1, |mark| mark.items);
    // What does not count brings nothing, so that the marks of the items add up to the section's.
    let out_of = match of.counts() {
        true => grade::item_points(section.points, items),
        false => Fraction::new(0, 1),
    };
    let credit = of.credit();
    let mut block = Block::new("[[item]]");

    block.line("number", &item.number.to_string());
    block.text("section", &section.id);
    block.text("kind", item.task.word());
    block.line("cell", &(item.cell + 1).to_string());
    block.text("prompt", &item.prompt);
    if let Some(reason) = of.voided() {
        block.flag("voided", true);
        block.text("voided_because", reason);
    }
    if credit.is_none() {
        block.flag("awaited", true);
    }
    let credit = credit.unwrap_or_default();
    block.line("level", &of.level().to_string());
    block.marks("credit", credit);
    if of.overruled.is_some() {
        block.flag("overruled", true);
        block.line("level_by_program", &of.marked.level().to_string());
    }
    block.marks("mark", fraction::product(out_of, credit));
    block.marks("out_of", out_of);
    block.texts("reasons", &of.reasons());
    let told = match of.written {
        Some(_) => facts::Told::ByHand,
        None if given.equipment.without_touch => facts::Told::WithoutTouch,
        None => facts::Told::All,
    };
    facts::facts(&mut block, &item.task, &of.marked, told);
    let is_empty = matches!(of.marked, Marked::NotReached | Marked::Panel(None));
    if let Some(written) = of.written.filter(|_| !is_empty || !of.counts()) {
        block.text("by_hand", &written.by);
    }
    if let Some(showing) = of.showing {
        block.ms("shown_ms", showing.shown);
        block.ms("zero_ms", showing.zero);
        if let Some(ended) = showing.ended {
            block.ms("ended_ms", ended);
        }
        if showing.added > Time::ZERO {
            block.ms("added_ms", showing.added);
        }
        if let Some(bass) = showing.bass {
            block.ms("bass_ms", bass);
        }
    }
    let events = of.showing.map_or(&[][..], |showing| &showing.events);
    block.texts("evidence", &events.iter().map(event).collect::<Vec<_>>());

    block.end()
}

fn overrule(overrule: &Overrule) -> String {
    let mut block = Block::new("[[overrule]]");

    block.line("item", &overrule.item.to_string());
    block.line("level", &overrule.level.to_string());
    if let Some(was) = overrule.was {
        block.line("was", &exact(was));
    }
    block.text("reason", &overrule.reason);
    block.text("by", &overrule.by);
    block.text("at", &overrule.at);

    block.end()
}

fn incident(incident: &Incident) -> String {
    let by = match incident.by.as_str() {
        "" => "program",
        by => by,
    };
    let mut block = Block::new("[[incident]]");

    block.ms("at_ms", incident.at);
    if let Some(item) = incident.item {
        block.line("item", &item.to_string());
    }
    block.text("kind", &incident.kind);
    block.text("text", &incident.text);
    block.text("by", by);

    block.end()
}

/// An event as evidence: its time since the item's zero in ms, then what was done.
fn event(event: &Event) -> String {
    let at = event.at;

    match &event.action {
        Action::Down(key, velocity) => format!("{at} down {} {velocity}", key.number()),
        Action::Up(key) => format!("{at} up {}", key.number()),
        Action::Pedal(value) => format!("{at} pedal {value}"),
        Action::Answer(text) => format!("{at} answer {text}"),
        Action::Hear => format!("{at} hear"),
        Action::HandIn => format!("{at} hand-in"),
    }
}
