//! What stands on every page: which project and run, what it was computed from, and the page number.

use crate::sheet::fonts::{fit_text, text_width_mm};
use crate::sheet::page::{Anchor, Grey, Page, Pen, Text};

/// Free space round a page, mm: what common printers can print, and room for tape.
pub(in crate::sheet) const MARGIN_MM: f64 = 10.0;
/// Height of the foot of a page, mm.
pub(in crate::sheet) const FOOT_MM: f64 = 8.0;
const SIZE: f64 = 3.6;

/// Draws the foot of page `number` of `count`.
pub(in crate::sheet) fn foot(
    page: &mut Page,
    project: &str,
    run: &str,
    stamp: &str,
    (number, count): (usize, usize),
) {
    let (width, height) = page.size_mm;
    let (left, right, base) = (MARGIN_MM, width - MARGIN_MM, height - MARGIN_MM - 1.0);
    let line = base - 5.0;
    page.line((left, line), (right, line), Pen::solid(0.25));
    let place = format!("page {number} of {count}");
    let revision = format!("revision {stamp}");
    let end_mm = text_width_mm(&place, SIZE, true);
    page.text(Text::new((right, base), SIZE, place).bold().anchored(Anchor::End));
    let stamp_right = right - end_mm - 8.0;
    let stamp_mm = text_width_mm(&revision, SIZE, false);
    page.text(Text::new((stamp_right, base), SIZE, revision).anchored(Anchor::End).in_grey(Grey(40)));
    // the rest is shared by the two names, which may be of any length
    let room = stamp_right - stamp_mm - 8.0 - left;
    let for_running = text_width_mm(run, SIZE, false).min(room * 0.45) + 4.0;
    let project = fit_text(project, SIZE, true, room - for_running);
    let used = text_width_mm(&project, SIZE, true) + 4.0;
    page.text(Text::new((left, base), SIZE, project).bold());
    page.text(Text::new((left + used, base), SIZE, fit_text(run, SIZE, false, room - used)));
}
