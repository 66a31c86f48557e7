//! The compiler against published worked examples, and its units against their definitions.
//!
//! Each row of `tests/data/worked-examples.md` is written as a small formula and compiled to its sheet. What the sheet
//! says must be the exact answer, and rounded it must be the figure of the row's Exact column; the Published column is
//! never used. A family's test fails where it leaves out a row of its section, or names another source than the page.

use Read::{AsParent, Beside, Grams, Held, InVolume, Litre, Millilitres, OneIn, Percent, Strength, Told};
use std::collections::{BTreeMap, BTreeSet};
use stillroom::diagnostic::FileId;
use stillroom::quantity::Exact;
use stillroom::render::{Sheet, SheetLine, sheet};
use stillroom::resolve::{Evaluator, makes_size};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::syntax::batch_argument;
use stillroom::workspace::{Disk, load};

const CARDS: &str = "Published pharmacy maths cards";
const EXAM_CARDS: &str = "Published pharmacy cards (calculation exam)";
const HOUSTON: &str = "University pharmacy calculations module (Houston)";
const NORTH_CAROLINA: &str = "University pharmaceutics laboratory notes (North Carolina)";
const KENT: &str = "University of Kent";
const STRENGTH_LECTURE: &str = "University lecture on percentage and ratio strength";
const TEXTBOOK: &str = "Introduction to Pharmaceutical Calculations, 4th ed.";
const ARMY: &str = "US Army Medical Department subcourse MD0802";
const SCALING_LESSON: &str = "Open pharmacy-calculation lesson, reducing and enlarging";
const ALLIGATION_SITE: &str = "Open pharmacy practice-question site, alligation";

/// Materials that are one substance each.
const PURE: &str = "water drug base phenol glycerin zinc-oxide sulfur mineral-oil calamine bentonite citrate pine-tar \
                    petrolatum methylparaben propylparaben lauryl-sulfate propylene-glycol stearyl-alcohol other oil-a \
                    oil-b oil-c oil-d";

/// A row of the page as a formula, and what must come of it.
struct Worked {
    row: u32,
    source: &'static str,
    /// Declarations of the row's own: solutions, ointments, premixes.
    own: String,
    header: &'static str,
    lines: &'static str,
    /// The batch ordered, in place of the formula's own.
    batch: Option<&'static str>,
    /// What to read off the sheet, and the answer: `1300/73 ≈ 17.8082 %` is the exact figure and the page's.
    answers: &'static [(Read, &'static str)],
}

/// A row whose materials are all pure. In the header and the lines a semicolon stands for a new line.
fn row(
    row: u32,
    source: &'static str,
    header: &'static str,
    lines: &'static str,
    answers: &'static [(Read, &'static str)],
) -> Worked {
    Worked { row, source, own: String::new(), header, lines, batch: None, answers }
}

impl Worked {
    fn with(self, own: impl Into<String>) -> Worked {
        Worked { own: own.into(), ..self }
    }

    fn ordered(self, batch: &'static str) -> Worked {
        Worked { batch: Some(batch), ..self }
    }
}

