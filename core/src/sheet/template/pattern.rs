//! Flat patterns at 1:1: the flats that tapers are rolled from, and holes to wrap round a pipe.

use super::draw::{Drawing, PAD_MM, QUARTER, stamped};
use super::dxf::dxf_of;
use super::label::on_paper as length_paper;
use super::pages::Heading;
use super::svg::svg_of;
use crate::fab::Piece;
use crate::fab::cone::Cone;
use crate::fab::hole::{HoleCut, HoleShape};
use crate::fab::saddle::{HoleSize, Lies, SLITS, Skin, slit_ways};
use crate::geom::vector::{full_turn, half_open_turn};
use crate::sheet::cut_sheet::words::wrapped;
use crate::sheet::fonts::{CAP_HEIGHT, text_width_mm};
use crate::sheet::page::{Grey, Mark, Pen, PointMm, Text};
use crate::units::{UnitSystem, angle, tube_size, wall};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Outlines of holes are drawn in chords that leave the curve by this at most, mm.
const CHORD_MM: f64 = 0.005;
/// Paper round a hole, mm.
const ROUND_HOLE_MM: f64 = 18.0;
/// Font sizes, mm: the name, the words under it, what stands at lines.
const NAME_MM: f64 = 5.0;
const WORDS_MM: f64 = 3.2;
const AT_LINE_MM: f64 = 2.6;
const LEADING: f64 = 1.3;
const BESIDE_MM: f64 = 1.0;
/// Words under a pattern are given at least this width, mm.
const LEAST_WORDS_MM: f64 = 110.0;
/// The line a weld runs along, outside the hole.
pub(super) const WELD: Pen = Pen::solid(0.2).dashed(2.5, 1.2).in_grey(Grey::DARK);
/// The edge of the paper, where that is no cut in the metal.
const PAPER: Pen = Pen::solid(0.15).in_grey(Grey::MIDDLE);
pub(super) const CENTRE: Pen = Pen::solid(0.15);
/// A weld of the pipe that the paper is cut along.
const SEAM: Pen = Pen::solid(0.2).in_grey(Grey::DARK);
/// Where the paper is slit.
const SLIT: Pen = Pen::solid(0.15).dashed(1.0, 0.8);
/// Paper that is no more than this too long or too short round a hole lies on a bend by itself, mm.
const EVEN_MM: f64 = 0.5;
/// A template is not to be trusted that leaves its line by more than this, mm.
const PAPER_OFF_MM: f64 = 0.5;
/// Slits end this far outside the line of the weld, mm.
const BESIDE_WELD_MM: f64 = 2.0;

/// A flat pattern: outlines to cut and what is said about them. In its plane y runs up, along the travel.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// What it is, in one line.
    pub title: String,
    /// A name for its file, of letters, digits and dashes.
    pub file_stem: String,
    /// Outlines to cut, closed, the last point not repeated, mm.
    pub outlines: Vec<Vec<PointMm>>,
    pub(super) lines: Vec<(Vec<PointMm>, Pen)>,
    pub(super) at_lines: Vec<(PointMm, String)>,
    pub(super) words: Vec<String>,
}

impl Pattern {
    /// The pattern as SVG text, in mm.
    pub fn svg(&self) -> String {
        svg_of(&self.drawing(), &self.title)
    }

    /// The pattern as DXF text, in mm.
    pub fn dxf(&self) -> String {
        dxf_of(&self.drawing())
    }

    /// The pattern as SVG text with what it belongs to below it.
    pub fn stamped_svg(&self, heading: &Heading) -> String {
        svg_of(&stamped(self.drawing(), heading), &self.title)
    }

    /// The pattern as DXF text with what it belongs to below it.
    pub fn stamped_dxf(&self, heading: &Heading) -> String {
        dxf_of(&stamped(self.drawing(), heading))
    }

