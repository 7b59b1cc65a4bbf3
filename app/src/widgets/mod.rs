//! Small input parts that know nothing of projects.

mod choice;
mod eye;
mod number;
mod text;

pub(crate) use choice::{capital, choice, choice_hinted, choice_sized};
pub(crate) use eye::eye;
pub(crate) use number::{Kind, number, number_hinted, number_optional, reading};
pub(crate) use text::{counted, name_field, unbroken};
