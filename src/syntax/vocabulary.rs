//! The closed lists of words in the language: roles, products, markets, levels and the like.

/// A list of words, each a value of its own, with the word it is written as.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident, $what:literal { $(#[doc = $meaning:literal] $variant:ident = $word:literal,)+ }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum $name { $(#[doc = $meaning] $variant,)+ }

        impl $name {
            /// What a word of this list is, in trade words.
            pub const WHAT: &'static str = $what;
            /// All words of the list.
            pub const WORDS: &'static [&'static str] = &[$($word,)+];
            /// Each word of the list with what it says, in a sentence.
            pub const MEANINGS: &'static [(&'static str, &'static str)] = &[$(($word, $meaning.trim_ascii()),)+];

            /// The value a word stands for.
            #[must_use]
            pub fn from_word(word: &str) -> Option<$name> {
                match word { $($word => Some($name::$variant),)+ _ => None }
            }

            /// The word as it is written.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $($name::$variant => $word,)+ }
            }
        }
    };
}

words! {
    /// What a raw material is there for.
    Role, "role" {
        /// Keeps microbes down.
        Preservative = "preservative",
        /// Holds water.
        Humectant = "humectant",
        /// Softens.
        Emollient = "emollient",
        /// Joins oil and water.
        Emulsifier = "emulsifier",
        /// Carries oil into water.
        Solubiliser = "solubiliser",
        /// Cleanses.
        Surfactant = "surfactant",
        /// Thickens.
        Thickener = "thickener",
        /// Binds metals.
        Chelator = "chelator",
        /// Slows rancidity.
        Antioxidant = "antioxidant",
        /// Loosens dead skin.
        Exfoliant = "exfoliant",
        /// What the product is made for.
        Active = "active",
        /// Dissolves.
        Solvent = "solvent",
        /// Scents.
        Fragrance = "fragrance",
        /// Gives a taste.
        Flavour = "flavour",
        /// Colours.
        Colourant = "colourant",
        /// Moves the pH.
        PhAdjuster = "ph-adjuster",
        /// Clouds.
        Opacifier = "opacifier",
        /// Leaves a film.
        FilmFormer = "film-former",
        /// Conditions hair or skin.
        Conditioning = "conditioning",
        /// Rubs.
        Abrasive = "abrasive",
        /// Fills.
        Filler = "filler",
        /// A powder of another use.
        Powder = "powder",
        /// Filters ultraviolet light.
        UvFilter = "uv-filter",
    }
}

words! {
    /// The phase a raw material belongs to.
    MaterialPhase, "phase" {
        /// Into the water.
        Water = "water",
        /// Into the oil.
        Oil = "oil",
        /// Into either.
        Either = "either",
        /// Among the powders.
        Powder = "powder",
    }
}

words! {
    /// What a formula makes, and where on the body it goes.
    Product, "product" {
        /// Stays on.
        LeaveOn = "leave-on",
        /// Is rinsed off.
        RinseOff = "rinse-off",
        /// A premix or solution for the bench, not for skin.
        Stock = "stock",
        /// The face.
        Face = "face",
        /// Around the eye.
        Eye = "eye",
        /// The lip.
        Lip = "lip",
        /// The body.
        Body = "body",
        /// The hair.
        Hair = "hair",
        /// The scalp.
        Scalp = "scalp",
        /// The hand.
        Hand = "hand",
        /// The foot.
        Foot = "foot",
        /// The nail.
        Nail = "nail",
        /// For babies.
        Baby = "baby",
        /// Goes into a bath.
        Bath = "bath",
        /// Is used dry, without water.
        Dry = "dry",
    }
}

impl Product {
    /// Whether it says where on the body, and not what is made.
    #[must_use]
    pub fn is_site(self) -> bool {
        !matches!(self, Product::LeaveOn | Product::RinseOff | Product::Stock)
    }
}

words! {
    /// Where a product is sold.
    Market, "market" {
        /// The European Union.
        Eu = "eu",
        /// The United States.
        Us = "us",
        /// The United Kingdom.
        Uk = "uk",
        /// Canada.
        Ca = "ca",
        /// Australia.
        Au = "au",
    }
}

words! {
    /// What a preservative protects against.
    Microbe, "kind of microbe" {
        /// Bacteria.
        Bacteria = "bacteria",
        /// Yeast.
        Yeast = "yeast",
        /// Mould.
        Mould = "mould",
    }
}

words! {
    /// The charge of a surfactant or polymer, for what must be kept apart.
    Charge, "charge" {
        /// Negative.
        Anionic = "anionic",
        /// Positive.
        Cationic = "cationic",
        /// Both, by pH.
        Amphoteric = "amphoteric",
        /// None.
        NonIonic = "non-ionic",
    }
}

