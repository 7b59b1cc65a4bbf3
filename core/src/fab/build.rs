//! From the polyline to pieces, welds and solids, in order of travel.

mod occupy;
mod pieces;

use super::hole::HoleCut;
use super::lay::{lay, solids};
use super::mitre::Mitre;
use super::part::BuiltPart;
use super::piece::{Cut, Piece, PieceKind};
use super::route::{Bend, Make, Route, trace};
use super::slash::slash;
use super::weld::{Weld, welds};
use crate::finding::{PieceProblem, Problem, RouteProblem, Severity};
use crate::geom::tolerance::{LAID_MM, LAID_RAD, LIP_MM, SAME_CLOCK_RAD, SAME_OD_MM};
use crate::geom::vector::angle_between;
use crate::geom::{Block, Drum, Frame, Solid};
use crate::model::letters::MarkKind;
use crate::model::{JointKind, Project, Run, RunEnd, RunId, Vertex};
use glam::DVec3;
use occupy::occupy;
use pieces::pieces;
use std::f64::consts::PI;

/// A solid of the built run and what it belongs to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacedSolid {
    /// The solid.
    pub solid: Solid,
    /// Index of its piece.
    pub piece: usize,
    /// Whether it is a joint's lobe.
    pub lobe: bool,
    /// Index of the small part it belongs to; none for what the run itself is made of.
    pub part: Option<usize>,
    /// Centreline length from the start of the run to the solid's start and end, mm.
    pub span_mm: (f64, f64),
}

/// A run worked out: everything shown, printed or checked comes from here.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Built {
    /// The polyline; `None` where there is none.
    pub route: Option<Route>,
    /// Pieces in order; empty where the run cannot be built as drawn.
    pub pieces: Vec<Piece>,
    /// Start and end frame of each piece.
    pub frames: Vec<(Frame, Frame)>,
    /// Welds in order.
    pub welds: Vec<Weld>,
    /// Solids in order.
    pub solids: Vec<PlacedSolid>,
    /// Holes in its pieces for what is welded on.
    pub holes: Vec<HoleCut>,
    /// Small parts on its legs, in order along it.
    pub parts: Vec<BuiltPart>,
    /// Runs that it meets beside a header that both sit on.
    pub meets: Vec<RunId>,
    /// What is wrong, where in space, and at which vertex.
    pub problems: Problems,
}

impl Built {
    /// Whether it can be built as drawn.
    pub fn is_buildable(&self) -> bool {
        !self.pieces.is_empty()
    }

    /// Takes away what is made of pieces: it cannot be built as drawn.
    pub fn clear(&mut self) {
        self.pieces.clear();
        self.frames.clear();
        self.welds.clear();
        self.solids.clear();
        self.holes.clear();
        self.parts.clear();
        self.meets.clear();
    }

    /// The solids of its small parts, what is screwed in among them.
    pub fn part_solids(&self) -> impl Iterator<Item = PlacedSolid> + '_ {
        self.parts.iter().enumerate().flat_map(|(i, part)| {
            part.all_solids().map(move |solid| PlacedSolid {
                solid: *solid,
                piece: part.piece,
                lobe: false,
                part: Some(i),
                span_mm: part.span_mm,
            })
        })
    }

    /// All its solids with those of its small parts, in order of where they begin.
    pub fn all_solids(&self) -> Vec<PlacedSolid> {
        let mut all = self.solids.clone();
        if !self.parts.is_empty() {
            all.extend(self.part_solids());
            all.sort_by(|a, b| a.span_mm.0.total_cmp(&b.span_mm.0));
        }
        all
    }

    /// Where the pieces really end when laid end to end.
    pub fn end(&self) -> Option<Frame> {
        self.frames.last().map(|f| f.1)
    }
}

/// Problems with where they are in space and the vertex they hang on.
pub type Problems = Vec<(Problem, Option<DVec3>, Option<Vertex>)>;

