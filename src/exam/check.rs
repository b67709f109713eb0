//! Contradictions between the parts of a script, told at their places.

mod deal;
mod heard;
pub(super) mod pool;
mod seats;
mod trial;

pub(super) use self::seats::Seats;
pub(super) use self::trial::draws;

use std::ops::Range;

use self::pool::Supply;
use super::diagnostic::Diagnostics;
use super::duration::PROMPTS_WITHOUT_REST;
use super::read::{Cover, each};
use super::script::{Kind, Section};
use super::table::{Spanned, clip};

/// A script as far as it could be read, with the places that matter.
pub(super) struct Outline<'a> {
    /// Whether every line at the top level was read.
    pub(super) whole: bool,
    pub(super) cover: &'a Cover,
    pub(super) parts: &'a [Part],
}

/// A section as far as it could be read.
pub(super) struct Part {
    /// Its header.
    pub(super) place: Range<usize>,
    pub(super) id: Option<Spanned<String>>,
    pub(super) points: Option<Spanned<u32>>,
    pub(super) hurdle: Option<Spanned<u32>>,
    pub(super) each: Option<each::Read>,
    /// Where the question of a section stands that is heard.
    pub(super) ask: Option<Range<usize>>,
    pub(super) is_rest: bool,
    /// All of it, if it has no fault of its own.
    pub(super) section: Option<Section>,
    /// Whether its cells have enough to draw from.
    pub(super) supply: Supply,
    /// Whether every line of it was read and its kind is known.
    pub(super) seen: bool,
}

/// Under so many items a result is feedback, not a certificate.
const CERTIFICATE_ITEMS: u32 = 20;

/// Checks what the parts of a script say together.
pub(super) fn outline(outline: &Outline<'_>, out: &Diagnostics) {
    ids(outline.parts, out);
    hurdles(outline, out);
    heard::check(outline, out);
    marks(outline, out);
    bands(outline, out);
    advice(outline, out);
}

fn ids(parts: &[Part], out: &Diagnostics) {
    let ids: Vec<&Spanned<String>> = parts.iter().filter_map(|part| part.id.as_ref()).collect();

    for (i, id) in ids.iter().enumerate() {
        if ids[..i].iter().any(|other| other.value == id.value) {
            out.fault(
                id.span.clone(),
                format!("there is a section `{}` already", clip(&id.value)),
                Some("give each section an id of its own".to_owned()),
            );
        }
    }
}

/// Prints hundredths of a mark as a teacher would write them: `75`, `12.5`.
fn print(hundredths: u32) -> String {
    let (whole, part) = (hundredths / 100, hundredths % 100);

    match (part % 10, part) {
        (_, 0) => whole.to_string(),
        (0, part) => format!("{whole}.{}", part / 10),
        (_, part) => format!("{whole}.{part:02}"),
    }
}

/// Returns the points of all sections together, where all are known.
fn points(outline: &Outline<'_>) -> Option<u32> {
    if !outline.whole || outline.parts.is_empty() {
        return None;
    }

    outline
        .parts
        .iter()
        .map(|part| match &part.points {
            Some(points) => Some(points.value),
            None => part.is_rest.then_some(0),
        })
        .sum()
}

fn hurdles(outline: &Outline<'_>, out: &Diagnostics) {
    for part in outline.parts {
        let Some(hurdle) = &part.hurdle else {
            continue;
        };
        let place = || hurdle.span.clone();

        if let Some(points) = &part.points
            && hurdle.value > points.value
        {
            out.fault(
                place(),
                format!(
                    "the hurdle is {} and the section has {} points: nobody could pass",
                    print(hurdle.value),
                    print(points.value)
                ),
                Some("lower the hurdle or raise the points".to_owned()),
            );
            continue;
        }
        let chance = part.section.as_ref().map_or(0.0, by_chance);
        if hurdle.value > 0 && f64::from(hurdle.value) / 100.0 <= chance {
            out.fault(
                place(),
                format!(
                    "the hurdle is {} and guessing alone brings {chance:.1} in this section on average",
                    print(hurdle.value)
                ),
                Some("raise the hurdle, or offer more options".to_owned()),
            );
        } else if hurdle.value == 0 {
            out.warning(
                place(),
                "a hurdle of 0 holds nobody back",
                Some("raise it, or leave it out".to_owned()),
            );
        } else if outline.whole && !outline.cover.pass_written {
            out.warning(
                place(),
                "a hurdle decides nothing in an exam without a pass mark",
                Some("write `pass = ...` at the top, or leave the hurdle out".to_owned()),
            );
        }
    }
}

