//! Photos: bytes in, facts or smaller pictures out. Pure. JPEG and PNG, decoded by the crate `image`; EXIF by
//! `kamadak-exif`. The original is never changed; what EXIF says is the file's own claim.

use crate::log::canon;
use exif::{In, Tag, Value};
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, metadata::Orientation};
use std::io::Cursor;

/// Largest file, bytes: 200 MB.
pub const LARGEST_FILE: u64 = 200_000_000;

/// Most pixels that are decoded: 200 million. Beyond it a file's header, not a camera, is the likely cause.
const MOST_PIXELS: u64 = 200_000_000;

/// What a photo's bytes say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Facts {
    /// SHA-256 of the file in hex.
    pub sha256: String,
    /// Length in bytes.
    pub len: u64,
    /// `image/jpeg` or `image/png`.
    pub media: &'static str,
    /// Width as stored, pixels.
    pub width_px: u32,
    /// Height as stored, pixels.
    pub height_px: u32,
    /// EXIF orientation, 1 to 8; 1 where the file has none or a wrong one.
    pub orientation: u32,
    /// The time of taking that the file claims, RFC 3339, without an offset where it has none.
    pub taken: Option<String>,
}

/// Reads a photo: whole, decodable, of a sensible size. The error says in plain words what is wrong.
pub fn read(bytes: &[u8]) -> Result<Facts, String> {
    if bytes.is_empty() {
        return Err("the file is empty (0 bytes)".to_owned());
    }
    if bytes.len() as u64 > LARGEST_FILE {
        return Err(format!("{} bytes; at most {LARGEST_FILE} can be taken in", bytes.len()));
    }
    let (format, image) = decode(bytes)?;
    let media = if format == ImageFormat::Jpeg { "image/jpeg" } else { "image/png" };
    if format == ImageFormat::Jpeg && !ends(bytes) {
        return Err("the picture is cut short: its end is missing".to_owned());
    }
    let exif = claims(bytes);
    Ok(Facts {
        sha256: canon::hex(&canon::sha256(bytes)),
        len: bytes.len() as u64,
        media,
        width_px: image.width(),
        height_px: image.height(),
        orientation: exif.as_ref().map_or(1, orientation),
        taken: exif.as_ref().and_then(taken),
    })
}

/// A picture for a page: upright, at most `longest_px` on its longer side, JPEG of the given quality (1 to 100).
pub fn shown(bytes: &[u8], longest_px: u32, quality: u8) -> Result<Vec<u8>, String> {
    let (_, mut image) = decode(bytes)?;
    let exif = claims(bytes);
    if image.width().max(image.height()) > longest_px {
        image = image.resize(longest_px, longest_px, image::imageops::FilterType::CatmullRom);
    }
    let turn = u8::try_from(exif.as_ref().map_or(1, orientation)).unwrap_or(1);
    if let Some(turn) = Orientation::from_exif(turn) {
        image.apply_orientation(turn);
    }
    let mut out = Vec::new();
    let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut out, quality);
    image.to_rgb8().write_with_encoder(encoder).map_err(|why| why.to_string())?;
    Ok(out)
}

fn decode(bytes: &[u8]) -> Result<(ImageFormat, DynamicImage), String> {
    let reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format().map_err(|why| why.to_string())?;
    let format = match reader.format() {
        Some(format @ (ImageFormat::Jpeg | ImageFormat::Png)) => format,
        _ => return Err("not a JPEG or PNG picture".to_owned()),
    };
    let decoder = reader.into_decoder().map_err(|_| {
        "not a readable picture: it is damaged, or of a kind that is not known here".to_owned()
    })?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(format!("its header claims {width} x {height} pixels; at most {MOST_PIXELS} in all"));
    }
    let image = DynamicImage::from_decoder(decoder).map_err(|_| {
        "not a readable picture: it is damaged, or of a kind that is not known here".to_owned()
    })?;
    Ok((format, image))
}

/// Whether a JPEG's end marker follows its picture data (ITU-T T.81 annex B: SOS 0xFFDA … EOI 0xFFD9). An EXIF
/// thumbnail has an end of its own, before.
fn ends(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let Some(&[0xFF, marker]) = bytes.get(at..at + 2) {
        if marker == 0xDA {
            return bytes.get(at..).is_some_and(|rest| rest.windows(2).any(|pair| pair == [0xFF, 0xD9]));
        }
        let Some(&[high, low]) = bytes.get(at + 2..at + 4) else { return false };
        at += 2 + usize::from(u16::from_be_bytes([high, low]));
    }
    false
}

/// The file's EXIF, as far as it can be read: many writers leave a table's closing link out, and a picture must not lie
/// on its side for that.
fn claims(bytes: &[u8]) -> Option<exif::Exif> {
    exif::Reader::new()
        .continue_on_error(true)
        .read_from_container(&mut Cursor::new(bytes))
        .or_else(|why| why.distill_partial_result(|_| {}))
        .ok()
}

fn orientation(exif: &exif::Exif) -> u32 {
    exif.get_field(Tag::Orientation, In::PRIMARY)
        .and_then(|field| field.value.get_uint(0))
        .filter(|turn| (1..=8).contains(turn))
        .unwrap_or(1)
}

fn taken(exif: &exif::Exif) -> Option<String> {
    let text = |tag| match &exif.get_field(tag, In::PRIMARY)?.value {
        Value::Ascii(lines) => Some(String::from_utf8_lossy(lines.first()?).trim().to_owned()),
        _ => None,
    };
    let date = text(Tag::DateTimeOriginal)?;
    let time = chrono::NaiveDateTime::parse_from_str(&date, "%Y:%m:%d %H:%M:%S").ok()?;
    let part = text(Tag::SubSecTimeOriginal)
        .filter(|part| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit()))
        .map(|part| format!(".{part}"))
        .unwrap_or_default();
    let offset =
        text(Tag::OffsetTimeOriginal).filter(|offset| well_formed_offset(offset)).unwrap_or_default();
    Some(format!("{}{part}{offset}", time.format("%Y-%m-%dT%H:%M:%S")))
}

/// EXIF 2.31: `+hh:mm` or `-hh:mm`.
fn well_formed_offset(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes.len() == 6
        && matches!(bytes[0], b'+' | b'-')
        && bytes[3] == b':'
        && [1, 2, 4, 5].iter().all(|place| bytes[*place].is_ascii_digit())
}
