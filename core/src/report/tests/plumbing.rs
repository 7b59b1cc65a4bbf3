//! Bars, small parts, branches and tapers beside each other: what each of them must not miss of the others.

use super::super::margins::margins;
use super::super::take_off::{Section, TakeOff, openings, usual_need_mm};
use super::super::{Effort, Report};
use crate::edit::{Edit, apply, new_item};
use crate::model::{
    Attachment, Bar, BarEndMake, BendMake, Bracket, Bung, BungUse, Ends, Fitting, FittingId, Item, JointId,
    JointKind, JointStyle, Onto, Part, PartKind, Project, RunEnd, RunId, Screwed, Seat, Service, Shield,
    Spot, Taper, TaperMake,
};
use crate::space::scan::Scans;
use crate::testing::{branch, run_through, tube};
use glam::DVec3;

const R: f64 = 63.5 / 2.0;

/// Forward 600 mm, then left.
fn bench() -> (Project, RunId) {
    let (project, run) = run_through(&[DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 700.0, 0.0)]);
    (project, run.id)
}

/// Solid bar of 16 mm.
fn put_bar(project: &mut Project, ends: [DVec3; 2]) -> Bar {
    let mut bar = new_item::bar(project, ends[0]);
    bar.ends[1].position_mm = ends[1];
    (bar.od_mm, bar.wall_mm, bar.gap_mm) = (16.0, None, 5.0);
    project.bars.push(bar.clone());
    bar
}

/// On the first leg, square and to 12 o'clock.
fn square(run: RunId, station_mm: f64) -> Seat {
    let spot = Spot::Leg { leg: 0, station_mm };
    Seat::Run { run, spot, clock_deg: 0.0, angle_deg: 90.0, offset_mm: 0.0 }
}

/// A part at a station of the first leg.
fn put_part(project: &mut Project, run: RunId, (station_mm, clock_deg): (f64, f64), kind: PartKind) {
    let new = new_item::part(project, &project.run(run).unwrap().clone(), kind);
    let at = project.runs.iter_mut().find(|r| r.id == run).unwrap();
    at.parts.push(Part { leg: 0, station_mm, clock_deg, ..new });
}

fn bracket() -> PartKind {
    PartKind::Bracket(Bracket { along_mm: 40.0, thick_mm: 4.0, height_mm: 50.0, held: None })
}

/// A bar passes 60 mm above the middle: 60 − 31.75 − 8 = 20.25 to the bare pipe, but a bracket of 50 stands in it.
#[test]
fn a_bracket_that_stands_in_a_bar_is_told() {
    let (mut project, run) = bench();
    let bar = put_bar(&mut project, [DVec3::new(200.0, -200.0, 60.0), DVec3::new(200.0, 200.0, 60.0)]);
    let gap = |project: &Project| {
        let report = Report::quick(project);
        let found = report.clearance.iter().find(|c| c.run_id == run && c.other == Item::Bar(bar.id));
        found.map(|c| (c.gap_mm, c.ok)).unwrap()
    };
    let (bare_mm, ok) = gap(&project);
    assert!((bare_mm - 20.25).abs() < 0.01 && ok, "{bare_mm}");
    put_part(&mut project, run, (200.0, 0.0), bracket());
    let (mm, ok) = gap(&project);
    assert!(mm < 0.0 && !ok, "{mm}");
}

/// A sensor of 60 stands on a boss of 12 and needs 40 more to come out: up to 31.75 + 112. A bar 120 above is in that
/// room and touches nothing.
#[test]
fn a_bar_in_the_room_to_take_a_sensor_out_is_told() {
    let (mut project, run) = bench();
    put_bar(&mut project, [DVec3::new(200.0, -200.0, 120.0), DVec3::new(200.0, 200.0, 120.0)]);
    let screwed = Some(Screwed { diameter_mm: 22.0, length_mm: 60.0, removal_mm: 40.0 });
    let bung = Bung {
        purpose: BungUse::Plain,
        thread: String::new(),
        boss_mm: 25.0,
        height_mm: 12.0,
        hole_mm: 19.0,
        screwed,
    };
    put_part(&mut project, run, (200.0, 0.0), PartKind::Bung(bung));
    let report = Report::quick(&project);
    let told = report.clearance.iter().find(|c| c.removal && !c.ok).unwrap();
    assert!(matches!(told.other, Item::Bar(_)) && told.part.words().contains("Bung"), "{told:?}");
}

