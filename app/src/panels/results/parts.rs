//! The small parts on a run.

use super::fold;
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::theme::bold;
use crate::widgets::{Kind, capital, choice, name_field, number};
use eframe::egui::{Frame, Grid, Id, Label, Ui};
use pipeloft_core::edit::{Edit, new_item};
use pipeloft_core::fab::spot::bend_after;
use pipeloft_core::model::{BungUse, Held, Holding, Part, PartKind, Run, Screwed};
use pipeloft_core::report::{PartReport, RunReport};
use pipeloft_core::units;

/// What is screwed in, as it is entered first (a sensor with its plug).
const FIRST_SCREWED: Screwed = Screwed { diameter_mm: 22.0, length_mm: 60.0, removal_mm: 40.0 };

/// The parts.
pub(crate) fn parts_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, report: &RunReport, requests: &mut Requests) {
    let title = format!("Small parts ({})", run.parts.len());
    fold(ui, &title, "parts", true, |ui| {
        for part in &run.parts {
            ui.push_id(("part", part.id), |ui| part_ui(ui, ctx, (run, report), part, requests));
        }
        let menu = ui.menu_button("Add small part", |ui| {
            for kind in new_item::parts_for(run.service, ctx.units()) {
                if ui.button(kind.name()).clicked() {
                    let mut project = ctx.project.clone();
                    let mut new = run.clone();
                    new.parts.push(new_item::part(&mut project, run, kind.clone()));
                    requests.edit(format!("add {}", kind.name().to_lowercase()), Edit::PutRun(new));
                    ui.close();
                }
            }
        });
        menu.response.on_hover_text("Bungs, flanges on stubs, brackets, heat shields, beads");
    });
}

/// Fields in rows of two columns, the id made from the label.
struct Rows<'a> {
    ui: &'a mut Ui,
    id: Id,
}

impl Rows<'_> {
    fn number(&mut self, label: &str, value: &mut f64, kind: Kind) {
        if let Some(x) = number(self.ui, self.id.with(label), label, *value, kind) {
            *value = x;
        }
        self.ui.end_row();
    }

    fn choice<T: PartialEq + Clone>(&mut self, label: &str, value: &mut T, options: &[(T, String)]) {
        if let Some(x) = choice(self.ui, self.id.with(label), label, &value.clone(), options) {
            *value = x;
        }
        self.ui.end_row();
    }
}

fn part_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    (run, report): (&Run, &RunReport),
    part: &Part,
    requests: &mut Requests,
) {
    let id = Id::unique(("part", run.id, part.id));
    let legs = report.built.route.as_ref().map_or(0, |r| r.places.len());
    let mut new = part.clone();
    Frame::group(ui.style()).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.label(bold(part.kind.name()));
        Grid::new(id.with("grid")).num_columns(2).min_col_width(118.0).show(ui, |ui| {
            if let Some(name) = name_field(ui, id.with("name"), "Name", &part.name) {
                new.name = name;
            }
            ui.end_row();
            let mut places: Vec<((usize, bool), String)> = Vec::new();
            let round = matches!(part.kind, PartKind::Bung(_) | PartKind::Stub(_));
            for leg in 0..legs.max(part.leg + 1) {
                places.push(((leg, false), format!("Leg {}", leg + 1)));
                let bend = report.built.route.as_ref().is_some_and(|r| bend_after(r, leg).is_some());
                // only what is round sits on a bend
                if (bend && round) || (leg == part.leg && part.turn_deg.is_some()) {
                    places.push(((leg, true), format!("Bend after leg {}", leg + 1)));
                }
            }
            let length = Kind::Length(ctx.units());
            let mut rows = Rows { ui, id };
            let mut place = (part.leg, part.turn_deg.is_some());
            rows.choice("Part on", &mut place, &places);
            if place != (part.leg, part.turn_deg.is_some()) {
                (new.leg, new.turn_deg) = (place.0, place.1.then(|| middle_of_bend(report, place.0)));
            }
            match &mut new.turn_deg {
                Some(turn_deg) => rows.number("Round the bend", turn_deg, Kind::Angle),
                None => rows.number("Part middle at", &mut new.station_mm, length),
            }
            rows.number("Stands at clock", &mut new.clock_deg, Kind::Angle);
            kind_ui(&mut rows, ctx, &mut new.kind);
        });
        if let Some(told) = report.parts.iter().find(|p| p.id == part.id) {
            ui.add(Label::new(words(ctx, told)).wrap());
        }
        if ui.button("Delete part").clicked() {
            let mut run = run.clone();
            run.parts.retain(|p| p.id != part.id);
            requests.edit("delete part", Edit::PutRun(run));
        }
    });
    if new != *part {
        let mut run = run.clone();
        if let Some(old) = run.parts.iter_mut().find(|p| p.id == part.id) {
            *old = new;
        }
        requests.edit("change part", Edit::PutRun(run));
    }
}

