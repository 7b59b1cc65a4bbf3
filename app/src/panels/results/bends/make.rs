//! How one bend is made: from which elbow, or into how many slices and at which radius.

use super::vertex_salt;
use crate::ctx::UiCtx;
use crate::panels::saw_words;
use crate::request::Requests;
use crate::widgets::{Kind, choice, number, number_hinted};
use eframe::egui::{Grid, Id, Label, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::edit::new_item::usual_welds;
use pipeloft_core::edit::reshape::with_make;
use pipeloft_core::fab::Mitre;
use pipeloft_core::fab::nest::saw_reads_deg;
use pipeloft_core::fab::route::Make;
use pipeloft_core::geom::tolerance::SAME_OD_MM;
use pipeloft_core::model::{BendMake, ElbowId, Ends, ReadySlice, Run, Tube};
use pipeloft_core::report::{BendReport, RunReport};
use pipeloft_core::units;

/// Steps of the saw are counted to within this share of one, so that what stands on a step stays there.
const ON_STEP: f64 = 1e-6;
/// Smallest throat and saw angle a bend may be given, mm and degrees.
const LEAST_THROAT_MM: f64 = 0.1;
const LEAST_SAW_DEG: f64 = 0.5;

/// What a bend is made from, as it is chosen.
#[derive(Clone, Copy, PartialEq)]
enum How {
    Elbow(ElbowId),
    Mitred(Ends),
}

/// What a mitred bend is divided by.
#[derive(Clone, Copy, PartialEq)]
enum Divided {
    Welds,
    Slices,
    Saw,
}

/// What the radius of a mitred bend is given by.
#[derive(Clone, Copy, PartialEq)]
enum Radius {
    Clr,
    Throat,
}

/// A mitred make, taken apart.
#[derive(Clone, Copy, PartialEq)]
struct Mitred {
    clr_mm: f64,
    welds: u32,
    ends: Ends,
    throat_mm: Option<f64>,
    saw_deg: Option<f64>,
}

impl Mitred {
    fn of(make: BendMake) -> Option<Self> {
        match make {
            BendMake::Mitred { clr_mm, welds, ends, throat_mm, saw_deg } => {
                Some(Self { clr_mm, welds, ends, throat_mm, saw_deg })
            }
            BendMake::Elbow { .. } => None,
        }
    }

    fn make(self) -> BendMake {
        let Self { clr_mm, welds, ends, throat_mm, saw_deg } = self;
        BendMake::Mitred { clr_mm, welds, ends, throat_mm, saw_deg }
    }
}

/// The fields of the bend at `index` and what follows from them.
pub(super) fn make_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    run: &Run,
    (report, index): (&RunReport, usize),
    requests: &mut Requests,
) {
    let bend = &report.bends[index];
    let id = Id::unique(("bend", run.id, vertex_salt(bend.vertex)));
    let (Some(make), Some(tube)) = (run.make(bend.vertex), ctx.project.tube(run.tube)) else { return };
    let mut new = make;
    Grid::new(id.with("grid")).num_columns(2).min_col_width(80.0).show(ui, |ui| {
        if let Some(how) = how_ui(ui, ctx, id, tube, make) {
            new = made(how, make, bend, tube);
        }
        ui.end_row();
        if let Some(old) = Mitred::of(make) {
            let mut mitred = old;
            divided_ui(ui, ctx, id, bend, &mut mitred);
            radius_ui(ui, ctx, id, bend, &mut mitred);
            ready_ui(ui, ctx, id, (bend, tube), &mut mitred);
            if mitred != old {
                new = mitred.make();
            }
        }
    });
    let mitre = report.built.route.as_ref().and_then(|r| r.bends.get(index)).and_then(|b| match &b.make {
        Make::Mitred(mitre) => Some(mitre),
        Make::Elbow(_) => None,
    });
    if let Some(mitre) = mitre {
        follows_ui(ui, ctx, mitre);
    }
    if new != make {
        requests.edit("change bend", Edit::PutRun(with_make(run, bend.vertex, new)));
    }
}

