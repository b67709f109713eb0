//! What is wrong with a script, where, and how to mend it.
