//! The letters of runs: what the marks of all that belongs to a run begin with.
//!
//! A run gets its letters when it is made and keeps them; they are never given again in the project, so that a mark on
//! a tube in the shop names one pipe for good. Marks are the letters of the run, one letter for the kind where it is not
//! tube or an elbow (J joint, P part, W weld, H hole), and a number: `A7`, `AJ1`, `AP2`, `AW12`, `AH1`. Letters of runs
//! hold none of those, so no two marks are the same; nor I and O, which read as digits.

use super::project::Project;
use std::cmp::Ordering;
use std::collections::BTreeSet;

/// What letters of runs are made of.
const ALPHABET: &[u8; 20] = b"ABCDEFGKLMNQRSTUVXYZ";
/// What the marks of bars begin with.
pub const BAR_LETTERS: &str = "BAR";
/// More letters than this are no letters of a run.
const MOST_LETTERS: usize = 6;

/// What a mark is of, besides tube and elbows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MarkKind {
    /// Tube and elbows: no letter of their own.
    Piece,
    /// A joint.
    Joint,
    /// A small part.
    Part,
    /// A weld.
    Weld,
    /// A hole.
    Hole,
}

impl MarkKind {
    /// The letter that stands between the run's letters and the number.
    pub const fn letter(self) -> &'static str {
        match self {
            Self::Piece => "",
            Self::Joint => "J",
            Self::Part => "P",
            Self::Weld => "W",
            Self::Hole => "H",
        }
    }

    /// The mark of the thing of that kind that is number `number`, from 1, along the run with these letters.
    pub fn mark(self, letters: &str, number: usize) -> String {
        format!("{letters}{}{number}", self.letter())
    }
}

/// Order in which letters are given: A to Z, then AA and on.
fn order(a: &str, b: &str) -> Ordering {
    a.len().cmp(&b.len()).then_with(|| a.cmp(b))
}

/// The first letters of a run that come after `last`; "A" after none.
pub fn letters_after(last: &str) -> String {
    let mut out: Vec<u8> = last.bytes().collect();
    // older files have letters that are not given any more: go on at the next one that is
    let other = out.iter().position(|c| !ALPHABET.contains(c));
    match other {
        Some(at) => {
            let next = ALPHABET.iter().copied().find(|c| *c > out[at]);
            out.truncate(at);
            match next {
                Some(c) => out.push(c),
                None => step(&mut out),
            }
            out.resize(last.len().max(out.len()), ALPHABET[0]);
        }
        None => step(&mut out),
    }
    let letters: String = out.into_iter().map(char::from).collect();
    if letters == BAR_LETTERS { letters_after(&letters) } else { letters }
}

/// The next letters of as many places, or one place more.
fn step(letters: &mut Vec<u8>) {
    for place in (0..letters.len()).rev() {
        let at = ALPHABET.iter().position(|c| *c == letters[place]);
        match at.and_then(|at| ALPHABET.get(at + 1)) {
            Some(next) => {
                letters[place] = *next;
                return;
            }
            None => letters[place] = ALPHABET[0],
        }
    }
    letters.push(ALPHABET[0]);
}

/// Whether no mark that begins with these letters reads as one of another run, or as a weld or a hole of an older sheet.
pub fn are_clear(letters: &str) -> bool {
    let kind = |end: &str| ["J", "P", "W", "H"].contains(&end);
    let is_kind = match letters.len() {
        1 => ["W", "H"].contains(&letters),
        n => n > 0 && kind(letters.get(n - 1..).unwrap_or_default()),
    };
    let are_letters = letters.bytes().all(|c| c.is_ascii_uppercase());
    !letters.is_empty() && letters.len() <= MOST_LETTERS && are_letters && !is_kind && letters != BAR_LETTERS
}

impl Project {
    /// Letters that have never been given in this project.
    pub fn fresh_letters(&mut self) -> String {
        let letters = letters_after(&self.last_letters);
        self.last_letters.clone_from(&letters);
        letters
    }

    /// Whether a new run may have these letters: no run has them, and no later ones have been given.
    pub fn are_fresh(&self, letters: &str) -> bool {
        are_clear(letters)
            && order(letters, &self.last_letters) != Ordering::Less
            && self.runs.iter().all(|r| r.letters != letters)
    }

    /// Notes that letters are in use.
    pub fn take_letters(&mut self, letters: &str) {
        if order(letters, &self.last_letters) == Ordering::Greater {
            letters.clone_into(&mut self.last_letters);
        }
    }

    /// Gives letters to runs that have none, or some that read like another's: a file written by hand. Of two with the
    /// same letters the first keeps them.
    pub fn settle_letters(&mut self) {
        if !(self.last_letters.is_empty() || are_clear(&self.last_letters)) {
            self.last_letters.clear();
        }
        let mut seen: BTreeSet<String> = BTreeSet::new();
        let keeps: Vec<bool> =
            self.runs.iter().map(|r| are_clear(&r.letters) && seen.insert(r.letters.clone())).collect();
        for letters in &seen {
            self.take_letters(letters);
        }
        for (i, _) in keeps.iter().enumerate().filter(|(_, keeps)| !**keeps) {
            self.runs[i].letters = self.fresh_letters();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::UnitSystem;

    #[test]
    fn letters_go_on_without_end_and_without_those_of_other_marks() {
        let mut all = vec![letters_after("")];
        while all.len() < 9000 {
            all.push(letters_after(&all[all.len() - 1]));
        }
        assert_eq!(all[..8].join(" "), "A B C D E F G K");
        assert_eq!((all[19].as_str(), all[20].as_str(), all[419].as_str()), ("Z", "AA", "ZZ"));
        assert!(all.iter().all(|l| are_clear(l)));
        assert!(all.windows(2).all(|w| order(&w[0], &w[1]) == Ordering::Less));
        assert!(!all.iter().any(|l| l == BAR_LETTERS) && all.iter().any(|l| l == "BAS"));
    }

    #[test]
    fn letters_of_older_files_are_gone_on_from() {
        for (last, next) in [("H", "K"), ("W", "X"), ("AI", "AK"), ("IA", "KA"), ("ZI", "ZK"), ("OZ", "QA")] {
            assert_eq!(letters_after(last), next);
        }
        for (letters, clear) in
            [("A", true), ("I", true), ("W", false), ("H", false), ("J", true), ("AJ", false), ("JA", true)]
        {
            assert_eq!(are_clear(letters), clear, "{letters}");
        }
        for odd in ["", "a", "A1", "Ä", "ABCDEFG", "BAR", "A B"] {
            assert!(!are_clear(odd), "{odd}");
        }
    }

    #[test]
    fn fresh_letters_are_never_given_again() {
        let mut project = Project::new("Bench", UnitSystem::Millimetre);
        assert_eq!([project.fresh_letters(), project.fresh_letters()], ["A", "B"]);
        project.take_letters("D");
        project.take_letters("C");
        assert!(!project.are_fresh("C") && project.are_fresh("E"));
        assert_eq!(project.fresh_letters(), "E");
    }
}
