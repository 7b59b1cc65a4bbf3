//! How a run is put together, the weld that is fitted last, and notes of the run.

use super::super::words::{plain_angle, plain_length};
use super::super::{Source, saw};
use super::column::{Block, Item};
use crate::fab::WeldKind;
use crate::report::{FitReport, MissReport, PieceEnd, RunReport};
use crate::units::{UnitSystem, fine_length, long_length, plain_number, volume};

/// A miss from the saw's steps that is worth a word, mm: what a tack moves (common practice, no source).
const SAW_MISS_MM: f64 = 0.5;

/// The weld that is fitted last, or how a pipe without one is made.
pub(super) fn block(source: Source<'_>, run: &RunReport) -> Option<Block> {
    if run.welds.is_empty() {
        return None;
    }
    let units = source.project.settings.units;
    let words = |words: String| Item::Words(String::new(), words);
    let to_parts =
        run.welds.iter().any(|w| matches!(w.kind, WeldKind::Part | WeldKind::Saddle | WeldKind::Seam));
    let in_place =
        if to_parts { " Welds to parts and other pipes are tacked in the car, before the last." } else { "" };
    let Some(fit) = &run.fit else {
        let why = if run.ends_open {
            "Nothing is to be trimmed: the pipe ends in the open, and all of it is tacked on the bench."
        } else {
            "No piece beside a weld can be trimmed: tack it on the bench, then hold it in the car and see that it fits before it is welded out."
        };
        return Some(Block::new("ALL WELDS ON THE BENCH", vec![words(format!("{why}{in_place}"))]));
    };
    let halves = halves(run, fit)
        .map(|(first, second)| format!(" That leaves {first} and {second}."))
        .unwrap_or_default();
    let mut items =
        vec![words(format!("Tack all others first.{halves}{in_place} Hold them in place in the car."))];
    items.push(words(if fit.trim_mm > 0.0 {
        format!(
            "{} is {} too long at its {}, on purpose. Mark round it where the other face meets it and trim it there{}, a little at a time, until the faces close and the index lines meet. Tack, check nuts all round, take the pipe out and weld.",
            fit.piece,
            plain_length(fit.trim_mm, units),
            fit.at,
            if is_slanted(run, fit) { " along the slant it has" } else { ", square" },
        )
    } else {
        "Bring the two faces together; nothing is left to trim there. Tack.".to_owned()
    }));
    Some(Block::new(format!("{}, FIT LAST", fit.weld), items).framed())
}

fn is_slanted(run: &RunReport, fit: &FitReport) -> bool {
    run.printed.get(fit.piece_index).is_some_and(|piece| {
        (if fit.at == PieceEnd::End { piece.end_cut_deg } else { piece.start_cut_deg }) > 0.0
    })
}

/// First and last pieces of the two halves that meet at the weld fitted last; none where one of them is a part.
fn halves(run: &RunReport, fit: &FitReport) -> Option<(String, String)> {
    let before = fit.piece_index + usize::from(fit.at == PieceEnd::End);
    let (first, second) = run.printed.split_at_checked(before)?;
    let ends = |pieces: &[crate::report::PieceReport]| -> Option<String> {
        let (a, b) = (&pieces.first()?.mark, &pieces.last()?.mark);
        Some(if a == b { a.clone() } else { format!("{a} to {b}") })
    };
    Some((ends(first)?, ends(second)?))
}

/// What else is worth knowing of a run, each with its lead: how exact it comes out, what is counted in, what holds it, its
/// open end, wire and gas. Further notes of a run go here.
pub(super) fn notes(source: Source<'_>, run: &RunReport) -> Vec<(&'static str, String)> {
    let mut out = vec![("Comes out:", miss(source, run))];
    out.extend(counted_in(source).map(|words| ("Counted in all lengths:", words)));
    if let Some(end) = &run.open_end {
        let units = source.project.settings.units;
        let blown: Vec<String> = end
            .blows_at
            .iter()
            .map(|b| format!("{}, {} away", b.against, plain_length(b.distance_mm, units)))
            .collect();
        let blows =
            if blown.is_empty() { String::new() } else { format!(" It blows at {}.", blown.join("; ")) };
        out.push(("Open end:", format!("{}.{blows}", end.words())));
    }
    out.extend(run.support.iter().map(|support| ("Held:", support.notes.join(" "))));
    if !run.welds.is_empty() {
        out.push(("Estimates, common practice:", estimates(source, run)));
    }
    out
}

/// How far the rounded numbers miss the end, what of it is the saw's, and what takes it up.
fn miss(source: Source<'_>, run: &RunReport) -> String {
    let settings = &source.project.settings;
    let said = |m: MissReport| {
        format!("{} and {}", fine_length(m.offset_mm, settings.units), plain_angle(m.angle_deg))
    };
    let takes = match &run.fit {
        Some(fit) => format!("; the weld fitted last, {}, takes that up.", fit.weld),
        None if run.ends_open => ".".to_owned(),
        None => "; no weld can take that up, so measure as you go.".to_owned(),
    };
    let mut words = format!("cut to these rounded numbers the pipe ends {} off{takes}", said(run.miss));
    if run.saw_miss.offset_mm > SAW_MISS_MM {
        let step = saw::step_words(settings.saw.step_deg);
        let saw = said(run.saw_miss);
        let more = if run.saw_miss.offset_mm <= run.miss.offset_mm {
            format!(" Of it {saw} come from the saw's {step} steps alone.")
        } else {
            format!(" The saw's {step} steps alone make {saw}; the lengths are chosen to make up for it.")
        };
        words.push_str(&more);
    }
    if let Some(forecast) = &run.forecast {
        words += " ";
        words += &forecast.end_text(settings.units);
        if settings.scatter.is_usual() {
            words += " (Scatter as is common practice.)";
        }
    }
    words
}

/// What is counted in for the welds; nothing where that is nothing.
fn counted_in(source: Source<'_>) -> Option<String> {
    let (units, a) = (source.project.settings.units, &source.project.settings.allowances);
    let (gap, shrink) = (fine_length(a.weld_gap_mm, units), fine_length(a.shrink_mm, units));
    let shrinks = format!("each weld draws its pieces together by {shrink}");
    let counted = match (a.weld_gap_mm != 0.0, a.shrink_mm != 0.0) {
        (false, false) => return None,
        (true, false) => format!("a gap of {gap} is left at every weld when it is tacked"),
        (false, true) => shrinks,
        (true, true) => format!("a gap of {gap} is left at every weld when it is tacked, and {shrinks}"),
    };
    Some(format!("{counted}. Add nothing yourself."))
}

/// Wire and gas.
fn estimates(source: Source<'_>, run: &RunReport) -> String {
    let (units, a) = (source.project.settings.units, &source.project.settings.allowances);
    let wire = match units {
        UnitSystem::Millimetre => format!("{} mm", plain_number(a.wire_mm, 2)),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => fine_length(a.wire_mm, units),
    };
    format!(
        "weld {} in all; filler wire {} of {wire}; inside volume {}; purge {} min at {} l/min before welding ({} changes of the gas inside).",
        long_length(run.weld_length_mm, units),
        long_length(run.filler_mm, units),
        volume(run.purge_l, units),
        plain_number(run.purge_min, 1),
        plain_number(a.purge_l_min, 1),
        plain_number(a.purge_changes, 1),
    )
}
