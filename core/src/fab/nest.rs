//! Pieces laid out on sticks of tube in the order they are sawn.
//!
//! Longest piece first, each on the first stick with room (first-fit decreasing; simple, not proved best).
//! Neighbours that meet at equal saw angles share one cut, the tube turned half a turn between: pitch is
//! centreline length plus kerf/cos α. Different angles need two cuts with a wedge of scrap between them,
//! `r·|tan α1 − tan α2|` on the centreline.

use super::piece::Piece;
use crate::geom::vector::full_turn;
use crate::model::{SawScale, Tube};
use std::f64::consts::PI;

/// Tilts closer than this are one setting of the saw, rad (0.001°).
const SAME_SETTING_RAD: f64 = 0.001 * PI / 180.0;

/// One piece on a stick.
#[derive(Debug, Clone, PartialEq)]
pub struct StickCut {
    /// Mark of the piece.
    pub mark: String,
    /// Where its centreline begins, from the stick's end, mm.
    pub from_mm: f64,
    /// Where its centreline ends, mm.
    pub to_mm: f64,
    /// Tilt of its first face as it lies on the stick, rad.
    pub first_rad: f64,
    /// Tilt of its second face, the cut that frees it, rad.
    pub second_rad: f64,
    /// Whether the piece lies end first: its end (in the travel of the run) is cut first.
    pub end_first: bool,
    /// Whether its first face is the cut that freed the piece before it.
    pub shares_cut: bool,
    /// Turn of the tube between the cut of its first face and the cut of its second, rad in [0, 2π);
    /// `None` where one of them is square and no turn is needed.
    pub turn_rad: Option<f64>,
}

/// Where a stick comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum StickSource {
    /// An offcut on the rack.
    Offcut,
    /// A whole stick on the rack.
    Rack,
    /// To be bought.
    Buy,
}

impl StickSource {
    /// The word on sheet and in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Offcut => "offcut",
            Self::Rack => "rack",
            Self::Buy => "buy",
        }
    }
}

/// One stick with what is cut from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Stick {
    /// Its length, mm.
    pub length_mm: f64,
    /// Where it comes from.
    pub source: StickSource,
    /// Pieces in sawing order.
    pub cuts: Vec<StickCut>,
    /// What is left with a square end, mm.
    pub drop_mm: f64,
}

/// The setting the saw's scale shows for a tilt, degrees.
pub fn saw_reads_deg(tilt_rad: f64, scale: SawScale) -> f64 {
    match scale {
        SawScale::FromSquare => tilt_rad.to_degrees(),
        SawScale::FromBlade => 90.0 - tilt_rad.to_degrees(),
    }
}

/// A stick being filled.
struct Open {
    length_mm: f64,
    source: StickSource,
    cuts: Vec<StickCut>,
    /// Centreline position of the last face.
    at_mm: f64,
    /// Tilt of the last face.
    tilt_rad: f64,
}

impl Open {
    fn new(length_mm: f64, source: StickSource) -> Self {
        Self { length_mm, source, cuts: Vec::new(), at_mm: 0.0, tilt_rad: 0.0 }
    }

    /// Where a piece whose first face is tilted by `first` would begin, and whether it shares the last cut.
    fn begin(&self, first: f64, radius_mm: f64, kerf_mm: f64) -> (f64, bool) {
        let cut = |tilt: f64| kerf_mm / tilt.cos();
        if self.cuts.is_empty() {
            // the stick's own end is square: a mitred first face needs a cut of its own and wastes its ramp
            let waste = if first > SAME_SETTING_RAD { radius_mm * first.tan() + cut(first) } else { 0.0 };
            return (waste, false);
        }
        if (self.tilt_rad - first).abs() <= SAME_SETTING_RAD {
            return (self.at_mm + cut(first), true);
        }
        let wedge = radius_mm * (self.tilt_rad.tan() - first.tan()).abs();
        (self.at_mm + cut(self.tilt_rad) + wedge + cut(first), false)
    }

    /// Where a square end could stand after the last face, mm.
    fn square_end_mm(&self, radius_mm: f64, kerf_mm: f64) -> f64 {
        if self.cuts.is_empty() {
            return 0.0;
        }
        self.at_mm + radius_mm * self.tilt_rad.tan() + kerf_mm / self.tilt_rad.cos()
    }
}

