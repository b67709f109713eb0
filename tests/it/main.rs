//! One integration binary; a module a subject.

mod fuzz;
mod journals;
mod performances;
mod seals;
#[cfg(feature = "kiosk")]
mod speakers;
mod statistics;
mod theory;
