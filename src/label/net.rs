//! The net quantity as each market has it: which units, rounded which way, in figures how high.

use crate::model::{Content, Formula, MakesSize};
use crate::quantity::{Exact, Unit};
use crate::resolve::Resolver;
use crate::syntax::vocabulary::Market;

/// What a container holds by its label, in base units.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Nominal {
    /// By weight, in grams.
    Grams(Exact),
    /// By volume, in millilitres.
    Millilitres(Exact),
}

impl Nominal {
    /// What one container holds by what is made, else by what the formula is packed in; none where neither says it.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, formula: &Formula, makes: Option<&MakesSize>) -> Option<Nominal> {
        let made = makes.and_then(|makes| match (&makes.grams, &makes.millilitres) {
            // A weight without a count is that of a batch.
            (Some(grams), _) => makes.count.is_some().then(|| Nominal::Grams(grams.clone())),
            (None, volume) => volume.clone().map(Nominal::Millilitres),
        });
        let mut packed = formula.selling.packed_in.iter().filter_map(|packing| resolver.container(packing.id));
        made.or_else(|| {
            packed.find_map(|container| container.holds).map(|holds| match holds {
                Content::Grams(grams) => Nominal::Grams(grams),
                Content::Millilitres(volume) => Nominal::Millilitres(volume),
            })
        })
    }

    /// The figure, in g or mL.
    #[must_use]
    pub fn figure(&self) -> &Exact {
        match self {
            Nominal::Grams(figure) | Nominal::Millilitres(figure) => figure,
        }
    }

    /// Its unit as the label has it.
    #[must_use]
    pub fn unit(&self) -> &'static str {
        match self {
            Nominal::Grams(_) => "g",
            Nominal::Millilitres(_) => "mL",
        }
    }

    /// `30 mL`: cut down to two decimals where the figure has more.
    #[must_use]
    pub fn metric(&self) -> String {
        format!("{} {}", cut(self.figure()), self.unit())
    }
}

/// The net quantity of a label, and what bears on how it is printed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Net {
    /// The declaration; none where nobody knows what a container holds.
    pub text: Option<String>,
    /// Whether the market asks for it.
    pub needed: bool,
    /// The metric unit.
    pub unit: Option<&'static str>,
    /// How high the figures have to be, in mm; none where the market has no such rule.
    pub figure_mm: Option<Exact>,
    /// How high the letters have to be, in inches, on the panel asked for; none without a panel, or where no market asks.
    pub letters_in: Option<Exact>,
    /// Whether the `e` may stand beside it, which is never printed unasked; none where there is no such mark.
    pub e_mark_allowed: Option<bool>,
    /// Whether a second declaration in the largest whole unit is asked for; none where no market asks.
    pub second_unit_asked: Option<bool>,
    /// That second declaration, where it is asked for: `1 lb. 5.16 oz.`.
    pub second_unit: Option<String>,
    /// By how much one container may fall short, in its unit, as long as all of them do not on average; none where there is
    /// no such rule.
    pub short_at_most: Option<Exact>,
}

/// The main panel of a label, in mm.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Panel {
    /// How wide it is.
    pub width: Exact,
    /// How high it is.
    pub height: Exact,
}

impl Panel {
    /// The shortest and the longest side of a label, in mm.
    pub const SIDES: (i64, i64) = (5, 1_000);

    /// The panel of a width and a height in mm; none where a side is not one of a label.
    #[must_use]
    pub fn of(width: Exact, height: Exact) -> Option<Panel> {
        let (least, most) = (Exact::whole(Panel::SIDES.0), Exact::whole(Panel::SIDES.1));
        let can_be = |side: &Exact| *side >= least && *side <= most;
        (can_be(&width) && can_be(&height)).then_some(Panel { width, height })
    }

    /// Its area in square inches, at 25.4 mm to the inch.
    #[must_use]
    pub fn square_inches(&self) -> Exact {
        &(&self.width * &self.height) * &Exact::ratio(2_500, 1_612_900)
    }
}

