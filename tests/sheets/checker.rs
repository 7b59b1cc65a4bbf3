//! What has to be true of every printed sheet, read from the words in its PDF.

use crate::words::{self, Sheet, Word};
use glam::DVec3;
use pipeloft_core::file;
use pipeloft_core::model::Project;
use pipeloft_core::report::Report;
use pipeloft_core::sheet::{PaperSize, pages, pdf};
use pipeloft_core::units::UnitSystem;
use pipeloft_tests::shop::{demos, half, run_through, shop};
use std::collections::BTreeMap;

/// Nine points, mm, and what rounding in the file makes of them.
const NINE_POINTS_MM: f64 = 9.0 * 25.4 / 72.0 - 0.02;
/// Pages of each demo's sheet and templates at the most.
const MOST_PAGES: [(&str, usize); 3] =
    [("gravel-buggy", 16), ("irrigation-pump", 22), ("pulling-tractor", 28)];

/// A project, its report and the pages of its sheet.
struct Printed {
    name: String,
    project: Project,
    report: Report,
    pages: Vec<Sheet>,
}

fn print(name: String, project: Project, paper: PaperSize) -> Printed {
    let report = Report::new(&project);
    let file = pdf(&project, &report, paper).expect("a PDF");
    let pages = words::of_pdf(&file).unwrap_or_else(|| words::of_pages(&pages(&project, &report, paper)));
    Printed { name, project, report, pages }
}

/// Every demo in its own units and in millimetres.
fn all() -> Vec<Printed> {
    let mut out = Vec::new();
    for path in demos() {
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        let project = file::load(&path).expect("a demo");
        let mut metric = project.clone();
        metric.settings.units = UnitSystem::Millimetre;
        out.push(print(name.clone(), project, PaperSize::Letter));
        out.push(print(format!("{name} in mm"), metric, PaperSize::A4));
    }
    out
}

fn page_lines(page: &Sheet) -> Vec<Vec<String>> {
    words::lines(page, 0.0, page.width_mm)
}

/// What kind of page it is, as its foot says.
fn kind(page: &Sheet) -> String {
    let lines = page_lines(page);
    let foot = lines.last().expect("a foot");
    let at = foot.iter().rposition(|w| w == "revision").expect("a revision");
    let is_bench = at >= 2 && foot[at - 2] == "BENCH";
    if is_bench { format!("BENCH {}", foot[at - 1]) } else { foot[at - 1].clone() }
}

#[test]
fn the_demos_fit_on_few_pages() {
    for path in demos() {
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        let one = print(name, file::load(&path).expect("a demo"), PaperSize::Letter);
        if let Some((_, most)) = MOST_PAGES.iter().find(|m| m.0 == one.name) {
            assert!(one.pages.len() <= *most, "{}: {} pages", one.name, one.pages.len());
        }
    }
}

#[test]
fn thirty_small_runs_take_few_pages() {
    let mut project = shop(63.5, 1.65);
    for i in 0..30 {
        let y = f64::from(i) * 250.0;
        let points = [(0.0, y, 0.0), (300.0, y, 0.0), (300.0, y, 300.0)].map(DVec3::from);
        run_through(&mut project, &points, half(95.25, 3));
    }
    let one = print("thirty runs".to_owned(), project, PaperSize::Letter);
    let benches = one.pages.iter().filter(|p| kind(p).starts_with("BENCH")).count();
    assert!(benches == 30 && one.pages.len() <= 45, "{benches} of {} pages", one.pages.len());
}

#[test]
fn every_weld_says_where_its_pieces_are_marked() {
    for one in all() {
        for run in &one.report.runs {
            let own: Vec<&Sheet> =
                one.pages.iter().filter(|p| kind(p) == format!("BENCH {}", run.letters)).collect();
            if own.is_empty() {
                continue;
            }
            let lines: Vec<Vec<String>> = own.iter().flat_map(|p| page_lines(p)).collect();
            for weld in &run.welds {
                let row = lines
                    .iter()
                    .find(|l| l.get(1) == Some(&weld.mark) && l[0] == weld.tack.to_string())
                    .unwrap_or_else(|| panic!("{}: {} has no row", one.name, weld.mark));
                let said = row.join(" ");
                let places = ["right", "left", "opposite", "on the line", "line on line"];
                assert!(places.iter().any(|p| said.contains(p)), "{}: {said}", one.name);
            }
        }
    }
}