/// All sticks of one tube.
#[derive(Debug, Clone, PartialEq)]
pub struct Nested {
    /// Sticks in sawing order.
    pub sticks: Vec<Stick>,
    /// Marks of pieces that no stick holds.
    pub unplaced: Vec<String>,
    /// Whether no layout needs fewer sticks: only where it is plain, because one stick is enough or because one
    /// stick fewer could not hold the bare lengths.
    pub proved_fewest: bool,
}

/// Lays `pieces` (all of `tube`) on offcuts, sticks on the rack and sticks to buy, in that order of
/// preference.
pub fn nest(tube: &Tube, pieces: &[&Piece], kerf_mm: f64) -> Nested {
    let radius_mm = tube.od_mm / 2.0;
    let mut order: Vec<&Piece> = pieces.to_vec();
    order.sort_by(|a, b| {
        b.centre_mm
            .total_cmp(&a.centre_mm)
            .then_with(|| a.mark.len().cmp(&b.mark.len()))
            .then_with(|| a.mark.cmp(&b.mark))
    });
    let mut free: Vec<f64> = tube
        .offcuts
        .iter()
        .flat_map(|o| std::iter::repeat_n(o.length_mm, o.count.min(10_000) as usize))
        .filter(|l| l.is_finite() && *l > 0.0)
        .collect();
    free.sort_by(|a, b| b.total_cmp(a));
    let mut longest: Vec<f64> = free.clone();
    let mut unplaced = Vec::new();
    let mut on_rack = tube.sticks_on_hand;
    let mut open: Vec<Open> = Vec::new();
    for piece in order {
        let placed = open.iter_mut().any(|stick| add(stick, piece, radius_mm, kerf_mm));
        if placed {
            continue;
        }
        // the shortest offcut that holds it, else a stick
        let offcut = (0..free.len())
            .rev()
            .find(|&i| add(&mut Open::new(free[i], StickSource::Offcut), piece, radius_mm, kerf_mm));
        let mut stick = match offcut {
            Some(i) => Open::new(free.remove(i), StickSource::Offcut),
            None if on_rack > 0 => Open::new(tube.stick_mm, StickSource::Rack),
            None => Open::new(tube.stick_mm, StickSource::Buy),
        };
        if add(&mut stick, piece, radius_mm, kerf_mm) {
            if stick.source == StickSource::Rack {
                on_rack -= 1;
            }
            open.push(stick);
        } else {
            unplaced.push(piece.mark.clone());
        }
    }
    // the most that one stick fewer could hold
    longest.extend(std::iter::repeat_n(tube.stick_mm, open.len()));
    longest.sort_by(|a, b| b.total_cmp(a));
    let fewer: f64 = longest.iter().take(open.len().saturating_sub(1)).sum();
    let bare: f64 = pieces.iter().filter(|p| !unplaced.contains(&p.mark)).map(|p| p.centre_mm).sum();
    let proved_fewest = open.len() <= 1 || bare > fewer;
    let sticks = open
        .into_iter()
        .map(|s| Stick {
            drop_mm: (s.length_mm - s.square_end_mm(radius_mm, kerf_mm)).max(0.0),
            length_mm: s.length_mm,
            source: s.source,
            cuts: s.cuts,
        })
        .collect();
    Nested { sticks, unplaced, proved_fewest }
}

