//! The check, step by step.
