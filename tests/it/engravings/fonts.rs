//! The fonts are what their makers say, and have what drawings need.

use serde_json::Value;
use viva_voicing::engraving::font::{self, Segment};
use viva_voicing::engraving::{Face, Glyph, measure};

/// Bravura's own metadata: boxes, advances and thicknesses in staff spaces, y up.
fn metadata() -> Value {
    serde_json::from_str(include_str!(
        "../../fixtures/reference/bravura_metadata.json"
    ))
    .unwrap()
}

fn near(found: f32, expected: &Value, what: &str) {
    let expected = expected.as_f64().unwrap_or(f64::NAN);
    // The font's units are thousandths of an em: 0.004 staff spaces.
    assert!(
        (f64::from(found) - expected).abs() < 0.0085,
        "{what}: expected {expected}, found {found}"
    );
}

#[test]
fn every_sign_has_the_box_that_the_metadata_give_its_name() {
    let metadata = metadata();

    for glyph in Glyph::ALL {
        let name = glyph.name();
        let ink = glyph.bounds();
        let expected = &metadata["glyphBBoxes"][name];
        near(ink.left * 4.0, &expected["bBoxSW"][0], name);
        near(-ink.bottom * 4.0, &expected["bBoxSW"][1], name);
        near(ink.right * 4.0, &expected["bBoxNE"][0], name);
        near(-ink.top * 4.0, &expected["bBoxNE"][1], name);
        near(
            glyph.advance() * 4.0,
            &metadata["glyphAdvanceWidths"][name],
            name,
        );
    }
}

#[test]
fn code_points_are_those_of_smufl() {
    let table = include_str!("../../fixtures/reference/smufl_codepoints.csv");
    let mut found = 0;

    for glyph in Glyph::ALL {
        let row = table
            .lines()
            .find(|row| row.split(',').next() == Some(glyph.name()));
        if let Some(row) = row {
            let expected = format!("U+{:04X}", u32::from(glyph.codepoint()));
            assert_eq!(row.split(',').nth(1), Some(expected.as_str()), "{row}");
            found += 1;
        }
    }
    assert!(found >= 18, "{found}");
}

#[test]
fn thicknesses_are_the_music_fonts_own() {
    let defaults = &metadata()["engravingDefaults"];
    let check = |found, name: &str| near(found, &defaults[name], name);

    check(measure::STAFF_LINE, "staffLineThickness");
    check(measure::LEDGER_LINE, "legerLineThickness");
    check(measure::LEDGER_EXTENSION, "legerLineExtension");
    check(measure::BAR_LINE, "thinBarlineThickness");
    check(measure::THICK_BAR_LINE, "thickBarlineThickness");
    check(measure::BAR_LINE_APART, "barlineSeparation");
    check(measure::OCTAVE_LINE, "octaveLineThickness");
}

#[test]
fn outlines_fill_the_boxes_that_the_metadata_give() {
    let metadata = metadata();

    for glyph in Glyph::ALL {
        let points: Vec<_> = font::outline(Face::Music, glyph.codepoint())
            .unwrap()
            .into_iter()
            .filter_map(|segment| match segment {
                Segment::Move(to) | Segment::Line(to) | Segment::Curve(_, _, to) => Some(to),
                Segment::Close => None,
            })
            .collect();
        // Extremes of well made outlines are points of them.
        let highest = points
            .iter()
            .map(|point| -point.y * 4.0)
            .fold(f32::MIN, f32::max);
        let rightmost = points
            .iter()
            .map(|point| point.x * 4.0)
            .fold(f32::MIN, f32::max);
        let expected = &metadata["glyphBBoxes"][glyph.name()]["bBoxNE"];
        near(rightmost, &expected[0], glyph.name());
        near(highest, &expected[1], glyph.name());
    }
}

#[test]
fn text_fonts_have_the_letters_of_three_languages_and_the_signs_of_music() {
    for face in [Face::Regular, Face::Italic, Face::Bold] {
        for sign in "AZaz09éàçßäöüŒœ“”‘’–—·…−+♭♯♮△ø°/()".chars()
        {
            assert!(font::has(face, sign), "{face:?}: {sign}");
        }
        assert!(
            !font::has(face, '𝄪'),
            "then texts need the music font for less"
        );
    }
    // The music font has what they lack.
    for sign in ['♭', '♮', '♯', '𝄪', '𝄫'] {
        assert!(Glyph::in_text(sign).is_some());
    }
}

#[test]
fn widths_are_kerned() {
    let plain: f32 = "AV"
        .chars()
        .map(|sign| font::advance(Face::Regular, sign))
        .sum();

    assert!(font::kern(Face::Regular, 'A', 'V') < -0.05);
    assert!(font::width(Face::Regular, "AV") < plain - 0.05);
    assert!(font::kern(Face::Regular, 'H', 'H').abs() < 0.001);
    // A digit of Pagella is half an em wide.
    assert!((font::width(Face::Regular, "2024") - 2.0).abs() < 0.001);
    assert_eq!(font::width(Face::Regular, "").to_bits(), 0);
}
