//! The typeface of the sheets and the widths of its letters.

use super::fraction::{Bit, bits};
use std::sync::LazyLock;
use ttf_parser::Face;

/// `DejaVu Sans` Condensed, with its licence in `assets/fonts/LICENSE-DejaVu.txt`.
const REGULAR: &[u8] = include_bytes!("../../../assets/fonts/DejaVuSansCondensed.ttf");
/// `DejaVu Sans` Condensed Bold, same licence.
const BOLD: &[u8] = include_bytes!("../../../assets/fonts/DejaVuSansCondensed-Bold.ttf");

/// Height of a capital letter as a part of the font size.
pub const CAP_HEIGHT: f64 = 1493.0 / 2048.0;

/// What a character the font does not have is printed as.
const STAND_IN: char = '▯';
/// Ends a text that was cut short.
const ELLIPSIS: char = '…';

static REGULAR_FACE: LazyLock<Option<Face<'static>>> = LazyLock::new(|| Face::parse(REGULAR, 0).ok());
static BOLD_FACE: LazyLock<Option<Face<'static>>> = LazyLock::new(|| Face::parse(BOLD, 0).ok());

/// A letter as the font draws it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Glyph {
    /// Number in the font.
    pub(super) id: u16,
    /// Distance to the next letter as a part of the font size.
    pub(super) advance: f64,
}

/// The font file, for embedding.
pub(super) fn data(bold: bool) -> &'static [u8] {
    if bold { BOLD } else { REGULAR }
}

fn face(bold: bool) -> Option<&'static Face<'static>> {
    if bold { BOLD_FACE.as_ref() } else { REGULAR_FACE.as_ref() }
}

/// The glyph of a character; `None` if the font has none.
pub(super) fn glyph(c: char, bold: bool) -> Option<Glyph> {
    let face = face(bold)?;
    let id = face.glyph_index(c)?;
    let advance = f64::from(face.glyph_hor_advance(id)?) / f64::from(face.units_per_em());
    Some(Glyph { id: id.0, advance })
}

/// `text` as it will be printed: characters the font does not have become an empty box, blanks of any kind
/// and control characters become spaces.
pub fn printable(text: &str, bold: bool) -> String {
    let shown = |c: char| {
        if c.is_whitespace() || c.is_control() {
            ' '
        } else if glyph(c, bold).is_some() {
            c
        } else {
            STAND_IN
        }
    };
    text.chars().map(shown).collect()
}

/// The letters of `text` that cannot be set: those the font does not have, and those of scripts that are written from
/// right to left or change their shape beside each other, which one letter after the other does not show.
pub fn unset(text: &str) -> Vec<char> {
    let mut out: Vec<char> = Vec::new();
    for c in text.chars().filter(|c| !c.is_whitespace() && !c.is_control()) {
        let joined =
            matches!(u32::from(c), 0x0590..=0x109F | 0x1780..=0x18AF | 0xFB1D..=0xFDFF | 0xFE70..=0xFEFF);
        let missing = [false, true].into_iter().any(|bold| glyph(c, bold).is_none());
        if (joined || missing) && !out.contains(&c) {
            out.push(c);
        }
    }
    out
}

/// Width of `text` in a font of `size_mm`, mm: the sum of the font's own advance widths, fractions as they are set.
pub fn text_width_mm(text: &str, size_mm: f64, bold: bool) -> f64 {
    let width = |bit: Bit<'_>| match bit {
        Bit::Words(words) => plain_width_mm(words, size_mm, bold),
        Bit::Number(number) => number.laid(size_mm, bold, plain_width_mm).width_mm,
    };
    bits(text, size_mm).into_iter().map(width).sum()
}

/// Width of letters that are all of one size, mm.
pub(super) fn plain_width_mm(text: &str, size_mm: f64, bold: bool) -> f64 {
    let advance = |c: char| {
        let blank = c.is_whitespace() || c.is_control();
        let shown = if blank { glyph(' ', bold) } else { glyph(c, bold).or_else(|| glyph(STAND_IN, bold)) };
        shown.map_or(0.0, |g| g.advance)
    };
    text.chars().map(advance).sum::<f64>() * size_mm
}

