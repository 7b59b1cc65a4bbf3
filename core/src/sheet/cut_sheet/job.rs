//! The job page: all runs together, what is open, totals, what to buy, and the cautions and words, once for all pages.

use super::columns::{self, Plan};
use super::flow::{BODY, Flow, Head, SMALL};
use super::words::{plain_length, wrapped};
use super::{Source, findings};
use crate::fab::nest::StickSource;
use crate::finding::{Finding, Severity};
use crate::model::Item;
use crate::report::{Caution, RunReport, cautions};
use crate::sheet::fonts::{text_width_mm, unset};
use crate::sheet::page::{Anchor, Grey, Pen, Text};
use crate::sheet::table::{Cell, Row};
use crate::units::{length, long_length, mass, plain_number, tube_size, wall};

/// Problems that stand on the first page at the most.
const MOST_PROBLEMS: usize = 4;
/// Least and most height of the picture of all runs, mm.
const PICTURE_MM: (f64, f64) = (58.0, 92.0);
const WORDS: &str = "B7: piece 7 of run B; BW7: weld 7; BJ2: joint 2; BP1: part 1; BH1: hole 1. Index line: the one line along a pipe that all marks are \
    measured from. Long side: where a slanted cut leaves a piece longest. Slice: a short piece slanted at both ends. Gap: from one tube's end or \
    outside to the next. The index line does not wind round the pipe: draw it along an angle iron laid on the tube, with an arrow the way the air goes. Right and left of \
    it: line on top, looking the way the air goes, START to END; clockwise is to the right. All lengths have what is counted in for welds and trim, and are rounded together so that the pipe ends right: cut what \
    is printed, not the nearest step of your own.";

/// Font size of the table of runs, mm.
const RUNS: f64 = 3.4;

/// The page, or two of a large job.
pub(super) fn page(flow: &mut Flow, source: Source<'_>) {
    let report = source.report;
    let mut facts = vec![format!("{} runs, {} welds", report.totals.runs, report.totals.welds)];
    if report.totals.runs == 1 {
        facts = vec![format!("1 run, {} welds", report.totals.welds)];
    }
    flow.start(Head {
        kind: "JOB".to_owned(),
        running: "JOB".to_owned(),
        title: source.project.name.clone(),
        facts,
        ask: Vec::new(),
    });
    boxes(flow);
    let open: Vec<&Finding> = report.findings.iter().filter(|f| f.severity != Severity::Note).collect();
    problems(flow, source, &open);
    let lists = lists(source);
    let runs: Vec<&RunReport> =
        report.runs.iter().map(|run| &**run).filter(|r| r.built.is_buildable()).collect();
    if !runs.is_empty() {
        let room = flow.rest().height - rows_mm(runs.len()) - lists_mm(flow, &lists) - 40.0;
        let height = room.clamp(PICTURE_MM.0, PICTURE_MM.1);
        flow.need(height);
        let area = flow.take(height);
        crate::sheet::picture::draw_all(flow.page(), area, &runs);
    }
    table(flow, source);
    in_columns(flow, lists);
    said_once(flow, source);
    letters(flow, source);
}

/// Boxes to fill in by hand.
fn boxes(flow: &mut Flow) {
    let titles = [
        ("Job", 0.13),
        ("Customer", 0.31),
        ("Date", 0.14),
        ("Cut by", 0.14),
        ("Welded by", 0.14),
        ("Checked by", 0.14),
    ];
    let strip = flow.take(13.0);
    let mut left = strip.left;
    for (title, part) in titles {
        let width = part * strip.width;
        flow.page().rect((left, strip.top), (width, 10.6), Some(Pen::solid(0.35)), None);
        flow.page().text(Text::new((left + 1.4, strip.top + 3.6), 3.2, title));
        left += width;
    }
}

