//! The home materials of the made-up workspace, and the substances they are made of.
//!
//! The figures give the compiler something to work on; they are no advice on what to make.

use std::fmt::Write as _;

/// What a material is for: the recipes ask for materials by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Water,
    Humectant,
    Thickener,
    Acid,
    /// What brings the pH down.
    PhDown,
    /// What brings the pH up.
    PhUp,
    Active,
    Extract,
    Surfactant,
    Emulsifier,
    Oil,
    Wax,
    Preservative,
    Antioxidant,
    Aromatic,
}

/// A material as the recipes see it.
#[derive(Debug)]
pub struct Material {
    /// Its name in a line.
    pub name: String,
    /// The substance that its line can be reckoned by.
    pub substance: &'static str,
    /// Whether it is a solution, so that `active` and `of` mean less than the whole.
    pub solution: bool,
    /// What it is for.
    pub kind: Kind,
    /// The least and the most of a dose of it, in hundredths of a percent: of the active, where it is a solution.
    pub dose: (u32, u32),
}

/// Materials that are alike in all but their substance.
struct Family {
    kind: Kind,
    role: &'static str,
    phase: &'static str,
    /// The range of `use`; none where it is empty.
    usage: &'static str,
    dose: (u32, u32),
    /// The strengths it is bought in, in percent; as it is, where there are none.
    strengths: &'static [u32],
    /// What the rest of a solution is.
    carrier: &'static str,
    /// Further fields of each material.
    fields: &'static [&'static str],
    /// The substances: name, INCI name, and what the pH model would know of it.
    substances: &'static [(&'static str, &'static str, &'static str)],
}

