//! The words of selling: what a header, a maker, containers and the store room come to once they are read.

use crate::common::checked;
use std::sync::Arc;
use stillroom::model::{Content, FeeAmount, Formula, Pricing, Stocked};
use stillroom::quantity::{Exact, Interval};
use stillroom::resolve::{NameSet, Resolver};
use stillroom::session::Report;
use stillroom::syntax::vocabulary::{Market, StockWord};

const SOUND: &str = include_str!("../suite/selling/sound.still");

fn with_sound<T>(look: impl FnOnce(&Resolver<'_>, &Report<'_>) -> T) -> T {
    checked(SOUND, |_, report| look(&report.resolver, report))
}

fn formula(report: &Report<'_>, name: &str) -> Arc<Formula> {
    Arc::clone(&report.formulas.iter().find(|one| one.formula.name == name).expect("a formula").formula)
}

fn exact(text: &str) -> Exact {
    Exact::parse(text).expect("a figure")
}

#[test]
fn a_header_says_what_is_paid_and_asked() {
    with_sound(|resolver, report| {
        let made = formula(report, "salve");
        let selling = &made.selling;
        assert_eq!(selling.loss.as_ref().map(|loss| loss.value.clone()), Some(exact("3")));
        assert_eq!(selling.vat.as_ref().map(|vat| vat.value.clone()), Some(exact("21")));
        let work: Vec<String> =
            selling.labour.iter().map(|labour| labour.cost().expect("a cost").amount.to_string()).collect();
        assert_eq!(work, ["27", "6"]);
        let fees: Vec<String> = selling
            .fees
            .iter()
            .map(|fee| match &fee.what {
                FeeAmount::Batch(money) => format!("batch {} {}", money.amount, money.currency),
                FeeAmount::Each(money) => format!("each {} {}", money.amount, money.currency),
                FeeAmount::OfPrice(share) => format!("price {share}"),
            })
            .collect();
        assert_eq!(fees, ["batch 25 EUR", "each 0.2 EUR", "price 3"]);
        assert!(matches!(&selling.price.as_ref().expect("a price").value, Pricing::Price(money)
            if money.amount == exact("14.5") && money.currency.code() == "EUR"));
        let packed: Vec<&str> = selling.packed_in.iter().map(|packing| packing.name.as_str()).collect();
        assert_eq!(packed, ["jar-30", "lid", "box"]);
        let shades: Vec<String> = selling
            .may_contain
            .iter()
            .flat_map(|shade| shade.substances.iter().map(|id| resolver.substance_name(*id)))
            .collect();
        assert_eq!(shades, ["mica", "titanium-dioxide"]);
    });
}

/// A variant says again what differs, and a margin takes the place of a price.
#[test]
fn a_variant_takes_the_rest_from_its_base() {
    with_sound(|_, report| {
        let (base, made) = (formula(report, "salve"), formula(report, "salve-plain"));
        assert_eq!(made.selling.loss, base.selling.loss);
        assert_eq!(made.selling.labour, base.selling.labour);
        assert_eq!(made.selling.packed_in, base.selling.packed_in);
        assert_eq!(made.selling.fees.len(), 1);
        assert!(matches!(&made.selling.price.as_ref().expect("a price").value, Pricing::Margin(share)
            if *share == exact("60")));
    });
}

/// What is asked for it changes no weight, and so no digest.
#[test]
fn no_line_of_selling_is_in_the_digest() {
    let digest = |text: &str| checked(text, |_, report| report.resolver.digest(&formula(report, "salve")));
    let mut without = String::new();
    let words = ["may ", "packed ", "box", "loss ", "labour ", "fee ", "sells ", "vat "];
    for line in SOUND.lines().filter(|line| !words.iter().any(|word| line.trim_start().starts_with(word))) {
        without.push_str(line);
        without.push('\n');
    }
    assert!(SOUND.lines().count() > without.lines().count() + 10);
    assert_eq!(digest(SOUND), digest(&without));
}

#[test]
fn containers_makers_and_rates_are_read_from_all_files() {
    with_sound(|resolver, report| {
        let jar = resolver.containers().into_iter().find(|one| one.name == "jar-30").expect("a jar");
        assert_eq!(jar.holds, Some(Content::Millilitres(exact("30"))));
        assert_eq!(jar.overfill, Some(exact("2")));
        let packs: Vec<String> =
            jar.packs.iter().map(|pack| format!("{} per {}", pack.price.amount, pack.count)).collect();
        assert_eq!(packs, ["0.62 per 1", "5.8 per 10", "54 per 100"]);
        let [rate] = &resolver.rates()[..] else { panic!("one rate") };
        assert_eq!(
            (rate.of.currency.code(), rate.worth.amount.clone(), rate.on.as_str()),
            ("EUR", exact("1.08"), "2026-11-02")
        );
        let maker = resolver.maker(formula(report, "salve").id.file).expect("a maker");
        assert_eq!(maker.country.as_deref(), Some("Ireland"));
        assert!(maker.responsible_in(Market::Us).expect("somebody").starts_with("Elm"));
        assert_eq!(maker.responsible_in(Market::Eu), None);
        assert_eq!(maker.code.expect("a code").on("2026-11-20").as_deref(), Some("HH-2026-1120"));
    });
}

