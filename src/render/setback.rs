//! What went otherwise than planned, as data and in words: losses, corrections, the way back from past the far edge.

use crate::batch::{Finished, Losses, NoWay, Untold, View, WayBack};
use crate::quantity::Exact;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What did not come out, or went into the air, as it is printed.
pub(super) struct LossesText {
    pub evaporated_g: Option<String>,
    pub evaporated_percent: Option<String>,
    pub removed_g: Option<String>,
    pub shortfall_g: Option<String>,
    pub shortfall_percent: Option<String>,
    pub words: Vec<String>,
}

/// Something that went in beyond the plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CorrectionJson {
    /// The material.
    pub material: String,
    /// How much.
    pub grams: String,
    /// Why, where the record says so.
    pub because: Option<String>,
    /// The actives, and what the corrections bring, in the finished batch with all of them.
    pub after: Vec<FinishedJson>,
}

/// What leads back into the window.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WayBackJson {
    /// The material; none where what was asked for does not lead back.
    pub material: Option<String>,
    /// How much.
    pub grams: Option<String>,
    /// All of the way takes less than this one time in 20.
    pub grams_low: Option<String>,
    /// All of the way takes more than this one time in 20.
    pub grams_high: Option<String>,
    /// Whether that much is only part of the way, as all of it might go past the other edge.
    pub is_part: bool,
    /// The reading that it is to lead to.
    pub ph_expected: Option<f64>,
    /// The least to be expected.
    pub ph_low: Option<f64>,
    /// The most.
    pub ph_high: Option<f64>,
    /// What is then left of what was held back.
    pub left_of_reserve_g: Option<String>,
    /// By how much it goes over what was held back.
    pub over_reserve_g: Option<String>,
    /// Why what was asked for does not lead back; none where it does.
    pub no_way: Option<String>,
    /// The actives, and what it brings, in the finished batch.
    pub after: Vec<FinishedJson>,
}

/// A batch over its reserve, and what makes a right one of a larger size of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SetRightJson {
    /// By how much everything in it is too thin as long as nothing is set right, in percent.
    pub thinner_percent: String,
    /// What is still to be weighed in of each line; empty once it is set right, or where nothing does.
    pub add: Vec<ToAddJson>,
    /// The weight of the right batch that it then is; none where nothing makes one.
    pub larger_batch_g: Option<String>,
    /// Whether it is that batch.
    pub done: bool,
    /// The actives in the finished batch as it stands.
    pub actives: Vec<FinishedJson>,
}

/// Something to be weighed in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ToAddJson {
    /// The material.
    pub material: String,
    /// How much.
    pub grams: String,
}

/// A substance in the finished batch, in percent; salts are counted as the acid that they are of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct FinishedJson {
    /// The substance.
    pub substance: String,
    /// What the formula asks for.
    pub target_percent: String,
    /// What the batch will hold.
    pub made_percent: String,
    /// Of an acid: what is free at the pH.
    pub free_percent: Option<String>,
    /// Of an acid: what is its salt at the pH.
    pub salt_percent: Option<String>,
}

/// Digits of a printed percentage, as on a sheet; of one that rests on a foreseen pH; of a share of the batch.
const DIGITS: u32 = 10;
const FORESEEN_DIGITS: u32 = 4;
const SHARE_DIGITS: u32 = 3;

impl LossesText {
    /// What a batch lost.
    pub fn new(view: &View<'_>) -> LossesText {
        let losses = &view.losses;
        let grams = |weight: &Exact| view.ledger.grams(weight);
        let share = |weight: &Exact| (weight * &Exact::HUNDRED).over(&view.ledger.batch);
        let percent = |weight: &Exact| share(weight).map(|share| share.to_significant(SHARE_DIGITS));
        LossesText {
            evaporated_g: losses.evaporated.as_ref().map(grams),
            evaporated_percent: losses.evaporated.as_ref().and_then(percent),
            removed_g: losses.removed.as_ref().map(grams),
            shortfall_g: losses.short.as_ref().map(grams),
            shortfall_percent: losses.short.as_ref().and_then(percent),
            words: words(losses, view),
        }
    }
}

