//! The script of a practice paper.

use toml::{Table, Value};

use super::choose::{Entry, Why};
use super::evidence::Evidence;
use super::lines::{entries, inline, value, wrapped};
use super::share::{Block, REST};
use super::source::{Source, tables};
use super::{Part, Sat, words};
use crate::exam::script::{Ask, EarSection, Kind};
use crate::fraction::{self, Fraction};

/// Keys of a section that are not copied: the paper has its own, or none.
const OWN: [&str; 11] = [
    "id",
    "title",
    "kind",
    "points",
    "hurdle",
    "each",
    "each_with",
    "each_root",
    "options",
    "hearings",
    "cells",
];
/// A line whose harmony or time brought less than half comes at this share of its tempo, in percent.
const SLOWER: i64 = 85;

/// Says why each part is there.
pub(super) fn parts(
    sources: &[Source<'_>],
    evidence: &Evidence,
    blocks: &[Block<'_>],
) -> Vec<Part> {
    let titles = titles(sources, blocks);

    blocks
        .iter()
        .zip(titles)
        .enumerate()
        .map(|(place, (block, title))| Part {
            id: id(place),
            title,
            because: words::because(sources, evidence, block, slower(sources, evidence, block)),
        })
        .collect()
}

/// Writes the script; `lasts` is how many minutes it takes, usually and at most.
pub(super) fn script(
    sources: &[Source<'_>],
    evidence: &Evidence,
    blocks: &[Block<'_>],
    sat: &[Sat<'_>],
    seed: u64,
    lasts: (i64, i64),
) -> String {
    let parts = parts(sources, evidence, blocks);
    let newest = sat[0].sitting.exam();
    let cover = sources
        .iter()
        .find(|source| source.exam.name == newest.name && source.exam.title == newest.title)
        .unwrap_or(&sources[0]);
    let title = newest.title.trim_start_matches("Practice: ");
    let mut out = words::head(title, sat, evidence, seed, lasts);

    out += &format!(
        "\ntitle = {}\nlevel = \"practice\"\nedition = {}\nabout = {}\n",
        value(&Value::String(format!("Practice: {title}"))),
        value(&Value::String(newest.edition.clone())),
        value(&Value::String(words::about(sat))),
    );
    let style = ["symbols", "half_diminished"];
    if style.iter().any(|key| cover.table.contains_key(*key)) {
        out.push('\n');
    }
    for key in style {
        if let Some(own) = cover.table.get(key) {
            out += &format!("{key} = {}\n", value(own));
        }
    }
    out += "\n# The answer is shown after each item, and nothing is passed or failed.\n[rules]\n";
    out += &entries(&rules(sources, cover, blocks));
    if let Some(rubric) = cover.table.get("rubric").and_then(Value::as_table) {
        out += "\n[rubric]\n";
        out += &entries(rubric);
    }
    out += &own(sources, blocks, "progression");
    out += &own(sources, blocks, "form");

    let points = points(blocks);
    for (place, (block, part)) in blocks.iter().zip(&parts).enumerate() {
        if block.rest_before {
            out += &format!(
                "\n# Hands rest after about forty prompts or a quarter of an hour.\n[[section]]\n\
                 id = \"rest before {}\"\ntitle = \"Shake out your hands\"\nkind = \"rest\"\nseconds = {REST}\n",
                part.id
            );
        }
        out += "\n";
        for line in wrapped(&part.because, 98) {
            out += &format!("# {line}\n");
        }
        let section = section(sources, evidence, block);
        let kind = sources[block.strand.source].exam.sections[block.strand.section]
            .kind
            .word();
        out += &format!(
            "[[section]]\nid = {}\ntitle = {}\nkind = \"{kind}\"\npoints = {}\n",
            value(&Value::String(part.id.clone())),
            value(&Value::String(part.title.clone())),
            points[place]
        );
        out += &entries(&section);
        out += "cells = [\n";
        for cell in cells(sources, evidence, block) {
            out += &format!("    {},\n", inline(&cell));
        }
        out += "]\n";
    }

    out
}

/// A hundred points, shared by how long the parts last.
fn points(blocks: &[Block<'_>]) -> Vec<u32> {
    let lasts: Vec<f64> = blocks
        .iter()
        .map(|block| block.entries.iter().map(|entry| entry.seconds).sum::<f64>())
        .collect();
    let all: f64 = lasts.iter().sum::<f64>().max(1.0);
    let mut points: Vec<u32> = lasts
        .iter()
        .map(|own| ((100.0 * own / all) as u32).max(1))
        .collect();
    let others: u32 = points.iter().skip(1).sum();
    if let Some(first) = points.first_mut() {
        *first = 100u32.saturating_sub(others).max(1);
    }

    points
}

/// Names a section: A to Z.
fn id(place: usize) -> String {
    char::from(b'A' + (place % 26) as u8).to_string()
}

fn titles(sources: &[Source<'_>], blocks: &[Block<'_>]) -> Vec<String> {
    let label = |block: &Block<'_>| match &block.strand.why {
        Why::Weak => "Weak chords",
        Why::Slow => "Slow chords",
        Why::Routine(_) => "Out of the routine",
        Why::Confused(_) => "Heard against each other",
        Why::Heard => "Heard again",
        Why::Spelt => "Spelled again",
        Why::Lines => "Lines again",
        Why::Next => "The next step",
        Why::Sure => "What was sure",
    };

    blocks
        .iter()
        .map(|block| {
            let source = &sources[block.strand.source].exam.sections[block.strand.section];
            let shared = blocks
                .iter()
                .any(|other| other.at != block.at && label(other) == label(block));
            let title = match shared {
                true => format!("{}: {}", label(block), source.title),
                false => label(block).to_owned(),
            };
            match block.round {
                0 => title,
                round => format!("{title}, round {}", round + 1),
            }
        })
        .collect()
}

/// The rules of the room: those of the newest exam, but for what makes a practice paper.
fn rules(sources: &[Source<'_>], cover: &Source<'_>, blocks: &[Block<'_>]) -> Table {
    let mut rules = cover
        .table
        .get("rules")
        .and_then(Value::as_table)
        .cloned()
        .unwrap_or_default();
    let span = blocks
        .iter()
        .map(|block| sources[block.strand.source].exam.rules.span)
        .max()
        .unwrap_or(cover.exam.rules.span);
    for key in ["practise", "hearings"] {
        let _ = rules.remove(key);
    }
    for (key, own) in [
        ("feedback", Value::Boolean(true)),
        ("echo", Value::Boolean(true)),
        ("show_marks", Value::Boolean(true)),
        ("warm_ups", Value::Integer(0)),
        ("seats", Value::Integer(1)),
        ("span", Value::Integer(span.into())),
    ] {
        let _ = rules.insert(key.to_owned(), own);
    }

    rules
}

/// The scripts' own forms or progressions that the paper asks for, as they were written.
fn own(sources: &[Source<'_>], blocks: &[Block<'_>], kind: &str) -> String {
    let mut out = String::new();
    let mut written: Vec<&Table> = Vec::new();

    for (at, source) in sources.iter().enumerate() {
        let asked: Vec<String> = blocks
            .iter()
            .filter(|block| block.strand.source == at)
            .flat_map(|block| {
                let section = source.section(block.strand.section);
                let cells = block
                    .entries
                    .iter()
                    .map(|entry| source.cell(block.strand.section, entry.cell));
                let mut all: Vec<String> = std::iter::once(section)
                    .chain(cells)
                    .flat_map(|table| {
                        named(kind).map(move |key| Some(table.get(key)?.as_str()?.to_owned()))
                    })
                    .flatten()
                    .collect();
                let of = &source.exam.sections[block.strand.section].kind;
                if let (Kind::Ear(ear), "progression") = (of, kind) {
                    // What is offered is named as the script names it.
                    all.extend(options(sources, block, ear).concat());
                }
                all
            })
            .collect();
        for table in tables(&source.table, kind) {
            let name = table.get("name").and_then(Value::as_str);
            let is_asked = name.is_some_and(|name| asked.iter().any(|asked| asked == name));
            if is_asked && !written.contains(&table) {
                written.push(table);
                out += &format!("\n[[{kind}]]\n{}", entries(table));
            }
        }
    }

    out
}

/// The keys that name a form or a progression.
fn named(kind: &str) -> impl Iterator<Item = &str> {
    std::iter::once(kind).chain((kind == "progression").then_some("cadence"))
}

/// What a section says for all its cells.
fn section(sources: &[Source<'_>], evidence: &Evidence, block: &Block<'_>) -> Table {
    let source = &sources[block.strand.source];
    let mut table = source.section(block.strand.section);
    for key in OWN {
        let _ = table.remove(key);
    }
    if slower(sources, evidence, block).is_some() {
        // Each cell says its own.
        let _ = table.remove("tempo");
    }

    match &source.exam.sections[block.strand.section].kind {
        Kind::Ear(ear) => {
            let lists = options(sources, block, ear);
            let texts = |list: &Vec<String>| {
                Value::Array(list.iter().cloned().map(Value::String).collect())
            };
            let written = match lists.as_slice() {
                [] => None,
                [only] => Some(texts(only)),
                several => Some(Value::Array(several.iter().map(texts).collect())),
            };
            if let Some(written) = written.filter(|_| lists.iter().any(|list| !list.is_empty())) {
                let _ = table.insert("options".to_owned(), written);
            }
            let _ = table.insert("hearings".to_owned(), Value::Integer(ear.hearings.into()));
        }
        Kind::Voicing(_) | Kind::Run(_) | Kind::Spell(_) | Kind::Panel(_) | Kind::Rest { .. } => {}
    }

    table
}

/// The options: what was confused against each other, and what else sounds; all of them where an
/// item has several parts or an answer changes from item to item.
fn options(sources: &[Source<'_>], block: &Block<'_>, ear: &EarSection) -> Vec<Vec<String>> {
    let source = &sources[block.strand.source];
    let [all] = ear.options.as_slice() else {
        return ear.options.clone();
    };
    if matches!(ear.asks.as_slice(), [Ask::Top]) {
        return ear.options.clone();
    }

    let mut used: Vec<String> = block
        .entries
        .iter()
        .flat_map(|entry| source.labels(block.strand.section, entry.cell))
        .collect();
    if let Why::Confused(pairs) = &block.strand.why {
        for pair in pairs {
            used.push(pair.sounded.clone());
            used.push(pair.answered.clone());
        }
    }
    let kept: Vec<String> = all
        .iter()
        .filter(|label| used.contains(label))
        .cloned()
        .collect();

    if matches!(block.strand.why, Why::Confused(_)) && kept.len() >= 2 {
        vec![kept]
    } else {
        ear.options.clone()
    }
}

/// The tempo that a run of the block comes at where its harmony or its time broke down: was, is.
pub(super) fn slower(
    sources: &[Source<'_>],
    evidence: &Evidence,
    block: &Block<'_>,
) -> Option<(i64, i64)> {
    let source = &sources[block.strand.source];
    let Kind::Run(of) = &source.exam.sections[block.strand.section].kind else {
        return None;
    };
    if block.strand.why != Why::Lines {
        return None;
    }
    // One figure for all: the section's own, or the same in each cell.
    let tempi: Vec<i64> = block
        .entries
        .iter()
        .map(|entry| match of.cells[entry.cell].pace {
            crate::exam::script::Pace::Tempo { tempo, .. } => i64::from(tempo / 100),
            crate::exam::script::Pace::Free { .. } => 0,
        })
        .collect();
    let was = *tempi.first()?;
    if was == 0 || tempi.iter().any(|tempo| *tempo != was) {
        return None;
    }
    let written = source.section(block.strand.section);
    let has_limit = written.contains_key("seconds")
        || block.entries.iter().any(|entry| {
            source
                .cell(block.strand.section, entry.cell)
                .contains_key("seconds")
        });
    let names: Vec<&str> = block
        .entries
        .iter()
        .map(|entry| of.cells[entry.cell].line.name())
        .collect();
    let broke = evidence
        .played
        .iter()
        .filter(|played| played.in_tempo && names.contains(&played.name.as_str()))
        .flat_map(|played| &played.criteria)
        .filter(|(name, _)| matches!(*name, "harmony" | "time"))
        .any(|(_, credit)| 2 * credit.numer() < *credit.denom());

    (broke && !has_limit).then(|| (was, (was * SLOWER / 100).max(30)))
}

/// The cells, those that differ in their roots alone as one.
fn cells(sources: &[Source<'_>], evidence: &Evidence, block: &Block<'_>) -> Vec<Table> {
    let source = &sources[block.strand.source];
    let tempo = slower(sources, evidence, block).map(|(_, tempo)| tempo);
    let mut all: Vec<(Table, Vec<&Entry>)> = Vec::new();

    for entry in &block.entries {
        let mut table = source.cell(block.strand.section, entry.cell);
        let _ = table.remove("count");
        if entry.root.is_some() {
            for key in ["group", "roots"] {
                let _ = table.remove(key);
            }
        } else if table.remove("group").is_some() {
            let _ = table.insert("roots".to_owned(), roots_of(source, block, entry));
        }
        if let Some(tempo) = tempo {
            let _ = table.insert("tempo".to_owned(), Value::Integer(tempo));
        }
        match all.iter_mut().find(|(known, _)| *known == table) {
            Some((_, entries)) => entries.push(entry),
            None => all.push((table, vec![entry])),
        }
    }

    all.into_iter()
        .map(|(mut table, entries)| {
            let count = Value::Integer(entries.len() as i64);
            let _ = table.insert("count".to_owned(), count);
            let roots: Vec<Value> = entries
                .iter()
                .filter_map(|entry| Some(Value::String(entry.root.as_ref()?.1.clone())))
                .collect();
            if !roots.is_empty() {
                let _ = table.insert("roots".to_owned(), Value::Array(roots));
            }
            table
        })
        .collect()
}

/// The roots of a key group, which the paper does not have.
fn roots_of(source: &Source<'_>, block: &Block<'_>, entry: &Entry) -> Value {
    let classes: &[u8] = match &source.exam.sections[block.strand.section].kind {
        Kind::Ear(ear) => &ear.cells[entry.cell].roots,
        Kind::Run(run) => &run.cells[entry.cell].keys,
        Kind::Voicing(voicing) => &voicing.cells[entry.cell].roots,
        Kind::Spell(_) | Kind::Panel(_) | Kind::Rest { .. } => &[],
    };

    Value::Array(
        classes
            .iter()
            .map(|class| Value::String(crate::theory::Name::plain(*class).ascii()))
            .collect(),
    )
}

/// Prints a credit in whole percents.
pub(super) fn percent(credit: Fraction) -> String {
    let whole = fraction::percent(credit, Fraction::new(1, 1)).unwrap_or(0);

    format!("{whole}\u{a0}%")
}
