//! Writing a result.

use std::fmt::Write as _;

use super::{RUBRIC, VERSION};
use crate::exam::form::{GENERATOR, Task};
use crate::exam::script::Section;
use crate::fraction::{self, Fraction};
use crate::marking::event::Action;
use crate::marking::grade::{self, SectionMark, Total};
use crate::marking::item::Marked;
use crate::marking::profile::Profile;
use crate::marking::statistics::StandardError;
use crate::marking::{Event, run, voicing};
use crate::sitting::journal::Head;
use crate::sitting::outcome::{ItemOutcome, Outcome, outcome};
use crate::sitting::{End, Sitting};
use crate::theory::symbol;
use crate::time::Time;

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
    /// What was played on.
    pub instrument: String,
    /// Of a re-mark: the name of the result it was made from, and why it was made.
    pub remark_of: Option<(String, String)>,
    /// The journal's head, where the sitting was journalled.
    pub journal: Option<Head>,
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
        blocks.push(item_block(sitting, &outcome, item));
    }
    for (number, (credit, by)) in sitting.panel() {
        let mut block = Block::new("[[panel]]");
        block.line("item", &number.to_string());
        block.line("credit", &exact(*credit));
        block.text("by", by);
        blocks.push(block.0);
    }
    for incident in sitting.incidents() {
        let mut block = Block::new("[[incident]]");
        block.ms("at_ms", incident.at);
        if let Some(item) = incident.item {
            block.line("item", &item.to_string());
        }
        block.text("kind", &incident.kind);
        block.text("text", &incident.text);
        block.text(
            "by",
            if incident.by.is_empty() {
                "program"
            } else {
                &incident.by
            },
        );
        blocks.push(block.0);
    }
    profile(sitting, &outcome.profile, &mut blocks);
    let mut script = Block::new("[exam]");
    script.text("digest", &given.digest);
    script.text("script", &given.script);
    blocks.push(script.0);

    let parts: Vec<&str> = blocks.iter().map(String::as_str).collect();
    let seal = crate::results::seal::seal(&parts, given.journal.as_ref());

    blocks.concat() + &seal
}

/// A table of the document.
struct Block(String);

impl Block {
    fn new(header: &str) -> Self {
        Self(format!("{header}\n"))
    }

    fn line(&mut self, key: &str, value: &str) {
        let _ = writeln!(self.0, "{key} = {value}");
    }

    fn text(&mut self, key: &str, value: &str) {
        self.line(key, &quoted(value));
    }

    fn texts<S: AsRef<str>>(&mut self, key: &str, values: &[S]) {
        let inner: Vec<String> = values.iter().map(|value| quoted(value.as_ref())).collect();
        self.line(key, &format!("[{}]", inner.join(", ")));
    }

    fn ms(&mut self, key: &str, time: Time) {
        self.line(key, &time.to_string());
    }

    fn marks(&mut self, key: &str, marks: Fraction) {
        self.line(key, &fraction::hundredths(marks));
    }

    fn end(mut self) -> String {
        self.0.push('\n');
        self.0
    }
}

/// A text as TOML writes it.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

fn exact(value: Fraction) -> String {
    quoted(&format!("{}/{}", value.numer(), value.denom()))
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
    if let Some((of, why)) = &given.remark_of {
        block.text("remark_of", of);
        block.text("remark_because", why);
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
    block.ms("length_ms", sitting.now());
    let (ended, reason) = match sitting.end() {
        Some(End::Stopped(reason)) => ("stopped", Some(reason)),
        Some(End::Void(reason)) => ("void", Some(reason)),
        Some(End::Complete) => ("complete", None),
        None => ("interrupted", None),
    };
    block.text("ended", ended);
    if let Some(reason) = reason {
        block.text("reason", reason);
    }
    block.text("instrument", &given.instrument);
    block.line(
        "time_factor",
        &fraction::hundredths(fraction::from_hundredths(i64::from(allowance.factor))),
    );
    block.line("extra_hearings", &allowance.hearings.to_string());
    block.text("hands", "inferred from pitch");

    block.end()
}

fn total(outcome: &Outcome<'_>) -> String {
    let total: &Total = &outcome.grade.total;
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
            block.line("passed", if passed { "true" } else { "false" });
        }
    }
    error(&mut block, total.error);
    block.line(
        "provisional",
        if total.provisional { "true" } else { "false" },
    );
    block.texts("notes", &total.notes);

    block.end()
}

fn error(block: &mut Block, error: StandardError) {
    match error {
        StandardError::Known(points) => block.line("standard_error", &format!("{points:.2}")),
        StandardError::AtLeastHalfItem { .. } => {
            block.line("standard_error", "0.00");
            block.text("standard_error_is", "at least half an item");
        }
        StandardError::AtLeast(points) => {
            block.line("standard_error", &format!("{points:.2}"));
            block.text("standard_error_is", "at least this");
        }
        StandardError::Unknown => block.text("standard_error_is", "not known"),
    }
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
        error(&mut block, of);
    }
    if let Some((hurdle, passed)) = mark.hurdle {
        block.marks("hurdle", hurdle);
        block.line("hurdle_passed", if passed { "true" } else { "false" });
    }

    block.end()
}

