//! Machine polishing: how far one may go, and when. Pure. Rules are common practice of the trade, no source, unless one
//! stands beside them; the statistics of readings are those of `record/thickness`.
//!
//! Least aggressive first, on a test square, with machine, pad, polish, passes, the lowest reading, a pair of photos and
//! the owner's yes on record before the whole panel. The lowest reading decides, never the mean; a single pair of readings
//! proves nothing.

use super::surface::{Refusal, refusal};
use super::words::{Area, Step, SurfaceKind};
use crate::error::Error;
use crate::record::thickness::{self, Removal};
use crate::record::words::{NoReading, OwnerAnswer};
use serde::{Deserialize, Serialize};

/// The floor where a shop has not set its own, µm. "Many use 80 or 90" (common practice, no source); the cautious end.
pub const FLOOR_UM: u32 = 90;
/// What may come off over a paint's whole life, µm: 8 to 10, unless clear was measured by itself (common practice, no
/// source); the cautious end.
pub const LIFETIME_UM: u32 = 8;
/// Neighbouring readings that differ by more stand on the edge of a repair, µm (common practice, no source).
pub const JUMP_UM: u32 = 100;
/// A panel that gets hotter under the pad is left to cool, milli-°C: 50 to 60 (common practice, no source); the cautious end.
pub const HOT_PANEL_MC: i32 = 50_000;

/// One panel that is to be corrected.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Correction {
    /// What it is.
    pub surface: SurfaceKind,
    /// Readings before, µm.
    #[serde(default)]
    pub readings_um: Vec<u32>,
    /// Why there are none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub no_reading: Option<NoReading>,
    /// The shop's floor, µm.
    #[serde(default = "usual_floor")]
    pub floor_um: u32,
    /// Test squares, earliest first.
    #[serde(default)]
    pub squares: Vec<Square>,
    /// What is known of its paint from before.
    #[serde(default, skip_serializing_if = "PaintLife::is_empty")]
    pub life: PaintLife,
}

/// What is known of a panel's paint from before, as far as that is here.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PaintLife {
    /// Lowest reading of earlier jobs, µm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lowest_um: Option<u32>,
    /// When it was read, and how that job is known to be of this vehicle, to read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lowest_at: Option<String>,
    /// Why what may come off over the paint's life may be used up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub used_up: Option<String>,
}

impl PaintLife {
    /// True when nothing is known.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

fn usual_floor() -> u32 {
    FLOOR_UM
}

/// A test square. What is left out is wanting.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Square {
    /// `polish` or `compound`.
    pub step: Step,
    /// Which machine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub machine: Option<String>,
    /// Which pad.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pad: Option<String>,
    /// Which polish: the name of its sheet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub polish: Option<String>,
    /// How many passes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub passes: Option<u32>,
    /// The lowest reading on the square afterwards, µm; where the gauge gives none on this panel, none is wanted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lowest_um: Option<u32>,
    /// A photo before and one after, from the same place in the same light.
    #[serde(default)]
    pub photo_pair: bool,
    /// Whether it is good enough, looked at after a panel wipe.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub enough: Option<bool>,
    /// What the owner said to it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub owner: Option<OwnerAnswer>,
}

/// What comes next.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NextPolish {
    /// The step; none when the panel is as good as it may get.
    pub step: Option<Step>,
    /// Where.
    pub on: Area,
    /// Why.
    pub reason: String,
    /// What must be so before it.
    pub first: Vec<String>,
    /// What has to be set aside with a reason and consent before it.
    pub refused: Vec<Refusal>,
    /// What the readings say and do not say.
    pub notes: Vec<String>,
}

/// What is wanting of a square before the whole panel may follow.
pub fn wanting(square: &Square, gauge_reads: bool) -> Vec<String> {
    let stated = |text: &Option<String>| text.as_ref().is_some_and(|text| !text.trim().is_empty());
    let rows = [
        (stated(&square.machine), "say which machine"),
        (stated(&square.pad), "say which pad"),
        (stated(&square.polish), "say which polish"),
        (square.passes.is_some_and(|passes| passes > 0), "say how many passes"),
        (square.lowest_um.is_some() || !gauge_reads, "measure the square again and take the lowest reading"),
        (square.photo_pair, "take the pair of photos, before and after"),
        (square.enough.is_some(), "wipe the oils off and say whether it is good enough"),
        (square.owner == Some(OwnerAnswer::Agreed), "have the owner's yes"),
    ];
    rows.into_iter().filter(|(there, _)| !there).map(|(_, what)| what.to_owned()).collect()
}