/// What is open, loud: first what stops a run, then what warns.
fn problems(flow: &mut Flow, source: Source<'_>, open: &[&Finding]) {
    if open.is_empty() {
        return;
    }
    let mut stopped: Vec<String> = open
        .iter()
        .filter(|f| f.severity == Severity::Stop)
        .flat_map(|f| findings::letters(source, f))
        .collect();
    stopped.sort_by(|a, b| a.len().cmp(&b.len()).then_with(|| a.cmp(b)));
    stopped.dedup();
    let count = open.len();
    let (s, them) = if count == 1 { ("", "it") } else { ("S", "them") };
    let rest = if stopped.is_empty() {
        format!("settle {them} before cutting")
    } else {
        format!("nothing of {} is cut before", stopped.join(", "))
    };
    let strip = flow.take(7.4);
    flow.page().rect((strip.left, strip.top), (strip.width, 7.0), None, Some(Grey::BLACK));
    let words = format!("{count} PROBLEM{s} OPEN: {rest}");
    let words = crate::sheet::fonts::fit_text(&words, 4.6, true, strip.width - 6.0);
    flow.page().text(Text::new((strip.left + 3.0, strip.top + 5.2), 4.6, words).bold().in_grey(Grey::WHITE));
    for (i, finding) in open.iter().enumerate() {
        // a long list goes on where the page does
        let letters = findings::letters(source, finding).join(" ");
        let lead = if letters.is_empty() { String::new() } else { format!("{letters}  ") };
        let words = if finding.severity == Severity::Stop {
            format!("STOP. {}", finding.text)
        } else {
            finding.text.clone()
        };
        let size = if i < MOST_PROBLEMS { BODY } else { SMALL };
        let lines = wrapped(&lead, &words, size, flow.width() - 7.0);
        let height = lines.len() as f64 * size * 1.3 + 1.6;
        flow.need(height);
        let strip = flow.take(height);
        let page = flow.page();
        page.rect((strip.left, strip.top + 1.0), (4.0, 4.0), Some(Pen::solid(0.45)), None);
        let mut base = strip.top + size + 0.6;
        page.text(Text::new((strip.left + 7.0, base), size, lead).bold());
        for line in lines {
            page.text(Text::new((strip.left + 7.0 + line.indent_mm, base), size, line.words));
            base += size * 1.3;
        }
    }
    flow.skip(2.0);
}

/// About how high the table of runs is, mm.
fn rows_mm(runs: usize) -> f64 {
    14.0 + runs as f64 * 7.0
}

/// The runs in a table.
fn table(flow: &mut Flow, source: Source<'_>) {
    let units = source.project.settings.units;
    let row = |run: &RunReport| {
        let tube = if run.tube.od_mm > 0.0 {
            let (od, thick) = (tube_size(run.tube.od_mm, units), wall(run.tube.wall_mm, units));
            format!("{od} × {thick} {}", run.tube.material)
        } else {
            String::new()
        };
        let gap = source.report.tightest(run.id).map_or_else(
            || Cell::Text("nothing near".to_owned()),
            |g| {
                let gap = if g.ok {
                    format!("{} {}", length(g.gap_mm, units), g.against)
                } else {
                    "problem".to_owned()
                };
                if g.ok { Cell::Text(gap) } else { Cell::Bold(gap) }
            },
        );
        if findings::is_stopped(source, run) && !run.built.is_buildable() {
            return Row::Cells(vec![
                Cell::Bold(run.letters.clone()),
                Cell::Bold(run.name.clone()),
                Cell::Text("cannot be built yet".to_owned()),
            ]);
        }
        let pieces = run.printed.iter().filter(|p| p.joint.is_none()).count();
        Row::Cells(vec![
            Cell::Bold(run.letters.clone()),
            Cell::Bold(run.name.clone()),
            Cell::Text(tube),
            Cell::Bold(pieces.to_string()),
            Cell::Bold(run.welds.len().to_string()),
            Cell::Text(long_length(run.weld_length_mm, units)),
            Cell::Text(long_length(run.tube_length_mm, units)),
            gap,
        ])
    };
    let mut rows: Vec<Row> = source.report.runs.iter().map(|run| row(run)).collect();
    let totals = &source.report.totals;
    if totals.runs > 1 {
        rows.push(Row::Cells(vec![
            Cell::Empty,
            Cell::Bold("all of them".to_owned()),
            Cell::Text(format!("{} without bars", mass(totals.mass_kg, units))),
            Cell::Bold(totals.pieces.to_string()),
            Cell::Bold(totals.welds.to_string()),
            Cell::Text(long_length(totals.weld_length_mm, units)),
            Cell::Text(long_length(totals.tube_length_mm, units)),
        ]));
    }
    if source.report.runs.is_empty() {
        return;
    }
    let plans = [
        Plan::words(""),
        Plan::words("Run").shrinks(),
        Plan::words("Tube").shrinks(),
        Plan::figures("Pieces"),
        Plan::figures("Welds"),
        Plan::figures("Weld"),
        Plan::figures("Tube"),
        Plan::words("Tightest gap").shrinks(),
    ];
    let table = columns::table(&plans, rows, RUNS, flow.width());
    flow.skip(1.5);
    flow.rows("Runs", &table);
}

