//! Items made of picks: prompts, answer keys, sounds.

use super::chance::Chance;
use super::code::Code;
use super::draw::{Pick, Plan};
use super::form::{
    EarTask, Form, Item, PanelTask, RunChord, RunTask, SpellTask, Task, VoicingTask,
};
use super::script::{
    Ask, EarCell, EarSection, Exam, Kind, Line, Pace, PanelSection, RunCell, SpellCell,
    SpellSection, Start, Stimulus, VoicingCell, VoicingSection,
};
use super::sound;
use crate::theory::interval::{Interval, root_motion};
use crate::theory::progression::{self, Placed};
use crate::theory::voicing::form::Form as VoicingForm;
use crate::theory::voicing::{Hands, Register, Voicing};
use crate::theory::{Chord, Degree, Name, leading, symbol};

/// Makes the items of a form.
pub(super) fn form(exam: &Exam, code: Code, plans: &[Plan]) -> Form {
    let mut form = Form {
        code,
        items: Vec::new(),
        reserve: Vec::new(),
        warm_ups: Vec::new(),
    };
    let mut maker = Maker {
        exam,
        chance: Chance::new("items 1", &[u64::from(code.seed()), u64::from(code.seat())]),
        number: 0,
    };

    for (index, plan) in plans.iter().enumerate() {
        if let Kind::Panel(section) = &exam.sections[index].kind {
            for i in 0..section.criteria.len() {
                let item = maker.panel(index, i, section);
                form.items.push(item);
            }
        }
        for pick in &plan.picks {
            let item = maker.item(index, *pick);
            form.items.push(item);
        }
    }

    for (index, plan) in plans.iter().enumerate() {
        for pick in &plan.reserve {
            let item = maker.item(index, *pick);
            form.reserve.push(item);
        }
    }

    for (index, plan) in plans.iter().enumerate() {
        for pick in &plan.warm_ups {
            let item = Item {
                number: 0,
                ..maker.item(index, *pick)
            };
            form.warm_ups.push(item);
        }
    }

    form
}

struct Maker<'a> {
    exam: &'a Exam,
    chance: Chance,
    number: u32,
}

impl Maker<'_> {
    fn item(&mut self, section: usize, pick: Pick) -> Item {
        let cell = usize::from(pick.cell);
        let style = self.exam.style;
        let span = self.exam.rules.span;
        let (prompt, task) = match &self.exam.sections[section].kind {
            Kind::Voicing(of) => voicing(of, &of.cells[cell], pick, style, span),
            Kind::Run(of) => run(&of.cells[cell], pick, style, span),
            Kind::Ear(of) => ear(of, &of.cells[cell], pick, style, &mut self.chance),
            Kind::Spell(of) => spell(of, &of.cells[cell], pick, style),
            Kind::Panel(_) | Kind::Rest { .. } => unreachable!("these sections have no picks"),
        };
        self.number += 1;

        Item {
            number: self.number,
            section,
            cell,
            prompt,
            task,
        }
    }

    fn panel(&mut self, section: usize, cell: usize, of: &PanelSection) -> Item {
        self.number += 1;

        Item {
            number: self.number,
            section,
            cell,
            prompt: of.criteria[cell].clone(),
            task: Task::Panel(PanelTask {
                criterion: of.criteria[cell].clone(),
            }),
        }
    }
}

fn voicing(
    section: &VoicingSection,
    cell: &VoicingCell,
    pick: Pick,
    style: symbol::Style,
    span: u8,
) -> (String, Task) {
    let chord = Chord::new(cell.quality.printed_root(pick.root), cell.quality);
    let asked = asked(&cell.form, chord, cell.order, span);
    let neighbours = [5, 7]
        .into_iter()
        .flat_map(|step| {
            let root = cell.quality.printed_root((pick.root + step) % 12);
            let neighbour = Chord::new(root, cell.quality);
            (0..cell.form.orders.len())
                .filter_map(move |order| cell.form.voicing(neighbour, order).ok())
                .flat_map(|voicing| voicing.alternatives())
                .map(move |hands| (neighbour, hands))
        })
        .collect();
    let prompt = format!(
        "{}: {}",
        symbol::print(chord, style),
        request(&cell.form, cell.order, &asked.register)
    );

    (
        prompt,
        Task::Voicing(VoicingTask {
            chord,
            form: cell.form.name.clone(),
            voicing: asked,
            neighbours,
            limit: section.limit,
            grace: section.grace,
        }),
    )
}

