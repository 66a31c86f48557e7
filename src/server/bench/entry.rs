//! What is typed on the page, and the statement that it becomes: each kind as the questions of `record` have it.

use crate::batch::writing::{quoted, says_something, statement};
use std::collections::BTreeMap;

/// What can be written down.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A line was weighed in.
    Weighed,
    /// Adjuster, or with its reason a correction.
    Added,
    /// The pH was read.
    Reading,
    /// The pH was read by strip.
    Strip,
    /// A buffer was read.
    Calibrated,
    /// The rest went in.
    ToppedUp,
    /// Time went by.
    Waited,
    /// It was heated.
    Heated,
    /// It was cooled.
    Cooled,
    /// The lot of a material.
    Lot,
    /// Something was taken out.
    Removed,
    /// What came out.
    Yield,
    /// Containers were filled.
    Filled,
    /// Some were kept.
    Retained,
    /// Some were sold.
    Sold,
    /// It may be sold.
    Released,
    /// It may not.
    Rejected,
    /// Something was seen.
    Observed,
    /// Somebody complained.
    Complaint,
    /// Anything worth keeping.
    Note,
    /// A statement is struck out.
    Struck,
    /// A statement in the words of the record.
    Whole,
}

/// A box of the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Slot {
    /// Of which material.
    Material,
    /// How many grams.
    Grams,
    /// How many grams the whole weighs.
    Whole,
    /// A pH; of a strip its lower end.
    Ph,
    /// The upper end of a strip's.
    PhHigh,
    /// The pH of the buffer.
    Buffer,
    /// A temperature.
    Celsius,
    /// A time.
    Minutes,
    /// How many.
    Count,
    /// What each holds, with its unit.
    Each,
    /// A code.
    Code,
    /// A day.
    Expires,
    /// To whom.
    To,
    /// A reason.
    Because,
    /// A text.
    Text,
    /// A statement in the words of the record.
    Statement,
}

/// What was typed, box by box.
pub type Typed = BTreeMap<String, String>;

/// A statement, and whether the hour belongs to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The statement, without its stamps.
    pub statement: String,
    /// Whether it is a moment at the bench: a lot is none, and what is typed in the words of the record has its own.
    pub is_moment: bool,
}

/// Why what was typed makes no statement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Untyped {
    /// The box.
    pub slot: Slot,
    /// In a sentence.
    pub why: String,
}

/// Every kind with its word in a form.
const KINDS: &[(Kind, &str)] = &[
    (Kind::Weighed, "weighed"),
    (Kind::Added, "added"),
    (Kind::Reading, "reading"),
    (Kind::Strip, "strip"),
    (Kind::Calibrated, "calibrated"),
    (Kind::ToppedUp, "topped-up"),
    (Kind::Waited, "waited"),
    (Kind::Heated, "heated"),
    (Kind::Cooled, "cooled"),
    (Kind::Lot, "lot"),
    (Kind::Removed, "removed"),
    (Kind::Yield, "yield"),
    (Kind::Filled, "filled"),
    (Kind::Retained, "retained"),
    (Kind::Sold, "sold"),
    (Kind::Released, "released"),
    (Kind::Rejected, "rejected"),
    (Kind::Observed, "observed"),
    (Kind::Complaint, "complaint"),
    (Kind::Note, "note"),
    (Kind::Struck, "struck"),
    (Kind::Whole, "whole"),
];

