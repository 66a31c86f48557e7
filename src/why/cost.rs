//! A cost retold: each line by its pack, the batch, one container, the price.

use super::derivation::{Derivation, DerivationStep, at, shown, so};
use crate::cost::{Cost, CostLine, NoPrice, Paid, Piece, Price, UnitPrice, content_words, rate_words, to_coin};
use crate::quantity::{Currency, Exact};

/// The derivations of all that a batch costs; empty where nothing of it has a price.
#[must_use]
pub fn cost(cost: &Cost) -> Vec<Derivation> {
    let Some(currency) = cost.currency else { return Vec::new() };
    let told = Told { cost, currency };
    let mut all: Vec<Derivation> = cost.materials.lines.iter().filter_map(|line| told.line(line)).collect();
    all.push(told.materials());
    all.extend(told.per_100g());
    if !(cost.labour.is_empty() && cost.fees.is_empty()) {
        all.push(told.batch());
    }
    if let Some(piece) = &cost.piece {
        all.push(told.filled(piece));
        all.extend(told.container(piece));
        all.extend(piece.price.as_ref().and_then(|price| told.price(piece, price)));
        all.extend(piece.price.as_ref().and_then(|price| told.left(piece, price)));
    }
    all
}

/// A cost, and the currency of its sums.
struct Told<'c> {
    cost: &'c Cost,
    currency: Currency,
}