#[test]
fn the_room_beside_a_bar_counts_in_the_colours() {
    let (mut project, run) = bench();
    let bar = put_bar(&mut project, [DVec3::new(200.0, -200.0, 45.0), DVec3::new(200.0, 200.0, 45.0)]);
    let report = Report::quick(&project);
    let found = margins(&project, &Scans::default(), &report, run);
    // 45 − 31.75 − 8 − the 10 that the run keeps
    let least = found.iter().min_by(|a, b| a.margin_mm.total_cmp(&b.margin_mm)).unwrap();
    assert_eq!(least.against, Some(Item::Bar(bar.id)));
    assert!((least.margin_mm + 4.75).abs() < 0.05, "{}", least.margin_mm);
}

/// Gaps are taken over only where nothing of the run has changed: a hose of the same size as a coupler has others.
#[test]
fn another_kind_of_joint_of_the_same_size_is_looked_at_anew() {
    let (mut project, run) = bench();
    let coupler = project.joints[0].clone();
    project.joints.push(JointKind { id: JointId(30), style: JointStyle::HoseAndClamps, ..coupler });
    let fitting =
        Fitting { id: FittingId(71), joint: JointId(12), leg: 0, station_mm: 250.0, lobe_clock_deg: 0.0 };
    project.runs[0].fittings.push(fitting);
    // a hot pipe beside the joint
    let (other, mut hot) = run_through(&[
        DVec3::new(0.0, -120.0, 0.0),
        DVec3::new(500.0, -120.0, 0.0),
        DVec3::new(500.0, -700.0, 0.0),
    ]);
    for mut port in other.hardpoints {
        port.id = crate::model::HardpointId(port.id.0 + 5000);
        project.hardpoints.push(port);
    }
    hot.id = RunId(6000);
    hot.start = crate::model::HardpointId(hot.start.0 + 5000);
    if let RunEnd::Hardpoint { hardpoint, .. } = &mut hot.end {
        hardpoint.0 += 5000;
    }
    hot.service = Service::Exhaust;
    project.runs.push(hot);
    let before = Report::quick(&project);
    let mut next = project.clone();
    next.runs[0].fittings[0].joint = JointId(30);
    let fresh = Report::quick(&next);
    let gaps = |r: &Report| r.clearance.iter().map(|c| (c.run_id, c.heat, c.ok)).collect::<Vec<_>>();
    assert_ne!(gaps(&before), gaps(&fresh), "the heat beside the hose is told");
    let after = before.after(&project, &next, &Scans::default(), Effort::Quick);
    assert_eq!(after.clearance, fresh.clearance);
    assert!(after.run(run).is_some());
}

#[test]
fn a_bar_on_a_run_that_is_renamed_says_the_new_name() {
    let (mut project, run) = bench();
    put_bar(&mut project, [DVec3::new(200.0, 40.0, 0.0), DVec3::new(200.0, 40.0, 300.0)]);
    // 40 aside of a pipe of 63.5: it passes by
    project.bars[0].ends[0].make = BarEndMake::Cope { onto: Onto::Run(run), pad: None };
    let before = Report::quick(&project);
    assert!(before.findings.iter().any(|f| f.code == "bar-no-seat" && f.text.contains("Run")));
    let mut next = project.clone();
    next.runs[0].name = "Up-pipe".to_owned();
    let after = before.after(&project, &next, &Scans::default(), Effort::Quick);
    let told = after.findings.iter().find(|f| f.code == "bar-no-seat").unwrap();
    assert!(told.text.contains("Up-pipe"), "{}", told.text);
}

