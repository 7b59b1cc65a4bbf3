//! Fonts, sizes and spacing of the whole window, for gloves and a screen across the bench.

use super::Tokens;
use eframe::egui::{
    self, FontData, FontDefinitions, FontFamily, FontId, Margin, Stroke, TextStyle, ThemePreference, vec2,
};
use std::sync::Arc;

/// Text size of ordinary text, points.
pub(super) const BODY: f32 = 15.0;
/// Text size of the four headline numbers, points.
pub const HEADLINE: f32 = 21.0;

/// Sets fonts and sizes once, at the start.
pub fn install(ctx: &egui::Context) {
    let mut fonts = FontDefinitions::empty();
    let faces: [(&str, &[u8]); 2] = [
        ("text", include_bytes!("../../../assets/fonts/DejaVuSans.ttf")),
        ("bold", include_bytes!("../../../assets/fonts/DejaVuSans-Bold.ttf")),
    ];
    for (name, bytes) in faces {
        fonts.font_data.insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
    }
    fonts.families.insert(FontFamily::Proportional, vec!["text".to_owned()]);
    fonts.families.insert(FontFamily::Monospace, vec!["text".to_owned()]);
    fonts.families.insert(bold_family(), vec!["bold".to_owned()]);
    ctx.set_fonts(fonts);
    ctx.all_styles_mut(|style| {
        let size = |size| FontId::new(size, FontFamily::Proportional);
        style.text_styles = [
            (TextStyle::Small, size(12.5)),
            (TextStyle::Body, size(BODY)),
            (TextStyle::Button, size(BODY)),
            (TextStyle::Monospace, size(BODY)),
            (TextStyle::Heading, FontId::new(18.0, bold_family())),
        ]
        .into();
        style.spacing.item_spacing = vec2(8.0, 6.0);
        style.spacing.button_padding = vec2(9.0, 4.0);
        style.spacing.interact_size = vec2(44.0, 28.0);
        style.spacing.indent = 14.0;
        style.spacing.menu_margin = Margin::same(6);
        style.spacing.combo_width = 120.0;
        style.spacing.scroll = egui::style::ScrollStyle::solid();
    });
    for (theme, dark) in [(egui::Theme::Dark, true), (egui::Theme::Light, false)] {
        let tokens = Tokens::of(dark);
        ctx.style_mut_of(theme, |style| {
            let visuals = &mut style.visuals;
            visuals.panel_fill = tokens.panel;
            visuals.window_fill = tokens.panel;
            visuals.selection.bg_fill = tokens.selected.gamma_multiply(if dark { 0.45 } else { 0.35 });
            visuals.selection.stroke = Stroke::new(1.0, visuals.strong_text_color());
            visuals.widgets.noninteractive.fg_stroke.color = tokens.text;
            visuals.widgets.inactive.fg_stroke.color = tokens.text;
            visuals.widgets.inactive.bg_stroke = Stroke::new(1.0, tokens.text.gamma_multiply(0.3));
            visuals.weak_text_alpha = 0.8;
            visuals.striped = true;
        });
    }
}

/// The bold face.
pub fn bold_family() -> FontFamily {
    FontFamily::Name("bold".into())
}

/// Bold text.
pub fn bold(text: impl Into<String>) -> egui::RichText {
    egui::RichText::new(text).family(bold_family())
}

/// Sets the dark or the light look.
pub fn set_dark(ctx: &egui::Context, dark: bool) {
    ctx.set_theme(if dark { ThemePreference::Dark } else { ThemePreference::Light });
}
