//! What stands before every page: who asks, by which name, from which page, how much and how often.

use super::answer::{refused_act, refused_page};
use super::entrance::Entrance;
use super::rate::Rate;
use super::refusal::Refusal;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, COOKIE, HOST, HeaderName, LOCATION, ORIGIN, REFERRER_POLICY,
    RETRY_AFTER, SET_COOKIE, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

/// So many requests are worked on at a time.
const AT_A_TIME: usize = 64;

/// No script and no style but those of the program, nothing from elsewhere, and no page of another around these.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; \
                      form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

const CROSS_ORIGIN_OPENER: HeaderName = HeaderName::from_static("cross-origin-opener-policy");
const CROSS_ORIGIN_RESOURCE: HeaderName = HeaderName::from_static("cross-origin-resource-policy");

/// Who stands at an entrance.
pub struct Guard {
    entrance: Arc<Entrance>,
    rate: Rate,
    working: AtomicUsize,
}

impl Guard {
    /// A guard of an entrance.
    pub fn of(entrance: Arc<Entrance>) -> Guard {
        Guard { entrance, rate: Rate::new(), working: AtomicUsize::new(0) }
    }

    /// Whether a request may go on; else what it is answered with.
    fn judge(&self, method: &Method, uri: &Uri, headers: &HeaderMap) -> Result<(), Box<Response>> {
        let stop = |refusal: Refusal| Box::new(refused(method, &refusal));
        self.is_from_here(method, headers).map_err(stop)?;
        let cookies = headers.get_all(COOKIE).iter().filter_map(|value| value.to_str().ok());
        let is_known = cookies.into_iter().any(|cookies| self.entrance.has_cookie(cookies));
        if let Some(token) = token(uri).filter(|_| method == Method::GET) {
            return match self.entrance.is_token(&token) {
                true => Err(Box::new(self.let_in(uri))),
                false => Err(stop(Refusal::forbidden(NOT_KNOWN))),
            };
        }
        if !is_known {
            return Err(stop(Refusal::forbidden(NOT_KNOWN)));
        }
        if !self.rate.takes() {
            return Err(stop(Refusal::of_status(StatusCode::TOO_MANY_REQUESTS)));
        }
        Ok(())
    }

    /// Whether a request calls this place by its name, and comes from one of its own pages.
    fn is_from_here(&self, method: &Method, headers: &HeaderMap) -> Result<(), Refusal> {
        let foreign = || Refusal::forbidden("This was asked from elsewhere, and is answered only to its own pages.");
        let one = |name: HeaderName| {
            let mut all = headers.get_all(name).iter();
            match (all.next(), all.next()) {
                (None, _) => Ok(None),
                (Some(only), None) => only.to_str().map(Some).map_err(|_| foreign()),
                _ => Err(foreign()),
            }
        };
        let host = one(HOST)?.filter(|host| self.entrance.is_host(host)).ok_or_else(foreign)?;
        let site = one(HeaderName::from_static("sec-fetch-site"))?;
        if site.is_some_and(|site| !matches!(site, "same-origin" | "none")) && method != Method::GET {
            return Err(foreign());
        }
        match one(ORIGIN)? {
            Some(origin) if self.entrance.is_origin(origin, host) => Ok(()),
            // A form of a page that says nothing of where it came from; only a browser can say that it is one of ours.
            Some("null") if site == Some("same-origin") => Ok(()),
            None if method == Method::GET => Ok(()),
            _ => Err(foreign()),
        }
    }

    /// Sends whoever brought the token on to the same address without it, known by a cookie from now on.
    fn let_in(&self, uri: &Uri) -> Response {
        let path = Some(uri.path()).filter(|path| path.starts_with('/') && !path.starts_with("//")).unwrap_or("/");
        let rest = uri.query().unwrap_or_default().split('&').filter(|pair| !pair.starts_with("token="));
        let rest: Vec<&str> = rest.filter(|pair| !pair.is_empty()).collect();
        let to = if rest.is_empty() { path.to_string() } else { format!("{path}?{}", rest.join("&")) };
        let headers = [(LOCATION, to), (SET_COOKIE, self.entrance.set_cookie())];
        (StatusCode::SEE_OTHER, headers, Body::empty()).into_response()
    }
}

const NOT_KNOWN: &str = "This workroom is open only to who has its address in full, with the token at its end. It stands \
                         in the window in which the program was started.";

/// The token of an address.
fn token(uri: &Uri) -> Option<String> {
    uri.query()?.split('&').find_map(|pair| pair.strip_prefix("token=")).map(String::from)
}

/// Lets a request through to its page, or answers it.
pub async fn guard(State(guard): State<Arc<Guard>>, request: Request, next: Next) -> Response {
    let (method, uri) = (request.method().clone(), request.uri().clone());
    let response = match guard.judge(&method, &uri, request.headers()) {
        Err(response) => *response,
        Ok(()) => match Place::taken(&guard.working) {
            None => refused(&method, &Refusal::of_status(StatusCode::TOO_MANY_REQUESTS)),
            Some(_place) => spoken(&method, next.run(request).await),
        },
    };
    with_rules(response)
}

/// One of the places for requests that are worked on.
struct Place<'g>(&'g AtomicUsize);

impl Place<'_> {
    fn taken(working: &AtomicUsize) -> Option<Place<'_>> {
        let place = Place(working);
        // Where it is one too many, it is given back at once.
        (working.fetch_add(1, Ordering::Relaxed) < AT_A_TIME).then_some(place)
    }
}

impl Drop for Place<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

fn refused(method: &Method, refusal: &Refusal) -> Response {
    if method == Method::GET { refused_page(refusal) } else { refused_act(refusal) }
}

/// A refusal of the library under this, which is a status and no more, in a sentence.
fn spoken(method: &Method, response: Response) -> Response {
    let status = response.status();
    let kind = response.headers().get(CONTENT_TYPE).map(HeaderValue::as_bytes);
    let is_ours = matches!(kind, Some(b"text/html; charset=utf-8" | b"application/json"));
    let is_refusal = status.is_client_error() || status.is_server_error();
    if is_refusal && !is_ours { refused(method, &Refusal::of_status(status)) } else { response }
}

/// The rules that a browser is to keep on every page.
fn with_rules(mut response: Response) -> Response {
    let too_many = response.status() == StatusCode::TOO_MANY_REQUESTS;
    let headers = response.headers_mut();
    let rules = [
        (CONTENT_SECURITY_POLICY, POLICY),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (X_FRAME_OPTIONS, "DENY"),
        (REFERRER_POLICY, "no-referrer"),
        (CACHE_CONTROL, "no-store"),
        (CROSS_ORIGIN_OPENER, "same-origin"),
        (CROSS_ORIGIN_RESOURCE, "same-origin"),
    ];
    for (name, value) in rules {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if too_many {
        headers.insert(RETRY_AFTER, HeaderValue::from_static("1"));
    }
    response
}
