//! Recipes as makers write them: a serum, a cream, a wash, the stock of a file, and variants of the creams.

use super::materials::{Kind, Material};
use super::random::Random;
use std::fmt::Write as _;

/// A line of a phase.
#[derive(Clone)]
struct Line {
    name: String,
    kind: Kind,
    amount: String,
    tail: String,
}

impl Line {
    /// Whether it is weighed at the bench, until the pH is in its window.
    fn is_adjuster(&self) -> bool {
        matches!(self.kind, Kind::PhDown | Kind::PhUp)
    }
}

/// A phase, in the order of the bench.
#[derive(Clone)]
struct Phase {
    title: &'static str,
    /// `heat to` or `cool to`; nothing where it is empty.
    warmth: &'static str,
    lines: Vec<Line>,
}

/// A formula before it is text.
#[derive(Clone)]
pub struct Recipe {
    /// The words before its brace: `formula night-gel`.
    opening: String,
    /// The name alone.
    name: String,
    head: Vec<(&'static str, String)>,
    lets: Vec<String>,
    phases: Vec<Phase>,
    asks: Vec<String>,
    steps: Vec<String>,
}

/// What a file shares among its formulas: one preservative, and one stock of swollen gum.
pub struct House<'m> {
    /// The number of the file.
    pub number: usize,
    preservative: &'m Material,
    gum: &'m Material,
}

/// The bench at which one recipe is put together: no material is taken twice.
struct Bench<'m, 'r> {
    materials: &'m [Material],
    random: &'r mut Random,
    taken: Vec<&'m str>,
}

const FIRST: &[&str] =
    &["Quiet", "Morning", "Meadow", "Harbour", "Cloud", "Orchard", "Winter", "Linen", "Amber", "Moss"];
const MAKES: &[&str] =
    &["12 x 50 mL plus 4 %", "24 x 30 mL plus 5 %", "800 g", "1 kg", "20 x 50 g plus 3 %", "1500 mL"];
const SCALES: &[&[&str]] = &[&["0.01 g"], &["0.01 g up to 600 g", "1 g up to 6000 g"], &["0.01 g up to 3000 g"]];
const REASONS: &[&str] = &[
    "it feels lighter than the last trial",
    "supplier's rate",
    "less of it pilled under sunscreen",
    "kept low for the smell",
];

impl<'m> House<'m> {
    /// Picks what the file's formulas share.
    pub fn new(number: usize, materials: &'m [Material], random: &mut Random) -> House<'m> {
        let mut bench = Bench { materials, random, taken: Vec::new() };
        House { number, preservative: bench.take(Kind::Preservative), gum: bench.take(Kind::Thickener) }
    }

    fn stock_name(&self) -> String {
        format!("gum-stock-{:03}", self.number)
    }

    /// The stock: gum swollen in water and glycerin, kept from spoiling.
    pub fn stock(&self) -> Recipe {
        let lines = vec![
            line(self.gum, "2.5 %".to_string()),
            plain("glycerin", Kind::Humectant, "30 %"),
            line(self.preservative, "house-keeping".to_string()),
            plain("water", Kind::Water, "q.s."),
        ];
        let head = [("title", "\"Gum stock\""), ("version", "\"1\""), ("product", "stock"), ("makes", "500 g")];
        let mut head: Vec<(&'static str, String)> =
            head.iter().map(|(word, value)| (*word, value.to_string())).collect();
        head.push(("scale", "0.01 g".to_string()));
        Recipe {
            opening: format!("formula {}", self.stock_name()),
            name: self.stock_name(),
            head,
            lets: Vec::new(),
            phases: vec![Phase { title: "All", warmth: "", lines }],
            asks: Vec::new(),
            steps: Vec::new(),
        }
    }
}

/// A recipe of the file: serums, creams and washes by turns.
pub fn recipe(house: &House<'_>, at: usize, materials: &[Material], random: &mut Random) -> Recipe {
    let mut bench = Bench { materials, random, taken: vec!["water", house.preservative.name.as_str()] };
    match at % 3 {
        0 => bench.serum(house, at),
        1 => bench.cream(house, at),
        _ => bench.wash(house, at),
    }
}

/// Whether the recipe at a place of the file is a cream, of which there are variants.
pub fn is_cream(at: usize) -> bool {
    at % 3 == 1
}

impl<'m> Bench<'m, '_> {
    fn take(&mut self, kind: Kind) -> &'m Material {
        let free: Vec<&'m Material> = self
            .materials
            .iter()
            .filter(|material| material.kind == kind && !self.taken.contains(&material.name.as_str()))
            .collect();
        let material = *self.random.pick(&free);
        self.taken.push(&material.name);
        material
    }

