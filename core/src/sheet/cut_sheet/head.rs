//! The head of a run: its name, its tube, where it goes, and the figures everybody asks for first.

use super::flow::{BODY, Flow};
use super::{Source, notes};
use crate::finding::Severity;
use crate::report::{RunReport, WeldReport};
use crate::sheet::fonts::{fit_text, text_width_mm};
use crate::sheet::page::{Grey, Page, Pen, Text};
use crate::units::fine_length;
use crate::units::{angle, length, length_paper, long_length, mass, tube_size, wall};

const NAME: f64 = 9.0;
const LINE: f64 = 5.0;
const FIGURE: f64 = 6.4;
const CAPTION: f64 = 3.8;
/// Height of the row of figures, mm.
const FIGURES_MM: f64 = 17.5;

/// Name and letters, service, tube, and where it goes.
pub(super) fn names(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let units = source.project.settings.units;
    let strip = flow.take(NAME * 1.25);
    let base = strip.top + NAME * 0.85;
    let letters_mm = text_width_mm(&run.letters, NAME, true);
    let page = flow.page();
    page.rect((strip.left, strip.top), (letters_mm + 6.0, NAME * 1.1), None, Some(Grey::BLACK));
    let letters = Text::new((strip.left + 3.0, base), NAME, run.letters.clone());
    page.text(letters.bold().in_grey(Grey::WHITE));
    let name = fit_text(&run.name, NAME, true, strip.width - letters_mm - 10.0);
    page.text(Text::new((strip.left + letters_mm + 10.0, base), NAME, name).bold());
    let mut tube = String::new();
    if run.tube.od_mm > 0.0 {
        let (od, wall) = (tube_size(run.tube.od_mm, units), wall(run.tube.wall_mm, units));
        tube = format!("   ·   {od} × {wall} {}", run.tube.material);
    }
    flow.line(&format!("{}{tube}", run.service), LINE, false);
    let to = if run.to == "open" { "an open end" } else { run.to.as_str() };
    flow.line(&format!("From {} to {to}", run.from), LINE, false);
}

/// The whole head of a run that can be cut.
pub(super) fn block(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let units = source.project.settings.units;
    names(flow, source, run);
    flow.skip(1.0);
    let strip = flow.take(FIGURES_MM);
    let gap = source.report.tightest(run.id);
    let figures = [
        ("Welds, and their length", welds_figure(source, &run.welds, run.weld_length_mm)),
        ("Tube needed", long_length(run.tube_length_mm, units)),
        ("Mass", mass(run.mass_kg, units)),
        gap.map_or(("Tightest gap", "nothing near".to_owned()), |g| {
            ("Tightest gap", format!("{} to {}", length(g.gap_mm, units), g.against))
        }),
    ];
    let widths = [0.27, 0.2, 0.15, 0.38].map(|part| part * strip.width);
    let mut left = strip.left;
    for ((caption, value), width) in figures.into_iter().zip(widths) {
        figure(flow.page(), (left, strip.top), width, (caption, &value));
        left += width;
    }
    flow.skip(2.0);
    let (offset, turn) = (fine_length(run.miss.offset_mm, units), angle(run.miss.angle_deg, 1));
    flow.line(
        &format!(
            "Cut to these rounded numbers the pipe ends {offset} and {turn} off; the last joint takes it."
        ),
        BODY,
        false,
    );
    flow.line(&overall(source, run), BODY, false);
    let warnings = notes::of(source, run).filter(|f| f.severity == Severity::Warn).count();
    if warnings > 0 {
        let s = if warnings == 1 { "" } else { "s" };
        flow.line(
            &format!("{warnings} warning{s}: read the end of this run's pages before cutting."),
            BODY,
            true,
        );
    }
    flow.skip(1.0);
}

fn welds_figure(source: Source<'_>, welds: &[WeldReport], length_mm: f64) -> String {
    format!("{}  ·  {}", welds.len(), long_length(length_mm, source.project.settings.units))
}

fn figure(page: &mut Page, corner: (f64, f64), width: f64, (caption, value): (&str, &str)) {
    let inner = width - 4.0;
    page.rect(corner, (width, FIGURES_MM), Some(Pen::solid(0.35)), None);
    page.text(Text::new((corner.0 + 2.0, corner.1 + 5.4), CAPTION, fit_text(caption, CAPTION, false, inner)));
    let size = FIGURE * (inner / text_width_mm(value, FIGURE, true)).clamp(0.8, 1.0);
    page.text(Text::new((corner.0 + 2.0, corner.1 + 13.6), size, fit_text(value, size, true, inner)).bold());
}

/// How much room the centreline takes along each axis.
fn overall(source: Source<'_>, run: &RunReport) -> String {
    let units = source.project.settings.units;
    let frames = &run.built.frames;
    let points = frames.iter().flat_map(|f| [f.0.origin, f.1.origin]);
    let bounds = points.map(|p| (p, p)).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
    let size = bounds.map_or(glam::DVec3::ZERO, |(low, high)| high - low);
    let [x, y, z] = size.to_array().map(|mm| length_paper(mm, units));
    format!("Overall, on the centreline: {x} forward (X),  {y} left (Y),  {z} up (Z).")
}
