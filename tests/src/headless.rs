//! An OpenGL context without a window or a display server: the EGL device platform; Mesa's software renderer
//! is enough.
#![expect(
    unsafe_code,
    reason = "a context is made through pointers the driver hands out; glutin has no safe way"
)]

use glutin::api::egl::{context::PossiblyCurrentContext, device::Device, display::Display, surface::Surface};
use glutin::config::{Api, ConfigSurfaceTypes, ConfigTemplateBuilder};
use glutin::context::{ContextApi, ContextAttributesBuilder, NotCurrentGlContext as _, Version};
use glutin::display::GlDisplay as _;
use glutin::surface::{PbufferSurface, SurfaceAttributesBuilder};
use std::ffi::CString;
use std::num::NonZeroU32;
use std::sync::Arc;

/// Environment variable that turns a missing EGL device from a skipped test into a failed one.
pub const NEED_EGL: &str = "PIPELOFT_NEED_EGL";

/// A current context with a framebuffer of its own. Keep it alive as long as `gl` is used; it is current on
/// the thread that made it.
#[derive(Debug)]
pub struct HeadlessGl {
    /// The OpenGL functions.
    pub gl: Arc<glow::Context>,
    _surface: Surface<PbufferSurface>,
    _context: PossiblyCurrentContext,
    _display: Display,
}

impl HeadlessGl {
    /// A context with a default framebuffer of this size in pixels and this many samples for each.
    ///
    /// Mesa's software device goes first, so that every machine draws the same pixels.
    pub fn new(width: u32, height: u32, samples: u8) -> Result<Self, String> {
        let (Some(width), Some(height)) = (NonZeroU32::new(width), NonZeroU32::new(height)) else {
            return Err("a framebuffer of no size".to_owned());
        };
        let devices = Device::query_devices().map_err(|e| format!("EGL devices: {e}"))?;
        let (soft, hard): (Vec<_>, Vec<_>) =
            devices.partition(|d| d.extensions().contains("EGL_MESA_device_software"));
        let mut last = "no EGL device".to_owned();
        for device in soft.iter().chain(&hard) {
            match Self::on_device(device, width, height, samples) {
                Ok(made) => return Ok(made),
                Err(e) => last = e.to_string(),
            }
        }
        Err(last)
    }

    fn on_device(
        device: &Device,
        width: NonZeroU32,
        height: NonZeroU32,
        samples: u8,
    ) -> Result<Self, Box<dyn std::error::Error>> {
        // SAFETY: no native display is passed, so none can go out of use before this one.
        let display = unsafe { Display::with_device(device, None) }?;
        let template = ConfigTemplateBuilder::new()
            .with_api(Api::OPENGL)
            .with_alpha_size(8)
            .with_depth_size(24)
            .with_surface_type(ConfigSurfaceTypes::PBUFFER);
        let template = if samples > 1 { template.with_multisampling(samples) } else { template };
        // SAFETY: the template names no native window.
        let config = unsafe { display.find_configs(template.build()) }?.next().ok_or("no EGL config")?;
        let version = ContextApi::OpenGl(Some(Version::new(3, 3)));
        let attributes = ContextAttributesBuilder::new().with_context_api(version).build(None);
        // SAFETY: the attributes share no other context and name no native window.
        let context = unsafe { display.create_context(&config, &attributes) }?;
        let attributes = SurfaceAttributesBuilder::<PbufferSurface>::new().build(width, height);
        // SAFETY: a pbuffer stands on no native window.
        let surface = unsafe { display.create_pbuffer_surface(&config, &attributes) }?;
        let context = context.make_current(&surface)?;
        // SAFETY: the context is current, and stays so as long as the functions are used.
        let gl = unsafe {
            glow::Context::from_loader_function_cstr(|name| {
                display.get_proc_address(&CString::from(name)).cast()
            })
        };
        Ok(Self { gl: Arc::new(gl), _surface: surface, _context: context, _display: display })
    }
}

/// What to do with an error about a missing device: `None` to skip the test, after saying so.
///
/// Fails the test instead where the environment variable [`NEED_EGL`] is set.
#[expect(clippy::print_stderr, reason = "who runs the tests must see what was not tested")]
pub fn or_skip<T>(made: Result<T, String>) -> Option<T> {
    match made {
        Ok(value) => Some(value),
        Err(e) => {
            assert!(std::env::var_os(NEED_EGL).is_none(), "{NEED_EGL} is set, but there is none: {e}");
            eprintln!("skipped, no EGL device: {e}");
            None
        }
    }
}
