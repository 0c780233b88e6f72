//! What a report says, before it is laid out. Pure.

use crate::error::Error;
use crate::photo;
use crate::record::events::Business;
use crate::record::views::{JobView, PhotoView};
use crate::record::words::{Form, Locale};
use std::collections::BTreeMap;

/// A condition report, ready to lay out.
#[derive(Debug, Clone)]
pub struct Document {
    /// Everything on record.
    pub view: JobView,
    /// Body form, for the drawing.
    pub form: Form,
    /// Whose English.
    pub locale: Locale,
    /// Whose record it is.
    pub business: Option<Business>,
    /// Pictures for the page by the hash of their original.
    pub pictures: BTreeMap<String, Picture>,
}

/// A photo as the page shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Picture {
    /// A smaller, upright copy (JPEG). The original stays in the notebook.
    Shown(Vec<u8>),
    /// Why it is not shown.
    NotShown(String),
}

/// Makes the document. `original` gives a photo's bytes, none when they are not here.
pub fn assemble(
    view: JobView,
    form: Form,
    locale: Locale,
    business: Option<Business>,
    mut original: impl FnMut(&str) -> Result<Option<Vec<u8>>, Error>,
) -> Result<Document, Error> {
    let mut pictures = BTreeMap::new();
    let photos: Vec<&PhotoView> = view.all_photos().collect();
    let longest = longest_side(photos.len());
    for shown in photos {
        if pictures.contains_key(&shown.sha256) {
            continue;
        }
        let picture = match original(&shown.sha256) {
            Ok(Some(bytes)) => match photo::shown(&bytes, longest, QUALITY) {
                Ok(jpeg) => Picture::Shown(jpeg),
                Err(why) => Picture::NotShown(format!("it cannot be shown here: {why}")),
            },
            Ok(None) => Picture::NotShown(
                shown.missing.clone().unwrap_or_else(|| "its file is missing here".to_owned()),
            ),
            Err(Error::Damaged { found, .. }) => Picture::NotShown(format!("damaged: {found}")),
            Err(why) => return Err(why),
        };
        pictures.insert(shown.sha256.clone(), picture);
    }
    Ok(Document { view, form, locale, business, pictures })
}

/// JPEG quality of pictures in a page.
const QUALITY: u8 = 78;

/// Longest side of a picture, pixels, so that an owner's copy stays below 5 MB.
fn longest_side(photos: usize) -> u32 {
    match photos {
        0..=12 => 1_200,
        13..=24 => 1_000,
        25..=48 => 720,
        _ => 560,
    }
}