/// Works out `run` by itself. Ends that sit on other pipes are square here: [`super::ends::build_all`] shapes them.
pub fn build(project: &Project, run: &Run) -> Built {
    let mut built = Built::default();
    let mut route = match trace(project, run) {
        Ok(route) => route,
        Err(problem) => {
            built.problems.push((problem.into(), None, None));
            return built;
        }
    };
    built.problems.extend(route.problems.drain(..).map(|(p, at, v)| (p, Some(at), v)));
    check_ports(project, run, &route, &mut built.problems);
    let items = occupy(project, run, &route, &mut built.problems);
    let stopped = built.problems.iter().any(|(p, ..)| p.severity() == Severity::Stop);
    if !stopped {
        built.pieces = pieces(run.id, &route, &items);
        mark(&mut built.pieces, &run.letters);
        if let Some(problem) = slash(project, run, &mut built.pieces) {
            let at = route.points.last().copied();
            built.problems.push((problem.into(), at, Some(Vertex::Open)));
        }
        check_pieces(project, &route, &built.pieces, &mut built.problems);
        check_saw(project, &route, &built.pieces, &mut built.problems);
        check_faces(run, &route, &built.pieces, &mut built.problems);
        check_end(&route, &built.pieces, &mut built.problems);
        if built.problems.iter().any(|(p, ..)| p.severity() == Severity::Stop) {
            built.pieces.clear();
        }
    }
    built.frames = lay(route.start, &built.pieces);
    let part = |id| project.hardpoint(id).filter(|h| h.is_welded()).map(|h| h.name.as_str());
    let end_part = match run.end {
        RunEnd::Hardpoint { hardpoint, .. } => part(hardpoint),
        RunEnd::Open { .. } => None,
    };
    built.welds = welds(project, &built.pieces, part(run.start), end_part);
    mark_welds(&mut built.welds, &run.letters);
    check_lips(&mut built);
    built.solids = place(project, &built.pieces, &built.frames);
    built.route = Some(route);
    built
}

fn check_ports(project: &Project, run: &Run, route: &Route, problems: &mut Problems) {
    let end = match run.end {
        RunEnd::Hardpoint { hardpoint, .. } => project.hardpoint(hardpoint),
        RunEnd::Open { .. } => None,
    };
    let start = project.hardpoint(run.start).map(|port| (port, &route.tube));
    for (port, tube) in start.into_iter().chain(end.map(|port| (port, route.last_tube()))) {
        if (port.od_mm - tube.od_mm).abs() > SAME_OD_MM {
            let problem = Problem::Route(RouteProblem::PortSize {
                hardpoint: port.name.clone(),
                port_od_mm: port.od_mm,
                tube_od_mm: tube.od_mm,
            });
            problems.push((problem, Some(port.position_mm), None));
        }
    }
}

/// Length and cut that a mitred bend gives the end of the tube after (or before) it; nothing for an elbow.
fn mitred_end(bend: Option<&Bend>, after: bool) -> (f64, Cut) {
    match bend.map(|b| (&b.make, b.throat_clock_rad)) {
        Some((Make::Mitred(mitre), throat)) => {
            (mitre.end_mm(after), Cut::tilted(mitre.end_cut_rad(after), throat + PI))
        }
        Some((Make::Elbow(_), _)) | None => (0.0, Cut::SQUARE),
    }
}

/// How far the tube after (or before) a bend goes on straight all round past the tangent point, mm: the throat of
/// the half slice of half ends.
fn beyond_mm(route: &Route, bend: usize, after: bool) -> f64 {
    let (end_mm, cut) = mitred_end(route.bends.get(bend), after);
    (end_mm - route.tube_of_bend(bend).od_mm / 2.0 * cut.tilt_rad.tan()).max(0.0)
}

/// Marks tube and elbows `A1, A2…` and joints `AJ1, AJ2…` for the run lettered `A`.
fn mark(pieces: &mut [Piece], letters: &str) {
    let (mut tube, mut joint) = (0, 0);
    for piece in pieces {
        let (kind, number) = if matches!(piece.kind, PieceKind::Joint(_)) {
            (MarkKind::Joint, &mut joint)
        } else {
            (MarkKind::Piece, &mut tube)
        };
        *number += 1;
        piece.mark = kind.mark(letters, *number);
    }
}

/// Marks welds `AW1, AW2…` for the run lettered `A`.
pub(super) fn mark_welds(welds: &mut [Weld], letters: &str) {
    for (i, weld) in welds.iter_mut().enumerate() {
        weld.mark = MarkKind::Weld.mark(letters, i + 1);
    }
}

fn check_pieces(project: &Project, route: &Route, pieces: &[Piece], problems: &mut Problems) {
    let mut told: Option<Option<usize>> = None;
    for (piece, (from, to)) in pieces.iter().zip(lay(route.start, pieces)).filter(|(p, _)| p.is_sawn()) {
        let Some((problem, vertex)) = check_piece(project, route, piece) else { continue };
        if matches!(problem, Problem::Piece(PieceProblem::ThroatShort { .. })) {
            // one sentence for all the equal slices of a bend
            if piece.bend.is_some() && told == Some(piece.bend) {
                continue;
            }
            told = Some(piece.bend);
        }
        problems.push((problem, Some(from.origin.midpoint(to.origin)), vertex));
    }
}

