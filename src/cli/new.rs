//! `new`: write a first script for a teacher to change.

use std::ffi::OsString;
use std::io::{self, BufRead, IsTerminal, Write};
use std::path::{Path, PathBuf};

use clap::Args;

use super::{End, Fault, disk, say};
use crate::exam::draft::{self, GROUPS, Kind, MINUTES, QUALITIES, Wishes};
use crate::exam::language;
use crate::theory::{Quality, symbol};

/// Write a commented exam script to start from
///
/// It passes `vet` as it stands. On a terminal, without options, a few questions are asked; an
/// empty line takes what is offered. A file that is there is never overwritten.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The file to write, `.toml` added
    #[arg(value_name = "NAME", required_unless_present_any = ["guide", "schema"])]
    name: Option<PathBuf>,
    /// The title on its cover [default: from the name]
    #[arg(long)]
    title: Option<String>,
    /// What its sections ask: voicing, run, ear, spell [default: voicing,ear]
    #[arg(long, value_delimiter = ',', value_parser = kind)]
    kind: Vec<Kind>,
    /// Chord qualities as they stand after the root [default: maj7,7,m7]
    #[arg(long, value_delimiter = ',', value_parser = quality)]
    qualities: Vec<Quality>,
    /// Key groups, easy keys first: I, II, III [default: all]
    #[arg(long, value_delimiter = ',', value_parser = group)]
    keys: Vec<usize>,
    /// About how many minutes it lasts, the equipment check apart [default: 10]
    #[arg(long, value_name = "N", value_parser = minutes)]
    minutes: Option<u32>,
    /// A practice paper: answers are shown, and there is no pass mark
    #[arg(long)]
    practice: bool,
    /// Print the guide to writing exams instead: every key of a script, with an example
    #[arg(long, exclusive = true)]
    guide: bool,
    /// Print a JSON Schema instead, with which editors complete and check scripts
    #[arg(long, exclusive = true)]
    schema: bool,
}

impl Arguments {
    /// The name of the script; one is given wherever a script is to be written.
    fn name(&self) -> &Path {
        self.name.as_deref().unwrap_or(Path::new("exam"))
    }

    /// Whether nothing but the name is given.
    fn is_bare(&self) -> bool {
        let lists = self.kind.len() + self.qualities.len() + self.keys.len();

        lists == 0 && self.title.is_none() && self.minutes.is_none() && !self.practice
    }

    /// Takes what is given, and what is usual for the rest.
    fn wishes(&self) -> Wishes {
        let or = |given: &[Quality], usual: &[&str]| {
            if given.is_empty() {
                usual.iter().filter_map(|text| quality(text).ok()).collect()
            } else {
                given.to_vec()
            }
        };

        Wishes {
            title: self.title.clone().unwrap_or_else(|| title(self.name())),
            kinds: if self.kind.is_empty() {
                vec![Kind::Voicing, Kind::Ear]
            } else {
                self.kind.clone()
            },
            qualities: or(&self.qualities, &["maj7", "7", "m7"]),
            groups: if self.keys.is_empty() {
                vec![0, 1, 2]
            } else {
                self.keys.clone()
            },
            minutes: self.minutes.unwrap_or(10),
            practice: self.practice,
        }
    }
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    if arguments.guide || arguments.schema {
        say(&if arguments.guide {
            language::guide()
        } else {
            language::schema()
        });
        return Ok(End::Fine);
    }
    let path = with_ending(arguments.name());
    // Nobody is to answer questions for nothing.
    if path.symlink_metadata().is_ok() {
        return Err(Fault::new(format_args!(
            "{}: a file of this name is there already and was left alone; choose another name",
            path.display()
        )));
    }
    let mut wishes = arguments.wishes();
    if arguments.is_bare() && io::stdin().is_terminal() {
        wishes = ask(&mut io::stdin().lock(), &mut io::stderr().lock(), wishes);
    }
    if wishes.title.trim().is_empty() || wishes.title.chars().any(char::is_control) {
        return Err(Fault::new(
            "expected a title on one line, found none; write --title \"Shells of the week\"",
        ));
    }
    let draft = draft::draft(&wishes)?;
    disk::write_new(&path, draft.script.as_bytes())?;
    let minutes = match draft.minutes {
        (1, 1) => "1 minute".to_owned(),
        (usual, most) if usual == most => format!("{usual} minutes"),
        (usual, most) => format!("{usual} to {most} minutes"),
    };
    say(&format!(
        "{}: {minutes}, the equipment check apart; change it, then run `vet --explain` on it\n",
        path.display()
    ));

    Ok(End::Fine)
}

fn with_ending(name: &Path) -> PathBuf {
    if name.extension().is_some_and(|ending| ending == "toml") {
        return name.to_owned();
    }
    let mut whole = OsString::from(name);
    whole.push(".toml");

    PathBuf::from(whole)
}

/// Makes a title of a name: `shells-of-the-week` is `Shells of the week`.
fn title(name: &Path) -> String {
    let name = with_ending(name);
    let stem = name.file_stem().unwrap_or_default().to_string_lossy();
    let words = stem.replace(['-', '_'], " ");
    let mut signs = words.trim().chars();

    signs.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + signs.as_str()
    })
}

fn kind(text: &str) -> Result<Kind, String> {
    Kind::WORDS
        .iter()
        .find(|(word, _)| *word == text.trim())
        .map(|(_, kind)| *kind)
        .ok_or_else(|| "expected voicing, run, ear or spell".to_owned())
}

fn quality(text: &str) -> Result<Quality, String> {
    symbol::parse_quality(text.trim()).map_err(|error| error.message)
}

