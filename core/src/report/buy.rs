//! The buy list: everything that is not tube, with counts, by kind and size.

use super::elbows::ElbowStockReport;
use super::{BarReport, RunReport};
use crate::fab::PieceKind;
use crate::model::{Bar, BarEndMake, JointStyle, Part, PartKind, Project};
use crate::units::{UnitSystem, angle, length, thread, tube_size, wall};
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What is bought; rows of the same stand together, in this order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names in `name` say it")]
pub enum BuyForm {
    Joint(JointStyle),
    HoseClamp,
    Taper,
    Sheet,
    Bung,
    FlangeOnStub,
    Bracket,
    HeatShield,
    RodEnd,
    LockNut,
    ThreadedInsert,
    Tab,
    SaddlePlate,
    PinWithClip,
    Sleeve,
    Elbow,
}

impl BuyForm {
    /// How it is called on screen, on paper and in files.
    pub fn name(self) -> &'static str {
        match self {
            // its clamps have a row of their own
            Self::Joint(JointStyle::HoseAndClamps) => "Hose",
            Self::Joint(style) => style.name(),
            Self::HoseClamp => "Hose clamp",
            Self::Taper => "Taper",
            Self::Sheet => "Sheet",
            Self::Bung => "Bung",
            Self::FlangeOnStub => "Flange on a stub",
            Self::Bracket => "Bracket",
            Self::HeatShield => "Heat shield",
            Self::RodEnd => "Rod end",
            Self::LockNut => "Lock nut",
            Self::ThreadedInsert => "Threaded insert",
            Self::Tab => "Tab",
            Self::SaddlePlate => "Saddle plate",
            Self::PinWithClip => "Pin with clip",
            Self::Sleeve => "Sleeve",
            Self::Elbow => "Elbow",
        }
    }

    /// Where its rows stand among the others; those of one rank by name.
    fn rank(self) -> u8 {
        match self {
            Self::Joint(_) => 0,
            Self::HoseClamp => 1,
            Self::Taper | Self::Sheet => 3,
            Self::Bung => 4,
            Self::FlangeOnStub => 5,
            Self::Bracket => 6,
            Self::HeatShield => 7,
            Self::RodEnd | Self::LockNut | Self::ThreadedInsert => 8,
            Self::Tab | Self::SaddlePlate => 9,
            Self::PinWithClip => 10,
            Self::Sleeve => 11,
            Self::Elbow => 12,
        }
    }
}

impl Serialize for BuyForm {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.name())
    }
}

/// A row of the buy list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct BuyRow {
    /// Kind, by which rows stand together.
    pub what: BuyForm,
    /// Name and size.
    pub size: String,
    /// How many.
    pub count: usize,
    /// Marks or names of what it is for.
    #[serde(rename = "for")]
    pub wanted_for: Vec<String>,
    /// What else is to be known, such as a length to cut; empty for nothing.
    pub note: String,
}

impl BuyRow {
    /// Whether it is a row of elbows.
    pub fn is_elbow(&self) -> bool {
        self.what == BuyForm::Elbow
    }
}

/// What makes two things the same row: the rank and name of its kind, its size, what else is to be known.
type Key = (u8, &'static str, String, String);

/// Rows being counted, each with how many and what they are for.
#[derive(Debug, Default)]
struct List(BTreeMap<Key, (BuyForm, usize, Vec<String>)>);

impl List {
    /// One more of something.
    fn add(&mut self, what: BuyForm, size: String, note: String, wanted_for: &str) {
        let key = (what.rank(), what.name(), size, note);
        let row = self.0.entry(key).or_insert_with(|| (what, 0, Vec::new()));
        row.1 += 1;
        row.2.push(wanted_for.to_owned());
    }

    fn rows(self) -> Vec<BuyRow> {
        let row =
            |((_, _, size, note), (what, count, wanted_for))| BuyRow { what, size, count, wanted_for, note };
        self.0.into_iter().map(row).collect()
    }
}

/// The buy list of all runs and `bars` that can be built. Elbows count beyond what is on the shelf.
pub(super) fn buy(
    project: &Project,
    runs: &[Arc<RunReport>],
    elbows: &[ElbowStockReport],
    bars: &[&BarReport],
) -> Vec<BuyRow> {
    let units = project.settings.units;
    let mut list = List::default();
    for run in runs.iter().filter(|r| r.built.is_buildable()) {
        for piece in &run.built.pieces {
            match piece.kind {
                PieceKind::Joint(id) => joint(project, &mut list, id, &piece.mark),
                PieceKind::Taper(t) => {
                    let ends =
                        format!("{} to {}", tube_size(piece.od_mm, units), tube_size(t.end_od_mm, units));
                    let set_off = if t.offset_mm > 0.0 {
                        format!(", offset {}", length(t.offset_mm, units))
                    } else {
                        String::new()
                    };
                    let (what, size) = match t.rolled {
                        None => {
                            let (thick, long) = (wall(t.wall_mm, units), length(piece.centre_mm, units));
                            (BuyForm::Taper, format!("{ends}, wall {thick}, {long} long{set_off}"))
                        }
                        Some(_) => {
                            (BuyForm::Sheet, format!("{} thick for a taper {ends}", wall(t.wall_mm, units)))
                        }
                    };
                    let metal = project.tube(piece.tube).map_or("", |t| t.material.name());
                    list.add(what, format!("{size}, {metal}"), String::new(), &piece.mark);
                }
                PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) => {}
            }
        }
        if let Some(of) = project.run(run.id) {
            for one in &of.parts {
                let on = run.parts.iter().find(|told| told.id == one.id);
                part(&mut list, one, on.map_or(0.0, |told| told.od_mm), units);
            }
        }
    }
    for bar in bars.iter().filter_map(|made| project.bar(made.id)) {
        bar_parts(&mut list, bar, units);
    }
    let mut rows = list.rows();
    for elbow in elbows.iter().filter(|e| e.to_buy > 0) {
        rows.push(BuyRow {
            what: BuyForm::Elbow,
            size: elbow.elbow.clone(),
            count: elbow.to_buy,
            wanted_for: elbow
                .elbows
                .iter()
                .filter(|one| one.source == super::ElbowSource::Buy)
                .flat_map(|one| one.parts.iter().map(|part| part.mark.clone()))
                .collect(),
            note: "beyond what is on the shelf".to_owned(),
        });
    }
    rows
}

