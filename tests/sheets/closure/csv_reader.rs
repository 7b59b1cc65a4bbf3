//! Runs as they stand in the cut list.

use super::walk::{Cut, Piece, Shape, Sheet};
use std::collections::BTreeMap;

/// A row by the names of its columns.
type Row = BTreeMap<String, String>;

/// Runs by name, in the order of the list.
pub(crate) fn read(text: &str) -> Vec<(String, Sheet)> {
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let names = table.headers().expect("names of columns").clone();
    let mut runs: Vec<(String, Sheet)> = Vec::new();
    for record in table.records() {
        let record = record.expect("a row");
        let row: Row = names.iter().map(str::to_owned).zip(record.iter().map(str::to_owned)).collect();
        // bars carry runs and are none
        if row["kind"].ends_with("bar") {
            continue;
        }
        if runs.last().is_none_or(|r| r.0 != row["run"]) {
            runs.push((
                row["run"].clone(),
                Sheet { od_mm: need(length(&row, "od"), "od", &row), pieces: Vec::new() },
            ));
        }
        let last = runs.len() - 1;
        runs[last].1.pieces.push(piece(&row));
    }
    runs
}

fn need(value: Option<f64>, what: &str, row: &Row) -> f64 {
    value.unwrap_or_else(|| panic!("{what} is missing: {row:?}"))
}

fn number(row: &Row, name: &str) -> Option<f64> {
    let text = row.get(name).unwrap_or_else(|| panic!("no column {name}"));
    (!text.is_empty()).then(|| text.parse().unwrap_or_else(|_| panic!("{name} is {text}")))
}

/// A length in whichever unit the column has, mm.
fn length(row: &Row, name: &str) -> Option<f64> {
    let (mm, inches) = (format!("{name}_mm"), format!("{name}_in"));
    if row.contains_key(&mm) { number(row, &mm) } else { number(row, &inches).map(|x| x * 25.4) }
}

fn piece(row: &Row) -> Piece {
    let len = |name: &str| need(length(row, name), name, row);
    let deg = |name: &str| need(number(row, name), name, row);
    // the tilt from square follows from what the saw's scale reads by comparing both for a cut that is not at 45°
    let cut = |end: &str| {
        let (tilt, setting) = (deg(&format!("{end}_cut_deg")), deg(&format!("{end}_setting_deg")));
        assert!((setting - tilt).abs() < 1e-9 || (setting + tilt - 90.0).abs() < 1e-9, "{row:?}");
        let heel = number(row, &format!("{end}_heel_clock_deg"));
        assert_eq!(heel.is_none(), tilt == 0.0, "{row:?}");
        Cut { tilt_deg: tilt, heel_deg: heel.unwrap_or(0.0) }
    };
    let shape = match row["kind"].as_str() {
        "straight" | "slice" | "coped" => {
            let (start, end) = (cut("start"), cut("end"));
            if start.tilt_deg > 0.0 && end.tilt_deg > 0.0 {
                let twist = (end.heel_deg - start.heel_deg - deg("twist_deg")).rem_euclid(360.0);
                assert!(twist.min(360.0 - twist) < 1e-6, "{row:?}");
            }
            Shape::Sawn { long_mm: len("long"), start, end }
        }
        "elbow" => Shape::Elbow {
            angle_deg: deg("elbow_angle_deg"),
            clr_mm: len("elbow_clr"),
            lead_mm: len("elbow_lead"),
            tail_mm: len("elbow_tail"),
            throat_deg: deg("elbow_throat_clock_deg"),
        },
        "joint" => Shape::Joint { make_up_mm: len("joint_make_up") },
        "taper" => Shape::Taper {
            length_mm: len("taper_length"),
            end_od_mm: len("taper_end_od"),
            off_mm: len("taper_offset"),
            towards_deg: number(row, "taper_offset_clock_deg").unwrap_or(0.0),
        },
        other => panic!("a piece of kind {other}"),
    };
    let net_mm = len("weld_gap") - len("weld_shrink");
    let apart = |weld: &str| if row[weld].is_empty() { 0.0 } else { net_mm };
    Piece {
        mark: row["mark"].clone(),
        shape,
        trim_mm: length(row, "trim").unwrap_or(0.0),
        apart_mm: [apart("weld_before"), apart("weld_after")],
        beyond_mm: 0.0,
    }
}
