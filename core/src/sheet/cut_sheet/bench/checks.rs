//! Figures to lay the pipe on a table by.

use super::super::Source;
use super::super::words::{plain_angle, plain_length, round};
use super::column::{Block, Item};
use crate::report::RunReport;
use crate::units::UnitSystem;
use glam::DVec3;

/// Offsets below this are none, mm.
const NONE_MM: f64 = 0.2;

pub(super) fn block(source: Source<'_>, run: &RunReport) -> Block {
    let units = source.project.settings.units;
    let frames = &run.built.frames;
    let (Some(start), Some(end)) = (frames.first().map(|f| f.0), frames.last().map(|f| f.1)) else {
        return Block::new("", Vec::new());
    };
    let across = end.origin - start.origin;
    let mut items = vec![Item::Words(
        String::new(),
        "Middle of START face to middle of END face, as in the car:".to_owned(),
    )];
    let mut axes = signed(across, units);
    let third = axes.pop();
    items.push(Item::Figures(axes));
    items.extend(third.map(|f| Item::Figures(vec![f])));
    let faces = start.travel.angle_between(end.travel).to_degrees();
    items.push(Item::Figures(vec![
        (plain_length(across.length(), units), "straight across".to_owned()),
        (plain_angle(faces), "faces".to_owned()),
    ]));
    let legs: Vec<String> = run.bends.iter().map(|b| plain_angle(180.0 - b.angle_deg)).collect();
    if !legs.is_empty() {
        let words = format!("{}.", legs.join(", "));
        items.push(Item::Words("Protractor, legs:".to_owned(), words));
    }
    let corners: Vec<String> = run.legs.iter().map(|l| plain_length(l.length_mm, units)).collect();
    if corners.len() > 1 {
        items.push(Item::Words(
            "Corner to corner:".to_owned(),
            format!("{}, START to END.", corners.join(", ")),
        ));
    }
    // it stands on a face from which it goes up
    let on_start = Standing { name: "START", other: "END", frame: start, up: start.travel, across };
    let on_end = Standing { name: "END", other: "START", frame: end, up: -end.travel, across: -across };
    items.extend([on_start, on_end].into_iter().find_map(|s| s.said(run.tube.od_mm, units)));
    Block::new("CHECK ON THE BENCH", items)
}

/// The pipe stood with one of its faces on a flat bench.
struct Standing {
    name: &'static str,
    other: &'static str,
    frame: crate::geom::Frame,
    up: DVec3,
    across: DVec3,
}

impl Standing {
    /// How high the other face is, and how far out; nothing where it would lie below the bench.
    fn said(&self, od_mm: f64, units: UnitSystem) -> Option<Item> {
        let high = self.across.dot(self.up);
        if high < NONE_MM {
            return None;
        }
        let out = self.across - self.up * high;
        let place = round(self.frame.clock_of(out).to_degrees(), od_mm, units);
        let whither = match place.side {
            "on the line" => ", on the side of the index line".to_owned(),
            "opposite" => ", on the side opposite the index line".to_owned(),
            side => format!(", {} {side} of the index line", place.deg),
        };
        let whither = if out.length() > NONE_MM { whither } else { String::new() };
        let words = format!(
            "middle of the {} {} over the bench, {} out{whither}.",
            self.other,
            plain_length(high, units),
            plain_length(out.length(), units)
        );
        Some(Item::Words(format!("On its {} face:", self.name), words))
    }
}

/// A way in words instead of signs, axis by axis.
fn signed(across: DVec3, units: UnitSystem) -> Vec<(String, String)> {
    let axes = [(across.x, "forward", "back"), (across.y, "left", "right"), (across.z, "up", "down")];
    let said = |(mm, plus, minus): (f64, &str, &str)| {
        let word = if mm < 0.0 { minus } else { plus };
        let word = if mm.abs() < NONE_MM { format!("{plus} or {minus}") } else { word.to_owned() };
        (plain_length(mm.abs(), units), word)
    };
    axes.into_iter().map(said).collect()
}
