use super::*;
use crate::model::ReadySlice;
use crate::sheet::cut_sheet::tests::samples::{eight_bends, three_runs, two_bends};
use crate::units::{MM_PER_INCH, UnitSystem, rounded_for_paper_mm};
use std::collections::BTreeMap;

/// A row by the names of its columns.
type Row = BTreeMap<String, String>;

/// Projects in every unit.
fn all() -> Vec<Project> {
    let units = [UnitSystem::InchFraction, UnitSystem::Millimetre, UnitSystem::InchDecimal];
    units.into_iter().flat_map(|u| [two_bends(u), eight_bends(u), three_runs(u)]).collect()
}

fn written(project: &Project) -> String {
    cut_list(project, &Report::quick(project)).unwrap()
}

fn read(text: &str) -> Vec<Row> {
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let names = table.headers().unwrap().clone();
    let row = |r: Result<csv::StringRecord, csv::Error>| {
        let r = r.unwrap();
        names.iter().map(str::to_owned).zip(r.iter().map(str::to_owned)).collect()
    };
    table.records().map(row).collect()
}

fn number(row: &Row, name: &str) -> Option<f64> {
    row[name].parse().ok()
}

fn suffix(units: UnitSystem) -> (&'static str, f64) {
    match units {
        UnitSystem::Millimetre => ("mm", 1.0),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => ("in", MM_PER_INCH),
    }
}

#[test]
fn every_piece_of_every_run_that_can_be_cut_is_a_row_in_order() {
    for project in all() {
        let report = Report::quick(&project);
        let rows = read(&written(&project));
        let wanted: Vec<_> = report
            .runs
            .iter()
            .filter(|r| !report.findings_of(r.id).any(|f| f.severity == Severity::Stop))
            .flat_map(|r| r.printed.iter().map(|p| (r.name.as_str(), p.mark.as_str(), p.kind.name())))
            .collect();
        assert!(wanted.len() > 5);
        let got: Vec<_> =
            rows.iter().map(|r| (r["run"].as_str(), r["mark"].as_str(), r["kind"].as_str())).collect();
        assert_eq!(got, wanted);
    }
}

#[test]
fn a_project_without_runs_gives_the_names_of_the_columns_alone() {
    let text = written(&Project::new("Empty", UnitSystem::InchFraction));
    assert_eq!(text.lines().count(), 1);
    assert!(text.starts_with("\u{feff}run,mark,kind,source,"), "{text}");
    assert!(text.ends_with("\r\n") && text.contains(",long_in,long_fraction,"), "{text}");
    assert!(read(&text).is_empty());
}

