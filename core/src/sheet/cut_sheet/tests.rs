pub(in crate::sheet) mod samples;
mod shop;

use super::frame::MARGIN_MM;
use super::*;
use crate::finding::Severity;
use crate::model::SawScale;
use crate::report::PieceReport;
use crate::sheet::area::Area;
use crate::sheet::page::{Anchor, Mark, Text};
use crate::sheet::{CAP_HEIGHT, text_width_mm};
use crate::units::UnitSystem;
use samples::{Printed, eight_bends, printed, three_runs, two_bends};

fn sheet(project: &Project) -> Vec<Page> {
    pages(project, &Report::quick(project), PaperSize::Letter)
}

fn texts(page: &Page) -> Vec<&Text> {
    fn of(marks: &[Mark]) -> Vec<&Text> {
        let mut out = Vec::new();
        for mark in marks {
            match mark {
                Mark::Text(text) => out.push(text),
                Mark::Window { marks, .. } => out.extend(of(marks)),
                _ => {}
            }
        }
        out
    }
    of(&page.marks).into_iter().filter(|t| !t.words.is_empty()).collect()
}

fn all_words(pages: &[Page]) -> String {
    pages.iter().flat_map(texts).map(|t| t.words.as_str()).collect::<Vec<_>>().join("\n")
}

/// What a text covers, from the baseline to the height of a capital.
fn covers(text: &Text) -> Area {
    let width = text_width_mm(&text.words, text.size_mm, text.bold);
    let height = text.size_mm * CAP_HEIGHT;
    let (x, y) = text.at;
    let before = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => width / 2.0,
        Anchor::End => width,
    };
    if text.turn_deg == 0.0 {
        return Area::new(x - before, y - height, width, height);
    }
    assert!((text.turn_deg - 90.0).abs() < 1e-9, "only level and upright texts are used");
    Area::new(x - height, y - width + before, height, width)
}

/// The words of each row: texts on one baseline from left to right.
fn rows(pages: &[Page]) -> Vec<Vec<String>> {
    let mut out = Vec::new();
    for page in pages {
        let mut sorted = texts(page);
        sorted.sort_by(|a, b| a.at.1.total_cmp(&b.at.1).then(covers(a).left.total_cmp(&covers(b).left)));
        for group in sorted.chunk_by(|a, b| (a.at.1 - b.at.1).abs() < 1e-6) {
            out.push(group.iter().map(|t| t.words.clone()).collect());
        }
    }
    out
}

/// The row of a table that starts with `mark` and has all of `cells`.
fn has_row(rows: &[Vec<String>], mark: &str, cells: &[&str]) -> bool {
    rows.iter()
        .any(|r| r.first().is_some_and(|m| m == mark) && cells.iter().all(|c| r.iter().any(|word| word == c)))
}

fn half_mm(mm: f64) -> String {
    format!("{:.1} mm", (mm * 2.0).round() / 2.0)
}

fn clock(deg: f64) -> String {
    format!("{:.1}°", (deg.rem_euclid(360.0) * 10.0).round() % 3600.0 / 10.0)
}

/// What the saw's scale shows in the samples: steps of 0.1°, from square or from the blade.
fn setting(project: &Project, tilt_deg: f64) -> String {
    let reading = match project.settings.saw.scale {
        SawScale::FromSquare => tilt_deg,
        SawScale::FromBlade => 90.0 - tilt_deg,
    };
    format!("{reading:.1}°")
}

