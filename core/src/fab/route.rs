//! The polyline of a run: legs, bends, rolls and clock angles, before anything is cut.

pub mod taper;

use super::mitre::{Division, Mitre};
use crate::finding::{Problem, RouteProblem};
use crate::geom::Frame;
use crate::geom::tolerance::{
    COINCIDENT_MM, ELBOW_SHORT_RAD, LEAST_REACH_MM, MAX_BEND_RAD, NO_BEND_RAD, OVERLAP_MM, PARALLEL_RAD,
    SAME_OD_MM,
};
use crate::geom::vector::{across, angle_between, half_open_turn, unit};
use crate::model::{BendMake, ElbowStock, Ends, Hardpoint, Project, Run, RunEnd, Tube, Vertex};
use crate::units::paper_step_mm;
use glam::DVec3;
use taper::{Base, RouteTaper};

/// A straight leg between two vertices.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leg {
    /// Start vertex with the leg's direction and the index line carried that far.
    pub frame: Frame,
    /// Vertex to vertex, mm.
    pub length_mm: f64,
    /// Where its straight begins, from the start vertex, mm: the tangent length of the bend there.
    pub begin_mm: f64,
    /// Where its straight ends, from the start vertex, mm.
    pub finish_mm: f64,
}

impl Leg {
    /// Straight between the tangent points, mm; negative where the bends overlap.
    pub fn straight_mm(&self) -> f64 {
        self.finish_mm - self.begin_mm
    }

    /// The line `along_mm` from the start vertex, without offsets of tapers on it: see [`Route::at`].
    fn at(&self, along_mm: f64) -> Frame {
        self.frame.forward(along_mm)
    }
}

/// How a bend is made, with what that needs looked up.
#[derive(Debug, Clone, PartialEq)]
pub enum Make {
    /// From this elbow.
    Elbow(ElbowStock),
    /// From slices.
    Mitred(Mitre),
}

/// A bend between two legs.
#[derive(Debug, Clone, PartialEq)]
pub struct Bend {
    /// Which vertex of the run it stands at.
    pub vertex: Vertex,
    /// Where that is, mm.
    pub point: DVec3,
    /// Deflection, rad.
    pub angle_rad: f64,
    /// Centreline radius, mm.
    pub clr_mm: f64,
    /// Roll of its plane against the bend before, rad; `None` for the first.
    pub roll_rad: Option<f64>,
    /// Clock angle of its inside (towards the bend centre), rad; the same before and after the bend.
    pub throat_clock_rad: f64,
    /// How it is made.
    pub make: Make,
}

impl Bend {
    /// Distance from the vertex to the tangent points, mm: `R·tan(θ/2)`.
    pub fn tangent_mm(&self) -> f64 {
        self.clr_mm * (self.angle_rad.min(MAX_BEND_RAD) / 2.0).tan()
    }
}

/// Where a leg as entered lies on the route: straight-through vertices join legs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LegPlace {
    /// Which leg of the route.
    pub leg: usize,
    /// Distance along that leg from its start vertex to where stations of the entered leg count from, mm.
    pub offset_mm: f64,
}

impl Route {
    /// The centre line `station_mm` from where the straight of a leg as entered begins, with travel and index line;
    /// `None` where there is no such leg.
    pub fn on_leg(&self, leg: usize, station_mm: f64) -> Option<Frame> {
        let place = self.places.get(leg)?;
        self.at(place.leg, place.offset_mm + station_mm)
    }
}

/// A run as a polyline with everything that follows from the vertices alone.
#[derive(Debug, Clone, PartialEq)]
pub struct Route {
    /// The tube it is made of, up to its first taper.
    pub tube: Tube,
    /// Tapers in order.
    pub tapers: Vec<RouteTaper>,
    /// Hardpoint face with 12 o'clock.
    pub start: Frame,
    /// P0..Pn without vertices that turn nothing, mm.
    pub points: Vec<DVec3>,
    /// The same with what follows an offset taper pushed back into line, mm: directions and lengths are theirs.
    pub plain: Vec<DVec3>,
    /// Legs in order.
    pub legs: Vec<Leg>,
    /// Bends in order, one fewer than legs.
    pub bends: Vec<Bend>,
    /// For each leg as entered, where it lies.
    pub places: Vec<LegPlace>,
    /// What is wrong with it.
    pub problems: Vec<(Problem, DVec3, Option<Vertex>)>,
}

