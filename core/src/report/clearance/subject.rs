//! A run as its clearance is measured: its solids, which body each moves with, and stubs left out.

use crate::fab::build::PlacedSolid;
use crate::fab::part::BuiltPart;
use crate::fab::{Built, PieceKind};
use crate::geom::tolerance::NO_LENGTH_MM;
use crate::geom::{Barrel, Drum, Elbow, Solid};
use crate::model::{Body, Hardpoint, JointStyle, Project, Run, RunEnd};
use crate::space::lobe::TurningPart;
use crate::space::solid_bounds;
use glam::DVec3;

/// The room the tool of a joint needs, or what is screwed into a small part to come out, as solids.
#[derive(Debug, Clone)]
pub(super) struct ToolSolids {
    /// Index of the joint's piece, or of that the part sits on.
    pub(super) piece: usize,
    /// Index of the small part.
    pub(super) part: Option<usize>,
    /// The room.
    pub(super) solids: Vec<Solid>,
}

/// A run with what its clearance needs.
pub(in crate::report) struct Subject<'a> {
    pub(super) project: &'a Project,
    pub(in crate::report) run: &'a Run,
    pub(in crate::report) built: &'a Built,
    /// All its solids, those of small parts too, in order of where they begin.
    pub(in crate::report) solids: Vec<PlacedSolid>,
    /// Outside radius at its start and at its end, mm.
    radii_mm: (f64, f64),
    total_mm: f64,
    pub(super) start: Option<&'a Hardpoint>,
    pub(super) end: Option<&'a Hardpoint>,
    pub(super) bounds: (DVec3, DVec3),
    pub(super) tools: Vec<ToolSolids>,
}

impl<'a> Subject<'a> {
    /// The run, if it can be built.
    pub(in crate::report) fn new(project: &'a Project, run: &'a Run, built: &'a Built) -> Option<Self> {
        let mut bounds = solid_bounds(&built.solids.last()?.solid);
        let tools = tools(project, built);
        let all = built.all_solids();
        let solids = all.iter().map(|p| &p.solid).chain(tools.iter().flat_map(|t| &t.solids));
        for solid in solids {
            let (low, high) = solid_bounds(solid);
            bounds = (bounds.0.min(low), bounds.1.max(high));
        }
        Some(Self {
            project,
            run,
            built,
            solids: all,
            radii_mm: (built.pieces.first()?.od_mm / 2.0, built.pieces.last()?.end_od_mm() / 2.0),
            total_mm: built.pieces.iter().map(|p| p.centre_mm).sum(),
            start: project.hardpoint(run.start),
            end: match run.end {
                RunEnd::Hardpoint { hardpoint, .. } => project.hardpoint(hardpoint),
                RunEnd::Open { .. } => None,
            },
            bounds,
            tools,
        })
    }

    /// A run that cannot be built as drawn, with nothing to measure: only what is asked of it can be told.
    pub(super) fn unbuilt(project: &'a Project, run: &'a Run, built: &'a Built) -> Self {
        let radius_mm = project.tube(run.tube).map_or(0.0, |tube| tube.od_mm / 2.0);
        let end_mm = built.pieces.last().map_or(radius_mm, |p| p.end_od_mm() / 2.0);
        Self {
            project,
            run,
            built,
            solids: Vec::new(),
            radii_mm: (radius_mm, end_mm),
            total_mm: 0.0,
            start: project.hardpoint(run.start),
            end: match run.end {
                RunEnd::Hardpoint { hardpoint, .. } => project.hardpoint(hardpoint),
                RunEnd::Open { .. } => None,
            },
            bounds: (DVec3::ZERO, DVec3::ZERO),
            tools: Vec::new(),
        }
    }

    /// Length along the centreline, mm.
    pub(in crate::report) fn total_mm(&self) -> f64 {
        self.total_mm
    }

    /// Outside radius where it comes to a hardpoint, mm.
    pub(super) fn radius_at_mm(&self, port: Option<&Hardpoint>) -> f64 {
        let at_end = port.is_some_and(|h| self.start.is_none_or(|start| start.id != h.id));
        if at_end { self.radii_mm.1 } else { self.radii_mm.0 }
    }

