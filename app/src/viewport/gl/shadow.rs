//! A faint, soft shadow straight down on the floor: shows how things lie over each other and over what.
//!
//! It is drawn into a picture of its own, only when the scene changes; the floor lays it under its lines.

use super::cache::GpuMesh;
use super::surface::narrow;
use glam::DVec3;
use std::convert::Infallible;
use three_d::{
    ClearState, Context, CoreError, DepthTest, Interpolation, Program, RenderStates, Texture2D, VertexBuffer,
    Viewport, Wrapping, WriteMask,
};

/// Edge of the picture, pixels.
const EDGE: u32 = 512;

const FLAT_VERTEX: &str = "
uniform vec3 offset;
uniform float half_edge;
in vec3 position;
void main() {
    gl_Position = vec4((position.xy + offset.xy) / half_edge, 0.0, 1.0);
}";

const FLAT_FRAGMENT: &str = "
out vec4 colour;
void main() {
    colour = vec4(1.0);
}";

const SOFT_VERTEX: &str = "
in vec2 position;
out vec2 v_uv;
void main() {
    v_uv = position * 0.5 + 0.5;
    gl_Position = vec4(position, 0.0, 1.0);
}";

const SOFT_FRAGMENT: &str = "
uniform sampler2D flat_shadow;
uniform float pixel;
in vec2 v_uv;
out vec4 colour;
void main() {
    float sum = 0.0;
    float all = 0.0;
    for (int x = -2; x <= 2; x++) {
        for (int y = -2; y <= 2; y++) {
            float weight = exp(-0.28 * float(x * x + y * y));
            // between pixels, where one look takes in four of them
            sum += weight * texture(flat_shadow, v_uv + (vec2(x, y) * 1.9 + 0.5) * pixel).r;
            all += weight;
        }
    }
    colour = vec4(sum / all);
}";

/// The shadow's picture, and what draws it.
pub(super) struct Shadow {
    flatten: Program,
    soften: Program,
    whole: VertexBuffer<[f32; 2]>,
    flat: Texture2D,
    /// How much of the light is kept off, 0 to 1.
    pub(super) soft: Texture2D,
}

impl Shadow {
    pub(super) fn new(context: &Context) -> Result<Self, CoreError> {
        let picture = || {
            let (smooth, rim) = (Interpolation::Linear, Wrapping::ClampToEdge);
            Texture2D::new_empty::<u8>(context, EDGE, EDGE, smooth, smooth, None, rim, rim)
        };
        Ok(Self {
            flatten: Program::from_source(context, FLAT_VERTEX, FLAT_FRAGMENT)?,
            soften: Program::from_source(context, SOFT_VERTEX, SOFT_FRAGMENT)?,
            whole: VertexBuffer::new_with_data(context, &[[-1.0, -1.0], [3.0, -1.0], [-1.0, 3.0]]),
            flat: picture(),
            soft: picture(),
        })
    }

    /// Draws the picture anew: a square about `centre`, `half_edge_mm` to each side.
    pub(super) fn follow<'a>(
        &self,
        centre: DVec3,
        half_edge_mm: f64,
        meshes: impl Iterator<Item = &'a GpuMesh>,
    ) {
        let viewport = Viewport::new_at_origo(EDGE, EDGE);
        let states = RenderStates {
            write_mask: WriteMask::COLOR,
            depth_test: DepthTest::Always,
            ..RenderStates::default()
        };
        let clear = ClearState::color(0.0, 0.0, 0.0, 0.0);
        draw_into(&self.flat, clear, || {
            self.flatten.use_uniform("half_edge", half_edge_mm as f32);
            for mesh in meshes {
                self.flatten.use_uniform("offset", narrow(mesh.origin - centre));
                self.flatten.use_vertex_attribute("position", &mesh.positions);
                self.flatten.draw_elements(states, viewport, &mesh.indices);
            }
        });
        draw_into(&self.soft, clear, || {
            self.soften.use_texture("flat_shadow", &self.flat);
            self.soften.use_uniform("pixel", 1.0 / EDGE as f32);
            self.soften.use_vertex_attribute("position", &self.whole);
            self.soften.draw_arrays(states, viewport, 3);
        });
    }
}

fn draw_into(picture: &Texture2D, clear: ClearState, draw: impl FnOnce()) {
    let target = picture.as_color_target(None);
    let drawn = target.clear(clear).write(|| {
        draw();
        Ok::<(), Infallible>(())
    });
    if let Err(never) = drawn {
        match never {}
    }
}