struct Node {
    /// On the plain line.
    point: DVec3,
    /// How far the true line is off it, mm.
    off: DVec3,
    vertex: Option<Vertex>,
}

/// The polyline of `run`.
///
/// # Errors
/// The problem that leaves no polyline at all: something the run refers to is not there, a hardpoint without a
/// direction, or no length.
pub fn trace(project: &Project, run: &Run) -> Result<Route, RouteProblem> {
    let tube = project.tube(run.tube).ok_or(RouteProblem::Missing { what: "tube", id: run.tube.0 })?;
    let face = port(project, run.start)?;
    let (nodes, shifts, settled) = vertices(project, run, &face)?;
    let mut problems = Vec::new();
    let Straightened { points, kept, places, off } = straighten(&nodes, &mut problems);
    if points.len() < 2 {
        return Err(RouteProblem::NoLength);
    }
    check_reaches(run, &nodes, &mut problems);
    let entered = nodes.len() - 1;
    problems.extend(
        taper::problems(run, entered, settled).into_iter().map(|p| (p.into(), points[0] + off[0], None)),
    );
    let tapers = taper::ordered(run, entered);
    let tubes = taper::tubes(project, &tapers)?;
    // the tube of the bend after a leg
    let tube_after = |leg: usize| {
        let past = tapers.iter().zip(&tubes).take_while(|(t, _)| places[t.leg].0 <= leg);
        past.last().map_or(tube, |(_, after)| *after)
    };
    let first = unit(points[1] - points[0]).ok_or(RouteProblem::NoLength)?;
    let start = Frame::new(points[0], first, face.index);

    let mut legs: Vec<Leg> = Vec::with_capacity(points.len() - 1);
    let mut bends: Vec<Bend> = Vec::with_capacity(points.len().saturating_sub(2));
    let mut frame = start;
    for i in 0..points.len() - 1 {
        let span = points[i + 1] - points[i];
        let length_mm = span.length();
        frame.origin = points[i] + off[i];
        legs.push(Leg { frame, length_mm, begin_mm: 0.0, finish_mm: length_mm });
        let (Some(next), Some(vertex)) = (points.get(i + 2), kept[i + 1]) else { continue };
        let Some(way) = unit(*next - points[i + 1]) else { continue };
        let angle_rad = angle_between(frame.travel, way);
        let throat_clock_rad = frame.clock_of(way);
        let tube = tube_after(i);
        let (make, clr_mm) = resolve(project, run, vertex, angle_rad, tube.od_mm)?;
        let roll_rad = bends.last().map(|b: &Bend| half_open_turn(throat_clock_rad - b.throat_clock_rad));
        let point = points[i + 1] + off[i + 1];
        let bend = Bend { vertex, point, angle_rad, clr_mm, roll_rad, throat_clock_rad, make };
        check_bend(project, run, &bend, (bends.len() + 1, tube), &mut problems);
        bends.push(bend);
        frame = frame.tilted(throat_clock_rad, angle_rad);
        // keep to the entered polyline: what turning leaves of rounding would add up along a long run
        frame = Frame::new(point, way, frame.index);
    }
    for (i, bend) in bends.iter().enumerate() {
        legs[i].finish_mm -= bend.tangent_mm();
        legs[i + 1].begin_mm = bend.tangent_mm();
    }
    for (i, leg) in legs.iter().enumerate() {
        // a bend that turns back has been told of already; its tangent points mean nothing
        let turns_back = |b: Option<&Bend>| b.is_some_and(|b| b.angle_rad > MAX_BEND_RAD);
        let told = turns_back(bends.get(i)) || turns_back(i.checked_sub(1).and_then(|b| bends.get(b)));
        if leg.straight_mm() < -OVERLAP_MM && !told {
            let problem = Problem::Route(RouteProblem::BendsOverlap {
                leg: i + 1,
                by_mm: -leg.straight_mm(),
                first: (i > 0).then_some(i),
                second: (i < bends.len()).then_some(i + 1),
                largest_mm: largest_mm(project, (&legs, &bends), i, tube_after(i).od_mm),
            });
            let middle = leg.frame.forward(leg.length_mm / 2.0).origin;
            problems.push((
                problem,
                middle,
                bends.get(i.min(bends.len().saturating_sub(1))).map(|b| b.vertex),
            ));
        }
    }
    let places: Vec<LegPlace> = places
        .into_iter()
        .map(|(leg, at_vertex, along_mm)| LegPlace {
            leg,
            offset_mm: if at_vertex { legs[leg].begin_mm } else { along_mm },
        })
        .collect();
    let tapers = taper::placed(&tapers, &tubes, &places, &legs, (tube, &shifts));
    let plain = points.clone();
    let points = points.iter().zip(&off).map(|(p, off)| *p + *off).collect();
    Ok(Route { tube: tube.clone(), tapers, start, points, plain, legs, bends, places, problems })
}

