//! One integration binary; a module a subject.

mod journals;
mod performances;
mod scratch;
mod seals;
mod statistics;
mod theory;