/// A list with its heading; of each line what it is, and what it is for.
struct List {
    heading: &'static str,
    lines: Vec<(String, String)>,
    below: Vec<String>,
}

fn lists(source: Source<'_>) -> Vec<List> {
    vec![to_buy(source), from_the_rack(source)]
        .into_iter()
        .filter(|l| !l.lines.is_empty() || !l.below.is_empty())
        .collect()
}

fn to_buy(source: Source<'_>) -> List {
    let (report, units) = (source.report, source.project.settings.units);
    let mut lines = Vec::new();
    let at_most = |buy: usize, least: usize| if buy > least { "at most " } else { "" };
    for stock in report.stock.iter().filter(|s| s.sticks_to_buy > 0) {
        let Some(tube) = source.project.tube(stock.tube_id) else { continue };
        let letters: Vec<&str> = report
            .runs
            .iter()
            .filter(|r| r.built.pieces.iter().any(|p| p.tube == stock.tube_id && p.is_sawn()))
            .map(|r| r.letters.as_str())
            .collect();
        let count = stock.sticks_to_buy;
        let s = if count == 1 { "" } else { "s" };
        let words = format!(
            "{}{count} stick{s} {}, {}",
            at_most(count, stock.least_to_buy),
            stock.tube,
            plain_length(tube.stick_mm, units)
        );
        lines.push((words, letters.join(" ")));
    }
    for stock in report.bar_stock.iter().filter(|s| s.sticks_to_buy > 0) {
        let count = stock.sticks_to_buy;
        let s = if count == 1 { "" } else { "s" };
        let words = format!(
            "{}{count} stick{s} {}, {}",
            at_most(count, stock.least_to_buy),
            stock.stock,
            plain_length(stock.stick_mm, units)
        );
        lines.push((words, "bars".to_owned()));
    }
    for row in &report.buy {
        let note =
            if row.note.is_empty() || row.is_elbow() { String::new() } else { format!("; {}", row.note) };
        let what = row.what.name().to_lowercase();
        let said = if row.size.to_lowercase().contains(&what) {
            format!("{} {}{note}", row.count, row.size)
        } else {
            format!("{} {what} {}{note}", row.count, row.size)
        };
        let mut wanted: Vec<String> = row.wanted_for.iter().map(|name| short(source, name)).collect();
        wanted.dedup();
        lines.push((said, wanted.join(" ")));
    }
    let mut below = Vec::new();
    if let Some(price) = report.totals.price.filter(|_| report.totals.sticks_to_buy > 0) {
        below.push(format!(
            "Sticks of tube as priced in the project, in its own money: {}. Elbows, bars and parts are not in it.",
            plain_number(price, 2)
        ));
    }
    let wire_mm: f64 = report.runs.iter().map(|r| r.filler_mm).sum();
    if wire_mm > 0.0 {
        below.push(format!("Filler wire, about {} (common practice).", long_length(wire_mm, units)));
    }
    if lines.is_empty() {
        below.insert(0, "Nothing: what is on hand is enough.".to_owned());
    }
    List { heading: "TO BUY", lines, below }
}

/// A bar by its mark; anything else as it is called.
fn short(source: Source<'_>, name: &str) -> String {
    let bar = source.report.bars.iter().find(|bar| bar.name == name);
    bar.map_or_else(|| name.to_owned(), |bar| bar.mark.clone())
}

