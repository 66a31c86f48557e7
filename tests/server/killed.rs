//! Killed at any moment of a save, the file is the old one or the new one, whole.

use crate::common::folder;
use crate::served::{GEL, Served};
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
