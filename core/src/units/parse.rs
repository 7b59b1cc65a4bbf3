//! Text to lengths, angles and numbers. What could mean two things is refused with a reason, never guessed.
//!
//! ```text
//! sum     = product { ("+" | "-") product }
//! product = signed { ("*" | "/") signed }
//! signed  = [ "+" | "-" ] ( "(" sum ")" [ unit ] | literal [ unit [ smaller ] ] )
//! literal = number | number "/" number | whole ½ | whole whole "/" whole | whole "-" whole "/" whole
//! smaller = [ "-" ] literal [ unit ] [ smaller ]      inches after feet, minutes and seconds after degrees
//! ```
//!
//! A hyphen without blanks between a whole number and a fraction, or between feet and inches, joins them as
//! shops write it: `3-1/2` is 3½ and `2'-6"` is thirty inches. With blanks it subtracts.

use super::error::{EntryError, EntryProblem, Wanted};
use super::scale::{Scale, scale};
use super::token::{Kind, Mark, Token, split};
use crate::units::UnitSystem;

/// Brackets inside each other, at most: far above any use, far below what the stack holds.
const DEEPEST: u32 = 32;
/// Longest length, mm: a kilometre.
const LONGEST_MM: f64 = 1e6;
/// Largest angle, degrees: ten turns.
const WIDEST_DEG: f64 = 3600.0;
/// Largest plain number.
const LARGEST: f64 = 1e9;
/// A result this close to a whole number, as computed, is that number.
const WHOLE: f64 = 1e-9;

/// Length in mm from text such as `3 1/2`, `3.5"`, `88.9mm`, `2'6` or `2*(1+3/8)in`, at most a kilometre.
///
/// A bare number is in inches or mm as `units` says. Signs are kept: −1/4 is a length here.
///
/// ```
/// use pipeloft_core::units::UnitSystem;
/// use pipeloft_core::units::parse_length;
/// assert_eq!(parse_length("3 1/2", UnitSystem::InchFraction).ok(), Some(88.9));
/// assert_eq!(parse_length("88,9", UnitSystem::Millimetre).ok(), Some(88.9));
/// assert!(parse_length("3 4", UnitSystem::InchFraction).is_err());
/// ```
pub fn parse_length(text: &str, units: UnitSystem) -> Result<f64, EntryError> {
    let bare = match units {
        UnitSystem::InchFraction | UnitSystem::InchDecimal => Scale::INCH,
        UnitSystem::Millimetre => Scale::ONE,
    };
    evaluate(text, Wanted::Length, bare, LONGEST_MM)
}

/// Angle in degrees from text such as `45`, `22.5°`, `22°30'`, `0.5rad` or `90/4`, at most ten turns.
///
/// A bare number is in degrees.
pub fn parse_angle_deg(text: &str) -> Result<f64, EntryError> {
    evaluate(text, Wanted::Angle, Scale::ONE, WIDEST_DEG)
}

/// Number without unit, such as `12`, `0,5` or `3 1/2`; at most a thousand million either way.
pub fn parse_number(text: &str) -> Result<f64, EntryError> {
    evaluate(text, Wanted::Number, Scale::ONE, LARGEST)
}

/// Whole number from 0 up, such as `4` or `2*3`.
pub fn parse_count(text: &str) -> Result<u32, EntryError> {
    let value = evaluate(text, Wanted::Count, Scale::ONE, LARGEST)?;
    let whole = value.round();
    if whole >= 0.0 && (value - whole).abs() <= WHOLE {
        Ok(whole as u32) // at most LARGEST, which a u32 holds
    } else {
        let piece = text.trim().to_owned();
        Err(EntryError { problem: EntryProblem::NotACount(piece), wanted: Wanted::Count, at: 0..text.len() })
    }
}

fn evaluate(text: &str, wanted: Wanted, bare: Scale, limit: f64) -> Result<f64, EntryError> {
    let tokens = split(text, wanted)?;
    let mut parser = Parser { text, wanted, bare, tokens: &tokens, next: 0, depth: 0 };
    if tokens.is_empty() {
        return Err(parser.error(EntryProblem::Empty));
    }
    let value = parser.sum()?;
    if let Some(token) = tokens.get(parser.next) {
        return Err(parser.left_over(token));
    }
    let value = parser.with_unit(value);
    if value.is_finite() && value.abs() <= limit {
        Ok(value)
    } else {
        let problem = EntryProblem::TooLarge(text.trim().to_owned());
        Err(EntryError { problem, wanted, at: 0..text.len() })
    }
}

/// A value on the way: in mm or degrees once it has a unit.
#[derive(Debug, Clone, Copy)]
struct Value {
    value: f64,
    has_unit: bool,
}

/// What stands before a number, which decides what may join it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Before {
    /// A division sign: the number is a divisor and takes no fraction bar of its own.
    Over,
    /// Anything else.
    Other,
}

struct Parser<'a> {
    text: &'a str,
    wanted: Wanted,
    /// What a bare number stands for.
    bare: Scale,
    tokens: &'a [Token],
    next: usize,
    depth: u32,
}

