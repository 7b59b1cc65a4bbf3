//! Bars checked against sums written out by hand, closed forms and published tables.

mod bent;
mod notes;
mod odd_input;
mod parts;
mod sentences;
mod straight;

use super::*;
use crate::model::Material;
use glam::DVec3;

/// Millimetres of so many inches.
fn inch(x: f64) -> f64 {
    x * 25.4
}

/// Tube of 5/8 in by 0.058 in, mild steel.
fn stock() -> BarStock {
    BarStock { material: Material::MildSteel, od_mm: inch(0.625), wall_mm: Some(inch(0.058)) }
}

/// A rod end, 10 × 1.5, own sizes: 35 from eye to shoulder, a shank of 40 with 34 of thread, a nut of 6, an insert
/// that stands out 3 and is tapped 30 deep.
fn rod() -> RodEnd {
    RodEnd {
        thread_dia_mm: 10.0,
        pitch_mm: 1.5,
        left_hand: false,
        eye_to_shoulder_mm: 35.0,
        shank_mm: 40.0,
        thread_mm: 34.0,
        nut_mm: 6.0,
        least_engagement: rod_end::USUAL_ENGAGEMENT,
        socket: Socket { stand_mm: 3.0, tapped_mm: 30.0, through: false },
        screwed_in_mm: None,
    }
}

/// A bar along X from eye to eye.
fn bar(eye_to_eye_mm: f64, ends: [BarEnd; 2]) -> StraightBar {
    StraightBar {
        stock: stock(),
        points: [DVec3::ZERO, DVec3::X * eye_to_eye_mm],
        ends,
        sawn_mm: None,
        wanted_mm: 0.0,
    }
}

/// A bent bar through `points` with plain ends.
fn bent(points: &[[f64; 3]], clr_mm: &[f64]) -> BentBar {
    BentBar {
        stock: stock(),
        points: points.iter().map(|p| DVec3::from_array(*p)).collect(),
        clr_mm: clr_mm.to_vec(),
        ends: [BarEnd::Plate { stand_off_mm: 0.0 }; 2],
        springback: Springback::NONE,
        least_straight_mm: 0.0,
        spare_mm: 0.0,
    }
}
