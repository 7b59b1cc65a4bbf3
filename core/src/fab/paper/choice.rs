//! The numbers of a run that may go one way or the other, and the pieces that follow from them.

use super::{Exact, Given, PAPER_TURN_RAD, Plane, Steps, axis_mm, planes, to_step, unrounded};
use crate::fab::piece::{Cut, Piece, PieceKind};
use crate::fab::route::{Make, Route};
use crate::model::ElbowStock;
use std::collections::BTreeSet;
use std::f64::consts::PI;
use std::ops::Range;

/// A number that goes to one of its two neighbours.
#[derive(Debug, Clone, PartialEq)]
enum Number {
    /// Long side of pieces that are alike.
    Long(Vec<usize>),
    /// Straight leg of an elbow; at its end (else at its start).
    Leg(usize, bool),
    /// Angle an elbow is cut down to.
    Elbow(usize),
    /// Clock angles of bends that stand as far beyond a step: the bends with what they are beyond the first's, rad.
    Clock(Vec<(usize, f64)>),
    /// How many planes of a bend are cut at the upper step: one fewer, or one more, of those it could be.
    Saw(usize),
}

/// A number with its two neighbours.
#[derive(Debug, Clone, PartialEq)]
struct Choice {
    number: Number,
    low: f64,
    step: f64,
    /// Whether the upper one is nearer.
    up: bool,
}

/// All numbers of a run that are rounded.
#[derive(Debug, Clone)]
pub(super) struct Choices<'a> {
    exact: Exact<'a>,
    /// As sawn, nothing rounded.
    sawn: Vec<Piece>,
    /// Longest side of each of `sawn`, mm.
    long_mm: Vec<f64>,
    planes: Vec<Plane>,
    /// What the faces of sawn pieces lack of each bend's turn, in steps of the saw: the other faces make up for it.
    lacking: Vec<f64>,
    saw_rad: f64,
    list: Vec<Choice>,
    /// Whether these are the saw's steps, else everything else.
    is_saw: bool,
    /// Which numbers each piece follows from.
    links: Links,
}

/// Which numbers of a list each piece and each bend follows from, so that one piece is worked out without the others.
#[derive(Debug, Clone, Default)]
struct Links {
    /// By bend: its clock angle, and what it is beyond it, rad.
    clock: Vec<Option<(usize, f64)>>,
    /// By bend: how many of its faces go to the upper step of the saw.
    saw: Vec<Option<usize>>,
    /// By piece: its long side, lead, tail and angle.
    long: Vec<Option<usize>>,
    lead: Vec<Option<usize>>,
    tail: Vec<Option<usize>>,
    angle: Vec<Option<usize>>,
    /// By piece: the plane it begins at and the one it ends at.
    planes: Vec<[Option<usize>; 2]>,
    /// By bend: its planes.
    of_bend: Vec<Range<usize>>,
}

impl Links {
    fn new(list: &[Choice], planes: &[Plane], pieces: usize, bends: usize) -> Self {
        let mut out = Self {
            clock: vec![None; bends],
            saw: vec![None; bends],
            long: vec![None; pieces],
            lead: vec![None; pieces],
            tail: vec![None; pieces],
            angle: vec![None; pieces],
            planes: vec![[None; 2]; pieces],
            of_bend: vec![0..0; bends],
        };
        for (i, choice) in list.iter().enumerate() {
            match &choice.number {
                Number::Long(of) => of.iter().for_each(|p| out.long[*p] = Some(i)),
                Number::Leg(piece, false) => out.lead[*piece] = Some(i),
                Number::Leg(piece, true) => out.tail[*piece] = Some(i),
                Number::Elbow(piece) => out.angle[*piece] = Some(i),
                Number::Clock(of) => of.iter().for_each(|(b, beyond)| out.clock[*b] = Some((i, *beyond))),
                Number::Saw(bend) => out.saw[*bend] = Some(i),
            }
        }
        for (i, plane) in planes.iter().enumerate() {
            out.planes[plane.before - 1][1] = Some(i);
            out.planes[plane.before][0] = Some(i);
            let range = &mut out.of_bend[plane.bend];
            // planes stand in order of travel, those of one bend together
            *range = if range.end == 0 { i..i + 1 } else { range.start..i + 1 };
        }
        out
    }
}

