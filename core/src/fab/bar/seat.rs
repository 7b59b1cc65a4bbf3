//! Bars coped onto round tubes: other bars, pipes, tubes given by their axis.

use super::end::{BarEnd, Cope};
use super::laid_plate::{LaidPlate, OverPlate};
use super::shape::Middle;
use crate::fab::hole::HoleShape;
use crate::fab::limb::{Edge, Goes, Limb};
use crate::fab::saddle::{Header, HeaderPart, HoleSize, Saddle, SaddleError};
use crate::fab::wall::{lack, lack_under, tubes};
use crate::fab::{Built, Foot};
use crate::finding::{CopeFault, CopedOnto, Side};
use crate::geom::vector::unit;
use crate::geom::{Barrel, Frame, Solid};
use crate::model::{Bar, BarEndMake, HoleKey, Item, Onto, Pad, Project};
use glam::DVec3;
use std::borrow::Cow;
use std::sync::Arc;

/// A coped end that seats.
#[derive(Debug, Clone, PartialEq)]
pub struct Seated {
    /// How far the bar reaches.
    pub cope: Cope,
    /// Its cut round the bar. Clocks are those of the bar's index line, right-handed about the way from its start to its
    /// far end, at both ends.
    pub saddle: Arc<Saddle>,
    /// The curve that the cut follows: the seat for tube that is cut square to its wall, the outside for solid bar.
    pub edge: Edge,
    /// Length of the weld round it, mm.
    pub weld_mm: f64,
    /// Outside diameter of what it sits on, a saddle plate included, mm.
    pub onto_od_mm: f64,
    /// The saddle plate under it.
    pub plate: Option<LaidPlate>,
}

/// How finely the line is looked at along which a bar touches what it sits on, mm.
const TOUCH_CHORD_MM: f64 = 0.01;

/// A place of a plate lies on a tube where it is off its skin by no more than this, mm: noise of laying pieces.
const ON_SKIN_MM: f64 = 0.1;

/// What a coped end sits on, as tube.
#[derive(Clone)]
enum Tube {
    /// One straight tube, with its ends where it has any, mm from the frame's origin.
    Straight { frame: Frame, radius_mm: f64, length_mm: Option<f64> },
    /// Parts one after another.
    Parts(Vec<Solid>),
}

