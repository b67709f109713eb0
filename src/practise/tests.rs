//! Papers for every shipped exam and for candidates of known strength.