/// A run that ends in a taper is welded round the end of it: OD 76.2, not the 63.5 it begins with.
#[test]
fn the_weld_after_a_last_taper_is_as_large_as_its_end() {
    let (mut project, run) = bench();
    let wide = tube(&mut project, 76.2);
    project.hardpoints[1].attachment = Attachment::Welded;
    project.hardpoints[1].od_mm = 76.2;
    project.runs[0].tapers.push(Taper {
        id: crate::model::TaperId(80),
        leg: 1,
        station_mm: 700.0 - 95.25 - 40.0,
        length_mm: 80.0,
        tube: wide,
        wall_mm: 1.65,
        offset_mm: 0.0,
        offset_clock_deg: 0.0,
        make: TaperMake::Bought,
    });
    let report = Report::quick(&project);
    let told = report.run(run).unwrap();
    assert!(told.built.is_buildable(), "{:?}", report.findings);
    assert_eq!(told.pieces.last().unwrap().kind.name(), "taper");
    let weld = told.welds.last().unwrap_or_else(|| panic!("{:?} {:?}", told.pieces, report.findings));
    assert!((weld.od_mm - 76.2).abs() < 1e-9);
}

fn section(project: &Project, run: RunId) -> TakeOff {
    let report = Report::quick(project);
    let of = project.run(run).unwrap();
    let all = openings(project, of, report.run(run).unwrap());
    let asked = Section {
        run,
        from: all[0].place,
        to: all[all.len() - 1].place,
        need_mm: usual_need_mm(project.settings.units),
    };
    TakeOff::new(project, &Scans::default(), &report, asked).unwrap()
}

#[test]
fn what_is_welded_on_is_named_before_a_pipe_comes_off_and_a_bar_is_in_its_way() {
    let (mut project, run) = bench();
    let plain = section(&project, run);
    assert!(plain.first.is_empty());
    let still = |s: &TakeOff| s.task().fixed.len();
    let mut barred = project.clone();
    put_bar(&mut barred, [DVec3::new(200.0, -200.0, 90.0), DVec3::new(200.0, 200.0, 90.0)]);
    let with_bar = section(&barred, run);
    assert_eq!((still(&with_bar), with_bar.first.len()), (still(&plain) + 1, 0));
    barred.bars[0].ends[0].position_mm = DVec3::X * 200.0;
    barred.bars[0].ends[0].make = BarEndMake::Cope { onto: Onto::Run(run), pad: None };
    assert!(section(&barred, run).first.iter().any(|s| s.contains("Bar") && s.contains("free")));
    let id = branch(&mut project, square(run, 250.0), 200.0);
    let name = project.run(id).unwrap().name.clone();
    let told = section(&project, run);
    assert!(told.first.iter().any(|s| s.contains(&name) && s.contains("welded")), "{:?}", told.first);
    assert_eq!(still(&told), still(&plain), "it does not count as in the way");
}

/// A pipe with nothing else that holds it, and a bar welded on 200 from its start.
#[test]
fn a_bar_that_sits_on_a_pipe_holds_it() {
    let (mut project, run) = bench();
    assert_eq!(Report::quick(&project).run(run).unwrap().support.as_ref().unwrap().supports, 0);
    put_bar(&mut project, [DVec3::X * 200.0, DVec3::new(200.0, 0.0, 300.0)]);
    project.bars[0].ends[0].make = BarEndMake::Cope { onto: Onto::Run(run), pad: None };
    let report = Report::quick(&project);
    let told = report.run(run).unwrap();
    let support = told.support.as_ref().unwrap();
    assert_eq!(support.supports, 1);
    assert!((support.longest_mm - (told.centreline_mm - 200.0)).abs() < 1e-6, "{support:?}");
}