impl<'a> Choices<'a> {
    /// How many planes of each bend go to the upper step of the saw.
    pub(super) fn of_saw(exact: &Exact<'a>, trim_mm: &[f64], steps: Steps) -> Self {
        let mut sawn = unrounded(exact);
        for (i, (added, trim)) in exact.added.iter().zip(trim_mm).enumerate() {
            if exact.given(i).is_none() {
                sawn[i].centre_mm += trim - added.trim_mm;
            }
        }
        let planes = planes(exact.route, exact.pieces, |i| exact.is_settled(i));
        let lacking = meet_given(exact, &planes, &mut sawn, steps.saw_rad);
        let mut out = Self {
            exact: *exact,
            sawn: Vec::new(),
            long_mm: Vec::new(),
            planes,
            lacking,
            saw_rad: steps.saw_rad,
            list: Vec::new(),
            is_saw: true,
            links: Links::default(),
        };
        out.take(sawn);
        out.link();
        for bend in 0..exact.route.bends.len() {
            let planes = out.planes_of(bend);
            if !planes.is_empty() {
                out.add(Number::Saw(bend), out.over_steps(bend, &planes), unit(&planes));
            }
        }
        out.link();
        out
    }

    /// All other numbers of pieces `sawn` to those steps.
    pub(super) fn of_the_rest(&self, sawn: Vec<Piece>, step_mm: f64) -> Self {
        let mut out = Self { list: Vec::new(), is_saw: false, ..self.clone() };
        out.take(sawn);
        out.turns();
        out.lengths(step_mm);
        out.link();
        out
    }

    fn take(&mut self, sawn: Vec<Piece>) {
        self.long_mm = sawn.iter().map(|p| p.sawn_sides_mm().0).collect();
        self.sawn = sawn;
    }

    fn link(&mut self) {
        let bends = self.exact.route.bends.len();
        self.links = Links::new(&self.list, &self.planes, self.sawn.len(), bends);
    }

    /// How many numbers there are to choose.
    pub(super) fn len(&self) -> usize {
        self.list.len()
    }

    /// For every number whether its upper neighbour is the nearer one.
    pub(super) fn nearest(&self) -> Vec<bool> {
        self.list.iter().map(|c| c.up).collect()
    }

    /// The same numbers, with pieces that are alike no longer held to one length, nor bends in one plane to it.
    pub(super) fn untied(&self) -> Self {
        let single = |c: &Choice| match &c.number {
            Number::Long(pieces) => {
                pieces.iter().map(|p| Choice { number: Number::Long(vec![*p]), ..c.clone() }).collect()
            }
            Number::Clock(bends) => bends
                .iter()
                .map(|(bend, beyond)| {
                    let number = Number::Clock(vec![(*bend, 0.0)]);
                    Choice { number, low: c.low + beyond, ..c.clone() }
                })
                .collect(),
            Number::Leg(..) | Number::Elbow(_) | Number::Saw(_) => vec![c.clone()],
        };
        let mut out = Self { list: self.list.iter().flat_map(single).collect(), ..self.clone() };
        out.link();
        out
    }

    fn add(&mut self, number: Number, exact: f64, step: f64) {
        let steps = exact / step;
        // what stands on a step already has no other neighbour worth having
        if (steps - steps.round()).abs() > 1e-6 {
            let low = steps.floor();
            self.list.push(Choice { number, low: low * step, step, up: steps - low >= 0.5 });
        }
    }

    fn turns(&mut self) {
        let exact = self.exact;
        for (i, bend) in exact.route.bends.iter().enumerate() {
            // bends of one plane, turned the same or the opposite way, are rounded alike and stay in it
            let tied = self.list.iter_mut().find_map(|c| {
                let Number::Clock(bends) = &mut c.number else { return None };
                let first = exact.route.bends[bends[0].0].throat_clock_rad;
                let steps = (bend.throat_clock_rad - first) / PAPER_TURN_RAD;
                ((steps - steps.round()).abs() < 1e-6).then_some((bends, steps.round() * PAPER_TURN_RAD))
            });
            match tied {
                Some((bends, beyond)) => bends.push((i, beyond)),
                None => self.add(Number::Clock(vec![(i, 0.0)]), bend.throat_clock_rad, PAPER_TURN_RAD),
            }
        }
        for (i, piece) in exact.pieces.iter().enumerate() {
            if let PieceKind::Elbow(e) = piece.kind
                && e.removed_rad > 0.0
            {
                self.add(Number::Elbow(i), e.angle_rad, PAPER_TURN_RAD);
            }
        }
    }

