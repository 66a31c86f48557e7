//! Each page and each act with its address.

use super::acts::FilledIn;
use super::answer::{Page, Told, refused_act, refused_page};
use super::entrance::Entrance;
use super::files::Download;
use super::guard::{Guard, guard};
use super::refusal::Refusal;
use super::workroom::Workroom;
use super::{acts, address, assets, files, pages};
use crate::keeping::FileVersion;
use crate::syntax::MAX_FILE;
use axum::body::Bytes;
use axum::extract::rejection::{BytesRejection, FormRejection, PathRejection, QueryRejection};
use axum::extract::{DefaultBodyLimit, Path, Query, State};
use axum::http::header::IF_MATCH;
use axum::http::{HeaderMap, StatusCode};
use axum::middleware::from_fn_with_state;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{MethodRouter, get, post};
use axum::{Form, Router};
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;
use tower_http::limit::RequestBodyLimitLayer;
use tower_http::timeout::TimeoutLayer;

/// So long a request may take, its body and its answer.
const AT_MOST: Duration = Duration::from_secs(60);

/// What stands behind the `?` of an address, each once.
pub type Asked = BTreeMap<String, String>;

/// Every address, behind the guard of an entrance.
pub fn routes(workroom: &Arc<Workroom>, entrance: &Arc<Entrance>) -> Router {
    let keeper = Arc::new(Guard::of(Arc::clone(entrance)));
    Router::new()
        .route("/", page(pages::workroom::show))
        .route("/formula/{file}/{name}", page_of_file(pages::formula::show))
        .route("/text/{file}", page_of_whole_file(pages::formula::show_file))
        .route("/label/{file}/{name}", page_of_file(pages::label::show))
        .route("/file/{file}/{name}/{word}", file_of_formula())
        .route(address::BOOK, file(files::book))
        .route(address::BEGIN_VERSIONS, page(pages::versions::show).merge(form(acts::versions::begin)))
        .route("/batch/{file}/{name}", page_of_file(pages::bench::show).merge(form_of_file(acts::bench::write)))
        .route("/store", page(pages::store::show))
        .route("/shelf", page(pages::shelf::show))
        .route("/trace", page(pages::trace::show))
        .route("/explain/{code}", get(async |Path(code): Path<String>| shown(pages::explain::show(&code))))
        .route("/assets/{name}", get(async |Path(name): Path<String>| assets::asset(&name)))
        .route("/changes", asked(acts::changes::told))
        .route("/text", asked(acts::text::told))
        .route("/check", act(acts::formula::check))
        .route("/results", act(acts::formula::results))
        .route("/complete", act(acts::formula::complete))
        .route("/compare", act(acts::formula::compare))
        .route("/new", page(pages::new::show).merge(act(acts::new::new)))
        .route("/begin", act(acts::formula::begin))
        .route("/keep", act(acts::formula::keep))
        .route("/versions", act(acts::formula::versions))
        .with_state(Arc::clone(workroom))
        .layer(DefaultBodyLimit::max(MAX_FILE))
        .layer(RequestBodyLimitLayer::new(MAX_FILE))
        .layer(TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, AT_MOST))
        .layer(from_fn_with_state(keeper, guard))
}

type Rooms = State<Arc<Workroom>>;
type AskedFor = Result<Query<Asked>, QueryRejection>;

/// A page of the whole folder.
fn page(show: fn(&Workroom, &Asked) -> Result<Page, Refusal>) -> MethodRouter<Arc<Workroom>> {
    get(async move |State(workroom): Rooms, asked: AskedFor| {
        let Ok(Query(asked)) = asked else { return refused_page(&Refusal::of_status(StatusCode::BAD_REQUEST)) };
        shown(at_work(workroom, move |workroom| show(workroom, &asked)).await)
    })
}

/// A page of something in a file: `/KIND/FILE/NAME`, each part decoded once.
fn page_of_file(show: fn(&Workroom, &str, &str, &Asked) -> Result<Page, Refusal>) -> MethodRouter<Arc<Workroom>> {
    type Parts = Result<Path<(String, String)>, PathRejection>;
    get(async move |State(workroom): Rooms, parts: Parts, asked: AskedFor| {
        let (Ok(Path((file, name))), Ok(Query(asked))) = (parts, asked) else {
            return refused_page(&Refusal::of_status(StatusCode::NOT_FOUND));
        };
        shown(at_work(workroom, move |workroom| show(workroom, &file, &name, &asked)).await)
    })
}

/// A page of a whole file: `/KIND/FILE`, decoded once.
fn page_of_whole_file(show: fn(&Workroom, &str, &Asked) -> Result<Page, Refusal>) -> MethodRouter<Arc<Workroom>> {
    type Part = Result<Path<String>, PathRejection>;
    get(async move |State(workroom): Rooms, part: Part, asked: AskedFor| {
        let (Ok(Path(file)), Ok(Query(asked))) = (part, asked) else {
            return refused_page(&Refusal::of_status(StatusCode::NOT_FOUND));
        };
        shown(at_work(workroom, move |workroom| show(workroom, &file, &asked)).await)
    })
}

/// Something that a page asks for and that changes nothing, as JSON.
fn asked(tell: fn(&Workroom, &Asked) -> Result<Told, Refusal>) -> MethodRouter<Arc<Workroom>> {
    get(async move |State(workroom): Rooms, asked: AskedFor| {
        let Ok(Query(asked)) = asked else { return refused_act(&Refusal::of_status(StatusCode::BAD_REQUEST)) };
        told(at_work(workroom, move |workroom| tell(workroom, &asked)).await)
    })
}

