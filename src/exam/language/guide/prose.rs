//! The guide's prose, its small exam, and the usual mistakes in it.

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
pub(super) const MADE: &str = "\
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
pub(super) const TRIED: &str = "\
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
