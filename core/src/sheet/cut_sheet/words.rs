//! Sentences broken into lines, and figures split into what is read first and what stands beside it.

use crate::model::UnitSystem;
use crate::sheet::fonts::text_width_mm;
use crate::sheet::table::Cell;
use crate::units::{angle, clock_and_arc, length_paper};

/// A line of a paragraph.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::sheet) struct Line {
    /// Where it begins, mm from the left.
    pub(in crate::sheet) indent_mm: f64,
    pub(in crate::sheet) words: String,
}

/// `words` in lines of at most `width_mm`, the first one after a bold `lead`.
///
/// A word that is wider than a line is broken where it has to be.
pub(in crate::sheet) fn wrapped(lead: &str, words: &str, size: f64, width_mm: f64) -> Vec<Line> {
    let mut indent = 0.0;
    if !lead.is_empty() {
        indent = text_width_mm(lead, size, true) + text_width_mm(" ", size, false);
    }
    let mut out = Vec::new();
    let mut line = String::new();
    let fits = |text: &str, indent: f64| text_width_mm(text, size, false) + indent <= width_mm;
    for word in words.split_whitespace() {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if fits(&longer, indent) {
            line = longer;
            continue;
        }
        if !line.is_empty() || indent > 0.0 {
            out.push(Line { indent_mm: indent, words: std::mem::take(&mut line) });
            indent = 0.0;
        }
        for c in word.chars() {
            if !line.is_empty() && !fits(&format!("{line}{c}"), indent) {
                out.push(Line { indent_mm: indent, words: std::mem::take(&mut line) });
            }
            line.push(c);
        }
    }
    if !line.is_empty() || out.is_empty() {
        out.push(Line { indent_mm: indent, words: line });
    }
    out
}

/// A figure with what stands in brackets after it beside it.
pub(super) fn key(text: &str) -> Cell {
    let (main, beside) = text.split_once(" (").unwrap_or((text, ""));
    let beside = if beside.is_empty() { String::new() } else { format!("({beside}") };
    Cell::Key { main: main.to_owned(), beside }
}

/// A length to work to.
pub(super) fn length_key(mm: f64, units: UnitSystem) -> Cell {
    key(&length_paper(mm, units))
}

/// A place round the tube, as angle and as arc; a dash where there is none.
pub(super) fn clock_key(clock_deg: Option<f64>, od_mm: f64, units: UnitSystem) -> Cell {
    clock_deg.map_or_else(dash, |clock| key(&clock_and_arc(clock, od_mm, units)))
}

/// An angle the saw is set to or a bend has.
pub(super) fn angle_key(deg: f64, decimals: usize) -> Cell {
    key(&angle(deg, decimals))
}

/// Where there is nothing to say.
pub(super) fn dash() -> Cell {
    Cell::Text("—".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_never_wider_than_asked_and_lose_no_word() {
        let words = format!("Move the waypoints apart or {} take a smaller radius", "x".repeat(120));
        let lines = wrapped("Stop:", &words, 4.0, 60.0);
        for line in &lines {
            assert!(line.indent_mm + text_width_mm(&line.words, 4.0, false) <= 60.0, "{line:?}");
        }
        let joined: String = lines.iter().map(|l| l.words.as_str()).collect();
        assert_eq!(joined.replace(' ', ""), words.replace(' ', ""));
        assert_eq!(wrapped("", "", 4.0, 60.0).len(), 1);
    }

    #[test]
    fn figures_come_apart_at_the_bracket() {
        let split = |text: &str| match key(text) {
            Cell::Key { main, beside } => (main, beside),
            _ => panic!("not a key"),
        };
        assert_eq!(split("3 1/2\" (3.500)"), ("3 1/2\"".to_owned(), "(3.500)".to_owned()));
        assert_eq!(split("89.0 mm"), ("89.0 mm".to_owned(), String::new()));
    }
}