/// The voicing of a form with the exam's span; vetting has made sure that there is one.
fn asked(form: &VoicingForm, chord: Chord, order: usize, span: u8) -> Voicing {
    form.voicing(chord, order)
        .map(|voicing| Voicing { span, ..voicing })
        .unwrap_or_else(|_| Voicing::new(Hands::default()))
}

/// What is asked, in words, with the register where it is narrower than usual.
fn request(form: &VoicingForm, order: usize, register: &Register) -> String {
    let words = &form.orders[order].words;
    let named = |range: &std::ops::RangeInclusive<u8>| {
        let name = |key: u8| {
            crate::theory::Key::new(i64::from(key))
                .map(|key| key.flat_name())
                .unwrap_or_default()
        };
        format!("{} to {}", name(*range.start()), name(*range.end()))
    };
    let default = Register::GUIDE_TONES;
    let anywhere = Register::ANYWHERE;
    let mut narrow = Vec::new();

    if *register == default {
        return words.clone();
    }
    for (what, range, usual) in [
        (
            "lowest note left",
            &register.left_lowest,
            &anywhere.left_lowest,
        ),
        (
            "lowest note right",
            &register.right_lowest,
            &anywhere.right_lowest,
        ),
        ("top note", &register.top, &anywhere.top),
    ] {
        if range != usual && *range.end() < 127 {
            narrow.push(format!("{what} {}", named(range)));
        }
    }

    if narrow.is_empty() {
        words.clone()
    } else {
        format!("{words} ({})", narrow.join(", "))
    }
}

fn run(cell: &RunCell, pick: Pick, style: symbol::Style, span: u8) -> (String, Task) {
    let placed = line(&cell.line, pick.root);
    let chords: Vec<RunChord> = placed
        .iter()
        .map(|placed| RunChord {
            chord: placed.chord,
            at_twelfths: placed.at_twelfths,
            twelfths: placed.twelfths,
        })
        .collect();
    let starts: Vec<usize> = match (&cell.form, cell.start) {
        (None, _) => Vec::new(),
        (Some(_), Start::Order(order)) => vec![order],
        (Some(_), Start::Drawn) => vec![usize::from(pick.variant)],
        (Some(form), Start::Open) => (0..form.orders.len().min(2)).collect(),
    };
    let lines = match &cell.form {
        None => Vec::new(),
        Some(form) => starts
            .iter()
            .map(|start| voiced(form, &placed, *start, span))
            .collect(),
    };
    let prompt = run_prompt(cell, &placed, &starts, style);

    (
        prompt,
        Task::Run(RunTask {
            name: match &cell.line {
                Line::Cycle { .. } => "cycle-of-fourths".to_owned(),
                Line::Progression(progression) => progression.name.clone(),
            },
            form: cell
                .form
                .as_ref()
                .map(|form| form.name.clone())
                .unwrap_or_default(),
            chords,
            lines,
            pace: cell.pace,
        }),
    )
}

/// The chords of a line from a root or in a key.
pub(super) fn line(line: &Line, root: u8) -> Vec<Placed> {
    match line {
        Line::Cycle { quality, chords } => {
            progression::cycle_of_fourths(*quality, root, *chords as usize)
        }
        Line::Progression(progression) => progression.in_key(progression.tonic(root)),
    }
}

