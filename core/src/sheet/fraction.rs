//! Numbers in a line of text that are set larger and smaller than a line is: fractions as fractions, decimals and the
//! unit smaller than the number.
//!
//! In small letters a fraction is slanted, its digits never below 9 pt; in large ones it is stacked with a bar.

/// From this font size (14 pt) on fractions are stacked, mm.
const STACKED_MM: f64 = 14.0 * PT;
/// No digit is smaller than 9 pt, mm.
const LEAST_MM: f64 = 9.0 * PT;
/// A point in mm.
const PT: f64 = 25.4 / 72.0;
/// Height of a capital as a part of the font size.
const CAP: f64 = super::fonts::CAP_HEIGHT;
/// Size of the digits of a stacked fraction, and of decimals, as a part of the font size.
const SMALL: f64 = 0.64;
/// Size of the digits of a slanted fraction.
const SLANTED: f64 = 0.8;
/// Size of the inch mark and of the unit.
const UNIT: f64 = 0.6;
/// Gap between whole number and fraction.
const GAP: f64 = 0.1;
/// The same before a slanted one.
const SLANTED_GAP: f64 = 0.26;

/// A part of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Bit<'a> {
    /// Words as they are.
    Words(&'a str),
    /// A number set in its own way.
    Number(Number<'a>),
}

/// A number with a fraction or a large one with a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Number<'a> {
    /// All of it as it is read: `1 19/32"`, `89.5 mm`.
    pub(super) all: &'a str,
    whole: &'a str,
    kind: Kind<'a>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind<'a> {
    Fraction { over: &'a str, under: &'a str, unit: &'a str },
    Decimal { rest: &'a str, unit: &'a str },
}

/// A run of letters of one size, from the left end of the number and its baseline, mm; up is below zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Glyphs<'a> {
    pub(super) words: &'a str,
    pub(super) size_mm: f64,
    pub(super) bold: bool,
    pub(super) at: (f64, f64),
}

/// A number laid out.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Laid<'a> {
    pub(super) glyphs: Vec<Glyphs<'a>>,
    /// From left to right of the bar, and its height.
    pub(super) bar: Option<(f64, f64, f64)>,
    pub(super) width_mm: f64,
    /// How many letters of it are the whole number.
    pub(super) whole_len: usize,
}

/// The parts of a line.
pub(super) fn bits(text: &str, size_mm: f64) -> Vec<Bit<'_>> {
    let mut out = Vec::new();
    let mut from = 0;
    let mut at = 0;
    let bytes = text.as_bytes();
    while at < bytes.len() {
        let begins = bytes[at].is_ascii_digit()
            && (at == 0
                || !(bytes[at - 1].is_ascii_alphanumeric() || matches!(bytes[at - 1], b'.' | b'/' | b',')));
        let found = begins.then(|| number(&text[at..], size_mm)).flatten();
        if let Some(number) = found {
            if from < at {
                out.push(Bit::Words(&text[from..at]));
            }
            at += number.all.len();
            from = at;
            out.push(Bit::Number(number));
        } else {
            at += 1;
        }
    }
    if from < text.len() {
        out.push(Bit::Words(&text[from..]));
    }
    out
}

fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// The number that `text` begins with, where it is one that is set in its own way.
fn number(text: &str, size_mm: f64) -> Option<Number<'_>> {
    let first = digits(text);
    let rest = &text[first..];
    if let Some(spaced) = rest.strip_prefix(' ')
        && let Some((over, under, long)) = fraction(spaced)
    {
        return Some(with_unit(text, &text[..first], (over, under), first + 1 + long));
    }
    if let Some((over, under, long)) = fraction(text) {
        return Some(with_unit(text, "", (over, under), long));
    }
    // decimals are set small only where the number is large
    if size_mm < STACKED_MM {
        return None;
    }
    let decimals = rest.strip_prefix('.').map_or(0, digits);
    let long = first + if decimals > 0 { decimals + 1 } else { 0 };
    let unit = [" mm", "\""].into_iter().find(|unit| text[long..].starts_with(unit))?;
    Some(Number {
        all: &text[..long + unit.len()],
        whole: &text[..first],
        kind: Kind::Decimal { rest: &text[first..long], unit: &text[long..long + unit.len()] },
    })
}

/// `19/32` at the beginning: what is over and under the bar, and how long it is. Only parts that rules have.
fn fraction(text: &str) -> Option<(&str, &str, usize)> {
    let over = digits(text);
    let rest = text[over..].strip_prefix('/')?;
    let under = digits(rest);
    let (a, b): (u32, u32) = (text[..over].parse().ok()?, rest[..under].parse().ok()?);
    let goes_on = rest[under..].starts_with(|c: char| c.is_alphanumeric() || c == '/');
    let on_rule = b.is_power_of_two() && (2..=64).contains(&b) && a > 0 && a < b;
    (on_rule && !goes_on).then(|| (&text[..over], &rest[..under], over + 1 + under))
}

fn with_unit<'a>(
    text: &'a str,
    whole: &'a str,
    (over, under): (&'a str, &'a str),
    long: usize,
) -> Number<'a> {
    let end = if text[long..].starts_with('"') { long + 1 } else { long };
    Number { all: &text[..end], whole, kind: Kind::Fraction { over, under, unit: &text[long..end] } }
}

