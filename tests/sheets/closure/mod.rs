//! The proof of the sheet: runs rebuilt from what stands on paper alone end where they were drawn to.

mod csv_reader;
mod page_reader;
mod samples;
mod walk;

use crate::words;
use glam::DVec3;
use page_reader::Read;
use pipeloft_core::file;
use pipeloft_core::model::{Project, Run, RunEnd, SawScale};
use pipeloft_core::report::{PieceReport, Report, RunReport};
use pipeloft_core::sheet::{PaperSize, cut_list, pages, pdf};
use pipeloft_core::units::{UnitSystem, fine_length};
use pipeloft_tests::shop::demos;
use walk::{Cut, Piece, Place, Shape, Sheet, centre_mm};

/// A miss that a fabricator does not notice: less than what a tack moves.
const GOOD_MM: f64 = 0.5;
const GOOD_DEG: f64 = 0.2;
/// What the report says and what the rebuilt pipe shows are the same number.
const SAME_MM: f64 = 0.01;
const SAME_DEG: f64 = 0.01;

/// Where a run starts.
fn start(project: &Project, run: &Run) -> Place {
    let port = project.hardpoint(run.start).expect("a start");
    Place::new(port.position_mm, port.direction, port.clock)
}

/// Where a run has to end, and which way it goes there.
fn target(project: &Project, run: &Run) -> (DVec3, DVec3) {
    match run.end {
        RunEnd::Hardpoint { hardpoint, .. } => {
            let port = project.hardpoint(hardpoint).expect("an end");
            (port.position_mm, -port.direction)
        }
        RunEnd::Open { position_mm, .. } => {
            let begin = start(project, run);
            let corner = begin.at + begin.way * run.start_corner.reach_mm;
            (position_mm, position_mm - run.waypoints.last().map_or(corner, |w| w.position_mm))
        }
    }
}

fn cut(tilt_deg: f64, heel: Option<f64>) -> Cut {
    Cut { tilt_deg, heel_deg: heel.unwrap_or(0.0) }
}

/// How far a run made from paper misses, mm and degrees.
fn rebuilt(project: &Project, run: &RunReport, sheet: &Sheet) -> (f64, f64) {
    let drawn = project.run(run.id).expect("the run");
    with_shaped_ends(run, sheet).end(start(project, drawn)).miss(target(project, drawn))
}

/// The same with what the templates of shaped ends say of how far the run goes beyond its blanks.
fn with_shaped_ends(run: &RunReport, sheet: &Sheet) -> Sheet {
    assert_eq!(sheet.pieces.len(), run.pieces.len(), "{}", run.name);
    let mut sheet = sheet.clone();
    for (piece, exact) in sheet.pieces.iter_mut().zip(&run.pieces).filter(|p| p.1.kind.name() == "coped") {
        let blank = [
            cut(exact.start_cut_deg, exact.start_heel_clock_deg),
            cut(exact.end_cut_deg, exact.end_heel_clock_deg),
        ];
        piece.beyond_mm = exact.centre_mm - centre_mm(exact.sawn_long_mm, exact.od_mm / 2.0, blank);
    }
    sheet
}

fn is_good((mm, deg): (f64, f64)) -> bool {
    mm <= GOOD_MM && deg <= GOOD_DEG
}

/// What is wrong where the report says another miss than the rebuilt pipe has.
fn disagrees(run: &RunReport, (mm, deg): (f64, f64)) -> Option<String> {
    let said = run.miss;
    let off = (said.offset_mm - mm).abs() > SAME_MM || (said.angle_deg - deg).abs() > SAME_DEG;
    off.then(|| format!("{}: rebuilt {mm} mm {deg}°, reported {said:?}", run.name))
}

fn by_csv(project: &Project, report: &Report) -> Vec<(String, Sheet)> {
    csv_reader::read(&cut_list(project, report).expect("a cut list"))
}

