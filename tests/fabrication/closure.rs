//! Runs rebuilt from the report alone reach the hardpoint they were drawn to.

use super::checker::{faults, number};
use super::edges::not_on_one_stick;
use glam::DVec3;
use pipeloft_core::file;
use pipeloft_core::model::{BendMake, Ends, Fitting, FittingId, Project};
use pipeloft_core::report::Report;
use pipeloft_tests::shop::{COUPLER, ELBOW, demos, full, half, run_through, shop};
use proptest::prelude::*;
use serde_json::Value;

fn json(project: &Project) -> Value {
    let text = Report::quick(project).to_json().expect("a report is always text");
    serde_json::from_str(&text).expect("and JSON")
}

/// All that is wrong with the runs of a report, one line each; runs that cannot be built have no pieces to check.
fn all_faults(report: &Value) -> (usize, Vec<String>) {
    let mut checked = 0;
    let mut out = Vec::new();
    for run in report["runs"].as_array().into_iter().flatten() {
        if run["pieces"].as_array().is_some_and(|p| !p.is_empty()) {
            checked += 1;
            out.extend(faults(run).iter().map(|f| format!("{}: {f}", run["name"])));
        }
    }
    (checked, out)
}

#[test]
fn every_demo_rebuilt_from_its_report_reaches_its_hardpoints() {
    let mut checked = 0;
    let mut wrong = Vec::new();
    for path in demos() {
        let project = file::load(&path).unwrap();
        let (count, faults) = all_faults(&json(&project));
        assert!(count > 0, "{} has no run that can be built", path.display());
        checked += count;
        wrong.extend(faults.into_iter().map(|f| format!("{}: {f}", path.display())));
    }
    assert!(wrong.is_empty(), "{checked} runs checked:\n{}", wrong.join("\n"));
}

#[test]
fn every_piece_of_every_demo_is_cut_from_one_stick() {
    for path in demos() {
        let report = Report::new(&file::load(&path).unwrap());
        let lost = not_on_one_stick(&report);
        assert!(lost.is_empty(), "{}: {lost:?}", path.display());
    }
}

#[test]
fn the_totals_of_every_demo_are_the_sums_of_its_runs() {
    for path in demos() {
        let report = json(&file::load(&path).unwrap());
        let runs = report["runs"].as_array().unwrap();
        for key in ["weld_length_mm", "tube_length_mm", "mass_kg"] {
            let sum: f64 = runs
                .iter()
                .filter(|r| r["pieces"].as_array().is_some_and(|p| !p.is_empty()))
                .map(|r| number(r, key))
                .sum();
            let said = number(&report["totals"], key);
            assert!((said - sum).abs() < 1e-6 * (1.0 + sum), "{}: {key} {said}, not {sum}", path.display());
        }
    }
}

#[test]
fn a_checker_that_is_lied_to_says_so() {
    let mut project = shop(63.5, 1.65);
    let points = [DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)];
    run_through(&mut project, &points, half(95.25, 3));
    let honest = json(&project);
    assert_eq!(all_faults(&honest), (1, Vec::new()));
    let lies: [(&str, f64, &str); 5] = [
        ("/runs/0/pieces/1/centre_mm", 0.05, "end off the hardpoint"),
        ("/runs/0/pieces/1/start_cut_deg", 0.01, "end out of line"),
        ("/runs/0/weld_length_mm", 0.01, "weld length"),
        ("/runs/0/pieces/0/long_mm", 0.01, "long side"),
        ("/runs/0/bends/0/heel_mm", 0.01, "heel"),
    ];
    for (place, by, said) in lies {
        let mut report = honest.clone();
        let value = report.pointer_mut(place).unwrap();
        *value = Value::from(value.as_f64().unwrap() + by);
        let (_, faults) = all_faults(&report);
        assert!(faults.iter().any(|f| f.contains(said)), "{place}: {faults:?}");
    }
}

