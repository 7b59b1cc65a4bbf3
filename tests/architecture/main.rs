//! The walls of the house, checked over the text of the sources.

mod findings;
mod imports;
mod sources;
mod words;
