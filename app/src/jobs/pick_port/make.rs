//! The hardpoint that is made of what was picked on a scan.

use crate::actions::Action;
use crate::ctx::UiCtx;
use crate::jobs::Stay;
use crate::jobs::scan_form::big_button;
use crate::request::{Request, Requests};
use crate::selection::Selection;
use eframe::egui::Ui;
use glam::DVec3;
use pipeloft_core::edit::{Edit, EditError, apply, new_item};
use pipeloft_core::geom::vector::any_across;
use pipeloft_core::measure::rim::stock_size;
use pipeloft_core::model::{BodyId, Item, Project, Tube};

/// The tube in stock that a rim of `diameter_mm` is taken for the mouth of.
pub(super) fn tube_like(project: &Project, diameter_mm: f64) -> Option<&Tube> {
    let od_mm = stock_size(diameter_mm, project.tubes.iter().map(|tube| tube.od_mm))?;
    project.tubes.iter().find(|tube| tube.od_mm.total_cmp(&od_mm).is_eq())
}

/// Where a new hardpoint is, which way it points and what fits it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Mouth {
    /// Centre of the face, mm.
    pub(super) centre_mm: DVec3,
    /// Unit direction out of the part.
    pub(super) axis: DVec3,
    /// Outside diameter of the tube, mm.
    pub(super) od_mm: f64,
    /// What it is on.
    pub(super) body: BodyId,
}

/// The button that makes the hardpoint; why it cannot be made goes to `note`.
pub(super) fn make_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    mouth: Mouth,
    note: &mut Option<String>,
    requests: &mut Requests,
) -> Stay {
    ui.add_space(6.0);
    if big_button(ui, "Make a hardpoint", true).clicked() {
        match make(ctx, mouth, requests) {
            Ok(()) => return Stay::Closed,
            Err(error) => *note = Some(error.to_string()),
        }
    }
    Stay::Open
}

/// Puts the hardpoint into the project as one step, and selects it.
fn make(ctx: UiCtx<'_>, mouth: Mouth, requests: &mut Requests) -> Result<(), EditError> {
    let mut project = ctx.project.clone();
    let mut new = new_item::hardpoint(&mut project, mouth.centre_mm);
    // a new one is put beside one that is near; this one is where it was picked
    new.position_mm = mouth.centre_mm;
    new.direction = mouth.axis;
    new.clock = any_across(mouth.axis);
    new.od_mm = mouth.od_mm;
    new.body = mouth.body;
    let (item, name) = (Item::Hardpoint(new.id), new.name.clone());
    let edit = Edit::PutHardpoint(new);
    apply(ctx.project, &edit)?;
    requests.edit(format!("add {name} from the scan"), edit);
    requests.select(Selection::of(item));
    requests
        .push(Request::Say(format!("{name} is there. Give it a name and say how the tube is fixed to it.")));
    requests.act(Action::FitSelected);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use pipeloft_core::units::UnitSystem;

    #[test]
    fn a_rim_is_taken_for_the_tube_nearest_to_it_if_that_is_near_enough() {
        let mut project = Project::new("Bench", UnitSystem::Millimetre);
        for od_mm in [63.5, 65.0, 76.2] {
            let tube = new_item::tube(&mut project);
            project.tubes.push(Tube { od_mm, ..tube });
        }
        let like = |diameter_mm| tube_like(&project, diameter_mm).map(|tube| tube.od_mm);
        assert_eq!(like(63.1), Some(63.5));
        assert_eq!(like(64.4), Some(65.0));
        assert_eq!(like(74.7), Some(76.2));
        assert_eq!(like(74.6), None);
        assert_eq!(like(70.0), None);
    }
}
