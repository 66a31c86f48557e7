//! The page of a material, a premix or a container: where it is used, its lots, and what is on hand.

use super::formula::parts_of_page;
use super::{Book, BookPage, Kept, UsedAt};
use crate::batch::trail::{Trail, trace};
use crate::page::named;
use crate::page::workroom::{Addresses as _, linked};
use crate::render::{MovedJson, StockLotJson, StockThingJson, for_maker};
use maud::{Markup, html};
use std::collections::BTreeSet;

impl Book<'_> {
    /// The page of something that is weighed or filled.
    pub(super) fn kept_page(&self, kept: &Kept, used: &[UsedAt]) -> Option<BookPage> {
        let file = self.files.kept.get(kept)?;
        let stock = self.stocked(kept);
        let trail = if kept.0 { None } else { trace(&self.records, &kept.1) };
        let lead = html! {
            p { code { (named(&kept.1)) } ", " (self.kind(kept, used)) }
            @if !self.inci(used).is_empty() { p { "INCI: " (named(&self.inci(used).join(", "))) } }
        };
        let parts = [
            ("used", "Used in", Some(self.used_in(kept, used))),
            ("hand", "On hand", Some(self.on_hand(stock))),
            ("lots", "Lots", Some(self.its_lots(kept, stock, trail.as_ref()))),
            (
                "follows",
                "What it follows from",
                stock.filter(|of| !of.follows_from.is_empty()).map(|of| self.follows(of)),
            ),
        ];
        Some(self.page(file, "book-page material", self.called(kept, used), lead, parts_of_page(parts)))
    }

    /// What it is, in a word or two.
    pub(super) fn kind(&self, kept: &Kept, used: &[UsedAt]) -> Markup {
        let premix = self.premix(used);
        let is_premix = premix.is_some() || self.stocked(kept).is_some_and(|of| of.kind == "premix");
        let address = premix.and_then(|premix| self.formula(premix.id, &premix.name));
        html! {
            @if kept.0 { "a container" }
            @else if is_premix { "a premix" @if address.is_some() { ": " (linked(address.as_deref(), "its formula")) } }
            @else { "a material" }
        }
    }

    /// What a declaration calls its substances.
    pub(super) fn inci(&self, used: &[UsedAt]) -> Vec<String> {
        let Some(material) = self.material(used) else { return Vec::new() };
        let substance = |id| self.report.resolver.substance(id)?.inci.as_ref().map(ToString::to_string);
        material.contains.iter().filter_map(|part| substance(part.substance)).collect()
    }

    fn used_in(&self, kept: &Kept, used: &[UsedAt]) -> Markup {
        if kept.0 {
            return self.packs(kept);
        }
        html! {
            @if used.is_empty() { p.none { "No formula of this book uses it." } }
            @else {
                div.scroll tabindex="0" role="group" aria-label="Formulas that use it" { table {
                    thead { tr { th scope="col" { "Formula" } th scope="col" { "As written" } th.figure scope="col" { "%" } } }
                    tbody { @for at in used { (self.use_row(*at)) } }
                } }
            }
        }
    }

    fn use_row(&self, at: UsedAt) -> Markup {
        let (Some(found), Some(line)) = (self.report.formulas.get(at.0), self.line(at)) else { return html! {} };
        let formula = &found.formula;
        let percent = line.percent.as_ref().map_or("to pH".to_string(), |percent| for_maker(&percent.to_string()));
        html! {
            tr {
                th scope="row" { (linked(self.formula(formula.id, &formula.name).as_deref(), formula.title.as_deref().unwrap_or(&formula.name))) }
                td { code { (named(&line.written)) } }
                td.figure { (percent) }
            }
        }
    }

    /// The formulas that are filled into a container.
    fn packs(&self, kept: &Kept) -> Markup {
        let is_packed = |packed: &str| packed == kept.1.as_str();
        let all = self.report.formulas.iter().map(|found| &found.formula);
        let own: Vec<_> =
            all.filter(|of| of.selling.packed_in.iter().any(|packing| is_packed(&packing.name))).collect();
        html! {
            @if own.is_empty() { p.none { "No formula of this book is filled into it." } }
            @else {
                ul { @for of in own { li { (linked(self.formula(of.id, &of.name).as_deref(), of.title.as_deref().unwrap_or(&of.name))) } } }
            }
        }
    }

    fn on_hand(&self, stock: Option<&StockThingJson>) -> Markup {
        let Some(of) = stock else { return html! { p.none { "It was never counted or bought." } } };
        html! {
            p { strong { (hand_words(of)) } ", at the end of " (self.stock.on) "." }
            p { "Counted: " (of.counted.as_deref().unwrap_or(if of.kept { "never" } else { "not kept track of" })) "." }
        }
    }

    /// What is left of each lot, and the batches that each is in.
    fn its_lots(&self, kept: &Kept, stock: Option<&StockThingJson>, trail: Option<&Trail>) -> Markup {
        let left: Vec<&StockLotJson> = stock.iter().flat_map(|of| &of.lots).filter(|lot| lot.lot.is_some()).collect();
        let in_use = trail.iter().flat_map(|trail| &trail.lots).filter(|lot| lot.material == kept.1);
        let used: Vec<_> = in_use.collect();
        let mut codes: Vec<&str> = left.iter().filter_map(|lot| lot.lot.as_deref()).collect();
        codes.extend(used.iter().map(|lot| lot.code.as_str()));
        let mut met = BTreeSet::new();
        codes.retain(|code| met.insert(*code));
        html! {
            @if codes.is_empty() { p.none { "No lot of it is written down." } }
            @else {
                div.scroll tabindex="0" role="group" aria-label="Each lot" { table {
                    thead { tr {
                        th scope="col" { "Lot" } th.figure scope="col" { "Left" } th scope="col" { "To" } th scope="col" { "From" }
                        th scope="col" { "In batches" }
                    } }
                    tbody { @for code in codes {
                        @let here = left.iter().find(|lot| lot.lot.as_deref() == Some(code));
                        @let gone = used.iter().find(|lot| lot.code == code).map(|lot| lot.records.as_slice());
                        (self.lot_row(code, here.copied(), gone.unwrap_or_default()))
                    } }
                } }
            }
        }
    }

    fn lot_row(&self, code: &str, left: Option<&StockLotJson>, records: &[usize]) -> Markup {
        let batches = records.iter().filter_map(|number| self.records.all.get(*number));
        html! {
            tr {
                th scope="row" { (named(code)) }
                td.figure { (left.map_or("—", |lot| &lot.on_hand)) }
                td.day { @if let Some(day) = left.and_then(|lot| lot.expires.as_deref()) { (day) @if left.is_some_and(|lot| lot.past) { ", past" } } @else { "—" } }
                td { (named(left.and_then(|lot| lot.from.as_deref()).unwrap_or("—"))) }
                td { ul.plain { @for record in batches {
                    li { (linked(self.batch(record.batch.id, &record.batch.name).as_deref(), &record.batch.name)) }
                } } }
            }
        }
    }

    fn follows(&self, of: &StockThingJson) -> Markup {
        html! {
            div.scroll tabindex="0" role="group" aria-label="The last count and what came and went" { table {
                thead { tr { th scope="col" { "Day" } th scope="col" { "What" } th.figure scope="col" { "How much" } th scope="col" { "Batch" } th scope="col" { "Where it is written" } } }
                tbody { @for moved in &of.follows_from { (self.moved(moved)) } }
            } }
        }
    }

    fn moved(&self, of: &MovedJson) -> Markup {
        let path = |id| self.session.sources().path(id);
        let is_it = |batch: &crate::model::Batch, name: &str| batch.name == name && path(batch.id.file) == of.file;
        let record = of.batch.as_deref().and_then(|name| self.records.all.iter().find(|one| is_it(&one.batch, name)));
        let address = record.and_then(|record| self.batch(record.batch.id, &record.batch.name));
        html! {
            tr {
                td.day { (of.on.as_deref().unwrap_or("—")) }
                td { (of.what) }
                td.figure { (of.amount) }
                td { @if let Some(name) = &of.batch { (linked(address.as_deref(), name)) } }
                td.soft { (named(&of.file)) ", line " (of.line) }
            }
        }
    }
}

/// What is on hand, in words.
pub(super) fn hand_words(of: &StockThingJson) -> String {
    let past = if of.past_exact == "0" { String::new() } else { format!(", {} of it past its day", of.past) };
    match of.below_exact.as_str() {
        "0" => format!("{}{past}", of.on_hand),
        _ => format!("{} more went than came", of.below),
    }
}
