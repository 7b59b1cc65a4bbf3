//! Runs as they stand on the printed sheet: the tables of pieces, of elbows and of joints, read like a fabricator
//! reads them.
//!
//! A row is told by its mark; what its figures mean follows from their kind and order. Pieces: long and short side,
//! then cut and mark of the start, then cut and mark of the end, then notes. Elbows: angle used, at which end it is
//! cut, legs left at start and end. Joints, from the right: hose, clock of the lobe, make-up.

use super::walk::{Cut, Piece, Shape, Sheet};
use super::words::Lines;
use std::collections::BTreeMap;

/// One thing in a row.
#[derive(Debug, Clone, PartialEq)]
enum Item {
    /// A length, mm.
    Length(f64),
    /// An angle, degrees.
    Angle(f64),
    /// A place round the tube: an angle with its arc in brackets, degrees.
    Clock(f64),
    /// The word for a square cut.
    Square,
    /// The dash where there is nothing to say.
    Nothing,
    /// Any other word.
    Word(String),
}

/// Which table the rows belong to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Section {
    Pieces,
    Elbows,
    Joints,
    Tapers,
    Welds,
    Other,
}

/// What is read of one run.
#[derive(Debug, Default)]
struct Rows {
    od_mm: f64,
    pieces: Vec<(String, Vec<Item>, f64)>,
    /// Rows of the elbows, each with the radius under whose heading it stands.
    elbows: BTreeMap<String, (Vec<Item>, f64)>,
    joints: BTreeMap<String, Vec<Item>>,
    tapers: BTreeMap<String, Vec<Item>>,
    /// What each weld joins, as words.
    welds: Vec<Vec<String>>,
}

/// Runs by their letters, in order.
pub(crate) fn read(lines: &Lines) -> Vec<(String, Sheet)> {
    let all = lines.concat().join(" ");
    let from_blade = all.contains("90° on it is square");
    assert!(from_blade || all.contains("0° on it is square"), "what the saw's scale reads is not said");
    let net_mm = after(&all, "a gap of ") - after(&all, "draws its pieces together by ");
    let mut runs: Vec<(String, Rows)> = Vec::new();
    let (mut section, mut od_mm, mut clr_mm) = (Section::Other, f64::NAN, f64::NAN);
    for line in lines {
        if let Some(size) = tube_size(line) {
            od_mm = size;
        }
        if let Some((letters, found)) = heading(line) {
            section = found;
            if section == Section::Pieces && runs.last().is_none_or(|r| r.0 != letters) {
                runs.push((letters, Rows { od_mm, ..Rows::default() }));
            }
            continue;
        }
        let Some((letters, rows)) = runs.last_mut() else { continue };
        if section == Section::Elbows
            && let Some(at) = line.iter().position(|w| w == "CLR")
        {
            clr_mm = length_at(&line[at + 1..]).unwrap_or_else(|| panic!("no radius in {line:?}")).0;
        }
        row(rows, section, line, letters, clr_mm);
    }
    runs.into_iter()
        .map(|(letters, rows)| {
            let sheet = sheet(&rows, from_blade, net_mm);
            (letters, sheet)
        })
        .collect()
}

/// Adds a line to what is read of a run, where it is a row of one of its tables.
fn row(rows: &mut Rows, section: Section, line: &[String], letters: &str, clr_mm: f64) {
    let Some((mark, rest)) = line.split_first() else { return };
    if section == Section::Welds && is_weld(mark) {
        rows.welds.push(rest.to_vec());
    }
    if !is_mark(mark, letters) {
        return;
    }
    let mark = mark.clone();
    match section {
        Section::Pieces => {
            let (rest, trim_mm) = without_trim(rest);
            rows.pieces.push((mark, items(&rest), trim_mm));
        }
        Section::Elbows => {
            rows.elbows.insert(mark, (items(rest), clr_mm));
        }
        Section::Joints => {
            rows.joints.insert(mark, items(rest));
        }
        Section::Tapers => {
            rows.tapers.insert(mark, items(rest));
        }
        Section::Welds | Section::Other => {}
    }
}

