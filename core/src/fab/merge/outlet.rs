//! Where the outlet plane goes, and the lobed outline that the arms make in it.

use super::super::limb::{Limb, LimbError, is_frame};
use super::MOST_OUTLET_RAD;
use crate::finding::MergeError;
use crate::geom::Frame;
use crate::geom::roots::bisect;
use crate::geom::search::{largest, smallest};
use crate::geom::vector::angle_between;
use glam::DVec2;
use std::f64::consts::TAU;

/// Places round the outline that are looked at before closing in.
const ROUND: u32 = 720;
/// The outlet is looked for up to this far before the arms meet, mm: the widest arms at the least angle part well before.
const UPSTREAM_MM: f64 = 100_000.0;

/// Where the outlet plane stands along the outlet's axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stand {
    /// At this station, mm along the outlet's travel from its frame's origin.
    At(f64),
    /// As far up the flow as the outsides of the arms fit into the mouth's bore: the mouth goes over the lobes.
    Inside,
    /// As far up the flow as the lobes cover the mouth's outside: the mouth stands on the lobes all round.
    Covering,
}

/// An outlet that is cut square and set against the lobes: a tube, or the wide end of a cone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutletPlane {
    /// A point of its axis, the travel with the flow, and its index line.
    pub frame: Frame,
    /// Outside radius of the mouth, mm.
    pub radius_mm: f64,
    /// Wall of the mouth, mm.
    pub wall_mm: f64,
    /// Where it stands.
    pub stand: Stand,
}

/// What the arms run into.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outlet {
    /// A mouth in a plane square to its axis.
    Plane(OutletPlane),
    /// A tube as wide as the widest arm, mitred to the arms like one more of them.
    Tube(Limb),
}

/// The lobed outline of the arms in the outlet plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outline {
    /// Station of the plane, mm.
    pub station_mm: f64,
    /// Furthest that a lobe reaches from the outlet's axis, mm.
    pub most_mm: f64,
    /// Nearest that the outline comes to the axis, mm: between two lobes. The mouth's radius less this is what has to be
    /// closed there. 0 where nothing lies in some direction.
    pub least_mm: f64,
    /// Whether the axis itself lies between the arms: a hole in their middle that needs a plug.
    pub open_middle: bool,
}

/// The section of an arm in a plane square to the outlet, in the plane's own two directions.
struct Section {
    middle: DVec2,
    /// Unit direction of the long axis.
    long: DVec2,
    half: DVec2,
}

impl OutletPlane {
    pub(super) fn check(&self) -> Result<(), MergeError> {
        let (radius_mm, wall_mm) = (self.radius_mm, self.wall_mm);
        let station = match self.stand {
            Stand::At(mm) => mm,
            Stand::Inside | Stand::Covering => 0.0,
        };
        let error = if !is_frame(&self.frame) || !(radius_mm + wall_mm + station).is_finite() {
            LimbError::NotANumber
        } else if radius_mm <= 0.0 {
            LimbError::NotPositive { radius_mm }
        } else if wall_mm <= 0.0 || wall_mm >= radius_mm {
            LimbError::NoBore { radius_mm, wall_mm }
        } else {
            return Ok(());
        };
        Err(MergeError::Outlet(error))
    }

    /// Whether the arms flow its way.
    pub(super) fn check_arms(&self, arms: &[Limb]) -> Result<(), MergeError> {
        for (arm, limb) in arms.iter().enumerate() {
            let angle_rad = angle_between(-limb.away(), self.frame.travel);
            if angle_rad > MOST_OUTLET_RAD + 1e-9 {
                return Err(MergeError::TooSquare { arm, angle_rad, most_rad: MOST_OUTLET_RAD });
            }
        }
        Ok(())
    }

    fn section(&self, limb: &Limb, station_mm: f64) -> Section {
        let (u, v) = (self.frame.index, self.frame.travel.cross(self.frame.index));
        let axis = limb.axis();
        let flow = -axis.along;
        let cos = flow.dot(self.frame.travel);
        let plane = self.frame.forward(station_mm).origin;
        let at = axis.origin + flow * ((plane - axis.origin).dot(self.frame.travel) / cos) - plane;
        let tilt = DVec2::new(flow.dot(u), flow.dot(v));
        let half = DVec2::new(limb.radius_mm / cos, limb.radius_mm);
        Section {
            middle: DVec2::new(at.dot(u), at.dot(v)),
            long: tilt.try_normalize().unwrap_or(DVec2::X),
            half,
        }
    }

