//! The pieces as the packing sees them: whole numbers, and the settings of the saw their faces need.
//!
//! A layout of a stick costs the bare lengths, half a cut at every face, and an extra that depends only on which
//! settings follow each other (see [`super::order`]). Split this way the first part simply adds up.

use super::SawRules;
use crate::fab::piece::Piece;
use crate::model::Tube;
use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// Lengths in the search, in millionths of a micrometre: sums of typed decimals are exact, and 50 m times thousands of
/// pieces still fit.
pub(super) type Ticks = i64;

/// Ticks in a mm.
const PER_MM: f64 = 1e9;

/// Tilts closer than this are one setting of the saw, rad (0.001°).
pub(super) const SAME_SETTING_RAD: f64 = 0.001 * PI / 180.0;

/// What a layout may reach past the end of its stick, mm: rounding noise of inches turned into mm.
pub(super) const FIT_MM: f64 = 1e-6;

/// Longest length that is taken seriously, mm (far above the limits of a project).
const LONGEST_MM: f64 = 1e5;

pub(super) fn ticks(mm: f64) -> Ticks {
    (mm.clamp(-LONGEST_MM, LONGEST_MM) * PER_MM).round() as Ticks
}

pub(super) fn mm(ticks: Ticks) -> f64 {
    ticks as f64 / PER_MM
}

/// A setting of the saw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Setting {
    pub(super) tilt_rad: f64,
    /// How far the long side of such a face stands off its centre, `r·tan α`.
    pub(super) ramp: Ticks,
    /// Half of what the blade takes along the tube, `k/(2·cos α)`.
    pub(super) half_cut: Ticks,
}

/// What two pieces have in common that lie alike on a stick: the settings of their faces, and whether they are long
/// enough to be held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Kind {
    /// The settings of the two faces, by number, the smaller first.
    pub(super) faces: [usize; 2],
    pub(super) holds: bool,
}

/// A piece as the packing sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Blank {
    /// Its place in the list of pieces.
    pub(super) piece: usize,
    /// Bare length and half a cut at either face.
    pub(super) weight: Ticks,
    pub(super) kind: usize,
}

/// A stick or offcut that can be cut from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Stock {
    /// What can be used of it.
    pub(super) room: Ticks,
    /// Its place among the offcuts; none for a whole stick.
    pub(super) offcut: Option<usize>,
}

/// All that is to be packed.
#[derive(Debug)]
pub(super) struct Job {
    /// Those that can be held first, then longest first, then by mark.
    pub(super) blanks: Vec<Blank>,
    pub(super) kinds: Vec<Kind>,
    pub(super) settings: Vec<Setting>,
    pub(super) grip: Ticks,
    /// A whole stick, where the tube has a length that can be used.
    pub(super) whole: Option<Stock>,
    /// Offcuts, shortest first.
    pub(super) offcuts: Vec<Stock>,
    pub(super) offcuts_mm: Vec<f64>,
    /// Whether the first end of a whole stick is cut off.
    pub(super) is_trimmed: bool,
    /// No order of any pieces costs less than this beside their weights.
    pub(super) least_extra: Ticks,
    /// As `least_extra` where a square end is left.
    pub(super) least_extra_square: Ticks,
    /// Whether taking a piece off a stick never makes the rest longer: true unless a piece has a short side below zero.
    pub(super) is_proper: bool,
}