fn words(losses: &Losses, view: &View<'_>) -> Vec<String> {
    let of_batch = |weight: &Exact| {
        let share = (weight * &Exact::HUNDRED).over(&view.ledger.batch).unwrap_or(Exact::ZERO);
        format!("{} g, {} % of the batch,", view.ledger.grams(weight), share.to_significant(SHARE_DIGITS))
    };
    let mut told = Vec::new();
    if let Some(evaporated) = losses.evaporated.as_ref().filter(|evaporated| evaporated.is_positive()) {
        let back = "water took its place, so that nothing in it is stronger for that";
        told.push(format!("{} evaporated or was lost otherwise; {back}", of_batch(evaporated)));
    }
    let water = view.ledger.water.as_deref().unwrap_or("water");
    told.extend(losses.untold.map(|untold| match untold {
        Untold::BroughtToWeight => format!(
            "what evaporated is not told: the beaker was brought to its weight, so that nothing in it is stronger for \
             that, but how much {water} it took is not written down"
        ),
        Untold::ToppedUpBySum => {
            "what evaporated is not known: it was topped up by sum after it was heated, and everything in it is stronger \
             by that"
                .to_string()
        }
        Untold::NotYet => "what evaporated is not known until the beaker is on the scale again".to_string(),
    }));
    if let Some(removed) = &losses.removed {
        let rest = match view.batch_is_complete {
            true => "what is left is what it was".to_string(),
            false => format!(
                "what is left is what it was, and what is still to come is less by {} %",
                (&Exact::HUNDRED - &(&view.ledger.stays * &Exact::HUNDRED)).to_significant(SHARE_DIGITS)
            ),
        };
        told.push(format!("{} taken out; {rest}", of_batch(removed)));
    }
    if let Some(short) = &losses.short {
        if short.is_positive() {
            told.push(format!("{} was in the beaker and did not come out", of_batch(short)));
        } else if short.is_negative() {
            told.push(format!(
                "{} g more came out than was in the beaker by the record",
                view.ledger.grams(&short.abs())
            ));
        }
    }
    told
}

/// The corrections of a batch.
pub(super) fn corrections(view: &View<'_>) -> Vec<CorrectionJson> {
    let after: Vec<FinishedJson> = view.corrected.iter().map(FinishedJson::new).collect();
    let all = view.corrections.iter().map(|of| CorrectionJson {
        material: of.material.to_string(),
        grams: view.ledger.grams(&of.grams),
        because: of.because.as_ref().map(ToString::to_string),
        after: after.clone(),
    });
    all.collect()
}

/// The corrections in words: each, then what the finished batch holds.
pub(super) fn corrections_words(corrections: &[CorrectionJson]) -> Vec<String> {
    let each = corrections.iter().map(|of| {
        let because = of.because.as_ref().map_or("more than the plan has".to_string(), Clone::clone);
        format!("corrected: {} g of {}, {because}", of.grams, of.material)
    });
    let after =
        corrections.last().into_iter().filter_map(|last| after_words("with that the finished batch has", &last.after));
    each.chain(after).collect()
}

impl WayBackJson {
    /// What leads back, or why what was asked for does not.
    #[must_use]
    pub fn new(back: &Result<WayBack, NoWay>, view: &View<'_>) -> WayBackJson {
        let to_2 = |ph: f64| Some((ph * 100.0).round() / 100.0);
        match back {
            Ok(back) => WayBackJson {
                material: Some(back.material.to_string()),
                grams: Some(view.ledger.grams(&back.grams)),
                grams_low: Some(view.ledger.grams(&back.whole.0)),
                grams_high: Some(view.ledger.grams(&back.whole.1)),
                is_part: back.is_part,
                ph_expected: to_2(back.foreseen.reading),
                ph_low: to_2(back.foreseen.low),
                ph_high: to_2(back.foreseen.high),
                left_of_reserve_g: Some(view.ledger.grams(&(&back.left - &back.grams).max(Exact::ZERO))),
                over_reserve_g: Some(view.ledger.grams(&(&back.grams - &back.left).max(Exact::ZERO))),
                no_way: None,
                after: back.after.iter().map(FinishedJson::new).collect(),
            },
            Err(no_way) => WayBackJson {
                material: None,
                grams: None,
                grams_low: None,
                grams_high: None,
                is_part: false,
                ph_expected: None,
                ph_low: None,
                ph_high: None,
                left_of_reserve_g: None,
                over_reserve_g: None,
                no_way: Some(no_way.words()),
                after: Vec::new(),
            },
        }
    }

