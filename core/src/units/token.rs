//! Splits an entry into numbers, signs and units.

use super::error::{EntryError, EntryProblem, Wanted};
use std::ops::Range;

/// A piece of an entry and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Token {
    /// What it is.
    pub(super) kind: Kind,
    /// Its bytes in the text.
    pub(super) at: Range<usize>,
}

/// What a piece of an entry is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// A number; `whole` where it was written without a decimal sign.
    Number {
        value: f64,
        whole: bool,
    },
    /// A fraction written as one character, such as ½.
    Vulgar(f64),
    Plus,
    Minus,
    Times,
    Over,
    Open,
    Close,
    Unit(Mark),
}

/// A unit as written. What the two primes mean depends on what is being entered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mark {
    Millimetre,
    Centimetre,
    Metre,
    Inch,
    Foot,
    Prime,
    DoublePrime,
    Degree,
    Radian,
}

/// Takes `text` apart.
pub(super) fn split(text: &str, wanted: Wanted) -> Result<Vec<Token>, EntryError> {
    let mut tokens = Vec::new();
    let mut rest = text.char_indices().peekable();
    while let Some((start, c)) = rest.next() {
        if c.is_whitespace() {
            continue;
        }
        let tail = &text[start..];
        let (kind, len) = if is_digit_or_sign(c) {
            let len = tail.find(|c| !is_digit_or_sign(c)).unwrap_or(tail.len());
            (number(&tail[..len], start, wanted)?, len)
        } else if c.is_alphabetic() && vulgar(c).is_none() && c != 'º' {
            word(tail, start, wanted)?
        } else {
            sign(tail, c, start, wanted)?
        };
        let end = start + len;
        while rest.next_if(|&(i, _)| i < end).is_some() {}
        tokens.push(Token { kind, at: start..end });
    }
    Ok(tokens)
}

fn is_digit_or_sign(c: char) -> bool {
    c.is_ascii_digit() || matches!(c, '.' | ',')
}

/// Reads digits with at most one decimal sign, a point or a comma.
///
/// A comma before exactly three digits parts thousands in one country and decimals in the next, so it is
/// refused unless the number starts with a zero.
fn number(digits: &str, start: usize, wanted: Wanted) -> Result<Kind, EntryError> {
    let refuse = |problem: fn(String) -> EntryProblem| EntryError {
        problem: problem(digits.to_owned()),
        wanted,
        at: start..start + digits.len(),
    };
    let commas = digits.matches(',').count();
    let points = digits.matches('.').count();
    if commas > 1 || (commas == 1 && points > 0) {
        return Err(refuse(EntryProblem::AmbiguousComma));
    }
    if points > 1 {
        return Err(refuse(EntryProblem::BrokenNumber));
    }
    if let Some((before, after)) = digits.split_once(',')
        && after.len() == 3
        && (1..=3).contains(&before.len())
        && !before.starts_with('0')
    {
        return Err(refuse(EntryProblem::AmbiguousComma));
    }
    match digits.replace(',', ".").parse() {
        Ok(value) => Ok(Kind::Number { value, whole: commas + points == 0 }),
        Err(_) => Err(refuse(EntryProblem::Unknown)), // a decimal sign without digits
    }
}

/// Reads a unit written in letters, and how many bytes it takes.
fn word(tail: &str, start: usize, wanted: Wanted) -> Result<(Kind, usize), EntryError> {
    let len = tail.find(|c: char| !c.is_alphabetic() || vulgar(c).is_some()).unwrap_or(tail.len());
    let mark = match tail[..len].to_lowercase().as_str() {
        "mm" => Mark::Millimetre,
        "cm" => Mark::Centimetre,
        "m" => Mark::Metre,
        "in" | "inch" | "inches" => Mark::Inch,
        "ft" | "foot" | "feet" => Mark::Foot,
        "deg" | "degree" | "degrees" => Mark::Degree,
        "rad" | "radian" | "radians" => Mark::Radian,
        _ => {
            return Err(EntryError {
                problem: EntryProblem::Unknown(tail[..len].to_owned()),
                wanted,
                at: start..start + len,
            });
        }
    };
    // "in." and "ft." with the point of an abbreviation
    let abbreviated = matches!(mark, Mark::Inch | Mark::Foot)
        && tail[len..].starts_with('.')
        && !tail[len + 1..].starts_with(|c: char| c.is_ascii_digit());
    Ok((Kind::Unit(mark), len + usize::from(abbreviated)))
}

/// Reads anything that is neither a number nor a word, and how many bytes it takes.
fn sign(tail: &str, c: char, start: usize, wanted: Wanted) -> Result<(Kind, usize), EntryError> {
    let len = c.len_utf8();
    let is_prime = |c: char| matches!(c, '\'' | '′' | '’' | '‘' | '´');
    if is_prime(c) {
        return Ok(match tail[len..].chars().next() {
            Some(second) if is_prime(second) => (Kind::Unit(Mark::DoublePrime), len + second.len_utf8()),
            _ => (Kind::Unit(Mark::Prime), len),
        });
    }
    let kind = match c {
        '+' => Kind::Plus,
        '-' | '−' | '–' | '‐' | '‑' => Kind::Minus,
        '*' | '×' | '·' | '⋅' => Kind::Times,
        '/' | '⁄' | '∕' | '÷' => Kind::Over,
        '(' => Kind::Open,
        ')' => Kind::Close,
        '"' | '″' | '”' | '“' | '˝' => Kind::Unit(Mark::DoublePrime),
        '°' | 'º' | '˚' => Kind::Unit(Mark::Degree),
        _ => match vulgar(c) {
            Some(value) => Kind::Vulgar(value),
            None => {
                return Err(EntryError {
                    problem: EntryProblem::Unknown(c.to_string()),
                    wanted,
                    at: start..start + len,
                });
            }
        },
    };
    Ok((kind, len))
}

/// The value of a fraction that is one character.
fn vulgar(c: char) -> Option<f64> {
    let (over, under) = match c {
        '½' => (1.0, 2.0),
        '⅓' => (1.0, 3.0),
        '⅔' => (2.0, 3.0),
        '¼' => (1.0, 4.0),
        '¾' => (3.0, 4.0),
        '⅕' => (1.0, 5.0),
        '⅖' => (2.0, 5.0),
        '⅗' => (3.0, 5.0),
        '⅘' => (4.0, 5.0),
        '⅙' => (1.0, 6.0),
        '⅚' => (5.0, 6.0),
        '⅛' => (1.0, 8.0),
        '⅜' => (3.0, 8.0),
        '⅝' => (5.0, 8.0),
        '⅞' => (7.0, 8.0),
        _ => return None,
    };
    Some(over / under)
}
