//! Why an act is next, in words for a page that writes the statement itself: how the record says it is left out.

/// The words that open a statement of a record.
const OPENERS: &[&str] =
    &["added", "calibrated", "cooled", "heated", "rejected", "struck", "topped-up", "waited", "weighed"];

/// A reason without the statements that it quotes behind a colon or a comma.
pub fn without_statements(why: &str) -> String {
    let mut out = String::new();
    let mut rest = why;
    while let Some((before, after)) = rest.split_once('`') {
        let Some((quoted, behind)) = after.split_once('`') else { break };
        let opener = quoted.split(' ').next().unwrap_or_default();
        let lead = before.strip_suffix(": ").or_else(|| before.strip_suffix(", "));
        match lead.filter(|_| OPENERS.contains(&opener)) {
            Some(lead) => out.push_str(lead),
            None => out.push_str(&format!("{before}`{quoted}`")),
        }
        rest = behind;
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::without_statements;

    #[test]
    fn what_the_page_writes_itself_is_not_spelled_out() {
        for (why, wanted) in [
            ("Write down what was reached: `heated 75 °C`.", "Write down what was reached."),
            ("Read it, and write down both, `topped-up water … g to 20 g`.", "Read it, and write down both."),
            ("with its reason, `added … because \"…\"`, and read again.", "with its reason, and read again."),
            ("or write `rejected because \"…\"`.", "or write `rejected because \"…\"`."),
            ("An error is open: `water` is missing.", "An error is open: `water` is missing."),
            ("a stray ` mark", "a stray ` mark"),
        ] {
            assert_eq!(without_statements(why), wanted);
        }
    }
}
