//! What goes on and through a bar, and what keeps a bar from being worked out or seated.

use super::SaddleError;
use crate::model::Sleeve;
use serde::Serialize;

/// How one part goes over or into another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Fit {
    /// It does not go, or only by force.
    #[serde(rename = "too tight")]
    TooTight,
    /// It slides.
    Slides,
    /// It slides and rattles.
    Loose,
}

/// A sleeve on a bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SleeveFit {
    /// The sleeve.
    pub sleeve: Sleeve,
    /// Inside diameter less the bar's outside diameter, mm; below zero where it does not go over.
    pub clearance_mm: f64,
    /// How that stands.
    pub fit: Fit,
    /// Inside diameters that slide, mm: from, to.
    pub slides_mm: (f64, f64),
}

/// A pin in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PinFit {
    /// Hole less pin, mm.
    pub clearance_mm: f64,
    /// How it goes into the hole.
    pub fit: Fit,
    /// What is left along the pin between head and clip, mm; below zero where the groove lies in the washers.
    pub play_mm: f64,
    /// Play as it stands: too tight is a pin that is too short, loose one that is too long.
    pub length: Fit,
    /// From under the head to where the groove should begin at the least, mm.
    pub least_to_groove_mm: f64,
}

/// Why a bar, or something on it, cannot be worked out.
#[derive(Debug, Clone, PartialEq)]
pub enum BarError {
    /// An entry is no number.
    NotANumber {
        /// What was entered, as it begins a sentence.
        what: String,
    },
    /// A length is outside what it may be.
    Length {
        /// What was entered, as it begins a sentence.
        what: String,
        /// What it was, mm.
        mm: f64,
        /// Least it may be, mm.
        least_mm: f64,
        /// Most it may be, mm.
        most_mm: f64,
    },
    /// A plain number is outside what it may be.
    Number {
        /// What was entered, as it begins a sentence.
        what: String,
        /// What it was.
        value: f64,
        /// Least it may be.
        least: f64,
        /// Most it may be.
        most: f64,
        /// Unit as it follows the number, such as ` °C`; empty where it has none.
        unit: &'static str,
    },
    /// There are too few or too many of something.
    Count {
        /// What is counted, in the plural.
        what: &'static str,
        /// How many there are.
        have: usize,
        /// Fewest.
        least: usize,
        /// Most.
        most: usize,
    },
    /// Two points of the bar that follow each other are one.
    SamePoint {
        /// The first of them, counted from 1.
        first: usize,
    },
    /// A bend of more than 175°.
    TurnsBack {
        /// Which bend, counted from 1.
        bend: usize,
        /// Its angle, rad.
        angle_rad: f64,
    },
    /// The end of a coped bar does not land on the tube all round.
    NoSeat {
        /// Where round the bar it misses, rad.
        clock_rad: f64,
    },
}

/// Why a coped end of a bar does not seat on what it is coped onto. Lengths mm.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum CopeFault {
    Gone,
    Itself,
    NoDirection,
    Unbuilt {
        onto: String,
    },
    NoSeat {
        onto: CopedOnto,
        error: SaddleError,
    },
    OnNothing {
        onto: String,
        mark: String,
        by_mm: f64,
        left_mm: f64,
    },
    /// Something else is welded on there.
    OnOther {
        onto: CopedOnto,
        other: String,
    },
    /// The bar reaches over its saddle plate: round the tube, where `least` is rad, or along it, where it is mm.
    OverPlate {
        round: bool,
        by_mm: f64,
        least: f64,
    },
    /// The saddle plate reaches off what it lies on.
    PlateOff {
        onto: CopedOnto,
        by_mm: f64,
    },
}

/// What a bar is coped onto.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CopedOnto {
    /// A bar or a run, by its name.
    Named(String),
    /// A tube that is given by its axis.
    Tube,
}

impl CopeFault {
    /// The fixed short name of the kind.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Gone => "bar-onto-nothing",
            Self::Itself => "bar-onto-itself",
            Self::NoDirection => "bar-onto-no-direction",
            Self::Unbuilt { .. } => "bar-onto-unbuilt",
            Self::NoSeat { .. } => "bar-no-seat",
            Self::OnNothing { .. } => "bar-on-nothing",
            Self::OnOther { .. } => "bar-on-other",
            Self::OverPlate { .. } => "bar-over-plate",
            Self::PlateOff { .. } => "plate-on-nothing",
        }
    }
}
