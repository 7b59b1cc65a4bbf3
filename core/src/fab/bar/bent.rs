//! A simply bent bar: bending data, blank length and the marks to feed it to.
//!
//! The bar's centreline keeps its length in the bend, so a bend of `θ` at centreline radius `R` uses `R·θ` of the bar.
//! Real bar stretches a little: bend one, measure it, and correct the blank (common practice, no source).
//!
//! Springback is entered as a share `k` of the bend: the bender is set to `θ·(1 + k)` and the bar springs back to `θ`.
//! A share and not so many degrees, because a bar springs open by a share of its curvature, the same all along the
//! arc. The arc keeps its length meanwhile, so the die's radius is `R/(1 + k)`: `R` is that of the finished bend.

use super::end::{BarEnd, EndSet};
use super::error::{OR_NONE_MM, length_in, number_in};
use super::stock::BarStock;
use super::straight::{Adjusting, check_point};
use crate::fab::lra::{Lra, LraRow, lra_from_xyz};
use crate::finding::{BarError, BarProblem, Side};
use crate::geom::tolerance::{COINCIDENT_MM, MAX_BEND_RAD, NO_BEND_RAD, OVERLAP_MM};
use crate::geom::vector::{angle_between, unit};
use crate::model::limits::{MAX_BENDS, MAX_COORDINATE_MM};
use glam::DVec3;
use std::f64::consts::PI;

/// Largest springback, as a share of the bend.
const MOST_SPRINGBACK: f64 = 0.5;

/// Two radii this close (mm) are one die.
const SAME_DIE_MM: f64 = 1e-6;

/// How far a bend springs open again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Springback {
    /// What the bender has to turn beyond the bend, as a share of the bend; from 0 to 0.5.
    pub share: f64,
}

impl Springback {
    /// A bar that stays as it is bent.
    pub const NONE: Self = Self { share: 0.0 };

    /// From a bend tried on the same bar and die: the bender was set to `set_rad`, and `got_rad` was measured.
    pub fn from_trial(set_rad: f64, got_rad: f64) -> Result<Self, BarError> {
        let degrees = |what: &str, rad: f64| number_in(what, rad.to_degrees(), (1.0, 180.0), "°");
        degrees("The angle the bender was set to", set_rad)?;
        degrees("The angle measured on the trial bend", got_rad)?;
        let out = Self { share: set_rad / got_rad - 1.0 };
        out.check()?;
        Ok(out)
    }

    /// What to set the bender to for a bend of `angle_rad`, rad.
    pub fn set_rad(self, angle_rad: f64) -> f64 {
        angle_rad * (1.0 + self.share)
    }

    /// Radius of the die that leaves a centreline radius of `clr_mm`, mm.
    pub fn die_clr_mm(self, clr_mm: f64) -> f64 {
        clr_mm / (1.0 + self.share)
    }

    fn check(self) -> Result<(), BarError> {
        number_in("Springback", self.share * 100.0, (0.0, MOST_SPRINGBACK * 100.0), " %").map(drop)
    }
}

/// A bent bar as entered.
#[derive(Debug, Clone, PartialEq)]
pub struct BentBar {
    /// What it is made of.
    pub stock: BarStock,
    /// Its point at the start, the corners between the straights, its point at the end.
    pub points: Vec<DVec3>,
    /// Centreline radius of the finished bend at each corner, mm.
    pub clr_mm: Vec<f64>,
    /// Its ends.
    pub ends: [BarEnd; 2],
    /// How far bends spring open.
    pub springback: Springback,
    /// Straight the bender needs between two bends, mm; 0 where it needs none.
    pub least_straight_mm: f64,
    /// Left on at the end to grip, and sawn off after bending, mm.
    pub spare_mm: f64,
}

/// Where to mark the bar for one bend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FeedMark {
    /// Which corner it is, counted from 1.
    pub bend: usize,
    /// From the bar's sawn start to where the bend begins, mm.
    pub start_mm: f64,
    /// From there to where it ends, mm.
    pub end_mm: f64,
    /// Roll before the bend, right-handed about the feed, rad; 0 for the first.
    pub roll_rad: f64,
    /// The finished bend, rad.
    pub angle_rad: f64,
    /// What to set the bender to, rad.
    pub set_rad: f64,
    /// Radius of its die, mm.
    pub die_clr_mm: f64,
}

impl FeedMark {
    /// From the bar's sawn start to the middle of the bend, mm.
    pub fn middle_mm(&self) -> f64 {
        self.start_mm.midpoint(self.end_mm)
    }
}

