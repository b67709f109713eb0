//! Chord symbols set as a printer would: root large, accidental raised, quality smaller on the
//! baseline, alterations raised and smaller still.

use crate::theory::symbol::{Style, print_quality};
use crate::theory::{Chord, Name, Quality};

use super::font::{self, Face};
use super::{Anchor, Drawing, Glyph, Ink, Mark, Point, Sketch, words};

/// How a symbol is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// The house of style.
    pub style: Style,
    /// The size of the root, in the drawing's unit.
    pub size: f32,
    /// Whether it is bold, as the current chord of a line.
    pub bold: bool,
    /// What it is painted with.
    pub ink: Ink,
}

impl Setting {
    /// Plain and upright at a size.
    pub const fn new(style: Style, size: f32) -> Self {
        Self {
            style,
            size,
            bold: false,
            ink: Ink::Plain,
        }
    }
}

/// Shares of the root's size, as the page design has them.
mod share {
    /// An accidental of the root: its size, how far it is raised, and the room behind it.
    pub(super) const ACCIDENTAL: f32 = 0.78;
    pub(super) const ACCIDENTAL_RAISED: f32 = 0.14;
    pub(super) const AFTER_ACCIDENTAL: f32 = 0.035;
    /// The quality, and a slash bass.
    pub(super) const QUALITY: f32 = 0.66;
    /// Alterations and tensions.
    pub(super) const ALTERATION: f32 = 0.46;
    pub(super) const ALTERATION_RAISED: f32 = 0.30;
    /// The circles of diminished and half-diminished.
    pub(super) const CIRCLE: f32 = 0.58;
    pub(super) const CIRCLE_RAISED: f32 = 0.19;
    /// The triangle, nearly as tall as the figures, and the plus sign at half their height.
    pub(super) const TRIANGLE: f32 = 0.84;
    pub(super) const PLUS: f32 = 0.74;
    pub(super) const PLUS_RAISED: f32 = 0.09;
    /// How far the text font's minus sign is raised, to half the height of the figures.
    pub(super) const MINUS_RAISED: f32 = 0.06;
    /// The room on each side of a circle, triangle or plus sign.
    pub(super) const SIGN_ROOM: f32 = 0.03;
    /// The stroke that makes an accidental bold.
    pub(super) const BOLD: f32 = 0.022;
    /// An accidental among figures: its size and raise as shares of theirs.
    pub(super) const FIGURE_SIGN: f32 = 0.86;
    pub(super) const FIGURE_SIGN_RAISED: f32 = 0.02;
    pub(super) const FIGURE_SIGN_ROOM: f32 = 0.04;
}

/// Sets a chord symbol; the drawing's origin is the left end of its baseline.
pub fn layout(chord: Chord, setting: Setting) -> Drawing {
    let mut pen = Pen::new(setting);

    pen.name(chord.root, setting.size);
    pen.quality(&print_quality(chord.quality, setting.style));
    if let Some(bass) = chord.bass {
        let size = share::QUALITY * setting.size;
        pen.words("/", size, 0.0);
        pen.name(bass, size);
    }

    Drawing::boxed(pen.sketch, words::chord(chord))
}

/// Sets what stands after the root alone, as over the columns of a table; a triad has nothing.
pub fn quality(quality: Quality, setting: Setting) -> Drawing {
    let mut pen = Pen::new(setting);

    pen.quality(&print_quality(quality, setting.style));

    Drawing::boxed(pen.sketch, words::quality(quality))
}

struct Pen {
    setting: Setting,
    x: f32,
    sketch: Sketch,
}

impl Pen {
    fn new(setting: Setting) -> Self {
        Self {
            setting,
            x: 0.0,
            sketch: Sketch::default(),
        }
    }

    fn face(&self) -> Face {
        if self.setting.bold {
            Face::Bold
        } else {
            Face::Regular
        }
    }

    fn words(&mut self, text: &str, size: f32, raised: f32) {
        self.sketch.0.push(Mark::Text {
            text: text.to_owned(),
            face: self.face(),
            at: Point::new(self.x, -raised),
            size,
            anchor: Anchor::Start,
            ink: self.setting.ink,
        });
        self.x += font::width(self.face(), text) * size;
    }

