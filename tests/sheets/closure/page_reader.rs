//! Runs as they stand on the printed sheet, read like a fabricator reads it: lengths and cuts from the rows at the saw,
//! where the marks lie from the welds, the order from the pipe straightened out, joints and where the line is from the
//! column beside the picture.
//!
//! A stick's rows are followed one by one: a cut that frees a piece is the first face of the next one, unless a row comes
//! between that makes a face by itself.

use super::walk::{Cut, Piece, Shape, Sheet};
use crate::words::{Sheet as Page, lines};
use std::collections::BTreeMap;

/// Width of the right column of a bench page with half the space beside it, and of the margin, mm.
const RIGHT_MM: f64 = 64.0 + 2.0;
const MARGIN_MM: f64 = 10.0;

/// A sawn piece: long side, tilt at its start and at its end.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Sawn {
    long_mm: f64,
    start_deg: f64,
    end_deg: f64,
    /// Where its index line lies from the long side at its start or end, clockwise as the air goes, degrees.
    index_deg: Option<f64>,
}

/// An elbow: its angle, its radius, its legs, where its inside lies.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Elbow {
    angle_deg: f64,
    clr_mm: f64,
    lead_mm: f64,
    tail_mm: f64,
    throat_deg: f64,
}

/// All that is read at the saw.
#[derive(Debug, Default)]
struct Saw {
    from_blade: bool,
    sawn: BTreeMap<String, Sawn>,
    elbows: BTreeMap<String, Elbow>,
    /// Tilt of the face that the stick ends at so far, degrees.
    face_deg: f64,
    /// All lines, to say what was not understood.
    lines: Vec<String>,
}

/// What is read of one run besides.
#[derive(Debug, Default)]
struct Bench {
    letters: String,
    od_mm: f64,
    order: Vec<String>,
    /// What each weld joins, and where its mark lies; none where nothing slants.
    welds: Vec<(Vec<String>, Option<f64>)>,
    column: Vec<String>,
    tapers: BTreeMap<String, Vec<String>>,
    all: String,
}

/// A run as read: its letters, its pieces, and where the index line is at its start in words of the car: the way, and how far
/// off it clockwise, degrees.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Read {
    pub(crate) letters: String,
    pub(crate) sheet: Sheet,
    pub(crate) zero: (String, f64),
}

/// Runs in order.
pub(crate) fn read(pages: &[Page]) -> Vec<Read> {
    let mut saw = Saw::default();
    let mut benches: Vec<Bench> = Vec::new();
    for page in pages {
        let all = lines(page, 0.0, page.width_mm);
        // what kind of page it is stands in its foot, before the revision
        let foot = all.last().expect("a foot");
        let at = foot.iter().rposition(|w| w == "revision").expect("a revision");
        if foot[at - 1] == "SAW" {
            saw.page(&all);
        } else if at >= 2 && foot[at - 2] == "BENCH" {
            let letters = foot[at - 1].clone();
            if benches.last().is_none_or(|b| b.letters != letters) {
                benches.push(Bench { letters, od_mm: f64::NAN, ..Bench::default() });
            }
            let split = page.width_mm - MARGIN_MM - RIGHT_MM;
            let bench = benches.last_mut().expect("the run");
            bench.page(&all, &lines(page, 0.0, split), &lines(page, split, page.width_mm));
        }
    }
    benches.iter().map(|bench| bench.read(&saw)).collect()
}

