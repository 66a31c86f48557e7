//! The connections: taken on the loopback address, with `lan` on that of the network too, until it is to end.

use super::entrance::Entrance;
use super::routes::routes;
use super::workroom::Workroom;
use crate::keeping::Moment;
use crate::render::shown_path;
use crate::workspace::{unread, unwritten};
use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use std::fmt;
use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Semaphore;

/// So many connections are held at an entrance; more wait outside.
const CONNECTIONS: usize = 128;
/// So long a connection may take over the head of a request, or stay without one.
const HEAD: Duration = Duration::from_secs(20);
/// The head of a request is no larger than this.
const HEAD_SIZE: usize = 32 * 1024;
/// And has no more fields than this.
const FIELDS: usize = 64;
/// So many checks run at a time.
const AT_WORK: usize = 8;

/// What is opened, and how.
pub struct Settings {
    /// The folder with the formulas.
    pub folder: PathBuf,
    /// The port; a free one where it is nought.
    pub port: u16,
    /// Whether others in the same network may come in too, with a token of their own.
    pub lan: bool,
    /// The day and the hour.
    pub clock: fn() -> Moment,
    /// Returns when all is to end; none where only Ctrl-C ends it.
    pub until: Option<fn()>,
}

/// Where the workroom can be reached.
pub struct Opened {
    /// From this machine.
    pub here: Arc<Entrance>,
    /// From the network, where that is asked for.
    pub lan: Option<Arc<Entrance>>,
}

/// Why the workroom cannot be opened, in a sentence.
#[derive(Debug)]
pub struct OpenError(String);

impl fmt::Display for OpenError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for OpenError {}

/// Opens the workroom, says where through `told`, and goes on until it is to end.
///
/// # Errors
/// A folder that is none, a port that is taken, and a machine that is in no network.
pub fn open(settings: &Settings, told: impl FnOnce(&Opened)) -> Result<(), OpenError> {
    let workroom = Arc::new(Workroom::of(&folder(&settings.folder)?, settings.clock));
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().max_blocking_threads(AT_WORK).build();
    let runtime = runtime.map_err(|error| OpenError(format!("The pages cannot be opened: {}.", unwritten(&error))))?;
    runtime.block_on(served(settings, &workroom, told))
}

/// The folder without links.
fn folder(named: &Path) -> Result<PathBuf, OpenError> {
    let failed = |error: &io::Error| OpenError(format!("`{}` cannot be opened: {}.", shown_path(named), unread(error)));
    let folder = named.canonicalize().map_err(|error| failed(&error))?;
    match folder.is_dir() {
        true => Ok(folder),
        false => Err(OpenError(format!("`{}` is no folder: name the one with your formulas.", shown_path(named)))),
    }
}

async fn served(settings: &Settings, workroom: &Arc<Workroom>, told: impl FnOnce(&Opened)) -> Result<(), OpenError> {
    let here = bound(IpAddr::V4(Ipv4Addr::LOCALHOST), settings.port).await?;
    let (here, port) = (entrance(here)?, settings.port);
    let lan = if settings.lan { Some(entrance(bound(network_address()?, port).await?)?) } else { None };
    if let Some((_, entrance)) = &lan {
        workroom.is_open_to(entrance.link());
    }
    // The first page is asked for in a moment: what it needs is looked at meanwhile.
    let first = Arc::clone(workroom);
    tokio::task::spawn_blocking(move || first.look_ahead());
    told(&Opened { here: Arc::clone(&here.1), lan: lan.as_ref().map(|(_, entrance)| Arc::clone(entrance)) });
    let ends = ended(settings.until);
    let at = |(listener, entrance): (TcpListener, Arc<Entrance>)| taken(listener, routes(workroom, &entrance));
    let outside = async {
        match lan {
            Some(lan) => at(lan).await,
            None => std::future::pending().await,
        }
    };
    tokio::select! {
        () = at(here) => {}
        () = outside => {}
        () = ends => {}
    }
    Ok(())
}

async fn bound(address: IpAddr, port: u16) -> Result<TcpListener, OpenError> {
    TcpListener::bind(SocketAddr::new(address, port)).await.map_err(|error| {
        OpenError(match error.kind() {
            io::ErrorKind::AddrInUse => {
                format!("Port {port} is taken by another program: name another with `--port`, or none.")
            }
            io::ErrorKind::PermissionDenied => format!("Port {port} may not be used: name one above 1023."),
            _ => format!("{address}, port {port}, cannot be listened on: {}.", unwritten(&error)),
        })
    })
}

fn entrance(listener: TcpListener) -> Result<(TcpListener, Arc<Entrance>), OpenError> {
    let address = listener.local_addr();
    let address = address.map_err(|error| OpenError(format!("The address is not known: {}.", unwritten(&error))))?;
    let entrance = Entrance::at(address);
    let entrance = entrance.map_err(|_| OpenError("This system gives no chance to make a token of.".to_string()))?;
    Ok((listener, Arc::new(entrance)))
}

/// The address of this machine in its network.
fn network_address() -> Result<IpAddr, OpenError> {
    local_ip_address::local_ip().ok().filter(|address| !address.is_loopback()).ok_or_else(|| {
        OpenError("This machine is in no network just now, so `--lan` has nothing to listen on.".to_string())
    })
}

