//! One integration binary; a module a subject.

mod statistics;
mod performances;
mod journals;
mod seals;
