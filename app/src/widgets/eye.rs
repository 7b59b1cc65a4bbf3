//! A small switch that shows or hides a thing in the 3D view.

use eframe::egui::{Color32, Response, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};

/// An eye, open or shut; flips `visible` when clicked. `name` is said to screen readers.
pub(crate) fn eye(ui: &mut Ui, visible: &mut bool, name: &str) -> Response {
    let (rect, mut response) = ui.allocate_exact_size(vec2(26.0, 24.0), Sense::click());
    if response.clicked() {
        *visible = !*visible;
        response.mark_changed();
    }
    let on = *visible;
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, on, format!("Show {name}")));
    if ui.is_rect_visible(rect) {
        let visuals = ui.style().interact(&response);
        let ink = if on { visuals.fg_stroke.color } else { visuals.fg_stroke.color.gamma_multiply(0.35) };
        let stroke = Stroke::new(1.5, ink);
        let c = rect.center();
        let lid = |sign: f32| {
            let points = (0..=8_u8).map(|i| {
                let t = f32::from(i) / 8.0 * 2.0 - 1.0;
                pos2(c.x + 8.0 * t, c.y - sign * 5.0 * (1.0 - t * t))
            });
            Shape::line(points.collect(), stroke)
        };
        ui.painter().add(lid(1.0));
        ui.painter().add(lid(-1.0));
        if on {
            ui.painter().circle(c, 2.5, ink, Stroke::new(0.0, Color32::TRANSPARENT));
        } else {
            ui.painter().line_segment([c + vec2(-7.0, 6.0), c + vec2(7.0, -6.0)], stroke);
        }
    }
    response.on_hover_text(if on { "Hide it in the 3D view" } else { "Show it in the 3D view" })
}
