//! How a run is put together: in which order, where it is fitted, and what the welds take.

use super::Source;
use super::flow::{BODY, Flow};
use super::words::plain_length;
use crate::fab::WeldKind;
use crate::report::{FitReport, PieceEnd, RunReport};
use crate::units::{UnitSystem, fine_length, length_paper, long_length, plain_number, volume};

/// The steps and the estimates, together on one page.
pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport, first_page: usize) {
    if run.welds.is_empty() {
        return;
    }
    let mut said = steps(source, run);
    said.extend(weld_allowance(source));
    said.extend(run.support.iter().map(|s| ("Held:", s.notes.join(" "))));
    said.push(("Estimates, common practice:", estimates(source, run)));
    let all = flow.block_mm(said.iter().map(|(lead, words)| (*lead, words.as_str())));
    flow.put(Flow::heading_mm() + all, first_page, |flow| {
        flow.heading(&format!("{}  Putting it together", run.letters), all);
        for (lead, words) in &said {
            flow.led_paragraph(lead, words, BODY);
        }
    });
}

fn steps(source: Source<'_>, run: &RunReport) -> Vec<(&'static str, String)> {
    let to = if run.ends_open { "its open end" } else { run.to.as_str() };
    let place = format!("between {} and {to}", run.from);
    let any = |kinds: &[WeldKind]| run.welds.iter().any(|w| kinds.contains(&w.kind));
    let (parts, others) = (any(&[WeldKind::Part]), any(&[WeldKind::Saddle, WeldKind::Seam]));
    let in_place = match (parts, others) {
        (true, true) => " Welds to parts and to other pipes are tacked then.",
        (true, false) => " Welds to parts are tacked then.",
        (false, true) => " Welds to other pipes are tacked then.",
        (false, false) => "",
    };
    let bench = "Index lines in one line, the marks of both pieces on each other, then tack.";
    let Some(fit) = &run.fit else {
        return vec![
            ("1.", format!("On the bench: tack the welds in tack order. {bench}")),
            (
                "2.",
                format!(
                    "No piece beside a weld can be trimmed: hold it in place {place} and see that it fits before it is welded out.{in_place}"
                ),
            ),
        ];
    };
    let tack = match halves(run, fit) {
        Some((first, second)) => format!(
            "On the bench: tack the welds in tack order, all but {}. That gives two halves, {first} and {second}. {bench}",
            fit.weld
        ),
        None => format!("On the bench: tack the welds in tack order, all but {}. {bench}", fit.weld),
    };
    vec![
        ("1.", tack),
        ("2.", format!("Offer the parts up in place {place}.{in_place}")),
        ("3.", trim(fit, source.project.settings.units)),
        (
            "4.",
            format!(
                "Tack {}, check gaps and nuts all round, take the pipe out and weld all welds out.",
                fit.weld
            ),
        ),
    ]
}

fn trim(fit: &FitReport, units: UnitSystem) -> String {
    if fit.trim_mm <= 0.0 {
        return format!("Bring the two faces of {} together; nothing is left to trim there.", fit.weld);
    }
    let (weld, piece, at) = (&fit.weld, &fit.piece, fit.at);
    let trim = plain_length(fit.trim_mm, units);
    format!(
        "At {weld}, {piece} is {trim} too long on purpose, at its {at}. Mark round it where the other face meets it, trim it there at the cut it has, a little at a time, until the faces close."
    )
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

/// What is counted in for the welds; nothing where that is nothing.
fn weld_allowance(source: Source<'_>) -> Option<(&'static str, String)> {
    let (units, a) = (source.project.settings.units, &source.project.settings.allowances);
    let (gap, shrink) = (fine_length(a.weld_gap_mm, units), fine_length(a.shrink_mm, units));
    let shrinks = format!(
        "each weld draws its pieces together by {shrink} (typical are {} to {} in thin tube: common practice)",
        fine_length(0.2, units),
        fine_length(0.5, units)
    );
    let counted = match (a.weld_gap_mm != 0.0, a.shrink_mm != 0.0) {
        (false, false) => return None,
        (true, false) => format!("a gap of {gap} is left at every weld when it is tacked"),
        (false, true) => shrinks,
        (true, true) => format!("a gap of {gap} is left at every weld when it is tacked, and {shrinks}"),
    };
    Some(("Counted in all lengths:", format!("{counted}. Add nothing yourself.")))
}

/// Wire and gas.
fn estimates(source: Source<'_>, run: &RunReport) -> String {
    let (units, a) = (source.project.settings.units, &source.project.settings.allowances);
    let wire = match units {
        UnitSystem::Millimetre => format!("{} mm", plain_number(a.wire_mm, 2)),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => fine_length(a.wire_mm, units),
    };
    format!(
        "filler wire {} of {wire}; inside volume {}; purge {} min at {} l/min before welding ({} changes of the gas inside).",
        long_length(run.filler_mm, units),
        volume(run.purge_l, units),
        plain_number(run.purge_min, 1),
        plain_number(a.purge_l_min, 1),
        plain_number(a.purge_changes, 1),
    )
}

/// The step that lengths on the sheet are rounded to, in words.
pub(super) fn length_step(units: UnitSystem) -> String {
    match units {
        UnitSystem::InchFraction => "1/32\"".to_owned(),
        UnitSystem::InchDecimal | UnitSystem::Millimetre => {
            length_paper(crate::units::paper_step_mm(units), units)
        }
    }
}
