//! The door: what phones, the desk tool and other programs call. Each method locks the notebook, decides, commits and
//! returns what changed; no rule lives here.

mod backup;
mod bundle;
mod calc;
mod check;
mod cosign;
mod devices;
mod drawing;
mod fleet;
mod jobs;
mod join;
mod keeping;
mod light;
mod looking;
mod notebook;
mod offered;
mod platform;
mod receipt;
mod schedule;
mod time;
mod treat;
mod typed;
mod walk;
mod words;
mod work;

pub use crate::record::views::{CosignedView, DeviceView};
pub use backup::{OldLogView, RestoreView, restore};
pub use bundle::{BundleView, BundleWish};
pub use calc::{panel_said, read_fleet_list, usual_steering};
pub use check::{CheckProgress, CheckView, FindingView};
pub use cosign::ClosingSigned;
pub use drawing::{
    DrawingView, LineView, LineWeight, PlaceDrawn, PointDrawn, StrokeOn, drawing, drawn_at, stroke_on,
};
pub use fleet::{FleetImport, FleetJob};
pub use jobs::{DayList, Identity, JobList};
pub use join::{ForkView, JoinView, PackView, RefusedView, TakenView};
pub use keeping::{
    ArchiveView, BringBackView, ErasedView, ErasureView, ExportView, ReleaseView, RetentionRule,
};
pub use light::{BlankAsk, NextAsk, SunAsk, often_missed, stand_beside, sun_plan};
pub use looking::{
    AgeOffered, LookedNow, NextNow, SpentOffered, StandNow, StandTouched, Turned, ages_offered, earth_at,
    earth_text, earth_typed, ground_drawing, light_has_image, spent_offered, stand_at, stand_drawn,
    stand_named, stand_text, steps_offered, swept,
};
pub use notebook::{Changes, Notebook, Reader};
pub use offered::{LayerOffered, WorkNow, sheets_offered};
pub use platform::{Clock, HardwareKey, Now, Platform, Random, SeedVault};
pub use receipt::{ReceiptCheck, ReceiptView};
pub use time::{TimeAskedView, TimeRequest, TimeToken};
pub use treat::{reactions_offered, work_offered};
pub use typed::{
    humidities_text, humidities_typed, humidity_typed_ppm, span_text, span_typed, temperature_typed_mc,
    temperatures_text, temperatures_typed,
};
pub use walk::{length_typed_um, readings_so_far, slip_ms};
pub use words::{
    ambient_text, area_text, catch_text, cloth_out_text, copy_given_text, corner_text, distance_text,
    feel_level_text, feel_method_text, finish_text, form_text, holds_text, kinds_offered, light_text,
    locale_of, mark_kind_text, no_reading_text, outcome_text, owner_answer_text, panel_name, party_text,
    reaction_text, scope_text, shows_text, sleeps_text, spot_kind_text, stage_text, step_text,
    surface_kind_text, surface_text, tool_text, view_text, wash_habit_text, way_of_looking_text,
    whole_side_text, why_text, zone_use_text,
};
pub use work::{Alarm, AlarmBell};
