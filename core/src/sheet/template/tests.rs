use super::draw::{Plot, drawing};
use super::pages::{Heading, pages, pdf};
use super::tile::{OVERLAP_MM, Tiling, bounds, meets};
use super::unroll::{OtherEnd, Part, Template, Wrap};
use super::{dxf, svg, templates};
use crate::fab::piece::ElbowCut;
use crate::fab::{Cut, Piece, PieceKind};
use crate::geom::Frame;
use crate::model::{JointId, TubeId};
use crate::sheet::CAP_HEIGHT;
use crate::sheet::area::Area;
use crate::sheet::page::{Mark, PaperSize, Text};
use crate::sheet::writer::SheetError;
use crate::units::UnitSystem;
use approx::assert_relative_eq;
use glam::DVec3;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

const METRIC: Wrap = Wrap {
    paper_mm: 0.1,
    units: UnitSystem::Millimetre,
    wall_edge: crate::fab::limb::Edge::Seat,
    scale: crate::model::SawScale::FromSquare,
    step_deg: 0.1,
};

fn tilted(tilt_deg: f64, heel_deg: f64) -> Cut {
    Cut::tilted(tilt_deg.to_radians(), heel_deg.to_radians())
}

fn piece(mark: &str, od_mm: f64, centre_mm: f64, start: Cut, end: Cut) -> Piece {
    Piece {
        mark: mark.to_owned(),
        key: None,
        kind: PieceKind::Straight,
        tube: TubeId(1),
        od_mm,
        centre_mm,
        start,
        end,
        bend: None,
        lobe_clock_rad: None,
        curves: [None, None],
    }
}

fn strips(piece: &Piece, wrap: &Wrap) -> Vec<Template> {
    Template::of_piece(piece, std::slice::from_ref(&piece.mark), "Hot side", wrap)
}

/// From the thinnest tube to the widest, short and long, with cuts alike, turned and at one end only.
fn samples() -> Vec<Template> {
    let same = tilted(11.25, 212.5);
    let mut all = Vec::new();
    for (i, od) in [5.0, 12.0, 25.4, 38.1, 50.8, 63.5, 76.2, 101.6, 1000.0].into_iter().enumerate() {
        let mark = |n: usize| format!("A{}", 10 * i + n);
        for piece in [
            piece(&mark(0), od, 0.6 * od, same, same),
            piece(&mark(1), od, 1.4 * od, tilted(7.5, 30.0), tilted(11.25, 100.0)),
            piece(&mark(2), od, 0.6 * od, tilted(11.25, 0.0), tilted(11.25, 0.0)),
            piece(&mark(3), od, 900.0, Cut::SQUARE, tilted(22.5, 180.0)),
            piece(&mark(4), od, 3000.0, tilted(30.0, 359.0), tilted(7.5, 91.0)),
            piece(&mark(5), od, 2.5 * od, tilted(45.0, 271.0), Cut::SQUARE),
        ] {
            all.extend(strips(&piece, &METRIC));
        }
    }
    all
}

fn texts(marks: &[Mark]) -> Vec<&Text> {
    marks.iter().filter_map(|mark| if let Mark::Text(text) = mark { Some(text) } else { None }).collect()
}

#[test]
fn a_strip_goes_once_round_at_the_middle_of_the_paper_and_meets_itself_at_the_seam() {
    for paper_mm in [0.0, 0.1, 0.25] {
        let wrap = Wrap { paper_mm, ..METRIC };
        let p = piece("A1", 76.2, 60.0, tilted(11.25, 40.0), tilted(7.5, 200.0));
        let [t] = &strips(&p, &wrap)[..] else { panic!("one strip") };
        assert_relative_eq!(t.width_mm(), PI * (76.2 + paper_mm), max_relative = 1e-15);
        for edge in [&t.lower, &t.upper] {
            assert_relative_eq!(edge.y_mm(0.0), edge.y_mm(TAU), epsilon = 1e-12);
        }
        let xs: Vec<f64> = t.outline().iter().map(|p| p.0).collect();
        assert_relative_eq!(xs.iter().copied().fold(f64::MAX, f64::min), 0.0);
        assert_relative_eq!(xs.iter().copied().fold(0.0, f64::max), t.width_mm());
        // the length along every generator is the piece's own
        for i in 0..36 {
            let clock = f64::from(i) * TAU / 36.0;
            assert_relative_eq!(
                t.upper.y_mm(clock) - t.lower.y_mm(clock),
                p.generator_mm(clock),
                epsilon = 1e-12
            );
        }
    }
}