    fn sign(&mut self, glyph: Glyph, size: f32, raised: f32) {
        let stroke = if self.setting.bold {
            share::BOLD * size / share::ACCIDENTAL
        } else {
            0.0
        };
        self.sketch.0.push(Mark::Glyph {
            glyph,
            at: Point::new(self.x, -raised),
            size,
            stretch: 1.0,
            stroke,
            ink: self.setting.ink,
        });
        self.x += glyph.advance() * size;
    }

    /// Sets a letter with its accidental raised, flush left.
    fn name(&mut self, name: Name, size: f32) {
        let letter = format!("{:?}", name.letter());
        let face = self.face();
        let sign = letter.chars().next().unwrap_or(' ');
        self.x -= font::bounds(face, sign).map_or(0.0, |ink| ink.left) * size;
        self.words(&letter, size, 0.0);

        let glyph = match name.accidental() {
            ..=-3 => Glyph::SymbolTripleFlat,
            -2 => Glyph::SymbolDoubleFlat,
            -1 => Glyph::SymbolFlat,
            0 => return,
            1 => Glyph::SymbolSharp,
            2 => Glyph::SymbolDoubleSharp,
            3.. => Glyph::SymbolTripleSharp,
        };
        // An A leaves room above its shoulder, an F fills it.
        self.x += size
            * match letter.as_str() {
                "A" => -0.075,
                "F" => 0.02,
                _ => 0.012,
            };
        self.sign(
            glyph,
            share::ACCIDENTAL * size,
            share::ACCIDENTAL_RAISED * size,
        );
        self.x += share::AFTER_ACCIDENTAL * size;
    }

    /// Sets what is printed after a root.
    fn quality(&mut self, printed: &str) {
        let end = printed.find('(').unwrap_or(printed.len());
        let (stem, bracketed) = printed.split_at(end);
        // A bare alteration is raised like one in brackets, but not what follows a word: add♯11.
        let end = stem
            .find(['♭', '♯'])
            .filter(|_| !stem.starts_with("add"))
            .unwrap_or(stem.len());
        let (base, bare) = stem.split_at(end);
        let size = self.setting.size;

        self.figures(base, share::QUALITY * size, 0.0);
        for raised in [bare, bracketed] {
            self.figures(
                raised,
                share::ALTERATION * size,
                share::ALTERATION_RAISED * size,
            );
        }
    }

    /// Sets letters and figures with their signs.
    fn figures(&mut self, text: &str, size: f32, raised: f32) {
        let mut words = String::new();

        for sign in text.chars() {
            let glyph = Glyph::in_text(sign);
            let other = match sign {
                '°' => Some((Glyph::SymbolDiminished, share::CIRCLE, share::CIRCLE_RAISED)),
                'ø' => Some((
                    Glyph::SymbolHalfDiminished,
                    share::CIRCLE,
                    share::CIRCLE_RAISED,
                )),
                '△' => Some((Glyph::SymbolMajor, share::TRIANGLE, 0.0)),
                '+' => Some((Glyph::SymbolAugmented, share::PLUS, share::PLUS_RAISED)),
                _ => None,
            };
            if sign == '−' {
                self.flush(&mut words, size, raised);
                self.words(
                    "−",
                    size,
                    raised + share::MINUS_RAISED * size / share::QUALITY,
                );
                continue;
            }
            if glyph.is_none() && other.is_none() {
                words.push(sign);
                continue;
            }
            self.flush(&mut words, size, raised);
            if let Some(glyph) = glyph {
                self.x += share::FIGURE_SIGN_ROOM * size;
                self.sign(
                    glyph,
                    share::FIGURE_SIGN * size,
                    raised + share::FIGURE_SIGN_RAISED * size,
                );
                self.x += share::FIGURE_SIGN_ROOM * size;
            }
            if let Some((glyph, of_size, of_raise)) = other {
                // Shares of the root, for figures of the quality's size.
                let root = size / share::QUALITY;
                self.x += share::SIGN_ROOM * root;
                self.sign(glyph, of_size * root, raised + of_raise * root);
                self.x += share::SIGN_ROOM * root;
            }
        }
        self.flush(&mut words, size, raised);
    }

    fn flush(&mut self, words: &mut String, size: f32, raised: f32) {
        if !words.is_empty() {
            self.words(words, size, raised);
            words.clear();
        }
    }
}
