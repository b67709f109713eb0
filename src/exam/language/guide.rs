//! The guide for teachers who write exam scripts.

use super::{COVER, Default, Key, Kind, Part, SECTIONS, names, sections};
use crate::exam::diagnostic::{Lines, Severity};
use crate::exam::read;

/// The name that the guide's own script goes by.
const NAME: &str = "week-3";

/// A whole small script, which is read without a word against it.
pub const SMALL: &str = r#"#:schema schema.json
# Two qualities under the hands, three by ear: about seven minutes.
title = "Week 3"
level = "class"
edition = "1"
pass = 60

[rules]
tries = 2
timing = "A chord that has to be looked for comes too late."

[[band]]
from = 85
name = "secure"

[[band]]
from = 60
name = "passed"

[[band]]
from = 0
name = "not yet"

# Every root once: half of them dominants, half of them minor sevenths.
[[section]]
id = "A"
title = "Cold voicings"
kind = "voicing"
points = 60
hurdle = 36
seconds = 8
form = "guide-tones"
cells = [
    { count = 6, quality = "7", order = "third on top" },
    { count = 6, quality = "m7", order = "seventh on top" },
]

# Six of each are enough to say something of each.
[[section]]
id = "B"
title = "Sevenths by ear"
kind = "ear"
ask = "quality"
points = 40
seconds = 8
cells = [
    { count = 6, quality = "maj7" },
    { count = 6, quality = "7" },
    { count = 6, quality = "m7" },
]
"#;

