//! Parts of elbows laid out on elbows from stock: an elbow is a stick of angle with a straight leg at each end.
//!
//! A part is freed by a cut on a plane through the bend's axis, so its face is square to the centreline. The other side
//! of the blade's slot is parallel to that plane and a kerf away, so it is not square to anything. The next square
//! face has to clear the slot where tube is nearest to the axis, at the throat: a plane turned by φ is there
//! `(R − r)·sin φ` off the first, so a cut costs `φ = asin(kerf/(R − r))`. With `kerf/R` a sliver of slot would stay in
//! the face. So a 90° elbow does not give a 60° and a 30°.

use crate::geom::tolerance::{ELBOW_SHORT_RAD, NO_BEND_RAD, NO_LENGTH_MM, PARALLEL_RAD};
use crate::model::ElbowStock;
use std::cmp::Reverse;

/// Most steps of the search; a step is one part or elbow looked at.
const MOST_STEPS: usize = 20_000_000;

/// A part of an elbow that is needed.
#[derive(Debug, Clone, PartialEq)]
pub struct ElbowWanted {
    /// Mark of the piece.
    pub mark: String,
    /// Bend angle, rad.
    pub angle_rad: f64,
    /// Straight leg of its own at the start, mm.
    pub lead_mm: f64,
    /// Straight leg of its own at the end, mm.
    pub tail_mm: f64,
}

/// A part as it lies on an elbow.
#[derive(Debug, Clone, PartialEq)]
pub struct ElbowPart {
    /// Mark of the piece.
    pub mark: String,
    /// Where its arc begins, from the elbow's first tangent point, rad.
    pub from_rad: f64,
    /// Where its arc ends, rad.
    pub to_rad: f64,
    /// Whether it lies end first: its end (in the travel of the run) is at `from_rad`.
    pub flipped: bool,
    /// Leg that stays at `from_rad`, mm, where that is the elbow's own tangent point (0: the leg is cut off there);
    /// `None` where a cut through the arc makes this face.
    pub first_leg_mm: Option<f64>,
    /// As `first_leg_mm` at `to_rad`.
    pub second_leg_mm: Option<f64>,
}

/// An elbow that is cut up, or used whole.
#[derive(Debug, Clone, PartialEq)]
pub struct UsedElbow {
    /// Whether it is on the shelf; else it is to be bought.
    pub from_shelf: bool,
    /// What is cut from it, in order along the elbow.
    pub parts: Vec<ElbowPart>,
    /// Angle that is left over between square faces, rad.
    pub left_rad: f64,
    /// Whether what is left over has a leg.
    pub left_leg: bool,
}

/// All elbows of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct PackedElbows {
    /// Elbows, those on the shelf first.
    pub elbows: Vec<UsedElbow>,
    /// How many have to be bought.
    pub to_buy: usize,
    /// Whether no layout of the placed parts needs fewer.
    pub proved_fewest: bool,
    /// Marks of parts that no such elbow gives.
    pub unplaced: Vec<String>,
}

/// Angle lost beside a cut so that the next face is square too, rad: `asin(kerf/(R − r))` (see above).
///
/// `None` where the throat is no wider than the blade: then a cut elbow gives one part.
pub fn angle_lost_rad(stock: &ElbowStock, kerf_mm: f64) -> Option<f64> {
    let throat_mm = stock.clr_mm - stock.od_mm / 2.0;
    let sine = kerf_mm.max(0.0) / throat_mm;
    (throat_mm > 0.0 && sine < 1.0).then(|| sine.asin())
}