    fn lengths(&mut self, step_mm: f64) {
        let exact = self.exact;
        let long = &self.long_mm;
        let mut groups: Vec<Vec<usize>> = Vec::new();
        for (i, piece) in self.sawn.iter().enumerate() {
            if piece.is_sawn() && !exact.is_settled(i) {
                // slices of one bend follow each other
                let of_bend =
                    |g: &&mut Vec<usize>| self.sawn[g[0]].bend == piece.bend && piece.bend.is_some();
                let alike = |g: &&mut Vec<usize>| (long[g[0]] - long[i]).abs() < 1e-6;
                match groups.iter_mut().rev().take_while(of_bend).filter(alike).last() {
                    Some(group) => group.push(i),
                    None => groups.push(vec![i]),
                }
            }
        }
        for group in groups {
            let mm = self.long_mm[group[0]];
            self.add(Number::Long(group), mm, step_mm);
        }
        for (i, piece) in exact.pieces.iter().enumerate() {
            if let (PieceKind::Elbow(e), Some(stock)) = (piece.kind, elbow_of(exact.route, piece)) {
                self.leg(Number::Leg(i, false), e.lead_mm, stock.leg_mm, step_mm);
                self.leg(Number::Leg(i, true), e.tail_mm, stock.leg_mm, step_mm);
            }
        }
    }

    /// A leg of an elbow that has `most_mm` of it: left as it is it needs no rounding, and it gets no longer.
    fn leg(&mut self, number: Number, mm: f64, most_mm: f64, step_mm: f64) {
        if most_mm - mm < 1e-6 {
            return;
        }
        self.add(number, mm, step_mm);
        if let Some(choice) = self.list.last_mut().filter(|c| c.low + c.step > most_mm + 1e-6 && c.low < mm) {
            (choice.step, choice.up) = (0.0, false);
        }
    }

    /// The planes of a bend whose tilt is free.
    fn planes_of(&self, bend: usize) -> Vec<Plane> {
        self.planes[self.links.of_bend[bend].clone()].iter().filter(|p| !p.fixed).copied().collect()
    }

    /// The value of a choice.
    fn value(&self, index: usize, up: &[bool]) -> f64 {
        let c = &self.list[index];
        c.low + if up[index] { c.step } else { 0.0 }
    }

    /// The pieces when for each number the upper neighbour is taken where `up` says so.
    pub(super) fn pieces(&self, up: &[bool]) -> Vec<Piece> {
        self.stretch(0..self.sawn.len(), up)
    }

    /// The pieces that change with number `index`, from the first to the last.
    pub(super) fn touched(&self, index: usize) -> Range<usize> {
        let by_planes = |bend: usize| {
            let planes = &self.planes[self.links.of_bend[bend].clone()];
            planes.first().zip(planes.last()).map(|(a, b)| a.before - 1..b.before + 1)
        };
        let by_elbow = |bend: usize| {
            // pieces stand in order of their bends
            let at = self.sawn.iter().position(|p| p.bend == Some(bend))?;
            Some(at..at + 1)
        };
        let of_bend = |bend: usize| by_planes(bend).or_else(|| by_elbow(bend)).unwrap_or(0..0);
        match &self.list[index].number {
            Number::Long(of) => around(of.iter().map(|p| *p..p + 1)),
            Number::Leg(p, _) | Number::Elbow(p) => *p..p + 1,
            Number::Clock(of) => around(of.iter().map(|(bend, _)| of_bend(*bend))),
            Number::Saw(bend) => of_bend(*bend),
        }
    }

    /// The pieces of `range` when for each number the upper neighbour is taken where `up` says so.
    pub(super) fn stretch(&self, range: Range<usize>, up: &[bool]) -> Vec<Piece> {
        let mut out = self.sawn[range.clone()].to_vec();
        if self.is_saw {
            self.set_tilts(&mut out, range, up);
        } else {
            for (piece, index) in out.iter_mut().zip(range) {
                self.set_numbers(piece, index, up);
            }
        }
        out
    }

    fn set_numbers(&self, piece: &mut Piece, index: usize, up: &[bool]) {
        self.set_clocks(piece, index, up);
        let value = |choice: &[Option<usize>]| choice[index].map(|i| self.value(i, up));
        let stock = elbow_of(self.exact.route, piece);
        if let PieceKind::Elbow(e) = &mut piece.kind {
            e.lead_mm = value(&self.links.lead).unwrap_or(e.lead_mm);
            e.tail_mm = value(&self.links.tail).unwrap_or(e.tail_mm);
            if let Some(angle_rad) = value(&self.links.angle) {
                e.removed_rad += e.angle_rad - angle_rad;
                e.angle_rad = angle_rad;
            }
            if let Some(stock) = stock.filter(|_| e.removed_rad == 0.0) {
                // used whole it has the angle it was bought with
                e.angle_rad = stock.angle_rad();
            }
        }
        match piece.kind {
            // the long side is what is measured; the centre follows from it and the cuts
            PieceKind::Straight | PieceKind::Slice => {
                let long = value(&self.links.long).unwrap_or(self.long_mm[index]);
                piece.centre_mm += long - piece.sawn_sides_mm().0;
            }
            PieceKind::Elbow(e) => piece.centre_mm = e.lead_mm + e.clr_mm * e.angle_rad + e.tail_mm,
            PieceKind::Joint(_) | PieceKind::Taper(_) => {
                piece.lobe_clock_rad = piece.lobe_clock_rad.map(|clock| to_step(clock, PAPER_TURN_RAD));
            }
        }
    }