/// The least aggressive next step of a panel that is to be corrected.
pub fn next(panel: &Correction) -> Result<NextPolish, Error> {
    panel.check("")?;
    let gauge_reads = panel.no_reading.is_none();
    let (step, on, reason, mut first) = decide(panel, gauge_reads);
    let mut refused = Vec::new();
    let mut notes = Vec::new();
    if let Some(step) = step {
        refused.extend(refusal(panel.surface, step));
        refused.extend(panel.speaks_against(step));
        match panel.no_reading {
            None if panel.readings_um.len() < thickness::FEWEST_FOR_REMOVAL => first.insert(
                0,
                format!(
                    "measure {} places or more: the lowest reading decides",
                    thickness::FEWEST_FOR_REMOVAL
                ),
            ),
            None => {}
            Some(_) => notes.push(
                "No reading here: nothing says how much paint there is. Stay with the mildest step."
                    .to_owned(),
            ),
        }
    }
    if let Some(summary) = thickness::Summary::of(&panel.readings_um) {
        notes.push(format!("{}; all layers, never clear alone.", thickness::summary_text(&summary)));
    }
    if let (Some(lowest_um), Some(at)) = (panel.life.lowest_um, &panel.life.lowest_at) {
        notes.push(format!("Lowest reading of earlier jobs: {lowest_um} µm, {at}."));
    }
    Ok(NextPolish { step, on, reason, first, refused, notes })
}

impl Correction {
    /// What speaks against taking off more: thin paint, and that enough came off over its life.
    pub fn speaks_against(&self, step: Step) -> Vec<Refusal> {
        let because = |reason: String| Refusal { surface: self.surface, step, reason, may_override: true };
        self.too_thin().into_iter().chain(self.life.used_up.clone()).map(because).collect()
    }

    /// That the paint is thin, if it is: the lowest of all readings decides, those of the squares and of earlier jobs among them.
    fn too_thin(&self) -> Option<String> {
        let squares = self.squares.iter().filter_map(|square| square.lowest_um);
        let own = self.readings_um.iter().copied().chain(squares).min();
        let lowest_um = own.into_iter().chain(self.life.lowest_um).min()?;
        let at = self.life.lowest_at.as_ref().filter(|_| own.is_none_or(|own| lowest_um < own));
        let at = at.map(|at| format!(" on {at}")).unwrap_or_default();
        (lowest_um < self.floor_um).then(|| {
            format!("the lowest reading, {lowest_um} µm{at}, is under the floor of {} µm", self.floor_um)
        })
    }

    /// Checks readings, floor and squares; `at` stands before the fields' names, for example `surfaces[2].`.
    pub fn check(&self, at: &str) -> Result<(), Error> {
        let reads = |field: String, um: u32| {
            thickness::checked(um).map_err(|why| Error::refused(format!("{at}{field}"), why))
        };
        for (number, reading_um) in self.readings_um.iter().enumerate() {
            reads(format!("readings_um[{number}]"), *reading_um)?;
        }
        if self.no_reading.is_some() && !self.readings_um.is_empty() {
            return Err(Error::refused(format!("{at}no_reading"), "there are readings beside it"));
        }
        reads("floor_um".to_owned(), self.floor_um)?;
        if let Some(lowest_um) = self.life.lowest_um {
            reads("life.lowest_um".to_owned(), lowest_um)?;
        }
        for (number, square) in self.squares.iter().enumerate() {
            if !square.step.is_machine() {
                let reason = format!("{} is neither polish nor compound", square.step.text());
                return Err(Error::refused(format!("{at}squares[{number}].step"), reason));
            }
            if let Some(lowest_um) = square.lowest_um {
                reads(format!("squares[{number}].lowest_um"), lowest_um)?;
            }
        }
        Ok(())
    }
}

