//! The middle of the page: asked beside played, engraved, or the right answer beside one's own.

use crate::engraving::grand::{Caption, Hands, Label, Note};
use crate::engraving::line::{self, Line};
use crate::engraving::staff::{self, Clef, Options};
use crate::engraving::{Drawing, Face, Ink, Point, pair, text};
use crate::exam::form::{EarTask, RunTask, SpellTask, Task, VoicingTask};
use crate::kiosk::act::Act;
use crate::kiosk::pages::{ear, own, spell};
use crate::kiosk::paper::{KEYS, Role};
use crate::kiosk::sheet::{Sheet, Type};
use crate::kiosk::words::Words;
use crate::marking::item::Marked;
use crate::marking::{hearing, run, voicing};
use crate::sitting::Sitting;
use crate::sitting::review::Review;
use crate::theory::progression::Placed;
use crate::theory::voicing::spelled;
use crate::theory::{Chord, Key};

/// Lines of so many bars stand side by side.
const SHORT: usize = 4;

/// Draws it between two heights.
pub(in crate::kiosk::pages) fn draw(
    sheet: &mut Sheet<Act>,
    sitting: &Sitting,
    words: &Words,
    review: &Review<'_>,
    between: (f32, f32),
) {
    match (&review.item.task, &review.marked) {
        (Task::Voicing(task), Marked::Voicing(marked)) => {
            chord(sheet, words, task, marked, between);
        }
        (Task::Run(task), Marked::Run(marked)) => {
            line(sheet, sitting, words, task, marked, between)
        }
        (Task::Ear(task), Marked::Ear(marked)) => {
            answers(sheet, sitting, words, task, marked, between);
        }
        (Task::Spell(task), marked) => spelling(sheet, words, task, marked, between),
        _ => {}
    }
}

fn chord(
    sheet: &mut Sheet<Act>,
    words: &Words,
    task: &VoicingTask,
    marked: &voicing::Marked,
    (top, bottom): (f32, f32),
) {
    let played: Vec<Key> = marked.facts.keys.keys().collect();
    let asked = task.voicing.nearest(task.chord.root.class(), &played);
    let classes = |keys: &[Key]| keys.iter().map(|key| key.class()).collect::<Vec<_>>();
    let (its, others) = (classes(&asked), classes(&played));
    // Where both have the same number of notes, each is compared with its counterpart.
    let strong = |mine: &[u8], other: &[u8], place: usize| {
        if mine.len() == other.len() {
            mine[place] != other[place]
        } else {
            !other.contains(&mine[place])
        }
    };
    let hands = |keys: &[Key], mine: &[u8], other: &[u8]| {
        let notes: Vec<Note> = spelled(task.chord, keys)
            .into_iter()
            .enumerate()
            .map(|(place, pitch)| Note {
                pitch,
                label: Some(Label {
                    text: name(words, task, pitch.key),
                    strong: strong(mine, other, place),
                }),
            })
            .collect();
        let split = task.voicing.hands.left_of(keys);
        let (low, high) = notes.split_at(split.min(notes.len()));
        Hands {
            left: low.to_vec(),
            right: high.to_vec(),
        }
    };
    let paper = sheet.paper;
    let asked_hands = hands(&asked, &its, &others);
    let played_hands = hands(&played, &others, &its);
    let mut space = paper.y(20.0).max(12.0);

    loop {
        let caption = |text| Caption {
            text,
            size: (paper.size(Role::Lead) / space).min(2.6),
            ink: Ink::Plain,
        };
        let pairs = [
            (caption(words.asked), &asked_hands),
            (caption(words.played), &played_hands),
        ];
        let drawing = pair::layout(pairs, &Options::default());
        let fits = drawing.height * space <= bottom - top
            && (drawing.width - drawing.origin.x) * space <= paper.x(KEYS) - paper.left();
        if fits || space <= 5.0 {
            centred(sheet, &drawing, space, (top, bottom));
            return;
        }
        space *= 0.94;
    }
}

