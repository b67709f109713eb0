//! The paper a page is printed on: its grid, its sizes of type and its colours.
//!
//! The page is 52 white keys wide, and text stands in a measure of 36 of them, so that a strip of
//! 61 keys from C2 to C7 lies in its true place. Heights are given as on a page of 1,080 pixels.

use crate::engraving::Ink;

/// White keys across a page.
pub const KEYS: f32 = 52.0;
/// Where the measure begins and ends, in keys.
pub const MEASURE: (f32, f32) = (9.0, 45.0);
/// From here on the margin is folded in, and the measure begins at its left edge.
const FOLD: f32 = 1.4;

/// What a text is for; it gives its size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Captions of keys.
    Note,
    /// Header, tables, sentences.
    Text,
    /// What is asked, and what to do.
    Lead,
    /// One to a page.
    Title,
    /// Cover, grade, fault.
    Display,
    /// The chord symbol of an item.
    Prompt,
}

impl Role {
    /// Sizes on pages 720 and 1,080 pixels high, and the distance of lines as a share of them.
    const fn sizes(self) -> (f32, f32, f32) {
        match self {
            Self::Note => (16.0, 20.0, 1.4),
            Self::Text => (20.0, 28.0, 1.42),
            Self::Lead => (28.0, 40.0, 1.4),
            Self::Title => (44.0, 64.0, 1.15),
            Self::Display => (80.0, 112.0, 1.1),
            Self::Prompt => (192.0, 288.0, 1.0),
        }
    }

    /// How much of the enlargement of text it takes part in: what is large already grows less.
    const fn grows(self) -> f32 {
        match self {
            Self::Note | Self::Text | Self::Lead => 1.0,
            Self::Title => 0.35,
            Self::Display | Self::Prompt => 0.0,
        }
    }
}

/// A colour, red, green and blue.
pub type Colour = [u8; 3];

/// The paper of a page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paper {
    /// The page's width in pixels.
    pub width: f32,
    /// The page's height in pixels.
    pub height: f32,
    /// How much larger text is than usual, 1 to 2.
    pub enlarged: f32,
    /// Whether it is printed light on dark, for stage light.
    pub dark: bool,
}

impl Paper {
    /// The least page that everything holds on.
    pub const LEAST: (f32, f32) = (1280.0, 720.0);

    /// Makes a paper of at least the least size; `enlarged` is held to 1–2.
    pub const fn new(width: f32, height: f32, enlarged: f32, dark: bool) -> Self {
        Self {
            width: width.max(Self::LEAST.0),
            height: height.max(Self::LEAST.1),
            enlarged: enlarged.clamp(1.0, 2.0),
            dark,
        }
    }

    /// Returns the width of a white key: whole pixels.
    pub fn key(&self) -> f32 {
        let by_width = (self.width / 60.0).ceil();
        let most = ((self.width - 96.0) / KEYS).floor();

        by_width.min(most)
    }

    /// Returns the outer margin.
    pub fn margin(&self) -> f32 {
        ((self.width - KEYS * self.key()) / 2.0).floor()
    }

    /// Returns where a key of the grid begins.
    pub fn x(&self, key: f32) -> f32 {
        self.margin() + key * self.key()
    }

    /// Returns a height as on a page of 1,080 pixels.
    pub fn y(&self, at: f32) -> f32 {
        (at * self.height / 1080.0).round()
    }

    /// Returns the size of a text.
    pub fn size(&self, role: Role) -> f32 {
        let (small, large, _) = role.sizes();
        let share = (self.height - 720.0) / 360.0;
        let size = (small + (large - small) * share).max(small);

        size * (1.0 + (self.enlarged - 1.0) * role.grows())
    }

    /// Returns the distance of two lines of a text.
    pub fn line(&self, role: Role) -> f32 {
        (self.size(role) * role.sizes().2).round()
    }

    /// Tells whether the margin is folded into the measure, text being so large.
    pub fn is_folded(&self) -> bool {
        self.enlarged >= FOLD
    }