impl<'a> Number<'a> {
    /// Lays it out in letters of `size_mm`; `width_of` is how wide words are.
    pub(super) fn laid(
        &self,
        size_mm: f64,
        bold: bool,
        width_of: impl Fn(&str, f64, bool) -> f64,
    ) -> Laid<'a> {
        let mut glyphs = Vec::with_capacity(4);
        let mut x = 0.0;
        if !self.whole.is_empty() {
            glyphs.push(Glyphs { words: self.whole, size_mm, bold, at: (0.0, 0.0) });
            x = width_of(self.whole, size_mm, bold);
        }
        let mut bar = None;
        let unit = match self.kind {
            Kind::Decimal { rest, unit } => {
                let size = (SMALL * size_mm).max(LEAST_MM);
                glyphs.push(Glyphs { words: rest, size_mm: size, bold, at: (x, 0.0) });
                x += width_of(rest, size, bold);
                unit
            }
            Kind::Fraction { over, under, unit } => {
                if !self.whole.is_empty() {
                    // clear enough that 1 11/32 never reads as 111/32
                    x += size_mm * if size_mm >= STACKED_MM - 1e-9 { GAP } else { SLANTED_GAP };
                }
                if size_mm >= STACKED_MM - 1e-9 {
                    let size = SMALL * size_mm;
                    let widths = [over, under].map(|w| width_of(w, size, bold));
                    let wide = widths[0].max(widths[1]);
                    let middle = -CAP * size_mm / 2.0;
                    let clear = 0.075 * size_mm;
                    glyphs.push(Glyphs {
                        words: over,
                        size_mm: size,
                        bold,
                        at: (x + (wide - widths[0]) / 2.0, middle - clear),
                    });
                    glyphs.push(Glyphs {
                        words: under,
                        size_mm: size,
                        bold,
                        at: (x + (wide - widths[1]) / 2.0, middle + clear + CAP * size),
                    });
                    bar = Some((x, x + wide, middle));
                    x += wide;
                } else {
                    let size = (SLANTED * size_mm).max(LEAST_MM).min(size_mm);
                    let raised = CAP * (size_mm - size) + 0.1 * size_mm;
                    glyphs.push(Glyphs { words: over, size_mm: size, bold, at: (x, -raised) });
                    x += width_of(over, size, bold);
                    glyphs.push(Glyphs { words: "/", size_mm, bold, at: (x, 0.0) });
                    x += width_of("/", size_mm, bold);
                    glyphs.push(Glyphs { words: under, size_mm: size, bold, at: (x, 0.06 * size_mm) });
                    x += width_of(under, size, bold);
                }
                unit
            }
        };
        if !unit.is_empty() {
            let is_mark = unit == "\"";
            let size = if is_mark { 0.85 * size_mm } else { (UNIT * size_mm).max(LEAST_MM).min(size_mm) };
            x += if is_mark { 0.03 * size_mm } else { 0.0 };
            glyphs.push(Glyphs { words: unit, size_mm: size, bold: false, at: (x, 0.0) });
            x += width_of(unit, size, false);
        }
        Laid { glyphs, bar, width_mm: x, whole_len: self.whole.len() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(text: &str, size_mm: f64) -> Vec<&str> {
        bits(text, size_mm)
            .into_iter()
            .filter_map(|bit| if let Bit::Number(number) = bit { Some(number.all) } else { None })
            .collect()
    }

    #[test]
    fn fractions_are_found_whole_and_nothing_else_is() {
        assert_eq!(found("saw to 13 17/32\", then 1/4\" off", 4.0), ["13 17/32\"", "1/4\""]);
        assert_eq!(found("A1 3/8-24 thread", 4.0), ["3/8"]);
        assert!(found("2026/12, 5/7, 3/32a, 12/1, B12 of 20, 7.5°", 9.0).is_empty());
        assert_eq!(found("89.5 mm", 9.0), ["89.5 mm"]);
        assert!(found("89.5 mm", 4.0).is_empty());
        assert_eq!(found("1.580\" each", 9.0), ["1.580\""]);
    }

    #[test]
    fn nothing_of_a_line_is_lost() {
        for text in ["1 11/32\" and 3/4", "no number", "Ø 排 1/2\"", ""] {
            let all: String = bits(text, 9.0)
                .into_iter()
                .map(|bit| match bit {
                    Bit::Words(words) => words,
                    Bit::Number(number) => number.all,
                })
                .collect();
            assert_eq!(all, text);
        }
    }

    #[test]
    fn no_digit_is_smaller_than_nine_points() {
        let width = |words: &str, size: f64, _: bool| words.len() as f64 * size * 0.6;
        for size_mm in [3.2, 3.6, 4.2, 4.93, 5.0, 7.0, 9.5] {
            for bit in bits("1 11/32\" 7/8\" 88.5 mm", size_mm) {
                let Bit::Number(number) = bit else { continue };
                let laid = number.laid(size_mm, true, width);
                let digit = |g: &&Glyphs<'_>| g.words.contains(|c: char| c.is_ascii_digit());
                for glyphs in laid.glyphs.iter().filter(digit) {
                    assert!(glyphs.size_mm >= 9.0 * 25.4 / 72.0 - 1e-9, "{glyphs:?} in {size_mm}");
                }
                // whole number and fraction stand apart
                if number.all.starts_with("1 ") {
                    assert!(laid.glyphs[1].at.0 > width("1", size_mm, true));
                }
            }
        }
    }
}