impl<'a> Parser<'a> {
    fn sum(&mut self) -> Result<Value, EntryError> {
        let mut total = self.product()?;
        loop {
            let sign = match self.kind(0) {
                Some(Kind::Plus) => 1.0,
                Some(Kind::Minus) => -1.0,
                _ => return Ok(total),
            };
            self.next += 1;
            let term = self.product()?;
            total = if total.has_unit || term.has_unit {
                let value = self.with_unit(total) + sign * self.with_unit(term);
                Value { value, has_unit: true }
            } else {
                Value { value: total.value + sign * term.value, has_unit: false }
            };
        }
    }

    fn product(&mut self) -> Result<Value, EntryError> {
        let from = self.next;
        let mut total = self.signed(Before::Other)?;
        loop {
            match self.kind(0) {
                Some(Kind::Times) => {
                    self.next += 1;
                    let factor = self.signed(Before::Other)?;
                    if total.has_unit && factor.has_unit {
                        return Err(self.error_from(from, EntryProblem::UnitTimesUnit));
                    }
                    let has_unit = total.has_unit || factor.has_unit;
                    total = Value { value: total.value * factor.value, has_unit };
                }
                Some(Kind::Over) => {
                    self.next += 1;
                    let divisor = self.signed(Before::Over)?;
                    if divisor.has_unit {
                        return Err(self.error_from(from, EntryProblem::DividedByUnit));
                    }
                    total.value = self.divide(total.value, divisor.value, from)?;
                }
                _ => return Ok(total),
            }
        }
    }

    fn signed(&mut self, before: Before) -> Result<Value, EntryError> {
        let sign = match self.kind(0) {
            Some(Kind::Minus) => -1.0,
            Some(Kind::Plus) => 1.0,
            _ => return self.atom(before),
        };
        self.next += 1;
        let atom = self.atom(before)?;
        Ok(Value { value: sign * atom.value, ..atom })
    }

    fn atom(&mut self, before: Before) -> Result<Value, EntryError> {
        if self.kind(0) == Some(Kind::Open) {
            return self.bracket();
        }
        let from = self.next;
        let value = self.literal(before)?;
        let Some(Kind::Unit(mark)) = self.kind(0) else {
            return Ok(Value { value, has_unit: false });
        };
        let (scale, smaller) = self.unit(mark)?;
        self.next += 1;
        let more = match smaller {
            Some(unit) => self.smaller(from, mark, unit)?,
            None => 0.0,
        };
        Ok(Value { value: scale.apply(value) + more, has_unit: true })
    }

    fn bracket(&mut self) -> Result<Value, EntryError> {
        if self.depth == DEEPEST {
            return Err(self.error(EntryProblem::TooDeep));
        }
        self.next += 1;
        self.depth += 1;
        let inside = self.sum()?;
        self.depth -= 1;
        match self.tokens.get(self.next) {
            Some(token) if token.kind == Kind::Close => self.next += 1,
            Some(token) => return Err(self.left_over(token)),
            None => return Err(self.error(EntryProblem::NotClosed)),
        }
        match self.kind(0) {
            Some(Kind::Unit(mark)) if !inside.has_unit => {
                let (scale, _) = self.unit(mark)?;
                self.next += 1;
                Ok(Value { value: scale.apply(inside.value), has_unit: true })
            }
            _ => Ok(inside),
        }
    }

    /// Reads a number, a fraction or a mixed number.
    fn literal(&mut self, before: Before) -> Result<f64, EntryError> {
        let from = self.next;
        match self.kind(0) {
            Some(Kind::Vulgar(value)) => {
                self.next += 1;
                return Ok(value);
            }
            Some(Kind::Number { value, whole }) => {
                self.next += 1;
                if whole && let Some(Kind::Vulgar(part)) = self.kind(0) {
                    self.next += 1;
                    return Ok(value + part);
                }
                if before == Before::Over {
                    return Ok(value);
                }
                if whole && let Some(part) = self.fraction_after(from)? {
                    return Ok(value + part);
                }
                if let (Some(Kind::Over), Some(Kind::Number { value: under, .. })) =
                    (self.kind(0), self.kind(1))
                {
                    self.next += 2;
                    return self.divide(value, under, from);
                }
                return Ok(value);
            }
            _ => {}
        }
        Err(match self.tokens.get(self.next) {
            Some(token) => self.error_at(token, EntryProblem::NumberNeeded),
            None => self.error(EntryProblem::Unfinished(self.last_piece())),
        })
    }

    /// The `1/2` of `3 1/2` or `3-1/2`, when one follows the whole number at `from`.
    fn fraction_after(&mut self, from: usize) -> Result<Option<f64>, EntryError> {
        let hyphen = self.kind(0) == Some(Kind::Minus);
        let skip = usize::from(hyphen);
        let (
            Some(Kind::Number { value: over, whole: true }),
            Some(Kind::Over),
            Some(Kind::Number { value: under, whole: true }),
        ) = (self.kind(skip), self.kind(skip + 1), self.kind(skip + 2))
        else {
            return Ok(None);
        };
        if hyphen && !self.closed_up(from, from + 4) {
            return Ok(None);
        }
        self.next += skip + 3;
        if hyphen && over >= under && under > 0.0 {
            return Err(self.error_from(from, EntryProblem::AmbiguousHyphen));
        }
        self.divide(over, under, from).map(Some)
    }