    /// Returns the left edge of the measure.
    pub fn left(&self) -> f32 {
        self.x(if self.is_folded() { 0.0 } else { MEASURE.0 })
    }

    /// Returns the right edge of the measure.
    pub fn right(&self) -> f32 {
        self.x(if self.is_folded() { KEYS } else { MEASURE.1 })
    }

    /// Returns the colour of an ink on this paper.
    pub const fn colour(&self, ink: Ink) -> Colour {
        match (ink, self.dark) {
            (Ink::Plain, false) => [0x1D, 0x1B, 0x18],
            (Ink::Plain, true) => [0xED, 0xE8, 0xDD],
            (Ink::Quiet, false) => [0x5E, 0x58, 0x4F],
            (Ink::Quiet, true) => [0xAB, 0xA4, 0x97],
            (Ink::Accent, false) => [0x0F, 0x52, 0x57],
            (Ink::Accent, true) => [0x86, 0xC5, 0xC4],
            (Ink::Rule, false) => [0xCF, 0xC7, 0xB8],
            (Ink::Rule, true) => [0x45, 0x44, 0x3F],
            (Ink::Paper, false) => [0xFA, 0xF7, 0xF0],
            (Ink::Paper, true) => [0x16, 0x18, 0x1A],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WCAG 2.2, relative luminance and contrast ratio.
    fn contrast(one: Colour, other: Colour) -> f64 {
        let luminance = |colour: Colour| {
            let [r, g, b] = colour.map(|part| {
                let part = f64::from(part) / 255.0;
                if part <= 0.04045 {
                    part / 12.92
                } else {
                    ((part + 0.055) / 1.055).powf(2.4)
                }
            });
            0.2126 * r + 0.7152 * g + 0.0722 * b
        };
        let (one, other) = (luminance(one), luminance(other));

        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    #[test]
    fn every_ink_that_carries_meaning_meets_the_contrast_of_text() {
        // WCAG 2.2, 1.4.3 Contrast (Minimum): 4.5 to 1.
        for dark in [false, true] {
            let paper = Paper::new(1920.0, 1080.0, 1.0, dark);
            for ink in [Ink::Plain, Ink::Quiet, Ink::Accent] {
                let ratio = contrast(paper.colour(ink), paper.colour(Ink::Paper));
                assert!(ratio >= 4.5, "{ink:?}, dark {dark}: {ratio:.2}");
            }
            // A held black key against those that are not held: 1.4.11, 3 to 1.
            let ratio = contrast(paper.colour(Ink::Plain), paper.colour(Ink::Rule));
            assert!(ratio >= 3.0, "held, dark {dark}: {ratio:.2}");
        }
    }

    #[test]
    fn the_grid_is_the_drawn_one() {
        let check = |width, height, key, margin, left, middle_c| {
            let paper = Paper::new(width, height, 1.0, false);
            assert_eq!((paper.key(), paper.margin()), (key, margin));
            assert_eq!(paper.left(), left);
            // A strip from C2 has middle C at its fifteenth white key.
            assert_eq!(paper.x(9.0 + 14.0) + key / 2.0, middle_c);
        };
        check(1920.0, 1080.0, 32.0, 128.0, 416.0, 880.0);
        check(1280.0, 720.0, 22.0, 68.0, 266.0, 585.0);
    }

    #[test]
    fn sizes_step_up_with_the_height() {
        let small = Paper::new(1280.0, 720.0, 1.0, false);
        let large = Paper::new(1920.0, 1080.0, 1.0, false);
        assert_eq!(
            (small.size(Role::Text), large.size(Role::Text)),
            (20.0, 28.0)
        );
        assert_eq!(
            (small.size(Role::Prompt), large.size(Role::Prompt)),
            (192.0, 288.0)
        );
        let enlarged = Paper::new(1280.0, 720.0, 2.0, false);
        assert_eq!(enlarged.size(Role::Text), 40.0);
        assert!(enlarged.is_folded());
    }
}