impl Saw {
    fn page(&mut self, lines: &[Vec<String>]) {
        // a stick may go on from the page before
        let mut face_deg = self.face_deg;
        let mut waiting: Option<(String, f64, [f64; 2], Option<f64>)> = None;
        let mut clr_mm = f64::NAN;
        for line in lines {
            let words = line.join(" ");
            self.lines.push(words.clone());
            if words.contains("90° is a square cut") {
                self.from_blade = true;
            }
            if line.first().is_some_and(|w| w == "STICK") {
                if !words.contains("(continued)") {
                    face_deg = 0.0;
                }
                continue;
            }
            if let Some(at) = line.iter().position(|w| w == "CLR") {
                clr_mm = length_at(&line[at + 1..]).map_or(f64::NAN, |l| l.0);
            }
            self.elbow(line, clr_mm);
            self.shelf(line);
            if let Some((at, is_row)) = after_turn(line)
                && is_row
            {
                let rest = &line[at..];
                let (tilt_deg, rest) = if rest.first().is_some_and(|w| w == "no") {
                    (0.0, &rest[2..])
                } else {
                    let Some(reading) = rest.first().and_then(|w| degrees(w)) else { continue };
                    (if self.from_blade { 90.0 - reading } else { reading }, &rest[1..])
                };
                let Some((long_mm, used)) = length_at(rest) else {
                    // a first face only
                    face_deg = tilt_deg;
                    continue;
                };
                let Some(mark) = rest.get(used).filter(|w| is_mark(w)) else {
                    // the end made square
                    face_deg = tilt_deg;
                    continue;
                };
                let index_deg = length_at(&rest[used + 1..]).and_then(|(arc, more)| {
                    let side = rest.get(used + 1 + more)?;
                    Some(if side == "left" { -arc } else { arc })
                });
                waiting = Some((mark.clone(), long_mm, [face_deg, tilt_deg], index_deg));
                face_deg = tilt_deg;
            }
            let into = words.contains("into the stick");
            if (into || words.contains("to the free end"))
                && let Some((mark, long_mm, [first, second], index_deg)) = waiting.take()
            {
                let (start_deg, end_deg) = if into { (first, second) } else { (second, first) };
                let index_deg = index_deg.map(|arc| if into { arc } else { -arc });
                self.sawn.insert(mark, Sawn { long_mm, start_deg, end_deg, index_deg });
            }
        }
        self.face_deg = face_deg;
    }

    /// A row of slices from the shelf: how many, tube, setting, long and short side, marks.
    fn shelf(&mut self, line: &[String]) {
        let Some(at) = line.iter().position(|w| degrees(w).is_some()) else { return };
        let is_count = line.first().is_some_and(|w| w.parse::<u32>().is_ok());
        let Some((long_mm, used)) = length_at(&line[at + 1..]).filter(|_| is_count) else { return };
        let Some((_, more)) = length_at(&line[at + 1 + used..]) else { return };
        let marks: Vec<String> =
            line[at + 1 + used + more..].iter().flat_map(|w| expanded(w.trim_end_matches(','))).collect();
        let reading = degrees(&line[at]).expect("a setting");
        let tilt = if self.from_blade { 90.0 - reading } else { reading };
        for mark in marks {
            self.sawn.insert(mark, Sawn { long_mm, start_deg: tilt, end_deg: tilt, index_deg: None });
        }
    }

    /// A row of the elbows: mark, angle, legs at start and end, where the bend is cut, where its inside lies.
    fn elbow(&mut self, line: &[String], clr_mm: f64) {
        let [mark, angle, rest @ ..] = line else { return };
        let (true, Some(angle_deg)) = (is_mark(mark), degrees(angle)) else { return };
        let mut legs = Vec::new();
        let mut at = 0;
        while at < rest.len() && legs.len() < 2 {
            if let Some((mm, used)) = length_at(&rest[at..]) {
                at += used;
                if rest.get(at).is_some_and(|w| w == "off") {
                    continue;
                }
                legs.push(mm);
            } else {
                at += 1;
            }
        }
        let [lead_mm, tail_mm] = legs[..] else { panic!("the elbow {mark} is {line:?}") };
        let throat_deg = side_at_end(rest).unwrap_or_else(|| panic!("the inside of {mark} is {line:?}"));
        self.elbows.insert(mark.clone(), Elbow { angle_deg, clr_mm, lead_mm, tail_mm, throat_deg });
    }
}

/// Where in a row the words about the turn end; nothing in a line that is no row.
fn after_turn(line: &[String]) -> Option<(usize, bool)> {
    let pair = |i: usize, a: &str, b: &str| {
        line.get(i).is_some_and(|w| w == a) && line.get(i + 1).is_some_and(|w| w == b)
    };
    for i in 0..line.len() {
        for (a, b) in [("any", "turn"), ("no", "turn"), ("half", "turn"), ("start", "here")] {
            if pair(i, a, b) {
                let is_row = line.get(i + 2).is_some_and(|w| degrees(w).is_some());
                return Some((i + 2, is_row));
            }
        }
        if pair(i, "what", "is") && line.get(i + 2).is_some_and(|w| w == "left") {
            return Some((i + 3, line.get(i + 3).is_some_and(|w| w == "no")));
        }
        if matches!(line[i].as_str(), "↻" | "↺") && i > 0 && degrees(&line[i - 1]).is_some() {
            return Some((i + 1, line.get(i + 1).is_some_and(|w| degrees(w).is_some())));
        }
    }
    None
}

