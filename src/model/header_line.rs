//! The lines that a formula's head can have.

/// A line of a head, by the word that opens it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeaderLine {
    /// `title`.
    Title,
    /// `version`.
    Version,
    /// `product`.
    Product,
    /// `market`.
    Market,
    /// `makes`.
    Makes,
    /// `density`.
    Density,
    /// `scale`.
    Scale,
    /// `meter`.
    Meter,
    /// `pH`.
    Ph,
    /// `date`.
    Date,
    /// `water-activity`.
    WaterActivity,
    /// `lasts`.
    Lasts,
    /// `opened`.
    Opened,
    /// `function`.
    Function,
    /// `directions`.
    Directions,
    /// `warning`.
    Warning,
    /// `declare`.
    Declare,
    /// `may`.
    MayContain,
    /// `packed`.
    PackedIn,
    /// `loss`.
    Loss,
    /// `labour`.
    Labour,
    /// `fee`.
    Fee,
    /// `margin`.
    Margin,
    /// `sells`.
    SellsAt,
    /// `vat`.
    Vat,
}

impl HeaderLine {
    /// Every line there is, in the order of the language page.
    pub const ALL: [HeaderLine; 25] = [
        HeaderLine::Title,
        HeaderLine::Version,
        HeaderLine::Product,
        HeaderLine::Market,
        HeaderLine::Makes,
        HeaderLine::Density,
        HeaderLine::Scale,
        HeaderLine::Meter,
        HeaderLine::Ph,
        HeaderLine::Date,
        HeaderLine::WaterActivity,
        HeaderLine::Lasts,
        HeaderLine::Opened,
        HeaderLine::Function,
        HeaderLine::Directions,
        HeaderLine::Warning,
        HeaderLine::Declare,
        HeaderLine::MayContain,
        HeaderLine::PackedIn,
        HeaderLine::Loss,
        HeaderLine::Labour,
        HeaderLine::Fee,
        HeaderLine::Margin,
        HeaderLine::SellsAt,
        HeaderLine::Vat,
    ];

    /// The word that opens it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            HeaderLine::Title => "title",
            HeaderLine::Version => "version",
            HeaderLine::Product => "product",
            HeaderLine::Market => "market",
            HeaderLine::Makes => "makes",
            HeaderLine::Density => "density",
            HeaderLine::Scale => "scale",
            HeaderLine::Meter => "meter",
            HeaderLine::Ph => "pH",
            HeaderLine::Date => "date",
            HeaderLine::WaterActivity => "water-activity",
            HeaderLine::Lasts => "lasts",
            HeaderLine::Opened => "opened",
            HeaderLine::Function => "function",
            HeaderLine::Directions => "directions",
            HeaderLine::Warning => "warning",
            HeaderLine::Declare => "declare",
            HeaderLine::MayContain => "may",
            HeaderLine::PackedIn => "packed",
            HeaderLine::Loss => "loss",
            HeaderLine::Labour => "labour",
            HeaderLine::Fee => "fee",
            HeaderLine::Margin => "margin",
            HeaderLine::SellsAt => "sells",
            HeaderLine::Vat => "vat",
        }
    }

    /// The line that a word opens.
    #[must_use]
    pub fn from_word(word: &str) -> Option<HeaderLine> {
        HeaderLine::ALL.into_iter().find(|line| line.word() == word)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::syntax::HEADER;

    #[test]
    fn the_lines_are_those_of_the_grammar() {
        let words: Vec<&str> = HeaderLine::ALL.into_iter().map(HeaderLine::word).collect();
        assert_eq!(words, HEADER);
    }
}
