//! What a report says, before it is laid out. Pure.

use crate::error::Error;
use crate::light::Hatch;
use crate::log::receipt::Receipt;
use crate::photo;
use crate::record::events::Business;
use crate::record::views::{JobView, LightView, PhotoView, ScheduleView, TreatedView, WorkView};
use crate::record::words::{Form, Locale, Stage};
use std::collections::BTreeMap;

/// A condition report, ready to lay out.
#[derive(Debug, Clone)]
pub struct Document {
    /// Everything on record.
    pub view: JobView,
    /// What it says beside.
    pub about: About,
    /// Pictures for the page by the hash of their original.
    pub pictures: BTreeMap<String, Picture>,
}

/// What a report needs beside the job itself.
#[derive(Debug, Clone)]
pub struct About {
    /// Body form, for the drawing.
    pub form: Form,
    /// Whose English.
    pub locale: Locale,
    /// Whose record it is.
    pub business: Option<Business>,
    /// What light has to say.
    pub light: LightView,
    /// What was done to the surfaces, and why.
    pub treated: TreatedView,
    /// What was put on, in which conditions, and what follows from it.
    pub work: WorkView,
    /// The schedule that counts, beside what was done.
    pub schedule: Option<ScheduleView>,
    /// What has been seen, drawn, by stage.
    pub hatches: BTreeMap<Stage, Vec<Hatch>>,
    /// What time-stamp authorities say of its entries, a sentence each.
    pub times: Vec<String>,
    /// What the owner takes along; only in a copy that is given during the visit.
    pub receipt: Option<Receipt>,
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
    about: About,
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
    Ok(Document { view, about, pictures })
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