/// The net quantity of a container in a market.
#[must_use]
pub fn net(market: Market, nominal: Option<&Nominal>, panel: Option<&Panel>) -> Net {
    let net = match market {
        Market::Eu | Market::Uk => european(nominal),
        Market::Us => american(nominal, panel),
        Market::Ca | Market::Au => Net { text: nominal.map(Nominal::metric), ..unruled() },
    };
    Net { unit: nominal.map(Nominal::unit), ..net }
}

/// Of a market whose rules are not known here: what is known is printed, and nothing is asked.
fn unruled() -> Net {
    Net {
        text: None,
        needed: true,
        unit: None,
        figure_mm: None,
        letters_in: None,
        e_mark_allowed: None,
        second_unit_asked: None,
        second_unit: None,
        short_at_most: None,
    }
}

/// Metric alone. Regulation (EC) No 1223/2009 Art. 19(1)(b); Directive 76/211/EEC, annex I.
fn european(nominal: Option<&Nominal>) -> Net {
    let figure = nominal.map(Nominal::figure);
    let least = Exact::whole(5);
    let most = Exact::whole(10_000);
    let in_scope = figure.map(|figure| *figure >= least && *figure <= most);
    Net {
        text: nominal.map(Nominal::metric),
        needed: figure.is_none_or(|figure| *figure >= least),
        figure_mm: figure.map(figure_height),
        e_mark_allowed: in_scope,
        short_at_most: figure.filter(|_| in_scope == Some(true)).map(tolerable_error),
        ..unruled()
    }
}

/// How high the figures are, in mm. Directive 76/211/EEC, annex I, 3.1.
fn figure_height(nominal: &Exact) -> Exact {
    let steps = [(50, 2), (200, 3), (1_000, 4)];
    let found = steps.iter().find(|(most, _)| *nominal <= Exact::whole(*most));
    Exact::whole(found.map_or(6, |(_, height)| *height))
}

/// The tolerable negative error, in the unit of the figure. Directive 76/211/EEC, annex I, 2.4.
fn tolerable_error(nominal: &Exact) -> Exact {
    let share = |thousandths: i64| nominal * &Exact::ratio(thousandths, 1_000);
    let is_up_to = |most: i64| *nominal <= Exact::whole(most);
    match () {
        () if is_up_to(50) => share(90),
        () if is_up_to(100) => Exact::ratio(9, 2),
        () if is_up_to(200) => share(45),
        () if is_up_to(300) => Exact::whole(9),
        () if is_up_to(500) => share(30),
        () if is_up_to(1_000) => Exact::whole(15),
        () => share(15),
    }
}

/// Both units, never more than is there. 15 U.S.C. 1453; 21 CFR 701.13.
fn american(nominal: Option<&Nominal>, panel: Option<&Panel>) -> Net {
    let second_unit = nominal.and_then(largest_whole_units);
    Net {
        text: nominal.map(both_units),
        letters_in: panel.map(letters_in),
        second_unit_asked: nominal.map(|_| second_unit.is_some()),
        second_unit,
        ..unruled()
    }
}

fn both_units(nominal: &Nominal) -> String {
    let metric = nominal.metric();
    let customary = |unit: Unit, word: &str| {
        let figure = nominal.figure().over(&unit.to_base(&Exact::whole(1))).unwrap_or(Exact::ZERO);
        let cut = figure.down_to_step(&Exact::ratio(1, 100));
        // Less than the last place that may be written is still not nothing.
        if cut.is_zero() { format!("less than 0.01 {word}") } else { format!("{cut} {word}") }
    };
    match nominal {
        Nominal::Grams(_) => format!("Net Wt. {} ({metric})", customary(Unit::Ounce, "oz.")),
        Nominal::Millilitres(_) => format!("{} ({metric})", customary(Unit::FluidOunce, "fl. oz.")),
    }
}