fn joint(project: &Project, list: &mut List, id: crate::model::JointId, mark: &str) {
    let Some(kind) = project.joint(id) else { return };
    let units = project.settings.units;
    let note = kind.hose_mm().map_or_else(String::new, |mm| format!("hose cut {} long", length(mm, units)));
    list.add(BuyForm::Joint(kind.style), kind.name.clone(), note, mark);
    if kind.style == JointStyle::HoseAndClamps {
        list.add(BuyForm::HoseClamp, format!("for {}", kind.name), String::new(), mark);
        list.add(BuyForm::HoseClamp, format!("for {}", kind.name), String::new(), mark);
    }
}

/// Rod ends, nuts, inserts, pins and sleeves of a bar; the bar itself is sawn from its own stock.
fn bar_parts(list: &mut List, bar: &Bar, units: UnitSystem) {
    for end in &bar.ends {
        match &end.make {
            BarEndMake::RodEnd(rod, eye) => {
                let hand = if rod.left_hand { "left-hand" } else { "right-hand" };
                let thread = format!("thread {}, {hand}", thread(rod.thread_dia_mm, rod.pitch_mm));
                let said = format!("{thread}, eye {}", size(eye.od_mm, units));
                list.add(BuyForm::RodEnd, said, String::new(), &bar.name);
                if rod.nut_mm > 0.0 {
                    list.add(BuyForm::LockNut, thread.clone(), String::new(), &bar.name);
                }
                if bar.wall_mm.is_some() {
                    let said = format!("{thread}, for tube {}", size(bar.od_mm, units));
                    list.add(BuyForm::ThreadedInsert, said, String::new(), &bar.name);
                }
            }
            BarEndMake::Tab(tab) => {
                let said =
                    format!("{} wide, {} thick", length(tab.width_mm, units), wall(tab.thick_mm, units));
                list.add(BuyForm::Tab, said, String::new(), &bar.name);
            }
            BarEndMake::Cope { pad: Some(pad), .. } => {
                list.add(
                    BuyForm::SaddlePlate,
                    format!("{} thick", wall(pad.thick_mm, units)),
                    String::new(),
                    &bar.name,
                );
            }
            BarEndMake::Cope { pad: None, .. } | BarEndMake::Plate { .. } => {}
        }
        if let Some(pin) = end.pin {
            let said = format!(
                "{} thick, {} to its groove",
                size(pin.pin.dia_mm, units),
                length(pin.pin.to_groove_mm, units)
            );
            list.add(BuyForm::PinWithClip, said, String::new(), &bar.name);
        }
    }
    if let Some(sleeve) = bar.sleeve {
        let said = format!(
            "{} × {}, {} long",
            size(sleeve.size.od_mm, units),
            wall(sleeve.size.wall_mm, units),
            length(sleeve.length_mm, units)
        );
        list.add(BuyForm::Sleeve, said, String::new(), &bar.name);
    }
}

fn size(mm: f64, units: UnitSystem) -> String {
    tube_size(mm, units)
}

