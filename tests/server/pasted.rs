//! A table that is pasted into the page gives what the command gives, beside materials of her own too.

use crate::common::{folder, mend::run};
use crate::served::Served;
use serde_json::json;
use std::fs;

#[test]
fn a_pasted_table_gives_what_the_command_gives() {
    let materials = include_bytes!("../bring/own/materials.still");
    let table = include_str!("../bring/own/toner.csv");
    let files: [(&str, &[u8]); 2] = [("stores/materials.still", materials), ("toner.csv", table.as_bytes())];
    let (pasted, commanded) = (folder(&files), folder(&files));
    let served = Served::on(pasted.dir.path());
    let answer = served.post("/new", None, &json!({ "how": "table", "name": "toner", "table": table }));
    assert_eq!(answer.status, 200, "{answer:?}");
    let (code, _, err) = run(commanded.dir.path(), &["new", "toner", "--from", "toner.csv"]);
    assert_eq!(code, 0, "{err}");
    let text = |room: &crate::common::Folder| fs::read_to_string(room.dir.path().join("toner.still")).unwrap();
    assert_eq!(text(&pasted), text(&commanded));
    assert!(text(&pasted).contains("use \"stores/materials.still\"\n"), "{}", text(&pasted));
    // What was not sure is said by both.
    let said = answer.json();
    for unsure in said["brought"]["unsure"].as_array().unwrap() {
        assert!(err.contains(unsure["says"].as_str().unwrap()), "{unsure}\n{err}");
    }
}

/// Names alone say nothing of how much of each is taken.
#[test]
fn a_note_without_any_amount_is_refused_by_page_and_command_and_nothing_is_written() {
    for note in [
        "Water\nGlycerin\nXanthan gum\n",
        "Phase A\nWater\nGlycerin\n\nPhase B\nTocopherol\n",
        "Phase;Name;%\nA;Water;\nA;Glycerin;\n",
        "a cream for the winter",
        "\n\n",
    ] {
        let room = folder(&[("note.txt", note.as_bytes())]);
        let served = Served::on(room.dir.path());
        for rest in ["", "yes"] {
            let asked = json!({ "how": "table", "name": "winter", "table": note, "rest": rest });
            let answer = served.post("/new", None, &asked);
            let said = answer.json()["error"].as_str().unwrap_or_default().to_string();
            assert_eq!(answer.status, 400, "{note:?}: {answer:?}");
            assert!(said.contains("nothing to weigh") && said.contains("glycerin 4 %"), "{said}");
            let words = ["new", "winter", "--from", "note.txt", "--rest"];
            let (code, out, err) = run(room.dir.path(), if rest.is_empty() { &words[..4] } else { &words });
            assert_eq!((code, out.as_str()), (2, ""), "{note:?}: {err}");
            assert!(err.contains(said.replace('`', "").as_str()) || err.contains(&said), "{err}\n{said}");
        }
        assert!(!room.dir.path().join("winter.still").exists(), "{note:?}");
    }
    // One line with an amount is something to weigh.
    let room = folder(&[("note.txt", b"Water q.s.\nGlycerin 4 %\nRose\n")]);
    let (code, _, err) = run(room.dir.path(), &["new", "winter", "--from", "note.txt"]);
    assert!(code == 0 && room.dir.path().join("winter.still").exists(), "{err}");
}
