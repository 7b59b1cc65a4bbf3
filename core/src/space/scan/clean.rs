//! From the points and triangles of a file to those that can be measured to.

use super::error::Fault;
use super::soup::Soup;
use super::watch::Steps;
use glam::{DVec3, Vec3};
use std::fmt;

/// A triangle whose height is below this part of its longest edge has no area: far below what f32 can hold.
const FLAT: f64 = 1e-9;

/// The place of a point that no triangle uses.
const UNUSED: u32 = u32::MAX;

/// Triangles looked at between two looks at the watch: about a millisecond of work.
const CHUNK: usize = 16_384;

/// What was left out of a scan, by reason.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Dropped {
    /// Triangles with a corner at no finite place.
    pub not_finite: u64,
    /// Triangles that name one corner twice, or whose corners lie on a line.
    pub flat: u64,
    /// Triangles that name a point which is not there.
    pub lost: u64,
}

impl Dropped {
    /// How many triangles in all.
    pub fn total(self) -> u64 {
        self.not_finite + self.flat + self.lost
    }

    /// What was left out as a sentence; `None` where nothing was.
    pub fn sentence(self) -> Option<String> {
        let total = self.total();
        let noun = if total == 1 { "triangle was" } else { "triangles were" };
        (total > 0).then(|| format!("{total} {noun} left out: {self}."))
    }
}

impl fmt::Display for Dropped {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let reasons = [
            (self.flat, "without area"),
            (self.not_finite, "with a corner that is no number"),
            (self.lost, "with a corner that is not in the file"),
        ];
        let words: Vec<String> = reasons
            .iter()
            .filter(|(count, _)| *count > 0)
            .map(|(count, why)| format!("{count} {why}"))
            .collect();
        if words.is_empty() { f.write_str("there are none") } else { f.write_str(&words.join(", ")) }
    }
}

/// Points about an origin and triangles that are all of use.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Mesh {
    /// The middle of the box round all points.
    pub(super) origin: DVec3,
    /// Points from the origin; each is a corner of some triangle.
    pub(super) points: Vec<Vec3>,
    /// Places in the list of points.
    pub(super) triangles: Vec<[u32; 3]>,
    /// What was left out.
    pub(super) dropped: Dropped,
}

impl Mesh {
    /// Lowest and highest coordinates.
    pub(super) fn bounds(&self) -> (DVec3, DVec3) {
        let start = (Vec3::INFINITY, Vec3::NEG_INFINITY);
        let (low, high) = self.points.iter().fold(start, |(low, high), &p| (low.min(p), high.max(p)));
        (self.origin + low.as_dvec3(), self.origin + high.as_dvec3())
    }
}

/// Takes out what cannot be measured to: triangles without area, with a corner that is no number or not there, and
/// points without a triangle.
pub(super) fn clean(soup: Soup, steps: &Steps<'_>) -> Result<Mesh, Fault> {
    soup.check()?;
    let Soup { points, mut triangles, lost, .. } = soup;
    if triangles.is_empty() && lost == 0 {
        return Err(match points.len() as u64 {
            0 => Fault::Nothing,
            points => Fault::NoTriangles { points },
        });
    }
    let mut dropped = Dropped { lost, ..Dropped::default() };
    let all = triangles.len();
    let mut seen = 0;
    let mut cancelled = Ok(());
    triangles.retain(|corners| {
        seen += 1;
        if seen % CHUNK == 0 && cancelled.is_ok() {
            cancelled = steps.at(0.6 * seen as f64 / all as f64);
        }
        cancelled.is_ok() && is_of_use(&points, corners, &mut dropped)
    });
    cancelled?;
    let (origin, points) = compacted(&points, &mut triangles, steps)?;
    if triangles.is_empty() {
        return Err(Fault::NothingLeft { dropped });
    }
    Ok(Mesh { origin, points, triangles, dropped })
}

fn is_of_use(points: &[DVec3], corners: &[u32; 3], dropped: &mut Dropped) -> bool {
    let [Some(a), Some(b), Some(c)] = corners.map(|corner| points.get(corner as usize)) else {
        dropped.lost += 1;
        return false;
    };
    if !(a.is_finite() && b.is_finite() && c.is_finite()) {
        dropped.not_finite += 1;
        return false;
    }
    let edges = [*b - *a, *c - *b, *a - *c];
    let longest = edges.iter().map(|e| e.length_squared()).fold(0.0, f64::max);
    if !longest.is_finite() {
        dropped.not_finite += 1;
        return false;
    }
    // twice the area is height times longest edge
    let has_area = edges[0].cross(edges[2]).length() > FLAT * longest;
    if !has_area {
        dropped.flat += 1;
    }
    has_area
}

/// The points that triangles use, in the order of their first use, about the middle of the box round them.
fn compacted(
    points: &[DVec3],
    triangles: &mut [[u32; 3]],
    steps: &Steps<'_>,
) -> Result<(DVec3, Vec<Vec3>), Fault> {
    let used = triangles.iter().flatten().filter_map(|&corner| points.get(corner as usize));
    let start = (DVec3::INFINITY, DVec3::NEG_INFINITY);
    let (low, high) = used.fold(start, |(low, high), &p| (low.min(p), high.max(p)));
    let origin = low.midpoint(high);
    if !triangles.is_empty() && !(high - low).as_vec3().length_squared().is_finite() {
        return Err(Fault::TooWide);
    }
    let mut place = vec![UNUSED; points.len()];
    let mut kept = Vec::new();
    let all = triangles.len();
    for (chunk, corners) in triangles.chunks_mut(CHUNK).enumerate() {
        steps.at(0.6 + 0.4 * (chunk * CHUNK) as f64 / all as f64)?;
        for corner in corners.as_flattened_mut() {
            let old = *corner as usize;
            if place[old] == UNUSED {
                place[old] = kept.len() as u32;
                kept.push((points[old] - origin).as_vec3());
            }
            *corner = place[old];
        }
    }
    kept.shrink_to_fit();
    Ok((origin, kept))
}
