//! The shader of all solid things, and the one of the background.
//!
//! Light comes with the viewer: a key from the upper left, a fill from the right, and a sky and ground that
//! stay with the vehicle. Metal mirrors a made-up workshop: dark floor, pale ceiling, one long lamp.

use super::cache::GpuMesh;
use super::materials::{halo, look};
use super::scans::DrawnScan;
use crate::theme::Tokens;
use glam::{DMat3, DVec3};
use pipeloft_core::view3d::{Camera, Projection, Shade};
use three_d::{
    Context, CoreError, Cull, DepthTest, Mat3, Mat4, Program, RenderStates, Vec3, VertexBuffer, Viewport,
    WriteMask, vec3,
};

const SURFACE_VERTEX: &str = "
uniform mat4 clip_from_rel;
uniform vec3 offset;
in vec3 position;
in vec3 normal;
in float light;
out vec3 v_rel;
out vec3 v_normal;
out float v_light;
void main() {
    v_rel = position + offset;
    v_normal = normal;
    v_light = light;
    gl_Position = clip_from_rel * vec4(v_rel, 1.0);
}";

/// A scan: its points stay as they are, turned and scaled here.
const SCAN_VERTEX: &str = "
uniform mat4 clip_from_rel;
uniform vec3 offset;
uniform mat3 turn_and_scale;
in vec3 position;
out vec3 v_rel;
void main() {
    v_rel = turn_and_scale * position + offset;
    gl_Position = clip_from_rel * vec4(v_rel, 1.0);
}";

/// The surface and the light of a mesh that brings its normals.
const SMOOTH: &str = "
in vec3 v_rel;
in vec3 v_normal;
in float v_light;
vec3 surface(vec3 to_eye) { return normalize(v_normal); }
float openness() { return v_light; }
";

/// Those of a scan: each triangle is flat, and either side of it is seen.
const FLAT: &str = "
in vec3 v_rel;
vec3 surface(vec3 to_eye) {
    vec3 n = cross(dFdx(v_rel), dFdy(v_rel));
    float size = length(n);
    n = size > 0.0 ? n / size : to_eye;
    return dot(n, to_eye) < 0.0 ? -n : n;
}
float openness() { return 1.0; }
";

const SURFACE_FRAGMENT: &str = "
uniform mat3 world_from_view;
uniform float parallel;
uniform vec3 base;
uniform float metal;
uniform float gloss;
uniform vec3 glow;
uniform vec3 glow_parts;
uniform float edge;
out vec4 colour;
void main() {
    vec3 to_eye = mix(normalize(-v_rel), world_from_view[2], parallel);
    vec3 n = surface(to_eye);
    float facing = clamp(dot(n, to_eye), 0.0, 1.0);
    vec3 key_dir = world_from_view * vec3(-0.40, 0.72, 0.57);
    vec3 fill_dir = world_from_view * vec3(0.86, 0.10, 0.50);

    float key = max(dot(n, key_dir) * 0.82 + 0.18, 0.0);
    float fill = max(dot(n, fill_dir) * 0.75 + 0.25, 0.0);
    vec3 ambient = mix(vec3(0.235, 0.22, 0.205), vec3(0.40, 0.43, 0.47), n.z * 0.5 + 0.5);
    vec3 diffuse = ambient + key * vec3(0.66, 0.645, 0.62) + fill * vec3(0.13, 0.15, 0.18);

    vec3 mirrored = reflect(-to_eye, n);
    float lamp = dot(mirrored, key_dir);
    vec3 room = mix(vec3(0.10, 0.10, 0.11), vec3(0.62, 0.66, 0.72), smoothstep(-0.55, 0.75, mirrored.z));
    room += vec3(0.90, 0.88, 0.84) * smoothstep(0.50, 0.99, lamp);
    room += vec3(0.20, 0.23, 0.28) * smoothstep(0.55, 0.95, dot(mirrored, fill_dir));

    vec3 painted = base * diffuse + gloss * smoothstep(0.82, 1.0, lamp);
    float grazing = 1.0 - facing;
    float grazing2 = grazing * grazing;
    vec3 polished = base * (diffuse * 0.50 + room * 0.72) + room * (grazing2 * grazing2 * 0.22);
    vec3 lit = mix(painted, polished, metal);
    lit *= 1.0 - edge * grazing2 * grazing;

    float luma = dot(lit, vec3(0.3, 0.6, 0.1));
    lit = mix(lit, glow * (0.22 + 0.95 * luma), glow_parts.x);
    lit += glow * (glow_parts.y * grazing2 + glow_parts.z);
    lit *= openness();
    // a soft shoulder, so that highlights do not burn out into flat white
    lit = lit / (1.0 + max(lit - 0.72, 0.0) * 0.55);
    colour = vec4(pow(clamp(lit, 0.0, 1.0), vec3(1.0 / 2.2)), 1.0);
}";

const SKY_VERTEX: &str = "
in vec2 position;
out float v_up;
void main() {
    v_up = position.y * 0.5 + 0.5;
    gl_Position = vec4(position, 0.0, 1.0);
}";