/// Something that a sheet says: shares in percent, weights in grams.
#[derive(Debug)]
enum Read {
    /// The share of a line.
    Percent(&'static str),
    /// The share of a line as `1 in …`.
    OneIn(&'static str),
    /// The weight of a line.
    Grams(&'static str),
    /// The volume of a line, at a density in g/mL.
    Millilitres(&'static str, &'static str),
    /// The volume that a line writes as its share of a litre, so that the language works it out.
    Litre(&'static str),
    /// What a line weighs beside another one of so many grams.
    Beside(&'static str, &'static str, &'static str),
    /// The share of a substance.
    Strength(&'static str),
    /// The weight of a substance in the whole batch.
    Held(&'static str),
    /// The grams of a substance in 100 mL of the batch, at a density in g/mL.
    InVolume(&'static str, &'static str),
    /// The share of a substance that a line asks for with `of`, its salts counted as it.
    AsParent(&'static str),
    /// The figure between two phrases of the warning `below-scale`.
    Told(&'static str, &'static str),
}

impl Read {
    fn off(&self, sheet: &Sheet) -> Exact {
        let percent = |name| exact(line(sheet, name).percent_exact.as_deref().unwrap());
        let grams = |name| exact(line(sheet, name).grams_exact.as_deref().unwrap());
        match *self {
            Percent(name) => percent(name),
            OneIn(name) => Exact::HUNDRED.over(&percent(name)).unwrap(),
            Grams(name) => grams(name),
            Millilitres(name, density) => grams(name).over(&exact(density)).unwrap(),
            Litre(name) => &percent(name) * &Exact::whole(10),
            Beside(name, other, weight) => &percent(name).over(&percent(other)).unwrap() * &exact(weight),
            Strength(substance) => strength(sheet, substance),
            Held(substance) => &strength(sheet, substance).hundredth() * &exact(&sheet.asked_g),
            InVolume(substance, density) => &strength(sheet, substance) * &exact(density),
            AsParent(substance) => {
                exact(&sheet.actives.iter().find(|active| active.substance == substance).unwrap().target_percent)
            }
            Told(before, after) => {
                let below = sheet.diagnostics.iter().find(|told| told.code == "below-scale").unwrap();
                let text = format!("{} {}", below.message, below.help.as_deref().unwrap());
                exact(text.split_once(before).unwrap().1.split_once(after).unwrap().0)
            }
        }
    }
}

fn line<'s>(sheet: &'s Sheet, material: &str) -> &'s SheetLine {
    sheet.phases.iter().flat_map(|phase| &phase.lines).find(|line| line.material == material).unwrap()
}

fn strength(sheet: &Sheet, substance: &str) -> Exact {
    let share = sheet.substances.iter().find(|share| share.substance == substance).unwrap();
    assert_eq!(share.percent_low, share.percent_high, "the share of {substance} is no range");
    exact(&share.percent_low)
}

/// A decimal or a fraction `n/d`.
fn exact(text: &str) -> Exact {
    let (over, under) = text.split_once('/').unwrap_or((text, "1"));
    Exact::parse(over).unwrap().over(&Exact::parse(under).unwrap()).unwrap()
}

/// A stock of one phase, with the pure materials that it names.
fn formula(own: &str, header: &str, lines: &str) -> String {
    let formula = format!("{own}\nformula worked {{; product stock; {header}; phase A {{; {lines}; }}; }}\n");
    let named = PURE.split_whitespace().filter(|name| formula.contains(name));
    let pure: String = named.map(|name| format!("substance {name} {{}}; material {name} {{}};")).collect();
    (pure + &formula).replace(';', "\n")
}

/// The sheet of the last formula of a text. No error may bear on it.
fn sheet_of(text: &str, batch: Option<&str>) -> Sheet {
    let folder = tempfile::tempdir().unwrap();
    let makes = batch.map(|batch| {
        let makes = batch_argument(batch).unwrap();
        let evaluator = Evaluator { file: FileId(u32::MAX), text: batch };
        makes_size(&evaluator, &makes, ("`makes`", false), &mut |_, _| None, &mut Vec::new()).unwrap()
    });
    let order = BatchOrder { makes, ..BatchOrder::default() };
    let loaded = load(&Disk, &[], Some((folder.path().to_path_buf(), text.into())));
    let report = check(&loaded.sources, &order, true);
    let last = report.formulas.last().unwrap();
    assert!(!last.is_blocked(), "{:#?}\nin {text}", report.diagnostics);
    sheet(&loaded.sources, &report, last, &order).unwrap()
}

/// The rows under a heading of the page: number, source and Exact column.
fn section(heading: &str) -> BTreeMap<u32, (&'static str, &'static str)> {
    let sections = include_str!("../data/worked-examples.md").split("\n## ");
    let found = sections.filter_map(|section| section.split_once('\n')).find(|(title, _)| *title == heading).unwrap();
    let cells = found.1.lines().map(|line| line.split('|').map(str::trim).collect::<Vec<_>>());
    cells.filter_map(|cells| Some((cells.get(1)?.parse().ok()?, (cells[7], cells[5])))).collect()
}

/// Compiles every row of a section and holds its answers against the page.
fn hold(heading: &str, rows: &[Worked]) {
    let page = section(heading);
    for worked in rows {
        let (number, (source, column)) = (worked.row, page[&worked.row]);
        assert!(source.starts_with(worked.source), "row {number} is from {source}");
        assert!(!worked.answers.is_empty(), "row {number} asserts nothing");
        let sheet = sheet_of(&formula(&worked.own, worked.header, worked.lines), worked.batch);
        for (read, answer) in worked.answers {
            let (fraction, shown) = answer.split_once(" ≈ ").unwrap_or((answer, answer));
            let (figure, unit) = shown.split_once(' ').unwrap_or((shown, ""));
            let fraction = exact(fraction.split(' ').next().unwrap());
            let base = match unit {
                "mg" => Exact::ratio(1, 1000),
                "ppm" => Exact::ratio(1, 10_000),
                "%" | "g" | "mL" | "" => Exact::ONE,
                other => panic!("row {number} has an answer in {other}"),
            };
            let found = read.off(&sheet).over(&base).unwrap();
            assert_eq!(found, fraction, "row {number}, {read:?}, in {unit}");
            assert_eq!(found.to_fixed(exact(figure).decimals().unwrap()), figure, "row {number}, {read:?}, rounded");
            let mut figures = column.split(|c: char| !c.is_ascii_digit() && c != '.');
            assert!(figures.any(|known| known == figure), "row {number}: the page has {column}, not {figure}");
        }
    }
    let held: BTreeSet<u32> = rows.iter().map(|worked| worked.row).collect();
    assert_eq!(held, page.into_keys().collect(), "the rows of {heading}");
}

/// A solution of the drug in water, of a strength and a density in g/mL. At 1.024 g/mL (2^10/1000) strengths by volume
/// come to percentages that end, so that the sheet's ten digits are all of them.
fn solution(strength: &str, density: &str) -> String {
    format!("material solution {{; contains drug {strength}, water remainder; density {density} g/mL; }}; ")
}

/// A blend of the drug with the base, of a strength.
fn blend(name: &str, strength: &str) -> String {
    format!("material {name} {{; contains drug {strength} active, base remainder; }}; ")
}

/// A powder premix with 120 mg of drug.
fn trituration(base: &str) -> String {
    format!("formula trituration {{; product stock; makes 100 g; phase A {{; drug 120 mg; base {base}; }}; }}; ")
}

#[test]
fn weighing_limits() {
    hold(
        "Weighing limits",
        &[
            // The language warns where one step is over 5 % of a line, and names the smallest batch that would do.
            row(1, HOUSTON, "makes 60 mg; scale 6 mg", "drug 100 %", &[(Told("Make ", " g or more"), "120 mg")]),
            row(
                3,
                "Open pharmacy-calculation lesson, minimum weighable quantity",
                "makes 100 mg; scale 10 mg",
                "drug 100 %",
                &[(Told("Make ", " g or more"), "200 mg")],
            ),
            row(
                5,
                NORTH_CAROLINA,
                "makes 600 mg; scale 6 mg",
                "drug 50 mg; base 550 mg",
                &[(Told("g, is ", " % of"), "12 %")],
            ),
            // The premix that the warning proposes, then that premix at work.
            row(
                7,
                "Published lecture slides",
                "makes 1200 mg; scale 6 mg",
                "drug 12 mg; base 1188 mg",
                &[(Told("and weigh ", " g of that"), "120 mg")],
            ),
            row(
                7,
                "Published lecture slides",
                "makes 1200 mg; scale 6 mg",
                "trituration 12 mg of drug; base 1080 mg",
                &[(Grams("trituration"), "120 mg"), (Held("drug"), "12 mg")],
            )
            .with(trituration("1080 mg")),
            row(
                8,
                "Open pharmacy text",
                "makes 7500 mg",
                "drug 2 parts; base 123 parts",
                &[(Grams("base"), "7380 mg")],
            ),
            row(
                8,
                "Open pharmacy text",
                "makes 1 g; scale 1 mg",
                "trituration 2 mg of drug; base 875 mg",
                &[(Grams("trituration"), "125 mg"), (Held("drug"), "2 mg")],
            )
            .with(trituration("7380 mg")),
            // At 1 g/mL the smallest batch in grams is the volume in millilitres.
            row(
                9,
                NORTH_CAROLINA,
                "makes 5 mL; density 1 g/mL; scale 6 mg",
                "drug (20 mg / 5 mL / 1 g/mL * 100 %); water q.s.",
                &[(Told("Make ", " g or more"), "30 mL")],
            ),
        ],
    );
}

#[test]
fn percentage_strength() {
    hold(
        "Percentage strength",
        &[
            row(
                11,
                CARDS,
                "makes 10.4 g",
                "phenol 1.4 g; glycerin 9.0 g",
                &[(Percent("phenol"), "175/13 ≈ 13.4615 %")],
            ),
            row(12, CARDS, "makes 73 g", "drug 13 g; base 60 g", &[(Percent("drug"), "1300/73 ≈ 17.8082 %")]),
            row(
                13,
                CARDS,
                "makes 25 mL; density 1.024 g/mL",
                "drug 4 g; water 21.6 g",
                &[(InVolume("drug", "1.024"), "16 %")],
            ),
            row(
                14,
                CARDS,
                "makes 1 L; density 1.024 g/mL",
                "drug 42 g; water 982 g",
                &[(InVolume("drug", "1.024"), "4.2 %")],
            ),
            row(15, KENT, "makes 1.25 L; density 1.024 g/mL", "solution 100 %", &[(Held("drug"), "6.25 g")])
                .with(solution("0.5 % w/v", "1.024")),
            row(16, KENT, "makes 750 mL; density 1.024 g/mL", "solution 100 %", &[(Held("drug"), "37.5 g")])
                .with(solution("5 % w/v", "1.024")),
            row(19, EXAM_CARDS, "makes 2 L; density 1.024 g/mL", "solution 100 %", &[(Held("drug"), "80 g")])
                .with(solution("4 % w/v", "1.024")),
            row(
                20,
                STRENGTH_LECTURE,
                "makes 250 mL; density 1.024 g/mL",
                "solution 100 %",
                &[(Held("drug"), "0.05 g")],
            )
            .with(solution("0.02 % w/v", "1.024")),
            row(
                21,
                EXAM_CARDS,
                "makes 50 g; ensure drug 10 % to 10 %",
                "drug 5 g; base (drug * ((100 % - 10 %) / 10 %))",
                &[(Grams("base"), "45 g")],
            ),
            row(22, STRENGTH_LECTURE, "makes 240 g", "drug 5 %; base q.s.", &[(Grams("drug"), "12 g")]),
            row(
                23,
                STRENGTH_LECTURE,
                "makes 10 g; scale 0.1 mg",
                "drug (1 % / 8); base q.s.",
                &[(Grams("drug"), "12.5 mg")],
            ),
        ],
    );
}

#[test]
fn ratio_strength() {
    hold(
        "Ratio strength and ppm",
        &[
            row(24, KENT, "makes 200 mL; density 1.024 g/mL", "solution 100 %", &[(Held("drug"), "0.4 g")])
                .with(solution("(100 % w/v / 500)", "1.024")),
            row(26, TEXTBOOK, "makes 5 g", "drug 0.25 g; base 4.75 g", &[(OneIn("drug"), "20")]),
            row(
                27,
                KENT,
                "makes 100 g",
                "drug 5 %; other (100 % / 500); base q.s.",
                &[(OneIn("drug"), "20"), (Percent("other"), "0.2 %")],
            ),
            row(
                29,
                "Published question-and-answer page",
                "makes 500 g; ensure drug 400 ppm to 400 ppm",
                "drug 0.2 g; base 499.8 g",
                &[(Percent("drug"), "400 ppm")],
            ),
            row(
                30,
                KENT,
                "makes 5 mL; density 1.024 g/mL; scale 0.1 mg",
                "drug 1 mg; water 5119 mg",
                &[(InVolume("drug", "1.024"), "0.02 %")],
            ),
            row(
                31,
                TEXTBOOK,
                "makes 1 mL; density 1.024 g/mL; scale 0.1 mg",
                "drug 0.002 g; water 1.022 g",
                &[(InVolume("drug", "1.024"), "0.2 %"), (Grams("drug"), "2 mg")],
            ),
            row(
                31,
                TEXTBOOK,
                "makes 1 mL; density 1.024 g/mL; scale 0.1 mg",
                "solution 100 %",
                &[(Held("drug"), "2 mg")],
            )
            .with(solution("(100 % w/v / 500)", "1.024")),
        ],
    );
}

#[test]
fn dilution() {
    hold(
        "Dilution",
        &[
            // The strengths are by volume, so what is taken and what is made each have a density of their own.
            row(
                32,
                KENT,
                "makes 500 mL; density 1.02 g/mL",
                "solution (5 g / 100 mL / 1.02 g/mL * 100 %) active; water q.s.",
                &[(Millilitres("solution", "1.08"), "125 mL")],
            )
            .with(solution("20 % w/v", "1.08")),
            row(
                33,
                KENT,
                "makes 1.25 L; density 1.01 g/mL",
                "solution (0.05 g / 100 mL / 1.01 g/mL * 100 %) active; water q.s.",
                &[(Millilitres("solution", "1.03"), "6.25 mL")],
            )
            .with(solution("10 % w/v", "1.03")),
            row(
                34,
                KENT,
                "makes 450 mL; density 1.01 g/mL",
                "solution (1 g / 2000 mL / 1.01 g/mL * 100 %) active; water q.s.",
                &[(Millilitres("solution", "1.03"), "11.25 mL")],
            )
            .with(solution("(100 % w/v / 50)", "1.03")),
            row(
                35,
                TEXTBOOK,
                "makes 5 L; density 1.01 g/mL",
                "solution (1 g / 2000 mL / 1.01 g/mL * 100 %) active; water q.s.",
                &[(Millilitres("solution", "1.03"), "1000 mL")],
            )
            .with(solution("(100 % w/v / 400)", "1.03")),
            row(
                36,
                TEXTBOOK,
                "makes 250 mL; density 1.02 g/mL",
                "drug (0.1 g / 100 mL * (150 mL / 10 mL) / 1.02 g/mL * 100 %); water q.s.",
                &[(Grams("drug"), "3.75 g")],
            ),
            row(
                37,
                "Pharmacy licence review book",
                "makes 240 mL; density 1.024 g/mL",
                "solution (120 mL * 1.024 g/mL); water (240 mL * 1.024 g/mL - solution)",
                &[(InVolume("drug", "1.024"), "5 %")],
            )
            .with(solution("10 % w/v", "1.024")),
            row(
                38,
                "Basic pharmacy maths page",
                "makes 1 L; density 1.05 g/mL",
                "solution (10 g / 100 mL / 1.05 g/mL * 100 %) active; water q.s.",
                &[(Millilitres("solution", "1.18"), "1000000/4307 ≈ 232.1802 mL")],
            )
            .with(solution("36.5 %", "1.18")),
            row(
                39,
                KENT,
                "makes 320 mL; density 1.01 g/mL",
                "solution (0.1 g / 100 mL / 1.01 g/mL * 100 %) active; water q.s.",
                &[(Millilitres("solution", "1.03"), "8 mL")],
            )
            .with(solution("(40 * 0.1 % w/v)", "1.03")),
        ],
    );
}

#[test]
fn density() {
    hold(
        "Density and q.s.",
        &[
            row(
                40,
                ARMY,
                "makes 1 L; density 1 g/mL",
                "glycerin (45 g / 1.25 g/mL / 1 L * 100 %); water q.s.",
                &[(Litre("glycerin"), "36 mL")],
            ),
            row(
                41,
                "Published pharmacy calculation notes",
                "makes 100 g",
                "oil-a (25 g / 0.910 g/mL / 1 L * 100 %); base q.s.",
                &[(Litre("oil-a"), "2500/91 ≈ 27.4725 mL")],
            ),
            row(
                42,
                "Published solved exercises",
                "makes 100 g; let each = 100 g / 1 L",
                "oil-a (each / 0.92 g/mL * 100 %); oil-b (each / 0.96 g/mL * 100 %); oil-c (each / 1.08 g/mL * 100 %)
             oil-d (each / 1.59 g/mL * 100 %); base q.s.",
                &[
                    (Litre("oil-a"), "2500/23 ≈ 108.7 mL"),
                    (Litre("oil-b"), "625/6 ≈ 104.17 mL"),
                    (Litre("oil-c"), "2500/27 ≈ 92.59 mL"),
                    (Litre("oil-d"), "10000/159 ≈ 62.89 mL"),
                ],
            ),
            row(43, ARMY, "makes 240 mL; density 0.81 g/mL", "drug 100 %", &[(Grams("drug"), "194.4 g")]),
            row(
                44,
                ARMY,
                "makes 100 g",
                "zinc-oxide 14 %; sulfur 4 %; mineral-oil (8 mL * 0.85 g/mL / 100 g * 100 %); base q.s.",
                &[(Grams("mineral-oil"), "6.8 g"), (Grams("base"), "75.2 g")],
            ),
            row(
                45,
                ARMY,
                "makes 100 g",
                "drug (500 g / 473 mL / 1 g/mL * 1 %); base q.s.",
                &[(Percent("drug"), "500/473 ≈ 1.0571")],
            ),
            row(
                46,
                "Published question page",
                "makes 30 g",
                "drug 100 parts; other 200 parts; base 1000 parts",
                &[(Millilitres("drug", "0.84"), "250/91 ≈ 2.7473 mL")],
            ),
        ],
    );
}

#[test]
fn scaling() {
    hold("Scaling", &[
        row(47, SCALING_LESSON, "makes 1000 mL; density 1.02 g/mL", "drug (5 g / (1 L * 1.02 g/mL) * 100 %); water q.s.",
            &[(Grams("drug"), "0.25 g")]).ordered("50 mL"),
        row(48, "BP 1988 calamine lotion", "makes 1000 mL; density 1.15 g/mL",
            "calamine 150 g; zinc-oxide 50 g; bentonite 30 g; citrate 5 g; phenol (5 mL * 1.06 g/mL)
             glycerin (50 mL * 1.26 g/mL)
             water (1000 mL * 1.15 g/mL - calamine - zinc-oxide - bentonite - citrate - phenol - glycerin)",
            &[(Grams("calamine"), "36 g"), (Grams("zinc-oxide"), "12 g"), (Grams("bentonite"), "7.2 g"),
              (Grams("citrate"), "1.2 g"), (Millilitres("phenol", "1.06"), "1.2 mL"),
              (Millilitres("glycerin", "1.26"), "12 mL")]).ordered("240 mL"),
        row(49, SCALING_LESSON, "makes 454 g", "zinc-oxide 50 g; pine-tar 120 g; petrolatum 284 g",
            &[(Grams("pine-tar"), "60000/227 ≈ 264.3172 g")]).ordered("1 kg"),
        row(50, HOUSTON, "makes 1000 g",
            "methylparaben 0.25 g; propylparaben 0.15 g; lauryl-sulfate 10 g; propylene-glycol 120 g; stearyl-alcohol 250 g
             petrolatum 250 g; water 369.6 g",
            &[(Grams("methylparaben"), "0.39725 ≈ 0.4 g"), (Grams("propylparaben"), "0.23835 ≈ 0.24 g"),
              (Grams("lauryl-sulfate"), "15.89 g"), (Grams("propylene-glycol"), "190.68 g"),
              (Grams("stearyl-alcohol"), "397.25 g"), (Grams("petrolatum"), "397.25 g")]).ordered("1589 g"),
        row(51, HOUSTON, "makes 18 g", "drug 3 parts; other 5 parts; base 10 parts",
            &[(Grams("drug"), "245/6 ≈ 40.83 g"), (Grams("other"), "1225/18 ≈ 68.06 g"),
              (Grams("base"), "1225/9 ≈ 136.11 g")]).ordered("245 g"),
        row(52, HOUSTON, "makes 250 mL; density 1.04 g/mL", "glycerin (50 g / (250 mL * 1.04 g/mL) * 100 %); water q.s.",
            &[(Millilitres("glycerin", "1.263"), "950000/1263 ≈ 752.1774 mL")]).ordered("4750 mL"),
    ]);
}

#[test]
fn alligation() {
    hold(
        "Mixing two strengths",
        &[
            // Parts of the stronger = wanted - weaker, parts of the weaker = stronger - wanted; the language has to find
            // the wanted strength in the blend.
            row(
                53,
                "Published slide set, alligation",
                "makes 100 g; ensure require drug 0.2 % to 0.2 %",
                "weak (1 part * (0.5 - 0.2)); strong (1 part * (0.2 - 0.1))",
                &[(Grams("weak"), "75 g"), (Grams("strong"), "25 g")],
            )
            .with(blend("weak", "0.1 %") + &blend("strong", "0.5 %")),
            row(
                54,
                "Published alligation practice problems",
                "makes 300 g; ensure require drug 5 % to 5 %",
                "weak (1 part * (100 - 5)); drug (1 part * (5 - 3))",
                &[(Grams("weak"), "28500/97 ≈ 293.81 g"), (Grams("drug"), "600/97 ≈ 6.19 g")],
            )
            .with(blend("weak", "3 %")),
            row(
                55,
                ALLIGATION_SITE,
                "makes 100 g",
                "strong 22 % active; base q.s.",
                &[(Beside("base", "strong", "120"), "4380/11 ≈ 398.18 g")],
            )
            .with(blend("strong", "95 %")),
            row(
                56,
                ALLIGATION_SITE,
                "makes 100 g",
                "strong 12 % active; base q.s.",
                &[(Beside("base", "strong", "400"), "2100 g")],
            )
            .with(blend("strong", "75 %")),
            row(
                57,
                ALLIGATION_SITE,
                "makes 100 g",
                "strong 14 % active; base q.s.",
                &[(Beside("base", "strong", "420"), "1380 g")],
            )
            .with(blend("strong", "60 %")),
            row(
                58,
                ALLIGATION_SITE,
                "makes 100 g",
                "strong 43 % active; base q.s.",
                &[(Beside("base", "strong", "1100"), "7700/43 ≈ 179.07 g")],
            )
            .with(blend("strong", "50 %")),
            row(
                59,
                "University module, altering product strength",
                "makes 350 g",
                "middle 200 g; strong 50 g; weak 100 g",
                &[(Strength("drug"), "10 %")],
            )
            .with(blend("middle", "10 %") + &blend("strong", "20 %") + &blend("weak", "5 %")),
        ],
    );
}

#[test]
fn fortifying() {
    hold(
        "Fortifying",
        &[
            // x = m (wanted - have) / (100 % - wanted)
            row(
                60,
                ARMY,
                "makes 515.625 g; scale 1 mg; ensure require drug 4 % to 4 %",
                "weak 500 g; drug (weak * ((4 % - 1 %) / (100 % - 4 %)))",
                &[(Grams("drug"), "15.625 g")],
            )
            .with(blend("weak", "1 %")),
            row(
                61,
                ARMY,
                "makes 206.25 g; ensure require drug 4 % to 4 %",
                "weak 200 g; drug (weak * ((4 % - 1 %) / (100 % - 4 %)))",
                &[(Grams("drug"), "6.25 g")],
            )
            .with(blend("weak", "1 %")),
        ],
    );
}

#[test]
fn salts() {
    let own = "substance benzoic-acid {; molar-mass 122.12 g/mol; }; substance sodium {; ion +1; }
               substance sodium-benzoate {; molar-mass 144.10 g/mol; salt of benzoic-acid with 1 sodium; }
               material sodium-benzoate {}; material benzoic-acid {}";
    // As much of the acid as half a percent of the salt has, so the line comes to half a percent; then the salt and the
    // acid side by side, counted together.
    let acid = "sodium-benzoate (0.5 % * 122.12 / 144.10) of benzoic-acid; water q.s.";
    let both = "sodium-benzoate 0.5 %; benzoic-acid 1 % of benzoic-acid; water q.s.";
    hold(
        "Salts",
        &[row(65, "atomic masses", "makes 100 g", acid, &[(AsParent("benzoic-acid"), "0.4237335184 ≈ 0.4237 %")])
            .with(own)],
    );
    assert_eq!(Percent("sodium-benzoate").off(&sheet_of(&formula(own, "makes 100 g", acid), None)), exact("0.5"));
    let together = sheet_of(&formula(own, "makes 100 g", both), None);
    assert_eq!(AsParent("benzoic-acid").off(&together), exact("1.423733518"));
}

const YARD_AND_POUND: &str = "international yard and pound agreement 1959";
const SI: &str = "SI prefixes, NIST Special Publication 811";
const HANDBOOK_44: &str = "US gallon of 231 cubic inches, NIST Handbook 44, Appendix C";
const UK_1995: &str = "gallon of 4.54609 L, UK Units of Measurement Regulations 1995";

/// Weights as a line has them, and volumes at 1 g/mL.
#[test]
fn units_of_weight_and_volume() {
    let units = [
        ("1 mg", "0.001", SI),
        ("1 g", "1", SI),
        ("1 kg", "1000", SI),
        ("1 lb", "453.59237", YARD_AND_POUND),
        ("1 oz", "28.349523125", YARD_AND_POUND),
        ("16 oz", "453.59237", YARD_AND_POUND),
        ("(1 mL * 1 g/mL)", "1", SI),
        ("(1 L * 1 g/mL)", "1000", SI),
        ("(1 fl-oz * 1 g/mL)", "29.5735295625", HANDBOOK_44),
        ("(128 fl-oz * 1 g/mL)", "3785.411784", HANDBOOK_44),
        ("(1 imp-fl-oz * 1 g/mL)", "28.4130625", UK_1995),
        ("(160 imp-fl-oz * 1 g/mL)", "4546.09", UK_1995),
    ];
    for (amount, grams, source) in units {
        let lines = format!("drug {amount}; base (10 kg - drug)");
        let sheet = sheet_of(&formula("", "makes 10 kg; scale 0.1 mg", &lines), None);
        assert_eq!(Grams("drug").off(&sheet), exact(grams), "{amount}: {source}");
    }
}

/// Batches by the pound and by the fluid ounce, in the header and as they are ordered.
#[test]
fn units_of_a_batch() {
    let batches = [
        ("1 lb", "453.59237", YARD_AND_POUND),
        ("12 x 2 oz", "680.388555", YARD_AND_POUND),
        ("8 fl-oz plus 10 %", "260.24706015", HANDBOOK_44),
        ("20 imp-fl-oz", "568.26125", UK_1995),
    ];
    for (makes, grams, source) in batches {
        // A step as fine as the definition, so that nothing is rounded.
        let header = |makes: &str| format!("makes {makes}; density 1 g/mL; scale 0.00001 mg");
        let own = sheet_of(&formula("", &header(makes), "drug 100 %"), None);
        assert_eq!(Grams("drug").off(&own), exact(grams), "makes {makes}: {source}");
        let ordered = sheet_of(&formula("", &header("100 g"), "drug 100 %"), Some(makes));
        assert_eq!(Grams("drug").off(&ordered), exact(grams), "--batch {makes}: {source}");
    }
}

/// °C = (°F - 32) * 5/9, exactly (NIST Special Publication 811): as a phase is heated to it, and as a share of 1 °C,
/// which shows the fraction.
#[test]
fn units_of_temperature() {
    for (fahrenheit, celsius) in [("32 °F", "0"), ("122 °F", "50"), ("167 F", "75"), ("212 °F", "100")] {
        let sheet = sheet_of(&formula("", "makes 100 g", &format!("heat to {fahrenheit}; drug 100 %")), None);
        assert_eq!(sheet.phases[0].heat_c.as_deref(), Some(celsius), "{fahrenheit}");
    }
    let sheet = sheet_of(&formula("", "makes 100 g", "drug (100 °F / 1 °C * 1 %); base q.s."), None);
    assert_eq!(Percent("drug").off(&sheet), exact("340/9"));
}
