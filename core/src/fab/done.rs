//! Pieces that have been sawn already: what is kept of them, and whether they still serve.
//!
//! A sawn piece serves as long as what is drawn is what was drawn when it was sawn. What was cut may be off that by
//! what paper rounds and by what was added for welds; the pieces that are still to be sawn make up for it.

use super::piece::Piece;
use crate::model::{DonePiece, DrawnShape, PieceKey, TrimLeft};
use std::collections::BTreeMap;

/// What is drawn is the same as it was while cuts are within this of it, degrees: a bend of five welds has then moved
/// by no more than a tack moves it.
const DRAWN_DEG: f64 = 0.02;
/// The same where a file does not say what was drawn, only what was cut, degrees: the saw's own steps are coarser.
const CUT_DEG: f64 = 0.15;
/// A finer change than half of 1/32 in would not have been sawn otherwise, mm.
const DONE_MM: f64 = 0.4;
/// More than this a cut is never off what is drawn, degrees, and no more is left to trim, mm: what says so was not sawn.
const MOST_OFF_DEG: f64 = 5.0;
const MOST_TRIM_MM: f64 = 500.0;
/// The two ends of a piece may be turned against each other by this more or less, degrees.
const TWIST_DEG: f64 = 1.0;

/// What is kept of a piece that has been sawn: `drawn` as it should be, `printed` as it was cut.
///
/// Of one with a shaped end that is the tube before the end is cut, which comes after sawing. `None` for what is no
/// piece of a run.
pub fn record(drawn: &Piece, printed: &Piece, trim: Option<TrimLeft>) -> Option<DonePiece> {
    let blank = drawn.blank();
    Some(DonePiece {
        mark: printed.mark.clone(),
        key: Some(printed.key?),
        tube: printed.tube,
        centre_mm: printed.blank().centre_mm,
        start_deg: printed.start.tilt_rad.to_degrees(),
        end_deg: printed.end.tilt_rad.to_degrees(),
        twist_deg: printed.twist_rad().map_or(0.0, f64::to_degrees),
        drawn: Some(DrawnShape {
            centre_mm: blank.centre_mm,
            start_deg: blank.start.tilt_rad.to_degrees(),
            end_deg: blank.end.tilt_rad.to_degrees(),
        }),
        trim,
    })
}

/// Whether a piece that is wanted has been sawn, and still fits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sawn {
    /// Not yet.
    No,
    /// Yes, and it fits.
    Yes,
    /// It has been sawn, to another size than is wanted now.
    Otherwise,
}

/// The sawn pieces of a project, by what they are.
#[derive(Debug, Clone, Default)]
pub struct Done<'a>(BTreeMap<PieceKey, &'a DonePiece>);

impl<'a> Done<'a> {
    /// Those of a project. One that is not known to be any piece is none of them.
    pub fn of(done: &'a [DonePiece]) -> Self {
        Self(done.iter().filter_map(|d| Some((d.key?, d))).collect())
    }

    /// What was sawn as this piece.
    pub fn get(&self, piece: &Piece) -> Option<&'a DonePiece> {
        self.0.get(&piece.key?).copied()
    }

    /// For each piece, whether it has been sawn and is still drawn as it was then.
    pub fn still_drawn(&self, pieces: &[Piece]) -> Vec<bool> {
        pieces.iter().map(|p| self.get(p).is_some_and(|old| is_drawn_alike(old, p))).collect()
    }
}

/// Whether what is drawn now is what was drawn when a piece was sawn.
fn is_drawn_alike(old: &DonePiece, now: &Piece) -> bool {
    let cut = || DrawnShape {
        centre_mm: old.centre_mm - old.trim.map_or(0.0, |t| t.trim_mm),
        start_deg: old.start_deg,
        end_deg: old.end_deg,
    };
    let within_deg = if old.drawn.is_some() { DRAWN_DEG } else { CUT_DEG };
    let was = old.drawn.unwrap_or_else(cut);
    let near = |deg: f64, rad: f64| (deg - rad.to_degrees()).abs() <= within_deg;
    let could_be = |cut_deg: f64, drawn_deg: f64| (cut_deg - drawn_deg).abs() <= MOST_OFF_DEG;
    old.tube == now.tube
        && could_be(old.start_deg, was.start_deg)
        && could_be(old.end_deg, was.end_deg)
        && old.trim.is_none_or(|t| (0.0..=MOST_TRIM_MM).contains(&t.trim_mm))
        && now.is_sawn()
        && near(was.start_deg, now.start.tilt_rad)
        && near(was.end_deg, now.end.tilt_rad)
        && is_turned_alike(old, now)
        && (was.centre_mm - now.blank().centre_mm).abs() <= DONE_MM
}

