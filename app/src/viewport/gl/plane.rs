//! Ruled planes: the floor, and the faces of half spaces.

use super::materials::{halo, linear};
use super::shadow::Shadow;
use super::surface::{Shot, narrow};
use crate::theme::tokens;
use eframe::egui::Color32;
use glam::{DVec2, DVec3};
use pipeloft_core::model::Shape;
use pipeloft_core::view3d::{Glow, Part, Scene, Tint};
use three_d::{
    Blend, Context, CoreError, DepthTest, Program, RenderStates, Vec3, VertexBuffer, WriteMask, vec2, vec4,
};

/// The coarsest ruling, mm; the phase of the ruling repeats with it.
const COARSE_MM: f64 = 1000.0;

/// The floor reaches this many times the scene's own reach, and at least so far, mm.
const FLOOR_REACH: f64 = 2.6;
const LEAST_FLOOR_MM: f64 = 800.0;

/// The shadow's picture reaches this many times the scene's own reach.
const SHADOW_REACH: f64 = 1.05;

/// The face of a half space reaches this many times the scene's own reach.
const FACE_REACH: f64 = 1.7;

/// The floor lies this share of the scene's reach under its lowest point, so that they do not flicker.
const FLOOR_SINK: f64 = 0.002;

const VERTEX: &str = "
uniform mat4 clip_from_rel;
uniform vec3 centre;
uniform vec3 along_u;
uniform vec3 along_v;
uniform float reach;
in vec2 position;
out vec2 v_at;
void main() {
    v_at = position * reach;
    gl_Position = clip_from_rel * vec4(centre + along_u * v_at.x + along_v * v_at.y, 1.0);
}";

const FRAGMENT: &str = "
uniform float reach;
uniform vec2 phase;
uniform vec2 zero;
uniform vec4 line;
uniform vec3 line_u;
uniform vec3 line_v;
uniform float fill;
uniform float edge;
uniform sampler2D shadow;
uniform float shadow_edge;
uniform float shadow_strength;
in vec2 v_at;
out vec4 colour;
vec2 ruling(float step, vec2 px) {
    vec2 off = abs(fract((v_at + phase) / step - 0.5) - 0.5) * step / px;
    return (1.0 - min(off, 1.0)) * (1.0 - smoothstep(0.04, 0.20, px / step));
}
void main() {
    vec2 px = max(fwidth(v_at), vec2(1e-6));
    vec2 all = max(max(ruling(10.0, px) * 0.22, ruling(100.0, px) * 0.45), ruling(1000.0, px) * 0.85);
    float away = length(v_at) / reach;
    float fade = 1.0 - smoothstep(0.25, 1.0, away);
    float ruled = max(all.x, all.y) * fade;
    vec3 tone = line.rgb;
    // the two lines through the vehicle's own origin
    vec2 home = (1.0 - min(abs(v_at - zero) / px / 1.3, 1.0)) * fade;
    tone = mix(tone, line_u, home.y);
    tone = mix(tone, line_v, home.x);
    ruled = max(ruled, 0.8 * max(home.x, home.y));
    vec2 rim = (1.0 - min((reach - abs(v_at)) / px / 1.5, 1.0)) * edge;
    float alpha = max(max(ruled * line.a, fill * mix(fade, 1.0, edge)), max(rim.x, rim.y));
    vec2 uv = v_at / shadow_edge + 0.5;
    vec2 inside = step(0.0, uv) * step(uv, vec2(1.0));
    float dark = texture(shadow, uv).r * shadow_strength * inside.x * inside.y;
    // the lines lie on the shadow
    float both = alpha + dark * (1.0 - alpha);
    colour = vec4(pow(tone, vec3(1.0 / 2.2)) * alpha / max(both, 1e-4), both);
}";

/// One plane to draw.
struct Sheet {
    centre: DVec3,
    along: [DVec3; 2],
    reach_mm: f64,
    /// Where the ruling and the lines through zero are counted from: the centre's own coordinates, mm.
    at: DVec2,
    line: Color32,
    /// Lines through zero along the two directions.
    home: [Color32; 2],
    strength: f32,
    fill: f32,
    /// 1 to draw the outline and no fading of the fill.
    edge: f32,
    glow: Glow,
    /// How dark the shadow on it is, 0 to 1.
    shadow: f32,
}

/// Draws ruled planes.
pub(super) struct Planes {
    program: Program,
    square: VertexBuffer<[f32; 2]>,
}

