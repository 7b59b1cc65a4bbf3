//! A saddle plate in its place under a coped end: where it lies on the tube, whether it lies on wall, and its solids.

use super::saddle_plate::{PlateSize, SaddlePlate};
use crate::fab::Foot;
use crate::fab::saddle::{Hole, Saddle};
use crate::geom::vector::half_open_turn;
use crate::geom::{Block, Frame, Solid};
use crate::model::Pad;
use crate::units::{UnitSystem, fit_length};
use glam::{DVec2, DVec3};
use std::f64::consts::PI;

/// Where nothing is entered, a plate goes on beyond the bar's foot along the tube by this many thicknesses to either side:
/// room for the weld round the bar (common practice, no source).
const BESIDE_FOOT: f64 = 2.0;
/// Bent plate is made of flats no wider than this, rad (15°): they stand out past its true outside by 0.9 % of its radius at
/// their edges.
const FLAT_RAD: f64 = 15.0 * PI / 180.0;
/// A foot may reach over a plate's edge by this much, mm: rounding noise.
const ON_MM: f64 = 1e-6;

/// A saddle plate in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct LaidPlate {
    /// Axis of the tube it lies on, in the middle of the plate.
    pub at: Frame,
    /// Clock of its middle round that, rad.
    pub clock_rad: f64,
    /// How far it is bent round to either side, rad.
    pub half_rad: f64,
    /// Its width along the tube, mm.
    pub width_mm: f64,
    /// Inside radius, mm.
    pub inside_mm: f64,
    /// Thickness, mm.
    pub thick_mm: f64,
    /// Lips beyond its edges, that at the lower clock first, mm.
    pub lips_mm: [f64; 2],
    /// Gap under it, mm.
    gap_mm: f64,
    /// The bar's foot on its outside: clock from its middle, rad, and place along the tube from there, mm.
    foot: Vec<(f64, f64)>,
}

/// How far a bar's foot reaches over its plate, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct OverPlate {
    /// Round the tube; else along it.
    pub(super) round: bool,
    pub(super) by_mm: f64,
    /// What it has to be at the least: how far round, rad, or how wide, mm.
    pub(super) least: f64,
}

