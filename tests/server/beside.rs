//! Two pages and a terminal at once: what was confirmed stands in the file, and nothing else is lost.

use crate::common::{folder, mend::run};
use crate::served::{GEL, Served};
use std::fs;
use std::sync::Mutex;

#[test]
fn a_text_is_not_saved_over_one_that_changed_since() {
    let room = folder(&[("gel.still", GEL.as_bytes())]);
    let served = Served::on(room.dir.path());
    let (text, version) = served.text("gel.still");
    let (code, _, err) = run(room.dir.path(), &["record", "gel.still", "note", "from the terminal"]);
    assert_eq!(code, 0, "{err}");
    let mine = format!("{text}# mine\n");
    let answer = served.save("gel.still", &version, &mine);
    assert_eq!(answer.status, 409, "{answer:?}");
    let json = answer.json();
    assert_eq!(json["yours"], mine);
    assert!(json["theirs"].as_str().unwrap().contains("from the terminal"), "{json}");
    assert!(!fs::read_to_string(&room.first).unwrap().contains("# mine"));
    // Over what is there now it goes.
    let (text, version) = served.text("gel.still");
    assert_eq!(served.save("gel.still", &version, &format!("{text}# mine\n")).status, 200);
    let now = fs::read_to_string(&room.first).unwrap();
    assert!(now.contains("# mine") && now.contains("from the terminal"), "{now}");
}

#[test]
fn two_pages_and_a_terminal_at_once_lose_nothing() {
    let room = folder(&[("gel.still", GEL.as_bytes())]);
    let served = Served::on(room.dir.path());
    let confirmed: Mutex<Vec<String>> = Mutex::new(Vec::new());
    let (saved, refused) = (Mutex::new(0), Mutex::new(0));
    std::thread::scope(|scope| {
        for page in 0..2 {
            let (served, confirmed, saved, refused) = (&served, &confirmed, &saved, &refused);
            scope.spawn(move || {
                for round in 0..15 {
                    let (text, version) = served.text("gel.still");
                    let line = format!("# page {page} round {round}");
                    let answer = served.save("gel.still", &version, &format!("{line}\n{text}"));
                    match answer.status {
                        200 => {
                            confirmed.lock().unwrap().push(line);
                            *saved.lock().unwrap() += 1;
                        }
                        409 => *refused.lock().unwrap() += 1,
                        _ => panic!("{answer:?}"),
                    }
                }
            });
        }
        let (room, confirmed) = (&room, &confirmed);
        scope.spawn(move || {
            for round in 0..15 {
                let note = format!("terminal round {round}");
                let (code, _, err) = run(room.dir.path(), &["record", "gel.still", "note", &note]);
                assert!(code == 0 || err.contains("changed by another program"), "{code} {err}");
                if code == 0 {
                    confirmed.lock().unwrap().push(note);
                }
            }
        });
    });
    let now = fs::read_to_string(&room.first).unwrap();
    for line in confirmed.into_inner().unwrap() {
        assert_eq!(
            now.matches(&format!("{line}\n")).count() + now.matches(&format!("{line}\"\n")).count(),
            1,
            "{line}\n{now}"
        );
    }
    println!("{} saved, {} refused", saved.into_inner().unwrap(), refused.into_inner().unwrap());
    assert_eq!(fs::read_dir(room.dir.path()).unwrap().count(), 1);
}

#[test]
fn a_page_reads_anew_what_changed_on_the_disk() {
    let room = folder(&[("gel.still", GEL.as_bytes())]);
    let served = Served::on(room.dir.path());
    let before = served.get("/changes").json();
    assert!(served.get("/").body.contains("Water gel"));
    fs::write(&room.first, GEL.replace("Water gel", "Another gel")).unwrap();
    fs::write(room.dir.path().join("new.still"), GEL.replace("Water gel", "Third gel")).unwrap();
    let page = served.get("/").body;
    assert!(page.contains("Another gel") && page.contains("Third gel") && !page.contains("Water gel"), "{page}");
    fs::remove_file(room.dir.path().join("new.still")).unwrap();
    assert!(!served.get("/").body.contains("Third gel"));
    assert_ne!(served.get("/changes").json(), before);
}
