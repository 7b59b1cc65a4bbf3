//! The same pipe, drawn from its other end.

use super::{Again, AgainError};
use crate::edit::Edit;
use crate::fab::build::build;
use crate::fab::route::{Route, trace};
use crate::fab::spot::bend_after;
use crate::model::{
    Attachment, Fitting, Hardpoint, HardpointId, Item, Part, PartKind, Project, Run, RunEnd, RunId, Seat,
    Spot, Taper, TaperMake, TubeId, WeldKey,
};

/// How places along a run and round it read from its other end.
struct Reversal<'a> {
    old: &'a Route,
    new: &'a Route,
    /// Clock of the new index line from the old one, degrees, the same all along.
    index_deg: f64,
}

impl Reversal<'_> {
    /// The leg as entered, counted from the other end.
    fn leg(&self, leg: usize) -> usize {
        self.old.places.len().saturating_sub(1).saturating_sub(leg)
    }

    /// A station on a leg as entered, mm, counted from where the straight begins that way.
    fn station_mm(&self, leg: usize, station_mm: f64) -> Option<f64> {
        let (old, new) = (self.old.places.get(leg)?, self.new.places.get(self.leg(leg))?);
        let length_mm = self.old.legs.get(old.leg)?.length_mm;
        Some(length_mm - (old.offset_mm + station_mm) - new.offset_mm)
    }

    /// A clock angle, degrees: it counts from the other hardpoint's 12 o'clock, and clockwise is the other way round.
    fn clock_deg(&self, clock_deg: f64) -> f64 {
        let deg = (self.index_deg - clock_deg).rem_euclid(360.0);
        if deg > 180.0 { deg - 360.0 } else { deg }
    }

    fn spot(&self, spot: Spot) -> Option<Spot> {
        Some(match spot {
            Spot::Leg { leg, station_mm } => {
                Spot::Leg { leg: self.leg(leg), station_mm: self.station_mm(leg, station_mm)? }
            }
            Spot::Bend { leg, turn_deg } => {
                let bend = self.old.bends.get(bend_after(self.old, leg)?)?;
                let after = self.leg(leg).checked_sub(1)?;
                Spot::Bend { leg: after, turn_deg: bend.angle_rad.to_degrees() - turn_deg }
            }
        })
    }

    /// A seat on the run as it reads after.
    fn seat(&self, seat: Seat) -> Option<Seat> {
        match seat {
            Seat::Run { run, spot, clock_deg, angle_deg, offset_mm } => Some(Seat::Run {
                run,
                spot: self.spot(spot)?,
                clock_deg: self.clock_deg(clock_deg),
                angle_deg: 180.0 - angle_deg,
                // towards growing clock, which is the other side now
                offset_mm: 0.0 - offset_mm,
            }),
            Seat::Arm { .. } | Seat::Outlet { .. } => Some(seat),
        }
    }

    fn fitting(&self, f: &Fitting) -> Option<Fitting> {
        Some(Fitting {
            leg: self.leg(f.leg),
            station_mm: self.station_mm(f.leg, f.station_mm)?,
            lobe_clock_deg: self.clock_deg(f.lobe_clock_deg),
            ..*f
        })
    }

    fn part(&self, p: &Part) -> Option<Part> {
        let mut kind = p.kind.clone();
        if let PartKind::Stub(stub) = &mut kind {
            stub.angle_deg = 180.0 - stub.angle_deg;
        }
        Some(Part {
            leg: self.leg(p.leg),
            station_mm: self.station_mm(p.leg, p.station_mm)?,
            clock_deg: self.clock_deg(p.clock_deg),
            kind,
            ..p.clone()
        })
    }
}

/// The tapers of a run in the order they come from its other end, each to the tube that is before it now; stations are
/// still those from where they counted, turned round.
fn tapers_back(run: &Run) -> (TubeId, Vec<Taper>) {
    let mut in_order = run.tapers.clone();
    in_order.sort_by(|a, b| a.leg.cmp(&b.leg).then(a.station_mm.total_cmp(&b.station_mm)));
    let before: Vec<TubeId> = std::iter::once(run.tube).chain(in_order.iter().map(|t| t.tube)).collect();
    let first = before.last().copied().unwrap_or(run.tube);
    let back = in_order.into_iter().zip(&before).rev();
    (first, back.map(|(t, tube)| Taper { tube: *tube, station_mm: -t.station_mm, ..t }).collect())
}

/// The weld that is fitted last, by what it joins from the other end: the same one, counted from there.
fn weld_back(project: &Project, run: &Run, back: &Run) -> Option<WeldKey> {
    let [old, new] = [run, back].map(|run| build(project, run).welds);
    let keys: Vec<Option<WeldKey>> = old.iter().map(|w| w.key).collect();
    let at = run.fit_weld?.find(&keys)?;
    (old.len() == new.len()).then(|| new[new.len() - 1 - at].key).flatten()
}

