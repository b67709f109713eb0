//! Two chords side by side, as asked and as played.

use super::Drawing;
use super::grand::{self, Caption, Hands};
use super::staff::Options;

/// From the end of the left staff to the start of the right one, at least.
const APART: f32 = 6.0;
/// From the labels of the left staff to the brace of the right one.
const AFTER_LABELS: f32 = 2.0;

/// Engraves two chords on two grand staves of one height, each with its caption.
pub fn layout(pairs: [(Caption<'_>, &Hands); 2], options: &Options) -> Drawing {
    let between = pairs
        .iter()
        .map(|(_, hands)| hands.clusters().between())
        .fold(0.0, f32::max);
    let [left, right] = pairs.map(|(caption, hands)| {
        let sketch = grand::sketch(hands, options, between, Some(caption));
        let words = format!("{}: {}", caption.text, hands.words());
        (Drawing::boxed(sketch, words.clone()), words)
    });
    let apart = left.0.width - left.0.origin.x + AFTER_LABELS + right.0.origin.x;
    let x = apart.max(options.width + APART);
    let words = format!("{}. {}", left.1, right.1);

    let mut sketch = super::Sketch::default();
    sketch.place(left.0, 0.0, 0.0);
    sketch.place(right.0, x, 0.0);

    Drawing::boxed(sketch, words)
}
