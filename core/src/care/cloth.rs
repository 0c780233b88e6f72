//! Cloths, mitts and pads: which may go where. Pure. Rules are common practice of the trade, no source.
//!
//! A crew names its own zones, cleanest first. A thing only ever moves down the list; what was dropped is out of use,
//! and the panel that it was on is looked at again. Nothing is blocked here: what speaks against it is said.

use super::words::{ClothOut, Step, SurfaceKind, ZoneUse};
use crate::error::Error;
pub use crate::record::events::Zone;
use crate::record::words::Light;
use serde::{Deserialize, Serialize};

/// Longest name of a zone or cloth, characters.
const LONGEST_NAME: usize = 60;

/// A cloth, mitt, brush or applicator in use.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cloth {
    /// How the crew tells it apart.
    pub name: String,
    /// Number of the dirtiest zone that it has been in, from 0.
    pub zone: usize,
    /// The product that it was used with; it keeps to that one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// Why it is out of use.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub out: Option<ClothOut>,
}

/// A panel to be looked at again, and under what.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LookAgain {
    /// The panel.
    pub panel: String,
    /// The light that would show what a gritty cloth does.
    pub light: Light,
    /// When it happened, UTC ms.
    pub at_ms: i64,
    /// Why.
    pub reason: String,
}

/// The usual zones: one for each use.
pub fn usual_zones() -> Vec<Zone> {
    ZoneUse::ALL.iter().map(|zone| Zone { name: zone.text().to_owned(), uses: vec![*zone] }).collect()
}

/// Checks a crew's zones: each named once, each use in exactly one.
pub fn check_zones(zones: &[Zone]) -> Result<(), Error> {
    for (number, zone) in zones.iter().enumerate() {
        let length = zone.name.chars().count();
        if zone.name.trim().is_empty() || length > LONGEST_NAME {
            let reason = format!("{length} characters; 1 to {LONGEST_NAME}, please");
            return Err(Error::refused(format!("zones[{number}].name"), reason));
        }
        if zones[..number].iter().any(|earlier| earlier.name == zone.name) {
            let reason = format!("\"{}\" is named before", zone.name);
            return Err(Error::refused(format!("zones[{number}].name"), reason));
        }
    }
    for zone_use in ZoneUse::ALL {
        let held = zones.iter().flat_map(|zone| &zone.uses).filter(|held| *held == zone_use).count();
        if held != 1 {
            let reason = format!("\"{}\" belongs to {held} zones; it is exactly one", zone_use.word());
            return Err(Error::refused("zones", reason));
        }
    }
    Ok(())
}

/// The zone that a step on a surface needs.
pub fn use_of(step: Step, surface: SurfaceKind) -> ZoneUse {
    use SurfaceKind::*;
    match surface {
        _ if surface.is_wheel() => ZoneUse::Wheels,
        TyreWall | TyreTread | TyreMotorcycle | Brake => ZoneUse::Tyres,
        _ if matches!(step, Step::FirstLayer | Step::Ceramic | Step::GlassCoating | Step::TrimCoating) => {
            ZoneUse::Coating
        }
        Glass | GlassTinted => ZoneUse::Glass,
        LeatherCoated | LeatherBare | Suede => ZoneUse::Leather,
        Fabric | Headlining | Carpet | PlasticInside | Seat | Pedals | SteeringWheel | Belt => {
            ZoneUse::Inside
        }
        _ => ZoneUse::UpperPaint,
    }
}

/// The number of the zone for a use, from 0.
pub fn zone_for(zones: &[Zone], zone_use: ZoneUse) -> Result<usize, Error> {
    zones
        .iter()
        .position(|zone| zone.uses.contains(&zone_use))
        .ok_or_else(|| Error::refused("zones", format!("no zone is for \"{}\"", zone_use.word())))
}