#[test]
fn what_is_planned_and_what_is_on_hand_is_read() {
    with_sound(|resolver, report| {
        let planned: Vec<(String, Option<Exact>)> =
            resolver.planned().into_iter().map(|one| (one.name.to_string(), one.makes.grams)).collect();
        assert_eq!(planned, [("salve".to_string(), None), ("salve-plain".to_string(), Some(exact("500")))]);
        assert_eq!(resolver.planned()[0].formula, formula(report, "salve").id);
        let store = resolver.store();
        let said: Vec<String> = store
            .iter()
            .map(|entry| format!("{} {} {} {}", entry.word.word(), entry.name, entry.amount, entry.on))
            .collect();
        assert_eq!(
            said,
            [
                "counted plain-wax 850 2026-11-01",
                "counted lid 0 2026-11-01",
                "bought lid 100 2026-11-02",
                "bought plain-wax 1000 2026-11-02",
                "spent plain-wax 28.35 2026-11-03",
            ]
        );
        assert!(matches!((store[0].of, store[1].of), (Stocked::Material(_), Stocked::Container(_))));
        let bought = &store[3];
        assert_eq!((bought.word, bought.lot.as_deref()), (StockWord::Bought, Some("B-7")));
        assert_eq!(bought.paid.as_ref().map(|paid| paid.amount.clone()), Some(exact("25")));
        assert_eq!((bought.from.as_deref(), bought.expires.as_deref()), (Some("Alder Trading"), Some("2028-01-31")));
    });
}

/// Prices follow `like`, and one restated takes the place of all.
#[test]
fn every_pack_of_a_material_is_offered() {
    with_sound(|resolver, report| {
        let file = formula(report, "salve").id.file;
        let packs = |name: &str| -> Vec<String> {
            let id = resolver.scopes.find(file, NameSet::Weighable, name).expect("a material");
            let material = resolver.material(id).expect("a material");
            let grams = |size: &Content| size.grams(None).expect("grams").to_string();
            material
                .packs
                .iter()
                .map(|pack| format!("{} {} per {}", pack.price.amount, pack.price.currency, grams(&pack.size)))
                .collect()
        };
        assert_eq!(packs("other-wax"), ["14 EUR per 500", "25 EUR per 1000"]);
        assert_eq!(packs("cheap-wax"), ["9 USD per 453.59237"]);
        let id = resolver.scopes.find(file, NameSet::Weighable, "cheap-wax").expect("a material");
        assert_eq!(resolver.material(id).expect("a material").supplier.as_deref(), Some("Alder Trading"));
    });
}

/// An impurity is counted and is no part of the hundred percent; what is named in order is within its place.
#[test]
fn traces_and_what_is_named_in_order() {
    with_sound(|resolver, report| {
        let file = formula(report, "salve").id.file;
        let material = |name: &str| {
            resolver
                .material(resolver.scopes.find(file, NameSet::Weighable, name).expect("a name"))
                .expect("a material")
        };
        let soap = material("garden-soap");
        assert_eq!(soap.contains[1].strength, Interval::point(exact("12")));
        assert_eq!(soap.traces[0].strength, Interval::point(exact("0.03")));
        let blend = material("garden-blend");
        let bounds: Vec<(String, String)> = blend
            .contains
            .iter()
            .map(|part| (part.strength.low.to_fraction(), part.strength.high.to_fraction()))
            .collect();
        let pair = |low: &str, high: &str| (low.to_string(), high.to_string());
        assert_eq!(bounds, [pair("100/3", "100"), pair("0", "50"), pair("0", "100/3")]);
        assert!(blend.undisclosed.high.is_zero());
        let made = formula(report, "salve");
        let composition = made.composition.as_ref().expect("a composition");
        let trace: Vec<String> = composition
            .traces
            .iter()
            .map(|(id, share)| format!("{} {}", resolver.substance_name(*id), share.low.to_fraction()))
            .collect();
        assert_eq!(trace, ["garden-lye 3/10000"]);
        assert!(composition.counted().any(|(id, _)| resolver.substance_name(id) == "garden-lye"));
    });
}
