//! The least distance of two pipes, or of one from itself, by points of their surfaces alone: a grid first, then each
//! near pair moved about until it comes no nearer. What is found is never below the truth.

use crate::reference::{Dice, Patch, patches};
use glam::DVec3;
use pipeloft_core::fab::build::PlacedSolid;
use pipeloft_core::geom::Solid;
use std::collections::BTreeMap;

/// Points round the pipe.
const ROUND: usize = 12;

/// Points along the pipe are this far apart, mm.
const STEP_MM: f64 = 10.0;

/// Grid points miss the nearest place by less than this, mm: half a step along and half a step round, on both sides.
const COARSE_MM: f64 = 30.0;

/// Pairs of solids that are looked at closely: the nearest of the grid.
const CLOSELY: usize = 14;

/// A patch of a pipe's surface and where it lies along the pipe.
struct Sheet<'a> {
    patch: Patch<'a>,
    placed: &'a PlacedSolid,
    long_mm: f64,
    round_mm: f64,
}

impl Sheet<'_> {
    fn point(&self, [u, v]: [f64; 2]) -> DVec3 {
        (self.patch.at)(u.rem_euclid(1.0), v.clamp(0.0, 1.0))
    }

    /// Where a point lies along the pipe: that of the place of the centreline of its piece that is nearest, mm.
    fn station_mm(&self, p: DVec3) -> f64 {
        let (from, to) = self.placed.span_mm;
        let along = match &self.placed.solid {
            Solid::Barrel(b) => (p - b.start.origin).dot(b.start.travel),
            Solid::Drum(d) => (p - d.start.origin).dot(d.start.travel),
            Solid::Frustum(f) => (p - f.start.origin).dot(f.start.travel),
            Solid::Elbow(e) => {
                let from = p - (e.start.origin + e.toward * e.clr_mm);
                e.clr_mm * from.dot(e.start.travel).atan2(-from.dot(e.toward))
            }
            Solid::Block(_) => panic!("no lobes here"),
        };
        from + along.clamp(0.0, to - from)
    }
}

/// The surface of a pipe.
pub(super) struct Skin<'a> {
    sheets: Vec<Sheet<'a>>,
    /// Grid points: where, at what place of the pipe, of which sheet.
    points: Vec<(DVec3, f64, usize, [f64; 2])>,
}

impl<'a> Skin<'a> {
    pub(super) fn of(solids: &'a [PlacedSolid]) -> Self {
        let mut sheets = Vec::new();
        for (i, placed) in solids.iter().enumerate() {
            let is_end = i == 0 || i + 1 == solids.len();
            // the faces of what lies between are within the pipe
            for patch in patches(&placed.solid).into_iter().take(if is_end { 3 } else { 1 }) {
                let (long_mm, round_mm) = size(&patch);
                sheets.push(Sheet { patch, placed, long_mm, round_mm });
            }
        }
        let mut points = Vec::new();
        for (k, sheet) in sheets.iter().enumerate() {
            let along = (sheet.long_mm / STEP_MM).ceil() as usize + 1;
            for (i, j) in (0..ROUND).flat_map(|i| (0..=along).map(move |j| (i, j))) {
                let uv = [i as f64 / ROUND as f64, j as f64 / along as f64];
                let p = sheet.point(uv);
                points.push((p, sheet.station_mm(p), k, uv));
            }
        }
        Self { sheets, points }
    }
}

/// How long a patch is along v and round u, mm.
fn size(patch: &Patch<'_>) -> (f64, f64) {
    let long = (0..8).map(|i| {
        let at = |v: f64| (patch.at)(f64::from(i) / 8.0, v);
        (0..8).map(|j| at(f64::from(j) / 8.0).distance(at(f64::from(j + 1) / 8.0))).sum::<f64>()
    });
    let round =
        (0..8).map(|i| (patch.at)(f64::from(i) / 8.0, 1.0).distance((patch.at)(f64::from(i + 1) / 8.0, 1.0)));
    (long.fold(1e-3, f64::max), round.sum::<f64>().max(1e-3))
}