/// Takes a cloth for a use with a product. The cloth as it is afterwards, and what speaks against it, in the crew's own
/// names.
pub fn take(
    zones: &[Zone],
    cloth: &Cloth,
    zone_use: ZoneUse,
    product: Option<&str>,
) -> Result<(Cloth, Vec<String>), Error> {
    let wanted = zone_for(zones, zone_use)?;
    let held = zones.get(cloth.zone).ok_or_else(|| {
        Error::refused("cloth.zone", format!("{} of {} zones, counted from 0", cloth.zone, zones.len()))
    })?;
    let mut warnings = Vec::new();
    if let Some(out) = cloth.out {
        warnings.push(format!("{} is out of use ({}): take a fresh one.", cloth.name, out.text()));
    }
    if wanted < cloth.zone {
        warnings.push(format!(
            "{} has been in \"{}\" and does not go back up to \"{}\": take a fresh one.",
            cloth.name, held.name, zones[wanted].name
        ));
    }
    if let (Some(used), Some(product)) = (&cloth.product, product)
        && used != product
    {
        warnings.push(format!("{} was used with {used}: a fresh cloth for each product.", cloth.name));
    }
    let mut after = cloth.clone();
    after.zone = cloth.zone.max(wanted);
    after.product = product.map(str::to_owned).or(after.product);
    // It hardens and scratches once it is dry: one use, and neither back nor into the wash.
    if zone_use == ZoneUse::Coating {
        after.out = after.out.or(Some(ClothOut::Coating));
    }
    Ok((after, warnings))
}

/// Puts a cloth out of use: it fell, or grit was found in it. The panel that it was on is looked at again under a point of
/// light.
pub fn put_out(cloth: &Cloth, why: ClothOut, panel: &str, at_ms: i64) -> (Cloth, Option<LookAgain>) {
    let mut after = cloth.clone();
    after.out = Some(why);
    let look = (why != ClothOut::Coating).then(|| LookAgain {
        panel: panel.to_owned(),
        light: Light::Point,
        at_ms,
        reason: format!("{}: {}. Look there under a point of light.", cloth.name, why.text()),
    });
    (after, look)
}

