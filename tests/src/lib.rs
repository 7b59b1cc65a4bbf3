//! Test helpers.