/// A bent bar worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct Bent {
    /// How the ends are set.
    pub ends: [EndSet; 2],
    /// Bending data from sawn end to sawn end; a feed below zero is a bend that overlaps.
    pub lra: Lra,
    /// Along the centreline from point to point, mm.
    pub developed_mm: f64,
    /// Of that the bar itself, mm: less what the ends take.
    pub net_mm: f64,
    /// Length to saw, mm: with what is left on to grip.
    pub blank_mm: f64,
    /// One mark a bend, in order.
    pub marks: Vec<FeedMark>,
    /// How it is adjusted.
    pub adjusting: Adjusting,
    /// What is wrong.
    pub problems: Vec<BarProblem>,
}

/// The corners that are bent: the polyline without kinks too small to bend, and which corner each was.
struct Path {
    points: Vec<DVec3>,
    clr_mm: Vec<f64>,
    corners: Vec<usize>,
}

impl BentBar {
    /// Works the bar out.
    pub fn work_out(&self) -> Result<Bent, BarError> {
        self.check()?;
        let mut problems = Vec::new();
        let path = self.path(&mut problems)?;
        // what is left has legs and bend planes
        let whole = lra_from_xyz(&path.points, &path.clr_mm).ok_or(BarError::SamePoint { first: 1 })?;
        let ends = [self.ends[0].set(), self.ends[1].set()];
        let arcs: f64 = whole.rows.iter().map(|r| r.clr_mm * r.angle_rad).sum();
        let feeds: f64 = whole.rows.iter().map(|r| r.feed_mm).sum();
        let developed_mm = feeds + arcs + whole.last_mm;
        let net_mm = developed_mm - (ends[0].take_mm + ends[1].take_mm);
        let lra = less_ends(whole, &ends);
        self.find_bends(&path, &lra, &mut problems);
        self.find_legs(&path, &lra, &ends, &mut problems);
        for (i, side) in Side::BOTH.into_iter().enumerate() {
            problems.extend(self.ends[i].problems(side, &self.stock, &ends[i]));
        }
        let marks = self.marks(&path, &lra);
        let blank_mm = net_mm + self.spare_mm;
        let adjusting = Adjusting::of(&self.ends, !marks.is_empty());
        Ok(Bent { ends, lra, developed_mm, net_mm, blank_mm, marks, adjusting, problems })
    }

    fn check(&self) -> Result<(), BarError> {
        self.stock.check()?;
        let count = self.points.len();
        if !(2..=MAX_BENDS + 2).contains(&count) {
            let (least, most) = (2, MAX_BENDS + 2);
            return Err(BarError::Count { what: "points of the bar", have: count, least, most });
        }
        let (have, bends) = (self.clr_mm.len(), count - 2);
        if have != bends {
            let what = "centreline radii of the bar";
            return Err(BarError::Count { what, have, least: bends, most: bends });
        }
        for (i, point) in self.points.iter().enumerate() {
            check_point(&format!("Point {} of the bar", i + 1), *point)?;
        }
        for (i, clr) in self.clr_mm.iter().enumerate() {
            length_in(&format!("The centreline radius of bend {}", i + 1), *clr, (0.1, MAX_COORDINATE_MM))?;
        }
        for (i, pair) in self.points.windows(2).enumerate() {
            if pair[0].distance(pair[1]) <= COINCIDENT_MM {
                return Err(BarError::SamePoint { first: i + 1 });
            }
        }
        for (end, side) in self.ends.iter().zip(Side::BOTH) {
            end.check(side)?;
        }
        self.springback.check()?;
        length_in("The straight the bender needs", self.least_straight_mm, OR_NONE_MM)?;
        length_in("What is left on to grip", self.spare_mm, OR_NONE_MM)?;
        Ok(())
    }

    /// Takes the smallest kink away as long as it is too small to bend: one at a time, or a slow curve of many
    /// would be lost at once.
    fn path(&self, problems: &mut Vec<BarProblem>) -> Result<Path, BarError> {
        let mut path = Path {
            points: self.points.clone(),
            clr_mm: self.clr_mm.clone(),
            corners: (1..self.points.len() - 1).collect(),
        };
        loop {
            let angles = corner_angles(&path)?;
            let least = angles.iter().copied().enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
            let Some((i, angle_rad)) = least.filter(|(_, angle)| *angle < NO_BEND_RAD) else {
                if let Some(i) = angles.iter().position(|angle| *angle > MAX_BEND_RAD) {
                    return Err(BarError::TurnsBack { bend: path.corners[i], angle_rad: angles[i] });
                }
                return Ok(path);
            };
            problems.push(BarProblem::SmallKink { bend: path.corners[i], angle_rad });
            path.points.remove(i + 1);
            path.clr_mm.remove(i);
            path.corners.remove(i);
        }
    }

