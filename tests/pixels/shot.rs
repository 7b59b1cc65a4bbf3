//! Pictures for people to look at.

use image::RgbaImage;

/// Keeps the picture under `target/tmp` and gives it back.
pub(crate) fn keep(picture: &RgbaImage, name: &str) -> RgbaImage {
    let folder = concat!(env!("CARGO_TARGET_TMPDIR"), "/pixels");
    std::fs::create_dir_all(folder).unwrap();
    picture.save(format!("{folder}/{name}.png")).unwrap();
    picture.clone()
}
