//! Calculators that need no notebook.

use crate::record::fleet::{self, FleetList};
use crate::record::words::{Form, Locale, Steering};
use crate::vehicle;

/// The panel that a person means: "driver's door", "nearside front wing", "hood" (neutral name; none when the form has no
/// such panel). `country` is an ISO 3166-1 alpha-2 code, which says on which side the kerb is.
#[uniffi::export]
pub fn panel_said(
    said: String,
    form: Form,
    country: String,
    steering: Steering,
    locale: Locale,
) -> Option<String> {
    let traffic = vehicle::traffic_of(&country);
    let side = |spoken| vehicle::side_of(spoken, traffic, steering);
    vehicle::panel_with_side(locale, form, &said, side).map(str::to_owned)
}

/// On which side a country's cars have their steering wheel as a rule; imports and post vans break it.
#[uniffi::export]
pub fn usual_steering(country: String) -> Steering {
    vehicle::usual_steering(vehicle::traffic_of(&country))
}

/// Reads a fleet's list of vehicles from CSV; errors are told by row, and never drop the others.
#[uniffi::export]
pub fn read_fleet_list(csv: Vec<u8>) -> FleetList {
    fleet::read_fleet(&csv)
}
