//! What stands on a pipe as it covers the pipe's skin: whether two such feet share a place of it.
//!
//! A foot is a body in space and places of its edge on the skin. Two feet share a place where a place of the one lies in the
//! body of the other. Places are close enough for what is welded by hand: what overlaps by less than [`STEP_MM`] along an
//! edge may be missed.

use super::limb::Line;
use super::saddle::{HoleSize, Saddle};
use crate::geom::vector::half_open_turn;
use crate::geom::{Block, Frame};
use glam::DVec3;
use std::f64::consts::PI;

/// What counts as beside each other, mm: rounding noise.
const BESIDE_MM: f64 = 1e-6;
/// Places of an edge lie no further apart than this, mm.
const STEP_MM: f64 = 1.0;
/// The edge of a round foot is followed within this, mm.
const CHORD_MM: f64 = 0.2;

/// What stands on a pipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Foot {
    /// Its edge on the skin, and its middle.
    places: Vec<DVec3>,
    body: Body,
}

#[derive(Debug, Clone, PartialEq)]
enum Body {
    /// A tube, a bar or a boss that leaves the pipe.
    Round {
        axis: Line,
        /// From where on along its axis it is on the side of the pipe that it leaves from, mm.
        from_mm: f64,
        radius_mm: f64,
    },
    /// A flat one that stands along the pipe.
    Flat(Block),
    /// One that is wrapped round the pipe's axis: a bead, a saddle plate.
    Wrapped {
        /// The pipe's axis in its middle.
        at: Frame,
        /// How far it goes to either side along the pipe, mm.
        half_mm: f64,
        /// The clock of its middle, rad.
        clock_rad: f64,
        /// How far it goes round to either side, rad; π all round.
        half_rad: f64,
        /// Radius of the pipe, mm: the other side of it is another place.
        radius_mm: f64,
    },
}

impl Foot {
    /// The foot of a branch, a coped bar, a stub or a boss.
    pub(super) fn of_saddle(saddle: &Saddle) -> Self {
        let hole = saddle.hole(HoleSize::Outside, CHORD_MM);
        let axis = saddle.branch().axis();
        let edge: Vec<DVec3> = hole.edge.iter().map(|p| p.point).collect();
        let mut places = dense(&edge);
        // one that lies in another whole has its middle there
        places.extend(saddle.header().left_at_mm(&axis, saddle.foot_mm()).map(|mm| axis.point(mm)));
        let body = Body::Round { axis, from_mm: saddle.foot_mm(), radius_mm: saddle.branch().radius_mm };
        Self { places, body }
    }

