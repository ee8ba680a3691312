//! Which fault explains the readings, and what to measure next: the model on plain indices, with no
//! language around it.