/// What a key is in the chord that was asked, or its name.
fn name(words: &Words, task: &VoicingTask, key: Key) -> String {
    let root = task.chord.root.class();
    let degree = task
        .voicing
        .hands
        .degrees()
        .chain(task.chord.quality.degrees())
        .find(|degree| degree.class_over(root) == key.class());

    degree.map_or_else(
        || task.chord.name_class(key.class()).to_string(),
        |degree| spell::degree(words, degree),
    )
}

fn line(
    sheet: &mut Sheet<Act>,
    sitting: &Sitting,
    words: &Words,
    task: &RunTask,
    marked: &run::Marked,
    (top, bottom): (f32, f32),
) {
    let paper = sheet.paper;
    let chords: Vec<Placed> = task
        .chords
        .iter()
        .map(|chord| Placed {
            chord: chord.chord,
            bar: (chord.at_twelfths / 12) as usize,
            at_twelfths: chord.at_twelfths,
            twelfths: chord.twelfths,
        })
        .collect();
    let bars = chords.last().map_or(1, |last| last.bar + 1);
    // As many keys as are asked are shared between the hands as asked.
    let hands = |index: usize, chord: Chord, keys: &[Key]| {
        let pitches = spelled(chord, keys);
        let voicing = task.lines.first().and_then(|line| line.get(index));
        match voicing {
            Some(voicing) if voicing.hands.count() == keys.len() => {
                let (left, right) = pitches.split_at(voicing.hands.left.len());
                Hands::new(left, right)
            }
            _ => Hands::split(&pitches),
        }
    };
    let asked: Vec<Hands> = own::line(task)
        .iter()
        .zip(&chords)
        .enumerate()
        .map(|(index, (keys, placed))| hands(index, placed.chord, keys))
        .collect();
    let played: Vec<Hands> = chords
        .iter()
        .enumerate()
        .map(|(index, placed)| {
            let keys: Vec<Key> = marked
                .chords
                .get(index)
                .map(|chord| chord.keys.keys().collect())
                .unwrap_or_default();
            hands(index, placed.chord, &keys)
        })
        .collect();
    let caption = paper.size(Role::Lead);
    let left = paper.left();
    let gap = 2.0 * paper.key();
    let all = paper.x(KEYS) - left;
    // A short line has room for the other beside it, a long one only below it.
    let is_short = bars <= SHORT;
    let (width, each) = if is_short {
        ((all - gap) / 2.0, bottom - top)
    } else {
        (all, (bottom - top) / 2.0)
    };
    let each = each - caption * 1.45;
    let mut space = paper.y(if is_short { 18.0 } else { 14.0 }).max(8.0);
    let engrave = |space: f32, hands: &[Hands]| {
        line::layout(&Line {
            chords: &chords,
            hands,
            bars,
            beats: 4,
            signature: 0,
            tempo: None,
            style: sitting.exam().style,
            symbol: 3.4,
            width: width / space - 1.5,
            current: None,
        })
        .drawing
    };

    let [one, two] = loop {
        let both = [engrave(space, &asked), engrave(space, &played)];
        if both.iter().all(|drawing| drawing.height * space <= each) || space <= 3.5 {
            break both;
        }
        space *= 0.94;
    };
    let (mut x, mut y) = (left, top);
    for (words, drawing) in [(words.asked, one), (words.played, two)] {
        let of = Type::of(Role::Lead).face(Face::Italic);
        let _ = sheet.write(words, x, y + caption, of);
        sheet.say(&drawing.words);
        // The brace hangs in the margin, or stands in the measure where there is none.
        let hang = if paper.is_folded() {
            drawing.origin.x * space
        } else {
            0.0
        };
        let at = Point::new(x + hang, y + caption * 1.45 + drawing.origin.y * space);
        sheet.put(&drawing, at, space);
        if is_short {
            x += width + gap;
        } else {
            y += (bottom - top) / 2.0;
        }
    }
}

