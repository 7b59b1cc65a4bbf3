//! Elbows from stock, and what is cut from each.

use super::RunReport;
use super::names::ElbowSource;
use crate::fab::PieceKind;
use crate::fab::nest::elbows::{ElbowPart, ElbowWanted, PackedElbows, UsedElbow, pack_elbows};
use crate::fab::route::Make;
use crate::model::{ElbowId, ElbowStock, Project};
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A part of an elbow that a bend is made of.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ElbowPartReport {
    /// Mark of the piece.
    pub mark: String,
    /// Where its arc begins, from the elbow's first tangent point, degrees.
    pub from_deg: f64,
    /// Where its arc ends, degrees.
    pub to_deg: f64,
    /// The same along the outside from the first tangent point, mm.
    pub from_heel_mm: f64,
    /// Along the outside, mm.
    pub to_heel_mm: f64,
    /// Along the inside, mm.
    pub from_throat_mm: f64,
    /// Along the inside, mm.
    pub to_throat_mm: f64,
    /// Whether it lies end first: its end (in the travel of the run) is nearer the first tangent point.
    pub end_first: bool,
    /// Leg that stays at its first face as it lies, mm; none where a cut through the arc makes that face.
    pub first_leg_mm: Option<f64>,
    /// Leg that stays at its second face, mm.
    pub second_leg_mm: Option<f64>,
}

/// One elbow.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ElbowUse {
    /// Where it comes from.
    pub source: ElbowSource,
    /// What is cut from it, in order along it.
    pub parts: Vec<ElbowPartReport>,
    /// Angle that is left over between square faces, degrees.
    pub left_deg: f64,
    /// Whether that still has a leg.
    pub left_leg: bool,
}

/// All elbows of one kind that are used.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ElbowStockReport {
    /// The elbow, as the trade says it.
    pub elbow: String,
    /// Angle as bought, degrees.
    pub angle_deg: f64,
    /// Centreline radius, mm.
    pub clr_mm: f64,
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
    /// Material.
    pub material: &'static str,
    /// Straight legs at its two ends as it is bought, mm.
    pub leg_mm: f64,
    /// Elbows, those on the shelf first.
    pub elbows: Vec<ElbowUse>,
    /// How many of them have to be bought.
    pub to_buy: usize,
    /// Whether it is proved that fewer would not do.
    pub proved_fewest: bool,
    /// Id of the elbow.
    #[serde(skip)]
    pub elbow_id: ElbowId,
}

/// Lays all bends made of elbows out on elbows from stock.
pub(super) fn elbows(project: &Project, runs: &[Arc<RunReport>]) -> Vec<ElbowStockReport> {
    let mut wanted: BTreeMap<ElbowId, Vec<ElbowWanted>> = BTreeMap::new();
    for run in runs {
        let bends = run.built.route.as_ref().map(|r| r.bends.as_slice()).unwrap_or_default();
        for piece in &run.paper.pieces {
            let PieceKind::Elbow(cut) = piece.kind else { continue };
            let Some(Make::Elbow(stock)) = piece.bend.and_then(|b| bends.get(b)).map(|b| &b.make) else {
                continue;
            };
            // cut down a little short or used whole: never more than the elbow has
            let angle_rad = cut.angle_rad.min(stock.angle_rad());
            let want = ElbowWanted {
                mark: piece.mark.clone(),
                angle_rad,
                lead_mm: cut.lead_mm,
                tail_mm: cut.tail_mm,
            };
            wanted.entry(stock.id).or_default().push(want);
        }
    }
    let kerf_mm = project.settings.saw.kerf_mm;
    wanted
        .into_iter()
        .filter_map(|(id, wanted)| {
            let stock = project.elbow(id)?;
            let PackedElbows { elbows, to_buy, proved_fewest, .. } = pack_elbows(stock, &wanted, kerf_mm);
            Some(ElbowStockReport {
                elbow: project.elbow_name(stock),
                angle_deg: stock.angle_deg,
                clr_mm: stock.clr_mm,
                od_mm: stock.od_mm,
                wall_mm: stock.wall_mm,
                material: stock.material.name(),
                leg_mm: stock.leg_mm,
                elbows: elbows.iter().map(|e| one(stock, e)).collect(),
                to_buy,
                proved_fewest,
                elbow_id: id,
            })
        })
        .collect()
}

fn one(stock: &ElbowStock, elbow: &UsedElbow) -> ElbowUse {
    ElbowUse {
        source: if elbow.from_shelf { ElbowSource::Shelf } else { ElbowSource::Buy },
        parts: elbow.parts.iter().map(|p| part(stock, p)).collect(),
        left_deg: elbow.left_rad.to_degrees(),
        left_leg: elbow.left_leg,
    }
}

fn part(stock: &ElbowStock, part: &ElbowPart) -> ElbowPartReport {
    let r = stock.od_mm / 2.0;
    let (heel, throat) = (stock.clr_mm + r, stock.clr_mm - r);
    ElbowPartReport {
        mark: part.mark.clone(),
        from_deg: part.from_rad.to_degrees(),
        to_deg: part.to_rad.to_degrees(),
        from_heel_mm: heel * part.from_rad,
        to_heel_mm: heel * part.to_rad,
        from_throat_mm: throat * part.from_rad,
        to_throat_mm: throat * part.to_rad,
        end_first: part.flipped,
        first_leg_mm: part.first_leg_mm,
        second_leg_mm: part.second_leg_mm,
    }
}