#[test]
fn paper_that_is_none_is_not_allowed_for() {
    let p = piece("A1", 50.8, 60.0, tilted(11.25, 0.0), Cut::SQUARE);
    for (paper_mm, counted) in [(f64::NAN, 0.0), (-1.0, 0.0), (f64::INFINITY, 3.0), (0.2, 0.2)] {
        let strips = strips(&p, &Wrap { paper_mm, ..METRIC });
        assert_relative_eq!(strips[0].paper_mm, counted);
    }
}

/// The way the clock goes, worked out from how eyes see and not from the template's own formulas.
#[test]
fn who_looks_at_the_outside_with_the_travel_up_sees_the_clock_run_to_the_right() {
    let t = &strips(&piece("A1", 60.0, 50.0, tilted(15.0, 90.0), tilted(15.0, 90.0)), &METRIC)[0];
    for travel in [DVec3::X, DVec3::new(0.3, -0.5, 0.81).normalize_or_zero()] {
        let frame = Frame::new(DVec3::ZERO, travel, DVec3::new(0.1, 0.2, 0.97));
        for i in 0..24 {
            let clock = f64::from(i) * TAU / 24.0;
            let outward = frame.at_clock(clock);
            // the viewer stands outside and looks at the tube, head along the travel: right is look × up
            let right = (-outward).cross(travel);
            let step = frame.at_clock(clock + 0.01) - outward;
            assert!(step.dot(right) > 0.0099, "at {clock}");
        }
        // so the long side, at 90°, is a quarter of the strip to the right of its left side
        let highest = t.outline().into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
        let from_index = highest.0 / t.width_mm() * TAU;
        assert_relative_eq!(from_index, FRAC_PI_2, epsilon = 0.05);
        let seen = (-frame.index).cross(travel);
        assert!(frame.at_clock(from_index).dot(seen) > 0.99, "the heel lies to the viewer's right");
    }
}

#[test]
fn no_chord_is_a_hundredth_of_a_millimetre_off_the_curve() {
    let tilts = [(5.0, 11.25), (50.8, 1.0), (76.2, 11.25), (1000.0, 45.0), (1000.0, 80.0)];
    for (od, tilt) in tilts {
        let p = piece("A1", od, 20.0 * od, tilted(tilt, 77.0), tilted(tilt, 77.0));
        for t in strips(&p, &METRIC) {
            let outline = t.outline();
            let mut worst = 0.0_f64;
            for pair in outline.windows(2).filter(|w| (w[0].0 - w[1].0).abs() > 1e-9) {
                let edge = if pair[1].0 > pair[0].0 { &t.lower } else { &t.upper };
                for part in [0.0, 0.25, 0.5, 0.75] {
                    let x = pair[0].0 + part * (pair[1].0 - pair[0].0);
                    let chord = pair[0].1 + part * (pair[1].1 - pair[0].1);
                    worst = worst.max((chord - edge.y_mm(x / t.width_mm() * TAU)).abs());
                }
            }
            assert!(worst < 0.01, "od {od} tilt {tilt}: {worst}");
            assert!(outline.len() < 10_000, "od {od} tilt {tilt}: {} points", outline.len());
        }
    }
}

#[test]
fn the_greatest_and_least_place_of_an_edge_are_found_on_any_stretch() {
    let t = &strips(&piece("A1", 60.0, 80.0, tilted(20.0, 100.0), tilted(15.0, 300.0)), &METRIC)[0];
    for (from, to) in [(0.0, TAU), (1.0, 1.2), (1.6, 5.5), (4.0, 6.0), (0.0, 0.1), (5.0, TAU)] {
        for edge in [&t.lower, &t.upper] {
            let all: Vec<f64> =
                (0..=20_000).map(|i| edge.y_mm(from + (to - from) * f64::from(i) / 20_000.0)).collect();
            let (low, high) = edge.range_mm(from, to);
            assert_relative_eq!(low, all.iter().copied().fold(f64::MAX, f64::min), epsilon = 1e-5);
            assert_relative_eq!(high, all.iter().copied().fold(f64::MIN, f64::max), epsilon = 1e-5);
        }
    }
}

