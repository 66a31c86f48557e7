//! Killed at any moment of a save or of a record, the file is the old one or the new one, whole, and nothing is left that
//! keeps the next one from writing.

use crate::common::{folder, mend::run};
use crate::served::{GEL, Served, encoded};
use std::fs;
use std::time::{Duration, Instant};

/// So often it is killed.
const TIMES: u32 = 24;

#[test]
fn killed_at_any_moment_of_a_save_the_file_is_the_old_one_or_the_new_one() {
    // Long enough that writing it takes a while.
    let long = format!("{}{GEL}", "# A comment that is there to be kept.\n".repeat(20_000));
    let room = folder(&[("gel.still", long.as_bytes())]);
    let (mut old, mut new, mut number) = (0, 0, 12_345_u32);
    let mut expected = long;
    let mut whole = Duration::from_millis(300);
    for round in 0..TIMES {
        let mut served = Served::on(room.dir.path());
        let (_, version) = served.text("gel.still");
        let wanted = format!("# round {round}\n{expected}");
        number = number.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let delay = whole.mul_f64(f64::from(number >> 16) / 65536.0 * 1.2);
        let started = Instant::now();
        if round == 0 {
            // How long a whole one takes says within which time the others are killed.
            assert_eq!(served.save("gel.still", &version, &wanted).status, 200);
            whole = started.elapsed();
        } else {
            let (host, cookie) = (served.host.clone(), served.cookie.clone());
            let body = serde_json::json!({ "file": "gel.still", "name": "gel", "text": wanted }).to_string();
            let sender = std::thread::spawn(move || {
                use std::io::Write as _;
                let mut stream = std::net::TcpStream::connect(&host).unwrap();
                let head = format!(
                    "POST /keep HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nCookie: {cookie}\r\nIf-Match: \"{version}\"\r\nContent-Length: {}\r\n\r\n",
                    body.len()
                );
                let _ = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(body.as_bytes()));
                stream
            });
            std::thread::sleep(delay);
            served.child.kill().unwrap();
            served.child.wait().unwrap();
            drop(sender.join());
        }
        let after = fs::read_to_string(&room.first).unwrap();
        if after == wanted {
            new += 1;
            expected = after;
        } else {
            assert!(after == expected, "round {round}: neither the old nor the new one, {} bytes", after.len());
            old += 1;
        }
    }
    println!("{old} times the old file, {new} times the new one");
    assert_eq!(old + new, TIMES);
    // What a killed one left is cleared by the next.
    let served = Served::on(room.dir.path());
    let (_, version) = served.text("gel.still");
    assert_eq!(served.save("gel.still", &version, GEL).status, 200);
    assert_eq!(fs::read_dir(room.dir.path()).unwrap().count(), 1);
}

#[test]
fn killed_at_any_moment_of_a_record_at_the_bench_the_file_is_the_old_one_or_the_new_one() {
    // Long enough that writing it takes a while.
    let long = format!("{}{GEL}", "# A comment that is there to be kept.\n".repeat(3_000));
    let room = folder(&[("gel.still", long.as_bytes())]);
    // The first statement of a record also freezes its plan.
    let (code, _, err) = run(room.dir.path(), &["record", "gel.still", "note", "first"]);
    assert_eq!(code, 0, "{err}");
    let long = fs::read_to_string(&room.first).unwrap();
    let version = |served: &Served| {
        let page = served.get("/batch/gel.still/b").body;
        page.split("data-version=\"").nth(1).unwrap().split('"').next().unwrap().to_string()
    };
    let (mut old, mut new, mut number) = (0, 0, 4_711_u32);
    let mut expected = long;
    let mut whole = Duration::ZERO;
    for round in 0..TIMES {
        let mut served = Served::on(room.dir.path());
        let version = version(&served);
        let note = format!("round {round}");
        number = number.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let delay = whole.mul_f64(f64::from(number >> 16) / 65536.0 * 1.2);
        if round == 0 {
            // How long a whole one takes says within which time the others are killed.
            let started = Instant::now();
            let typed = [("kind", "note"), ("version", version.as_str()), ("text", note.as_str())];
            assert!(matches!(served.form("/batch/gel.still/b", &typed).status, 200 | 303));
            whole = started.elapsed();
        } else {
            let (host, cookie) = (served.host.clone(), served.cookie.clone());
            let body = format!("kind=note&version={version}&text={}", encoded(&note));
            let sender = std::thread::spawn(move || {
                use std::io::Write as _;
                let mut stream = std::net::TcpStream::connect(&host).unwrap();
                let head = format!(
                    "POST /batch/gel.still/b HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nCookie: {cookie}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
                    body.len()
                );
                let _ = stream.write_all(head.as_bytes());
                stream
            });
            std::thread::sleep(delay);
            // SIGKILL: nothing is left for it to put in order.
            served.child.kill().unwrap();
            served.child.wait().unwrap();
            drop(sender.join());
        }
        let after = fs::read_to_string(&room.first).unwrap();
        if after == expected {
            old += 1;
            continue;
        }
        let closing = expected.strip_suffix("}\n").unwrap();
        let added = after.strip_prefix(closing).and_then(|rest| rest.strip_suffix("}\n"));
        let added = added.unwrap_or_else(|| panic!("round {round}: neither the old nor the new one"));
        assert!(added.starts_with(&format!("  note     \"{note}\"")), "round {round}: {added}");
        assert!(added.ends_with('\n') && added.matches('\n').count() == 1, "round {round}: {added}");
        new += 1;
        expected = after;
    }
    println!("{old} times the old file, {new} times the new one");
    assert_eq!(old + new, TIMES);
    // No lock is left: a terminal writes at once, and so does the next page; and what was half written is gone.
    let (code, _, err) = run(room.dir.path(), &["record", "gel.still", "note", "from the terminal"]);
    assert_eq!(code, 0, "{err}");
    let served = Served::on(room.dir.path());
    let version = version(&served);
    let typed = [("kind", "note"), ("version", version.as_str()), ("text", "last")];
    let written = served.form("/batch/gel.still/b", &typed);
    assert!(matches!(written.status, 200 | 303), "{written:?}");
    let now = fs::read_to_string(&room.first).unwrap();
    assert!(now.contains("\"from the terminal\"") && now.contains("note     \"last\""), "both are in it");
    assert_eq!(fs::read_dir(room.dir.path()).unwrap().count(), 1);
}
