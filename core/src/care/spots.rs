//! A missed spot that was found: what its age allows. Pure.
//!
//! What was put on is fresh, setting or set, by the windows of the product's sheet; where the sheet says nothing, by
//! common practice (no source). A spot is not done when it was worked on but when it was seen clear again, under the
//! light that showed it and under another kind.

use super::surface::{Refusal, refusal};
use super::words::{SpotAge, SpotKind, Step, SurfaceKind};
use crate::error::Error;
use crate::record::words::Light;
use serde::{Deserialize, Serialize};

/// A found spot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spot {
    /// What was found.
    pub spot: SpotKind,
    /// On what.
    pub surface: SurfaceKind,
    /// The step that left it.
    pub step: Step,
    /// From the end of that step to now, ms; 0 or more.
    pub age_ms: i64,
    /// The light that showed it.
    pub shown_by: Light,
    /// Windows of the product's sheet, as far as it states them.
    #[serde(default)]
    pub windows: SpotWindows,
}

/// Until when what was put on can still be worked, seconds from the end of the step; what is left out is common practice.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SpotWindows {
    /// Until it has flashed: still wet enough to be wiped level.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flash_s: Option<u32>,
    /// Until it has set: another pass still joins it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recoat_s: Option<u32>,
    /// Until it is cured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cure_s: Option<u32>,
}

/// Steps that leave spots: what is worked in or left on. A wash leaves drops and films, not spots of these kinds. Common
/// practice, no source.
pub const LEAVE_SPOTS: &[Step] = &[
    Step::Compound,
    Step::Polish,
    Step::PanelWipe,
    Step::FirstLayer,
    Step::Ceramic,
    Step::Sealant,
    Step::Wax,
    Step::GlassCoating,
    Step::TrimCoating,
    Step::WheelProtectant,
    Step::TyreDressing,
    Step::LeatherCare,
    Step::FabricGuard,
];

/// What a spot's age allows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Remedy {
    /// Fresh, later or cured.
    pub age: SpotAge,
    /// The windows that were used.
    pub flash_s: u32,
    /// See `flash_s`.
    pub recoat_s: u32,
    /// See `flash_s`.
    pub cure_s: u32,
    /// Where the windows are from: "the sheet", "common practice, no source", or both.
    pub source: String,
    /// What is done, in order.
    pub steps: Vec<String>,
    /// Set where the surface does not take what the age would ask for.
    pub refused: Option<Refusal>,
    /// What must be known beside it.
    pub notes: Vec<String>,
}

/// What the left product does as it sets, and so which way it comes off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Family {
    Coating,
    Soft,
    TrimStain,
    Glass,
    Sling,
    Cloth,
    Leather,
    Polish,
    Other,
}

impl Family {
    fn of(spot: &Spot) -> Self {
        use Step::*;
        match (spot.step, spot.surface) {
            (Sealant | Wax | Compound | Polish | PanelWipe, SurfaceKind::TrimTextured) => Self::TrimStain,
            (FabricGuard, _) => Self::Cloth,
            (_, surface) if surface.is_cloth() => Self::Cloth,
            (GlassCoating, _) => Self::Glass,
            (FirstLayer | Ceramic, SurfaceKind::Glass) => Self::Glass,
            (FirstLayer | Ceramic | TrimCoating | WheelProtectant, _) => Self::Coating,
            (Sealant | Wax, _) => Self::Soft,
            (TyreDressing, _) => Self::Sling,
            (LeatherCare, _) => Self::Leather,
            (Compound | Polish, _) => Self::Polish,
            _ => Self::Other,
        }
    }

    /// Flash, recoat and cure, seconds. Common practice, no source; where the trade gives a range, the end at which less
    /// goes wrong.
    fn windows(self) -> (u32, u32, u32) {
        match self {
            Self::Coating => (180, 3_600, 86_400),
            Self::Soft => (1_800, 14_400, 86_400),
            Self::TrimStain => (60, 3_600, 86_400),
            Self::Glass => (600, 3_600, 86_400),
            Self::Sling => (900, 3_600, 86_400),
            Self::Cloth => (1_800, 14_400, 172_800),
            Self::Leather => (300, 3_600, 86_400),
            Self::Polish | Self::Other => (300, 3_600, 86_400),
        }
    }
}

/// Said before anything rubs on residue that is no longer fresh. Common practice, no source.
const SOFTEN: &str =
    "Wet it with lubricant and let it soften for 10 to 15 s; never rub hardened residue off dry.";