fn check_numbers(one: &Printed) {
    let Printed { project, report, pages } = one;
    let rows = rows(&pages[0]);
    for run in report.runs.iter().filter(|r| r.built.is_buildable()) {
        for piece in &run.printed {
            let mut cells = vec![piece.kind.name().to_owned()];
            if piece.kind.name() == "slice" || piece.kind.name() == "straight" {
                if piece.source.name() == "ready" {
                    cells.extend([piece.long_mm, piece.short_mm].map(|mm| format!("{mm:.2} mm")));
                } else {
                    cells.extend([half_mm(piece.long_mm), half_mm(piece.short_mm)]);
                }
                for (cut, heel) in [
                    (piece.start_cut_deg, piece.start_heel_clock_deg),
                    (piece.end_cut_deg, piece.end_heel_clock_deg),
                ] {
                    cells.push(heel.map_or_else(|| "square".to_owned(), |_| setting(project, cut)));
                    cells.extend(heel.map(clock));
                }
            }
            if let Some(bend) = piece.bend {
                cells.extend(["inside".to_owned(), clock(bend.throat_clock_deg)]);
                let own = [half_mm(bend.lead_mm), half_mm(bend.tail_mm), format!("{:.1}°", bend.angle_deg)];
                let own: Vec<&str> = own.iter().map(String::as_str).collect();
                assert!(has_row(&rows, &piece.mark, &own), "{} {own:?}", piece.mark);
            }
            let cells: Vec<&str> = cells.iter().map(String::as_str).collect();
            assert!(has_row(&rows, &piece.mark, &cells), "{} {cells:?}", piece.mark);
        }
        for weld in &run.welds {
            let joins = format!("{} to {}", weld.between[0], weld.between[1]);
            let (length, tack) = (format!("{:.0} mm", weld.length_mm), weld.tack.to_string());
            let heel = weld.printed_clock_deg.map_or_else(|| "—".to_owned(), clock);
            let cells = [&joins, weld.kind.name(), &length, &tack, &heel];
            assert!(has_row(&rows, &weld.mark, &cells), "{} {cells:?}", weld.mark);
        }
        for (i, bend) in run.bends.iter().enumerate() {
            let (angle, straight) = (format!("{:.1}°", bend.angle_deg), half_mm(run.legs[i].straight_mm));
            assert!(has_row(&rows, &(i + 1).to_string(), &[&angle, &straight]), "bend {i}");
        }
    }
    for cut in report.stock.iter().flat_map(|s| &s.sticks).flat_map(|s| &s.cuts) {
        let turn = match cut.turn_deg {
            None => "—".to_owned(),
            Some(turn) if (turn - 180.0).abs() < 1e-6 => "half turn".to_owned(),
            Some(turn) if turn.min(360.0 - turn) < 0.01 => "no turn".to_owned(),
            // which way round is tested with the saw
            Some(turn) => {
                let deg = format!("{:.1}°", turn.min(360.0 - turn));
                let way = if cut.end_first == (turn < 180.0) { '↻' } else { '↺' };
                format!("{deg} {way}")
            }
        };
        let own_end = cut.at_mm == 0.0 && cut.first_deg == 0.0;
        let first =
            if own_end { "stick's own end".to_owned() } else { format!("{:.1}°", cut.first_setting_deg) };
        let second = format!("{:.1}°", cut.setting_deg);
        let end = if cut.end_first { "end" } else { "start" };
        assert!(has_row(&rows, &cut.mark, &[&first, &second, end, &turn]), "{cut:?}");
    }
}

#[test]
fn every_piece_weld_bend_and_cut_is_there_with_its_numbers() {
    let millimetres = printed().iter().filter(|one| one.project.settings.units == UnitSystem::Millimetre);
    assert_eq!(millimetres.map(check_numbers).count(), 4);
}

#[test]
fn long_and_short_side_are_found_in_every_unit_and_on_both_papers() {
    for one in printed() {
        let units = one.project.settings.units;
        for pages in &one.pages {
            let rows = rows(pages);
            let sawn = |p: &&PieceReport| p.bend.is_none() && p.joint.is_none() && p.source.name() != "ready";
            for piece in one.report.runs.iter().flat_map(|r| &r.printed).filter(sawn) {
                let main = |mm: f64| {
                    let text = crate::units::length_paper(mm, units);
                    text.split(" (").next().unwrap_or_default().to_owned()
                };
                let (long, short) = (main(piece.long_mm), main(piece.short_mm));
                assert!(has_row(&rows, &piece.mark, &[&long, &short]), "{}", piece.mark);
            }
        }
    }
}

#[test]
fn every_piece_and_weld_of_a_plain_run_is_marked_in_the_picture() {
    let project = two_bends(UnitSystem::Millimetre);
    let first = all_words(&sheet(&project)[..1]);
    let report = Report::quick(&project);
    let marks = report.runs[0].pieces.iter().map(|p| &p.mark);
    for mark in marks.chain(report.runs[0].welds.iter().map(|w| &w.mark)) {
        assert!(first.lines().any(|line| line == mark), "{mark} in {first}");
    }
}

