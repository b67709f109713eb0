//! One integration binary; a module a subject.

mod fuzz;
mod journals;
mod performances;
mod seals;
mod sittings;
mod statistics;
mod theory;
