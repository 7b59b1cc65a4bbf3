//! What a hardpoint sits on: nothing, or a place on another run.

use super::{form, number_row};
use crate::ctx::UiCtx;
use crate::widgets::{Kind, choice};
use eframe::egui::{Id, Ui};
use pipeloft_core::fab::spot::choices;
use pipeloft_core::model::{Attachment, Hardpoint, Run, RunEnd, RunId, Seat, Spot};
use pipeloft_core::seat::branch::first;
use pipeloft_core::units;

/// A leg, or the bend after it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stretch {
    is_bend: bool,
    leg: usize,
}

impl Stretch {
    fn of(spot: Spot) -> Self {
        match spot {
            Spot::Leg { leg, .. } => Self { is_bend: false, leg },
            Spot::Bend { leg, .. } => Self { is_bend: true, leg },
        }
    }

    fn words(self) -> String {
        let number = self.leg + 1;
        if self.is_bend { format!("Bend after leg {number}") } else { format!("Leg {number}") }
    }
}

/// The choice of what it sits on and where; changes `new`.
pub(super) fn seat_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, port: &Hardpoint, new: &mut Hardpoint) {
    if matches!(port.seat, Some(Seat::Arm { .. } | Seat::Outlet { .. })) {
        return;
    }
    let begins = |r: &Run| {
        r.start == port.id || matches!(r.end, RunEnd::Hardpoint { hardpoint, .. } if hardpoint == port.id)
    };
    let mut runs: Vec<(Option<RunId>, String)> = vec![(None, "Nothing".to_owned())];
    let others: Vec<(RunId, Seat)> = ctx
        .project
        .runs
        .iter()
        .filter(|r| !begins(r))
        .filter_map(|r| Some((r.id, first(ctx.project, r)?)))
        .collect();
    let named = ctx.project.runs.iter().filter(|r| others.iter().any(|(id, _)| *id == r.id));
    runs.extend(named.map(|r| (Some(r.id), r.name.clone())));
    let current = match port.seat {
        Some(Seat::Run { run, .. }) => Some(run),
        Some(Seat::Arm { .. } | Seat::Outlet { .. }) | None => None,
    };
    form(ui, "seat", |ui| {
        if let Some(run) = choice(ui, id.with("sits on"), "Sits on", &current, &runs) {
            new.seat = run.and_then(|run| others.iter().find(|(id, _)| *id == run)).map(|(_, seat)| *seat);
            if new.seat.is_some() {
                new.attachment = Attachment::Welded;
            }
        }
        ui.end_row();
        if let Some(seat @ Seat::Run { .. }) = port.seat
            && let Some(changed) = place_ui(ui, ctx, id, seat)
        {
            new.seat = Some(changed);
        }
    });
}

fn place_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, seat: Seat) -> Option<Seat> {
    let Seat::Run { run, mut spot, mut clock_deg, mut angle_deg, mut offset_mm } = seat else { return None };
    let length = Kind::Length(ctx.units());
    let route = ctx.report.run(run).and_then(|r| r.built.route.as_ref());
    let spots = route.map(choices).unwrap_or_default();
    let mut places: Vec<(Stretch, String)> =
        spots.iter().map(|s| Stretch::of(*s)).map(|s| (s, s.words())).collect();
    let current = Stretch::of(spot);
    if places.iter().all(|(s, _)| *s != current) {
        places.push((current, current.words()));
    }
    if let Some(chosen) = choice(ui, id.with("seat place"), "Place", &current, &places)
        && let Some(there) = spots.iter().find(|s| Stretch::of(**s) == chosen)
    {
        spot = *there;
    }
    ui.end_row();
    match spot {
        Spot::Leg { leg, station_mm } => {
            if let Some(mm) = number_row(ui, id.with("seat station"), "Along the leg", station_mm, length) {
                spot = Spot::Leg { leg, station_mm: mm };
            }
        }
        Spot::Bend { leg, turn_deg } => {
            if let Some(deg) = number_row(ui, id.with("seat turn"), "Round the bend", turn_deg, Kind::Angle) {
                spot = Spot::Bend { leg, turn_deg: deg };
            }
        }
    }
    if let Some(deg) = number_row(ui, id.with("seat clock"), "Towards clock", clock_deg, Kind::Angle) {
        clock_deg = deg;
    }
    if let Some(deg) = number_row(ui, id.with("seat angle"), "Angle to travel", angle_deg, Kind::Angle) {
        angle_deg = deg;
    }
    if let Some(mm) = number_row(ui, id.with("seat offset"), "Offset of axes", offset_mm, length) {
        offset_mm = mm;
    }
    let changed = Seat::Run { run, spot, clock_deg, angle_deg, offset_mm };
    (changed != seat).then_some(changed)
}

/// Where a hardpoint that sits on a pipe is, which follows from that.
pub(super) fn follows_ui(ui: &mut Ui, ctx: UiCtx<'_>, port: &Hardpoint) {
    form(ui, "follows", |ui| {
        let body = ctx.project.body(port.body).map_or("", |b| b.name.as_str());
        ui.label("Moves with");
        ui.label(body);
        ui.end_row();
        let [x, y, z] = port.position_mm.to_array().map(|mm| units::length(mm, ctx.units()));
        ui.label("Face");
        ui.label(format!("X {x}, Y {y}, Z {z}"));
        ui.end_row();
        let [x, y, z] = port.direction.to_array().map(|part| units::plain_number(part, 3));
        ui.label("Direction");
        ui.label(format!("{x}, {y}, {z}"));
        ui.end_row();
    });
    ui.label(if matches!(port.seat, Some(Seat::Run { .. })) {
        "Face, direction and 12 o'clock follow from what it sits on; 12 o'clock is to where that run goes on."
    } else {
        "Face, direction and 12 o'clock follow from what it sits on."
    });
}
