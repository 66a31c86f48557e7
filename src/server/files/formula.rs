//! What a formula comes to, as one file: of what is saved, and as the command prints it.

use super::Download;
use crate::cost::of as cost_of;
use crate::label::Panel;
use crate::page::{Card, DrawnCard, LabelPage, SheetPage, cost_html, label_html, sheet_html};
use crate::quantity::Exact;
use crate::render::{BatchCostJson, DiagnosticJson, LabelTiling, Summary, sheet, shown};
use crate::server::inside::Inside;
use crate::server::live::LiveOrder;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::saved::with_past;
use crate::server::workroom::Workroom;
use crate::session::{FormulaReport, LabelOrder, Labels, NoLabels, Report, Session};
use crate::sheet::BatchOrder;
use crate::syntax::vocabulary::Market;

const PAGE: &str = "text/html; charset=utf-8";

/// What a formula can be taken away as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FormulaFile {
    /// The sheet at the bench.
    Sheet,
    /// The label.
    Label,
    /// What it costs.
    Cost,
    /// The card, as a drawing.
    CardSvg,
    /// The card, as a picture.
    CardPng,
}

impl FormulaFile {
    const ALL: [(FormulaFile, &'static str); 5] = [
        (FormulaFile::Sheet, "sheet.html"),
        (FormulaFile::Label, "label.html"),
        (FormulaFile::Cost, "cost.html"),
        (FormulaFile::CardSvg, "card.svg"),
        (FormulaFile::CardPng, "card.png"),
    ];

    /// What its address and its name end in.
    #[must_use]
    pub fn word(self) -> &'static str {
        FormulaFile::ALL.iter().find(|(of, _)| *of == self).map_or("", |(_, word)| word)
    }

    /// By the end of its address; a card says in `format` which of the two it is.
    fn of_word(word: &str, asked: &Asked) -> Option<FormulaFile> {
        let word = match (word, asked.get("format")) {
            ("card", Some(format)) => format!("card.{format}"),
            (word, _) => word.to_string(),
        };
        FormulaFile::ALL.iter().find(|(_, own)| *own == word).map(|(of, _)| *of)
    }
}

/// What is asked of a label: its size, its paper, and one market or those of the formula.
#[derive(Clone, Debug, Default)]
pub struct LabelAsked {
    /// The market and the size.
    pub order: LabelOrder,
    /// Letter in place of A4.
    pub on_letter: bool,
}

impl LabelAsked {
    /// Out of an address: `width` and `height` in mm, `paper`, `market`.
    ///
    /// # Errors
    /// A size that is none, in a sentence.
    pub fn of(asked: &Asked) -> Result<LabelAsked, String> {
        let text = |key: &str| asked.get(key).map(|text| text.trim()).unwrap_or_default();
        let panel = match (text("width"), text("height")) {
            ("", "") => None,
            (width, height) => Some(panel(width, height)?),
        };
        let market = match text("market") {
            "" => None,
            word => Some(Market::from_word(word).ok_or_else(|| format!("There is no market `{}` here.", shown(word)))?),
        };
        Ok(LabelAsked { order: LabelOrder { market, panel }, on_letter: text("paper") == "letter" })
    }

    /// The paper that labels of a size are printed on.
    #[must_use]
    pub fn tiling(&self) -> Option<LabelTiling> {
        let paper = if self.on_letter { LabelTiling::LETTER } else { LabelTiling::A4 };
        self.order.panel.is_some().then_some(paper)
    }
}

/// A size in mm, with a comma or a point.
fn panel(width: &str, height: &str) -> Result<Panel, String> {
    let side = |name: &str, text: &str| {
        let plain = text.trim().trim_end_matches("mm").trim_end().replace(',', ".");
        Exact::parse(&plain).ok_or_else(|| match text {
            "" => format!("A label has two sides: its {name} is missing."),
            text => format!("The {name} is a figure in millimetres, as `60` or `37,5`, and `{}` is none.", shown(text)),
        })
    };
    let (least, most) = Panel::SIDES;
    let panel = Panel::of(side("width", width)?, side("height", height)?);
    panel.ok_or_else(|| format!("The sides of a label are from {least} to {most} mm."))
}

/// A formula of a file, as it is saved.
pub struct OneFormula {
    session: Session<'static>,
    name: String,
}

impl OneFormula {
    /// Reads the file and all it uses.
    #[must_use]
    pub fn open(workroom: &Workroom, file: &Inside, name: &str) -> OneFormula {
        let session = Session::open(workroom.world().clone(), &[file.path().to_path_buf()], None);
        let mut session = session.seen_from(Some(workroom.folder().to_path_buf()));
        with_past(&mut session);
        OneFormula { session, name: name.to_string() }
    }

    /// The formula, where nothing stands against working with it.
    fn found<'r>(&self, report: &'r Report<'_>) -> Result<&'r FormulaReport, Refusal> {
        let found = report.formulas.iter().find(|found| found.formula.name == self.name);
        let name = shown(&self.name);
        let found = found.ok_or_else(|| {
            Refusal::not_found(format!("What is saved has no formula `{name}`: save the text first, or go back to it."))
        })?;
        if found.is_blocked() {
            let words = Summary::of(&found.diagnostics).words();
            return Err(Refusal::wrong(format!(
                "`{name}` cannot be weighed as it is saved, so there is nothing of it to take away: {words}. Its page says \
                 what to mend."
            )));
        }
        Ok(found)
    }

    fn sheet(&self, order: &BatchOrder) -> Result<String, Refusal> {
        let report = self.session.check_for_sheet(order);
        let found = self.found(&report)?;
        let sheet = sheet(self.session.sources(), &report, found, order).ok_or_else(|| unweighed(&self.name))?;
        Ok(sheet_html(&[SheetPage::of(&report.resolver, found, sheet)]))
    }

