//! The saw pages: what is taped to the saw, in sawing order, tube by tube.

mod elbows;
mod row;
mod shelf;
mod stick;
mod stops;

use super::columns::{Plan, fitted};
use super::flow::{BODY, Flow, Head, SMALL};
use super::words::{length_key, plain_angle, plain_length, ranges, saw_reads, wrapped};
use super::{Source, findings};
use crate::fab::nest::StickSource;
use crate::model::SawScale;
use crate::report::{PieceForm, PieceReport, PieceSource, StickReport, StockReport};
use crate::sheet::area::Area;
use crate::sheet::page::{Grey, Pen, Text};
use crate::sheet::table::{Cell, Row as TableRow};
use crate::units::{MM_PER_INCH, UnitSystem, fine_length, plain_number};
use row::{How, ROW_MM, Row, TITLES_MM};
use stops::{Makes, Stop, Turn};

pub(super) use stick::Drawing;

/// Settings within this are one, degrees.
const SAME_SETTING_DEG: f64 = 1e-3;
/// Lengths within this are one, mm.
const SAME_MM: f64 = 1e-6;
/// Size of the box that says how to try a setting, mm.
const TRIAL_MM: (f64, f64) = (62.0, 21.0);

const READ: &str = "Rows are numbered through the whole job. The saw holds the stick; pieces come off its free end, row by row. Circles \
    look at that end. What falls is longest at the top, the heavy rim: the side on which the tilted blade leaves more. A white setting on \
    black: set the saw anew. ↻ turns the tube clockwise, ↺ anticlockwise, as you look at that end. Measure the long side from point to blade; a place under a length says how far round from the top it is measured. The index line goes the arc beside its circle away from the top, or \
    from the line that is measured on where the cut is square; it runs the whole length of the piece, with an arrow from its start to its end.";

/// All sticks, tube by tube, then what needs no stick.
pub(super) fn section(flow: &mut Flow, source: Source<'_>) {
    let report = source.report;
    let has_sticks = report.stock.iter().any(|s| !s.sticks.is_empty());
    if !has_sticks && !shelf::has_any(report) && report.elbows.is_empty() {
        return;
    }
    let saw = &source.project.settings.saw;
    let square = match saw.scale {
        SawScale::FromSquare => "0° is a square cut",
        SawScale::FromBlade => "90° is a square cut",
    };
    let units = source.project.settings.units;
    let facts = vec![
        format!("{square}; the blade takes {}", fine_length(saw.kerf_mm, units)),
        format!("never hold less than {}", plain_length(saw.grip_mm, units)),
    ];
    let ask = report
        .runs
        .iter()
        .filter(|run| run.built.is_buildable() && findings::is_stopped(source, run))
        .map(|run| {
            format!(
                "{}: settle what is open (job page). Until then nothing of {} is cut.",
                run.name, run.letters
            )
        })
        .collect();
    flow.start(Head {
        kind: "SAW".to_owned(),
        running: "SAW".to_owned(),
        title: "All cuts of the job".to_owned(),
        facts,
        ask,
    });
    flow.paragraph(READ, SMALL);
    short_pieces(flow, source);
    shelf::done(flow, source);
    // short tables first: whole sticks leave room at the feet of pages, not at the head of the first
    shelf::section(flow, source);
    elbows::section(flow, source);
    let mut number = 1;
    let mut tried = Vec::new();
    for stock in report.stock.iter().filter(|s| !s.sticks.is_empty()) {
        tube(flow, source, stock, &mut number, &mut tried);
    }
}

/// Names the pieces that are too short to be held themselves.
fn short_pieces(flow: &mut Flow, source: Source<'_>) {
    let grip_mm = source.project.settings.saw.grip_mm;
    let pieces = source.report.runs.iter().flat_map(|r| &r.printed);
    let short = pieces.filter(|p| p.source == PieceSource::Stick && p.sawn_long_mm < grip_mm - SAME_MM);
    let marks = ranges(short.map(|p| p.mark.as_str()));
    if !marks.is_empty() {
        let words = format!(
            "{marks}. Hold the stick, never the piece, and have both cuts right before it comes off."
        );
        flow.led_paragraph("Shorter than the saw must hold:", &words, SMALL);
    }
}