    /// A line of some material of a kind, at a dose that its `use` allows.
    fn some(&mut self, kind: Kind) -> Line {
        let material = self.take(kind);
        let amount = self.amount(material);
        let mut line = line(material, amount);
        if self.random.once_in(6) {
            line.tail = format!("  because \"{}\"", self.random.pick(REASONS));
        }
        line
    }

    fn amount(&mut self, material: &Material) -> String {
        let (low, high) = material.dose;
        let dose = self.random.between(low, high);
        match (material.solution, self.random.below(5)) {
            (true, 0 | 1) => format!("{} % active", percent(dose)),
            (true, 2 | 3) => format!("{} % of {}", percent(dose), material.substance),
            (false, _) if dose < 30 => format!("{} ppm", dose * 100),
            _ => format!("{} %", percent(dose)),
        }
    }

    fn water(&mut self) -> Line {
        let mut water = plain("water", Kind::Water, "q.s.");
        water.tail = format!("  hold back {} %", self.random.between(10, 18));
        water
    }

    fn adjuster(&mut self, kind: Kind) -> Line {
        let mut adjuster = line(self.take(kind), "q.s. to pH".to_string());
        if self.random.once_in(4) {
            adjuster.tail = "  from water".to_string();
        }
        adjuster
    }

    /// The preservative of the house: mostly at its own figure, sometimes at another, now and then past its `use`.
    fn preservative(&mut self, house: &House<'_>) -> Line {
        let mut line = line(house.preservative, "house-keeping".to_string());
        if self.random.once_in(40) {
            line.amount = "1.5 %".to_string();
            line.tail = "  allow usage-over because \"agreed with the supplier for the open jar\"".to_string();
        } else if self.random.once_in(2) {
            line.amount = self.amount(house.preservative);
        }
        line
    }

    /// A gum, or now and then the stock of one; and a humectant to wet it out, reckoned from it.
    fn gum(&mut self, house: &House<'_>) -> Vec<Line> {
        if self.random.once_in(4) {
            let dose = percent(self.random.between(20, 45));
            let amount = match self.random.below(2) {
                0 => format!("{dose} % of {}", house.gum.substance),
                _ => format!("{} %", self.random.between(8, 18)),
            };
            return vec![plain(&house.stock_name(), Kind::Thickener, &amount), self.some(Kind::Humectant)];
        }
        let gum = self.some(Kind::Thickener);
        let slip = line(self.take(Kind::Humectant), format!("(5 * {})", gum.name));
        vec![gum, slip]
    }

    /// Oils, of which the second is reckoned from the first.
    fn oils(&mut self) -> Vec<Line> {
        let first = self.some(Kind::Oil);
        let formula = match self.random.below(3) {
            0 => format!("({} / 2)", first.name),
            1 => format!("(0.6 * {} + 0.4 %)", first.name),
            _ => format!("{} %", percent(self.random.between(200, 500))),
        };
        let second = line(self.take(Kind::Oil), formula);
        let third = self.random.once_in(2).then(|| self.some(Kind::Oil));
        [first, second].into_iter().chain(third).collect()
    }

    fn sometimes(&mut self, kind: Kind) -> Option<Line> {
        self.random.once_in(2).then(|| self.some(kind))
    }

    fn serum(&mut self, house: &House<'_>, at: usize) -> Recipe {
        let mut recipe = self.opened(house, at, "serum", "leave-on face", "3.6 to 4.0");
        let acid = self.take(Kind::Acid);
        let mut acid_line = line(acid, self.amount(acid));
        if self.random.once_in(3) {
            recipe.lets.push(format!("dose = {} %", percent(self.random.between(100, 300))));
            acid_line.amount = "dose active".to_string();
        }
        let mut first = vec![self.water()];
        first.extend(self.sometimes(Kind::Water));
        first.extend(self.sometimes(Kind::Humectant));
        first.extend([acid_line, self.adjuster(Kind::PhUp)]);
        let mut second = self.gum(house);
        second.extend([self.some(Kind::Active), self.some(Kind::Extract), self.preservative(house)]);
        second.extend(self.sometimes(Kind::Extract));
        second.extend(self.sometimes(Kind::Aromatic));
        recipe.asks.push(format!("limit {} to 10 % as acid", acid.substance));
        recipe.with(vec![phase("Water phase", "", first), phase("Thicken and finish", "", second)])
    }

