//! The ends of a bar, and how much of the way between its two points each of them takes.

use super::error::{OR_NONE_MM, length_in};
use super::rod_end::RodEnd;
use super::stock::BarStock;
use crate::finding::{BarError, BarProblem, Side};
use crate::model::limits::MAX_COORDINATE_MM;
use std::f64::consts::TAU;

/// Places round the bar at which the cut of a cope is looked at first: its longest and shortest sides are sought
/// between the neighbours of the best of them.
const COPE_PLACES: usize = 720;

/// Steps of the golden section between two such places: the last interval is under 1e-9 rad.
const GOLDEN_STEPS: usize = 36;

/// The end of a bar that is shaped to sit on a round tube.
///
/// Both lengths are taken along the bar's axis from the point where it meets the tube's axis (or passes it nearest,
/// where it is set off to one side).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cope {
    /// To where the bar's longest side ends, mm.
    pub near_mm: f64,
    /// To where the bar's shortest side ends, mm.
    pub far_mm: f64,
}

impl Cope {
    /// A bar square onto the middle of a tube: the sides end at `√(h² − b²)`, the crown at `h`, with `h` and `b` the
    /// outside radii of tube and bar.
    pub fn square_on(tube_od_mm: f64, bar_od_mm: f64) -> Result<Self, BarError> {
        let (h, b) = (tube_od_mm / 2.0, bar_od_mm / 2.0);
        length_in("The tube's outside diameter", tube_od_mm, (1.0, MAX_COORDINATE_MM))?;
        length_in("The diameter of a coped bar", bar_od_mm, (1.0, tube_od_mm))?;
        Ok(Self { near_mm: ((h - b) * (h + b)).sqrt(), far_mm: h })
    }

    /// From a cut given by `reach_mm`: at each clock round the bar (rad), the distance along the bar's axis from the
    /// point on the tube's axis to the cut, mm. It should be continuous; where it is no number, the bar misses.
    pub fn from_curve(reach_mm: &dyn Fn(f64) -> f64) -> Result<Self, BarError> {
        let mut ends = [(f64::INFINITY, 0.0), (f64::NEG_INFINITY, 0.0)];
        for i in 0..COPE_PLACES {
            let clock_rad = i as f64 * TAU / COPE_PLACES as f64;
            let reach = reach_mm(clock_rad);
            if !reach.is_finite() {
                return Err(BarError::NoSeat { clock_rad });
            }
            if reach < ends[0].0 {
                ends[0] = (reach, clock_rad);
            }
            if reach > ends[1].0 {
                ends[1] = (reach, clock_rad);
            }
        }
        let near_mm = least_near(reach_mm, ends[0].1).min(ends[0].0);
        let far_mm = (-least_near(&|clock| -reach_mm(clock), ends[1].1)).max(ends[1].0);
        let cope = Self { near_mm, far_mm };
        cope.check("The cope")?;
        Ok(cope)
    }

    /// How deep the cope is cut into the bar's square end, mm.
    pub fn depth_mm(&self) -> f64 {
        self.far_mm - self.near_mm
    }

    fn check(&self, what: &str) -> Result<(), BarError> {
        length_in(what, self.near_mm, (-MAX_COORDINATE_MM, MAX_COORDINATE_MM))?;
        length_in(what, self.far_mm, (self.near_mm, MAX_COORDINATE_MM))?;
        Ok(())
    }
}

/// The least of `f` within one place either side of `clock_rad`, by golden section.
fn least_near(f: &dyn Fn(f64) -> f64, clock_rad: f64) -> f64 {
    let golden = (5_f64.sqrt() - 1.0) / 2.0;
    let step = TAU / COPE_PLACES as f64;
    let (mut low, mut high) = (clock_rad - step, clock_rad + step);
    for _ in 0..GOLDEN_STEPS {
        let part = golden * (high - low);
        if f(high - part) <= f(low + part) { high = low + part } else { low = high - part }
    }
    f(low.midpoint(high))
}

