//! Places along a run as they are entered, on its ideal centre line.

use super::route::{LegPlace, Route};
use crate::geom::tolerance::COINCIDENT_MM;
use crate::geom::{Frame, Frustum};
use crate::model::{Spot, Tube};
use glam::DVec3;

/// The centre line at a place, with travel and index line; it goes on beyond the ends of the straight or the bend.
/// `None` where the run has no such leg or bend.
pub fn spot_frame(route: &Route, spot: Spot) -> Option<Frame> {
    match spot {
        Spot::Leg { leg, station_mm } => route.on_leg(leg, station_mm),
        Spot::Bend { leg, turn_deg } => {
            let bend = bend_after(route, leg)?;
            let of = route.bends.get(bend)?;
            Some(bend_start(route, bend)?.around(of.throat_clock_rad, of.clr_mm, turn_deg.to_radians()))
        }
    }
}

/// The tube of a run at a place; its first where there is no such leg or bend.
pub fn spot_tube(route: &Route, spot: Spot) -> &Tube {
    let tube = match spot {
        Spot::Leg { leg, station_mm } => route.tube_on_leg(leg, station_mm),
        Spot::Bend { leg, .. } => bend_after(route, leg).map(|bend| route.tube_of_bend(bend)),
    };
    tube.unwrap_or(&route.tube)
}

/// The taper of a run at a place, in space, if there is one.
pub fn spot_cone(route: &Route, spot: Spot) -> Option<Frustum> {
    let Spot::Leg { leg, station_mm } = spot else { return None };
    let place = route.places.get(leg)?;
    route.cone(route.taper_at(place.leg, place.offset_mm + station_mm)?)
}

/// Index of the bend after a leg as entered; `None` where the run goes straight on there, or ends.
pub fn bend_after(route: &Route, leg: usize) -> Option<usize> {
    let (before, after) = (route.places.get(leg)?, route.places.get(leg + 1)?);
    (after.leg == before.leg + 1).then_some(before.leg)
}

/// Where a bend begins.
pub fn bend_start(route: &Route, bend: usize) -> Option<Frame> {
    route.at(bend, route.legs.get(bend)?.finish_mm)
}

/// How far round the bend after a leg the place nearest to a point lies, degrees from its start; `None` where there is no bend.
pub fn turn_at(route: &Route, leg: usize, target: DVec3) -> Option<f64> {
    let bend = bend_after(route, leg)?;
    let (of, start) = (route.bends.get(bend)?, bend_start(route, bend)?);
    let toward = start.at_clock(of.throat_clock_rad);
    let from = target - (start.origin + toward * of.clr_mm);
    Some(from.dot(start.travel).atan2(-from.dot(toward)).clamp(0.0, of.angle_rad).to_degrees())
}

/// Places to choose from: the middle of every leg as entered that has a straight, and of every bend, in order.
pub fn choices(route: &Route) -> Vec<Spot> {
    let mut out = Vec::new();
    for leg in 0..route.places.len() {
        if let Some((from, to)) = leg_room(route, leg).filter(|(from, to)| to - from > COINCIDENT_MM) {
            // two vertices in one place put two legs as entered on one straight
            let again =
                leg.checked_sub(1).and_then(|before| route.places.get(before)) == route.places.get(leg);
            if !again {
                out.push(Spot::Leg { leg, station_mm: f64::midpoint(from, to) });
            }
        }
        if let Some(bend) = bend_after(route, leg).and_then(|b| route.bends.get(b)) {
            out.push(Spot::Bend { leg, turn_deg: bend.angle_rad.to_degrees() / 2.0 });
        }
    }
    out
}

/// From where to where the straight of a leg as entered goes, as stations of that leg, mm; the second is the smaller one
/// where its bends overlap.
pub fn leg_room(route: &Route, leg: usize) -> Option<(f64, f64)> {
    let place = route.places.get(leg)?;
    let of = route.legs.get(place.leg)?;
    // a leg that goes straight on into the next one as entered ends where that begins
    let goes_on =
        |next: &&LegPlace| next.leg == place.leg && next.offset_mm > place.offset_mm + COINCIDENT_MM;
    let next = route.places.get(leg + 1).filter(goes_on);
    let finish_mm = next.map_or(of.finish_mm, |next| next.offset_mm);
    Some((of.begin_mm.max(place.offset_mm) - place.offset_mm, finish_mm - place.offset_mm))
}

/// The longest straight of a run between places that were entered, the first of equals: its leg, and from where to where
/// it goes as stations of that leg, mm. `None` where there is none.
pub fn longest_straight(route: &Route) -> Option<(usize, (f64, f64))> {
    let straights = (0..route.places.len()).filter_map(|leg| Some((leg, leg_room(route, leg)?)));
    let long = |(_, (from, to)): &(usize, (f64, f64))| to - from;
    let mut best: Option<(usize, (f64, f64))> = None;
    for straight in straights.filter(|s| long(s) > COINCIDENT_MM) {
        if best.as_ref().is_none_or(|b| long(&straight) > long(b) + COINCIDENT_MM) {
            best = Some(straight);
        }
    }
    best
}
