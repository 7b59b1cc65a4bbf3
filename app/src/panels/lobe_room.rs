//! The room round the lobe of the joint that is selected: in words, with buttons, and as arcs in the 3D view.

use crate::ctx::UiCtx;
use crate::jobs::{Ink, Sketch, Stroke3};
use crate::request::{Request, Requests};
use crate::theme::{Tokens, bold};
use eframe::egui::{Label, RichText, Ui};
use glam::DVec3;
use pipeloft_core::fab::face::port_piece;
use pipeloft_core::geom::Frame;
use pipeloft_core::model::{HardpointId, Item, RunEnd, RunId};
use pipeloft_core::report::lobes::{LobeRoom, Unseen};
use pipeloft_core::space::lobe::{ClockRange, Outline, TurningPart};
use std::f64::consts::FRAC_PI_2;

/// The arcs lie this far outside of what turns, mm.
const OUTSIDE_MM: f64 = 10.0;
/// The arc of what is seen lies this far outside of the others, mm.
const SEEN_OUTSIDE_MM: f64 = 9.0;
/// Ranges wider than this are told in whole degrees, rad.
const WHOLE_RAD: f64 = 3.0 * std::f64::consts::PI / 180.0;

/// The joint that is selected: a piece of a run, or the one at a hardpoint.
fn chosen(ctx: UiCtx<'_>) -> Option<(RunId, usize)> {
    match ctx.selection.item? {
        Item::Run(id) => Some((id, ctx.selected_piece()?)),
        Item::Hardpoint(port) => joint_at(ctx, port),
        Item::Obstacle(_)
        | Item::Datum(_)
        | Item::Body(_)
        | Item::Tube(_)
        | Item::Elbow(_)
        | Item::Joint(_)
        | Item::Merge(_)
        | Item::Bar(_) => None,
    }
}

/// The joint at a hardpoint, of the first run that meets it.
pub(super) fn joint_at(ctx: UiCtx<'_>, port: HardpointId) -> Option<(RunId, usize)> {
    let ends = |end| matches!(end, RunEnd::Hardpoint { hardpoint, .. } if hardpoint == port);
    let run = ctx.project.runs.iter().find(|r| r.start == port || ends(r.end))?;
    Some((run.id, port_piece(&ctx.report.run(run.id)?.built, run.start == port)?))
}

/// The room in words with two buttons; returns the clock angle that was chosen, degrees.
pub(super) fn lobe_room_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    joint: (RunId, usize),
    requests: &mut Requests,
) -> Option<f64> {
    let Some(room) = ctx.lobes.get(ctx.project, ctx.scans, joint) else {
        ui.add(Label::new("The pipe has to be buildable before the room for its lobe can be found.").wrap());
        return None;
    };
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let with_tool = if room.parts.len() > 1 { "Room for the lobe and its tool" } else { "Room for the lobe" };
    ui.label(bold(with_tool));
    let ink = if room.room.is_blocked() { tokens.stop } else { tokens.text };
    ui.add(Label::new(RichText::new(free_words(&room)).color(ink)).wrap());
    let (words, ink) =
        if room.is_free_now() { ("has room", tokens.good) } else { ("has no room", tokens.stop) };
    let now = degrees(room.now_rad, f64::round);
    ui.add(Label::new(RichText::new(format!("Where it is now, at {now}, it {words}.")).color(ink)).wrap());
    let mut chosen = None;
    ui.horizontal_wrapped(|ui| {
        if ui.button("Turn it to the clearest place").clicked() {
            chosen = room.clearest_deg();
            if chosen.is_none() {
                requests.push(Request::Say(BLOCKED.to_owned()));
            }
        }
        if ui.button("Turn it to where I look from").clicked() {
            match room.toward_deg(ctx.toward_viewer) {
                Ok(deg) => chosen = Some(deg),
                Err(why) => requests.push(Request::Say(unseen_words(why).to_owned())),
            }
        }
    });
    let legend = "In the 3D view: green free, red blocked, the outer arc what you see from here.";
    ui.add(Label::new(RichText::new(legend).small().weak()).wrap());
    let now_deg = room.now_rad.to_degrees();
    chosen.map(|deg| deg.rem_euclid(360.0)).filter(|deg| (deg - now_deg).rem_euclid(360.0).abs() > 1e-6)
}

const BLOCKED: &str = "The lobe has no room at any clock: move the joint along the pipe, or the pipe.";

fn unseen_words(why: Unseen) -> &'static str {
    match why {
        Unseen::Along => {
            "You look along the pipe here, so no side of the joint faces you. Turn the view first."
        }
        Unseen::Blocked => BLOCKED,
        Unseen::OtherSide => {
            "The lobe has no room on the side you look at. Look from another side, or turn it to the clearest place."
        }
    }
}

fn free_words(room: &LobeRoom) -> String {
    if room.room.is_free_all_round() {
        return "Free all round.".to_owned();
    }
    if room.room.is_blocked() {
        return BLOCKED.to_owned();
    }
    let ranges: Vec<String> = room.room.free.iter().map(|range| range_words(*range)).collect();
    format!("Free {}.", ranges.join(" and "))
}