#[test]
fn shields_for_other_tube_and_bars_that_cannot_be_made_stand_apart_on_the_buy_list() {
    let (mut project, run) = bench();
    let shield = |gap_mm: f64| {
        PartKind::Shield(Shield {
            length_mm: 100.0,
            gap_mm,
            thick_mm: 0.8,
            around_deg: 360.0,
            hot_gap_mm: 25.0,
        })
    };
    put_part(&mut project, run, (100.0, 0.0), shield(10.0));
    put_part(&mut project, run, (300.0, 0.0), shield(20.0));
    put_bar(&mut project, [DVec3::Z * 500.0, DVec3::new(300.0, 0.0, 500.0)]);
    project.bars[0].ends[0].make = new_item::bar_ends().swap_remove(2);
    let rows = |project: &Project, what: &str| {
        let buy = Report::quick(project).buy;
        buy.into_iter().filter(|r| r.what.name() == what).map(|r| r.size).collect::<Vec<_>>()
    };
    let shields = rows(&project, "Heat shield");
    // 63.5 + 2·10 and 63.5 + 2·20
    assert_eq!(shields.len(), 2, "{shields:?}");
    assert!(shields[0].contains("103.5") && shields[1].contains("83.5"), "{shields:?}");
    assert_eq!(rows(&project, "Rod end").len(), 1);
    // longer than its stick
    project.bars[0].ends[1].position_mm = DVec3::new(9_000.0, 0.0, 500.0);
    assert!(rows(&project, "Rod end").is_empty());
    assert_eq!(Report::quick(&project).totals.bars, 0);
}

/// A branch that is "only passing" is still cut to its header and welded on.
#[test]
fn what_sits_on_a_pipe_is_welded_whatever_is_entered() {
    let (mut project, run) = bench();
    let id = branch(&mut project, square(run, 250.0), 200.0);
    let welds = |project: &Project| {
        let report = Report::quick(project);
        report.run(id).unwrap().welds.iter().map(|w| (w.kind.name(), w.length_mm)).collect::<Vec<_>>()
    };
    let welded = welds(&project);
    assert_eq!(welded[0].0, "saddle");
    let port = project.run(id).and_then(|r| project.hardpoint(r.start)).unwrap().clone();
    let loose = crate::model::Hardpoint { attachment: Attachment::Loose, ..port };
    project = apply(&project, &Edit::PutHardpoint(loose)).unwrap();
    assert_eq!(welds(&project), welded);
}

/// Once the square blank is sawn the cope is still to be cut: its template stays, and a header that needs a longer blank
/// makes the piece one to be sawn anew.
#[test]
fn a_sawn_blank_still_needs_its_cope() {
    let (mut project, run) = bench();
    let id = branch(&mut project, square(run, 250.0), 200.0);
    let report = Report::new(&project);
    let piece = report.run(id).unwrap().paper.pieces[0].clone();
    let drawn = &report.run(id).unwrap().built.pieces[0];
    let done = crate::fab::done::record(drawn, &piece, None).unwrap();
    // from the crown down to where the bore's side seats, √(31.75² − 30.1²) over the middle
    let down_mm = R - (R * R - 30.1 * 30.1_f64).sqrt();
    assert!(
        (done.centre_mm - piece.centre_mm - down_mm).abs() < 0.01,
        "{} {}",
        done.centre_mm,
        piece.centre_mm
    );
    let has = |project: &Project| {
        let report = Report::new(project);
        crate::sheet::all_templates(project, &report).iter().any(|t| t.names.contains(&piece.mark))
    };
    assert!(has(&project));
    project.done = vec![done];
    assert_eq!(Report::new(&project).run(id).unwrap().printed[0].source.name(), "sawn");
    assert!(has(&project));
}

/// Hot gas at a rubber hose is a warning, at a steel pipe a note.
#[test]
fn a_dump_that_blows_at_a_hose_is_warned_of() {
    let (mut project, run) = bench();
    let coupler = project.joints[0].clone();
    project.joints.push(JointKind { id: JointId(30), style: JointStyle::HoseAndClamps, ..coupler });
    let from = crate::testing::port(&mut project, "dump", DVec3::new(200.0, 0.0, 400.0), -DVec3::Z);
    let make = BendMake::mitred(95.25, 4, Ends::Half);
    let mut dump = crate::testing::run_between(&mut project, from, from, (50.0, 0.0), make);
    dump.service = Service::WastegateDump;
    let blast = Some(crate::model::Blast { reach_mm: 300.0, spread_deg: 5.0 });
    dump.end = RunEnd::Open { position_mm: DVec3::new(200.0, 0.0, 250.0), slash: None, blast };
    project.runs.push(dump);
    let severity = |project: &Project| {
        let report = Report::quick(project);
        report.findings.iter().find(|f| f.code == "blows-at").map(|f| f.severity).unwrap()
    };
    assert_eq!(severity(&project), crate::finding::Severity::Note);
    let fitting =
        Fitting { id: FittingId(71), joint: JointId(30), leg: 0, station_mm: 200.0, lobe_clock_deg: 0.0 };
    project.runs.iter_mut().find(|r| r.id == run).unwrap().fittings.push(fitting);
    assert_eq!(severity(&project), crate::finding::Severity::Warn);
}