/// From one pound or one pint, the same in the largest whole units, and what is left in ounces: never more than is there.
fn largest_whole_units(nominal: &Nominal) -> Option<String> {
    let (ounce, word, units) = match nominal {
        Nominal::Grams(_) => (Unit::Ounce, "oz.", [(16, "lb.")].as_slice()),
        Nominal::Millilitres(_) => (Unit::FluidOunce, "fl. oz.", [(128, "gal."), (32, "qt."), (16, "pt.")].as_slice()),
    };
    let mut left = nominal.figure().over(&ounce.to_base(&Exact::whole(1)))?;
    let mut words = Vec::new();
    for (ounces, unit) in units {
        let count = left.over(&Exact::whole(*ounces))?.down_to_step(&Exact::whole(1));
        if count.is_positive() {
            left = &left - &(&count * &Exact::whole(*ounces));
            words.push(format!("{count} {unit}"));
        }
    }
    let rest = cut(&left);
    let is_large = !words.is_empty();
    words.extend(rest.is_positive().then(|| format!("{rest} {word}")));
    is_large.then(|| words.join(" "))
}

/// How high the letters of the net quantity are on a panel in the United States, in inches.
#[must_use]
pub(super) fn letters_in(panel: &Panel) -> Exact {
    letter_height(&panel.square_inches())
}

/// How high the letters are, in inches, by the area of the main panel in square inches. 21 CFR 701.13(i).
fn letter_height(area: &Exact) -> Exact {
    let steps = [(5, 1), (25, 2), (100, 3), (400, 4)];
    let found = steps.iter().find(|(most, _)| *area <= Exact::whole(*most));
    Exact::ratio(found.map_or(8, |(_, sixteenths)| *sixteenths), 16)
}

