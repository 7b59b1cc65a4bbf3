//! Joints, elbows, the shelf, allowances and clock faces on the pages.

use super::samples::{printed, three_runs, whole_shop};
use super::*;
use crate::geom::Frame;
use crate::model::SawScale;
use crate::sheet::cut_sheet::faces::{Face, faces};
use crate::sheet::cut_sheet::{clock, flow::Flow};
use crate::units::UnitSystem;
use approx::assert_relative_eq;
use glam::DVec3;

fn said(pages: &[Page]) -> String {
    all_words(pages).replace('\n', " ")
}

/// The sample with everything in it, in millimetres.
fn whole() -> &'static Printed {
    let is_it = |one: &&Printed| {
        one.project.name == "Whole shop" && one.project.settings.units == UnitSystem::Millimetre
    };
    printed().iter().find(is_it).unwrap()
}

#[test]
fn joints_name_both_tubes_and_what_is_marked_on_them() {
    let rows = rows(&whole().pages[0]);
    // hose: 12.7 + 2 · 38.1 = 88.9; 63.5/2 · 30° = 16.6 mm of arc, 16.5 on a tape
    assert!(has_row(&rows, "AJ1", &["Hose", "12.7 mm", "30.0°", "(16.5 mm)", "88.9 mm"]), "{rows:?}");
    let hose = ["from", "not welded", "30.0°", "38.1 mm", "9.53 mm"];
    assert!(has_row(&rows, "AJ1", &[&["first end"], &hose[..]].concat()), "{rows:?}");
    assert!(has_row(&rows, "AJ1", &["second end", "start of A1", "38.1 mm"]), "{rows:?}");
    // 63.5/2 · 212.4° = 117.7 mm
    assert!(
        has_row(&rows, "AJ2", &["first half", "end of A8", "welded on", "212.4°", "(117.5 mm)"]),
        "{rows:?}"
    );
    assert!(has_row(&rows, "AJ2", &["second half", "start of A9", "welded on", "212.4°"]), "{rows:?}");
    // the same mark stands with the two pieces
    assert!(has_row(&rows, "A8", &["straight", "square", "212.4°", "(117.5 mm) AJ2"]), "{rows:?}");
    assert!(has_row(&rows, "A9", &["straight", "square", "212.4°", "(117.5 mm) AJ2"]), "{rows:?}");
    assert!(has_row(&rows, "AJ3", &["Slip", "50.8 mm", "slides in", "—"]), "{rows:?}");
}

/// Worked by hand: 90° elbow of centreline radius 95.25, OD 63.5, legs of 40 mm, cut down to 53.3° at its end: what
/// is cut away is 36.7° = 0.64054 rad, outside 40 + 127.0 · 0.64054 = 121.3 mm, inside 40 + 63.5 · 0.64054 = 80.7 mm.
#[test]
fn where_an_elbow_is_cut_is_measured_from_both_its_faces() {
    let project = three_runs(UnitSystem::Millimetre);
    let report = Report::quick(&project);
    let elbows: Vec<_> = report.runs[1].printed.iter().filter_map(|p| Some((p, p.bend?))).collect();
    let (piece, bend) = elbows[0];
    let removed = (90.0 - bend.angle_deg).to_radians();
    let kept = bend.lead_mm + bend.tail_mm;
    let angle = bend.angle_deg.to_radians();
    let arcs = [40.0 + 127.0 * removed, 40.0 + 63.5 * removed, kept + 127.0 * angle, kept + 63.5 * angle];
    let cells = arcs.map(half_mm);
    let cells: Vec<&str> = cells.iter().map(String::as_str).collect();
    assert!(bend.cut_at.is_some() && removed > 0.1);
    assert!(has_row(&rows(&sheet(&project)), &piece.mark, &cells), "{cells:?}");
}