/// The length that stands after some words, mm; 0 where they do not stand there.
fn after(all: &str, words: &str) -> f64 {
    let Some((_, rest)) = all.split_once(words) else { return 0.0 };
    let rest: Vec<String> = rest.split(' ').take(3).map(str::to_owned).collect();
    length_at(&rest).unwrap_or_else(|| panic!("no length after {words}: {rest:?}")).0
}

/// The line under a run's name: what it carries · outside diameter × wall material.
fn tube_size(line: &[String]) -> Option<f64> {
    let dot = line.iter().position(|w| w == "·")?;
    line.iter().position(|w| w == "×").filter(|x| *x > dot)?;
    length_at(&line[dot + 1..]).map(|l| l.0)
}

/// The letters and the table that a heading names: `A  Pieces in order, start to end`.
fn heading(line: &[String]) -> Option<(String, Section)> {
    let words = line.join(" ");
    let letters = line.first().filter(|w| !w.is_empty() && w.chars().all(|c| c.is_ascii_uppercase()));
    let rest = letters.and_then(|l| words.strip_prefix(&format!("{l} ")));
    match (letters, rest) {
        (Some(letters), Some(rest)) => {
            let section = if rest.starts_with("Pieces in order") {
                Section::Pieces
            } else if rest.starts_with("Elbows") {
                Section::Elbows
            } else if rest.starts_with("Joints") {
                Section::Joints
            } else if rest.starts_with("Tapers") {
                Section::Tapers
            } else if rest.starts_with("Welds in order") {
                Section::Welds
            } else {
                Section::Other
            };
            Some((letters.clone(), section))
        }
        _ => words.starts_with("Sawing").then(|| (String::new(), Section::Other)),
    }
}

/// Whether a word is the mark of a weld: letters of a run, W, a number.
fn is_weld(word: &str) -> bool {
    let number = word.rsplit_once('W').filter(|(letters, _)| !letters.is_empty()).map(|(_, n)| n);
    number.is_some_and(|n| n.parse::<u32>().is_ok())
}

/// Whether a word is a mark of the run: its letters, J for a joint, a number.
fn is_mark(word: &str, letters: &str) -> bool {
    let number = word.strip_prefix(letters).map(|rest| rest.strip_prefix('J').unwrap_or(rest));
    number.is_some_and(|n| !n.is_empty() && n.chars().all(|c| c.is_ascii_digit()))
}

/// A row without what it says of trimming (`incl. 1/4" trim at AW5`), and the length of that, mm.
fn without_trim(words: &[String]) -> (Vec<String>, f64) {
    let Some(from) = words.iter().position(|w| w == "incl.") else {
        return (words.to_vec(), 0.0);
    };
    let (mm, _) = length_at(&words[from + 1..]).unwrap_or_else(|| panic!("nothing to trim in {words:?}"));
    let is_weld = |w: &String| {
        let name = w.trim_matches(|c: char| !c.is_alphanumeric());
        is_weld(name)
    };
    let to = words[from..].iter().position(is_weld).map_or(words.len(), |i| from + i + 1);
    assert!(words[from..to].iter().any(|w| w == "trim"), "{words:?}");
    ([&words[..from], &words[to..]].concat(), mm)
}

