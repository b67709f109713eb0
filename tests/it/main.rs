//! One integration binary; a module a subject.

mod cli;
mod fuzz;
mod journals;
mod performances;
mod results;
mod seals;
mod sittings;
mod statistics;
mod theory;
