//! Which kinds of mark a place can have, the most frequent first. Pure. Common practice, no source: a chip is what
//! is met most on a bonnet's paint, a kerb scuff on a wheel. Every kind can be recorded of every place all the same.

use super::geometry::Class;
use super::{geometry, is_inside};
use crate::record::words::Form;
use crate::record::words::MarkKind::{self, *};

const PAINT: &[MarkKind] = &[
    Scratch,
    StoneChip,
    Scuff,
    Dent,
    Swirls,
    DoorEdgeChip,
    PaintTransfer,
    BirdMark,
    WaterSpot,
    Tar,
    Rust,
    Residue,
    KeyedLine,
    Crease,
    WashMarring,
    Hail,
    IronFallout,
    Sap,
    InsectMark,
    Overspray,
    ClearFailure,
    Oxidation,
    BufferTrails,
    Haze,
    SandingMarks,
    Crazing,
    BurnThrough,
    Cement,
    TrafficFilm,
    CoatingHighSpot,
    CoatingLowSpot,
    RefinishClue,
    OrangePeel,
    PaintDefect,
    TouchIn,
    BadgeGhost,
    FilmDamage,
    WrapDamage,
    RubShine,
    PartLoose,
    PartBroken,
    PartMissing,
    Other,
];
const GLASS: &[MarkKind] = &[
    GlassChip,
    GlassCrack,
    GlassScratch,
    WiperScratch,
    GlassPitting,
    WaterSpot,
    TintDamage,
    HeaterLineBreak,
    Delamination,
    SealDamage,
    Other,
];
const LAMP: &[MarkKind] =
    &[LampHaze, Scratch, StoneChip, LampCrazing, Condensation, PartBroken, PartLoose, PartMissing, Other];
const TRIM: &[MarkKind] = &[
    Scratch,
    Scuff,
    Fade,
    TrimStain,
    PartLoose,
    PartBroken,
    PartMissing,
    ChromePitting,
    SealDamage,
    StoneChip,
    Dent,
    Residue,
    Other,
];
const WHEEL: &[MarkKind] = &[
    KerbRash,
    Scratch,
    LacquerPeel,
    BurnedInDust,
    AcidBloom,
    StoneChip,
    WheelCrack,
    WheelBuckle,
    PartMissing,
    Other,
];
const TYRE: &[MarkKind] = &[TyreCut, TyreWorn, TyreCracking, TyreBulge, TyreNail, TyreBrowning, Other];
const INSIDE: &[MarkKind] = &[
    Stain,
    Wear,
    Scratch,
    Tear,
    Burn,
    DyeTransfer,
    PetHair,
    Smell,
    Sag,
    Shrinkage,
    Pilling,
    Mould,
    StickySurface,
    Fade,
    ScreenDamage,
    BeltDamage,
    PartLoose,
    PartBroken,
    PartMissing,
    Other,
];

/// The kinds that are offered for a place, the most frequent first; those of paint for a place that a form lacks.
pub fn kinds_of(form: Form, place: &str) -> &'static [MarkKind] {
    if is_inside(place) {
        return INSIDE;
    }
    match geometry(form).panel(place).map(|panel| panel.class) {
        Some(Class::Glass) => GLASS,
        Some(Class::Lamp) => LAMP,
        Some(Class::Trim) => TRIM,
        Some(Class::Wheel) => WHEEL,
        Some(Class::Tyre) => TYRE,
        Some(Class::Paint) | None => PAINT,
    }
}