#[test]
fn the_numbers_are_those_on_paper_in_the_projects_units() {
    for project in all() {
        let units = project.settings.units;
        let (unit, mm) = suffix(units);
        let report = Report::quick(&project);
        let pieces: Vec<&PieceReport> = report.runs.iter().flat_map(|r| &r.printed).collect();
        for row in read(&written(&project)) {
            let piece = pieces.iter().find(|p| p.mark == row["mark"]).unwrap();
            let length = |name: &str| number(&row, &format!("{name}_{unit}")).map(|x| x * mm);
            let near = |got: Option<f64>, want: f64, within: f64| {
                assert!((got.unwrap() - want).abs() < within, "{} {got:?}, not {want}", piece.mark);
            };
            near(length("od"), piece.od_mm, 1e-3);
            if piece.joint.is_some() {
                assert_eq!((length("long"), length("centre")), (None, None));
                near(length("joint_make_up"), piece.centre_mm, 1e-3);
                continue;
            }
            for (name, want) in
                [("long", piece.long_mm), ("short", piece.short_mm), ("centre", piece.centre_mm)]
            {
                near(length(name), rounded_for_paper_mm(want, units), 1e-6);
            }
            if let Some(e) = piece.bend {
                assert_eq!(row["start_cut_deg"], "");
                near(number(&row, "elbow_angle_deg"), e.angle_deg, 1e-4);
                near(length("elbow_clr"), e.clr_mm, 1e-3);
                near(length("elbow_lead"), e.lead_mm, 1e-3);
                near(length("elbow_tail"), e.tail_mm, 1e-3);
                near(number(&row, "elbow_throat_clock_deg"), e.throat_clock_deg.rem_euclid(360.0), 1e-6);
                assert_eq!(row["elbow_cut_away_at"], e.cut_at.map_or("", |end| end.name()));
            } else {
                near(number(&row, "start_cut_deg"), piece.start_cut_deg, 1e-4);
                near(number(&row, "end_cut_deg"), piece.end_cut_deg, 1e-4);
                // on paper the long side is on the step, so nothing of it is lost
                near(length("long"), piece.long_mm, 1e-6);
            }
            for (clock, arc, want) in [
                ("start_heel_clock_deg", "start_heel_arc", piece.start_heel_clock_deg),
                ("end_heel_clock_deg", "end_heel_arc", piece.end_heel_clock_deg),
            ] {
                let want = want.map(|deg| deg.rem_euclid(360.0));
                assert_eq!(number(&row, clock).is_some(), want.is_some());
                if let Some(deg) = want {
                    near(number(&row, clock), deg, 1e-6);
                    let step = crate::units::paper_step_mm(units);
                    near(length(arc), piece.od_mm / 2.0 * deg.to_radians(), step / 2.0 + 1e-6);
                }
            }
        }
    }
}

#[test]
fn fractions_stand_beside_the_decimals_as_text() {
    let rows = read(&written(&two_bends(UnitSystem::InchFraction)));
    for row in &rows {
        let decimal = number(row, "long_in").unwrap();
        let fraction = row["long_fraction"].strip_suffix('"').unwrap();
        let parts = fraction.split_whitespace().map(|part| {
            part.split_once('/').map_or_else(
                || part.parse::<f64>().unwrap(),
                |(over, under)| over.parse::<f64>().unwrap() / under.parse::<f64>().unwrap(),
            )
        });
        assert!((parts.sum::<f64>() - decimal).abs() < 1e-9, "{fraction} {decimal}");
    }
    assert!(!written(&two_bends(UnitSystem::Millimetre)).contains("fraction"));
}

#[test]
fn settings_are_what_the_saws_scale_reads() {
    let mut project = three_runs(UnitSystem::Millimetre);
    let cuts = |project: &Project| -> Vec<(f64, f64)> {
        let rows = read(&written(project));
        rows.iter().filter_map(|r| Some((number(r, "end_cut_deg")?, number(r, "end_setting_deg")?))).collect()
    };
    let from_blade = cuts(&project);
    assert!(from_blade.iter().any(|c| c.0 > 0.0));
    assert!(from_blade.iter().all(|(cut, reads)| (cut + reads - 90.0).abs() < 1e-9), "{from_blade:?}");
    project.settings.saw.scale = crate::model::SawScale::FromSquare;
    assert!(cuts(&project).iter().all(|(cut, reads)| (cut - reads).abs() < 1e-9));
}

#[test]
fn sticks_welds_and_trim_are_those_of_the_report() {
    let project = eight_bends(UnitSystem::Millimetre);
    let report = Report::quick(&project);
    let rows = read(&written(&project));
    for (index, row) in rows.iter().enumerate() {
        let (stick, order) =
            (number(row, "stick").unwrap() as usize, number(row, "stick_order").unwrap() as usize);
        assert_eq!(report.stock[0].sticks[stick - 1].cuts[order - 1].mark, row["mark"]);
        let after = report.runs[0].welds.iter().find(|w| w.before == index + 1);
        assert_eq!(row["weld_after"], after.map_or("", |w| &w.mark));
        assert_eq!(row["weld_after_tack"], after.map_or_else(String::new, |w| w.tack.to_string()));
        assert_eq!(row["weld_after_fitted_last"] == "yes", after.is_some_and(|w| w.fit));
    }
    let fit = report.runs[0].fit.clone().unwrap();
    let trimmed: Vec<_> = rows.iter().filter(|r| !r["trim_mm"].is_empty()).collect();
    assert_eq!(trimmed.len(), 1);
    let said = ["mark", "trim_mm", "trim_at", "trim_weld"].map(|name| trimmed[0][name].as_str());
    assert_eq!(said, [&fit.piece, "6", fit.at.name(), &fit.weld]);
}