const SKY_FRAGMENT: &str = "
uniform vec3 high;
uniform vec3 low;
in float v_up;
out vec4 colour;
void main() {
    // a little noise, or the soft gradient shows in steps
    float noise = fract(sin(dot(gl_FragCoord.xy, vec2(12.9898, 78.233))) * 43758.5453) - 0.5;
    colour = vec4(mix(low, high, smoothstep(0.0, 1.0, v_up)) + noise / 255.0, 1.0);
}";

/// A scan may fill the view: glowing like a part it would hide all else.
const SCAN_GLOW: f32 = 0.3;

/// One picture: from where, and onto which pixels.
pub(super) struct Shot<'a> {
    pub(super) camera: &'a Camera,
    pub(super) viewport: Viewport,
    pub(super) clip_from_rel: Mat4,
    pub(super) tokens: &'a Tokens,
}

impl Shot<'_> {
    /// A world point as seen from the eye; only now may it become f32.
    pub(super) fn rel(&self, world: DVec3) -> Vec3 {
        narrow(world - self.camera.eye())
    }
}

/// A direction or offset as the graphics card takes it.
pub(super) fn narrow(v: DVec3) -> Vec3 {
    vec3(v.x as f32, v.y as f32, v.z as f32)
}

/// Draws solid things and the background.
pub(super) struct Surface {
    solid: Program,
    scan: Program,
    sky: Program,
    sky_triangle: VertexBuffer<[f32; 2]>,
}

impl Surface {
    pub(super) fn new(context: &Context) -> Result<Self, CoreError> {
        Ok(Self {
            solid: Program::from_source(context, SURFACE_VERTEX, &format!("{SMOOTH}{SURFACE_FRAGMENT}"))?,
            scan: Program::from_source(context, SCAN_VERTEX, &format!("{FLAT}{SURFACE_FRAGMENT}"))?,
            sky: Program::from_source(context, SKY_VERTEX, SKY_FRAGMENT)?,
            // one triangle that covers the whole view
            sky_triangle: VertexBuffer::new_with_data(context, &[[-1.0, -1.0], [3.0, -1.0], [-1.0, 3.0]]),
        })
    }

    pub(super) fn draw_sky(&self, shot: &Shot<'_>) {
        let stored = |c: eframe::egui::Color32| {
            let [r, g, b, _] = c.to_array().map(|v| f32::from(v) / 255.0);
            vec3(r, g, b)
        };
        self.sky.use_uniform("high", stored(shot.tokens.sky_high));
        self.sky.use_uniform("low", stored(shot.tokens.sky_low));
        self.sky.use_vertex_attribute("position", &self.sky_triangle);
        let states = RenderStates {
            write_mask: WriteMask::COLOR,
            depth_test: DepthTest::Always,
            ..RenderStates::default()
        };
        self.sky.draw_arrays(states, shot.viewport, 3);
    }

    pub(super) fn draw_meshes<'a>(&self, shot: &Shot<'_>, meshes: impl Iterator<Item = &'a GpuMesh>) {
        let p = &self.solid;
        set_light(p, shot);
        p.use_uniform("edge", f32::from(shot.tokens.edge_percent) / 100.0);
        let states = RenderStates { cull: Cull::Back, ..RenderStates::default() };
        for mesh in meshes {
            set_shade(p, mesh.shade, 1.0);
            p.use_uniform("offset", shot.rel(mesh.origin));
            p.use_vertex_attribute("position", &mesh.positions);
            p.use_vertex_attribute("normal", &mesh.normals);
            p.use_vertex_attribute("light", &mesh.light);
            p.draw_elements(states, shot.viewport, &mesh.indices);
        }
    }

    /// Draws scans, both sides of their triangles.
    pub(super) fn draw_scans<'a>(&self, shot: &Shot<'_>, scans: impl Iterator<Item = &'a DrawnScan>) {
        let p = &self.scan;
        set_light(p, shot);
        // the edges of triangles are no edges of the thing
        p.use_uniform("edge", 0.0);
        let states = RenderStates { cull: Cull::None, ..RenderStates::default() };
        for scan in scans {
            set_shade(p, scan.shade, SCAN_GLOW);
            p.use_uniform("offset", shot.rel(scan.origin));
            p.use_uniform("turn_and_scale", scan.turn_and_scale);
            p.use_vertex_attribute("position", &scan.mesh.positions);
            p.draw_elements(states, shot.viewport, &scan.mesh.indices);
        }
    }
}

/// What is the same for all things of a picture.
fn set_light(p: &Program, shot: &Shot<'_>) {
    let (right, up, back) = shot.camera.basis();
    let turn = DMat3::from_cols(right, up, back).as_mat3().to_cols_array_2d();
    p.use_uniform("clip_from_rel", shot.clip_from_rel);
    p.use_uniform("world_from_view", Mat3::from(turn));
    p.use_uniform("parallel", f32::from(u8::from(shot.camera.projection == Projection::Parallel)));
}

/// `strength` is how far the surface takes on a glow, 1 for things of the size of a part.
fn set_shade(p: &Program, shade: Shade, strength: f32) {
    let (look, halo) = (look(shade.tint), halo(shade.glow));
    p.use_uniform("base", look.base);
    p.use_uniform("metal", look.metal);
    p.use_uniform("gloss", look.gloss);
    p.use_uniform("glow", halo.colour);
    p.use_uniform("glow_parts", vec3(halo.tint, halo.rim, halo.shine) * strength);
}