/// `on_mm` is the outside diameter of the tube it is on.
fn part(list: &mut List, part: &Part, on_mm: f64, units: UnitSystem) {
    let size = |mm: f64| size(mm, units);
    match &part.kind {
        PartKind::Bung(b) => {
            let said = format!("{}, boss {}", b.thread, size(b.boss_mm));
            list.add(BuyForm::Bung, said, String::new(), &part.name);
        }
        PartKind::Stub(s) => {
            let said =
                format!("{} for stub {} × {}", size(s.flange_mm), size(s.od_mm), wall(s.wall_mm, units));
            let note = format!("stub {} long", length(s.length_mm, units));
            list.add(BuyForm::FlangeOnStub, said, note, &part.name);
        }
        PartKind::Bracket(b) => {
            let said = format!(
                "plate {} × {} × {}",
                length(b.along_mm, units),
                length(b.height_mm, units),
                wall(b.thick_mm, units)
            );
            list.add(BuyForm::Bracket, said, String::new(), &part.name);
        }
        PartKind::Shield(s) => {
            let round = if s.around_deg < 360.0 {
                format!(", {} round", angle(s.around_deg, 0))
            } else {
                String::new()
            };
            let said = format!(
                "{} thick, {} long, {} inside{round}",
                wall(s.thick_mm, units),
                length(s.length_mm, units),
                size(on_mm + 2.0 * s.gap_mm)
            );
            list.add(BuyForm::HeatShield, said, String::new(), &part.name);
        }
        // rolled into the tube
        PartKind::Bead(_) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{
        Bung, BungUse, Fitting, FittingId, HoseEnds, JointId, JointKind, PartId, Taper, TaperId, TaperMake,
        Tube, TubeId,
    };
    use crate::report::Report;
    use crate::testing::run_through;
    use glam::DVec3;

    #[test]
    fn everything_that_is_not_tube_is_counted_by_size() {
        let (mut project, _) = run_through(&[DVec3::ZERO, DVec3::X * 900.0, DVec3::new(900.0, 900.0, 0.0)]);
        let coupler = project.joints[0].clone();
        project.joints.push(JointKind {
            id: JointId(30),
            name: "Hose".to_owned(),
            style: JointStyle::HoseAndClamps,
            make_up_mm: 12.0,
            hose: Some(HoseEnds { insertion_mm: 30.0, bead_mm: Some(6.0) }),
            lobe: None,
            ..coupler
        });
        let tube = project.tubes[0].clone();
        project.tubes.push(Tube { id: TubeId(20), od_mm: 76.2, ..tube });
        let run = &mut project.runs[0];
        for (i, (joint, station_mm)) in [(12, 100.0), (12, 200.0), (30, 350.0)].into_iter().enumerate() {
            let id = FittingId(700 + i as u32);
            let joint = JointId(joint);
            run.fittings.push(Fitting { id, joint, leg: 0, station_mm, lobe_clock_deg: 0.0 });
        }
        let bung = |id, name: &str| Part {
            id: PartId(id),
            name: name.to_owned(),
            leg: 0,
            station_mm: 500.0,
            turn_deg: None,
            clock_deg: 0.0,
            kind: PartKind::Bung(Bung {
                purpose: BungUse::Plain,
                thread: "M12 × 1.5".to_owned(),
                boss_mm: 20.0,
                height_mm: 10.0,
                hole_mm: 14.0,
                screwed: None,
            }),
        };
        run.parts = vec![bung(750, "one"), Part { station_mm: 600.0, ..bung(751, "two") }];
        run.tapers = vec![Taper {
            id: TaperId(760),
            leg: 1,
            station_mm: 300.0,
            length_mm: 80.0,
            tube: TubeId(20),
            wall_mm: 1.65,
            offset_mm: 0.0,
            offset_clock_deg: 0.0,
            make: TaperMake::Bought,
        }];
        let rows = Report::quick(&project).buy;
        let told: Vec<(&str, usize)> = rows.iter().map(|r| (r.what.name(), r.count)).collect();
        let wanted = [("Clamp coupler", 2), ("Hose", 1), ("Hose clamp", 2), ("Taper", 1), ("Bung", 2)];
        assert_eq!(told, wanted, "{rows:?}");
        assert_eq!(rows[1].note, "hose cut 72.0 mm long");
        assert_eq!(rows[4].wanted_for, ["one", "two"]);
        assert!(
            rows[3].size.starts_with("63.5 mm to 76.2 mm, wall 1.65 mm, 80.0 mm long"),
            "{}",
            rows[3].size
        );
    }

    #[test]
    fn bars_bring_what_is_screwed_into_them() {
        let mut project = Project::new("Bars", UnitSystem::Millimetre);
        let mut bar = crate::edit::new_item::bar(&mut project, DVec3::ZERO);
        let rod = crate::edit::new_item::bar_ends().remove(2);
        bar.ends[0].make = rod;
        bar.ends[1].make = rod;
        project.bars.push(bar);
        let rows = Report::quick(&project).buy;
        let told: Vec<(&str, usize)> = rows.iter().map(|r| (r.what.name(), r.count)).collect();
        assert_eq!(told, [("Lock nut", 2), ("Rod end", 2), ("Threaded insert", 2)]);
    }

    #[test]
    fn an_empty_project_needs_nothing() {
        let project = Project::new("Empty", UnitSystem::Millimetre);
        assert!(Report::quick(&project).buy.is_empty());
    }
}
