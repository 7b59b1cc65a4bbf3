//! The pieces of a run in order of travel, with what they are known by.

use super::occupy::{Item, Occupied, Stretch, Taker};
use super::{beyond_mm, mitred_end};
use crate::fab::elbow::{Room, cut_down};
use crate::fab::mitre::Mitre;
use crate::fab::piece::{Cut, ElbowCut, Piece, PieceKind};
use crate::fab::route::{Make, Route};
use crate::geom::tolerance::{NO_LENGTH_MM, SLIVER_MM};
use crate::model::{PieceKey, PiecePlace, RunId, Tube, TubeAfter};
use std::f64::consts::PI;

/// All pieces in order of travel, without marks.
pub(super) fn pieces(run: RunId, route: &Route, legs: &[Vec<Item>]) -> Vec<Piece> {
    let tube = &route.tube;
    let mut line = Line { run, route, tube, taken_mm: 0.0, after: TubeAfter::Start, out: Vec::new() };
    for (i, leg) in legs.iter().enumerate() {
        for item in leg {
            match item {
                Item::Taken(taken) => line.taken(taken),
                Item::Tube(stretch) => line.stretch(stretch, legs.get(i + 1).map_or(&[], Vec::as_slice)),
            }
        }
    }
    line.out
}

/// Pieces laid one after the other.
struct Line<'a> {
    run: RunId,
    route: &'a Route,
    /// The tube it goes on in.
    tube: &'a Tube,
    /// How much of the next stretch the elbow before it has taken for its own leg, mm.
    taken_mm: f64,
    /// What the next tube comes after.
    after: TubeAfter,
    out: Vec<Piece>,
}

impl Line<'_> {
    fn blank(&self, place: PiecePlace, kind: PieceKind, centre_mm: f64, [start, end]: [Cut; 2]) -> Piece {
        Piece {
            mark: String::new(),
            key: Some(PieceKey { run: self.run, place }),
            kind,
            tube: self.tube.id,
            od_mm: self.tube.od_mm,
            centre_mm,
            start,
            end,
            bend: None,
            lobe_clock_rad: None,
            curves: [None, None],
        }
    }

    /// A joint or a taper.
    fn taken(&mut self, taken: &Occupied) {
        let length_mm = taken.to_mm - taken.from_mm;
        let square = [Cut::SQUARE; 2];
        match taken.what {
            Taker::Joint(which, id, lobe_clock_rad) => {
                let joint = self.blank(PiecePlace::Joint(which), PieceKind::Joint(id), length_mm, square);
                self.out.push(Piece { lobe_clock_rad: Some(lobe_clock_rad), ..joint });
                self.after = TubeAfter::Joint(which);
            }
            Taker::Taper(i) => {
                let taper = &self.route.tapers[i];
                let (id, kind) = (taper.taper.id, PieceKind::Taper(taper.cut()));
                self.out.push(self.blank(PiecePlace::Taper(id), kind, length_mm, square));
                self.after = TubeAfter::Taper(id);
                self.tube = &self.route.tapers[i].after;
            }
        }
    }

    /// A stretch of tube and the bend after it, where it comes to one; `next` is the leg behind that.
    fn stretch(&mut self, stretch: &Stretch, next: &[Item]) {
        let route = self.route;
        let free_mm = (stretch.length_mm - self.taken_mm).max(0.0);
        self.taken_mm = 0.0;
        let after = stretch.bend_after.map(|b| (b, &route.bends[b]));
        let elbow = after.and_then(|(_, bend)| match &bend.make {
            Make::Elbow(stock) => {
                let room = Room {
                    before_mm: free_mm - kept_for_piece_mm(route, stretch, free_mm),
                    after_mm: first_room_mm(route, next),
                };
                Some(cut_down(stock, bend.angle_rad, bend.throat_clock_rad, room))
            }
            Make::Mitred(_) => None,
        });
        let (start_mm, start) = mitred_end(stretch.bend_before.map(|b| &route.bends[b]), true);
        let (end_mm, end) = mitred_end(after.map(|(_, bend)| bend), false);
        let length_mm = free_mm - elbow.map_or(0.0, |e| e.lead_mm) + start_mm + end_mm;
        if length_mm > NO_LENGTH_MM {
            let both = start.tilt_rad > 0.0 && end.tilt_rad > 0.0;
            let kind = if both && free_mm <= NO_LENGTH_MM { PieceKind::Slice } else { PieceKind::Straight };
            self.out.push(self.blank(PiecePlace::Tube(self.after), kind, length_mm, [start, end]));
        }
        let Some((index, bend)) = after else { return };
        match (&bend.make, elbow) {
            (_, Some(elbow)) => self.elbow(index, elbow),
            (Make::Mitred(mitre), None) => self.slices(index, mitre),
            (Make::Elbow(_), None) => {}
        }
        self.after = TubeAfter::Bend(bend.vertex);
    }

    fn elbow(&mut self, bend: usize, elbow: ElbowCut) {
        let centre_mm = elbow.lead_mm + elbow.clr_mm * elbow.angle_rad + elbow.tail_mm;
        let place = PiecePlace::Bend(self.route.bends[bend].vertex, 0);
        let piece = self.blank(place, PieceKind::Elbow(elbow), centre_mm, [Cut::SQUARE; 2]);
        self.out.push(Piece { bend: Some(bend), ..piece });
        self.taken_mm = elbow.tail_mm;
    }

    fn slices(&mut self, bend: usize, mitre: &Mitre) {
        let at = &self.route.bends[bend];
        let heel_rad = at.throat_clock_rad + PI;
        for (nth, slice) in (0_u32..).zip(mitre.each_slice()) {
            let cuts = [slice.start_rad, slice.end_rad].map(|tilt_rad| Cut::tilted(tilt_rad, heel_rad));
            let place = PiecePlace::Bend(at.vertex, nth);
            let piece = self.blank(place, PieceKind::Slice, slice.centre_mm, cuts);
            self.out.push(Piece { bend: Some(bend), ..piece });
        }
    }
}

/// Straight that an elbow's own leg leaves free, mm: where a mitred end needs a piece of tube there anyway, enough
/// of it that the piece is no sliver.
fn kept_for_piece_mm(route: &Route, stretch: &Stretch, free_mm: f64) -> f64 {
    let sides = [(stretch.bend_before, true), (stretch.bend_after, false)];
    let other = sides.into_iter().filter_map(|(b, after)| Some((b?, after))).find_map(|(b, after)| {
        let (end_mm, _) = mitred_end(Some(&route.bends[b]), after);
        (end_mm > 0.0).then(|| beyond_mm(route, b, after))
    });
    other.map_or(0.0, |throat_mm| (SLIVER_MM - throat_mm).clamp(0.0, free_mm.max(0.0)))
}

/// Room for an elbow's leg on the tube a leg begins with, mm.
fn first_room_mm(route: &Route, leg: &[Item]) -> f64 {
    match leg.first() {
        Some(Item::Tube(stretch)) => {
            let length_mm = stretch.length_mm.max(0.0);
            length_mm - kept_for_piece_mm(route, stretch, length_mm)
        }
        Some(Item::Taken(_)) | None => 0.0,
    }
}
