//! Which countries lie in a market: what comes from elsewhere is imported there.

use crate::syntax::vocabulary::Market;

/// The member states of the Union (Treaty on European Union, Art. 52), and those of the European Economic Area, in which
/// the Regulation holds too (EEA Agreement, annex II, from memory), by name and by ISO 3166-1 code.
const UNION: &[&str] = &[
    "austria", "at", "belgium", "be", "bulgaria", "bg", "croatia", "hr", "cyprus", "cy", "czechia", "czech republic",
    "the czech republic", "cz", "denmark", "dk", "estonia", "ee", "finland", "fi", "france", "fr", "germany", "de",
    "greece", "gr", "hungary", "hu", "ireland", "republic of ireland", "ie", "italy", "it", "latvia", "lv", "lithuania",
    "lt", "luxembourg", "lu", "malta", "mt", "netherlands", "the netherlands", "nl", "poland", "pl", "portugal", "pt",
    "romania", "ro", "slovakia", "sk", "slovenia", "si", "spain", "es", "sweden", "se", "iceland", "is",
    "liechtenstein", "li", "norway", "no", "northern ireland",
];

const BRITAIN: &[&str] = &[
    "united kingdom", "the united kingdom", "uk", "gb", "great britain", "britain", "england", "scotland", "wales",
    "northern ireland",
];

const STATES: &[&str] = &[
    "united states", "the united states", "united states of america", "the united states of america", "usa", "us", "u.s.",
    "u.s.a.",
];

const CANADA: &[&str] = &["canada", "ca"];

const AUSTRALIA: &[&str] = &["australia", "au"];

/// Whether a country lies in a market. One that is not known here lies in none: then more is asked, and not less.
#[must_use]
pub fn is_in(country: &str, market: Market) -> bool {
    let known = match market {
        Market::Eu => UNION,
        Market::Uk => BRITAIN,
        Market::Us => STATES,
        Market::Ca => CANADA,
        Market::Au => AUSTRALIA,
    };
    let country = country.trim().to_lowercase();
    known.contains(&country.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn countries_lie_in_their_markets() {
        for (country, market) in [
            ("Ireland", Market::Eu),
            (" the Netherlands ", Market::Eu),
            ("Norway", Market::Eu),
            ("Northern Ireland", Market::Eu),
            ("Scotland", Market::Uk),
            ("USA", Market::Us),
            ("Canada", Market::Ca),
            ("Australia", Market::Au),
        ] {
            assert!(is_in(country, market), "{country}");
        }
        for (country, market) in
            [("Canada", Market::Eu), ("Switzerland", Market::Eu), ("Ireland", Market::Uk), ("", Market::Us)]
        {
            assert!(!is_in(country, market), "{country}");
        }
    }
}
