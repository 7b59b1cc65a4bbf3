//! A stick drawn to scale with its pieces.

use crate::ctx::UiCtx;
use crate::panels::saw_words;
use crate::theme::{Tokens, bold_family};
use eframe::egui::{
    Color32, FontId, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2,
};
use pipeloft_core::report::{CutReport, StickReport};
use pipeloft_core::units;

/// Height of the picture, points.
const HEIGHT: f32 = 24.0;

/// A stick, and what it is made of.
#[derive(Clone, Copy)]
pub(super) struct Drawn<'a> {
    /// What it is called.
    pub(super) title: &'a str,
    /// The stick.
    pub(super) stick: &'a StickReport,
    /// Outside diameter, mm.
    pub(super) od_mm: f64,
    /// Colour of its metal; none where that is not known.
    pub(super) metal: Option<Color32>,
}

/// A face of a piece: its place along the stick at the bottom and at the top of the picture, mm.
#[derive(Clone, Copy)]
struct Face {
    bottom_mm: f64,
    top_mm: f64,
}

/// The stick and its pieces; the one under the pointer is told.
pub(super) fn drawn_ui(ui: &mut Ui, ctx: UiCtx<'_>, drawn: Drawn<'_>) {
    let stick = drawn.stick;
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), HEIGHT), Sense::hover());
    response.widget_info(|| {
        let marks: Vec<&str> = stick.cuts.iter().map(|c| c.mark.as_str()).collect();
        let name = format!("{} drawn to scale: {}", drawn.title, marks.join(", "));
        WidgetInfo::labeled(Role::Image, true, name)
    });
    if !ui.is_rect_visible(rect) {
        return;
    }
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let per_mm = f64::from(rect.width()) / stick.length_mm.max(1.0);
    let x = |mm: f64| rect.left() + (mm.clamp(0.0, stick.length_mm) * per_mm) as f32;
    let painter = ui.painter_at(rect.expand(1.0));
    let metal = drawn.metal.unwrap_or(tokens.text);
    let edge = Stroke::new(1.0, tokens.plate);
    painter.rect(rect, 0.0, metal.gamma_multiply(0.3), edge, eframe::egui::StrokeKind::Inside);
    for (cut, [first, second]) in stick.cuts.iter().zip(faces(stick, drawn.od_mm / 2.0)) {
        let corners = vec![
            pos2(x(first.bottom_mm), rect.bottom()),
            pos2(x(second.bottom_mm), rect.bottom()),
            pos2(x(second.top_mm), rect.top()),
            pos2(x(first.top_mm), rect.top()),
        ];
        painter.add(Shape::convex_polygon(corners, metal, edge));
        mark(&painter, [x(cut.at_mm), x(cut.to_mm)], rect, &cut.mark, tokens.metal_ink);
    }
    if let Some(pos) = response.hover_pos() {
        let mm = f64::from(pos.x - rect.left()) / per_mm;
        let words = stick.cuts.iter().find(|c| c.at_mm <= mm && mm <= c.to_mm).map_or_else(
            || format!("{} left over", units::long_length(stick.drop_mm, ctx.units())),
            |cut| words_of(ctx, cut),
        );
        response.on_hover_text_at_pointer(words);
    }
}

fn words_of(ctx: UiCtx<'_>, cut: &CutReport) -> String {
    if let Some(bar) = ctx.report.bars.iter().find(|b| b.mark == cut.mark) {
        return format!(
            "{} {}: {}",
            bar.mark,
            bar.name,
            units::length_paper(bar.cut_printed_mm, ctx.units())
        );
    }
    let (first, second) = (saw_words(ctx, cut.first_deg), saw_words(ctx, cut.saw_deg));
    let piece = cut.key.and_then(|key| ctx.report.printed(key));
    let long =
        piece.map_or_else(String::new, |p| format!(" long {},", units::length(p.long_mm, ctx.units())));
    format!("{}:{long} cut at {first} and {second}", cut.mark)
}

/// Both faces of each piece. Seen from one side, the turn of the tube between two cuts decides how much of a lean
/// shows: half a turn mirrors it.
fn faces(stick: &StickReport, radius_mm: f64) -> Vec<[Face; 2]> {
    let mut side = -1.0;
    let face = |at_mm: f64, tilt_deg: f64, side: f64| {
        let lean_mm = side * radius_mm * tilt_deg.to_radians().tan();
        Face { bottom_mm: at_mm - lean_mm, top_mm: at_mm + lean_mm }
    };
    let both = |cut: &CutReport| {
        if !cut.shares_cut {
            side = -1.0;
        }
        let first = face(cut.at_mm, cut.first_deg, side);
        side = cut.turn_deg.map_or(1.0, |turn| side * turn.to_radians().cos());
        [first, face(cut.to_mm, cut.saw_deg, side)]
    };
    stick.cuts.iter().map(both).collect()
}

fn mark(painter: &Painter, [from, to]: [f32; 2], rect: Rect, words: &str, ink: Color32) {
    let galley = painter.layout_no_wrap(words.to_owned(), FontId::new(12.0, bold_family()), ink);
    if galley.size().x + 2.0 < to - from {
        let centre = Pos2::new(f32::midpoint(from, to), rect.center().y);
        painter.galley(centre - galley.size() / 2.0, galley, ink);
    }
}