/// Voices a line from a starting order: each chord takes the order whose leading hand moves least.
pub(super) fn voiced(
    form: &VoicingForm,
    placed: &[Placed],
    start: usize,
    span: u8,
) -> Vec<Voicing> {
    let mut order = start;
    let mut before: Option<Vec<u8>> = None;
    let mut all = Vec::with_capacity(placed.len());

    for placed in placed {
        let root = placed.chord.root.class();
        if let Some(before) = &before {
            order = (0..form.orders.len())
                .filter_map(|candidate| {
                    let voicing = form.voicing(placed.chord, candidate).ok()?;
                    let classes = leading::leading_classes(&voicing.hands, root);
                    // Of two equal ways the one that keeps the order is taken.
                    Some((
                        leading::least(before, &classes),
                        candidate != order,
                        candidate,
                    ))
                })
                .min()
                .map_or(order, |(.., candidate)| candidate);
        }
        let voicing = asked(form, placed.chord, order, span);
        before = Some(leading::leading_classes(&voicing.hands, root));
        all.push(voicing);
    }

    all
}

fn run_prompt(cell: &RunCell, placed: &[Placed], starts: &[usize], style: symbol::Style) -> String {
    let symbols: Vec<String> = placed
        .iter()
        .take(12)
        .map(|placed| symbol::print(placed.chord, style))
        .collect();
    let more = if placed.len() > 12 { " …" } else { "" };
    let form = match &cell.form {
        None => "any voicing with third and seventh".to_owned(),
        Some(form) => {
            let order = &form.orders[starts.first().copied().unwrap_or(0)];
            match cell.start {
                Start::Open => format!(
                    "{}, either order to start with, then by the nearest way",
                    form_words(&form.name)
                ),
                _ => format!(
                    "{}, starting with the {}",
                    form_words(&form.name),
                    order.name
                ),
            }
        }
    };
    let pace = match cell.pace {
        Pace::Tempo { tempo, bars_in, .. } => format!(
            "in tempo, ♩ = {}, {bars_in} {} counted in",
            decimal(tempo),
            if bars_in == 1 { "bar" } else { "bars" }
        ),
        Pace::Free { limit, .. } => {
            format!(
                "in your own time, {} seconds a chord at most",
                seconds(limit)
            )
        }
    };

    format!("{}{more}: {form}; {pace}", symbols.join(" "))
}

fn form_words(name: &str) -> String {
    match name {
        "guide-tones" => "root and fifth left, guide tones right".to_owned(),
        "guide-tones-with-root" => "root left, guide tones right".to_owned(),
        other => other.replace('-', " "),
    }
}

fn decimal(hundredths: u32) -> String {
    if hundredths.is_multiple_of(100) {
        (hundredths / 100).to_string()
    } else {
        format!("{:.2}", f64::from(hundredths) / 100.0)
    }
}

fn seconds(time: crate::time::Time) -> String {
    let text = format!("{:.1}", time.as_seconds());

    text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
}

fn ear(
    section: &EarSection,
    cell: &EarCell,
    pick: Pick,
    style: symbol::Style,
    chance: &mut Chance,
) -> (String, Task) {
    let sound = sound::build(&cell.stimulus, pick.root, pick.variant, chance);
    let mut right = Vec::new();
    let mut answers = Vec::new();

    for (part, ask) in section.asks.iter().enumerate() {
        let texts = accepted(*ask, &cell.stimulus, pick, style);
        let at = section.options[part]
            .iter()
            .position(|option| texts.iter().any(|text| same_answer(text, option)))
            .unwrap_or(0);
        right.push(at);
        answers.push(texts);
    }

    let questions: Vec<&str> = section.asks.iter().map(|ask| ask.question()).collect();
    let mut prompt = questions.join(" ");
    if let Stimulus::WrongVoice { quality, .. } = &cell.stimulus {
        let chord = Chord::new(quality.printed_root(pick.root), *quality);
        prompt = format!("{}: {prompt}", symbol::print(chord, style));
    }

    (
        prompt,
        Task::Ear(EarTask {
            asks: section.asks.clone(),
            options: section.options.clone(),
            right,
            answers,
            sound,
            hearings: section.hearings,
            limit: section.limit,
        }),
    )
}

/// Tells whether two texts give the same answer: real and ASCII signs, and outer blanks, are one.
pub fn same_answer(a: &str, b: &str) -> bool {
    plain(a) == plain(b)
}

fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());

    for sign in text
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .chars()
    {
        match sign {
            '♭' => out.push('b'),
            '♯' => out.push('#'),
            '°' => out.push_str("dim"),
            '−' | '–' => out.push('-'),
            '𝄫' => out.push_str("bb"),
            '𝄪' => out.push_str("##"),
            other => out.push(other),
        }
    }

    out
}

