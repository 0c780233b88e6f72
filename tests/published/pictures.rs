//! Photos: EXIF as exiftool 12.57 reads it, upright as Pillow turns it, pixels as libjpeg-turbo's djpeg decodes them,
//! damaged files refused. GPS and camera fields of the cases are not checked: `photo` does not read them, by design;
//! those files must be read all the same.

use super::{committed, folder, text};
use image::DynamicImage;
use serde_json::Value;
use sidelong_core::photo::{self, Facts};
use sidelong_core::record::times::read_rfc3339;

fn file(case: &Value) -> Vec<u8> {
    let path = folder().join(text(&case["inputs"], "file"));
    std::fs::read(&path).unwrap_or_else(|why| panic!("{}: {why}", path.display()))
}

fn facts(case: &Value) -> Facts {
    photo::read(&file(case)).unwrap_or_else(|why| panic!("{why}: {case}"))
}

#[test]
fn exif_fields() {
    let mut times = 0;
    for case in committed("pictures.json", "exif_fields") {
        let (found, expected) = (facts(&case), &case["expected"]);
        let exiftool = &case["cross_check"]["exiftool"];
        assert_eq!(u64::from(found.width_px), exiftool["ImageWidth"].as_u64().expect("a width"), "{case}");
        assert_eq!(u64::from(found.height_px), exiftool["ImageHeight"].as_u64().expect("a height"), "{case}");
        assert_eq!(found.media, "image/jpeg");
        // CIPA DC-008: 1 to 8; without the field, or with another value, the picture is upright as it is.
        let said = exiftool["Orientation"].as_u64().filter(|turn| (1..=8).contains(turn)).unwrap_or(1);
        assert_eq!(u64::from(found.orientation), said, "{case}");
        for name in ["orientation", "orientation_effective"] {
            if let Some(turn) = expected[name].as_u64() {
                assert_eq!(u64::from(found.orientation), turn, "{case}");
            }
        }
        if let Some(utc) = expected["utc"].as_str() {
            let taken = found.taken.expect("a time");
            assert_eq!(read_rfc3339(&taken).map(|t| t.0), read_rfc3339(utc).map(|t| t.0), "{case}");
            times += 1;
        } else {
            // Without an offset in the file none is made up.
            assert_eq!(found.taken.as_deref(), expected["local"].as_str(), "{case}");
            times += usize::from(expected["local"].is_string());
        }
    }
    assert_eq!(times, 3, "files with a time");
}

#[test]
fn upright() {
    let cases = committed("pictures.json", "exif_orientation");
    assert_eq!(cases.len(), 8);
    for case in cases {
        let (found, expected) = (facts(&case), &case["expected"]);
        assert_eq!(u64::from(found.orientation), expected["orientation"].as_u64().expect("a turn"), "{case}");
        let size = |name: &str, at: usize| expected[name][at].as_u64().expect("a size");
        assert_eq!(u64::from(found.width_px), size("stored_size", 0), "{case}");
        assert_eq!(u64::from(found.height_px), size("stored_size", 1), "{case}");
        let shown = photo::shown(&file(&case), 64, 100).expect("shown");
        let upright = image::load_from_memory(&shown).expect("a picture").to_rgb8();
        assert_eq!(u64::from(upright.width()), size("upright_size", 0), "{case}");
        assert_eq!(u64::from(upright.height()), size("upright_size", 1), "{case}");
        let (right, bottom) = (upright.width() - 1, upright.height() - 1);
        let tolerance = expected["upright_corner_rgb_tolerance"].as_u64().expect("a tolerance");
        for (corner, x, y) in [("TL", 0, 0), ("TR", right, 0), ("BR", right, bottom), ("BL", 0, bottom)] {
            for channel in 0..3 {
                let at = u64::from(upright.get_pixel(x, y)[channel]);
                let should = expected["upright_rgb"][corner][channel].as_u64().expect("a colour");
                assert!(at.abs_diff(should) <= tolerance, "{corner} {channel}: {at} for {should}: {case}");
            }
        }
        // What is shown is upright by its pixels: it must not say that it has still to be turned.
        assert_eq!(photo::read(&shown).expect("a picture").orientation, 1, "{case}");
    }
}

