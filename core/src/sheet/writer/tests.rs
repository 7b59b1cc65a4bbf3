use super::*;
use crate::sheet::page::PaperSize;
use crate::sheet::table::{Cell, Column, Row, Table};

/// A page with every kind of mark, and a bar of exactly 100 mm.
fn sample() -> Page {
    let mut page = Page::new(PaperSize::A4);
    let thin = Pen::solid(0.25);
    page.text(Text::new((15.0, 20.0), 7.0, "Charge pipe, hot side").bold());
    page.text(Text::new((195.0, 20.0), 4.5, "page 1 of 3").anchored(Anchor::End).in_grey(Grey::DARK));
    page.line((15.0, 24.0), (195.0, 24.0), Pen::solid(0.6));
    page.line((55.0, 40.0), (155.0, 40.0), Pen::solid(0.3));
    for x in [55.0, 155.0] {
        page.line((x, 37.0), (x, 43.0), Pen::solid(0.3));
    }
    page.text(Text::new((105.0, 38.5), 4.0, "100 mm: measure this").anchored(Anchor::Middle));
    page.line((55.0, 48.0), (155.0, 48.0), thin.dashed(4.0, 2.0).in_grey(Grey::MIDDLE));
    page.polyline((0..=60).map(|i| wave(f64::from(i))).collect::<Vec<_>>(), thin);
    page.polygon([(20.0, 85.0), (40.0, 75.0), (45.0, 90.0)], Some(thin), Some(Grey::LIGHT));
    page.circle((70.0, 82.0), 8.0, Some(Pen::solid(0.5)), None);
    page.circle((70.0, 82.0), 1.0, None, Some(Grey::BLACK));
    page.rect((90.0, 75.0), (25.0, 14.0), Some(thin), Some(Grey::LIGHT));
    page.text(Text::new((102.5, 84.0), 4.5, "A1").bold().anchored(Anchor::Middle));
    page.text(Text::new((125.0, 90.0), 4.0, "reads up").turned(90.0));
    let drawing = (0..20).map(|i| Mark::Circle {
        centre: (0.0, 0.0),
        radius_mm: f64::from(i) * 2.5,
        pen: Some(thin),
        fill: None,
    });
    page.marks.push(Mark::Window {
        corner: (140.0, 70.0),
        size_mm: (40.0, 22.0),
        shift_mm: (150.0, 85.0),
        marks: drawing.collect(),
    });
    page.rect((140.0, 70.0), (40.0, 22.0), Some(thin.dashed(1.5, 1.0)), None);
    page.text(Text::new((15.0, 104.0), 5.0, "Ø 63.5 × 1.65 mm  ≈ 3 1/2\" −0.5° ½ ⅞ 排"));
    let columns = vec![
        Column::new("Mark", 22.0, Anchor::Start),
        Column::new("Saw", 24.0, Anchor::End),
        Column::new("Long point", 46.0, Anchor::End),
        Column::new("Note", 70.0, Anchor::Start),
        Column::new("Cut", 16.0, Anchor::Middle),
    ];
    let mut table = Table::new(columns, 5.0);
    table.rows.push(Row::Heading("Stick 1: 304 stainless 2 1/2\" × 0.065\"".to_owned()));
    for n in 1..=6 {
        let note =
            if n == 3 { "a note that is much too long for its column and is cut" } else { "turn 180°" };
        table.rows.push(Row::Cells(vec![
            Cell::Bold(format!("A{n}")),
            Cell::Text("7.5°".to_owned()),
            Cell::Text("3 1/2\" (3.500)".to_owned()),
            Cell::Text(note.to_owned()),
            Cell::TickBox,
        ]));
    }
    table.draw(&mut page, (15.0, 112.0), 100.0, 0);
    page
}

fn wave(i: f64) -> PointMm {
    (15.0 + 3.0 * i, 60.0 + 6.0 * (i / 60.0 * std::f64::consts::TAU).cos())
}

/// The PDF with its drawing commands readable.
fn plain_text(pages: &[Page]) -> String {
    let settings = SerializeSettings { compress_content_streams: false, ..SerializeSettings::default() };
    String::from_utf8_lossy(&write_with(pages, "Sheet", "test", settings).unwrap()).into_owned()
}

#[test]
fn every_mark_is_written_and_the_same_input_gives_the_same_bytes() {
    let pages = [sample(), Page::landscape(PaperSize::Letter)];
    let first = write(&pages, "Hot side", "Pipeloft").unwrap();
    assert_eq!(first, write(&pages, "Hot side", "Pipeloft").unwrap());
    assert!(first.starts_with(b"%PDF-"));
    assert!(first.len() < 80_000, "only the letters used are embedded: {} bytes", first.len());
    let text = plain_text(&pages);
    assert!(!text.contains("CreationDate") && !text.contains("ModDate"));
    assert!(text.contains("/FontFile2") && text.contains("/ToUnicode"));
    assert!(text.contains("/MediaBox"));
}