    fn cream(&mut self, house: &House<'_>, at: usize) -> Recipe {
        let recipe = self.opened(house, at, "cream", "leave-on face, body", "4.8 to 5.6");
        let mut first = vec![self.water()];
        first.extend(self.gum(house));
        first.push(self.adjuster(Kind::PhDown));
        let mut second = vec![self.some(Kind::Emulsifier)];
        second.extend(self.sometimes(Kind::Wax));
        second.extend(self.oils());
        let mut third = vec![self.some(Kind::Active), self.preservative(house), self.some(Kind::Antioxidant)];
        third.extend(self.sometimes(Kind::Aromatic));
        recipe.with(vec![
            phase("Water phase", "heat to 75 °C", first),
            phase("Oil phase", "heat to 75 °C", second),
            phase("Cool down", "cool to 40 °C", third),
        ])
    }

    fn wash(&mut self, house: &House<'_>, at: usize) -> Recipe {
        let recipe = self.opened(house, at, "wash", "rinse-off face, hand", "5.0 to 5.8");
        let mut first = vec![self.water()];
        first.extend(self.gum(house));
        first.push(self.adjuster(Kind::PhDown));
        let mut second = vec![self.some(Kind::Surfactant), self.some(Kind::Surfactant)];
        second.extend(self.sometimes(Kind::Surfactant));
        second.extend([self.some(Kind::Extract), self.preservative(house)]);
        second.extend(self.sometimes(Kind::Aromatic));
        recipe.with(vec![phase("Water phase", "", first), phase("Cleanse and keep", "", second)])
    }

    /// A recipe with its header and nothing else yet.
    fn opened(&mut self, house: &House<'_>, at: usize, what: &str, product: &str, window: &str) -> Recipe {
        let first = self.random.pick(FIRST);
        let name = format!("{}-{what}-{:03}-{at:02}", first.to_lowercase(), house.number);
        let version = format!("\"{}.{}\"", self.random.between(1, 4), self.random.between(0, 9));
        let makes = *self.random.pick(MAKES);
        let mut head = vec![
            ("title", format!("\"{first} {what}\"")),
            ("version", version),
            ("product", product.to_string()),
            ("makes", makes.to_string()),
        ];
        if makes.contains("mL") {
            head.push(("density", format!("1.0{} g/mL", self.random.between(10, 40))));
        }
        head.extend(self.random.pick(SCALES).iter().map(|scale| ("scale", (*scale).to_string())));
        head.push(("pH", window.to_string()));
        Recipe {
            opening: format!("formula {name}"),
            name,
            head,
            lets: Vec::new(),
            phases: Vec::new(),
            asks: Vec::new(),
            steps: Vec::new(),
        }
    }
}

/// A variant of a cream that exchanges an oil and takes less of the humectant.
pub fn exchanged(base: &Recipe, materials: &[Material], random: &mut Random) -> String {
    let has = |name: &str| base.lines().any(|line| line.name == name);
    let old = base.lines().find(|line| line.kind == Kind::Oil).map_or("", |line| &line.name);
    let free: Vec<&Material> =
        materials.iter().filter(|material| material.kind == Kind::Oil && !has(&material.name)).collect();
    let humectant = base.lines().find(|line| line.kind == Kind::Humectant).map_or("", |line| &line.name);
    let mut text = varied(base, "light", "\"A lighter hand with the oils\"");
    let _ = write!(text, "  swap {old} for {}\n  set {humectant} 2.5 %\n}}\n", random.pick(&free).name);
    text
}

/// A variant of a cream without its antioxidant, with steps of its own.
pub fn without(base: &Recipe) -> String {
    let mut rest = base.clone();
    let gone = base.lines().find(|line| line.kind == Kind::Antioxidant).map_or("", |line| &line.name);
    for phase in &mut rest.phases {
        phase.lines.retain(|line| line.name != gone);
    }
    let mut text = varied(base, "plain", "\"For oils that are fresh\"");
    let _ = writeln!(text, "  remove {gone}");
    steps_text(&mut text, &steps(&rest.phases));
    text.push_str("}\n");
    text
}

fn varied(base: &Recipe, what: &str, title: &str) -> String {
    format!(
        "variant {name}-{what} of {name} {{\n  title    {title}\n  version  \"1.0\"\n  makes    900 g\n",
        name = base.name
    )
}