impl Bench {
    fn page(&mut self, all: &[Vec<String>], left: &[Vec<String>], right: &[Vec<String>]) {
        let mut in_tapers = false;
        for line in all {
            if let Some(at) = line.iter().position(|w| w == "BENCH")
                && let Some((mm, _)) = length_at(&line[at + 1..])
            {
                self.od_mm = mm;
            }
            let words = line.join(" ");
            self.all.push_str(&words);
            self.all.push(' ');
            if words.starts_with(&format!("{} ", self.letters)) {
                in_tapers = words.ends_with("Tapers");
            }
            if in_tapers && line.first().is_some_and(|w| is_mark(w)) {
                self.tapers.insert(line[0].clone(), line[1..].to_vec());
            }
        }
        let mut in_order = false;
        for line in left {
            let first = line.first().map_or("", String::as_str);
            let second = line.get(1).map_or("", String::as_str);
            if first == "START" && is_own(second, &self.letters) {
                in_order = true;
            }
            let own: Vec<String> = line.iter().filter(|w| is_own(w, &self.letters)).cloned().collect();
            let only = line.iter().all(|w| is_own(w, &self.letters) || w == "START" || w == "END");
            if in_order && only && !own.is_empty() {
                self.order.extend(own);
                in_order = !line.iter().any(|w| w == "END");
            }
            // when it is tacked, the weld, what it joins, where its mark is
            if first.parse::<usize>().is_ok() && is_weld(second) {
                let rest = line[2..].to_vec();
                let is_line = rest.windows(3).any(|w| w.join(" ") == "line on line");
                let place = if is_line { None } else { side_at_end(&rest) };
                assert!(is_line || place.is_some(), "where {second} is marked: {line:?}");
                self.welds.push((rest, place));
            }
        }
        self.column.extend(right.iter().flatten().cloned());
    }

    fn read(&self, saw: &Saw) -> Read {
        let net_mm = after(&self.all, "a gap of ") - after(&self.all, "draws its pieces together by ");
        let mut pieces: Vec<Piece> = self.order.iter().map(|mark| self.piece(mark, saw)).collect();
        for (words, place) in &self.welds {
            let at = |word: &String| pieces.iter().position(|p| p.mark == *word);
            let before = at(&words[0]).filter(|_| words.get(1).is_some_and(|w| w == "to"));
            let after = words.windows(2).find_map(|w| at(&w[1]).filter(|_| w[0] == "to"));
            assert!(before.is_some() || after.is_some(), "a weld joins {words:?}");
            match (before, after) {
                (_, Some(after)) => pieces[after].apart_mm[0] = net_mm,
                (Some(before), None) => pieces[before].apart_mm[1] = net_mm,
                (None, None) => {}
            }
            let Some(deg) = place else { continue };
            for (piece, at_end) in [(before, true), (after, false)] {
                let Some(piece) = piece else { continue };
                if let Shape::Sawn { start, end, .. } = &mut pieces[piece].shape {
                    let cut = if at_end { end } else { start };
                    if cut.tilt_deg > 0.0 {
                        cut.heel_deg = *deg;
                    }
                }
            }
        }
        let (trimmed, trim_mm) = self.trim();
        for piece in pieces.iter_mut().filter(|p| Some(&p.mark) == trimmed.as_ref()) {
            piece.trim_mm = trim_mm;
        }
        let sheet = Sheet { od_mm: self.od_mm, pieces };
        Read { letters: self.letters.clone(), sheet, zero: self.zero() }
    }

