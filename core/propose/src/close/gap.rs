//! The gap: where the open face is, where the tube has to end, and what the shop can do in between.

use super::words::NoGap;
use glam::DVec3;
use pipeloft_core::fab::{Built, Piece, PieceKind, build};
use pipeloft_core::geom::Frame;
use pipeloft_core::geom::vector::unit;
use pipeloft_core::model::letters::MarkKind;
use pipeloft_core::model::limits::MAX_COORDINATE_MM;
use pipeloft_core::model::{Attachment, BendMake, Hardpoint, Project, Run, RunEnd, RunId, Tube};

/// The open face of what is tacked: square across the tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpenFace {
    /// Its middle, mm.
    pub point_mm: DVec3,
    /// Out of the tube towards the hardpoint where the run ends; of any length but zero.
    pub direction: DVec3,
}

/// How far an open face is off where it should be, as it is read beside the pipe.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Offset {
    /// Further on along the pipe, mm.
    pub along_mm: f64,
    /// Towards the index line, mm.
    pub to_index_mm: f64,
    /// Towards three o'clock from it, mm: to the right looking along the pipe with the index line on top.
    pub to_three_mm: f64,
    /// How far it leans, rad.
    pub lean_rad: f64,
    /// Clock angle it leans towards, rad.
    pub lean_clock_rad: f64,
}

impl OpenFace {
    /// A face that is `offset` off the place `drawn`.
    pub fn off(drawn: &Frame, offset: Offset) -> Self {
        let three = drawn.travel.cross(drawn.index);
        let shift =
            drawn.travel * offset.along_mm + drawn.index * offset.to_index_mm + three * offset.to_three_mm;
        let leant = drawn.tilted(offset.lean_clock_rad, offset.lean_rad);
        Self { point_mm: drawn.origin + shift, direction: leant.travel }
    }
}

/// The gap of one run.
#[derive(Debug, Clone)]
pub struct Gap {
    /// The open face, travelling out of the tube; its index line is that of the run carried to it.
    pub from: Frame,
    /// Where the tube has to end, travelling into the part there.
    pub to: Frame,
    /// The joint at the hardpoint, which comes after the tube; none where the tube goes to the part itself.
    pub joint: Option<Piece>,
    /// The tube.
    pub tube: Tube,
    /// A piece with a shorter side than this cannot be welded, mm.
    pub least_mm: f64,
    /// Largest angle from square that the saw can be set to, rad.
    pub most_saw_rad: f64,
    /// Steps of the saw's angle, rad.
    pub saw_step_rad: f64,
    /// Centreline radius of bends as the shop makes them here, mm.
    pub clr_mm: f64,
    /// Letters of the run.
    pub(super) letters: String,
    /// The number of the first mark that is free.
    pub(super) next_mark: usize,
}

impl Gap {
    /// The gap between `face` and the hardpoint where the run ends.
    ///
    /// # Errors
    /// Where there is none: see [`NoGap`].
    pub fn of(project: &Project, run: RunId, face: OpenFace) -> Result<Self, NoGap> {
        let run = project.run(run).ok_or(NoGap::NoRun)?;
        let is_near = |mm: f64| mm.abs() <= MAX_COORDINATE_MM;
        if ![face.point_mm.x, face.point_mm.y, face.point_mm.z].into_iter().all(is_near) {
            return Err(NoGap::FaceTooFar);
        }
        let direction = unit(face.direction).ok_or(NoGap::FaceNoDirection)?;
        let (port, corner) = match run.end {
            RunEnd::Hardpoint { hardpoint, corner } => {
                let missing = NoGap::Missing { run: run.name.clone(), what: "hardpoint" };
                (project.hardpoint(hardpoint).ok_or(missing)?, corner)
            }
            RunEnd::Open { .. } => return Err(NoGap::EndsOpen { run: run.name.clone() }),
        };
        if port.seat.is_some() {
            return Err(NoGap::EndsOnPipe { run: run.name.clone(), hardpoint: port.name.clone() });
        }
        let built = build(project, run);
        let tube = last_tube(project, run, &built)?;
        let near = nearest(&built, face.point_mm);
        if near.is_some_and(|i| built.pieces[i].tube != tube.id) {
            return Err(NoGap::OtherTube { run: run.name.clone() });
        }
        let index = near.map_or(DVec3::Z, |i| built.frames[i].1.index);
        let (to, joint) = target(project, port, &built)?;
        let clr_mm = match corner.make {
            BendMake::Mitred { clr_mm, .. } => clr_mm,
            BendMake::Elbow { elbow } => project.elbow(elbow).map_or(1.5 * tube.od_mm, |e| e.clr_mm),
        };
        let marked = built.pieces.iter().filter(|p| !matches!(p.kind, PieceKind::Joint(_))).count();
        let settings = &project.settings;
        Ok(Self {
            from: Frame::new(face.point_mm, direction, index),
            to,
            joint,
            tube: tube.clone(),
            least_mm: settings.shortest_throat_mm,
            most_saw_rad: settings.saw.most_deg.to_radians(),
            saw_step_rad: settings.saw.step_deg.to_radians(),
            clr_mm,
            letters: run.letters.clone(),
            next_mark: marked + 1,
        })
    }

