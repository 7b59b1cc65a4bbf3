//! The strip: the selected run straightened out to scale, pieces and welds in order.

mod parts;

use super::results::weld_words;
use crate::ctx::UiCtx;
use crate::request::{Request, Requests};
use crate::selection::Selection;
use crate::theme::{Tokens, bold_family, metal_of};
use eframe::egui::{
    self, Align2, FontId, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2,
};
use pipeloft_core::fab::{Piece, PieceKind};
use pipeloft_core::model::{Item, Project, Run};
use pipeloft_core::report::{PieceForm, RunReport, WeldReport};
use pipeloft_core::units;

/// Room left and right of the pipe, points.
const MARGIN: f32 = 16.0;
/// Height of the pipe at most, points.
const TALLEST: f32 = 40.0;

/// Room a clock face with its mark takes, points.
const DIAL_ROOM: f32 = 25.0;
/// Least width of a joint, points: where nothing is between its tubes it is still to be seen.
const LEAST_JOINT: f32 = 5.0;

/// From millimetres along the pipe to points.
struct Scale {
    left: f32,
    middle: f32,
    points_per_mm: f64,
    /// Half the height of the pipe where it is thickest, points; to scale where there is room.
    half: f32,
    /// That thickness, mm.
    thickest_mm: f64,
}

impl Scale {
    fn x(&self, mm: f64) -> f32 {
        self.left + (mm * self.points_per_mm) as f32
    }