    /// Rounds the tilt of every plane such that the turns of a bend still add up: as many faces go to the upper step
    /// as it takes, the planes nearest to it first. Lengths follow so that the centreline still runs round the same
    /// arc: `h·tan α` for each face, `h` the distance of the slices' axes from the bend centre.
    ///
    /// `out` holds the pieces of `range`.
    fn set_tilts(&self, out: &mut [Piece], range: Range<usize>, up: &[bool]) {
        let bend_at = |plane: Option<usize>| plane.map(|i| self.planes[i].bend);
        let bends = self.links.planes[range.clone()].iter().flatten().filter_map(|p| bend_at(*p));
        let bends: BTreeSet<usize> = bends.collect();
        for bend in bends {
            let planes = self.planes_of(bend);
            let unit = unit(&planes);
            let faces = self.links.saw[bend].map_or_else(
                || (self.over_steps(bend, &planes) / unit).round() * unit,
                |i| self.value(i, up),
            );
            for (plane, is_up) in raised(planes, self.saw_rad, faces as usize) {
                let steps = steps(plane.tilt_rad, self.saw_rad).floor() + f64::from(u8::from(is_up));
                let tilt_rad = steps * self.saw_rad;
                let longer_mm =
                    axis_mm(&self.exact.route.bends[bend]) * (tilt_rad.tan() - plane.tilt_rad.tan());
                if let Some(piece) = nth(out, &range, plane.before - 1).filter(|_| plane.faces.0) {
                    set_tilt(&mut piece.end, tilt_rad);
                    piece.centre_mm += longer_mm;
                }
                if let Some(piece) = nth(out, &range, plane.before).filter(|_| plane.faces.1) {
                    set_tilt(&mut piece.start, tilt_rad);
                    piece.centre_mm += longer_mm;
                }
            }
        }
    }

    /// What the lower steps of the free faces of a bend lack of its turn, in steps.
    fn over_steps(&self, bend: usize, planes: &[Plane]) -> f64 {
        over_steps(planes, self.saw_rad) + self.lacking.get(bend).copied().unwrap_or(0.0)
    }

    /// Clock angle of the inside of a bend, rad.
    fn clock(&self, bend: usize, up: &[bool]) -> f64 {
        match self.links.clock[bend] {
            Some((choice, beyond)) => self.value(choice, up) + beyond,
            None => to_step(self.exact.route.bends[bend].throat_clock_rad, PAPER_TURN_RAD),
        }
    }

    fn set_clocks(&self, piece: &mut Piece, index: usize, up: &[bool]) {
        let [begins, ends] = self.links.planes[index].map(|plane| plane.map(|i| self.planes[i]));
        if let Some(plane) = begins.filter(|p| p.faces.1) {
            piece.start = Cut::tilted(piece.start.tilt_rad, self.clock(plane.bend, up) + PI);
        }
        if let Some(plane) = ends.filter(|p| p.faces.0) {
            piece.end = Cut::tilted(piece.end.tilt_rad, self.clock(plane.bend, up) + PI);
        }
        if let (PieceKind::Elbow(e), Some(bend)) = (&mut piece.kind, piece.bend) {
            e.throat_clock_rad = self.clock(bend, up);
        }
    }
}

/// Piece `index` among those of `range`, if it is there.
fn nth<'p>(pieces: &'p mut [Piece], range: &Range<usize>, index: usize) -> Option<&'p mut Piece> {
    pieces.get_mut(index.checked_sub(range.start)?)
}

/// From the first to the last of all `ranges`.
fn around(ranges: impl Iterator<Item = Range<usize>>) -> Range<usize> {
    let used = ranges.filter(|r| !r.is_empty());
    used.reduce(|a, b| a.start.min(b.start)..a.end.max(b.end)).unwrap_or(0..0)
}