/// Half way round the bend after a leg, degrees.
fn middle_of_bend(report: &RunReport, leg: usize) -> f64 {
    let route = report.built.route.as_ref();
    let bend = route.and_then(|r| r.bends.get(bend_after(r, leg)?));
    bend.map_or(0.0, |bend| bend.angle_rad.to_degrees() / 2.0)
}

fn kind_ui(rows: &mut Rows<'_>, ctx: UiCtx<'_>, kind: &mut PartKind) {
    let (length, fine) = (Kind::Length(ctx.units()), Kind::Fine(ctx.units()));
    match kind {
        PartKind::Bung(b) => {
            let uses = BungUse::ALL.map(|u| (u, capital(u.words())));
            rows.choice("Bung is for", &mut b.purpose, &uses);
            if let Some(thread) = name_field(rows.ui, rows.id.with("thread"), "Thread", &b.thread) {
                b.thread = thread;
            }
            rows.ui.end_row();
            rows.number("Boss diameter", &mut b.boss_mm, length);
            rows.number("Stands out", &mut b.height_mm, length);
            rows.number("Hole", &mut b.hole_mm, length);
            screwed_ui(rows, ctx, &mut b.screwed);
        }
        PartKind::Stub(s) => {
            rows.number("Stub outside", &mut s.od_mm, length);
            rows.number("Stub wall", &mut s.wall_mm, fine);
            rows.number("Skin to flange face", &mut s.length_mm, length);
            rows.number("Angle to travel", &mut s.angle_deg, Kind::Angle);
            rows.number("Flange diameter", &mut s.flange_mm, length);
            rows.number("Flange thickness", &mut s.flange_thick_mm, length);
            screwed_ui(rows, ctx, &mut s.screwed);
        }
        PartKind::Bracket(b) => {
            rows.number("Length along tube", &mut b.along_mm, length);
            rows.number("Plate thickness", &mut b.thick_mm, length);
            rows.number("Plate stands out", &mut b.height_mm, length);
            let mut options = vec![(None, "Nothing".to_owned())];
            for body in &ctx.project.bodies {
                for (holding, how) in [(Holding::Fixed, "fixed"), (Holding::Sliding, "sliding")] {
                    options.push((Some(Held { body: body.id, holding }), format!("{}, {how}", body.name)));
                }
            }
            rows.choice("Tied to", &mut b.held, &options);
        }
        PartKind::Shield(s) => {
            rows.number("Shield length", &mut s.length_mm, length);
            rows.number("Gap to tube", &mut s.gap_mm, length);
            rows.number("Shield thickness", &mut s.thick_mm, fine);
            rows.number("Goes round", &mut s.around_deg, Kind::Angle);
            rows.number("Gap to what heat harms", &mut s.hot_gap_mm, length);
        }
        PartKind::Bead(b) => {
            rows.number("Bead height", &mut b.height_mm, fine);
            rows.number("Bead width", &mut b.width_mm, length);
        }
    }
}

fn screwed_ui(rows: &mut Rows<'_>, ctx: UiCtx<'_>, screwed: &mut Option<Screwed>) {
    let length = Kind::Length(ctx.units());
    let mut has = screwed.is_some();
    rows.choice(
        "In it",
        &mut has,
        &[(false, "Nothing".to_owned()), (true, "Something screwed in".to_owned())],
    );
    if has != screwed.is_some() {
        *screwed = has.then(|| new_item::round_screwed(FIRST_SCREWED, ctx.units()));
        return;
    }
    if let Some(s) = screwed {
        rows.number("Its diameter", &mut s.diameter_mm, length);
        rows.number("It stands out", &mut s.length_mm, length);
        rows.number("Room to take it out", &mut s.removal_mm, length);
    }
}

fn words(ctx: UiCtx<'_>, part: &PartReport) -> String {
    let system = ctx.units();
    let weld = if part.weld_length_mm > 0.0 {
        format!(", weld {}", units::length(part.weld_length_mm, system))
    } else {
        String::new()
    };
    let end = if part.from_end { "end" } else { "start" };
    format!(
        "{} on {}: {} from its {end}, {}{weld}",
        part.mark,
        part.piece,
        units::length_paper(part.printed_at_mm, system),
        units::clock_and_arc(part.clock_deg, part.od_mm, system)
    )
}