impl Kind {
    /// Its word in a form.
    #[must_use]
    pub fn word(self) -> &'static str {
        KINDS.iter().find(|(kind, _)| *kind == self).map_or("", |(_, word)| word)
    }

    /// The kind of a word; none for any other.
    #[must_use]
    pub fn of(word: &str) -> Option<Kind> {
        KINDS.iter().find(|(_, own)| *own == word).map(|(kind, _)| *kind)
    }

    /// The statement that what was typed comes to.
    ///
    /// # Errors
    /// What is missing, or is no figure.
    pub fn entry(self, typed: &Typed) -> Result<Entry, Untyped> {
        let boxes = Boxes(typed);
        let text = match self {
            Kind::Weighed => format!("weighed {} {} g", boxes.material()?, boxes.figure(Slot::Grams)?),
            Kind::Added => {
                let because = boxes.some(Slot::Because).map(|why| format!(" because {}", quoted(why)));
                let (material, grams) = (boxes.material()?, boxes.figure(Slot::Grams)?);
                format!("added {material} {grams} g{}", because.unwrap_or_default())
            }
            Kind::Reading => format!("reading pH {}", boxes.figure(Slot::Ph)?),
            Kind::Strip => {
                format!("reading pH {} to {} by strip", boxes.figure(Slot::Ph)?, boxes.figure(Slot::PhHigh)?)
            }
            Kind::Calibrated => {
                format!("calibrated pH {} reads {}", boxes.figure(Slot::Buffer)?, boxes.figure(Slot::Ph)?)
            }
            Kind::ToppedUp => boxes.topped_up()?,
            Kind::Waited => format!("waited {} min", boxes.figure(Slot::Minutes)?),
            Kind::Heated => format!("heated {} °C", boxes.figure(Slot::Celsius)?),
            Kind::Cooled => format!("cooled {} °C", boxes.figure(Slot::Celsius)?),
            Kind::Lot => boxes.lot()?,
            Kind::Removed => {
                format!("removed {} g because {}", boxes.figure(Slot::Grams)?, boxes.quoted(Slot::Because)?)
            }
            Kind::Yield => format!("yield {} g", boxes.figure(Slot::Grams)?),
            Kind::Filled => boxes.filled()?,
            Kind::Retained => format!("retained {}", boxes.figure(Slot::Count)?),
            Kind::Sold => {
                let to = boxes.some(Slot::To).map(|to| format!(" to {}", quoted(to)));
                format!("sold {}{}", boxes.figure(Slot::Count)?, to.unwrap_or_default())
            }
            Kind::Released => "released".to_string(),
            Kind::Rejected => format!("rejected because {}", boxes.quoted(Slot::Because)?),
            Kind::Observed => format!("observed {}", boxes.quoted(Slot::Text)?),
            Kind::Complaint => format!("complaint {}", boxes.quoted(Slot::Text)?),
            Kind::Note => format!("note {}", boxes.quoted(Slot::Text)?),
            Kind::Struck => {
                format!("struck {} because {}", boxes.line(Slot::Statement)?, boxes.quoted(Slot::Because)?)
            }
            Kind::Whole => boxes.whole()?,
        };
        Ok(Entry { statement: text, is_moment: !matches!(self, Kind::Lot | Kind::Whole) })
    }
}

impl Slot {
    /// Its name in a form.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Slot::Material => "material",
            Slot::Grams => "grams",
            Slot::Whole => "whole",
            Slot::Ph => "ph",
            Slot::PhHigh => "ph-high",
            Slot::Buffer => "buffer",
            Slot::Celsius => "celsius",
            Slot::Minutes => "minutes",
            Slot::Count => "count",
            Slot::Each => "each",
            Slot::Code => "code",
            Slot::Expires => "expires",
            Slot::To => "to",
            Slot::Because => "because",
            Slot::Text => "text",
            Slot::Statement => "statement",
        }
    }

    /// That nothing was typed into it.
    fn missing(self) -> Untyped {
        let why = match self {
            Slot::Material => "Say which material it is.",
            Slot::Grams => "Type the grams that the scale shows.",
            Slot::Whole => "Type what the whole weighs, in grams.",
            Slot::Ph => "Type the pH that the meter shows.",
            Slot::PhHigh => "Type the upper pH that the strip may show.",
            Slot::Buffer => "Type the pH that stands on the buffer.",
            Slot::Celsius => "Type the temperature that was reached.",
            Slot::Minutes => "Type how many minutes it was left.",
            Slot::Count => "Type how many.",
            Slot::Each => "Type what each holds, with its unit: 30 mL, or 18 g.",
            Slot::Code => "Type the code.",
            Slot::Expires => "Type the day: 2027-03-31.",
            Slot::To => "Say to whom.",
            Slot::Because => "Say why: a reason goes with it.",
            Slot::Text => "Say what is to be written down.",
            Slot::Statement => "Type what happened, as the record says it: waited 30 min.",
        };
        Untyped { slot: self, why: why.to_string() }
    }

    /// The unit that may stand behind its figure.
    fn unit(self) -> &'static str {
        match self {
            Slot::Grams | Slot::Whole => "g",
            Slot::Celsius => "°C",
            Slot::Minutes => "min",
            _ => "",
        }
    }
}