    /// The foot of a flat that stands along a pipe of `radius_mm` at `at`: `along_mm` long, `thick_mm` thick.
    pub(super) fn of_flat(
        at: &Frame,
        clock_rad: f64,
        radius_mm: f64,
        (along_mm, thick_mm): (f64, f64),
    ) -> Self {
        let out = at.at_clock(clock_rad);
        let side = at.travel.cross(out);
        let half_mm = (thick_mm / 2.0).min(radius_mm);
        let down_mm = ((radius_mm - half_mm) * (radius_mm + half_mm)).max(0.0).sqrt();
        let corner = |along: f64, across: f64| {
            at.origin + at.travel * (along * along_mm / 2.0) + side * (across * half_mm) + out * down_mm
        };
        let edge =
            [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0)].map(|(a, b)| corner(a, b));
        let mut places = dense(&edge);
        let middle = at.origin + out * radius_mm;
        places.extend(dense(&[middle - at.travel * (along_mm / 2.0), middle + at.travel * (along_mm / 2.0)]));
        // from the pipe's axis up, and far enough out for any skin there
        let block = Block {
            centre: at.origin + out * radius_mm,
            axes: [at.travel, out, side],
            half_mm: DVec3::new(along_mm / 2.0, radius_mm, half_mm),
        };
        Self { places, body: Body::Flat(block) }
    }

    /// The foot of what is wrapped round a pipe of `radius_mm`: `half_mm` to either side of `at` along it, and `half_rad` to
    /// either side of a clock round it.
    pub(super) fn of_wrapped(
        at: &Frame,
        (clock_rad, half_rad): (f64, f64),
        radius_mm: f64,
        half_mm: f64,
    ) -> Self {
        let point = |along: f64, turn: f64| {
            let frame = at.forward(along * half_mm);
            frame.origin + frame.at_clock(clock_rad + turn) * radius_mm
        };
        let steps = ((2.0 * half_rad * radius_mm / STEP_MM).ceil()).clamp(8.0, 2000.0) as u32;
        let round = |along: f64| {
            let turn = move |i: u32| half_rad * (2.0 * f64::from(i) / f64::from(steps) - 1.0);
            (0..=steps).map(|i| point(along, turn(i))).collect::<Vec<DVec3>>()
        };
        let mut places: Vec<DVec3> = [-1.0, 0.0, 1.0].iter().flat_map(|along| round(*along)).collect();
        if half_rad < PI {
            for turn in [-half_rad, half_rad] {
                places.extend(dense(&[point(-1.0, turn), point(1.0, turn)]));
            }
        }
        Self { places, body: Body::Wrapped { at: *at, half_mm, clock_rad, half_rad, radius_mm } }
    }

    /// The same foot further along.
    #[must_use]
    pub(super) fn moved(&self, by: DVec3) -> Self {
        let body = match &self.body {
            Body::Round { axis, from_mm, radius_mm } => Body::Round {
                axis: Line { origin: axis.origin + by, ..*axis },
                from_mm: *from_mm,
                radius_mm: *radius_mm,
            },
            Body::Flat(block) => Body::Flat(Block { centre: block.centre + by, ..*block }),
            Body::Wrapped { at, half_mm, clock_rad, half_rad, radius_mm } => Body::Wrapped {
                at: Frame { origin: at.origin + by, ..*at },
                half_mm: *half_mm,
                clock_rad: *clock_rad,
                half_rad: *half_rad,
                radius_mm: *radius_mm,
            },
        };
        Self { places: self.places.iter().map(|p| *p + by).collect(), body }
    }

    /// Places of its edge on the skin, and within it.
    pub(super) fn places(&self) -> &[DVec3] {
        &self.places
    }

    /// Whether the middle of another round foot lies in it.
    pub(super) fn holds_middle_of(&self, other: &Self) -> bool {
        other.places.last().is_some_and(|middle| self.body.holds(*middle))
    }

    /// Whether two feet share a place of the skin.
    pub(super) fn meets(&self, other: &Self) -> bool {
        self.places.iter().any(|p| other.body.holds(*p)) || other.places.iter().any(|p| self.body.holds(*p))
    }
}

impl Body {
    /// Whether a place of the skin lies in it, not just at its edge.
    fn holds(&self, point: DVec3) -> bool {
        match self {
            Self::Round { axis, from_mm, radius_mm } => {
                let along_mm = (point - axis.origin).dot(axis.along);
                // the side of the pipe that it leaves from, not the one behind it
                along_mm > *from_mm && axis.point(along_mm).distance(point) < radius_mm - BESIDE_MM
            }
            Self::Flat(block) => {
                let from = point - block.centre;
                let within = |i: usize| from.dot(block.axes[i]).abs() < block.half_mm[i] - BESIDE_MM;
                within(0) && from.dot(block.axes[1]) > -block.half_mm.y && within(2)
            }
            Self::Wrapped { at, half_mm, clock_rad, half_rad, radius_mm } => {
                let from = point - at.origin;
                let along_mm = from.dot(at.travel);
                let off_mm = (from - at.travel * along_mm).length();
                let turn = half_open_turn(at.clock_of(from) - clock_rad).abs();
                along_mm.abs() < half_mm - BESIDE_MM
                    && off_mm < 1.5 * radius_mm
                    && (*half_rad >= PI || turn < half_rad - BESIDE_MM / radius_mm)
            }
        }
    }
}

/// Places on a line of straight stretches no further apart than [`STEP_MM`].
fn dense(line: &[DVec3]) -> Vec<DVec3> {
    let between = |pair: &[DVec3]| {
        let (a, b) = (pair[0], pair[1]);
        let steps = (a.distance(b) / STEP_MM).ceil().clamp(1.0, 2000.0) as u32;
        (0..steps).map(move |i| a.lerp(b, f64::from(i) / f64::from(steps)))
    };
    let mut out: Vec<DVec3> = line.windows(2).flat_map(between).collect();
    out.extend(line.last());
    out
}