    fn find_bends(&self, path: &Path, lra: &Lra, problems: &mut Vec<BarProblem>) {
        let least_mm = self.stock.od_mm / 2.0;
        for (row, bend) in lra.rows.iter().zip(path.corners.iter().copied()) {
            if row.clr_mm <= least_mm {
                problems.push(BarProblem::RadiusTooSmall { bend, clr_mm: row.clr_mm, least_mm });
            }
            let set_rad = self.springback.set_rad(row.angle_rad);
            if set_rad > PI {
                problems.push(BarProblem::Overbend { bend, set_rad });
            }
        }
    }

    /// Finds legs that are too short for their bends and ends. Legs count between corners as entered.
    fn find_legs(&self, path: &Path, lra: &Lra, ends: &[EndSet; 2], problems: &mut Vec<BarProblem>) {
        let (Some(first), Some(last)) = (lra.rows.first(), lra.rows.last()) else {
            let cut_mm = lra.last_mm;
            let ends_take_mm = ends[0].take_mm + ends[1].take_mm;
            let inside_mm = ends[0].inside_mm + ends[1].inside_mm;
            if cut_mm <= 0.0 {
                let (by_mm, least_mm) = (inside_mm - cut_mm, ends_take_mm + inside_mm);
                problems.push(BarProblem::TooShort { by_mm, ends_take_mm, least_mm });
            } else if inside_mm > cut_mm {
                problems.push(BarProblem::EndsMeet { by_mm: inside_mm - cut_mm });
            }
            return;
        };
        let setback = |row: &LraRow| (row.angle_rad / 2.0).tan();
        let smaller = |clr_mm: f64| (clr_mm > self.stock.od_mm / 2.0).then_some(clr_mm);
        let outer = [
            (Side::Start, first, first.feed_mm - ends[0].inside_mm, path.corners.first()),
            (Side::End, last, lra.last_mm - ends[1].inside_mm, path.corners.last()),
        ];
        for (side, row, left_mm, bend) in outer {
            let Some(bend) = bend.copied().filter(|_| left_mm < -OVERLAP_MM) else { continue };
            let clr_mm = smaller(row.clr_mm + left_mm / setback(row));
            problems.push(BarProblem::EndInBend { side, bend, by_mm: -left_mm, clr_mm });
        }
        for (i, pair) in lra.rows.windows(2).enumerate() {
            let straight_mm = pair[1].feed_mm;
            let bends = (path.corners[i], path.corners[i + 1]);
            let leg = bends.1;
            if straight_mm < -OVERLAP_MM {
                let both = setback(&pair[0]) + setback(&pair[1]);
                let one_die = (pair[0].clr_mm - pair[1].clr_mm).abs() < SAME_DIE_MM;
                let clr_mm = one_die.then(|| smaller(pair[0].clr_mm + straight_mm / both)).flatten();
                problems.push(BarProblem::BendsOverlap { leg, bends, by_mm: -straight_mm, clr_mm });
            } else if straight_mm < self.least_straight_mm - OVERLAP_MM {
                let (straight_mm, least_mm) = (straight_mm.max(0.0), self.least_straight_mm);
                problems.push(BarProblem::StraightShort { leg, bends, straight_mm, least_mm });
            }
        }
    }

    fn marks(&self, path: &Path, lra: &Lra) -> Vec<FeedMark> {
        let mut here = 0.0;
        let mark = |(row, bend): (&LraRow, &usize)| {
            let start_mm = here + row.feed_mm;
            here = start_mm + row.clr_mm * row.angle_rad;
            FeedMark {
                bend: *bend,
                start_mm,
                end_mm: here,
                roll_rad: row.roll_rad,
                angle_rad: row.angle_rad,
                set_rad: self.springback.set_rad(row.angle_rad),
                die_clr_mm: self.springback.die_clr_mm(row.clr_mm),
            }
        };
        lra.rows.iter().zip(&path.corners).map(mark).collect()
    }
}

/// What each corner turns, rad.
fn corner_angles(path: &Path) -> Result<Vec<f64>, BarError> {
    let way = |(i, p): (usize, &[DVec3])| {
        // a kink taken away may have brought two points together
        let apart = (p[0].distance(p[1]) > COINCIDENT_MM).then(|| p[1] - p[0]);
        let before = if i == 0 { 0 } else { path.corners[i - 1] };
        apart.and_then(unit).ok_or(BarError::SamePoint { first: before + 1 })
    };
    let ways: Vec<DVec3> = path.points.windows(2).enumerate().map(way).collect::<Result<_, _>>()?;
    Ok(ways.windows(2).map(|u| angle_between(u[0], u[1])).collect())
}

/// The rows from sawn end to sawn end.
fn less_ends(mut lra: Lra, ends: &[EndSet; 2]) -> Lra {
    match lra.rows.first_mut() {
        Some(first) => first.feed_mm -= ends[0].take_mm,
        None => lra.last_mm -= ends[0].take_mm,
    }
    lra.last_mm -= ends[1].take_mm;
    lra
}