/// What speaks against a pad for a step, after the steps that it was used for. One set of pads a step.
pub fn pad_warning(used_for: &[Step], step: Step) -> Option<String> {
    let earlier = used_for.iter().find(|used| **used != step)?;
    Some(format!("This pad was used for {}: another pad for {}.", earlier.text(), step.text()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cloth(zones: &[Zone], zone_use: ZoneUse) -> Cloth {
        let zone = zone_for(zones, zone_use).unwrap();
        Cloth { name: "grey cloth".to_owned(), zone, product: None, out: None }
    }

    /// A wheel cloth chosen for the bonnet warns, in the crew's own names where it has them.
    #[test]
    fn a_wheel_cloth_does_not_come_back_to_paint() {
        let zones = usual_zones();
        let (after, warnings) =
            take(&zones, &cloth(&zones, ZoneUse::Wheels), ZoneUse::UpperPaint, None).unwrap();
        assert_eq!(warnings.len(), 1);
        assert!(
            warnings[0].contains("\"wheels\"") && warnings[0].contains("\"upper paint\""),
            "{warnings:?}"
        );
        assert_eq!(after.zone, zone_for(&zones, ZoneUse::Wheels).unwrap(), "it stays a wheel cloth");

        use ZoneUse::*;
        let own = [
            Zone { name: "first shelf".to_owned(), uses: vec![Coating] },
            Zone {
                name: "second shelf".to_owned(),
                uses: vec![UpperPaint, LowerPaint, Glass, Inside, Leather],
            },
            Zone { name: "the crate".to_owned(), uses: vec![Shuts, Wheels, Tyres] },
        ];
        check_zones(&own).unwrap();
        let (_, warnings) = take(&own, &cloth(&own, Wheels), UpperPaint, None).unwrap();
        assert!(
            warnings[0].contains("\"the crate\"") && warnings[0].contains("\"second shelf\""),
            "{warnings:?}"
        );
        let (_, warnings) = take(&own, &cloth(&own, Glass), UpperPaint, None).unwrap();
        assert!(warnings.is_empty(), "for this crew that is one zone");
    }

    #[test]
    fn down_is_allowed_and_remembered() {
        let zones = usual_zones();
        let (after, warnings) =
            take(&zones, &cloth(&zones, ZoneUse::UpperPaint), ZoneUse::Tyres, None).unwrap();
        assert!(warnings.is_empty());
        let (_, warnings) = take(&zones, &after, ZoneUse::UpperPaint, None).unwrap();
        assert_eq!(warnings.len(), 1);
    }

    /// A cloth falls at 10:42 while on the left rear door.
    #[test]
    fn what_fell_is_out_of_use_and_its_panel_is_looked_at() {
        let zones = usual_zones();
        let (out, look) =
            put_out(&cloth(&zones, ZoneUse::UpperPaint), ClothOut::Dropped, "rear-left-door", 38_520_000);
        assert_eq!(out.out, Some(ClothOut::Dropped));
        let look = look.unwrap();
        assert_eq!(
            (look.panel.as_str(), look.light, look.at_ms),
            ("rear-left-door", Light::Point, 38_520_000)
        );
        let (_, warnings) = take(&zones, &out, ZoneUse::Tyres, None).unwrap();
        assert!(warnings[0].contains("out of use (dropped)"), "{warnings:?}");
        let (_, look) = put_out(&out, ClothOut::Grit, "roof", 0);
        assert!(look.unwrap().reason.contains("grit"));
        assert!(put_out(&out, ClothOut::Coating, "roof", 0).1.is_none(), "that is no mishap");
    }

    #[test]
    fn a_coating_cloth_has_one_use_and_a_product_its_own_cloth() {
        let zones = usual_zones();
        let fresh = cloth(&zones, ZoneUse::Coating);
        let (used, warnings) = take(&zones, &fresh, ZoneUse::Coating, Some("Own ceramic")).unwrap();
        assert!(warnings.is_empty() && used.out == Some(ClothOut::Coating));
        let (_, warnings) = take(&zones, &used, ZoneUse::UpperPaint, Some("Own ceramic")).unwrap();
        assert!(warnings[0].contains("out of use (used for a coating)"), "{warnings:?}");

        let paint = cloth(&zones, ZoneUse::UpperPaint);
        let (used, _) = take(&zones, &paint, ZoneUse::UpperPaint, Some("Own sealant")).unwrap();
        let (_, same) = take(&zones, &used, ZoneUse::UpperPaint, Some("Own sealant")).unwrap();
        let (_, other) = take(&zones, &used, ZoneUse::UpperPaint, Some("Own wax")).unwrap();
        assert!(same.is_empty() && other[0].contains("used with Own sealant"), "{other:?}");
    }

    #[test]
    fn a_pad_keeps_to_its_step() {
        assert_eq!(pad_warning(&[], Step::Polish), None);
        assert_eq!(pad_warning(&[Step::Polish, Step::Polish], Step::Polish), None);
        let said = pad_warning(&[Step::Polish, Step::Compound], Step::Polish).unwrap();
        assert!(said.contains("used for machine compounding"), "{said}");
    }

    #[test]
    fn surfaces_have_their_zones() {
        for (step, surface, zone_use) in [
            (Step::Ceramic, SurfaceKind::PaintSolid, ZoneUse::Coating),
            (Step::FirstLayer, SurfaceKind::PaintSolid, ZoneUse::Coating),
            (Step::GlassCoating, SurfaceKind::Glass, ZoneUse::Coating),
            (Step::Ceramic, SurfaceKind::WheelLacquered, ZoneUse::Wheels),
            (Step::Wax, SurfaceKind::PaintSolid, ZoneUse::UpperPaint),
            (Step::Wash, SurfaceKind::Glass, ZoneUse::Glass),
            (Step::TyreDressing, SurfaceKind::TyreWall, ZoneUse::Tyres),
            (Step::LeatherCare, SurfaceKind::LeatherCoated, ZoneUse::Leather),
            (Step::FabricGuard, SurfaceKind::Fabric, ZoneUse::Inside),
        ] {
            assert_eq!(use_of(step, surface), zone_use, "{step:?} {surface:?}");
        }
    }

    #[test]
    fn zones_that_are_off_are_refused_by_their_field() {
        let field = |zones: &[Zone]| match check_zones(zones) {
            Err(Error::Refused { field, .. }) => field,
            other => format!("{other:?}"),
        };
        let usual = usual_zones();
        check_zones(&usual).unwrap();
        assert_eq!(field(&[]), "zones");
        assert_eq!(field(&usual[1..]), "zones");
        let mut twice = usual.clone();
        twice[0].uses.push(ZoneUse::Tyres);
        assert_eq!(field(&twice), "zones");
        let mut unnamed = usual.clone();
        unnamed[3].name = " ".to_owned();
        assert_eq!(field(&unnamed), "zones[3].name");
        let mut same = usual.clone();
        same[3].name = same[0].name.clone();
        assert_eq!(field(&same), "zones[3].name");
        let lost = Cloth { zone: 99, ..cloth(&usual, ZoneUse::Glass) };
        assert!(
            matches!(take(&usual, &lost, ZoneUse::Glass, None), Err(Error::Refused { field, .. }) if field == "cloth.zone")
        );
        assert!(take(&[], &lost, ZoneUse::Glass, None).is_err());
    }
}