fn how_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, tube: &Tube, make: BendMake) -> Option<How> {
    let fits = ctx.project.elbows.iter().filter(|e| (e.od_mm - tube.od_mm).abs() <= SAME_OD_MM);
    let mut options: Vec<(How, String)> =
        fits.map(|e| (How::Elbow(e.id), ctx.project.elbow_name(e))).collect();
    options.push((How::Mitred(Ends::Half), "Mitred, half ends".to_owned()));
    options.push((How::Mitred(Ends::Full), "Mitred, full ends".to_owned()));
    let current = match make {
        BendMake::Elbow { elbow } => How::Elbow(elbow),
        BendMake::Mitred { ends, .. } => How::Mitred(ends),
    };
    choice(ui, id.with("how"), "Made as", &current, &options)
}

/// The bend made another way, as near to what it is as can be.
fn made(how: How, make: BendMake, bend: &BendReport, tube: &Tube) -> BendMake {
    let ends = match how {
        How::Elbow(elbow) => return BendMake::Elbow { elbow },
        How::Mitred(ends) => ends,
    };
    let least = Mitre::least_welds(ends);
    if let Some(old) = Mitred::of(make) {
        return Mitred { ends, welds: old.welds.max(least), ..old }.make();
    }
    let welds = usual_welds(bend.angle_deg.to_radians());
    BendMake::mitred(bend.clr_mm.max(tube.od_mm), welds.max(least), ends)
}

/// By welds, by slices or by a saw angle; changing the way keeps the shape.
fn divided_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, bend: &BendReport, mitred: &mut Mitred) {
    let slices_id = id.with("by slices");
    let by_slices = ui.data(|d| d.get_temp(slices_id)).unwrap_or(false);
    let current = match mitred.saw_deg {
        Some(_) => Divided::Saw,
        None if by_slices => Divided::Slices,
        None => Divided::Welds,
    };
    let options = [
        (Divided::Welds, "Number of welds".to_owned()),
        (Divided::Slices, "Number of slices".to_owned()),
        (Divided::Saw, "Saw angle of a batch".to_owned()),
    ];
    let old = *mitred;
    let present_welds = bend.welds.unwrap_or(old.welds).max(Mitre::least_welds(old.ends));
    if let Some(way) = choice(ui, id.with("divided"), "Divided by", &current, &options) {
        ui.data_mut(|d| d.insert_temp(slices_id, way == Divided::Slices));
        match way {
            Divided::Welds | Divided::Slices if old.saw_deg.is_some() => {
                (mitred.saw_deg, mitred.welds) = (None, present_welds);
            }
            Divided::Welds | Divided::Slices => {}
            Divided::Saw => {
                let present_deg = bend.saw_angle_deg.unwrap_or(LEAST_SAW_DEG);
                mitred.saw_deg = Some(up_to_step(present_deg, ctx.project.settings.saw.step_deg));
            }
        }
    }
    ui.end_row();
    match current {
        Divided::Welds => {
            if let Some(count) = number(ui, id.with("welds"), "Welds", f64::from(old.welds), Kind::Count) {
                mitred.welds = count as u32;
            }
        }
        Divided::Slices => {
            let slices = f64::from(old.welds.saturating_sub(1));
            let hint =
                "Whole slices between the welds; half slices that belong to the straights do not count";
            if let Some(count) =
                number_hinted(ui, id.with("slices"), "Whole slices", hint, slices, Kind::Count)
            {
                mitred.welds = (count as u32).saturating_add(1);
            }
        }
        Divided::Saw => {
            let scale = ctx.project.settings.saw.scale;
            let reads = |deg: f64| saw_reads_deg(deg.to_radians(), scale);
            let shown = reads(old.saw_deg.unwrap_or(LEAST_SAW_DEG));
            let hint = "What the saw's scale shows when the batch is cut. What is left of the bend goes into one odd weld.";
            if let Some(typed) = number_hinted(ui, id.with("saw"), "Saw angle", hint, shown, Kind::Angle) {
                // the scale counts either way, so reading it twice gives the tilt back
                mitred.saw_deg = Some(reads(typed));
            }
        }
    }
    ui.end_row();
}

/// The saw angle brought up to one the saw can be set to: up, so that the bend needs no more welds than before.
fn up_to_step(deg: f64, step_deg: f64) -> f64 {
    let step = step_deg.max(1e-3);
    ((deg / step - ON_STEP).ceil() * step).max(LEAST_SAW_DEG)
}

