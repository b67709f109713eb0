//! The kiosk's way there and way out, without a window: every page by text and by action.

mod bounds;
mod by_hand;
mod check;
mod drawn;
pub(crate) mod look;
mod practise;
mod print;
mod printer;
mod review;
mod snapshot;
mod stage;
mod ways;

use viva_voicing::kiosk::Paper;

/// The pages and sizes of text that everything has to hold on.
pub(crate) fn papers() -> Vec<Paper> {
    let page = |(width, height), enlarged| Paper::new(width, height, enlarged, false);
    let (large, least, middle) = ((1920.0, 1080.0), (1280.0, 720.0), (1366.0, 768.0));

    vec![
        page(large, 1.0),
        page(large, 2.0),
        page(least, 1.0),
        page(least, 1.5),
        page(least, 2.0),
        page(middle, 1.0),
        page(middle, 2.0),
    ]
}
