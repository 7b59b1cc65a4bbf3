//! Wrap templates as written: read back from the files and measured against tubes cut in space.

#![expect(clippy::unwrap_used, reason = "what cannot be read back fails the test")]

mod bends;
mod branches;
mod meeting;
mod paper;
mod read;
mod shaped;
mod solid;

use paper::{Clip, Line, Read};
use pipeloft_core::fab::limb::Edge;
use pipeloft_core::fab::{Cut, Piece, PieceKind};
use pipeloft_core::file;
use pipeloft_core::model::{SawScale, TubeId};
use pipeloft_core::report::Report;
use pipeloft_core::sheet::template::{Heading, Part, Template, Wrap, dxf, pdf, svg, templates};
use pipeloft_core::sheet::{PaperSize, revision};
use pipeloft_core::units::UnitSystem;
use pipeloft_tests::shop::demos;
use solid::{Tube, tubes};
use std::collections::BTreeMap;
use std::f64::consts::{PI, TAU};

const PAPER_MM: f64 = 0.1;
/// How far what is read back may be off, mm.
const OFF_MM: f64 = 0.05;

type Point = (f64, f64);

fn strips(piece: &Piece, paper_mm: f64) -> Vec<Template> {
    let wrap = Wrap {
        paper_mm,
        units: UnitSystem::Millimetre,
        wall_edge: Edge::Seat,
        scale: SawScale::FromSquare,
        step_deg: 0.1,
    };
    Template::of_piece(piece, std::slice::from_ref(&piece.mark), "Hot side", &wrap)
}

fn heading() -> Heading {
    Heading { project: "Bench".to_owned(), stamp: "1a2b3c4d".to_owned(), date: String::new() }
}

/// What the edges of a strip should be at a clock, mm along the tube: found in space, and for the square edge of a
/// band by the figure printed on it.
struct Truth<'a> {
    tube: &'a Tube,
    part: Part,
    long_points: (f64, f64),
}

impl<'a> Truth<'a> {
    fn new(tube: &'a Tube, part: Part) -> Self {
        Self { tube, part, long_points: tube.long_points_mm() }
    }

    fn edges(&self, clock_rad: f64) -> (f64, f64) {
        let (low, high) = self.tube.generator_mm(clock_rad);
        match self.part {
            Part::Whole => (low, high),
            Part::Start { far_mm, .. } => (low, self.long_points.1 - far_mm),
            Part::End { far_mm, .. } => (self.long_points.0 + far_mm, high),
        }
    }

    fn width_mm(&self) -> f64 {
        PI * (self.tube.od_mm + PAPER_MM)
    }

    /// How far an outline is off, mm: all its corners and the middles of its chords, after its left lower corner is
    /// laid on the index line.
    fn miss(&self, outline: &[Point]) -> f64 {
        let (left, bottom) = outline[0];
        let shift = self.edges(0.0).0 - bottom;
        let turn = outline.windows(2).position(|w| w[1].0 <= w[0].0).unwrap() + 1;
        let mut worst = (outline[turn - 1].0 - left - self.width_mm()).abs();
        for (chain, is_lower) in [(&outline[..turn], true), (&outline[turn..], false)] {
            let middles =
                chain.windows(2).map(|w| (f64::midpoint(w[0].0, w[1].0), f64::midpoint(w[0].1, w[1].1)));
            for (x, y) in chain.iter().copied().chain(middles) {
                let (low, high) = self.edges((x - left) / self.width_mm() * TAU);
                worst = worst.max((y + shift - if is_lower { low } else { high }).abs());
            }
        }
        worst
    }
}

#[test]
fn the_outlines_in_svg_and_dxf_are_those_of_a_tube_cut_by_planes_in_space() {
    let mut worst = (0.0_f64, 0.0_f64);
    let mut seen = 0;
    for tube in tubes() {
        for template in strips(&tube.piece, PAPER_MM) {
            let truth = Truth::new(&tube, template.part);
            let off = (
                truth.miss(&read::svg_outline(&svg(&template))),
                truth.miss(&read::dxf_outline(&dxf(&template))),
            );
            assert!(off.0 < OFF_MM && off.1 < OFF_MM, "od {} {:?}: {off:?}", tube.od_mm, template.part);
            worst = (worst.0.max(off.0), worst.1.max(off.1));
            seen += 1;
        }
    }
    assert!(seen >= 30, "only {seen} templates were measured");
    println!("{seen} templates, off by at most {:.4} mm in SVG and {:.4} mm in DXF", worst.0, worst.1);
}

#[test]
fn the_length_along_every_generator_is_the_pieces_own() {
    for tube in tubes() {
        for i in 0..360 {
            let clock = f64::from(i).to_radians();
            let (low, high) = tube.generator_mm(clock);
            assert!((high - low - tube.piece.generator_mm(clock)).abs() < 1e-9, "od {}", tube.od_mm);
        }
    }
}

