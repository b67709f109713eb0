//! A first script for a teacher to change: commented, and checked before it is handed out.

mod section;

#[cfg(test)]
mod tests;

use thiserror::Error;

use self::section::Drafted;
use super::code::Code;
use super::diagnostic::Diagnostic;
use super::script::Exam;
use super::{draw, duration, read};
use crate::theory::Quality;
use crate::theory::symbol;

/// What a section of the draft asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Single guide-tone voicings, cold.
    Voicing,
    /// Chords by ear.
    Ear,
    /// Lines of chords.
    Run,
    /// Chord tones written.
    Spell,
}

impl Kind {
    /// All kinds by the word that scripts use, in the order of the draft's sections: the ear lets
    /// the hands rest.
    pub const WORDS: [(&'static str, Self); 4] = [
        ("voicing", Self::Voicing),
        ("ear", Self::Ear),
        ("run", Self::Run),
        ("spell", Self::Spell),
    ];
}

/// The key groups that every script has, easy keys first.
pub const GROUPS: [(&str, &str, usize); 3] = [
    ("I", "C F G D B♭", 5),
    ("II", "A E♭ E A♭", 4),
    ("III", "B D♭ G♭", 3),
];

/// So many qualities can be asked for at once.
pub const QUALITIES: usize = 8;

/// The minutes that can be asked for.
pub const MINUTES: std::ops::RangeInclusive<u32> = 3..=60;

/// What a teacher wants.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wishes {
    /// The title on the cover: one line.
    pub title: String,
    /// What the sections ask, at least one kind; each comes once.
    pub kinds: Vec<Kind>,
    /// The qualities, one to [`QUALITIES`].
    pub qualities: Vec<Quality>,
    /// The key groups by their place in [`GROUPS`], at least one.
    pub groups: Vec<usize>,
    /// About how many minutes it is to last, within [`MINUTES`].
    pub minutes: u32,
    /// Whether it is a practice paper: answers are shown, and there is no pass mark.
    pub practice: bool,
}

/// Why there is no draft.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Error {
    /// A list is empty.
    #[error("expected at least one {0}, found none")]
    Nothing(&'static str),
    /// More qualities than a draft can hold.
    #[error("expected at most {QUALITIES} qualities, found {0}: write the others into the script")]
    TooMany(usize),
    /// The check of the draft finds something, however few items it asks.
    #[error("these wishes make no script without fault: {0}")]
    Faulty(String),
}

/// A draft.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// The script.
    pub script: String,
    /// The exam that it makes.
    pub exam: Exam,
    /// How long it lasts, in minutes: usually, and at most; without the equipment check.
    pub minutes: (i64, i64),
}

/// Writes a script that passes its check without a word.
///
/// # Errors
/// Says what the check finds where there is no such script.
pub fn draft(wishes: &Wishes) -> Result<Draft, Error> {
    let mut wishes = wishes.clone();
    wishes.kinds.sort_unstable();
    wishes.kinds.dedup();
    wishes.groups.sort_unstable();
    wishes.groups.dedup();
    wishes.groups.retain(|group| *group < GROUPS.len());
    let mut qualities = Vec::new();
    for quality in wishes.qualities {
        if !qualities.contains(&quality) {
            qualities.push(quality);
        }
    }
    wishes.qualities = qualities;

    if wishes.kinds.is_empty() {
        return Err(Error::Nothing("kind of section"));
    }
    if wishes.groups.is_empty() {
        return Err(Error::Nothing("key group"));
    }
    match wishes.qualities.len() {
        0 => return Err(Error::Nothing("chord quality")),
        1..=QUALITIES => {}
        count => return Err(Error::TooMany(count)),
    }

    // Few keys may not have enough for several forms that differ, or for as many chords.
    let mut first = None;
    for fewer in 0..3 {
        for seats in [4, 3, 2, 1] {
            match checked(&wishes, fewer, seats) {
                Ok(draft) => return Ok(draft),
                Err(found) => first = first.or(Some(found)),
            }
        }
    }

    Err(Error::Faulty(first.unwrap_or_default()))
}