    /// Inches after feet, or minutes and seconds after degrees, when they follow the value that starts at `start`.
    fn smaller(&mut self, start: usize, larger: Mark, expected: Mark) -> Result<f64, EntryError> {
        let hyphen = larger == Mark::Prime
            && self.wanted == Wanted::Length
            && self.kind(0) == Some(Kind::Minus)
            && self.closed_up(self.next - 1, self.next + 1);
        let skip = usize::from(hyphen);
        if !matches!(self.kind(skip), Some(Kind::Number { .. } | Kind::Vulgar(_))) {
            return Ok(0.0);
        }
        let from = self.next;
        self.next += skip;
        let value = self.literal(Before::Other)?;
        let mark = match self.kind(0) {
            Some(Kind::Unit(mark)) => Some(mark),
            _ => None,
        };
        let (scale, smaller) = self.unit(expected)?;
        let fits = mark.is_none_or(|m| m == expected || self.unit(m).is_ok_and(|(other, _)| other == scale));
        if hyphen && !fits {
            self.next = from; // 2'-6mm can only be a difference
            return Ok(0.0);
        }
        if !fits {
            return Err(self.error_at(&self.tokens[from], EntryProblem::SideBySide));
        }
        if hyphen && value >= 12.0 {
            return Err(self.error_from(start, EntryProblem::AmbiguousHyphen));
        }
        if self.wanted == Wanted::Angle && value >= 60.0 {
            return Err(self.error_from(from, EntryProblem::TooManyMinutes));
        }
        self.next += usize::from(mark.is_some());
        let more = match smaller {
            Some(unit) if mark.is_some() => self.smaller(start, expected, unit)?,
            _ => 0.0,
        };
        Ok(scale.apply(value) + more)
    }

    /// What the unit at hand stands for, and the smaller one that may follow it.
    fn unit(&self, mark: Mark) -> Result<(Scale, Option<Mark>), EntryError> {
        scale(self.wanted, mark).ok_or_else(|| match self.tokens.get(self.next) {
            Some(token) => self.error_at(token, EntryProblem::WrongUnit),
            None => self.error(EntryProblem::Unfinished(self.last_piece())),
        })
    }

    fn divide(&self, over: f64, under: f64, from: usize) -> Result<f64, EntryError> {
        if under == 0.0 {
            return Err(self.error_from(from, EntryProblem::DividedByZero));
        }
        Ok(over / under)
    }

    /// The value in mm or degrees; a bare number takes the unit the field works in.
    fn with_unit(&self, value: Value) -> f64 {
        if value.has_unit { value.value } else { self.bare.apply(value.value) }
    }

    fn kind(&self, ahead: usize) -> Option<Kind> {
        self.tokens.get(self.next + ahead).map(|token| token.kind)
    }

    /// Whether the tokens from `first` to `last` stand without blanks between them.
    fn closed_up(&self, first: usize, last: usize) -> bool {
        self.tokens.get(first..=last).is_some_and(|run| run.windows(2).all(|w| w[0].at.end == w[1].at.start))
    }

    fn last_piece(&self) -> String {
        self.tokens.last().map_or_else(String::new, |token| self.text[token.at.clone()].to_owned())
    }

    /// What is wrong with a token that no rule takes.
    fn left_over(&self, token: &'a Token) -> EntryError {
        match token.kind {
            Kind::Number { .. } | Kind::Vulgar(_) | Kind::Open => {
                self.error_at(token, EntryProblem::SideBySide)
            }
            Kind::Unit(_) => self.error_at(token, EntryProblem::TwoUnits),
            Kind::Close => self.error_at(token, |_| EntryProblem::NotOpened),
            Kind::Plus | Kind::Minus | Kind::Times | Kind::Over => {
                self.error_at(token, EntryProblem::NumberNeeded)
            }
        }
    }

    fn error(&self, problem: EntryProblem) -> EntryError {
        EntryError { problem, wanted: self.wanted, at: self.text.len()..self.text.len() }
    }

    fn error_at(&self, token: &Token, problem: impl Fn(String) -> EntryProblem) -> EntryError {
        let piece = self.text[token.at.clone()].to_owned();
        EntryError { problem: problem(piece), wanted: self.wanted, at: token.at.clone() }
    }

    /// An error about everything from token `from` to the last one read.
    fn error_from(&self, from: usize, problem: impl Fn(String) -> EntryProblem) -> EntryError {
        let start = self.tokens.get(from).map_or(0, |token| token.at.start);
        let end = self.tokens.get(self.next - 1).map_or(self.text.len(), |token| token.at.end);
        let piece = self.text[start..end].to_owned();
        EntryError { problem: problem(piece), wanted: self.wanted, at: start..end }
    }
}

#[cfg(test)]
mod tests;
