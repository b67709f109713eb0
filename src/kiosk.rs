//! The full-screen room that a candidate uses alone.
//!
//! ```text
//! keys, pointer, clock ─▶ Kiosk (what page, what next) ─▶ pages ─▶ Sheet: marks and targets
//!                          │    ▲                                    │
//!                          ▼    │ changes                            ▼
//!                         Room (sitting, instruments)         window: paints, hits, focus
//! ```
//!
//! A page is a printed sheet: [`pages`] put marks and targets on a [`sheet::Sheet`] by the grid of
//! its [`paper::Paper`], and the window paints what it is given. Nothing here decides a mark or a
//! time: that is the sitting's. All but the `window` is plain data and runs without a display.

pub mod act;
pub mod check;
pub mod desk;
pub mod hands;
pub mod invigilator;
pub mod model;
pub mod pages;
pub mod paper;
mod practise;
pub mod print;
pub mod seat;
pub mod sheet;
pub mod shelf;
#[cfg(feature = "kiosk")]
pub mod window;
pub mod words;

pub use model::Kiosk;
pub use paper::Paper;
pub use sheet::Sheet;
pub use words::Words;
