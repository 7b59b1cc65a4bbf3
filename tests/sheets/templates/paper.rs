//! Reads lines and words back from the pages of a PDF, in mm from the left bottom corner of the page.

use lopdf::content::Operation;
use lopdf::{Dictionary, Document, Object};
use std::collections::BTreeMap;

/// Millimetres in a PDF point: 72 points an inch (ISO 32000-1, 8.3.2.3, from memory).
const MM_PER_POINT: f64 = 25.4 / 72.0;

pub(super) type Point = (f64, f64);

/// The part of a page that is drawn on: left, bottom, right, top.
pub(super) type Clip = (f64, f64, f64, f64);

/// A line from point to point.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub(super) points: Vec<Point>,
    pub(super) closed: bool,
    pub(super) width_mm: f64,
    pub(super) dashed: bool,
    pub(super) clip: Clip,
}

/// Words and where they begin.
#[derive(Debug, Clone)]
pub(super) struct Words {
    pub(super) text: String,
    pub(super) at: Point,
    pub(super) clip: Clip,
}

/// A page as read.
#[derive(Debug, Default)]
pub(super) struct Read {
    pub(super) lines: Vec<Line>,
    pub(super) words: Vec<Words>,
}

/// A map of the plane: `x' = a·x + c·y + e`, `y' = b·x + d·y + f`.
#[derive(Clone, Copy)]
struct Map([f64; 6]);

impl Map {
    fn of(&self, (x, y): Point) -> Point {
        let [a, b, c, d, e, f] = self.0;
        (a * x + c * y + e, b * x + d * y + f)
    }

    /// `first`, then this.
    fn after(&self, first: &Self) -> Self {
        let [a, b, c, d, e, f] = first.0;
        let (origin, x, y) = (self.of((e, f)), self.of((a + e, b + f)), self.of((c + e, d + f)));
        Self([x.0 - origin.0, x.1 - origin.1, y.0 - origin.0, y.1 - origin.1, origin.0, origin.1])
    }

    fn scale(&self) -> f64 {
        self.0[0].hypot(self.0[1])
    }
}

#[derive(Clone)]
struct State {
    map: Map,
    width: f64,
    dashed: bool,
    clip: Clip,
    font: Vec<u8>,
}

/// Reads all pages.
pub(super) fn read(pdf: &[u8]) -> Vec<Read> {
    let document = Document::load_mem(pdf).unwrap();
    document
        .get_pages()
        .values()
        .map(|page| {
            let fonts = document.get_page_fonts(*page).unwrap();
            let fonts = fonts.into_iter().map(|(name, font)| (name, letters(&document, font))).collect();
            let content = document.get_and_decode_page_content(*page).unwrap();
            Reader::new(fonts).page(&content.operations)
        })
        .collect()
}

/// Which letter each code of a font stands for, from its `ToUnicode` table.
fn letters(document: &Document, font: &Dictionary) -> BTreeMap<u16, char> {
    let id = font.get(b"ToUnicode").and_then(Object::as_reference).unwrap();
    let table = document.get_object(id).and_then(Object::as_stream).unwrap().decompressed_content().unwrap();
    let table = String::from_utf8(table).unwrap();
    let pair = |line: &str| {
        let (code, letter) = line.trim().strip_prefix('<')?.strip_suffix('>')?.split_once("> <")?;
        let letter = char::from_u32(u32::from_str_radix(letter, 16).ok()?)?;
        Some((u16::from_str_radix(code, 16).ok()?, letter))
    };
    let (_, list) = table.split_once("beginbfchar").unwrap();
    list.lines().filter_map(pair).collect()
}

struct Reader {
    fonts: BTreeMap<Vec<u8>, BTreeMap<u16, char>>,
    state: State,
    kept: Vec<State>,
    path: Vec<(Vec<Point>, bool)>,
    clips: bool,
    text_map: Map,
    out: Read,
}

impl Reader {
    fn new(fonts: BTreeMap<Vec<u8>, BTreeMap<u16, char>>) -> Self {
        let map = Map([MM_PER_POINT, 0.0, 0.0, MM_PER_POINT, 0.0, 0.0]);
        let clip = (f64::MIN, f64::MIN, f64::MAX, f64::MAX);
        let state = State { map, width: 1.0, dashed: false, clip, font: Vec::new() };
        Self {
            fonts,
            state,
            kept: Vec::new(),
            path: Vec::new(),
            clips: false,
            text_map: map,
            out: Read::default(),
        }
    }