/// All sticks of a tube under its black band.
fn tube(flow: &mut Flow, source: Source<'_>, stock: &StockReport, number: &mut usize, tried: &mut Vec<f64>) {
    let mut blocks = Vec::new();
    for (i, one) in stock.sticks.iter().enumerate() {
        blocks.push(Block::new(flow.width(), source, (stock, one), i + 1, *number, tried));
        *number += blocks[i].rows.len();
    }
    let first = blocks.first().map_or(0.0, Block::height_mm);
    flow.need((BAND_MM + first).min(flow.whole_mm()));
    band(flow, &stock.tube);
    for block in blocks {
        block.draw(flow, source, stock);
    }
}

/// Height of the black band over a tube, mm.
const BAND_MM: f64 = 9.5;

pub(super) fn band(flow: &mut Flow, words: &str) {
    flow.skip(1.5);
    let strip = flow.take(BAND_MM - 1.5);
    let page = flow.page();
    page.rect((strip.left, strip.top), (strip.width, 6.6), None, Some(Grey::BLACK));
    let words = crate::sheet::fonts::fit_text(words, 4.9, true, strip.width - 6.0);
    page.text(Text::new((strip.left + 3.0, strip.top + 5.0), 4.9, words).bold().in_grey(Grey::WHITE));
}

/// A stick with everything that is said of it.
struct Block<'a> {
    title: String,
    notes: Vec<String>,
    rows: Vec<Row<'a>>,
    first: usize,
    drawing: Drawing,
    trial: Option<(String, Vec<String>)>,
    twisted: Vec<&'a PieceReport>,
    notes_mm: f64,
    notes_width: f64,
}

/// Height of the title of a stick, mm.
const TITLE_MM: f64 = 7.6;
/// Height of a row of the table of twisted pieces, mm.
const TWISTED_MM: f64 = 9.0;

impl<'a> Block<'a> {
    fn new(
        width: f64,
        source: Source<'a>,
        (stock, one): (&'a StockReport, &'a StickReport),
        index: usize,
        first: usize,
        tried: &mut Vec<f64>,
    ) -> Self {
        let units = source.project.settings.units;
        let square = stops::square_deg(source.project.settings.saw.scale);
        let stops = stops::stops(source.report, one, square);
        let count = stock.sticks.len();
        let kind = match one.source {
            StickSource::Rack => "stick from the rack",
            StickSource::Offcut => "offcut from the rack",
            StickSource::Buy => "new stick",
        };
        let title = format!("STICK {index} of {count}: {kind}, {}", plain_length(one.length_mm, units));
        let trial = trial(source, &stops, tried);
        let drawing = Drawing::new(one, &stops, first, stock.od_mm, width);
        let notes = notes(source, stock, one, &stops);
        let notes_width = if trial.is_some() { width - TRIAL_MM.0 - 4.0 } else { width };
        let lines: usize = notes.iter().map(|n| wrapped("", n, SMALL, notes_width).len()).sum();
        let mut notes_mm = lines as f64 * SMALL * 1.3 + 1.0;
        if trial.is_some() {
            notes_mm = notes_mm.max(TRIAL_MM.1 + 1.5);
        }
        let twisted = stops
            .iter()
            .filter_map(|s| match s.makes {
                Makes::Piece(cut, piece) | Makes::Left(cut, piece)
                    if stops::marked(cut, piece).long_deg.is_some() =>
                {
                    Some(piece)
                }
                _ => None,
            })
            .collect();
        let rows = rows(stops, one, first, units);
        Self { title, notes, rows, first, drawing, trial, twisted, notes_mm, notes_width }
    }

    fn height_mm(&self) -> f64 {
        self.head_mm() + self.rows.len() as f64 * ROW_MM + self.twisted_mm()
    }

    fn head_mm(&self) -> f64 {
        TITLE_MM + self.notes_mm + self.drawing.height_mm() + TITLES_MM + 1.0
    }

    fn twisted_mm(&self) -> f64 {
        if self.twisted.is_empty() { 0.0 } else { 16.0 + self.twisted.len() as f64 * TWISTED_MM }
    }

    fn draw(self, flow: &mut Flow, source: Source<'_>, stock: &StockReport) {
        // the drawing, its notes and its rows never part; only a stick that no page holds goes on
        flow.need(self.height_mm().min(flow.whole_mm() - BAND_MM - 2.0));
        let how = How {
            units: source.project.settings.units,
            saw: &source.project.settings.saw,
            od_mm: stock.od_mm,
        };
        let mut at = 0;
        while at < self.rows.len() {
            let goes_on = at > 0;
            self.head(flow, goes_on, at);
            let room = ((flow.rest().height + 1e-6) / ROW_MM).floor().max(1.0) as usize;
            let until = (at + room).min(self.rows.len());
            for row in &self.rows[at..until] {
                let strip = flow.take(ROW_MM);
                row.draw(flow.page(), strip, how);
            }
            at = until;
            if at < self.rows.len() {
                flow.next_page();
            }
        }
        self.twisted(flow, how.units);
        flow.skip(2.0);
    }