    fn piece(&self, mark: &str, saw: &Saw) -> Piece {
        let shape = if let Some(sawn) = saw.sawn.get(mark) {
            // an end that no weld is at has its long side where the saw row says; the arc is enough for that
            let radius_mm = self.od_mm / 2.0;
            let free = sawn.index_deg.map_or(0.0, |arc| -(arc / radius_mm).to_degrees());
            let cut = |tilt_deg: f64| Cut { tilt_deg, heel_deg: if tilt_deg > 0.0 { free } else { 0.0 } };
            Shape::Sawn { long_mm: sawn.long_mm, start: cut(sawn.start_deg), end: cut(sawn.end_deg) }
        } else if let Some(e) = saw.elbows.get(mark) {
            Shape::Elbow {
                angle_deg: e.angle_deg,
                clr_mm: e.clr_mm,
                lead_mm: e.lead_mm,
                tail_mm: e.tail_mm,
                throat_deg: e.throat_deg,
            }
        } else if let Some(row) = self.tapers.get(mark) {
            taper(mark, row)
        } else {
            self.joint(mark, saw)
        };
        Piece { mark: mark.to_owned(), shape, trim_mm: 0.0, apart_mm: [0.0; 2], beyond_mm: 0.0 }
    }

    /// `BJ2 … Tube ends 1" apart`, or `Tube ends slide in 2"`.
    fn joint(&self, mark: &str, saw: &Saw) -> Shape {
        let words = &self.column;
        for (i, _) in words.iter().enumerate().filter(|(_, w)| *w == mark) {
            let Some(tube) = (i..words.len() - 1).find(|k| words[*k] == "Tube" && words[k + 1] == "ends")
            else {
                continue;
            };
            let between = &words[i + 1..tube];
            if between.iter().any(|w| w == "JOINTS" || is_joint_lead(w, mark)) {
                continue;
            }
            let rest = &words[tube + 2..];
            if rest.first().is_some_and(|w| w == "slide") {
                let (mm, _) = length_at(&rest[2..]).unwrap_or_else(|| panic!("{mark} slides in {rest:?}"));
                return Shape::Joint { make_up_mm: -mm };
            }
            let (mm, _) = length_at(rest).unwrap_or_else(|| panic!("{mark} is apart {rest:?}"));
            return Shape::Joint { make_up_mm: mm };
        }
        let lines: Vec<&String> = saw.lines.iter().filter(|l| l.split(' ').any(|w| w == mark)).collect();
        panic!("{mark} is no piece and not among the joints: {lines:?} {words:?}");
    }

    /// `A5 is 1/4" too long at its end`.
    fn trim(&self) -> (Option<String>, f64) {
        let words = &self.column;
        for i in 0..words.len() {
            if is_mark(&words[i])
                && words.get(i + 1).is_some_and(|w| w == "is")
                && let Some((mm, used)) = length_at(&words[i + 2..])
                && words.get(i + 2 + used).is_some_and(|w| w == "too")
            {
                return (Some(words[i].clone()), mm);
            }
        }
        (None, 0.0)
    }

    /// `At the START it is straight up`, or `11.46° clockwise from up`.
    fn zero(&self) -> (String, f64) {
        let words = &self.column;
        let at = words.windows(3).position(|w| w[0] == "START" && w[1] == "it" && w[2] == "is");
        let at = at.unwrap_or_else(|| panic!("where the index line is: {words:?}")) + 3;
        let clean = |w: &String| w.trim_end_matches([',', '.']).to_owned();
        if words[at] == "straight" {
            return (clean(&words[at + 1]), 0.0);
        }
        let deg = degrees(&words[at]).expect("an angle");
        let sign = if words[at + 1] == "clockwise" { 1.0 } else { -1.0 };
        (clean(&words[at + 3]), sign * deg)
    }
}

/// Whether a word is the mark of another joint.
fn is_joint_lead(word: &str, mark: &str) -> bool {
    word != mark && word.contains('J') && is_mark(word)
}

/// The place that a row ends with: `1 3/16" right 45°`, `4 23/32" opposite 180°`, `on the line 0°`; degrees, clockwise
/// positive.
fn side_at_end(words: &[String]) -> Option<f64> {
    let at = words.iter().rposition(|w| matches!(w.as_str(), "right" | "left" | "opposite" | "line"))?;
    if words[at] == "opposite" {
        return Some(180.0);
    }
    let deg = words.get(at + 1).and_then(|w| degrees(w))?;
    match words[at].as_str() {
        "left" => Some(-deg),
        "line" => Some(0.0),
        _ => Some(deg),
    }
}

