//! Bungs and flanges on stubs that stand on a bend.

use super::super::ends::near::{Near, near};
use super::super::hole::{HoleCut, HoleShape};
use super::super::limb::{Goes, Limb};
use super::super::saddle::{HoleSize, LEAST_ANGLE_RAD, Placement, Saddle};
use super::super::spot::{bend_after, spot_frame};
use super::super::wall::lack;
use super::form::{drum, screwed_in};
use super::{Bench, BuiltPart, rules};
use crate::fab::Foot;
use crate::fab::build::Problems;
use crate::finding::{Block, BranchFault, PartFault, PartProblem};
use crate::geom::Frame;
use crate::geom::tolerance::OVERLAP_MM;
use crate::model::{Bung, HoleKey, Part, PartKind, Screwed, Spot, Stub};
use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::sync::Arc;

/// Places of a flange's lower edge that are tried for running into the pipe.
const EDGE_PLACES: u32 = 72;
/// A place round a bend may lie this much beyond its end, degrees: rounding noise of what is typed.
const OFF_BEND_DEG: f64 = 1e-6;
/// Step in which it is looked how long a stub has to be, mm.
const LONGER_MM: f64 = 0.5;
/// How far along the centreline a round part reaches to each side at the most, in radii of its own: on the inside of a bend the
/// centreline is longer than the skin.
const REACH: f64 = 2.0;

/// What of a part is round, and how it stands.
struct Stands {
    od_mm: f64,
    wall_mm: f64,
    angle_rad: f64,
    screwed: Option<Screwed>,
}

/// Why a part has no place on its bend, and where in space that is.
type NoPlace = Box<(PartFault, Option<Frame>)>;