fn from_the_rack(source: Source<'_>) -> List {
    let (report, units) = (source.report, source.project.settings.units);
    let mut lines: Vec<(String, String)> = Vec::new();
    for stock in &report.stock {
        for stick in stock.sticks.iter().filter(|s| s.source != StickSource::Buy) {
            let kind = if stick.source == StickSource::Offcut { "offcut" } else { "stick" };
            let words = format!("1 {kind} {}, {}", stock.tube, plain_length(stick.length_mm, units));
            let mut letters: Vec<&str> = stick
                .cuts
                .iter()
                .filter_map(|c| report.run(c.key?.run))
                .map(|run| run.letters.as_str())
                .collect();
            letters.dedup();
            lines.push((words, letters.join(" ")));
        }
    }
    for stock in &report.elbows {
        let own = stock.elbows.iter().filter(|e| e.source == crate::report::ElbowSource::Shelf);
        let marks: Vec<&str> = own.clone().flat_map(|e| e.parts.iter().map(|p| p.mark.as_str())).collect();
        if !marks.is_empty() {
            lines.push((format!("{} {}", own.count(), stock.elbow), marks.join(" ")));
        }
    }
    for run in &report.runs {
        let ready = run.printed.iter().filter(|p| p.source == crate::report::PieceSource::Ready);
        let marks: Vec<&str> = ready.map(|p| p.mark.as_str()).collect();
        if !marks.is_empty() {
            let s = if marks.len() == 1 { "" } else { "s" };
            let marked = super::words::ranges(marks.iter().copied());
            lines.push((format!("{} slice{s} from the shelf", marks.len()), marked));
        }
    }
    List { heading: "FROM RACK AND SHELF", lines, below: Vec::new() }
}

/// Width of a column of two, mm.
fn column_mm(flow: &Flow) -> f64 {
    (flow.width() - 6.0) / 2.0
}

/// One line or more of a list in its column.
fn entry(line: &(String, String), width: f64) -> Vec<super::words::Line> {
    let right = text_width_mm(&line.1, SMALL, true).min(width * 0.4);
    wrapped("", &line.0, SMALL, width - 6.0 - right - 2.0)
}

fn lists_mm(flow: &Flow, lists: &[List]) -> f64 {
    let width = column_mm(flow);
    let all: f64 = lists
        .iter()
        .map(|l| 6.0 + l.lines.iter().map(|line| entry(line, width).len() as f64 * SMALL * 1.35).sum::<f64>())
        .sum();
    all / 2.0 + 12.0
}

/// The lists in two columns, going on from one to the other.
fn in_columns(flow: &mut Flow, lists: Vec<List>) {
    let width = column_mm(flow);
    // what is put, from top to bottom: its height, and how it is drawn
    let mut rows: Vec<(f64, Entry)> = Vec::new();
    for list in lists {
        rows.push((6.4, Entry::Heading(list.heading)));
        for line in list.lines {
            let lines = entry(&line, width);
            rows.push((lines.len() as f64 * SMALL * 1.35 + 0.4, Entry::Line(line)));
        }
        for words in list.below {
            let lines = wrapped("", &words, SMALL, width).len();
            rows.push((lines as f64 * SMALL * 1.35 + 0.4, Entry::Words(words)));
        }
    }
    flow.skip(3.0);
    let mut rest = rows.as_slice();
    while !rest.is_empty() {
        let all: f64 = rest.iter().map(|r| r.0).sum();
        flow.need(30.0_f64.min(all / 2.0 + 8.0));
        let room = flow.rest().height;
        // even columns where all of it fits, else full ones
        let half = if all / 2.0 + 6.0 <= room { all / 2.0 + 3.2 } else { room };
        let area = flow.rest();
        let mut used: f64 = 0.0;
        for column in 0..2 {
            let left = area.left + f64::from(column) * (width + 6.0);
            let mut y = 0.0;
            while let Some(((height, row), others)) = rest.split_first() {
                let heads = matches!(row, Entry::Heading(_));
                let kept = if heads { others.first().map_or(0.0, |r| r.0) } else { 0.0 };
                let most = if column == 0 { half } else { room };
                if y > 0.0 && y + height + kept > most + 1e-6 {
                    break;
                }
                row.draw(flow.page(), (left, area.top + y), width);
                y += height;
                rest = others;
            }
            used = used.max(y);
        }
        flow.take(used.min(room));
        if !rest.is_empty() {
            flow.next_page();
        }
    }
}