/// So many digits are a figure of the bench; more is a slip of the hand.
const MOST_DIGITS: usize = 12;

/// The boxes of a form.
struct Boxes<'t>(&'t Typed);

impl<'t> Boxes<'t> {
    /// What was typed into a box; none where that is nothing.
    fn some(&self, slot: Slot) -> Option<&'t str> {
        self.0.get(slot.word()).map(|text| text.trim()).filter(|text| !text.is_empty())
    }

    fn text(&self, slot: Slot) -> Result<&'t str, Untyped> {
        self.some(slot).ok_or_else(|| slot.missing())
    }

    fn quoted(&self, slot: Slot) -> Result<String, Untyped> {
        self.text(slot).map(quoted)
    }

    /// What was typed as one line: no end of a line opens another statement.
    fn line(&self, slot: Slot) -> Result<String, Untyped> {
        Ok(self.text(slot)?.split(['\n', '\r']).map(str::trim).collect::<Vec<_>>().join(" "))
    }

    /// A figure with a decimal point or a comma, with its unit behind it or without.
    fn figure(&self, slot: Slot) -> Result<String, Untyped> {
        let typed = self.text(slot)?;
        let bare = typed.strip_suffix(slot.unit()).unwrap_or(typed).trim_end();
        let figure = bare.replace(',', ".");
        let (whole, rest) = figure.split_once('.').unwrap_or((&figure, "0"));
        let is_digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        if is_digits(whole) && is_digits(rest) && figure.len() <= MOST_DIGITS {
            return Ok(figure);
        }
        let why = if bare.bytes().filter(|byte| matches!(byte, b'.' | b',')).count() > 1 {
            format!("“{typed}” has more than one point or comma: write 1234.5 or 1234,5.")
        } else if is_digits(whole) && is_digits(rest) {
            format!("“{typed}” has more digits than a scale shows.")
        } else {
            format!("“{typed}” is no figure: write 12.5 or 12,5.")
        };
        Err(Untyped { slot, why })
    }

    /// The name of a material as the record has it.
    fn material(&self) -> Result<&'t str, Untyped> {
        let typed = self.text(Slot::Material)?;
        let fits = |letter: char| letter.is_ascii_lowercase() || letter.is_ascii_digit() || letter == '-';
        if typed.chars().all(fits) {
            return Ok(typed);
        }
        let why = format!("“{typed}” is no name of a material: names are small letters, figures and hyphens.");
        Err(Untyped { slot: Slot::Material, why })
    }

    /// After heat the whole goes on the scale too: what evaporated, no sum knows.
    fn topped_up(&self) -> Result<String, Untyped> {
        let material = self.material()?;
        let figure = |slot: Slot| self.some(slot).map(|_| self.figure(slot)).transpose();
        Ok(match (figure(Slot::Grams)?, figure(Slot::Whole)?) {
            (Some(grams), None) => format!("topped-up {material} {grams} g"),
            (Some(grams), Some(whole)) => format!("topped-up {material} {grams} g to {whole} g"),
            (None, Some(whole)) => format!("topped-up {material} to {whole} g"),
            (None, None) => return Err(Slot::Grams.missing()),
        })
    }

    fn lot(&self) -> Result<String, Untyped> {
        let (material, code) = (self.material()?, self.quoted(Slot::Code)?);
        let Some(day) = self.some(Slot::Expires) else { return Ok(format!("lot {material} {code}")) };
        if day.parse::<jiff::civil::Date>().is_err() || !day.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-') {
            return Err(Untyped { slot: Slot::Expires, why: format!("“{day}” is no day: write 2027-03-31.") });
        }
        Ok(format!("lot {material} {code} expires {day}"))
    }

    fn filled(&self) -> Result<String, Untyped> {
        let count = self.figure(Slot::Count)?;
        let typed = self.text(Slot::Each)?;
        let wrong = || Untyped {
            slot: Slot::Each,
            why: format!("“{typed}” is no content of a jar: write a figure and its unit, 30 mL or 18 g."),
        };
        let each = typed.replace(',', ".");
        let at = each.find(|letter: char| !letter.is_ascii_digit() && letter != '.').ok_or_else(wrong)?;
        let (figure, unit) = each.split_at_checked(at).ok_or_else(wrong)?;
        let unit = unit.trim();
        if figure.is_empty() || unit.is_empty() || !unit.chars().all(char::is_alphabetic) {
            return Err(wrong());
        }
        let code = self.some(Slot::Code).map(|code| format!(" as {}", quoted(code)));
        Ok(format!("filled {count} x {figure} {unit}{}", code.unwrap_or_default()))
    }

    fn whole(&self) -> Result<String, Untyped> {
        let said = self.line(Slot::Statement)?;
        if says_something(&said) { Ok(statement(&[said])) } else { Err(Slot::Statement.missing()) }
    }
}