const FAMILIES: &[Family] = &[
    Family {
        kind: Kind::Water,
        role: "solvent",
        phase: "water",
        usage: "",
        dose: (500, 2000),
        strengths: &[],
        carrier: "",
        fields: &["price     0.40 EUR per 1 kg"],
        substances: &[
            ("water", "Aqua", "molar-mass  18.015 g/mol"),
            ("rose-water", "Rosa Damascena Flower Water", "water       99.9 %"),
            ("lavender-water", "Lavandula Angustifolia Flower Water", "water       99.9 %"),
            ("orange-flower-water", "Citrus Aurantium Amara Flower Water", "water       99.9 %"),
            ("witch-hazel-water", "Hamamelis Virginiana Leaf Water", "water       99.8 %"),
            ("cornflower-water", "Centaurea Cyanus Flower Water", "water       99.9 %"),
        ],
    },
    Family {
        kind: Kind::Humectant,
        role: "humectant",
        phase: "water",
        usage: "up to 12 %",
        dose: (150, 450),
        strengths: &[],
        carrier: "",
        fields: &["price     6.20 EUR per 1 kg, 26.00 EUR per 5 kg"],
        substances: &[
            ("glycerin", "Glycerin", "molar-mass  92.09 g/mol\n  neutral"),
            ("propanediol", "Propanediol", "molar-mass  76.09 g/mol\n  neutral"),
            ("pentylene-glycol", "Pentylene Glycol", "molar-mass  104.15 g/mol\n  neutral"),
            ("betaine", "Betaine", "molar-mass  117.15 g/mol\n  neutral"),
            ("sorbitol", "Sorbitol", "molar-mass  182.17 g/mol\n  neutral"),
            ("xylitol", "Xylitol", "molar-mass  152.15 g/mol\n  neutral"),
            ("urea", "Urea", "molar-mass  60.06 g/mol\n  base        pKa 0.1"),
            ("erythritol", "Erythritol", "molar-mass  122.12 g/mol\n  neutral"),
            ("trehalose", "Trehalose", "molar-mass  342.3 g/mol\n  neutral"),
            ("inositol", "Inositol", "molar-mass  180.16 g/mol\n  neutral"),
        ],
    },
    Family {
        kind: Kind::Thickener,
        role: "thickener",
        phase: "water",
        usage: "0.1 % to 2 %",
        dose: (20, 70),
        strengths: &[],
        carrier: "",
        fields: &["hydrates  1 h"],
        substances: &[
            ("xanthan-gum", "Xanthan Gum", "neutral"),
            ("sclerotium-gum", "Sclerotium Gum", "neutral"),
            ("hydroxyethylcellulose", "Hydroxyethylcellulose", "neutral"),
            ("guar-gum", "Cyamopsis Tetragonoloba Gum", "neutral"),
            ("konjac-gum", "Amorphophallus Konjac Root Powder", "neutral"),
            ("cellulose-gum", "Cellulose Gum", "neutral"),
            ("tara-gum", "Caesalpinia Spinosa Gum", "neutral"),
            ("acacia-gum", "Acacia Senegal Gum", "neutral"),
        ],
    },
    Family {
        kind: Kind::Acid,
        role: "exfoliant",
        phase: "water",
        usage: "up to 12 % active",
        dose: (100, 300),
        strengths: &[50, 70],
        carrier: "water",
        fields: &["works in  pH 3 to 5", "caution   \"Corrosive as supplied: gloves and eye protection.\""],
        substances: &[
            ("lactic-acid", "Lactic Acid", "molar-mass  90.08 g/mol\n  acid        pKa 3.86"),
            ("glycolic-acid", "Glycolic Acid", "molar-mass  76.05 g/mol\n  acid        pKa 3.83"),
            ("malic-acid", "Malic Acid", "molar-mass  134.09 g/mol\n  acid        pKa 3.4, 5.11"),
            ("tartaric-acid", "Tartaric Acid", "molar-mass  150.09 g/mol\n  acid        pKa 3.04, 4.37"),
            ("mandelic-acid", "Mandelic Acid", "molar-mass  152.15 g/mol\n  acid        pKa 3.41"),
            ("gluconic-acid", "Gluconic Acid", "molar-mass  196.16 g/mol\n  acid        pKa 3.7"),
        ],
    },
    Family {
        kind: Kind::PhDown,
        role: "ph-adjuster",
        phase: "water",
        usage: "",
        dose: (10, 50),
        strengths: &[5, 10],
        carrier: "water",
        fields: &["caution   \"Irritates the eyes: wear eye protection.\""],
        substances: &[
            ("citric-acid", "Citric Acid", "molar-mass  192.12 g/mol\n  acid        pKa 3.13, 4.76, 6.4"),
            ("acetic-acid", "Acetic Acid", "molar-mass  60.05 g/mol\n  acid        pKa 4.76"),
        ],
    },
    Family {
        kind: Kind::PhUp,
        role: "ph-adjuster",
        phase: "water",
        usage: "",
        dose: (10, 50),
        strengths: &[20, 30],
        carrier: "water",
        fields: &["caution   \"Corrosive: gloves and eye protection.\""],
        substances: &[
            ("sodium-hydroxide", "Sodium Hydroxide", "molar-mass  39.997 g/mol\n  strong base"),
            ("potassium-hydroxide", "Potassium Hydroxide", "molar-mass  56.106 g/mol\n  strong base"),
            ("tromethamine", "Tromethamine", "molar-mass  121.14 g/mol\n  base        pKa 8.07"),
        ],
    },
    Family {
        kind: Kind::Active,
        role: "active",
        phase: "water",
        usage: "up to 6 % active",
        dose: (50, 300),
        strengths: &[25],
        carrier: "water",
        fields: &["stays below 80 °C", "price     48.00 EUR per 500 g"],
        substances: &[
            ("niacinamide", "Niacinamide", "molar-mass  122.12 g/mol\n  base        pKa 3.35"),
            ("panthenol", "Panthenol", "molar-mass  205.25 g/mol\n  neutral"),
            ("caffeine", "Caffeine", "molar-mass  194.19 g/mol\n  neutral"),
            ("ectoin", "Ectoin", "molar-mass  142.16 g/mol\n  neutral"),
            ("carnitine", "Carnitine", "molar-mass  161.2 g/mol\n  ampholyte   pKa 3.8 charge +1"),
            ("taurine", "Taurine", "molar-mass  125.15 g/mol\n  ampholyte   pKa 1.5, 9.06 charge +1"),
            ("oat-beta-glucan", "Beta-Glucan", "neutral"),
            ("silk-protein", "Hydrolyzed Silk", "neutral"),
        ],
    },
    Family {
        kind: Kind::Extract,
        role: "conditioning",
        phase: "water",
        usage: "up to 8 %",
        dose: (40, 120),
        strengths: &[20],
        carrier: "glycerin",
        fields: &["keeps     18 months"],
        substances: &[
            ("oat-extract", "Avena Sativa Kernel Extract", "neutral"),
            ("marigold-extract", "Calendula Officinalis Flower Extract", "neutral"),
            ("chamomile-extract", "Chamomilla Recutita Flower Extract", "neutral"),
            ("nettle-extract", "Urtica Dioica Leaf Extract", "neutral"),
            ("cucumber-extract", "Cucumis Sativus Fruit Extract", "neutral"),
            ("mallow-extract", "Malva Sylvestris Leaf Extract", "neutral"),
            ("liquorice-extract", "Glycyrrhiza Glabra Root Extract", "neutral"),
            ("horsetail-extract", "Equisetum Arvense Extract", "neutral"),
            ("ribwort-extract", "Plantago Lanceolata Leaf Extract", "neutral"),
            ("comfrey-extract", "Symphytum Officinale Leaf Extract", "neutral"),
        ],
    },
    Family {
        kind: Kind::Surfactant,
        role: "surfactant",
        phase: "water",
        usage: "up to 20 % active",
        dose: (200, 500),
        strengths: &[50],
        carrier: "water",
        fields: &["price     7.90 EUR per 1 kg"],
        substances: &[
            ("decyl-glucoside", "Decyl Glucoside", "neutral"),
            ("coco-glucoside", "Coco-Glucoside", "neutral"),
            ("lauryl-glucoside", "Lauryl Glucoside", "neutral"),
            ("caprylyl-capryl-glucoside", "Caprylyl/Capryl Glucoside", "neutral"),
        ],
    },
    Family {
        kind: Kind::Emulsifier,
        role: "emulsifier",
        phase: "oil",
        usage: "1 % to 8 %",
        dose: (250, 500),
        strengths: &[],
        carrier: "",
        fields: &["needs     70 °C", "hlb       7"],
        substances: &[
            ("glyceryl-stearate", "Glyceryl Stearate", "neutral"),
            ("glyceryl-stearate-citrate", "Glyceryl Stearate Citrate", "neutral"),
            ("cetearyl-glucoside", "Cetearyl Glucoside", "neutral"),
            ("cetearyl-olivate", "Cetearyl Olivate", "neutral"),
            ("sorbitan-olivate", "Sorbitan Olivate", "neutral"),
            ("sucrose-stearate", "Sucrose Stearate", "neutral"),
            ("lecithin", "Lecithin", "neutral"),
        ],
    },
    Family {
        kind: Kind::Oil,
        role: "emollient",
        phase: "oil",
        usage: "",
        dose: (200, 700),
        strengths: &[],
        carrier: "",
        fields: &["required-hlb 7", "keeps     12 months", "price     14.50 EUR per 1 kg, 61.00 EUR per 5 kg"],
        substances: &[
            ("almond-oil", "Prunus Amygdalus Dulcis Oil", "neutral"),
            ("apricot-oil", "Prunus Armeniaca Kernel Oil", "neutral"),
            ("argan-oil", "Argania Spinosa Kernel Oil", "neutral"),
            ("avocado-oil", "Persea Gratissima Oil", "neutral"),
            ("borage-oil", "Borago Officinalis Seed Oil", "neutral"),
            ("camellia-oil", "Camellia Oleifera Seed Oil", "neutral"),
            ("castor-oil", "Ricinus Communis Seed Oil", "neutral"),
            ("evening-primrose-oil", "Oenothera Biennis Oil", "neutral"),
            ("grapeseed-oil", "Vitis Vinifera Seed Oil", "neutral"),
            ("hazelnut-oil", "Corylus Avellana Seed Oil", "neutral"),
            ("hemp-oil", "Cannabis Sativa Seed Oil", "neutral"),
            ("jojoba-oil", "Simmondsia Chinensis Seed Oil", "neutral"),
            ("linseed-oil", "Linum Usitatissimum Seed Oil", "neutral"),
            ("macadamia-oil", "Macadamia Ternifolia Seed Oil", "neutral"),
            ("meadowfoam-oil", "Limnanthes Alba Seed Oil", "neutral"),
            ("olive-oil", "Olea Europaea Fruit Oil", "neutral"),
            ("plum-kernel-oil", "Prunus Domestica Seed Oil", "neutral"),
            ("raspberry-seed-oil", "Rubus Idaeus Seed Oil", "neutral"),
            ("rice-bran-oil", "Oryza Sativa Bran Oil", "neutral"),
            ("rosehip-oil", "Rosa Canina Seed Oil", "neutral"),
            ("safflower-oil", "Carthamus Tinctorius Seed Oil", "neutral"),
            ("sesame-oil", "Sesamum Indicum Seed Oil", "neutral"),
            ("sunflower-oil", "Helianthus Annuus Seed Oil", "neutral"),
            ("walnut-oil", "Juglans Regia Seed Oil", "neutral"),
        ],
    },
    Family {
        kind: Kind::Wax,
        role: "emollient",
        phase: "oil",
        usage: "up to 20 %",
        dose: (100, 300),
        strengths: &[],
        carrier: "",
        fields: &["needs     65 °C"],
        substances: &[
            ("beeswax", "Cera Alba", "neutral"),
            ("candelilla-wax", "Euphorbia Cerifera Cera", "neutral"),
            ("rice-bran-wax", "Oryza Sativa Bran Cera", "neutral"),
            ("cetyl-alcohol", "Cetyl Alcohol", "neutral"),
            ("cetearyl-alcohol", "Cetearyl Alcohol", "neutral"),
            ("cocoa-butter", "Theobroma Cacao Seed Butter", "neutral"),
            ("mango-butter", "Mangifera Indica Seed Butter", "neutral"),
            ("shea-butter", "Butyrospermum Parkii Butter", "neutral"),
        ],
    },
    Family {
        kind: Kind::Preservative,
        role: "preservative",
        phase: "water",
        usage: "0.5 % to 1.4 %",
        dose: (80, 110),
        strengths: &[],
        carrier: "",
        fields: &["works in  pH 3 to 8", "protects against bacteria, yeast, mould", "stays below 80 °C"],
        substances: &[
            ("phenoxyethanol", "Phenoxyethanol", "molar-mass  138.16 g/mol\n  neutral"),
            ("caprylyl-glycol", "Caprylyl Glycol", "molar-mass  146.23 g/mol\n  neutral"),
            ("phenethyl-alcohol", "Phenethyl Alcohol", "molar-mass  122.16 g/mol\n  neutral"),
            ("hydroxyacetophenone", "Hydroxyacetophenone", "molar-mass  136.15 g/mol\n  neutral"),
        ],
    },
    Family {
        kind: Kind::Antioxidant,
        role: "antioxidant",
        phase: "oil",
        usage: "up to 1 %",
        dose: (6, 20),
        strengths: &[],
        carrier: "",
        fields: &["keeps     24 months"],
        substances: &[
            ("tocopherol", "Tocopherol", "molar-mass  430.7 g/mol\n  neutral"),
            ("tocotrienols", "Tocotrienols", "neutral"),
            ("rosemary-extract", "Rosmarinus Officinalis Leaf Extract", "neutral"),
            ("ascorbyl-palmitate", "Ascorbyl Palmitate", "molar-mass  414.5 g/mol\n  neutral"),
        ],
    },
    Family {
        kind: Kind::Aromatic,
        role: "fragrance",
        phase: "either",
        usage: "up to 0.8 %",
        dose: (5, 30),
        strengths: &[],
        carrier: "",
        fields: &["keeps     24 months", "caution   \"Irritates the eyes: wear eye protection.\""],
        substances: &[
            ("lavender-oil", "Lavandula Angustifolia Oil", "fragrance\n  neutral"),
            ("geranium-oil", "Pelargonium Graveolens Oil", "fragrance\n  neutral"),
            ("neroli-oil", "Citrus Aurantium Amara Flower Oil", "fragrance\n  neutral"),
            ("bergamot-oil", "Citrus Aurantium Bergamia Peel Oil", "fragrance\n  neutral"),
            ("cedarwood-oil", "Cedrus Atlantica Bark Oil", "fragrance\n  neutral"),
            ("frankincense-oil", "Boswellia Carterii Oil", "fragrance\n  neutral"),
            ("patchouli-oil", "Pogostemon Cablin Leaf Oil", "fragrance\n  neutral"),
            ("sandalwood-oil", "Santalum Album Oil", "fragrance\n  neutral"),
            ("vetiver-oil", "Vetiveria Zizanoides Root Oil", "fragrance\n  neutral"),
            ("ylang-ylang-oil", "Cananga Odorata Flower Oil", "fragrance\n  neutral"),
        ],
    },
];

