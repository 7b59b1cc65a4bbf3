//! Notes that go with a bar: numbers to know, none of which sizes anything.

use super::error::{OR_NONE_MM, length_in, number_in};
use super::stock::BarStock;
use crate::finding::BarError;
use crate::geom::tolerance::NO_LENGTH_MM;
use crate::model::limits::MAX_OTHERS;
use crate::units::{UnitSystem, length, mass};

/// Most mass a bar can be noted to carry, kg.
const MOST_KG: f64 = 10_000.0;

/// A number worth knowing about a bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BarNote {
    /// The longest way without a support.
    Unsupported {
        /// How long, mm.
        length_mm: f64,
        /// Whether it is held at one end only.
        overhang: bool,
    },
    /// What the bar weighs.
    Mass {
        /// Without its ends, kg.
        kg: f64,
    },
    /// What it was said to carry.
    Carries {
        /// As entered, kg.
        kg: f64,
    },
    /// That none of this sizes it.
    SizesNothing,
}

impl BarNote {
    /// The note as a sentence.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::Unsupported { length_mm, overhang: false } => {
                format!("Longest way between two supports: {}.", length(*length_mm, units))
            }
            Self::Unsupported { length_mm, overhang: true } => {
                format!("Longest way without a support: {} beyond the last one.", length(*length_mm, units))
            }
            Self::Mass { kg } => format!("The bar weighs {}, without its ends.", mass(*kg, units)),
            Self::Carries { kg } => format!("It was entered to carry {}.", mass(*kg, units)),
            Self::SizesNothing => {
                "These are lengths and masses only: whether bar, ends, threads and welds are strong enough is for a qualified person to decide.".to_owned()
            }
        }
    }
}

/// A part of a bar or run without a support.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unsupported {
    /// Where it begins, mm along it.
    pub from_mm: f64,
    /// Where it ends, mm along it.
    pub to_mm: f64,
    /// Whether it is held at one end only (or at none).
    pub overhang: bool,
}

impl Unsupported {
    /// How long it is, mm.
    pub fn length_mm(&self) -> f64 {
        self.to_mm - self.from_mm
    }
}

/// The parts of something `length_mm` long between supports at `supports_mm` along it, in any order.
///
/// Parts of no length are left out. Without a support the whole of it is one part.
pub fn unsupported(length_mm: f64, supports_mm: &[f64]) -> Result<Vec<Unsupported>, BarError> {
    let stations = stations(length_mm, supports_mm, "The place of support")?;
    let mut edges = vec![0.0];
    edges.extend(&stations);
    edges.push(length_mm);
    let last = edges.len() - 2;
    let part =
        |(i, e): (usize, &[f64])| Unsupported { from_mm: e[0], to_mm: e[1], overhang: i == 0 || i == last };
    Ok(edges.windows(2).enumerate().map(part).filter(|p| p.length_mm() > NO_LENGTH_MM).collect())
}

/// `places_mm` in order, where all lie between 0 and `length_mm`.
pub(super) fn stations(length_mm: f64, places_mm: &[f64], what: &str) -> Result<Vec<f64>, BarError> {
    length_in("The length", length_mm, OR_NONE_MM)?;
    if places_mm.len() > MAX_OTHERS {
        let have = places_mm.len();
        return Err(BarError::Count { what: "places along it", have, least: 0, most: MAX_OTHERS });
    }
    for (i, mm) in places_mm.iter().enumerate() {
        length_in(&format!("{what} {}", i + 1), *mm, (0.0, length_mm))?;
    }
    let mut out = places_mm.to_vec();
    out.sort_by(f64::total_cmp);
    Ok(out)
}

/// The notes for a bar `cut_mm` long, its parts without support, and what it carries where that was entered. The
/// last is always that they size nothing.
pub fn notes(
    stock: &BarStock,
    cut_mm: f64,
    parts: &[Unsupported],
    carries_kg: Option<f64>,
) -> Result<Vec<BarNote>, BarError> {
    stock.check()?;
    length_in("The bar's length", cut_mm, OR_NONE_MM)?;
    let mut out = Vec::new();
    let longest = parts.iter().rev().max_by(|a, b| a.length_mm().total_cmp(&b.length_mm()));
    if let Some(part) = longest {
        out.push(BarNote::Unsupported { length_mm: part.length_mm(), overhang: part.overhang });
    }
    out.push(BarNote::Mass { kg: stock.mass_kg_per_m() * cut_mm / 1000.0 });
    if let Some(kg) = carries_kg {
        number_in("The mass the bar carries", kg, (0.0, MOST_KG), " kg")?;
        out.push(BarNote::Carries { kg });
    }
    out.push(BarNote::SizesNothing);
    Ok(out)
}
