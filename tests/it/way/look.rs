//! Every page painted as a drawing, kept beside the build for eyes.

use std::path::Path;

use viva_voicing::engraving::Ink;
use viva_voicing::kiosk::act::Act;
use viva_voicing::kiosk::{Paper, Sheet};

use super::stage::Stage;
use crate::svg;

/// Writes a page down.
pub(super) fn keep(name: &str, stage: &Stage) {
    // Further leaves there are where text is large.
    let few = if stage.kiosk.leaf > 0 { 3.. } else { 0.. };
    keep_on(name, few, |paper| stage.on(paper));
}

/// Writes a page down as it is on some of four papers.
pub(crate) fn keep_on(
    name: &str,
    few: std::ops::RangeFrom<usize>,
    on: impl Fn(Paper) -> Sheet<Act>,
) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("pages");
    std::fs::create_dir_all(&folder).unwrap();
    let papers = [
        Paper::new(1920.0, 1080.0, 1.0, false),
        Paper::new(1920.0, 1080.0, 1.0, true),
        Paper::new(1280.0, 720.0, 1.0, false),
        Paper::new(1280.0, 720.0, 2.0, false),
    ];

    for paper in &papers[few] {
        let svg = svg(&on(*paper));
        let dark = if paper.dark { "-dark" } else { "" };
        let percent = (paper.enlarged * 100.0).round();
        let file = format!("{name}-{}-{percent}{dark}.svg", paper.height);
        std::fs::write(folder.join(file), svg).unwrap();
    }
}

/// Paints a page with outlines alone.
fn svg(sheet: &Sheet<Act>) -> String {
    let paper = sheet.paper;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}\" height=\"{1}\">\n\
         <rect width=\"100%\" height=\"100%\" fill=\"{2}\"/>\n",
        paper.width,
        paper.height,
        colour(&paper, Ink::Paper)
    );

    out += &svg::marks(sheet.marks.iter().chain(&sheet.moving), |ink| {
        colour(&paper, ink)
    });
    out + "</svg>\n"
}

fn colour(paper: &Paper, ink: Ink) -> String {
    let [red, green, blue] = paper.colour(ink);

    format!("#{red:02X}{green:02X}{blue:02X}")
}