fn item_block(sitting: &Sitting, outcome: &Outcome<'_>, of: &ItemOutcome<'_>) -> String {
    let item = of.item;
    let section = &sitting.exam().sections[item.section];
    let items = outcome
        .grade
        .sections
        .iter()
        .find(|mark| mark.section == item.section)
        .map_or(1, |mark| mark.items);
    let out_of = grade::item_points(section.points, items);
    let mut block = Block::new("[[item]]");

    block.line("number", &item.number.to_string());
    block.text("section", &section.id);
    block.text("kind", item.task.word());
    block.text("prompt", &item.prompt);
    if let Some(reason) = of.showing.and_then(|showing| showing.voided.as_ref()) {
        block.line("voided", "true");
        block.text("voided_because", reason);
    }
    match of.marked.credit() {
        Some(credit) => {
            block.line("level", &of.marked.level().to_string());
            block.marks("credit", credit);
            block.marks("mark", fraction::product(out_of, credit));
        }
        None => block.line("awaited", "true"),
    }
    block.marks("out_of", out_of);
    block.texts("reasons", &of.marked.reasons());
    facts(&mut block, &item.task, &of.marked);
    if let Some(showing) = of.showing {
        block.ms("shown_ms", showing.shown);
        block.ms("zero_ms", showing.zero);
        if let Some(ended) = showing.ended {
            block.ms("ended_ms", ended);
        }
    }
    let events = of.showing.map_or(&[][..], |showing| &showing.events);
    block.texts("evidence", &events.iter().map(event).collect::<Vec<_>>());

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

fn facts(block: &mut Block, task: &Task, marked: &Marked) {
    match marked {
        Marked::Voicing(marked) => {
            let facts = &marked.facts;
            block.line("walked", if facts.walked { "true" } else { "false" });
            block.line("attempts", &facts.attempts.to_string());
            let keys: Vec<String> = facts.keys.numbers().map(|key| key.to_string()).collect();
            block.line("keys", &format!("[{}]", keys.join(", ")));
            if let Some(first) = facts.first_note {
                block.ms("first_note_ms", first);
            }
            if let Some(complete) = facts.complete {
                block.ms("complete_ms", complete);
            }
            if let Some((left, right, chord)) = facts.spread {
                block.line("spread_ms", &format!("[{left}, {right}, {chord}]"));
                block.text("spread", voicing::spread_words(chord));
            }
            for (key, count) in [
                ("foreign", facts.foreign),
                ("grazes", facts.grazes),
                ("restrikes", facts.restrikes),
            ] {
                if count > 0 {
                    block.line(key, &count.to_string());
                }
            }
            if let Some(hold) = facts.hold {
                block.ms("hold_ms", hold);
            }
            if let Some(balance) = facts.balance {
                block.line("balance", &balance.to_string());
            }
            if !facts.low.is_empty() {
                block.texts("low_intervals", &facts.low);
            }
        }
        Marked::Run(marked) => run_facts(block, task, marked),
        Marked::Ear(marked) => {
            if let Some(text) = &marked.text {
                block.text("answer", text);
            }
            block.line("hearings", &marked.hearings.to_string());
            if let Some(at) = marked.at {
                block.ms("answered_ms", at);
            }
        }
        Marked::Spell(marked) => {
            if let Some(text) = &marked.text {
                block.text("answer", text);
            }
            if let Some(at) = marked.at {
                block.ms("answered_ms", at);
            }
        }
        Marked::Panel(_) | Marked::NotReached => {}
    }
}

fn run_facts(block: &mut Block, task: &Task, marked: &run::Marked) {
    let criteria: Vec<String> = marked
        .criteria
        .iter()
        .map(|(name, weight, credit)| {
            format!(
                "{{ criterion = {}, weight = {weight}, credit = {} }}",
                quoted(name),
                fraction::hundredths(*credit)
            )
        })
        .collect();
    block.line("criteria", &format!("[{}]", criteria.join(", ")));
    if let Some(lag) = marked.lag {
        block.ms("lag_ms", lag);
    }
    let Task::Run(task) = task else {
        return;
    };
    let word = |step: run::Step| match step {
        run::Step::Right => "right",
        run::Step::Late => "late",
        run::Step::Wrong => "wrong",
    };
    let chords: Vec<String> = task
        .chords
        .iter()
        .zip(&marked.chords)
        .map(|(chord, mark)| {
            let keys: Vec<String> = mark.keys.numbers().map(|key| key.to_string()).collect();
            let mut text = format!(
                "\n    {{ symbol = {}, harmony = \"{}\", voicing = \"{}\", keys = [{}]",
                quoted(&symbol::ascii(chord.chord)),
                word(mark.harmony),
                word(mark.voicing),
                keys.join(", ")
            );
            if let Some(onset) = mark.onset {
                let _ = write!(text, ", onset_ms = {onset}");
            }
            if let Some(complete) = mark.complete {
                let _ = write!(text, ", complete_ms = {complete}");
            }
            text + " },"
        })
        .collect();
    block.line("chords", &format!("[{}\n]", chords.concat()));
}

fn profile(sitting: &Sitting, profile: &Profile, blocks: &mut Vec<String>) {
    let mut walked = Block::new("[profile]");
    walked.line("walked", &profile.walked.to_string());
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
        block.line("cold", if cell.cold { "true" } else { "false" });
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
        block.line(
            "distinguishable_from_guessing",
            if ear.distinguishable { "true" } else { "false" },
        );
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
            .filter_map(|label| ear.confusion.sensitivity(label))
            .map(|d| format!("{d:.2}"))
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
