//! Whether layouts are as good as claimed: against every possible layout, another method, and published cases.

mod elbows;
mod every_layout;
mod every_order;
mod looked_on;
mod medium;
mod published;

use pipeloft_core::fab::nest::{Effort, Nested, SawRules, StickSource, nest};
use pipeloft_core::fab::{Cut, Piece, PieceKind};
use pipeloft_core::model::Tube;
pub(crate) use pipeloft_tests::dice::Dice;
use pipeloft_tests::shop::{TUBE, shop};

const OD_MM: f64 = 76.2;

/// A length in mm with one decimal.
fn length_mm(dice: &mut Dice, from: u64, to: u64) -> f64 {
    (from * 10 + dice.below((to - from) * 10)) as f64 / 10.0
}

fn tube(stick_mm: f64) -> Tube {
    Tube { stick_mm, ..shop(OD_MM, 1.65).tubes[0].clone() }
}

fn piece(mark: &str, centre_mm: f64, start_deg: f64, end_deg: f64) -> Piece {
    let cut = |deg: f64| Cut::tilted(deg.to_radians(), 0.0);
    Piece {
        mark: mark.to_owned(),
        key: None,
        kind: PieceKind::Straight,
        tube: TUBE,
        od_mm: OD_MM,
        centre_mm,
        start: cut(start_deg),
        end: cut(end_deg),
        bend: None,
        lobe_clock_rad: None,
        curves: [None, None],
    }
}

fn squares(lengths_mm: impl IntoIterator<Item = f64>) -> Vec<Piece> {
    lengths_mm.into_iter().enumerate().map(|(i, l)| piece(&format!("A{}", i + 1), l, 0.0, 0.0)).collect()
}

fn lay(tube: &Tube, pieces: &[Piece], rules: &SawRules, effort: Effort) -> Nested {
    let nested = nest(tube, &pieces.iter().collect::<Vec<_>>(), rules, effort);
    can_be_sawn(tube, pieces, rules, &nested);
    nested
}

fn count(nested: &Nested, source: StickSource) -> usize {
    nested.sticks.iter().filter(|s| s.source == source).count()
}

/// Checks a layout as the saw sees it: every piece once and whole, the blade's width kept at every generator, the
/// last cut held, sticks and offcuts there are.
fn can_be_sawn(tube: &Tube, pieces: &[Piece], rules: &SawRules, nested: &Nested) {
    let r = OD_MM / 2.0;
    let kerf = |tilt: f64| rules.kerf_mm / tilt.cos();
    let mut marks: Vec<&str> =
        nested.sticks.iter().flat_map(|s| s.cuts.iter().map(|c| c.mark.as_str())).collect();
    marks.extend(nested.unplaced.iter().map(String::as_str));
    let mut wanted: Vec<&str> = pieces.iter().map(|p| p.mark.as_str()).collect();
    marks.sort_unstable();
    wanted.sort_unstable();
    assert_eq!(marks, wanted, "every piece once");
    for stick in &nested.sticks {
        let whole = stick.source != StickSource::Offcut;
        let mut end = if whole { rules.first_trim_mm } else { 0.0 };
        let mut tilt: Option<f64> = None;
        for cut in &stick.cuts {
            let p = pieces.iter().find(|p| p.mark == cut.mark).expect("the piece");
            let faces = (p.start.tilt_rad, p.end.tilt_rad);
            let lying = if cut.end_first { (faces.1, faces.0) } else { faces };
            assert_eq!((cut.first_rad, cut.second_rad), lying);
            assert!((cut.to_mm - cut.from_mm - p.centre_mm).abs() < 1e-9);
            // the narrowest place between the faces, both of which lean the same way
            let lean = |t: Option<f64>| r * t.unwrap_or(0.0).tan();
            let gap = (0..=36)
                .map(|i| (f64::from(i) * 10.0).to_radians().cos())
                .map(|c| cut.from_mm - end + (lean(Some(cut.first_rad)) - lean(tilt)) * c)
                .fold(f64::MAX, f64::min);
            let needed = match tilt {
                None if cut.first_rad == 0.0 => 0.0,
                None => kerf(cut.first_rad),
                Some(t) if cut.shares_cut => {
                    assert!((t - cut.first_rad).abs() < 1e-12);
                    kerf(t)
                }
                Some(t) => kerf(t) + kerf(cut.first_rad),
            };
            assert!((gap - needed).abs() < 1e-8, "{}: gap {gap}, needed {needed}", cut.mark);
            (end, tilt) = (cut.to_mm, Some(cut.second_rad));
        }
        let last = stick.cuts.last().expect("a cut");
        let long_side = last.to_mm + r * last.second_rad.tan();
        assert!(long_side <= stick.length_mm + 1e-5, "{} past the end {}", long_side, stick.length_mm);
        let left = stick.length_mm - long_side - kerf(last.second_rad);
        assert!((stick.drop_mm - left.max(0.0)).abs() < 1e-8);
        let p = pieces.iter().find(|p| p.mark == last.mark).expect("the piece");
        let short = p.centre_mm - r * (p.start.tilt_rad.tan() + p.end.tilt_rad.tan());
        let uncut = stick.cuts.len() == 1
            && last.from_mm == 0.0
            && last.second_rad == 0.0
            && (last.to_mm - stick.length_mm).abs() < 1e-5;
        let held = left.max(short) >= rules.grip_mm - 1e-5;
        assert!(held || uncut, "nothing to hold: {left} left, last piece {short}");
    }
    assert!(count(nested, StickSource::Rack) <= tube.sticks_on_hand as usize);
    for offcut in &tube.offcuts {
        let alike = |length_mm: f64| (length_mm - offcut.length_mm).abs() < 1e-12;
        let there: u32 = tube.offcuts.iter().filter(|o| alike(o.length_mm)).map(|o| o.count).sum();
        let used = nested.sticks.iter().filter(|s| s.source == StickSource::Offcut);
        assert!(used.filter(|s| alike(s.length_mm)).count() <= there as usize);
    }
}
