//! The bench page of a run: a picture, where the index line is, the welds in tack order, joints, what is fitted last,
//! and figures to lay the pipe on a table by.

mod checks;
mod column;
mod joints;
mod last;
mod order;
mod welds;
mod zero;

use super::flow::{Flow, Head, SMALL};
use super::{Source, branches, findings, parts, tapers};
use crate::report::RunReport;
use crate::sheet::area::Area;
use crate::sheet::page::Text;
use crate::units::{tube_size, wall};
use column::Block;

/// Width of the right column, mm.
const RIGHT_MM: f64 = 64.0;
/// Between the columns, mm.
const BETWEEN_MM: f64 = 4.0;
/// Least and most height of the picture, mm.
const PICTURE_MM: (f64, f64) = (58.0, 160.0);

/// The pages of a run that can be cut: one, or two where it has many welds or parts.
pub(super) fn pages(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let units = source.project.settings.units;
    let (od, thick) = (tube_size(run.tube.od_mm, units), wall(run.tube.wall_mm, units));
    let to = if run.ends_open { "an open end" } else { run.to.as_str() };
    let route = format!("From {} to {to}", run.from);
    flow.start(Head {
        kind: run.letters.clone(),
        running: format!("BENCH {}", run.letters),
        title: run.name.clone(),
        facts: vec![format!("BENCH  {od} × {thick} {}", run.tube.material), run.service.to_owned()],
        ask: findings::open(source, run).into_iter().map(str::to_owned).collect(),
    });
    flow.line(&route, SMALL, false);
    let left_mm = flow.width() - RIGHT_MM - BETWEEN_MM;
    let strip = order::Strip::new(run, left_mm);
    let table = welds::Table::new(source, run, left_mm);
    let right = blocks(source, run);
    let notes = last::notes(source, run);
    let notes_mm = flow.block_mm(notes.iter().map(|(lead, words)| (*lead, words.as_str())), SMALL) + 2.5;
    let mut whole = flow.rest();
    whole.height -= notes_mm + 1.0;
    let right_mm: f64 = right.iter().map(|b| b.height_mm).sum();
    // with its welds on the page where the picture stays large enough, else they go over with what is left
    let beside = whole.height - strip.height_mm() - table.height_mm() - 2.0;
    let on_one = beside >= PICTURE_MM.0 && right_mm <= whole.height;
    let picture_mm = if on_one {
        beside.min(PICTURE_MM.1)
    } else {
        (whole.height - strip.height_mm() - 2.0).clamp(40.0, PICTURE_MM.1)
    };
    let picture = Area::new(whole.left, whole.top, left_mm, picture_mm);
    crate::sheet::picture::draw(flow.page(), picture, run);
    let mut y = picture.bottom() + 1.0;
    strip.draw(flow.page(), (whole.left, y), run);
    y += strip.height_mm() + 1.0;
    let right_x = whole.right() - RIGHT_MM;
    let fit = how_many(&right, whole.height);
    let (now, later) = right.split_at(fit);
    let mut right_y = whole.top;
    for block in now {
        block.draw(flow.page(), (right_x, right_y), source, run);
        right_y += block.height_mm;
    }
    if on_one {
        table.draw(flow.page(), (whole.left, y), 0..table.len());
        flow.take((y + table.height_mm()).max(right_y) - whole.top);
    } else {
        second(flow, source, run, &table, later, (y - whole.top).max(right_y - whole.top));
    }
    flow.need(notes_mm);
    flow.skip(2.0);
    for (lead, words) in &notes {
        flow.led_paragraph(lead, words, SMALL);
    }
    tapers::section(flow, source, run);
    branches::section(flow, source, run);
    parts::section(flow, source, run);
}

/// How many of the blocks fit below each other.
fn how_many(blocks: &[Block], height_mm: f64) -> usize {
    let mut used = 0.0;
    let fits = |b: &&Block| {
        used += b.height_mm;
        used <= height_mm + 1e-6
    };
    blocks.iter().take_while(fits).count()
}

/// The welds and what else found no room, on the pages after the first.
fn second(
    flow: &mut Flow,
    source: Source<'_>,
    run: &RunReport,
    table: &welds::Table,
    later: &[Block],
    used_mm: f64,
) {
    flow.take(used_mm.min(flow.rest().height));
    let (mut from, mut later) = (0, later);
    while from < table.len() || !later.is_empty() {
        flow.next_page();
        let whole = flow.rest();
        let until = table.that_fit(from, whole.height).max(from + usize::from(from < table.len()));
        table.draw(flow.page(), (whole.left, whole.top), from..until);
        let mut used = welds::Table::part_mm(&(from..until));
        from = until;
        let fit = how_many(later, whole.height).max(usize::from(!later.is_empty()));
        let mut y = whole.top;
        for block in &later[..fit] {
            block.draw(flow.page(), (whole.right() - RIGHT_MM, y), source, run);
            y += block.height_mm;
        }
        later = &later[fit..];
        used = used.max(y - whole.top);
        flow.take(used.min(whole.height));
    }
}

/// What stands in the right column, from top to bottom.
fn blocks(source: Source<'_>, run: &RunReport) -> Vec<Block> {
    let mut out = vec![zero::block(run)];
    out.push(checks::block(source, run));
    out.extend(joints::blocks(source, run));
    out.extend(last::block(source, run));
    out
}

/// Room of the right column for words, mm.
fn words_mm() -> f64 {
    RIGHT_MM
}

/// A line of small words at a place.
fn small(at: (f64, f64), words: impl Into<String>) -> Text {
    Text::new(at, SMALL, words)
}
