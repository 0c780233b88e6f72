//! Places at which spots are usually missed, in walking order. Pure. Common practice, no source.

use super::order::panels_in_walking_order;
use crate::record::words::{Form, Locale};

/// The panels of a form with where to look on each, in walking order.
pub fn often_missed(form: Form, locale: Locale) -> Vec<(&'static str, &'static str)> {
    let rows: Vec<(&str, [&str; 2])> = include_str!("words/missed.tsv")
        .lines()
        .skip(1)
        .filter_map(|line| {
            let mut cells = line.split('\t');
            Some((cells.next()?, [cells.next()?, cells.next()?]))
        })
        .collect();
    let text = |texts: &[&'static str; 2]| match locale {
        Locale::EnGb => texts[0],
        Locale::EnUs => texts[1],
    };
    panels_in_walking_order(form)
        .into_iter()
        .filter_map(|id| rows.iter().find(|(panel, _)| *panel == id).map(|(_, texts)| (id, text(texts))))
        .collect()
}
