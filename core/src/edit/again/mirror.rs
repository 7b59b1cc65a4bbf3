//! Mirror images of runs and bars on the other side of the vehicle.

use super::renew::renewed;
use super::{Again, AgainError};
use crate::edit::Edit;
use crate::edit::new_item::free_name;
use crate::geom::tolerance::SAME_OD_MM;
use crate::geom::vector::{angle_between, unit};
use crate::model::{
    Attachment, Bar, BarEndMake, BarId, Hardpoint, HardpointId, Item, Merge, MergeArm, MergeId, Onto, Part,
    Project, Run, RunEnd, RunId, Seat, Slash, TaperMake,
};
use glam::DVec3;
use std::collections::BTreeMap;

/// A hardpoint this near to where a mirror image has one is that one, mm: what a tape leaves between two sides of a car
/// (common practice, no source).
const MATCH_MM: f64 = 5.0;

/// And when it points the same way within this, rad.
const MATCH_RAD: f64 = 2.0 * std::f64::consts::PI / 180.0;

/// Mirror images of `items`, runs and bars, on the other side of the plane across the vehicle at `plane_y_mm`; 0 is the
/// middle of the axes. A hardpoint that is there on the other side already is used; else one is made. A pipe that sits on
/// another of them sits on its image; a merge that one of them comes to is mirrored too.
///
/// # Errors
/// Where nothing is asked for, an item or what it needs is not there, a hardpoint has no direction, or a bar sits on what
/// is not mirrored.
pub fn mirror(project: &Project, items: &[Item], plane_y_mm: f64) -> Result<Again, AgainError> {
    let runs = items.iter().filter_map(|item| match item {
        Item::Run(id) => Some(*id),
        _ => None,
    });
    let bars = items.iter().filter_map(|item| match item {
        Item::Bar(id) => Some(*id),
        _ => None,
    });
    let (runs, bars): (Vec<RunId>, Vec<BarId>) = (runs.collect(), bars.collect());
    if runs.is_empty() && bars.is_empty() {
        return Err(AgainError::Nothing);
    }
    let mut images = Images {
        project,
        scratch: project.clone(),
        plane_y_mm,
        runs: BTreeMap::new(),
        ports: BTreeMap::new(),
        merges: BTreeMap::new(),
        edits: Vec::new(),
        set_free: Vec::new(),
    };
    let mut made = Vec::new();
    // ids first: a pipe may sit on one that comes after it
    for id in &runs {
        let old = project.run(*id).ok_or(AgainError::Gone)?;
        let image = renewed(&mut images.scratch, old, &other_side(&old.name));
        images.runs.insert(*id, image.id);
        images.scratch.runs.push(image.clone());
        made.push((old, image));
    }
    let mut out: Vec<Item> = Vec::new();
    let mut last = Vec::new();
    for (old, image) in made {
        let image = images.run(old, image)?;
        out.push(Item::Run(image.id));
        last.push(Edit::PutRun(image));
    }
    let bar_ids: BTreeMap<BarId, BarId> =
        bars.iter().map(|id| (*id, BarId(images.scratch.fresh_id()))).collect();
    for id in &bars {
        let bar = images.bar(project.bar(*id).ok_or(AgainError::Gone)?, &bar_ids)?;
        out.push(Item::Bar(bar.id));
        last.push(Edit::PutBar(Box::new(bar)));
    }
    let Images { mut edits, set_free, .. } = images;
    edits.extend(last);
    Ok(Again { edit: Edit::All(edits), items: out, set_free })
}

/// A name for the other side: left and right changed over, else the same.
fn other_side(name: &str) -> String {
    let words = [("left", "right"), ("Left", "Right"), ("LEFT", "RIGHT")];
    let changed = name.split(' ').map(|word| {
        let other = words.iter().find_map(|(a, b)| match word {
            word if word == *a => Some(*b),
            word if word == *b => Some(*a),
            _ => None,
        });
        other.unwrap_or(word)
    });
    changed.collect::<Vec<_>>().join(" ")
}

/// The images made so far.
struct Images<'a> {
    project: &'a Project,
    /// The project with what has been made in it, so that ids, letters and names stay fresh.
    scratch: Project,
    plane_y_mm: f64,
    runs: BTreeMap<RunId, RunId>,
    ports: BTreeMap<HardpointId, HardpointId>,
    merges: BTreeMap<MergeId, MergeId>,
    /// What has to be put in before the runs.
    edits: Vec<Edit>,
    set_free: Vec<String>,
}