/// A usual mistake: what it is in words, a line of [`SMALL`], and what stands there instead.
pub type Mistake = (&'static str, &'static str, &'static str);

/// The usual mistakes; each brings at least one message.
pub const MISTAKES: &[Mistake] = &[
    (
        "A key that does not exist, or is misspelt.",
        "hurdle = 36",
        "hurdel = 36",
    ),
    (
        "A key in the wrong place: every key belongs to the line in brackets above it.",
        "tries = 2",
        "tries = 2\npoints = 100",
    ),
    ("A number in quotes.", "tries = 2", "tries = \"2\""),
    (
        "A text without quotes.",
        "level = \"class\"",
        "level = class",
    ),
    ("A number out of range.", "tries = 2", "tries = 12"),
    (
        "One bracket too few: tables of which there can be several have two.",
        "[[band]]\nfrom = 85\nname = \"secure\"\n\n[[band]]\nfrom = 60\nname = \"passed\"\n\n[[band]]\n",
        "[band]\n",
    ),
    (
        "A pass mark that nobody can reach.",
        "pass = 60",
        "pass = 120",
    ),
    (
        "More items than there are different ones.",
        "    { count = 6, quality = \"7\", order = \"third on top\" },",
        "    { count = 6, quality = \"7\", group = \"III\", order = \"third on top\" },",
    ),
    (
        "A form with several orders, and none named.",
        "    { count = 6, quality = \"7\", order = \"third on top\" },",
        "    { count = 6, quality = \"7\" },",
    ),
    (
        "A form that does not exist.",
        "form = \"guide-tones\"",
        "form = \"guide-tone\"",
    ),
    (
        "A chord symbol where a quality is asked.",
        "    { count = 6, quality = \"maj7\" },",
        "    { count = 6, quality = \"Cmaj7\" },",
    ),
    (
        "Answers that cannot be told apart.",
        "points = 40\nseconds = 8\ncells = [\n    { count = 6, quality = \"maj7\" },",
        "points = 40\nseconds = 8\nroot_heard = false\ncells = [\n    { count = 6, quality = \"6\" },",
    ),
];

/// How an exam is made.
const MADE: &str = "\
# Writing an exam

An exam is a text file that ends in `.toml`. You write it with any plain text editor, not with a
word processor. The program reads it, tells you of every mistake at its place, and draws from it as
many parallel forms as you need: the same difficulty for everybody, other chords and another order
for each neighbour.

`viva-voicing new --guide` prints this page. It begins with what an exam is made of and a small one to copy. After that it is for looking
things up: every key of the language with its default, its range and an example.

## What an exam is made of

A script is a list of settings, each on a line of its own: a **key**, an equals sign, a value.

- A text stands in quotes: `title = \"Week 3\"`.
- A number stands bare, with a point for the decimals: `seconds = 2.5`.
- Yes and no are `true` and `false`, without quotes.
- Several values stand in square brackets, with commas: `roots = [\"C\", \"F\", \"Bb\"]`.
- Whatever follows a `#` is a note to yourself, and the program does not read it.

Keys are grouped under lines in brackets. One bracket, `[rules]`, begins something there is one of;
two brackets, `[[section]]`, begin something there can be several of, and are written again for
each. A key belongs to the last such line above it.

From top to bottom a script has:

1. **The cover**: the title, whom it is for, the pass mark.
2. **The rules of the room**, `[rules]`: attempts, what is shown, how many parallel forms.
3. **Grade bands**, `[[band]]`: from which total on the mark sheet says what.
4. **The sections**, `[[section]]`, in the order in which they are sat. A section has an id, a
   title, a *kind* (what is asked), its points, and a time limit for its items. It can have a
   *hurdle*: a least mark without which nobody passes.
5. In each section, **cells**. A cell says what is asked and how often: `{ count = 6, quality =
   \"m7\" }` is six minor sevenths, on roots that are drawn. Every form has the same cells, and that
   makes the forms equally hard.

What you do not write has a default, and the defaults are good ones. Begin with little.";

/// How a script is tried.
const TRIED: &str = "\
## Trying it

`new` writes a first script from a few answers, and `vet` checks one. You can run the
following as often as you like:

```text
viva-voicing new week-3                    asks a few questions and writes week-3.toml
viva-voicing vet week-3.toml               tells every fault and every warning
viva-voicing vet --explain week-3.toml     what a form asks, how long it takes, what guessing brings
viva-voicing form week-3.toml --key        one form with its answers, on the screen
viva-voicing form week-3.toml --paper      one form on paper, engraved; with --key its answers
viva-voicing render week-3.toml --out sounds
                                           what is heard, as sound files
viva-voicing sit week-3.toml --performance take.mid --results trial
                                           marks a recorded performance
viva-voicing kiosk --exam week-3.toml      opens the room in which candidates sit it
```

A **fault** has to be mended before the exam can be sat; a **warning** is for you to judge. Look at
`vet --explain` before the first candidate does: it says what you are about to examine.

## Letting your editor help

The file `schema.json` beside this page describes the language for editors; `viva-voicing new
--schema` prints it. Many text editors can complete and check TOML with it; look for TOML support
among your editor's extensions. The first
line of a script tells where it lies, seen from the script:

```toml
#:schema schema.json
```

The program itself takes no notice of that line. The editor sees misspelt keys, wrong types and
numbers out of range as you type; whether there are enough chords to draw from only `vet` can tell.";

/// Writes the guide.
pub fn guide() -> String {
    let mut out = vec![MADE.to_owned(), String::new()];

    out.push("## A small exam, whole".to_owned());
    out.push(String::new());
    fence(&mut out, "toml", SMALL);
    out.extend([TRIED.to_owned(), String::new()]);
    keys(&mut out);
    built_in(&mut out);
    mistakes(&mut out);

    let mut text = out.join("\n");
    text.truncate(text.trim_end().len());
    text.push('\n');
    text
}

fn fence(out: &mut Vec<String>, language: &str, text: &str) {
    out.extend([
        format!("```{language}"),
        text.trim_end().to_owned(),
        "```".to_owned(),
        String::new(),
    ]);
}

/// Writes every key, part by part.
fn keys(out: &mut Vec<String>) {
    out.extend([
        "## Every key".to_owned(),
        String::new(),
        "A key marked **required** has to be there; any other can be left out, and then its default \
         holds. Both ends of a range are taken. The names of qualities, forms and progressions are \
         listed [further down](#names-that-are-built-in)."
            .to_owned(),
        String::new(),
    ]);
    for part in COVER {
        heading(out, part, 3);
        table(out, part.keys);
        if part.id != "cover" {
            fence(out, "toml", part.sample);
        }
    }
    out.extend([
        "### Every section: `[[section]]`".to_owned(),
        String::new(),
        "These keys are the same in sections of every kind; a rest has only the first three."
            .to_owned(),
        String::new(),
    ]);
    let shared: Vec<Key> = [sections::COMMON, sections::MARKED].concat();
    table(out, &shared);

    let mut told = Vec::new();
    for section in SECTIONS {
        if !told.contains(&section.part.id) {
            told.push(section.part.id);
            heading(out, section.part, 3);
            table(out, section.part.keys);
            fence(out, "toml", section.part.sample);
            refused(out, section.part);
            if section.word == "run" {
                heading(out, &super::hands::WEIGHTS, 4);
                table(out, super::hands::WEIGHTS.keys);
            }
        }
        let Some(cell) = section.cell else { continue };
        heading(out, cell, 4);
        let all: Vec<Key> = cell
            .keys
            .iter()
            .chain(cell.shared.iter().copied().flatten())
            .copied()
            .collect();
        table(out, &all);
        if cell.sample != section.part.sample {
            fence(out, "toml", cell.sample);
        }
        refused(out, cell);
    }
}

fn heading(out: &mut Vec<String>, part: &Part, level: usize) {
    out.extend([
        format!("{} {}", "#".repeat(level), part.title),
        String::new(),
    ]);
    if !part.says.is_empty() {
        out.extend([part.says.to_owned(), String::new()]);
    }
}

fn refused(out: &mut Vec<String>, part: &Part) {
    if part.refused.is_empty() {
        return;
    }
    let all: Vec<String> = part
        .refused
        .iter()
        .map(|(key, why)| format!("`{key}` ({why})"))
        .collect();
    out.extend([
        format!("Not taken here: {}.", all.join(", ")),
        String::new(),
    ]);
}

fn table(out: &mut Vec<String>, keys: &[Key]) {
    out.push("| key | value | default | example | what it does |".to_owned());
    out.push("| --- | --- | --- | --- | --- |".to_owned());
    for key in keys {
        let default = match key.default {
            Default::Required => "**required**".to_owned(),
            Default::Is("\"\"") => "empty".to_owned(),
            Default::Is(value) => format!("`{value}`"),
            Default::Else(words) => words.to_owned(),
        };
        let example = match (key.example, key.kind) {
            ("", Kind::Word(words, _)) => {
                format!("`{} = \"{}\"`", key.name, words.first().unwrap_or(&""))
            }
            ("", _) => "below".to_owned(),
            (value, _) => format!("`{} = {value}`", key.name),
        };
        out.push(format!(
            "| `{}` | {} | {default} | {example} | {} |",
            key.name,
            value(key.kind, key.unit, key.name),
            key.says
        ));
    }
    out.push(String::new());
}

/// Says what can stand after a key.
fn value(kind: Kind, unit: &str, key: &str) -> String {
    let unit = match unit {
        "" => String::new(),
        unit => format!(" {unit}"),
    };
    let listed = |words: &[&str]| {
        let words: Vec<String> = words.iter().map(|word| format!("`\"{word}\"`")).collect();
        words.join(", ")
    };

    match kind {
        Kind::Line => "a text".to_owned(),
        Kind::Label => "a text, which may be empty".to_owned(),
        Kind::Text => "a text, also over several lines".to_owned(),
        Kind::Flag => "`true` or `false`".to_owned(),
        Kind::Whole(from, to) => format!("a whole number, {from} to {to}{unit}"),
        Kind::Number(from, to) => format!("a number, {from} to {to}{unit}"),
        Kind::Word(words, []) => format!("one of {}", listed(words)),
        Kind::Word(words, also) => {
            format!("one of {}; also written {}", listed(words), listed(also))
        }
        Kind::Member => "a chord tone: 1, 3, 5 or 7".to_owned(),
        Kind::Ask => {
            let asks: Vec<&str> = SECTIONS
                .iter()
                .flat_map(|section| section.asks)
                .copied()
                .collect();
            format!("one of {}, or a list of two", listed(&asks))
        }
        Kind::Quality => "a quality".to_owned(),
        Kind::Root => "a root".to_owned(),
        Kind::Degrees => "degrees, with blanks between".to_owned(),
        Kind::Name(of) => format!("a name: {of}"),
        Kind::Options => "a list of answers".to_owned(),
        Kind::List(of, least, most) => {
            let one = match of {
                Kind::Whole(from, to) => format!("whole numbers, each {from} to {to}{unit}"),
                Kind::Number(from, to) => format!("numbers, each {from} to {to}{unit}"),
                Kind::Root => "roots".to_owned(),
                _ => "texts".to_owned(),
            };
            match (least, most) {
                (least, usize::MAX) => format!("a list of {one}, {least} or more"),
                (least, most) if least == most => format!("a list of {least} {one}"),
                (least, most) => format!("a list of {least} to {most} {one}"),
            }
        }
        Kind::Groups | Kind::Table(_) => format!("a table `[{key}]`"),
        Kind::Tables(_) if key == "cells" => "a list of cells".to_owned(),
        Kind::Tables(_) => format!("tables `[[{key}]]`"),
    }
}

/// Writes the names that are there without more.
fn built_in(out: &mut Vec<String>) {
    out.extend([
        "## Names that are built in".to_owned(),
        String::new(),
        "### Roots and keys".to_owned(),
        String::new(),
        "A letter from `A` to `G` with one accidental at most: `\"Bb\"` or `\"B♭\"`, `\"F#\"` or \
         `\"F♯\"`. Without `[key_groups]` of your own there are three: `\"I\"` with C F G D B♭, \
         `\"II\"` with A E♭ E A♭, and `\"III\"` with B D♭ G♭."
            .to_owned(),
        String::new(),
        "### Qualities".to_owned(),
        String::new(),
        "Any quality that a chord symbol can say, as it stands after the root, can be written; these \
         are common. The major triad is an empty text. On an altered dominant the ninth and the \
         thirteenth may be either of their alterations."
            .to_owned(),
        String::new(),
    ]);
    names::qualities(out);
    out.extend([
        String::new(),
        "### Forms of voicing and their orders".to_owned(),
        String::new(),
        "The degrees are those of the first shape; on some chords a form has another one, and \
         `form --key` shows it."
            .to_owned(),
        String::new(),
    ]);
    names::forms(out);
    out.extend([
        String::new(),
        "### Progressions".to_owned(),
        String::new(),
        "A dot divides the bars; `%` lets the chord before go on.".to_owned(),
        String::new(),
    ]);
    names::progressions(out);
    out.extend([
        String::new(),
        "### Degrees".to_owned(),
        String::new(),
        "As `[[form]]` has them; a flat is `b` or ♭, a sharp `#` or ♯:".to_owned(),
        String::new(),
    ]);
    names::degrees(out);
    out.push(String::new());
}

/// Writes the usual mistakes with what the program says to them.
fn mistakes(out: &mut Vec<String>) {
    out.extend([
        "## Usual mistakes, and what the program says".to_owned(),
        String::new(),
        "Each of them made in the small exam above. The two numbers after the file's name are the \
         line and the column."
            .to_owned(),
        String::new(),
    ]);
    for (words, right, wrong) in MISTAKES {
        out.extend([format!("**{words}**"), String::new()]);
        fence(out, "toml", wrong.trim_end());
        let script = SMALL.replacen(right, wrong, 1);
        let lines = Lines::new(&script);
        let said: String = read::read(&script, NAME)
            .1
            .iter()
            .filter(|found| found.severity == Severity::Fault)
            .map(|found| lines.plain(found, &format!("{NAME}.toml")))
            .collect();
        fence(out, "text", &said);
    }
}