    pub(super) fn words(&self) -> Vec<String> {
        let (Some(material), Some(grams), Some(ph)) = (&self.material, &self.grams, self.ph_expected) else {
            return self.no_way.iter().map(|no_way| format!("way back: {no_way}")).collect();
        };
        let reserve = match (&self.left_of_reserve_g, &self.over_reserve_g) {
            (_, Some(over)) if over.chars().any(|digit| !matches!(digit, '0' | '.')) => {
                format!("{over} g over what was held back")
            }
            (Some(left), _) => format!("{left} g of what was held back are left after it"),
            _ => String::new(),
        };
        let range = |low: Option<String>, high: Option<String>, unit: &str| {
            low.zip(high).map(|(low, high)| format!(" ({low} to {high}{unit})")).unwrap_or_default()
        };
        let all = range(
            self.grams_low.clone(),
            self.grams_high.clone(),
            if self.is_part { " g for all of it" } else { " g" },
        );
        let shown = |ph: Option<f64>| ph.map(|ph| format!("{ph:.2}"));
        let reads = range(shown(self.ph_low), shown(self.ph_high), "");
        let part = if self.is_part { ", part of the way" } else { "" };
        let way = format!("way back: {grams} g of {material}{part}{all}, to read about {ph:.2}{reads}; {reserve}");
        let after = after_words("with that the finished batch has", &self.after);
        [Some(way), after].into_iter().flatten().collect()
    }
}

impl SetRightJson {
    /// A batch over its reserve; none where it is not.
    #[must_use]
    pub fn new(view: &View<'_>) -> Option<SetRightJson> {
        let ledger = &view.ledger;
        let _ = Some(ledger.over()).filter(Exact::is_positive)?;
        let growth = ledger.growth();
        let lacking = if growth.is_some() { ledger.lacking() } else { Vec::new() };
        Some(SetRightJson {
            thinner_percent: ledger.thinner_percent().to_significant(SHARE_DIGITS),
            add: lacking
                .into_iter()
                .map(|(material, grams)| ToAddJson { material: material.to_string(), grams: view.ledger.grams(&grams) })
                .collect(),
            larger_batch_g: growth.map(|growth| view.ledger.grams(&(&ledger.size() + &growth))),
            done: ledger.is_set_right(),
            actives: view.thinned.iter().map(FinishedJson::new).collect(),
        })
    }

    pub(super) fn words(&self) -> Vec<String> {
        let Some(larger) = &self.larger_batch_g else { return Vec::new() };
        if self.done {
            return vec![format!("set right: it is a batch of {larger} g")];
        }
        let now = after_words("over the reserve: as it stands the finished batch has", &self.actives);
        let add = self.add.iter().map(|of| format!("{} g of {}", of.grams, of.material));
        let add = add.collect::<Vec<_>>().join(", ");
        now.into_iter().chain([format!("to set it right: {add} more make it a batch of {larger} g")]).collect()
    }
}

impl FinishedJson {
    pub(super) fn new(of: &Finished) -> FinishedJson {
        let foreseen = |percent: f64| {
            let millionths = (percent * 1e6).round();
            Exact::ratio(millionths as i64, 1_000_000).to_significant(FORESEEN_DIGITS)
        };
        FinishedJson {
            substance: of.name.clone(),
            target_percent: of.target.to_significant(DIGITS),
            made_percent: of.made.to_significant(DIGITS),
            free_percent: of.free_and_salt.map(|(free, _)| foreseen(free)),
            salt_percent: of.free_and_salt.map(|(_, salt)| foreseen(salt)),
        }
    }

    /// `glycolic-acid 6.8 % for 6 %, 3.1 % of it free and 3.7 % as its salt`.
    fn words(&self) -> String {
        let short = |percent: &str| {
            Exact::parse(percent).map_or_else(|| percent.to_string(), |exact| exact.to_significant(SHARE_DIGITS))
        };
        let parted = self.free_percent.as_ref().zip(self.salt_percent.as_ref());
        let parted = parted.map(|(free, salt)| format!(", {} % free and {} % as salt", short(free), short(salt)));
        format!(
            "{} {} % for {} %{}",
            self.substance,
            short(&self.made_percent),
            short(&self.target_percent),
            parted.unwrap_or_default()
        )
    }
}

fn after_words(lead: &str, after: &[FinishedJson]) -> Option<String> {
    let all: Vec<String> = after.iter().map(FinishedJson::words).collect();
    (!all.is_empty()).then(|| format!("{lead} {}", all.join("; ")))
}
