//! What is done at the saw, stop by stop: how the tube is turned, what the saw is set to, what is measured and marked.
//!
//! The saw's blade leans one way only, so that what falls is longest at the top; which side of the saw that is, the man
//! sees. The tube is turned instead. Two pencil lines run along a stick, half a turn apart, line 1 where the first slanted
//! cut has its long side. Angles round the stick count clockwise from line 1 to who faces its free end.

use crate::report::{CutReport, PieceReport, Report, StickReport};

/// Angles nearer than this are one, degrees.
const SAME_DEG: f64 = 0.05;
/// Lengths nearer than this are one, mm.
const SAME_MM: f64 = 1e-3;

/// What a stop makes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::sheet::cut_sheet) enum Makes<'a> {
    /// A good square end, this much off the stick with the blade, mm.
    Square(f64),
    /// The first face of a piece, by itself.
    First(&'a CutReport),
    /// A piece, which falls.
    Piece(&'a CutReport, &'a PieceReport),
    /// The last piece is what is left, without a cut.
    Left(&'a CutReport, &'a PieceReport),
}

/// How the tube is turned for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::sheet::cut_sheet) enum Turn {
    /// It does not matter.
    Any,
    /// There is no stop before that it could be turned from.
    Start,
    /// From the stop before, degrees, clockwise positive, to half a turn.
    By(f64),
}

/// One stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::sheet::cut_sheet) struct Stop<'a> {
    pub(in crate::sheet::cut_sheet) makes: Makes<'a>,
    /// What the saw's scale reads, degrees.
    pub(in crate::sheet::cut_sheet) setting_deg: f64,
    pub(in crate::sheet::cut_sheet) turn: Turn,
    /// Which place round the stick is at the top, degrees; none where it does not matter.
    pub(in crate::sheet::cut_sheet) top_deg: Option<f64>,
    /// Where the long side of the piece's first face lies round the stick, degrees; none for a square one.
    pub(in crate::sheet::cut_sheet) first_heel_deg: Option<f64>,
}

/// To (−180°, 180°].
pub(in crate::sheet::cut_sheet) fn half_open(deg: f64) -> f64 {
    let deg = deg.rem_euclid(360.0);
    if deg > 180.0 + 1e-9 { deg - 360.0 } else { deg }
}

/// What the saw's scale reads for a square cut.
pub(in crate::sheet::cut_sheet) fn square_deg(scale: crate::model::SawScale) -> f64 {
    match scale {
        crate::model::SawScale::FromSquare => 0.0,
        crate::model::SawScale::FromBlade => 90.0,
    }
}

/// The stops of a stick, in order.
pub(in crate::sheet::cut_sheet) fn stops<'a>(
    report: &'a Report,
    stick: &'a StickReport,
    square_deg: f64,
) -> Vec<Stop<'a>> {
    let mut out = Vec::with_capacity(stick.cuts.len() + 1);
    let mut top: Option<f64> = None;
    for (i, cut) in stick.cuts.iter().enumerate() {
        let Some(piece) = cut.key.and_then(|key| report.printed(key)) else { continue };
        let mut first_heel_deg = None;
        if cut.first_deg > 0.0 {
            if !cut.shares_cut {
                let at = top.unwrap_or(0.0);
                out.push(Stop {
                    makes: Makes::First(cut),
                    setting_deg: cut.first_setting_deg,
                    turn: top.map_or(Turn::Start, |_| Turn::By(0.0)),
                    top_deg: Some(at),
                    first_heel_deg: None,
                });
                top = Some(at);
            }
            first_heel_deg = top.map(|top| (top + 180.0).rem_euclid(360.0));
        } else if !cut.shares_cut {
            let is_own = i == 0 && cut.at_mm.abs() < SAME_MM;
            if !is_own {
                let off = if i == 0 { cut.at_mm } else { 0.0 };
                let makes = if i == 0 { Makes::Square(off) } else { Makes::First(cut) };
                let (turn, top_deg) = (Turn::Any, None);
                out.push(Stop { makes, setting_deg: square_deg, turn, top_deg, first_heel_deg: None });
            }
        }
        let before = top;
        let (turn, top_deg) = if cut.saw_deg > 0.0 {
            let at = match (first_heel_deg, cut.turn_deg, before) {
                (Some(_), Some(turn), Some(before)) => {
                    before - if cut.end_first { turn } else { 360.0 - turn }
                }
                _ => before.unwrap_or(0.0),
            };
            let at = at.rem_euclid(360.0);
            top = Some(at);
            // the tube goes the other way than the place at the top
            (before.map_or(Turn::Start, |before| Turn::By(half_open(before - at))), Some(at))
        } else {
            (Turn::Any, None)
        };
        let is_left = cut.saw_deg <= 0.0 && (stick.length_mm - cut.to_mm).abs() < SAME_MM;
        out.push(Stop {
            makes: if is_left { Makes::Left(cut, piece) } else { Makes::Piece(cut, piece) },
            setting_deg: cut.setting_deg,
            turn,
            top_deg,
            first_heel_deg,
        });
    }
    out
}

