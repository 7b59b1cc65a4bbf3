//! A plate bent round part of a tube, to spread what a bar puts on it.
//!
//! Its developed length is that of its middle: angle times mid-wall radius. Plate bent round less than about five
//! times its thickness lies a little shorter, since its neutral line moves inward (from memory): bend one and see.

use super::error::{OR_NONE_MM, SIZE_MM, length_in, number_in};
use crate::finding::BarError;
use crate::units::{UnitSystem, angle, fit_length};

/// Inside radius in thicknesses below which mid-wall is only near the truth (from memory).
const THICK_FOR_ITS_RADIUS: f64 = 5.0;

/// Most of the way round, degrees: its edges have to stay apart.
const ANGLE_DEG: (f64, f64) = (1.0, 355.0);

/// A saddle plate as entered.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SaddlePlate {
    /// Outside diameter of the tube it lies on, mm.
    pub tube_od_mm: f64,
    /// Its thickness, mm.
    pub thick_mm: f64,
    /// Gap between the two, mm: a liner, or 0.
    pub gap_mm: f64,
    /// How far it goes round, rad.
    pub angle_rad: f64,
    /// Length of the flat lips that go on from its two edges, mm; 0 for none.
    pub lips_mm: [f64; 2],
}

/// A saddle plate worked out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateSize {
    /// Length of the flat blank, lips included, mm.
    pub blank_mm: f64,
    /// Of that what is bent, mm.
    pub bent_mm: f64,
    /// Inside radius, mm: what it is bent to.
    pub inside_radius_mm: f64,
    /// Straight across between the inner edges of the bent part, to check it by, mm.
    pub across_mm: f64,
    /// Whether it goes on from the side; one that reaches further than half round has to come over the tube's end,
    /// or be sprung open.
    pub from_the_side: bool,
    /// Whether it is so thick for its radius that its blank is only near the truth.
    pub thick: bool,
}

impl SaddlePlate {
    /// Works the plate out.
    pub fn work_out(&self) -> Result<PlateSize, BarError> {
        length_in("The tube's outside diameter", self.tube_od_mm, SIZE_MM)?;
        length_in("The plate's thickness", self.thick_mm, SIZE_MM)?;
        length_in("The gap under the plate", self.gap_mm, OR_NONE_MM)?;
        for lip in self.lips_mm {
            length_in("The plate's lip", lip, OR_NONE_MM)?;
        }
        let deg = number_in("The angle the plate goes round", self.angle_rad.to_degrees(), ANGLE_DEG, "°")?;
        let inside_radius_mm = self.tube_od_mm / 2.0 + self.gap_mm;
        let bent_mm = self.angle_rad * (inside_radius_mm + self.thick_mm / 2.0);
        Ok(PlateSize {
            blank_mm: bent_mm + self.lips_mm[0] + self.lips_mm[1],
            bent_mm,
            inside_radius_mm,
            across_mm: 2.0 * inside_radius_mm * (self.angle_rad / 2.0).sin(),
            // half round as typed is half round
            from_the_side: deg <= 180.0 + 1e-9,
            thick: inside_radius_mm < THICK_FOR_ITS_RADIUS * self.thick_mm,
        })
    }

    /// What to cut and how to check it, in sentences.
    pub fn text(&self, size: &PlateSize, units: UnitSystem) -> String {
        let mut out = format!(
            "Cut the plate {} long and bend it {} round an inside radius of {}; it is then {} across its inner edges.",
            fit_length(size.blank_mm, units),
            angle(self.angle_rad.to_degrees(), 1),
            fit_length(size.inside_radius_mm, units),
            fit_length(size.across_mm, units)
        );
        if !size.from_the_side {
            out.push_str(" It goes more than half round: slip it on before the tube's end is closed, or spring it open.");
        }
        if size.thick {
            out.push_str(" It is thick for its radius: bend a trial piece, and correct the length by it.");
        }
        out
    }
}
