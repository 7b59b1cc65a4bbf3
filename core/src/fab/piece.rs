//! A piece of pipe with its two ends.

use super::end_curve::{CLOCKS, EndCurve};
use super::limb::Edge;
use crate::finding::PieceType;
use crate::geom::search::both_from;
use crate::geom::vector::half_open_turn;
use crate::model::{JointId, PieceKey, TaperId, TubeId};
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

/// One end of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cut {
    /// Tilt of the face from square, rad; 0 for a square cut.
    pub tilt_rad: f64,
    /// Clock angle where the long side of this cut lies, rad; `None` for a square cut.
    pub heel_clock_rad: Option<f64>,
}

impl Cut {
    /// A square cut.
    pub const SQUARE: Self = Self { tilt_rad: 0.0, heel_clock_rad: None };

    /// A cut tilted by `tilt_rad` with its long side at `heel_clock_rad`.
    pub fn tilted(tilt_rad: f64, heel_clock_rad: f64) -> Self {
        if tilt_rad == 0.0 {
            Self::SQUARE
        } else {
            Self { tilt_rad, heel_clock_rad: Some(half_open_turn(heel_clock_rad)) }
        }
    }

    /// The part of the generator length this cut adds at clock `clock_rad`, mm.
    pub fn adds_mm(&self, radius_mm: f64, clock_rad: f64) -> f64 {
        self.heel_clock_rad.map_or(0.0, |heel| radius_mm * self.tilt_rad.tan() * (clock_rad - heel).cos())
    }
}

/// What an elbow piece is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ElbowCut {
    /// Bend angle that is used, rad.
    pub angle_rad: f64,
    /// Centreline radius, mm.
    pub clr_mm: f64,
    /// Clock angle of the bend centre, rad.
    pub throat_clock_rad: f64,
    /// Straight leg of its own that stays at the start, mm.
    pub lead_mm: f64,
    /// Straight leg of its own that stays at the end, mm.
    pub tail_mm: f64,
    /// Angle cut away, rad; 0 where the elbow is used whole.
    pub removed_rad: f64,
    /// Whether the angle is cut away at the start (else at the end).
    pub removed_at_start: bool,
}

/// What a taper piece is. Its first outside diameter is the piece's own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TaperCut {
    /// Which taper of the run.
    pub taper: TaperId,
    /// Outside diameter at its end, mm.
    pub end_od_mm: f64,
    /// Its own wall, mm.
    pub wall_mm: f64,
    /// How far its end is set off across the travel, mm, ≥ 0.
    pub offset_mm: f64,
    /// Clock angle it is set off towards, rad.
    pub offset_clock_rad: f64,
    /// Clock angle of its seam, rad, and the lap there, mm, for one that is rolled; none for one that is bought.
    pub rolled: Option<(f64, f64)>,
}

/// What a piece is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PieceKind {
    /// A length of tube.
    Straight,
    /// A slice of tube with both ends mitred.
    Slice,
    /// An elbow from stock.
    Elbow(ElbowCut),
    /// A joint, by its make-up.
    Joint(JointId),
    /// A taper.
    Taper(TaperCut),
}

/// A piece of a run, in the order of travel.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Mark written on the piece.
    pub mark: String,
    /// What it is known by; none for what is no piece of a run: a bar on its stick.
    pub key: Option<PieceKey>,
    /// What it is.
    pub kind: PieceKind,
    /// Tube it is cut from; the elbow's or joint's own run tube otherwise.
    pub tube: TubeId,
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Length along its own centreline, mm.
    pub centre_mm: f64,
    /// Its face at the start.
    pub start: Cut,
    /// Its face at the end.
    pub end: Cut,
    /// Which bend (from 0) it belongs to, for slices and elbows.
    pub bend: Option<usize>,
    /// Clock angle of the lobe of a joint, rad.
    pub lobe_clock_rad: Option<f64>,
    /// What its start and its end are shaped to, where they sit on another pipe or in a merge. The piece's centre line
    /// then runs to the run's end point there, and the face counts as square.
    pub curves: [Option<Arc<EndCurve>>; 2],
}

impl PieceKind {
    /// What it is, for a finding about it.
    pub fn of_type(&self) -> PieceType {
        match self {
            Self::Straight => PieceType::Straight,
            Self::Slice => PieceType::Slice,
            Self::Elbow(_) => PieceType::Elbow,
            Self::Joint(_) => PieceType::Joint,
            Self::Taper(_) => PieceType::Taper,
        }
    }
}

