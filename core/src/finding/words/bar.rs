//! What is said of bars.

use crate::finding::{BarProblem, Side};
use crate::units::{UnitSystem, angle, fit_length, length, plain_number};

impl Side {
    /// How it is called: `start` or `far end`, since a rod end at the end reads badly.
    pub fn word(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::End => "far end",
        }
    }
}

impl BarProblem {
    /// Where on the bar it is, in words; empty for the bar as a whole.
    pub fn place(&self) -> String {
        match self {
            Self::ThreadWide { side, .. }
            | Self::SocketShallow { side, .. }
            | Self::ThreadShort { side, .. }
            | Self::EngagementShort { side, .. }
            | Self::BottomsOut { side, .. }
            | Self::NoRoomForNut { side, .. }
            | Self::EndInBend { side, .. }
            | Self::PinNoHole { side }
            | Self::PinFit { side, .. }
            | Self::Cope { side, .. } => side.word().to_owned(),
            Self::Entry { side, .. } => side.map_or_else(String::new, |side| side.word().to_owned()),
            Self::LongerThanStick { bar, .. } => bar.clone(),
            Self::SmallKink { bend, .. }
            | Self::RadiusTooSmall { bend, .. }
            | Self::Overbend { bend, .. } => {
                format!("bend {bend}")
            }
            Self::BendsOverlap { leg, .. } | Self::StraightShort { leg, .. } => format!("leg {leg}"),
            Self::TooShort { .. }
            | Self::EndsMeet { .. }
            | Self::OutOfAdjustment { .. }
            | Self::AdjustmentSmall { .. }
            | Self::StraightOnly
            | Self::SleeveFit { .. }
            | Self::SleeveOffEnd { .. }
            | Self::SleeveOnBend => String::new(),
        }
    }

