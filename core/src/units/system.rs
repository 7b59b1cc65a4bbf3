//! The units a person works in.

use serde::{Deserialize, Serialize};

/// How lengths are shown and what a bare number means. Never changes what is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum UnitSystem {
    /// Inches in fractions to 1/32, the decimal beside where there is room.
    InchFraction,
    /// Inches in decimals.
    InchDecimal,
    /// Millimetres.
    Millimetre,
}