fn marks(outline: &Outline<'_>, out: &Diagnostics) {
    let points = points(outline);

    for part in outline.parts {
        if let Some(own) = &part.points
            && own.value == 0
        {
            let message = "a section of 0 points counts for nothing";
            let help = Some("give it points".to_owned());
            if points == Some(0) {
                out.fault(own.span.clone(), message, help);
            } else {
                out.warning(own.span.clone(), message, help);
            }
        }
    }
    let Some(points) = points else {
        return;
    };
    if outline.parts.iter().all(|part| part.is_rest) {
        out.fault(
            outline.parts[0].place.clone(),
            "the exam has rests only and asks for nothing",
            Some("add a section that asks: `kind = \"voicing\"`".to_owned()),
        );
    }
    let Some(pass) = &outline.cover.pass else {
        return;
    };
    let place = || pass.span.clone();

    if pass.value > points {
        out.fault(
            place(),
            format!(
                "the pass mark is {} and the sections have {} points together",
                print(pass.value),
                print(points)
            ),
            Some("lower the pass mark or raise the points".to_owned()),
        );
    }
    // An unread section could only bring more.
    let chance: f64 = outline
        .parts
        .iter()
        .filter_map(|part| part.section.as_ref())
        .map(by_chance)
        .sum();
    if pass.value == 0 {
        out.fault(
            place(),
            "a pass mark of 0 is passed by doing nothing",
            Some("raise it, or leave it out".to_owned()),
        );
    } else if f64::from(pass.value) / 100.0 <= chance {
        out.fault(
            place(),
            format!(
                "the pass mark is {} and guessing alone brings {chance:.1} on average",
                print(pass.value)
            ),
            Some("raise the pass mark, or offer more options".to_owned()),
        );
    }
    let hurdles: u32 = outline
        .parts
        .iter()
        .filter_map(|part| Some(part.hurdle.as_ref()?.value))
        .sum();
    if hurdles > pass.value && pass.value <= points {
        out.warning(
            place(),
            format!(
                "the pass mark is {} and the hurdles are {} together: who takes them has passed",
                print(pass.value),
                print(hurdles)
            ),
            Some("raise the pass mark, or lower a hurdle".to_owned()),
        );
    }
}

/// Returns the marks that blind guessing brings on average in a section.
fn by_chance(section: &Section) -> f64 {
    match &section.kind {
        Kind::Ear(ear) => {
            let shares: f64 = ear
                .options
                .iter()
                .map(|options| 1.0 / options.len().max(1) as f64)
                .sum();
            f64::from(section.points) / 100.0 * shares / ear.options.len().max(1) as f64
        }
        _ => 0.0,
    }
}