/// Depth of the cut below its long point at every 10° from it: 3 in tube, saw at 11.25°.
///
/// Own vector: computed to 30 digits, and measured on solids cut by a plane in a general solid modeller, apart from
/// any formula.
#[test]
fn three_inch_tube_at_eleven_and_a_quarter_degrees() {
    const DEPTHS: [f64; 19] = [
        0.000000, 0.115135, 0.457043, 1.015335, 1.773047, 2.707156, 3.789281, 4.986541, 6.262558, 7.578561,
        8.894565, 10.170582, 11.367842, 12.449966, 13.384076, 14.141788, 14.700079, 15.041987, 15.157122,
    ];
    const PITCH_MM: f64 = 6.64970445;
    let piece = Piece {
        mark: "A1".to_owned(),
        key: None,
        kind: PieceKind::Straight,
        tube: TubeId(1),
        od_mm: 76.2,
        centre_mm: 60.0,
        start: Cut::SQUARE,
        end: Cut::tilted(11.25_f64.to_radians(), 0.0),
        bend: None,
        lobe_clock_rad: None,
        curves: [None, None],
    };
    let template = &strips(&piece, 0.0)[0];
    for outline in [read::svg_outline(&svg(template)), read::dxf_outline(&dxf(template))] {
        let left = outline[0].0;
        let top = outline.iter().map(|p| p.1).fold(f64::MIN, f64::max);
        let upper: Vec<Point> = outline[2..].iter().rev().copied().collect();
        for station in 0..=36_u32 {
            let x = left + f64::from(station) * PITCH_MM;
            let chord = upper.windows(2).find(|w| w[0].0 - 1e-3 <= x && x <= w[1].0 + 1e-3).unwrap();
            let part = (x - chord[0].0) / (chord[1].0 - chord[0].0);
            let depth = top - (chord[0].1 + part * (chord[1].1 - chord[0].1));
            let expected = DEPTHS[18 - station.abs_diff(18) as usize];
            assert!((depth - expected).abs() < 0.01, "station {station}: {depth} for {expected}");
        }
    }
}

/// Lines that are cut along: full and 0.2 mm wide.
fn cuts(page: &Read) -> impl Iterator<Item = &Line> {
    page.lines.iter().filter(|l| !l.dashed && (l.width_mm - 0.2).abs() < 0.001)
}

#[test]
fn the_outlines_on_paper_are_those_of_a_tube_cut_by_planes_in_space() {
    let mut worst = 0.0_f64;
    for tube in tubes().iter().filter(|t| t.od_mm < 80.0) {
        for template in strips(&tube.piece, PAPER_MM) {
            let pages = paper::read(
                &pdf(std::slice::from_ref(&template), &[], &heading(), PaperSize::Letter).unwrap(),
            );
            let outlines: Vec<&Line> = pages.iter().flat_map(cuts).filter(|l| l.closed).collect();
            let [outline] = outlines[..] else { panic!("od {}: {} outlines", tube.od_mm, outlines.len()) };
            let off = Truth::new(tube, template.part).miss(&outline.points);
            assert!(off < OFF_MM, "od {} {:?}: {off}", tube.od_mm, template.part);
            worst = worst.max(off);
        }
    }
    println!("off by at most {worst:.4} mm in PDF");
}