impl Piece {
    /// Outside diameter at its end, mm.
    pub fn end_od_mm(&self) -> f64 {
        match self.kind {
            PieceKind::Taper(t) => t.end_od_mm,
            PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Joint(_) => self.od_mm,
        }
    }

    /// Outside diameter at a place along its centreline, mm.
    pub fn od_at_mm(&self, along_mm: f64) -> f64 {
        let share = if self.centre_mm > 0.0 { (along_mm / self.centre_mm).clamp(0.0, 1.0) } else { 0.0 };
        self.od_mm + (self.end_od_mm() - self.od_mm) * share
    }

    /// Whether an end is shaped to another part.
    pub fn is_shaped(&self) -> bool {
        self.curves.iter().any(Option::is_some)
    }

    /// What the shaped ends take off the generator at clock `clock_rad`, mm.
    fn shaped_off_mm(&self, clock_rad: f64) -> f64 {
        self.curves.iter().flatten().map(|c| c.at_mm(Edge::Seat, clock_rad)).sum()
    }

    /// The tube that is sawn for it before its shaped ends are cut: as long as they need at the most.
    #[must_use]
    pub fn blank(&self) -> Self {
        let more_mm: f64 = self.curves.iter().flatten().map(|c| -c.range_mm().0).sum();
        Self { centre_mm: self.centre_mm + more_mm, curves: [None, None], ..self.clone() }
    }

    /// Longest and shortest side of the tube that is sawn for it, mm: before its shaped ends are cut.
    pub fn sawn_sides_mm(&self) -> (f64, f64) {
        if self.is_shaped() { self.blank().long_short_mm() } else { self.long_short_mm() }
    }

    /// Whether it is cut from a stick.
    pub fn is_sawn(&self) -> bool {
        matches!(self.kind, PieceKind::Straight | PieceKind::Slice)
    }

    /// Length of the generator at clock `clock_rad`, mm:
    /// `ℓ + r·tan α1·cos(φ − φ1) + r·tan α2·cos(φ − φ2)` for tube between two plane cuts.
    pub fn generator_mm(&self, clock_rad: f64) -> f64 {
        let r = self.od_mm / 2.0;
        self.centre_mm + self.start.adds_mm(r, clock_rad) + self.end.adds_mm(r, clock_rad)
            - self.shaped_off_mm(clock_rad)
    }

    /// The generators at even clocks once round, mm.
    fn sampled_mm(&self) -> Vec<f64> {
        let curves: Vec<&[f64]> = self.curves.iter().flatten().map(|c| c.sampled_mm()).collect();
        let r = self.od_mm / 2.0;
        let one = |i: u32| {
            let clock = TAU * f64::from(i) / f64::from(CLOCKS);
            let off: f64 = curves.iter().map(|c| c[i as usize]).sum();
            self.centre_mm + self.start.adds_mm(r, clock) + self.end.adds_mm(r, clock) - off
        };
        (0..=CLOCKS).map(one).collect()
    }

    /// Longest and shortest side, mm.
    ///
    /// For tube, the two cosines add up to one of amplitude `r·|tan α1·e^{iφ1} + tan α2·e^{iφ2}|`. For an elbow
    /// heel and throat with its own legs.
    pub fn long_short_mm(&self) -> (f64, f64) {
        let r = self.od_mm / 2.0;
        match self.kind {
            PieceKind::Elbow(e) => {
                let legs = e.lead_mm + e.tail_mm;
                (legs + (e.clr_mm + r) * e.angle_rad, legs + (e.clr_mm - r) * e.angle_rad)
            }
            PieceKind::Joint(_) => (self.centre_mm, self.centre_mm),
            PieceKind::Taper(t) => {
                let half = (t.end_od_mm - self.od_mm) / 2.0;
                let side = |off: f64| self.centre_mm.hypot(half + off);
                // length² of a line is L² + h² + o² + 2·h·o·cos φ: greatest and least where it lies with the offset
                let (a, b) = (side(t.offset_mm), side(-t.offset_mm));
                (a.max(b), a.min(b))
            }
            PieceKind::Straight | PieceKind::Slice if self.is_shaped() => {
                let mitred = [self.start, self.end].iter().any(|c| c.heel_clock_rad.is_some());
                match &self.curves {
                    // beside a square end the extremes are those of the curve, which are known
                    [Some(one), None] | [None, Some(one)] if !mitred => {
                        let (least, most) = one.range_mm();
                        (self.centre_mm - least, self.centre_mm - most)
                    }
                    _ => {
                        let at = |clock: f64| self.generator_mm(clock);
                        let (least, most) = both_from(&self.sampled_mm(), at, 0.0, TAU);
                        (most.1, least.1)
                    }
                }
            }
            PieceKind::Straight | PieceKind::Slice => {
                let part = |c: &Cut| {
                    let (sin, cos) = c.heel_clock_rad.unwrap_or(0.0).sin_cos();
                    (c.tilt_rad.tan() * cos, c.tilt_rad.tan() * sin)
                };
                let (a, b) = (part(&self.start), part(&self.end));
                let reach = r * (a.0 + b.0).hypot(a.1 + b.1);
                (self.centre_mm + reach, self.centre_mm - reach)
            }
        }
    }