/// Puts a drawing at the left of the measure, in the middle of a height.
fn centred(sheet: &mut Sheet<Act>, drawing: &Drawing, space: f32, (top, bottom): (f32, f32)) {
    let free = (bottom - top - drawing.height * space).max(0.0) * 0.4;
    let folded = sheet.paper.is_folded();
    // The brace hangs in the margin, or stands in the measure where there is none.
    let x = sheet.paper.left()
        + if folded {
            drawing.origin.x * space
        } else {
            0.0
        };

    sheet.say(&drawing.words);
    let at = Point::new(x, top + free + drawing.origin.y * space);
    sheet.put(drawing, at, space);
}

/// The right answer of each part beside one's own.
fn answers(
    sheet: &mut Sheet<Act>,
    sitting: &Sitting,
    words: &Words,
    task: &EarTask,
    marked: &hearing::Marked,
    (top, bottom): (f32, f32),
) {
    if task.is_played() {
        return back(sheet, words, (task, marked), (top, bottom));
    }
    if ear::dictation::is_one(task) {
        return dictation(sheet, sitting, words, (task, marked), (top, bottom));
    }
    let paper = sheet.paper;
    let rows = [
        (words.heard_as, own::right(task)),
        (words.you_said, marked.answered.clone()),
    ];
    let folded = paper.is_folded();
    let lead = paper.size(Role::Lead);
    let parts = task.options.len().max(1) as f32;
    let left = paper.left() + if folded { lead * 6.5 } else { 0.0 };
    let width = (paper.x(KEYS) - left) / parts;
    let row = ((bottom - top) / 2.0).min(paper.y(120.0));
    let mut y = top;

    for (own, (label, chosen)) in rows.into_iter().enumerate() {
        let baseline = y + row / 2.0 + 0.34 * lead;
        let italic = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
        let _ = sheet.write(label, paper.x(0.0), baseline, italic);
        sheet.rule(paper.x(0.0), paper.x(KEYS), y, 1.0, Ink::Rule);
        for (part, place) in chosen.iter().enumerate() {
            let option = place.and_then(|place| task.options.get(part)?.get(place));
            let untold = own == 1 && marked.untold.contains(&part);
            let none = if untold {
                words.rev_untold
            } else {
                words.no_answer
            };
            let text = option.map_or_else(
                || none.to_owned(),
                |option| {
                    let (short, long) = ear::named(task.asks.get(part).copied(), option);
                    long.unwrap_or(short)
                },
            );
            let differs = *place != task.right.get(part).copied();
            let face = if differs { Face::Bold } else { Face::Regular };
            let at = left + part as f32 * width;
            // A long name gives way in size.
            let wide = text::width(&text, face, lead);
            let fits = ((width - paper.key()) / wide.max(1.0)).min(1.0);
            let drawing = text::layout(&text, face, lead * fits);
            sheet.say(&text);
            sheet.put(&drawing, Point::new(at, baseline), 1.0);
        }
        y += row;
    }
    sheet.rule(paper.x(0.0), paper.x(KEYS), y, 1.0, Ink::Rule);
}

