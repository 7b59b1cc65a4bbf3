//! Small parts on the legs of a run: where each sits, what it is made of, its weld and its hole.

mod bed;
mod bent;
mod form;
mod rules;
#[cfg(test)]
mod tests;

use super::build::{Built, Problems};
use super::foot::Foot;
use super::hole::{HoleCut, HoleShape};
use super::piece::Piece;
use super::route::{Leg, LegPlace, Route};
use super::saddle::HoleSize;
use crate::finding::{Over, PartFault, PartProblem};
use crate::geom::tolerance::OVERLAP_MM;
use crate::geom::vector::full_turn;
use crate::geom::{Frame, Solid};
use crate::model::letters::MarkKind;
use crate::model::{HoleKey, Part, PartId, PartKind, Project, Run};
use crate::units::paper_step_mm;
use bed::{Bed, Block, Limit, beds};
use form::{HoleWanted, Reach, form, reach};
use glam::DVec3;

/// Steps of the tape that are tried to either side for a free place.
const MOST_STEPS: f64 = 4000.0;

/// A small part worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct BuiltPart {
    /// Which part of the run.
    pub id: PartId,
    /// Mark: the run's letters, P, and its number along the run.
    pub mark: String,
    /// Its name.
    pub name: String,
    /// Index of the piece it sits on, that of its middle for a shield.
    pub piece: usize,
    /// The piece's centre line from its start to the part's middle, mm.
    pub along_mm: f64,
    /// The centre line at its middle.
    pub frame: Frame,
    /// Clock angle it stands at, rad.
    pub clock_rad: f64,
    /// Unit direction it stands in.
    pub out: DVec3,
    /// Length of its weld, mm; 0 for what is not welded.
    pub weld_mm: f64,
    /// What is welded, rolled or wrapped on.
    pub solids: Vec<Solid>,
    /// What is screwed or bolted in.
    pub screwed: Option<Solid>,
    /// Room beyond that to take it out.
    pub removal: Option<Solid>,
    /// What it takes of the run's centre line, mm from the run's start.
    pub span_mm: (f64, f64),
    /// For a heat shield, what it does.
    pub shield: Option<BuiltShield>,
    /// Where it stands on the skin; none for a shield, which stands off it.
    pub foot: Option<Foot>,
}

/// What a heat shield does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BuiltShield {
    /// Gap it keeps to what heat harms, mm.
    pub hot_gap_mm: f64,
    /// How far it goes to either side of its clock, rad; π all round.
    pub half_rad: f64,
    /// Its inside radius, mm.
    pub inside_mm: f64,
    /// Its outside radius, mm.
    pub radius_mm: f64,
}

impl BuiltPart {
    /// All that is there: the part and what is screwed in.
    pub fn all_solids(&self) -> impl Iterator<Item = &Solid> {
        self.solids.iter().chain(&self.screwed)
    }

    /// Whether it stands out of the pipe; shields and beads lie along it.
    pub fn stands_out(&self) -> bool {
        self.weld_mm > 0.0 || self.shield.is_some_and(|s| s.half_rad < std::f64::consts::PI - 1e-9)
    }

    /// How far its body goes along the pipe's axis or round it, mm: the radius of what is drawn.
    pub fn reach_mm(&self) -> f64 {
        if let Some(shield) = self.shield {
            return shield.radius_mm;
        }
        let of = |solid: &Solid| match solid {
            Solid::Drum(d) => d.radius_mm,
            Solid::Block(b) => b.half_mm.max_element(),
            Solid::Barrel(_) | Solid::Elbow(_) | Solid::Frustum(_) => 0.0,
        };
        self.solids.iter().map(of).fold(0.0, f64::max)
    }

    /// How far from the centre line it stands out where its middle is, mm, what is screwed in included.
    fn tops_mm(&self) -> f64 {
        let far = |solid: &Solid| {
            let (at, along_mm) = match solid {
                Solid::Drum(d) => (d.start.origin, d.length_mm * d.start.travel.dot(self.out).max(0.0)),
                Solid::Barrel(b) => (b.start.origin, b.length_mm * b.start.travel.dot(self.out).max(0.0)),
                Solid::Frustum(f) => (f.start.origin, f.length_mm * f.start.travel.dot(self.out).max(0.0)),
                Solid::Block(b) => {
                    let reach = |i: usize| b.half_mm[i] * b.axes[i].dot(self.out).abs();
                    (b.centre, reach(0) + reach(1) + reach(2))
                }
                Solid::Elbow(e) => (e.start.origin, 0.0),
            };
            (at - self.frame.origin).dot(self.out) + along_mm
        };
        self.all_solids().map(far).fold(0.0, f64::max)
    }

