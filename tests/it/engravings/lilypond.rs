//! Chords set as LilyPond sets them: steps, sides of seconds, order of accidentals.
//!
//! Source: LilyPond 2.24.1, asked by `tests/engraving/lilypond.py`. Steps and columns must agree;
//! of two accidentals that would touch in one column, the same one must stand nearer to the heads.
//! How far apart they stand is each engraver's own.

use viva_voicing::engraving::Glyph;
use viva_voicing::engraving::cluster::Cluster;
use viva_voicing::engraving::staff::Clef;

use super::pitches;

struct Row {
    name: String,
    cluster: Cluster,
    octaves: i32,
    heads: Vec<(i32, usize)>,
    accidentals: Vec<(i32, f32)>,
}

fn pairs<T: std::str::FromStr>(text: &str) -> Vec<(i32, T)>
where
    T::Err: std::fmt::Debug,
{
    text.split_whitespace()
        .map(|pair| {
            let (step, other) = pair.split_once(':').expect(pair);
            (step.parse().expect(pair), other.parse().expect(pair))
        })
        .collect()
}

fn rows() -> Vec<Row> {
    let table = include_str!("../../fixtures/reference/lilypond_chords.csv");

    table
        .lines()
        .skip(1)
        .map(|line| {
            let fields: Vec<&str> = line.split(',').collect();
            let clef = if fields[0] == "bass" {
                Clef::Bass
            } else {
                Clef::Treble
            };
            Row {
                name: fields[..3].join(" "),
                cluster: Cluster::new(&pitches(fields[2]), clef, &[]),
                octaves: fields[1].parse().unwrap(),
                heads: pairs(fields[3]),
                accidentals: pairs(fields[4]),
            }
        })
        .collect()
}

#[test]
fn heads_stand_on_the_same_steps_and_on_the_same_side() {
    assert!(rows().len() >= 50);

    for row in rows() {
        let heads: Vec<(i32, usize)> = row
            .cluster
            .heads
            .iter()
            .map(|head| (head.step, head.column))
            .collect();
        assert_eq!(row.cluster.octaves, row.octaves, "{}", row.name);
        assert_eq!(heads, row.heads, "{}", row.name);
    }
}

#[test]
fn accidentals_stand_in_the_same_order() {
    let mut compared = 0;

    for row in rows() {
        let own: Vec<(i32, f32, Glyph)> = row
            .cluster
            .signs
            .iter()
            .map(|sign| (row.cluster.heads[sign.head].step, sign.x, sign.glyph))
            .collect();
        let steps: Vec<i32> = own.iter().map(|(step, _, _)| *step).collect();
        let expected: Vec<i32> = row.accidentals.iter().map(|(step, _)| *step).collect();
        assert_eq!(steps, expected, "{}", row.name);

        for (lower, upper) in (0..own.len()).flat_map(|a| (a + 1..own.len()).map(move |b| (a, b))) {
            // In staff spaces, y down.
            let edge = |(step, _, glyph): (i32, f32, Glyph), top: bool| {
                let ink = glyph.bounds();
                (if top { ink.top } else { ink.bottom }) * 4.0 - step as f32 / 2.0
            };
            if edge(own[upper], false) > edge(own[lower], true) + 0.1 {
                let theirs = row.accidentals[upper].1 > row.accidentals[lower].1;
                assert_eq!(own[upper].1 > own[lower].1, theirs, "{}: {own:?}", row.name);
                compared += 1;
            }
        }
    }
    assert!(compared >= 50, "{compared}");
}