#[cfg(test)]
mod tests {
    use super::super::limb::{Goes, Limb};
    use super::super::saddle::{Header, Placement};
    use super::*;
    use std::f64::consts::TAU;

    fn pipe() -> Frame {
        Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z)
    }

    /// A tube of 40 mm square onto a pipe of 60 mm.
    fn tube(station_mm: f64, clock_deg: f64) -> Foot {
        let place =
            Placement { station_mm, clock_rad: clock_deg.to_radians(), angle_rad: TAU / 4.0, offset_mm: 0.0 };
        let limb =
            Limb { frame: place.frame(&pipe()), goes: Goes::OnAlongTravel, radius_mm: 20.0, wall_mm: 2.0 };
        Foot::of_saddle(&Saddle::new(limb, Header::straight(pipe(), 30.0).unwrap()).unwrap())
    }

    /// Own vector: two feet of 40 mm along a pipe touch 40 mm apart; round it at one station they touch where the arcs to
    /// their sides, asin(20/30) each, add up.
    #[test]
    fn round_feet_meet_where_they_are_nearer_than_their_width() {
        let first = tube(0.0, 0.0);
        assert!(first.meets(&tube(39.9, 0.0)) && !first.meets(&tube(40.1, 0.0)));
        let apart = 2.0 * (20.0_f64 / 30.0).asin().to_degrees();
        assert!(first.meets(&tube(0.0, apart - 0.3)) && !first.meets(&tube(0.0, apart + 0.3)));
        // behind the pipe is another place, and one in the other's middle is met
        assert!(!first.meets(&tube(0.0, 180.0)) && first.meets(&first.clone()));
        assert!(!first.meets(&tube(0.0, 0.0).moved(DVec3::X * 40.1)));
    }

    /// Own vector: a flat of 30 by 4 along the pipe reaches a tube's foot 20 + 15 from its middle; across it is 2 wide.
    #[test]
    fn a_flat_meets_what_its_ends_and_sides_reach() {
        let flat = |station_mm: f64, clock_deg: f64| {
            Foot::of_flat(&pipe().forward(station_mm), clock_deg.to_radians(), 30.0, (30.0, 4.0))
        };
        assert!(tube(0.0, 0.0).meets(&flat(34.8, 0.0)) && !tube(0.0, 0.0).meets(&flat(35.2, 0.0)));
        let side = ((20.0_f64 / 30.0).asin() + (2.0_f64 / 30.0).asin()).to_degrees();
        assert!(
            tube(0.0, 0.0).meets(&flat(0.0, side - 0.4)) && !tube(0.0, 0.0).meets(&flat(0.0, side + 0.4))
        );
        assert!(flat(0.0, 0.0).meets(&flat(29.0, 0.0)) && !flat(0.0, 0.0).meets(&flat(31.0, 0.0)));
    }

    /// Own vector: a bead 6 wide all round meets a tube's foot 20 + 3 away on any side; a plate that goes 60° to either side
    /// meets it as far round as its foot's own side reaches.
    #[test]
    fn what_is_wrapped_round_meets_what_it_covers() {
        let bead = |station_mm: f64| Foot::of_wrapped(&pipe().forward(station_mm), (0.0, PI), 30.0, 3.0);
        assert!(tube(0.0, 130.0).meets(&bead(22.8)) && !tube(0.0, 130.0).meets(&bead(23.2)));
        let plate =
            |clock_deg: f64| Foot::of_wrapped(&pipe(), (clock_deg.to_radians(), PI / 3.0), 30.0, 10.0);
        let side = 60.0 + (20.0_f64 / 30.0).asin().to_degrees();
        assert!(tube(0.0, 0.0).meets(&plate(side - 0.4)) && !tube(0.0, 0.0).meets(&plate(side + 0.4)));
        assert!(plate(0.0).meets(&plate(119.0)) && !plate(0.0).meets(&plate(121.0)));
    }
}