/// Gives sawn pieces the tilts they have, and the faces that meet them the same; what that lacks of the turn of each
/// bend, in steps of the saw.
fn meet_given(exact: &Exact<'_>, planes: &[Plane], sawn: &mut [Piece], saw_rad: f64) -> Vec<f64> {
    let mut lacking = vec![0.0; exact.route.bends.len()];
    for (i, piece) in sawn.iter_mut().enumerate() {
        if let Some(Given { tilts_rad: [start, end], .. }) = exact.given(i) {
            set_tilt(&mut piece.start, start);
            set_tilt(&mut piece.end, end);
        }
    }
    for plane in planes {
        let (a, b) = (exact.given(plane.before - 1), exact.given(plane.before));
        let before = a.filter(|_| plane.faces.0).map(|g| g.tilts_rad[1]);
        let after = b.filter(|_| plane.faces.1).map(|g| g.tilts_rad[0]);
        let Some(tilt_rad) = before.or(after) else { continue };
        let longer_mm = axis_mm(&exact.route.bends[plane.bend]) * (tilt_rad.tan() - plane.tilt_rad.tan());
        if plane.faces.0 && !exact.is_settled(plane.before - 1) {
            set_tilt(&mut sawn[plane.before - 1].end, tilt_rad);
            sawn[plane.before - 1].centre_mm += longer_mm;
        }
        if plane.faces.1 && !exact.is_settled(plane.before) {
            set_tilt(&mut sawn[plane.before].start, tilt_rad);
            sawn[plane.before].centre_mm += longer_mm;
        }
        let turned_rad = if plane.faces.0 { before.unwrap_or(tilt_rad) } else { 0.0 }
            + if plane.faces.1 { after.unwrap_or(tilt_rad) } else { 0.0 };
        lacking[plane.bend] += (plane.tilt_rad * faces(plane) as f64 - turned_rad) / saw_rad;
    }
    lacking
}

/// The elbow a piece is made from.
fn elbow_of<'a>(route: &'a Route, piece: &Piece) -> Option<&'a ElbowStock> {
    match &route.bends.get(piece.bend?)?.make {
        Make::Elbow(stock) => Some(stock),
        Make::Mitred(_) => None,
    }
}

fn set_tilt(cut: &mut Cut, tilt_rad: f64) {
    *cut = Cut::tilted(tilt_rad, cut.heel_clock_rad.unwrap_or(0.0));
}

/// A tilt in steps of the saw; what is a step to within rounding noise is one.
fn steps(tilt_rad: f64, saw_rad: f64) -> f64 {
    let steps = tilt_rad / saw_rad;
    if (steps - steps.round()).abs() < 1e-6 { steps.round() } else { steps }
}

/// Faces at a plane: one against a square end, else two.
fn faces(plane: &Plane) -> usize {
    usize::from(plane.faces.0) + usize::from(plane.faces.1)
}

/// Least number of faces by which a bend's turn can change: one where it has a plane with one face.
fn unit(planes: &[Plane]) -> f64 {
    if planes.iter().any(|p| faces(p) == 1) { 1.0 } else { 2.0 }
}

/// What the lower steps of all faces of a bend lack, in steps.
fn over_steps(planes: &[Plane], saw_rad: f64) -> f64 {
    let part = |p: &Plane| {
        let s = steps(p.tilt_rad, saw_rad);
        (s - s.floor()) * faces(p) as f64
    };
    planes.iter().map(part).sum()
}

/// Says for each plane whether it goes to the upper step so that `count` faces do: planes with one face make an odd
/// number even, then those nearest to the upper step, the first of equals.
fn raised(mut planes: Vec<Plane>, saw_rad: f64, mut count: usize) -> Vec<(Plane, bool)> {
    let part = |p: &Plane| {
        let s = steps(p.tilt_rad, saw_rad);
        s - s.floor()
    };
    planes.sort_by(|a, b| part(b).total_cmp(&part(a)).then(a.before.cmp(&b.before)));
    let pairs = planes.iter().filter(|p| faces(p) == 2).count();
    let mut singles = (count % 2).max(count.saturating_sub(2 * pairs));
    let mut out = Vec::with_capacity(planes.len());
    for plane in planes {
        let is_up = if part(&plane) == 0.0 {
            false
        } else if faces(&plane) == 1 {
            let wanted = singles > 0;
            singles = singles.saturating_sub(1);
            wanted
        } else {
            count >= 2 + singles
        };
        if is_up {
            count = count.saturating_sub(faces(&plane));
        }
        out.push((plane, is_up));
    }
    out
}