    /// All of it with y down, the words below.
    pub(super) fn drawing(&self) -> Drawing {
        let points = self.outlines.iter().flatten().chain(self.lines.iter().flat_map(|(points, _)| points));
        let (low, high) = points.fold(
            ((f64::INFINITY, f64::INFINITY), (f64::NEG_INFINITY, f64::NEG_INFINITY)),
            |(low, high), p| ((low.0.min(p.0), low.1.min(p.1)), (high.0.max(p.0), high.1.max(p.1))),
        );
        let place = |p: &PointMm| (PAD_MM + p.0 - low.0, PAD_MM + high.1 - p.1);
        let all = |points: &[PointMm]| -> Vec<PointMm> { points.iter().map(place).collect() };
        let mut marks: Vec<Mark> = self
            .lines
            .iter()
            .map(|(points, pen)| Mark::Polyline {
                points: all(points),
                closed: false,
                pen: Some(*pen),
                fill: None,
            })
            .collect();
        for (at, words) in &self.at_lines {
            let at = place(at);
            // beside its line
            let at = (at.0 + BESIDE_MM, at.1 + AT_LINE_MM * CAP_HEIGHT / 2.0);
            let text = Text::new(at, AT_LINE_MM, words.clone());
            marks.push(Mark::Text(text));
        }
        let (wide, high_mm) = (high.0 - low.0 + 2.0 * PAD_MM, high.1 - low.1 + 2.0 * PAD_MM);
        let mut base = high_mm + NAME_MM;
        let mut width = wide;
        let mut caption = Vec::new();
        let room = wide.max(LEAST_WORDS_MM);
        let title = wrapped("", &self.title, NAME_MM, room).into_iter().map(|l| (l.words, NAME_MM));
        let words = self.words.iter().flat_map(|words| wrapped("", words, WORDS_MM, room));
        let mut before = 0.0;
        for (words, size) in title.chain(words.map(|l| (l.words, WORDS_MM))) {
            base += before;
            before = size * LEADING;
            let bold = size > WORDS_MM;
            width = width.max(text_width_mm(&words, size, bold));
            let text = Text::new((0.0, base), size, words);
            caption.push(Mark::Text(if bold { text.bold() } else { text }));
        }
        marks.extend(caption);
        let mut outlines = self.outlines.iter().map(|o| all(o));
        Drawing {
            size_mm: (width, base + 1.5),
            cut: outlines.next().unwrap_or_default(),
            inner: outlines.collect(),
            marks,
            caption: Vec::new(),
        }
    }
}

pub(super) fn stem(words: &str) -> String {
    words.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect()
}

/// The flat that a taper is rolled from. `run` is the name of its run.
pub fn cone_pattern(piece: &Piece, cone: &Cone, run: &str, units: UnitSystem) -> Pattern {
    let (flat, shape) = (cone.flat(), cone.shape());
    let point = |p: &glam::DVec2| (p.x, p.y);
    let mut lines = Vec::new();
    let mut at_lines = Vec::new();
    for mark in &flat.marks {
        let [a, b] = mark.ends;
        lines.push((vec![point(&a), point(&b)], QUARTER));
        let words =
            if mark.clock_deg == 0 { "index line 0°".to_owned() } else { format!("{}°", mark.clock_deg) };
        at_lines.push((point(&a.lerp(b, 0.5)), words));
    }
    if flat.lap.is_some() {
        let [_, right] = flat.seam_sides();
        lines.push((right.iter().map(point).collect(), WELD));
    }
    let size = |radius: f64| tube_size(2.0 * radius, units);
    let mut words = vec![
        format!(
            "Lower edge: OD {}, where the run comes to it. Upper edge: OD {}. Wall {}.",
            size(shape.first_mm),
            size(shape.second_mm),
            wall(shape.wall_mm, units)
        ),
        format!(
            "Length along the axis {}; seam {} long at clock {}.",
            length_paper(shape.length_mm, units),
            length_paper(cone.seam_mm(), units),
            angle(full_turn(shape.seam_clock_rad).to_degrees(), 1)
        ),
        "Printed side becomes the outside. It is drawn for the middle of the wall: roll along the dashed lines, both seam sides together.".to_owned(),
    ];
    if shape.offset_mm != 0.0 {
        words.push(format!(
            "Upper end set off by {} towards clock {}.",
            length_paper(shape.offset_mm, units),
            angle(full_turn(shape.offset_clock_rad).to_degrees(), 1)
        ));
    }
    if shape.lap_mm > 0.0 {
        words.push(format!(
            "The strip beyond the dashed line is a lap of {}.",
            length_paper(shape.lap_mm, units)
        ));
    }
    Pattern {
        title: format!("Taper {} of {run}: flat to roll", piece.mark),
        file_stem: format!("{}-flat", stem(&piece.mark)),
        outlines: vec![flat.outline().iter().map(point).collect()],
        lines,
        at_lines,
        words,
    }
}

/// A pipe that a hole pattern is wrapped round, and how it is told.
#[derive(Debug, Clone, Copy)]
pub struct Wrapped<'a> {
    /// Name of the run.
    pub run: &'a str,
    /// Mark of the piece.
    pub piece: &'a str,
    /// From the edge of the piece as it is sawn, along its outside at the hole's clock, to the hole's middle, mm.
    pub at_mm: f64,
    /// Whether that is the edge at the piece's end.
    pub from_end: bool,
    /// Outside diameter of the piece, mm.
    pub od_mm: f64,
    /// How far the hole goes along the pipe on its outside, mm, and round it.
    pub size_mm: (f64, f64),
    /// Thickness of the paper, mm.
    pub paper_mm: f64,
    /// Units of its figures.
    pub units: UnitSystem,
}