#[test]
fn inches_come_as_fractions_with_the_decimal_beside() {
    let project = two_bends(UnitSystem::InchFraction);
    let rows = rows(&sheet(&project));
    // slice of 22.5° steps on R 95.25, OD 63.5: heel 2·(95.25 + 31.75)·tan 11.25° = 50.52 mm = 1.989 in, between
    // 1 31/32" and 2"; the slices of the two bends go to one each, so that the pipe ends right
    assert!(has_row(&rows, "A6", &["slice", "2\"", "(2.000)", "1\"", "11.3°"]), "{rows:?}");
    assert!(has_row(&rows, "A2", &["slice", "1 31/32\"", "(1.969)", "31/32\"", "11.3°"]), "{rows:?}");
    // the same in the table for the saw
    assert!(has_row(&rows, "A6", &["half turn", "11.3°", "2\"", "(2.000)", "1\""]), "{rows:?}");
}

#[test]
fn everything_stays_inside_the_margins_and_no_text_runs_into_another() {
    for pages in printed().iter().flat_map(|one| &one.pages) {
        for (number, page) in pages.iter().enumerate() {
            let (width, height) = page.size_mm;
            let inside = Area::new(0.0, 0.0, width, height).grown(0.01 - MARGIN_MM);
            let texts: Vec<(&str, Area)> =
                texts(page).into_iter().map(|t| (t.words.as_str(), covers(t))).collect();
            for (i, (words, own)) in texts.iter().enumerate() {
                assert!(inside.holds(own), "page {number}: {words} {own:?}");
                for (other, area) in &texts[i + 1..] {
                    assert!(!own.meets(area), "page {number}: {words} over {other}");
                }
            }
        }
    }
}

#[test]
fn figures_are_large_enough_to_read_at_arms_length() {
    for text in printed().iter().flat_map(|one| &one.pages[0]).flat_map(texts) {
        assert!(text.size_mm >= 3.6 - 1e-9, "{} is {} mm", text.words, text.size_mm);
    }
}

#[test]
fn every_page_says_what_it_belongs_to() {
    for one in printed() {
        let (project, pages) = (&one.project, &one.pages[0]);
        let stamp = revision(project, &one.report);
        for (i, page) in pages.iter().enumerate() {
            let words = all_words(std::slice::from_ref(page));
            assert!(words.contains(&format!("page {} of {}", i + 1, pages.len())), "{words}");
            assert!(words.contains(&stamp) && words.contains(&project.name), "{words}");
        }
        for run in &one.report.runs {
            assert!(all_words(pages).contains(&run.name));
        }
    }
}

#[test]
fn the_stamp_is_the_published_hash_and_changes_with_the_project() {
    // FNV-1a 64 of the empty text is its offset basis, of "a" af63dc4c8601ec8c: the published test values
    let fnv = |text: &str| {
        text.bytes()
            .fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0000_0100_0000_01b3))
    };
    assert_eq!(fnv("a"), 0xaf63_dc4c_8601_ec8c);
    let mut project = two_bends(UnitSystem::Millimetre);
    let before = revision(&project, &Report::quick(&project));
    let hash = fnv(&to_text(&project).unwrap());
    assert_eq!(before, format!("{:08x}", (hash >> 32) as u32 ^ hash as u32));
    project.runs[0].gap_mm += 1.0;
    assert_ne!(before, revision(&project, &Report::quick(&project)));
}

#[test]
fn the_same_project_gives_the_same_bytes() {
    let project = three_runs(UnitSystem::Millimetre);
    let once = pdf(&project, &Report::quick(&project), PaperSize::A4).unwrap();
    assert_eq!(once, pdf(&project, &Report::quick(&project), PaperSize::A4).unwrap());
    assert!(once.starts_with(b"%PDF"));
}

#[test]
fn a_run_that_cannot_be_built_gets_no_numbers() {
    let project = three_runs(UnitSystem::Millimetre);
    let report = Report::quick(&project);
    let pages = sheet(&project);
    let own =
        pages.iter().find(|p| all_words(std::slice::from_ref(p)).contains("cannot be cut yet")).unwrap();
    let words = all_words(std::slice::from_ref(own));
    assert!(words.contains("Recirculation") && !words.contains("Mark"), "{words}");
    let stop = report.findings.iter().find(|f| f.severity == Severity::Stop).unwrap();
    assert!(words.replace('\n', " ").contains(&stop.text), "{words}");
    assert!(!all_words(&pages).contains("C1"));
}