/// What is done with a spot. Refused: an age below 0, windows that contradict each other.
pub fn remedy(spot: &Spot) -> Result<Remedy, Error> {
    let age_ms = u64::try_from(spot.age_ms)
        .map_err(|_| Error::refused("age_ms", "the step that left it lies in the future: check the clock"))?;
    let family = Family::of(spot);
    let usual = family.windows();
    let given = spot.windows;
    for (field, early, late) in [
        ("windows.recoat_s", given.flash_s, given.recoat_s),
        ("windows.cure_s", given.recoat_s, given.cure_s),
        ("windows.cure_s", given.flash_s, given.cure_s),
    ] {
        if let (Some(early), Some(late)) = (early, late)
            && late < early
        {
            return Err(Error::refused(
                field,
                format!("{late} s ends before the window before it, {early} s"),
            ));
        }
    }
    // A window of the sheet moves the usual ones beside it rather than being contradicted by them.
    let flash_s = given
        .flash_s
        .unwrap_or(usual.0.min(given.recoat_s.unwrap_or(u32::MAX)).min(given.cure_s.unwrap_or(u32::MAX)));
    let recoat_s = given.recoat_s.unwrap_or(usual.1.max(flash_s).min(given.cure_s.unwrap_or(u32::MAX)));
    let cure_s = given.cure_s.unwrap_or(usual.2.max(recoat_s));
    let within = |window_s: u32| age_ms <= u64::from(window_s) * 1_000;
    let age = match () {
        () if within(flash_s) => SpotAge::Fresh,
        () if within(recoat_s) => SpotAge::Later,
        () => SpotAge::Cured,
    };

    let mut steps = Vec::new();
    let hardened =
        age != SpotAge::Fresh && !matches!(family, Family::Cloth | Family::TrimStain | Family::Other);
    if spot.spot == SpotKind::Residue && hardened {
        steps.push(SOFTEN.to_owned());
    }
    let path = path(family, spot, age);
    let needs_polish = path.iter().any(|line| line.contains("polish"));
    let refused = if needs_polish { refusal(spot.surface, Step::Polish) } else { None };
    match &refused {
        Some(why) => steps.push(format!(
            "No polishing here: {}. Lay a damp cloth on a corner of it first and see what lifts by itself; if nothing \
             does, show it to the owner before anything else.",
            why.reason
        )),
        None => steps.extend(path.iter().map(|line| (*line).to_owned())),
    }

    let mut notes = Vec::new();
    if age == SpotAge::Cured && within(cure_s) && family != Family::Cloth {
        notes.push(
            "It has set but is not cured yet: work lightly, and count the cure of what is put on anew."
                .to_owned(),
        );
    }
    notes.push(format!(
        "Open until seen clear again under {} and under one other kind of light.",
        light_text(spot.shown_by)
    ));
    let stated = [given.flash_s, given.recoat_s, given.cure_s].iter().flatten().count();
    let source = match stated {
        0 => "common practice, no source",
        3 => "the sheet",
        _ => "the sheet; what it does not state: common practice, no source",
    };
    Ok(Remedy { age, flash_s, recoat_s, cure_s, source: source.to_owned(), steps, refused, notes })
}

fn light_text(light: Light) -> &'static str {
    match light {
        Light::Sun => "the sun",
        Light::Point => "a point of light",
        Light::Line => "a line of light",
        Light::Soft => "soft shade",
        Light::Raking => "raking light",
        Light::Dark => "the light that showed it",
    }
}

