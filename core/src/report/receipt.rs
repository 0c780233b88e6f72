//! The receipt at the end of a copy that is given during the visit. Pure.

use super::assemble::Document;
use maud::{Markup, PreEscaped, html};

/// The square and its letters; nothing if no receipt was asked for, or if it cannot be drawn.
pub(super) fn receipt(document: &Document) -> Markup {
    let given = document.about.receipt.as_ref();
    let drawn = given.and_then(|receipt| Some((receipt, receipt.svg().ok()?)));
    html! {
        @if let Some((receipt, svg)) = drawn {
            section.receipt {
                h2 { "Receipt" }
                p {
                    "Keep this square or these letters. They say which " (receipt.head().size) " entries were on record on the phone "
                    "when this copy was made. If what is shown later was not there then, or what was there is gone, they show it: "
                    "give them to whoever checks the record. They hold nothing about the vehicle or its owner."
                }
                figure { (PreEscaped(svg)) figcaption { "The same as the letters below, for a camera." } }
                pre { code { (receipt.text()) } }
            }
        }
    }
}