    /// Whether a point lies behind it, seen from the pipe: a shield goes at least as far round as that.
    pub fn shields(&self, point: DVec3) -> bool {
        self.shield.is_some_and(|s| {
            let off = self.frame.clock_of(point - self.frame.origin) - self.clock_rad;
            crate::geom::vector::half_open_turn(off).abs() <= s.half_rad + 1e-9
        })
    }

    /// The hole that was cut for it.
    pub fn hole<'a>(&self, holes: &'a [HoleCut]) -> Option<&'a HoleCut> {
        holes.iter().find(|h| h.key == HoleKey::Part(self.id))
    }
}

/// Puts the small parts of a run that can be built on its pieces, with holes and problems.
pub fn place(project: &Project, run: &Run, built: &mut Built) {
    let Some(route) = built.route.as_ref().filter(|_| !built.pieces.is_empty()) else { return };
    let bench = Bench { project, run, route, built, starts_mm: starts_mm(&built.pieces) };
    let mut problems: Problems = Vec::new();
    let (mut parts, mut holes) = (Vec::new(), Vec::new());
    for part in &run.parts {
        if let Some((made, hole)) = bench.put(part, &mut problems) {
            holes.extend(hole);
            parts.push(made);
        }
    }
    parts.sort_by(|a, b| a.span_mm.0.midpoint(a.span_mm.1).total_cmp(&b.span_mm.0.midpoint(b.span_mm.1)));
    for (i, part) in parts.iter_mut().enumerate() {
        part.mark = MarkKind::Part.mark(&run.letters, i + 1);
    }
    through_shields(&parts, &mut problems);
    built.parts = parts;
    built.holes.extend(holes);
    built.problems.extend(problems);
}

/// Says which parts of a run stand where something else is welded on: `others`, by name, or a part before them along the run.
pub fn keep_apart(project: &Project, run: &Run, built: &mut Built, others: &[(String, Foot)]) {
    let Some(route) = built.route.as_ref() else { return };
    let bench = Bench { project, run, route, built, starts_mm: starts_mm(&built.pieces) };
    let mut problems: Problems = Vec::new();
    for (i, part) in built.parts.iter().enumerate() {
        let Some(foot) = &part.foot else { continue };
        let before = built.parts[..i].iter().filter_map(|p| Some((&p.name, p.foot.as_ref()?)));
        let mut all = others.iter().map(|(name, foot)| (name, foot)).chain(before);
        let Some((other, _)) = all.find(|(_, other)| foot.meets(other)) else { continue };
        let taken: Vec<&Foot> = others
            .iter()
            .map(|(_, foot)| foot)
            .chain(built.parts.iter().filter(|p| p.id != part.id).filter_map(|p| p.foot.as_ref()))
            .collect();
        let fits = run.parts.iter().find(|p| p.id == part.id).and_then(|p| bench.free(p, foot, &taken));
        let fault = PartFault::OnOther { other: other.clone(), fits };
        let problem = PartProblem { part: part.name.clone(), fault };
        let spot = part.frame.origin + part.out * part.tops_mm().min(bench.radius_mm(part.piece));
        problems.push((problem.into(), Some(spot), None));
    }
    built.problems.extend(problems);
}

/// Centre line from the run's start to the start of each piece, mm.
fn starts_mm(pieces: &[Piece]) -> Vec<f64> {
    let mut at_mm = 0.0;
    let one = |piece: &Piece| {
        let start = at_mm;
        at_mm += piece.centre_mm;
        start
    };
    pieces.iter().map(one).collect()
}

