//! What an owner is asked to answer to, entry by entry. Pure.

use super::JobView;
use crate::record::views::EntryKind;
use serde::Serialize;

/// An entry that the owner can agree with or not.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ItemAsked {
    /// The entry's id.
    pub entry: String,
    /// The entry, to read aloud: `Mark 3, left front door: scratch, about 18 mm`.
    pub text: String,
    /// When it was found, to read.
    pub found: String,
}

/// Marks first, as they were found, then findings over whole panels, instruments, belongings and what happened.
pub fn items_asked(view: &JobView) -> Vec<ItemAsked> {
    let marks = view.marks.iter().map(|mark| {
        let size = mark.size.as_ref().map(|size| format!(", {size}")).unwrap_or_default();
        ItemAsked {
            entry: mark.id.clone(),
            text: format!("Mark {}, {}: {}{size}", mark.label, mark.panel_name, mark.kind_text),
            found: mark.found.clone(),
        }
    });
    let asked = |kind: EntryKind| {
        matches!(
            kind,
            EntryKind::General | EntryKind::Instruments | EntryKind::Belongings | EntryKind::Incident
        )
    };
    let entries = view.visit.iter().filter(|entry| asked(entry.kind)).map(|entry| ItemAsked {
        entry: entry.id.clone(),
        text: entry.lines.iter().chain(&entry.typed).cloned().collect::<Vec<_>>().join("; "),
        found: entry.stamp.time.clone(),
    });
    marks.chain(entries).collect()
}
