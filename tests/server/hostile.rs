//! Requests that are refused, and a server that goes on.

use crate::common::folder;
use crate::served::{GEL, Served};
use std::fs;
use std::os::unix::fs::symlink;
use std::sync::atomic::{AtomicUsize, Ordering};

fn gel() -> crate::common::Folder {
    folder(&[
        ("room/gel.still", GEL.as_bytes()),
        ("room/note.txt", b"a secret note"),
        ("outside.still", GEL.as_bytes()),
    ])
}

#[test]
fn who_has_no_token_or_comes_from_elsewhere_is_refused() {
    let room = gel();
    let mut served = Served::on(&room.dir.path().join("room"));
    let (host, cookie) = (served.host.clone(), served.cookie.clone());
    let port = host.rsplit(':').next().unwrap();
    let refused = [
        format!("GET / HTTP/1.1\r\nHost: {host}\r\n"),
        format!("GET /assets/stillroom.css HTTP/1.1\r\nHost: {host}\r\n"),
        format!("GET /?token= HTTP/1.1\r\nHost: {host}\r\n"),
        format!("GET /?token={} HTTP/1.1\r\nHost: {host}\r\n", "0".repeat(64)),
        format!("GET / HTTP/1.1\r\nHost: {host}\r\nCookie: stillroom-{port}={}\r\n", "0".repeat(64)),
        format!("GET / HTTP/1.1\r\nHost: {host}\r\nCookie: stillroom-{port}={}\r\n", served.token),
        format!("GET / HTTP/1.1\r\nHost: example.org:{port}\r\nCookie: {cookie}\r\n"),
        format!("GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: {cookie}\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {host}\r\nHost: example.org\r\nCookie: {cookie}\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {host}\r\nOrigin: http://example.org\r\nCookie: {cookie}\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {host}\r\nOrigin: null\r\nCookie: {cookie}\r\n"),
        format!("GET /?token={} HTTP/1.1\r\nHost: example.org:{port}\r\n", served.token),
    ];
    for head in &refused {
        let answer = served.raw(head, b"").unwrap();
        assert_eq!(answer.status, 403, "{head}\n{answer:?}");
        assert!(!answer.body.contains("Water gel") && answer.field("set-cookie").is_none(), "{answer:?}");
        assert!(answer.body.contains("role=\"alert\""), "{answer:?}");
    }
    let (text, version) = served.text("gel.still");
    let body =
        serde_json::json!({ "file": "gel.still", "name": "gel", "text": format!("{text}# theirs\n") }).to_string();
    let post = |more: &str| {
        format!(
            "POST /keep HTTP/1.1\r\nHost: {host}\r\nIf-Match: \"{version}\"\r\nContent-Length: {}\r\n{more}",
            body.len()
        )
    };
    for more in [
        String::new(),
        format!("Origin: http://{host}\r\n"),
        format!("Cookie: {cookie}\r\n"),
        format!("Cookie: {cookie}\r\nOrigin: http://example.org\r\n"),
        format!("Cookie: {cookie}\r\nOrigin: http://localhost:{port}\r\n"),
        format!("Cookie: {cookie}\r\nOrigin: null\r\n"),
        format!("Cookie: {cookie}\r\nOrigin: http://{host}\r\nSec-Fetch-Site: cross-site\r\n"),
    ] {
        let answer = served.raw(&post(&more), body.as_bytes()).unwrap();
        assert_eq!(answer.status, 403, "{more}\n{answer:?}");
    }
    assert_eq!(served.text("gel.still").0, text);
    assert_eq!(fs::read_to_string(room.dir.path().join("room/gel.still")).unwrap(), GEL);
    served.goes_on();
    assert_eq!(served.ends(), Some(0));
}

#[test]
fn every_answer_tells_the_browser_its_rules() {
    let room = gel();
    let served = Served::on(&room.dir.path().join("room"));
    for answer in [served.get("/"), served.get("/nowhere"), served.get("/assets/watch.js"), served.get("/changes")] {
        let policy = answer.field("content-security-policy").unwrap();
        assert!(policy.starts_with("default-src 'none'; script-src 'self'; style-src 'self';"), "{policy}");
        assert!(policy.contains("frame-ancestors 'none'") && !policy.contains("unsafe"), "{policy}");
        let rules = ["x-content-type-options", "referrer-policy", "cache-control"].map(|name| answer.field(name));
        assert_eq!(rules, [Some("nosniff"), Some("no-referrer"), Some("no-store")], "{answer:?}");
        assert!(answer.field("access-control-allow-origin").is_none());
    }
}