/// Lays the wanted parts out on as few elbows as can be found, those on the shelf first.
///
/// A part keeps a leg only at an end of the elbow, so no elbow gives more than two parts with a leg, and a part with a
/// leg at both ends only as a whole. Turned over, an elbow's end is its start. A part as large as the elbow (within
/// [`ELBOW_SHORT_RAD`]) is used without a cut. Parts larger than the elbow, with longer legs than it has, or that are
/// no bend, are named in `unplaced`.
pub fn pack_elbows(stock: &ElbowStock, wanted: &[ElbowWanted], kerf_mm: f64) -> PackedElbows {
    let angle_rad = stock.angle_rad();
    let lost_rad = angle_lost_rad(stock, kerf_mm).unwrap_or(angle_rad);
    let mut unplaced = Vec::new();
    let mut parts: Vec<Part<'_>> = Vec::new();
    for want in wanted {
        match Part::new(stock, want, lost_rad) {
            Some(part) => parts.push(part),
            None => unplaced.push(want.mark.clone()),
        }
    }
    // the largest first; those with a leg before those without
    parts.sort_by(|a, b| {
        let mark = |p: &Part<'_>| (p.wanted.mark.len(), p.wanted.mark.clone());
        b.needs_rad.total_cmp(&a.needs_rad).then(b.legs.cmp(&a.legs)).then(mark(a).cmp(&mark(b)))
    });
    let whole = parts.iter().take_while(|p| p.is_whole).count();
    let room_rad = angle_rad + lost_rad + PARALLEL_RAD;
    let (groups, proved_fewest) = pack(&parts[whole..], room_rad);
    let on_shelf = stock.count as usize;
    let used = parts[..whole].iter().map(|p| use_whole(stock, p));
    let cut = groups.iter().map(|g| {
        let group: Vec<&Part<'_>> = g.iter().map(|i| &parts[whole + i]).collect();
        cut_up(stock, &group, lost_rad)
    });
    let mut elbows: Vec<UsedElbow> = used.chain(cut).collect();
    for (i, elbow) in elbows.iter_mut().enumerate() {
        elbow.from_shelf = i < on_shelf;
    }
    PackedElbows { to_buy: elbows.len().saturating_sub(on_shelf), elbows, proved_fewest, unplaced }
}

/// A part that an elbow can give.
#[derive(Debug, Clone, Copy)]
struct Part<'a> {
    wanted: &'a ElbowWanted,
    /// Its angle and that of one cut, rad.
    needs_rad: f64,
    /// How many of its ends need a leg.
    legs: usize,
    is_whole: bool,
}

impl<'a> Part<'a> {
    fn new(stock: &ElbowStock, wanted: &'a ElbowWanted, lost_rad: f64) -> Option<Self> {
        let angle = stock.angle_rad();
        let legs_mm = [wanted.lead_mm, wanted.tail_mm];
        let legs = legs_mm.iter().filter(|l| **l > NO_LENGTH_MM).count();
        let is_whole = (wanted.angle_rad - angle).abs() <= ELBOW_SHORT_RAD;
        // written so that no comparison with a number that is none holds
        let is_bend = wanted.angle_rad >= NO_BEND_RAD && wanted.angle_rad <= angle + ELBOW_SHORT_RAD;
        let fits = legs_mm.iter().all(|l| *l <= stock.leg_mm.max(0.0) + NO_LENGTH_MM);
        let possible = is_bend && fits && (is_whole || legs < 2) && lost_rad.is_finite();
        possible.then_some(Self { wanted, needs_rad: wanted.angle_rad + lost_rad, legs, is_whole })
    }
}

/// An elbow while it is being filled.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Filled {
    used_rad: f64,
    legs: usize,
}

impl Filled {
    fn with(self, part: &Part<'_>, room_rad: f64) -> Option<Self> {
        let next = Self { used_rad: self.used_rad + part.needs_rad, legs: self.legs + part.legs };
        (next.used_rad <= room_rad && next.legs <= 2).then_some(next)
    }
}