enum Entry {
    Heading(&'static str),
    Line((String, String)),
    Words(String),
}

impl Entry {
    fn draw(&self, page: &mut crate::sheet::Page, (x, y): (f64, f64), width: f64) {
        match self {
            Self::Heading(words) => {
                page.text(Text::new((x, y + 4.2), 4.2, *words).bold());
                page.line((x, y + 5.4), (x + width, y + 5.4), Pen::solid(0.4));
            }
            Self::Line(line) => {
                page.rect((x, y + 0.9), (3.0, 3.0), Some(Pen::solid(0.35)), None);
                for (i, words) in entry(line, width).into_iter().enumerate() {
                    page.text(Text::new((x + 5.0, y + SMALL + i as f64 * SMALL * 1.35), SMALL, words.words));
                }
                let right = crate::sheet::fonts::fit_text(&line.1, SMALL, true, width * 0.4);
                page.text(Text::new((x + width, y + SMALL), SMALL, right).bold().anchored(Anchor::End));
            }
            Self::Words(words) => {
                for (i, line) in wrapped("", words, SMALL, width).into_iter().enumerate() {
                    page.text(Text::new((x, y + SMALL + i as f64 * SMALL * 1.35), SMALL, line.words));
                }
            }
        }
    }
}

/// The cautions and the words used.
fn said_once(flow: &mut Flow, source: Source<'_>) {
    let mut all: Vec<Caution> = Vec::new();
    for run in &source.project.runs {
        for caution in cautions(source.project, run) {
            if !all.iter().any(|c| c.about == caution.about) {
                all.push(caution);
            }
        }
    }
    let mut said: Vec<(String, &str)> = all.iter().map(|c| (format!("{}:", c.about), c.text)).collect();
    if !source.report.runs.is_empty() {
        said.push(("Words:".to_owned(), WORDS));
    }
    let height = flow.block_mm(said.iter().map(|(lead, words)| (lead.as_str(), *words)), 3.2);
    flow.need(height + 3.0);
    flow.skip(3.0);
    for (lead, words) in said {
        flow.led_paragraph(&lead, words, 3.2);
    }
}

/// Says which letters of names this print cannot set.
fn letters(flow: &mut Flow, source: Source<'_>) {
    let project = source.project;
    let names = std::iter::once(("the project".to_owned(), project.name.as_str()))
        .chain(project.runs.iter().map(|r| (format!("run {}", r.letters), r.name.as_str())))
        .chain(
            project
                .hardpoints
                .iter()
                .enumerate()
                .map(|(i, h)| (format!("hardpoint {}", i + 1), h.name.as_str())),
        )
        .chain(
            project
                .joints
                .iter()
                .enumerate()
                .map(|(i, j)| (format!("joint kind {}", i + 1), j.name.as_str())),
        )
        .chain(project.bars.iter().map(|b| (project.name_of(Item::Bar(b.id)), b.name.as_str())))
        .chain(project.merges.iter().enumerate().map(|(i, m)| (format!("merge {}", i + 1), m.name.as_str())));
    let bad: Vec<String> = names
        .filter_map(|(whose, name)| {
            let letters = unset(name);
            let codes: Vec<String> =
                letters.iter().take(6).map(|c| format!("U+{:04X}", u32::from(*c))).collect();
            let more =
                if letters.len() > 6 { format!(" and {} more", letters.len() - 6) } else { String::new() };
            (!letters.is_empty()).then(|| format!("{whose} ({}{more})", codes.join(" ")))
        })
        .collect();
    if bad.is_empty() {
        return;
    }
    let words = format!(
        "this print's typeface has no such letters, or cannot join them as their script does: {}. They stand as empty boxes or one by one; the marks and numbers are right.",
        bad.join("; ")
    );
    flow.led_paragraph("Names with letters that cannot be set:", &words, SMALL);
}