/// Where something lies round a piece, from the line that its length is measured on, to who faces the free end: degrees,
/// clockwise positive.
pub(in crate::sheet::cut_sheet) struct Marked {
    /// Where the index line lies; none where it may lie anywhere.
    pub(in crate::sheet::cut_sheet) index_deg: Option<f64>,
    /// Where the long side lies, where that is not the line itself.
    pub(in crate::sheet::cut_sheet) long_deg: Option<f64>,
}

/// What is marked on a piece before it falls.
pub(in crate::sheet::cut_sheet) fn marked(cut: &CutReport, piece: &PieceReport) -> Marked {
    let (start, end) = (piece.start_heel_clock_deg, piece.end_heel_clock_deg);
    // an end that is shaped afterwards is sawn square
    let start = start.filter(|_| piece.start_cut_deg > 0.0);
    let end = end.filter(|_| piece.end_cut_deg > 0.0);
    let (first, second) = if cut.end_first { (end, start) } else { (start, end) };
    // clockwise along the travel is clockwise to who looks along it, the other way to who looks against it
    let seen = |deg: f64| half_open(if cut.end_first { deg } else { -deg });
    let Some(heel) = second.or(first) else { return Marked { index_deg: None, long_deg: None } };
    let long = first.zip(second).and(piece.long_clock_deg).map(|long| seen(heel - long));
    Marked { index_deg: Some(seen(heel)), long_deg: long.filter(|deg| deg.abs() > SAME_DEG) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Frame;
    use crate::geom::vector::turn;
    use crate::sheet::cut_sheet::tests::samples::eight_bends;
    use crate::units::UnitSystem;
    use approx::assert_relative_eq;
    use glam::DVec3;

    /// A stick along +X, its free end at the origin, seen from there; turned as the rows say. What falls is longest at
    /// the top. Both long sides of each piece come where its own clock has them, and so does the index line.
    #[test]
    fn turning_the_tube_as_said_puts_both_long_sides_and_the_index_line_in_their_places() {
        let project = eight_bends(UnitSystem::Millimetre);
        let report = Report::quick(&project);
        let (mut slanted, mut twisted) = (0, 0);
        for stick in report.stock.iter().flat_map(|s| &s.sticks) {
            let stops = stops(&report, stick, 0.0);
            // how far the tube has been turned, clockwise to who looks along +X: right-handed about +X
            let mut turned_deg = 0.0;
            let mut first_heel: Option<DVec3> = None;
            for stop in &stops {
                if let Turn::By(deg) = stop.turn {
                    turned_deg += deg;
                }
                // the place of the tube that is at the top now, in the tube's own frame
                let on_tube = |seen: DVec3| turn(seen, DVec3::X, (-turned_deg).to_radians());
                match stop.makes {
                    Makes::Piece(cut, piece) => {
                        let travel = if cut.end_first { -DVec3::X } else { DVec3::X };
                        let marked = marked(cut, piece);
                        let (first, second) = if cut.end_first {
                            (piece.end_heel_clock_deg, piece.start_heel_clock_deg)
                        } else {
                            (piece.start_heel_clock_deg, piece.end_heel_clock_deg)
                        };
                        let line = if second.is_some() { Some(on_tube(DVec3::Z)) } else { first_heel };
                        if let (Some(line), Some(index)) = (line, marked.index_deg) {
                            let index = turn(line, DVec3::X, index.to_radians());
                            let own = Frame::new(DVec3::ZERO, travel, index);
                            if let Some(second) = second {
                                let heel = own.at_clock(second.to_radians());
                                assert!(heel.dot(on_tube(DVec3::Z)) > 1.0 - 1e-6, "{}", piece.mark);
                            }
                            if let (Some(first), Some(heel)) = (first, first_heel) {
                                assert!(
                                    own.at_clock(first.to_radians()).dot(heel) > 1.0 - 1e-5,
                                    "{}",
                                    piece.mark
                                );
                                slanted += 1;
                                twisted += u32::from(marked.long_deg.is_some());
                            }
                            if let (Some(long), Some(clock)) = (marked.long_deg, piece.long_clock_deg) {
                                let found = turn(line, DVec3::X, long.to_radians());
                                assert_relative_eq!(found, own.at_clock(clock.to_radians()), epsilon = 1e-9);
                            }
                        }
                        first_heel = second.map(|_| -on_tube(DVec3::Z));
                    }
                    Makes::First(cut) if cut.first_deg > 0.0 => first_heel = Some(-on_tube(DVec3::Z)),
                    Makes::First(_) | Makes::Square(_) | Makes::Left(..) => first_heel = None,
                }
            }
        }
        assert!(slanted > 20 && twisted > 3, "{slanted} {twisted}");
    }
}