impl Told<'_> {
    fn money(&self, sum: &Exact) -> String {
        format!("{} {}", shown(sum), self.currency)
    }

    fn figure(&self, of: String, sum: &Exact, mut steps: Vec<DerivationStep>) -> Derivation {
        let result = format!("{} {}", to_coin(sum, self.currency), self.currency);
        steps.push(so(format!("to the coin, half to even: {result}")));
        Derivation { of, result, unit: "", steps }
    }

    /// The pack that a price is taken from, and what a gram or a piece of it costs.
    fn pack(&self, name: &str, price: &UnitPrice, unit: &str) -> Vec<DerivationStep> {
        let mut steps = vec![at(
            price.place,
            format!("`{name}` by the pack of {}: {} {}", price.pack, shown(&price.price.amount), price.price.currency),
        )];
        let brought = &price.each * &price.holds;
        if price.price.currency != self.currency
            && let Some(rate) = self
                .cost
                .rates
                .iter()
                .find(|rate| [rate.of.currency, rate.worth.currency].contains(&price.price.currency))
        {
            steps.push(at(rate.place, format!("{}: that is {}", rate_words(rate), self.money(&brought))));
        }
        if price.holds != Exact::ONE {
            steps.push(so(format!(
                "{} ÷ {}{unit} = {} for one",
                self.money(&brought),
                shown(&price.holds),
                self.money(&price.each)
            )));
        }
        steps
    }

    fn line(&self, line: &CostLine) -> Option<Derivation> {
        let (grams, sum) = (line.grams.as_ref()?, line.cost.as_ref()?);
        let mut steps = Vec::new();
        let priced = |name: &str, grams: &Exact, price: &UnitPrice, cost: &Exact| {
            let mut steps = self.pack(name, price, " g");
            steps.push(so(format!("{} g of `{name}` are {}", shown(grams), self.money(cost))));
            steps
        };
        if let Some(price) = &line.price {
            steps.extend(priced(&line.name, grams, price, sum));
        }
        for part in &line.parts {
            match (&part.price, &part.cost) {
                (Some(price), Some(cost)) => steps.extend(priced(&part.name, &part.grams, price, cost)),
                _ => steps.push(so(format!("{} g of `{}` are not in it: no price", shown(&part.grams), part.name))),
            }
        }
        if !line.parts.is_empty() {
            steps.push(so(format!("{} g of `{}` together are {}", shown(grams), line.name, self.money(sum))));
        }
        Some(self.figure(format!("cost of `{}`", line.name), sum, steps))
    }

    fn materials(&self) -> Derivation {
        let mut steps = Vec::new();
        for line in &self.cost.materials.lines {
            match (&line.cost, &line.most) {
                (Some(cost), _) => steps.push(so(format!("`{}`: {}", line.name, self.money(cost)))),
                (None, Some((most, _))) => {
                    steps.push(so(format!("`{}` is weighed to the pH: none of it yet, {} g at most", line.name, most)));
                }
                (None, None) => {}
            }
        }
        for missing in &self.cost.materials.missing {
            let other = match &missing.why {
                NoPrice::NoRate(money) => format!(", {} {}", shown(&money.amount), money.currency),
                _ => String::new(),
            };
            steps.push(so(format!("`{}` is not in it: {}{other}", missing.name, missing.why.words())));
        }
        steps.push(so(format!("together {}", self.money(&self.cost.materials.sum.at))));
        if let Some((low, high)) = &self.cost.materials.sum.range {
            steps.push(so(format!(
                "with what is weighed to the pH, in place of what is held back: {} to {}",
                self.money(low),
                self.money(high)
            )));
        }
        self.figure("what the materials cost".to_string(), &self.cost.materials.sum.at, steps)
    }

    fn per_100g(&self) -> Option<Derivation> {
        let sum = &self.cost.per_100g.as_ref()?.at;
        let steps = vec![so(format!(
            "{} ÷ {} g × 100 g = {}",
            self.money(&self.cost.materials.sum.at),
            shown(&self.cost.grams),
            self.money(sum)
        ))];
        Some(self.figure("what the materials of 100 g cost".to_string(), sum, steps))
    }

    fn paid(&self, paid: &Paid) -> DerivationStep {
        match &paid.cost {
            Some(cost) => at(paid.place, format!("{}: {}", paid.what, self.money(cost))),
            None => at(paid.place, format!("{} is not in it: no rate from {}", paid.what, paid.money.currency)),
        }
    }

    fn batch(&self) -> Derivation {
        let mut steps = vec![so(format!("materials: {}", self.money(&self.cost.materials.sum.at)))];
        steps.extend(self.cost.labour.iter().chain(&self.cost.fees).map(|paid| self.paid(paid)));
        steps.push(so(format!("together {}", self.money(&self.cost.whole.at))));
        self.figure("what the batch costs".to_string(), &self.cost.whole.at, steps)
    }

    fn filled(&self, piece: &Piece) -> Derivation {
        let filled = &piece.filled;
        let mut steps = vec![so(format!(
            "{} g go into each container of {}; there are {} g",
            shown(&filled.each),
            content_words(&piece.content),
            shown(&self.cost.grams)
        ))];
        if let Some(asked) = &filled.asked {
            steps.push(so(format!("{asked} are asked for, and never more are filled, nor one by half")));
        }
        steps.push(so(format!("{} g are left over", shown(&filled.remains))));
        steps.push(so(format!("filled: {}", filled.count)));
        Derivation { of: "containers filled".to_string(), result: filled.count.to_string(), unit: "", steps }
    }

    fn container(&self, piece: &Piece) -> Option<Derivation> {
        let sum = &piece.cost.as_ref()?.at;
        let share = self.cost.whole.at.over(&piece.filled.count)?;
        let mut steps = vec![so(format!(
            "{} ÷ {} containers = {}",
            self.money(&self.cost.whole.at),
            piece.filled.count,
            self.money(&share)
        ))];
        for packed in &piece.packing {
            match &packed.price {
                Ok(price) => {
                    steps.extend(self.pack(&packed.name, price, " pieces"));
                }
                Err(why) => steps.push(so(format!("`{}` is not in it: {}", packed.name, why.words()))),
            }
        }
        steps.extend(piece.fees.iter().map(|paid| self.paid(paid)));
        let parts = [&share, &piece.packing_sum, &piece.fees_sum].map(shown).join(" + ");
        steps.push(so(format!("{parts} = {}", self.money(sum))));
        Some(self.figure("what one container costs".to_string(), sum, steps))
    }

    fn price(&self, piece: &Piece, price: &Price) -> Option<Derivation> {
        let container = &piece.cost.as_ref()?.at;
        let (vat, fee) = (&piece.shares.vat, &piece.shares.fee);
        let with_tax = &Exact::ONE + &vat.hundredth();
        let mut steps = Vec::new();
        if let Some(margin) = &piece.margin {
            let fees = &fee.hundredth() * &with_tax;
            let stays = &(&Exact::ONE - &margin.hundredth()) - &fees;
            steps.push(so(format!(
                "of the price without tax the margin is {margin} % and fees are {} %: {} % are for the container",
                shown(&(&fees * &Exact::HUNDRED)),
                shown(&(&stays * &Exact::HUNDRED))
            )));
            let Some((net, paid)) = price.net.as_ref().zip(price.paid.as_ref()) else {
                steps.push(so("nothing is left for the container, so there is no price: none".to_string()));
                return Some(Derivation { of: "the price".to_string(), result: "none".to_string(), unit: "", steps });
            };
            steps.push(so(format!("{} ÷ {} = {}", self.money(container), shown(&stays), self.money(net))));
            steps.push(so(format!("with {vat} % of tax: {}", self.money(paid))));
        }
        let asked = price.asked.as_ref()?;
        let result = format!("{} {}", to_coin(asked, self.currency), self.currency);
        let how = if piece.margin.is_some() { "brought up to the coin" } else { "as it is given, tax included" };
        steps.push(so(format!("{how}: {result}")));
        Some(Derivation { of: "the price".to_string(), result, unit: "", steps })
    }

    /// What a price leaves, once tax, fees and the container are paid.
    fn left(&self, piece: &Piece, price: &Price) -> Option<Derivation> {
        let container = &piece.cost.as_ref()?.at;
        let (asked, left) = (price.asked.as_ref()?, price.left.as_ref()?);
        let net = asked.over(&(&Exact::ONE + &piece.shares.vat.hundredth()))?;
        let mut steps =
            vec![so(format!("{} without {} % of tax: {}", self.money(asked), piece.shares.vat, self.money(&net)))];
        if !piece.shares.fee.is_zero() {
            let fee = asked * &piece.shares.fee.hundredth();
            steps.push(so(format!("{} % of the price in fees: {}", piece.shares.fee, self.money(&fee))));
        }
        steps.push(so(format!("less {} for the container: {} are left", self.money(container), self.money(left))));
        if let Some(margin) = &price.margin {
            steps.push(so(format!("that is {} % of the price without tax", shown(margin))));
        }
        Some(self.figure("what is left of the price".to_string(), left, steps))
    }
}
