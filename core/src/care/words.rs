//! The closed lists of care: surfaces, steps, and what is said of them. Pure. The words are the trade's where the
//! trade has one; each is the same in Rust, in JSON and on screen.

pub use crate::record::words::{
    Area, ClothOut, SectionOf, Sleeps, SpotKind, Step, SurfaceKind, Tool, WashHabit, ZoneUse,
};

use crate::record::words::Locale;
use crate::vehicle;
use serde::{Deserialize, Serialize};

macro_rules! words {
    ($($(#[$doc:meta])* $name:ident { $($variant:ident = $word:literal / $text:literal),* $(,)? })*) => { $(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[allow(missing_docs, reason = "a word says itself; `text` is how it reads")]
        pub enum $name {
            $(#[serde(rename = $word)] $variant),*
        }

        impl $name {
            /// Every word of the list, in the order in which it is offered.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];

            /// The word as it is stored and exchanged.
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),* }
            }

            /// How it reads inside a sentence.
            pub fn text(self) -> &'static str {
                match self { $(Self::$variant => $text),* }
            }
        }
    )* };
}

words! {
    /// How far what was put on has set.
    SpotAge {
        Fresh = "fresh" / "still fresh",
        Later = "later" / "setting",
        Cured = "cured" / "set",
    }
    /// The five waits after a layer; they are separate clocks.
    Wait {
        Touch = "touch" / "before it is touched",
        Rain = "rain" / "kept dry",
        Wash = "wash" / "without a wash",
        Chemicals = "chemicals" / "without cleaners stronger than shampoo",
        Full = "full" / "to full cure",
    }
    /// How a surface must be before a step.
    Prerequisite {
        Clean = "clean" / "clean",
        Dry = "dry" / "dry",
        Cool = "cool" / "cool",
        OilsWiped = "oils-wiped" / "oils wiped off",
    }
}

macro_rules! texts {
    ($($name:ident = $list:literal),*) => { $(
        impl $name {
            /// How it reads inside a sentence.
            pub fn text(self) -> &'static str {
                vehicle::text(Locale::EnGb, $list, self.word()).unwrap_or(self.word())
            }
        }
    )* };
}

texts! {
    Area = "area",
    ClothOut = "cloth-out",
    SectionOf = "section-of",
    Sleeps = "sleeps",
    SpotKind = "spot-kind",
    Step = "step",
    SurfaceKind = "surface-kind",
    Tool = "tool",
    WashHabit = "wash-habit",
    ZoneUse = "zone-use"
}

impl SurfaceKind {
    /// Paint of the body, whatever its finish.
    pub fn is_paint(self) -> bool {
        use SurfaceKind::*;
        matches!(
            self,
            PaintSolid
                | PaintMetallic
                | PaintMatt
                | PaintSingleStage
                | PaintFresh
                | PaintPeeling
                | PaintUnknown
        )
    }

    /// A wheel, whatever its finish; a tyre is none.
    pub fn is_wheel(self) -> bool {
        use SurfaceKind::*;
        matches!(
            self,
            WheelLacquered
                | WheelPowderCoated
                | WheelDiamondCut
                | WheelBare
                | WheelAnodised
                | WheelChrome
                | WheelUnknown
        )
    }

    /// Inside the car.
    pub fn is_inside(self) -> bool {
        self >= Self::LeatherCoated && self != Self::Brake
    }

    /// Something that drinks water and dries slowly.
    pub fn is_cloth(self) -> bool {
        matches!(self, Self::Fabric | Self::Headlining | Self::Carpet)
    }
}

impl Step {
    /// Clay of any grade.
    pub fn is_clay(self) -> bool {
        matches!(self, Self::ClayFine | Self::ClayMedium | Self::ClayHeavy)
    }

    /// Done with a machine and something that cuts.
    pub fn is_machine(self) -> bool {
        matches!(self, Self::Compound | Self::Polish)
    }

    /// Dissolves what sits on the surface.
    pub fn is_chemical(self) -> bool {
        matches!(self, Self::TarRemover | Self::IronRemover | Self::MineralRemover)
    }

    /// Left on the surface to protect or dress it.
    pub fn is_layer(self) -> bool {
        self >= Self::FirstLayer
    }

    /// Needs a product, and so can have a sheet.
    pub fn has_product(self) -> bool {
        !matches!(self, Self::Look | Self::Dry | Self::Feel)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_is_the_same_in_rust_and_in_json_and_comes_once() {
        fn held<T: Serialize + for<'a> Deserialize<'a> + PartialEq + std::fmt::Debug + Copy>(
            all: &[T],
            word: impl Fn(T) -> &'static str,
        ) {
            let mut seen = std::collections::HashSet::new();
            for one in all {
                let json = serde_json::to_string(one).unwrap();
                assert_eq!(json, format!("\"{}\"", word(*one)));
                assert_eq!(serde_json::from_str::<T>(&json).unwrap(), *one);
                assert!(seen.insert(word(*one)), "{json} comes twice");
            }
        }
        held(SurfaceKind::ALL, SurfaceKind::word);
        held(Step::ALL, Step::word);
        held(SpotKind::ALL, SpotKind::word);
        held(SpotAge::ALL, SpotAge::word);
        held(Area::ALL, Area::word);
        held(SectionOf::ALL, SectionOf::word);
        held(Wait::ALL, Wait::word);
        held(ZoneUse::ALL, ZoneUse::word);
        held(ClothOut::ALL, ClothOut::word);
        held(Prerequisite::ALL, Prerequisite::word);
        held(Sleeps::ALL, Sleeps::word);
        held(WashHabit::ALL, WashHabit::word);
    }

    #[test]
    fn inside_is_what_one_sits_in() {
        let inside: Vec<&str> =
            SurfaceKind::ALL.iter().filter(|kind| kind.is_inside()).map(|kind| kind.word()).collect();
        assert_eq!(
            inside.join(" "),
            "leather-coated leather-bare suede fabric headlining carpet plastic-inside seat pedals steering-wheel belt"
        );
    }

    #[test]
    fn steps_stand_in_the_order_of_a_day() {
        use Step::*;
        // Trade order (common practice, no source): wash, chemical before mechanical, wipe, then the most lasting layer
        // first; glass, trim, wheels, tyres after the paint.
        let order = [
            Wash,
            Dry,
            Feel,
            TarRemover,
            ClayFine,
            ClayMedium,
            ClayHeavy,
            Compound,
            Polish,
            PanelWipe,
            FirstLayer,
            Ceramic,
            Sealant,
            Wax,
            GlassCoating,
            TrimCoating,
            WheelProtectant,
            TyreDressing,
            LeatherCare,
        ];
        assert!(order.windows(2).all(|two| two[0] < two[1]));
        assert!(IronRemover < ClayFine && WheelCleaner < Wash);
    }
}