/// Parts that stand in a shield: it needs holes for them.
fn through_shields(parts: &[BuiltPart], problems: &mut Problems) {
    for shield in parts {
        let Some(inside_mm) = shield.shield.map(|s| s.inside_mm) else { continue };
        let in_it = |p: &&BuiltPart| {
            p.shield.is_none()
                && p.weld_mm > 0.0
                && p.span_mm.0 < shield.span_mm.1
                && p.span_mm.1 > shield.span_mm.0
                && p.tops_mm() > inside_mm
                && shield.shields(p.frame.origin + p.out)
        };
        for part in parts.iter().filter(in_it) {
            let fault = PartFault::Through { shield: shield.name.clone() };
            let problem = PartProblem { part: part.name.clone(), fault };
            problems.push((problem.into(), Some(part.frame.origin), None));
        }
    }
}

/// A run that parts are put on.
struct Bench<'a> {
    project: &'a Project,
    run: &'a Run,
    route: &'a Route,
    built: &'a Built,
    /// Centre line from the run's start to the start of each piece, mm.
    starts_mm: Vec<f64>,
}

/// A leg as a part sees it: stations as entered are places along the route's leg less `offset_mm`.
struct OnLeg {
    beds: Vec<Bed>,
    blocks: Vec<Block>,
    offset_mm: f64,
    /// From where to where parts may have their middle, along the route's leg.
    straight_mm: (f64, f64),
}