/// The parts of each elbow, and whether no fewer elbows will do. `parts` are sorted, largest first.
fn pack(parts: &[Part<'_>], room_rad: f64) -> (Vec<Vec<usize>>, bool) {
    let sum: f64 = parts.iter().map(|p| p.needs_rad).sum();
    let legs: usize = parts.iter().map(|p| p.legs).sum();
    let large = parts.iter().filter(|p| 2.0 * p.needs_rad > room_rad).count();
    // a hair less than the sum says, so that noise cannot raise the bound
    let by_sum = (sum / room_rad - PARALLEL_RAD).ceil().max(0.0) as usize;
    let mut least = by_sum.max(legs.div_ceil(2)).max(large);
    let mut best = tightest_first(parts, room_rad);
    let mut search = Search { parts, room_rad, at: vec![0; parts.len()], steps: MOST_STEPS };
    while least < count(&best) {
        let mut elbows = vec![Filled::default(); least];
        match search.place(0, &mut elbows) {
            Some(true) => best.clone_from(&search.at),
            Some(false) => least += 1,
            None => break,
        }
    }
    let mut groups = vec![Vec::new(); count(&best)];
    for (part, elbow) in best.iter().enumerate() {
        groups[*elbow].push(part);
    }
    let proved = groups.len() == least;
    (groups, proved)
}

fn count(at: &[usize]) -> usize {
    at.iter().max().map_or(0, |m| m + 1)
}

/// Each part on the fullest elbow that takes it.
fn tightest_first(parts: &[Part<'_>], room_rad: f64) -> Vec<usize> {
    let mut elbows: Vec<Filled> = Vec::new();
    let mut at = Vec::with_capacity(parts.len());
    for part in parts {
        let fits = elbows.iter().enumerate().filter_map(|(i, e)| Some((e.with(part, room_rad)?, i)));
        let (next, i) = fits.max_by(|a, b| a.0.used_rad.total_cmp(&b.0.used_rad)).unwrap_or_else(|| {
            let alone = Filled { used_rad: part.needs_rad, legs: part.legs };
            (alone, elbows.len())
        });
        if i == elbows.len() {
            elbows.push(next);
        } else {
            elbows[i] = next;
        }
        at.push(i);
    }
    at
}

/// Tries every way to put the parts on so many elbows.
struct Search<'a> {
    parts: &'a [Part<'a>],
    room_rad: f64,
    /// The elbow of each part.
    at: Vec<usize>,
    steps: usize,
}

impl Search<'_> {
    /// Whether this part and those after it go on the elbows; `None` when out of steps.
    fn place(&mut self, part: usize, elbows: &mut [Filled]) -> Option<bool> {
        let Some(this) = self.parts.get(part) else { return Some(true) };
        self.steps = self.steps.checked_sub(self.parts.len() - part + elbows.len())?;
        let left: f64 = self.parts[part..].iter().map(|p| p.needs_rad).sum();
        let room: f64 = elbows.iter().map(|e| self.room_rad - e.used_rad).sum();
        if left > room + PARALLEL_RAD {
            return Some(false);
        }
        // equal parts in turn, equal elbows once
        let again = part.checked_sub(1).filter(|b| {
            let before = &self.parts[*b];
            before.needs_rad.total_cmp(&this.needs_rad).is_eq() && before.legs == this.legs
        });
        let from = again.map_or(0, |b| self.at[b]);
        for i in from..elbows.len() {
            let saved = elbows[i];
            if elbows[from..i].contains(&saved) {
                continue;
            }
            let Some(next) = saved.with(this, self.room_rad) else { continue };
            elbows[i] = next;
            self.at[part] = i;
            if self.place(part + 1, elbows)? {
                return Some(true);
            }
            elbows[i] = saved;
        }
        Some(false)
    }
}

fn use_whole(stock: &ElbowStock, part: &Part<'_>) -> UsedElbow {
    let whole = ElbowPart {
        mark: part.wanted.mark.clone(),
        from_rad: 0.0,
        to_rad: stock.angle_rad(),
        flipped: false,
        first_leg_mm: Some(part.wanted.lead_mm.max(0.0)),
        second_leg_mm: Some(part.wanted.tail_mm.max(0.0)),
    };
    UsedElbow { from_shelf: false, parts: vec![whole], left_rad: 0.0, left_leg: false }
}