    /// Half the height of a tube, points.
    fn half_of(&self, od_mm: f64) -> f32 {
        self.half * (od_mm / self.thickest_mm) as f32
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
    let dials = dials(&scale, report, &starts);
    if let Some(pos) = response.hover_pos() {
        let mm = f64::from(pos.x - scale.left) / scale.points_per_mm;
        let over_dial = dials.iter().find(|(_, at)| at.distance(pos) < DIAL_ROOM / 2.0);
        let over_part = parts::at(&scale, report, &starts, pos);
        if let Some(part) = over_part {
            if response.clicked() {
                requests.push(Request::Show(part.spot));
            }
            response.on_hover_text_at_pointer(parts::words(ctx, part));
        } else if let Some((index, _)) = over_dial {
            if response.clicked() {
                requests.push(Request::Show(report.welds[*index].spot));
            }
            response.on_hover_text_at_pointer(weld_words(ctx, &report.welds[*index]));
        } else if let Some(index) = piece_at(&scale, report, &starts, mm) {
            requests.push(Request::Hover(Selection::piece(report, index)));
            if response.clicked() {
                requests.select(Selection::piece(report, index));
            }
            response.on_hover_text_at_pointer(piece_words(ctx, report, index));
        }
    }
    ends(&painter, &scale, report, tokens);
    // joints over the tubes they hold: those of a slip joint lie in each other
    let is_joint = |i: &usize| matches!(pieces[*i].kind, PieceKind::Joint(_));
    let (joints, tubes): (Vec<usize>, Vec<usize>) = (0..pieces.len()).partition(is_joint);
    let hovered = ctx.hovered_piece().filter(|_| ctx.hover.item == Some(item));
    let selected = ctx.selected_piece();
    for i in tubes.into_iter().chain(joints) {
        let lit = hovered == Some(i);
        let on = selected == Some(i);
        let ring = if on || lit { Some(tokens.selected) } else { None };
        draw_piece(&painter, ctx.project, run, &scale, &pieces[i], starts[i], ring, tokens);
    }
    parts::draw(&painter, &scale, report, &starts, tokens);
    for (index, centre) in dials {
        dial(&painter, &scale, centre, &report.welds[index], tokens);
    }
}

/// The welds that have room for a clock face, and where its middle is.
fn dials(scale: &Scale, report: &RunReport, starts: &[f64]) -> Vec<(usize, Pos2)> {
    let at = |weld: &WeldReport| {
        let mm = starts.get(weld.before).copied().unwrap_or(report.centreline_mm);
        pos2(scale.x(mm), scale.middle - scale.half - 16.0)
    };
    let fit = report.welds.iter().find(|w| w.fit).map(at);
    let mut free = f32::MIN;
    let mut out = Vec::new();
    for (index, weld) in report.welds.iter().enumerate() {
        let centre = at(weld);
        // the weld that is fitted last always has its face; of the others those that have room beside it
        let taken = fit.is_some_and(|f| (f.x - centre.x).abs() < DIAL_ROOM) && !weld.fit;
        if weld.fit || (centre.x >= free && !taken) {
            out.push((index, centre));
            free = centre.x + DIAL_ROOM;
        }
    }
    out
}

/// The piece at a place along the pipe; a joint before the tubes it overlaps.
fn piece_at(scale: &Scale, report: &RunReport, starts: &[f64], mm: f64) -> Option<usize> {
    let pieces = &report.built.pieces;
    let over = |i: &usize| {
        let (from, to) = extent(scale, &pieces[*i], starts[*i]);
        let x = scale.x(mm);
        matches!(pieces[*i].kind, PieceKind::Joint(_)) && from <= x && x <= to
    };
    let tube = || {
        let within = |i: &usize| starts[*i] <= mm && mm <= starts[*i] + pieces[*i].centre_mm;
        (0..pieces.len()).rev().find(within)
    };
    (0..pieces.len()).find(over).or_else(tube)
}

/// Where a piece begins and ends, points.
fn extent(scale: &Scale, piece: &Piece, from_mm: f64) -> (f32, f32) {
    let (a, b) = (scale.x(from_mm), scale.x(from_mm + piece.centre_mm));
    let (from, to) = (a.min(b), a.max(b));
    match piece.kind {
        PieceKind::Joint(_) => {
            let short = (LEAST_JOINT - (to - from)).max(0.0) / 2.0;
            (from - short, to + short)
        }
        PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Taper(_) => (from, to),
    }
}

fn piece_words(ctx: UiCtx<'_>, report: &RunReport, index: usize) -> String {
    let piece = &report.printed[index];
    let words = format!("{} {}", piece.mark, piece.joint.as_deref().unwrap_or(piece.kind.name()));
    let system = ctx.units();
    if piece.kind != PieceForm::Joint {
        let (long, short) = (units::length(piece.long_mm, system), units::length(piece.short_mm, system));
        return format!("{words}: long {long}, short {short}");
    }
    if piece.centre_mm < 0.0 {
        return format!(
            "{words}: the tubes lie in each other for {}",
            units::length(-piece.centre_mm, system)
        );
    }
    format!("{words}: make-up {}", units::length(piece.centre_mm, system))
}

fn note(painter: &Painter, rect: Rect, tokens: &Tokens, words: &str) {
    let width = (rect.width() - 2.0 * MARGIN).max(40.0);
    let galley = painter.layout(words.to_owned(), FontId::proportional(14.0), tokens.text, width);
    painter.galley(rect.center() - galley.size() / 2.0, galley, tokens.text);
}

fn scale(rect: Rect, report: &RunReport) -> Scale {
    let width = f64::from((rect.width() - 2.0 * MARGIN).max(10.0));
    let points_per_mm = width / report.centreline_mm.max(1.0);
    let thickest = |most: f64, p: &Piece| most.max(p.od_mm).max(p.end_od_mm());
    let thickest_mm = report.built.pieces.iter().fold(report.tube.od_mm, thickest);
    let half = ((thickest_mm * points_per_mm / 2.0) as f32).clamp(9.0, TALLEST / 2.0);
    Scale { left: rect.left() + MARGIN, middle: rect.center().y + 8.0, points_per_mm, half, thickest_mm }
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
    let (left, right) = extent(scale, piece, from);
    let joint = matches!(piece.kind, PieceKind::Joint(_));
    let more = if joint { 6.0 } else { 0.0 };
    let (half, half_at_end) = (scale.half_of(piece.od_mm) + more, scale.half_of(piece.end_od_mm()) + more);
    let metal = project.tube(run.tube).map_or(tokens.text, |t| metal_of(t.material));
    let fill = match piece.kind {
        // the tubes show through where they overlap
        PieceKind::Joint(_) if piece.centre_mm < 0.0 => crate::theme::tokens::JOINT.gamma_multiply(0.6),
        PieceKind::Joint(_) => crate::theme::tokens::JOINT,
        PieceKind::Elbow(_) => metal.gamma_multiply(0.8),
        PieceKind::Straight | PieceKind::Slice | PieceKind::Taper(_) => metal,
    };
    let outline = ring.map_or(Stroke::new(1.0, tokens.plate), |c| Stroke::new(3.0, c));
    let corners = [(left, -half), (right, -half_at_end), (right, half_at_end), (left, half)];
    let corners = corners.into_iter().map(|(x, y)| pos2(x, scale.middle + y)).collect();
    painter.add(Shape::convex_polygon(corners, fill, outline));
    let centre = pos2(f32::midpoint(left, right), scale.middle);
    if let (PieceKind::Joint(_), Some(clock)) = (piece.kind, piece.lobe_clock_rad) {
        // the lobe as a block on the side it stands, seen from the side of 12 o'clock on top
        let y = scale.middle - (clock.cos() as f32) * (half + 4.0);
        painter.rect_filled(
            Rect::from_center_size(pos2(centre.x, y), vec2(8.0, 8.0)),
            1.0,
            crate::theme::tokens::LOBE,
        );
    }
    let width = right - left;
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

/// A small clock face over a weld, seen along the travel, with a hand at the heel mark; the weld that is fitted last
/// has a filled diamond instead.
fn dial(painter: &Painter, scale: &Scale, centre: Pos2, weld: &WeldReport, tokens: &Tokens) {
    let bottom = pos2(centre.x, scale.middle - scale.half - 1.0);
    painter
        .line_segment([centre + vec2(0.0, 7.0), bottom], Stroke::new(1.0, tokens.text.gamma_multiply(0.5)));
    let hand_ink = if weld.fit {
        let corners = [vec2(0.0, -9.0), vec2(9.0, 0.0), vec2(0.0, 9.0), vec2(-9.0, 0.0)];
        let corners = corners.into_iter().map(|c| centre + c).collect();
        painter.add(Shape::convex_polygon(corners, tokens.warn, Stroke::new(1.2, tokens.text)));
        tokens.plate
    } else {
        painter.circle_stroke(centre, 7.0, Stroke::new(1.2, tokens.text));
        tokens.selected
    };
    if let Some(clock) = weld.printed_clock_deg.map(f64::to_radians) {
        let hand = vec2(clock.sin() as f32, -(clock.cos() as f32)) * 7.0;
        painter.line_segment([centre, centre + hand], Stroke::new(2.2, hand_ink));
    }
    painter.text(
        centre - vec2(0.0, 9.0),
        Align2::CENTER_BOTTOM,
        &weld.mark,
        FontId::proportional(10.5),
        tokens.text,
    );
}
