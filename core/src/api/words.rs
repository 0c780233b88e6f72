//! How the shared words read: what a screen offers and shows. No shell has texts of its own for them.

use crate::record::words::{
    Catch, CopyGiven, Corner, Distance, FeelLevel, FeelMethod, Finish, Form, Holds, Light, Locale, MarkKind,
    NoReading, Outcome, OwnerAnswer, Party, Reaction, Scope, Shows, Stage, Surface, View, WholeSide, Why,
};
use crate::vehicle;

macro_rules! texts {
    ($($name:ident = $list:literal),* $(,)?) => { $(
        #[uniffi::export]
        impl $name {
            /// The word, to read.
            pub fn text(self, locale: Locale) -> String {
                vehicle::text(locale, $list, self.word()).unwrap_or_else(|| self.word()).to_owned()
            }
        }
    )* };
}

texts! {
    Catch = "catch",
    CopyGiven = "copy-given",
    Corner = "corner",
    Distance = "distance",
    FeelLevel = "feel-level",
    FeelMethod = "feel-method",
    Finish = "finish",
    Form = "form",
    Holds = "holds",
    Light = "light",
    MarkKind = "kind",
    NoReading = "no-reading",
    Outcome = "outcome",
    OwnerAnswer = "owner-answer",
    Party = "party",
    Reaction = "reaction",
    Scope = "scope",
    Shows = "shows",
    Stage = "stage",
    Surface = "surface",
    View = "view",
    WholeSide = "whole-side",
    Why = "why",
}

/// The kinds of mark that are offered for a place of a vehicle, the most frequent first.
#[uniffi::export]
pub fn kinds_offered(form: Form, panel: String) -> Vec<MarkKind> {
    vehicle::kinds_of(form, &panel).to_vec()
}

/// The name of a place, to read; a name that is not known is given back.
#[uniffi::export]
pub fn panel_name(panel: String, locale: Locale) -> String {
    vehicle::panel_text(locale, &panel).map_or(panel.clone(), str::to_owned)
}

/// The words of the country of an ISO 3166-1 alpha-2 code.
#[uniffi::export]
pub fn locale_of(country: String) -> Locale {
    vehicle::locale_of_country(&country)
}