/// Whether a piece leaves something to hold between its ends.
pub(super) fn check_piece(
    project: &Project,
    route: &Route,
    piece: &Piece,
) -> Option<(Problem, Option<Vertex>)> {
    let least_mm = project.settings.shortest_throat_mm;
    let (_, short) = piece.long_short_mm();
    let mark = piece.mark.clone();
    let bend = piece.bend.map(|b| &route.bends[b]);
    let vertex = bend.map(|b| b.vertex);
    let twisted = piece.twist_rad().is_some_and(|t| t.abs() > SAME_CLOCK_RAD);
    if short < 0.0 {
        let fewer_degrees = !twisted && piece.bend.is_some();
        Some((Problem::Piece(PieceProblem::CutsCross { mark, by_mm: -short, fewer_degrees }), vertex))
    } else if short < least_mm {
        let clr_mm = bend.and_then(|b| match &b.make {
            Make::Mitred(m) => Some(Mitre::least_clr_mm(m, least_mm)),
            Make::Elbow(_) => None,
        });
        Some((Problem::Piece(PieceProblem::ThroatShort { mark, throat_mm: short, least_mm, clr_mm }), vertex))
    } else {
        None
    }
}

/// No cut is steeper than the saw can be set; one sentence a bend.
fn check_saw(project: &Project, route: &Route, pieces: &[Piece], problems: &mut Problems) {
    let most_rad = project.settings.saw.most_deg.to_radians();
    for (number, bend) in route.bends.iter().enumerate() {
        let Make::Mitred(mitre) = &bend.make else { continue };
        if mitre.saw_rad() <= most_rad + 1e-9 {
            continue;
        }
        let heel = crate::geom::vector::half_open_turn(bend.throat_clock_rad + PI);
        let is_its = |p: &&Piece| {
            p.is_sawn()
                && [p.start, p.end].iter().any(|c| {
                    (c.tilt_rad - mitre.saw_rad()).abs() < 1e-9
                        && c.heel_clock_rad.is_some_and(|h| (h - heel).abs() < SAME_CLOCK_RAD)
                })
        };
        let mark = pieces.iter().find(is_its).map_or_else(String::new, |p| p.mark.clone());
        let more = u32::from(mitre.ends == crate::model::Ends::Full);
        let welds = (bend.angle_rad / (2.0 * most_rad)).ceil() as u32 + more;
        let problem = Problem::Piece(PieceProblem::SawLimit {
            bend: number + 1,
            mark,
            saw_rad: mitre.saw_rad(),
            most_rad,
            welds,
        });
        problems.push((problem, Some(bend.point), Some(bend.vertex)));
    }
}

/// The pipe begins and ends square, but for an open end that is slashed.
fn check_faces(run: &Run, route: &Route, pieces: &[Piece], problems: &mut Problems) {
    let first = pieces.first().filter(|p| p.start.tilt_rad > 0.0).map(|p| (true, p));
    let slashed = |p: &Piece| {
        let cut = matches!(run.end, RunEnd::Open { slash: Some(s), .. } if s.tilt_deg > 0.0);
        cut && p.kind == PieceKind::Straight
    };
    let last = pieces.last().filter(|p| p.end.tilt_rad > 0.0 && !slashed(p)).map(|p| (false, p));
    for (at_start, piece) in [first, last].into_iter().flatten() {
        let bend = piece.bend.unwrap_or(if at_start { 0 } else { route.bends.len() - 1 });
        let at = route.bends.get(bend);
        problems.push((
            Problem::Piece(PieceProblem::FullEndAtFace { bend: bend + 1, at_start }),
            at.map(|b| b.point),
            at.map(|b| b.vertex),
        ));
    }
}

/// Laid end to end, the pieces end where the run ends. Everything that is printed and every gap rests on that.
fn check_end(route: &Route, pieces: &[Piece], problems: &mut Problems) {
    let (Some(wanted), Some(&(_, laid))) = (route.end(), lay(route.start, pieces).last()) else { return };
    let offset_mm = laid.origin.distance(wanted.origin);
    let angle_rad = angle_between(laid.travel, wanted.travel);
    // written so that what is no number is not good enough
    if !(offset_mm <= LAID_MM && angle_rad <= LAID_RAD) {
        problems.push((
            Problem::Piece(PieceProblem::PiecesMissEnd { offset_mm, angle_rad }),
            Some(wanted.origin),
            None,
        ));
    }
}