/// Lays a group out on one elbow: a part with a leg at the start, then those without, a second one with a leg at the
/// end. What is left keeps the leg at the end if no part has it.
fn cut_up(stock: &ElbowStock, group: &[&Part<'_>], lost_rad: f64) -> UsedElbow {
    let angle_rad = stock.angle_rad();
    let mut order: Vec<&Part<'_>> = group.to_vec();
    // stable: the largest stays first
    order.sort_by_key(|p| Reverse(p.legs));
    let at_end = (order.get(1).is_some_and(|p| p.legs > 0)).then(|| order.remove(1));
    let mut parts = Vec::with_capacity(group.len());
    let mut next_rad = 0.0;
    for part in order {
        let to_rad = next_rad + part.wanted.angle_rad;
        let lead = part.wanted.lead_mm > NO_LENGTH_MM;
        let leg = if lead { part.wanted.lead_mm } else { part.wanted.tail_mm };
        parts.push(ElbowPart {
            mark: part.wanted.mark.clone(),
            from_rad: next_rad,
            to_rad,
            flipped: part.legs > 0 && !lead,
            first_leg_mm: parts.is_empty().then_some(if part.legs > 0 { leg } else { 0.0 }),
            // filled to the end within noise: the tangent point itself
            second_leg_mm: (at_end.is_none() && angle_rad - to_rad <= PARALLEL_RAD).then_some(0.0),
        });
        next_rad = to_rad + lost_rad;
    }
    let mut left_rad = angle_rad - next_rad;
    if let Some(part) = at_end {
        let lead = part.wanted.lead_mm > NO_LENGTH_MM;
        parts.push(ElbowPart {
            mark: part.wanted.mark.clone(),
            from_rad: angle_rad - part.wanted.angle_rad,
            to_rad: angle_rad,
            flipped: lead,
            first_leg_mm: None,
            second_leg_mm: Some(if lead { part.wanted.lead_mm } else { part.wanted.tail_mm }),
        });
        left_rad -= part.needs_rad;
    }
    // less than the least bend is no left-over
    let left_rad = if left_rad < NO_BEND_RAD { 0.0 } else { left_rad };
    let left_leg = left_rad > 0.0 && at_end.is_none() && stock.leg_mm > NO_LENGTH_MM;
    UsedElbow { from_shelf: false, parts, left_rad, left_leg }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{ElbowId, Material};
    use approx::assert_relative_eq;

    fn stock(angle_deg: f64, count: u32) -> ElbowStock {
        ElbowStock {
            id: ElbowId(1),
            material: Material::Stainless304,
            od_mm: 63.5,
            wall_mm: 1.65,
            clr_mm: 95.25,
            angle_deg,
            leg_mm: 75.0,
            count,
        }
    }

    fn want(mark: &str, deg: f64, lead_mm: f64, tail_mm: f64) -> ElbowWanted {
        ElbowWanted { mark: mark.to_owned(), angle_rad: deg.to_radians(), lead_mm, tail_mm }
    }

    /// Corners of the slot as points: its far side must not come past the next square face, at throat and heel.
    #[test]
    fn the_next_square_face_just_clears_the_slot_at_the_throat() {
        let s = stock(90.0, 0);
        let kerf = 1.6;
        let lost = angle_lost_rad(&s, kerf).unwrap();
        // the bend's axis is the origin, the first cut lies along x, the blade takes y from 0 to the kerf
        let beyond = |radius: f64, turned: f64| {
            // along the far side of the slot at this distance from the axis: how far round it is
            let round = (kerf / radius).asin();
            turned - round
        };
        let (throat, heel) = (s.clr_mm - s.od_mm / 2.0, s.clr_mm + s.od_mm / 2.0);
        assert_relative_eq!(beyond(throat, lost), 0.0, epsilon = 1e-15);
        assert!(beyond(heel, lost) > 0.0);
        // a kerf's angle on the centreline leaves slot in the face at the throat
        assert!(beyond(throat, kerf / s.clr_mm) < 0.0);
        // the same by points: a point of the next face at the throat is a kerf off the first
        assert_relative_eq!(throat * lost.sin(), kerf, epsilon = 1e-12);
    }

    #[test]
    fn a_ninety_gives_no_sixty_and_thirty() {
        let both = [want("A1", 60.0, 0.0, 0.0), want("A2", 30.0, 0.0, 0.0)];
        let packed = pack_elbows(&stock(90.0, 1), &both, 1.6);
        assert_eq!((packed.elbows.len(), packed.to_buy), (2, 1));
        assert!(packed.proved_fewest);
        let less = [want("A1", 60.0, 0.0, 0.0), want("A2", 28.0, 0.0, 0.0)];
        let packed = pack_elbows(&stock(90.0, 1), &less, 1.6);
        assert_eq!((packed.elbows.len(), packed.to_buy), (1, 0));
        assert!(packed.elbows[0].left_rad < 1e-12);
    }

    #[test]
    fn a_part_as_large_as_the_elbow_is_used_whole_with_both_legs() {
        let packed = pack_elbows(&stock(90.0, 2), &[want("A1", 90.02, 75.0, 40.0)], 1.6);
        let part = &packed.elbows[0].parts[0];
        assert_eq!((part.first_leg_mm, part.second_leg_mm), (Some(75.0), Some(40.0)));
        assert_relative_eq!(part.to_rad, 90_f64.to_radians());
        assert!(packed.elbows[0].left_rad < 1e-12);
    }

    #[test]
    fn only_two_parts_of_an_elbow_have_a_leg_one_at_each_end() {
        let three = [want("A1", 20.0, 50.0, 0.0), want("A2", 20.0, 0.0, 50.0), want("A3", 20.0, 50.0, 0.0)];
        assert_eq!(pack_elbows(&stock(90.0, 0), &three, 1.6).to_buy, 2);
        let two = [want("A1", 20.0, 0.0, 50.0), want("A2", 20.0, 40.0, 0.0), want("A3", 20.0, 0.0, 0.0)];
        let packed = pack_elbows(&stock(90.0, 0), &two, 1.6);
        let parts = &packed.elbows[0].parts;
        let marks: Vec<_> = parts.iter().map(|p| p.mark.as_str()).collect();
        assert_eq!(marks, ["A1", "A3", "A2"]);
        // the tail at the elbow's start, the lead at its end: both turned over
        assert!(parts[0].flipped && parts[2].flipped && !parts[1].flipped);
        assert_eq!((parts[0].first_leg_mm, parts[2].second_leg_mm), (Some(50.0), Some(40.0)));
        assert_eq!((parts[1].first_leg_mm, parts[1].second_leg_mm), (None, None));
        assert!(!packed.elbows[0].left_leg);
        let lost = (1.6_f64 / 63.5).asin();
        assert_relative_eq!(packed.elbows[0].left_rad, 30_f64.to_radians() - 3.0 * lost, epsilon = 1e-12);
    }

    #[test]
    fn what_no_elbow_gives_is_named() {
        let all = [
            want("A1", 91.0, 0.0, 0.0),
            want("A2", 45.0, 10.0, 10.0),
            want("A3", 45.0, 80.0, 0.0),
            want("A4", f64::NAN, 0.0, 0.0),
            want("A5", 45.0, f64::NAN, 0.0),
            want("A6", 0.0, 0.0, 0.0),
        ];
        let packed = pack_elbows(&stock(90.0, 0), &all, 1.6);
        assert_eq!(packed.unplaced, ["A1", "A2", "A3", "A4", "A5", "A6"]);
        assert!(packed.elbows.is_empty() && packed.proved_fewest);
    }

    #[test]
    fn a_throat_narrower_than_the_blade_gives_one_part_an_elbow() {
        let tight = ElbowStock { clr_mm: 32.0, ..stock(90.0, 0) };
        assert_eq!(angle_lost_rad(&tight, 1.6), None);
        let two = [want("A1", 20.0, 0.0, 0.0), want("A2", 20.0, 0.0, 0.0)];
        assert_eq!(pack_elbows(&tight, &two, 1.6).to_buy, 2);
    }
}
