//! The label of a product in one market, all of it.

use super::answer::{Answer, Origin, Seller};
use super::caution::{Doubts, cautions};
use super::contents::Bearing;
use super::declaration::{Declaration, DeclaredBasis, NoteCode, declaration};
use super::gone::GoneHeader;
use super::items::{Item, LabelFacts, NOT_ASKED, items};
use super::jar::Jar;
use super::layout::{Paragraph, Stay};
use super::life::{Life, LifeKind, life};
use super::net::{Net, Nominal, Panel, net};
use super::statement::{Statement, statements};
use super::{INGREDIENTS, LabelledBatch};
use crate::model::Composition;
use crate::resolve::Resolver;
use crate::syntax::vocabulary::Market;

/// What a label is made of.
pub struct LabelSubject<'l, 's> {
    /// The names: those of the session, or of the batch.
    pub names: &'l Resolver<'s>,
    /// What is in the jar, and the formula that says what stands on it.
    pub jar: &'l Jar,
    /// What the statements of rules are asked for by; none where it is not known.
    pub counted: Option<&'l Composition>,
    /// The maker.
    pub seller: &'l Seller,
    /// What a container holds.
    pub nominal: Option<&'l Nominal>,
    /// The batch; none where it is the label of a formula.
    pub batch: Option<&'l LabelledBatch>,
    /// The main panel, where a size is asked for.
    pub panel: Option<&'l Panel>,
    /// The day rules are read on.
    pub day: &'l str,
}

/// The label of a product in a market.
#[derive(Clone, Debug)]
pub struct MarketLabel {
    /// The market.
    pub market: Market,
    /// The ingredients.
    pub declaration: Declaration,
    /// What it states.
    pub statements: Vec<Statement>,
    /// What a container holds.
    pub net: Net,
    /// How long it keeps.
    pub life: Life,
    /// Who answers for it.
    pub answer: Answer,
    /// What has to stand on it, and where.
    pub items: Vec<Item>,
    /// What is not settled, or not covered.
    pub cautions: Vec<String>,
    /// The header of the batch's version, where it is gone.
    pub gone: Option<GoneHeader>,
}

impl MarketLabel {
    /// The label of something in a market.
    #[must_use]
    pub fn of(subject: &LabelSubject<'_, '_>, market: Market) -> MarketLabel {
        let formula = &subject.jar.formula;
        let declaration = declaration(subject.names, subject.jar, market, subject.day);
        let statements = statements(subject.names, formula, subject.counted, market, subject.day);
        let net = net(market, subject.nominal, subject.panel);
        let started = subject.batch.and_then(|batch| batch.started.as_deref());
        let life = life(market, formula.label.lasts.as_ref(), formula.label.opened.as_ref(), started);
        let answer = subject.seller.answer(market, subject.day);
        let gone = subject.batch.and_then(|batch| batch.header_gone.as_ref());
        let items = items(
            market,
            &LabelFacts {
                title: formula.title.as_deref(),
                function: formula.label.function.as_deref(),
                ingredients: Some(&declaration.text()),
                net: &net,
                life: &life,
                statements: &statements,
                answer: &answer,
                batch_code: subject.batch.and_then(|batch| batch.code.as_deref()),
                gone,
            },
        );
        let exactly_one: Vec<String> = declaration.exactly_one().map(str::to_string).collect();
        let unproven: Vec<String> =
            statements.iter().filter(|said| said.is_unproven).map(|said| said.text.clone()).collect();
        let cautions = cautions(&Doubts {
            market,
            formula,
            bearing: &Bearing::of(subject.names, formula),
            net: &net,
            answer: &answer,
            exactly_one: &exactly_one,
            as_formed: declaration.basis == DeclaredBasis::AsFormed,
            unproven: &unproven,
        });
        MarketLabel { market, declaration, statements, net, life, answer, items, cautions, gone: gone.cloned() }
    }

