//! The digest chain that finds any changed byte of a result.
