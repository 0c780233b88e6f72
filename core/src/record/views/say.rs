//! From words and numbers to texts. Pure.

use crate::record::events::short_log;
use crate::record::fold::{DeviceFact, DeviceSaid, Job, Stamp, Text};
use crate::record::times;
use crate::record::views::StampView;
use crate::record::words::{BlobState, Locale, Measured, Stage};
use crate::vehicle;
use uuid::Uuid;

/// How a reader is spoken to.
#[derive(Debug, Clone, Copy)]
pub struct Speech {
    /// Words of which country.
    pub locale: Locale,
}

impl Speech {
    /// A word of a shared list, to read.
    pub fn word(self, list: &str, word: &str) -> String {
        vehicle::text(self.locale, list, word).unwrap_or(word).to_owned()
    }

    /// A panel's name; a name that is not known is shown as it is.
    pub fn panel(self, id: &str) -> String {
        vehicle::panel_text(self.locale, id).unwrap_or(id).to_owned()
    }

    /// When a thing was found: never "on arrival" for what was found after the wash.
    pub fn found(self, stage: Option<Stage>) -> String {
        match stage {
            Some(Stage::AsFound) => "found on arrival",
            Some(Stage::AfterWash) => "found after wash",
            Some(Stage::Handover) => "found at handover",
            Some(Stage::ComeBack) => "found when the vehicle came back",
            None => "found in a walk-around that is not on record here",
        }
        .to_owned()
    }

    /// The stage of a walk-around.
    pub fn stage(self, job: &Job, walk: Uuid) -> String {
        job.walk(walk).map_or_else(|| self.found(None), |walk| self.word("stage", walk.stage.word()))
    }

    /// A size and how it was found.
    pub fn size(
        self,
        length_um: Option<u32>,
        width_um: Option<u32>,
        measured: Option<Measured>,
    ) -> Option<String> {
        let about = if matches!(measured, Some(Measured::ByEye | Measured::Stroke)) { "about " } else { "" };
        let size = match (length_um, width_um) {
            (None, None) => return None,
            (Some(length), None) => length_text(length),
            (None, Some(width)) => format!("{} wide", length_text(width)),
            (Some(length), Some(width)) => format!("{} × {}", length_text(length), length_text(width)),
        };
        let how = measured.map(|how| format!(" ({})", self.word("measured", how.word()))).unwrap_or_default();
        Some(format!("{about}{size}{how}"))
    }

    /// Who and when, with what a reader must know about it.
    pub fn stamp(self, job: &Job, stamp: &Stamp) -> StampView {
        let mut flags: Vec<String> = job
            .closed_before(stamp)
            .map(|closing| {
                format!(
                    "recorded after the visit was ended ({})",
                    times::time_of_day(closing.stamp.at, closing.stamp.off_min)
                )
            })
            .into_iter()
            .collect();
        let unknown = job.unknown_to_a_closing(stamp).map(|closing| {
            format!(
                "recorded on phone {} without being known when phone {} ended the visit ({})",
                short_log(stamp.log()),
                short_log(closing.stamp.log()),
                times::time_of_day(closing.stamp.at, closing.stamp.off_min)
            )
        });
        flags.extend(unknown);
        flags.extend(job.lost_before(stamp).map(|said| lost(said, stamp)));
        StampView {
            at_ms: stamp.at,
            at: times::spoken(stamp.at, stamp.off_min, &stamp.zone),
            rfc3339: times::rfc3339(stamp.at, stamp.off_min),
            day: times::day(stamp.at, stamp.off_min),
            time: times::time_of_day(stamp.at, stamp.off_min),
            zone: times::zone_text(stamp.off_min, &stamp.zone),
            entered_later: stamp
                .observed
                .map(|seen| format!("entered later: seen {}", times::spoken(seen.ms, seen.off_min, ""))),
            phone: short_log(stamp.log()).to_owned(),
            recorder: self.typed(&stamp.recorder),
            flags,
        }
    }

    /// A typed text, or what became of it.
    pub fn typed(self, text: &Text) -> Option<String> {
        match text {
            Text::None => None,
            Text::Here(text) => Some(text.clone()),
            Text::Gone(state) => Some(format!("[a text was recorded; {}]", self.gone(*state))),
        }
    }

    /// What became of bytes that are not here.
    pub fn gone(self, state: BlobState) -> &'static str {
        match state {
            BlobState::Here => "it is here",
            BlobState::Elsewhere => "it is on another device and not here",
            BlobState::Erased => "it was erased; its hash and size stay on record",
            BlobState::Lost => "it is missing here",
        }
    }
}

/// What a reader must know of an entry of a phone that is lost.
fn lost(said: &DeviceSaid, stamp: &Stamp) -> String {
    let (phone, by) = (short_log(stamp.log()), short_log(said.stamp.log()));
    let DeviceFact::Lost { since } = said.fact else { return String::new() };
    let lost = format!(
        "phone {phone} is lost since {}, says phone {by}",
        times::spoken(since.ms, since.off_min, "")
    );
    if stamp.at >= since.ms {
        format!("recorded on phone {phone} after it was lost: {lost}")
    } else {
        format!("came to light only after phone {phone} was said to be lost: {lost}")
    }
}

/// Millimetres with as many digits as mean something: `0.8 mm`, `18 mm`, `1,250 mm`.
pub fn length_text(um: u32) -> String {
    if um < 10_000 && !um.is_multiple_of(1_000) {
        return format!("{}.{} mm", um / 1_000, (um % 1_000) / 100);
    }
    let mm = (u64::from(um) + 500) / 1_000;
    if mm >= 1_000 { format!("{},{:03} mm", mm / 1_000, mm % 1_000) } else { format!("{mm} mm") }
}

/// Micrometres from millimetres as a person types them, `18` or `0,8` or `0.8`: 1 to 30,000,000, at most three places.
pub fn length_typed(text: &str) -> Option<u32> {
    let text = text.trim();
    let (whole, part) = text.split_once([',', '.']).unwrap_or((text, ""));
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if whole.is_empty() || whole.len() > 5 || part.len() > 3 || !digits(whole) || !digits(part) {
        return None;
    }
    let um: u32 = format!("{whole}{part:0<3}").parse().ok()?;
    (1..=30_000_000).contains(&um).then_some(um)
}

/// `253,559`
pub fn thousands(number: u64) -> String {
    let digits = number.to_string();
    let mut out = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths() {
        let texts: Vec<String> = [300, 800, 2_000, 2_500, 18_000, 18_400, 1_250_000].map(length_text).into();
        assert_eq!(texts, ["0.3 mm", "0.8 mm", "2 mm", "2.5 mm", "18 mm", "18 mm", "1,250 mm"]);
    }

    #[test]
    fn lengths_as_they_are_typed() {
        for (text, um) in
            [("18", 18_000), (" 0,8 ", 800), ("0.8", 800), ("1.250", 1_250), ("30000", 30_000_000)]
        {
            assert_eq!(length_typed(text), Some(um), "{text}");
        }
        for text in ["", "0", "-1", "1.2345", "30001", "1e3", "12 mm", ",5", "٣", "1.2.3"] {
            assert_eq!(length_typed(text), None, "{text}");
        }
    }
}