/// The steps by age, in order. Common practice, no source.
fn path(family: Family, spot: &Spot, age: SpotAge) -> &'static [&'static str] {
    use SpotAge::*;
    use SpotKind::*;
    match (family, spot.spot, age) {
        (Family::Coating, ThinPlace | MissedPlace, Fresh | Later) => {
            &["Apply the same layer thinly on that place, blend its edge, level with a clean cloth."]
        }
        (Family::Coating, ThinPlace | MissedPlace, Cured) => {
            &["Panel-wipe that place.", "Apply thinly again, blended into what is there, and level."]
        }
        (Family::Coating, _, Fresh) => &[
            "Re-wet it with a drop of the same layer, wait a few seconds, level.",
            "Finish with a second cloth.",
        ],
        (Family::Coating, _, Later) => &[
            "Panel wipe on the cloth, or re-wet with a drop of the same layer, and level.",
            "Finish with a second cloth; look whether the layer there is now thin.",
        ],
        (Family::Coating, _, Cured) => &[
            "It no longer wipes off: spot polish it, by hand and with the mildest polish first.",
            "Panel-wipe the place.",
            "Re-coat it thinly, blended into what is there.",
        ],
        (Family::Soft | Family::Glass | Family::Leather, ThinPlace | MissedPlace, Fresh | Later) => {
            &["Apply again thinly on that place and buff as its sheet says."]
        }
        (Family::Soft | Family::Glass | Family::Leather, ThinPlace | MissedPlace, Cured) => {
            &["Clean that place.", "Apply again thinly and buff as its sheet says."]
        }
        (Family::Soft, _, Fresh) => &["Buff with a second, dry cloth."],
        (Family::Soft, _, Later) => &["Wipe with a damp cloth or a quick wipe, then buff dry."],
        (Family::Soft, _, Cured) => &["Apply the same product thinly to re-wet it, wipe off, buff."],
        (Family::TrimStain, _, Fresh) => &["Wipe it out of the grain at once."],
        (Family::TrimStain, _, Later) => &["Trim cleaner and a soft brush, along the grain."],
        (Family::TrimStain, _, Cured) => &[
            "A solvent that its sheet allows on this plastic, tried on a hidden place first; else trim dye.",
        ],
        (Family::Glass, _, Fresh) => &["Wipe it at once with a dry cloth."],
        (Family::Glass, _, Later) => &["Re-wet it with the same product and wipe."],
        (Family::Glass, _, Cured) => &["Glass polish on that place.", "Clean, and coat it again."],
        (Family::Sling, MissedPlace | ThinPlace, _) => {
            &["Massage a little in where it is dull; wipe off what lies on top."]
        }
        (Family::Sling, _, Fresh) => &["Wipe it off before the car is driven."],
        (Family::Sling, _, Later | Cured) => &[
            "Take it off with tar remover or degreaser on a cloth, where the surface allows it.",
            "Protect that place again.",
        ],
        (Family::Cloth, _, Fresh) => &["Even out the damp area to the nearest seam, then dry."],
        (Family::Cloth, _, Later) => &["Rinse and extract the whole panel, seam to seam, then dry."],
        (Family::Cloth, _, Cured) => &[
            "Clean the whole panel again.",
            "Look again after 24 to 48 h: what sits deep comes up while it dries.",
        ],
        (Family::Leather, _, Fresh) => &["Buff with a dry cloth."],
        (Family::Leather, _, Later) => &["Wipe with a barely damp cloth, then buff."],
        (Family::Leather, _, Cured) => {
            &["Leather cleaner on a cloth, a hidden place first; then apply thinly and buff."]
        }
        (Family::Polish, ThinPlace | MissedPlace, _) => {
            &["Polish that place as the test square was polished."]
        }
        (Family::Polish, _, Fresh) => &["Wipe with a clean, soft cloth."],
        (Family::Polish, _, Later | Cured) => {
            &["Wipe it off with panel wipe and a clean cloth; a soft brush in gaps."]
        }
        (Family::Other, ThinPlace | MissedPlace, _) => &["Do that place again, as its sheet says."],
        (Family::Other, _, Fresh) => &["Wipe it off with a clean, damp cloth."],
        (Family::Other, _, Later | Cured) => {
            &["Wet it, let it soften, wipe it off without pressure; wash if it stays."]
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::fold::closes as closed;

    const MINUTE_MS: i64 = 60_000;

    fn spot(spot: SpotKind, surface: SurfaceKind, step: Step, age_ms: i64) -> Spot {
        Spot { spot, surface, step, age_ms, shown_by: Light::Soft, windows: SpotWindows::default() }
    }

    fn said(spot: &Spot) -> (SpotAge, String) {
        let remedy = remedy(spot).unwrap();
        (remedy.age, remedy.steps.join(" "))
    }

    /// A high spot on the left wing, seen in soft shade at 12:05 and levelled at 12:07; the next day it is polished.
    #[test]
    fn a_high_spot_is_levelled_then_wiped_then_polished() {
        let on_paint = |age| spot(SpotKind::HighSpot, SurfaceKind::PaintMetallic, Step::Ceramic, age);
        let (age, steps) = said(&on_paint(2 * MINUTE_MS));
        assert!(
            age == SpotAge::Fresh && steps.contains("Re-wet") && steps.contains("second cloth"),
            "{steps}"
        );
        let (age, steps) = said(&on_paint(40 * MINUTE_MS));
        assert!(age == SpotAge::Later && steps.contains("Panel wipe on the cloth"), "{steps}");
        let (age, steps) = said(&on_paint(24 * 60 * MINUTE_MS));
        assert_eq!(age, SpotAge::Cured);
        assert!(
            steps.contains("spot polish") && steps.contains("Re-coat") && steps.contains("no longer wipes"),
            "{steps}"
        );
        let notes = remedy(&on_paint(2 * MINUTE_MS)).unwrap().notes.join(" ");
        assert!(notes.contains("soft shade and under one other kind"), "{notes}");
    }

    #[test]
    fn a_spot_closes_under_the_light_that_showed_it_and_one_other_kind() {
        use Light::*;
        assert!(!closed(Soft, &[]) && !closed(Soft, &[Soft]) && !closed(Soft, &[Soft, Soft]));
        assert!(!closed(Soft, &[Point, Line]), "the light that showed it is still wanting");
        assert!(!closed(Soft, &[Soft, Dark]), "in the dark nothing was seen");
        assert!(closed(Soft, &[Soft, Point]) && closed(Soft, &[Line, Soft]));
        assert!(!closed(Sun, &[Sun, Point]), "the sun and a lamp's point are one kind");
        assert!(closed(Sun, &[Point, Soft]));
    }

    #[test]
    fn the_sheet_moves_the_windows_and_the_edge_belongs_to_the_earlier_one() {
        let mut one = spot(SpotKind::HighSpot, SurfaceKind::PaintSolid, Step::Ceramic, 180_000);
        assert_eq!(remedy(&one).unwrap().source, "common practice, no source");
        assert_eq!(said(&one).0, SpotAge::Fresh);
        one.age_ms += 1;
        assert_eq!(said(&one).0, SpotAge::Later);
        one.windows.flash_s = Some(600);
        assert_eq!(said(&one).0, SpotAge::Fresh);
        assert!(remedy(&one).unwrap().source.starts_with("the sheet;"));
        one.windows = SpotWindows { flash_s: Some(20), recoat_s: Some(60), cure_s: Some(120) };
        let cured = remedy(&one).unwrap();
        assert_eq!((cured.age, cured.source.as_str()), (SpotAge::Cured, "the sheet"));
        // A sheet that states only an early window pulls the usual ones along.
        one.windows = SpotWindows { cure_s: Some(100), ..SpotWindows::default() };
        let pulled = remedy(&one).unwrap();
        assert_eq!((pulled.flash_s, pulled.recoat_s, pulled.cure_s), (100, 100, 100));
        one.windows = SpotWindows { flash_s: Some(200_000), ..SpotWindows::default() };
        let pushed = remedy(&one).unwrap();
        assert_eq!((pushed.flash_s, pushed.recoat_s, pushed.cure_s), (200_000, 200_000, 200_000));
    }

    #[test]
    fn set_but_not_cured_is_said() {
        let notes = |hours: i64| {
            let one =
                spot(SpotKind::HighSpot, SurfaceKind::PaintSolid, Step::Ceramic, hours * 60 * MINUTE_MS);
            remedy(&one).unwrap().notes.join(" ")
        };
        assert!(notes(3).contains("not cured yet"));
        assert!(!notes(25).contains("not cured yet"));
    }

    #[test]
    fn hardened_residue_is_softened_first_and_never_rubbed_dry() {
        for step in
            [Step::Ceramic, Step::Sealant, Step::Wax, Step::Polish, Step::GlassCoating, Step::LeatherCare]
        {
            let at =
                |age| remedy(&spot(SpotKind::Residue, SurfaceKind::PaintSolid, step, age)).unwrap().steps;
            assert!(
                at(90_000_000)[0].contains("10 to 15 s") && at(90_000_000)[0].contains("never"),
                "{step:?}"
            );
            assert!(at(90_000_000).len() > 1, "softening is only the beginning");
            assert!(!at(0)[0].contains("10 to 15 s"), "{step:?}: fresh residue is wiped");
        }
        let smear = remedy(&spot(SpotKind::Smear, SurfaceKind::PaintSolid, Step::Wax, 90_000_000)).unwrap();
        assert!(!smear.steps[0].contains("10 to 15 s"));
    }

    /// The rows of the trade's table of fix windows (common practice, no source).
    #[test]
    fn each_product_has_its_way_by_age() {
        use SpotKind::*;
        use SurfaceKind as S;
        let late = 90_000_000;
        for (found, surface, step, age_ms, words) in [
            (ThinPlace, S::PaintSolid, Step::Ceramic, 0, "same layer thinly"),
            (MissedPlace, S::PaintSolid, Step::Ceramic, late, "Panel-wipe"),
            (Smear, S::PaintSolid, Step::Sealant, 0, "second, dry cloth"),
            (Smear, S::PaintSolid, Step::Wax, 3_600_000, "damp cloth"),
            (Smear, S::PaintSolid, Step::Wax, late, "re-wet"),
            (MissedPlace, S::PaintSolid, Step::Wax, late, "Apply again"),
            (Residue, S::TrimTextured, Step::Wax, 0, "at once"),
            (Residue, S::TrimTextured, Step::Wax, 600_000, "soft brush"),
            (Residue, S::TrimTextured, Step::Sealant, late, "trim dye"),
            (Smear, S::Glass, Step::GlassCoating, 0, "at once"),
            (Smear, S::Glass, Step::GlassCoating, 1_200_000, "Re-wet"),
            (HighSpot, S::Glass, Step::GlassCoating, late, "Glass polish"),
            (Residue, S::PaintSolid, Step::TyreDressing, 0, "before the car is driven"),
            (Residue, S::PaintSolid, Step::TyreDressing, late, "tar remover or degreaser"),
            (MissedPlace, S::TyreWall, Step::TyreDressing, 0, "Massage"),
            (Smear, S::Fabric, Step::FabricGuard, 0, "nearest seam"),
            (Smear, S::Fabric, Step::Wash, 3_600_000, "extract the whole panel"),
            (Smear, S::Carpet, Step::Wash, late, "24 to 48 h"),
            (Smear, S::LeatherCoated, Step::LeatherCare, 0, "dry cloth"),
            (MissedPlace, S::PaintSolid, Step::Polish, late, "test square"),
            (MissedPlace, S::PaintSolid, Step::Wash, 0, "again"),
        ] {
            let (_, steps) = said(&spot(found, surface, step, age_ms));
            assert!(steps.contains(words), "{found:?} {surface:?} {step:?} {age_ms}: {steps}");
        }
    }

    #[test]
    fn a_surface_that_refuses_polish_is_not_sent_there() {
        for surface in
            [SurfaceKind::PaintMatt, SurfaceKind::Wrap, SurfaceKind::FilmEdge, SurfaceKind::PaintFresh]
        {
            let late = remedy(&spot(SpotKind::HighSpot, surface, Step::Ceramic, 90_000_000)).unwrap();
            let refused = late.refused.unwrap();
            assert_eq!((refused.surface, refused.step), (surface, Step::Polish));
            assert!(!late.steps.join(" ").contains("spot polish") && late.steps.join(" ").contains("owner"));
            let early = remedy(&spot(SpotKind::HighSpot, surface, Step::Ceramic, 0)).unwrap();
            assert!(early.refused.is_none() && early.steps[0].contains("Re-wet"));
        }
    }

    #[test]
    fn every_combination_has_an_answer_in_short_sentences() {
        for found in SpotKind::ALL {
            for surface in SurfaceKind::ALL {
                for step in Step::ALL {
                    for age_ms in [0, 1_000_000, i64::MAX] {
                        let remedy = remedy(&spot(*found, *surface, *step, age_ms)).unwrap();
                        assert!(!remedy.steps.is_empty());
                        assert!(remedy.steps.iter().chain(&remedy.notes).all(|line| line.ends_with('.')));
                    }
                }
            }
        }
    }

    #[test]
    fn what_cannot_be_is_refused_by_its_field() {
        let mut one = spot(SpotKind::HighSpot, SurfaceKind::PaintSolid, Step::Ceramic, -1);
        let field = |spot: &Spot| match remedy(spot) {
            Err(Error::Refused { field, .. }) => field,
            other => format!("{other:?}"),
        };
        assert_eq!(field(&one), "age_ms");
        one.age_ms = 0;
        one.windows = SpotWindows { flash_s: Some(60), recoat_s: Some(59), cure_s: None };
        assert_eq!(field(&one), "windows.recoat_s");
        one.windows = SpotWindows { flash_s: None, recoat_s: Some(60), cure_s: Some(59) };
        assert_eq!(field(&one), "windows.cure_s");
        one.windows = SpotWindows { flash_s: Some(60), recoat_s: None, cure_s: Some(59) };
        assert_eq!(field(&one), "windows.cure_s");
    }
}