    /// What stands on the jar, a paragraph each, in the order of print: what is not known as a blank.
    #[must_use]
    pub fn paragraphs(&self, title: Option<&str>) -> Vec<Paragraph> {
        let item = |name: &str| self.items.iter().find(|item| item.item == name && item.is_asked());
        // Without a title, what it is for is its identity in the United States.
        let name = title.or_else(|| item("identity")?.text.as_deref()).unwrap_or("____ name of the product");
        let mut all = vec![paragraph(Stay::Title, "name", name)];
        let function = item("function").and_then(|item| item.text.as_deref());
        all.extend(function.map(|text| paragraph(Stay::Fixed, "function", text)));
        let directions = self.statements.iter().filter(|said| said.is_direction);
        all.extend(directions.map(|said| paragraph(Stay::Leaflet, "directions", &said.text)));
        let directions = self.gone.as_ref().map(|gone| gone.blank("directions"));
        all.extend(directions.map(|text| paragraph(Stay::Leaflet, "directions", &text)));
        // A leaflet is of Art. 19(2) of the Regulation; in the United States a warning stands on the label itself.
        let stay = if self.market == Market::Us { Stay::Fixed } else { Stay::Leaflet };
        for name in ["precautions", "warnings"] {
            all.extend(item(name).map(|item| paragraph(stay, item.item, &item.or_blank())));
        }
        all.push(paragraph(Stay::Pack, INGREDIENTS, &self.declaration.text()));
        all.extend(self.durability().map(|text| paragraph(Stay::Fixed, "durability", &text)));
        let batch = item("batch number").and_then(|item| item.text.as_deref()).unwrap_or("____");
        all.push(paragraph(Stay::Batch, "batch number", &format!("Batch {batch}")));
        for name in
            ["responsible person", "name and place of business", "name and address", "contact for adverse events"]
        {
            all.extend(item(name).map(|item| paragraph(Stay::Fixed, item.item, &item.or_blank())));
        }
        all.extend(self.origin().map(|text| paragraph(Stay::Fixed, "country of origin", &text)));
        let quantity = item("nominal content").or_else(|| item("net quantity"));
        all.extend(quantity.map(|item| paragraph(Stay::Net, item.item, &item.or_blank())));
        all
    }

    /// The words for how long it keeps, with a blank where the batch will say it.
    fn durability(&self) -> Option<String> {
        match (self.life.kind, self.life.words()) {
            (LifeKind::NoneRequired, _) => None,
            (_, Some(words)) => Some(words),
            (LifeKind::BestBefore, None) => Some("Best used before the end of ____".to_string()),
            (_, None) => Some("____ durability".to_string()),
        }
    }

    fn origin(&self) -> Option<String> {
        match &self.answer.origin {
            Origin::NotAsked => None,
            Origin::Asked(country) => Some(format!("Made in {country}")),
            Origin::Unknown => Some("____ country of origin".to_string()),
        }
    }

    /// The names of the items that stand on the container, on the outer pack alone, or nowhere.
    pub fn standing(&self, container: bool, outer: bool) -> impl Iterator<Item = &'static str> + '_ {
        let those = self.items.iter().filter(move |item| item.container == container && item.outer == outer);
        those.filter(|item| item.text.as_deref() != Some(NOT_ASKED)).map(|item| item.item)
    }
}

impl Declaration {
    /// The names at exactly 1 %.
    pub fn exactly_one(&self) -> impl Iterator<Item = &str> {
        let those = self.notes.iter().filter(|note| note.code == NoteCode::ExactlyOnePercent);
        those.map(|note| note.what.as_str())
    }

    /// The colourants that have no name in the United States.
    pub fn without_us_name(&self) -> impl Iterator<Item = &str> {
        let those = self.notes.iter().filter(|note| note.code == NoteCode::UsColourName);
        those.map(|note| note.what.as_str())
    }
}

fn paragraph(stay: Stay, item: &str, text: &str) -> Paragraph {
    Paragraph { stay, item: item.to_string(), text: text.to_string() }
}
