//! The bench as a page: what to take care of stands with the act, what stands before the jars is said, nothing empty is
//! written down, and a release is asked back.

use crate::common::{folder, mend::run};
use crate::served::{Answer, GEL, Served};
use serde_json::Value;
use std::fs;

/// A gel with an acid, that waits after its last line.
const WAITS: &str = "use shelf/all

formula gel {
  title    \"Acid gel\"
  version  \"1\"
  product  stock
  makes    100 g
  scale    0.01 g
  pH       3 to 9
  phase A {
    water          q.s.
    mandelic-acid  0.1 %
    glycerin       10 %
  }
  steps {
    \"Pour {mandelic-acid} into {water}; leave 20 min to clear.\"
    \"Stir in {glycerin}.\"
    \"Leave it 24 h; then check the pH.\"
    \"Look at it against the light.\"
  }
}

batch b {
  formula  gel version \"1\"
  size     100 g
}
";

/// A form of the bench, with the version of the file as it is now.
fn write(served: &Served, file: &str, typed: &[(&str, &str)]) -> Answer {
    let (_, version) = served.text(file);
    served.form(&format!("/batch/{file}/b"), &[typed, &[("version", version.as_str())]].concat())
}

/// The words that stand with the act as what to take care of.
fn care(page: &str) -> &str {
    page.split_once("id=\"care\"").map_or("", |(_, rest)| rest.split_once("</div>").unwrap().0)
}

#[test]
fn what_to_take_care_of_stands_with_the_act_in_the_words_of_the_sheet() {
    let room = folder(&[("gel.still", WAITS.as_bytes())]);
    let (_, out, err) = run(room.dir.path(), &["sheet", "gel.still", "--format", "json"]);
    let sheet: Value = serde_json::from_str(&out).unwrap_or_else(|_| panic!("{out}{err}"));
    let cautions = sheet["cautions"].as_array().unwrap();
    assert!(!cautions.is_empty(), "{sheet}");
    let served = Served::on(room.dir.path());
    let page = served.get("/batch/gel.still/b").body;
    assert!(page.contains("Weigh in") && care(&page).is_empty(), "water needs no care: {page}");
    // The first statement freezes the plan, which does not say what to take care of.
    let written = write(&served, "gel.still", &[("kind", "weighed"), ("material", "water"), ("grams", "89,9")]);
    assert!(written.status < 400, "{written:?}");
    assert!(fs::read_to_string(&room.first).unwrap().contains("plan {"));
    let page = served.get("/batch/gel.still/b").body;
    for caution in cautions {
        let (of, text) = caution.as_str().unwrap().split_once(": ").unwrap();
        assert!(care(&page).contains(of) && care(&page).contains(text), "{caution}: {page}");
    }
    assert!(page.contains("role=\"note\" aria-label=\"Take care\"") && page.contains("aria-describedby=\"care\""));
}

