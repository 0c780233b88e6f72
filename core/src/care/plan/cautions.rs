//! What to take care of at a step. Pure. Short reminders of the trade (common practice, no source): what protects people
//! and water is decided by the product's own safety sheet, the local code and licensed trades, and each line says so.

use super::Facts;
use crate::care::words::Step;

/// The reminders for a step.
pub(super) fn of(step: Step, facts: Facts) -> Vec<&'static str> {
    let mut lines = Vec::new();
    if step == Step::AcidWheelCleaner {
        lines.push(
            "Strong acid burns late and deep: better not used. Its safety sheet decides on gloves, shield and first aid.",
        );
    }
    if matches!(step, Step::IronRemover | Step::MineralRemover | Step::AcidWheelCleaner) {
        lines.push("Never mix acid, bleach and iron remover: the gas is poisonous.");
    }
    if matches!(
        step,
        Step::TarRemover | Step::PanelWipe | Step::FirstLayer | Step::Ceramic | Step::FabricGuard
    ) {
        lines.push("Solvent: moving air, no flame, used cloths in a lidded can; its safety sheet decides on the rest.");
    }
    if step.is_machine() {
        lines.push("Rotating pad: sleeves and cable away, edges taped, never on a loose part.");
        lines.push(
            "Dust: wipe wet, mask by the safety sheet; sanding old paint is for those licensed for it.",
        );
    }
    if matches!(step, Step::FirstLayer | Step::Ceramic | Step::GlassCoating) {
        lines.push("Nothing with oil or silicone near it until it is on.");
    }
    let wet = matches!(step, Step::Wash | Step::WheelCleaner | Step::AcidWheelCleaner) || step.is_chemical();
    if wet {
        lines.push(
            "Run-off: keep it out of drains; where it may go is for the local code and the site to say.",
        );
    }
    if wet && facts.engine_hot {
        lines.push("Engine hot: off, key out, 1 to 3 h to cool; its fans can start by themselves.");
    }
    if wet && facts.high_voltage {
        lines.push(
            "High voltage: charging ended, flap shut, low pressure, nothing under the bonnet, no orange cable. A damaged \
             one is for a qualified person.",
        );
    }
    if matches!(step, Step::LeatherCare | Step::FabricGuard) {
        lines.push("Yellow connectors stay alone; a seat comes out only with those licensed for it.");
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_danger_is_named_where_it_is_and_not_elsewhere() {
        let all = Facts { engine_hot: true, high_voltage: true, after_absence: false };
        let named = |word: &str, facts: Facts| -> String {
            let at = |step: &&Step| of(**step, facts).iter().any(|line| line.contains(word));
            Step::ALL.iter().filter(at).map(|step| step.word()).collect::<Vec<_>>().join(" ")
        };
        let wet = "wheel-cleaner acid-wheel-cleaner wash tar-remover iron-remover mineral-remover";
        assert_eq!(named("Strong acid", all), "acid-wheel-cleaner");
        assert_eq!(named("poisonous", all), "acid-wheel-cleaner iron-remover mineral-remover");
        assert_eq!(named("Solvent", all), "tar-remover panel-wipe first-layer ceramic fabric-guard");
        assert_eq!(named("Rotating", all), "compound polish");
        assert_eq!(named("Dust", all), "compound polish");
        assert_eq!(named("silicone", all), "first-layer ceramic glass-coating");
        assert_eq!(named("Run-off", all), wet);
        assert_eq!(named("Engine hot", all), wet);
        assert_eq!(named("High voltage", all), wet);
        assert_eq!(named("Yellow", all), "leather-care fabric-guard");
        assert_eq!(named("Engine hot", Facts::default()), "");
        assert_eq!(named("High voltage", Facts::default()), "");
        // None of them decides for those who may.
        for (word, who) in [
            ("Strong acid", "safety sheet"),
            ("Solvent", "safety sheet"),
            ("Dust", "licensed"),
            ("Run-off", "local code"),
            ("High voltage", "qualified"),
            ("Yellow", "licensed"),
        ] {
            let lines = Step::ALL.iter().flat_map(|step| of(*step, all)).filter(|line| line.contains(word));
            assert!(lines.into_iter().all(|line| line.contains(who)), "{word}");
        }
    }
}
