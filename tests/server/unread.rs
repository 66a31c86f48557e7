//! A record that does not parse: its page has its text with what is wrong in it, and the way to mend it.

use crate::common::folder;
use crate::served::{GEL, Served};
use std::fs;

#[test]
fn a_record_that_does_not_parse_is_shown_with_its_faults_and_can_be_mended() {
    let (formula, record) = GEL.split_once("batch b {").unwrap();
    let noted = record.replace("formula  gel\n", "formula  gel\n  note     \"<b>&\"\n");
    let broken = format!("use \"gel.still\"\n\nbatch B_7 {{{noted}");
    let room = folder(&[("gel.still", formula.as_bytes()), ("b.still", broken.as_bytes())]);
    let served = Served::on(room.dir.path());
    let page = served.get("/batch/b.still/B_7");
    assert_eq!(page.status, 200, "{page:?}");
    let wanted =
        ["This record cannot be read", "line 3", "Mend it in its text", "/formula/b.still/B_7", "&lt;b&gt;&amp;"];
    for words in wanted {
        assert!(page.body.contains(words), "{words}: {page:?}");
    }
    assert!(page.body.contains("<mark>") && !page.body.contains("<b>&"), "{page:?}");
    // In the workroom it is not missed in silence.
    let first = served.get("/").body;
    assert!(first.contains("Cannot be read") && first.contains("href=\"/batch/b.still/B_7\""), "{first}");
    // The page of its text has all of it.
    let text = served.get("/formula/b.still/B_7");
    assert!(text.status == 200 && text.body.contains("batch B_7 {"), "{text:?}");
    // Once it is mended the bench goes on.
    fs::write(room.dir.path().join("b.still"), broken.replace("B_7", "b")).unwrap();
    let page = served.get("/batch/b.still/b");
    assert!(page.status == 200 && page.body.contains("aria-label=\"Next\""), "{page:?}");
    assert!(!served.get("/").body.contains("Cannot be read"));
    // A file that is read well and has no such batch has none.
    assert_eq!(served.get("/batch/b.still/other").status, 404);
    assert_eq!(served.get("/batch/gel.still/b").status, 404);
}

#[test]
fn a_record_with_a_statement_that_does_not_parse_goes_on_and_leads_to_its_text() {
    let room = folder(&[("gel.still", GEL.replace("formula  gel\n", "formula  gel\n  note     \"<b>&\n").as_bytes())]);
    let served = Served::on(room.dir.path());
    let page = served.get("/batch/gel.still/b");
    assert!(page.status == 200 && page.body.contains("aria-label=\"Next\""), "{page:?}");
    assert!(page.body.contains("is not closed on this line"), "{page:?}");
    assert!(page.body.contains("href=\"/formula/gel.still/b\">Mend it in its text<"), "{page:?}");
}
