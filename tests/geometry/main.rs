//! Geometry against numbers from outside: units, ellipses, mitres, clocking, bend data, unrolled cuts,
//! points and ports measured in.

#![expect(clippy::doc_markdown, reason = "the names of publishers and tools are not code")]

mod bend_data;
mod clocking;
mod ellipses;
mod generators;
mod measuring;
mod mitres;
mod units;