#[cfg(test)]
mod tests {
    use super::{KINDS, Kind, Slot, Typed};

    fn typed(boxes: &[(&str, &str)]) -> Typed {
        boxes.iter().map(|(name, text)| ((*name).to_string(), (*text).to_string())).collect()
    }

    #[test]
    fn what_is_typed_becomes_the_statement_that_the_terminal_would_write() {
        for (kind, boxes, wanted) in [
            ("weighed", &[("material", "water"), ("grams", "12,50")][..], "weighed water 12.50 g"),
            ("weighed", &[("material", "water"), ("grams", " 12.5 g ")], "weighed water 12.5 g"),
            ("added", &[("material", "soda-2"), ("grams", "3")], "added soda-2 3 g"),
            (
                "added",
                &[("material", "acid"), ("grams", "3"), ("because", "over the \"edge\"")],
                "added acid 3 g because \"over the \\\"edge\\\"\"",
            ),
            ("reading", &[("ph", "3,86")], "reading pH 3.86"),
            ("strip", &[("ph", "3,6"), ("ph-high", "3.9")], "reading pH 3.6 to 3.9 by strip"),
            ("calibrated", &[("buffer", "4.01"), ("ph", "4,19")], "calibrated pH 4.01 reads 4.19"),
            ("topped-up", &[("material", "water"), ("grams", "1.42")], "topped-up water 1.42 g"),
            (
                "topped-up",
                &[("material", "water"), ("grams", "1.42"), ("whole", "20")],
                "topped-up water 1.42 g to 20 g",
            ),
            ("topped-up", &[("material", "water"), ("grams", ""), ("whole", "20")], "topped-up water to 20 g"),
            ("waited", &[("minutes", "30")], "waited 30 min"),
            ("heated", &[("celsius", "75 °C")], "heated 75 °C"),
            ("cooled", &[("celsius", "39,5")], "cooled 39.5 °C"),
            ("lot", &[("material", "water"), ("code", "still 41")], "lot water \"still 41\""),
            (
                "lot",
                &[("material", "water"), ("code", "W"), ("expires", "2027-03-31")],
                "lot water \"W\" expires 2027-03-31",
            ),
            ("removed", &[("grams", "2"), ("because", "spilt")], "removed 2 g because \"spilt\""),
            ("yield", &[("grams", "19")], "yield 19 g"),
            ("filled", &[("count", "5"), ("each", "30 mL"), ("code", "B-1")], "filled 5 x 30 mL as \"B-1\""),
            ("filled", &[("count", "5"), ("each", "17,5g")], "filled 5 x 17.5 g"),
            ("retained", &[("count", "1")], "retained 1"),
            ("sold", &[("count", "3"), ("to", "the shop")], "sold 3 to \"the shop\""),
            ("sold", &[("count", "3")], "sold 3"),
            ("released", &[], "released"),
            ("rejected", &[("because", "split")], "rejected because \"split\""),
            ("observed", &[("text", "clear")], "observed \"clear\""),
            ("complaint", &[("text", "too thin")], "complaint \"too thin\""),
            ("note", &[("text", "It is\n}\nreleased")], "note \"It is\\n}\\nreleased\""),
            (
                "struck",
                &[("statement", "reading pH 38.6 at 14:05"), ("because", "slip")],
                "struck reading pH 38.6 at 14:05 because \"slip\"",
            ),
            ("whole", &[("statement", "reading pH 3,77 at 22 °C")], "reading pH 3.77 at 22 °C"),
            ("whole", &[("statement", "note red wine")], "note \"red wine\""),
        ] {
            let entry = Kind::of(kind).unwrap().entry(&typed(boxes));
            assert_eq!(entry.map(|entry| entry.statement), Ok(wanted.to_string()), "{kind}");
        }
    }

