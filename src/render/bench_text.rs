//! A batch at the bench, for a terminal.

use super::bench::BenchJson;
use super::line;
use super::screen::shown_data;
use super::setback::{SetRightJson, WayBackJson, corrections_words};

impl BenchJson {
    /// One screen for a terminal.
    #[must_use]
    pub fn text(&self) -> String {
        shown_data(self).screen()
    }

    fn screen(&self) -> String {
        let mut out = String::new();
        let version = self.version.as_ref().map(|version| format!(" version {version}")).unwrap_or_default();
        line(&mut out, format_args!("{}  {}{version}  {}\n", self.batch, self.formula, self.stage));
        self.weights(&mut out);
        self.reserve(&mut out);
        self.setbacks(&mut out);
        self.readings(&mut out);
        self.struck.iter().for_each(|struck| line(&mut out, format_args!("  {}", struck.words())));
        line(&mut out, format_args!("\nNext: {}", self.next_words()));
        line(&mut out, format_args!("  {}", self.next.why));
        if let Some(step) = &self.next.step {
            line(&mut out, format_args!("  step: {step}"));
        }
        out
    }

    fn weights(&self, out: &mut String) {
        let width = self.plan.iter().map(|line| line.material.chars().count()).max().unwrap_or(0);
        for of in &self.plan {
            let mark = if of.weighed_g.is_some() { "x" } else { " " };
            let planned = of.grams.as_ref().map_or("to pH".to_string(), |grams| format!("{grams} g"));
            let first = of.planned_g.as_ref().filter(|planned| Some(planned) != of.grams.as_ref().as_ref());
            let first = first.map(|first| format!("  ({first} g before the loss)")).unwrap_or_default();
            let weighed = of.weighed_g.as_ref().map(|grams| format!("{grams} g")).unwrap_or_default();
            let text = format!("  [{mark}] {:<width$}  {planned:>10}  {weighed:>10}{first}", of.material);
            line(out, format_args!("{}", text.trim_end()));
        }
    }

    fn reserve(&self, out: &mut String) {
        if self.held_back_g.chars().all(|digit| digit == '0' || digit == '.') {
            return;
        }
        line(
            out,
            format_args!(
                "\n  held back {} g{}, used {} g, left {} g; to top up {} g",
                self.held_back_g,
                before_words(&self.weighed_before_g),
                self.adjuster_used_g,
                self.left_of_reserve_g,
                self.top_up_g
            ),
        );
        for of in self.reserves.iter().filter(|_| self.reserves.len() > 1) {
            let (held, used, left, top_up) = (&of.held_back_g, &of.used_g, &of.left_g, &of.top_up_g);
            line(
                out,
                format_args!(
                    "    {}: held back {held} g{}, used {used} g, left {left} g; to top up {top_up} g",
                    of.material,
                    before_words(&of.weighed_before_g)
                ),
            );
        }
    }

    fn setbacks(&self, out: &mut String) {
        self.setback_words().iter().for_each(|said| line(out, format_args!("  {said}")));
    }

    /// What went otherwise than planned, each in a line: lost, corrected, or to be led back.
    #[must_use]
    pub fn setback_words(&self) -> Vec<String> {
        let told = corrections_words(&self.corrections);
        let lost = self.losses.iter().map(|lost| format!("lost: {lost}"));
        let over = self.set_right.iter().flat_map(SetRightJson::words);
        let back = self.way_back.iter().flat_map(WayBackJson::words);
        over.chain(told).chain(lost).chain(back).chain(self.left_over.clone()).collect()
    }

    fn readings(&self, out: &mut String) {
        if let Some(window) = super::ph_text::window_words(&self.ph_window) {
            let last = self.ph_last.map_or("none yet".to_string(), |last| format!("{last:.2}"));
            let counts = self.ph_counts_as.map(|counts| format!(", which counts as {counts:.2}")).unwrap_or_default();
            line(out, format_args!("  pH window {window}, last reading {last}{counts}"));
            if let Some(truth) = &self.ph_true {
                line(out, format_args!("  {}", truth.words()));
            }
        }
        for doubt in &self.doubt {
            line(
                out,
                format_args!(
                    "  doubt: {}, {} ({:.0} %). To decide it: {}",
                    doubt.cause,
                    doubt.size,
                    doubt.share * 100.0,
                    doubt.test
                ),
            );
        }
    }

    /// What is next, and why, in a line.
    #[must_use]
    pub fn next_line(&self) -> String {
        format!("Next: {}. {}", self.next_words(), self.next.why)
    }

    /// What is next, in words that do not say why.
    #[must_use]
    pub fn next_words(&self) -> String {
        let next = &self.next;
        let grams = next.grams.as_ref().map(|grams| format!(" {grams} g")).unwrap_or_default();
        let of = next.material.as_ref().map(|material| format!(" of {material}")).unwrap_or_default();
        let then = self.next_addition.as_ref().map(|addition| {
            format!(", to read about {:.2} ({:.2} to {:.2})", addition.ph_expected, addition.ph_low, addition.ph_high)
        });
        let to = next.celsius.as_ref().map(|celsius| format!(" to {celsius} °C")).unwrap_or_default();
        let time = next.minutes.as_ref().map(|minutes| format!(" {minutes} min")).unwrap_or_default();
        let buffer = next.buffer.map(|buffer| format!(" with the buffer of pH {buffer:.2}")).unwrap_or_default();
        format!("{}{grams}{of}{to}{time}{buffer}{}", next.what, then.unwrap_or_default())
    }
}

/// What was weighed off its first weighing; nothing where that came out even.
fn before_words(weighed: &str) -> String {
    match weighed.strip_prefix('-') {
        _ if !weighed.chars().any(|digit| matches!(digit, '1'..='9')) => String::new(),
        Some(lacking) => format!(", {lacking} g weighed too little at first"),
        None => format!(", {weighed} g weighed too much at first"),
    }
}