#[test]
fn a_long_piece_has_a_band_at_each_mitred_end_placed_by_a_round_figure() {
    for (units, round) in
        [(UnitSystem::Millimetre, 5.0), (UnitSystem::InchFraction, 6.35), (UnitSystem::InchDecimal, 2.54)]
    {
        let wrap = Wrap { units, ..METRIC };
        let p = piece("C2", 76.2, 612.3, tilted(11.25, 20.0), tilted(7.5, 290.0));
        let [start, end] = &strips(&p, &wrap)[..] else { panic!("two bands") };
        // long points by the tangent, apart from the edges' own formula
        let (before, after) = (38.1 * 11.25_f64.to_radians().tan(), 38.1 * 7.5_f64.to_radians().tan());
        let Part::Start { far_mm, from: OtherEnd::LongPoint } = start.part else {
            panic!("{:?}", start.part)
        };
        assert_relative_eq!(start.upper.at_mm, 612.3 + after - far_mm, epsilon = 1e-9);
        assert!((40.0..40.0 + round).contains(&(start.upper.at_mm - before)), "{}", start.upper.at_mm);
        assert_relative_eq!((far_mm / round).round() * round, far_mm, epsilon = 1e-9);
        let Part::End { far_mm, from: OtherEnd::LongPoint } = end.part else { panic!("{:?}", end.part) };
        assert_relative_eq!(end.lower.at_mm, far_mm - before, epsilon = 1e-9);
        assert!((40.0..40.0 + round).contains(&(612.3 - after - end.lower.at_mm)), "{}", end.lower.at_mm);
        assert_relative_eq!((far_mm / round).round() * round, far_mm, epsilon = 1e-9);
        assert!(!start.upper.is_mitred() && !end.lower.is_mitred());
        assert_eq!((start.file_stem().as_str(), end.file_stem().as_str()), ("C2-start", "C2-end"));
    }
    let one = strips(&piece("C1", 76.2, 612.3, Cut::SQUARE, tilted(7.5, 290.0)), &METRIC);
    assert_eq!(one.len(), 1);
    assert!(matches!(one[0].part, Part::End { from: OtherEnd::Square, .. }));
}

#[test]
fn a_piece_is_whole_up_to_a_hand_of_plain_tube() {
    let reach = 38.1 * 11.25_f64.to_radians().tan();
    let at = |plain: f64| piece("A1", 76.2, plain + 2.0 * reach, tilted(11.25, 0.0), tilted(11.25, 50.0));
    assert!(matches!(strips(&at(119.9), &METRIC)[..], [Template { part: Part::Whole, .. }]));
    assert_eq!(strips(&at(120.1), &METRIC).len(), 2);
}

#[test]
fn there_is_no_template_where_there_is_nothing_to_cut_or_nothing_left() {
    let mitre = tilted(20.0, 10.0);
    let none = |p: Piece| assert!(strips(&p, &METRIC).is_empty(), "{p:?}");
    none(piece("A1", 50.8, 300.0, Cut::SQUARE, Cut::SQUARE));
    none(piece("A1", 50.8, 10.0, mitre, mitre));
    none(piece("A1", 50.8, f64::NAN, mitre, mitre));
    none(piece("A1", f64::NAN, 50.0, mitre, mitre));
    none(piece("A1", 0.0, 50.0, mitre, mitre));
    none(Piece { kind: PieceKind::Joint(JointId(3)), ..piece("AJ1", 50.8, 50.0, mitre, mitre) });
    let elbow = ElbowCut {
        angle_rad: 1.0,
        clr_mm: 76.2,
        throat_clock_rad: 0.0,
        lead_mm: 10.0,
        tail_mm: 10.0,
        removed_rad: 0.0,
        removed_at_start: false,
    };
    none(Piece { kind: PieceKind::Elbow(elbow), ..piece("A1", 50.8, 96.0, mitre, mitre) });
}

