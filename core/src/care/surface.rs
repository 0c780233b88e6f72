//! What a surface refuses, and why, in plain words. Pure. Every row is common practice of the trade, no source, unless a
//! source stands beside it.
//!
//! A refusal is not a lock: where damage is the only risk, the owner may agree to it, with a reason, and both stay on
//! record. Where people could be hurt (a slippery tread, pedal or brake) or nothing could be gained, it stands.

use super::words::Step::{self, *};
use super::words::SurfaceKind::{self, *};
use crate::error::Error;
use crate::record::words::{Finish, OwnerAnswer, Party};
use serde::{Deserialize, Serialize};

/// A step that a surface does not take.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Refusal {
    /// The surface.
    pub surface: SurfaceKind,
    /// The step.
    pub step: Step,
    /// Why, in plain words.
    pub reason: String,
    /// Whether a reason and the owner's consent can set it aside.
    pub may_override: bool,
}

/// Why a refused step is done all the same, and who agreed to it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Override {
    /// The reason, in the words of whoever decides; 1 to 1,000 characters.
    pub reason: String,
    /// What was answered. Only "agreed" is consent: silence is none.
    pub answer: OwnerAnswer,
    /// Who answered: the owner, an agent or a fleet's contact.
    pub by: Party,
}

/// Longest reason, characters.
const LONGEST_REASON: usize = 1_000;

const CLAY: &[Step] = &[ClayFine, ClayMedium, ClayHeavy];
const RUBBING: &[Step] = &[ClayFine, ClayMedium, ClayHeavy, Compound, Polish];
const LAYERS: &[Step] = &[FirstLayer, Ceramic, Sealant, Wax];
const DRESSINGS: &[Step] = &[
    Sealant,
    Wax,
    Ceramic,
    FirstLayer,
    GlassCoating,
    TrimCoating,
    WheelProtectant,
    TyreDressing,
    LeatherCare,
    FabricGuard,
];

