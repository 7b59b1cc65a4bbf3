//! Sizes of new things in round numbers of the project's units: a box of 5 29/32" is nobody's box.

use crate::model::{PartKind, Screwed, Shape};
use crate::units::{MM_PER_INCH, UnitSystem};
use glam::DVec3;

/// Shorter than this nothing is rounded, mm: sheet and walls are given in thousandths.
const SHEET_MM: f64 = 1.9;
/// From which length on (in) which step is round (in).
const STEPS_IN: [(f64, f64); 6] =
    [(5.0, 1.0), (3.0, 0.5), (1.5, 0.25), (0.5, 0.125), (0.25, 0.0625), (0.0, 0.03125)];

/// A length in round millimetres as the nearest one that is round in the project's units, mm.
pub fn round_mm(mm: f64, units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Millimetre => mm,
        UnitSystem::InchFraction | UnitSystem::InchDecimal => {
            let inches = mm / MM_PER_INCH;
            let step = STEPS_IN.iter().find(|(from, _)| inches >= *from).map(|(_, step)| *step);
            match step.filter(|_| mm >= SHEET_MM) {
                Some(step) => (inches / step).round() * step * MM_PER_INCH,
                None => mm,
            }
        }
    }
}

/// A place as the nearest one on a round grid of the project's units, mm: 10 mm or 1/2 in.
pub fn round_place(at: DVec3, units: UnitSystem) -> DVec3 {
    let step = match units {
        UnitSystem::Millimetre => 10.0,
        UnitSystem::InchFraction | UnitSystem::InchDecimal => MM_PER_INCH / 2.0,
    };
    (at / step).round() * step
}

/// A shape on offer with round sizes.
pub fn round_shape(shape: Shape, units: UnitSystem) -> Shape {
    let round = |mm: f64| round_mm(mm, units);
    match shape {
        Shape::Box { size_mm } => {
            Shape::Box { size_mm: DVec3::new(round(size_mm.x), round(size_mm.y), round(size_mm.z)) }
        }
        Shape::Cylinder { diameter_mm, length_mm } => {
            Shape::Cylinder { diameter_mm: round(diameter_mm), length_mm: round(length_mm) }
        }
        Shape::Capsule { diameter_mm, length_mm } => {
            Shape::Capsule { diameter_mm: round(diameter_mm), length_mm: round(length_mm) }
        }
        Shape::Sphere { diameter_mm } => Shape::Sphere { diameter_mm: round(diameter_mm) },
        Shape::Panel { width_mm, height_mm, thickness_mm, holes } => Shape::Panel {
            width_mm: round(width_mm),
            height_mm: round(height_mm),
            thickness_mm: round(thickness_mm),
            holes,
        },
        Shape::HalfSpace | Shape::Scan(_) => shape,
    }
}

/// What is screwed in, with round sizes.
pub fn round_screwed(screwed: Screwed, units: UnitSystem) -> Screwed {
    let round = |mm: f64| round_mm(mm, units);
    Screwed {
        diameter_mm: round(screwed.diameter_mm),
        length_mm: round(screwed.length_mm),
        removal_mm: round(screwed.removal_mm),
    }
}

/// The same of a small part.
pub(super) fn round_kind(kind: &mut PartKind, units: UnitSystem) {
    let round = |mm: &mut f64| *mm = round_mm(*mm, units);
    match kind {
        PartKind::Bung(b) => {
            [&mut b.boss_mm, &mut b.height_mm, &mut b.hole_mm].into_iter().for_each(round);
            b.screwed = b.screwed.map(|s| round_screwed(s, units));
        }
        PartKind::Stub(s) => {
            let sizes = [&mut s.od_mm, &mut s.length_mm, &mut s.flange_mm, &mut s.flange_thick_mm];
            sizes.into_iter().for_each(round);
            s.screwed = s.screwed.map(|s| round_screwed(s, units));
        }
        PartKind::Bracket(b) => {
            [&mut b.along_mm, &mut b.thick_mm, &mut b.height_mm].into_iter().for_each(round);
        }
        PartKind::Shield(s) => {
            [&mut s.length_mm, &mut s.gap_mm, &mut s.hot_gap_mm].into_iter().for_each(round);
        }
        PartKind::Bead(b) => [&mut b.height_mm, &mut b.width_mm].into_iter().for_each(round),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::length_edit;

    #[test]
    fn what_is_round_in_millimetres_becomes_round_in_inches() {
        let shown = |mm: f64| length_edit(round_mm(mm, UnitSystem::InchFraction), UnitSystem::InchFraction);
        for (mm, words) in [
            (150.0, "6\""),
            (300.0, "12\""),
            (100.0, "4\""),
            (40.0, "1 1/2\""),
            (25.0, "1\""),
            (19.0, "3/4\""),
            (12.0, "1/2\""),
            (10.0, "3/8\""),
            (4.0, "5/32\""),
            (2.0, "3/32\""),
        ] {
            assert_eq!(shown(mm), words, "{mm}");
        }
        // sheet stays what it is, and so does everything in millimetres
        assert_eq!(round_mm(0.8, UnitSystem::InchDecimal).to_bits(), 0.8_f64.to_bits());
        assert_eq!(round_mm(150.0, UnitSystem::Millimetre).to_bits(), 150.0_f64.to_bits());
    }

    #[test]
    fn every_shape_on_offer_is_round_in_inches() {
        for shape in crate::edit::new_item::shapes() {
            let sizes = match round_shape(shape, UnitSystem::InchFraction) {
                Shape::Box { size_mm } => size_mm.to_array().to_vec(),
                Shape::Cylinder { diameter_mm, length_mm } | Shape::Capsule { diameter_mm, length_mm } => {
                    vec![diameter_mm, length_mm]
                }
                Shape::Sphere { diameter_mm } => vec![diameter_mm],
                Shape::Panel { width_mm, height_mm, thickness_mm, .. } => {
                    vec![width_mm, height_mm, thickness_mm]
                }
                Shape::HalfSpace | Shape::Scan(_) => Vec::new(),
            };
            for mm in sizes {
                let parts = mm / 25.4 * 32.0;
                assert!((parts - parts.round()).abs() < 1e-9, "{mm}");
            }
        }
    }
}
