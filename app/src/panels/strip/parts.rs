//! Small parts in the strip: a block on the side they stand, as for the lobes of joints.

use super::Scale;
use crate::ctx::UiCtx;
use crate::theme::{Tokens, bold_family};
use eframe::egui::{Align2, FontId, Painter, Pos2, Rect, Stroke, StrokeKind, pos2, vec2};
use pipeloft_core::report::{PartReport, RunReport};
use pipeloft_core::units;

/// Side of the block, points.
const BLOCK: f32 = 9.0;

/// The middle of a part's block: seen from the side, 12 o'clock on top.
fn centre(scale: &Scale, report: &RunReport, starts: &[f64], part: &PartReport) -> Option<Pos2> {
    let piece = report.built.pieces.get(part.piece_index)?;
    let x = scale.x(starts.get(part.piece_index)? + part.along_piece_mm);
    let out = scale.half_of(piece.od_mm.max(piece.end_od_mm())) + BLOCK / 2.0;
    let up = part.clock_deg.to_radians().cos() as f32;
    Some(pos2(x, scale.middle - up * out))
}

/// The part under the pointer.
pub(super) fn at<'a>(
    scale: &Scale,
    report: &'a RunReport,
    starts: &[f64],
    pointer: Pos2,
) -> Option<&'a PartReport> {
    report
        .parts
        .iter()
        .find(|part| centre(scale, report, starts, part).is_some_and(|c| c.distance(pointer) < BLOCK))
}

/// What a part is, where it sits.
pub(super) fn words(ctx: UiCtx<'_>, part: &PartReport) -> String {
    let at = units::clock_and_arc(part.clock_deg, part.od_mm, ctx.units());
    let from = if part.from_end { "end" } else { "start" };
    format!(
        "{} {}, {}\non {}, {} from its {from}, at {at}",
        part.mark,
        part.name,
        part.what,
        part.piece,
        units::length_paper(part.printed_at_mm, ctx.units()),
    )
}

/// Blocks of all parts, each with its mark where there is room: beside the metal, which has marks of its own.
pub(super) fn draw(painter: &Painter, scale: &Scale, report: &RunReport, starts: &[f64], tokens: &Tokens) {
    let mut free = f32::MIN;
    for part in &report.parts {
        let Some(centre) = centre(scale, report, starts, part) else { continue };
        let block = Rect::from_center_size(centre, vec2(BLOCK, BLOCK));
        painter.rect(
            block,
            2.0,
            crate::theme::tokens::STEEL,
            Stroke::new(1.0, tokens.text),
            StrokeKind::Middle,
        );
        if centre.x >= free && (centre.y - scale.middle).abs() >= scale.half {
            let font = FontId::new(11.0, bold_family());
            let beside = block.right_center() + vec2(3.0, 0.0);
            let drawn = painter.text(beside, Align2::LEFT_CENTER, &part.mark, font, tokens.text);
            free = drawn.right() + BLOCK;
        }
    }
}
