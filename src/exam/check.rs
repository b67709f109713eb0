//! Contradictions between the parts of a script, told at their places.

use std::ops::Range;

use super::code::Code;
use super::diagnostic::Diagnostics;
use super::draw;
use super::script::{Exam, Kind, Section};
use crate::theory::symbol;

/// Where the parts of a script stand.
pub(super) struct Places {
    pub(super) sections: Vec<Range<usize>>,
    pub(super) pass: Option<Range<usize>>,
    pub(super) bands: Vec<Range<usize>>,
    pub(super) timing: Option<Range<usize>>,
}

/// So many prompts may be played without a pause: hands need rest.
const PROMPTS_WITHOUT_REST: u32 = 40;
/// Under so many items a result is feedback, not a certificate.
const CERTIFICATE_ITEMS: u32 = 20;
/// Under so many sounds nothing is said of a single quality.
const SOUNDS_PER_ANSWER: u32 = 6;
/// A hand span from here on may have to be rolled.
const WIDE: u8 = 13;

/// Checks an exam whose every part has been read.
pub(super) fn exam(exam: &Exam, places: &Places, out: &Diagnostics) {
    names(exam, places, out);
    marks(exam, places, out);

    let mut pools = true;
    for (section, place) in exam.sections.iter().zip(&places.sections) {
        pools &= pool(section, place, out);
    }
    if pools && !out.has_faults() {
        draws(exam, places, out);
    }
    advice(exam, places, out);
}

fn names(exam: &Exam, places: &Places, out: &Diagnostics) {
    for (i, section) in exam.sections.iter().enumerate() {
        let twice = exam.sections[..i]
            .iter()
            .any(|other| other.id == section.id);
        if twice {
            out.fault(
                places.sections[i].clone(),
                format!("there are two sections with the id `{}`", section.id),
                Some("give each section an id of its own".to_owned()),
            );
        }
    }
}

fn marks(exam: &Exam, places: &Places, out: &Diagnostics) {
    let points = exam.points();
    let print = |hundredths: u32| {
        crate::fraction::hundredths(crate::fraction::from_hundredths(i64::from(hundredths)))
    };

    if let (Some(pass), Some(place)) = (exam.pass, &places.pass) {
        if pass > points {
            out.fault(
                place.clone(),
                format!(
                    "the pass mark is {} and the sections have {} points together",
                    print(pass),
                    print(points)
                ),
                Some("lower the pass mark or raise the points".to_owned()),
            );
        }
        let chance = chance_score(exam);
        if f64::from(pass) / 100.0 <= chance {
            out.fault(
                place.clone(),
                format!(
                    "the pass mark is {} and guessing alone brings {chance:.1} on average",
                    print(pass)
                ),
                Some("raise the pass mark, or offer more options".to_owned()),
            );
        }
    }
    for (i, band) in exam.bands.iter().enumerate() {
        if band.from > points {
            out.fault(
                places.bands[i].clone(),
                format!(
                    "band `{}` begins at {} and the exam has {} points",
                    band.name,
                    print(band.from),
                    print(points)
                ),
                None,
            );
        }
        if i > 0 && exam.bands[i - 1].from <= band.from {
            out.fault(
                places.bands[i].clone(),
                format!("band `{}` does not begin below the one before", band.name),
                Some("list the bands from the highest to the lowest".to_owned()),
            );
        }
    }
    if exam.bands.last().is_some_and(|band| band.from > 0) {
        let place = places.bands.last().cloned().unwrap_or(0..0);
        out.warning(
            place,
            "marks below the last band have no name",
            Some("add a band with `from = 0`".to_owned()),
        );
    }
}

/// The marks that blind guessing brings on average.
fn chance_score(exam: &Exam) -> f64 {
    exam.sections
        .iter()
        .map(|section| match &section.kind {
            Kind::Ear(ear) => {
                let shares: f64 = ear
                    .options
                    .iter()
                    .map(|options| 1.0 / options.len().max(1) as f64)
                    .sum();
                f64::from(section.points) / 100.0 * shares / ear.options.len().max(1) as f64
            }
            _ => 0.0,
        })
        .sum()
}

