//! Who answers for a product in a market, by name and address, and where it comes from.

use super::country::is_in;
use crate::model::Maker;
use crate::syntax::vocabulary::Market;

/// The last day that one who answers in the Union is enough in Great Britain (guidance of 4 May 2023, "seven year" period).
const UNION_IS_ENOUGH_UNTIL: &str = "2027-12-31";

/// What is missing where there is no maker at all.
pub(super) const NOBODY: &str = "`maker`";

/// What is known of the maker.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Seller {
    /// The name.
    pub name: Option<String>,
    /// The address.
    pub address: Option<String>,
    /// How to reach the maker.
    pub contact: Option<String>,
    /// The country.
    pub country: Option<String>,
    /// Who answers for it in a market: name, street, town.
    pub responsible: Vec<(Market, String)>,
}

/// Who answers for a product in a market. What is none is not known; what is missing is named in `missing`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Answer {
    /// Name and address.
    pub who: Option<String>,
    /// How harm is told of; none where nobody knows, and none where the market does not ask.
    pub contact: Option<String>,
    /// Where it comes from.
    pub origin: Origin,
    /// What has to be known and is not, in the words of a maker's block.
    pub missing: Vec<String>,
    /// Whether somebody in the Union answers for it in Great Britain, which is enough for a time only.
    pub leans_on_union: bool,
}

/// Whether the country of origin stands on a label.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Origin {
    /// It was made where it is sold.
    #[default]
    NotAsked,
    /// It was made elsewhere: there.
    Asked(String),
    /// Nobody says where it was made.
    Unknown,
}

impl From<&Maker> for Seller {
    fn from(maker: &Maker) -> Seller {
        let text = |of: &Option<smol_str::SmolStr>| of.as_deref().filter(|text| !text.trim().is_empty()).map(str::to_string);
        Seller {
            name: text(&maker.name),
            address: text(&maker.address),
            contact: text(&maker.contact),
            country: text(&maker.country),
            responsible: maker.responsible.iter().map(|(market, text, _)| (*market, text.to_string())).collect(),
        }
    }
}

impl Seller {
    /// `name, address`, where both are known.
    fn own(&self) -> Option<String> {
        Some(format!("{}, {}", self.name.as_ref()?, self.address.as_ref()?))
    }

    fn named_for(&self, market: Market) -> Option<String> {
        self.responsible.iter().find(|(of, _)| *of == market).map(|(_, text)| text.clone())
    }

    fn is_in(&self, market: Market) -> bool {
        self.country.as_deref().is_some_and(|country| is_in(country, market))
    }

    fn origin(&self, market: Market) -> Origin {
        match &self.country {
            None => Origin::Unknown,
            Some(_) if self.is_in(market) => Origin::NotAsked,
            Some(country) => Origin::Asked(country.clone()),
        }
    }

    /// Whether nothing at all is known of the maker.
    fn is_nobody(&self) -> bool {
        [&self.name, &self.address, &self.contact, &self.country].into_iter().all(Option::is_none)
    }

    /// What the maker's own name and address lack.
    fn lacks(&self) -> Vec<String> {
        if self.is_nobody() {
            return vec![NOBODY.to_string()];
        }
        let fields = [("name", &self.name), ("address", &self.address), ("country", &self.country)];
        fields.iter().filter(|(_, text)| text.is_none()).map(|(word, _)| format!("`{word}`")).collect()
    }

    /// Who answers for it in a market on a day.
    #[must_use]
    pub fn answer(&self, market: Market, day: &str) -> Answer {
        let origin = self.origin(market);
        match market {
            Market::Eu => self.in_europe(market, origin, None),
            Market::Uk => {
                let union = self.named_for(Market::Eu).or_else(|| self.own().filter(|_| self.is_in(Market::Eu)));
                self.in_europe(market, origin, union.filter(|_| day <= UNION_IS_ENOUGH_UNTIL))
            }
            Market::Us => self.in_america(origin),
            Market::Ca | Market::Au => self.elsewhere(market, origin),
        }
    }

    /// Somebody in the market answers for it: who is named for it, the maker where that is at home there, and in Great
    /// Britain for a time somebody in the Union.
    fn in_europe(&self, market: Market, origin: Origin, union: Option<String>) -> Answer {
        let at_home = self.named_for(market).or_else(|| self.own().filter(|_| self.is_in(market)));
        let leans_on_union = at_home.is_none() && union.is_some();
        let who = at_home.or(union);
        let missing = match (&who, self.lacks()) {
            (None, lacks) if lacks.is_empty() || matches!(origin, Origin::Asked(_)) => {
                vec![format!("`responsible {}`", market.word())]
            }
            (None, lacks) => lacks,
            (Some(_), _) if origin == Origin::Unknown => vec!["`country`".to_string()],
            _ => Vec::new(),
        };
        Answer { who, contact: None, origin, missing, leans_on_union }
    }