/// Fits the end `side` of a bar to what it sits on. `along` is the frame at its point, from the bar's start to its far end.
pub(super) fn seat(
    project: &Project,
    runs: &[Arc<Built>],
    bar: &Bar,
    (side, onto, pad): (Side, Onto, Option<Pad>),
    along: Frame,
) -> Result<Seated, CopeFault> {
    let grown_mm = pad.map_or(0.0, |p| p.gap_mm + p.thick_mm);
    let tube = under(project, runs, bar, onto)?;
    let no_seat = |error: SaddleError| CopeFault::NoSeat { onto: coped_onto(project, onto), error };
    let radius_mm = bar.od_mm / 2.0;
    // the bore of solid bar does not matter: its cut follows the outside
    let edge = if bar.wall_mm.is_some() { Edge::Seat } else { Edge::Outside };
    let limb = Limb {
        frame: along,
        goes: match side {
            Side::Start => Goes::OnAlongTravel,
            Side::End => Goes::BackAgainstTravel,
        },
        radius_mm,
        wall_mm: bar.wall_mm.unwrap_or(radius_mm / 2.0),
    };
    let (grown, ends) = header(tube.clone(), grown_mm).map_err(no_seat)?;
    let saddle = Saddle::new(limb, grown).map_err(no_seat)?;
    let touched = saddle.hole(HoleSize::Outside, TOUCH_CHORD_MM);
    if let Some(length_mm) = ends {
        let (low, high) = touched.stations_mm();
        let beyond_mm = (-low).max(high - length_mm);
        if beyond_mm > 0.0 {
            return Err(no_seat(SaddleError::OffEnd { clock_rad: 0.0, beyond_mm }));
        }
    }
    if let Onto::Run(id) = onto
        && let Some(at) = project.runs.iter().position(|r| r.id == id)
        && let Some(lack) = lack(&runs[at], &saddle)
    {
        return Err(CopeFault::OnNothing {
            onto: project.runs[at].name.clone(),
            mark: runs[at].pieces[lack.piece].mark.clone(),
            by_mm: lack.by_mm,
            left_mm: lack.left_mm,
        });
    }
    let plate = pad.and_then(|pad| LaidPlate::new(&pad, &saddle, &touched));
    if let Some(plate) = &plate {
        let name = || coped_onto(project, onto);
        if let Some(OverPlate { round, by_mm, least }) = plate.overhang() {
            return Err(CopeFault::OverPlate { round, by_mm, least });
        }
        let by_mm = off_skin_mm(plate, &header(tube, 0.0).map_err(no_seat)?);
        if by_mm > ON_SKIN_MM {
            return Err(CopeFault::PlateOff { onto: name(), by_mm });
        }
    }
    if let Onto::Run(id) = onto
        && let Some(at) = project.runs.iter().position(|r| r.id == id)
    {
        let built = &runs[at];
        let foot = plate.as_ref().map_or_else(|| Foot::of_saddle(&saddle), LaidPlate::on_skin);
        let under = plate
            .as_ref()
            .and_then(|plate| lack_under(built, foot.places().iter().copied(), plate.tube_mm()));
        if let Some(lack) = under {
            return Err(CopeFault::PlateOff { onto: coped_onto(project, onto), by_mm: lack.by_mm });
        }
        if let Some(other) = standing_on(built).find(|(_, other)| foot.meets(other)) {
            return Err(CopeFault::OnOther { onto: coped_onto(project, onto), other: other.0 });
        }
    }
    let onto_od_mm = 2.0 * touched.header_radius_mm;
    let extremes = saddle.extremes(edge);
    let cope = Cope { near_mm: extremes.longest.at_mm, far_mm: extremes.shortest.at_mm };
    let weld_mm = saddle.weld().value;
    Ok(Seated { cope, saddle: Arc::new(saddle), edge, weld_mm, onto_od_mm, plate })
}

/// How far a plate reaches off the tube it lies on, mm: over its end, or where that bends away.
fn off_skin_mm(plate: &LaidPlate, (bare, length_mm): &(Header, Option<f64>)) -> f64 {
    let foot = plate.on_skin();
    let off = |point: &DVec3| {
        let beyond = length_mm.map_or(0.0, |length_mm| {
            let (station_mm, _) = bare.station_and_clock(*point);
            (-station_mm).max(station_mm - length_mm)
        });
        bare.off_skin_mm(*point).abs().max(beyond)
    };
    foot.places().iter().map(off).fold(0.0, f64::max)
}

/// What is welded onto a run: branches, arms of merges and small parts, by name.
fn standing_on(built: &Built) -> impl Iterator<Item = (String, Cow<'_, Foot>)> {
    let branches = built.holes.iter().filter_map(|hole| match (&hole.shape, hole.key) {
        (HoleShape::Branch { saddle, .. }, HoleKey::StartOf(_) | HoleKey::EndOf(_)) => {
            Some((hole.of.clone(), Cow::Owned(Foot::of_saddle(saddle))))
        }
        _ => None,
    });
    let parts = built.parts.iter().filter_map(|p| Some((p.name.clone(), Cow::Borrowed(p.foot.as_ref()?))));
    branches.chain(parts)
}

fn coped_onto(project: &Project, onto: Onto) -> CopedOnto {
    match onto {
        Onto::Bar(id) => CopedOnto::Named(project.name_of(Item::Bar(id))),
        Onto::Run(id) => CopedOnto::Named(project.name_of(Item::Run(id))),
        Onto::Tube { .. } => CopedOnto::Tube,
    }
}