/// The largest centreline radius with which the bends at both ends of a leg find room, all others as they are, mm, on a step
/// of the tape; `None` where that leaves no bend, as where the slices would have no throat.
fn largest_mm(project: &Project, (legs, bends): (&[Leg], &[Bend]), leg: usize, od_mm: f64) -> Option<f64> {
    let here = [leg.checked_sub(1), Some(leg)].into_iter().flatten().filter(|b| *b < bends.len());
    let here: Vec<usize> = here.collect();
    let half = |b: usize| (bends[b].angle_rad / 2.0).tan();
    let mut most_mm = legs[leg].length_mm / here.iter().map(|b| half(*b)).sum::<f64>();
    for b in &here {
        // the leg on its other side, with the bend that is there
        let (other, far) = if *b == leg { (leg + 1, leg + 1) } else { (leg - 1, leg.wrapping_sub(2)) };
        let taken_mm = bends.get(far).map_or(0.0, Bend::tangent_mm);
        most_mm = most_mm.min((legs.get(other)?.length_mm - taken_mm) / half(*b));
    }
    let step_mm = paper_step_mm(project.settings.units);
    let most_mm = (most_mm / step_mm).floor() * step_mm;
    (most_mm > od_mm / 2.0).then_some(most_mm)
}

/// What is wrong with 12 o'clock of a hardpoint: where it lies along the way the hardpoint points, clocks count from
/// elsewhere. `None` also where the hardpoint has no direction at all, or its 12 o'clock follows from what it sits on.
pub fn clock_problem(port: &Hardpoint) -> Option<RouteProblem> {
    let face = port.outward().filter(|_| port.seat.is_none())?;
    let says_nothing = across(port.clock, face.travel).is_none();
    says_nothing.then(|| RouteProblem::ClockAlong { hardpoint: port.name.clone(), really: face.index })
}

fn port(project: &Project, id: crate::model::HardpointId) -> Result<Frame, RouteProblem> {
    let hardpoint = project.hardpoint(id).ok_or(RouteProblem::Missing { what: "hardpoint", id: id.0 })?;
    hardpoint.outward().ok_or_else(|| RouteProblem::NoDirection { hardpoint: hardpoint.name.clone() })
}

/// The points of a run as entered, on the plain line; how far each leg is set aside, and whether that has settled.
fn vertices(
    project: &Project,
    run: &Run,
    face: &Frame,
) -> Result<(Vec<Node>, Vec<DVec3>, bool), RouteProblem> {
    let mut entered =
        vec![(face.origin, None), (face.forward(run.start_corner.reach_mm).origin, Some(Vertex::Start))];
    entered.extend(run.waypoints.iter().map(|w| (w.position_mm, Some(Vertex::Way(w.id)))));
    let end_corner = match run.end {
        RunEnd::Hardpoint { hardpoint, corner } => {
            let end = port(project, hardpoint)?;
            entered.push((end.forward(corner.reach_mm).origin, Some(Vertex::End)));
            entered.push((end.origin, None));
            true
        }
        RunEnd::Open { position_mm, .. } => {
            entered.push((position_mm, None));
            false
        }
    };
    let base = Base { points: entered.iter().map(|(p, _)| *p).collect(), end_corner };
    let (shifts, settled) = taper::shifts(run, &base, face);
    let plain = base.plain(&shifts).into_iter().zip(base.off(&shifts));
    let node = |((point, off), (_, vertex))| Node { point, off, vertex };
    Ok((plain.zip(entered).map(node).collect(), shifts, settled))
}

/// How far the true line is off the plain one at each point of the run as entered, mm: what offset tapers before it do.
/// `None` where a hardpoint is missing.
pub fn set_aside(project: &Project, run: &Run) -> Option<Vec<(DVec3, DVec3)>> {
    let (nodes, ..) = vertices(project, run, &port(project, run.start).ok()?).ok()?;
    Some(nodes.iter().map(|n| (n.point, n.off)).collect())
}

