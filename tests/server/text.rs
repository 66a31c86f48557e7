//! What a maker wrote is text on every page, whatever it is.

use crate::common::folder;
use crate::served::Served;

/// A folder in which all that can be named is named to do harm.
const HOSTILE: &str = "use shelf/all

formula gel {
  title    \"<script>alert(1)</script>&\\\"'\u{202e}gnp\"
  version  \"<b>1</b>\"
  product  stock
  makes    100 g
  scale    0.01 g
  phase A \"<img src=x onerror=alert(2)>\" {
    water     q.s.
    glycerin  10 %
  }
}

stock {
  counted  glycerin  880 g  on 2026-11-01  lot \"<i>L&1</i>\"
}

batch b {
  formula  gel
  lot      glycerin \"<svg onload=alert(3)>\"
  note     \"</textarea></pre><script>alert(4)</script>\"
}

planned gel 200 g
";

#[test]
fn no_text_of_a_file_becomes_an_element() {
    let name = "a<b>&'\u{2067}.still";
    let broken = HOSTILE.replace("batch b", "batch <script>alert(6)</script>\u{202e}");
    let files = [(name, HOSTILE), ("plain.still", HOSTILE), ("broken.still", broken.as_str())];
    let room = folder(&files.map(|(name, text)| (name, text.as_bytes())));
    let served = Served::on(room.dir.path());
    let encoded = "a%3Cb%3E%26%27%E2%81%A7.still";
    let pages = [
        "/".to_string(),
        "/store".to_string(),
        "/store?find=%3Cscript%3Ealert(5)%3C%2Fscript%3E".to_string(),
        "/shelf?find=%3Cscript%3Ealert(5)%3C%2Fscript%3E".to_string(),
        "/shelf?find=glycerin".to_string(),
        "/trace?code=%3Cscript%3Ealert(5)%3C%2Fscript%3E".to_string(),
        "/trace?code=glycerin".to_string(),
        format!("/formula/{encoded}/gel"),
        format!("/formula/{encoded}/%3Cscript%3E"),
        format!("/batch/{encoded}/b"),
        format!("/text/{encoded}"),
        "/text/broken.still".to_string(),
        "/text/%3Cscript%3Ealert(5)%3C%2Fscript%3E.still".to_string(),
        "/formula/plain.still/gel".to_string(),
        "/batch/plain.still/b".to_string(),
        "/batch/broken.still/%3Cscript%3Ealert(5)%3C%2Fscript%3E".to_string(),
        "/label/plain.still/gel".to_string(),
        format!("/label/{encoded}/gel?width=%3Cscript%3Ealert(5)%3C%2Fscript%3E&height=1&market=%3Cb%3E1%3C%2Fb%3E"),
        "/versions/begin?from=/%3Cscript%3Ealert(5)%3C%2Fscript%3E".to_string(),
        "/formula/%3Cscript%3Ealert(5)%3C%2Fscript%3E.still/x".to_string(),
        "/%3Cscript%3Ealert(5)%3C%2Fscript%3E".to_string(),
    ];
    let mut shown = 0;
    for path in &pages {
        let answer = served.get(path);
        assert!(matches!(answer.status, 200 | 404), "{path}: {answer:?}");
        let page = &answer.body;
        for raw in ["<script>alert", "<img src=x", "<svg onload", "<b>1</b>", "<i>L"] {
            assert!(!page.contains(raw), "{path}: {raw:?}\n{page}");
        }
        let read = as_read(page);
        for unseen in ['\u{202e}', '\u{2067}'] {
            assert!(!read.contains(unseen), "{path}: {unseen:?}\n{read}");
        }
        shown += usize::from(page.contains("&lt;script&gt;alert"));
    }
    assert!(shown >= 4, "{shown}");
}

/// What a reader sees of a page: nothing of its tags, and not what stands in the box in which she writes, where the text
/// is as it is in the file.
fn as_read(page: &str) -> String {
    let outside_of_boxes = page.split("<textarea").enumerate().map(|(at, piece)| match at {
        0 => piece,
        _ => piece.split_once("</textarea>").map_or("", |(_, rest)| rest),
    });
    let whole: String = outside_of_boxes.collect();
    whole.split('<').map(|piece| piece.split_once('>').map_or(piece, |(_, text)| text)).collect()
}