#[test]
fn warnings_cautions_and_what_to_buy_are_said() {
    let project = three_runs(UnitSystem::Millimetre);
    let words = all_words(&sheet(&project)).replace('\n', " ");
    let report = Report::quick(&project);
    let buy = report.findings.iter().find(|f| f.code == "elbows-to-buy").unwrap();
    assert!(words.contains(&buy.text), "{}", buy.text);
    for said in ["1 warning:", "Fuel line", "Pressure:", "Heat:", "90° is a square cut", "Coupler"] {
        assert!(words.contains(said), "{said}");
    }
    let project = eight_bends(UnitSystem::InchFraction);
    let words = all_words(&sheet(&project));
    let stock = &Report::quick(&project).stock[0];
    // all in one stick and two offcuts at the least
    assert!(stock.sticks_to_buy == 1 && (3..=4).contains(&stock.sticks.len()), "{:?}", stock.sticks.len());
    let last = format!("stick {0} of {0}", stock.sticks.len());
    for said in ["Buy 1 stick", "38.50", "0° is a square cut", &last, "A2–A5", "AW1–AW5"] {
        assert!(words.contains(said), "{said}");
    }
}

#[test]
fn no_text_is_cut_short() {
    for pages in printed().iter().flat_map(|one| &one.pages) {
        let words = all_words(pages);
        assert_eq!(words.lines().find(|line| line.contains('…')), None);
    }
}

#[test]
fn the_miss_of_the_rounded_numbers_is_said() {
    let project = two_bends(UnitSystem::Millimetre);
    let miss = Report::quick(&project).runs[0].miss;
    let said = format!("the pipe ends {:.2} mm and {:.1}° off", miss.offset_mm, miss.angle_deg);
    let words = all_words(&sheet(&project));
    assert!(words.contains(&said) && words.contains("the weld fitted last, AW"), "{said}");
    assert!(!words.contains("steps alone"));
    let mut coarse = eight_bends(UnitSystem::Millimetre);
    coarse.settings.saw.step_deg = 0.5;
    let saw = Report::quick(&coarse).runs[0].saw_miss;
    assert!(saw.offset_mm > 0.5, "{saw:?}");
    let words = all_words(&sheet(&coarse)).replace('\n', " ");
    let said = format!("{:.2} mm and {:.1}°", saw.offset_mm, saw.angle_deg);
    assert!(words.contains("the saw's 0.5° steps") || words.contains("The saw's 0.5° steps"), "{words}");
    assert!(words.contains(&said), "{said}");
}

#[test]
fn an_empty_project_gets_one_page_that_says_so() {
    let pages = sheet(&Project::new("Empty", UnitSystem::Millimetre));
    assert_eq!(pages.len(), 1);
    let words = all_words(&pages);
    assert!(words.contains("no run to cut yet") && words.contains("page 1 of 1"), "{words}");
}

#[test]
fn names_of_any_length_and_letters_stay_on_the_page() {
    for name in ["x".repeat(500), "ñ排気 🔧 b\n\t".repeat(60), String::new()] {
        let mut project = three_runs(UnitSystem::InchFraction);
        project.name.clone_from(&name);
        for run in &mut project.runs {
            run.name.clone_from(&name);
        }
        for port in &mut project.hardpoints {
            port.name.clone_from(&name);
        }
        project.joints[0].name.clone_from(&name);
        project.obstacles[0].name.clone_from(&name);
        let report = Report::quick(&project);
        for page in pages(&project, &report, PaperSize::A4) {
            let inside = Area::new(0.0, 0.0, page.size_mm.0, page.size_mm.1).grown(0.01 - MARGIN_MM);
            for text in texts(&page) {
                assert!(inside.holds(&covers(text)), "{} {:?}", text.words, covers(text));
            }
        }
        assert!(pdf(&project, &report, PaperSize::A4).is_ok());
    }
}

#[test]
fn a_hardpoint_that_is_called_open_is_no_open_end() {
    let mut project = two_bends(UnitSystem::Millimetre);
    project.hardpoints[1].name = "open".to_owned();
    let words = all_words(&sheet(&project));
    assert!(words.contains("From Turbo outlet to open"), "{words}");
    assert!(!words.contains("open end"), "{words}");
}