    fn page(mut self, operations: &[Operation]) -> Read {
        for operation in operations {
            self.step(operation);
        }
        self.out
    }

    fn step(&mut self, operation: &Operation) {
        let numbers: Vec<f64> =
            operation.operands.iter().filter_map(|o| o.as_float().ok()).map(f64::from).collect();
        let six = |n: &[f64]| Map([n[0], n[1], n[2], n[3], n[4], n[5]]);
        match operation.operator.as_str() {
            "q" => self.kept.push(self.state.clone()),
            "Q" => self.state = self.kept.pop().unwrap(),
            "cm" => self.state.map = self.state.map.after(&six(&numbers)),
            "w" => self.state.width = numbers[0],
            "d" => self.state.dashed = !operation.operands[0].as_array().unwrap().is_empty(),
            "m" => self.path.push((vec![self.state.map.of((numbers[0], numbers[1]))], false)),
            "l" => {
                let to = self.state.map.of((numbers[0], numbers[1]));
                self.path.last_mut().unwrap().0.push(to);
            }
            "c" => {
                let to = self.state.map.of((numbers[4], numbers[5]));
                self.path.last_mut().unwrap().0.push(to);
            }
            "re" => {
                let (x, y, w, h) = (numbers[0], numbers[1], numbers[2], numbers[3]);
                let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
                self.path.push((corners.map(|c| self.state.map.of(c)).to_vec(), true));
            }
            "h" => self.path.last_mut().unwrap().1 = true,
            "W" | "W*" => self.clips = true,
            "S" | "B" | "B*" => self.end_path(true),
            "s" => {
                self.path.last_mut().unwrap().1 = true;
                self.end_path(true);
            }
            "n" | "f" | "f*" => self.end_path(false),
            "Tf" => self.state.font = operation.operands[0].as_name().unwrap().to_vec(),
            "BT" => self.text_map = self.state.map,
            "Tm" => self.text_map = self.state.map.after(&six(&numbers)),
            "TJ" | "Tj" => self.words(&operation.operands[0]),
            "g" | "G" | "rg" | "RG" | "J" | "j" | "M" | "gs" | "ET" | "Tr" | "cs" | "CS" | "sc" | "SC"
            | "scn" | "SCN" | "ri" | "i" | "BDC" | "EMC" => {}
            other => panic!("the operator {other} is not known here"),
        }
    }

    fn end_path(&mut self, is_drawn: bool) {
        let paths = std::mem::take(&mut self.path);
        if std::mem::take(&mut self.clips) {
            let all = paths.iter().flat_map(|p| &p.0);
            let box_of = all.fold((f64::MAX, f64::MAX, f64::MIN, f64::MIN), |b, p| {
                (b.0.min(p.0), b.1.min(p.1), b.2.max(p.0), b.3.max(p.1))
            });
            let clip = self.state.clip;
            self.state.clip =
                (clip.0.max(box_of.0), clip.1.max(box_of.1), clip.2.min(box_of.2), clip.3.min(box_of.3));
        }
        if is_drawn {
            let (width_mm, dashed) = (self.state.width * self.state.map.scale(), self.state.dashed);
            let clip = self.state.clip;
            let line = |(points, closed)| Line { points, closed, width_mm, dashed, clip };
            self.out.lines.extend(paths.into_iter().map(line));
        }
    }

    fn words(&mut self, operand: &Object) {
        let strings: Vec<&Object> = match operand {
            Object::Array(parts) => parts.iter().collect(),
            single => vec![single],
        };
        let letters = &self.fonts[&self.state.font];
        let bytes: Vec<u8> = strings.iter().filter_map(|s| s.as_str().ok()).flatten().copied().collect();
        let code = |pair: &[u8]| u16::from_be_bytes([pair[0], pair[1]]);
        let text = bytes
            .chunks_exact(2) // a letter that only ever stands for a whole number has none of its own
            .map(|pair| letters.get(&code(pair)).copied().unwrap_or(' '))
            .collect();
        let (at, clip) = (self.text_map.of((0.0, 0.0)), self.state.clip);
        self.out.words.push(Words { text, at, clip });
    }
}
