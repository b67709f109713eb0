//! One integration binary; a module a subject.

mod journals;
mod seals;