    /// Furthest that any arm reaches from the axis in a plane, mm.
    fn most_mm(&self, arms: &[Limb], station_mm: f64) -> f64 {
        let far = |s: &Section| {
            let at = |t: f64| {
                (s.middle + s.long * (s.half.x * t.cos()) + s.long.perp() * (s.half.y * t.sin())).length()
            };
            largest(at, 0.0, TAU, 72).1
        };
        arms.iter().map(|limb| far(&self.section(limb, station_mm))).fold(0.0, f64::max)
    }

    /// Nearest that the outline of all arms comes to the axis, mm.
    fn least_mm(&self, arms: &[Limb], station_mm: f64) -> f64 {
        let sections: Vec<Section> = arms.iter().map(|limb| self.section(limb, station_mm)).collect();
        let reach = |way: f64| sections.iter().map(|s| s.reach(way)).fold(0.0, f64::max);
        smallest(reach, 0.0, TAU, ROUND).1
    }

    /// The outline in a plane.
    pub(super) fn outline(&self, arms: &[Limb], station_mm: f64) -> Outline {
        let covers = |limb: &Limb| self.section(limb, station_mm).holds(DVec2::ZERO);
        Outline {
            station_mm,
            most_mm: self.most_mm(arms, station_mm),
            least_mm: self.least_mm(arms, station_mm),
            open_middle: !arms.iter().any(covers),
        }
    }

    /// The station for these arms. They touch from `touch_mm` on (the pair that is last to) and meet at `met_mm`.
    pub(super) fn station_mm(
        &self,
        arms: &[Limb],
        (touch_mm, last): (f64, [usize; 2]),
        met_mm: f64,
    ) -> Result<f64, MergeError> {
        let before = (met_mm - UPSTREAM_MM).min(touch_mm);
        let (bore, outside) = (self.radius_mm - self.wall_mm, self.radius_mm);
        // an arm that grows only away from the axis bounds it; one along the axis never does
        let first = |off: &dyn Fn(f64) -> f64| {
            let mut far = 1.0;
            while off(met_mm - far) > 0.0 {
                far *= 2.0;
                if far > UPSTREAM_MM {
                    return before;
                }
            }
            bisect(off, met_mm - far, met_mm - far / 2.0 * f64::from(u8::from(far > 1.0)))
        };
        match self.stand {
            Stand::At(station_mm) if station_mm > met_mm + 1e-6 => {
                Err(MergeError::Beyond { station_mm, most_mm: met_mm })
            }
            Stand::At(station_mm) if station_mm < touch_mm => {
                Err(MergeError::Parted { first: last[0], second: last[1], station_mm, from_mm: touch_mm })
            }
            Stand::At(station_mm) => Ok(station_mm),
            Stand::Inside => {
                let least_mm = self.most_mm(arms, met_mm);
                if least_mm > bore + 1e-9 {
                    return Err(MergeError::MouthTooSmall { mouth_mm: bore, least_mm });
                }
                let at = first(&|z| bore - self.most_mm(arms, z));
                let most_mm = self.most_mm(arms, touch_mm);
                if at < touch_mm {
                    Err(MergeError::MouthTooLarge { mouth_mm: bore, most_mm })
                } else {
                    Ok(at)
                }
            }
            Stand::Covering => {
                let most_mm = self.least_mm(arms, met_mm);
                if most_mm < outside - 1e-9 {
                    return Err(MergeError::MouthTooLarge { mouth_mm: outside, most_mm });
                }
                Ok(first(&|z| self.least_mm(arms, z) - outside).max(touch_mm))
            }
        }
    }
}

impl Section {
    fn own(&self, point: DVec2) -> DVec2 {
        let from = point - self.middle;
        DVec2::new(from.dot(self.long), from.dot(self.long.perp())) / self.half
    }

    fn holds(&self, point: DVec2) -> bool {
        self.own(point).length_squared() <= 1.0
    }

    /// Furthest place of the section from the axis in a direction, mm; 0 where it does not lie there.
    fn reach(&self, way_rad: f64) -> f64 {
        let way = DVec2::from_angle(way_rad);
        let (o, d) = (self.own(DVec2::ZERO), self.own(way) - self.own(DVec2::ZERO));
        let (a, b, c) = (d.length_squared(), o.dot(d), o.length_squared() - 1.0);
        let root = b * b - a * c;
        if root < 0.0 { 0.0 } else { ((root.sqrt() - b) / a).max(0.0) }
    }
}