/// A hole, to wrap round the pipe it is cut into: printed side out, its upright centre line along the pipe.
///
/// Its plane is the outside of the pipe laid flat from the hole's middle ([`crate::fab::saddle::Skin`]), clocks growing to
/// the right, travel up; across it is `(OD + paper)/OD` wider, as the middle of the paper lies half its thickness outside.
pub fn hole_pattern(hole: &HoleCut, on: Wrapped<'_>) -> Pattern {
    let (od_mm, units) = (on.od_mm, on.units);
    let wider = if od_mm > 0.0 { (od_mm + on.paper_mm) / od_mm } else { 1.0 };
    let widened = |points: Vec<PointMm>| points.into_iter().map(|(x, y)| (x * wider, y)).collect::<Vec<_>>();
    let skin = match &hole.shape {
        HoleShape::Drilled { .. } => None,
        HoleShape::Branch { saddle, .. } => Skin::new(saddle).map(|skin| (saddle, skin)),
    };
    let (outline, weld, lies) = match (&hole.shape, &skin) {
        (HoleShape::Drilled { diameter_mm }, _) => {
            (drilled(*diameter_mm / 2.0, od_mm / 2.0), None, Lies::Flat)
        }
        (HoleShape::Branch { .. }, Some((saddle, skin))) => {
            let [bore, outside] = [HoleSize::Bore, HoleSize::Outside].map(|size| saddle.hole(size, CHORD_MM));
            (points(&skin.edge(&bore)), Some(points(&skin.edge(&outside))), skin.lies(&outside))
        }
        (HoleShape::Branch { .. }, None) => (Vec::new(), None, Lies::Flat),
    };
    let (outline, weld) = (widened(outline), weld.map(widened));
    let widest = weld.as_ref().unwrap_or(&outline);
    let far = |pick: fn(&PointMm) -> f64| {
        let values = widest.iter().map(pick);
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)))
    };
    let (across, along) = (far(|p| p.0), far(|p| p.1));
    let (left, right) = (across.0 - ROUND_HOLE_MM, across.1 + ROUND_HOLE_MM);
    let (low, high) = (along.0 - ROUND_HOLE_MM, along.1 + ROUND_HOLE_MM);
    let on_paper = |p: &PointMm| p.0 > left && p.0 < right && p.1 > low && p.1 < high;
    let line_at = |clock_rad: f64| -> Vec<PointMm> {
        let off = half_open_turn(clock_rad - hole.clock_rad) * od_mm / 2.0;
        let line = skin.as_ref().map_or_else(
            || vec![(off, low), (off, high)],
            |(_, skin)| points(&skin.line_at(clock_rad, (low, high))),
        );
        let line = widened(line);
        // straight lines reach from edge to edge; others end where they leave the paper
        if line.len() > 2 { line.into_iter().filter(on_paper).collect() } else { line }
    };
    let mut lines = vec![
        (vec![(left, low), (right, low), (right, high), (left, high), (left, low)], PAPER),
        (line_at(hole.clock_rad), CENTRE),
        (vec![(left, 0.0), (right, 0.0)], CENTRE),
    ];
    let mut at_lines = vec![
        ((0.0, high - 3.0), format!("clock {}", clock_words(hole.clock_rad))),
        ((0.0, low + 3.0), "start of the run".to_owned()),
    ];
    // quarter lines of the pipe that run through the paper
    for quarter in 0..4_u32 {
        let clock_rad = f64::from(quarter) * FRAC_PI_2;
        let off = half_open_turn(clock_rad - hole.clock_rad);
        let x = off * od_mm / 2.0 * wider;
        if off.abs() > 1e-3 && x > left + 4.0 && x < right - 4.0 {
            let line = line_at(clock_rad);
            let top = line.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((x, high));
            lines.push((line, QUARTER));
            let words =
                if quarter == 0 { "index line 0°".to_owned() } else { format!("{}°", quarter * 90) };
            at_lines.push(((top.0, top.1.min(high) - 7.0), words));
        }
    }
    if let Some((_, skin)) = &skin {
        let welds = skin.welds((left / wider, right / wider));
        lines.extend(welds.iter().flatten().map(|line| (widened(points(line)), SEAM)));
    }
    if let Lies::Bent { round_mm } = lies
        && round_mm.abs() > EVEN_MM
    {
        lines.extend(slit_ways().map(|way| (slit(way, widest, (left, right), (low, high)), SLIT)));
    }
    if let Some(weld) = weld {
        lines.push((weld, WELD));
    }
    let kind = match &hole.shape {
        HoleShape::Drilled { diameter_mm } => format!("Drill {}.", tube_size(*diameter_mm, units)),
        HoleShape::Branch { .. } => {
            "Cut along the full line: the bore. The dashed line is the outside, where the weld runs."
                .to_owned()
        }
    };
    let mut words = vec![
        format!(
            "Cross at {} from the {} edge of {} along the line at clock {}, {} round from the index line, clockwise seen along the travel.",
            length_paper(on.at_mm, units),
            if on.from_end { "end" } else { "start" },
            on.piece,
            clock_words(hole.clock_rad),
            length_paper(od_mm / 2.0 * full_turn(hole.clock_rad), units)
        ),
        format!("{kind} Wrap it printed side out, the word start towards the start of the run."),
    ];
    words.extend(laying_words(lies, on.size_mm, units));
    Pattern {
        title: format!("{} in {} of {}, for {}", hole.mark, on.piece, on.run, hole.of),
        file_stem: format!("{}-{}", stem(on.piece), stem(&hole.mark)),
        outlines: vec![outline],
        lines,
        at_lines,
        words,
    }
}