fn bands(outline: &Outline<'_>, out: &Diagnostics) {
    let bands = &outline.cover.bands;
    let points = points(outline);

    for (i, band) in bands.iter().enumerate() {
        if let Some(name) = &band.name
            && bands[..i]
                .iter()
                .filter_map(|other| other.name.as_ref())
                .any(|other| other.value == name.value)
        {
            out.fault(
                name.span.clone(),
                format!("there is a band `{}` already", clip(&name.value)),
                Some("give each band a name of its own".to_owned()),
            );
        }
        let Some(from) = &band.from else {
            continue;
        };
        let above = i.checked_sub(1).and_then(|i| bands[i].from.as_ref());
        if let Some(points) = points
            && from.value > points
        {
            out.fault(
                from.span.clone(),
                format!(
                    "the band begins at {} and the sections have {} points together",
                    print(from.value),
                    print(points)
                ),
                Some("nobody could reach it: lower it, or raise the points".to_owned()),
            );
        } else if let Some(above) = above
            && above.value <= from.value
        {
            out.fault(
                from.span.clone(),
                format!(
                    "the band begins at {}, which is not below the one before, {}",
                    print(from.value),
                    print(above.value)
                ),
                Some("list the bands from the highest to the lowest".to_owned()),
            );
        }
    }
    splits(outline, out);
    if outline.whole
        && let Some(last) = bands.last().and_then(|band| band.from.as_ref())
        && last.value > 0
    {
        out.warning(
            last.span.clone(),
            format!("marks below {} have no band", print(last.value)),
            Some("add a band with `from = 0`".to_owned()),
        );
    }
}

/// Warns of a band that holds both passes and fails.
fn splits(outline: &Outline<'_>, out: &Diagnostics) {
    let Some(pass) = &outline.cover.pass else {
        return;
    };
    let bands = &outline.cover.bands;
    let below = bands.iter().position(|band| {
        band.from
            .as_ref()
            .is_some_and(|from| from.value <= pass.value)
    });
    let Some(Some(from)) = below.map(|at| &bands[at].from) else {
        return;
    };
    let all_read = bands.iter().all(|band| band.from.is_some());

    if all_read && from.value < pass.value && pass.value > 0 {
        out.warning(
            from.span.clone(),
            format!(
                "the band holds passes and fails: the pass mark is {}",
                print(pass.value)
            ),
            Some("let a band begin at the pass mark".to_owned()),
        );
    }
}

/// What is no fault, but what an examiner would want to know.
fn advice(outline: &Outline<'_>, out: &Diagnostics) {
    let mut items = 0;
    let mut played = 0;

    for part in outline.parts {
        let count = part.section.as_ref().map_or(0, count);
        match part.section.as_ref().map(|section| &section.kind) {
            Some(Kind::Voicing(_) | Kind::Run(_)) => {
                items += count;
                played += count;
            }
            Some(Kind::Ear(_) | Kind::Spell(_)) => {
                items += count;
                played = 0;
            }
            Some(Kind::Rest { .. }) => played = 0,
            Some(Kind::Panel(_)) | None => {}
        }
        if played > PROMPTS_WITHOUT_REST {
            out.warning(
                part.place.clone(),
                format!("by the end of this section {played} prompts are played without a rest"),
                Some(
                    "hands need a rest after about forty: add a section of kind `rest` before it or divide it"
                        .to_owned(),
                ),
            );
            played = 0;
        }
    }
    let complete = outline.whole && outline.parts.iter().all(|part| part.section.is_some());
    if complete
        && (1..CERTIFICATE_ITEMS).contains(&items)
        && let Some(pass) = &outline.cover.pass
    {
        out.warning(
            pass.span.clone(),
            match items {
                1 => "one item cannot carry a pass or fail alone".to_owned(),
                items => format!("{items} items cannot carry a pass or fail alone"),
            },
            Some("the mark sheet will say that this is feedback, not a certificate".to_owned()),
        );
    }
    if outline.whole
        && !outline.cover.rules.feedback
        && let Some(place) = &outline.cover.no_timing
    {
        out.warning(
            place.clone(),
            "the script does not say why timing is essential",
            Some("add `timing = \"...\"` to [rules]: candidates may ask for it".to_owned()),
        );
    }
}

/// Returns how many items a section has, marks of a panel aside.
pub(super) fn count(section: &Section) -> u32 {
    match &section.kind {
        Kind::Voicing(of) => of.cells.iter().map(|cell| cell.count).sum(),
        Kind::Run(of) => of.cells.iter().map(|cell| cell.count).sum(),
        Kind::Ear(of) => of.cells.iter().map(|cell| cell.count).sum(),
        Kind::Spell(of) => of.cells.iter().map(|cell| cell.count).sum(),
        Kind::Panel(_) | Kind::Rest { .. } => 0,
    }
}
