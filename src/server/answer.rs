//! What a page and an act answer with.

use super::refusal::Refusal;
use crate::keeping::FileVersion;
use crate::page::{self as shell, Place, frame, prose};
use axum::body::Body;
use axum::http::header::{CONTENT_TYPE, ETAG};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use serde::Serialize;
use serde_json::Value;

/// A page.
pub struct Page {
    /// Its title and its one heading of the first rank.
    pub title: String,
    /// What kind of page it is, for its looks: `workroom`, `formula`, `bench`.
    pub kind: &'static str,
    /// What stands below the heading.
    pub lead: Markup,
    /// What stands in its `main`; its headings begin with the second rank.
    pub body: Markup,
    /// Which of the places it is, by its address; empty where it is none.
    pub here: &'static str,
    /// Its scripts, as assets.
    pub scripts: &'static [&'static str],
    /// The version of the file that it shows, where it shows one.
    pub version: Option<FileVersion>,
}

impl Page {
    /// A page without a script, and of no one file.
    pub fn new(title: impl Into<String>, kind: &'static str, body: Markup) -> Page {
        Page { title: title.into(), kind, lead: html! {}, body, here: "", scripts: &[], version: None }
    }

    /// The page as an answer of another status than 200: what was typed is in it still.
    pub fn with_status(self, status: StatusCode) -> Response {
        let version = self.version.clone();
        with_version(html_response(status, self.text()), version.as_ref())
    }

    /// The whole text of the page.
    fn text(self) -> String {
        let place = |(words, address)| Place { words, address, is_here: self.here == address };
        let places = PLACES.map(place);
        let page = shell::Page {
            title: &self.title,
            class: self.kind,
            lead: self.lead,
            places: &places,
            body: self.body,
            foot: html! {},
        };
        frame(&page, self.scripts)
    }
}

/// Where one can go from every page.
const PLACES: [(&str, &str); 4] =
    [("Workroom", "/"), ("Store room", "/store"), ("Shelf", "/shelf"), ("Trace", "/trace")];

impl IntoResponse for Page {
    fn into_response(self) -> Response {
        self.with_status(StatusCode::OK)
    }
}

/// What an act tells the page.
pub struct Told {
    json: Value,
    version: Option<FileVersion>,
}

impl Told {
    /// An answer of no one file.
    ///
    /// # Errors
    /// A value that JSON has no words for.
    pub fn new(value: &impl Serialize) -> Result<Told, Refusal> {
        let json = serde_json::to_value(value).map_err(|error| Refusal::fault(error.to_string()))?;
        Ok(Told { json, version: None })
    }

    /// The same, with the version that the file has now.
    #[must_use]
    pub fn of(mut self, version: FileVersion) -> Told {
        self.version = Some(version);
        self
    }
}

impl IntoResponse for Told {
    fn into_response(self) -> Response {
        with_version(json_response(StatusCode::OK, &self.json), self.version.as_ref())
    }
}

/// A refusal as a page.
pub fn refused_page(refusal: &Refusal) -> Response {
    let title = if refusal.status().is_server_error() { "That went wrong" } else { "Not here" };
    let body = html! { p role="alert" { (prose(refusal.sentence())) } };
    html_response(refusal.status(), Page::new(title, "refusal", body).text())
}

/// A refusal of an act.
pub fn refused_act(refusal: &Refusal) -> Response {
    json_response(refusal.status(), &refusal.json())
}

fn html_response(status: StatusCode, text: String) -> Response {
    (status, [(CONTENT_TYPE, "text/html; charset=utf-8")], Body::from(text)).into_response()
}

fn json_response(status: StatusCode, value: &Value) -> Response {
    (status, [(CONTENT_TYPE, "application/json")], Body::from(value.to_string())).into_response()
}

fn with_version(mut response: Response, version: Option<&FileVersion>) -> Response {
    let value = version.and_then(|version| HeaderValue::from_str(&version.to_string()).ok());
    if let Some(value) = value {
        response.headers_mut().insert(ETAG, value);
    }
    response
}
