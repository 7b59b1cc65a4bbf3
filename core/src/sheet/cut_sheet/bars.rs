//! Bars: what to saw, how their ends are set, how they are bent, and the sticks they come off.

use super::Source;
use super::columns::{Plan, fitted};
use super::flow::{BODY, Flow};
use super::saw::Drawing;
use super::words::{angle_key, dash, length_key, plain_length};
use crate::finding::{Finding, Severity};
use crate::model::{Bar, Item};
use crate::report::{BarEndReport, BarReport, BarStickReport, bar_can_be_made};
use crate::sheet::table::{Cell, Row};
use crate::units::{angle, fine_length, length_paper, tube_size};

const HOW_TO: &str = "Bars are sawn square. The length is that of the bar itself, end to end; where an end is coped, to its longest \
    side, before the cope is cut. Rod ends are screwed in as far as stands here, from the face of the insert to the tip.";

const HOW_TO_BEND: &str = "Marks count from the sawn start. Put each mark where the bend begins in your bender. The roll is that of \
    the bar, clockwise as seen along the feed; the bender is set beyond the finished angle by what the bar springs back.";

/// A bar with its report and findings.
type Made<'a> = (&'a Bar, &'a BarReport);

/// All bars that can be made, and which cannot.
pub(super) fn section(flow: &mut Flow, source: Source<'_>) {
    let all: Vec<Made<'_>> = source.project.bars.iter().zip(&source.report.bars).collect();
    let (made, stopped): (Vec<Made<'_>>, Vec<Made<'_>>) =
        all.into_iter().partition(|(_, report)| bar_can_be_made(&source.report.findings, report));
    flow.heading("Bars", 30.0);
    if let Some(caution) = source.report.bars.first().and_then(|b| b.notes.last()) {
        flow.led_paragraph("Not sized:", caution, BODY);
    }
    for (_, report) in stopped {
        let why: Vec<&str> = of(source, report, Severity::Stop).map(|f| f.text.as_str()).collect();
        flow.led_paragraph(&format!("{} cannot be made yet:", report.name), &why.join(" "), BODY);
    }
    if made.is_empty() {
        return;
    }
    flow.paragraph(HOW_TO, BODY);
    table(flow, source, &made);
    flow.skip(3.0);
    for (bar, report) in &made {
        words(flow, source, bar, report);
    }
    let bent: Vec<&Made<'_>> = made.iter().filter(|(_, r)| !r.bends.is_empty()).collect();
    if !bent.is_empty() {
        flow.heading("Bars  Bends", 40.0);
        flow.paragraph(HOW_TO_BEND, BODY);
        for (bar, report) in bent {
            bends(flow, source, bar, report);
        }
    }
    for group in &source.report.bar_stock {
        sticks(flow, source, group);
    }
}

fn of<'a>(
    source: Source<'a>,
    bar: &BarReport,
    severity: Severity,
) -> impl Iterator<Item = &'a Finding> + use<'a> {
    let item = Some(Item::Bar(bar.id));
    source.report.findings.iter().filter(move |f| f.item == item && f.severity == severity)
}

fn table(flow: &mut Flow, source: Source<'_>, made: &[Made<'_>]) {
    let units = source.project.settings.units;
    let plans = [
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::words("Bar").shrinks(),
        Plan::words("Stock").shrinks(),
        Plan::figures("Saw to"),
        Plan::words("Start").shrinks(),
        Plan::words("Far end").shrinks(),
        Plan::figures("Point\nto point"),
    ];
    let row = |(bar, report): &Made<'_>| {
        let end = |e: Option<&BarEndReport>| e.map_or_else(dash, |e| Cell::Text(e.setting(units)));
        let is_sawn = bar.is_sawn();
        let saw = if is_sawn {
            Cell::Text(format!("sawn, {}", plain_length(report.cut_printed_mm, units)))
        } else {
            length_key(report.cut_printed_mm, units)
        };
        Row::Cells(vec![
            Cell::TickBox,
            Cell::Bold(report.mark.clone()),
            Cell::Text(report.name.clone()),
            Cell::Text(report.stock.clone()),
            saw,
            end(report.ends.first()),
            end(report.ends.get(1)),
            Cell::Text(plain_length(report.eye_to_eye_mm, units)),
        ])
    };
    let rows: Vec<Row> = made.iter().map(row).collect();
    flow.rows("Bars", &fitted(&plans, &rows, flow.width()));
}