#[test]
fn pieces_of_one_shape_share_a_template_with_all_their_marks() {
    let cut = tilted(11.25, 212.5);
    let near = Cut::tilted(11.25_f64.to_radians() + 1e-9, 212.5_f64.to_radians() - TAU + 1e-9);
    let a = [
        piece("A1", 50.8, 300.0, Cut::SQUARE, cut),
        piece("A2", 50.8, 30.3, cut, cut),
        piece("A3", 50.8, 30.3 + 1e-9, near, cut),
        piece("A4", 50.8, 30.3, tilted(11.25, 213.5), cut),
        piece("A5", 50.8, 40.0, Cut::SQUARE, Cut::SQUARE),
        piece("A6", 50.8, 30.31, cut, cut),
    ];
    let b = [piece("B1", 50.8, 30.3, cut, cut), piece("B2", 63.5, 40.3, cut, cut)];
    let all = templates([("Hot side", &a[..]), ("Cold side", &b[..])], &METRIC);
    let names: Vec<String> = all.iter().map(|t| t.names.join(" ")).collect();
    assert_eq!(names, ["A1", "A2 A3 B1", "A4", "A6", "B2"]);
    assert_eq!(all[1].run, "Hot side, Cold side");
    assert_eq!(all[0].run, "Hot side");
    // a heel just before a full turn is the same as one just after none
    let (before, after) = (tilted(10.0, -1e-7), tilted(10.0, 1e-7));
    let c = [piece("C1", 50.8, 40.0, before, before), piece("C2", 50.8, 40.0, after, after)];
    assert_eq!(templates([("Dump", &c[..])], &METRIC).len(), 1);
}

#[test]
fn words_on_a_strip_are_never_lost_when_it_is_cut_out() {
    for t in samples() {
        let (plot, drawing) = (Plot::new(&t), drawing(&t, &[], &[]));
        let tab = t.tab();
        for text in texts(&drawing.marks) {
            let area = bounds(&Mark::Text(text.clone()));
            let (left, right) = (area.left - plot.origin.0, area.right() - plot.origin.0);
            if let Some(tab) = tab.filter(|tab| left >= tab[0].0) {
                assert!(right <= tab[2].0, "{} of {:?} is off the tab", text.words, t.names);
                continue;
            }
            assert!(left >= 0.0 && right <= t.width_mm(), "{} of {:?}", text.words, t.names);
            for i in 0..=50 {
                let clock = (left + (right - left) * f64::from(i) / 50.0) / t.width_mm() * TAU;
                let (top, bottom) = (plot.origin.1 - area.top, plot.origin.1 - area.bottom());
                assert!(t.upper.y_mm(clock) >= top - 1e-9, "{} of {:?}", text.words, t.names);
                assert!(t.lower.y_mm(clock) <= bottom + 1e-9, "{} of {:?}", text.words, t.names);
            }
        }
        for mark in &drawing.caption {
            assert!(bounds(mark).top >= plot.body.bottom() - 0.1, "{:?}", t.names);
        }
    }
}

#[test]
fn no_two_words_lie_over_each_other() {
    for t in samples() {
        let drawing = drawing(&t, &[], &[]);
        let areas: Vec<(Area, &str)> = texts(&drawing.marks)
            .into_iter()
            .map(|text| (bounds(&Mark::Text(text.clone())).grown(-0.05), text.words.as_str()))
            .collect();
        for (i, (a, one)) in areas.iter().enumerate() {
            for (b, other) in &areas[i + 1..] {
                assert!(!a.meets(b), "{one} lies over {other} on {:?} od {}", t.names, t.od_mm);
            }
        }
    }
}

#[test]
fn every_strip_says_all_there_is_to_know() {
    for t in samples() {
        let drawing = drawing(&t, &[], &[]);
        let inside = texts(&drawing.marks).into_iter().map(|text| text.words.clone()).collect::<Vec<_>>();
        let below = texts(&drawing.caption).into_iter().map(|text| text.words.clone()).collect::<Vec<_>>();
        let all = format!("{} {}", inside.join(" | "), below.join(" "));
        let saw = t.lower.cut.tilt_rad.max(t.upper.cut.tilt_rad).to_degrees();
        let mut wanted = vec![
            t.names[0].clone(),
            "Hot side".to_owned(),
            "printed side out".to_owned(),
            "index line".to_owned(),
            "heel ".to_owned(),
            "throat ".to_owned(),
            "start".to_owned(),
            "end".to_owned(),
            "paper 0.10 mm".to_owned(),
            "long side ".to_owned(),
            "short side ".to_owned(),
            format!("{}°", crate::units::plain_number(saw, 2)),
        ];
        if t.part != Part::Whole {
            wanted.push("this edge is".to_owned());
        }
        for words in wanted {
            assert!(all.contains(&words), "{words} is missing on {:?} od {}: {all}", t.names, t.od_mm);
        }
        if t.od_mm > 45.0 {
            assert!(below.is_empty(), "od {}: {below:?}", t.od_mm);
            let mark = texts(&drawing.marks).into_iter().find(|text| text.words == t.names[0]).unwrap();
            assert!(mark.size_mm * CAP_HEIGHT >= 6.0, "{:?} od {}: {}", t.names, t.od_mm, mark.size_mm);
        }
    }
}