/// What is said of how the paper is laid on; nothing where it lies flat.
fn laying_words(lies: Lies, (along_mm, round_mm): (f64, f64), units: UnitSystem) -> Vec<String> {
    let check = format!(
        "Check: on the pipe the hole measures {} along it and {} round it.",
        length_paper(along_mm, units),
        length_paper(round_mm, units)
    );
    match lies {
        Lies::Flat => Vec::new(),
        Lies::CutAtWelds => vec![
            "The hole lies across welds, drawn as double lines: cut the paper along them and lay each part up to its weld."
                .to_owned(),
            check,
        ],
        // what each sector between two slits is off at its sides, half of it each
        Lies::Bent { round_mm } if round_mm.abs() / f64::from(SLITS) > PAPER_OFF_MM => vec![
            "Paper does not lie on this bend: take it as a guide only. Set the finished branch on, scribe round it, and cut inside by its wall."
                .to_owned(),
            check,
        ],
        Lies::Bent { round_mm } if round_mm.abs() > EVEN_MM => vec![
            "Hold it at the cross and press it down outwards; cut the paper along the short dashed lines, so that it lies on the bend."
                .to_owned(),
            check,
        ],
        Lies::Bent { .. } => vec![check],
    }
}

/// A slit from beside the weld line out to the edge of the paper.
fn slit(way_rad: f64, weld: &[PointMm], (left, right): (f64, f64), (low, high): (f64, f64)) -> Vec<PointMm> {
    let (sin, cos) = way_rad.sin_cos();
    let near = weld.iter().max_by(|a, b| {
        let along = |p: &PointMm| (p.0 * cos + p.1 * sin) / p.0.hypot(p.1).max(f64::MIN_POSITIVE);
        along(a).total_cmp(&along(b))
    });
    let from = near.map_or(0.0, |p| p.0.hypot(p.1)) + BESIDE_WELD_MM;
    let to_x = if cos > 0.0 { right / cos } else { left / cos };
    let to_y = if sin > 0.0 { high / sin } else { low / sin };
    let to = [to_x, to_y].into_iter().filter(|t| t.is_finite() && *t > 0.0).fold(f64::INFINITY, f64::min);
    vec![(from * cos, from * sin), (to.max(from) * cos, to.max(from) * sin)]
}

fn points(line: &[glam::DVec2]) -> Vec<PointMm> {
    line.iter().map(|p| (p.x, p.y)).collect()
}

fn clock_words(clock_rad: f64) -> String {
    let tenths = (full_turn(clock_rad).to_degrees() * 10.0).round().rem_euclid(3600.0);
    angle(tenths / 10.0, 1)
}

/// A round hole drilled square through a tube, on its unrolled outside, mm.
fn drilled(radius_mm: f64, tube_mm: f64) -> Vec<PointMm> {
    let steps = 360_u32;
    let clock = |i: u32| TAU * f64::from(i) / f64::from(steps);
    let place = |t: f64| {
        let side = (radius_mm * t.sin() / tube_mm.max(f64::MIN_POSITIVE)).clamp(-1.0, 1.0);
        (tube_mm * side.asin(), radius_mm * t.cos())
    };
    (0..steps).map(|i| place(clock(i))).collect()
}
