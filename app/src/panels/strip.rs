//! The strip: the selected run straightened out to scale, pieces and welds in order.

use crate::ctx::UiCtx;
use crate::request::{Request, Requests, Selection};
use crate::theme::{Tokens, bold_family, metal_of};
use eframe::egui::{self, Align2, FontId, Painter, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use pipeloft_core::fab::{Piece, PieceKind};
use pipeloft_core::model::{Item, Project, Run};
use pipeloft_core::report::RunReport;
use pipeloft_core::units;

/// Room left and right of the pipe, points.
const MARGIN: f32 = 16.0;
/// Height of the pipe at most, points.
const TALLEST: f32 = 40.0;

/// Room a clock face with its mark takes, points.
const DIAL_ROOM: f32 = 25.0;

/// From millimetres along the pipe to points.
struct Scale {
    left: f32,
    middle: f32,
    points_per_mm: f64,
    /// Half the height of the pipe, points; as wide as it is to scale where there is room.
    half: f32,
}

impl Scale {
    fn x(&self, mm: f64) -> f32 {
        self.left + (mm * self.points_per_mm) as f32
    }
}

/// The panel above the status line.
pub(crate) fn strip_ui(ui: &mut Ui, ctx: UiCtx<'_>, requests: &mut Requests) {
    let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Strip: the run straightened out"));
    let painter = ui.painter_at(rect);
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let Some((run, report)) = ctx.selected_run() else {
        note(&painter, rect, tokens, "Select a run: it is shown here straightened out, piece by piece.");
        return;
    };
    let pieces = &report.built.pieces;
    if pieces.is_empty() {
        note(&painter, rect, tokens, "This run cannot be built yet: see the problems on the right.");
        return;
    }
    let scale = scale(rect, report);
    let starts: Vec<f64> = pieces
        .iter()
        .scan(0.0, |at, p| {
            let from = *at;
            *at += p.centre_mm;
            Some(from)
        })
        .collect();
    let item = Item::Run(run.id);
    if let Some(pos) = response.hover_pos() {
        let mm = f64::from(pos.x - scale.left) / scale.points_per_mm;
        let index = starts.iter().rposition(|s| *s <= mm).filter(|_| mm <= report.centreline_mm);
        if let Some(index) = index {
            requests.push(Request::Hover(Selection::piece(item, index)));
            if response.clicked() {
                requests.select(Selection::piece(item, index));
            }
            let piece = &report.pieces[index];
            let words = format!("{} {}", piece.mark, piece.joint.as_deref().unwrap_or(piece.kind));
            let long = units::length(piece.long_mm, ctx.units());
            let short = units::length(piece.short_mm, ctx.units());
            response.on_hover_text_at_pointer(format!("{words}: long {long}, short {short}"));
        }
    }
    ends(&painter, &scale, report, tokens);
    for (i, (piece, from)) in pieces.iter().zip(&starts).enumerate() {
        let lit = ctx.hover.item == Some(item) && ctx.hover.piece == Some(i);
        let on = ctx.selection.piece == Some(i);
        let ring = if on || lit { Some(tokens.selected) } else { None };
        draw_piece(&painter, ctx.project, run, &scale, piece, *from, ring, tokens);
    }
    let mut free = f32::MIN;
    for weld in &report.built.welds {
        let at = starts.get(weld.before).copied().unwrap_or(report.centreline_mm);
        // where welds stand closer than their clock faces, only those are drawn that have room
        if scale.x(at) >= free {
            dial(&painter, &scale, at, weld.heel_clock_rad, &weld.mark, tokens);
            free = scale.x(at) + DIAL_ROOM;
        }
    }
}

fn note(painter: &Painter, rect: Rect, tokens: &Tokens, words: &str) {
    painter.text(rect.center(), Align2::CENTER_CENTER, words, FontId::proportional(14.0), tokens.text);
}

fn scale(rect: Rect, report: &RunReport) -> Scale {
    let width = f64::from((rect.width() - 2.0 * MARGIN).max(10.0));
    let points_per_mm = width / report.centreline_mm.max(1.0);
    let half = ((report.tube.od_mm * points_per_mm / 2.0) as f32).clamp(9.0, TALLEST / 2.0);
    Scale { left: rect.left() + MARGIN, middle: rect.center().y + 8.0, points_per_mm, half }
}

/// Names of the two ends, each within its half.
fn ends(painter: &Painter, scale: &Scale, report: &RunReport, tokens: &Tokens) {
    let y = scale.middle + scale.half + 8.0;
    let right = scale.x(report.centreline_mm);
    let half = ((right - scale.left) / 2.0 - 8.0).max(40.0);
    for (words, at_right) in [(format!("from {}", report.from), false), (format!("to {}", report.to), true)] {
        let mut job =
            egui::text::LayoutJob::simple_singleline(words, FontId::proportional(12.5), tokens.text);
        job.wrap = egui::text::TextWrapping::truncate_at_width(half);
        let galley = painter.layout_job(job);
        let x = if at_right { right - galley.size().x } else { scale.left };
        painter.galley(pos2(x, y), galley, tokens.text);
    }
}

#[expect(clippy::too_many_arguments, reason = "one picture element with all that decides its look")]
fn draw_piece(
    painter: &Painter,
    project: &Project,
    run: &Run,
    scale: &Scale,
    piece: &Piece,
    from: f64,
    ring: Option<egui::Color32>,
    tokens: &Tokens,
) {
    let to = from + piece.centre_mm;
    let joint = matches!(piece.kind, PieceKind::Joint(_));
    let half = if joint { scale.half + 6.0 } else { scale.half };
    let (top, bottom) = (scale.middle - half, scale.middle + half);
    let rect = Rect::from_min_max(pos2(scale.x(from), top), pos2(scale.x(to), bottom));
    let metal = project.tube(run.tube).map_or(tokens.text, |t| metal_of(t.material));
    let fill = match piece.kind {
        PieceKind::Joint(_) => crate::theme::tokens::JOINT,
        PieceKind::Elbow(_) => metal.gamma_multiply(0.8),
        PieceKind::Straight | PieceKind::Slice => metal,
    };
    let outline = ring.map_or(Stroke::new(1.0, tokens.plate), |c| Stroke::new(3.0, c));
    painter.rect(rect, 0.0, fill, outline, egui::StrokeKind::Middle);
    let centre = pos2(scale.x(f64::midpoint(from, to)), scale.middle);
    if let (PieceKind::Joint(_), Some(clock)) = (piece.kind, piece.lobe_clock_rad) {
        // the lobe as a block on the side it stands, seen from the side of 12 o'clock on top
        let y = scale.middle - (clock.cos() as f32) * (half + 4.0);
        painter.rect_filled(
            Rect::from_center_size(pos2(centre.x, y), vec2(8.0, 8.0)),
            1.0,
            crate::theme::tokens::LOBE,
        );
    }
    let width = scale.x(to) - scale.x(from);
    let words = match piece.kind {
        PieceKind::Elbow(e) if width > 74.0 => {
            format!("{}  {}", piece.mark, units::angle(e.angle_rad.to_degrees(), 1))
        }
        _ => piece.mark.clone(),
    };
    let font = FontId::new(12.5, bold_family());
    let ink = if joint { tokens.joint_ink } else { tokens.metal_ink };
    let galley = painter.layout_no_wrap(words, font, ink);
    if galley.size().x + 4.0 < width {
        painter.galley(centre - galley.size() / 2.0, galley, ink);
    }
}

/// A small clock face over a weld, seen along the travel, with a hand at the heel mark.
fn dial(painter: &Painter, scale: &Scale, at: f64, heel: Option<f64>, mark: &str, tokens: &Tokens) {
    let centre = pos2(scale.x(at), scale.middle - scale.half - 16.0);
    let bottom = pos2(centre.x, scale.middle - scale.half - 1.0);
    painter
        .line_segment([centre + vec2(0.0, 7.0), bottom], Stroke::new(1.0, tokens.text.gamma_multiply(0.5)));
    painter.circle_stroke(centre, 7.0, Stroke::new(1.2, tokens.text));
    if let Some(clock) = heel {
        let hand = vec2(clock.sin() as f32, -(clock.cos() as f32)) * 7.0;
        painter.line_segment([centre, centre + hand], Stroke::new(2.2, tokens.selected));
    }
    painter.text(
        centre - vec2(0.0, 9.0),
        Align2::CENTER_BOTTOM,
        mark,
        FontId::proportional(10.5),
        tokens.text,
    );
}