/// `text` if it is no wider than `max_width_mm`, else as much of its start as fits with an ellipsis.
///
/// Empty when not even the ellipsis fits.
pub fn fit_text(text: &str, size_mm: f64, bold: bool, max_width_mm: f64) -> String {
    if text_width_mm(text, size_mm, bold) <= max_width_mm {
        return text.to_owned();
    }
    let ellipsis = text_width_mm(&ELLIPSIS.to_string(), size_mm, bold);
    // the longest start that does not end in a blank and leaves room
    let (mut width, mut keep) = (0.0, None);
    if ellipsis <= max_width_mm {
        keep = Some(0);
        for (start, c) in text.char_indices() {
            let end = start + c.len_utf8();
            width += text_width_mm(&text[start..end], size_mm, bold);
            if width + ellipsis > max_width_mm {
                break;
            }
            if !c.is_whitespace() {
                keep = Some(end);
            }
        }
    }
    keep.map_or_else(String::new, |end| format!("{}{ELLIPSIS}", &text[..end]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn both_faces_have_every_character_the_program_prints() {
        let shop = "0123456789 .,:;+-−×/()\"'°≈—–…ØøαθπΔ±½¼¾⅛⅜⅝⅞≤≥→←↑↓↻↺⌀µ²³✓?▯";
        for bold in [false, true] {
            for c in shop.chars().chain('a'..='z').chain('A'..='Z') {
                assert!(glyph(c, bold).is_some(), "{c} {bold}");
            }
        }
    }

    #[test]
    fn a_text_is_as_wide_as_its_advances() {
        // From the font's hmtx table, read by hand: digits 1172, the point 585, in an em of 2048.
        assert_relative_eq!(text_width_mm("3.50", 2048.0, false), 3.0 * 1172.0 + 585.0, epsilon = 1e-9);
        let parts: f64 = ["W", "e", "l", "d"].iter().map(|c| text_width_mm(c, 4.0, true)).sum();
        assert_relative_eq!(text_width_mm("Weld", 4.0, true), parts, epsilon = 1e-12);
        assert!(text_width_mm("Weld", 4.0, true) > text_width_mm("Weld", 4.0, false));
        assert_relative_eq!(text_width_mm("", 4.0, false), 0.0);
    }

    #[test]
    fn digits_are_equally_wide_so_that_columns_line_up() {
        for bold in [false, true] {
            let zero = text_width_mm("0", 1.0, bold);
            for digit in '1'..='9' {
                assert_relative_eq!(text_width_mm(&digit.to_string(), 1.0, bold), zero);
            }
        }
    }

    #[test]
    fn the_height_of_a_capital_is_the_fonts_own() {
        for bold in [false, true] {
            let face = face(bold).unwrap();
            let top = face.glyph_bounding_box(face.glyph_index('H').unwrap()).unwrap().y_max;
            let cap = f64::from(top) / f64::from(face.units_per_em());
            assert_relative_eq!(cap, CAP_HEIGHT, epsilon = 1e-3);
        }
    }

    #[test]
    fn unknown_characters_become_empty_boxes_and_are_named() {
        assert_eq!(printable("排気 W1\t2\n3", false), "▯▯ W1 2 3");
        assert_relative_eq!(text_width_mm("排", 1.0, false), text_width_mm("▯", 1.0, false));
        assert_eq!(unset("排気 W1 排"), ['排', '気']);
        assert_eq!(unset("עוקף"), ['ע', 'ו', 'ק', 'ף']);
        assert!(unset("Ölrücklauf, труба, σωλήνας 1/2\"").is_empty());
    }

    #[test]
    fn long_texts_are_cut_short() {
        let long = "Charge pipe from turbo to intercooler";
        assert_eq!(fit_text(long, 4.0, false, 1000.0), long);
        let short = fit_text(long, 4.0, false, 40.0);
        assert!(short.ends_with('…') && long.starts_with(short.trim_end_matches('…')), "{short}");
        assert!(text_width_mm(&short, 4.0, false) <= 40.0);
        assert_eq!(fit_text(long, 4.0, false, 0.5), "");
        assert_eq!(fit_text("", 4.0, false, 0.0), "");
    }
}