#[test]
fn what_needs_no_sawing_is_said_and_not_laid_on_a_stick() {
    let Printed { report, pages, .. } = whole();
    let of = |source: &str| -> Vec<String> {
        let pieces = report.runs[0].printed.iter().filter(|p| p.source.name() == source);
        pieces.map(|p| p.mark.clone()).collect()
    };
    let (ready, sawn) = (of("ready"), of("sawn"));
    assert_eq!((ready.len(), sawn.as_slice()), (3, ["A2".to_owned(), "A3".to_owned()].as_slice()));
    let rows = rows(&pages[0]);
    for mark in &ready {
        assert!(has_row(&rows, mark, &["slice", "7.5°", "from the shelf"]), "{mark}");
    }
    for mark in &sawn {
        assert!(has_row(&rows, mark, &["slice", "done"]), "{mark}");
    }
    let range = format!("{}–{}", ready[0], ready[2]);
    assert!(has_row(&rows, "3", &["7.5°", &range]), "{rows:?}");
    assert!(said(&pages[0]).contains("Sawn already, not on the sticks: A2–A3."));
    let cut = report.stock.iter().flat_map(|s| &s.sticks).flat_map(|s| &s.cuts);
    assert!(
        cut.clone().count() > 5
            && cut.into_iter().all(|c| !ready.contains(&c.mark) && !sawn.contains(&c.mark))
    );
}

#[test]
fn the_weld_fitted_last_its_trim_and_what_is_counted_in_are_said() {
    for Printed { project, report, pages } in printed() {
        let (rows, words) = (rows(&pages[0]), said(&pages[0]));
        let units = project.settings.units;
        for run in report.runs.iter().filter(|r| r.built.is_buildable()) {
            let Some(fit) = &run.fit else { continue };
            let trim = crate::units::length_paper(fit.trim_mm, units);
            let trim = trim.split(" (").next().unwrap();
            let note = format!("incl. {trim} trim at {}", fit.weld);
            let ends = |r: &Vec<String>| r[0] == fit.piece && r.last().is_some_and(|w| w.ends_with(&note));
            assert!(rows.iter().any(ends), "{note} for {}", fit.piece);
            let last = format!("last: trim {trim} off the {} of {}", fit.at, fit.piece);
            assert!(has_row(&rows, &fit.weld, &[&last]), "{last}");
            let tacks: Vec<usize> = run.welds.iter().map(|w| w.tack).collect();
            let at = run.welds.iter().position(|w| w.mark == fit.weld).unwrap();
            assert_eq!(tacks[at], run.welds.len());
            assert!(words.contains(&format!("all but {}.", fit.weld)));
        }
        assert_eq!(words.contains("Counted in all lengths:"), project.name == "Whole shop");
    }
    let words = said(&whole().pages[0]);
    for part in ["a gap of 0.50 mm", "together by 0.30 mm", "common practice", "first 5.0 mm of a new stick"]
    {
        assert!(words.contains(part), "{part}");
    }
}

/// The face on paper is what one sees who looks along the travel, index line up: worked from the frame in space.
#[test]
fn clock_faces_are_not_mirrored() {
    let frame = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z);
    for deg in [0.0_f64, 30.0, 90.0, 180.0, 251.0, 270.0] {
        let there = frame.at_clock(deg.to_radians());
        // looking along X with Z up, Y is on the left; on paper x runs right and y down
        let (x, y) = clock::at_clock((0.0, 0.0), deg, 1.0);
        assert_relative_eq!(x, -there.y, epsilon = 1e-12);
        assert_relative_eq!(y, -there.z, epsilon = 1e-12);
    }
}