impl Planes {
    pub(super) fn new(context: &Context) -> Result<Self, CoreError> {
        let corners = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]];
        Ok(Self {
            program: Program::from_source(context, VERTEX, FRAGMENT)?,
            square: VertexBuffer::new_with_data(context, &corners),
        })
    }

    /// The floor under the scene; after all solid things.
    pub(super) fn draw_floor(&self, shot: &Shot<'_>, scene: &Scene, shadow: &Shadow) {
        self.draw_sheet(shot, &floor(scene, shot), shadow);
    }

    /// The faces of the scene's half spaces; last of all, for one sees through them.
    pub(super) fn draw_faces(&self, shot: &Shot<'_>, scene: &Scene, shadow: &Shadow) {
        for item in &scene.items {
            for part in &item.parts {
                if let Part::Shape(Shape::HalfSpace, pose, shade) = part {
                    let turn = pose.rotation();
                    let axes = [turn * DVec3::X, turn * DVec3::Y, turn * DVec3::Z];
                    let (middle, reach) = middle_and_reach(scene);
                    let away = middle - pose.position_mm;
                    let at = DVec2::new(away.dot(axes[0]), away.dot(axes[1]));
                    let line = match shade.tint {
                        Tint::HeatSensitive => tokens::HEAT_SENSITIVE,
                        Tint::Metal(_)
                        | Tint::Weld
                        | Tint::Joint
                        | Tint::Lobe
                        | Tint::Obstacle
                        | Tint::Hardpoint
                        | Tint::Broken => tokens::OBSTACLE,
                    };
                    self.draw_sheet(
                        shot,
                        &Sheet {
                            centre: pose.position_mm + axes[0] * at.x + axes[1] * at.y,
                            along: [axes[0], axes[1]],
                            reach_mm: reach * FACE_REACH,
                            at,
                            line,
                            home: [line, line],
                            strength: 0.5,
                            fill: 0.13,
                            edge: 1.0,
                            glow: shade.glow,
                            shadow: 0.0,
                        },
                        shadow,
                    );
                }
            }
        }
    }

    fn draw_sheet(&self, shot: &Shot<'_>, sheet: &Sheet, shadow: &Shadow) {
        let p = &self.program;
        if ![sheet.centre, sheet.along[0], sheet.along[1]].iter().all(|v| v.is_finite()) {
            return;
        }
        let halo = halo(sheet.glow);
        let lit = |c: Color32| {
            let share = if sheet.glow == Glow::None { 0.0 } else { 0.8 };
            linear(c) * (1.0 - share) + halo.colour * share
        };
        let with_alpha = |c: Vec3, a: f32| vec4(c.x, c.y, c.z, a);
        let phase = sheet.at.map(|v| v.rem_euclid(COARSE_MM));
        p.use_uniform("clip_from_rel", shot.clip_from_rel);
        p.use_uniform("centre", shot.rel(sheet.centre));
        p.use_uniform("along_u", narrow(sheet.along[0]));
        p.use_uniform("along_v", narrow(sheet.along[1]));
        p.use_uniform("reach", sheet.reach_mm as f32);
        p.use_uniform("phase", vec2(phase.x as f32, phase.y as f32));
        p.use_uniform("zero", vec2(-sheet.at.x as f32, -sheet.at.y as f32));
        p.use_uniform("line", with_alpha(lit(sheet.line), sheet.strength));
        p.use_uniform("line_u", lit(sheet.home[0]));
        p.use_uniform("line_v", lit(sheet.home[1]));
        p.use_uniform("fill", sheet.fill);
        p.use_uniform("edge", sheet.edge);
        p.use_texture("shadow", &shadow.soft);
        p.use_uniform("shadow_edge", (sheet.reach_mm / FLOOR_REACH * SHADOW_REACH * 2.0) as f32);
        p.use_uniform("shadow_strength", sheet.shadow);
        p.use_vertex_attribute("position", &self.square);
        let states = RenderStates {
            write_mask: WriteMask::COLOR,
            depth_test: DepthTest::LessOrEqual,
            blend: Blend::TRANSPARENCY,
            ..RenderStates::default()
        };
        p.draw_arrays(states, shot.viewport, 6);
    }
}

/// The middle of the scene and the radius of a ball that holds it, mm.
fn middle_and_reach(scene: &Scene) -> (DVec3, f64) {
    let middle = (scene.low + scene.high) / 2.0;
    let middle = if middle.is_finite() { middle } else { DVec3::ZERO };
    let reach = (scene.high - scene.low).length() / 2.0;
    (middle, if reach.is_finite() { reach.max(LEAST_FLOOR_MM / FLOOR_REACH) } else { LEAST_FLOOR_MM })
}

/// Middle and half the edge of the square the shadow's picture covers, mm.
pub(super) fn shadow_square(scene: &Scene) -> (DVec3, f64) {
    let (middle, reach) = middle_and_reach(scene);
    (middle, reach * SHADOW_REACH)
}

/// The level of the floor, mm.
fn floor_z(scene: &Scene) -> f64 {
    let low = if scene.low.z.is_finite() { scene.low.z } else { 0.0 };
    low - middle_and_reach(scene).1 * FLOOR_SINK
}

/// The corners of all that is drawn, planes included.
pub(super) fn drawn_box(scene: &Scene) -> (DVec3, DVec3) {
    let (middle, reach) = middle_and_reach(scene);
    let all = DVec3::splat(reach * FLOOR_REACH);
    (middle - all, middle + all)
}

fn floor(scene: &Scene, shot: &Shot<'_>) -> Sheet {
    let (middle, reach) = middle_and_reach(scene);
    let z = floor_z(scene);
    // from below the floor is between the viewer and the work: hardly there
    let from_below = shot.camera.eye().z < z;
    Sheet {
        centre: DVec3::new(middle.x, middle.y, z),
        along: [DVec3::X, DVec3::Y],
        reach_mm: reach * FLOOR_REACH,
        at: middle.truncate(),
        line: shot.tokens.floor_line,
        home: [tokens::AXIS_X, tokens::AXIS_Y],
        strength: if from_below { 0.2 } else { 0.75 },
        fill: 0.0,
        edge: 0.0,
        glow: Glow::None,
        shadow: if from_below { 0.0 } else { f32::from(shot.tokens.shadow_percent) / 100.0 },
    }
}
