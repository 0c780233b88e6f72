//! How the shared words read: what a screen offers and shows. No shell has texts of its own for them.

use crate::record::words::{
    Ambient, Area, Catch, ClothOut, CopyGiven, Corner, Distance, FeelLevel, FeelMethod, Finish, Form, Holds,
    Light, Locale, MarkKind, NoReading, Outcome, OwnerAnswer, Party, Reaction, Scope, Shows, Sleeps,
    SpotKind, Stage, Step, Surface, SurfaceKind, Tool, View, WashHabit, WayOfLooking, WholeSide, Why,
    ZoneUse,
};
use crate::vehicle;

// Functions and not methods: the binding's renames (`Locale` is `Language` elsewhere) do not reach methods of enums.
macro_rules! texts {
    ($($function:ident($name:ident) = $list:literal),* $(,)?) => { $(
        /// The word, to read.
        #[uniffi::export]
        pub fn $function(word: $name, locale: Locale) -> String {
            vehicle::text(locale, $list, word.word()).unwrap_or_else(|| word.word()).to_owned()
        }
    )* };
}

texts! {
    area_text(Area) = "area",
    cloth_out_text(ClothOut) = "cloth-out",
    surface_kind_text(SurfaceKind) = "surface-kind",
    tool_text(Tool) = "tool",
    zone_use_text(ZoneUse) = "zone-use",
    ambient_text(Ambient) = "ambient",
    catch_text(Catch) = "catch",
    copy_given_text(CopyGiven) = "copy-given",
    corner_text(Corner) = "corner",
    distance_text(Distance) = "distance",
    feel_level_text(FeelLevel) = "feel-level",
    feel_method_text(FeelMethod) = "feel-method",
    finish_text(Finish) = "finish",
    form_text(Form) = "form",
    holds_text(Holds) = "holds",
    light_text(Light) = "light",
    mark_kind_text(MarkKind) = "kind",
    no_reading_text(NoReading) = "no-reading",
    outcome_text(Outcome) = "outcome",
    owner_answer_text(OwnerAnswer) = "owner-answer",
    party_text(Party) = "party",
    reaction_text(Reaction) = "reaction",
    scope_text(Scope) = "scope",
    shows_text(Shows) = "shows",
    sleeps_text(Sleeps) = "sleeps",
    spot_kind_text(SpotKind) = "spot-kind",
    stage_text(Stage) = "stage",
    step_text(Step) = "step",
    surface_text(Surface) = "surface",
    view_text(View) = "view",
    wash_habit_text(WashHabit) = "wash-habit",
    way_of_looking_text(WayOfLooking) = "way-of-looking",
    whole_side_text(WholeSide) = "whole-side",
    why_text(Why) = "why",
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
