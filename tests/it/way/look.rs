//! Every page painted as a drawing, kept beside the build for eyes.

use std::fmt::Write as _;
use std::path::Path;

use viva_voicing::engraving::font::{self, Face, Segment};
use viva_voicing::engraving::{Anchor, Ink, Mark, Point};
use viva_voicing::kiosk::act::Act;
use viva_voicing::kiosk::{Paper, Sheet};

use super::stage::Stage;

/// Writes a page down.
pub(super) fn keep(name: &str, stage: &Stage) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("pages");
    std::fs::create_dir_all(&folder).unwrap();
    let papers = [
        Paper::new(1920.0, 1080.0, 1.0, false),
        Paper::new(1920.0, 1080.0, 1.0, true),
        Paper::new(1280.0, 720.0, 1.0, false),
        Paper::new(1280.0, 720.0, 2.0, false),
    ];

    // Further leaves there are where text is large.
    let few = if stage.kiosk.leaf > 0 { 3.. } else { 0.. };
    for paper in &papers[few] {
        let svg = svg(&stage.on(*paper));
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

    for mark in sheet.marks.iter().chain(&sheet.moving) {
        paint(&mut out, &paper, mark);
    }
    out + "</svg>\n"
}

fn colour(paper: &Paper, ink: Ink) -> String {
    let [red, green, blue] = paper.colour(ink);

    format!("#{red:02X}{green:02X}{blue:02X}")
}

fn paint(out: &mut String, paper: &Paper, mark: &Mark) {
    let _ = match mark {
        Mark::Line {
            from,
            to,
            thickness,
            ink,
        } => writeln!(
            out,
            "<path d=\"M{} {}L{} {}\" stroke-width=\"{thickness}\" stroke=\"{}\"/>",
            from.x,
            from.y,
            to.x,
            to.y,
            colour(paper, *ink)
        ),
        Mark::Rect {
            at,
            width,
            height,
            ink,
        } => writeln!(
            out,
            "<rect x=\"{}\" y=\"{}\" width=\"{width}\" height=\"{height}\" fill=\"{}\"/>",
            at.x.round(),
            at.y.round(),
            colour(paper, *ink)
        ),
        Mark::Glyph {
            glyph,
            at,
            size,
            stretch,
            stroke,
            ink,
        } => writeln!(
            out,
            "<path d=\"{}\" fill=\"{1}\" stroke=\"{1}\" stroke-width=\"{stroke}\"/>",
            path(Face::Music, glyph.codepoint(), *at, (size * stretch, *size)),
            colour(paper, *ink)
        ),
        Mark::Text {
            text,
            face,
            at,
            size,
            anchor,
            ink,
        } => {
            let width = font::width(*face, text) * size;
            let left = at.x
                - match anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => width / 2.0,
                    Anchor::End => width,
                };
            for (sign, start, _) in font::places(*face, text) {
                let at = Point::new(left + start * size, at.y);
                let path = path(*face, sign, at, (*size, *size));
                let _ = writeln!(out, "<path d=\"{path}\" fill=\"{}\"/>", colour(paper, *ink));
            }
            Ok(())
        }
    };
}

/// The outline of a sign; every page is set in signs that the embedded fonts have.
fn path(face: Face, sign: char, at: Point, size: (f32, f32)) -> String {
    let point = |p: Point| format!("{:.2} {:.2}", at.x + p.x * size.0, at.y + p.y * size.1);

    font::outline(face, sign)
        .unwrap_or_else(|| panic!("{face:?} has {sign:?}"))
        .into_iter()
        .map(|segment| match segment {
            Segment::Move(to) => format!("M{}", point(to)),
            Segment::Line(to) => format!("L{}", point(to)),
            Segment::Curve(a, b, to) => format!("C{} {} {}", point(a), point(b), point(to)),
            Segment::Close => "Z".to_owned(),
        })
        .collect()
}