fn under(project: &Project, runs: &[Arc<Built>], bar: &Bar, onto: Onto) -> Result<Tube, CopeFault> {
    let unbuilt = |name: &str| CopeFault::Unbuilt { onto: name.to_owned() };
    match onto {
        Onto::Bar(id) if id == bar.id => Err(CopeFault::Itself),
        Onto::Bar(id) => {
            let other = project.bar(id).ok_or(CopeFault::Gone)?;
            let parts = bare_tube(other).ok_or_else(|| unbuilt(&other.name))?;
            Ok(match parts.as_slice() {
                [Solid::Barrel(b)] => straight(b),
                _ => Tube::Parts(parts),
            })
        }
        Onto::Run(id) => {
            let at = project.runs.iter().position(|r| r.id == id).ok_or(CopeFault::Gone)?;
            let built = runs.get(at).filter(|b| b.is_buildable());
            let built = built.ok_or_else(|| unbuilt(&project.runs[at].name))?;
            Ok(Tube::Parts(tubes(built).iter().map(|s| s.solid).collect()))
        }
        Onto::Tube { through_mm, along, od_mm } => {
            let along = unit(along).ok_or(CopeFault::NoDirection)?;
            let frame = Frame::new(through_mm, along, DVec3::Z);
            Ok(Tube::Straight { frame, radius_mm: od_mm / 2.0, length_mm: None })
        }
    }
}

fn straight(barrel: &Barrel) -> Tube {
    Tube::Straight { frame: barrel.start, radius_mm: barrel.radius_mm, length_mm: Some(barrel.length_mm) }
}

/// The tube of a bar that others sit on. Where it is coped itself it counts to its point, so that bars that sit on
/// each other need no order.
fn bare_tube(bar: &Bar) -> Option<Vec<Solid>> {
    let ends = bar.ends.map(|end| match end.make {
        BarEndMake::RodEnd(rod, _) => BarEnd::RodEnd(rod).set().take_mm,
        BarEndMake::Tab(tab) => tab.hole_to_bar_mm,
        BarEndMake::Plate { stand_off_mm } => stand_off_mm,
        BarEndMake::Cope { .. } => 0.0,
    });
    let marks = super::built::bends_of(bar)?;
    let (points_mm, clr_mm) = (bar.points_mm(), super::built::radii_mm(bar));
    let (tube, _) = Middle::new(&points_mm, &clr_mm, &marks).tube(bar.od_mm / 2.0, ends)?;
    Some(tube.into_iter().map(|s| s.solid).collect())
}

/// The header with a saddle plate of `grown_mm` on it, and its length where it has ends.
fn header(tube: Tube, grown_mm: f64) -> Result<(Header, Option<f64>), SaddleError> {
    match tube {
        Tube::Straight { frame, radius_mm, length_mm } => {
            let radius_mm = radius_mm + grown_mm;
            Ok((Header::of_parts(vec![HeaderPart::Straight { frame, radius_mm }])?, length_mm))
        }
        Tube::Parts(mut parts) => {
            for part in &mut parts {
                match part {
                    Solid::Barrel(b) => b.radius_mm += grown_mm,
                    Solid::Elbow(e) => e.radius_mm += grown_mm,
                    Solid::Frustum(f) => {
                        f.start_radius_mm += grown_mm;
                        f.end_radius_mm += grown_mm;
                    }
                    Solid::Drum(_) | Solid::Block(_) => {}
                }
            }
            Ok((Header::of_solids(&parts)?, None))
        }
    }
}

/// How far from its point along the bar a coped end is `gap_mm` clear of what it sits on, mm.
///
/// Beyond its shortest side the bar leaves the tube at the angle of their axes: `far + gap/sin β`.
pub(super) fn clear_from_mm(seated: &Seated, gap_mm: f64) -> f64 {
    seated.cope.far_mm + gap_mm / seated.saddle.angle_rad().sin()
}