/// Adds the piece to the stick in the better of its two directions if it fits.
fn add(stick: &mut Open, piece: &Piece, radius_mm: f64, kerf_mm: f64) -> bool {
    let (start, end) = (piece.start.tilt_rad, piece.end.tilt_rad);
    // on an empty stick the square end goes first; else the face that meets the last cut best
    let forward = stick.begin(start, radius_mm, kerf_mm);
    let backward = stick.begin(end, radius_mm, kerf_mm);
    let end_first = backward.0 < forward.0 - 1e-9;
    let ((from_mm, shares_cut), first_rad, second_rad) =
        if end_first { (backward, end, start) } else { (forward, start, end) };
    let to_mm = from_mm + piece.centre_mm;
    // the long side of the last face must still be on the stick
    if to_mm + radius_mm * second_rad.tan() > stick.length_mm + 1e-9 {
        return false;
    }
    let turn_rad = piece.twist_rad().map(|twist| full_turn(PI + if end_first { -twist } else { twist }));
    stick.cuts.push(StickCut {
        mark: piece.mark.clone(),
        from_mm,
        to_mm,
        first_rad,
        second_rad,
        end_first,
        shares_cut,
        turn_rad,
    });
    stick.at_mm = to_mm;
    stick.tilt_rad = second_rad;
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fab::piece::{Cut, PieceKind};
    use crate::model::{Material, Offcut, TubeId};
    use approx::assert_relative_eq;

    fn tube(stick_mm: f64) -> Tube {
        Tube {
            id: TubeId(1),
            material: Material::Stainless304,
            od_mm: 76.2,
            wall_mm: 1.65,
            stick_mm,
            sticks_on_hand: 1,
            offcuts: Vec::new(),
            slices: Vec::new(),
            stick_price: None,
        }
    }

    fn piece(mark: &str, centre_mm: f64, start_deg: f64, end_deg: f64) -> Piece {
        let cut = |deg: f64| Cut::tilted(deg.to_radians(), 0.0);
        Piece {
            mark: mark.to_owned(),
            kind: PieceKind::Straight,
            tube: TubeId(1),
            od_mm: 76.2,
            centre_mm,
            start: cut(start_deg),
            end: cut(end_deg),
            bend: None,
            lobe_clock_rad: None,
        }
    }

    /// Worked layout: end piece 82.7357, three slices 45.4714 at 11.25°, end piece 82.7357, kerf 1.6: the second
    /// end piece is as long as the first, so it comes before the slices here and shares a cut all the same.
    #[test]
    fn equal_angles_share_one_cut() {
        let all = [
            piece("A1", 82.7357, 0.0, 11.25),
            piece("A2", 45.4714, 11.25, 11.25),
            piece("A3", 45.4714, 11.25, 11.25),
            piece("A4", 45.4714, 11.25, 11.25),
        ];
        let sticks = nest(&tube(3000.0), &all.iter().collect::<Vec<_>>(), 1.6).sticks;
        assert_eq!(sticks.len(), 1);
        let starts: Vec<f64> = sticks[0].cuts.iter().map(|c| c.from_mm).collect();
        for (got, want) in starts.iter().zip([0.0, 84.3670, 131.4697, 178.5725]) {
            assert_relative_eq!(*got, want, epsilon = 2e-4);
        }
        assert!(sticks[0].cuts.iter().skip(1).all(|c| c.shares_cut));
        assert_relative_eq!(sticks[0].cuts[1].turn_rad.unwrap(), PI);
    }

    #[test]
    fn a_short_offcut_is_used_before_a_stick_is_bought() {
        let mut t = tube(3000.0);
        t.sticks_on_hand = 0;
        t.offcuts = vec![Offcut { length_mm: 500.0, count: 1 }, Offcut { length_mm: 120.0, count: 2 }];
        let a = piece("A1", 110.0, 0.0, 0.0);
        let b = piece("A2", 2900.0, 0.0, 0.0);
        let sticks = nest(&t, &[&a, &b], 2.0).sticks;
        let sources: Vec<_> = sticks.iter().map(|s| (s.source, s.length_mm)).collect();
        assert_eq!(sources, [(StickSource::Buy, 3000.0), (StickSource::Offcut, 120.0)]);
    }

    #[test]
    fn nothing_reaches_past_the_end_of_a_stick_and_pieces_do_not_overlap() {
        let all: Vec<Piece> = (0..40)
            .map(|i| {
                piece(
                    &format!("A{i}"),
                    60.0 + f64::from(i) * 17.0,
                    f64::from(i % 3) * 7.5,
                    f64::from(i % 4) * 5.0,
                )
            })
            .collect();
        let sticks = nest(&tube(1500.0), &all.iter().collect::<Vec<_>>(), 1.6).sticks;
        let mut seen = 0;
        for stick in &sticks {
            let mut end = 0.0;
            let mut tilt = 0.0_f64;
            for cut in &stick.cuts {
                // at every generator the gap to the piece before is at least the kerf
                if seen > 0 && end > 0.0 {
                    let least = cut.from_mm - end - 38.1 * (cut.first_rad.tan() - tilt.tan()).abs();
                    assert!(least > 1.59, "kerf kept, got {least}");
                }
                (end, tilt) = (cut.to_mm, cut.second_rad);
                seen += 1;
            }
            assert!(end + 38.1 * tilt.tan() <= stick.length_mm + 1e-9);
        }
        assert_eq!(seen, 40);
    }

    #[test]
    fn a_piece_longer_than_every_stick_is_left_out() {
        let a = piece("A1", 4000.0, 0.0, 0.0);
        let nested = nest(&tube(3000.0), &[&a], 1.6);
        assert!(nested.sticks.is_empty());
        assert_eq!(nested.unplaced, ["A1"]);
    }
}
