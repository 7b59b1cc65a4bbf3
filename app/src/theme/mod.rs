//! How the program looks. Raw colours stand here and nowhere else.

mod apply;
pub mod tokens;

pub use apply::{HEADLINE, bold, bold_family, install, set_dark};
pub use tokens::{Tokens, metal_of};