/// Writes a script and checks it; what is found first otherwise.
fn checked(wishes: &Wishes, fewer: u32, seats: u8) -> Result<Draft, String> {
    let sections = section::all(wishes, fewer);
    let text = |minutes: (i64, i64)| write(wishes, &sections, seats, minutes);
    let (exam, found) = read::read(&text((0, 0)), "draft");
    if let Some(Diagnostic { message, .. }) = found.first() {
        return Err(message.clone());
    }
    let exam = exam.ok_or_else(|| "the script is not whole".to_owned())?;
    let form = draw::draw(&exam, Code::FIRST).map_err(|error| error.to_string())?;
    let minutes = (0..exam.sections.len())
        .map(|index| duration::section(&exam, &form, index, 100).minutes())
        .fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1));

    Ok(Draft {
        // A comment changes nothing of what has been checked.
        script: text(minutes),
        exam,
        minutes,
    })
}

/// Under so many items nothing can be passed or failed.
const FEWEST: u32 = 20;

fn write(wishes: &Wishes, sections: &[Drafted], seats: u8, minutes: (i64, i64)) -> String {
    let items: u32 = sections.iter().map(|section| section.items).sum();
    let passes = items >= FEWEST && !wishes.practice;
    let title = wishes.title.trim();
    let lasts = match minutes {
        (1, 1) => "a minute".to_owned(),
        (usual, most) if usual == most => format!("{usual} minutes"),
        (usual, most) => format!("{usual} to {most} minutes"),
    };
    let mut out = format!(
        "# {title}.\n#\n# A draft to be changed. `vet --explain` tells what it asks, how long it takes and what its marks\n\
         # can tell. It takes about {lasts}, the equipment check apart. Marks: 100 in all.\n\n\
         title = {}\nlevel = \"class\"\nedition = \"1\"\nabout = \"Write here, in a sentence or two, what it is about.\"\n\n\
         # How chord symbols are printed: \"maj7/m7\", \"MA7/MI7\" or \"△/−\"; \"m7b5\" or \"ø7\".\n\
         symbols = \"maj7/m7\"\nhalf_diminished = \"m7b5\"\n",
        quoted(title)
    );

    if passes {
        out += "\n# Of 100 marks. Within one standard error of it the sheet leaves it to the examiner.\npass = 75\n";
    } else if !wishes.practice {
        out += &format!(
            "\n# No pass mark: under {FEWEST} items a mark is feedback, not a certificate.\n"
        );
    }
    out += "\n[rules]\n";
    out += if wishes.practice {
        "# A practice paper: the answer is shown after each item.\nfeedback = true\n"
    } else {
        "# The answers are shown at the end only; `true` makes a practice paper of it.\nfeedback = false\n"
    };
    out += "# The least and the greatest time factor, for those who are given more time.\ntime_factor = [1.0, 3.0]\n";
    out += "# Candidates may ask why there is a limit at all.\ntiming = \"Knowing a chord at once is the skill that is asked for.\"\n";
    out += "# Attempts at a chord, unmarked items at the start, and spare ones in percent of each cell.\ntries = 2\nwarm_ups = 3\nreserve = 10\n";
    out += &format!(
        "# Parallel forms, equally difficult, for those who sit side by side.\nseats = {seats}\n"
    );

    if passes {
        out += "\n# From the highest to the lowest.\n";
        for (from, name) in [(90, "commanding"), (75, "secure"), (0, "not yet")] {
            out += &format!("[[band]]\nfrom = {from}\nname = \"{name}\"\n\n");
        }
        out.truncate(out.len() - 1);
    }
    if sections.iter().any(|section| section.has_groups) {
        out += "\n# Key groups, each of like difficulty; [key_groups] makes others.\n";
        for (name, keys, _) in GROUPS {
            out += &format!("#   {name}: {keys}\n");
        }
    }

    let share = 100 / sections.len() as u32;
    for (place, section) in sections.iter().enumerate() {
        let points = if place == 0 {
            100 - share * (sections.len() as u32 - 1)
        } else {
            share
        };
        let id = char::from(b'A' + place as u8);
        out += &format!(
            "\n{}[[section]]\nid = \"{id}\"\ntitle = \"{}\"\nkind = \"{}\"\npoints = {points}\n{}cells = [\n",
            section.comment, section.title, section.kind, section.keys
        );
        for cell in &section.cells {
            out += &format!("    {{ {cell} }},\n");
        }
        out += "]\n";
    }

    out
}

/// Writes a text as TOML has it.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");

    for sign in text.chars() {
        if matches!(sign, '"' | '\\') {
            out.push('\\');
        }
        out.push(sign);
    }
    out.push('"');

    out
}

/// Writes a quality as scripts have it.
fn quality(quality: Quality) -> String {
    symbol::ascii_quality(quality)
}