fn decide(panel: &Correction, gauge_reads: bool) -> (Option<Step>, Area, String, Vec<String>) {
    let Some(square) = panel.squares.last() else {
        let reason = "The mildest polish first, on a test square.".to_owned();
        return (Some(Step::Polish), Area::TestSquare, reason, Vec::new());
    };
    match square.enough {
        // A square that is not good enough needs no yes: another is made.
        Some(false) if square.step == Step::Polish => (
            Some(Step::Compound),
            Area::TestSquare,
            "Polish alone was not enough: compound on a new square, then polish it.".to_owned(),
            Vec::new(),
        ),
        Some(false) => (
            None,
            Area::Panel,
            "What compound leaves is deeper than may be taken off: improved, not perfect. Say so to the owner."
                .to_owned(),
            Vec::new(),
        ),
        enough => {
            let first = wanting(square, gauge_reads);
            let is_done = enough == Some(true) && first.is_empty();
            let (on, reason) = if is_done {
                (Area::Panel, "The test square is good enough and agreed: the same on the panel.")
            } else {
                (Area::TestSquare, "The test square is not complete yet.")
            };
            (Some(square.step), on, reason.to_owned(), first)
        }
    }
}

/// What came off since the first readings on record, against what may come off over a paint's life.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lifetime {
    /// What the readings say.
    pub removal: Removal,
    /// Whether more may have come off than the budget: set as soon as the uncertainty reaches over it.
    pub may_be_over: bool,
    /// Set when the readings show a difference that may be more than the budget: said before more comes off.
    pub used_up: Option<String>,
    /// In words.
    pub text: String,
}

/// Compares the first and the latest readings of one panel, by a gauge that is right to ±`accuracy_um`.
pub fn lifetime(first_um: &[u32], latest_um: &[u32], accuracy_um: u32, budget_um: u32) -> Lifetime {
    let removal = thickness::removal(first_um, latest_um, accuracy_um);
    let budget = i64::from(budget_um) * 10;
    let may_be_over = match removal {
        Removal::NotEnough | Removal::Rose { .. } => false,
        Removal::Within { tenths, limit_tenths }
        | Removal::NearLimit { tenths, limit_tenths }
        | Removal::Clear { tenths, limit_tenths } => tenths.saturating_add(limit_tenths) > budget,
    };
    let over = if may_be_over {
        format!(" That may be more than the {budget_um} µm that may come off over the paint's life.")
    } else {
        String::new()
    };
    let text = format!(
        "{}.{over} What came off before the first readings is not known.",
        thickness::removal_text(removal)
    );
    Lifetime { removal, may_be_over, used_up: None, text }
}

/// What is watched while the machine runs.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Watch {
    /// Readings in the order in which they lie beside each other, µm.
    #[serde(default)]
    pub neighbours_um: Vec<u32>,
    /// Temperature of the panel, milli-°C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel_mc: Option<i32>,
    /// The car's colour is on the pad.
    #[serde(default)]
    pub colour_on_pad: bool,
    /// It smells of heat.
    #[serde(default)]
    pub smell: bool,
}