    /// The sentence a person reads: what, where, what to do.
    #[expect(clippy::too_many_lines, reason = "one sentence a kind, all in one place")]
    pub fn text(&self, units: UnitSystem) -> String {
        let len = |mm: f64| fit_length(mm, units);
        let smaller = |clr_mm: &Option<f64>| {
            clr_mm.map_or_else(
                || "take a smaller centreline radius".to_owned(),
                |r| format!("take a centreline radius of {} or less", len(r)),
            )
        };
        match self {
            Self::TooShort { by_mm, ends_take_mm, least_mm } => format!(
                "The bar is too short by {}: its two ends alone take {}. Set its points at least {} apart, or choose shorter ends.",
                len(*by_mm),
                len(*ends_take_mm),
                len(*least_mm)
            ),
            Self::EndsMeet { by_mm } => format!(
                "Inside the bar its two ends run into each other by {}: set its points that much further apart, or tap or cope less deep.",
                len(*by_mm)
            ),
            Self::ThreadWide { side, thread_dia_mm, bar_od_mm } => format!(
                "The thread at the {} is {} across, and the bar is only {}: take a thinner rod end or a thicker bar.",
                side.word(),
                len(*thread_dia_mm),
                len(*bar_od_mm)
            ),
            Self::SocketShallow { side, tapped_mm, least_mm } => format!(
                "The bar's thread at the {} is {} deep, under the {} of engagement asked for: tap at least that deep, or take a longer insert.",
                side.word(),
                len(*tapped_mm),
                len(*least_mm)
            ),
            Self::ThreadShort { side, free_mm, least_mm, need_mm } => format!(
                "The rod end at the {} has {} of thread besides its lock nut, under the {} of engagement asked for: take one with at least {} of thread.",
                side.word(),
                len(*free_mm),
                len(*least_mm),
                len(*need_mm)
            ),
            Self::EngagementShort { side, engaged_mm, least_mm } => format!(
                "The rod end at the {} holds by only {} of thread, under the {} asked for: screw it in by at least {}.",
                side.word(),
                len(*engaged_mm),
                len(*least_mm),
                len(*least_mm)
            ),
            Self::BottomsOut { side, in_mm, depth_mm, most_mm } => format!(
                "The thread at the {} bottoms out: it would go in {}, and the socket is {} deep. Screw it in by {} at most, or tap deeper.",
                side.word(),
                len(*in_mm),
                len(*depth_mm),
                len(*most_mm)
            ),
            Self::NoRoomForNut { side, left_mm, nut_mm, most_mm } => format!(
                "The rod end at the {} keeps only {} of thread for a lock nut {} thick: screw it in by {} at most.",
                side.word(),
                len(*left_mm),
                len(*nut_mm),
                len(*most_mm)
            ),
            Self::OutOfAdjustment { sawn_mm, nearest_mm } => {
                let (how, cure) = if sawn_mm < nearest_mm {
                    ("short", "make a new one")
                } else {
                    ("long", "saw that much off")
                };
                format!(
                    "The bar, sawn {} long, is too {how} by {} with its ends adjusted as far as they go: {cure}. {} is the nearest length that fits.",
                    len(*sawn_mm),
                    len((nearest_mm - sawn_mm).abs()),
                    len(*nearest_mm)
                )
            }
            Self::AdjustmentSmall { wanted_mm, longer_mm, shorter_mm } => format!(
                "The bar can be made {} longer and {} shorter, and {} each way was asked for: take rod ends with a longer thread, or ask for less.",
                len(*longer_mm),
                len(*shorter_mm),
                len(*wanted_mm)
            ),
            Self::SmallKink { bend, angle_rad } => format!(
                "Bend {bend} turns only {}°: too little to bend, so the bar is taken as straight there.",
                plain_number(angle_rad.to_degrees(), 3)
            ),
            Self::RadiusTooSmall { bend, clr_mm, least_mm } => format!(
                "Bend {bend} has a centreline radius of {}, less than half the bar's diameter: take more than {}.",
                len(*clr_mm),
                len(*least_mm)
            ),
            Self::BendsOverlap { leg, bends: (a, b), by_mm, clr_mm } => format!(
                "Bends {a} and {b} overlap by {} on leg {leg}: move its points apart, or {}.",
                len(*by_mm),
                smaller(clr_mm)
            ),
            Self::EndInBend { side, bend, by_mm, clr_mm } => format!(
                "Bend {bend} runs {} into what the end needs at the bar's {}: move the bend away from it, or {}.",
                len(*by_mm),
                side.word(),
                smaller(clr_mm)
            ),
            Self::StraightShort { leg, bends: (a, b), straight_mm, least_mm } => format!(
                "Between bends {a} and {b} leg {leg} is straight for only {}, and the bender needs {}: move its points apart.",
                len(*straight_mm),
                len(*least_mm)
            ),
            Self::Overbend { bend, set_rad } => format!(
                "With springback bend {bend} has to be bent to {}, past half a turn, which few benders reach: make two bends of it.",
                angle(set_rad.to_degrees(), 1)
            ),
            Self::Entry { error, .. } => error.text(units),
            Self::StraightOnly => {
                "The length sawn already and the adjustment wanted count for straight bars only: they are left out here.".to_owned()
            }
            Self::SleeveFit { fit, instead } => fit.text(units, instead.as_deref()),
            Self::SleeveOffEnd { by_mm, latest_mm } => format!(
                "The sleeve reaches {} beyond the bar's sawn end: let it begin at {} at the furthest, or make it shorter.",
                len(*by_mm),
                len(*latest_mm)
            ),
            Self::SleeveOnBend => {
                "The sleeve lies over a bend, which it cannot pass: move it onto a straight, or make it shorter.".to_owned()
            }
            Self::PinNoHole { side } => format!(
                "There is a pin at the {}, but no hole: take it away, or make the end a rod end or a tab.",
                side.word()
            ),
            Self::PinFit { fit, .. } => fit.text(units),
            Self::Cope { side, fault } => fault.text(*side, units),
            Self::LongerThanStick { bar, stock, length_mm, stick_mm } => format!(
                "{bar} is {} long, and a stick of {stock} only {}: enter a longer stick, or set the points of the bar nearer together.",
                length(*length_mm, units),
                length(*stick_mm, units)
            ),
        }
    }
}
