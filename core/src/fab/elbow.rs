//! How an elbow from stock is used in a bend.

use super::piece::ElbowCut;
use crate::geom::tolerance::ELBOW_SHORT_RAD;
use crate::model::ElbowStock;

/// Room on the straights next to an elbow for its own legs, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Free straight before it.
    pub before_mm: f64,
    /// Free straight after it.
    pub after_mm: f64,
}

/// Cuts `stock` down to `angle_rad`: an elbow used whole keeps both its legs; one cut down loses the leg and
/// some of the arc at one end, and keeps the leg at the end that has more room for it. Legs longer than the
/// room are cut back.
pub fn cut_down(stock: &ElbowStock, angle_rad: f64, throat_clock_rad: f64, room: Room) -> ElbowCut {
    let removed_rad = stock.angle_rad() - angle_rad;
    let whole = removed_rad <= ELBOW_SHORT_RAD;
    let removed_at_start = !whole && room.after_mm > room.before_mm;
    let leg = |room_mm: f64, kept: bool| if kept { stock.leg_mm.min(room_mm).max(0.0) } else { 0.0 };
    ElbowCut {
        angle_rad,
        clr_mm: stock.clr_mm,
        throat_clock_rad,
        lead_mm: leg(room.before_mm, whole || !removed_at_start),
        tail_mm: leg(room.after_mm, whole || removed_at_start),
        removed_rad: if whole { 0.0 } else { removed_rad },
        removed_at_start,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{ElbowId, Material};

    fn stock() -> ElbowStock {
        ElbowStock {
            id: ElbowId(1),
            material: Material::Stainless304,
            od_mm: 63.5,
            wall_mm: 1.65,
            clr_mm: 95.25,
            angle_deg: 90.0,
            leg_mm: 75.0,
            count: 4,
        }
    }

    #[test]
    fn a_whole_elbow_keeps_both_legs_as_far_as_there_is_room() {
        let e = cut_down(&stock(), 90_f64.to_radians(), 0.0, Room { before_mm: 200.0, after_mm: 40.0 });
        assert_eq!((e.lead_mm, e.tail_mm, e.removed_rad), (75.0, 40.0, 0.0));
    }

    #[test]
    fn an_elbow_cut_down_keeps_the_leg_where_there_is_room() {
        let e = cut_down(&stock(), 60_f64.to_radians(), 0.0, Room { before_mm: 10.0, after_mm: 100.0 });
        assert!(e.removed_at_start);
        assert_eq!((e.lead_mm, e.tail_mm), (0.0, 75.0));
        assert!((e.removed_rad.to_degrees() - 30.0).abs() < 1e-9);
    }
}
