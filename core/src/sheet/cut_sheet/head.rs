//! The head of a run: its name, its tube, where it goes, and the figures everybody asks for first.

use super::flow::{BODY, Flow};
use super::{Source, notes};
use crate::report::{MissReport, RunReport, WeldReport};
use crate::sheet::fonts::{fit_text, text_width_mm};
use crate::sheet::page::{Grey, Page, Pen, Text};
use crate::units::{
    angle, fine_length, length, length_paper, long_length, mass, plain_number, tube_size, wall,
};

const NAME: f64 = 9.0;
const LINE: f64 = 5.0;
const FIGURE: f64 = 6.4;
const CAPTION: f64 = 3.8;
/// A miss from the saw's steps that is worth a word, mm: what a tack moves (common practice, no source).
const SAW_MISS_MM: f64 = 0.5;
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
    let to = if run.ends_open { "an open end" } else { run.to.as_str() };
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
        ("Welds, and their length".to_owned(), welds_figure(source, &run.welds, run.weld_length_mm)),
        ("Tube needed".to_owned(), long_length(run.tube_length_mm, units)),
        ("Mass".to_owned(), mass(run.mass_kg, units)),
        gap.map_or(("Tightest gap".to_owned(), "nothing near".to_owned()), |g| {
            (sentence_case(&g.kind_words(units)), format!("{} to {}", length(g.gap_mm, units), g.against))
        }),
    ];
    let widths = [0.27, 0.2, 0.15, 0.38].map(|part| part * strip.width);
    let mut left = strip.left;
    for ((caption, value), width) in figures.into_iter().zip(widths) {
        figure(flow.page(), (left, strip.top), width, (&caption, &value));
        left += width;
    }
    flow.skip(2.0);
    flow.paragraph(&miss(source, run), BODY);
    flow.line(&overall(source, run), BODY, false);
    notes::in_head(flow, source, run);
    flow.skip(1.0);
}

/// How far the rounded numbers miss the end, what of it is the saw's, and what takes it up.
fn miss(source: Source<'_>, run: &RunReport) -> String {
    let settings = &source.project.settings;
    let said = |m: MissReport| {
        let (offset, turn) = (fine_length(m.offset_mm, settings.units), angle(m.angle_deg, 1));
        format!("{offset} and {turn}")
    };
    let takes = run.fit.as_ref().map_or_else(
        || "; no weld can take that up, so measure as you go.".to_owned(),
        |fit| format!("; the weld fitted last, {}, takes that up.", fit.weld),
    );
    let mut words = format!("Cut to these rounded numbers the pipe ends {} off{takes}", said(run.miss));
    if run.saw_miss.offset_mm > SAW_MISS_MM {
        let step = plain_number(settings.saw.step_deg, 3);
        let saw = said(run.saw_miss);
        let more = if run.saw_miss.offset_mm <= run.miss.offset_mm {
            format!(" Of it {saw} come from the saw's {step}° steps alone.")
        } else {
            format!(" The saw's {step}° steps alone make {saw}; the lengths are chosen to make up for it.")
        };
        words.push_str(&more);
    }
    words
}

/// With a capital.
fn sentence_case(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
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
