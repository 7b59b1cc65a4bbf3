//! What counts of the JSON of a glTF file. Names are those of the standard.

use super::KIND;
use crate::space::scan::error::Fault;
use glam::{DMat4, DQuat, DVec3, DVec4};
use serde::Deserialize;
use serde::de::{Deserializer, Error as _, SeqAccess, Visitor};
use std::fmt;
use std::marker::PhantomData;
use std::ops::Deref;

/// Entries of one list at most: many small entries would take many times the memory of their text.
const MAX_ENTRIES: usize = 100_000;

/// Extensions that say how a surface looks; no other can be done without by who must have it.
const LOOKS: [&str; 3] = ["KHR_materials_", "KHR_texture_", "KHR_lights_"];

/// The whole file.
#[derive(Deserialize, Default)]
#[serde(default, rename_all = "camelCase")]
pub(super) struct Document {
    asset: Asset,
    extensions_required: List<String>,
    pub(super) scene: Option<usize>,
    pub(super) scenes: List<Scene>,
    pub(super) nodes: List<Node>,
    pub(super) meshes: List<Mesh>,
    pub(super) accessors: List<Accessor>,
    pub(super) buffer_views: List<BufferView>,
    pub(super) buffers: List<BufferInfo>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Asset {
    version: String,
}

#[derive(Deserialize, Default)]
#[serde(default)]
pub(super) struct Scene {
    pub(super) nodes: List<usize>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
pub(super) struct Node {
    pub(super) children: List<usize>,
    pub(super) mesh: Option<usize>,
    matrix: Option<Box<[f64; 16]>>,
    translation: Option<[f64; 3]>,
    rotation: Option<[f64; 4]>,
    scale: Option<[f64; 3]>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
pub(super) struct Mesh {
    pub(super) primitives: List<Primitive>,
}

#[derive(Deserialize)]
pub(super) struct Primitive {
    #[serde(default)]
    pub(super) attributes: Attributes,
    pub(super) indices: Option<usize>,
    #[serde(default = "triangles")]
    pub(super) mode: u32,
}

fn triangles() -> u32 {
    4
}

#[derive(Deserialize, Default)]
#[serde(default)]
pub(super) struct Attributes {
    #[serde(rename = "POSITION")]
    pub(super) position: Option<usize>,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Accessor {
    pub(super) buffer_view: Option<usize>,
    #[serde(default)]
    pub(super) byte_offset: u64,
    pub(super) component_type: u32,
    pub(super) count: u64,
    #[serde(rename = "type")]
    pub(super) shape: String,
    /// Whether it is there is all that counts.
    pub(super) sparse: Option<serde::de::IgnoredAny>,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct BufferView {
    pub(super) buffer: usize,
    #[serde(default)]
    pub(super) byte_offset: u64,
    pub(super) byte_length: u64,
    pub(super) byte_stride: Option<u64>,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct BufferInfo {
    pub(super) uri: Option<String>,
    pub(super) byte_length: u64,
}

impl Document {
    /// Reads the JSON.
    pub(super) fn read(json: &[u8]) -> Result<Self, Fault> {
        let found: Self =
            serde_json::from_slice(json).map_err(|error| Fault::damaged(KIND, error.to_string()))?;
        if !found.asset.version.starts_with("2.") {
            let version =
                found.asset.version.chars().filter(|c| !c.is_control()).take(20).collect::<String>();
            return Err(Fault::not_read(KIND, format!("version {version}")));
        }
        let needed =
            found.extensions_required.iter().find(|name| !LOOKS.iter().any(|look| name.starts_with(look)));
        match needed {
            Some(name) => {
                let name = name.chars().filter(|c| !c.is_control()).take(60).collect::<String>();
                Err(Fault::not_read(KIND, format!("the extension {name}")))
            }
            None => Ok(found),
        }
    }
}

impl Node {
    /// From its own axes to those of the node it is part of.
    pub(super) fn place(&self) -> DMat4 {
        if let Some(matrix) = &self.matrix {
            return DMat4::from_cols_array(matrix);
        }
        let turn = self.rotation.map_or(DVec4::W, DVec4::from_array);
        let turn = DQuat::from_vec4(turn.try_normalize().unwrap_or(DVec4::W));
        let scale = self.scale.map_or(DVec3::ONE, DVec3::from_array);
        DMat4::from_scale_rotation_translation(
            scale,
            turn,
            self.translation.map_or(DVec3::ZERO, DVec3::from_array),
        )
    }
}

/// A list that does not grow beyond what is sensible.
pub(super) struct List<T>(Vec<T>);

impl<T> Default for List<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T> Deref for List<T> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        &self.0
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for List<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_seq(Entries(PhantomData))
    }
}

struct Entries<T>(PhantomData<T>);

impl<'de, T: Deserialize<'de>> Visitor<'de> for Entries<T> {
    type Value = List<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut from: A) -> Result<List<T>, A::Error> {
        let mut all = Vec::new();
        while let Some(entry) = from.next_element()? {
            if all.len() == MAX_ENTRIES {
                return Err(A::Error::custom(format!("a list in it has more than {MAX_ENTRIES} entries")));
            }
            all.push(entry);
        }
        Ok(List(all))
    }
}