#[test]
fn what_stands_before_the_jars_is_said_and_fill_is_offered_after_it() {
    let room = folder(&[("gel.still", WAITS.as_bytes())]);
    let served = Served::on(room.dir.path());
    let page = || served.get("/batch/gel.still/b").body;
    let offers = |page: &str| page.matches(">Fill</button>").count();
    let say = |statement: &str| {
        let (code, _, err) = run(room.dir.path(), &["record", "gel.still", statement]);
        assert_eq!(code, 0, "{statement}: {err}");
    };
    let first = page();
    let at = |page: &str, words: &str| page.find(words).unwrap_or_else(|| panic!("{words}: {page}"));
    assert!(at(&first, "Still to come") < at(&first, "<li>Read the pH once more.</li>"), "{first}");
    assert!(at(&first, "<li>Leave it 24 h.</li>") < at(&first, "<li>The jars.</li>"), "{first}");
    assert_eq!(offers(&first), 0);
    for statement in ["weighed water 89.9 g", "weighed mandelic-acid 0.1 g", "weighed glycerin 10 g", "reading pH 4"] {
        say(statement);
    }
    let waits = page();
    assert!(waits.contains("Leave it for") && waits.contains("1440") && offers(&waits) == 0, "{waits}");
    say("waited 24 h");
    let reads = page();
    assert!(reads.contains("the step asks for it after the wait") && offers(&reads) == 0, "{reads}");
    say("reading pH 4.1");
    let fills = page();
    assert_eq!(offers(&fills), 1, "{fills}");
    let listed = fills.split_once("Before the jars").unwrap().1.split_once("</section>").unwrap().0;
    for words in ["Step 1: ", "leave 20 min", "Step 3: Leave it 24 h", "Step 4: Look at it", "Containers are clean"] {
        assert!(listed.contains(words), "{words}: {listed}");
    }
    assert!(at(&fills, "Before the jars") < at(&fills, ">Fill</button>") && !fills.contains("Still to come"));
    // Nothing else on the page is called so: whoever looks for the button by its name finds it.
    let named: Vec<&str> = fills.split("aria-label=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    let headings: Vec<&str> = fills.split("<h2").skip(1).filter_map(|rest| rest.split("</h2>").next()).collect();
    assert_eq!(named.iter().filter(|name| name.to_lowercase().contains("fill")).count(), 1, "{named:?}");
    assert!(!headings.iter().any(|heading| heading.to_lowercase().contains("fill")), "{headings:?}");
}

#[test]
fn what_says_nothing_is_not_written_down() {
    let room = folder(&[("gel.still", GEL.as_bytes())]);
    let served = Served::on(room.dir.path());
    let before = fs::read_to_string(&room.first).unwrap();
    for kind in ["note", "observed", "complaint"] {
        for text in ["", " \n\t", "\u{200b}", "\u{a0}"] {
            let answer = write(&served, "gel.still", &[("kind", kind), ("text", text)]);
            assert!(answer.status == 400 && answer.body.contains("Nothing was written"), "{kind} {text:?}: {answer:?}");
            assert!(answer.body.contains("role=\"alert\""), "{answer:?}");
        }
    }
    let whole = write(&served, "gel.still", &[("kind", "whole"), ("statement", "observed \"\"")]);
    assert!(whole.status == 400 && whole.body.contains("says nothing"), "{whole:?}");
    for (kind, typed) in [("removed", ("grams", "1")), ("rejected", ("to", "x"))] {
        let answer = write(&served, "gel.still", &[("kind", kind), typed, ("because", "\u{200b}")]);
        assert!(answer.status == 400 && answer.body.contains("gives no reason"), "{answer:?}");
    }
    assert_eq!(fs::read_to_string(&room.first).unwrap(), before);
    let answer = write(&served, "gel.still", &[("kind", "observed"), ("text", "clear")]);
    assert!(answer.status < 400 && fs::read_to_string(&room.first).unwrap().contains("\"clear\""), "{answer:?}");
}

#[test]
fn a_release_is_asked_back() {
    let filled = GEL.replace(
        "  formula  gel\n}",
        "  formula  gel\n  size 100 g\n  weighed water 90 g\n  weighed glycerin 10 g\n  filled 2 x 45 g\n}",
    );
    assert_ne!(filled, GEL);
    let room = folder(&[("gel.still", filled.as_bytes())]);
    let served = Served::on(room.dir.path());
    let page = served.get("/batch/gel.still/b").body;
    assert!(page.contains("Release the batch") && !page.contains("Yes, I am sure"), "{page}");
    let is_released = || fs::read_to_string(&room.first).unwrap().contains("\n  released");
    for typed in [&[("kind", "released")][..], &[("kind", "whole"), ("statement", "released")]] {
        let asked = write(&served, "gel.still", typed);
        assert!(asked.status == 200 && asked.body.contains("Release the batch?"), "{asked:?}");
        assert!(asked.body.contains("Yes, I am sure") && !is_released(), "{asked:?}");
    }
    let done = write(&served, "gel.still", &[("kind", "released"), ("sure", "1")]);
    assert!(done.status < 400 && is_released(), "{done:?}");
}

/// More is kept back than was filled: the record has a slip, or the batch has.
#[test]
fn a_release_over_an_open_error_says_so_and_what_went_out_over_one_is_not_folded_away() {
    let filled = GEL.replace(
        "  formula  gel\n}",
        "  formula  gel\n  size 100 g\n  weighed water 90 g\n  weighed glycerin 10 g\n  filled 2 x 45 g\n  retained 5\n}",
    );
    let room = folder(&[("gel.still", filled.as_bytes())]);
    let served = Served::on(room.dir.path());
    let page = served.get("/batch/gel.still/b").body;
    assert!(page.contains("The batch is filled, and an error is open: 5 are retained"), "{page}");
    assert!(served.get("/").body.contains("an error is open"), "the workroom says what it waits for");
    let asked = write(&served, "gel.still", &[("kind", "released")]);
    assert!(asked.status == 200 && asked.body.contains("An error is open in its record: 5 are"), "{asked:?}");
    assert!(asked.body.contains("should not go out. Release the batch?"), "{asked:?}");
    let done = write(&served, "gel.still", &[("kind", "released"), ("sure", "1")]);
    assert!(done.status < 400, "{done:?}");
    let workroom = served.get("/").body;
    let finished = workroom.split_once("id=\"finished\"").unwrap().1.split_once("</section>").unwrap().0;
    let before_the_fold = finished.split_once("<details").unwrap().0;
    assert!(before_the_fold.contains("call back what is out"), "{finished}");
}

/// Ten times what is to be added, or topped up, is asked back; what is asked for is not.
#[test]
fn an_addition_and_a_top_up_far_off_are_asked_back() {
    let gel = "use shelf/all\nformula gel {\n  title \"Gel\"\n  version \"1\"\n  product leave-on face\n  makes 200 g\n  \
               scale 0.01 g\n  pH 3.6 to 4.0\n  phase A {\n    water q.s. hold back 20 %\n    lactic-acid-80 5 %\n    \
               sodium-hydroxide-10 q.s. to pH\n  }\n}\nbatch b {\n  formula gel\n  size 200 g\n  \
               weighed water 150 g\n  weighed lactic-acid-80 10 g\n  reading pH 2.10\n}\n";
    let room = folder(&[("gel.still", gel.as_bytes())]);
    let served = Served::on(room.dir.path());
    let holds = |words: &str| fs::read_to_string(&room.first).unwrap().contains(words);
    let base = ("material", "sodium-hydroxide-10");
    let asked = write(&served, "gel.still", &[("kind", "added"), base, ("grams", "300")]);
    assert!(asked.status == 200 && asked.body.contains("300.00 g for "), "{asked:?}");
    assert!(asked.body.contains("Yes, I am sure") && !holds("added"), "{asked:?}");
    let done = write(&served, "gel.still", &[("kind", "added"), base, ("grams", "20")]);
    assert!(done.status < 400 && holds("sodium-hydroxide-10 20 g"), "{done:?}");
    let done = write(&served, "gel.still", &[("kind", "reading"), ("ph", "3.80")]);
    assert!(done.status < 400 && holds("3.80"), "{done:?}");
    let water = ("material", "water");
    let asked = write(&served, "gel.still", &[("kind", "topped-up"), water, ("grams", "200")]);
    assert!(asked.body.contains("200.00 g for 20.00 g: sure?") && !holds("topped-up"), "{asked:?}");
    let done = write(&served, "gel.still", &[("kind", "topped-up"), water, ("grams", "200"), ("sure", "1")]);
    assert!(done.status < 400 && holds("topped-up"), "{done:?}");
}

#[test]
fn no_page_tells_of_options_of_a_command() {
    let unsized_gel = GEL.replace("  makes    100 g\n", "").replace("  size 100 g\n", "");
    let room = folder(&[("gel.still", unsized_gel.as_bytes()), ("acid.still", WAITS.as_bytes())]);
    let served = Served::on(room.dir.path());
    for page in ["/", "/formula/gel.still/gel", "/batch/gel.still/b", "/formula/acid.still/gel", "/batch/acid.still/b"]
    {
        let body = served.get(page).body;
        let option = body.match_indices("--").find(|(at, _)| {
            let before = body.get(..*at).unwrap().chars().next_back();
            let behind = body.get(at + 2..).unwrap().chars().next();
            matches!(before, Some(' ' | '`' | '>')) && behind.is_some_and(|letter| letter.is_ascii_lowercase())
        });
        assert!(option.is_none(), "{page}: {:?}", option.map(|(at, _)| body.get(at.saturating_sub(80)..at + 40)));
    }
}
