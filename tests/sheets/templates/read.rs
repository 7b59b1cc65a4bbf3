//! Reads outlines back from SVG and DXF files; y is turned to point up.

use dxf::Drawing;
use dxf::entities::EntityType;
use dxf::enums::Units;

/// A point of a file, mm.
pub(super) type Point = (f64, f64);

/// The one path of the group `cut`, by the numbers in its `d` and the sizes in the head of the file.
pub(super) fn svg_outline(text: &str) -> Vec<Point> {
    let attribute = |from: &str, name: &str| {
        let (_, rest) = from.split_once(&format!(" {name}=\"")).unwrap();
        rest.split_once('"').unwrap().0.to_owned()
    };
    let head = &text[text.find("<svg").unwrap()..];
    // one unit is one millimetre
    let (width, height) = (attribute(head, "width"), attribute(head, "height"));
    let number = |mm: &str| mm.strip_suffix("mm").unwrap().parse::<f64>().unwrap();
    let size = format!("0 0 {} {}", width.trim_end_matches("mm"), height.trim_end_matches("mm"));
    assert_eq!(attribute(head, "viewBox"), size);
    assert!(number(&width) > 0.0 && number(&height) > 0.0);
    let group = &text[text.find("<g id=\"cut\"").unwrap()..];
    let group = &group[..group.find("</g>").unwrap()];
    assert_eq!(group.matches("<path").count(), 1);
    let d = attribute(group, "d");
    let numbers = d.strip_prefix('M').unwrap().strip_suffix(" Z").unwrap();
    numbers
        .split(" L")
        .map(|pair| {
            let (x, y) = pair.split_once(' ').unwrap();
            (x.parse().unwrap(), -y.parse::<f64>().unwrap())
        })
        .collect()
}

/// The one thing on the layer `CUT`.
pub(super) fn dxf_outline(text: &str) -> Vec<Point> {
    let drawing = Drawing::load(&mut text.as_bytes()).unwrap();
    assert_eq!(drawing.header.default_drawing_units, Units::Millimeters);
    let mut cuts = drawing.entities().filter(|e| e.common.layer == "CUT");
    let cut = cuts.next().unwrap();
    assert!(cuts.next().is_none(), "one outline");
    assert!(drawing.entities().all(|e| ["CUT", "MARK"].contains(&e.common.layer.as_str())));
    let EntityType::Polyline(line) = &cut.specific else { panic!("the outline is no polyline") };
    assert!(line.is_closed());
    line.vertices().map(|v| (v.location.x, v.location.y)).collect()
}

/// All that is on the layer `CUT`: the outline first, then the holes in it.
pub(super) fn dxf_cuts(text: &str) -> Vec<Vec<Point>> {
    let drawing = Drawing::load(&mut text.as_bytes()).unwrap();
    let cuts = drawing.entities().filter(|e| e.common.layer == "CUT");
    let line = |kind: &EntityType| match kind {
        EntityType::Polyline(line) if line.is_closed() => {
            line.vertices().map(|v| (v.location.x, v.location.y)).collect()
        }
        _ => panic!("what is cut is no closed line"),
    };
    cuts.map(|e| line(&e.specific)).collect()
}

/// All words of a DXF.
pub(super) fn dxf_words(text: &str) -> Vec<String> {
    let drawing = Drawing::load(&mut text.as_bytes()).unwrap();
    let word = |kind: &EntityType| match kind {
        EntityType::Text(text) => Some(text.value.clone()),
        _ => None,
    };
    drawing.entities().filter_map(|e| word(&e.specific)).collect()
}