impl Bench<'_> {
    /// A part on the bend after its leg, with the hole for it; `None` where it has no place there.
    pub(super) fn put_on_bend(
        &self,
        part: &Part,
        turn_deg: f64,
        problems: &mut Problems,
    ) -> Option<(BuiltPart, Option<HoleCut>)> {
        let said = |fault: PartFault| PartProblem { part: part.name.clone(), fault }.into();
        let made = match self.on_bend(part, turn_deg) {
            Ok(made) => made,
            Err(why) => {
                problems.push((said(why.0), why.1.map(|frame| frame.origin), None));
                return None;
            }
        };
        let (built, hole, notes) = made;
        let spot = Some(built.frame.origin);
        problems.extend(notes.into_iter().map(|fault| (said(fault), spot, None)));
        Some((built, Some(hole)))
    }

    /// The part, its hole and what is said of it; or why it has no place, and where.
    fn on_bend(&self, part: &Part, turn_deg: f64) -> Result<(BuiltPart, HoleCut, Vec<PartFault>), NoPlace> {
        let legs = self.route.places.len();
        if part.leg >= legs {
            return Err(Box::new((PartFault::NoLeg { leg: part.leg + 1, legs }, None)));
        }
        let Some(bend) = bend_after(self.route, part.leg).and_then(|b| self.route.bends.get(b)) else {
            return Err(Box::new((PartFault::NoBend { leg: part.leg + 1 }, None)));
        };
        let most_deg = bend.angle_rad.to_degrees();
        if !(-OFF_BEND_DEG..=most_deg + OFF_BEND_DEG).contains(&turn_deg) {
            return Err(Box::new((PartFault::OffBend { leg: part.leg + 1, turn_deg, most_deg }, None)));
        }
        let axis = spot_frame(self.route, Spot::Bend { leg: part.leg, turn_deg })
            .ok_or_else(|| Box::new((PartFault::NoBend { leg: part.leg + 1 }, None)))?;
        let at = |fault: PartFault| Box::new((fault, Some(axis)));
        let stands = stands(&part.kind).map_err(at)?;
        let flat = stands.angle_rad.min(PI - stands.angle_rad);
        if flat < LEAST_ANGLE_RAD - 1e-9 {
            let (angle_rad, least_rad) = (stands.angle_rad, LEAST_ANGLE_RAD);
            return Err(at(PartFault::TooFlat { angle_rad, least_rad }));
        }
        let clock_rad = part.clock_deg.to_radians();
        let place = Placement { station_mm: 0.0, clock_rad, angle_rad: stands.angle_rad, offset_mm: 0.0 };
        let limb = Limb {
            frame: place.frame(&axis),
            goes: Goes::OnAlongTravel,
            radius_mm: stands.od_mm / 2.0,
            wall_mm: stands.wall_mm,
        };
        let Near { saddle, hole_at, across } =
            near(self.built, &axis, &limb, true).map_err(|fault| at(no_place(fault, stands.od_mm)))?;
        if let Some(lack) = lack(self.built, &saddle) {
            return Err(at(PartFault::OffWall { by_mm: lack.by_mm, fits: None }));
        }
        let line = limb.axis();
        let skin_mm = saddle.header().left_at_mm(&line, saddle.foot_mm()).unwrap_or(0.0);
        // from inside the pipe: the disc there lies in it all round
        let deep_mm = saddle.extremes(crate::fab::limb::Edge::Outside).longest.at_mm;
        let (solids, face_mm) = match &part.kind {
            PartKind::Stub(s) => {
                let face_mm = skin_mm + s.length_mm;
                clear_flange(&saddle, s, (skin_mm, &limb.frame)).map_err(at)?;
                let under_mm = face_mm - s.flange_thick_mm;
                let tube = drum(&limb.frame, deep_mm, under_mm, s.od_mm);
                (tube.into_iter().chain(drum(&limb.frame, under_mm, face_mm, s.flange_mm)).collect(), face_mm)
            }
            PartKind::Bung(b) => {
                let face_mm = skin_mm + b.height_mm;
                (drum(&limb.frame, deep_mm, face_mm, b.boss_mm).into_iter().collect::<Vec<_>>(), face_mm)
            }
            PartKind::Bracket(_) | PartKind::Shield(_) | PartKind::Bead(_) => (Vec::new(), skin_mm),
        };
        let (screwed, removal) = screwed_in(stands.screwed, &limb.frame, face_mm);
        let foot = Some(Foot::of_saddle(&saddle));
        let weld_mm = saddle.weld().value;
        let saddle = Arc::new(saddle);
        let hole = HoleCut {
            mark: String::new(),
            key: HoleKey::Part(part.id),
            of: part.name.clone(),
            piece: hole_at.piece,
            along_mm: hole_at.along_mm,
            clock_rad: hole_at.clock_rad,
            shape: match &part.kind {
                PartKind::Bung(b) => HoleShape::Drilled { diameter_mm: b.hole_mm },
                PartKind::Stub(_) | PartKind::Bracket(_) | PartKind::Shield(_) | PartKind::Bead(_) => {
                    HoleShape::Branch { saddle, size: HoleSize::Bore }
                }
            },
        };
        let middle_mm = self.starts_mm[hole_at.piece] + hole_at.along_mm;
        let reach_mm = REACH * stands.od_mm / 2.0;
        let mut notes = self.notes_on_bend(part, &axis, middle_mm, 2.0 * self.radius_mm(hole_at.piece));
        if across.len() > 1 {
            let mark = |i: &usize| self.built.pieces.get(*i).map(|p| p.mark.clone());
            notes.push(PartFault::AcrossWelds { pieces: across.iter().filter_map(mark).collect() });
        }
        let built = BuiltPart {
            id: part.id,
            mark: String::new(),
            name: part.name.clone(),
            piece: hole_at.piece,
            along_mm: hole_at.along_mm,
            frame: axis,
            clock_rad: hole_at.clock_rad,
            out: limb.frame.travel,
            weld_mm,
            solids,
            screwed,
            removal,
            span_mm: (middle_mm - reach_mm, middle_mm + reach_mm),
            shield: None,
            foot,
        };
        Ok((built, hole, notes))
    }

    fn notes_on_bend(&self, part: &Part, axis: &Frame, from_start_mm: f64, od_mm: f64) -> Vec<PartFault> {
        match &part.kind {
            PartKind::Bung(b) => {
                let stand = rules::Stand {
                    frame: *axis,
                    clock_rad: part.clock_deg.to_radians(),
                    from_start_mm,
                    from_bend_mm: Some(0.0),
                    left_mm: 0.0,
                    station_mm: 0.0,
                    od_mm,
                };
                rules::of_bung(b.purpose, self.run.service, &stand)
            }
            PartKind::Stub(s) if s.flange_mm <= s.od_mm => {
                vec![PartFault::FlangeNarrow { flange_mm: s.flange_mm, stub_mm: s.od_mm }]
            }
            PartKind::Stub(_) | PartKind::Bracket(_) | PartKind::Shield(_) | PartKind::Bead(_) => Vec::new(),
        }
    }
}