fn point() -> impl Strategy<Value = DVec3> {
    (-2000.0..2000.0, -2000.0..2000.0, -2000.0..2000.0).prop_map(DVec3::from)
}

fn make() -> impl Strategy<Value = BendMake> {
    prop_oneof![
        3 => (60.0..200.0, 2_u32..9).prop_map(|(clr, welds)| half(clr, welds)),
        2 => (60.0..200.0, 3_u32..9).prop_map(|(clr, welds)| full(clr, welds)),
        1 => Just(BendMake::Elbow { elbow: ELBOW }),
    ]
}

/// Runs anyone might draw: roomy, with bends of every make and a coupler on the first leg.
fn run() -> impl Strategy<Value = Project> {
    (
        prop::collection::vec(point(), 3..8),
        prop::collection::vec(make(), 8),
        30.0..120.0_f64,
        -180.0..180.0_f64,
    )
        .prop_filter_map("bends and straights that can be built", |(points, makes, station, clock)| {
            let mut project = shop(63.5, 1.65);
            project.elbows[0].angle_deg = 170.0;
            run_through(&mut project, &points, makes[0]);
            let run = &mut project.runs[0];
            for (vertex, make) in run.vertices().into_iter().zip(&makes) {
                run.set_make(vertex, *make);
            }
            run.fittings.push(Fitting {
                id: FittingId(900),
                joint: COUPLER,
                leg: 0,
                station_mm: station,
                lobe_clock_deg: clock,
            });
            project.hardpoints[0].clock = points[1] - points[2];
            pipeloft_core::fab::build(&project, &project.runs[0]).is_buildable().then_some(project)
        })
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 200, failure_persistence: None, max_global_rejects: 20_000, max_local_rejects: 60_000,
        ..ProptestConfig::default()
    })]

    #[test]
    fn any_run_rebuilt_from_its_report_reaches_its_hardpoint(project in run()) {
        let (checked, faults) = all_faults(&json(&project));
        prop_assert_eq!(checked, 1);
        prop_assert!(faults.is_empty(), "{}", faults.join("\n"));
    }

    /// The numbers on paper are rounded, so the pipe misses a little; the report says by how much. No run anyone
    /// draws is missed by more than a weld gap a piece.
    #[test]
    fn the_miss_of_the_printed_numbers_is_small_and_finite(project in run()) {
        let report = json(&project);
        let run = &report["runs"][0];
        let pieces = run["pieces"].as_array().map_or(0, Vec::len) as f64;
        let (offset, angle) = (number(&run["miss"], "offset_mm"), number(&run["miss"], "angle_deg"));
        // lengths to 0.25 mm each; clock to 0.05° and cuts to 0.005° act over the length of the run
        let reach = number(run, "centreline_mm");
        let bound = 0.25 * pieces + pieces * 0.06_f64.to_radians() * reach;
        prop_assert!(offset <= bound, "{} over {}", offset, bound);
        prop_assert!(angle <= 0.12 * pieces, "{} over {}", angle, 0.12 * pieces);
    }
}

#[test]
fn full_ends_close_at_every_number_of_slices() {
    for slices in 1..=12 {
        for deg in [5.0_f64, 33.3, 90.0, 150.0] {
            let mut project = shop(63.5, 1.65);
            project.settings.shortest_throat_mm = 0.0;
            let way = DVec3::new(deg.to_radians().cos(), deg.to_radians().sin(), 0.0);
            let corner = DVec3::X * 900.0;
            let make = BendMake::mitred(150.0, slices + 1, Ends::Full);
            run_through(&mut project, &[DVec3::ZERO, corner, corner + way * 900.0], make);
            let report = json(&project);
            let sharp = deg / (2.0 * f64::from(slices)) > 70.0;
            let (checked, faults) = all_faults(&report);
            assert!(checked == 1 || sharp, "{slices} slices, {deg}°: {}", report["findings"]);
            assert!(faults.is_empty(), "{slices} slices, {deg}°: {faults:?}");
        }
    }
}