/// Samples of a picture, channel by channel as the case has them.
fn samples(picture: &DynamicImage, gray: bool) -> (usize, Vec<u8>) {
    if gray { (1, picture.to_luma8().into_raw()) } else { (3, picture.to_rgb8().into_raw()) }
}

fn means(channels: usize, samples: &[u8]) -> Vec<f64> {
    (0..channels)
        .map(|channel| {
            let all: Vec<f64> =
                samples.iter().skip(channel).step_by(channels).map(|sample| f64::from(*sample)).collect();
            all.iter().sum::<f64>() / all.len() as f64
        })
        .collect()
}

/// ISO/IEC 10918-2 leaves decoders a small difference; the tolerances of the cases allow for other upsampling too.
#[test]
fn decoded_pixels() {
    let mut decoded = Vec::new();
    for case in committed("pictures.json", "jpeg_decode") {
        let (bytes, expected) = (file(&case), &case["expected"]);
        let name = text(&case["inputs"], "file").to_owned();
        let picture = match image::load_from_memory(&bytes) {
            Ok(picture) => picture,
            Err(_) => {
                // Arithmetic coding is the one kind of JPEG here that a reader may leave out.
                let why = photo::read(&bytes).expect_err("refused too");
                assert!(name.ends_with("arith_q85.jpg"), "{name}: {why}");
                assert!(why.contains("not a readable picture"), "{why}");
                continue;
            }
        };
        let found = facts(&case);
        let (channels, samples) = samples(&picture, expected["mode"] == "L");
        let means = means(channels, &samples);
        if name.ends_with("cmyk_adobe.jpg") {
            // The same scene as the others, by other inks: far from their means it would be shown inverted.
            let scene = [124.4, 39.9, 18.8];
            let near = means.iter().zip(scene).all(|(mean, should)| (mean - should).abs() < 20.0);
            assert!(near, "{name}: {means:?} for about {scene:?}");
            decoded.push(name);
            continue;
        }
        let (width, height) = (found.width_px as usize, found.height_px as usize);
        assert_eq!(width as u64, expected["width"].as_u64().expect("a width"), "{case}");
        assert_eq!(height as u64, expected["height"].as_u64().expect("a height"), "{case}");
        let allowed = case["tolerance"]["channel_mean"].as_f64().expect("a tolerance");
        for (channel, mean) in means.iter().enumerate() {
            let should = expected["channel_mean"][channel].as_f64().expect("a mean");
            assert!((mean - should).abs() <= allowed, "{name}, channel {channel}: {mean} for {should}");
        }
        let allowed = case["tolerance"]["per_sample_any_upsampling"].as_u64().expect("a tolerance");
        for point in expected["sample_pixels_x_y_value"].as_array().expect("points") {
            let at = |place: usize| usize::try_from(point[place].as_u64().expect("a place")).expect("small");
            for channel in 0..channels {
                let sample = u64::from(samples[(at(1) * width + at(0)) * channels + channel]);
                let should = if channels == 1 { &point[2] } else { &point[2][channel] };
                let should = should.as_u64().expect("a sample");
                assert!(sample.abs_diff(should) <= allowed, "{name}, {point}: {sample}");
            }
        }
        decoded.push(name);
    }
    assert!(decoded.len() >= 8, "decoded only {decoded:?}");
}

/// The cases ask for an error or a warning; here each is refused, in words. One of them, a picture whose end marker
/// alone is missing, could be decoded: it is refused because it cannot be told from one that was cut off.
#[test]
fn damaged_files() {
    let cases = committed("pictures.json", "jpeg_robustness");
    assert_eq!(cases.len(), 6);
    for case in cases {
        let bytes = file(&case);
        let why = photo::read(&bytes).expect_err(text(&case, "id"));
        let expected = match text(&case, "id") {
            "ijx_trunc_half" | "ijx_no_eoi" => "cut short",
            "ijx_bomb_65500" => "65500",
            "ijx_empty" => "0 bytes",
            "ijx_zero_height" | "ijx_not_jpeg" => "not a readable picture",
            other => panic!("{other}"),
        };
        assert!(why.contains(expected), "{why}: {case}");
    }
}
