//! What could stand in, by what it does: of thirty-six materials of twelve kinds, whether the first three are what a
//! formulator would name.
//!
//! Each expectation was written down with its reason before the program was asked. No list is from a book: they are
//! common practice, no source. Another strength of the same active is passed over, since that is the same thing in
//! another bottle.

use stillroom::lookup::{StandIn, stand_ins};
use stillroom::shelf::{ShelfKind, find_anywhere};

fn nearest(name: &str) -> Vec<StandIn> {
    let entry = find_anywhere(ShelfKind::Material, name).unwrap_or_else(|| panic!("no material {name}"));
    stand_ins(entry).nearest
}

/// The first three that are something else than the same active in another bottle.
fn first_three(name: &str) -> Vec<&'static str> {
    nearest(name).into_iter().filter(|one| !one.same_active).map(|one| one.name).take(3).collect()
}

/// A material, what a formulator would name for it, and why.
struct Expected {
    material: &'static str,
    named: &'static [&'static str],
    because: &'static str,
}

const fn expect(material: &'static str, named: &'static [&'static str], because: &'static str) -> Expected {
    Expected { material, named, because }
}

/// Fats, oils and esters, waxes and fatty alcohols.
const OF_THE_OIL: &[Expected] = &[
    expect(
        "shea-butter",
        &[
            "mango-butter",
            "cocoa-butter",
            "kokum-butter",
            "illipe-butter",
            "coconut-oil",
            "babassu-oil",
            "palm-kernel-oil",
        ],
        "another fat that is solid in the jar and melts on the skin; no petrolatum, no silicone",
    ),
    expect(
        "cocoa-butter",
        &["mango-butter", "shea-butter", "kokum-butter", "illipe-butter", "coconut-oil"],
        "the hard butters, for the same snap and melt",
    ),
    expect(
        "petrolatum",
        &[
            "lanolin",
            "mineral-oil",
            "shea-butter",
            "mango-butter",
            "cocoa-butter",
            "castor-oil",
            "paraffin",
            "kokum-butter",
        ],
        "what keeps water in the skin: lanolin first, mineral oil, then the butters",
    ),
    expect(
        "sweet-almond-oil",
        &[
            "apricot-kernel-oil",
            "sunflower-oil",
            "grapeseed-oil",
            "rapeseed-oil",
            "soybean-oil",
            "rice-bran-oil",
            "hazelnut-oil",
            "macadamia-oil",
            "camellia-oil",
            "marula-oil",
        ],
        "a light vegetable oil, liquid in the cold; no ester and no silicone",
    ),
    expect(
        "jojoba-oil",
        &[
            "squalane",
            "meadowfoam-oil",
            "octyldodecanol",
            "decyl-oleate",
            "coco-caprylate-caprate",
            "isopropyl-palmitate",
        ],
        "a liquid that does not go rancid and glides: squalane, meadowfoam, liquid esters",
    ),
    expect(
        "caprylic-capric-triglyceride",
        &[
            "octyldodecanol",
            "ethylhexyl-palmitate",
            "decyl-oleate",
            "coco-caprylate-caprate",
            "c12-15-alkyl-benzoate",
            "squalane",
            "isopropyl-myristate",
            "isoamyl-laurate",
        ],
        "a stable colourless ester that dissolves what is oil-soluble",
    ),
    expect(
        "dimethicone",
        &[
            "coco-caprylate-caprate",
            "isoamyl-laurate",
            "dicaprylyl-carbonate",
            "isopropyl-palmitate",
            "isopropyl-myristate",
            "c12-15-alkyl-benzoate",
            "cyclopentasiloxane",
            "cyclohexasiloxane",
            "dimethiconol",
            "coconut-alkanes",
            "isododecane",
            "isohexadecane",
            "c13-15-alkane",
            "undecane-tridecane",
            "coco-caprylate",
            "c15-19-alkane",
            "dimethicone-5",
        ],
        "what slips and leaves little behind: light esters, volatile silicones, light alkanes",
    ),
    expect(
        "beeswax",
        &[
            "candelilla-wax",
            "carnauba-wax",
            "rice-bran-wax",
            "hydrogenated-castor-oil",
            "paraffin",
            "sunflower-wax",
            "ozokerite",
            "microcrystalline-wax",
        ],
        "another wax, the one that melts nearest first: candelilla is what makes a balm vegan",
    ),
    expect(
        "cetearyl-alcohol",
        &["cetyl-alcohol", "stearyl-alcohol", "behenyl-alcohol", "myristyl-alcohol", "stearic-acid"],
        "a fatty alcohol of another length does the same to a cream",
    ),
];

/// Humectants, thickeners, emulsifiers and surfactants.
const OF_THE_WATER: &[Expected] = &[
    expect(
        "glycerin",
        &["propanediol", "butylene-glycol", "propylene-glycol", "sorbitol", "sorbitol-70", "pentylene-glycol"],
        "a glycol that draws water and dissolves what glycerin dissolves",
    ),
    expect(
        "sorbitol-70",
        &["glycerin", "xylitol", "glucose", "erythritol", "trehalose", "hydroxyethyl-urea-50", "maltitol"],
        "another sugar or sugar alcohol, or glycerin",
    ),
    expect(
        "sodium-pca-50",
        &["sodium-lactate-60", "urea", "betaine", "hydroxyethyl-urea-50", "glycerin"],
        "the other moisture factors of the skin",
    ),
    expect(
        "xanthan-gum",
        &[
            "sclerotium-gum",
            "cellulose-gum",
            "hydroxyethylcellulose",
            "carrageenan",
            "gellan-gum",
            "magnesium-aluminum-silicate",
            "dehydroxanthan-gum",
            "guar-gum",
        ],
        "a gum that holds up what would sink and bears salt: sclerotium first; no carbomer, which salt collapses",
    ),
    expect(
        "carbomer",
        &[
            "acrylates-crosspolymer",
            "sodium-polyacrylate",
            "xanthan-gum",
            "hydroxyethyl-acrylate-copolymer",
            "ammonium-acryloyldimethyltaurate-copolymer",
            "polyacrylate-crosspolymer-6",
            "sclerotium-gum",
            "hydroxyethyl-acrylate-taurate-copolymer-emulsion",
            "polyacrylamide-emulsion",
            "sodium-acrylate-taurate-copolymer-emulsion",
        ],
        "another polyacrylate that makes a gel, else a gum that holds things up",
    ),
    expect(
        "hydroxyethylcellulose",
        &[
            "hydroxypropyl-methylcellulose",
            "cellulose-gum",
            "hydroxypropyl-guar",
            "guar-gum",
            "sclerotium-gum",
            "konjac-gum",
            "tara-gum",
            "hydroxypropyl-starch-phosphate",
        ],
        "another ether of cellulose first; then non-ionic gums that swell in the cold",
    ),
    expect(
        "polysorbate-60",
        &["ceteareth-20", "steareth-20", "polysorbate-80", "ceteth-20", "peg-40-stearate"],
        "a non-ionic emulsifier of an HLB near 15",
    ),
    expect(
        "polysorbate-20",
        &[
            "oleth-20",
            "peg-40-hydrogenated-castor-oil",
            "polyglyceryl-10-laurate",
            "caprylyl-capryl-glucoside",
            "polysorbate-80",
        ],
        "what makes scent clear in water",
    ),
    expect(
        "sorbitan-stearate",
        &[
            "glyceryl-stearate",
            "steareth-2",
            "sorbitan-oleate",
            "sorbitan-laurate",
            "glycol-stearate",
            "glyceryl-stearate-se",
            "sorbitan-isostearate",
        ],
        "a co-emulsifier of low HLB",
    ),
    expect(
        "emulsifying-wax",
        &[
            "cetearyl-alcohol-and-glucoside",
            "cetearyl-olivate-blend",
            "glyceryl-stearate-se",
            "glyceryl-stearate-citrate",
            "cetearyl-alcohol-and-ceteareth-20",
            "glyceryl-stearate-and-peg-100-stearate",
            "cetearyl-alcohol-ceteareth-20",
            "glyceryl-stearate-peg-100-stearate",
        ],
        "another whole emulsifier that thickens too and needs no partner",
    ),
    expect(
        "sodium-laureth-sulfate-70",
        &[
            "sodium-c14-16-olefin-sulfonate",
            "sodium-coco-sulfate",
            "sodium-lauryl-sulfate",
            "sodium-lauryl-sulfate-30",
            "disodium-laureth-sulfosuccinate",
            "sodium-cocoyl-isethionate",
            "sodium-lauroyl-sarcosinate",
        ],
        "a strong anionic foamer; the milder ones after",
    ),
    expect(
        "decyl-glucoside",
        &["coco-glucoside", "lauryl-glucoside", "caprylyl-capryl-glucoside"],
        "another glucoside: as mild, without charge",
    ),
    expect(
        "cocamidopropyl-betaine",
        &[
            "cocamidopropyl-hydroxysultaine",
            "coco-betaine",
            "sodium-cocoamphoacetate",
            "lauramine-oxide",
            "coco-glucoside",
            "decyl-glucoside",
            "coco-betaine-30",
            "lauramine-oxide-30",
        ],
        "another amphoteric that makes a wash milder and thicker, else a mild one without charge",
    ),
];

/// Preservatives, chelators, antioxidants, actives, acids, powders, filters, adjusters.
const OF_THE_SMALL: &[Expected] = &[
    expect(
        "phenoxyethanol-ethylhexylglycerin",
        &[
            "phenoxyethanol",
            "benzyl-alcohol-dehydroacetic-acid",
            "methylparaben-propylparaben",
            "benzyl-alcohol",
            "phenoxyethanol-caprylyl-glycol",
            "benzyl-alcohol-salicylic-sorbic-acid",
            "chlorphenesin",
            "caprylhydroxamic-acid",
        ],
        "a broad preservative for either phase at this pH; those that free formaldehyde come later",
    ),
    expect(
        "potassium-sorbate",
        &[
            "sorbic-acid",
            "sodium-benzoate",
            "sodium-dehydroacetate",
            "dehydroacetic-acid",
            "benzoate-sorbate",
            "sodium-benzoate-potassium-sorbate",
            "sodium-anisate",
            "p-anisic-acid",
            "sodium-benzoate-potassium-sorbate-solution",
        ],
        "the acid itself, else another organic acid's salt for a low pH",
    ),
    expect(
        "disodium-edta",
        &[
            "tetrasodium-edta",
            "sodium-phytate",
            "tetrasodium-glutamate-diacetate-47",
            "trisodium-ethylenediamine-disuccinate-37",
            "sodium-gluconate",
        ],
        "the other salt of EDTA, else the chelators that degrade",
    ),
    expect("tocopherol", &["rosemary-antioxidant", "ascorbyl-palmitate", "bht"], "the other antioxidants for oils"),
    expect(
        "niacinamide",
        &[
            "tranexamic-acid",
            "licorice-extract",
            "alpha-arbutin",
            "azelaic-acid",
            "n-acetyl-glucosamine",
            "acetyl-glucosamine",
            "kojic-acid",
            "magnesium-ascorbyl-phosphate",
            "ascorbyl-glucoside",
        ],
        "another that evens the tone and is gentle; never hydrogen peroxide, nor caffeine, which does another thing",
    ),
    expect(
        "ascorbic-acid",
        &[
            "ethyl-ascorbic-acid",
            "ascorbyl-glucoside",
            "sodium-ascorbyl-phosphate",
            "magnesium-ascorbyl-phosphate",
            "tetrahexyldecyl-ascorbate",
            "sodium-ascorbate",
        ],
        "its derivatives, at a kinder pH",
    ),
    expect(
        "retinol-10",
        &[
            "bakuchiol",
            "retinyl-palmitate",
            "retinal",
            "retinal-10",
            "retinaldehyde",
            "retinyl-retinoate",
            "copper-tripeptide-1-solution",
        ],
        "another retinoid or bakuchiol, else a peptide that renews",
    ),
    expect(
        "panthenol",
        &[
            "betaine",
            "allantoin",
            "inositol",
            "ectoin",
            "glycine",
            "honey",
            "aloe-powder-200",
            "hydrolyzed-oat-protein-20",
        ],
        "what moistens and soothes",
    ),
    expect(
        "salicylic-acid",
        &[
            "mandelic-acid",
            "azelaic-acid",
            "succinic-acid",
            "glycolic-acid",
            "lactic-acid-80",
            "gluconolactone",
            "sulfur",
        ],
        "another acid for skin with blemishes, or sulfur, which loosens horny skin there too",
    ),
    expect(
        "lactic-acid-80",
        &["glycolic-acid", "glycolic-acid-70", "mandelic-acid", "malic-acid", "gluconolactone", "lactobionic-acid"],
        "another hydroxy acid",
    ),
    expect(
        "kaolin",
        &[
            "fullers-earth",
            "green-clay",
            "montmorillonite",
            "bentonite",
            "rhassoul-clay",
            "pink-clay",
            "rose-clay",
            "white-clay",
            "red-clay",
            "yellow-clay",
            "french-green-clay",
            "ghassoul",
        ],
        "another clay",
    ),
    expect(
        "talc",
        &[
            "corn-starch",
            "arrowroot-powder",
            "tapioca-starch",
            "kaolin",
            "silica",
            "rice-starch",
            "boron-nitride",
            "magnesium-stearate",
            "potato-starch",
            "aluminum-starch-octenylsuccinate",
        ],
        "a powder that takes up moisture and glides: starches",
    ),
    expect(
        "butyl-methoxydibenzoylmethane",
        &[
            "diethylamino-hydroxybenzoyl-hexyl-benzoate",
            "bis-ethylhexyloxyphenol-methoxyphenyl-triazine",
            "zinc-oxide",
            "zinc-oxide-nano",
        ],
        "another filter for UVA; octisalate and octocrylene screen UVB",
    ),
    expect(
        "sodium-hydroxide-10",
        &[
            "potassium-hydroxide-10",
            "potassium-hydroxide",
            "arginine",
            "triethanolamine",
            "triethanolamine-85",
            "tromethamine",
            "aminomethyl-propanol-95",
        ],
        "another lye, else an amine",
    ),
    expect(
        "citric-acid-50",
        &[
            "lactic-acid-20",
            "lactic-acid-10",
            "acetic-acid-10",
            "acetic-acid-5",
            "acetic-acid-30",
            "malic-acid",
            "tartaric-acid",
        ],
        "another acid of food that brings the pH down",
    ),
    expect(
        "lavender-oil",
        &[
            "clary-sage-oil",
            "petitgrain-oil",
            "neroli-oil",
            "bergamot-oil",
            "linalool",
            "linalyl-acetate",
            "lavandin-oil",
        ],
        "what smells of linalool and its acetate as it does",
    ),
    expect(
        "rose-hydrosol",
        &["orange-flower-hydrosol", "lavender-hydrosol", "chamomile-hydrosol", "cornflower-hydrosol", "cucumber-water"],
        "another flower water",
    ),
];

#[test]
fn the_first_three_are_what_a_formulator_would_name() {
    let mut wrong = Vec::new();
    for Expected { material, named, because } in [OF_THE_OIL, OF_THE_WATER, OF_THE_SMALL].into_iter().flatten() {
        let found = first_three(material);
        let strange: Vec<_> = found.iter().filter(|name| !named.contains(name)).collect();
        if !strange.is_empty() || found.is_empty() {
            wrong.push(format!("{material}: {found:?}, of which not {strange:?}: wanted {because}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What is said in a word of the trade that no list above can say.
#[test]
fn the_very_first_is_the_one_that_comes_to_mind() {
    for (material, first) in [
        ("xanthan-gum", "sclerotium-gum"),
        ("cocamidopropyl-betaine", "cocamidopropyl-hydroxysultaine"),
        ("hydroxyethylcellulose", "hydroxypropyl-methylcellulose"),
        ("beeswax", "candelilla-wax"),
        ("jojoba-oil", "squalane"),
        ("disodium-edta", "tetrasodium-edta"),
        ("butyl-methoxydibenzoylmethane", "diethylamino-hydroxybenzoyl-hexyl-benzoate"),
        ("sodium-hydroxide-10", "potassium-hydroxide-10"),
    ] {
        assert_eq!(first_three(material).first(), Some(&first), "{material}");
    }
}

#[test]
fn nothing_caustic_or_oxidising_stands_in_for_something_mild() {
    let all = |name: &str| {
        let entry = find_anywhere(ShelfKind::Material, name).unwrap();
        stillroom::lookup::all_stand_ins(entry)
    };
    for (mild, harsh) in [
        ("niacinamide", &["hydrogen-peroxide-3", "hydrogen-peroxide-35", "benzoyl-peroxide-75"] as &[_]),
        ("salicylic-acid", &["benzoyl-peroxide-75", "hydrogen-peroxide-3"]),
        ("azelaic-acid", &["benzoyl-peroxide-75"]),
        ("tromethamine", &["sodium-hydroxide", "sodium-hydroxide-10", "potassium-hydroxide", "potassium-hydroxide-10"]),
        ("arginine", &["sodium-hydroxide-40"]),
        ("citric-acid", &["phosphoric-acid-85"]),
    ] {
        let found = all(mild);
        assert!(harsh.iter().all(|name| !found.contains(name)), "{mild}: {found:?}");
    }
    // The other way round they may: a lye for a lye, and an amine for a lye.
    assert!(all("sodium-hydroxide-10").contains(&"tromethamine"));
    assert!(all("phosphoric-acid-85").contains(&"citric-acid-50"));
}

#[test]
fn what_shares_no_doing_does_not_stand_in() {
    let shea: Vec<_> = nearest("shea-butter").into_iter().map(|one| one.name).collect();
    let at = |name: &str| shea.iter().position(|one| *one == name);
    let cocoa = at("cocoa-butter").expect("cocoa butter stands in for shea butter");
    assert!(at("petrolatum").is_none_or(|at| at > cocoa) && at("dimethicone").is_none_or(|at| at > cocoa), "{shea:?}");
    assert!(!nearest("niacinamide").iter().any(|one| one.name == "caffeine"));
    assert!(!nearest("sodium-chloride").iter().any(|one| one.name == "xanthan-gum"), "salt thickens washes alone");
    // What there is none of is said with no stand-in, not with a bad one.
    assert!(nearest("dihydroxyacetone").is_empty());
}

/// The reason opens with what both do, and then has the facts that placed it.
#[test]
fn each_says_why() {
    let why = |name: &str, other: &str| nearest(name).into_iter().find(|one| one.name == other).unwrap().why;
    assert_eq!(
        why("shea-butter", "cocoa-butter"),
        "softens, hardens and occludes too; melts at 31 °C to 35 °C, beside 31 °C to 38 °C"
    );
    assert_eq!(why("polysorbate-60", "ceteareth-20"), "emulsifies too; HLB 15.2, beside 14.9");
    assert_eq!(
        why("xanthan-gum", "hydroxyethylcellulose"),
        "thickens too (not: suspends, steadies); without charge, beside anionic; works in pH 3 to 11, beside 2 to 12"
    );
    for name in ["shea-butter", "niacinamide", "xanthan-gum", "phenoxyethanol", "glycerin"] {
        for one in nearest(name) {
            assert!(!one.why.is_empty() && !one.why.ends_with('.') && one.why.len() < 200, "{name}: {}", one.why);
        }
    }
}