    /// The largest outside radius of its pieces, mm.
    pub(super) fn widest_mm(&self) -> f64 {
        self.built.pieces.iter().map(|p| p.od_mm.max(p.end_od_mm()) / 2.0).fold(0.0, f64::max)
    }

    /// Mark of a piece.
    pub(super) fn mark(&self, piece: usize) -> &str {
        self.built.pieces.get(piece).map_or("", |p| p.mark.as_str())
    }

    /// The style of the joint that a piece is.
    fn style(&self, piece: usize) -> Option<JointStyle> {
        match self.built.pieces.get(piece)?.kind {
            PieceKind::Joint(id) => Some(self.project.joint(id)?.style),
            PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Taper(_) => None,
        }
    }

    /// Whether a piece is a hose: rubber or cloth, which heat harms.
    pub(super) fn is_hose(&self, piece: usize) -> bool {
        self.style(piece) == Some(JointStyle::HoseAndClamps)
    }

    /// The bodies that parts of the run move with, each once.
    pub(super) fn bodies(&self) -> Vec<&'a Body> {
        let body = |port: Option<&Hardpoint>| port.and_then(|h| self.project.body(h.body));
        let Some(from) = body(self.start) else { return Vec::new() };
        std::iter::once(from).chain(body(self.end).filter(|to| to.id != from.id)).collect()
    }

    /// The bodies that parts of the run move with, and those parts. Up to the first joint that gives it goes with the body it starts
    /// on, from the last one on with the body it ends on; what is between is held by neither alone and counts with
    /// both. Where nothing gives, all of it counts with both.
    pub(super) fn carriers(&self) -> Vec<(&'a Body, Vec<PlacedSolid>)> {
        let (from, to) = match self.bodies()[..] {
            [from, to] => (from, to),
            [one] => return vec![(one, self.solids.clone())],
            _ => return Vec::new(),
        };
        let gives = |piece: &usize| self.style(*piece).is_some_and(JointStyle::is_flexible);
        let pieces = self.built.pieces.len();
        let (first, last) = match ((0..pieces).find(gives), (0..pieces).rev().find(gives)) {
            (Some(first), Some(last)) => (first, last),
            _ => (pieces, 0),
        };
        let part = |wanted: &dyn Fn(usize) -> bool| {
            self.solids.iter().copied().filter(|s| wanted(s.piece)).collect()
        };
        // the joints that give, and what lies between them, belong to both
        vec![(from, part(&|piece| piece <= last.max(first))), (to, part(&|piece| piece >= first.min(last)))]
    }
}

/// The room for the tools of all joints that have one.
fn tools(project: &Project, built: &Built) -> Vec<ToolSolids> {
    let of = |(piece, (made, frames)): (
        usize,
        (&crate::fab::Piece, &(crate::geom::Frame, crate::geom::Frame)),
    )| {
        let PieceKind::Joint(id) = made.kind else { return None };
        let kind = project.joint(id)?;
        let (tool, lobe) = (kind.tool?, TurningPart::lobe(kind, 0.0)?);
        let room = if tool.swing_deg > 0.0 {
            lobe.tool_swing(tool.reach_mm, tool.swing_deg.to_radians(), 0.0)
        } else {
            lobe.tool_box(tool.reach_mm, tool.width_mm, 0.0)
        };
        let middle = frames.0.forward(made.centre_mm / 2.0);
        Some(ToolSolids {
            piece,
            part: None,
            solids: room.solids(&middle, made.lobe_clock_rad.unwrap_or(0.0)),
        })
    };
    let removal = |(i, part): (usize, &BuiltPart)| {
        let room = part.removal?;
        Some(ToolSolids { piece: part.piece, part: Some(i), solids: vec![room] })
    };
    let joints = built.pieces.iter().zip(&built.frames).enumerate().filter_map(of);
    joints.chain(built.parts.iter().enumerate().filter_map(removal)).collect()
}