/// The length the words begin with, mm, and how many of them it takes: `89.0 mm`, `3.500"`, `3 1/2" (3.500)`.
///
/// A decimal in brackets that is not the fraction's own is the finer one of a size that is not cut to.
fn length_at(words: &[String]) -> Option<(f64, usize)> {
    let bare = |i: usize| words.get(i).map(|w: &String| w.trim_end_matches([',', ';']));
    let first = bare(0)?;
    if bare(1) == Some("mm") {
        return Some((first.parse().ok()?, 2));
    }
    let (inches, count) = if let Some(number) = first.strip_suffix('"') {
        (fraction(number)?, 1)
    } else {
        let part = fraction(bare(1)?.strip_suffix('"').filter(|p| p.contains('/'))?)?;
        let whole: f64 = first.parse().ok()?;
        (if first.starts_with('-') { whole - part } else { whole + part }, 2)
    };
    let beside = bare(count).and_then(|w| w.strip_prefix('(')?.strip_suffix(')')?.parse::<f64>().ok());
    let finer = beside.filter(|d| (d - inches).abs() > 0.000_6);
    Some((finer.unwrap_or(inches) * 25.4, count + usize::from(beside.is_some())))
}

/// `3`, `3.512`, `3/4`, each with or without a minus sign.
fn fraction(text: &str) -> Option<f64> {
    match text.split_once('/') {
        Some((over, under)) => Some(over.parse::<f64>().ok()? / under.parse::<f64>().ok()?),
        None => text.parse().ok(),
    }
}

/// The things in a row.
fn items(words: &[String]) -> Vec<Item> {
    let mut out = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let word = words[at].as_str();
        if let Some((mm, count)) = length_at(&words[at..]) {
            out.push(Item::Length(mm));
            at += count;
            continue;
        }
        at += 1;
        match word.strip_suffix('°').and_then(|w| w.parse().ok()) {
            Some(deg) if words.get(at).is_some_and(|w| w.starts_with('(')) => {
                at += words[at..].iter().position(|w| w.ends_with(')')).map_or(0, |i| i + 1);
                out.push(Item::Clock(deg));
            }
            Some(deg) => out.push(Item::Angle(deg)),
            None if word == "—" => out.push(Item::Nothing),
            None if word == "square" => out.push(Item::Square),
            None => out.push(Item::Word(word.to_owned())),
        }
    }
    out
}

fn lengths(items: &[Item]) -> Vec<f64> {
    items.iter().filter_map(|i| if let Item::Length(mm) = i { Some(*mm) } else { None }).collect()
}

fn sheet(rows: &Rows, from_blade: bool, net_mm: f64) -> Sheet {
    let piece = |(mark, items, trim_mm): &(String, Vec<Item>, f64)| {
        let kind = items.iter().find_map(|i| if let Item::Word(w) = i { Some(w.as_str()) } else { None });
        let shape = match kind {
            Some("straight" | "slice" | "coped") => sawn(mark, items, from_blade),
            Some("elbow") => elbow(mark, rows.elbows.get(mark), items),
            Some("joint") => joint(mark, rows.joints.get(mark)),
            Some("taper") => taper(mark, rows.tapers.get(mark)),
            _ => panic!("{mark} is {items:?}"),
        };
        Piece { mark: mark.clone(), shape, trim_mm: *trim_mm, apart_mm: [0.0; 2], beyond_mm: 0.0 }
    };
    let mut pieces: Vec<Piece> = rows.pieces.iter().map(piece).collect();
    for weld in &rows.welds {
        let at = |word: &String| pieces.iter().position(|p| p.mark == *word);
        // `A1 to A2`, `Turbo outlet to A1`, `A9 to Cooler inlet`
        match (weld.windows(2).find_map(|w| at(&w[1]).filter(|_| w[0] == "to")), at(&weld[0])) {
            (Some(second), _) => pieces[second].apart_mm[0] = net_mm,
            (None, Some(first)) => pieces[first].apart_mm[1] = net_mm,
            (None, None) => panic!("a weld joins {weld:?}"),
        }
    }
    Sheet { od_mm: rows.od_mm, pieces }
}