    fn head(&self, flow: &mut Flow, goes_on: bool, at: usize) {
        let title = if goes_on { format!("{} (continued)", self.title) } else { self.title.clone() };
        let strip = flow.take(TITLE_MM);
        flow.page().text(Text::new((strip.left, strip.top + 5.6), 5.0, title).bold());
        if !goes_on {
            let strip = flow.take(self.notes_mm);
            let page = flow.page();
            let mut base = strip.top + SMALL;
            for line in self.notes.iter().flat_map(|n| wrapped("", n, SMALL, self.notes_width)) {
                page.text(Text::new((strip.left, base), SMALL, line.words));
                base += SMALL * 1.3;
            }
            if let Some((title, lines)) = &self.trial {
                let corner = (strip.right() - TRIAL_MM.0, strip.top - 1.0);
                page.rect(corner, TRIAL_MM, Some(Pen::solid(0.4)), None);
                page.text(Text::new((corner.0 + 2.0, corner.1 + 4.4), BODY, title.clone()).bold());
                for (i, line) in lines.iter().enumerate() {
                    let at = (corner.0 + 2.0, corner.1 + 8.6 + i as f64 * SMALL * 1.25);
                    page.text(Text::new(at, SMALL, line.clone()));
                }
            }
        }
        let strip = flow.take(self.drawing.height_mm());
        let room = ((flow.rest().height - TITLES_MM) / ROW_MM).floor().max(1.0) as usize;
        self.drawing.draw(flow.page(), strip, self.first + at..self.first + at + room);
        let strip = flow.take(TITLES_MM + 1.0);
        row::titles(flow.page(), Area { height: TITLES_MM, top: strip.top + 1.0, ..strip });
    }

    /// Lengths on the quarter lines of pieces whose cuts are turned against each other, to check by.
    fn twisted(&self, flow: &mut Flow, units: UnitSystem) {
        if self.twisted.is_empty() {
            return;
        }
        let row = |piece: &&PieceReport| {
            let lengths = piece.quarters_mm.map(|q| q.map(|mm| length_key(mm, units)));
            let mark = [Cell::Bold(piece.mark.clone())];
            TableRow::Cells(mark.into_iter().chain(lengths.into_iter().flatten()).collect())
        };
        let rows: Vec<TableRow> = self.twisted.iter().map(row).collect();
        let plans = [
            Plan::words("Twisted piece"),
            Plan::figures("On the\nindex line"),
            Plan::figures("A quarter round\nto its right"),
            Plan::figures("Opposite"),
            Plan::figures("A quarter round\nto its left"),
        ];
        flow.rows("Twisted pieces", &fitted(&plans, &rows, flow.width()));
    }
}

fn rows<'a>(stops: Vec<Stop<'a>>, one: &StickReport, first: usize, units: UnitSystem) -> Vec<Row<'a>> {
    let mut set: Option<f64> = None;
    let count = stops.len();
    let makes: Vec<Makes<'a>> = stops.iter().map(|s| s.makes).collect();
    let row = |(i, stop): (usize, Stop<'a>)| {
        let is_cut = !matches!(stop.makes, Makes::Left(..));
        let changed = is_cut && set.is_none_or(|old| (old - stop.setting_deg).abs() > SAME_SETTING_DEG);
        if is_cut {
            set = Some(stop.setting_deg);
        }
        let next = makes.get(i + 1);
        let after = match (stop.makes, next) {
            (Makes::Piece(..), Some(Makes::Piece(cut, _) | Makes::Left(cut, _))) if cut.shares_cut => {
                row::also(cut)
            }
            (Makes::Square(_), Some(Makes::Piece(cut, _) | Makes::Left(cut, _))) => row::also(cut),
            _ if i + 1 == count && one.drop_mm > SAME_MM => {
                format!("{} left over", plain_length(one.drop_mm, units))
            }
            _ => String::new(),
        };
        Row { stop, number: first + i, changed, after }
    };
    stops.into_iter().enumerate().map(row).collect()
}