impl Images<'_> {
    fn point(&self, p: DVec3) -> DVec3 {
        DVec3::new(p.x, 2.0 * self.plane_y_mm - p.y, p.z)
    }

    /// `image` with everything of `old` on the other side.
    fn run(&mut self, old: &Run, image: Run) -> Result<Run, AgainError> {
        let start = self.port(old.start)?;
        let end = match old.end {
            RunEnd::Hardpoint { hardpoint, corner } => {
                RunEnd::Hardpoint { hardpoint: self.port(hardpoint)?, corner }
            }
            RunEnd::Open { position_mm, slash, blast } => {
                RunEnd::Open { position_mm: self.point(position_mm), slash, blast }
            }
        };
        let zero_deg = self.zero_deg(old.start, start);
        let clock = |deg: f64| back_deg(zero_deg, deg);
        let mut image = Run { start, end, hidden: false, ..image };
        for waypoint in &mut image.waypoints {
            waypoint.position_mm = self.point(waypoint.position_mm);
        }
        for fitting in &mut image.fittings {
            fitting.lobe_clock_deg = clock(fitting.lobe_clock_deg);
        }
        for taper in &mut image.tapers {
            taper.offset_clock_deg = clock(taper.offset_clock_deg);
            if let TaperMake::Rolled { seam_clock_deg, .. } = &mut taper.make {
                *seam_clock_deg = clock(*seam_clock_deg);
            }
        }
        for part in &mut image.parts {
            *part = Part { clock_deg: clock(part.clock_deg), ..part.clone() };
        }
        if let RunEnd::Open { slash: Some(slash), .. } = &mut image.end {
            *slash = Slash { clock_deg: clock(slash.clock_deg), ..*slash };
        }
        self.lobe_at_end(old, &image, zero_deg);
        Ok(image)
    }

    /// Clock of the mirrored 12 o'clock of a hardpoint from that of its image, degrees: 0 but where the image was there.
    fn zero_deg(&self, old: HardpointId, image: HardpointId) -> f64 {
        let old = self.project.hardpoint(old).and_then(Hardpoint::outward);
        let face = self.scratch.hardpoint(image).and_then(Hardpoint::outward);
        let (Some(old), Some(face)) = (old, face) else { return 0.0 };
        let deg = face.clock_of(across_plane(old.index)).to_degrees();
        // rounding of an image that was made is no turn
        if deg.abs() < 1e-9 { 0.0 } else { deg }
    }

    /// The lobe at the far hardpoint counts from the run's own index line as well.
    fn lobe_at_end(&mut self, old: &Run, image: &Run, zero_deg: f64) {
        let (RunEnd::Hardpoint { hardpoint: old, .. }, RunEnd::Hardpoint { hardpoint, .. }) =
            (old.end, image.end)
        else {
            return;
        };
        let Some(Attachment::Joint { joint, lobe_clock_deg }) =
            self.project.hardpoint(old).map(|h| h.attachment)
        else {
            return;
        };
        let was_there = self.project.hardpoint(hardpoint).is_some();
        let attachment = Attachment::Joint { joint, lobe_clock_deg: back_deg(zero_deg, lobe_clock_deg) };
        for edit in self.edits.iter_mut().filter(|_| !was_there) {
            if let Edit::PutHardpoint(port) = edit
                && port.id == hardpoint
            {
                port.attachment = attachment;
            }
        }
    }

    /// The hardpoint on the other side: one that is there, the mouth of a mirrored merge, or a new one.
    fn port(&mut self, id: HardpointId) -> Result<HardpointId, AgainError> {
        if let Some(done) = self.ports.get(&id) {
            return Ok(*done);
        }
        let old = self.project.hardpoint(id).ok_or(AgainError::Gone)?;
        let way = unit(old.direction)
            .ok_or_else(|| AgainError::NoDirection { hardpoint: old.name.clone() })
            .map(across_plane)?;
        let at = self.point(old.position_mm);
        let is_there = |h: &&Hardpoint| {
            h.id != id
                && h.position_mm.distance(at) <= MATCH_MM
                && (h.od_mm - old.od_mm).abs() <= SAME_OD_MM
                && unit(h.direction).is_some_and(|d| angle_between(d, way) <= MATCH_RAD)
        };
        let found = self.project.hardpoints.iter().find(is_there).map(|h| h.id);
        if let Some(found) = found {
            self.ports.insert(id, found);
            return Ok(found);
        }
        if let Some(Seat::Arm { merge, .. } | Seat::Outlet { merge }) = old.seat
            && !self.merges.contains_key(&merge)
        {
            self.merge(merge)?;
            return self.ports.get(&id).copied().ok_or(AgainError::Gone);
        }
        self.new_port(old)
    }

    /// A hardpoint that is the image of `old`.
    fn new_port(&mut self, old: &Hardpoint) -> Result<HardpointId, AgainError> {
        let name =
            free_name(&other_side(&old.name), &self.scratch.hardpoints.iter().map(|h| h.name.as_str()));
        let seat = old.seat.map(|seat| self.seat(seat)).transpose()?.flatten();
        if old.seat.is_some() && seat.is_none() {
            self.set_free.push(name.clone());
        }
        let attachment = match old.attachment {
            Attachment::Joint { joint, lobe_clock_deg } => {
                Attachment::Joint { joint, lobe_clock_deg: back_deg(0.0, lobe_clock_deg) }
            }
            Attachment::Loose if old.seat.is_some() && seat.is_none() => Attachment::Welded,
            other @ (Attachment::Welded | Attachment::Loose) => other,
        };
        let image = Hardpoint {
            id: HardpointId(self.scratch.fresh_id()),
            name,
            position_mm: self.point(old.position_mm),
            direction: across_plane(old.direction),
            clock: across_plane(old.clock),
            attachment,
            seat,
            hidden: false,
            ..old.clone()
        };
        let id = image.id;
        self.ports.insert(old.id, id);
        self.scratch.hardpoints.push(image.clone());
        self.edits.push(Edit::PutHardpoint(image));
        Ok(id)
    }

    /// What the image sits on, where the image of that is made too.
    fn seat(&mut self, seat: Seat) -> Result<Option<Seat>, AgainError> {
        Ok(match seat {
            Seat::Run { run, spot, clock_deg, angle_deg, offset_mm } => {
                let Some(on) = self.runs.get(&run).copied() else { return Ok(None) };
                let header = self.project.run(run).ok_or(AgainError::Gone)?.start;
                // clocks along it count from the image of where it starts, which may have been there
                let start = self.port(header)?;
                let clock_deg = back_deg(self.zero_deg(header, start), clock_deg);
                Some(Seat::Run { run: on, spot, clock_deg, angle_deg, offset_mm: 0.0 - offset_mm })
            }
            Seat::Arm { merge, arm } => self.merges.get(&merge).map(|merge| Seat::Arm { merge: *merge, arm }),
            Seat::Outlet { merge } => self.merges.get(&merge).map(|merge| Seat::Outlet { merge: *merge }),
        })
    }

    /// Makes the image of a merge with all its mouths.
    fn merge(&mut self, id: MergeId) -> Result<(), AgainError> {
        let old = self.project.merge(id).ok_or(AgainError::Gone)?;
        let image = Merge {
            id: MergeId(self.scratch.fresh_id()),
            name: free_name(&other_side(&old.name), &self.scratch.merges.iter().map(|m| m.name.as_str())),
            position_mm: self.point(old.position_mm),
            direction: across_plane(old.direction),
            clock: across_plane(old.clock),
            arms: old
                .arms
                .iter()
                .map(|arm| MergeArm { clock_deg: back_deg(0.0, arm.clock_deg), ..*arm })
                .collect(),
            hidden: false,
            ..old.clone()
        };
        self.merges.insert(id, image.id);
        self.scratch.merges.push(image.clone());
        self.edits.push(Edit::PutMerge(image));
        let project = self.project;
        for port in &project.hardpoints {
            if matches!(port.seat, Some(Seat::Arm { merge, .. } | Seat::Outlet { merge }) if merge == id) {
                self.new_port(port)?;
            }
        }
        Ok(())
    }

    /// The image of a bar, not sawn yet.
    fn bar(&mut self, old: &Bar, ids: &BTreeMap<BarId, BarId>) -> Result<Bar, AgainError> {
        let name = free_name(&other_side(&old.name), &self.scratch.bars.iter().map(|b| b.name.as_str()));
        let mut image = Bar { name, sawn_mm: None, hidden: false, ..old.clone() };
        image.id = ids.get(&old.id).copied().ok_or(AgainError::Gone)?;
        for corner in &mut image.corners {
            corner.position_mm = self.point(corner.position_mm);
        }
        for end in &mut image.ends {
            end.position_mm = self.point(end.position_mm);
            end.clock_deg = back_deg(0.0, end.clock_deg);
            let BarEndMake::Cope { onto, .. } = &mut end.make else { continue };
            let image = match *onto {
                Onto::Bar(id) => ids.get(&id).copied().map(Onto::Bar),
                Onto::Run(id) => self.runs.get(&id).copied().map(Onto::Run),
                Onto::Tube { through_mm, along, od_mm } => {
                    Some(Onto::Tube { through_mm: self.point(through_mm), along: across_plane(along), od_mm })
                }
            };
            let on = |item| AgainError::SitsOnOther { bar: old.name.clone(), on: self.project.name_of(item) };
            *onto = image.ok_or_else(|| match *onto {
                Onto::Bar(id) => on(Item::Bar(id)),
                Onto::Run(id) => on(Item::Run(id)),
                Onto::Tube { .. } => AgainError::Gone,
            })?;
        }
        self.scratch.bars.push(image.clone());
        Ok(image)
    }
}

/// A direction on the other side.
fn across_plane(d: DVec3) -> DVec3 {
    DVec3::new(d.x, 0.0 - d.y, d.z)
}

/// A clock on the other side, degrees: the other way round from where the mirrored index line stands.
fn back_deg(zero_deg: f64, clock_deg: f64) -> f64 {
    let deg = (zero_deg - clock_deg).rem_euclid(360.0);
    if deg > 180.0 { deg - 360.0 } else { deg }
}
