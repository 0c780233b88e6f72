//! The night before a layer that must stay dry may get wet: what is asked, and what follows from the answers. Pure. Common practice of
//! the trade, no source.

use super::Night;
use crate::care::aftercare::time_text;
use crate::care::words::Sleeps;
use crate::record::words::{Locale, Party};
use crate::vehicle;

/// Asked before a layer that must stay dry. Common practice, no source.
pub const QUESTIONS: [&str; 3] =
    ["Where does the car sleep tonight?", "Is rain due?", "Who has the keys, and may move it?"];

impl Night {
    /// What is still to be asked.
    pub(super) fn asks(&self) -> Vec<String> {
        let open = [self.sleeps.is_none(), self.rain.is_none(), self.keys.is_none()];
        let asked = QUESTIONS.iter().zip(open).filter(|(_, open)| *open);
        asked.map(|(question, _)| (*question).to_owned()).collect()
    }

    /// What follows for a layer that must stay dry for so long, seconds.
    pub(super) fn follows(&self, dry_s: u32) -> Vec<String> {
        let dry = time_text(dry_s);
        let garage = self.sleeps == Some(Sleeps::Garage);
        let mut lines = Vec::new();
        if let Some(rain) = self.rain.as_ref().filter(|rain| rain.due) {
            let from = rain
                .from
                .as_ref()
                .map_or(", from when is not known".to_owned(), |from| format!(" from {from}"));
            let too_early = rain.in_s.is_none_or(|in_s| in_s < i64::from(dry_s));
            lines.push(match (garage, too_early) {
                (true, _) => format!("Rain is due{from}: it must stand in the garage by then, for {dry} after the layer."),
                (false, true) => format!(
                    "Rain is due{from}, and it must be kept dry for {dry}: finished now, it gets wet too early. A roof over it, or \
                     another day."
                ),
                (false, false) => format!("Rain is due{from}: finish {dry} before that, or have a roof over it."),
            });
        }
        if self.sleeps == Some(Sleeps::Outside) {
            lines.push(format!(
                "It sleeps outside and must be kept dry for {dry}: dew wets it as well. A roof over it, nothing that touches it."
            ));
        }
        if let Some(keys) = self.keys.filter(|keys| *keys != Party::Detailer) {
            let who = vehicle::text(Locale::EnGb, "party", keys.word()).unwrap_or(keys.word());
            lines.push(format!(
                "The keys are with {who}: it may be moved before it may get wet. When you come back, a fresh look first."
            ));
        }
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::super::Rain;
    use super::*;

    fn rain(due: bool, in_s: Option<i64>) -> Option<Rain> {
        Some(Rain { due, in_s, from: in_s.map(|_| "Tue 18:00".to_owned()) })
    }

    #[test]
    fn what_is_known_is_not_asked_and_has_its_consequence() {
        const DAY_S: u32 = 86_400;
        let none = Night::default();
        assert_eq!((none.asks().len(), none.follows(DAY_S).len()), (3, 0));
        let dry =
            Night { sleeps: Some(Sleeps::Garage), rain: rain(false, None), keys: Some(Party::Detailer) };
        assert_eq!((dry.asks().len(), dry.follows(DAY_S).len()), (0, 0));
        let night =
            |sleeps, rain| Night { sleeps: Some(sleeps), rain, keys: None }.follows(DAY_S).join(" | ");
        let soon = night(Sleeps::Outside, rain(true, Some(3_600)));
        assert!(
            soon.contains("from Tue 18:00, and it must be kept dry for 24 h") && soon.contains("dew"),
            "{soon}"
        );
        let late = night(Sleeps::Outside, rain(true, Some(86_400)));
        assert!(late.contains("finish 24 h before that"), "{late}");
        let unknown = night(Sleeps::Outside, rain(true, None));
        assert!(unknown.contains("from when is not known") && unknown.contains("too early"), "{unknown}");
        let indoors = night(Sleeps::Garage, rain(true, Some(3_600)));
        assert!(indoors.contains("in the garage by then") && !indoors.contains("dew"), "{indoors}");
        let away = Night { keys: Some(Party::Site), ..none };
        assert!(away.follows(60)[0].contains("with the site's office"), "{:?}", away.follows(60));
        assert_eq!(away.asks(), QUESTIONS[..2]);
    }
}