fn group(text: &str) -> Result<usize, String> {
    GROUPS
        .iter()
        .position(|(name, ..)| *name == text.trim())
        .ok_or_else(|| "expected I, II or III".to_owned())
}

/// Reads how many minutes are wanted.
pub(super) fn minutes(text: &str) -> Result<u32, String> {
    text.trim()
        .parse()
        .ok()
        .filter(|minutes| MINUTES.contains(minutes))
        .ok_or_else(|| {
            format!(
                "expected whole minutes from {} to {}",
                MINUTES.start(),
                MINUTES.end()
            )
        })
}

/// Reads a list with commas or blanks between its parts.
fn several<T>(text: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<Vec<T>, String> {
    text.split([',', ' '])
        .filter(|part| !part.is_empty())
        .map(read)
        .collect()
}

/// Asks for what is wanted, a line each; an empty one takes what is offered, and at the end of the
/// input so do all that are left.
fn ask(input: &mut impl BufRead, out: &mut impl Write, mut wishes: Wishes) -> Wishes {
    let title = wishes.title.clone();
    let one_line = |text: &str| match text.trim() {
        text if text.chars().any(char::is_control) => Err("expected plain text".to_owned()),
        text => Ok(text.to_owned()),
    };
    let few = |text: &str| {
        several(text, quality).and_then(|qualities| match qualities.len() {
            0..=QUALITIES => Ok(qualities),
            _ => Err(format!("expected at most {QUALITIES}")),
        })
    };
    let yes = |text: &str| match text.trim() {
        "y" | "yes" => Ok(true),
        "n" | "no" => Ok(false),
        _ => Err("expected yes or no".to_owned()),
    };

    if let Some(title) = question(input, out, "Title", &title, one_line) {
        wishes.title = title;
    }
    let kinds = "What it asks, of voicing, ear, run, spell";
    if let Some(kinds) = question(input, out, kinds, "voicing, ear", |text| {
        several(text, kind)
    }) {
        wishes.kinds = kinds;
    }
    if let Some(qualities) = question(input, out, "Chord qualities", "maj7, 7, m7", few) {
        wishes.qualities = qualities;
    }
    let keys = "Key groups, easy keys first";
    if let Some(groups) = question(input, out, keys, "I, II, III", |text| several(text, group)) {
        wishes.groups = groups;
    }
    if let Some(minutes) = question(input, out, "Minutes, about", "10", minutes) {
        wishes.minutes = minutes;
    }
    let practice = "A practice paper, with answers shown";
    if let Some(practice) = question(input, out, practice, "no", yes) {
        wishes.practice = practice;
    }

    wishes
}

/// Asks until an answer can be read; nothing where what is offered is taken.
fn question<T>(
    input: &mut impl BufRead,
    out: &mut impl Write,
    text: &str,
    offered: &str,
    read: impl Fn(&str) -> Result<T, String>,
) -> Option<T> {
    loop {
        let _ = write!(out, "{text} [{offered}]: ").and_then(|()| out.flush());
        let mut line = String::new();
        // A line that cannot be read is the end of the input.
        if input.read_line(&mut line).unwrap_or(0) == 0 {
            let _ = writeln!(out);
            return None;
        }
        if line.trim().is_empty() {
            return None;
        }
        match read(&line) {
            Ok(answer) => return Some(answer),
            Err(fault) => {
                let _ = writeln!(out, "  {fault}");
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bare() -> Wishes {
        Arguments {
            name: Some(PathBuf::from("shells-of-the-week")),
            title: None,
            kind: Vec::new(),
            qualities: Vec::new(),
            keys: Vec::new(),
            minutes: None,
            practice: false,
            guide: false,
            schema: false,
        }
        .wishes()
    }

    fn asked(lines: &str) -> (Wishes, String) {
        let mut out = Vec::new();
        let wishes = ask(&mut lines.as_bytes(), &mut out, bare());

        (wishes, String::from_utf8(out).unwrap())
    }

    #[test]
    fn empty_lines_and_the_end_of_the_input_take_what_is_offered() {
        for lines in ["", "\n\n", "\n\n\n\n\n\n", "\n\n\n\n\n\n\nmore\n"] {
            let (wishes, out) = asked(lines);
            assert_eq!(wishes, bare(), "{lines:?}");
            assert_eq!(out.matches("]: ").count(), 6, "{out}");
        }
        assert_eq!(bare().title, "Shells of the week");
    }

    #[test]
    fn what_is_offered_is_what_is_usual() {
        let (wishes, _) = asked("\nvoicing, ear\nmaj7, 7, m7\nI, II, III\n10\nno\n");

        assert_eq!(wishes, bare());
    }

    #[test]
    fn an_answer_that_cannot_be_read_is_asked_for_again() {
        let (wishes, out) =
            asked("Week 3\ndance\nspell run\n7,zz\n7\nIV\nIII\n1000\n5\nperhaps\nyes\n");

        assert_eq!(wishes.title, "Week 3");
        assert_eq!(wishes.kinds, [Kind::Spell, Kind::Run]);
        assert_eq!(wishes.qualities.len(), 1);
        assert_eq!((wishes.groups.as_slice(), wishes.minutes), (&[2][..], 5));
        assert!(wishes.practice);
        assert!(out.contains("  expected I, II or III\n"), "{out}");
        assert_eq!(out.matches("]: ").count(), 11, "{out}");
    }

    #[test]
    fn the_ending_is_added_once() {
        let check = |name: &str, expected: &str| {
            assert_eq!(with_ending(Path::new(name)), Path::new(expected));
        };

        check("week", "week.toml");
        check("week.toml", "week.toml");
        check("exams/week.3", "exams/week.3.toml");
    }
}
