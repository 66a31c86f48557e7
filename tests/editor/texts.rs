//! Texts as a client has them: edits carried out by positions in units of 16 bits.

use serde_json::Value;

/// The byte at a position of a text.
pub fn offset(text: &str, position: &Value) -> usize {
    let (line, character) = (position["line"].as_u64().unwrap(), position["character"].as_u64().unwrap());
    let start: usize = text.split_inclusive('\n').take(line as usize).map(str::len).sum();
    let mut units = 0;
    for (at, letter) in text[start..].char_indices() {
        if units >= character as usize || letter == '\n' {
            return start + at;
        }
        units += letter.len_utf16();
    }
    text.len()
}

/// A text with edits carried out, each by the positions of the text before; none may lie over another.
pub fn applied(text: &str, edits: &Value) -> String {
    let mut edits: Vec<(usize, usize, &str)> = edits
        .as_array()
        .unwrap()
        .iter()
        .map(|edit| {
            let range = &edit["range"];
            (offset(text, &range["start"]), offset(text, &range["end"]), edit["newText"].as_str().unwrap())
        })
        .collect();
    edits.sort_by_key(|edit| (edit.0, edit.1));
    let mut out = String::new();
    let mut from = 0;
    for (start, end, new) in edits {
        assert!(start >= from && end >= start, "edits lie over one another");
        out.push_str(&text[from..start]);
        out.push_str(new);
        from = end;
    }
    out + &text[from..]
}