impl Recipe {
    fn lines(&self) -> impl Iterator<Item = &Line> {
        self.phases.iter().flat_map(|phase| &phase.lines)
    }

    fn with(mut self, phases: Vec<Phase>) -> Recipe {
        self.steps = steps(&phases);
        self.phases = phases;
        let humectants: Vec<&str> =
            self.lines().filter(|line| line.kind == Kind::Humectant).map(|line| line.name.as_str()).collect();
        if humectants.len() > 1 {
            let ask = format!("{} at most 12 %", humectants.join(" + "));
            self.asks.push(ask);
        }
        self
    }

    /// The formula as text, in the layout of the formatter.
    pub fn text(&self) -> String {
        let mut text = format!("{} {{\n", self.opening);
        for (word, value) in &self.head {
            let _ = writeln!(text, "  {word:<7}  {value}");
        }
        text.push('\n');
        for declared in &self.lets {
            let _ = writeln!(text, "  let {declared}");
        }
        for (letter, phase) in ["A", "B", "C"].iter().zip(&self.phases) {
            phase_text(&mut text, letter, phase);
        }
        steps_text(&mut text, &self.steps);
        for ask in &self.asks {
            let _ = writeln!(text, "  ensure {ask}");
        }
        text.push_str("}\n");
        text
    }
}

fn phase_text(text: &mut String, letter: &str, phase: &Phase) {
    let _ = writeln!(text, "  phase {letter} \"{}\" {{", phase.title);
    if !phase.warmth.is_empty() {
        let _ = writeln!(text, "    {}", phase.warmth);
    }
    let width = phase.lines.iter().map(|line| line.name.len()).max().unwrap_or(0);
    for line in &phase.lines {
        let _ = writeln!(text, "    {:<width$}  {}{}", line.name, line.amount, line.tail);
    }
    text.push_str("  }\n");
}

fn steps_text(text: &mut String, steps: &[String]) {
    if steps.is_empty() {
        return;
    }
    text.push_str("  steps {\n");
    for step in steps {
        let _ = writeln!(text, "    \"{step}\"");
    }
    text.push_str("  }\n");
}

/// The steps of a recipe: every line is spoken of once, the water and the pH twice.
fn steps(phases: &[Phase]) -> Vec<String> {
    let mut steps = Vec::new();
    for (at, phase) in phases.iter().enumerate() {
        let weighed = phase.lines.iter().filter(|line| !line.is_adjuster());
        let (gums, others): (Vec<&Line>, Vec<&Line>) = weighed.partition(|line| line.kind == Kind::Thickener);
        let named = listed(&others);
        steps.push(match at {
            0 => format!("Weigh {named}, less the water held back; stir until clear."),
            1 if phase.warmth.is_empty() => format!("Stir in {named}, one by one."),
            1 => format!("Melt {named} together; pour into the water and mix."),
            _ => format!("Below 40 °C stir in {named}."),
        });
        if !gums.is_empty() {
            steps.push(format!("Sprinkle {} over it, whisk, and leave 1 h to swell.", listed(&gums)));
        }
    }
    let adjusters = phases.iter().flat_map(|phase| &phase.lines).filter(|line| line.is_adjuster());
    steps.extend(adjusters.map(|adjuster| format!("Bring to {{pH}} with {{{}}}, a little at a time.", adjuster.name)));
    let top_up = "top up with the rest of {water}.";
    match steps.last_mut() {
        // A cream is left overnight before its last reading; the others are topped up at once.
        Some(last) if phases.len() < 3 => last.push_str(&format!(" Then {top_up}")),
        _ => steps.push(format!("The day after, read the pH again and {top_up}")),
    }
    steps
}

/// `{a}, {b} and {c}`.
fn listed(lines: &[&Line]) -> String {
    let names: Vec<String> = lines.iter().map(|line| format!("{{{}}}", line.name)).collect();
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => names.concat(),
    }
}

fn phase(title: &'static str, warmth: &'static str, lines: Vec<Line>) -> Phase {
    Phase { title, warmth, lines }
}

fn line(material: &Material, amount: String) -> Line {
    Line { name: material.name.clone(), kind: material.kind, amount, tail: String::new() }
}

fn plain(name: &str, kind: Kind, amount: &str) -> Line {
    Line { name: name.to_string(), kind, amount: amount.to_string(), tail: String::new() }
}

/// Hundredths of a percent, without the noughts that say nothing.
fn percent(hundredths: u32) -> String {
    let text = format!("{}.{:02}", hundredths / 100, hundredths % 100);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