/// How an end of a bar is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BarEnd {
    /// A rod end screwed in; the bar's point is the centre of its eye.
    RodEnd(RodEnd),
    /// A tab welded on or into it; the bar's point is the centre of its hole.
    Tab {
        /// From the hole's centre to the bar's end, mm.
        hole_to_bar_mm: f64,
    },
    /// Coped onto a round tube; the bar's point lies on the tube's axis.
    Cope(Cope),
    /// Sawn square against a plate; the bar's point lies in or behind the plate's face.
    Plate {
        /// From the point to where the bar ends, mm: what of the plate lies between, and the weld gap. 0 for a
        /// point measured on the face.
        stand_off_mm: f64,
    },
}

/// An end as it is made and set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndSet {
    /// From the bar's point to its sawn end, mm: with a cope, to the longest side.
    pub take_mm: f64,
    /// How far a rod end is screwed in, mm.
    pub screwed_in_mm: Option<f64>,
    /// Its thread that holds, mm.
    pub engaged_mm: Option<f64>,
    /// What the bar can be lengthened by here, mm.
    pub longer_mm: f64,
    /// What it can be shortened by here, mm.
    pub shorter_mm: f64,
    /// What the end needs of the bar that must be straight and its own, mm: socket and shank of a rod end, the depth
    /// of a cope.
    pub inside_mm: f64,
}

impl BarEnd {
    /// Whether its sizes can be worked with.
    pub fn check(&self, side: Side) -> Result<(), BarError> {
        let at = |what: &str| format!("{what} at the {}", side.word());
        match self {
            Self::RodEnd(rod) => rod.check(side),
            Self::Tab { hole_to_bar_mm } => {
                length_in(&at("Hole to bar of the tab"), *hole_to_bar_mm, OR_NONE_MM).map(drop)
            }
            Self::Cope(cope) => cope.check(&at("The cope")),
            Self::Plate { stand_off_mm } => {
                length_in(&at("What lies before the plate"), *stand_off_mm, OR_NONE_MM).map(drop)
            }
        }
    }

    /// The end as it comes: a rod end at its own setting.
    pub fn set(&self) -> EndSet {
        match self {
            Self::RodEnd(rod) => self.set_at(rod.setting_mm()),
            Self::Tab { .. } | Self::Cope(_) | Self::Plate { .. } => self.set_at(0.0),
        }
    }

    /// The end with a rod end screwed in by `x_mm`; for others that says nothing.
    pub fn set_at(&self, x_mm: f64) -> EndSet {
        let fixed = |take_mm: f64, inside_mm: f64| EndSet {
            take_mm,
            screwed_in_mm: None,
            engaged_mm: None,
            longer_mm: 0.0,
            shorter_mm: 0.0,
            inside_mm,
        };
        match self {
            Self::RodEnd(rod) => {
                let (longer_mm, shorter_mm) = rod.room_mm(x_mm);
                EndSet {
                    take_mm: rod.take_mm(x_mm),
                    screwed_in_mm: Some(x_mm),
                    engaged_mm: Some(rod.engaged_mm(x_mm)),
                    longer_mm,
                    shorter_mm,
                    inside_mm: rod.inside_mm(x_mm),
                }
            }
            Self::Tab { hole_to_bar_mm } => fixed(*hole_to_bar_mm, 0.0),
            Self::Cope(cope) => fixed(cope.near_mm, cope.depth_mm()),
            Self::Plate { stand_off_mm } => fixed(*stand_off_mm, 0.0),
        }
    }

    /// What is wrong with it on a bar of `stock` when it is set as in `set`.
    pub fn problems(&self, side: Side, stock: &BarStock, set: &EndSet) -> Vec<BarProblem> {
        match self {
            Self::RodEnd(rod) => {
                rod.problems(side, stock.od_mm, set.screwed_in_mm.unwrap_or_else(|| rod.setting_mm()))
            }
            Self::Tab { .. } | Self::Cope(_) | Self::Plate { .. } => Vec::new(),
        }
    }
}