/// What is said of a stick beside its drawing.
fn notes(source: Source<'_>, stock: &StockReport, one: &StickReport, stops: &[Stop<'_>]) -> Vec<String> {
    let units = source.project.settings.units;
    let mut out = Vec::new();
    let own_end = stops
        .first()
        .is_some_and(|s| matches!(s.makes, Makes::Piece(..) | Makes::Left(..)) && s.first_heel_deg.is_none());
    if own_end {
        out.push(
            "Try a square on the free end: it is the stick's own end and used uncut. If it is off, square it first and take a longer stick if this one gets too short."
                .to_owned(),
        );
    }
    let used = one.cuts.last().map_or(0.0, |c| c.to_mm);
    if stops.iter().any(|s| matches!(s.turn, Turn::Start | Turn::By(_))) {
        let half = std::f64::consts::PI * stock.od_mm / 2.0;
        out.push(format!(
            "Draw lines 1 and 2 along its first {}, half a turn apart: {} round the outside. Clear of the tube's own seam, line 1 a quarter turn from it.",
            plain_length(used + stock.od_mm / 2.0, units),
            plain_length(half, units)
        ));
    }
    out.extend(holding(source, one));
    let odd = |c: &&crate::report::CutReport| {
        (c.first_setting_deg - c.setting_deg).abs() > SAME_SETTING_DEG
            && c.key.and_then(|k| source.report.printed(k)).is_some_and(|p| p.kind == PieceForm::Slice)
    };
    let marks = ranges(one.cuts.iter().filter(odd).map(|c| c.mark.as_str()));
    if !marks.is_empty() {
        out.push(format!("The two cuts of these slices differ, so set the saw for each of them: {marks}."));
    }
    let shaped = stops.iter().filter_map(|s| match s.makes {
        Makes::Piece(_, piece) | Makes::Left(_, piece) if piece.kind == PieceForm::Coped => {
            Some(piece.mark.as_str())
        }
        _ => None,
    });
    let shaped = ranges(shaped);
    if !shaped.is_empty() {
        out.push(format!(
            "{shaped}: saw as said here, then shape the end that sits on other tube by its template."
        ));
    }
    if one.drop_mm >= source.project.settings.saw.grip_mm {
        out.push(format!(
            "Write {} on what is left over ({}) and rack it.",
            stock.tube,
            plain_length(one.drop_mm, units)
        ));
    }
    out
}

/// How the last piece of a stick is held where what is left is too short for the saw.
fn holding(source: Source<'_>, one: &StickReport) -> Option<String> {
    let grip_mm = source.project.settings.saw.grip_mm;
    let last = one.cuts.last().filter(|_| one.drop_mm < grip_mm - SAME_MM)?;
    if (one.length_mm - last.to_mm).abs() < 1e-3 {
        return None;
    }
    let mark = &last.mark;
    Some(if last.to_mm - last.at_mm >= grip_mm - SAME_MM {
        format!("For the last cut hold {mark} itself: what is left is too short for the saw to hold.")
    } else {
        format!(
            "Both {mark}, cut last, and what is left are too short for the saw to hold: take a longer stick, or plug and clamp it."
        )
    })
}

/// How a setting is tried: two cuts put together bend by twice the angle.
fn trial(source: Source<'_>, stops: &[Stop<'_>], tried: &mut Vec<f64>) -> Option<(String, Vec<String>)> {
    let (saw, units) = (&source.project.settings.saw, source.project.settings.units);
    let (reading, tilt_deg) = stops.iter().find_map(|s| match s.makes {
        Makes::Piece(cut, _) if cut.saw_deg > 0.0 => Some((s.setting_deg, cut.saw_deg)),
        Makes::First(cut) if cut.first_deg > 0.0 => Some((s.setting_deg, cut.first_deg)),
        _ => None,
    })?;
    // each setting once
    if tilt_deg > MOST_TRIAL_DEG || tried.iter().any(|old| (old - tilt_deg).abs() < SAME_SETTING_DEG) {
        return None;
    }
    tried.push(tilt_deg);
    let (arm, arm_words) = match units {
        UnitSystem::Millimetre => (250.0, "250 mm"),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => (10.0 * MM_PER_INCH, "10\""),
    };
    let off = arm * (2.0 * tilt_deg).to_radians().tan();
    let lines = vec![
        "Cut scrap through, turn one half half".to_owned(),
        format!("a turn and put them together: {},", plain_angle(2.0 * tilt_deg)),
        format!("or {} off straight at {arm_words}.", plain_length(off, units)),
    ];
    Some((format!("Try {} first", saw_reads(reading, saw.step_deg)), lines))
}

/// A steeper setting cannot be tried like this: the two halves lie too nearly across each other, degrees.
const MOST_TRIAL_DEG: f64 = 35.0;

/// How the saw's steps are said.
pub(super) fn step_words(step_deg: f64) -> String {
    format!("{}°", plain_number(step_deg, 3))
}