/// The same run with its exact numbers, from the report.
fn exact(run: &RunReport) -> Sheet {
    let piece = |p: &PieceReport| {
        let shape = match (p.bend, &p.joint, &p.taper) {
            (None, None, Some(t)) => Shape::Taper {
                length_mm: p.centre_mm,
                end_od_mm: t.end_od_mm,
                off_mm: t.offset_mm,
                towards_deg: t.offset_clock_deg.unwrap_or(0.0),
            },
            (Some(e), ..) => Shape::Elbow {
                angle_deg: e.angle_deg,
                clr_mm: e.clr_mm,
                lead_mm: e.lead_mm,
                tail_mm: e.tail_mm,
                throat_deg: e.throat_clock_deg,
            },
            (None, Some(_), _) => Shape::Joint { make_up_mm: p.centre_mm },
            (None, None, None) => Shape::Sawn {
                long_mm: p.sawn_long_mm,
                start: cut(p.start_cut_deg, p.start_heel_clock_deg),
                end: cut(p.end_cut_deg, p.end_heel_clock_deg),
            },
        };
        Piece { mark: p.mark.clone(), shape, trim_mm: 0.0, apart_mm: [0.0; 2], beyond_mm: 0.0 }
    };
    Sheet { od_mm: run.tube.od_mm, pieces: run.pieces.iter().map(piece).collect() }
}

/// Rebuilds every run of `projects` from the cut list; the misses, after all of them agree with the report.
fn misses_by_csv(projects: &[Project]) -> Vec<(f64, f64)> {
    let mut out = Vec::with_capacity(projects.len());
    let mut wrong = Vec::new();
    for project in projects {
        let report = Report::new(project);
        let runs = by_csv(project, &report);
        assert_eq!(runs.len(), report.runs.len());
        for (run, (name, sheet)) in report.runs.iter().zip(&runs) {
            assert_eq!(&run.name, name);
            let miss = rebuilt(project, run, sheet);
            wrong.extend(disagrees(run, miss));
            out.push(miss);
            let unrounded = rebuilt(project, run, &exact(run));
            assert!(unrounded.0 < 0.01 && unrounded.1 < 0.01, "{}: {unrounded:?} unrounded", run.name);
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), out.len(), wrong.join("\n"));
    out
}

#[expect(clippy::print_stderr, reason = "how close they come is worth seeing")]
fn assert_most_are_good(misses: &[(f64, f64)]) {
    let good = misses.iter().filter(|m| is_good(**m)).count();
    let worst = misses.iter().fold((0.0_f64, 0.0_f64), |w, m| (w.0.max(m.0), w.1.max(m.1)));
    eprintln!("{good} of {} within {GOOD_MM} mm and {GOOD_DEG}°, worst {worst:?}", misses.len());
    assert!(good * 100 >= misses.len() * 95, "{good} of {} good, worst {worst:?}", misses.len());
}

#[test]
fn runs_in_fractions_made_from_the_cut_list_end_where_they_should() {
    let bench = samples::bench(UnitSystem::InchFraction);
    assert_most_are_good(&misses_by_csv(&samples::runs(300, 1, &bench)));
}

#[test]
fn runs_in_millimetres_made_from_the_cut_list_end_where_they_should() {
    let bench = samples::bench(UnitSystem::Millimetre);
    assert_most_are_good(&misses_by_csv(&samples::runs(100, 2, &bench)));
}

#[test]
fn runs_in_decimals_made_from_the_cut_list_end_where_they_should() {
    let bench = samples::bench(UnitSystem::InchDecimal);
    assert_most_are_good(&misses_by_csv(&samples::runs(100, 3, &bench)));
}

/// The runs as they stand in the PDF, or on its pages where no pdftotext is at hand.
fn by_sheet(project: &Project, report: &Report) -> Vec<Read> {
    let paper = match project.settings.units {
        UnitSystem::Millimetre => PaperSize::A4,
        UnitSystem::InchFraction | UnitSystem::InchDecimal => PaperSize::Letter,
    };
    let file = pdf(project, report, paper).expect("a PDF");
    let pages = words::of_pdf(&file).unwrap_or_else(|| words::of_pages(&pages(project, report, paper)));
    page_reader::read(&pages)
}

