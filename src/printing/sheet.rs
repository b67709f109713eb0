//! A candidate's mark sheet: what it says, and how it is laid out.

pub mod content;
mod figures;
mod grade;
mod heard;
mod last;
mod lost;
mod tables;
#[cfg(test)]
mod tests;
mod words;

use super::head::Head;
use super::page::{Document, Size};
use super::plan::{Block, Flow};
use super::writer::{GRADE, Writer};
use content::Content;

/// The most pages that a sheet has where what must be said can be said in fewer words.
const PAGES: usize = 2;

/// Lays a sheet out.
///
/// It has two pages at most as long as what must be said has room there; chords that lost marks
/// are engraved as far as there is, the most telling first, and the others are told in words.
pub fn sheet(content: &Content, size: Size) -> Document {
    let title = format!("{}: {}", content.title, content.what);
    let subject = format!("{}, {}", content.candidate, content.when);
    let new = || Writer::new(size, &title, &subject);
    let flow = |choice: Choice| Flow::of(blocks(content, choice), new());
    let pages = |choice: Choice| flow(choice).pages();
    let all = content.lost.chords.len();

    // Where not every chord has room, smaller staves show more of them.
    let large = choose(all, false, &pages);
    let best = match large.shown < all {
        true => Some(choose(all, true, &pages)).filter(|small| small.shown > large.shown),
        false => None,
    };
    let flow = flow(best.unwrap_or(large));

    let mut writer = new();
    let head = Head {
        title: &content.title,
        what: &content.what,
        who: &content.candidate,
        when: &content.when,
        foot: &content.foot,
    };
    head.open(&mut writer);
    flow.write(&mut writer);

    writer.finish(|on, number, of| head.running(on, (number, of)))
}

/// Chooses what a sheet has room for, given how many pages a choice takes.
fn choose(all: usize, small: bool, pages: &dyn Fn(Choice) -> usize) -> Choice {
    let least = |times_first| Choice {
        shown: all.min(1),
        small,
        times_first,
        more: 0,
    };
    // Where what was heard does not fit under the keys, the times do, and leave it the next page.
    let [heard, times] = [false, true].map(|times_first| pages(least(times_first)));
    let allowed = heard.min(times).max(PAGES);
    let mut best = least(times < heard);
    let fits = |choice: Choice| pages(choice) <= allowed;

    // One chord more at a time, in either order, as long as there is room.
    while best.shown < all {
        let shown = best.shown + 1;
        let next = [best.times_first, !best.times_first].map(|times_first| Choice {
            shown,
            times_first,
            ..best
        });
        match next.into_iter().find(|choice| fits(*choice)) {
            Some(choice) => best = choice,
            None => break,
        }
    }
    while best.more < MORE
        && fits(Choice {
            more: best.more + 1,
            ..best
        })
    {
        best.more += 1;
    }

    best
}

/// What is chosen so that a sheet has room.
#[derive(Debug, Clone, Copy)]
struct Choice {
    /// How many of the chords that lost marks are engraved.
    shown: usize,
    /// Whether they are engraved on smaller staves.
    small: bool,
    /// Whether the times over the items come before what was heard.
    times_first: bool,
    /// What is told beyond the least: at 1 why runs lost marks, at 2 the rubric in full, which
    /// stands in short beside the tables.
    more: u8,
}

/// See [`Choice::more`].
const MORE: u8 = 2;

/// Everything that follows the head, in order.
fn blocks(content: &Content, choice: Choice) -> Vec<Block<'_>> {
    let mut all = Vec::new();

    grade::blocks(content, &mut all);
    tables::keys(content, &mut all);
    tables::gaps(content, &mut all);
    if choice.times_first {
        figures::paces(content, &mut all);
        heard::ears(content, &mut all);
    } else {
        heard::ears(content, &mut all);
        figures::paces(content, &mut all);
    }
    lost::blocks(content, (choice.shown, choice.small), &mut all);
    tables::runs(content, &mut all);
    if choice.more >= 1 {
        tables::run_reasons(content, &mut all);
    }
    tables::spelt(content, &mut all);
    last::blocks(content, &mut all);
    figures::development(content, &mut all);
    if choice.more >= 2 {
        last::rubric(content, &mut all);
    }
    last::signature(content, &mut all);

    all
}

/// The size of the grade, and of a long one, so that it leaves room for the mark.
fn grade_size(word: &str, room: f32) -> f32 {
    let width = crate::engraving::text::width(word, crate::engraving::Face::Regular, GRADE);

    GRADE * (room / width.max(1.0)).min(1.0)
}