/// Reasons to stop; none: go on.
pub fn stop_signs(surface: SurfaceKind, watch: &Watch) -> Vec<String> {
    let mut signs = Vec::new();
    for pair in watch.neighbours_um.windows(2).filter(|pair| pair[0].abs_diff(pair[1]) > JUMP_UM) {
        signs.push(format!(
            "{} µm beside {} µm: the edge of a repair may lie there. Keep off it.",
            pair[0], pair[1]
        ));
    }
    if let Some(panel_mc) = watch.panel_mc.filter(|panel_mc| *panel_mc > HOT_PANEL_MC) {
        signs.push(format!("The panel is at {} °C: let it cool.", panel_mc / 1_000));
    }
    if watch.smell {
        signs.push("It smells of heat: stop, look at pad and panel.".to_owned());
    }
    // Single-stage paint has no clear: its colour on the pad is how one tells it.
    if watch.colour_on_pad && surface != SurfaceKind::PaintSingleStage {
        signs.push("Colour on the pad: single-stage paint, or through the clear. Stop and look.".to_owned());
    }
    signs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn roof() -> Correction {
        Correction {
            surface: SurfaceKind::PaintSolid,
            readings_um: vec![112, 108, 115, 97, 110],
            no_reading: None,
            floor_um: FLOOR_UM,
            squares: Vec::new(),
            life: PaintLife::default(),
        }
    }

    fn complete(step: Step) -> Square {
        Square {
            step,
            machine: Some("orbital".to_owned()),
            pad: Some("soft".to_owned()),
            polish: Some("Finishing polish".to_owned()),
            passes: Some(3),
            lowest_um: Some(96),
            photo_pair: true,
            enough: Some(true),
            owner: Some(OwnerAnswer::Agreed),
        }
    }

    #[test]
    fn the_mildest_goes_first_and_the_panel_waits_for_the_square() {
        let mut panel = roof();
        let start = next(&panel).unwrap();
        assert_eq!((start.step, start.on), (Some(Step::Polish), Area::TestSquare));
        assert!(start.first.is_empty() && start.refused.is_empty());
        assert_eq!(
            start.notes,
            ["lowest 97 µm, mean 108.4 µm of 5 readings; all layers, never clear alone."]
        );
        panel.squares.push(complete(Step::Polish));
        let go = next(&panel).unwrap();
        assert_eq!((go.step, go.on), (Some(Step::Polish), Area::Panel));
        assert!(go.first.is_empty());
        panel.squares[0].enough = Some(false);
        let harder = next(&panel).unwrap();
        assert_eq!((harder.step, harder.on), (Some(Step::Compound), Area::TestSquare));
        panel.squares.push(Square { enough: Some(false), ..complete(Step::Compound) });
        let end = next(&panel).unwrap();
        assert!(end.step.is_none() && end.reason.contains("not perfect"), "{}", end.reason);
    }

    #[test]
    fn each_thing_that_is_wanting_keeps_the_panel_back() {
        let whole = complete(Step::Polish);
        for (square, said) in [
            (Square { machine: None, ..whole.clone() }, "machine"),
            (Square { machine: Some(" ".to_owned()), ..whole.clone() }, "machine"),
            (Square { pad: None, ..whole.clone() }, "pad"),
            (Square { polish: None, ..whole.clone() }, "which polish"),
            (Square { passes: None, ..whole.clone() }, "passes"),
            (Square { passes: Some(0), ..whole.clone() }, "passes"),
            (Square { lowest_um: None, ..whole.clone() }, "lowest reading"),
            (Square { photo_pair: false, ..whole.clone() }, "pair of photos"),
            (Square { enough: None, ..whole.clone() }, "good enough"),
            (Square { owner: None, ..whole.clone() }, "owner's yes"),
            (Square { owner: Some(OwnerAnswer::SentNoReply), ..whole.clone() }, "owner's yes"),
            (Square { owner: Some(OwnerAnswer::Absent), ..whole.clone() }, "owner's yes"),
        ] {
            let next = next(&Correction { squares: vec![square], ..roof() }).unwrap();
            assert_eq!(next.on, Area::TestSquare, "{said}");
            assert!(next.first.len() == 1 && next.first[0].contains(said), "{said}: {:?}", next.first);
        }
        let plastic = Correction {
            readings_um: Vec::new(),
            no_reading: Some(NoReading::NonMetal),
            squares: vec![Square { lowest_um: None, ..whole }],
            ..roof()
        };
        let plastic = next(&plastic).unwrap();
        assert_eq!(plastic.on, Area::Panel, "no reading is wanted where the gauge gives none");
        assert!(plastic.notes[0].contains("nothing says how much"), "{:?}", plastic.notes);
    }

    /// A shop floor of 90 µm and a roof edge reading 82.
    #[test]
    fn the_lowest_reading_decides_and_not_the_mean() {
        let panel = Correction { readings_um: vec![140, 138, 82, 141, 139], ..roof() };
        let thin = panel.speaks_against(Step::Compound).remove(0);
        assert!(thin.may_override && thin.reason.contains("82 µm") && thin.reason.contains("90 µm"));
        let said = crate::care::surface::may_go_on(&thin, None).unwrap_err().to_string();
        assert!(said.contains("needs a reason"), "{said}");
        let enough = Correction { readings_um: vec![90, 200], ..roof() };
        assert!(enough.speaks_against(Step::Compound).is_empty());
        // An earlier job's is told with its day, and only while nothing lower was read since.
        let life = PaintLife { lowest_um: Some(82), lowest_at: Some("Mon".to_owned()), used_up: None };
        let before = Correction { life: life.clone(), ..enough };
        assert!(before.speaks_against(Step::Polish)[0].reason.contains("82 µm on Mon"));
        let now = Correction { readings_um: vec![82], life, ..roof() };
        assert!(!now.speaks_against(Step::Polish)[0].reason.contains("Mon"));
        assert_eq!(next(&panel).unwrap().refused, [Refusal { step: Step::Polish, ..thin }]);
        // What the square measures counts as well.
        let lower = Square { lowest_um: Some(89), ..complete(Step::Polish) };
        assert_eq!(next(&Correction { squares: vec![lower], ..roof() }).unwrap().refused.len(), 1);
    }

    #[test]
    fn too_few_readings_are_asked_for_before_anything_is_polished() {
        let few = Correction { readings_um: vec![120; 4], ..roof() };
        assert!(next(&few).unwrap().first[0].contains("measure 5 places"));
        assert!(next(&Correction { readings_um: vec![120; 5], ..roof() }).unwrap().first.is_empty());
    }

    #[test]
    fn a_surface_that_refuses_machines_says_so() {
        let matt = next(&Correction { surface: SurfaceKind::PaintMatt, ..roof() }).unwrap();
        assert_eq!(matt.refused.len(), 1);
        assert_eq!(matt.refused[0].surface, SurfaceKind::PaintMatt);
    }

    /// Before 104, 101, 99, 106, 103 and after 101, 99, 98, 102, 100 with a gauge right to ±2 µm.
    #[test]
    fn over_a_life_less_is_said_than_the_gauge_can_show() {
        let (first, latest) = ([104, 101, 99, 106, 103], [101, 99, 98, 102, 100]);
        let said = lifetime(&first, &latest, 2, LIFETIME_UM);
        assert!(matches!(said.removal, Removal::NearLimit { tenths: 26, .. }), "{said:?}");
        assert!(said.text.starts_with("about 2.6 µm, near the limit of the gauge"), "{}", said.text);
        assert!(said.text.contains("before the first readings is not known"));
        assert!(!said.may_be_over);
        let pair = lifetime(&first[..1], &latest[..1], 2, LIFETIME_UM);
        assert_eq!((pair.removal, pair.may_be_over), (Removal::NotEnough, false));
        // 6.6 µm and its uncertainty reach over 8.
        let more = lifetime(&first, &latest.map(|um| um - 4), 2, LIFETIME_UM);
        assert!(more.may_be_over && more.text.contains("8 µm"), "{}", more.text);
        // All the same, so that the limit is the gauge's own: 2 · √(2·4/3) µm, 3.3 rounded up; 4.7 and that is 8.0.
        let even = lifetime(&[1_000; 10], &[995; 10], 2, LIFETIME_UM);
        assert!(matches!(even.removal, Removal::Clear { tenths: 50, limit_tenths: 33 }), "{even:?}");
        assert!(even.may_be_over && !lifetime(&[1_000; 10], &[996; 10], 2, LIFETIME_UM).may_be_over);
        assert!(!lifetime(&latest, &first.map(|um| um + 40), 2, LIFETIME_UM).may_be_over);
    }

    #[test]
    fn signs_to_stop() {
        let signs = |watch: Watch| stop_signs(SurfaceKind::PaintMetallic, &watch).len();
        assert_eq!(signs(Watch::default()), 0);
        assert_eq!(signs(Watch { neighbours_um: vec![110, 210, 110], ..Watch::default() }), 0);
        assert_eq!(signs(Watch { neighbours_um: vec![110, 211, 111], ..Watch::default() }), 1);
        assert_eq!(signs(Watch { panel_mc: Some(50_000), ..Watch::default() }), 0);
        assert_eq!(signs(Watch { panel_mc: Some(50_001), ..Watch::default() }), 1);
        assert_eq!(signs(Watch { smell: true, ..Watch::default() }), 1);
        let colour = Watch { colour_on_pad: true, ..Watch::default() };
        assert_eq!(signs(colour.clone()), 1);
        assert!(stop_signs(SurfaceKind::PaintSingleStage, &colour).is_empty());
    }

    #[test]
    fn what_cannot_be_is_refused_by_its_field() {
        let field = |panel: Correction| match next(&panel) {
            Err(Error::Refused { field, .. }) => field,
            other => format!("{other:?}"),
        };
        assert_eq!(field(Correction { readings_um: vec![100, 0], ..roof() }), "readings_um[1]");
        assert_eq!(field(Correction { no_reading: Some(NoReading::Wet), ..roof() }), "no_reading");
        assert_eq!(field(Correction { floor_um: 0, ..roof() }), "floor_um");
        assert_eq!(field(Correction { squares: vec![complete(Step::Wax)], ..roof() }), "squares[0].step");
        let absurd = Square { lowest_um: Some(0), ..complete(Step::Polish) };
        assert_eq!(field(Correction { squares: vec![absurd], ..roof() }), "squares[0].lowest_um");
    }
}