#[test]
fn no_path_leaves_the_folder() {
    let room = gel();
    let inside = room.dir.path().join("room");
    symlink(room.dir.path().join("outside.still"), inside.join("link.still")).unwrap();
    symlink(room.dir.path(), inside.join("up")).unwrap();
    symlink(inside.join("gel.still"), inside.join("own.still")).unwrap();
    let mut served = Served::on(&inside);
    assert_eq!(served.get("/formula/gel.still/gel").status, 200);
    let files = [
        "..%2Foutside.still",
        "%2e%2e%2foutside.still",
        "%2e%2e/outside.still",
        "../outside.still",
        "..%5Coutside.still",
        "%252e%252e%252foutside.still",
        "..%252foutside.still",
        "%c0%ae%c0%ae%c0%afoutside.still",
        "%2Fetc%2Fpasswd",
        "up%2Foutside.still",
        "link.still",
        "own.still",
        "note.txt",
        "gel.still%00.txt",
        "note.txt%00.still",
        "gel.still%2F",
        ".%2Fgel.still",
        "room%2F..%2Fgel.still",
        "up%2Froom%2Fgel.still",
        "%ff.still",
        "",
        "..",
        "none.still",
    ];
    for file in files {
        for path in [
            format!("/formula/{file}/gel"),
            format!("/batch/{file}/b"),
            format!("/label/{file}/gel"),
            format!("/file/{file}/gel/sheet.html"),
            format!("/text?file={file}"),
            format!("/{file}"),
        ] {
            if path == "/" {
                // That is the workroom, which it may see.
                continue;
            }
            let answer = served.get(&path);
            assert!(matches!(answer.status, 400 | 404), "{path}: {answer:?}");
            assert!(!answer.body.contains("Water gel") && !answer.body.contains("secret note"), "{path}: {answer:?}");
        }
    }
    for file in ["../outside.still", "link.still", "up/outside.still", "note.txt", "/etc/passwd", "own.still"] {
        let version = "0".repeat(64);
        let answer = served.save(file, &version, "nothing");
        assert_eq!(answer.status, 404, "{file}: {answer:?}");
    }
    // A text that is not saved brings nothing from outside either.
    let text = GEL.replace("use shelf/all\n", "use shelf/all\nuse \"../outside.still\"\nuse \"link.still\"\n");
    let (_, version) = served.text("gel.still");
    assert_eq!(served.save("gel.still", &version, &text).status, 200);
    let page = served.get("/");
    assert_eq!(page.body.matches("Water gel").count(), 1, "{}", page.body);
    assert_eq!(fs::read_to_string(room.dir.path().join("outside.still")).unwrap(), GEL);
    served.goes_on();
}

#[test]
fn what_is_too_large_is_refused_and_the_server_goes_on() {
    let room = gel();
    let mut served = Served::on(&room.dir.path().join("room"));
    let head = |length: usize, more: &str| {
        format!(
            "POST /keep HTTP/1.1\r\nHost: {0}\r\nOrigin: http://{0}\r\nCookie: {1}\r\nContent-Length: {length}\r\n{more}",
            served.host, served.cookie
        )
    };
    let answer = served.raw(&head(100_000_000, ""), &vec![b'a'; 100_000_000]);
    // What is still on its way when the refusal comes may break the connection off.
    assert!(answer.as_ref().is_none_or(|answer| answer.status == 413), "{answer:?}");
    let answer = served.raw(&head(100_000_000, ""), b"").unwrap();
    assert_eq!(answer.status, 413, "{answer:?}");
    assert!(answer.json()["error"].as_str().unwrap().contains("16 MB"), "{answer:?}");
    let answer = served.raw(&head(2, &format!("X-Long: {}\r\n", "a".repeat(200_000))), b"{}");
    assert!(answer.as_ref().is_none_or(|answer| answer.status == 431), "{answer:?}");
    let many: String = (0..1000).map(|number| format!("X-{number}: a\r\n")).collect();
    let answer = served.raw(&head(2, &many), b"{}");
    assert!(answer.as_ref().is_none_or(|answer| answer.status == 431), "{answer:?}");
    served.goes_on();
}

#[test]
fn a_thousand_at_once_are_answered_or_refused_and_the_server_goes_on() {
    let room = gel();
    let mut served = Served::on(&room.dir.path().join("room"));
    let (answered, refused, strangers) = (AtomicUsize::new(0), AtomicUsize::new(0), AtomicUsize::new(0));
    std::thread::scope(|scope| {
        for number in 0..1000 {
            let (served, answered, refused, strangers) = (&served, &answered, &refused, &strangers);
            let work = move || {
                let known = if number % 4 == 0 { String::new() } else { format!("Cookie: {}\r\n", served.cookie) };
                let head = format!("GET /changes HTTP/1.1\r\nHost: {}\r\n{known}", served.host);
                match served.raw(&head, b"").map(|answer| answer.status) {
                    Some(200) => answered.fetch_add(1, Ordering::Relaxed),
                    Some(429) | None => refused.fetch_add(1, Ordering::Relaxed),
                    Some(403) => strangers.fetch_add(1, Ordering::Relaxed),
                    Some(status) => panic!("{status}"),
                };
            };
            std::thread::Builder::new().stack_size(128 * 1024).spawn_scoped(scope, work).unwrap();
        }
    });
    let [answered, refused, strangers] = [answered, refused, strangers].map(AtomicUsize::into_inner);
    println!("{answered} answered, {refused} turned away, {strangers} without a token");
    assert_eq!(answered + refused + strangers, 1000);
    assert!(refused > 0 && strangers <= 250 && answered > 0);
    served.goes_on();
}

#[test]
fn connections_that_say_nothing_keep_nobody_out_for_long() {
    let room = gel();
    let mut served = Served::on(&room.dir.path().join("room"));
    let silent: Vec<_> = (0..100).map(|_| std::net::TcpStream::connect(&served.host).unwrap()).collect();
    served.goes_on();
    drop(silent);
}