#[test]
fn heel_and_throat_lines_stand_at_their_clocks() {
    let p = piece("A1", 63.5, 90.0, tilted(7.5, 30.0), tilted(11.25, 100.0));
    let t = &strips(&p, &METRIC)[0];
    let (plot, drawing) = (Plot::new(t), drawing(t, &[], &[]));
    let lines: Vec<f64> = drawing
        .marks
        .iter()
        .filter_map(|m| match m {
            Mark::Line { from, to, .. } if (from.0 - to.0).abs() < 1e-9 => Some(from.0 - plot.origin.0),
            _ => None,
        })
        .collect();
    for clock_deg in [30.0, 210.0, 100.0, 280.0, 90.0, 180.0, 270.0] {
        let x = PI * 63.6 * clock_deg / 360.0;
        assert!(lines.iter().any(|l| (l - x).abs() < 1e-9), "no line at {clock_deg}°");
    }
}

#[test]
fn tiles_cover_the_strip_overlap_by_ten_millimetres_and_fit() {
    let most = (251.4, 163.9);
    let mut tiled = 0;
    for t in samples() {
        let plot = Plot::new(&t);
        let size_mm = (plot.body.width, plot.body.height);
        let tiling = Tiling::new(size_mm, most, &|tile| meets(&t, &plot, tile));
        tiled += usize::from(tiling.used.len() > 1);
        let all: Vec<Area> = tiling.used.iter().map(|p| tiling.area(*p)).collect();
        for area in &all {
            assert!(area.width <= most.0 + 1e-9 && area.height <= most.1 + 1e-9);
        }
        let inside = |p: (f64, f64)| {
            all.iter().any(|a| a.left <= p.0 && p.0 <= a.right() && a.top <= p.1 && p.1 <= a.bottom())
        };
        // the outline, points between its corners, the inside and the tab
        for i in 0..=300 {
            let clock = TAU * f64::from(i) / 300.0;
            for part in [0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0] {
                let y = t.lower.y_mm(clock) * (1.0 - part) + t.upper.y_mm(clock) * part;
                let at = (plot.origin.0 + t.x_mm(clock), plot.origin.1 - y);
                assert!(inside(at), "{at:?} of {:?} od {}", t.names, t.od_mm);
            }
        }
        for (x, y) in t.tab().into_iter().flatten() {
            assert!(inside((plot.origin.0 + x, plot.origin.1 - y)));
        }
        let (a, b) = (tiling.area((0, 0)), tiling.area((1, 1)));
        assert_relative_eq!(a.right() - b.left, OVERLAP_MM, epsilon = 1e-9);
        assert_relative_eq!(a.bottom() - b.top, OVERLAP_MM, epsilon = 1e-9);
    }
    assert!(tiled > 10, "only {tiled} samples are larger than a page");
}

fn heading() -> Heading {
    Heading { project: "Gravel buggy".to_owned(), stamp: "1a2b3c4d".to_owned(), date: String::new() }
}

