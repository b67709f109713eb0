//! Guess correction, sensitivity, confusion, standard error and reliability.