#[test]
fn the_bars_on_every_page_measure_100_mm_and_4_in() {
    let tubes = tubes();
    let all: Vec<Template> = tubes.iter().flat_map(|t| strips(&t.piece, PAPER_MM)).collect();
    for paper in PaperSize::ALL {
        for (number, page) in paper::read(&pdf(&all, &[], &heading(), paper).unwrap()).iter().enumerate() {
            let ends = |line: &Line| (line.points[0], line.points[line.points.len() - 1]);
            let stroke_at = |at: Point, is_upright: bool| {
                page.lines.iter().any(|l| {
                    let (a, b) = ends(l);
                    let middle = (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
                    let turned = if is_upright { (a.0 - b.0).abs() } else { (a.1 - b.1).abs() } < 1e-3;
                    turned && (middle.0 - at.0).hypot(middle.1 - at.1) < 1e-3
                })
            };
            for (length, words, is_level) in
                [(100.0, "100 mm", true), (101.6, "4 in", true), (100.0, "100 mm", false)]
            {
                let found = page.lines.iter().any(|line| {
                    let (a, b) = ends(line);
                    let (along, off) = if is_level { (b.0 - a.0, b.1 - a.1) } else { (b.1 - a.1, b.0 - a.0) };
                    let is_bar = (along.abs() - length).abs() < 0.001 && off.abs() < 0.001;
                    let is_named = page.words.iter().any(|w| {
                        let (along, off) =
                            if is_level { (w.at.0, w.at.1 - a.1) } else { (w.at.1, a.0 - w.at.0) };
                        let (from, to) = if is_level { (a.0, b.0) } else { (a.1.min(b.1), a.1.max(b.1)) };
                        w.text == words && from < along && along < to && (0.0..2.0).contains(&off)
                    });
                    is_bar && is_named && stroke_at(a, is_level) && stroke_at(b, is_level)
                });
                assert!(found, "page {}: no bar of {length} mm, level {is_level}", number + 1);
            }
            let says = |part: &str| page.words.iter().any(|w| w.text.contains(part));
            assert!(says("100 % (actual size)") && says("revision 1a2b3c4d") && says("Bench"));
        }
    }
}

/// A tile as read from its page: what is cut, and where its crosses stand, by their letters.
struct Tile {
    clip: Clip,
    cuts: Vec<Vec<Point>>,
    crosses: BTreeMap<String, Vec<Point>>,
}

/// The tiles of all pages: what is drawn in one rectangle.
fn tiles(pages: &[Read]) -> Vec<Tile> {
    let mut out = Vec::new();
    for page in pages {
        let mut clips: Vec<Clip> = Vec::new();
        let is_length = |line: &&Line, length: f64| {
            let (a, b) = (line.points[0], line.points[line.points.len() - 1]);
            line.points.len() == 2 && ((a.0 - b.0).hypot(a.1 - b.1) - length).abs() < 0.001
        };
        let arms: Vec<&Line> = page.lines.iter().filter(|l| is_length(l, 8.0)).collect();
        for arm in &arms {
            if !clips.contains(&arm.clip) {
                clips.push(arm.clip);
            }
        }
        for clip in clips {
            let middle = |l: &Line| {
                (f64::midpoint(l.points[0].0, l.points[1].0), f64::midpoint(l.points[0].1, l.points[1].1))
            };
            let is_level = |l: &&&Line| (l.points[0].1 - l.points[1].1).abs() < 0.001;
            let mut crosses: BTreeMap<String, Vec<Point>> = BTreeMap::new();
            for level in arms.iter().filter(|l| l.clip == clip).filter(is_level) {
                let at = middle(level);
                let upright = arms.iter().filter(|l| !is_level(l)).map(|l| middle(l));
                assert!(upright.into_iter().any(|m| (m.0 - at.0).hypot(m.1 - at.1) < 0.001), "half a cross");
                let near = |w: &&paper::Words| (w.at.0 - at.0).hypot(w.at.1 - at.1) < 1.5;
                let letter = page.words.iter().filter(|w| w.clip == clip).find(near).unwrap();
                crosses.entry(letter.text.clone()).or_default().push(at);
            }
            let cuts = cuts(page).filter(|l| l.clip == clip).map(|l| l.points.clone()).collect();
            out.push(Tile { clip, cuts, crosses });
        }
    }
    out
}

/// Where each tile lies when all are joined cross on cross: what is added to its own coordinates.
fn joined(tiles: &[Tile]) -> Vec<Point> {
    let mut places: Vec<Option<Point>> = vec![None; tiles.len()];
    places[0] = Some((0.0, 0.0));
    let mut joints = 0;
    loop {
        let mut has_moved = false;
        for (i, a) in tiles.iter().enumerate() {
            for (j, b) in tiles.iter().enumerate() {
                let Some(place) = places[i] else { continue };
                for (letter, here) in &a.crosses {
                    let Some(there) = b.crosses.get(letter).filter(|_| i != j) else { continue };
                    assert_eq!((here.len(), there.len()), (2, 2), "joint {letter}");
                    let lay = |n: usize| (place.0 + here[n].0 - there[n].0, place.1 + here[n].1 - there[n].1);
                    let (one, two) = (lay(0), lay(1));
                    assert!((one.0 - two.0).hypot(one.1 - two.1) < 0.01, "joint {letter} is twisted");
                    if let Some(at) = places[j] {
                        joints += 1;
                        assert!((at.0 - one.0).hypot(at.1 - one.1) < 0.01, "joint {letter} gapes");
                    } else {
                        places[j] = Some(one);
                        has_moved = true;
                    }
                }
            }
        }
        if !has_moved {
            assert!(joints > 0);
            return places.into_iter().map(|p| p.expect("a sheet hangs on no other")).collect();
        }
    }
}

/// Distance of a point from a line from point to point.
fn distance(at: Point, line: &[Point]) -> f64 {
    let from = |w: &[Point]| {
        let (step, to) = ((w[1].0 - w[0].0, w[1].1 - w[0].1), (at.0 - w[0].0, at.1 - w[0].1));
        let part = ((step.0 * to.0 + step.1 * to.1) / (step.0 * step.0 + step.1 * step.1)).clamp(0.0, 1.0);
        (to.0 - part * step.0).hypot(to.1 - part * step.1)
    };
    line.windows(2).map(from).fold(f64::MAX, f64::min)
}

#[test]
fn sheets_joined_cross_on_cross_give_the_outline() {
    for tube in tubes().iter().filter(|t| t.od_mm > 80.0) {
        for template in strips(&tube.piece, PAPER_MM) {
            for paper in PaperSize::ALL {
                let pages =
                    paper::read(&pdf(std::slice::from_ref(&template), &[], &heading(), paper).unwrap());
                let tiles = tiles(&pages);
                assert!(tiles.len() > 1, "od {} on {} pages", tube.od_mm, pages.len());
                let places = joined(&tiles);
                let truth = Truth::new(tube, template.part);
                // the left lower corner of what is joined, to lay it on the tube
                let all: Vec<Point> = tiles
                    .iter()
                    .zip(&places)
                    .flat_map(|(t, p)| t.cuts.iter().flatten().map(|c| (c.0 + p.0, c.1 + p.1)))
                    .collect();
                let left = all.iter().map(|p| p.0).fold(f64::MAX, f64::min);
                let bottom = all.iter().filter(|p| p.0 < left + 0.01).map(|p| p.1).fold(f64::MAX, f64::min);
                let shift = truth.edges(0.0).0 - bottom;
                let mut worst = 0.0_f64;
                for degree in 0..=720 {
                    let clock = TAU * f64::from(degree) / 720.0;
                    let (low, high) = truth.edges(clock);
                    let middle = f64::midpoint(low, high);
                    let ends = [low, high].into_iter().chain([0, 720].contains(&degree).then_some(middle));
                    for y in ends {
                        let at = (left + clock / TAU * truth.width_mm(), y - shift);
                        // on every sheet that shows the place, and on one at least
                        let shown = tiles.iter().zip(&places).filter_map(|(tile, place)| {
                            let on = (at.0 - place.0, at.1 - place.1);
                            let (l, b, r, t) = tile.clip;
                            let is_shown = l < on.0 && on.0 < r && b < on.1 && on.1 < t;
                            let off =
                                tile.cuts.iter().map(|line| distance(on, line)).fold(f64::MAX, f64::min);
                            is_shown.then_some(off)
                        });
                        let shown: Vec<f64> = shown.collect();
                        assert!(!shown.is_empty(), "od {}: clock {degree}/2° is on no sheet", tube.od_mm);
                        worst = shown.into_iter().fold(worst, f64::max);
                    }
                }
                assert!(worst < OFF_MM, "od {} {:?}: {worst}", tube.od_mm, template.part);
                println!("od {} on {} sheets: off by at most {worst:.4} mm", tube.od_mm, tiles.len());
            }
        }
    }
}

#[test]
fn every_piece_of_the_demos_that_is_cut_at_an_angle_has_its_template() {
    for path in demos() {
        let project = file::load(&path).unwrap();
        let report = Report::new(&project);
        let runs = report.runs.iter().map(|r| (r.name.as_str(), r.built.pieces.as_slice()));
        let wrap = Wrap {
            paper_mm: Wrap::OFFICE_PAPER_MM,
            units: project.settings.units,
            wall_edge: Edge::Seat,
            scale: SawScale::FromSquare,
            step_deg: 0.1,
        };
        let all = templates(runs, &wrap);
        let named: Vec<&String> = all.iter().flat_map(|t| &t.names).collect();
        for piece in report.runs.iter().flat_map(|r| &r.built.pieces) {
            let angled = piece.start.tilt_rad > 0.0 || piece.end.tilt_rad > 0.0;
            let is_cut = piece.is_sawn() && (angled || piece.is_shaped());
            assert_eq!(named.contains(&&piece.mark), is_cut, "{}: {}", path.display(), piece.mark);
        }
        let heading = Heading {
            project: project.name.clone(),
            stamp: revision(&project, &report),
            date: String::new(),
        };
        for paper in PaperSize::ALL {
            let file = pdf(&all, &[], &heading, paper).unwrap();
            let pages = paper::read(&file);
            for mark in named.iter().filter(|m| all.iter().any(|t| t.names.len() < 12 && t.names.contains(m)))
            {
                let holds = |w: &paper::Words| super::holds(&w.text, mark);
                assert!(pages.iter().any(|p| p.words.iter().any(holds)), "{}: {mark}", path.display());
            }
        }
        for template in &all {
            let words = read::dxf_words(&dxf(template)).join(" ");
            assert!(super::holds(&words, &template.names[0]), "{}: {words}", path.display());
            assert!(read::svg_outline(&svg(template)).len() > 10);
        }
    }
}