/// Whether the ends of a sawn piece are turned against each other as those of a piece are.
pub fn is_turned_alike(old: &DonePiece, now: &Piece) -> bool {
    let twist_deg = now.twist_rad().map_or(0.0, f64::to_degrees);
    let off = (old.twist_deg - twist_deg + 180.0).rem_euclid(360.0) - 180.0;
    off.abs() <= TWIST_DEG
}

/// Whether a length as sawn is one that paper could ask for where `wanted_mm` is drawn, welds included: one of its two
/// neighbours on the tape.
pub fn is_as_long(sawn_mm: f64, wanted_mm: f64, step_mm: f64) -> bool {
    (sawn_mm - wanted_mm).abs() <= step_mm + DONE_MM
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fab::{Cut, PieceKind};
    use crate::model::{PiecePlace, RunId, TubeId, Vertex};

    fn slice(saw_deg: f64, throat_mm: f64) -> Piece {
        let cut = Cut::tilted(saw_deg.to_radians(), 0.4);
        Piece {
            mark: "A2".to_owned(),
            key: Some(PieceKey { run: RunId(1), place: PiecePlace::Bend(Vertex::Start, 0) }),
            kind: PieceKind::Slice,
            tube: TubeId(10),
            od_mm: 63.5,
            centre_mm: throat_mm + 63.5 * saw_deg.to_radians().tan(),
            start: cut,
            end: cut,
            bend: Some(0),
            lobe_clock_rad: None,
            curves: [None, None],
        }
    }

    #[test]
    fn a_sawn_piece_serves_until_it_is_drawn_otherwise_whatever_its_mark() {
        let piece = slice(7.5, 12.0);
        // cut to the nearest 1/32 in, 0.3 mm longer
        let printed = Piece { centre_mm: piece.centre_mm + 0.3, ..piece.clone() };
        let list = [record(&piece, &printed, None).unwrap()];
        let done = Done::of(&list);
        assert_eq!(done.still_drawn(std::slice::from_ref(&piece)), [true]);
        let renamed = Piece { mark: "C9".to_owned(), ..piece.clone() };
        assert_eq!(done.still_drawn(&[renamed]), [true]);
        for other in [slice(7.5, 13.0), slice(7.6, 12.0), Piece { tube: TubeId(11), ..piece.clone() }] {
            assert_eq!(done.still_drawn(&[other]), [false]);
        }
        let place = PiecePlace::Bend(Vertex::Start, 1);
        let next = Piece { key: Some(PieceKey { run: RunId(1), place }), ..piece };
        assert_eq!((done.still_drawn(std::slice::from_ref(&next)), done.get(&next)), (vec![false], None));
    }

    #[test]
    fn what_cannot_have_been_sawn_serves_for_nothing() {
        let piece = slice(7.5, 12.0);
        let good = record(&piece, &piece, None).unwrap();
        let trim = |trim_mm| Some(TrimLeft { trim_mm, at_end: true });
        for odd in [
            DonePiece { start_deg: 60.0, ..good.clone() },
            DonePiece { end_deg: f64::NAN, ..good.clone() },
            DonePiece { trim: trim(-1.0), ..good.clone() },
            DonePiece { trim: trim(1e300), ..good.clone() },
        ] {
            let one = std::slice::from_ref(&odd);
            assert_eq!(Done::of(one).still_drawn(std::slice::from_ref(&piece)), [false], "{odd:?}");
        }
    }

    #[test]
    fn what_is_known_of_no_piece_is_none() {
        let piece = slice(7.5, 12.0);
        let old = DonePiece { key: None, ..record(&piece, &piece, None).unwrap() };
        assert_eq!(Done::of(&[old]).get(&piece), None);
        assert_eq!(record(&piece, &Piece { key: None, ..piece.clone() }, None), None);
    }
}
