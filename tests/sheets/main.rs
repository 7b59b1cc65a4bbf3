//! The sheet that is printed: there, the same every time, and with every mark on it.

mod checker;
mod closure;
mod templates;
mod words;

use pipeloft_core::file;
use pipeloft_core::report::Report;
use pipeloft_core::sheet::{Mark, Page, PaperSize, page::Text, pages, pdf};
use pipeloft_tests::shop::demos;

/// All text of the marks, those seen through windows too.
fn texts<'a>(marks: &'a [Mark], into: &mut Vec<&'a Text>) {
    for mark in marks {
        match mark {
            Mark::Text(text) => into.push(text),
            Mark::Window { marks, .. } => texts(marks, into),
            _ => {}
        }
    }
}

/// Whether `mark` stands in the text as a word of its own: `A1` is not in `A12`.
fn holds(text: &str, mark: &str) -> bool {
    text.split(|c: char| !c.is_alphanumeric()).any(|word| word == mark)
}

fn all_words(pages: &[Page]) -> Vec<&str> {
    let mut all = Vec::new();
    for page in pages {
        texts(&page.marks, &mut all);
    }
    all.into_iter().map(|t| t.words.as_str()).collect()
}

#[test]
fn every_mark_of_every_demo_stands_on_its_sheet() {
    let mut missing = Vec::new();
    for path in demos() {
        let project = file::load(&path).unwrap();
        let report = Report::new(&project);
        for paper in PaperSize::ALL {
            let pages = pages(&project, &report, paper);
            let words = all_words(&pages);
            for run in &report.runs {
                let marks = run.pieces.iter().map(|p| &p.mark).chain(run.welds.iter().map(|w| &w.mark));
                missing.extend(
                    marks
                        .filter(|m| !words.iter().any(|t| holds(t, m)))
                        .map(|m| format!("{} {}: {}", path.display(), paper.name(), m)),
                );
            }
        }
    }
    assert!(missing.is_empty(), "not on the sheet:\n{}", missing.join("\n"));
}

#[test]
fn the_same_project_gives_the_same_pdf_byte_for_byte() {
    for path in demos() {
        let project = file::load(&path).unwrap();
        for paper in PaperSize::ALL {
            let print = || pdf(&project, &Report::new(&project), paper).unwrap();
            let first = print();
            assert!(first.starts_with(b"%PDF"), "{}", path.display());
            assert!(first.trim_ascii_end().ends_with(b"%%EOF"), "{}", path.display());
            assert!(first == print(), "{} on {} differs", path.display(), paper.name());
        }
    }
}

#[test]
fn pages_have_the_size_of_the_paper_upright_or_on_its_side() {
    for path in demos() {
        let project = file::load(&path).unwrap();
        let report = Report::new(&project);
        for paper in PaperSize::ALL {
            let (short, long) = paper.size_mm();
            for page in pages(&project, &report, paper) {
                let (width, height) = page.size_mm;
                let fits = |a: f64, b: f64| (a - width).abs() < 1e-9 && (b - height).abs() < 1e-9;
                assert!(fits(short, long) || fits(long, short), "{} {:?}", path.display(), page.size_mm);
            }
        }
    }
}

#[test]
fn no_text_of_any_sheet_lies_off_its_page() {
    for path in demos() {
        let project = file::load(&path).unwrap();
        let report = Report::new(&project);
        for page in pages(&project, &report, PaperSize::Letter) {
            // text inside a window is cut to it; only what stands on the page itself counts
            for mark in &page.marks {
                let Mark::Text(text) = mark else { continue };
                let inside = |x: f64, most: f64| (0.0..=most).contains(&x);
                assert!(
                    inside(text.at.0, page.size_mm.0) && inside(text.at.1, page.size_mm.1),
                    "{}: {:?} stands off the page",
                    path.display(),
                    text
                );
            }
        }
    }
}