#[test]
fn every_mark_stands_for_one_thing() {
    for one in all() {
        let mut seen: BTreeMap<String, &str> = BTreeMap::new();
        let mut add = |mark: &str, what: &'static str| {
            let old = seen.insert(mark.to_owned(), what);
            assert!(old.is_none(), "{}: {mark} is {old:?} and {what}", one.name);
        };
        for run in &one.report.runs {
            run.printed.iter().for_each(|p| add(&p.mark, "a piece"));
            run.welds.iter().for_each(|w| add(&w.mark, "a weld"));
            run.holes.iter().for_each(|h| add(&h.mark, "a hole"));
            run.parts.iter().for_each(|p| add(&p.mark, "a part"));
        }
        one.report.bars.iter().for_each(|b| add(&b.mark, "a bar"));
    }
}

#[test]
fn the_blade_runs_in_metal_at_every_last_cut() {
    for one in all() {
        let (saw, mut sticks) = (&one.project.settings.saw, 0);
        for stock in &one.report.stock {
            for stick in &stock.sticks {
                let last = stick.cuts.last().expect("a cut");
                let tilt = last.saw_deg.to_radians();
                let longest = last.to_mm + stock.od_mm / 2.0 * tilt.tan();
                let left = stick.length_mm - longest;
                let own_end = last.saw_deg <= 0.0 && left.abs() < 1e-3 && saw.first_trim_mm <= 0.0;
                assert!(left >= saw.kerf_mm / tilt.cos() - 1e-6 || own_end, "{}: {stick:?}", one.name);
                // and it begins with a good end
                let begins = stick.cuts[0].at_mm;
                assert!(begins >= saw.first_trim_mm - 1e-6, "{}: {stick:?}", one.name);
                sticks += 1;
            }
        }
        assert!(sticks > 2, "{}", one.name);
    }
}

#[test]
fn a_fraction_and_its_decimal_agree() {
    let mut pairs = 0;
    for one in all() {
        for line in one.pages.iter().flat_map(page_lines) {
            for pair in line.windows(2) {
                let Some(inches) = pair[0].strip_suffix('"').and_then(|f| f.split_once('/')) else {
                    continue;
                };
                let decimal = pair[1]
                    .strip_prefix('(')
                    .and_then(|d| d.trim_end_matches([',', '.', ';']).strip_suffix(')'));
                let Some(decimal) = decimal.and_then(|d| d.parse::<f64>().ok()) else { continue };
                let part = inches.0.parse::<f64>().unwrap() / inches.1.parse::<f64>().unwrap();
                assert!((decimal.fract() - part).abs() < 0.000_6, "{}: {line:?}", one.name);
                pairs += 1;
            }
        }
    }
    // the bars have them
    assert!(pairs > 0, "no pairs were met");
}

#[test]
fn every_piece_of_a_run_stands_in_its_pipe_straightened_out() {
    for one in all() {
        for run in &one.report.runs {
            let own: Vec<&Sheet> =
                one.pages.iter().filter(|p| kind(p) == format!("BENCH {}", run.letters)).collect();
            let Some(first) = own.first() else { continue };
            let lines = page_lines(first);
            let from = lines.iter().position(|l| l.first().is_some_and(|w| w == "START") && l.len() > 1);
            let from = from.unwrap_or_else(|| panic!("{} of {}", run.letters, one.name));
            let words: Vec<&String> = lines[from..].iter().flatten().collect();
            for piece in &run.printed {
                assert!(words.iter().any(|w| **w == piece.mark), "{}: {}", one.name, piece.mark);
            }
        }
    }
}

#[test]
fn no_stick_that_fits_on_a_page_is_split_and_rows_are_numbered_through() {
    for one in all() {
        let mut next = 1;
        let mut rows_of_stick = 0;
        for page in one.pages.iter().filter(|p| kind(p) == "SAW") {
            for line in page_lines(page) {
                if line.first().is_some_and(|w| w == "STICK") {
                    let goes_on = line.iter().any(|w| w == "(continued)");
                    assert!(!goes_on || rows_of_stick >= 8, "{}: {line:?} is split", one.name);
                    rows_of_stick = 0;
                }
                // the number stands in the corner of its box, with nothing or the pencil lines beside it
                let alone = line.first().and_then(|w| w.parse::<usize>().ok()).filter(|n| *n == next);
                if alone.is_some() && line.len() <= 2 {
                    next += 1;
                    rows_of_stick += 1;
                }
            }
        }
        assert!(next > 8, "{}: {next} rows", one.name);
    }
}

#[test]
fn no_figure_is_smaller_than_nine_points() {
    for one in all() {
        let figure = |w: &&Word| w.text.contains(|c: char| c.is_ascii_digit());
        for word in one.pages.iter().flat_map(|p| &p.words).filter(figure) {
            assert!(word.size_mm >= NINE_POINTS_MM, "{}: {word:?}", one.name);
        }
    }
}
