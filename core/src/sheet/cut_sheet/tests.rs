pub(in crate::sheet) mod samples;

use super::frame::MARGIN_MM;
use super::*;
use crate::finding::Severity;
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

/// All words of the sheet as if they stood on one line.
fn running(pages: &[Page]) -> String {
    all_words(pages).replace('\n', " ")
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

#[test]
fn everything_stays_inside_the_margins_and_no_text_runs_into_another() {
    let mut wrong = Vec::new();
    for Printed { project, pages, .. } in printed() {
        for (number, page) in pages.iter().flatten().enumerate() {
            let (width, height) = page.size_mm;
            let inside = Area::new(0.0, 0.0, width, height).grown(0.01 - MARGIN_MM);
            let texts: Vec<(&str, Area)> =
                texts(page).into_iter().map(|t| (t.words.as_str(), covers(t))).collect();
            for (i, (words, own)) in texts.iter().enumerate() {
                if !inside.holds(own) {
                    wrong.push(format!("{} {number}: {words} is outside", project.name));
                }
                for (other, area) in &texts[i + 1..] {
                    if own.meets(area) {
                        wrong.push(format!("{} {number}: {words} over {other}", project.name));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} of them:\n{}", wrong.len(), wrong[..wrong.len().min(40)].join("\n"));
}

#[test]
fn figures_are_large_enough_to_read_at_arms_length() {
    for text in printed().iter().flat_map(|one| &one.pages[0]).flat_map(texts) {
        assert!(text.size_mm >= 9.0 * 25.4 / 72.0 - 1e-9, "{} is {} mm", text.words, text.size_mm);
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
fn a_run_that_cannot_be_built_is_a_problem_on_the_job_page_and_gets_no_numbers() {
    let project = three_runs(UnitSystem::Millimetre);
    let report = Report::quick(&project);
    let pages = sheet(&project);
    let stop = report.findings.iter().find(|f| f.severity == Severity::Stop).unwrap();
    let job = running(&pages[..1]);
    assert!(job.contains(&stop.text) && job.contains("nothing of C is cut before"), "{job}");
    assert!(!all_words(&pages).contains("C1"));
}

#[test]
fn warnings_cautions_and_what_to_buy_are_said_once() {
    let project = three_runs(UnitSystem::Millimetre);
    let pages = sheet(&project);
    let words = running(&pages);
    for said in ["PROBLEM", "Fuel line", "90° is a square cut", "Coupler", "elbow", "TO BUY"] {
        assert!(words.contains(said), "{said}");
    }
    for once in ["Pressure:", "Heat:", "Words:"] {
        assert_eq!(words.matches(once).count(), 1, "{once}");
    }
    let words = running(&sheet(&eight_bends(UnitSystem::InchFraction)));
    for said in ["1 stick ", "38.5", "0° is a square cut"] {
        assert!(words.contains(said), "{said}");
    }
}

#[test]
fn the_miss_of_the_rounded_numbers_is_said() {
    let project = two_bends(UnitSystem::Millimetre);
    let miss = Report::quick(&project).runs[0].miss;
    let said = format!("the pipe ends {:.2} mm and", miss.offset_mm);
    let words = running(&sheet(&project));
    assert!(words.contains(&said) && words.contains("the weld fitted last, AW"), "{said}");
    assert!(!words.contains("steps alone"));
    let mut coarse = eight_bends(UnitSystem::Millimetre);
    coarse.settings.saw.step_deg = 0.5;
    let saw = Report::quick(&coarse).runs[0].saw_miss;
    assert!(saw.offset_mm > 0.5, "{saw:?}");
    let words = running(&sheet(&coarse));
    assert!(words.contains("the saw's 0.5° steps") || words.contains("The saw's 0.5° steps"), "{words}");
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
        let pages = pages(&project, &report, PaperSize::A4);
        for page in &pages {
            let inside = Area::new(0.0, 0.0, page.size_mm.0, page.size_mm.1).grown(0.01 - MARGIN_MM);
            for text in texts(page) {
                assert!(inside.holds(&covers(text)), "{} {:?}", text.words, covers(text));
            }
        }
        // letters that cannot be set are named, not passed over
        assert_eq!(running(&pages).contains("U+6392"), name.contains('排'));
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

#[test]
fn a_pipe_that_ends_in_the_open_has_nothing_to_trim() {
    for one in printed() {
        for run in one.report.runs.iter().filter(|run| run.ends_open) {
            assert_eq!(run.fit, None, "{}", run.name);
        }
    }
}