/// A range from edge to edge, rounded to what is still inside.
fn range_words(range: ClockRange) -> String {
    if range.sweep_rad > WHOLE_RAD {
        format!("from {} to {}", degrees(range.from_rad, f64::ceil), degrees(range.to_rad(), f64::floor))
    } else {
        let tenth = |x: f64| (x * 10.0).round() / 10.0;
        format!("from {} to {}", degrees(range.from_rad, tenth), degrees(range.to_rad(), tenth))
    }
}

/// A clock from 0° to 360°.
fn degrees(clock_rad: f64, round: impl Fn(f64) -> f64) -> String {
    let deg = round(clock_rad.to_degrees().rem_euclid(360.0)).rem_euclid(360.0);
    format!("{}°", pipeloft_core::units::plain_number(deg, 1))
}

/// Arcs round the joint that is selected.
pub(crate) fn lobe_sketch(ctx: UiCtx<'_>) -> Sketch {
    let mut sketch = Sketch::default();
    let Some(room) = chosen(ctx).and_then(|joint| ctx.lobes.get(ctx.project, ctx.scans, joint)) else {
        return sketch;
    };
    let middle = &room.middle;
    let reach_mm = room.parts.iter().map(|p| p.reach_mm).fold(0.0, f64::max) + OUTSIDE_MM;
    let mut arc = |range: ClockRange, radius_mm: f64, style: (Ink, f32)| {
        let first = middle.at_clock(range.from_rad);
        let across = middle.at_clock(range.from_rad + FRAC_PI_2);
        sketch.arc(middle.origin, (first, across), radius_mm, range.sweep_rad, style);
    };
    for range in room.room.blocked() {
        arc(range, reach_mm, (Ink::Stop, 4.0));
    }
    for range in &room.room.free {
        arc(*range, reach_mm, (Ink::Good, 4.0));
    }
    if let Some(range) = room.seen_from(ctx.toward_viewer) {
        arc(range, reach_mm + SEEN_OUTSIDE_MM, (Ink::Main, 2.5));
    }
    let out = middle.at_clock(room.now_rad);
    let tick = |mm: f64| middle.origin + out * (reach_mm + mm);
    let ink = if room.is_free_now() { Ink::Good } else { Ink::Stop };
    sketch.line(tick(-OUTSIDE_MM), tick(2.0 * SEEN_OUTSIDE_MM), ink);
    sketch.mark(tick(2.0 * SEEN_OUTSIDE_MM), "", ink);
    for tool in room.parts.iter().skip(1) {
        outline(&mut sketch, middle, tool, room.now_rad);
    }
    sketch
}

/// The faint edges of the room for a tool.
fn outline(sketch: &mut Sketch, middle: &Frame, tool: &TurningPart, now_rad: f64) {
    let clock_rad = now_rad + tool.clock_rad;
    let at = |along: f64, out_mm: f64, clock_rad: f64, aside_mm: f64| {
        let out = middle.at_clock(clock_rad);
        let along_mm = tool.along_mm + along * tool.length_mm / 2.0;
        middle.forward(along_mm).origin + out * out_mm + middle.travel.cross(out) * aside_mm
    };
    let mut rims: Vec<Vec<DVec3>> = Vec::new();
    for along in [-1.0, 1.0] {
        rims.push(match tool.outline {
            Outline::Box { width_mm } => {
                let corners = [
                    (tool.inner_mm, 0.5),
                    (tool.reach_mm, 0.5),
                    (tool.reach_mm, -0.5),
                    (tool.inner_mm, -0.5),
                    (tool.inner_mm, 0.5),
                ];
                corners.map(|(out_mm, side)| at(along, out_mm, clock_rad, side * width_mm)).to_vec()
            }
            Outline::Sector { spread_rad } => {
                let spread_rad = spread_rad.min(std::f64::consts::TAU);
                let steps = (0..=24).map(|i| clock_rad + spread_rad * (f64::from(i) / 24.0 - 0.5));
                let outer = steps.clone().map(|clock| at(along, tool.reach_mm, clock, 0.0));
                let inner = steps.rev().map(|clock| at(along, tool.inner_mm, clock, 0.0));
                let mut rim: Vec<DVec3> = outer.chain(inner).collect();
                rim.extend(rim.first().copied());
                rim
            }
        });
    }
    let corners = match tool.outline {
        Outline::Box { .. } => vec![0, 1, 2, 3],
        Outline::Sector { .. } => vec![0, 24, 25, 49],
    };
    let faint = |points| Stroke3 { points, ink: Ink::Help, width: 1.0 };
    for corner in corners {
        let ends: Vec<DVec3> = rims.iter().filter_map(|rim| rim.get(corner).copied()).collect();
        sketch.strokes.push(faint(ends));
    }
    sketch.strokes.extend(rims.into_iter().map(faint));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_are_told_from_edge_to_edge_and_never_wider_than_they_are() {
        let range = |from: f64, sweep: f64| ClockRange::new(from.to_radians(), sweep.to_radians());
        assert_eq!(range_words(range(40.3, 91.9)), "from 41° to 132°");
        assert_eq!(range_words(range(-42.0, 84.0)), "from 318° to 42°");
        assert_eq!(range_words(range(-1.5, 31.0)), "from 359° to 29°");
        assert_eq!(range_words(range(-0.5, 30.0)), "from 0° to 29°");
        assert_eq!(range_words(range(10.0, 1.4)), "from 10° to 11.4°");
    }
}