/// The corners next to the hardpoints lie in front of their faces.
fn check_reaches(run: &Run, nodes: &[Node], problems: &mut Vec<(Problem, DVec3, Option<Vertex>)>) {
    let end = match run.end {
        RunEnd::Hardpoint { corner, .. } => Some((false, corner.reach_mm, Vertex::End, nodes.len() - 2)),
        RunEnd::Open { .. } => None,
    };
    for (at_start, reach_mm, vertex, node) in
        [Some((true, run.start_corner.reach_mm, Vertex::Start, 1)), end].into_iter().flatten()
    {
        if reach_mm < LEAST_REACH_MM {
            let problem =
                Problem::Route(RouteProblem::BehindFace { at_start, reach_mm, least_mm: LEAST_REACH_MM });
            problems.push((problem, nodes[node].point + nodes[node].off, Some(vertex)));
        }
    }
}

/// What is left of the points of a run as entered.
struct Straightened {
    /// Points kept, on the plain line.
    points: Vec<DVec3>,
    /// The vertex each came from.
    kept: Vec<Option<Vertex>>,
    /// For every leg as entered: its leg, whether it starts at a kept vertex, and how far along the leg it starts.
    places: Vec<(usize, bool, f64)>,
    /// How far the true line is off the plain one at the points kept, mm.
    off: Vec<DVec3>,
}

/// Drops vertices that coincide with the one before or turn (nearly) nothing.
fn straighten(nodes: &[Node], problems: &mut Vec<(Problem, DVec3, Option<Vertex>)>) -> Straightened {
    let mut keep: Vec<usize> = vec![0];
    for (i, node) in nodes.iter().enumerate().skip(1) {
        let last = keep[keep.len() - 1];
        if node.point.distance(nodes[last].point) <= COINCIDENT_MM {
            // of two in one place the end of the run wins, so that it stays where it is
            if i == nodes.len() - 1 && keep.len() > 1 {
                keep.pop();
                keep.push(i);
            }
        } else {
            keep.push(i);
        }
    }
    let mut i = 1;
    while i + 1 < keep.len() {
        let (a, b, c) = (nodes[keep[i - 1]].point, nodes[keep[i]].point, nodes[keep[i + 1]].point);
        let angle = match (unit(b - a), unit(c - b)) {
            (Some(u), Some(w)) => angle_between(u, w),
            _ => 0.0,
        };
        if angle < NO_BEND_RAD {
            if angle > PARALLEL_RAD.max(1e-7) {
                let node = &nodes[keep[i]];
                let problem = Problem::Route(RouteProblem::SmallKink { bend: i, angle_rad: angle });
                problems.push((problem, node.point + node.off, node.vertex));
            }
            keep.remove(i);
        } else {
            i += 1;
        }
    }
    let points: Vec<DVec3> = keep.iter().map(|&k| nodes[k].point).collect();
    let kept = keep.iter().map(|&k| nodes[k].vertex).collect();
    let places = (0..nodes.len() - 1)
        .map(|node| {
            let leg = keep.iter().rposition(|&k| k <= node).unwrap_or(0).min(points.len().saturating_sub(2));
            let along = nodes[node].point.distance(points[leg]);
            (leg, along <= COINCIDENT_MM, along)
        })
        .collect();
    let off = keep.iter().map(|&k| nodes[k].off).collect();
    Straightened { points, kept, places, off }
}

fn resolve(
    project: &Project,
    run: &Run,
    vertex: Vertex,
    angle_rad: f64,
    od_mm: f64,
) -> Result<(Make, f64), RouteProblem> {
    let make = run.make(vertex).unwrap_or(run.start_corner.make);
    match make {
        BendMake::Elbow { elbow } => {
            let stock = project.elbow(elbow).ok_or(RouteProblem::Missing { what: "elbow", id: elbow.0 })?;
            Ok((Make::Elbow(stock.clone()), stock.clr_mm))
        }
        BendMake::Mitred { clr_mm, welds, ends, throat_mm, saw_deg } => {
            let mut mitre = match saw_deg {
                Some(deg) => Mitre::of_batch(angle_rad, clr_mm, od_mm, deg.to_radians(), ends),
                None => Mitre::equal(angle_rad, clr_mm, od_mm, welds, ends),
            };
            if let Some(throat_mm) = throat_mm.filter(|_| mitre.slices() > 0) {
                mitre.clr_mm = mitre.least_clr_mm(throat_mm);
            }
            Ok((Make::Mitred(mitre), mitre.clr_mm))
        }
    }
}

