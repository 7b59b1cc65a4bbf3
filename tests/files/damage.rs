//! Files damaged at random: whatever comes of it, nothing panics.

use super::sample;
use pipeloft_core::file;
use pipeloft_core::report::Report;
use pipeloft_tests::shop::{projects_in, repository};
use std::path::Path;

/// A small generator of numbers that are the same every time (xorshift, Marsaglia, from memory).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }
}

const ODD: [&str; 24] = [
    "0",
    "-1",
    "1e308",
    "-1e-308",
    "NaN",
    "inf",
    "-inf",
    "4294967295",
    "180.0",
    "0.0",
    "50000.0",
    "-50000.0",
    "()",
    "[]",
    "None",
    "\"\"",
    "(",
    ")",
    ",",
    ":",
    "1e-7",
    "Some(1)",
    "true",
    "9.999",
];

/// Where the numbers of a text stand; digits in words do not count.
fn numbers(text: &str) -> Vec<(usize, usize)> {
    let bytes = text.as_bytes();
    let part = |i: usize| bytes.get(i).is_some_and(|c| c.is_ascii_digit() || matches!(c, b'.' | b'-'));
    let begins = |i: usize| part(i) && matches!(bytes[i - 1], b' ' | b'(' | b'[');
    (1..bytes.len())
        .filter(|i| begins(*i))
        .map(|from| (from, (from..bytes.len()).find(|i| !part(*i)).unwrap_or(bytes.len())))
        .collect()
}

fn damaged(text: &str, dice: &mut Dice) -> String {
    let mut text = text.to_owned();
    for _ in 0..=dice.below(3) {
        let spots = numbers(&text);
        let Some(&(from, to)) = spots.get(dice.below(spots.len())) else { continue };
        match dice.below(16) {
            // most often a number for another, so that the file is still read and the sums are done
            0..=5 => {
                let (a, b) = spots[dice.below(spots.len())];
                let other = text[a..b].to_owned();
                text.replace_range(from..to, &other);
            }
            6..=11 => {
                let factor = [-1.0, 0.0, 0.01, 0.5, 0.999, 1.001, 2.0, 10.0][dice.below(8)];
                let scaled = text[from..to].parse().map(|x: f64| x * factor);
                let whole = !text[from..to].contains('.');
                let new = scaled.map(|x| if whole { format!("{x:.0}") } else { format!("{x:?}") });
                text.replace_range(from..to, &new.unwrap_or_default());
            }
            12 => text.replace_range(from..to, ODD[dice.below(ODD.len())]),
            13 => {
                let (a, b) = (edge(&text, dice), edge(&text, dice));
                let from = a.min(b);
                let to = floor(&text, a.max(b).min(from + 30));
                text.replace_range(from..to, "");
            }
            14 => {
                let at = edge(&text, dice);
                text.insert_str(at, ODD[dice.below(ODD.len())]);
            }
            _ => {
                let at = edge(&text, dice);
                text.insert(at, char::from(32 + dice.below(95) as u8));
            }
        }
    }
    text
}

/// A place between two characters of the text.
fn edge(text: &str, dice: &mut Dice) -> usize {
    floor(text, dice.below(text.len() + 1))
}

/// The place between two characters at `at` or before it.
fn floor(text: &str, at: usize) -> usize {
    (0..=at).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0)
}

#[test]
fn a_thousand_damaged_projects_give_a_report_or_a_sentence() {
    let sample = sample::text();
    let demos = projects_in(&repository().join("demo-projects"));
    let demos: Vec<String> = demos.iter().filter_map(|p| std::fs::read_to_string(p).ok()).collect();
    let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
    let (mut read, mut refused) = (0, 0);
    for case in 0..1000 {
        // a demo every fourth time: they are long
        let whole = if case % 4 == 0 { demos.get(case / 4 % demos.len().max(1)) } else { None };
        let text = damaged(whole.unwrap_or(&sample), &mut dice);
        match file::from_text(&text, Path::new("damaged.ron")) {
            Ok(project) => {
                read += 1;
                let report = Report::quick(&project);
                assert!(report.to_json().is_ok(), "case {case}");
                assert!(report.clearance.iter().all(|c| c.gap_mm.is_finite()), "case {case}");
                for run in &report.runs {
                    assert!(run.weld_length_mm.is_finite() && run.mass_kg.is_finite(), "case {case}");
                    assert!(run.end.position_mm.is_finite(), "case {case}");
                    assert!(
                        run.pieces.iter().all(|p| p.short_mm >= 0.0 || p.kind.name() == "joint"),
                        "case {case}"
                    );
                }
            }
            Err(error) => {
                refused += 1;
                assert!(error.to_string().starts_with("damaged.ron"), "case {case}: {error}");
            }
        }
    }
    // both ways must have been walked, or this checks nothing
    assert!(read >= 100 && refused >= 100, "{read} read, {refused} refused");
}