/// All texts that are right for one part of an ear item, the shortest ASCII one first.
pub(super) fn accepted(
    ask: Ask,
    stimulus: &Stimulus,
    pick: Pick,
    style: symbol::Style,
) -> Vec<String> {
    let mut texts = match (ask, stimulus) {
        (Ask::Quality, Stimulus::Chord { quality, .. } | Stimulus::RootMotion { quality, .. }) => {
            quality_texts(*quality, style)
        }
        (Ask::Top, Stimulus::Chord { quality, top, .. }) => {
            let number = top.unwrap_or([7, 3, 5][usize::from(pick.variant) % 3]);
            member_texts(quality.own(number))
        }
        (Ask::Inversion, Stimulus::Chord { quality, bass, .. }) => member_texts(quality.own(*bass)),
        (Ask::Interval, Stimulus::Interval { semitones, .. }) => Interval::new(*semitones)
            .map(|interval| vec![interval.short().to_owned(), interval.words().to_owned()])
            .unwrap_or_default(),
        (Ask::Tension, Stimulus::Tension { tension }) => vec![
            tension.ascii().to_owned(),
            tension.to_string(),
            tension.words().to_owned(),
        ],
        (Ask::Progression, Stimulus::Progression { progression }) => vec![progression.name.clone()],
        (Ask::RootMotion, Stimulus::RootMotion { up, .. }) => {
            vec![root_motion(pick.root, (pick.root + up) % 12).to_owned()]
        }
        (Ask::WrongVoice, Stimulus::WrongVoice { quality, voice }) => {
            member_texts(quality.own(*voice))
        }
        _ => Vec::new(),
    };

    let mut seen = Vec::with_capacity(texts.len());
    texts.retain(|text| {
        let new = !seen.contains(text);
        seen.push(text.clone());
        new
    });
    texts
}

fn quality_texts(quality: crate::theory::Quality, style: symbol::Style) -> Vec<String> {
    let ascii = symbol::ascii_quality(quality);
    let printed = symbol::print_quality(quality, style);
    let words = symbol::words(quality).map(str::to_owned);

    // A major triad has an empty suffix; its words are its answer.
    [Some(ascii), Some(printed), words]
        .into_iter()
        .flatten()
        .filter(|text| !text.is_empty())
        .collect()
}

fn member_texts(degree: Option<Degree>) -> Vec<String> {
    degree
        .map(|degree| vec![degree.words().to_owned(), degree.number().to_string()])
        .unwrap_or_default()
}

fn spell(
    section: &SpellSection,
    cell: &SpellCell,
    pick: Pick,
    style: symbol::Style,
) -> (String, Task) {
    let root = cell
        .roots
        .iter()
        .copied()
        .find(|name| name.class() == pick.root)
        .unwrap_or_else(|| cell.quality.printed_root(pick.root));
    let chord = Chord::new(root, cell.quality);
    let tones: Vec<(Degree, Vec<Name>)> = chord
        .tones()
        .into_iter()
        .map(|(degree, strict)| (degree, spellings(chord, degree, strict)))
        .collect();
    let count = ["no", "one", "two", "three", "four", "five", "six", "seven"]
        .get(tones.len())
        .copied()
        .unwrap_or("all");

    (
        format!(
            "{}: its {count} notes from the root up, letter and accidental",
            symbol::print(chord, style)
        ),
        Task::Spell(SpellTask {
            chord,
            tones,
            limit: section.limit,
        }),
    )
}

/// The spellings accepted for a chord tone: strict; where that takes a double accidental also as
/// printed; a sharp ninth also as the minor third that parts often print.
fn spellings(chord: Chord, degree: Degree, strict: Name) -> Vec<Name> {
    let mut names = vec![strict];

    if strict.is_double() {
        names.push(strict.in_print());
    }
    if degree == Degree::SharpNinth
        && let Some(third) = Degree::FlatThird.over(chord.root)
    {
        names.push(third);
        if third.is_double() {
            names.push(third.in_print());
        }
    }

    names
}