/// The least distance below `limit_mm` of points of two skins, or of one skin where `near_mm` says how far apart along
/// the pipe points have to be.
pub(super) fn least(
    one: &Skin<'_>,
    other: &Skin<'_>,
    near_mm: Option<f64>,
    limit_mm: f64,
    dice: &mut Dice,
) -> Option<f64> {
    let reach_mm = limit_mm + COARSE_MM;
    let key = |p: DVec3| (p / reach_mm).floor().as_ivec3().to_array();
    let mut cells: BTreeMap<[i32; 3], Vec<usize>> = BTreeMap::new();
    for (i, point) in other.points.iter().enumerate() {
        cells.entry(key(point.0)).or_default().push(i);
    }
    // the nearest pair of grid points of each pair of sheets
    let mut nearest = vec![(reach_mm, 0, 0); one.sheets.len() * other.sheets.len()];
    for (i, a) in one.points.iter().enumerate() {
        let middle = key(a.0);
        for n in 0..27 {
            let cell = [middle[0] + n % 3 - 1, middle[1] + n / 3 % 3 - 1, middle[2] + n / 9 - 1];
            for &j in cells.get(&cell).into_iter().flatten() {
                let b = &other.points[j];
                let apart_mm = a.0.distance(b.0);
                let counts = near_mm.is_none_or(|near_mm| b.1 - a.1 >= near_mm);
                let so_far = &mut nearest[a.2 * other.sheets.len() + b.2];
                if counts && apart_mm < so_far.0 {
                    *so_far = (apart_mm, i, j);
                }
            }
        }
    }
    let mut starts = nearest;
    starts.retain(|s| s.0 < reach_mm);
    starts.sort_by(|a, b| a.0.total_cmp(&b.0));
    let best_mm = starts.first()?.0;
    starts.retain(|s| s.0 < best_mm + COARSE_MM);
    starts.truncate(CLOSELY);
    let found = starts.iter().map(|&(_, i, j)| {
        let (a, b) = (&one.points[i], &other.points[j]);
        closer([&one.sheets[a.2], &other.sheets[b.2]], [a.3, b.3], near_mm, dice)
    });
    found.reduce(f64::min).filter(|mm| *mm < limit_mm)
}

/// Two points on two sheets.
type Spots = [[f64; 2]; 2];

/// Moves the two apart along the pipe until they are as far as they have to be; `None` where the sheets end before.
fn apart_enough(sheets: [&Sheet<'_>; 2], mut at: Spots, near_mm: f64) -> Option<Spots> {
    for _ in 0..6 {
        let [p, q] = [0, 1].map(|k| sheets[k].point(at[k]));
        let short_mm = near_mm - (sheets[1].station_mm(q) - sheets[0].station_mm(p));
        if short_mm <= 0.0 {
            return Some(at);
        }
        if short_mm > STEP_MM {
            return None;
        }
        for (k, sign) in [(0, -1.0), (1, 1.0)] {
            let [u, v] = at[k];
            let generator_mm = sheets[k].point([u, 0.0]).distance(sheets[k].point([u, 1.0])).max(1e-3);
            at[k][1] = (v + sign * (short_mm / 2.0 + 1e-7) / generator_mm).clamp(0.0, 1.0);
        }
    }
    None
}

/// Moves two points about on their sheets until they come no nearer.
fn closer(sheets: [&Sheet<'_>; 2], start: Spots, near_mm: Option<f64>, dice: &mut Dice) -> f64 {
    let value = |at: &Spots| sheets[0].point(at[0]).distance(sheets[1].point(at[1]));
    let (mut at, mut best_mm) = (start, value(&start));
    let mut step_mm = STEP_MM;
    while step_mm > 2e-3 {
        let mut moved = false;
        for n in 0..12 {
            // round and along each, mm; by turns along one sheet as along the other, which keeps them as far apart
            let mut way = [(); 4].map(|()| dice.between(-1.0, 1.0));
            if n % 2 == 0 {
                way[3] = way[1];
            }
            if n % 3 == 0 {
                way[n % 4] = 0.0;
            }
            for sign in [1.0, -1.0] {
                let by = |i: usize| sign * step_mm * way[i];
                let next = [0, 1].map(|k| {
                    let u = at[k][0] + by(2 * k) / sheets[k].round_mm;
                    let v = at[k][1] + by(2 * k + 1) / sheets[k].long_mm;
                    [u, v.clamp(0.0, 1.0)]
                });
                let next = near_mm.map_or(Some(next), |near_mm| apart_enough(sheets, next, near_mm));
                let Some(next) = next else { continue };
                let next_mm = value(&next);
                if next_mm < best_mm - 1e-9 {
                    (at, best_mm, moved) = (next, next_mm, true);
                }
            }
        }
        if !moved {
            step_mm *= 0.6;
        }
    }
    best_mm
}

#[test]
fn skins_find_distances_that_can_be_written_down() {
    use pipeloft_core::geom::{Barrel, Frame};
    let tube = |origin: DVec3, travel: DVec3| {
        let start = Frame { origin, travel, index: travel.any_orthonormal_vector() };
        let solid = Solid::Barrel(Barrel {
            start,
            length_mm: 300.0,
            radius_mm: 25.0,
            start_normal: travel,
            end_normal: travel,
        });
        [PlacedSolid { solid, piece: 0, lobe: false, part: None, span_mm: (0.0, 300.0) }]
    };
    let mut dice = Dice::new(1);
    let one = tube(DVec3::ZERO, DVec3::X);
    for (other, mm) in [
        // crosswise above the middle; side by side; the face against the side
        (tube(DVec3::new(150.0, -150.0, 90.0), DVec3::Y), 40.0),
        (tube(DVec3::new(20.0, 80.0, 0.0), DVec3::X), 30.0),
        (tube(DVec3::new(100.0, 0.0, 61.0), DVec3::Z), 36.0),
    ] {
        let found = least(&Skin::of(&one), &Skin::of(&other), None, 100.0, &mut dice).unwrap();
        assert!((-1e-9..0.02).contains(&(found - mm)), "{found} for {mm}");
    }
}
