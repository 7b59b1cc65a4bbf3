//! Own vectors, worked out by another program: pieces on one stick, and laid out.

use super::super::SawRules;
use super::super::tests::piece;
use crate::fab::piece::Piece;

/// A job with its results, mm and degrees.
pub(in super::super) struct Vector {
    pub(in super::super) name: &'static str,
    pub(in super::super) od_mm: f64,
    pub(in super::super) stick_mm: f64,
    kerf_mm: f64,
    grip_mm: f64,
    trim_mm: f64,
    pub(in super::super) offcuts_mm: &'static [f64],
    /// Length, tilt of either face.
    pieces: &'static [(f64, f64, f64)],
    /// Up to the long side of the last face, all pieces on one stick.
    pub(super) long_side_mm: f64,
    /// Up to a square end.
    pub(super) square_mm: f64,
    /// What evenness alone asks for, up to the long side.
    pub(super) even_mm: f64,
    /// Sticks to buy.
    pub(in super::super) whole: usize,
    /// The longest left-over.
    pub(in super::super) left_mm: f64,
}

impl Vector {
    pub(in super::super) fn pieces(&self) -> Vec<Piece> {
        let all = self.pieces.iter().enumerate();
        let made = all.map(|(i, (length_mm, a, b))| piece(&format!("A{i}"), *length_mm, *a, *b));
        made.map(|p| Piece { od_mm: self.od_mm, ..p }).collect()
    }

    pub(in super::super) fn rules(&self) -> SawRules {
        SawRules { kerf_mm: self.kerf_mm, grip_mm: self.grip_mm, first_trim_mm: self.trim_mm }
    }
}

pub(in super::super) const ALL: &[Vector] = &[
    Vector {
        name: "shared cuts",
        od_mm: 76.2,
        stick_mm: 3000.0,
        kerf_mm: 1.6,
        grip_mm: 0.0,
        trim_mm: 0.0,
        offcuts_mm: &[],
        pieces: &[
            (82.7357, 0.0, 11.25),
            (45.4714, 11.25, 11.25),
            (45.4714, 11.25, 11.25),
            (45.4714, 11.25, 11.25),
        ],
        long_side_mm: 231.622499,
        square_mm: 233.253845,
        even_mm: 231.622499,
        whole: 1,
        left_mm: 2766.746156,
    },
    Vector {
        name: "loose parts",
        od_mm: 50.0,
        stick_mm: 1000.0,
        kerf_mm: 2.0,
        grip_mm: 0.0,
        trim_mm: 0.0,
        offcuts_mm: &[],
        pieces: &[
            (100.0, 0.0, 10.0),
            (120.0, 5.0, 20.0),
            (80.0, 15.0, 15.0),
            (90.0, 0.0, 20.0),
            (70.0, 25.0, 5.0),
        ],
        long_side_mm: 479.764226,
        square_mm: 481.764226,
        even_mm: 477.693674,
        whole: 1,
        left_mm: 518.235775,
    },
    Vector {
        name: "evenness is not enough",
        od_mm: 50.0,
        stick_mm: 1000.0,
        kerf_mm: 2.0,
        grip_mm: 0.0,
        trim_mm: 0.0,
        offcuts_mm: &[],
        pieces: &[(62.0, 15.0, 20.0), (63.0, 10.0, 0.0), (104.0, 30.0, 25.0), (96.0, 20.0, 0.0)],
        long_side_mm: 348.057765,
        square_mm: 350.057765,
        even_mm: 340.812539,
        whole: 1,
        left_mm: 649.942236,
    },
    Vector {
        name: "held last",
        od_mm: 60.0,
        stick_mm: 300.0,
        kerf_mm: 2.0,
        grip_mm: 60.0,
        trim_mm: 0.0,
        offcuts_mm: &[],
        pieces: &[
            (150.0, 0.0, 20.0),
            (35.0, 20.0, 20.0),
            (35.0, 20.0, 20.0),
            (30.0, 20.0, 10.0),
            (95.0, 10.0, 0.0),
            (40.0, 0.0, 0.0),
        ],
        long_side_mm: 395.41592,
        square_mm: 397.41592,
        even_mm: 395.41592,
        whole: 2,
        left_mm: 175.375165,
    },
    Vector {
        name: "offcuts",
        od_mm: 40.0,
        stick_mm: 600.0,
        kerf_mm: 1.5,
        grip_mm: 0.0,
        trim_mm: 5.0,
        offcuts_mm: &[180.0, 260.0],
        pieces: &[
            (170.0, 0.0, 0.0),
            (250.0, 0.0, 12.0),
            (255.0, 12.0, 12.0),
            (240.0, 12.0, 0.0),
            (120.0, 8.0, 8.0),
            (60.0, 0.0, 8.0),
        ],
        long_side_mm: 1105.39258,
        square_mm: 1106.907321,
        even_mm: 1105.39258,
        whole: 2,
        left_mm: 466.348885,
    },
];