/// A saw with steps of half a degree cannot cut 22.3°: paper says 22.5, and the long side of tube of 63.5 is that of
/// 22.5.
#[test]
fn a_slash_on_paper_is_one_the_saw_can_be_set_to() {
    let (mut project, run) = bench();
    project.settings.saw.step_deg = 0.5;
    let slash = Some(crate::model::Slash { tilt_deg: 22.3, clock_deg: 0.0 });
    project.runs[0].end = RunEnd::Open { position_mm: DVec3::new(600.0, 700.0, 0.0), slash, blast: None };
    let report = Report::new(&project);
    let told = report.run(run).unwrap();
    let (exact, paper) = (told.pieces.last().unwrap(), told.printed.last().unwrap());
    assert!((exact.end_cut_deg - 22.3).abs() < 1e-9 && (paper.end_cut_deg - 22.5).abs() < 1e-9);
    let cut = told.paper.pieces.last().unwrap();
    let up = cut.end.adds_mm(R, 0.0);
    assert!((up - R * 22.5_f64.to_radians().tan()).abs() < 1e-9);
    assert!(told.miss.offset_mm < 0.5, "{:?}", told.miss);
}

/// Filler for a seam of s: s·bead/(π/4·wire²) more than for a taper that is bought.
#[test]
fn the_seam_of_a_rolled_taper_takes_filler_too() {
    let (mut project, run) = bench();
    let wide = tube(&mut project, 76.2);
    let make = |make| Taper {
        id: crate::model::TaperId(80),
        leg: 1,
        station_mm: 300.0,
        length_mm: 80.0,
        tube: wide,
        wall_mm: 1.65,
        offset_mm: 0.0,
        offset_clock_deg: 0.0,
        make,
    };
    let mut filler = |taper: Taper| {
        project.runs[0].tapers = vec![taper];
        let report = Report::quick(&project);
        let told = report.run(run).unwrap();
        let seam = told.pieces.iter().find_map(|p| p.taper.as_ref()).unwrap().seam_mm;
        (told.filler_mm, seam)
    };
    let (bought, _) = filler(make(TaperMake::Bought));
    let (rolled, seam) = filler(make(TaperMake::Rolled { seam_clock_deg: 0.0, lap_mm: 0.0 }));
    // from circle to circle the line is √(80² + 6.35²) long
    let seam = seam.unwrap();
    assert!((seam - 80.0_f64.hypot(6.35)).abs() < 0.2, "{seam}");
    let allowances = &project.settings.allowances;
    let wire = std::f64::consts::FRAC_PI_4 * allowances.wire_mm * allowances.wire_mm;
    assert!((rolled - bought - seam * allowances.bead_mm2 / wire).abs() < 1e-6, "{rolled} {bought}");
}

/// A branch that nothing comes to yet is told where it hangs in the air, with the room there is.
#[test]
fn a_hardpoint_beyond_the_leg_it_sits_on_is_told() {
    let (mut project, run) = bench();
    let new = new_item::branch(&mut project, run, 0).unwrap();
    project = apply(&project, &Edit::PutHardpoint(new.clone())).unwrap();
    let told = |project: &Project| {
        Report::quick(project).findings.iter().find(|f| f.item == Some(Item::Hardpoint(new.id))).cloned()
    };
    assert_eq!(told(&project), None);
    for station_mm in [5000.0, -50.0] {
        let port = crate::model::Hardpoint { seat: Some(square(run, station_mm)), ..new.clone() };
        let off = apply(&project, &Edit::PutHardpoint(port)).unwrap();
        let finding = told(&off).unwrap();
        // 600 less the bend's 95.25
        assert!(finding.code == "branch-off-place" && finding.text.contains("504.8 mm"), "{}", finding.text);
    }
}
