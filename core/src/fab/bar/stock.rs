//! What a bar is made of: round tube or solid round.

use super::error::length_in;
use crate::finding::BarError;
use crate::model::Material;
use std::f64::consts::PI;

/// Smallest and largest outside diameter of a bar, mm.
const OD_MM: (f64, f64) = (3.0, 300.0);

/// Thinnest wall, mm.
const LEAST_WALL_MM: f64 = 0.3;

/// Round tube or solid round that bars are made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarStock {
    /// Material.
    pub material: Material,
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Wall thickness, mm; none for solid bar.
    pub wall_mm: Option<f64>,
}

impl BarStock {
    /// Whether its sizes can be worked with: 3 to 300 mm across, the wall less than half of that.
    pub fn check(&self) -> Result<(), BarError> {
        length_in("The bar's outside diameter", self.od_mm, OD_MM)?;
        if let Some(wall_mm) = self.wall_mm {
            length_in("The bar's wall", wall_mm, (LEAST_WALL_MM, self.od_mm / 2.0))?;
        }
        Ok(())
    }

    /// Mass of a metre, kg: `π·w·(OD − w)·ρ` for tube, `π·OD²/4·ρ` for solid bar.
    pub fn mass_kg_per_m(&self) -> f64 {
        let area_mm2 = match self.wall_mm {
            Some(wall_mm) => PI * wall_mm * (self.od_mm - wall_mm),
            None => PI * self.od_mm * self.od_mm / 4.0,
        };
        area_mm2 * self.material.density_kg_m3() * 1e-6
    }
}