/// `run` drawn from where it ends now: the same pipe in space, with flow, clocks and stations counted from there. What
/// sits on it stays where it is.
///
/// # Errors
/// Where the run ends in the open, or has pieces that are sawn, an offset taper, or no way.
pub fn swap_ends(project: &Project, run: RunId) -> Result<Again, AgainError> {
    let old = project.run(run).ok_or(AgainError::Gone)?;
    let name = || old.name.clone();
    let RunEnd::Hardpoint { hardpoint, corner } = old.end else {
        return Err(AgainError::OpenEnd { run: name() });
    };
    if let Some(done) = project.done.iter().find(|d| d.key.is_some_and(|key| key.run == run)) {
        return Err(AgainError::Sawn { run: name(), mark: done.mark.clone() });
    }
    if old.tapers.iter().any(|t| t.offset_mm != 0.0) {
        return Err(AgainError::OffsetTaper { run: name() });
    }
    let no_way = || AgainError::NoWay { run: name() };
    let route = trace(project, old).map_err(|_said| no_way())?;
    let last = route.legs.len() - 1;
    let arriving = route.at(last, route.legs[last].length_mm).ok_or_else(no_way)?;
    let end = project.hardpoint(hardpoint).and_then(Hardpoint::outward).ok_or_else(no_way)?;
    let (tube, tapers) = tapers_back(old);
    let legs = route.places.len();
    let mut back = Run {
        tube,
        start: hardpoint,
        start_corner: corner,
        waypoints: old.waypoints.iter().rev().copied().collect(),
        end: RunEnd::Hardpoint { hardpoint: old.start, corner: old.start_corner },
        tapers: tapers.iter().map(|t| Taper { leg: legs - 1 - t.leg.min(legs - 1), ..*t }).collect(),
        ..old.clone()
    };
    let new = trace(project, &back).map_err(|_said| no_way())?;
    let index_deg = arriving.clock_of(end.index).to_degrees();
    let turned = Reversal { old: &route, new: &new, index_deg };
    let placed = tapers.iter().map(|t| {
        let make = match t.make {
            TaperMake::Bought => TaperMake::Bought,
            TaperMake::Rolled { seam_clock_deg, lap_mm } => {
                TaperMake::Rolled { seam_clock_deg: turned.clock_deg(seam_clock_deg), lap_mm }
            }
        };
        let station_mm = turned.station_mm(t.leg, -t.station_mm)?;
        let offset_clock_deg = turned.clock_deg(t.offset_clock_deg);
        Some(Taper { leg: turned.leg(t.leg), station_mm, offset_clock_deg, make, ..*t })
    });
    back.tapers = placed.collect::<Option<_>>().ok_or_else(no_way)?;
    back.fittings =
        old.fittings.iter().rev().map(|f| turned.fitting(f)).collect::<Option<_>>().ok_or_else(no_way)?;
    back.parts = old.parts.iter().map(|p| turned.part(p)).collect::<Option<_>>().ok_or_else(no_way)?;
    back.fit_weld = None;

    let mut edits = joints_back(project, old, &turned)?;
    for port in &project.hardpoints {
        if matches!(port.seat, Some(Seat::Run { run: on, .. }) if on == run) {
            let seat = port.seat.and_then(|seat| turned.seat(seat)).ok_or_else(no_way)?;
            edits.push(Edit::PutHardpoint(Hardpoint { seat: Some(seat), ..port.clone() }));
        }
    }
    if old.fit_weld.is_some() {
        let mut after = project.clone();
        // joints at its ends take part in what its welds join
        for edit in &edits {
            if let Edit::PutHardpoint(port) = edit
                && let Some(at) = after.hardpoints.iter_mut().find(|h| h.id == port.id)
            {
                at.clone_from(port);
            }
        }
        back.fit_weld = weld_back(&after, old, &back);
    }
    edits.push(Edit::PutRun(back));
    Ok(Again { edit: Edit::All(edits), items: vec![Item::Run(run)], set_free: Vec::new() })
}

/// The joints at both ends, with the clock of the lobe counted from the other index line.
fn joints_back(project: &Project, run: &Run, turned: &Reversal<'_>) -> Result<Vec<Edit>, AgainError> {
    let mut edits = Vec::new();
    for id in ports(run) {
        let Some(port) = project.hardpoint(id) else { continue };
        let Attachment::Joint { joint, lobe_clock_deg } = port.attachment else { continue };
        // along the other run the clock counts from where it did
        if let Some(other) = project.runs.iter().find(|r| r.id != run.id && ports(r).any(|p| p == id)) {
            return Err(AgainError::SharedJoint { hardpoint: port.name.clone(), other: other.name.clone() });
        }
        let attachment = Attachment::Joint { joint, lobe_clock_deg: turned.clock_deg(lobe_clock_deg) };
        edits.push(Edit::PutHardpoint(Hardpoint { attachment, ..port.clone() }));
    }
    Ok(edits)
}

/// The hardpoints a run runs between.
fn ports(run: &Run) -> impl Iterator<Item = HardpointId> {
    let end = match run.end {
        RunEnd::Hardpoint { hardpoint, .. } => Some(hardpoint),
        RunEnd::Open { .. } => None,
    };
    std::iter::once(run.start).chain(end)
}