#[test]
fn everything_that_is_lined_up_has_a_face_and_nothing_else() {
    for Printed { project, report, .. } in printed() {
        let source = Source { project, report };
        for run in report.runs.iter().filter(|r| r.built.is_buildable()) {
            let faces = faces(source, run);
            let mut left = faces.iter().flat_map(|f| f.marks.iter().map(move |m| (m, f)));
            let mut found = |mark: &str, deg: f64| {
                let (_, face) = left.find(|(m, _)| m.as_str() == mark).unwrap();
                assert!((face.clock_deg - deg).abs() < 0.05, "{mark} {face:?}");
            };
            for i in 0..=run.printed.len() {
                for weld in run.welds.iter().filter(|w| w.before == i) {
                    if let Some(deg) = weld.printed_clock_deg {
                        found(&weld.mark, deg);
                    }
                }
                let Some(piece) = run.printed.get(i).filter(|p| p.joint.is_some()) else { continue };
                if project.joints.iter().any(|j| Some(&j.name) == piece.joint.as_ref() && j.lobe.is_some()) {
                    found(&piece.mark, piece.lobe_clock_deg.unwrap());
                }
            }
            assert_eq!(left.next(), None::<(&String, &Face)>);
        }
    }
}

#[test]
fn cautions_do_not_stand_alone_on_a_page() {
    for one in printed() {
        for page in &one.pages[0] {
            let words = all_words(std::slice::from_ref(page));
            let headings = texts(page).into_iter().filter(|t| t.bold && (t.size_mm - 6.0).abs() < 1e-9);
            let alone = words.contains("Cautions") && headings.count() == 1;
            assert!(!alone, "{}: {words}", one.project.name);
        }
    }
}

#[test]
fn settings_that_change_between_cuts_are_marked() {
    let Printed { report, pages, .. } = whole();
    let rows = rows(&pages[0]);
    let odd = report.runs[0].printed.iter().find(|p| {
        p.kind.name() == "slice"
            && p.source.name() == "stick"
            && (p.start_cut_deg - p.end_cut_deg).abs() > 0.4
    });
    let odd = odd.expect("the batch leaves an odd slice");
    let angles = [format!("{:.1}°", odd.start_cut_deg), format!("{:.1}°", odd.end_cut_deg)];
    assert!(has_row(&rows, &odd.mark, &[&angles[0], &angles[1], "change", "half turn"]), "{rows:?}");
    let words = said(&pages[0]);
    // one sentence a stick; what it names ends with a full stop
    let named = words.split("so set the saw for each of them: ").skip(1);
    let named: Vec<&str> = named.filter_map(|rest| rest.split('.').next()).collect();
    assert!(named.iter().any(|marks| marks.split(", ").any(|m| m == odd.mark)), "{named:?}");
}

#[test]
fn what_is_put_goes_to_the_last_page_with_room() {
    let mut flow = Flow::new(PaperSize::A4, "Project", "0");
    let high = flow.rest().height;
    flow.take(high - 50.0);
    flow.line("first", 4.0, false);
    flow.next_page();
    flow.take(high - 40.0);
    flow.line("second", 4.0, false);
    flow.next_page();
    flow.line("third", 4.0, false);
    flow.take(high - 10.0);
    for (mm, words) in [(30.0, "on the second"), (40.0, "on the first"), (60.0, "on a fresh one")] {
        flow.put(mm, 0, |flow| {
            flow.need(mm);
            flow.line(words, 4.0, false);
            flow.take(mm - 6.0);
        });
    }
    let pages = flow.finish();
    let on = |i: usize| all_words(std::slice::from_ref(&pages[i]));
    assert_eq!(pages.len(), 4);
    assert!(on(0).contains("on the first") && on(1).contains("on the second"), "{} {}", on(0), on(1));
    assert!(!on(2).contains("on a fresh one") && on(3).contains("on a fresh one"), "{} {}", on(2), on(3));
}

#[test]
fn a_blade_scale_reads_the_other_way_everywhere() {
    let mut project = whole_shop(UnitSystem::Millimetre);
    project.settings.saw.scale = SawScale::FromBlade;
    let pages = sheet(&project);
    let rows = rows(&pages);
    let report = Report::quick(&project);
    let piece = report.runs[0].printed.iter().find(|p| p.source.name() == "ready").unwrap();
    assert!(has_row(&rows, &piece.mark, &["82.5°", "from the shelf"]));
    assert!(said(&pages).contains("90° on it is square") && said(&pages).contains("90° is a square cut"));
}