/// Where a run starts, its 12 o'clock as the words on paper have it: a way of the car, and how far off it clockwise.
fn start_by_words(project: &Project, run: &Run, (word, off_deg): &(String, f64)) -> Place {
    let way = match word.as_str() {
        "up" => DVec3::Z,
        "down" => DVec3::NEG_Z,
        "left" => DVec3::Y,
        "right" => DVec3::NEG_Y,
        "forward" => DVec3::X,
        "back" => DVec3::NEG_X,
        other => panic!("{other} is no way of the car"),
    };
    let port = project.hardpoint(run.start).expect("a start");
    Place::new(port.position_mm, port.direction, way).clocked(*off_deg)
}

/// Rebuilds the runs of a project from its printed sheet. The misses, with the pipe stood on the car by the words on
/// paper, after all of them agree with the report.
fn misses_by_sheet(project: &Project) -> Vec<(f64, f64)> {
    let report = Report::new(project);
    let read = by_sheet(project, &report);
    read.iter()
        .map(|Read { letters, sheet, zero }| {
            let run = report.runs.iter().find(|r| r.letters == *letters).expect("its report");
            let miss = rebuilt(project, run, sheet);
            assert_eq!(disagrees(run, miss), None);
            let drawn = project.run(run.id).expect("the run");
            let sheet = with_shaped_ends(run, sheet);
            sheet.end(start_by_words(project, drawn, zero)).miss(target(project, drawn))
        })
        .collect()
}

#[test]
fn runs_made_from_the_printed_sheet_end_where_they_should() {
    let mut misses = Vec::new();
    for (units, count) in
        [(UnitSystem::InchFraction, 26), (UnitSystem::Millimetre, 7), (UnitSystem::InchDecimal, 7)]
    {
        let mut bench = samples::bench(units);
        // legs that stand in full on a sheet of these units, and a saw that reads the other way
        if units == UnitSystem::Millimetre {
            bench.elbows[0].leg_mm = 38.0;
            bench.settings.saw.scale = SawScale::FromBlade;
        }
        for project in samples::runs(count, 4, &bench) {
            let one = misses_by_sheet(&project);
            assert_eq!(one.len(), 1);
            misses.extend(one);
        }
    }
    assert_most_are_good(&misses);
}

#[test]
fn the_pdf_says_what_its_pages_say() {
    for project in samples::runs(2, 9, &samples::bench(UnitSystem::InchFraction)) {
        let report = Report::new(&project);
        let laid_out = words::of_pages(&pages(&project, &report, PaperSize::Letter));
        assert_eq!(by_sheet(&project, &report), page_reader::read(&laid_out));
    }
}

#[test]
fn gaps_and_shrinkage_are_built_as_the_printed_sheet_says() {
    let mut bench = samples::bench(UnitSystem::Millimetre);
    bench.elbows[0].leg_mm = 38.0;
    let allowances = &mut bench.settings.allowances;
    (allowances.weld_gap_mm, allowances.shrink_mm, allowances.trim_mm) = (0.5, 0.3, 6.0);
    for project in samples::runs(5, 8, &bench) {
        assert_eq!(misses_by_sheet(&project).len(), 1);
    }
}

/// All runs of a demo end well.
fn assert_good(runs: &[(String, (f64, f64))], file: &str) {
    for (name, miss) in runs {
        assert!(is_good(*miss), "{file}: {name}: {miss:?}");
    }
}

#[test]
fn every_demo_made_from_paper_ends_where_it_should() {
    for path in demos() {
        let project = file::load(&path).expect("a demo");
        let report = Report::new(&project);
        let by_list: Vec<_> = by_csv(&project, &report)
            .into_iter()
            .map(|(name, sheet)| {
                let run = report.runs.iter().find(|r| r.name == name).expect("its report");
                let miss = rebuilt(&project, run, &sheet);
                assert_eq!(disagrees(run, miss), None, "{}", path.display());
                (name, miss)
            })
            .collect();
        assert!(!by_list.is_empty());
        assert_good(&by_list, &path.display().to_string());
        assert_eq!(misses_by_sheet(&project).len(), by_list.len(), "{}", path.display());
    }
}

