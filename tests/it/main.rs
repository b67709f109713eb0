//! One integration binary; a module a subject.

mod fuzz;
mod journals;
mod performances;
mod scripts;
mod seals;
mod statistics;
mod theory;