/// Checks that the cells of a section can be filled; false where they cannot.
fn pool(section: &Section, place: &Range<usize>, out: &Diagnostics) -> bool {
    let mut fine = true;
    let mut fault = |message: String, help: &str| {
        out.fault(place.clone(), message, Some(help.to_owned()));
        fine = false;
    };

    match &section.kind {
        Kind::Voicing(of) => {
            let mut qualities: Vec<(crate::theory::Quality, Vec<u8>, u32)> = Vec::new();
            for cell in &of.cells {
                let roots = cell.roots.len() as u32;
                if cell.count > roots {
                    fault(
                        format!(
                            "a cell asks for {} chords `{}` and has {roots} roots to draw from",
                            cell.count,
                            symbol::ascii_quality(cell.quality)
                        ),
                        "no chord comes twice in a section: lower the count or widen the group",
                    );
                }
                match qualities
                    .iter_mut()
                    .find(|(quality, ..)| *quality == cell.quality)
                {
                    Some((_, roots, count)) => {
                        roots.extend(&cell.roots);
                        *count += cell.count;
                    }
                    None => qualities.push((cell.quality, cell.roots.clone(), cell.count)),
                }
            }
            for (quality, mut roots, count) in qualities {
                roots.sort_unstable();
                roots.dedup();
                if count > roots.len() as u32 && of.each_root.is_some() {
                    fault(
                        format!(
                            "the cells ask for {count} chords `{}` together and have {} roots to draw from",
                            symbol::ascii_quality(quality),
                            roots.len()
                        ),
                        "no chord comes twice in a section: lower the counts",
                    );
                }
            }
            let total: u32 = of.cells.iter().map(|cell| cell.count).sum();
            if let Some(times) = of.each_root
                && total != u32::from(times) * 12
            {
                fault(
                    format!(
                        "`each_root = {times}` needs {} items and the cells have {total}",
                        u32::from(times) * 12
                    ),
                    "change the counts, or leave `each_root` out",
                );
            }
        }
        Kind::Spell(of) => {
            for cell in &of.cells {
                if cell.count > cell.roots.len() as u32 {
                    fault(
                        format!(
                            "a cell asks for {} chords `{}` and has {} roots to draw from",
                            cell.count,
                            symbol::ascii_quality(cell.quality),
                            cell.roots.len()
                        ),
                        "no chord comes twice in a section: lower the count or list more roots",
                    );
                }
            }
        }
        Kind::Run(of) => {
            for cell in &of.cells {
                if cell.count as usize > cell.keys.len() {
                    fault(
                        format!(
                            "a cell asks for {} runs and has {} keys to draw from",
                            cell.count,
                            cell.keys.len()
                        ),
                        "lower the count or widen the group",
                    );
                }
            }
        }
        Kind::Ear(_) | Kind::Panel(_) | Kind::Rest { .. } => {}
    }

    fine
}

/// Draws a few sets: what cannot be drawn cannot be sat.
fn draws(exam: &Exam, places: &Places, out: &Diagnostics) {
    for seed in 0..3 {
        let seats = exam.rules.seats;
        if let Err(error) = draw::draw(exam, Code::new(seed * 7919, seats)) {
            let place = match &error {
                draw::Error::Impossible { index, .. } => places.sections[*index].clone(),
                draw::Error::NoSuchSeat { .. } => 0..0,
            };
            out.fault(
                place,
                format!("the pool is too small: {error}"),
                Some(
                    "widen the groups, lower the counts, or lower `seats` in `[rules]`".to_owned(),
                ),
            );
            return;
        }
    }
}

/// What is no fault, but what an examiner would want to know.
fn advice(exam: &Exam, places: &Places, out: &Diagnostics) {
    let mut items = 0;
    let mut played = 0;

    for (section, place) in exam.sections.iter().zip(&places.sections) {
        match &section.kind {
            Kind::Voicing(of) => {
                let count: u32 = of.cells.iter().map(|cell| cell.count).sum();
                items += count;
                played += count;
            }
            Kind::Run(of) => {
                for cell in &of.cells {
                    items += cell.count;
                }
            }
            Kind::Ear(of) => {
                items += of.cells.iter().map(|cell| cell.count).sum::<u32>();
                thin_answers(of, place, out);
            }
            Kind::Spell(of) => items += of.cells.iter().map(|cell| cell.count).sum::<u32>(),
            Kind::Rest { .. } => played = 0,
            Kind::Panel(_) => {}
        }
        if played > PROMPTS_WITHOUT_REST {
            out.warning(
                place.clone(),
                format!("{played} chords are played without a rest"),
                Some(
                    "hands need a rest after about forty: add a section of kind `rest`".to_owned(),
                ),
            );
            played = 0;
        }
    }
    if items < CERTIFICATE_ITEMS && exam.pass.is_some() {
        out.warning(
            places.pass.clone().unwrap_or(0..0),
            format!("{items} items cannot carry a pass or fail alone"),
            Some("the mark sheet will say that this is feedback, not a certificate".to_owned()),
        );
    }
    if !exam.rules.feedback && exam.rules.timing.is_empty() {
        out.warning(
            places.timing.clone().unwrap_or(0..0),
            "the script does not say why timing is essential",
            Some("add `timing = \"...\"` to `[rules]`: candidates may ask for it".to_owned()),
        );
    }
    if exam.rules.span >= WIDE {
        out.warning(
            places.timing.clone().unwrap_or(0..0),
            format!(
                "a hand span of {} semitones is out of reach for many",
                exam.rules.span
            ),
            Some(
                "say in the exam that such chords may be rolled, or ask for another form"
                    .to_owned(),
            ),
        );
    }
}

fn thin_answers(of: &super::script::EarSection, place: &Range<usize>, out: &Diagnostics) {
    let total: u32 = of.cells.iter().map(|cell| cell.count).sum();
    let answers = of.options.first().map_or(1, Vec::len) as u32;

    if total < answers * SOUNDS_PER_ANSWER {
        out.warning(
            place.clone(),
            format!("{total} sounds for {answers} answers: fewer than six each"),
            Some("the sheet will say nothing of single answers".to_owned()),
        );
    }
}