/// A figure of a label with two decimals at the most, cut down: what is promised has to be there.
fn cut(figure: &Exact) -> Exact {
    figure.down_to_step(&Exact::ratio(1, 100))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grams(text: &str) -> Nominal {
        Nominal::Grams(Exact::parse(text).unwrap())
    }

    fn millilitres(text: &str) -> Nominal {
        Nominal::Millilitres(Exact::parse(text).unwrap())
    }

    fn eu(nominal: &Nominal) -> Net {
        net(Market::Eu, Some(nominal), None)
    }

    fn us(nominal: &Nominal) -> Net {
        net(Market::Us, Some(nominal), None)
    }

    #[test]
    fn q1_not_needed_under_five_grams_or_millilitres_in_europe_and_always_in_the_us() {
        assert!(!eu(&grams("4.99")).needed && eu(&grams("5")).needed);
        assert!(!eu(&millilitres("4.99")).needed && eu(&millilitres("5")).needed);
        assert!(us(&grams("0.5")).needed);
        assert!(net(Market::Eu, None, None).needed, "what is not known is asked for");
    }

    #[test]
    fn q2_figures_are_as_high_as_the_size_asks() {
        for (of, height) in [("50", 2), ("50.01", 3), ("200", 3), ("200.01", 4), ("1000", 4), ("1000.01", 6)] {
            for nominal in [grams(of), millilitres(of)] {
                assert_eq!(eu(&nominal).figure_mm, Some(Exact::whole(height)), "{of}");
            }
        }
        assert_eq!(us(&grams("50")).figure_mm, None);
    }

    #[test]
    fn q3_the_e_mark_from_five_grams_to_ten_kilograms_and_never_printed() {
        for (of, allowed) in [("4.99", false), ("5", true), ("10000", true), ("10000.01", false)] {
            let net = eu(&grams(of));
            assert_eq!(net.e_mark_allowed, Some(allowed), "{of}");
            assert!(!net.text.unwrap().contains('e'));
        }
    }

    #[test]
    fn q4_what_one_container_may_be_short_of() {
        let short = |of: &str| eu(&grams(of)).short_at_most.map(|short| short.to_string());
        for (of, wanted) in [
            ("5", "0.45"),
            ("50", "4.5"),
            ("51", "4.5"),
            ("100", "4.5"),
            ("150", "6.75"),
            ("200", "9"),
            ("250", "9"),
            ("300", "9"),
            ("400", "12"),
            ("500", "15"),
            ("1000", "15"),
        ] {
            assert_eq!(short(of).as_deref(), Some(wanted), "{of}");
        }
        assert_eq!(short("4.99"), None);
        assert_eq!(short("10000.01"), None);
    }

    #[test]
    fn q5_both_units_in_the_us_by_weight_and_by_volume() {
        assert_eq!(us(&millilitres("30")).text.unwrap(), "1.01 fl. oz. (30 mL)");
        assert_eq!(us(&grams("4.9")).text.unwrap(), "Net Wt. 0.17 oz. (4.9 g)");
        assert_eq!(eu(&millilitres("30")).text.unwrap(), "30 mL");
    }

    #[test]
    fn q6_cut_down_and_never_up() {
        // 50 mL is 1.6907 fl. oz., 59.147 mL a hair over 2.
        assert_eq!(us(&millilitres("50")).text.unwrap(), "1.69 fl. oz. (50 mL)");
        assert_eq!(us(&millilitres("29.5735295625")).text.unwrap(), "1 fl. oz. (29.57 mL)");
        assert_eq!(us(&millilitres("29.5735295624")).text.unwrap(), "0.99 fl. oz. (29.57 mL)");
        assert_eq!(us(&grams("0.2")).text.unwrap(), "Net Wt. less than 0.01 oz. (0.2 g)");
        assert_eq!(eu(&grams("28.349523125")).text.unwrap(), "28.34 g");
    }

    #[test]
    fn q7_a_second_unit_from_a_pound_and_from_a_pint() {
        let asked = |nominal: &Nominal| us(nominal).second_unit_asked.unwrap();
        assert!(asked(&grams("453.59237")) && !asked(&grams("453.59236")));
        assert!(asked(&millilitres("473.176473")) && !asked(&millilitres("473.176472")));
    }

    #[test]
    fn q7_the_second_unit_is_of_what_is_in_it_and_never_more() {
        let second = |nominal: &Nominal| us(nominal).second_unit;
        for (of, wanted) in [
            ("453.59236", None),
            ("453.59237", Some("1 lb.")),
            ("600", Some("1 lb. 5.16 oz.")),
            ("2000", Some("4 lb. 6.54 oz.")),
        ] {
            assert_eq!(second(&grams(of)).as_deref(), wanted, "{of} g");
        }
        for (of, wanted) in [
            ("473.176472", None),
            ("500", Some("1 pt. 0.9 fl. oz.")),
            ("1000", Some("1 qt. 1.81 fl. oz.")),
            ("3785.411784", Some("1 gal.")),
        ] {
            assert_eq!(second(&millilitres(of)).as_deref(), wanted, "{of} mL");
        }
    }

    #[test]
    fn q8_letters_by_the_area_of_the_panel() {
        let letters = |square_inches: i64| letter_height(&Exact::whole(square_inches)).to_fraction();
        for (area, height) in [
            (5, "1/16"),
            (6, "1/8"),
            (25, "1/8"),
            (26, "3/16"),
            (100, "3/16"),
            (101, "1/4"),
            (400, "1/4"),
            (401, "1/2"),
        ] {
            assert_eq!(letters(area), height, "{area}");
        }
        // 1 in by 5 in, to the hundredth of a millimetre.
        let panel = |width: &str| Panel { width: Exact::parse(width).unwrap(), height: Exact::parse("25.4").unwrap() };
        assert_eq!(panel("127").square_inches(), Exact::whole(5));
        let on =
            |width: &str| net(Market::Us, Some(&grams("30")), Some(&panel(width))).letters_in.unwrap().to_fraction();
        assert_eq!((on("127").as_str(), on("127.01").as_str()), ("1/16", "1/8"));
        assert_eq!(us(&grams("30")).letters_in, None);
    }

    #[test]
    fn q9_britain_has_the_same_heights_and_metric_first() {
        let net = net(Market::Uk, Some(&millilitres("200.01")), None);
        assert_eq!((net.text.as_deref(), net.figure_mm), (Some("200.01 mL"), Some(Exact::whole(4))));
    }

    #[test]
    fn a_market_without_rules_here_prints_what_is_known() {
        let net = net(Market::Ca, Some(&grams("50")), None);
        assert_eq!((net.text.as_deref(), net.figure_mm, net.e_mark_allowed), (Some("50 g"), None, None));
    }
}
