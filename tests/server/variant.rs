//! A variant that is begun from a page stands where it was asked to, and what it rests on is found from there.

use crate::common::{folder, mend::run};
use crate::served::Served;
use serde_json::{Value, json};
use std::fs;

/// A base in a folder below, with a material of its own beside it.
const BASE: &str = "use \"own.still\"

formula day {
  title    \"Day oil\"
  version  \"1\"
  product  stock
  makes    100 g
  scale    0.01 g
  phase A {
    squalane  q.s.
    my-oil    10 %
  }
}
";

const OWN: &str = "use shelf/all\n\nmaterial my-oil like sunflower-oil {\n}\n";

/// Begins a variant: the answer.
fn begun(served: &Served, name: &str, file: &str, place: &str) -> Value {
    let asked = json!({ "how": "variant", "name": name, "file": file, "formula": "day", "place": place });
    let answer = served.post("/new", None, &asked);
    assert_eq!(answer.status, 200, "{answer:?}");
    answer.json()
}

#[test]
fn a_variant_beside_its_formula_and_one_in_a_file_of_its_own_are_found_and_weighed() {
    for (base, own) in [("creams/day.still", "creams/own.still"), ("day.still", "own.still")] {
        let room = folder(&[(base, BASE.as_bytes()), (own, OWN.as_bytes())]);
        let served = Served::on(room.dir.path());
        let read = |file: &str| fs::read_to_string(room.dir.path().join(file)).unwrap();
        for (name, place) in [("night", "same"), ("evening", "own")] {
            let made = begun(&served, name, base, place);
            let file = made["file"].as_str().unwrap();
            let wanted = if place == "same" { base.to_string() } else { format!("{name}.still") };
            assert_eq!(file, wanted, "{base} {place}");
            assert_eq!(made["address"], format!("/formula/{}/{name}", file.replace('/', "%2F")));
            // Its text is laid out, and what it says holds in a check of its file alone.
            let laid_out = run(room.dir.path(), &["fmt", "--check", file]);
            assert_eq!(laid_out.0, 0, "{laid_out:?}\n{}", read(file));
            let (_, out, err) = run(room.dir.path(), &["sheet", file, "--formula", name, "--format", "json"]);
            let sheet: Value = serde_json::from_str(&out).unwrap_or_else(|_| panic!("{out}{err}\n{}", read(file)));
            assert_eq!((&sheet["formula"], &sheet["total_g"]), (&json!(name), &json!("100.00")), "{sheet:#}");
            // And on its page the weights are those of the base.
            let page = served.get(made["address"].as_str().unwrap());
            assert!(page.status == 200 && page.body.contains("90.00") && page.body.contains("10.00"), "{page:?}");
        }
        assert!(read(base).starts_with(BASE) && read(base).ends_with("variant night of day {\n  version  \"1\"\n}\n"));
        assert!(read("evening.still").starts_with(&format!("use \"{base}\"\n\nvariant evening of day {{")));
        // A name is given once in the folder, and a file that is there is not written over.
        let again = json!({ "how": "variant", "name": "night", "file": base, "formula": "day", "place": "own" });
        assert_eq!(served.post("/new", None, &again).status, 400);
        fs::write(room.dir.path().join("late.still"), "# mine\n").unwrap();
        let taken = json!({ "how": "variant", "name": "late", "file": base, "formula": "day", "place": "own" });
        assert_eq!(served.post("/new", None, &taken).status, 400);
        assert_eq!(read("late.still"), "# mine\n");
    }
}
