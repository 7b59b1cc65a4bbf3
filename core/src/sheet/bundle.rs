//! Everything that is printed or cut from, as files.

use super::page::PaperSize;
use super::template::{
    Heading, Pattern, Template, Wrap, Wrapped, bar_templates, cone_pattern, hole_pattern, plate_pattern,
    stamped_dxf, stamped_svg, stub_templates, templates,
};
use super::writer::SheetError;
use super::{
    CutListError, bench_list, buy_list, cut_list, dated_pdf, hole_list, part_list, revision, saw_list,
    template,
};
use crate::fab::PieceKind;
use crate::fab::hole::HoleShape;
use crate::fab::taper::cone_of;
use crate::finding::Side;
use crate::model::Project;
use crate::report::{PieceSource, Report, bar_can_be_made};

/// A file to write.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaperFile {
    /// Its name, with `/` between a folder and what is in it.
    pub name: String,
    /// What is in it.
    pub content: Vec<u8>,
}

/// Why the files cannot be made.
#[derive(Debug, thiserror::Error)]
#[expect(missing_docs, reason = "the sentence says it")]
pub enum BundleError {
    #[error("{0}")]
    Sheet(#[from] SheetError),
    #[error("{0}")]
    CutList(#[from] CutListError),
}

/// The templates of all pieces of a project that are cut to a line and are still to be sawn, and of the coped ends of bars.
pub fn all_templates(project: &Project, report: &Report) -> Vec<Template> {
    let allowances = &project.settings.allowances;
    let wall_edge = allowances.shaped_edge.into();
    let saw = &project.settings.saw;
    let wrap = Wrap {
        paper_mm: allowances.paper_mm,
        units: project.settings.units,
        wall_edge,
        scale: saw.scale,
        step_deg: saw.step_deg,
    };
    let wanted: Vec<(&str, Vec<crate::fab::Piece>)> = report
        .runs
        .iter()
        .map(|run| {
            let pieces = run.paper.pieces.iter().zip(&run.printed);
            // a shaped end is cut after the saw
            let to_cut = |(piece, told): &(&crate::fab::Piece, &crate::report::PieceReport)| {
                told.source == PieceSource::Stick || (told.source == PieceSource::Sawn && piece.is_shaped())
            };
            let sawn = pieces.filter(to_cut).map(|(piece, _)| piece.clone());
            (run.name.as_str(), sawn.collect())
        })
        .collect();
    let mut out = templates(wanted.iter().map(|(name, pieces)| (*name, pieces.as_slice())), &wrap);
    let bars = project.bars.iter().zip(&report.bars);
    for (bar, told) in bars.filter(|(_, told)| bar_can_be_made(&report.findings, told)) {
        let called = (told.mark.as_str(), told.name.as_str());
        out.extend(bar_templates(bar, &told.built, called, told.cut_printed_mm, &wrap));
    }
    for run in &report.runs {
        for (part, told) in run.built.parts.iter().zip(&run.parts) {
            let hole = part.hole(&run.built.holes).map(|hole| &hole.shape);
            if let (Some(stub), Some(HoleShape::Branch { saddle, .. })) = (&told.stub, hole) {
                out.extend(stub_templates(saddle, stub, (&told.mark, &run.name), &wrap));
            }
        }
    }
    out
}

/// The flat patterns of a project: the flats of its tapers that are rolled, its holes, and the saddle plates of its bars.
pub fn all_patterns(project: &Project, report: &Report) -> Vec<Pattern> {
    let units = project.settings.units;
    let mut out = Vec::new();
    for run in &report.runs {
        for piece in &run.paper.pieces {
            let rolled = matches!(piece.kind, PieceKind::Taper(t) if t.rolled.is_some());
            if let Some(Ok(cone)) = cone_of(piece).filter(|_| rolled) {
                out.push(cone_pattern(piece, &cone, &run.name, units));
            }
        }
        for (hole, told) in run.built.holes.iter().zip(&run.holes) {
            let on = Wrapped {
                run: &run.name,
                piece: &told.piece,
                at_mm: told.printed_at_mm,
                from_end: told.from_end,
                od_mm: told.od_mm,
                size_mm: (told.length_mm, told.width_mm),
                paper_mm: project.settings.allowances.paper_mm,
                units,
            };
            out.push(hole_pattern(hole, on));
        }
    }
    for bar in report.bars.iter().filter(|bar| bar_can_be_made(&report.findings, bar)) {
        let Some(numbers) = &bar.built.numbers else { continue };
        for (i, side) in Side::BOTH.into_iter().enumerate() {
            let plate = numbers.seats[i].as_ref().and_then(|seated| seated.plate.as_ref());
            if let (Some(plate), Some((size, text))) = (plate, &numbers.pads[i]) {
                out.push(plate_pattern((plate, size), (&bar.mark, &bar.name), (side, text), units));
            }
        }
    }
    out
}

/// What is wanted of a print.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wanted<'a> {
    /// Paper of the sheet and of the templates.
    pub paper: PaperSize,
    /// Day of the print, as it is to stand on every page and file; empty for none.
    pub date: &'a str,
    /// Whether every mitred piece gets a template, not only those where it helps.
    pub every_template: bool,
}

impl Wanted<'_> {
    /// On this paper, undated, with the templates that help.
    pub fn on(paper: PaperSize) -> Self {
        Self { paper, date: "", every_template: false }
    }
}

