//! `--lan`: what it says, the code that is scanned, and two entrances that have nothing in common. Only the loopback
//! address is contacted; the entrance for the network is held by the tests beside it in `src/server/listen.rs`.

use crate::common::folder;
use crate::served::{GEL, Served};
use std::fs::File;
use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

/// What it told beside its address, once that has all been written.
fn told(at: &Path) -> String {
    for _ in 0..200 {
        let text = std::fs::read_to_string(at).unwrap();
        // The code comes last, with a blank edge below it.
        if text.lines().rev().take_while(|line| line.trim().is_empty()).count() > 1 && text.contains('\u{2580}') {
            return text;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    panic!("no code was printed: {}", std::fs::read_to_string(at).unwrap());
}

#[test]
fn a_phone_is_given_an_address_of_its_own_and_what_that_means() {
    let room = folder(&[("room/gel.still", GEL.as_bytes())]);
    if local_ip_address::local_ip().ok().is_none_or(|address| address.is_loopback()) {
        // A machine in no network says so, and ends.
        let words = ["open", "room", "--no-browser", "--lan"];
        let (code, out, err) = crate::common::mend::run(room.dir.path(), &words);
        assert_eq!((code, out.as_str()), (2, ""));
        assert!(err.contains("is in no network just now"), "{err}");
        return;
    }
    let at = room.dir.path().join("told.txt");
    let served = Served::with(&room.dir.path().join("room"), &["--lan"], &[], Stdio::from(File::create(&at).unwrap()));
    let text = told(&at);
    for words in ["can read these formulas and write in them", "not encrypted", "until the program ends"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let link = text.lines().find_map(|line| line.strip_prefix("For the phone: ")).unwrap_or_else(|| panic!("{text}"));
    let (host, token) = link.strip_prefix("http://").and_then(|rest| rest.split_once("/?token=")).unwrap();
    assert!(!host.starts_with("127.") && host != served.host && token.len() == 64 && token != served.token, "{link}");
    // The code: dark and light in two halves of a line, a square with its blank edge.
    let code: Vec<&str> = text.lines().skip_while(|line| !line.starts_with("For the phone")).skip(1).collect();
    let code: Vec<&str> = code.into_iter().take_while(|line| !line.is_empty()).collect();
    let wide = code[0].chars().count();
    assert!(wide > 40 && code.iter().all(|line| line.chars().count() == wide), "{text}");
    assert_eq!(code.len(), wide.div_ceil(2), "{text}");

    // The page of the workroom shows the same, with the code as a picture that has a name.
    let page = served.get("/").body;
    assert!(page.contains("On a phone in the same network") && page.contains(&link.replace('&', "&amp;")), "{page}");
    assert!(page.contains("role=\"img\" aria-label=\"The address as a code to scan\"><svg"), "{page}");
    assert!(page.contains("not encrypted"), "{page}");

    // From this machine the one does not open the other: neither its token nor its name.
    let loopback = &served.host;
    for head in [
        format!("GET /?token={token} HTTP/1.1\r\nHost: {loopback}\r\n"),
        format!("GET /?token={} HTTP/1.1\r\nHost: {host}\r\n", served.token),
        format!("GET / HTTP/1.1\r\nHost: {host}\r\nCookie: {}\r\n", served.cookie),
        format!("GET / HTTP/1.1\r\nHost: {loopback}\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {loopback}\r\nCookie: {}\r\nOrigin: http://{host}\r\n", served.cookie),
    ] {
        let answer = served.raw(&head, b"").unwrap();
        assert_eq!(answer.status, 403, "{head}: {answer:?}");
        assert!(!answer.body.contains(token) && !answer.body.contains("Water gel"), "{answer:?}");
    }
    assert_eq!(served.ends(), Some(0));
}

#[test]
fn without_it_nothing_is_said_of_a_network() {
    let room = folder(&[("room/gel.still", GEL.as_bytes())]);
    let at = room.dir.path().join("told.txt");
    let served = Served::with(&room.dir.path().join("room"), &[], &[], Stdio::from(File::create(&at).unwrap()));
    assert!(!served.get("/").body.contains("On a phone in the same network"));
    assert_eq!(served.ends(), Some(0));
    assert_eq!(std::fs::read_to_string(&at).unwrap(), "");
}