/// By the centreline radius or by a throat; changing the way keeps the shape.
fn radius_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, bend: &BendReport, mitred: &mut Mitred) {
    let old = *mitred;
    let current = if old.throat_mm.is_some() { Radius::Throat } else { Radius::Clr };
    let options =
        [(Radius::Clr, "CLR (centreline)".to_owned()), (Radius::Throat, "Throat of a slice".to_owned())];
    if let Some(way) = choice(ui, id.with("radius"), "Radius by", &current, &options) {
        match way {
            Radius::Clr => (mitred.clr_mm, mitred.throat_mm) = (bend.clr_mm, None),
            Radius::Throat => {
                let present_mm = bend.throat_mm.filter(|t| *t >= LEAST_THROAT_MM);
                let usual_mm = ctx.project.settings.shortest_throat_mm.max(LEAST_THROAT_MM);
                mitred.throat_mm = Some(present_mm.unwrap_or(usual_mm));
            }
        }
    }
    ui.end_row();
    let kind = Kind::Length(ctx.units());
    match old.throat_mm {
        None => {
            let hint = "Radius of the bend at the middle of the tube";
            if let Some(mm) = number_hinted(ui, id.with("clr"), "CLR", hint, old.clr_mm, kind) {
                mitred.clr_mm = mm;
            }
        }
        Some(throat_mm) => {
            let hint = "Short side of a whole slice, on the inside of the bend; the radius follows from it";
            if let Some(mm) = number_hinted(ui, id.with("throat"), "Throat", hint, throat_mm, kind) {
                mitred.throat_mm = Some(mm);
            }
        }
    }
    ui.end_row();
}

/// What stands on the shelf, to make the bend from.
fn ready_ui(ui: &mut Ui, ctx: UiCtx<'_>, id: Id, (bend, tube): (&BendReport, &Tube), mitred: &mut Mitred) {
    if tube.slices.is_empty() {
        return;
    }
    let is_made = |s: &ReadySlice| mitred.saw_deg == Some(s.saw_deg) && mitred.throat_mm == Some(s.throat_mm);
    let current = tube.slices.iter().position(is_made);
    let mut options = vec![(None, "As entered above".to_owned())];
    options.extend(tube.slices.iter().enumerate().map(|(i, s)| {
        let throat = units::length(s.throat_mm, ctx.units());
        (Some(i), format!("{} × {throat}: {} there", saw_words(ctx, s.saw_deg), s.count))
    }));
    if let Some(chosen) = choice(ui, id.with("ready"), "Ready slices", &current, &options) {
        if let Some(s) = chosen.and_then(|i| tube.slices.get(i)) {
            (mitred.saw_deg, mitred.throat_mm) = (Some(s.saw_deg), Some(s.throat_mm));
        } else {
            (mitred.clr_mm, mitred.throat_mm) = (bend.clr_mm, None);
        }
    }
    ui.end_row();
}

/// What follows from the entries.
fn follows_ui(ui: &mut Ui, ctx: UiCtx<'_>, mitre: &Mitre) {
    let system = ctx.units();
    let welds = if mitre.welds == 1 { "1 weld".to_owned() } else { format!("{} welds", mitre.welds) };
    let whole = match mitre.slices() {
        0 => "no whole slice".to_owned(),
        1 => "1 whole slice".to_owned(),
        n => format!("{n} whole slices"),
    };
    ui.add(Label::new(format!("{welds}, {whole}")).wrap());
    let saw = saw_words(ctx, mitre.saw_rad().to_degrees());
    let clr = units::length(mitre.clr_mm, system);
    ui.add(Label::new(format!("Saw at {saw}, CLR {clr}")).wrap()).on_hover_text(
        "As the saw's scale reads it, exactly. The pieces and the sheet have it rounded to the saw's steps.",
    );
    if mitre.slices() > 0 {
        let heel = units::length(mitre.heel_mm(), system);
        let throat = units::length(mitre.throat_mm(), system);
        ui.add(Label::new(format!("Heel {heel}, throat {throat}")).wrap())
            .on_hover_text("Long and short side of a whole slice");
    }
    if let Some(odd_rad) = mitre.odd_rad {
        let odd = saw_words(ctx, odd_rad.to_degrees());
        let words = format!(
            "The last weld takes what is left: its two faces are cut at {odd}, so the slice before it is odd"
        );
        ui.add(Label::new(words).wrap());
    }
    let step_mm = mitre.step_mm();
    if step_mm > 0.05 {
        ui.add(Label::new(format!("Outer welds stand proud by {}", units::length(step_mm, system))).wrap())
            .on_hover_text(
                "A mitred face on a square end: the long axis of the ellipse is wider than the tube",
            );
    }
}