#[test]
fn it_asks_to_be_printed_at_true_size_in_a_table_that_points_right() {
    let bytes = write(&[sample()], "Sheet", "test").unwrap();
    let at = rfind(&bytes, b"/ViewerPreferences<</PrintScaling/None>>").unwrap();
    let table = number_after(
        std::str::from_utf8(&bytes[rfind(&bytes, b"startxref").unwrap()..]).unwrap(),
        "startxref",
    )
    .unwrap();
    let update = std::str::from_utf8(&bytes[table..]).unwrap();
    assert!(update.starts_with("xref\n"), "{update}");
    let root = number_after(update, "/Root").unwrap();
    let catalog = number_after(update, &format!("{root} 1\n")).unwrap();
    assert!(catalog < at && bytes[catalog..].starts_with(format!("{root} 0 obj").as_bytes()));
    let previous = number_after(update, "/Prev").unwrap();
    assert!(bytes[previous..].starts_with(b"xref"));
}

#[test]
fn a_pdf_of_another_make_is_left_alone() {
    for odd in [
        "",
        "trailer",
        "trailer <</Root 1 0 R>> startxref 5",
        "%PDF-1.7\n1 0 obj<</ViewerPreferences 2 0 R>>endobj\ntrailer<</Root 1 0 R>>\nstartxref\n9\n%%EOF",
    ] {
        assert_eq!(with_true_size(odd.as_bytes()), None, "{odd}");
    }
}

#[test]
fn a_bar_of_100_mm_is_283_point_46_points_long() {
    let mut page = Page::new(PaperSize::A4);
    page.line((50.0, 30.0), (150.0, 30.0), Pen::solid(0.3));
    let text = plain_text(&[page]);
    // The page is scaled to mm, so the numbers of the line stand in mm in the stream.
    assert!(text.contains("50 30 m") && text.contains("150 30 l"), "{text}");
    assert!(text.contains("2.8346457 0 0"), "{text}");
}

#[test]
fn a_circle_is_round_to_a_few_parts_in_a_million() {
    // One arc of the unit circle, its distance from the centre at many parameters.
    let step = std::f64::consts::TAU / f64::from(CIRCLE_ARCS);
    let reach = 4.0 / 3.0 * (step / 4.0).tan();
    let (sin, cos) = step.sin_cos();
    let p = [(1.0, 0.0), (1.0, reach), (cos + reach * sin, sin - reach * cos), (cos, sin)];
    for i in 0..=1000 {
        let t = f64::from(i) / 1000.0;
        let b = [(1.0 - t).powi(3), 3.0 * t * (1.0 - t).powi(2), 3.0 * t * t * (1.0 - t), t.powi(3)];
        let x: f64 = p.iter().zip(b).map(|(p, b)| p.0 * b).sum();
        let y: f64 = p.iter().zip(b).map(|(p, b)| p.1 * b).sum();
        assert!((x.hypot(y) - 1.0).abs() < 5e-6, "{}", x.hypot(y));
    }
}

#[test]
fn what_cannot_be_drawn_is_refused_and_what_is_nothing_is_passed_over() {
    assert_eq!(write(&[], "t", "c"), Err(SheetError::NoPages));
    let flat = Page { size_mm: (0.0, 100.0), marks: vec![] };
    assert_eq!(write(&[flat], "t", "c"), Err(SheetError::PageSize { page: 1 }));
    let mut bad = Page::new(PaperSize::A4);
    bad.line((0.0, f64::NAN), (1.0, 1.0), Pen::solid(0.2));
    assert_eq!(write(&[Page::new(PaperSize::A4), bad], "t", "c"), Err(SheetError::NotANumber { page: 2 }));
    let mut nothing = Page::new(PaperSize::A4);
    nothing.line((5.0, 5.0), (5.0, 5.0), Pen::solid(0.2));
    nothing.polyline([], Pen::solid(0.2));
    nothing.polygon([(1.0, 1.0)], None, Some(Grey::BLACK));
    nothing.rect((1.0, 1.0), (0.0, 0.0), Some(Pen::solid(0.2)), None);
    nothing.circle((1.0, 1.0), 0.0, Some(Pen::solid(0.2)), None);
    nothing.text(Text::new((1.0, 1.0), 4.0, "  \n"));
    nothing.text(Text::new((1.0, 1.0), 0.0, "flat"));
    assert!(write(&[nothing], "", "").is_ok());
}