/// What sounded over what was played, by the names of the keys.
fn back(
    sheet: &mut Sheet<Act>,
    words: &Words,
    (task, marked): (&EarTask, &hearing::Marked),
    (top, bottom): (f32, f32),
) {
    let paper = sheet.paper;
    let lead = paper.size(Role::Lead);
    let left = paper.left() + if paper.is_folded() { lead * 6.5 } else { 0.0 };
    let width = paper.x(KEYS) - left;
    let row = ((bottom - top) / 2.0).min(paper.y(120.0));
    let mut y = top;

    for (label, steps) in [
        (words.heard_as, task.steps()),
        (words.played, marked.played.clone()),
    ] {
        let baseline = y + row / 2.0 + 0.34 * lead;
        let italic = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
        let _ = sheet.write(label, paper.x(0.0), baseline, italic);
        sheet.rule(paper.x(0.0), paper.x(KEYS), y, 1.0, Ink::Rule);
        let text = if steps.is_empty() {
            words.no_answer.to_owned()
        } else {
            hearing::played::words(task, &steps)
        };
        let fits = (width / text::width(&text, Face::Regular, lead).max(1.0)).min(1.0);
        let drawing = text::layout(&text, Face::Regular, lead * fits);
        sheet.say(&text);
        sheet.put(&drawing, Point::new(left, baseline), 1.0);
        y += row;
    }
    sheet.rule(paper.x(0.0), paper.x(KEYS), y, 1.0, Ink::Rule);
}

/// What sounded over what was answered, chord by chord.
fn dictation(
    sheet: &mut Sheet<Act>,
    sitting: &Sitting,
    words: &Words,
    (task, marked): (&EarTask, &hearing::Marked),
    (top, bottom): (f32, f32),
) {
    let paper = sheet.paper;
    let folded = paper.is_folded();
    let italic = Type::of(Role::Text).face(Face::Italic).ink(Ink::Quiet);
    let head = if folded {
        paper.size(Role::Text)
    } else {
        paper.size(Role::Note)
    } * 1.35;
    let row = ((bottom - top) / 4.0 - head / 2.0 - paper.y(6.0)).min(paper.y(84.0));
    let mut y = top;

    for (caption, options, compared) in [
        (words.heard_as, own::right(task), false),
        (words.you_said, marked.answered.clone(), true),
    ] {
        if !folded {
            let _ = sheet.write(caption, paper.x(0.0), y + paper.size(Role::Text), italic);
        }
        let grid = ear::dictation::Grid {
            left: paper.left(),
            right: paper.right(),
            top: y,
            row,
            style: sitting.exam().style,
            caption: folded.then_some(caption),
            compared,
        };
        y = grid.draw(sheet, words, task, &options, None) + paper.y(12.0);
    }
}

/// Two staves, as asked and as written, with the names.
fn spelling(
    sheet: &mut Sheet<Act>,
    words: &Words,
    task: &SpellTask,
    marked: &Marked,
    (top, bottom): (f32, f32),
) {
    let paper = sheet.paper;
    let strict: Vec<_> = own::strict(task).collect();
    let written = own::written(task, marked);
    let gap = 2.0 * paper.key();
    let width = (paper.x(KEYS) - paper.left() - gap) / 2.0;
    let space = ((bottom - top) / 16.0).min(paper.y(20.0)).max(6.0);
    let lead = paper.size(Role::Lead);
    let names = |of: &[crate::theory::Name]| {
        let list: Vec<String> = of.iter().map(ToString::to_string).collect();
        if list.is_empty() {
            words.no_answer.to_owned()
        } else {
            list.join("  ")
        }
    };

    for (place, (caption, of)) in [(words.asked, strict), (words.written, written)]
        .into_iter()
        .enumerate()
    {
        let left = paper.left() + place as f32 * (width + gap);
        let italic = Type::of(Role::Lead).face(Face::Italic);
        let _ = sheet.write(caption, left, top + lead, italic);
        let options = Options {
            width: (width.min(14.0 * paper.key())) / space,
            ..Options::default()
        };
        let drawing = staff::layout(
            &crate::theory::pitch::stacked(of.clone()),
            Clef::Treble,
            &options,
        );
        let staff = top + lead * 1.4 + drawing.origin.y.max(2.5) * space;
        sheet.say(&drawing.words);
        sheet.put(&drawing, Point::new(left, staff), space);
        let below = staff + 7.5 * space + lead * 0.6;
        let _ = sheet.write(&names(&of), left, below.min(bottom), Type::of(Role::Lead));
    }
}