/// An act: a body of JSON, and in `If-Match` the version of the file that the page has read.
fn act<B: DeserializeOwned + Send + 'static>(
    done: fn(&Workroom, Option<FileVersion>, B) -> Result<Told, Refusal>,
) -> MethodRouter<Arc<Workroom>> {
    post(async move |State(workroom): Rooms, headers: HeaderMap, body: Result<Bytes, BytesRejection>| {
        let body = match body {
            Ok(body) => body,
            Err(rejection) => return refused_act(&Refusal::of_status(rejection.into_response().status())),
        };
        let version = match version(&headers) {
            Ok(version) => version,
            Err(refusal) => return refused_act(&refusal),
        };
        told(at_work(workroom, move |workroom| done(workroom, version, read(&body)?)).await)
    })
}

/// A file of the whole folder, to be saved.
fn file(make: fn(&Workroom) -> Result<Download, Refusal>) -> MethodRouter<Arc<Workroom>> {
    get(async move |State(workroom): Rooms| taken_away(at_work(workroom, make).await))
}

/// A formula as a file: `/file/FILE/NAME/WORD`, each part decoded once.
fn file_of_formula() -> MethodRouter<Arc<Workroom>> {
    type Parts = Result<Path<(String, String, String)>, PathRejection>;
    get(async move |State(workroom): Rooms, parts: Parts, asked: AskedFor| {
        let (Ok(Path((file, name, word))), Ok(Query(asked))) = (parts, asked) else {
            return refused_page(&Refusal::of_status(StatusCode::NOT_FOUND));
        };
        taken_away(at_work(workroom, move |workroom| files::formula(workroom, &file, &name, &word, &asked)).await)
    })
}

/// A form of the whole folder.
fn form(done: fn(&Workroom, &Asked) -> Result<FilledIn, Refusal>) -> MethodRouter<Arc<Workroom>> {
    post(async move |State(workroom): Rooms, typed: Result<Form<Asked>, FormRejection>| {
        let typed = match typed {
            Ok(Form(typed)) => typed,
            Err(rejection) => return refused_page(&Refusal::of_status(rejection.into_response().status())),
        };
        match at_work(workroom, move |workroom| done(workroom, &typed)).await {
            Err(refusal) => refused_page(&refusal),
            Ok(filled_in) => filled_in.page.with_status(filled_in.status),
        }
    })
}

/// What a form does: with the workroom, the file, what stands in it, the version that was read, and what was typed.
type FormDone = fn(&Workroom, &str, &str, Option<FileVersion>, Asked) -> Result<FilledIn, Refusal>;

/// A form of a page of something in a file. A script gets the page as it is now; a browser without one goes on to it once
/// something was written, so that a reload sends nothing twice.
fn form_of_file(done: FormDone) -> MethodRouter<Arc<Workroom>> {
    type Parts = Result<Path<(String, String)>, PathRejection>;
    type Typed = Result<Form<Asked>, FormRejection>;
    post(async move |State(workroom): Rooms, parts: Parts, headers: HeaderMap, typed: Typed| {
        let Ok(Path((file, name))) = parts else { return refused_page(&Refusal::of_status(StatusCode::NOT_FOUND)) };
        let typed = match typed {
            Ok(Form(typed)) => typed,
            Err(rejection) => return refused_page(&Refusal::of_status(rejection.into_response().status())),
        };
        let version = match version(&headers) {
            Ok(version) => version,
            Err(refusal) => return refused_page(&refusal),
        };
        let filled_in = at_work(workroom, move |workroom| done(workroom, &file, &name, version, typed)).await;
        match filled_in {
            Err(refusal) => refused_page(&refusal),
            Ok(FilledIn { goes_to: Some(address), .. }) if !headers.contains_key(BY_SCRIPT) => {
                Redirect::to(&address).into_response()
            }
            Ok(filled_in) => filled_in.page.with_status(filled_in.status),
        }
    })
}

/// What a script of a page puts at the head of what it sends.
const BY_SCRIPT: &str = "x-stillroom";

/// The version of a file in `If-Match`, where there is one.
fn version(headers: &HeaderMap) -> Result<Option<FileVersion>, Refusal> {
    let Some(value) = headers.get(IF_MATCH) else { return Ok(None) };
    let version = value.to_str().ok().and_then(FileVersion::parse);
    version.map(Some).ok_or_else(|| Refusal::wrong("`If-Match` has no version of a file in it."))
}

fn read<B: DeserializeOwned>(body: &[u8]) -> Result<B, Refusal> {
    serde_json::from_slice(body).map_err(|error| Refusal::wrong(format!("What was sent cannot be read: {error}.")))
}

/// Works beside the connections, so that a long check keeps nobody waiting who asks for less.
async fn at_work<T: Send + 'static>(
    workroom: Arc<Workroom>,
    work: impl FnOnce(&Workroom) -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let done = tokio::task::spawn_blocking(move || work(&workroom)).await;
    done.unwrap_or_else(|_| Err(Refusal::of_status(StatusCode::INTERNAL_SERVER_ERROR)))
}

fn shown(page: Result<Page, Refusal>) -> Response {
    page.map_or_else(|refusal| refused_page(&refusal), |page| page.into_response())
}

fn taken_away(file: Result<Download, Refusal>) -> Response {
    file.map_or_else(|refusal| refused_page(&refusal), |file| file.into_response())
}

fn told(told: Result<Told, Refusal>) -> Response {
    told.map_or_else(|refusal| refused_act(&refusal), |told| told.into_response())
}