    /// The maker, or who sells it there in the maker's stead; and how harm is told of.
    fn in_america(&self, origin: Origin) -> Answer {
        let distributor = self.named_for(Market::Us).map(|name| format!("Distributed by {name}"));
        let mut missing = match distributor.is_some() {
            true => self.country.is_none().then(|| "`country`".to_string()).into_iter().collect(),
            false => self.lacks(),
        };
        if self.contact.is_none() && !missing.iter().any(|what| what == NOBODY) {
            missing.push("`contact`".to_string());
        }
        let who = distributor.or_else(|| self.own());
        Answer { who, contact: self.contact.clone(), origin, missing, leans_on_union: false }
    }

    fn elsewhere(&self, market: Market, origin: Origin) -> Answer {
        let who = self.named_for(market).or_else(|| self.own());
        let missing = if who.is_none() { self.lacks() } else { Vec::new() };
        Answer { who, contact: None, origin, missing, leans_on_union: false }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAY: &str = "2026-11-25";

    fn maker(country: &str) -> Seller {
        let text = |text: &str| Some(text.to_string());
        Seller {
            name: text("Mill Lane Soaps"),
            address: text("1 Mill Lane"),
            contact: text("post@mill-lane.example"),
            country: text(country),
            responsible: Vec::new(),
        }
    }

    fn with(country: &str, market: Market) -> Seller {
        Seller { responsible: vec![(market, "Quay Trading, 2 Quay Street".to_string())], ..maker(country) }
    }

    #[test]
    fn w1_in_the_union_the_maker_answers_and_no_origin_is_asked() {
        let answer = maker("Ireland").answer(Market::Eu, DAY);
        assert_eq!(answer.who.as_deref(), Some("Mill Lane Soaps, 1 Mill Lane"));
        assert_eq!((answer.origin, answer.missing), (Origin::NotAsked, Vec::new()));
    }

    #[test]
    fn w1_from_outside_somebody_in_the_union_answers_and_the_origin_is_told() {
        let answer = with("Canada", Market::Eu).answer(Market::Eu, DAY);
        assert_eq!(answer.who.as_deref(), Some("Quay Trading, 2 Quay Street"));
        assert_eq!((answer.origin, answer.missing), (Origin::Asked("Canada".to_string()), Vec::new()));
        let nobody = maker("Canada").answer(Market::Eu, DAY);
        assert_eq!((nobody.who, nobody.missing), (None, vec!["`responsible eu`".to_string()]));
    }

    #[test]
    fn w3_in_great_britain_the_union_is_enough_until_the_end_of_2027() {
        let on = |day: &str| maker("Ireland").answer(Market::Uk, day);
        let last = on("2027-12-31");
        assert_eq!(last.who.as_deref(), Some("Mill Lane Soaps, 1 Mill Lane"));
        assert!(last.leans_on_union && last.missing.is_empty());
        assert_eq!(last.origin, Origin::Asked("Ireland".to_string()));
        let after = on("2028-01-01");
        assert_eq!((after.who, after.missing), (None, vec!["`responsible uk`".to_string()]));
        let own = with("Ireland", Market::Uk).answer(Market::Uk, "2028-01-01");
        assert!(own.who.is_some() && !own.leans_on_union);
    }

    #[test]
    fn w1_in_the_us_the_maker_or_who_distributes_it_and_a_contact() {
        let own = maker("Ireland").answer(Market::Us, DAY);
        assert_eq!(own.who.as_deref(), Some("Mill Lane Soaps, 1 Mill Lane"));
        assert_eq!(own.contact.as_deref(), Some("post@mill-lane.example"));
        assert_eq!(own.origin, Origin::Asked("Ireland".to_string()));
        let other = with("Ireland", Market::Us).answer(Market::Us, DAY);
        assert_eq!(other.who.as_deref(), Some("Distributed by Quay Trading, 2 Quay Street"));
        let silent = Seller { contact: None, ..maker("USA") }.answer(Market::Us, DAY);
        assert_eq!((silent.missing, silent.origin), (vec!["`contact`".to_string()], Origin::NotAsked));
    }

    #[test]
    fn nobody_at_all_is_missing_in_each_market() {
        for market in [Market::Eu, Market::Uk, Market::Us, Market::Ca, Market::Au] {
            let answer = Seller::default().answer(market, DAY);
            assert!(answer.who.is_none() && !answer.missing.is_empty(), "{market:?}");
            assert_eq!(answer.origin, Origin::Unknown);
        }
    }
}