/// The files of a project, named after `stem`: the sheet and the templates as PDF, the cut list as CSV, the small
/// parts and what to buy besides tube as CSV, and each template as SVG and DXF in a folder of their own. Without templates or parts there is no file of
/// them.
///
/// # Errors
/// Those of the writers.
pub fn bundle(
    project: &Project,
    report: &Report,
    wanted: Wanted<'_>,
    stem: &str,
) -> Result<Vec<PaperFile>, BundleError> {
    let file = |name: &str, content: Vec<u8>| PaperFile { name: format!("{stem}-{name}"), content };
    let mut out = vec![
        file("sheet.pdf", dated_pdf(project, report, wanted)?),
        file("cut-list.csv", cut_list(project, report)?.into_bytes()),
    ];
    if let Some(list) = buy_list(project, report)? {
        out.push(file("buy-list.csv", list.into_bytes()));
    }
    let lists = [
        ("saw.csv", saw_list(project, report)?),
        ("bench.csv", bench_list(project, report)?),
        ("holes.csv", hole_list(project, report)?),
    ];
    out.extend(lists.into_iter().filter_map(|(name, list)| Some(file(name, list?.into_bytes()))));
    if let Some(parts) = part_list(project, report)? {
        out.push(file("parts.csv", parts.into_bytes()));
    }
    let (mut all, patterns) = (all_templates(project, report), all_patterns(project, report));
    all.retain(|one| wanted.every_template || one.helps());
    if all.is_empty() && patterns.is_empty() {
        return Ok(out);
    }
    let heading = Heading {
        project: project.name.clone(),
        stamp: revision(project, report),
        date: wanted.date.to_owned(),
    };
    out.push(file("templates.pdf", template::pdf(&all, &patterns, &heading, wanted.paper)?));
    for one in &all {
        let name = one.file_stem();
        out.push(file(&format!("templates/{name}.svg"), stamped_svg(one, &heading).into_bytes()));
        out.push(file(&format!("templates/{name}.dxf"), stamped_dxf(one, &heading).into_bytes()));
    }
    for one in &patterns {
        out.push(file(&format!("templates/{}.svg", one.file_stem), one.stamped_svg(&heading).into_bytes()));
        out.push(file(&format!("templates/{}.dxf", one.file_stem), one.stamped_dxf(&heading).into_bytes()));
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::run_through;
    use glam::DVec3;

    #[test]
    fn every_file_is_named_after_the_project_and_holds_something() {
        let (project, _) = run_through(&[DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)]);
        let files = bundle(
            &project,
            &Report::quick(&project),
            Wanted { every_template: true, ..Wanted::on(PaperSize::A4) },
            "bench",
        )
        .unwrap();
        let names: Vec<&str> = files.iter().map(|f| f.name.as_str()).collect();
        let first = ["bench-sheet.pdf", "bench-cut-list.csv", "bench-saw.csv", "bench-bench.csv"];
        assert_eq!(names[..4], first);
        assert_eq!(names[4], "bench-templates.pdf");
        assert!(
            names[5..]
                .iter()
                .any(|n| n.starts_with("bench-templates/") && n.rsplit('.').next() == Some("dxf"))
        );
        assert!(files.iter().all(|f| !f.content.is_empty()));
        let mut unique = names.clone();
        unique.sort_unstable();
        unique.dedup();
        assert_eq!(unique.len(), names.len());
    }

    #[test]
    fn an_empty_project_has_a_sheet_and_a_list_and_no_templates() {
        let project = Project::new("Empty", crate::units::UnitSystem::Millimetre);
        let files =
            bundle(&project, &Report::quick(&project), Wanted::on(PaperSize::Letter), "empty").unwrap();
        assert_eq!(files.len(), 2);
    }
}
