//! The numbers of a run that may go one way or the other, and the pieces that follow from them.

use super::{Exact, Given, PAPER_TURN_RAD, Plane, Steps, axis_mm, planes, to_step, unrounded};
use crate::fab::piece::{Cut, Piece, PieceKind};
use crate::fab::route::{Make, Route};
use crate::model::ElbowStock;
use std::f64::consts::PI;

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
    planes: Vec<Plane>,
    /// What the faces of sawn pieces lack of each bend's turn, in steps of the saw: the other faces make up for it.
    lacking: Vec<f64>,
    saw_rad: f64,
    list: Vec<Choice>,
    /// Whether these are the saw's steps, else everything else.
    is_saw: bool,
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
            sawn,
            planes,
            lacking,
            saw_rad: steps.saw_rad,
            list: Vec::new(),
            is_saw: true,
        };
        for bend in 0..exact.route.bends.len() {
            let planes = out.planes_of(bend);
            if !planes.is_empty() {
                out.add(Number::Saw(bend), out.over_steps(bend, &planes), unit(&planes));
            }
        }
        out
    }

    /// All other numbers of pieces `sawn` to those steps.
    pub(super) fn of_the_rest(&self, sawn: Vec<Piece>, step_mm: f64) -> Self {
        let mut out = Self { sawn, list: Vec::new(), is_saw: false, ..self.clone() };
        out.turns();
        out.lengths(step_mm);
        out
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
        Self { list: self.list.iter().flat_map(single).collect(), ..self.clone() }
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
        let long = |i: usize| self.sawn[i].sawn_sides_mm().0;
        let mut groups: Vec<Vec<usize>> = Vec::new();
        for (i, piece) in self.sawn.iter().enumerate() {
            if piece.is_sawn() && !exact.is_settled(i) {
                let alike = |g: &&mut Vec<usize>| {
                    let first = &self.sawn[g[0]];
                    piece.bend.is_some() && first.bend == piece.bend && (long(g[0]) - long(i)).abs() < 1e-6
                };
                match groups.iter_mut().find(alike) {
                    Some(group) => group.push(i),
                    None => groups.push(vec![i]),
                }
            }
        }
        let firsts: Vec<f64> = groups.iter().map(|g| long(g[0])).collect();
        for (group, mm) in groups.into_iter().zip(firsts) {
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
        self.planes.iter().filter(|p| p.bend == bend && !p.fixed).copied().collect()
    }

    /// The value of a choice.
    fn value(&self, index: usize, up: &[bool]) -> f64 {
        let c = &self.list[index];
        c.low + if up[index] { c.step } else { 0.0 }
    }

    /// The pieces when for each number the upper neighbour is taken where `up` says so.
    pub(super) fn pieces(&self, up: &[bool]) -> Vec<Piece> {
        let mut out = self.sawn.clone();
        if self.is_saw {
            self.set_tilts(&mut out, up);
        } else {
            self.set_numbers(&mut out, up);
        }
        out
    }

    fn set_numbers(&self, out: &mut [Piece], up: &[bool]) {
        let mut clocks: Vec<f64> = self.exact.route.bends.iter().map(|b| b.throat_clock_rad).collect();
        for clock in &mut clocks {
            *clock = to_step(*clock, PAPER_TURN_RAD);
        }
        for (i, c) in self.list.iter().enumerate() {
            if let Number::Clock(bends) = &c.number {
                for (bend, beyond) in bends {
                    clocks[*bend] = self.value(i, up) + beyond;
                }
            }
        }
        self.set_clocks(out, &clocks);
        let mut longs: Vec<f64> = self.sawn.iter().map(|p| p.sawn_sides_mm().0).collect();
        for (i, c) in self.list.iter().enumerate() {
            let value = self.value(i, up);
            match &c.number {
                Number::Long(pieces) => pieces.iter().for_each(|p| longs[*p] = value),
                Number::Leg(p, tail) => {
                    if let PieceKind::Elbow(e) = &mut out[*p].kind {
                        *(if *tail { &mut e.tail_mm } else { &mut e.lead_mm }) = value;
                    }
                }
                Number::Elbow(p) => {
                    if let PieceKind::Elbow(e) = &mut out[*p].kind {
                        e.removed_rad += e.angle_rad - value;
                        e.angle_rad = value;
                    }
                }
                Number::Clock(_) | Number::Saw(_) => {}
            }
        }
        for (p, long) in out.iter_mut().zip(longs) {
            let stock = elbow_of(self.exact.route, p);
            if let (PieceKind::Elbow(e), Some(stock)) = (&mut p.kind, stock)
                && e.removed_rad == 0.0
            {
                // used whole it has the angle it was bought with
                e.angle_rad = stock.angle_rad();
            }
            match p.kind {
                // the long side is what is measured; the centre follows from it and the cuts
                PieceKind::Straight | PieceKind::Slice => {
                    p.centre_mm += long - p.sawn_sides_mm().0;
                }
                PieceKind::Elbow(e) => p.centre_mm = e.lead_mm + e.clr_mm * e.angle_rad + e.tail_mm,
                PieceKind::Joint(_) | PieceKind::Taper(_) => {
                    p.lobe_clock_rad = p.lobe_clock_rad.map(|clock| to_step(clock, PAPER_TURN_RAD));
                }
            }
        }
    }

    /// Rounds the tilt of every plane such that the turns of a bend still add up: as many faces go to the upper step
    /// as it takes, the planes nearest to it first. Lengths follow so that the centreline still runs round the same
    /// arc: `h·tan α` for each face, `h` the distance of the slices' axes from the bend centre.
    fn set_tilts(&self, out: &mut [Piece], up: &[bool]) {
        for bend in 0..self.exact.route.bends.len() {
            let planes = self.planes_of(bend);
            let chosen = self.list.iter().position(|c| c.number == Number::Saw(bend));
            let unit = unit(&planes);
            let faces = chosen.map_or_else(
                || (self.over_steps(bend, &planes) / unit).round() * unit,
                |i| self.value(i, up),
            );
            for (plane, is_up) in raised(planes, self.saw_rad, faces as usize) {
                let steps = steps(plane.tilt_rad, self.saw_rad).floor() + f64::from(u8::from(is_up));
                let tilt_rad = steps * self.saw_rad;
                let longer_mm =
                    axis_mm(&self.exact.route.bends[bend]) * (tilt_rad.tan() - plane.tilt_rad.tan());
                if plane.faces.0 {
                    let piece = &mut out[plane.before - 1];
                    set_tilt(&mut piece.end, tilt_rad);
                    piece.centre_mm += longer_mm;
                }
                if plane.faces.1 {
                    let piece = &mut out[plane.before];
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

    fn set_clocks(&self, out: &mut [Piece], clocks: &[f64]) {
        for plane in &self.planes {
            let heel = clocks[plane.bend] + PI;
            let set = |cut: &mut Cut| *cut = Cut::tilted(cut.tilt_rad, heel);
            if plane.faces.0 {
                set(&mut out[plane.before - 1].end);
            }
            if plane.faces.1 {
                set(&mut out[plane.before].start);
            }
        }
        for piece in out {
            if let (PieceKind::Elbow(e), Some(bend)) = (&mut piece.kind, piece.bend) {
                e.throat_clock_rad = clocks[bend];
            }
        }
    }
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