/// Ends when Ctrl-C is pressed, when the system asks for it, or with `until`.
async fn ended(until: Option<fn()>) {
    let (end, is_over) = tokio::sync::oneshot::channel();
    if let Some(until) = until {
        // A thread of its own, which nobody waits for: what it waits for may never come.
        std::thread::spawn(move || {
            until();
            let _ = end.send(());
        });
    }
    let by_hand = async {
        match until {
            Some(_) => drop(is_over.await),
            None => std::future::pending().await,
        }
    };
    tokio::select! {
        () = by_hand => {}
        () = interrupted() => {}
        () = told_to_end() => {}
    }
}

async fn interrupted() {
    if tokio::signal::ctrl_c().await.is_err() {
        std::future::pending().await
    }
}

#[cfg(unix)]
async fn told_to_end() {
    match tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate()) {
        Ok(mut signal) => drop(signal.recv().await),
        Err(_) => std::future::pending().await,
    }
}

#[cfg(not(unix))]
async fn told_to_end() {
    std::future::pending().await
}

/// Takes connections, so many at a time.
async fn taken(listener: TcpListener, router: Router) {
    let places = Arc::new(Semaphore::new(CONNECTIONS));
    loop {
        let Ok(place) = Arc::clone(&places).acquire_owned().await else { return };
        match listener.accept().await {
            Ok((stream, _)) => {
                let router = router.clone();
                tokio::spawn(async move {
                    answered(stream, router).await;
                    drop(place);
                });
            }
            // Too many files are open, or the one who came is gone: a moment later it may do.
            Err(_) => tokio::time::sleep(Duration::from_millis(50)).await,
        }
    }
}

/// Answers the requests of one connection. What goes wrong with it is the business of who holds its other end.
async fn answered(stream: TcpStream, router: Router) {
    let _ = stream.set_nodelay(true);
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(HEAD).max_buf_size(HEAD_SIZE).max_headers(FIELDS);
    let _ = http.serve_connection(TokioIo::new(stream), TowerToHyperService::new(router)).await;
}

// Of the loopback addresses only Linux answers to all.
#[cfg(test)]
#[cfg(target_os = "linux")]
mod tests {
    use super::{bound, entrance, taken};
    use crate::keeping::Moment;
    use crate::server::routes::routes;
    use crate::server::workroom::Workroom;
    use std::io::{Read as _, Write as _};
    use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpStream};
    use std::sync::Arc;

    fn asked(at: SocketAddr, head: &str) -> (u16, String) {
        let mut stream = TcpStream::connect(at).unwrap();
        stream.write_all(format!("{head}Connection: close\r\n\r\n").as_bytes()).unwrap();
        let mut text = String::new();
        stream.read_to_string(&mut text).unwrap();
        (text.split(' ').nth(1).unwrap().parse().unwrap(), text)
    }

    /// A second entrance as `--lan` makes it, at an address of this machine that is not the first one's.
    #[test]
    fn another_entrance_answers_to_its_own_name_and_its_own_token() {
        let held = tempfile::tempdir().unwrap();
        let folder = held.path().canonicalize().unwrap();
        let clock = || Moment { day: "2026-11-28".to_string(), hour: "10:00".to_string() };
        let workroom = Arc::new(Workroom::of(&folder, clock));
        let (tell, told) = std::sync::mpsc::channel();
        std::thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
            runtime.block_on(async {
                let first = entrance(bound(IpAddr::V4(Ipv4Addr::LOCALHOST), 0).await.unwrap()).unwrap();
                let lan = entrance(bound(IpAddr::V4(Ipv4Addr::new(127, 0, 0, 2)), 0).await.unwrap()).unwrap();
                let host = |of: &tokio::net::TcpListener| of.local_addr().unwrap();
                tell.send((host(&lan.0), lan.1.link(), host(&first.0), first.1.link())).unwrap();
                taken(lan.0, routes(&workroom, &lan.1)).await;
            });
        });
        let (at, own, first_at, other) = told.recv().unwrap();
        let token = |link: &str| link.split_once("?token=").unwrap().1.to_string();
        let host = at.to_string();
        let come_in = |host: &str, token: &str| asked(at, &format!("GET /?token={token} HTTP/1.1\r\nHost: {host}\r\n"));
        let (status, text) = come_in(&host, &token(&own));
        assert_eq!(status, 303, "{text}");
        let cookie = text.lines().find_map(|line| line.strip_prefix("set-cookie: ")).unwrap();
        let cookie = cookie.split(';').next().unwrap();
        let page = |host: &str, more: &str| asked(at, &format!("GET / HTTP/1.1\r\nHost: {host}\r\n{more}"));
        assert_eq!(page(&host, &format!("Cookie: {cookie}\r\n")).0, 200);
        assert_eq!(page(&host, "").0, 403, "without a token");
        assert_eq!(come_in(&host, &token(&other)).0, 403, "the token of the other entrance");
        let first_host = first_at.to_string();
        let elsewhere = format!("example.org:{}", at.port());
        for foreign in [first_host.as_str(), "127.0.0.2", "example.org", elsewhere.as_str()] {
            assert_eq!(page(foreign, &format!("Cookie: {cookie}\r\n")).0, 403, "{foreign}");
            assert_eq!(come_in(foreign, &token(&own)).0, 403, "{foreign}");
        }
        let post = |origin: &str| {
            let head = format!(
                "POST /check HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\nOrigin: {origin}\r\nContent-Length: 0\r\n"
            );
            asked(at, &head).0
        };
        assert_eq!(post(&format!("http://{first_host}")), 403);
        assert_eq!(post(&format!("http://{host}")), 400, "its own page, with a body that says nothing");
    }
}