impl Bench<'_> {
    fn on_leg(&self, place: LegPlace, leg: &Leg) -> OnLeg {
        let (beds, blocks) =
            beds(self.project, (self.route, place.leg), &self.built.pieces, &self.built.frames);
        let straight_mm = (leg.begin_mm, leg.finish_mm);
        OnLeg { beds, blocks, offset_mm: place.offset_mm, straight_mm }
    }

    /// The part in its place with the hole for it; `None` where it has none.
    fn put(&self, part: &Part, problems: &mut Problems) -> Option<(BuiltPart, Option<HoleCut>)> {
        if let Some(turn_deg) = part.turn_deg {
            return self.put_on_bend(part, turn_deg, problems);
        }
        let mut say = |fault: PartFault, at: Option<DVec3>| {
            problems.push((PartProblem { part: part.name.clone(), fault }.into(), at, None));
        };
        let Some(place) = self.route.places.get(part.leg).copied() else {
            say(PartFault::NoLeg { leg: part.leg + 1, legs: self.route.places.len() }, None);
            return None;
        };
        let leg = self.route.legs.get(place.leg)?;
        let at_mm = place.offset_mm + part.station_mm;
        let frame = self.route.at(place.leg, at_mm)?;
        let on_leg = self.on_leg(place, leg);
        let within = (leg.begin_mm - OVERLAP_MM..=leg.finish_mm + OVERLAP_MM).contains(&at_mm);
        let on = |b: &&Bed| (b.from_mm - OVERLAP_MM..=b.to_mm + OVERLAP_MM).contains(&at_mm);
        let Some(bed) = on_leg.beds.iter().find(on).filter(|_| within) else {
            let fits = self.fits(part, &on_leg, at_mm);
            let on = |b: &&Block| (b.from_mm..=b.to_mm).contains(&at_mm);
            say(
                match on_leg.blocks.iter().find(on) {
                    Some(b) => PartFault::OnBlock { what: b.what, mark: b.mark.clone(), fits },
                    None => PartFault::OffLeg { leg: part.leg + 1, straight_mm: leg.straight_mm(), fits },
                },
                Some(frame.origin),
            );
            return None;
        };
        let piece = &self.built.pieces[bed.piece];
        let radius_mm = piece.od_mm / 2.0;
        let clock_rad = part.clock_deg.to_radians();
        let made = match form(&part.kind, &frame, radius_mm, clock_rad) {
            Ok(made) => made,
            Err(trouble) => {
                say(trouble, Some(frame.origin + frame.at_clock(clock_rad) * radius_mm));
                return None;
            }
        };
        let spot = Some(frame.origin + frame.at_clock(clock_rad) * radius_mm);
        let reach = reach(&part.kind, radius_mm);
        if let Some(trouble) = self.reaches_over(part, &on_leg, bed, at_mm, (reach, made.weld_mm > 0.0)) {
            say(trouble, spot);
        }
        let along_mm = bed.before_mm + (at_mm - bed.from_mm);
        let middle_mm = self.starts_mm[bed.piece] + along_mm;
        for trouble in self.notes(part, place.leg, &frame, (at_mm, middle_mm), piece.od_mm) {
            say(trouble, spot);
        }
        let hole = made.hole.map(|wanted| HoleCut {
            mark: String::new(),
            key: HoleKey::Part(part.id),
            of: part.name.clone(),
            piece: bed.piece,
            along_mm,
            clock_rad,
            shape: match wanted {
                HoleWanted::Drilled(diameter_mm) => HoleShape::Drilled { diameter_mm },
                HoleWanted::Bore(saddle) => HoleShape::Branch { saddle, size: HoleSize::Bore },
            },
        });
        let shield = match &part.kind {
            PartKind::Shield(s) => Some(BuiltShield {
                hot_gap_mm: s.hot_gap_mm,
                half_rad: reach.round_rad,
                inside_mm: radius_mm + s.gap_mm,
                radius_mm: radius_mm + s.gap_mm + s.thick_mm,
            }),
            PartKind::Bung(_) | PartKind::Stub(_) | PartKind::Bracket(_) | PartKind::Bead(_) => None,
        };
        let made = BuiltPart {
            id: part.id,
            mark: String::new(),
            name: part.name.clone(),
            piece: bed.piece,
            along_mm,
            frame,
            clock_rad,
            out: made.out,
            weld_mm: made.weld_mm,
            solids: made.solids,
            screwed: made.screwed,
            removal: made.removal,
            span_mm: (middle_mm - reach.along_mm, middle_mm + reach.along_mm),
            shield,
            foot: made.foot,
        };
        Some((made, hole))
    }

    /// What is to be said of a part that has its place.
    fn notes(
        &self,
        part: &Part,
        leg: usize,
        frame: &Frame,
        (at_mm, from_start_mm): (f64, f64),
        od_mm: f64,
    ) -> Vec<PartFault> {
        let on = &self.route.legs[leg];
        match &part.kind {
            PartKind::Bung(b) => {
                let stand = rules::Stand {
                    frame: *frame,
                    clock_rad: part.clock_deg.to_radians(),
                    from_start_mm,
                    from_bend_mm: (leg > 0).then_some(at_mm - on.begin_mm),
                    left_mm: on.finish_mm - at_mm - b.boss_mm / 2.0,
                    station_mm: part.station_mm,
                    od_mm,
                };
                rules::of_bung(b.purpose, self.run.service, &stand)
            }
            PartKind::Stub(s) if s.flange_mm <= s.od_mm => {
                vec![PartFault::FlangeNarrow { flange_mm: s.flange_mm, stub_mm: s.od_mm }]
            }
            PartKind::Shield(s) if s.around_deg < 360.0 && self.run.service.is_hot() => {
                vec![PartFault::PartRound { around_rad: s.around_deg.to_radians() }]
            }
            PartKind::Stub(_) | PartKind::Bracket(_) | PartKind::Shield(_) | PartKind::Bead(_) => Vec::new(),
        }
    }

    /// What a part reaches over with its ends. A shield may lie over welds, but not over a bend, a joint or an end.
    fn reaches_over(
        &self,
        part: &Part,
        on_leg: &OnLeg,
        bed: &Bed,
        at_mm: f64,
        (reach, is_welded): (Reach, bool),
    ) -> Option<PartFault> {
        let (clock_rad, beneath) = (part.clock_deg.to_radians(), lies_beneath(part));
        let ends = Self::ends(part, on_leg, bed);
        let room = |bed: &Bed| bed.room(&self.built.pieces[bed.piece], clock_rad, reach.round_rad, beneath);
        let over = [room(ends[0]).0 - (at_mm - reach.along_mm), (at_mm + reach.along_mm) - room(ends[1]).1];
        let worst = usize::from(over[1] > over[0]);
        if over[worst] <= OVERLAP_MM {
            return None;
        }
        let what = match &ends[worst].limits[worst] {
            Limit::Weld(mark) => Over::Weld(mark.clone()),
            Limit::Bend => Over::Bend,
            Limit::Joint(mark) => Over::Joint(mark.clone()),
            Limit::End => Over::End,
        };
        let (by_mm, fits) = (over[worst], self.fits(part, on_leg, at_mm));
        let no_wall = is_welded && what == Over::End;
        Some(if no_wall {
            PartFault::OffWall { by_mm, fits }
        } else {
            PartFault::Over { over: what, by_mm, fits }
        })
    }

    /// The beds that a part has to end on: a shield may lie over several.
    fn ends<'b>(part: &Part, on_leg: &'b OnLeg, bed: &'b Bed) -> [&'b Bed; 2] {
        if matches!(part.kind, PartKind::Shield(_)) {
            [false, true].map(|forward| last_before_a_stop(on_leg, bed, forward))
        } else {
            [bed, bed]
        }
    }

    fn radius_mm(&self, piece: usize) -> f64 {
        self.built.pieces.get(piece).map_or(0.0, |p| p.od_mm / 2.0)
    }

    /// The station as entered next to where a part is where it has room and shares no place with `taken`, on a step of the
    /// tape; `None` where its leg has none.
    fn free(&self, part: &Part, foot: &Foot, taken: &[&Foot]) -> Option<f64> {
        if part.turn_deg.is_some() {
            return None;
        }
        let place = self.route.places.get(part.leg)?;
        let leg = self.route.legs.get(place.leg)?;
        let on_leg = self.on_leg(*place, leg);
        let step_mm = paper_step_mm(self.project.settings.units);
        let now = part.station_mm / step_mm;
        let steps = ((leg.finish_mm - leg.begin_mm) / step_mm).ceil().clamp(0.0, MOST_STEPS) as i32;
        let tried =
            (1..=steps).flat_map(|i| [now.floor() - f64::from(i) + 1.0, now.ceil() + f64::from(i) - 1.0]);
        tried.map(|steps| steps * step_mm).find(|station_mm| {
            let at_mm = place.offset_mm + station_mm;
            let room = self.fits(part, &on_leg, at_mm).is_some_and(|mm| (mm - station_mm).abs() < 1e-6);
            let there = foot.moved(leg.frame.travel * (station_mm - part.station_mm));
            room && !taken.iter().any(|other| there.meets(other))
        })
    }

    /// The station as entered next to `at_mm` where the part has room between welds, bends and joints; on a step of the
    /// tape where there is one.
    fn fits(&self, part: &Part, on_leg: &OnLeg, at_mm: f64) -> Option<f64> {
        let (clock_rad, beneath) = (part.clock_deg.to_radians(), lies_beneath(part));
        let step_mm = paper_step_mm(self.project.settings.units);
        let in_bed = |bed: &Bed| {
            let reach = reach(&part.kind, self.built.pieces[bed.piece].od_mm / 2.0);
            let room =
                |bed: &Bed| bed.room(&self.built.pieces[bed.piece], clock_rad, reach.round_rad, beneath);
            let ends = Self::ends(part, on_leg, bed);
            let low = (room(ends[0]).0 + reach.along_mm).max(on_leg.straight_mm.0) - on_leg.offset_mm;
            let high = (room(ends[1]).1 - reach.along_mm).min(on_leg.straight_mm.1) - on_leg.offset_mm;
            (low <= high).then(|| {
                let near = (at_mm - on_leg.offset_mm).clamp(low, high);
                let (down, up) = ((near / step_mm).floor() * step_mm, (near / step_mm).ceil() * step_mm);
                [down, up].into_iter().find(|s| (low..=high).contains(s)).unwrap_or(near)
            })
        };
        let apart = |s: &f64| (s - (at_mm - on_leg.offset_mm)).abs();
        on_leg.beds.iter().filter_map(in_bed).min_by(|a, b| apart(a).total_cmp(&apart(b)))
    }
}

/// The last bed on one side that is reached over welds of straight tube alone.
fn last_before_a_stop<'b>(on_leg: &'b OnLeg, from: &'b Bed, forward: bool) -> &'b Bed {
    let mut bed = from;
    let side = usize::from(forward);
    while matches!(bed.limits[side], Limit::Weld(_)) {
        let next = on_leg
            .beds
            .iter()
            .find(|b| if forward { b.piece == bed.piece + 1 } else { b.piece + 1 == bed.piece });
        let Some(next) = next else { return bed };
        bed = next;
    }
    bed
}

/// A bead lies beneath what is put over it, a hose.
fn lies_beneath(part: &Part) -> bool {
    matches!(part.kind, PartKind::Bead(_))
}

/// Where a part is marked round the tube: from the index line, clockwise seen along the travel, mm of the outside.
pub fn arc_mm(part: &BuiltPart, piece: &Piece) -> f64 {
    piece.od_mm / 2.0 * full_turn(part.clock_rad)
}