    /// Radius of the tube, mm.
    pub fn radius_mm(&self) -> f64 {
        self.tube.od_mm / 2.0
    }

    /// From the middle of the open face to where the tube has to end, mm.
    pub fn span_mm(&self) -> DVec3 {
        self.to.origin - self.from.origin
    }

    /// Length of a straight piece with one square end and one cut at `tilt_rad`, whose short side is `side_mm`, mm.
    pub(super) fn stub_mm(&self, tilt_rad: f64, side_mm: f64) -> f64 {
        side_mm + self.radius_mm() * tilt_rad.tan()
    }
}

fn last_tube<'a>(project: &'a Project, run: &Run, built: &Built) -> Result<&'a Tube, NoGap> {
    let id = built.route.as_ref().map_or(run.tube, |route| route.last_tube().id);
    project.tube(id).ok_or_else(|| NoGap::Missing { run: run.name.clone(), what: "tube" })
}

/// Index of the piece whose end lies nearest to a point; none where the run cannot be built as drawn.
fn nearest(built: &Built, point: DVec3) -> Option<usize> {
    let off = |i: &usize| built.frames[*i].1.origin.distance(point);
    (0..built.frames.len()).min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// Where the tube has to end at a hardpoint, and the joint that follows there.
fn target(project: &Project, port: &Hardpoint, built: &Built) -> Result<(Frame, Option<Piece>), NoGap> {
    let face = port.outward().ok_or_else(|| NoGap::NoDirection { hardpoint: port.name.clone() })?;
    let arriving = |frame: Frame| Frame::new(frame.origin, -frame.travel, frame.index);
    let Attachment::Joint { joint, lobe_clock_deg } = port.attachment else {
        return Ok((arriving(face), None));
    };
    let kind =
        project.joint(joint).ok_or_else(|| NoGap::Missing { run: port.name.clone(), what: "joint" })?;
    let drawn = built.pieces.last().filter(|p| p.kind == PieceKind::Joint(joint));
    let piece = drawn.cloned().unwrap_or_else(|| Piece {
        mark: String::new(),
        key: None,
        kind: PieceKind::Joint(joint),
        tube: built.route.as_ref().map_or(pipeloft_core::model::TubeId(0), |r| r.last_tube().id),
        od_mm: port.od_mm,
        centre_mm: kind.make_up_mm,
        start: pipeloft_core::fab::Cut::SQUARE,
        end: pipeloft_core::fab::Cut::SQUARE,
        bend: None,
        lobe_clock_rad: Some(lobe_clock_deg.to_radians()),
        curves: [None, None],
    });
    // the lobe stays where it is drawn, whatever the index line is there in the end
    let lobe = built.frames.last().zip(piece.lobe_clock_rad).map(|(f, clock)| f.0.at_clock(clock));
    let to = arriving(face.forward(kind.make_up_mm));
    let to = lobe.map_or(to, |lobe| Frame::new(to.origin, to.travel, lobe));
    Ok((to, Some(piece)))
}

impl Gap {
    /// The joint as it follows tube that ends at `end`: its lobe where it was drawn.
    pub(super) fn joint_after(&self, end: &Frame) -> Option<Piece> {
        let joint = self.joint.clone()?;
        let lobe = joint.lobe_clock_rad.map(|_| end.clock_of(self.to.index));
        Some(Piece { lobe_clock_rad: lobe, ..joint })
    }

    /// The mark of the piece that is number `nth` of an offer, from 0.
    pub(super) fn mark(&self, nth: usize) -> String {
        MarkKind::Piece.mark(&self.letters, self.next_mark + nth)
    }
}
