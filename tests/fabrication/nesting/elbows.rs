//! Small layouts on elbows against every way to divide, order and turn the parts.

use super::Dice;
use pipeloft_core::fab::nest::elbows::{ElbowWanted, PackedElbows, pack_elbows};
use pipeloft_core::model::ElbowStock;
use pipeloft_tests::shop::shop;

/// The least turn of a plane through the bend's axis after which it is a kerf off the first everywhere on the tube,
/// found by halving over points from throat to heel.
fn lost_rad(stock: &ElbowStock, kerf_mm: f64) -> f64 {
    let (throat, heel) = (stock.clr_mm - stock.od_mm / 2.0, stock.clr_mm + stock.od_mm / 2.0);
    let clears = |turn: f64| {
        (0..=100).all(|i| {
            let radius = throat + (heel - throat) * f64::from(i) / 100.0;
            radius * turn.sin() >= kerf_mm
        })
    };
    let (mut low, mut high) = (0.0, std::f64::consts::FRAC_PI_2);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if clears(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    high
}

/// Whether the parts can be cut from one elbow in some order, each one way or the other.
fn one_elbow(stock: &ElbowStock, parts: &[&ElbowWanted], lost: f64) -> bool {
    let whole = |p: &ElbowWanted| (p.angle_rad - stock.angle_rad()).abs() < 0.05_f64.to_radians();
    if parts.len() == 1 && whole(parts[0]) {
        return true;
    }
    let angles: f64 = parts.iter().map(|p| p.angle_rad).sum();
    angles + lost * (parts.len() as f64 - 1.0) <= stock.angle_rad() + 1e-9
        && in_some_order(parts, &mut vec![false; parts.len()], 0)
}

/// Puts the parts down one after the other; a leg needs an end of the elbow.
fn in_some_order(parts: &[&ElbowWanted], put: &mut [bool], at: usize) -> bool {
    if at == parts.len() {
        return true;
    }
    (0..parts.len()).any(|i| {
        if put[i] {
            return false;
        }
        let legs = [(parts[i].lead_mm, parts[i].tail_mm), (parts[i].tail_mm, parts[i].lead_mm)];
        // the last one of several stands at the end, a single one at the start
        let (first, last) = (at == 0, at + 1 == parts.len() && parts.len() > 1);
        let lies = legs.iter().any(|(a, b)| (*a == 0.0 || first) && (*b == 0.0 || last));
        put[i] = true;
        let goes = lies && in_some_order(parts, put, at + 1);
        put[i] = false;
        goes
    })
}

fn fewest(stock: &ElbowStock, parts: &[ElbowWanted], lost: f64) -> usize {
    let sets = 1_usize << parts.len();
    let mut best = vec![usize::MAX; sets];
    best[0] = 0;
    for set in 1..sets {
        let mut part = set;
        while part > 0 {
            let group: Vec<&ElbowWanted> =
                parts.iter().enumerate().filter(|(i, _)| part >> i & 1 == 1).map(|p| p.1).collect();
            let rest = best[set & !part];
            if rest < best[set].saturating_sub(1) && one_elbow(stock, &group, lost) {
                best[set] = rest + 1;
            }
            part = (part - 1) & set;
        }
    }
    best[sets - 1]
}

/// Every part once, of its angle, on the arc, a cut away from its neighbours, with its legs at an end of the elbow.
fn can_be_cut(stock: &ElbowStock, parts: &[ElbowWanted], packed: &PackedElbows, lost: f64) {
    let mut seen = 0;
    for elbow in &packed.elbows {
        let mut end: Option<f64> = None;
        for p in &elbow.parts {
            let want = parts.iter().find(|w| w.mark == p.mark).expect("the part");
            assert!((p.to_rad - p.from_rad - want.angle_rad).abs() < 0.000_9);
            assert!(p.from_rad >= end.map_or(0.0, |e| e + lost) - 1e-9, "{elbow:?}");
            assert!(p.to_rad <= stock.angle_rad() + 1e-9);
            let (first, second) =
                if p.flipped { (want.tail_mm, want.lead_mm) } else { (want.lead_mm, want.tail_mm) };
            for (leg, kept, at, tangent) in [
                (first, p.first_leg_mm, p.from_rad, 0.0),
                (second, p.second_leg_mm, p.to_rad, stock.angle_rad()),
            ] {
                assert!(leg == 0.0 || kept == Some(leg), "{elbow:?}");
                assert!(kept.is_none() || (at - tangent).abs() < 1e-8, "{elbow:?}");
            }
            end = Some(p.to_rad);
            seen += 1;
        }
        let used: f64 = elbow.parts.iter().map(|p| p.to_rad - p.from_rad + lost).sum();
        assert!((elbow.left_rad - (stock.angle_rad() - used).max(0.0)).abs() < 0.000_9, "{elbow:?}");
    }
    assert_eq!(seen, parts.len());
    assert!(packed.unplaced.is_empty());
}

#[test]
fn no_layout_of_a_few_parts_takes_fewer_elbows() {
    let mut dice = Dice(3);
    let (mut shared, mut legs) = (0, 0);
    for case in 0..200 {
        let mut stock = shop(63.5, 1.5).elbows[0].clone();
        stock.angle_deg = [90.0, 90.0, 180.0, 45.0][dice.below(4) as usize];
        stock.clr_mm = 63.5 * [1.0, 1.5][dice.below(2) as usize];
        stock.count = dice.below(3) as u32;
        let kerf_mm = [0.0, 1.6, 3.0][dice.below(3) as usize];
        let parts: Vec<ElbowWanted> = (0..=dice.below(7))
            .map(|i| {
                let whole = dice.below(6) == 0;
                let share = if whole { 100 } else { 10 + dice.below(60) };
                let angle_deg = stock.angle_deg * share as f64 / 100.0;
                let lead_mm = if dice.below(3) == 0 { 30.0 } else { 0.0 };
                let tail_mm = if dice.below(3) == 0 && (whole || lead_mm == 0.0) { 20.0 } else { 0.0 };
                ElbowWanted { mark: format!("A{i}"), angle_rad: angle_deg.to_radians(), lead_mm, tail_mm }
            })
            .collect();
        let packed = pack_elbows(&stock, &parts, kerf_mm);
        let lost = lost_rad(&stock, kerf_mm);
        can_be_cut(&stock, &parts, &packed, lost);
        let least = fewest(&stock, &parts, lost);
        assert_eq!(packed.elbows.len(), least, "case {case}: {stock:?} kerf {kerf_mm} {parts:?}: {packed:?}");
        assert_eq!(packed.to_buy, least.saturating_sub(stock.count as usize));
        assert!(packed.proved_fewest);
        shared += packed.elbows.iter().filter(|e| e.parts.len() > 1).count();
        legs += parts.iter().filter(|p| p.lead_mm > 0.0).count();
    }
    assert!(shared > 100 && legs > 100, "{shared} {legs}");
}