#[test]
fn a_coarse_saw_misses_by_what_the_report_says_and_the_sheet_says_it_too() {
    let mut bench = samples::bench(UnitSystem::InchFraction);
    bench.settings.saw.step_deg = 0.5;
    let projects = samples::runs(60, 5, &bench);
    let misses = misses_by_csv(&projects);
    let large = misses.iter().filter(|m| !is_good(**m)).count();
    eprintln!("{large} of {} miss by more than {GOOD_MM} mm or {GOOD_DEG}°", misses.len());
    assert!(large > 0, "half a degree is coarse");
    for project in &projects[..12] {
        let report = Report::new(project);
        let run = &report.runs[0];
        let said: Vec<String> = words::of_pages(&pages(project, &report, PaperSize::Letter))
            .iter()
            .flat_map(|page| words::lines(page, 0.0, page.width_mm))
            .map(|l| l.join(" "))
            .collect();
        let says = |mm: f64| {
            let figure = fine_length(mm, project.settings.units);
            said.iter().any(|line| line.contains(&figure))
        };
        assert!(says(run.miss.offset_mm), "{:?}", run.miss);
        assert!(run.saw_miss.offset_mm <= GOOD_MM || says(run.saw_miss.offset_mm), "{:?}", run.saw_miss);
    }
}

#[test]
fn gaps_shrinkage_and_trim_are_built_as_the_list_says() {
    let mut bench = samples::bench(UnitSystem::InchFraction);
    let allowances = &mut bench.settings.allowances;
    (allowances.weld_gap_mm, allowances.shrink_mm, allowances.trim_mm) = (0.5, 0.3, 6.0);
    let projects = samples::runs(60, 6, &bench);
    let mut misses = Vec::new();
    let mut trimmed = 0;
    for project in &projects {
        let report = Report::new(project);
        let run = &report.runs[0];
        let runs = by_csv(project, &report);
        let miss = rebuilt(project, run, &runs[0].1);
        assert_eq!(disagrees(run, miss), None);
        misses.push(miss);
        let mut untrimmed = runs[0].1.clone();
        untrimmed.pieces.iter_mut().for_each(|p| p.trim_mm = 0.0);
        if run.fit.is_some() {
            trimmed += 1;
            let off = rebuilt(project, run, &untrimmed).0;
            assert!(off > 5.0, "left untrimmed it misses by {off} mm");
        }
    }
    assert!(trimmed > 50, "{trimmed} have a weld that is fitted last");
    assert_most_are_good(&misses);
}

#[test]
fn a_number_read_wrong_is_noticed() {
    let bench = samples::bench(UnitSystem::InchFraction);
    for project in samples::runs(20, 7, &bench) {
        let report = Report::new(&project);
        let run = &report.runs[0];
        let right = by_csv(&project, &report).remove(0).1;
        assert_eq!(disagrees(run, rebuilt(&project, run, &right)), None);
        for i in 0..right.pieces.len() {
            let mut wrong = right.clone();
            match &mut wrong.pieces[i].shape {
                Shape::Sawn { long_mm, .. } => *long_mm += 0.8,
                Shape::Elbow { lead_mm, .. } => *lead_mm += 0.8,
                Shape::Joint { make_up_mm } => *make_up_mm += 0.8,
                Shape::Taper { length_mm, .. } => *length_mm += 0.8,
            }
            assert!(disagrees(run, rebuilt(&project, run, &wrong)).is_some(), "{:?}", right.pieces[i]);
        }
        // counted the other way round the clock it is another pipe, unless it lies in one plane
        let mut mirrored = right.clone();
        for piece in &mut mirrored.pieces {
            match &mut piece.shape {
                Shape::Sawn { start, end, .. } => {
                    (start.heel_deg, end.heel_deg) = (-start.heel_deg, -end.heel_deg);
                }
                Shape::Elbow { throat_deg, .. } => *throat_deg = -*throat_deg,
                Shape::Taper { towards_deg, .. } => *towards_deg = -*towards_deg,
                Shape::Joint { .. } => {}
            }
        }
        assert!(rebuilt(&project, run, &mirrored).0 > 1.0, "{}", run.name);
    }
}
