//! The words by which a product says that it is a medicine, and where that is written. The acts are cited from memory, and
//! the words are common practice, no source.

/// Who says that a product that is said to treat or prevent disease is a medicine.
pub const EU: &str = "Regulation (EC) No 1223/2009, articles 2(1)(a) and 20; Directive 2001/83/EC, article 1(2)";
/// Great Britain's.
pub const UK: &str =
    "Regulation (EC) No 1223/2009 as retained, articles 2 and 20; Human Medicines Regulations 2012, regulation 2";
/// The United States'.
pub const US: &str = "21 U.S.C. 321(g)(1)(B) and (C) (Federal Food, Drug, and Cosmetic Act, section 201(g)(1))";
/// Canada's.
pub const CA: &str = "Food and Drugs Act (R.S.C. 1985, c. F-27), sections 2 and 3";
/// Australia's.
pub const AU: &str = "Therapeutic Goods Act 1989, section 3";

/// Where a sunscreen is a drug.
pub const SUN_US: &str = "21 U.S.C. 321(g)(1); 21 CFR 201.327 and 700.35";
/// In Canada.
pub const SUN_CA: &str = "Food and Drugs Act, section 2; Health Canada, sunscreen monograph";
/// In Australia, but for some cosmetics of SPF 15 and less.
pub const SUN_AU: &str = "Therapeutic Goods (Excluded Goods) Determination 2018";

/// Diseases, as a label names them. A `*` stands for any end of the word. Followed by `prone` it is a kind of skin.
pub const DISEASES: &[&str] = &[
    "eczema",
    "psoriasis",
    "dermatitis",
    "rosacea",
    "ringworm",
    "scabies",
    "shingles",
    "herpes",
    "cold sore*",
    "athlete's foot",
    "nail fungus",
    "infection*",
    "arthriti*",
    "rheumati*",
    "nappy rash",
    "diaper rash",
    "warts",
    "impetigo",
    "cellulitis",
    "melanoma",
    "skin cancer",
    "varicose vein*",
    "haemorrhoid*",
    "hemorrhoid*",
    "ulcer*",
    "migraine*",
];

/// What stands for a disease only where something is done about it.
pub const COMPLAINTS: &[&str] = &[
    "acne",
    "pain",
    "pains",
    "wound",
    "wounds",
    "cut",
    "cuts",
    "burn",
    "burns",
    "bruise*",
    "inflammation*",
    "fungus",
    "fungi",
    "bacteria",
    "virus",
    "viruses",
    "germs",
    "hair loss",
    "bites",
    "sunburn",
    "itch",
    "itching",
    "disease*",
    "insomnia",
];

/// What is done about it.
pub const DOES: &[&str] = &[
    "cure*",
    "curing",
    "treat",
    "treats",
    "treated",
    "treating",
    "treatment*",
    "heal",
    "heals",
    "healed",
    "healing",
    "remedy",
    "remedies",
    "relieve*",
    "relieving",
    "relief",
    "kill",
    "kills",
    "killing",
    "fight*",
    "prevent*",
    "combat*",
    "stops",
    "clears",
    "eliminat*",
    "eradicat*",
];

/// Words that say it by themselves.
pub const ALONE: &[&str] = &[
    "heals",
    "healing",
    "anti-inflammatory",
    "antiinflammatory",
    "antifungal",
    "anti-fungal",
    "antiviral",
    "anti-viral",
    "antibiotic",
    "analgesic",
    "painkiller",
    "painkilling",
    "antiseptic",
    "hair regrowth",
    "regrows hair",
];

/// What makes an ordinary word of one of those: clay that is called healing, a herb.
pub const ORDINARY_AFTER: &[&str] =
    &["clay", "clays", "earth", "herb", "herbs", "stone", "stones", "crystal", "crystals"];

/// What says that it does not.
pub const NOT: &[&str] =
    &["not", "no", "never", "cannot", "without", "nor", "neither", "isn't", "doesn't", "don't", "won't"];

/// What makes advice of a sentence.
pub const ADVICE: &[&str] =
    &["if", "avoid", "away", "consult", "doctor", "physician", "stop", "discontinue", "unless", "seek"];

/// What makes a drug of a product in the United States where its name or function says it, each with a monograph of its own.
pub const US_DRUGS: &[&str] = &[
    "acne",
    "anti-acne",
    "antiacne",
    "dandruff",
    "anti-dandruff",
    "antidandruff",
    "antiperspirant*",
    "anti-perspirant*",
    "anticavity",
    "anti-cavity",
    "hand sanitizer",
    "hand sanitiser",
    "skin bleaching",
    "skin lightening",
    "diaper rash",
    "hair growth",
];
/// Where these monographs stand.
pub const DRUGS_US: &str =
    "21 U.S.C. 321(g)(1) and 355h (Federal Food, Drug, and Cosmetic Act, sections 201(g)(1) and 505G)";

/// A sun claim.
pub const SUN: &[&str] = &[
    "spf*",
    "sunscreen*",
    "sun screen",
    "sunblock*",
    "sun block",
    "sun cream",
    "sun lotion",
    "sun milk",
    "suncream",
    "sun protection",
    "sun protecting",
    "uv protection",
    "uva protection",
    "uvb protection",
    "uva uvb",
    "broad spectrum",
    "broad-spectrum",
    "protects from the sun",
    "protects against the sun",
];

/// Before a word for sun, in a name: it is for another time.
pub const SUN_OTHER_IN_NAME: &[&str] = &["after", "under", "before", "over"];

/// Before a word for sun, in a direction or a warning: something else is to be used with it.
pub const SUN_OTHER: &[&str] =
    &["use", "wear", "apply", "with", "after", "a", "an", "your", "other", "under", "over", "least", "before"];