#[test]
fn slices_from_the_shelf_lie_on_no_stick_and_keep_their_size() {
    let mut project = two_bends(UnitSystem::Millimetre);
    let report = Report::quick(&project);
    let exact = report.runs[0].pieces.iter().find(|p| p.kind.name() == "slice").unwrap();
    project.tubes[0].slices =
        vec![ReadySlice { saw_deg: exact.start_cut_deg, throat_mm: exact.short_mm, count: 1 }];
    let rows = read(&written(&project));
    let ready: Vec<_> = rows.iter().filter(|r| r["source"] == "ready").collect();
    assert_eq!(ready.len(), 1);
    assert_eq!((ready[0]["stick"].as_str(), ready[0]["stick_order"].as_str()), ("", ""));
    assert!((number(ready[0], "long_mm").unwrap() - exact.long_mm).abs() < 1e-3);
}

#[test]
fn names_with_anything_in_them_come_back_and_are_no_formulas() {
    for (name, want) in [
        ("Hot side, \"big\" one\nsecond line", "Hot side, \"big\" one\nsecond line"),
        ("=HYPERLINK(\"x\")", "'=HYPERLINK(\"x\")"),
        ("+1", "'+1"),
        ("-2", "'-2"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("  =1+1", "'  =1+1"),
        ("\t=1", "'\t=1"),
        ("\ttabbed", "'\ttabbed"),
        ("＝1", "'＝1"),
        ("Wärme 排気", "Wärme 排気"),
        ("", ""),
    ] {
        let mut project = three_runs(UnitSystem::InchFraction);
        project.runs[0].name = name.to_owned();
        project.joints[0].name = name.to_owned();
        let text = written(&project);
        let rows = read(&text);
        assert_eq!(rows[0]["run"], want, "{name:?}");
        let joint = rows.iter().find(|r| r["kind"] == "joint").unwrap();
        assert_eq!(joint["joint"], want, "{name:?}");
        let plain = read(&written(&three_runs(UnitSystem::InchFraction)));
        assert_eq!(rows.len(), plain.len());
        assert_eq!(rows[0]["long_in"], plain[0]["long_in"]);
    }
}

#[test]
fn a_slip_joint_keeps_the_sign_of_its_make_up() {
    let mut project = three_runs(UnitSystem::Millimetre);
    project.joints[0].make_up_mm = -25.4;
    project.joints[0].style = crate::model::JointStyle::SlipJoint;
    let rows = read(&written(&project));
    let joint = rows.iter().find(|r| r["kind"] == "joint").unwrap();
    assert_eq!(joint["joint_make_up_mm"], "-25.4");
}

#[test]
fn a_joint_without_a_lobe_has_no_clock() {
    let mut project = three_runs(UnitSystem::InchFraction);
    let clocks = |project: &Project| -> Vec<(String, String)> {
        let rows = read(&written(project));
        let joints = rows.iter().filter(|r| r["kind"] == "joint");
        joints.map(|r| (r["joint_lobe_clock_deg"].clone(), r["joint_lobe_arc_fraction"].clone())).collect()
    };
    // 35° round 63.5 mm tube are 19.39 mm, 24.4/32 in
    assert_eq!(clocks(&project)[0], ("35".to_owned(), "3/4\"".to_owned()));
    project.joints[0].lobe = None;
    assert!(clocks(&project).iter().all(|c| c.0.is_empty() && c.1.is_empty()));
}
