//! One integration binary; a module a subject.

mod fuzz;
mod journals;
mod keyboards;
mod performances;
mod seals;
mod statistics;
mod theory;