impl Family {
    /// The materials of one substance, each with its strength.
    fn strengths_of(&self, substance: &str) -> Vec<(String, Option<u32>)> {
        if self.strengths.is_empty() {
            return vec![(substance.to_string(), None)];
        }
        self.strengths.iter().map(|strength| (format!("{substance}-{strength}"), Some(*strength))).collect()
    }
}

/// Every material.
pub fn materials() -> Vec<Material> {
    let mut all = Vec::new();
    for family in FAMILIES {
        for (substance, _, _) in family.substances {
            for (name, strength) in family.strengths_of(substance) {
                let solution = strength.is_some();
                all.push(Material { name, substance, solution, kind: family.kind, dose: family.dose });
            }
        }
    }
    all
}

/// The file of substances.
pub fn substances_text() -> String {
    let mut text = String::from("# The substances of the house.\n");
    for (name, inci, facts) in FAMILIES.iter().flat_map(|family| family.substances) {
        // Writing to a string cannot fail.
        let _ = write!(text, "\nsubstance {name} {{\n  inci        \"{inci}\"\n  {facts}\n}}\n");
    }
    text
}

/// The file of materials.
pub fn materials_text() -> String {
    let mut text = String::from("# The materials of the house.\n\nuse \"substances.still\"\n");
    for family in FAMILIES {
        for (substance, inci, _) in family.substances {
            for (name, strength) in family.strengths_of(substance) {
                material(&mut text, family, (&name, substance, inci), strength);
            }
        }
    }
    text
}

fn material(text: &mut String, family: &Family, (name, substance, inci): (&str, &str, &str), strength: Option<u32>) {
    let mut fields = Vec::new();
    match strength {
        Some(strength) => {
            fields.push(format!("name      \"{inci}, {strength} % solution\""));
            fields.push(format!("contains  {substance} {strength} % active, {} remainder", family.carrier));
        }
        None => fields.push(format!("name      \"{inci}\"")),
    }
    fields.push(format!("role      {}", family.role));
    fields.push(format!("phase     {}", family.phase));
    if !family.usage.is_empty() {
        fields.push(format!("use       {}", family.usage));
    }
    fields.extend(family.fields.iter().map(|field| (*field).to_string()));
    fields.push("source    \"supplier's data sheet, 2026\"".to_string());
    let _ = write!(text, "\nmaterial {name} {{\n  {}\n}}\n", fields.join("\n  "));
}
