//! The sections of a draft, each within its share of the minutes.

use super::{GROUPS, Kind, Wishes, quality};
use crate::theory::{Quality, symbol};

/// A section of the draft.
pub(super) struct Drafted {
    /// What stands above it: lines that begin with `#`.
    pub(super) comment: &'static str,
    pub(super) title: &'static str,
    /// The kind as scripts have it.
    pub(super) kind: &'static str,
    /// The lines between its points and its cells.
    pub(super) keys: &'static str,
    /// The cells, without braces.
    pub(super) cells: Vec<String>,
    pub(super) items: u32,
    /// Whether its cells name key groups.
    pub(super) has_groups: bool,
}

/// Seconds that an item usually takes: limit and gap, a sound, or a line of chords.
const VOICING: u32 = 8;
const EAR: u32 = 13;
const RUN: u32 = 60;
const SPELL: u32 = 22;
/// So many single chords, so that with the lines hands play forty prompts at most.
const CHORDS: u32 = 32;
/// So many chords to spell.
const SPELT: u32 = 24;

/// Drafts the sections; `fewer` takes so many items from each cell that can spare them.
pub(super) fn all(wishes: &Wishes, fewer: u32) -> Vec<Drafted> {
    let seconds = 60 * wishes.minutes / wishes.kinds.len().max(1) as u32;

    wishes
        .kinds
        .iter()
        .map(|kind| match kind {
            Kind::Voicing => voicing(wishes, seconds, fewer),
            Kind::Ear => ear(wishes, seconds),
            Kind::Run => run(wishes, seconds),
            Kind::Spell => spell(wishes, seconds, fewer),
        })
        .collect()
}

/// How many items each pair of quality and group has: as time allows, within the group and in all.
fn each(wishes: &Wishes, wanted: u32, most: u32, fewer: u32) -> impl Fn(usize) -> u32 {
    let pairs = (wishes.qualities.len() * wishes.groups.len()).max(1) as u32;
    let base = (wanted / pairs)
        .clamp(1, (most / pairs).max(1))
        .saturating_sub(fewer);

    // One is left in each group for the spare item.
    move |group| base.clamp(1, GROUPS[group].2 as u32 - 1)
}

fn voicing(wishes: &Wishes, seconds: u32, fewer: u32) -> Drafted {
    let each = each(wishes, seconds / VOICING, CHORDS, fewer);
    let mut cells = Vec::new();
    let mut items = 0;

    for (row, of) in wishes.qualities.iter().enumerate() {
        for (column, group) in wishes.groups.iter().enumerate() {
            let count = each(*group);
            items += count;
            // The odd one goes to either order in turn.
            let third = if (row + column) % 2 == 0 {
                count.div_ceil(2)
            } else {
                count / 2
            };
            for (count, order) in [(third, "third on top"), (count - third, "seventh on top")] {
                if count > 0 {
                    cells.push(format!(
                        "count = {count}, quality = \"{}\", group = \"{}\", order = \"{order}\"",
                        quality(*of),
                        GROUPS[*group].0
                    ));
                }
            }
        }
    }

    Drafted {
        comment: "# Single chords, cold: none follows the one that leads to it round the cycle of fourths. A cell is\n\
                  # a number of items of one quality, group and order; every form asks as many of each.\n",
        title: "Cold voicings",
        kind: "voicing",
        keys: "# The limit of a chord; up to `grace` times as long it still brings a part of its mark.\n\
               seconds = 6\ngrace = 2\n\
               # Between an item and the next prompt.\n\
               gap = 2\n\
               # Root and fifth left, third and seventh right.\n\
               form = \"guide-tones\"\n",
        cells,
        items,
        has_groups: true,
    }
}

fn ear(wishes: &Wishes, seconds: u32) -> Drafted {
    let mut qualities = wishes.qualities.clone();
    if let [only] = qualities.as_slice() {
        qualities.push(neighbour(*only));
    }
    // Six of each say something, eight say more.
    let each = (seconds / EAR / qualities.len() as u32).clamp(6, 8);
    let mut cells = Vec::new();

    for of in &qualities {
        let open = each / 3;
        for (count, spacing) in [
            (each - 2 * open, "close"),
            (open, "open"),
            (open, "two-hand"),
        ] {
            cells.push(format!(
                "count = {count}, quality = \"{}\", spacing = \"{spacing}\"",
                quality(*of)
            ));
        }
    }

    Drafted {
        comment: "# Chords to be named, their root in the bass. Under six sounds of a quality nothing can be said\n\
                  # of it alone.\n",
        title: "Listening",
        kind: "ear",
        keys: "ask = \"quality\"\n\
               # From the end of the first hearing.\n\
               seconds = 8\n\
               # The first one included; the clock stands still during the others.\n\
               hearings = 2\ngap = 2\n",
        cells,
        items: each * qualities.len() as u32,
        has_groups: false,
    }
}

/// A quality that is easily taken for another.
fn neighbour(of: Quality) -> Quality {
    let parse = |text: &str| symbol::parse_quality(text).ok();
    let near = match quality(of).as_str() {
        "7" => "m7",
        "m7b5" => "dim7",
        "dim7" => "m7b5",
        "" => "m",
        "m" => "",
        _ => "7",
    };

    parse(near).unwrap_or(of)
}

fn run(wishes: &Wishes, seconds: u32) -> Drafted {
    let wanted = (seconds / RUN).max(1) as usize;
    let first = wishes.qualities.first().copied();
    let last = wishes.qualities.last().copied();
    let cycle = |of: Option<Quality>, pace: &str| {
        of.map(|of| {
            format!(
                "progression = \"cycle-of-fourths\", quality = \"{}\", {pace}",
                quality(of)
            )
        })
    };
    let has_dominants = wishes.qualities.iter().any(|of| quality(*of) == "7");
    let cadences = wishes.groups.iter().filter(|_| has_dominants).map(|group| {
        format!(
            "progression = \"ii-V-I\", group = \"{}\", tempo = 80, bars_in = 2, look = 10",
            GROUPS[*group].0
        )
    });
    let cells: Vec<String> = cycle(first, "seconds = 6")
        .into_iter()
        .chain(cycle(last, "tempo = 80, bars_in = 2"))
        .chain(cadences)
        .take(wanted)
        .collect();

    Drafted {
        comment: "# The routine: in the candidate's own time with `seconds` a chord, or in tempo, a chord a bar.\n",
        title: "Lines of chords",
        kind: "run",
        keys: "gap = 3\nform = \"guide-tones\"\n",
        items: cells.len() as u32,
        has_groups: cells.iter().any(|cell| cell.contains("group")),
        cells,
    }
}

fn spell(wishes: &Wishes, seconds: u32, fewer: u32) -> Drafted {
    let each = each(wishes, seconds / SPELL, SPELT, fewer);
    let mut cells = Vec::new();
    let mut items = 0;

    for of in &wishes.qualities {
        for group in &wishes.groups {
            let count = each(*group);
            items += count;
            cells.push(format!(
                "count = {count}, quality = \"{}\", group = \"{}\"",
                quality(*of),
                GROUPS[*group].0
            ));
        }
    }

    Drafted {
        comment: "# The chord tones from the root up: the seventh of A♭7 is G♭, not F♯.\n",
        title: "Spelling",
        kind: "spell",
        keys: "seconds = 20\ngap = 2\n",
        cells,
        items,
        has_groups: true,
    }
}