    #[test]
    fn nothing_typed_opens_another_statement() {
        for (kind, boxes, slot) in [
            ("weighed", &[("material", "water"), ("grams", "1 g\nreleased")][..], Slot::Grams),
            ("weighed", &[("material", "water 1 g } batch x {"), ("grams", "1")], Slot::Material),
            ("weighed", &[("material", "water\n"), ("grams", "")], Slot::Grams),
            ("weighed", &[("grams", "1")], Slot::Material),
            ("reading", &[("ph", "four")], Slot::Ph),
            ("reading", &[("ph", "3.8.6")], Slot::Ph),
            ("reading", &[("ph", "1,234.5")], Slot::Ph),
            ("reading", &[("ph", "-3")], Slot::Ph),
            ("reading", &[("ph", "٣")], Slot::Ph),
            ("reading", &[("ph", ".5")], Slot::Ph),
            ("reading", &[("ph", "0.00000000000000001")], Slot::Ph),
            ("filled", &[("count", "5"), ("each", "30")], Slot::Each),
            ("filled", &[("count", "5"), ("each", "30 mL } x")], Slot::Each),
            ("filled", &[("count", "a"), ("each", "30 mL")], Slot::Count),
            ("lot", &[("material", "water"), ("code", "W"), ("expires", "2027-02-30")], Slot::Expires),
            ("lot", &[("material", "water"), ("code", "W"), ("expires", "2027-02-28T10\nreleased")], Slot::Expires),
            ("removed", &[("grams", "2")], Slot::Because),
            ("note", &[("text", " \n ")], Slot::Text),
            ("whole", &[("statement", "# nothing")], Slot::Statement),
            ("topped-up", &[("material", "water")], Slot::Grams),
        ] {
            let entry = Kind::of(kind).unwrap().entry(&typed(boxes));
            assert_eq!(entry.map_err(|wrong| wrong.slot), Err(slot), "{kind} {boxes:?}");
        }
    }

    #[test]
    fn a_moment_has_its_hour_and_a_lot_has_none() {
        for (kind, word) in KINDS {
            assert_eq!(Kind::of(word), Some(*kind));
        }
        let lot = typed(&[("material", "water"), ("code", "W")]);
        assert!(!Kind::Lot.entry(&lot).unwrap().is_moment);
        assert!(Kind::Released.entry(&Typed::new()).unwrap().is_moment);
        assert!(!Kind::Whole.entry(&typed(&[("statement", "released")])).unwrap().is_moment);
        assert_eq!(Kind::of("plan"), None);
    }
}
