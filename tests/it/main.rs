//! One integration binary; a module a subject.

mod journals;
mod performances;
mod seals;
mod statistics;
mod theory;