/// What does not fit into the table: adjustment, copes, plates, pins, sleeve, warnings.
fn words(flow: &mut Flow, source: Source<'_>, bar: &Bar, report: &BarReport) {
    let units = source.project.settings.units;
    let mut said = vec![report.adjust.clone()];
    for (side, end) in ["start", "far end"].iter().zip(&report.ends) {
        if let (Some(deg), Some(depth), Some(onto)) = (end.cope_angle_deg, end.cope_depth_mm, &end.onto) {
            said.push(format!(
                "Cope at the {side}: at {} onto {onto}, {} from its longest to its shortest side; its wrap template is marked {}.",
                angle(deg, 1),
                fine_length(depth, units),
                report.mark
            ));
        }
        said.extend(end.plate.iter().chain(&end.pin).map(|text| format!("At the {side}: {text}")));
    }
    if let Some(sleeve) = &report.sleeve {
        said.push(format!(
            "Sleeve {} × {}, {} long, from {} on. {}",
            tube_size(sleeve.od_mm, units),
            crate::units::wall(sleeve.wall_mm, units),
            length_paper(sleeve.length_mm, units),
            length_paper(sleeve.station_mm, units),
            sleeve.text
        ));
    }
    if bar.spare_mm > 0.0 && !bar.corners.is_empty() {
        said.push(format!(
            "{} of the length is left on to grip: after bending saw it to {} along its middle.",
            length_paper(bar.spare_mm, units),
            length_paper(report.cut_mm, units)
        ));
    }
    said.extend(of(source, report, Severity::Warn).map(|f| format!("Warning: {}", f.text)));
    flow.led_paragraph(&format!("{} {}:", report.mark, report.name), &said.join(" "), BODY);
}

fn bends(flow: &mut Flow, source: Source<'_>, bar: &Bar, report: &BarReport) {
    let units = source.project.settings.units;
    let plans = [
        Plan::figures("Bend"),
        Plan::figures("Mark where\nit begins"),
        Plan::figures("Straight\nbefore it"),
        Plan::figures("Roll, clockwise\nis positive"),
        Plan::figures("Finished\nangle"),
        Plan::figures("Set\nbender to"),
        Plan::figures("Centreline\nradius"),
        Plan::figures("Radius\nof the die"),
    ];
    let mut rows: Vec<Row> = report
        .bends
        .iter()
        .enumerate()
        .map(|(i, bend)| {
            Row::Cells(vec![
                Cell::Bold((i + 1).to_string()),
                length_key(bend.mark_printed_mm, units),
                Cell::Text(plain_length(bend.feed_mm, units)),
                bend.roll_deg.map_or_else(dash, |deg| angle_key(deg, 1)),
                Cell::Text(angle(bend.angle_deg, 1)),
                angle_key(bend.set_angle_deg, 1),
                Cell::Text(tube_size(bend.clr_mm, units)),
                Cell::Text(plain_length(bend.die_clr_mm, units)),
            ])
        })
        .collect();
    let last = Cell::Text(plain_length(report.last_straight_mm, units));
    rows.push(Row::Cells(vec![Cell::Text("end".to_owned()), dash(), last]));
    let share = crate::units::plain_number(bar.springback_share * 100.0, 2);
    let heading = format!("{} {}: springs back {share} % of a bend", report.mark, report.name);
    flow.table(&heading, &fitted(&plans, &rows, flow.width()));
}

fn sticks(flow: &mut Flow, source: Source<'_>, group: &BarStickReport) {
    let units = source.project.settings.units;
    let (count, od_mm) = (group.sticks.len(), od_of(source, group));
    if count == 0 {
        return;
    }
    let s = if count == 1 { "" } else { "s" };
    let buy = format!("Buy {count} stick{s} of {}, {}.", group.stock, length_paper(group.stick_mm, units));
    flow.heading(&format!("Bars  Sticks of {}", group.stock), 30.0);
    flow.paragraph(&buy, BODY);
    for one in &group.sticks {
        let drawn = Drawing::new(one, &[], 0, od_mm, flow.width());
        flow.need(drawn.height_mm() + 2.0 * BODY);
        flow.paragraph(&format!("{} is left over.", length_paper(one.drop_mm, units)), BODY);
        let strip = flow.take(drawn.height_mm());
        drawn.draw(flow.page(), strip, 0..0);
        let cuts = one.cuts.iter().filter_map(|cut| {
            let bar = source.report.bars.iter().find(|b| b.mark == cut.mark)?;
            Some(format!("{} {}", cut.mark, plain_length(bar.cut_printed_mm, units)))
        });
        flow.paragraph(&format!("Saw, all square: {}.", cuts.collect::<Vec<_>>().join(", ")), BODY);
    }
    if group.sticks_to_buy > group.least_to_buy {
        let words = format!(
            "There may be a layout with fewer sticks, but none with fewer than {}.",
            group.least_to_buy
        );
        flow.paragraph(&words, BODY);
    }
}

fn od_of(source: Source<'_>, group: &BarStickReport) -> f64 {
    let on_it = |b: &&BarReport| group.sticks.iter().flat_map(|s| &s.cuts).any(|c| c.mark == b.mark);
    source.report.bars.iter().find(on_it).map_or(10.0, |b| b.od_mm)
}