impl LaidPlate {
    /// Lays the plate under the bar whose foot on its outside is `touched`: its middle is that of the foot.
    pub(super) fn new(pad: &Pad, saddle: &Saddle, touched: &Hole) -> Option<Self> {
        let axis = saddle.header_axis()?;
        let near_rad = saddle.header_clock_rad();
        let place = |point: DVec3| {
            let from = point - axis.origin;
            (half_open_turn(axis.clock_of(from) - near_rad), from.dot(axis.travel))
        };
        let foot: Vec<(f64, f64)> = touched.edge.iter().map(|p| place(p.point)).collect();
        let range = |of: fn(&(f64, f64)) -> f64| {
            let values = foot.iter().map(of);
            values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)))
        };
        let (round, along) = (range(|p| p.0), range(|p| p.1));
        let middle = (round.0.midpoint(round.1), along.0.midpoint(along.1));
        let least_mm = along.1 - along.0;
        Some(Self {
            at: axis.forward(middle.1),
            clock_rad: near_rad + middle.0,
            half_rad: pad.angle_deg.to_radians() / 2.0,
            width_mm: pad.width_mm.unwrap_or(least_mm + 2.0 * BESIDE_FOOT * pad.thick_mm),
            inside_mm: touched.header_radius_mm - pad.thick_mm,
            thick_mm: pad.thick_mm,
            lips_mm: pad.lips_mm,
            gap_mm: pad.gap_mm,
            foot: foot.iter().map(|p| (p.0 - middle.0, p.1 - middle.1)).collect(),
        })
    }

    /// By how much the bar's foot reaches over the plate, the worst; `None` where it lies on it all round.
    pub(super) fn overhang(&self) -> Option<OverPlate> {
        let outside_mm = self.inside_mm + self.thick_mm;
        let most = |of: fn(&(f64, f64)) -> f64| self.foot.iter().map(of).fold(0.0, f64::max);
        let (round_rad, along_mm) = (most(|p| p.0.abs()), most(|p| p.1.abs()));
        let round = OverPlate {
            round: true,
            by_mm: (round_rad - self.half_rad) * outside_mm,
            least: 2.0 * round_rad,
        };
        let along = OverPlate { round: false, by_mm: along_mm - self.width_mm / 2.0, least: 2.0 * along_mm };
        let worst = if round.by_mm > along.by_mm { round } else { along };
        (worst.by_mm > ON_MM).then_some(worst)
    }

    /// Outside radius of the tube it lies on, mm.
    pub(super) fn tube_mm(&self) -> f64 {
        self.inside_mm - self.gap_mm
    }

    /// What of the tube's skin it covers.
    pub(super) fn on_skin(&self) -> Foot {
        Foot::of_wrapped(&self.at, (self.clock_rad, self.half_rad), self.tube_mm(), self.width_mm / 2.0)
    }

    /// How it is cut and bent.
    pub fn shape(&self) -> SaddlePlate {
        SaddlePlate {
            tube_od_mm: 2.0 * self.tube_mm(),
            thick_mm: self.thick_mm,
            gap_mm: self.gap_mm,
            angle_rad: 2.0 * self.half_rad,
            lips_mm: self.lips_mm,
        }
    }

    /// What to cut and how to check it, in sentences.
    pub(super) fn text(&self, size: &PlateSize, units: UnitSystem) -> String {
        let width = fit_length(self.width_mm, units);
        format!("{} Along the tube it is {width} wide.", self.shape().text(size, units))
    }

    /// The bar's foot on the flat blank: x along the blank from the middle of what is bent, with growing clock, y along the
    /// tube, mm. Closed, the last point not repeated.
    ///
    /// A place keeps its clock when the plate is bent, so it lies at its clock times the radius of the plate's middle.
    pub fn foot_on_flat(&self) -> Vec<DVec2> {
        let middle_mm = self.inside_mm + self.thick_mm / 2.0;
        let open = self.foot.len().saturating_sub(1);
        self.foot[..open].iter().map(|(clock, along)| DVec2::new(clock * middle_mm, *along)).collect()
    }

    /// The plate for drawing and gaps: flats side by side, each outside what it stands for, and its lips.
    pub fn solids(&self) -> Vec<Solid> {
        let outer_mm = self.inside_mm + self.thick_mm;
        let count = (2.0 * self.half_rad / FLAT_RAD).ceil().max(1.0);
        let step_rad = 2.0 * self.half_rad / count;
        let half = step_rad / 2.0;
        // a flat touches the outside in its middle and reaches in to the inside at its edges
        let low_mm = self.inside_mm * half.cos();
        let flat = |i: usize| {
            let out = self.at.at_clock(self.clock_rad - self.half_rad + step_rad * (i as f64 + 0.5));
            Solid::Block(Block {
                centre: self.at.origin + out * low_mm.midpoint(outer_mm),
                axes: [self.at.travel, out, self.at.travel.cross(out)],
                half_mm: DVec3::new(self.width_mm / 2.0, (outer_mm - low_mm) / 2.0, outer_mm * half.tan()),
            })
        };
        let lip = |(side, length_mm): (f64, f64)| {
            let out = self.at.at_clock(self.clock_rad + side * self.half_rad);
            let on = self.at.travel.cross(out) * side;
            Solid::Block(Block {
                centre: self.at.origin + out * self.inside_mm.midpoint(outer_mm) + on * (length_mm / 2.0),
                axes: [self.at.travel, out, on],
                half_mm: DVec3::new(self.width_mm, self.thick_mm, length_mm) / 2.0,
            })
        };
        let lips = [(-1.0, self.lips_mm[0]), (1.0, self.lips_mm[1])];
        let lips = lips.into_iter().filter(|(_, mm)| *mm > ON_MM).map(lip);
        (0..count as usize).map(flat).chain(lips).collect()
    }
}