#[test]
fn nothing_lies_outside_what_a_printer_prints() {
    let all = samples();
    for paper in PaperSize::ALL {
        // steep cuts through the widest tube are on hundreds of pages
        let is_large = |t: &Template| t.od_mm > 500.0 && t.lower.cut.tilt_rad.max(t.upper.cut.tilt_rad) > 0.3;
        let all: Vec<Template> = all.iter().filter(|t| !is_large(t)).cloned().collect();
        let pages = pages(&all, &[], &heading(), paper);
        let count = pages.len();
        for (i, page) in pages.iter().enumerate() {
            let (width, height) = page.size_mm;
            let printed = Area::new(10.0, 10.0, width - 20.0, height - 20.0).grown(1e-6);
            let windows: Vec<Area> =
                page.marks.iter().filter(|m| matches!(m, Mark::Window { .. })).map(bounds).collect();
            assert!(!windows.is_empty(), "page {} is empty", i + 1);
            for (n, mark) in page.marks.iter().enumerate() {
                assert!(printed.holds(&bounds(mark)), "page {}: {mark:?}", i + 1);
                let below = bounds(mark);
                if !matches!(mark, Mark::Window { .. }) {
                    assert!(!windows.iter().any(|w| w.grown(-0.01).meets(&below)), "page {} mark {n}", i + 1);
                }
            }
            for (n, a) in windows.iter().enumerate() {
                assert!(!windows[n + 1..].iter().any(|b| a.grown(-0.01).meets(b)), "page {}", i + 1);
            }
            let words: Vec<&str> = texts(&page.marks).into_iter().map(|t| t.words.as_str()).collect();
            for wanted in ["100 mm", "4 in", "Gravel buggy", "revision 1a2b3c4d"] {
                assert!(words.contains(&wanted), "page {}: {wanted}", i + 1);
            }
            assert!(words.contains(&format!("page {} of {count}", i + 1).as_str()));
            assert!(words.iter().any(|w| w.contains("100 % (actual size)")));
        }
    }
}

#[test]
fn what_is_in_a_window_is_not_cut_off_unless_it_is_a_tile() {
    let all: Vec<Template> = samples().into_iter().filter(|t| t.od_mm < 500.0).collect();
    for page in pages(&all, &[], &heading(), PaperSize::A4) {
        for mark in &page.marks {
            let Mark::Window { size_mm, marks, .. } = mark else { continue };
            if marks.iter().any(|m| matches!(m, Mark::Window { .. })) {
                continue;
            }
            let all = Area::new(0.0, 0.0, size_mm.0, size_mm.1).grown(0.01);
            for inner in marks {
                assert!(all.holds(&bounds(inner)), "{inner:?}");
            }
        }
    }
}

#[test]
fn several_small_templates_share_a_page() {
    let small: Vec<Template> = (0..6)
        .flat_map(|i| {
            strips(&piece(&format!("A{i}"), 25.4, 30.0, tilted(10.0, 0.0), tilted(10.0, 0.0)), &METRIC)
        })
        .collect();
    assert_eq!(pages(&small, &[], &heading(), PaperSize::A4).len(), 1);
}

#[test]
fn files_are_the_same_every_time_and_ask_for_true_size() {
    let t = strips(&piece("A1", 50.8, 60.0, tilted(11.25, 40.0), tilted(7.5, 200.0)), &METRIC);
    let first = pdf(&t, &[], &heading(), PaperSize::Letter).unwrap();
    assert_eq!(first, pdf(&t, &[], &heading(), PaperSize::Letter).unwrap());
    let wish = b"/ViewerPreferences<</PrintScaling/None>>";
    assert!(first.windows(wish.len()).any(|w| w == wish));
    assert_eq!((svg(&t[0]), dxf(&t[0])), (svg(&t[0]), dxf(&t[0])));
    assert_eq!(pdf(&[], &[], &heading(), PaperSize::Letter), Err(SheetError::NoPages));
}

#[test]
fn odd_names_break_no_file() {
    let mut p = piece("A1", 63.5, 60.0, tilted(11.25, 40.0), tilted(7.5, 200.0));
    p.mark = "</text>\n& \"%%u\" 排".to_owned();
    let t = Template::of_piece(&p, std::slice::from_ref(&p.mark), "<run>\r\n0\nEOF", &METRIC);
    let svg = svg(&t[0]);
    assert!(!svg.contains("<run>") && svg.contains("&lt;run&gt;") && svg.matches("</svg>").count() == 1);
    let dxf = dxf(&t[0]);
    assert!(
        dxf.is_ascii()
            && dxf.lines().filter(|l| *l == "EOF").count() == 1
            && dxf.lines().count().is_multiple_of(2)
    );
    assert_eq!(t[0].file_stem(), "--text-------u---");
    assert!(pdf(&t, &[], &heading(), PaperSize::A4).is_ok());
    p.mark.clear();
    for names in [&[][..], &[String::new()]] {
        let t = Template::of_piece(&p, names, "", &METRIC);
        assert!(pdf(&t, &[], &heading(), PaperSize::A4).is_ok());
    }
}
