//! What the pages fetch of their own: styles and scripts, kept in the program. Nothing of a user's file is among them.

use crate::page::{SHEET_STYLES, STYLES};
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse as _, Response};

/// A file of the pages.
struct Asset {
    name: &'static str,
    kind: &'static str,
    text: &'static str,
}

const STYLE: &str = "text/css; charset=utf-8";
const SCRIPT: &str = "text/javascript; charset=utf-8";

/// Every file of the pages.
const ASSETS: &[Asset] = &[
    Asset { name: "stillroom.css", kind: STYLE, text: STYLES },
    Asset { name: "bench.js", kind: SCRIPT, text: include_str!("assets/bench.js") },
    Asset { name: "ask.js", kind: SCRIPT, text: include_str!("../page/assets/ask.js") },
    Asset { name: "completion.js", kind: SCRIPT, text: include_str!("../page/assets/completion.js") },
    Asset { name: "conflict.js", kind: SCRIPT, text: include_str!("../page/assets/conflict.js") },
    Asset { name: "faults.js", kind: SCRIPT, text: include_str!("../page/assets/faults.js") },
    Asset { name: "field.js", kind: SCRIPT, text: include_str!("../page/assets/field.js") },
    Asset {
        name: "formula.css",
        kind: STYLE,
        text: concat!(include_str!("../page/assets/formula-parts.css"), include_str!("../page/assets/formula.css")),
    },
    Asset { name: "formula.js", kind: SCRIPT, text: include_str!("../page/assets/formula.js") },
    Asset {
        name: "label.css",
        kind: STYLE,
        text: concat!(include_str!("../page/assets/label.css"), include_str!("../page/assets/label-paper.css")),
    },
    Asset { name: "label.js", kind: SCRIPT, text: include_str!("../page/assets/label.js") },
    Asset { name: "new.js", kind: SCRIPT, text: include_str!("../page/assets/new.js") },
    Asset { name: "sheet.css", kind: STYLE, text: SHEET_STYLES },
    Asset { name: "watch.js", kind: SCRIPT, text: include_str!("assets/watch.js") },
    Asset { name: "fresh.js", kind: SCRIPT, text: include_str!("assets/fresh.js") },
];

/// A file of the pages by its name.
pub fn asset(name: &str) -> Response {
    match ASSETS.iter().find(|asset| asset.name == name) {
        Some(asset) => (StatusCode::OK, [(CONTENT_TYPE, asset.kind)], asset.text).into_response(),
        None => StatusCode::NOT_FOUND.into_response(),
    }
}