/// Two mitred faces of one tilt turned by a clock angle against each other stand apart by
/// `r(1/cos α − 1)·|sin turn|`, mm (exact to the first order of the small difference of the ellipse's axes).
pub fn lip_mm(radius_mm: f64, tilt_rad: f64, turn_rad: f64) -> f64 {
    radius_mm * (1.0 / tilt_rad.cos() - 1.0) * turn_rad.sin().abs()
}

/// Welds whose two faces are turned against each other so that a lip stays.
pub(super) fn check_lips(built: &mut Built) {
    for weld in &built.welds {
        let Some(pair) = weld.before.checked_sub(1).and_then(|i| built.pieces.get(i..i + 2)) else {
            continue;
        };
        let (end, start) = (pair[0].end, pair[1].start);
        let (Some(a), Some(b)) = (end.heel_clock_rad, start.heel_clock_rad) else { continue };
        let turn_rad = crate::geom::vector::half_open_turn(b - a);
        let lip = lip_mm(pair[0].od_mm / 2.0, end.tilt_rad.max(start.tilt_rad), turn_rad);
        if lip > LIP_MM {
            let problem =
                Problem::Piece(PieceProblem::Lip { weld: weld.mark.clone(), lip_mm: lip, turn_rad });
            let spot = built.frames.get(weld.before).map(|f| f.0.origin);
            built.problems.push((problem, spot, None));
        }
    }
}

fn place(project: &Project, pieces: &[Piece], frames: &[(Frame, Frame)]) -> Vec<PlacedSolid> {
    let mut out = Vec::with_capacity(pieces.len() + 4);
    let mut at_mm = 0.0;
    for (i, (piece, (begin, _))) in pieces.iter().zip(frames).enumerate() {
        let whole = (at_mm, at_mm + piece.centre_mm);
        let mut add =
            |solid, lobe, span_mm| out.push(PlacedSolid { solid, piece: i, lobe, part: None, span_mm });
        if let PieceKind::Joint(id) = piece.kind {
            if let Some(kind) = project.joint(id) {
                let (body, lobe) = joint_solids(kind, piece, begin);
                add(body, false, whole);
                if let Some(lobe) = lobe {
                    add(lobe, true, whole);
                }
            }
        } else {
            let mut from_mm = at_mm;
            for solid in solids(begin, piece) {
                let to_mm = from_mm + centreline_mm(&solid);
                add(solid, false, (from_mm, to_mm));
                from_mm = to_mm;
            }
        }
        at_mm = whole.1;
    }
    out
}

/// Length of a solid along the pipe, mm.
fn centreline_mm(solid: &Solid) -> f64 {
    match solid {
        Solid::Barrel(barrel) => barrel.length_mm,
        Solid::Elbow(elbow) => elbow.clr_mm * elbow.angle_rad,
        Solid::Drum(drum) => drum.length_mm,
        Solid::Block(_) => 0.0,
        Solid::Frustum(frustum) => frustum.length_mm,
    }
}

/// Body and lobe of a joint about the middle of its make-up.
pub fn joint_solids(kind: &JointKind, piece: &Piece, begin: &Frame) -> (Solid, Option<Solid>) {
    let middle = begin.forward(piece.centre_mm / 2.0);
    let body = Drum {
        start: middle.forward(-kind.body_width_mm / 2.0),
        length_mm: kind.body_width_mm,
        radius_mm: kind.body_od_mm / 2.0,
    };
    let lobe = kind.lobe.map(|lobe| {
        let out = middle.at_clock(piece.lobe_clock_rad.unwrap_or(0.0));
        // from just inside the body's skin, so that the two are one to the eye
        let inner = (kind.od_mm / 2.0).min(lobe.reach_mm);
        Solid::Block(Block {
            centre: middle.origin + out * f64::midpoint(inner, lobe.reach_mm),
            axes: [middle.travel, out, middle.travel.cross(out)],
            half_mm: DVec3::new(lobe.length_mm, lobe.reach_mm - inner, lobe.width_mm) / 2.0,
        })
    });
    (Solid::Drum(body), lobe)
}

#[cfg(test)]
mod tests;