    /// Clock angle where its long side lies, rad; `None` where all sides are alike, and for elbows and joints.
    pub fn long_clock_rad(&self) -> Option<f64> {
        let part = |c: &Cut| {
            let (sin, cos) = c.heel_clock_rad.unwrap_or(0.0).sin_cos();
            (c.tilt_rad.tan() * cos, c.tilt_rad.tan() * sin)
        };
        let (a, b) = (part(&self.start), part(&self.end));
        let (x, y) = (a.0 + b.0, a.1 + b.1);
        if self.is_shaped() {
            return None;
        }
        (self.is_sawn() && x.hypot(y) > 1e-9).then(|| half_open_turn(y.atan2(x)))
    }

    /// How far the end's heel is turned from the start's, rad in (−π, π]; `None` unless both ends are mitred.
    pub fn twist_rad(&self) -> Option<f64> {
        Some(half_open_turn(self.end.heel_clock_rad? - self.start.heel_clock_rad?))
    }

    /// Mass, kg: `π·w·(OD − w)·ρ` times the centreline length (exact for plane cuts and for elbows, by Pappus).
    pub fn mass_kg(&self, wall_mm: f64, density_kg_m3: f64) -> f64 {
        PI * wall_mm * (self.od_mm - wall_mm) * self.centre_mm * density_kg_m3 * 1e-9
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn piece(start: Cut, end: Cut) -> Piece {
        Piece {
            mark: "A1".to_owned(),
            key: None,
            kind: PieceKind::Straight,
            tube: TubeId(1),
            od_mm: 76.2,
            centre_mm: 60.0,
            start,
            end,
            bend: None,
            lobe_clock_rad: None,
            curves: [None, None],
        }
    }

    #[test]
    fn long_and_short_are_the_extremes_of_the_generators() {
        let p = piece(Cut::tilted(0.2, 0.3), Cut::tilted(0.15, 1.7));
        let all: Vec<f64> = (0..36_000).map(|i| p.generator_mm(f64::from(i) * PI / 18_000.0)).collect();
        let (long, short) = p.long_short_mm();
        assert_relative_eq!(long, all.iter().copied().fold(f64::MIN, f64::max), epsilon = 1e-6);
        assert_relative_eq!(short, all.iter().copied().fold(f64::MAX, f64::min), epsilon = 1e-6);
    }

    #[test]
    fn a_turned_shared_slice_is_less_tapered_than_a_keystone() {
        let same = piece(Cut::tilted(0.2, 0.0), Cut::tilted(0.2, 0.0)).long_short_mm();
        let turned = piece(Cut::tilted(0.2, 0.0), Cut::tilted(0.2, PI)).long_short_mm();
        assert_relative_eq!(same.0 - same.1, 2.0 * 76.2 * 0.2_f64.tan(), max_relative = 1e-12);
        assert_relative_eq!(turned.0, turned.1, epsilon = 1e-9);
    }

    #[test]
    fn twist_needs_two_mitred_ends() {
        assert_eq!(piece(Cut::SQUARE, Cut::tilted(0.1, 1.0)).twist_rad(), None);
        let twist = piece(Cut::tilted(0.1, 3.0), Cut::tilted(0.1, -3.0)).twist_rad().unwrap();
        assert_relative_eq!(twist, 2.0 * PI - 6.0, epsilon = 1e-12);
    }
}
