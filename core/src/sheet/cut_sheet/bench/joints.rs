//! The joints of a run.

use super::super::words::{given_length, round};
use super::super::{Source, ends};
use super::column::{Block, Item};
use crate::model::{JointKind, JointStyle};
use crate::report::RunReport;

/// One block for all joints; nothing where there are none.
pub(super) fn blocks(source: Source<'_>, run: &RunReport) -> Vec<Block> {
    let joints: Vec<(usize, &JointKind)> =
        (0..run.printed.len()).filter_map(|i| Some((i, ends::joint(source, run, i)?))).collect();
    joints
        .into_iter()
        .enumerate()
        .map(|(n, (index, kind))| {
            let heading = if n == 0 { "JOINTS" } else { "" };
            Block::new(heading, items(source, run, index, kind))
        })
        .collect()
}

fn items(source: Source<'_>, run: &RunReport, index: usize, kind: &JointKind) -> Vec<Item> {
    let units = source.project.settings.units;
    let piece = &run.printed[index];
    let welded = if kind.welded { ", welded on" } else { "" };
    let style = match kind.style {
        JointStyle::HoseAndClamps => "hose, two clamps".to_owned(),
        style => style.name().to_lowercase(),
    };
    let beside = |i: Option<usize>| i.and_then(|i| run.printed.get(i)).map(|p| p.mark.clone());
    let place = match (beside(index.checked_sub(1)), beside(Some(index + 1))) {
        (Some(a), Some(b)) => format!("{a} to {b}"),
        (Some(a), None) => format!("after {a}"),
        (None, Some(b)) => format!("before {b}"),
        (None, None) => String::new(),
    };
    let said = style.split([' ', ',', '-']).next().unwrap_or_default();
    let name = if kind.name.to_lowercase().contains(said) {
        kind.name.clone()
    } else {
        format!("{} ({style})", kind.name)
    };
    let apart = kind.engagement_mm().map_or_else(
        || format!("{} apart", given_length(piece.centre_mm, units)),
        |mm| format!("slide in {}", given_length(mm, units)),
    );
    let mut sizes = vec![apart];
    sizes.extend(kind.hose_mm().map(|mm| format!("hose cut to {}", given_length(mm, units))));
    if let Some(hose) = kind.hose {
        sizes.push(format!("tube {} into it", given_length(hose.insertion_mm, units)));
        sizes.extend(hose.bead_mm.map(|mm| format!("bead {} from its end", given_length(mm, units))));
    }
    let mut items = vec![Item::Words(
        piece.mark.clone(),
        format!("{name}{welded}, {place}. Tube ends {}.", sizes.join(", ")),
    )];
    let place = ends::lobe_clock_deg(source, run, index).map(|clock| round(clock, piece.od_mm, units));
    match place {
        Some(place) if place.side == "on the line" => {
            let words = "on the line".to_owned();
            items.push(Item::Words(format!("{} nut or lever:", piece.mark), words));
        }
        Some(place) => items.push(Item::Nut(place.signed_deg, place.arc, place.side.to_owned(), place.deg)),
        None => {}
    }
    items
}
