//! The sentences: what is wrong, where, and what to do; one file a stage of the work. Every sentence of a finding stands
//! here and nowhere else.

mod bar;
mod bar_fit;
mod branch;
mod gap;
mod limit;
mod merge;
mod no_route;
mod open_end;
mod part;
mod piece;
mod route;
mod saddle;
mod scan;
mod stock;
mod taper;
#[cfg(test)]
mod tests;

use super::{Block, Finding, Problem};
use crate::units::{UnitSystem, length};
use piece::piece_words;

impl Problem {
    /// Where it is, in words.
    pub fn place(&self) -> String {
        match self {
            Self::Limit(fault) => limit::place(fault),
            Self::Branch(problem) => problem.port.clone(),
            Self::Merge(problem) => problem.merge.clone(),
            Self::Part(problem) => problem.part.clone(),
            Self::Route(problem) => problem.place(),
            Self::Piece(problem) => problem.place(),
            Self::Taper(problem) => problem.place(),
            Self::OpenEnd(problem) => problem.place(),
            Self::Bar(problem) => problem.place(),
            Self::Gap(problem) => problem.place(),
            Self::Stock(problem) => problem.place(),
            Self::Scan(problem) => problem.place(),
        }
    }

    /// The sentence a person reads: what, where, what to do. Bends, legs and so on count from 1.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::Limit(fault) => limit::text(fault, units),
            Self::Scan(problem) => problem.text(),
            Self::Route(problem) => problem.text(units),
            Self::Piece(problem) => problem.text(units),
            Self::Taper(problem) => problem.text(units),
            Self::Branch(problem) => problem.text(units),
            Self::Merge(problem) => problem.text(units),
            Self::Part(problem) => problem.text(units),
            Self::OpenEnd(problem) => problem.text(units),
            Self::Bar(problem) => problem.text(units),
            Self::Gap(problem) => problem.text(units),
            Self::Stock(problem) => problem.text(units),
        }
    }
}

impl Finding {
    /// The names of the runs it is about, as they begin a line; empty where it is about none.
    pub fn lead(&self) -> String {
        match (&self.run, &self.also_run) {
            (Some(run), Some(also)) => format!("{run} and {also}: "),
            (Some(run), None) => format!("{run}: "),
            (None, _) => String::new(),
        }
    }
}

/// A number of things: `1 leg`, `3 legs`.
pub(super) fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// Names one after another: `A`, `A and B`, `A, B and C`.
fn joined(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}

/// One of the two ends of a run or piece.
fn end_word(at_start: bool) -> &'static str {
    if at_start { "start" } else { "end" }
}

/// What stands where no tube is.
fn block(what: Block) -> &'static str {
    match what {
        Block::Joint => "joint",
        Block::Taper => "taper",
    }
}

/// Two lengths as text; with more digits where both would read alike.
pub(super) fn told_apart(a_mm: f64, b_mm: f64, units: UnitSystem) -> (String, String) {
    let (a, b) = (length(a_mm, units), length(b_mm, units));
    let bare = |text: &str| text.trim_start_matches("≈ ").to_owned();
    if bare(&a) != bare(&b) {
        return (a, b);
    }
    match units {
        UnitSystem::Millimetre => (format!("{a_mm:.2} mm"), format!("{b_mm:.2} mm")),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => {
            (format!("{:.3}\"", a_mm / 25.4), format!("{:.3}\"", b_mm / 25.4))
        }
    }
}