impl Job {
    /// Sets up the packing of `pieces`; those that no saw could make are left out.
    pub(super) fn new(tube: &Tube, pieces: &[&Piece], rules: &SawRules) -> Self {
        let radius_mm = (tube.od_mm / 2.0).max(0.0);
        let usable = |p: &&Piece| {
            let face = |tilt: f64| tilt.is_finite() && tilt.cos() > 0.01;
            p.centre_mm.is_finite()
                && (0.0..LONGEST_MM).contains(&p.centre_mm)
                && face(p.start.tilt_rad)
                && face(p.end.tilt_rad)
        };
        let mut tilts: Vec<f64> = pieces
            .iter()
            .filter(|p| usable(p))
            .flat_map(|p| [p.start.tilt_rad.abs(), p.end.tilt_rad.abs()])
            .collect();
        tilts.sort_by(f64::total_cmp);
        let mut settings: Vec<Setting> = Vec::new();
        for tilt in tilts {
            if settings.last().is_none_or(|s| tilt - s.tilt_rad > SAME_SETTING_RAD) {
                let tilt_rad = if tilt <= SAME_SETTING_RAD { 0.0 } else { tilt };
                let ramp = ticks(radius_mm * tilt_rad.tan());
                let half_cut = ticks(rules.kerf_mm.max(0.0) / tilt_rad.cos() / 2.0);
                settings.push(Setting { tilt_rad, ramp, half_cut });
            }
        }
        let setting_of = |tilt: f64| settings.partition_point(|s| s.tilt_rad <= tilt.abs()).saturating_sub(1);
        let grip = ticks(rules.grip_mm.max(0.0));
        let described: Vec<(usize, Kind)> = pieces
            .iter()
            .enumerate()
            .filter(|(_, p)| usable(p))
            .map(|(i, p)| {
                let (a, b) = (setting_of(p.start.tilt_rad), setting_of(p.end.tilt_rad));
                let holds = grip > 0 && ticks(p.long_short_mm().1) >= grip;
                (i, Kind { faces: [a.min(b), a.max(b)], holds })
            })
            .collect();
        let mut kinds: Vec<Kind> = described.iter().map(|d| d.1).collect();
        kinds.sort_unstable();
        kinds.dedup();
        let mut blanks: Vec<Blank> = described
            .iter()
            .map(|&(piece, kind)| Blank {
                piece,
                weight: ticks(pieces[piece].centre_mm)
                    + kind.faces.iter().map(|f| settings[*f].half_cut).sum::<Ticks>(),
                kind: kinds.partition_point(|k| *k < kind),
            })
            .collect();
        blanks.sort_by(|a, b| {
            let by = |blank: &Blank| (Reverse(kinds[blank.kind].holds), Reverse(blank.weight), blank.kind);
            let mark = |blank: &Blank| (pieces[blank.piece].mark.len(), &pieces[blank.piece].mark);
            by(a).cmp(&by(b)).then_with(|| mark(a).cmp(&mark(b)))
        });
        let is_proper = blanks.iter().all(|b| {
            let [lean, more] = kinds[b.kind].faces.map(|f| settings[f].ramp);
            ticks(pieces[b.piece].centre_mm) >= more - lean
        });
        let least = |of: fn(&Setting) -> Ticks| settings.iter().map(of).min().unwrap_or(0);
        let least_extra = least(Setting::begin) + least(Setting::end);
        let least_extra_square = least(Setting::begin) + least(Setting::end_square);
        let mut job = Self {
            blanks,
            kinds,
            settings,
            grip,
            whole: None,
            offcuts: Vec::new(),
            offcuts_mm: Vec::new(),
            is_trimmed: rules.first_trim_mm > 0.0,
            least_extra,
            least_extra_square,
            is_proper,
        };
        job.take_stock(tube, rules);
        job
    }

    fn take_stock(&mut self, tube: &Tube, rules: &SawRules) {
        let trim_mm = rules.first_trim_mm.max(0.0);
        let usable = |mm: f64| mm.is_finite() && mm > 0.0 && mm < LONGEST_MM;
        self.whole = usable(tube.stick_mm - trim_mm)
            .then(|| Stock { room: ticks(tube.stick_mm - trim_mm + FIT_MM), offcut: None });
        let most = self.blanks.len();
        let mut lengths: Vec<f64> = tube
            .offcuts
            .iter()
            .filter(|o| usable(o.length_mm))
            .flat_map(|o| std::iter::repeat_n(o.length_mm, most.min(o.count as usize)))
            .collect();
        lengths.sort_by(f64::total_cmp);
        self.offcuts = lengths
            .iter()
            .enumerate()
            .map(|(i, l)| Stock { room: ticks(l + FIT_MM), offcut: Some(i) })
            .collect();
        self.offcuts_mm = lengths;
    }

    /// Whether the faces of the blank are both square.
    pub(super) fn is_square(&self, blank: &Blank) -> bool {
        self.kinds[blank.kind].faces.iter().all(|f| self.settings[*f].ramp == 0)
    }

    /// Bare length of the blank.
    pub(super) fn bare(&self, blank: &Blank) -> Ticks {
        blank.weight - self.kinds[blank.kind].faces.iter().map(|f| self.settings[*f].half_cut).sum::<Ticks>()
    }

    /// The different blanks with how many of each, in the order of `blanks`.
    pub(super) fn types(&self) -> Vec<(Blank, usize)> {
        let mut at: BTreeMap<(Ticks, usize), usize> = BTreeMap::new();
        let mut out: Vec<(Blank, usize)> = Vec::new();
        for blank in &self.blanks {
            let next = out.len();
            let i = *at.entry((blank.weight, blank.kind)).or_insert(next);
            if i == next {
                out.push((*blank, 1));
            } else {
                out[i].1 += 1;
            }
        }
        out
    }
}

impl Setting {
    /// What it costs to begin a stick with such a face, over half a cut: nothing and no cut for a square one, else the
    /// ramp and a whole cut.
    pub(super) fn begin(&self) -> Ticks {
        if self.ramp == 0 { -self.half_cut } else { self.ramp + self.half_cut }
    }

    /// What it costs to end with such a face at the end of the stick: its long side must still be there.
    pub(super) fn end(&self) -> Ticks {
        self.ramp - self.half_cut
    }

    /// What it costs to end with such a face and leave a square end: the long side and the cut.
    pub(super) fn end_square(&self) -> Ticks {
        self.ramp + self.half_cut
    }

    /// What it costs that `self` is followed by `next`, over half a cut for either: nothing where they are one setting
    /// and share a cut, else the wedge and a second cut.
    pub(super) fn change(&self, next: &Self) -> Ticks {
        if self == next { 0 } else { (self.ramp - next.ramp).abs() + self.half_cut + next.half_cut }
    }
}
