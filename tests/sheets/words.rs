//! The words of printed pages with where they stand: from the marks of a page, or from the PDF itself.

use pipeloft_core::sheet::{Anchor, Mark, Page, page::Text, text_width_mm};
use std::io::Write as _;
use std::process::Command;

/// Where this is set, a machine without pdftotext fails the tests that need it.
const NEED: &str = "PIPELOFT_NEED_PDFTOTEXT";
/// Words whose baselines are nearer than this stand on one line, mm: rows are 7 mm apart.
const SAME_LINE_MM: f64 = 1.2;
/// Part of a letter's box that lies under the baseline: the sheet's letters have 0.236 under and 0.928 above it.
const UNDER: f64 = 0.236 / (0.236 + 0.928);

/// A word and where it stands: left edge and baseline, mm from the left top of its page.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Word {
    pub(crate) text: String,
    pub(crate) left_mm: f64,
    pub(crate) base_mm: f64,
    /// Size of its letters, mm: pdftotext makes the boxes of this font as high as that.
    pub(crate) size_mm: f64,
}

/// The words of a page with its width, mm.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Sheet {
    pub(crate) width_mm: f64,
    pub(crate) words: Vec<Word>,
}

/// Lines of words, from the top of a page to its foot, each from left to right.
pub(crate) type Lines = Vec<Vec<String>>;

/// The lines of words of a page between two places across it, mm.
pub(crate) fn lines(page: &Sheet, from_mm: f64, to_mm: f64) -> Lines {
    let mut words: Vec<&Word> =
        page.words.iter().filter(|w| w.left_mm >= from_mm && w.left_mm < to_mm).collect();
    words.sort_by(|a, b| a.base_mm.total_cmp(&b.base_mm));
    let mut out = Vec::new();
    for line in words.chunk_by_mut(|a, b| b.base_mm - a.base_mm < SAME_LINE_MM) {
        line.sort_by(|a, b| a.left_mm.total_cmp(&b.left_mm));
        // a number with its fraction is one word to the PDF
        out.push(line.iter().flat_map(|w| w.text.split_whitespace().map(str::to_owned)).collect());
    }
    out
}

/// The words of a sheet as its pages are laid out.
pub(crate) fn of_pages(pages: &[Page]) -> Vec<Sheet> {
    pages.iter().map(|p| Sheet { width_mm: p.size_mm.0, words: of_marks(&p.marks) }).collect()
}

fn of_marks(marks: &[Mark]) -> Vec<Word> {
    let level = |t: &&Text| t.turn_deg == 0.0;
    marks
        .iter()
        .filter_map(|m| if let Mark::Text(text) = m { Some(text) } else { None })
        .filter(level)
        .flat_map(of_text)
        .collect()
}

fn of_text(text: &Text) -> Vec<Word> {
    let width = |words: &str| text_width_mm(words, text.size_mm, text.bold);
    let before = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => width(&text.words) / 2.0,
        Anchor::End => width(&text.words),
    };
    let mut out = Vec::new();
    let mut rest = text.words.as_str();
    while let Some(word) = rest.split_whitespace().next() {
        let begin = text.words.len() - rest.len() + rest.find(word).unwrap_or(0);
        let left_mm = text.at.0 - before + width(&text.words[..begin]);
        out.push(Word { text: word.to_owned(), left_mm, base_mm: text.at.1, size_mm: text.size_mm });
        rest = &text.words[begin + word.len()..];
    }
    out
}

/// The lines of a PDF as pdftotext reads it; `None` on a machine that has none, which CI does not allow.
#[expect(clippy::print_stderr, reason = "a test that is skipped says so")]
pub(crate) fn of_pdf(pdf: &[u8]) -> Option<Vec<Sheet>> {
    let mut file = tempfile::NamedTempFile::new().expect("a temporary file");
    file.write_all(pdf).expect("room for it");
    match Command::new("pdftotext").arg("-bbox").arg(file.path()).arg("-").output() {
        Ok(out) => {
            assert!(out.status.success(), "pdftotext: {}", String::from_utf8_lossy(&out.stderr));
            Some(of_boxes(&String::from_utf8_lossy(&out.stdout)))
        }
        Err(e) => {
            assert!(std::env::var_os(NEED).is_none(), "{NEED} is set, but pdftotext does not run: {e}");
            eprintln!("skipped: pdftotext does not run: {e}");
            None
        }
    }
}

/// The words of each page: `<word xMin="…" yMin="…" xMax="…" yMax="…">text</word>` in points.
fn of_boxes(text: &str) -> Vec<Sheet> {
    let mut pages: Vec<Sheet> = Vec::new();
    for line in text.lines().map(str::trim) {
        if let Some(attributes) = line.strip_prefix("<page ") {
            pages.push(Sheet { width_mm: mm(attributes, "width"), words: Vec::new() });
        }
        let Some((attributes, word)) = line.strip_prefix("<word ").and_then(|l| l.split_once('>')) else {
            continue;
        };
        let (top, bottom) = (mm(attributes, "yMin"), mm(attributes, "yMax"));
        if let (Some(page), Some(word)) = (pages.last_mut(), word.strip_suffix("</word>")) {
            let (left_mm, base_mm) = (mm(attributes, "xMin"), bottom - UNDER * (bottom - top));
            let size_mm = bottom - top;
            page.words.push(Word { text: plain(word), left_mm, base_mm, size_mm });
        }
    }
    pages
}

/// A length of a tag of pdftotext, from points to mm.
fn mm(attributes: &str, name: &str) -> f64 {
    let value = attributes.split_once(&format!("{name}=\"")).and_then(|a| a.1.split_once('"'));
    value.and_then(|v| v.0.parse::<f64>().ok()).expect("a number") * 25.4 / 72.0
}

/// Letters for the names that HTML gives them.
fn plain(word: &str) -> String {
    word.replace("&quot;", "\"")
        .replace("&#39;", "'")
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&amp;", "&")
}
