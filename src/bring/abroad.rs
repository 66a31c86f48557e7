//! What the commonest materials are called every day in German, French, Spanish, Italian and Dutch; the shelf has its
//! everyday names in English. Common knowledge, no source.

/// Names in small letters, by the material of the shelf that they mean.
const NAMES: &[(&str, &[&str])] = &[
    (
        "water",
        &[
            "wasser", "eau", "agua", "acqua", "água", "woda", "voda", "вода", "νερό", "víz", "vann", "vand", "vatten",
            "vesi",
        ],
    ),
    ("beeswax", &["bienenwachs", "cire d'abeille", "cera de abejas", "cera d'api", "bijenwas", "bivax", "cera alba"]),
    (
        "sunflower-oil",
        &["sonnenblumenöl", "huile de tournesol", "aceite de girasol", "olio di girasole", "zonnebloemolie"],
    ),
    ("olive-oil", &["olivenöl", "huile d'olive", "aceite de oliva", "olio d'oliva", "olio di oliva", "olijfolie"]),
    ("coconut-oil", &["kokosöl", "huile de coco", "aceite de coco", "olio di cocco", "kokosolie"]),
    (
        "sweet-almond-oil",
        &["mandelöl", "huile d'amande douce", "aceite de almendras dulces", "olio di mandorle dolci", "amandelolie"],
    ),
    ("jojoba-oil", &["jojobaöl", "huile de jojoba", "aceite de jojoba", "olio di jojoba", "jojobaolie"]),
    ("castor-oil", &["rizinusöl", "huile de ricin", "aceite de ricino", "olio di ricino", "wonderolie", "ricinusolie"]),
    ("avocado-oil", &["avocadoöl", "huile d'avocat", "aceite de aguacate", "olio di avocado", "avocado-olie"]),
    ("argan-oil", &["arganöl", "huile d'argan", "aceite de argán", "olio di argan", "arganolie"]),
    ("rapeseed-oil", &["rapsöl", "huile de colza", "aceite de colza", "olio di colza", "koolzaadolie"]),
    ("shea-butter", &["sheabutter", "beurre de karité", "manteca de karité", "burro di karité", "sheaboter", "karité"]),
    ("cocoa-butter", &["kakaobutter", "beurre de cacao", "manteca de cacao", "burro di cacao", "cacaoboter"]),
    ("lanolin", &["wollwachs", "lanoline", "lanolina", "wolvet"]),
    ("glycerin", &["glyzerin", "glycérine", "glicerina", "glycerine", "glycerol"]),
    ("xanthan-gum", &["xanthan", "gomme xanthane", "goma xantana", "gomma xantana", "xanthaangom"]),
    ("honey", &["honig", "miel", "miele", "honing"]),
    ("urea", &["harnstoff", "urée", "ureum"]),
    ("sodium-chloride", &["kochsalz", "sel de cuisine", "sal común", "sale da cucina", "keukenzout"]),
    ("sea-salt", &["meersalz", "sel de mer", "sal marina", "sale marino", "zeezout"]),
    (
        "sodium-bicarbonate",
        &["natron", "bicarbonate de soude", "bicarbonato de sodio", "bicarbonato di sodio", "zuiveringszout"],
    ),
    (
        "citric-acid",
        &["zitronensäure", "citronensäure", "acide citrique", "ácido cítrico", "acido citrico", "citroenzuur"],
    ),
    ("sorbic-acid", &["sorbinsäure", "acide sorbique", "ácido sórbico", "acido sorbico", "sorbinezuur"]),
    (
        "potassium-sorbate",
        &["kaliumsorbat", "sorbate de potassium", "sorbato de potasio", "sorbato di potassio", "kaliumsorbaat"],
    ),
    (
        "sodium-benzoate",
        &["natriumbenzoat", "benzoate de sodium", "benzoato de sodio", "benzoato di sodio", "natriumbenzoaat"],
    ),
    ("corn-starch", &["maisstärke", "amidon de maïs", "almidón de maíz", "amido di mais", "maizena", "maïszetmeel"]),
    ("cetyl-alcohol", &["cetylalkohol", "alcool cétylique", "alcohol cetílico", "alcol cetilico", "cetylalcohol"]),
    ("stearic-acid", &["stearinsäure", "acide stéarique", "ácido esteárico", "acido stearico", "stearinezuur"]),
    (
        "lavender-oil",
        &[
            "lavendelöl",
            "huile essentielle de lavande",
            "aceite esencial de lavanda",
            "olio essenziale di lavanda",
            "lavendelolie",
        ],
    ),
    ("rose-hydrosol", &["rosenwasser", "eau de rose", "agua de rosas", "acqua di rose", "rozenwater"]),
    ("zinc-oxide", &["zinkoxid", "oxyde de zinc", "óxido de zinc", "ossido di zinco", "zinkoxide"]),
    ("fragrance-oil", &["parfumöl", "parfum", "perfume", "profumo", "duftöl"]),
];

/// The material that a name in small letters means in another language.
pub fn called_abroad(name: &str) -> Option<&'static str> {
    NAMES.iter().find(|(_, names)| names.contains(&name)).map(|(material, _)| *material)
}

#[cfg(test)]
mod tests {
    use super::NAMES;
    use crate::shelf::{ShelfKind, find_anywhere};

    #[test]
    fn each_leads_to_a_material_of_the_shelf_and_no_name_to_two() {
        let mut seen = std::collections::BTreeSet::new();
        for (material, names) in NAMES {
            assert!(find_anywhere(ShelfKind::Material, material).is_some(), "{material}");
            assert!(names.iter().all(|name| seen.insert(*name) && *name == name.to_lowercase()), "{material}");
        }
    }
}
