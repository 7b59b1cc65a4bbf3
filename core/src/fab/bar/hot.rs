//! A hot run between supports: where it is held fast at both ends with nothing that gives, and what it grows there.

use super::error::{OR_NONE_MM, length_in, number_in};
use super::note::stations;
use crate::finding::BarError;
use crate::geom::tolerance::NO_LENGTH_MM;

/// Coldest and hottest that can be entered, °C.
const TEMPERATURE_C: (f64, f64) = (-100.0, 1200.0);

/// Largest coefficient of expansion that can be entered, millionths per kelvin: zinc and lead stay below 40.
const MOST_MILLIONTHS: f64 = 100.0;

/// How a support holds the run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hold {
    /// The run cannot move along its axis there: a weld, a flange, a tight clamp.
    Fixed,
    /// It can slide along its axis there.
    Sliding,
}

/// A support along a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Support {
    /// How far along the run it is, mm.
    pub station_mm: f64,
    /// How it holds.
    pub hold: Hold,
}

/// A hot run as entered.
#[derive(Debug, Clone, PartialEq)]
pub struct HotRun {
    /// Its length along the centreline, mm.
    pub length_mm: f64,
    /// Its supports, in any order; the faces it is bolted to belong among them.
    pub supports: Vec<Support>,
    /// How far along the run each joint is that gives along the axis, mm, in any order.
    pub flexible_mm: Vec<f64>,
    /// Mean coefficient of expansion over the temperatures, 1/K: see [`expansion`](super::expansion::expansion).
    pub per_k: f64,
    /// Temperature it is built at, °C.
    pub cold_c: f64,
    /// Temperature it gets to, °C.
    pub hot_c: f64,
}

/// A part of a hot run from one fixed support to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HotSpan {
    /// Where it begins, mm along the run.
    pub from_mm: f64,
    /// Where it ends, mm along the run.
    pub to_mm: f64,
    /// What it would grow if it could, mm: `α·ΔT·L` with the length along the run; below zero where it shrinks.
    pub growth_mm: f64,
    /// How many flexible joints lie within it.
    pub flexible: usize,
}

impl HotSpan {
    /// How long it is along the run, mm.
    pub fn length_mm(&self) -> f64 {
        self.to_mm - self.from_mm
    }

    /// Whether it is held fast: nothing in it gives, and it has something to give for.
    pub fn held(&self) -> bool {
        self.flexible == 0 && self.growth_mm.abs() > NO_LENGTH_MM
    }
}

impl HotRun {
    /// The spans between fixed supports that follow each other, in order along the run; none with fewer than two.
    ///
    /// A sliding support parts nothing. A joint that gives counts for a span only where it lies within it, not at
    /// the very place of a support: there nothing says to which side it belongs, so it frees neither. Bends are not
    /// counted as giving, though they do a little.
    pub fn spans(&self) -> Result<Vec<HotSpan>, BarError> {
        length_in("The length of the run", self.length_mm, OR_NONE_MM)?;
        number_in(
            "The coefficient of expansion",
            self.per_k * 1e6,
            (0.0, MOST_MILLIONTHS),
            " millionths per °C",
        )?;
        number_in("The temperature it is built at", self.cold_c, TEMPERATURE_C, " °C")?;
        number_in("The temperature it gets to", self.hot_c, TEMPERATURE_C, " °C")?;
        let all: Vec<f64> = self.supports.iter().map(|s| s.station_mm).collect();
        stations(self.length_mm, &all, "The place of support")?;
        let flexible = stations(self.length_mm, &self.flexible_mm, "The place of flexible joint")?;
        let fixed: Vec<f64> =
            self.supports.iter().filter(|s| s.hold == Hold::Fixed).map(|s| s.station_mm).collect();
        let fixed = stations(self.length_mm, &fixed, "The place of support")?;
        let strain = self.per_k * (self.hot_c - self.cold_c);
        let inside = |from_mm: f64, to_mm: f64| {
            flexible.iter().filter(|s| **s > from_mm + NO_LENGTH_MM && **s < to_mm - NO_LENGTH_MM).count()
        };
        let span = |pair: &[f64]| HotSpan {
            from_mm: pair[0],
            to_mm: pair[1],
            growth_mm: strain * (pair[1] - pair[0]),
            flexible: inside(pair[0], pair[1]),
        };
        Ok(fixed.windows(2).map(span).filter(|s| s.length_mm() > NO_LENGTH_MM).collect())
    }
}