/// A run's solids without its stubs, for one pair of stub lengths.
pub(super) struct Trimmed {
    key: (f64, f64),
    /// The solids with what they belong to.
    pub(super) placed: Vec<PlacedSolid>,
    /// The same solids alone.
    pub(super) bare: Vec<Solid>,
}

/// The trimmed forms of a run that have been needed so far: few, and each serves many obstacles.
pub(super) struct Trims<'a, 'b> {
    pub(super) subject: &'b Subject<'a>,
    made: Vec<Trimmed>,
}

impl<'a, 'b> Trims<'a, 'b> {
    /// None made yet.
    pub(super) fn new(subject: &'b Subject<'a>) -> Self {
        Self { subject, made: Vec::new() }
    }

    /// The solids without the first `start_mm` and the last `end_mm`.
    pub(super) fn get(&mut self, start_mm: f64, end_mm: f64) -> &Trimmed {
        let same = |t: &Trimmed| t.key.0.total_cmp(&start_mm).is_eq() && t.key.1.total_cmp(&end_mm).is_eq();
        let index = self.made.iter().position(same).unwrap_or_else(|| {
            let placed = trimmed(self.subject, &self.subject.solids, start_mm, end_mm);
            let bare = placed.iter().map(|p| p.solid).collect();
            self.made.push(Trimmed { key: (start_mm, end_mm), placed, bare });
            self.made.len() - 1
        });
        &self.made[index]
    }
}

/// Of `solids` what is left without the first `start_mm` and the last `end_mm` of the run's centreline.
pub(in crate::report) fn trimmed(
    subject: &Subject<'_>,
    solids: &[PlacedSolid],
    start_mm: f64,
    end_mm: f64,
) -> Vec<PlacedSolid> {
    if start_mm <= 0.0 && end_mm <= 0.0 {
        return solids.to_vec();
    }
    let stop = subject.total_mm - end_mm;
    let within = |placed: &PlacedSolid| {
        // what stands out of the pipe near a face counts whole; what lies along it goes with the pipe
        let stands_out =
            placed.part.and_then(|i| subject.built.parts.get(i)).is_some_and(BuiltPart::stands_out);
        if stands_out { Some(*placed) } else { stretch_of(placed, start_mm, stop) }
    };
    solids.iter().filter_map(within).collect()
}

/// What of a solid lies between two places of the run's centreline, mm; a body that cannot be cut counts only where all of
/// it does.
pub(in crate::report) fn stretch_of(
    placed: &PlacedSolid,
    start_mm: f64,
    stop_mm: f64,
) -> Option<PlacedSolid> {
    let (from, to) = placed.span_mm;
    let (begin, finish) = (from.max(start_mm), to.min(stop_mm));
    if begin <= from && finish >= to {
        return Some(*placed);
    }
    if finish - begin <= NO_LENGTH_MM {
        return None;
    }
    let (lead, tail) = (begin - from, to - finish);
    let solid = match placed.solid {
        Solid::Barrel(b) => Solid::Barrel(Barrel {
            start: b.start.forward(lead),
            length_mm: b.length_mm - lead - tail,
            start_normal: if lead > 0.0 { b.start.travel } else { b.start_normal },
            end_normal: if tail > 0.0 { b.start.travel } else { b.end_normal },
            ..b
        }),
        Solid::Elbow(e) => {
            let start = e.frame_at(lead / e.clr_mm);
            Solid::Elbow(Elbow {
                start,
                toward: start.at_clock(e.start.clock_of(e.toward)),
                angle_rad: e.angle_rad - (lead + tail) / e.clr_mm,
                ..e
            })
        }
        Solid::Frustum(f) => Solid::Frustum(f.part(lead, f.length_mm - tail)),
        Solid::Drum(d) if placed.part.is_some() => {
            Solid::Drum(Drum { start: d.start.forward(lead), length_mm: d.length_mm - lead - tail, ..d })
        }
        // a joint at the face belongs to the part
        Solid::Drum(Drum { .. }) | Solid::Block(_) => return None,
    };
    Some(PlacedSolid { solid, span_mm: (begin, finish), ..*placed })
}