/// The elbow in stock that makes a bend of `angle_rad` in `tube` with the least to cut away, by name.
fn fitting_elbow(project: &Project, tube: &Tube, angle_rad: f64) -> Option<String> {
    project
        .elbows
        .iter()
        .filter(|e| (e.od_mm - tube.od_mm).abs() <= SAME_OD_MM && e.material.welds_to(tube.material))
        .filter(|e| e.angle_rad() + ELBOW_SHORT_RAD >= angle_rad)
        .min_by(|a, b| a.angle_deg.total_cmp(&b.angle_deg).then(a.clr_mm.total_cmp(&b.clr_mm)))
        .map(|e| project.elbow_name(e))
}

/// Whether slices of a batch make the whole bend.
fn check_batch(run: &Run, bend: &Bend, number: usize, say: &mut dyn FnMut(RouteProblem)) {
    let (Some(BendMake::Mitred { saw_deg: Some(deg), ends, .. }), Make::Mitred(mitre)) =
        (run.make(bend.vertex), &bend.make)
    else {
        return;
    };
    let saw_rad = deg.to_radians();
    let Division { whole, rest_rad } = super::mitre::divide(bend.angle_rad, saw_rad);
    if rest_rad == 0.0 {
        return;
    }
    let turns = f64::from(whole) + if rest_rad > saw_rad || whole == 0 { 1.0 } else { 0.0 };
    let multiple_rad = turns * 2.0 * saw_rad;
    let angle_rad = bend.angle_rad;
    match ends {
        Ends::Full => {
            say(RouteProblem::NotMultiple { bend: number, angle_rad, saw_rad, multiple_rad });
        }
        Ends::Half => {
            let odd_rad = mitre.odd_rad.unwrap_or_else(|| mitre.saw_rad());
            say(RouteProblem::OddSlice { bend: number, angle_rad, saw_rad, odd_rad, multiple_rad });
        }
    }
}

fn check_bend(
    project: &Project,
    run: &Run,
    bend: &Bend,
    (number, tube): (usize, &Tube),
    problems: &mut Vec<(Problem, DVec3, Option<Vertex>)>,
) {
    let mut say = |problem: RouteProblem| problems.push((problem.into(), bend.point, Some(bend.vertex)));
    check_batch(run, bend, number, &mut say);
    if bend.angle_rad > MAX_BEND_RAD {
        say(RouteProblem::TurnsBack { bend: number, angle_rad: bend.angle_rad });
    }
    match &bend.make {
        Make::Elbow(stock) => {
            if bend.angle_rad > stock.angle_rad() + ELBOW_SHORT_RAD {
                say(RouteProblem::ElbowShort {
                    bend: number,
                    need_rad: bend.angle_rad,
                    have_rad: stock.angle_rad(),
                    fits: fitting_elbow(project, tube, bend.angle_rad),
                });
            }
            if (stock.od_mm - tube.od_mm).abs() > SAME_OD_MM {
                say(RouteProblem::ElbowSize {
                    bend: number,
                    elbow_od_mm: stock.od_mm,
                    tube_od_mm: tube.od_mm,
                    fits: fitting_elbow(project, tube, bend.angle_rad),
                });
            } else if stock.clr_mm < tube.od_mm / 2.0 {
                say(RouteProblem::RadiusTooSmall {
                    bend: number,
                    clr_mm: stock.clr_mm,
                    least_mm: tube.od_mm / 2.0,
                });
            }
            if stock.material != tube.material {
                say(RouteProblem::ElbowMetal { bend: number, elbow: stock.material, tube: tube.material });
            }
        }
        Make::Mitred(mitre) => {
            let least = Mitre::least_welds(mitre.ends);
            if mitre.welds < least {
                say(RouteProblem::TooFewWelds { bend: number, welds: mitre.welds, least });
            } else if mitre.slices() > 0 && mitre.throat_mm() <= 0.0 {
                // a throat of 1 mm is the least that is still a piece; what can be tacked is checked apart
                let least_mm = mitre.least_clr_mm(1.0);
                say(RouteProblem::RadiusTooSmall { bend: number, clr_mm: mitre.clr_mm, least_mm });
            }
        }
    }
}

#[cfg(test)]
mod tests;
