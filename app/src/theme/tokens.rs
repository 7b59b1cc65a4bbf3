//! All colours, as they are stored in a picture (sRGB).

use eframe::egui::Color32;
use pipeloft_core::model::Material;

const fn rgb(r: u8, g: u8, b: u8) -> Color32 {
    Color32::from_rgb(r, g, b)
}

/// Aluminium: light grey.
pub const ALUMINIUM: Color32 = rgb(205, 208, 212);
/// Stainless: slightly warm.
pub const STAINLESS: Color32 = rgb(193, 187, 178);
/// Ferritic stainless: a shade duller than the austenitic kinds.
pub const STAINLESS_409: Color32 = rgb(174, 170, 164);
/// Mild and chrome-moly steel: dark blue-grey.
pub const STEEL: Color32 = rgb(104, 114, 130);
/// Titanium: warm grey.
pub const TITANIUM: Color32 = rgb(160, 148, 138);
/// Weld bead: straw, as a seam that was kept clean.
pub const WELD: Color32 = rgb(214, 164, 82);
/// Joint body.
pub const JOINT: Color32 = rgb(66, 71, 80);
/// Nut, lever or lock of a joint.
pub const LOBE: Color32 = rgb(38, 142, 232);
/// Obstacle.
pub const OBSTACLE: Color32 = rgb(120, 138, 158);
/// Obstacle that heat harms.
pub const HEAT_SENSITIVE: Color32 = rgb(204, 166, 116);
/// Hardpoint.
pub const HARDPOINT: Color32 = rgb(22, 178, 152);
/// Datum.
pub const DATUM: Color32 = rgb(226, 200, 60);
/// Leg of a run that cannot be built.
pub const BROKEN: Color32 = rgb(206, 62, 92);

/// Glow of what is selected.
pub const GLOW_SELECTED: Color32 = rgb(255, 138, 30);
/// Glow of what is under the pointer.
pub const GLOW_HOVER: Color32 = rgb(255, 248, 232);
/// Glow of what is too close.
pub const GLOW_TOO_CLOSE: Color32 = rgb(255, 38, 24);

/// The line of the floor along the vehicle's X.
pub const AXIS_X: Color32 = rgb(214, 84, 74);
/// The line of the floor along the vehicle's Y.
pub const AXIS_Y: Color32 = rgb(86, 168, 92);

/// What differs between the dark and the light theme.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tokens {
    /// Text and marks: all is well.
    pub good: Color32,
    /// Text and marks: look at this.
    pub warn: Color32,
    /// Text and marks: this cannot be built.
    pub stop: Color32,
    /// Text and marks of what is selected.
    pub selected: Color32,
    /// Ordinary text.
    pub text: Color32,
    /// Labels and dimensions over the 3D view.
    pub ink: Color32,
    /// Plates under labels over the 3D view.
    pub plate: Color32,
    /// Marks on metal in the strip.
    pub metal_ink: Color32,
    /// Marks on joints in the strip.
    pub joint_ink: Color32,
    /// Panel the text stands on.
    pub panel: Color32,
    /// Top of the 3D view's background.
    pub sky_high: Color32,
    /// Bottom of the 3D view's background.
    pub sky_low: Color32,
    /// Lines of the floor.
    pub floor_line: Color32,
    /// How dark the edges of round things are drawn, percent; sets them off from the background.
    pub edge_percent: u8,
    /// How dark the floor is straight below things, percent.
    pub shadow_percent: u8,
}

/// The dark theme.
pub const DARK: Tokens = Tokens {
    good: rgb(111, 207, 124),
    warn: rgb(242, 184, 75),
    stop: rgb(255, 123, 114),
    selected: rgb(255, 162, 74),
    text: rgb(214, 217, 221),
    ink: rgb(238, 240, 242),
    plate: rgb(30, 34, 40),
    metal_ink: rgb(18, 20, 24),
    joint_ink: rgb(240, 242, 244),
    panel: rgb(27, 27, 27),
    sky_high: rgb(58, 66, 76),
    sky_low: rgb(24, 27, 32),
    floor_line: rgb(150, 164, 180),
    edge_percent: 25,
    shadow_percent: 45,
};

/// The light theme.
pub const LIGHT: Tokens = Tokens {
    good: rgb(26, 127, 55),
    warn: rgb(138, 90, 0),
    stop: rgb(197, 34, 31),
    selected: rgb(179, 80, 0),
    text: rgb(38, 42, 48),
    ink: rgb(24, 28, 34),
    plate: rgb(255, 255, 255),
    metal_ink: rgb(18, 20, 24),
    joint_ink: rgb(240, 242, 244),
    panel: rgb(248, 248, 248),
    sky_high: rgb(226, 233, 240),
    sky_low: rgb(250, 251, 252),
    floor_line: rgb(92, 106, 122),
    edge_percent: 55,
    shadow_percent: 20,
};

/// Colour of a metal.
pub const fn metal_of(material: Material) -> Color32 {
    match material {
        Material::Aluminium6061 => ALUMINIUM,
        Material::Stainless304 | Material::Stainless321 => STAINLESS,
        Material::Stainless409 => STAINLESS_409,
        Material::MildSteel | Material::ChromeMoly4130 => STEEL,
        Material::TitaniumGrade2 => TITANIUM,
    }
}

impl Tokens {
    /// Colour for the room a stretch of pipe has, as a share of the most that is told apart: below zero it is too
    /// close; from amber it goes to green within the first quarter and fades beyond.
    pub fn room(&self, share: f64) -> Color32 {
        if share < 0.0 {
            self.stop
        } else if share < 0.25 {
            self.warn.lerp_to_gamma(self.good, (share * 4.0) as f32)
        } else {
            self.good.gamma_multiply((1.25 - share).max(0.3) as f32)
        }
    }

    /// The tokens of the dark or the light theme.
    pub const fn of(dark: bool) -> &'static Self {
        if dark { &DARK } else { &LIGHT }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance, WCAG 2.2.
    fn luminance(c: Color32) -> f64 {
        let linear = |v: u8| {
            let s = f64::from(v) / 255.0;
            if s <= 0.04045 { s / 12.92 } else { ((s + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(c.r()) + 0.7152 * linear(c.g()) + 0.0722 * linear(c.b())
    }

    #[test]
    fn coloured_text_can_be_read_on_its_panel() {
        for theme in [DARK, LIGHT] {
            for text in [theme.good, theme.warn, theme.stop, theme.selected] {
                let (a, b) = (luminance(text), luminance(theme.panel));
                let contrast = (a.max(b) + 0.05) / (a.min(b) + 0.05);
                assert!(contrast >= 4.5, "{text:?} on {:?}: {contrast:.2}", theme.panel);
            }
        }
    }
}
