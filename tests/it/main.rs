//! One integration binary; a module a subject.

mod forms;
mod fuzz;
mod journals;
mod performances;
mod seals;
mod statistics;
mod theory;