fn stands(kind: &PartKind) -> Result<Stands, PartFault> {
    match kind {
        PartKind::Bung(Bung { boss_mm, hole_mm, .. }) if hole_mm >= boss_mm => {
            Err(PartFault::HoleTooWide { hole_mm: *hole_mm, boss_mm: *boss_mm })
        }
        PartKind::Bung(b) => Ok(Stands {
            od_mm: b.boss_mm,
            wall_mm: (b.boss_mm - b.hole_mm) / 2.0,
            angle_rad: FRAC_PI_2,
            screwed: b.screwed,
        }),
        PartKind::Stub(s) => Ok(Stands {
            od_mm: s.od_mm,
            wall_mm: s.wall_mm,
            angle_rad: s.angle_deg.to_radians(),
            screwed: s.screwed,
        }),
        PartKind::Bracket(_) | PartKind::Shield(_) | PartKind::Bead(_) => Err(PartFault::NotOnBend),
    }
}

/// What keeps a round part from sitting on the bend, as it is said of parts.
fn no_place(fault: BranchFault, width_mm: f64) -> PartFault {
    match fault {
        BranchFault::OnOther { mark, what } => PartFault::OnBlock { what, mark, fits: None },
        BranchFault::Onto { mark, what, by_mm } => PartFault::Onto { what, mark, by_mm },
        BranchFault::TooWide { largest_mm, .. } => {
            PartFault::WideOnBend { width_mm, largest_mm: largest_mm.map(|mm| 2.0 * mm) }
        }
        BranchFault::DoesNotFit { error } => PartFault::Unfit { why: error },
        BranchFault::HeaderGone
        | BranchFault::HeaderStops { .. }
        | BranchFault::NoLeg { .. }
        | BranchFault::NoBend { .. }
        | BranchFault::OffStraight { .. }
        | BranchFault::OffBend { .. }
        | BranchFault::NoTube { .. }
        | BranchFault::CutAway { .. }
        | BranchFault::OnBranch { .. }
        | BranchFault::CutToBranch { .. }
        | BranchFault::AcrossWelds { .. } => {
            PartFault::OnBlock { what: Block::Joint, mark: String::new(), fits: None }
        }
    }
}

/// Whether a flange stands clear of the pipe all round, with the length that its stub needs where it does not.
fn clear_flange(saddle: &Saddle, s: &Stub, (skin_mm, frame): (f64, &Frame)) -> Result<(), PartFault> {
    let header = saddle.header();
    let clear = |length_mm: f64| {
        let under = frame.forward(skin_mm + length_mm - s.flange_thick_mm);
        (0..EDGE_PLACES).all(|i| {
            let clock = TAU * f64::from(i) / f64::from(EDGE_PLACES);
            header.off_skin_mm(under.origin + under.at_clock(clock) * (s.flange_mm.max(s.od_mm) / 2.0))
                >= -OVERLAP_MM
        })
    };
    if clear(s.length_mm) {
        return Ok(());
    }
    let steps = (4.0 * s.flange_mm / LONGER_MM).ceil().clamp(1.0, 4000.0) as u32;
    let longer = (1..=steps).map(|i| s.length_mm + LONGER_MM * f64::from(i)).find(|mm| clear(*mm));
    Err(PartFault::FlangeLow {
        length_mm: s.length_mm,
        least_mm: longer.unwrap_or(s.length_mm + s.flange_mm),
    })
}