fn degrees(word: &str) -> Option<f64> {
    word.strip_suffix('°')?.parse().ok()
}

/// `B3–B5` as each of them.
fn expanded(word: &str) -> Vec<String> {
    let Some((first, last)) = word.split_once('–') else {
        return if is_mark(word) { vec![word.to_owned()] } else { Vec::new() };
    };
    let letters: String = first.chars().take_while(char::is_ascii_uppercase).collect();
    let number = |w: &str| w[letters.len()..].parse::<u32>().ok();
    let (Some(from), Some(to)) = (number(first), last.strip_prefix(&letters).and_then(|n| n.parse().ok()))
    else {
        return Vec::new();
    };
    (from..=to).map(|n| format!("{letters}{n}")).collect()
}

/// The length that stands after some words, mm; 0 where they do not stand there.
fn after(all: &str, words: &str) -> f64 {
    let Some((_, rest)) = all.split_once(words) else { return 0.0 };
    let rest: Vec<String> = rest.split(' ').take(3).map(str::to_owned).collect();
    length_at(&rest).unwrap_or_else(|| panic!("no length after {words}: {rest:?}")).0
}

/// Whether a word is a mark: capital letters and a number.
fn is_mark(word: &str) -> bool {
    let letters = word.chars().take_while(char::is_ascii_uppercase).count();
    letters > 0 && letters < word.len() && word[letters..].chars().all(|c| c.is_ascii_digit())
}

/// Whether a word is the mark of a piece or a joint of the run.
fn is_own(word: &str, letters: &str) -> bool {
    let number = word.strip_prefix(letters).map(|rest| rest.strip_prefix('J').unwrap_or(rest));
    number.is_some_and(|n| !n.is_empty() && n.chars().all(|c| c.is_ascii_digit()))
}

/// Whether a word is the mark of a weld: letters of a run, W, a number.
fn is_weld(word: &str) -> bool {
    let number = word.rsplit_once('W').filter(|(letters, _)| !letters.is_empty()).map(|(_, n)| n);
    number.is_some_and(|n| n.parse::<u32>().is_ok())
}

/// The length the words begin with, mm, and how many of them it takes: `89.0 mm`, `3.500"`, `3 1/2"`.
pub(crate) fn length_at(words: &[String]) -> Option<(f64, usize)> {
    let bare = |i: usize| words.get(i).map(|w: &String| w.trim_end_matches([',', ';', '.']));
    let first = bare(0)?;
    if bare(1) == Some("mm") {
        return Some((first.parse().ok()?, 2));
    }
    if let Some(number) = first.strip_suffix('"') {
        return Some((fraction(number)? * 25.4, 1));
    }
    let part = fraction(bare(1)?.strip_suffix('"').filter(|p| p.contains('/'))?)?;
    let whole: f64 = first.parse().ok()?;
    Some(((whole + part) * 25.4, 2))
}

/// `3`, `3.512`, `3/4`.
fn fraction(text: &str) -> Option<f64> {
    match text.split_once('/') {
        Some((over, under)) => Some(over.parse::<f64>().ok()? / under.parse::<f64>().ok()?),
        None => text.parse().ok(),
    }
}

/// From, to, length, wall, how far it is set off, towards where.
fn taper(mark: &str, row: &[String]) -> Shape {
    let mut lengths = Vec::new();
    let mut at = 0;
    while at < row.len() && lengths.len() < 5 {
        if let Some((mm, used)) = length_at(&row[at..]) {
            lengths.push(Some(mm));
            at += used;
        } else {
            if row[at] == "—" {
                lengths.push(None);
            }
            at += 1;
        }
    }
    let [Some(_), Some(end_od_mm), Some(length_mm), Some(_), off_mm] = lengths[..] else {
        panic!("the taper {mark} is {row:?}");
    };
    // the first place round the pipe is where it is set off to
    let towards = row[at..].iter().position(|w| matches!(w.as_str(), "right" | "left" | "opposite" | "line"));
    let towards_deg = match (off_mm, towards) {
        (Some(_), Some(i)) => side_at_end(&row[at..=(at + i + 1).min(row.len() - 1)]).unwrap_or(0.0),
        _ => 0.0,
    };
    Shape::Taper { length_mm, end_od_mm, off_mm: off_mm.unwrap_or(0.0), towards_deg }
}