struct Row(&'static [SurfaceKind], &'static [Step], bool, &'static str);

const OWNER: bool = true;
const NOBODY: bool = false;

/// The table; a pair of surface and step stands in it once (a test holds this).
const TABLE: &[Row] = &[
    Row(
        &[PaintMatt],
        RUBBING,
        OWNER,
        "rubbing makes matt paint shine for good: nothing brings the matt back",
    ),
    Row(&[PaintMatt], &[Wax], OWNER, "wax fills matt paint unevenly and leaves shiny patches"),
    Row(&[PaintPeeling], RUBBING, NOBODY, "clear that peels tears on from its edge; only paint mends it"),
    Row(
        &[PaintFresh],
        RUBBING,
        OWNER,
        "fresh refinish is still soft: ask the painter, 30 to 90 days are common",
    ),
    Row(&[PaintFresh], &[TarRemover], OWNER, "the solvent softens fresh refinish"),
    Row(
        &[PaintFresh],
        LAYERS,
        OWNER,
        "fresh refinish still gives off solvent and a layer closes it in: ask the painter, 30 to 90 days are common",
    ),
    Row(&[Wrap], RUBBING, OWNER, "a colour wrap has no clear coat: rubbing takes its colour"),
    Row(&[Film], &[ClayMedium, ClayHeavy, Compound], OWNER, "film is soft: what cuts leaves its marks in it"),
    Row(&[FilmEdge], RUBBING, NOBODY, "rubbing catches the edge and lifts it"),
    Row(&[Decal], RUBBING, NOBODY, "rubbing catches the edge of a decal and takes its print"),
    Row(&[FilmEdge, Decal], &[TarRemover], OWNER, "the solvent creeps under the edge and loosens the glue"),
    Row(
        &[GlassTinted],
        &[Compound, Polish, AcidWheelCleaner, ClayFine, ClayMedium, ClayHeavy],
        NOBODY,
        "the tint is a thin film on the inside: rubbing and strong cleaners take it off",
    ),
    Row(
        &[TrimTextured],
        &[Sealant, Wax, Compound, Polish],
        OWNER,
        "it dries white in the grain of textured trim and is hard to get out",
    ),
    Row(&[TrimTextured, SoftTop], CLAY, NOBODY, "clay sticks in the grain and the weave"),
    Row(
        &[SoftTop],
        &[Compound, Polish, Sealant, Wax, Ceramic, FirstLayer],
        NOBODY,
        "what is made for paint sticks in the weave of a soft top",
    ),
    Row(
        &[TrimTextured, PlasticInside, Lamp],
        &[TarRemover],
        OWNER,
        "the solvent dulls and crazes bare plastic",
    ),
    Row(&[SoftTop, Rubber], &[TarRemover], OWNER, "the solvent swells rubber and loosens what is glued"),
    Row(
        &[TrimGlossBlack],
        &[Compound, ClayMedium, ClayHeavy],
        OWNER,
        "gloss-black trim is very soft and takes marks from one wipe",
    ),
    Row(
        &[WheelBare, WheelDiamondCut, WheelAnodised, WheelChrome],
        &[AcidWheelCleaner],
        OWNER,
        "strong acid leaves a milky bloom on bare metal and creeps under thin lacquer",
    ),
    Row(
        &[WheelUnknown],
        &[AcidWheelCleaner],
        OWNER,
        "the finish is not known: only pH-neutral cleaner, tried inside the barrel first",
    ),
    Row(
        &[TrimBright],
        &[AcidWheelCleaner, Compound],
        OWNER,
        "acid, strong alkali and rubbing leave milky stains on bright trim that rarely come out",
    ),
    // From memory: iron removers are acid enough to dull bare aluminium; their sheets often say so.
    Row(&[WheelBare, TrimBright], &[IronRemover], OWNER, "it can dull bare metal: try a hidden place first"),
    Row(&[TyreTread, TyreMotorcycle], DRESSINGS, NOBODY, "a dressed tread does not grip"),
    Row(&[Pedals], DRESSINGS, NOBODY, "a dressed pedal lets the foot slip"),
    Row(
        &[SteeringWheel],
        &[TyreDressing, TrimCoating, Wax, Sealant],
        NOBODY,
        "hands slip on a dressed steering wheel",
    ),
    Row(&[Seat], DRESSINGS, NOBODY, "a dressed seat is slippery; say what it is made of first"),
    Row(
        &[LeatherCoated, LeatherBare, Suede, Fabric],
        &[TyreDressing, TrimCoating],
        NOBODY,
        "a dressed seat is slippery and stains clothes",
    ),
    Row(&[Brake], DRESSINGS, NOBODY, "nothing that lubricates goes on a brake"),
    Row(&[Belt], DRESSINGS, NOBODY, "nothing may soften a belt: mild soap only"),
    Row(
        &[LeatherBare],
        &[LeatherCare],
        OWNER,
        "bare leather drinks it in and darkens: try a hidden place first",
    ),
    Row(&[Suede], &[LeatherCare], OWNER, "liquid mats the nap: brush and foam only"),
    Row(&[Headlining], &[FabricGuard], OWNER, "wetted through, the glue of a headlining lets go"),
];

/// What a surface says to a step; nothing when it takes it.
pub fn refusal(surface: SurfaceKind, step: Step) -> Option<Refusal> {
    let row = TABLE.iter().find(|row| row.0.contains(&surface) && row.1.contains(&step))?;
    Some(Refusal { surface, step, reason: row.3.to_owned(), may_override: row.2 })
}

/// Everything that a surface refuses, in the order of steps.
pub fn refused_by(surface: SurfaceKind) -> Vec<Refusal> {
    Step::ALL.iter().filter_map(|step| refusal(surface, *step)).collect()
}

/// Whether a refused step may go on. Without a reason and consent it may not; the error names the field.
pub fn may_go_on(refusal: &Refusal, set_aside: Option<&Override>) -> Result<(), Error> {
    let Some(given) = set_aside else {
        let asks = if refusal.may_override { "; it needs a reason and consent" } else { "" };
        return Err(Error::refused(
            "override",
            format!("{} on {}: {}{asks}", refusal.step.text(), refusal.surface.text(), refusal.reason),
        ));
    };
    if !refusal.may_override {
        return Err(Error::refused("override", format!("cannot be set aside: {}", refusal.reason)));
    }
    let reason = given.reason.trim();
    if reason.is_empty() || reason.chars().count() > LONGEST_REASON {
        return Err(Error::refused("override.reason", format!("1 to {LONGEST_REASON} characters, please")));
    }
    if given.answer != OwnerAnswer::Agreed {
        return Err(Error::refused(
            "override.answer",
            format!("\"{}\" is not consent; only \"agreed\" is", given.answer.word()),
        ));
    }
    if !matches!(given.by, Party::Owner | Party::Agent | Party::FleetContact) {
        return Err(Error::refused(
            "override.by",
            format!("\"{}\" cannot agree for the owner", given.by.word()),
        ));
    }
    Ok(())
}

/// The kind of paint that a vehicle's finish makes.
pub fn paint_of(finish: Finish) -> SurfaceKind {
    match finish {
        Finish::Solid => PaintSolid,
        Finish::Metallic => PaintMetallic,
        Finish::Matt => PaintMatt,
        Finish::SingleStage => PaintSingleStage,
        Finish::Wrapped => Wrap,
        Finish::Unknown => PaintUnknown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_pair_stands_in_the_table_once() {
        for surface in SurfaceKind::ALL {
            for step in Step::ALL {
                let rows = TABLE.iter().filter(|row| row.0.contains(surface) && row.1.contains(step)).count();
                assert!(rows <= 1, "{} × {} stands {rows} times", surface.word(), step.word());
            }
        }
    }

    /// Common practice, no source. Written down from the trade's rules, not from the table: a row that goes missing, or
    /// comes to hold more than it should, fails here.
    #[test]
    fn what_each_surface_refuses() {
        let all_clay = "clay-fine clay-medium clay-heavy";
        let rubbing = "clay-fine clay-medium clay-heavy compound polish";
        let layers = "first-layer ceramic sealant wax glass-coating trim-coating wheel-protectant tyre-dressing \
                      leather-care fabric-guard";
        let expected: &[(&str, String)] = &[
            ("paint-matt", format!("{rubbing} wax")),
            ("paint-peeling", rubbing.to_owned()),
            ("paint-fresh", format!("tar-remover {rubbing} first-layer ceramic sealant wax")),
            ("film", "clay-medium clay-heavy compound".to_owned()),
            ("wrap", rubbing.to_owned()),
            ("film-edge", format!("tar-remover {rubbing}")),
            ("decal", format!("tar-remover {rubbing}")),
            ("glass-tinted", format!("acid-wheel-cleaner {rubbing}")),
            ("wheel-diamond-cut", "acid-wheel-cleaner".to_owned()),
            ("wheel-bare", "acid-wheel-cleaner iron-remover".to_owned()),
            ("wheel-anodised", "acid-wheel-cleaner".to_owned()),
            ("wheel-chrome", "acid-wheel-cleaner".to_owned()),
            ("wheel-unknown", "acid-wheel-cleaner".to_owned()),
            ("tyre-tread", layers.to_owned()),
            ("tyre-motorcycle", layers.to_owned()),
            ("trim-textured", format!("tar-remover {all_clay} compound polish sealant wax")),
            ("trim-gloss-black", "clay-medium clay-heavy compound".to_owned()),
            ("trim-bright", "acid-wheel-cleaner iron-remover compound".to_owned()),
            ("rubber", "tar-remover".to_owned()),
            ("lamp", "tar-remover".to_owned()),
            ("soft-top", format!("tar-remover {rubbing} first-layer ceramic sealant wax")),
            ("leather-coated", "trim-coating tyre-dressing".to_owned()),
            ("leather-bare", "trim-coating tyre-dressing leather-care".to_owned()),
            ("suede", "trim-coating tyre-dressing leather-care".to_owned()),
            ("fabric", "trim-coating tyre-dressing".to_owned()),
            ("headlining", "fabric-guard".to_owned()),
            ("plastic-inside", "tar-remover".to_owned()),
            ("seat", layers.to_owned()),
            ("pedals", layers.to_owned()),
            ("steering-wheel", "sealant wax trim-coating tyre-dressing".to_owned()),
            ("belt", layers.to_owned()),
            ("brake", layers.to_owned()),
        ];
        for surface in SurfaceKind::ALL {
            let said: Vec<&str> = refused_by(*surface).iter().map(|refusal| refusal.step.word()).collect();
            let wanted = expected.iter().find(|(word, _)| *word == surface.word());
            let wanted: Vec<&str> =
                wanted.map(|(_, list)| list.split_whitespace().collect()).unwrap_or_default();
            assert_eq!(said, wanted, "{}", surface.word());
        }
    }

    #[test]
    fn where_people_could_be_hurt_or_an_edge_lifts_nothing_sets_it_aside() {
        let agreed = Override {
            reason: "the owner wants it".to_owned(),
            answer: OwnerAnswer::Agreed,
            by: Party::Owner,
        };
        for (surface, step) in [
            (TyreTread, TyreDressing),
            (TyreMotorcycle, TyreDressing),
            (Pedals, TyreDressing),
            (Seat, TyreDressing),
            (LeatherCoated, TyreDressing),
            (SteeringWheel, TyreDressing),
            (Brake, WheelProtectant),
            (Belt, FabricGuard),
            (FilmEdge, ClayFine),
            (Decal, ClayFine),
            (PaintPeeling, Polish),
            (GlassTinted, Polish),
            (TrimTextured, ClayFine),
            (SoftTop, Wax),
        ] {
            let refused = refusal(surface, step).unwrap();
            let error = may_go_on(&refused, Some(&agreed)).unwrap_err().to_string();
            assert!(error.starts_with("override: cannot be set aside"), "{surface:?} {step:?}: {error}");
        }
    }

    /// Matt set on a coupé: clay or machine polish warns before it starts; setting it aside needs consent.
    #[test]
    fn matt_paint_is_worked_only_with_a_reason_and_consent() {
        let paint = paint_of(Finish::Matt);
        for step in [ClayFine, ClayMedium, ClayHeavy, Polish, Compound] {
            let refused = refusal(paint, step).unwrap();
            assert!(refused.may_override && refused.reason.contains("for good"), "{refused:?}");
            let field = |given: Option<&Override>| match may_go_on(&refused, given) {
                Err(Error::Refused { field, .. }) => field,
                other => format!("{other:?}"),
            };
            let given = |reason: &str, answer, by| Override { reason: reason.to_owned(), answer, by };
            assert_eq!(field(None), "override");
            for answer in OwnerAnswer::ALL.iter().filter(|answer| **answer != OwnerAnswer::Agreed) {
                assert_eq!(field(Some(&given("bird mark", *answer, Party::Owner))), "override.answer");
            }
            assert_eq!(field(Some(&given("  ", OwnerAnswer::Agreed, Party::Owner))), "override.reason");
            assert_eq!(
                field(Some(&given(&"x".repeat(1_001), OwnerAnswer::Agreed, Party::Owner))),
                "override.reason"
            );
            assert_eq!(field(Some(&given("bird mark", OwnerAnswer::Agreed, Party::Detailer))), "override.by");
            assert!(
                may_go_on(&refused, Some(&given("bird mark", OwnerAnswer::Agreed, Party::Owner))).is_ok()
            );
        }
        assert!(refusal(paint, Step::Wash).is_none(), "matt paint is washed");
    }

    #[test]
    fn a_finish_makes_its_paint() {
        let kinds: Vec<SurfaceKind> = Finish::ALL.iter().map(|finish| paint_of(*finish)).collect();
        assert_eq!(kinds, [PaintSolid, PaintMetallic, PaintMatt, PaintSingleStage, Wrap, PaintUnknown]);
    }
}
