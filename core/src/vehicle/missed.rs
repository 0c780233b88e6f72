//! Places at which spots are usually missed, in walking order. Pure. Common practice, no source.

use super::names::{column, rows};
use super::order::panels_in_walking_order;
use crate::record::words::{Form, Locale};

/// The panels of a form with where to look on each, in walking order.
pub fn often_missed(form: Form, locale: Locale) -> Vec<(&'static str, &'static str)> {
    let rows = rows(include_str!("words/missed.tsv"));
    let row = |id: &str| rows.iter().find(|row| row.id == id);
    panels_in_walking_order(form)
        .into_iter()
        .filter_map(|id| Some((id, row(id)?.texts[column(locale)])))
        .collect()
}