fn sawn(mark: &str, items: &[Item], from_blade: bool) -> Shape {
    // an end shaped by a template is left square by the saw
    let shaped = Item::Word("shaped".to_owned());
    let figures: Vec<&Item> = items
        .iter()
        .map(|i| if *i == shaped { &Item::Square } else { i })
        .filter(|i| !matches!(i, Item::Word(_)))
        .collect();
    let [Item::Length(long_mm), Item::Length(_), start_cut, start_heel, end_cut, end_heel] = figures[..]
    else {
        panic!("{mark} is {items:?}");
    };
    let cut = |cut: &Item, heel: &Item| {
        let tilt_deg = match cut {
            Item::Square => 0.0,
            Item::Angle(deg) if from_blade => 90.0 - deg,
            Item::Angle(deg) => *deg,
            _ => panic!("the cut of {mark} is {cut:?}"),
        };
        let heel_deg = match heel {
            Item::Clock(deg) => *deg,
            Item::Nothing if tilt_deg == 0.0 => 0.0,
            _ => panic!("the heel of {mark} is {heel:?}"),
        };
        Cut { tilt_deg, heel_deg }
    };
    Shape::Sawn { long_mm: *long_mm, start: cut(start_cut, start_heel), end: cut(end_cut, end_heel) }
}

/// Angle used, radius and legs stand among the elbows; where its inside lies, at both ends of its row of pieces.
fn elbow(mark: &str, row: Option<&(Vec<Item>, f64)>, among_pieces: &[Item]) -> Shape {
    let (row, clr_mm) = row.unwrap_or_else(|| panic!("{mark} is not among the elbows"));
    let (Some(Item::Angle(angle_deg)), [lead_mm, tail_mm, ..]) = (row.first(), &lengths(row)[..]) else {
        panic!("the elbow {mark} is {row:?}");
    };
    let marks: Vec<&Item> = among_pieces.iter().filter(|i| matches!(i, Item::Clock(_))).collect();
    let [Item::Clock(throat_deg), Item::Clock(at_end_deg)] = marks[..] else {
        panic!("the elbow {mark} is {among_pieces:?}");
    };
    assert!((throat_deg - at_end_deg).abs() < 1e-9, "{mark}: {among_pieces:?}");
    Shape::Elbow {
        angle_deg: *angle_deg,
        clr_mm: *clr_mm,
        lead_mm: *lead_mm,
        tail_mm: *tail_mm,
        throat_deg: *throat_deg,
    }
}

fn joint(mark: &str, row: Option<&Vec<Item>>) -> Shape {
    let row = row.unwrap_or_else(|| panic!("{mark} is not among the joints"));
    // names may hold lengths too, so it is read from the right
    let [front @ .., Item::Clock(_) | Item::Nothing, Item::Length(_) | Item::Nothing] = &row[..] else {
        panic!("the joint {mark} is {row:?}");
    };
    let word = |w: &str| Item::Word(w.to_owned());
    match front {
        [.., Item::Length(mm), slides, into] if *slides == word("slides") && *into == word("in") => {
            Shape::Joint { make_up_mm: -mm }
        }
        [.., Item::Length(mm)] => Shape::Joint { make_up_mm: *mm },
        _ => panic!("the joint {mark} is {row:?}"),
    }
}

/// From, to, length, wall, how far it is set off, towards where.
fn taper(mark: &str, row: Option<&Vec<Item>>) -> Shape {
    let row = row.unwrap_or_else(|| panic!("{mark} is not among the tapers"));
    let figures: Vec<&Item> = row.iter().filter(|i| !matches!(i, Item::Word(_))).collect();
    let [
        Item::Length(_),
        Item::Length(end_od_mm),
        Item::Length(length_mm),
        Item::Length(_),
        off,
        towards,
        ..,
    ] = figures[..]
    else {
        panic!("the taper {mark} is {row:?}");
    };
    let (off_mm, towards_deg) = match (off, towards) {
        (Item::Length(mm), Item::Clock(deg)) => (*mm, *deg),
        (Item::Nothing, Item::Nothing) => (0.0, 0.0),
        _ => panic!("the taper {mark} is {row:?}"),
    };
    Shape::Taper { length_mm: *length_mm, end_od_mm: *end_od_mm, off_mm, towards_deg }
}
