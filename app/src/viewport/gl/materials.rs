//! What each tint and glow means to the shader.

use crate::theme::tokens as t;
use eframe::egui::{Color32, Rgba};
use pipeloft_core::view3d::{Glow, Tint};
use three_d::{Vec3, vec3};

/// A surface.
#[derive(Debug, Clone, Copy)]
pub(super) struct Look {
    /// Colour in linear light.
    pub(super) base: Vec3,
    /// 0 for paint, 1 for brushed metal.
    pub(super) metal: f32,
    /// Strength of the highlight on paint.
    pub(super) gloss: f32,
}

/// What a glow adds.
#[derive(Debug, Clone, Copy)]
pub(super) struct Halo {
    /// Colour in linear light.
    pub(super) colour: Vec3,
    /// How far the surface takes on the colour.
    pub(super) tint: f32,
    /// How much the edges shine.
    pub(super) rim: f32,
    /// How much the whole surface shines.
    pub(super) shine: f32,
}

/// A stored colour in linear light.
pub(super) fn linear(colour: Color32) -> Vec3 {
    let c = Rgba::from(colour);
    vec3(c.r(), c.g(), c.b())
}

/// The surface of a tint.
pub(super) fn look(tint: Tint) -> Look {
    let paint = |colour, gloss| Look { base: linear(colour), metal: 0.0, gloss };
    match tint {
        Tint::Metal(material) => Look { base: linear(t::metal_of(material)), metal: 1.0, gloss: 0.0 },
        Tint::Weld => Look { base: linear(t::WELD), metal: 0.55, gloss: 0.3 },
        Tint::Joint => Look { base: linear(t::JOINT), metal: 0.35, gloss: 0.35 },
        Tint::Lobe => paint(t::LOBE, 0.35),
        Tint::Obstacle => paint(t::OBSTACLE, 0.05),
        Tint::HeatSensitive => paint(t::HEAT_SENSITIVE, 0.05),
        Tint::Hardpoint => paint(t::HARDPOINT, 0.25),
        Tint::Broken => paint(t::BROKEN, 0.1),
    }
}

/// What a glow adds to a surface.
pub(super) fn halo(glow: Glow) -> Halo {
    let halo = |colour, tint, rim, shine| Halo { colour: linear(colour), tint, rim, shine };
    match glow {
        Glow::None => halo(t::GLOW_HOVER, 0.0, 0.0, 0.0),
        Glow::Hover => halo(t::GLOW_HOVER, 0.12, 0.45, 0.06),
        Glow::Selected => halo(t::GLOW_SELECTED, 0.78, 0.75, 0.03),
        Glow::TooClose => halo(t::GLOW_TOO_CLOSE, 0.7, 0.5, 0.26),
    }
}