words! {
    /// What a raw material does: by these words another is found that could stand in for it.
    Doing, "word for what a material does" {
        /// Takes up oil or moisture.
        Absorbs = "absorbs",
        /// Lowers the pH.
        Acidifies = "acidifies",
        /// Raises the pH.
        Alkalises = "alkalises",
        /// Binds metals.
        BindsMetals = "binds-metals",
        /// Evens and lightens the tone of the skin.
        Brightens = "brightens",
        /// Holds the pH where it is.
        Buffers = "buffers",
        /// Gives body to a powder.
        Bulks = "bulks",
        /// Cleanses.
        Cleanses = "cleanses",
        /// Helps against blemishes.
        Clears = "clears",
        /// Clouds or pearls.
        Clouds = "clouds",
        /// Colours.
        Colours = "colours",
        /// Conditions hair or skin by clinging to it.
        Conditions = "conditions",
        /// Cools.
        Cools = "cools",
        /// Takes body odour away.
        Deodorises = "deodorises",
        /// Dissolves other materials.
        Dissolves = "dissolves",
        /// Joins oil and water with the water outside.
        Emulsifies = "emulsifies",
        /// Joins oil and water with the oil outside.
        EmulsifiesWaterInOil = "emulsifies-water-in-oil",
        /// Leaves the skin by evaporating.
        Evaporates = "evaporates",
        /// Loosens dead skin.
        Exfoliates = "exfoliates",
        /// Leaves a film.
        Films = "films",
        /// Firms, or smooths lines.
        Firms = "firms",
        /// Gives off gas in water.
        Fizzes = "fizzes",
        /// Foams.
        Foams = "foams",
        /// Slows the rancidity of oils.
        GuardsOils = "guards-oils",
        /// Protects the skin from oxidation.
        GuardsSkin = "guards-skin",
        /// Makes a balm or stick harder.
        Hardens = "hardens",
        /// Helps a preservative, and preserves nothing alone.
        HelpsPreserve = "helps-preserve",
        /// Takes away shine.
        Mattifies = "mattifies",
        /// Draws and holds water.
        Moistens = "moistens",
        /// Keeps water from leaving the skin.
        Occludes = "occludes",
        /// Oxidises what it meets.
        Oxidises = "oxidises",
        /// Keeps microbes down.
        Preserves = "preserves",
        /// Speeds the renewal of the skin, as retinoids do.
        Renews = "renews",
        /// Gives the skin back fats or moisture factors of its own.
        Restores = "restores",
        /// Scents.
        Scents = "scents",
        /// Filters long ultraviolet light.
        ScreensUva = "screens-uva",
        /// Filters short ultraviolet light.
        ScreensUvb = "screens-uvb",
        /// Rubs.
        Scrubs = "scrubs",
        /// Spreads and feels light.
        Slips = "slips",
        /// Softens the skin as fats and oils do.
        Softens = "softens",
        /// Carries oil into water, clear.
        Solubilises = "solubilises",
        /// Calms.
        Soothes = "soothes",
        /// Is mild to the skin, for its kind.
        SparesSkin = "spares-skin",
        /// Helps an emulsion to stand.
        Steadies = "steadies",
        /// Keeps what does not dissolve afloat.
        Suspends = "suspends",
        /// Colours the skin itself.
        Tans = "tans",
        /// Thickens.
        Thickens = "thickens",
        /// Thickens what cleanses, and nothing else.
        ThickensWashes = "thickens-washes",
        /// Draws the skin together.
        Tightens = "tightens",
        /// Wakes tired skin, as caffeine does.
        Wakes = "wakes",
        /// Warms.
        Warms = "warms",
    }
}

words! {
    /// What a polymer bears so much of before it collapses.
    Borne, "thing to bear" {
        /// The total ionic load of the batch, reckoned as sodium chloride.
        Salt = "salt",
        /// The ethanol in the water phase.
        Alcohol = "alcohol",
    }
}

words! {
    /// Marks of a substance for the label.
    Mark, "mark" {
        /// A fragrance allergen.
        Allergen = "allergen",
        /// A fragrance.
        Fragrance = "fragrance",
        /// A colourant.
        Colourant = "colourant",
        /// A nanomaterial.
        Nano = "nano",
    }
}

words! {
    /// What happened in the store room.
    StockWord, "statement of the store room" {
        /// So much was there.
        Counted = "counted",
        /// So much came in.
        Bought = "bought",
        /// So much went out, and into no batch.
        Spent = "spent",
    }
}
