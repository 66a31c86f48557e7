//! The text as it stands in the file: what was not sure first, then the formula.

use super::{NOT_SURE, Phase, Writer};
use crate::bring::basis::Basis;
use crate::bring::comment::string;
use crate::bring::ph::{self, StatedPh, Window};
use crate::bring::rows::Row;
use crate::quantity::Exact;

impl Writer<'_> {
    /// The whole text.
    pub(super) fn text(&mut self, formula: &str) -> String {
        let mut text = String::from(
            "# Brought from a table. Beside a line stands what the table says where the line says it otherwise.\n",
        );
        let unsure = self.unsure.len();
        if unsure > 0 {
            text.push_str(&format!("# What was not sure is marked `{NOT_SURE}`: look at each, and delete the mark.\n"));
        }
        for says in self.unsure.iter().filter(|unsure| unsure.line == 0) {
            text.push_str(&format!("# {NOT_SURE}: {}\n", says.says));
        }
        if !self.above.is_empty() {
            text.push_str("#\n# Above the lines of the table:\n");
            self.above.iter().for_each(|line| text.push_str(&format!("{line}\n")));
        }
        if self.sum.lines.is_empty() {
            self.below.iter().for_each(|line| text.push_str(&format!("{line}\n")));
            return text;
        }
        text.push('\n');
        self.own.uses().for_each(|file| text.push_str(&format!("use {file}\n")));
        text.push_str("use shelf/all\n\n");
        text.push_str(&self.own.blocks);
        text.push_str(&format!("formula {formula} {{\n"));
        self.header(&mut text);
        for phase in &self.phases {
            phase_text(phase, self.phases.as_slice(), &mut text);
        }
        text.push_str("}\n");
        if !self.below.is_empty() {
            text.push_str("\n# Below the lines of the table:\n");
            self.below.iter().for_each(|line| text.push_str(&format!("{line}\n")));
        }
        text
    }

    fn header(&mut self, text: &mut String) {
        if let Some(title) = &self.title {
            text.push_str(&format!("  title {title}\n"));
        }
        let beside = self.sum.beside.as_ref().filter(|beside| beside.is_sure).map(|beside| &beside.grams);
        let makes =
            self.sum.whole.as_ref().filter(|_| self.sum.basis == Basis::Weights && !self.stays_grams).or(beside);
        let makes = makes.filter(|whole| whole.decimals().is_some_and(|places| places <= 6));
        text.push_str("  # What a table does not say, and the sheet and the checks ask for:\n  #   version  \"1\"\n  #   product  leave-on face\n");
        if makes.is_none() {
            text.push_str("  #   makes    100 g\n");
        }
        text.push_str("  #   scale    0.01 g\n");
        if let Some(makes) = makes {
            text.push_str(&format!("  makes {} g\n", makes.to_fixed(makes.decimals().unwrap_or(0))));
        }
        let rows: Vec<&Row> = self.table.rows.iter().map(|read| &read.row).collect();
        match self.dosing.window.clone() {
            Some(Window { low, high, line, around }) => {
                if let Some(ph) = around {
                    let says = format!("the table has pH {ph} alone; the window is 0.2 to each side of it");
                    text.push_str(&format!("  # {NOT_SURE}: {says}.\n"));
                    self.not_sure(line, "", &says);
                } else {
                    self.told.push(format!("The pH window {low} to {high} stands in line {line} of the table."));
                }
                text.push_str(&format!("  pH {low} to {high}\n"));
            }
            None => {
                for ph in ph::stated(&rows, self.table.marks) {
                    let (says, line) = match ph {
                        StatedPh::Single(ph, line) => {
                            (format!("pH {ph} is one figure; a formula has a window, as `pH 5 to 5.5`"), line)
                        }
                        StatedPh::Window(low, high, line) => {
                            (format!("pH {low} to {high} is one of several windows; write which"), line)
                        }
                    };
                    text.push_str(&format!("  # {NOT_SURE}: {says}.\n"));
                    self.not_sure(line, "", &says);
                }
            }
        }
        text.push('\n');
    }
}

fn phase_text(phase: &Phase, all: &[Phase], text: &mut String) {
    let title = phase.title.as_deref().and_then(string).map(|title| format!(" {title}")).unwrap_or_default();
    text.push_str(&format!("  phase {}{title} {{\n", phase.letter));
    phase.remarks.iter().for_each(|remark| text.push_str(&format!("    {remark}\n")));
    if let Some(warm) = phase.warm.as_ref().and_then(|warm| Some((warm, warm.decimals()?))) {
        let earlier =
            all.iter().take_while(|other| other.letter != phase.letter).filter_map(|other| other.warm.as_ref());
        let room = Exact::whole(22);
        let before = earlier.last().unwrap_or(&room);
        let cools = phase.cools.unwrap_or_else(|| (warm.0 - before).is_negative());
        let word = if cools { "cool" } else { "heat" };
        text.push_str(&format!("    {word} to {} °C\n", warm.0.to_fixed(warm.1)));
    }
    phase.lines.iter().for_each(|line| text.push_str(&format!("    {line}\n")));
    text.push_str("  }\n");
}
