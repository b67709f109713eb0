//! Practice papers: without fault for all who sit any exam, and of more help than chance.

mod learning;
mod papers;
