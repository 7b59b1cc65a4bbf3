//! How much metals grow when they get hot: mean coefficients from about 20 °C up to a temperature.
//!
//! The figures stand as their sources give them, sheets of makers and tables seen in excerpts. Sheets differ by a few
//! per cent among themselves, those of 409 by a tenth.

use crate::model::Material;

/// A mean coefficient of thermal expansion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expansion {
    /// Growth per length and kelvin, mean from room temperature to `up_to_c`, 1/K.
    pub per_k: f64,
    /// Temperature it holds up to, °C.
    pub up_to_c: f64,
    /// Where it comes from.
    pub source: &'static str,
    /// Whether it was asked for a hotter temperature than any the source gives: the growth may be more.
    pub beyond: bool,
}

/// One figure of a table: 1e-6/K, up to °C, from where.
type Row = (f64, f64, &'static str);

const MEMORY: &str = "from memory";

/// Callister, *Fundamentals of Materials Science and Engineering*, 3rd ed., table B.6, p. 816: at room temperature.
const ALUMINIUM_6061: [Row; 1] = [(23.6, 100.0, "Callister, table B.6, room temperature")];

/// Data sheets of 304: btimetals.com (304 wire) and scribd.com/document/416534641.
const STAINLESS_304: [Row; 4] = [
    (17.2, 100.0, "data sheets of 304"),
    (17.8, 315.0, "data sheets of 304"),
    (18.4, 538.0, "data sheets of 304"),
    (18.7, 650.0, "data sheets of 304"),
];

/// Data sheets of 321: sgpipeline.com and asm.matweb.com MQ321C up to 538 °C, tubingchina.com above.
const STAINLESS_321: [Row; 5] = [
    (16.6, 100.0, "data sheets of 321"),
    (17.2, 315.0, "data sheets of 321"),
    (18.6, 538.0, "data sheets of 321"),
    (18.9, 600.0, "data sheets of 321"),
    (20.5, 1000.0, "data sheets of 321"),
];

/// Data sheet of 1.4512 (409): thyssenkrupp-materials.co.uk; another sheet gives 11.7 up to 100 °C.
const STAINLESS_409: [Row; 3] = [
    (10.5, 100.0, "a data sheet of 1.4512"),
    (12.0, 400.0, "a data sheet of 1.4512"),
    (12.0, 500.0, "a data sheet of 1.4512"),
];

/// 1020 up to 100 °C: amesweb.info; above, ASME II-D 2001, table TE-1, group 1, column B (6.9, 7.4, 7.8, 8.1 and 8.3
/// millionths per °F from 70 °F to 300, 600, 800, 1000 and 1200 °F).
const MILD_STEEL: [Row; 6] = [
    (11.7, 100.0, "a table of 1020 steel"),
    (6.9 * 1.8, 148.889, "ASME II-D, table TE-1, carbon steel"),
    (7.4 * 1.8, 315.556, "ASME II-D, table TE-1, carbon steel"),
    (7.8 * 1.8, 426.667, "ASME II-D, table TE-1, carbon steel"),
    (8.1 * 1.8, 537.778, "ASME II-D, table TE-1, carbon steel"),
    (8.3 * 1.8, 648.889, "ASME II-D, table TE-1, carbon steel"),
];

/// Taken to grow as carbon steel does, rounded up: from memory.
const CHROME_MOLY_4130: [Row; 3] = [(12.3, 100.0, MEMORY), (13.7, 400.0, MEMORY), (14.6, 538.0, MEMORY)];

/// Titanium grade 2: asm.matweb.com MTU021 up to 315 °C; above that affordengineeringplastic.com, for grade 1.
const TITANIUM_GRADE_2: [Row; 3] = [
    (8.6, 93.0, "a data sheet of titanium grade 2"),
    (9.2, 315.0, "a data sheet of titanium grade 2"),
    (9.7, 540.0, "a data sheet of titanium grade 1"),
];

/// A temperature may pass the end of a row by this much (°C): a round figure in °F is none in °C.
const SAME_C: f64 = 0.5;

/// The mean coefficient of `material` from room temperature to `hot_c`.
///
/// Of the figures of a table the one of the next hotter temperature counts, never one of a cooler: it is the
/// greater. Past the last it is the last, marked as beyond.
pub fn expansion(material: Material, hot_c: f64) -> Expansion {
    let rows: &[Row] = match material {
        Material::Aluminium6061 => &ALUMINIUM_6061,
        Material::Stainless304 => &STAINLESS_304,
        Material::Stainless321 => &STAINLESS_321,
        Material::Stainless409 => &STAINLESS_409,
        Material::MildSteel => &MILD_STEEL,
        Material::ChromeMoly4130 => &CHROME_MOLY_4130,
        Material::TitaniumGrade2 => &TITANIUM_GRADE_2,
    };
    let fits = rows.iter().position(|(_, up_to_c, _)| hot_c <= up_to_c + SAME_C);
    let (millionths, up_to_c, source) = rows[fits.unwrap_or(rows.len() - 1)];
    Expansion { per_k: millionths * 1e-6, up_to_c, source, beyond: fits.is_none() }
}
