//! Every file of the folder has a page, whatever stands in it; the workroom leads to each, and to the batches that are done.

use crate::common::folder;
use crate::served::{GEL, Served};
use serde_json::json;
use std::fs;

const MATERIALS: &str = "use shelf/all

material my-oil like sunflower-oil {
  price  18.50 EUR per 1 kg
}

stock {
  counted  my-oil  400 g  on 2026-11-01
}
";

#[test]
fn a_file_without_a_formula_has_a_page_is_listed_and_is_saved() {
    let files: [(&str, &[u8]); 2] = [("stores/materials.still", MATERIALS.as_bytes()), ("gel.still", GEL.as_bytes())];
    let room = folder(&files);
    let served = Served::on(room.dir.path());
    let first = served.get("/").body;
    for (address, holds) in [
        ("/text/stores%2Fmaterials.still", "1 material, 1 account of stock"),
        ("/text/gel.still", "1 formula, 1 batch"),
    ] {
        assert!(first.contains(&format!("href=\"{address}\"")) && first.contains(holds), "{address}: {first}");
    }
    let page = served.get("/text/stores%2Fmaterials.still");
    assert_eq!(page.status, 200, "{page:?}");
    for words in ["price  18.50 EUR per 1 kg", "id=\"faults-list\"", "id=\"save\"", "In this file"] {
        assert!(page.body.contains(words), "{words}: {page:?}");
    }
    // It has no formula, so nothing of one stands there.
    assert!(!page.body.contains("id=\"sheet\"") && !page.body.contains("New batch"), "{page:?}");
    let gel = served.get("/text/gel.still").body;
    assert!(gel.contains("href=\"/formula/gel.still/gel\"") && gel.contains("href=\"/batch/gel.still/b\""), "{gel}");

    // Its faults are told without a formula, and what is saved is in the file.
    let asked = |text: &str| json!({ "file": "stores/materials.still", "name": "", "text": text });
    let wrong = MATERIALS.replace("sunflower-oil", "sunflour-oil");
    let check = served.post("/check", None, &asked(&wrong)).json();
    assert!(check["faults"][0]["message"].as_str().unwrap().contains("sunflour-oil"), "{check}");
    assert_eq!(check["faults"][0]["offer"]["replacement"], "sunflower-oil", "{check}");
    let (_, version) = served.text("stores%2Fmaterials.still");
    let now = MATERIALS.replace("18.50", "19.20");
    let kept = served.post("/keep", Some(&version), &asked(&now));
    assert_eq!(kept.status, 200, "{kept:?}");
    assert_eq!(fs::read_to_string(room.dir.path().join("stores/materials.still")).unwrap(), now);
    assert_eq!(served.post("/keep", Some(&version), &asked(MATERIALS)).status, 409);
    for none in ["/text/none.still", "/text/..%2Fx.still", "/text/README.md"] {
        assert_eq!(served.get(none).status, 404, "{none}");
    }
}

#[test]
fn a_lot_that_no_batch_has_is_found_in_the_store_room() {
    let stock = "\nstock {\n  bought  glycerin  400 g  lot \"GL-7\"  on 2026-11-01\n}\n";
    let room = folder(&[("gel.still", format!("{GEL}{stock}").as_bytes())]);
    let served = Served::on(room.dir.path());
    let found = served.get("/trace?code=gl-7").body;
    assert!(
        found.contains("is a lot of") && found.contains("400") && found.contains("/store?find=glycerin"),
        "{found}"
    );
    assert!(!found.contains("Did you mean"), "{found}");
    assert!(served.get("/trace?code=GL-8").body.contains("No batch record here knows"));
}

/// A batch of the gel, begun on a day, with what came of it.
fn batch(name: &str, day: &str, more: &str) -> String {
    format!("\nbatch {name} {{\n  formula  gel\n  started  {day}\n{more}}}\n")
}

#[test]
fn batches_that_are_done_are_listed_the_last_first_and_folded() {
    let made = "  size 100 g\n  weighed water 90 g\n  weighed glycerin 10 g\n  filled   2 x 49 g on 2026-03-02\n";
    let done = [
        batch("old", "2026-02-01", &format!("{made}  released on 2026-03-03\n")),
        batch(
            "sold",
            "2026-03-01",
            &format!("{made}  released on 2026-03-04\n  sold     1 to \"The market\" on 2026-06-05\n"),
        ),
        batch("bad", "2026-05-01", "  rejected because \"It separated\" on 2026-05-06\n"),
    ];
    let room = folder(&[("gel.still", format!("{GEL}{}", done.concat()).as_bytes())]);
    let page = Served::on(room.dir.path()).get("/").body;
    let (_, finished) = page.split_once("id=\"finished\"").unwrap_or_else(|| panic!("{page}"));
    let (finished, _) = finished.split_once("</section>").unwrap();
    assert!(finished.contains("<details>") && finished.contains("3 batches, the last first"), "{finished}");
    assert!(!finished.contains("class=\"error\""), "nothing is wrong with them: {finished}");
    let at = |words: &str| finished.find(words).unwrap_or_else(|| panic!("{words}: {finished}"));
    let order = ["/batch/gel.still/sold", "/batch/gel.still/bad", "/batch/gel.still/old"].map(at);
    assert!(order.is_sorted(), "{finished}");
    for words in ["released and sold, 2026-06-05", "rejected, 2026-05-06", "released, 2026-03-03"] {
        at(words);
    }
    assert!(!finished.contains("/batch/gel.still/b\""), "what is open is under way: {finished}");
}

/// What a page says is for one who has the page before her.
#[test]
fn no_page_speaks_of_options_of_a_command() {
    let broken = GEL.replace("glycerin  10 %", "glycerine  10 %");
    let room = folder(&[("gel.still", GEL.as_bytes()), ("broken.still", broken.as_bytes())]);
    let served = Served::on(room.dir.path());
    let pages = [
        "/",
        "/store",
        "/new",
        "/shelf?find=glycerin",
        "/formula/gel.still/gel",
        "/batch/gel.still/b",
        "/text/gel.still",
    ];
    for page in pages.into_iter().chain(["/formula/broken.still/gel", "/batch/broken.still/b"]) {
        let body = served.get(page).body;
        for word in ["`stillroom ", "<code>stillroom ", "<code>--", " --"] {
            assert!(!body.contains(word), "{page}: {word}\n{body}");
        }
    }
}
