//! The flats of saddle plates at 1:1.

use super::draw::QUARTER;
use super::pattern::{CENTRE, Pattern, WELD, stem};
use crate::fab::bar::laid_plate::LaidPlate;
use crate::fab::bar::saddle_plate::PlateSize;
use crate::finding::Side;
use crate::sheet::page::PointMm;
use crate::units::{UnitSystem, wall};

/// The flat of the plate under the end `side` of a bar: x along the blank, with growing clock round the tube, y along the tube.
///
/// `mark` and `name` are the bar's; `text` says what to cut and how to check it.
pub fn plate_pattern(
    (plate, size): (&LaidPlate, &PlateSize),
    (mark, name): (&str, &str),
    (side, text): (Side, &str),
    units: UnitSystem,
) -> Pattern {
    let half_mm = size.bent_mm / 2.0;
    let (left, right) = (-half_mm - plate.lips_mm[0], half_mm + plate.lips_mm[1]);
    let up = plate.width_mm / 2.0;
    let upright = |x: f64| vec![(x, -up), (x, up)];
    let foot: Vec<PointMm> = plate.foot_on_flat().iter().map(|p| (p.x, p.y)).collect();
    let closed = foot.iter().copied().chain(foot.first().copied()).collect();
    let mut lines = vec![(closed, WELD), (upright(0.0), CENTRE), (vec![(left, 0.0), (right, 0.0)], CENTRE)];
    let mut at_lines = Vec::new();
    for (x, lip_mm) in [(-half_mm, plate.lips_mm[0]), (half_mm, plate.lips_mm[1])] {
        if lip_mm > 0.0 {
            lines.push((upright(x), QUARTER));
            at_lines.push(((x, up - 4.0), "bent up to here".to_owned()));
        }
    }
    let end = side.word();
    Pattern {
        title: format!("Saddle plate at the {end} of {mark} {name}"),
        file_stem: stem(&format!("{mark}-{end}-plate")),
        outlines: vec![vec![(left, -up), (right, -up), (right, up), (left, up)]],
        lines,
        at_lines,
        words: vec![
            format!("{} thick. {text}", wall(plate.thick_mm, units)),
            "The dashed line is where the bar stands once the plate is bent, printed side out: upright is along the tube."
                .to_owned(),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::all_patterns;
    use crate::edit::{Edit, apply, new_item};
    use crate::model::{BarEndMake, Onto, Pad};
    use crate::report::Report;
    use crate::testing::bench_project;
    use glam::DVec3;
    use std::f64::consts::PI;

    /// Own vector: a plate of 3 mm with a liner of 1 mm on a tube of 50, half round, with lips of 10 and 12: its middle runs at
    /// 25 + 1 + 1.5 from the axis. A bar of 20 square onto it stands over 20 along the tube, and round it over the arc whose
    /// chord is 20 on the outside of the plate, at 29.
    #[test]
    fn the_flat_of_a_plate_is_as_long_as_its_middle_and_shows_the_bar() {
        let mut project = bench_project();
        let mut bar = new_item::bar(&mut project, DVec3::ZERO);
        (bar.od_mm, bar.wall_mm) = (20.0, None);
        bar.ends[0].position_mm = DVec3::ZERO;
        bar.ends[1].position_mm = DVec3::Z * 300.0;
        let pad = Pad { thick_mm: 3.0, gap_mm: 1.0, angle_deg: 180.0, lips_mm: [10.0, 12.0], width_mm: None };
        let onto = Onto::Tube { through_mm: DVec3::ZERO, along: DVec3::X, od_mm: 50.0 };
        bar.ends[0].make = BarEndMake::Cope { onto, pad: Some(pad) };
        bar.ends[1].make = BarEndMake::Plate { stand_off_mm: 0.0 };
        project = apply(&project, &Edit::PutBar(Box::new(bar))).unwrap();
        let report = Report::new(&project);
        assert!(report.bars[0].buildable, "{:?}", report.findings);
        let patterns = all_patterns(&project, &report);
        let [flat] = &patterns[..] else { panic!("{patterns:?}") };
        let size = |of: fn(&(f64, f64)) -> f64| {
            let all = flat.outlines[0].iter().map(of);
            all.clone().fold(f64::MIN, f64::max) - all.fold(f64::MAX, f64::min)
        };
        assert!((size(|p| p.0) - (PI * 27.5 + 22.0)).abs() < 1e-9, "{}", size(|p| p.0));
        // twice its thickness beyond the bar to either side
        assert!((size(|p| p.1) - 32.0).abs() < 1e-3, "{}", size(|p| p.1));
        let seated = report.bars[0].built.numbers.as_ref().unwrap().seats[0].as_ref().unwrap();
        let foot = seated.plate.as_ref().unwrap().foot_on_flat();
        let far = |of: fn(&glam::DVec2) -> f64| foot.iter().map(of).fold(0.0, f64::max);
        assert!((far(|p| p.x) - (10.0_f64 / 29.0).asin() * 27.5).abs() < 1e-3);
        assert!((far(|p| p.y) - 10.0).abs() < 1e-3);
        assert!(flat.dxf().contains("CUT") && flat.title.contains("Saddle plate at the start of"));
        // it is there for drawing and gaps: bent round behind the bar down to the middle of the tube, its lips beyond
        let low = report.bars[0].built.solids.iter().map(|s| crate::space::solid_bounds(s).0.z);
        assert!(low.fold(f64::MAX, f64::min) < -11.9);
    }
}