    fn cost(&self, order: &BatchOrder) -> Result<String, Refusal> {
        let report = self.session.check_for_sheet(order);
        let found = self.found(&report)?;
        let cost = cost_of(&report.resolver, &found.formula, order, None).ok_or_else(|| unweighed(&self.name))?;
        let faults = DiagnosticJson::all(self.session.sources(), &found.diagnostics);
        Ok(cost_html(&[BatchCostJson::new(&cost, faults)]))
    }

    /// The labels, given to `look` with the page that shows them.
    ///
    /// # Errors
    /// A formula that has none, with the reason.
    pub fn label<T>(&self, asked: &LabelAsked, look: impl FnOnce(&Labels, LabelPage) -> T) -> Result<T, Refusal> {
        let order = BatchOrder::default();
        let report = self.session.check(&order);
        let found = self.found(&report)?;
        let labels = report.labels(found, &order, &asked.order).map_err(|why| no_label(&self.name, why))?;
        let tiling = asked.tiling();
        let page = LabelPage::of(self.session.sources(), &labels, asked.order.panel.as_ref().zip(tiling.as_ref()));
        Ok(look(&labels, page))
    }

    fn card(&self, has_figures: bool) -> Result<DrawnCard, Refusal> {
        let report = self.session.check(&BatchOrder::default());
        let found = self.found(&report)?;
        let card = Card::of(&report, found).ok_or_else(|| unweighed(&self.name))?;
        Ok(DrawnCard::of(&card, has_figures))
    }
}

/// A formula as a file. `word` says as which; what else is asked stands in the address.
///
/// # Errors
/// What is no `.still` file of the folder, no formula of it, and no kind of file; and a formula that cannot be weighed.
pub fn formula(workroom: &Workroom, file: &str, name: &str, word: &str, asked: &Asked) -> Result<Download, Refusal> {
    let file = workroom.inside(file)?;
    let as_what = FormulaFile::of_word(word, asked);
    let as_what = as_what.ok_or_else(|| Refusal::not_found("A formula is not taken away as that."))?;
    let of = OneFormula::open(workroom, &file, name);
    let (kind, bytes) = match as_what {
        FormulaFile::Sheet => (PAGE, of.sheet(&ordered(asked)?)?.into_bytes()),
        FormulaFile::Cost => (PAGE, of.cost(&ordered(asked)?)?.into_bytes()),
        FormulaFile::Label => {
            let asked = LabelAsked::of(asked).map_err(Refusal::wrong)?;
            let text = of.label(&asked, |_, page| label_html(&[page], asked.tiling().as_ref()))?;
            (PAGE, text.into_bytes())
        }
        FormulaFile::CardSvg => ("image/svg+xml", of.card(has_figures(asked))?.svg().to_string().into_bytes()),
        FormulaFile::CardPng => {
            let drawn = of.card(has_figures(asked))?;
            let picture = drawn.png().map_err(|_| {
                Refusal::wrong("The picture would be larger than can be looked at: take the card as a drawing, SVG.")
            })?;
            ("image/png", picture)
        }
    };
    Ok(Download { name: format!("{name}-{}", as_what.word()), kind, bytes })
}

/// The batch that is asked for.
fn ordered(asked: &Asked) -> Result<BatchOrder, Refusal> {
    let order = LiveOrder::of(asked.get("batch").map(String::as_str).unwrap_or_default(), None);
    match order.refused {
        Some(why) => Err(Refusal::wrong(why)),
        None => Ok(order.order),
    }
}

/// A box of a form is sent only where it is ticked: `choice` says that there was such a box.
fn has_figures(asked: &Asked) -> bool {
    !asked.contains_key("choice") || asked.contains_key("figures")
}

fn unweighed(name: &str) -> Refusal {
    Refusal::wrong(format!("`{}` cannot be weighed yet: say how much it makes, as `makes 100 g`.", shown(name)))
}

fn no_label(name: &str, why: NoLabels) -> Refusal {
    let name = shown(name);
    Refusal::wrong(match why {
        NoLabels::Stock => format!("`{name}` is `product stock`: it is for the bench, not for skin, and has no label."),
        NoLabels::NoMarket => format!(
            "`{name}` has no label, as it says of no market that it is sold there: add `market eu` to it, or choose a market."
        ),
        NoLabels::Rejected | NoLabels::NotKnown => format!("What is in `{name}` is not known, so it has no label."),
    })
}

#[cfg(test)]
mod tests {
    use super::LabelAsked;
    use crate::quantity::Exact;
    use crate::server::routes::Asked;

    fn asked(width: &str, height: &str) -> Result<LabelAsked, String> {
        let pairs = [("width", width), ("height", height), ("paper", "letter"), ("market", "")];
        LabelAsked::of(&pairs.map(|(key, text)| (key.to_string(), text.to_string())).into_iter().collect::<Asked>())
    }

    #[test]
    fn a_size_is_in_millimetres_with_a_comma_or_a_point() {
        let right = asked("37,5", " 22 mm").unwrap();
        let panel = right.order.panel.as_ref().unwrap();
        assert_eq!((&panel.width, &panel.height), (&Exact::ratio(75, 2), &Exact::whole(22)));
        assert!(right.on_letter && right.tiling().is_some());
        assert!(asked("", "").unwrap().tiling().is_none());
        for (width, height) in [("60", ""), ("", "40"), ("a", "40"), ("4", "40"), ("60", "1001"), ("-60", "40")] {
            assert!(asked(width, height).is_err(), "{width} x {height}");
        }
    }
}
