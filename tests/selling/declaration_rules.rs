//! Rules of labels, one by one at their edges. The numbers are those of the project's list of them: O the order, N the
//! names, S scents, A allergens, F salts.

use crate::declaration::{assert_adds_to_100, declared_in};
use stillroom::label::{Declaration, DeclaredBasis, NoteCode};
use stillroom::quantity::Exact;
use stillroom::syntax::vocabulary::Market::{self, Ca, Eu, Uk, Us};

const DAY: &str = "2026-11-25";

/// Materials with one name each, declared here, so that no change of the shelf moves a label.
const HOME: &str = r#"
substance water { inci "Aqua"  us "Water"  cas "7732-18-5"  molar-mass 18.015 g/mol }
substance glycerin { inci "Glycerin"  cas "56-81-5"  neutral }
substance betaine { inci "Betaine"  cas "107-43-7"  neutral }
substance sunflower-oil { inci "Helianthus Annuus Seed Oil"  us "Helianthus Annuus (Sunflower) Seed Oil"  cas "8001-21-6" }
substance beeswax { inci "Cera Alba"  us "Beeswax"  cas "8012-89-3" }
substance allantoin { inci "Allantoin"  cas "97-59-6"  neutral }
substance xanthan-gum { inci "Xanthan Gum"  cas "11138-66-2"  neutral }
substance benzyl-alcohol { inci "Benzyl Alcohol"  cas "100-51-6"  allergen  fragrance  neutral }
substance linalool { inci "Linalool"  cas "78-70-6"  allergen  fragrance }
substance linalyl-acetate { inci "Linalyl Acetate"  cas "115-95-7"  allergen  fragrance }
substance geranial { inci "Geranial"  cas "141-27-5"  allergen  fragrance }
substance neral { inci "Neral"  cas "106-26-3"  allergen  fragrance }
substance scent-base { inci "Parfum"  us "Fragrance"  fragrance }
substance lavender { inci "Lavandula Angustifolia Oil"  us "Lavandula Angustifolia (Lavender) Oil"  cas "8000-28-0" }
substance titania { inci "Titanium Dioxide"  us "Titanium Dioxide"  ci "77891"  cas "13463-67-7"  colourant }
substance iron-red { inci "CI 77491"  us "Iron Oxides"  ci "77491"  cas "1309-37-1"  colourant }
substance iron-yellow { inci "CI 77492"  us "Iron Oxides"  ci "77492"  cas "51274-00-1"  colourant }
substance rose-water { inci "Rosa Damascena Flower Water"  cas "90106-38-0"  water 99 % }
substance lactic-acid { inci "Lactic Acid"  cas "50-21-5"  molar-mass 90.08 g/mol  acid pKa 3.86 }
substance sodium-hydroxide { inci "Sodium Hydroxide"  cas "1310-73-2"  molar-mass 39.997 g/mol  strong base }
substance sodium { cas "17341-25-2"  molar-mass 22.99 g/mol  ion +1 }
substance nameless-ferment { }

material water { role solvent }
material glycerin { role humectant }
material betaine { role humectant }
material sunflower-oil { role emollient }
material beeswax { role emollient }
material allantoin { role active }
material xanthan-gum { role thickener }
material benzyl-alcohol { role preservative }
material rose-water { role solvent }
material iron-red { role colourant }
material iron-yellow { role colourant }
material white { contains titania 100 %  role colourant }
material filter { contains titania 100 %  role uv-filter }
material nameless-ferment { role active }
material lactic-80 { contains lactic-acid 80 % active, water remainder  role exfoliant  caution "Gloves." }
material soda-10 { contains sodium-hydroxide 10 % active, water remainder  role ph-adjuster  caution "Gloves." }
"#;

/// Declarations written on one line each, with two blanks between their statements.
fn laid_out(text: &str) -> String {
    text.replace("  ", "\n").replace("{ ", "{\n").replace(" }", "\n}")
}

/// A formula of so many lines, with what else it needs.
fn formula(more: &str, header: &str, lines: &str) -> String {
    let product = if header.contains("product") { "" } else { "product leave-on body\n" };
    let (home, more) = (laid_out(HOME), laid_out(more));
    format!(
        "{home}\n{more}\nformula f {{\ntitle \"A case\"\nversion \"1\"\n{product}{header}\nmakes 1000 g\nscale 0.001 g\n\
         phase A {{\n{lines}\n}}\nallow ph-window-none because \"a case\"\nallow no-preservative because \"a case\"\n\
         allow ph-window-unreachable because \"a case\"\n}}\n"
    )
}

fn label(more: &str, header: &str, lines: &str, market: Market) -> Declaration {
    let text = formula(more, header, lines);
    let found = declared_in(&text, market, DAY);
    assert_adds_to_100(&found, &text);
    found
}

fn names(found: &Declaration) -> Vec<&str> {
    found.entries.iter().map(|entry| entry.name.as_str()).collect()
}

fn part(found: &Declaration, name: &str) -> &'static str {
    found.entries.iter().find(|entry| entry.name == name).unwrap_or_else(|| panic!("{name}: {found:#?}")).part.word()
}

fn share(found: &Declaration, name: &str) -> (String, String) {
    let entry = found.entries.iter().find(|entry| entry.name == name).unwrap_or_else(|| panic!("{name}: {found:#?}"));
    (entry.share.low.to_fraction(), entry.share.high.to_fraction())
}

fn notes(found: &Declaration) -> Vec<(NoteCode, &str)> {
    found.notes.iter().map(|note| (note.code, note.what.as_str())).collect()
}

fn point(of: &str) -> (String, String) {
    (of.to_string(), of.to_string())
}

/// A scent of which so much is linalool, at so much of the product.
fn scented(linalool: &str, of: &str) -> (String, String) {
    let more = format!("material perfume {{ contains linalool {linalool}, scent-base remainder  role fragrance }}");
    (more, format!("sunflower-oil q.s.\nbeeswax 12 %\nperfume {of}"))
}

#[test]
fn o1_the_heavier_stands_first() {
    for market in [Eu, Uk, Us] {
        let found = label("", "", "water 20 %\nglycerin 35 %\nbetaine 45 %", market);
        assert_eq!(names(&found)[..2], ["Betaine", "Glycerin"]);
        assert!(found.is_proven());
    }
}

#[test]
fn o2_in_europe_exactly_1_percent_is_bound_behind_all_above_and_before_all_below() {
    for market in [Eu, Uk] {
        let found = label("", "", "water q.s.\nallantoin 0.9999 %\nbetaine 1 %\nglycerin 1.0001 %", market);
        assert_eq!(names(&found), ["Aqua", "Glycerin", "Betaine", "Allantoin"]);
        assert_eq!(part(&found, "Betaine"), "ordered");
        assert_eq!(part(&found, "Allantoin"), "free");
        assert_eq!(notes(&found), [(NoteCode::ExactlyOnePercent, "Betaine")]);
    }
}

#[test]
fn o3_in_the_united_states_exactly_1_percent_is_free() {
    let found = label("", "", "water q.s.\nallantoin 0.9999 %\nbetaine 1 %\nglycerin 1.0001 %", Us);
    assert_eq!(part(&found, "Glycerin"), "ordered");
    assert_eq!(part(&found, "Betaine"), "free");
    // A range up to 1 % and no further is free too, and in Europe it is bound.
    let more = "material mix { contains betaine 0 % to 10 %, glycerin remainder  role humectant }";
    let lines = "water q.s.\nmix 10 %";
    assert_eq!(part(&label(more, "", lines, Us), "Betaine"), "free");
    assert_eq!(part(&label(more, "", lines, Eu), "Betaine"), "ordered");
}

#[test]
fn o4_colourants_stand_behind_all_others_however_heavy() {
    let lines = "sunflower-oil q.s.\niron-red 20 %\niron-yellow 21 %\nbeeswax 0.5 %";
    let eu = label("", "", lines, Eu);
    assert_eq!(names(&eu), ["Helianthus Annuus Seed Oil", "Cera Alba", "CI 77492", "CI 77491"]);
    // Three oxides are one name in the United States.
    let us = label("", "", lines, Us);
    assert_eq!(names(&us), ["Helianthus Annuus (Sunflower) Seed Oil", "Beeswax", "Iron Oxides"]);
    assert_eq!(share(&us, "Iron Oxides"), point("41"));
    assert_eq!(us.entries[2].substances, ["iron-red", "iron-yellow"]);
}

#[test]
fn o4_a_range_of_shades_stands_behind_may_contain() {
    let found = label("", "may contain iron-red, iron-yellow, white", "sunflower-oil q.s.\niron-red 2 %", Eu);
    assert_eq!(found.may_contain, ["CI 77492", "CI 77891"], "what is in every shade stands in the line");
    assert_eq!(found.text(), "Ingredients: Helianthus Annuus Seed Oil, CI 77491. May contain: CI 77492, CI 77891");
    let us = label("", "may contain iron-red, iron-yellow, white", "sunflower-oil q.s.\nbeeswax 2 %", Us);
    assert_eq!(us.may_contain, ["Iron Oxides", "Titanium Dioxide"]);
}

#[test]
fn o5_an_impurity_is_no_ingredient_and_is_counted_as_an_allergen_all_the_same() {
    let more = "material crude { contains betaine 100 %, linalool 0.05 % trace  role humectant }";
    let found = label(more, "", "water q.s.\ncrude 5 %", Eu);
    assert_eq!(names(&found), ["Aqua", "Betaine", "Linalool"]);
    assert_eq!(share(&found, "Betaine"), point("5"));
    assert_eq!(part(&found, "Linalool"), "allergen");
    let us = label(more, "", "water q.s.\ncrude 5 %", Us);
    assert_eq!(names(&us), ["Water", "Betaine"]);
}

#[test]
fn o7_one_name_is_one_entry_over_all_its_ways_in() {
    let more = "material syrup { contains glycerin 50 %, water remainder  role humectant }\n\
                formula stock-mix {\nproduct stock\nmakes 100 g\nversion \"1\"\nphase A {\nsyrup 40 %\nbetaine 60 %\n}\n}";
    let text = formula(more, "", "water q.s.\nsyrup 10 %\nglycerin 3 %\nstock-mix 20 %");
    let found = declared_in(&text, Eu, DAY);
    assert_eq!(names(&found), ["Aqua", "Betaine", "Glycerin"]);
    assert_eq!(share(&found, "Glycerin"), point("12"));
    assert_eq!(share(&found, "Aqua"), point("76"));
    assert_adds_to_100(&found, "a premix");
}

#[test]
fn o8_a_hydrosol_has_its_whole_weight_and_an_extract_is_two_entries() {
    let more = "substance tea { inci \"Camellia Sinensis Leaf Extract\"  cas \"84650-60-2\" }\n\
                material tea-in-glycerin { contains tea 20 %, glycerin remainder  role active }";
    let found = label(more, "", "water q.s.\nrose-water 30 %\ntea-in-glycerin 10 %", Eu);
    assert_eq!(names(&found), ["Aqua", "Rosa Damascena Flower Water", "Glycerin", "Camellia Sinensis Leaf Extract"]);
    assert_eq!(share(&found, "Rosa Damascena Flower Water"), point("30"));
    assert_eq!(share(&found, "Aqua"), point("60"));
    assert_eq!(share(&found, "Camellia Sinensis Leaf Extract"), point("2"));
}

#[test]
fn o9_ties_go_by_the_alphabet_and_a_name_is_spelt_as_its_larger_share_has_it() {
    let found = label("", "", "water q.s.\nglycerin 10 %\nbetaine 10 %\nallantoin 10 %", Eu);
    assert_eq!(names(&found), ["Aqua", "Allantoin", "Betaine", "Glycerin"]);
    let more = "substance shout { inci \"GLYCERIN\" }\nmaterial shout { role humectant }";
    assert_eq!(names(&label(more, "", "water q.s.\nglycerin 2 %\nshout 3 %", Eu)), ["Aqua", "GLYCERIN"]);
    assert_eq!(names(&label(more, "", "water q.s.\nglycerin 4 %\nshout 3 %", Eu)), ["Aqua", "Glycerin"]);
}

#[test]
fn o10_water_held_back_is_water() {
    let held = label("", "", "water q.s. hold back 20 %\nglycerin 5 %", Eu);
    let plain = label("", "", "water q.s.\nglycerin 5 %", Eu);
    assert_eq!(held.entries, plain.entries);
    assert_eq!(held.text(), plain.text());
}

#[test]
fn o11_what_is_free_is_printed_by_weight_too() {
    let found = label("", "", "water q.s.\nallantoin 0.1 %\nbetaine 0.3 %\nxanthan-gum 0.2 %", Us);
    assert_eq!(names(&found), ["Water", "Betaine", "Xanthan Gum", "Allantoin"]);
}

#[test]
fn intervals_that_touch_are_proven_and_those_that_overlap_by_a_hair_are_not() {
    let mix = |most: &str| {
        format!("material mix {{ contains betaine 30 % to {most} %, glycerin remainder  role humectant }}")
    };
    // Betaine 3 to 5 %, glycerin 5 to 7 %.
    let touching = label(&mix("50"), "", "water q.s.\nmix 10 %", Eu);
    assert_eq!(names(&touching), ["Aqua", "Glycerin", "Betaine"]);
    assert!(touching.is_proven());
    let over = label(&mix("50.001"), "", "water q.s.\nmix 10 %", Eu);
    assert_eq!(names(&over), ["Aqua", "Glycerin", "Betaine"], "the line is printed all the same");
    assert_eq!(over.unproven, [("Glycerin".to_string(), "Betaine".to_string())]);
}

#[test]
fn crossing_1_percent_alone_spoils_no_order() {
    let more = "material mix { contains betaine 0.5 % to 1.5 %, water remainder  role humectant }";
    let found = label(more, "", "mix q.s.\nglycerin 2 %\nallantoin 0.9 %", Eu);
    assert_eq!(names(&found), ["Aqua", "Glycerin", "Betaine", "Allantoin"]);
    assert!(found.is_proven());
    assert_eq!(notes(&found), [(NoteCode::StraddlesOnePercent, "Betaine")]);
}

#[test]
fn an_adjuster_is_anything_between_none_and_all_that_is_held_back() {
    let header = "pH 3.6 to 4.0";
    let lines = "water q.s. hold back 10 %\nlactic-80 5 % active\nsoda-10 q.s. to pH\nglycerin 3 %";
    let found = label("", header, lines, Eu);
    // 90.75 % of water with none of it, 10 % of the tenth that is held back being soda.
    assert_eq!(share(&found, "Sodium Hydroxide"), ("0".into(), "1".into()));
    assert_eq!(share(&found, "Aqua"), ("91".into(), "92".into()));
    assert!(found.is_proven());
}

#[test]
fn an_adjuster_that_may_be_anything_is_foreseen_where_that_proves_the_order() {
    // Up to 20 % of arginine beside 1.5 % of glycerin is open; what is foreseen is well above.
    let more = "substance arginine { inci \"Arginine\"  cas \"74-79-3\"  molar-mass 174.2 g/mol  base pKa 8.99 }\n\
                material arginine { role ph-adjuster }";
    let lines = "water q.s. hold back 20 %\nlactic-80 8 % active\nglycerin 1.5 %\narginine q.s. to pH";
    let found = label(more, "pH 3.8 to 4.2", lines, Us);
    let foreseen = found.notes.iter().find(|note| note.code == NoteCode::AdjusterForeseen);
    let (low, high) = share(&found, "Arginine");
    assert_eq!(foreseen.map(|note| note.what.as_str()), None, "8 % of acid lies within: {low} to {high}");
    assert!(!found.is_proven());
    let lines = "water q.s. hold back 20 %\nlactic-80 4 % active\nglycerin 12 %\narginine q.s. to pH";
    let found = label(more, "pH 3.8 to 4.0", lines, Us);
    assert_eq!(names(&found)[..2], ["Water", "Glycerin"], "{found:#?}");
}

#[test]
fn a_part_without_a_figure_is_at_most_what_the_others_leave_and_the_label_says_so() {
    let more = "material moist { contains betaine 30 %, glycerin, allantoin  role humectant }";
    let found = label(more, "", "water q.s.\nmoist 10 %", Eu);
    assert_eq!(share(&found, "Glycerin"), ("0".into(), "7".into()));
    assert_eq!(found.undisclosed, ["moist"]);
    assert_eq!(
        found.unproven,
        [("Allantoin", "Glycerin"), ("Allantoin", "Betaine"), ("Glycerin", "Betaine")]
            .map(|(first, then)| (first.to_string(), then.to_string()))
    );
}

#[test]
fn named_by_weight_the_kth_is_at_most_one_kth_and_the_first_at_least_an_even_share() {
    let more = "material oils { contains in order betaine, glycerin, allantoin  role humectant }";
    let found = label(more, "", "water q.s.\noils 6 %", Eu);
    assert_eq!(share(&found, "Betaine"), ("2".into(), "6".into()));
    assert_eq!(share(&found, "Glycerin"), ("0".into(), "3".into()));
    assert_eq!(share(&found, "Allantoin"), ("0".into(), "2".into()));
    assert_eq!(found.undisclosed, ["oils"]);
}

#[test]
fn the_smallest_fact_that_settles_a_pair_is_named_and_settles_it() {
    let mix =
        |most: &str| format!("material mix {{ contains betaine 0 % to {most}, water remainder  role humectant }}");
    let lines = "water q.s.\nmix 25 %\nglycerin 3 %";
    let open = label(&mix("40 %"), "", lines, Eu);
    let [settles] = open.settles.as_slice() else { panic!("{open:#?}") };
    assert_eq!((settles.material.as_str(), settles.substance.as_str()), ("mix", "betaine"));
    assert_eq!(settles.at_most, Exact::whole(12), "3 % of the product");
    assert!(label(&mix("12 %"), "", lines, Eu).is_proven());
    assert!(!label(&mix("12.001 %"), "", lines, Eu).is_proven());
}

#[test]
fn n1_water_and_n3_trivial_names_are_latin_in_europe_and_english_in_the_united_states() {
    let lines = "water q.s.\nbeeswax 3 %\nsunflower-oil 2 %";
    assert_eq!(names(&label("", "", lines, Eu)), ["Aqua", "Cera Alba", "Helianthus Annuus Seed Oil"]);
    assert_eq!(names(&label("", "", lines, Uk)), ["Aqua", "Cera Alba", "Helianthus Annuus Seed Oil"]);
    // N2: the English name in brackets.
    assert_eq!(names(&label("", "", lines, Us)), ["Water", "Beeswax", "Helianthus Annuus (Sunflower) Seed Oil"]);
    // Whoever gives water one name alone means it in every market.
    let more = "substance well-water { inci \"Aqua\"  cas \"7732-18-5\" }\nmaterial well-water { role solvent }";
    assert_eq!(names(&label(more, "", "well-water q.s.\nwater 10 %\nglycerin 1 %", Us)), ["Water", "Glycerin"]);
}

#[test]
fn n5_a_colourant_without_a_name_in_the_united_states_is_told_of() {
    let more = "substance lake { inci \"CI 15850\"  ci \"15850\"  colourant }\nmaterial lake { role colourant }";
    let us = label(more, "", "sunflower-oil q.s.\nlake 1 %", Us);
    assert_eq!(notes(&us), [(NoteCode::UsColourName, "lake")]);
    assert!(label(more, "", "sunflower-oil q.s.\nlake 1 %", Eu).notes.is_empty());
}

#[test]
fn n6_the_role_of_the_material_decides_between_two_names() {
    let found = label("", "", "sunflower-oil q.s.\nfilter 4 %\nwhite 6 %", Eu);
    assert_eq!(names(&found), ["Helianthus Annuus Seed Oil", "Titanium Dioxide", "CI 77891"]);
    // What is listed under its number alone has its other name where it is no colourant.
    let more = "substance zinc-white { inci \"CI 77947\"  us \"Zinc Oxide\"  ci \"77947\"  colourant }\n\
                material zinc-filter { contains zinc-white 100 %  role uv-filter }";
    assert_eq!(names(&label(more, "", "sunflower-oil q.s.\nzinc-filter 4 %", Eu))[1], "Zinc Oxide");
    // One name in the United States is one entry, and stands where the filter has to.
    let us = label("", "", "sunflower-oil q.s.\nfilter 4 %\nwhite 6 %\nbeeswax 0.5 %", Us);
    assert_eq!(names(&us), ["Helianthus Annuus (Sunflower) Seed Oil", "Titanium Dioxide", "Beeswax"]);
    assert_eq!(share(&us, "Titanium Dioxide"), point("10"));
}

#[test]
fn n7_nano_stands_behind_the_name_in_europe() {
    let more = "substance fine { inci \"Zinc Oxide\"  nano }\nmaterial fine { role uv-filter }";
    for (market, name) in [(Eu, "Zinc Oxide (nano)"), (Uk, "Zinc Oxide (nano)"), (Us, "Zinc Oxide")] {
        assert_eq!(names(&label(more, "", "sunflower-oil q.s.\nfine 4 %", market))[1], name);
    }
}

#[test]
fn a_substance_without_a_name_is_a_hole_that_is_seen() {
    let found = label("", "", "water q.s.\nnameless-ferment 2 %", Us);
    assert_eq!(names(&found), ["Water", "[no name: nameless-ferment]"]);
    assert_eq!(found.nameless, ["nameless-ferment"]);
}

#[test]
fn s1_a_scent_is_one_entry_at_the_weight_of_all_that_is_in_it() {
    let more = "material one { contains linalool 0.001 %, scent-base remainder  role fragrance }\n\
                material two { contains scent-base 40 %, water remainder  role fragrance }\n\
                material taste { contains glycerin 100 %  role flavour }\n\
                material both { contains betaine 100 %  role fragrance, flavour }";
    let lines = "sunflower-oil q.s.\none 0.5 %\ntwo 0.25 %\ntaste 0.2 %";
    let eu = label(more, "", lines, Eu);
    assert_eq!(names(&eu), ["Helianthus Annuus Seed Oil", "Parfum", "Aroma"]);
    assert_eq!(share(&eu, "Parfum"), point("3/4"));
    let us = label(more, "", lines, Us);
    assert_eq!(names(&us)[1..], ["Fragrance", "Flavor"]);
    // What is both is named by both in the United States.
    assert_eq!(names(&label(more, "", "sunflower-oil q.s.\nboth 1 %", Us))[1], "Fragrance/Flavor");
}

#[test]
fn s1_a_scent_of_a_premix_is_a_scent() {
    let more = "material perfume { contains linalool 4 %, scent-base remainder  role fragrance }\n\
                formula in-oil {\nproduct stock\nmakes 100 g\nversion \"1\"\nphase A {\nperfume 50 %\nbeeswax 50 %\n}\n}";
    let text = formula(more, "", "sunflower-oil q.s.\nin-oil 1 %");
    let found = declared_in(&text, Eu, DAY);
    assert_eq!(names(&found), ["Helianthus Annuus Seed Oil", "Cera Alba", "Parfum", "Linalool"]);
    assert_eq!(share(&found, "Linalool"), point("1/50"));
}

#[test]
fn a1_an_allergen_is_named_above_its_threshold_and_not_at_it() {
    // 0.1 % of 1 % is 0.001 %; a hair more is above.
    for (product, at, above) in
        [("leave-on body", "0.1 %", "0.1001 %"), ("rinse-off body", "1 %", "1.0001 %"), ("baby", "0.1 %", "0.1001 %")]
    {
        for market in [Eu, Uk] {
            let header = format!("product {product}");
            let (more, lines) = scented(at, "1 %");
            let found = label(&more, &header, &lines, market);
            assert!(found.named.is_empty(), "{product}");
            assert_eq!(notes(&found).last(), Some(&(NoteCode::AllergenAtThreshold, "Linalool")));
            let (more, lines) = scented(above, "1 %");
            assert_eq!(label(&more, &header, &lines, market).named, ["Linalool"], "{product}");
        }
    }
}

#[test]
fn a2_all_sources_count_together_and_by_the_name_of_the_group() {
    // 0.0006 % in the scent, 0.0005 % that an oil brings.
    let more = "material perfume { contains geranial 0.06 %, scent-base remainder  role fragrance }\n\
                material oil { contains sunflower-oil 100 %  brings neral 0.005 %  role emollient }";
    let found = label(more, "", "beeswax q.s.\noil 10 %\nperfume 1 %", Eu);
    assert_eq!(found.named, ["Citral"]);
    assert_eq!(share(&found, "Citral"), point("11/10000"));
    assert_eq!(found.entries.last().unwrap().substances, ["geranial", "neral"]);
    let less = more.replace("0.005 %", "0.004 %");
    assert!(label(&less, "", "beeswax q.s.\noil 10 %\nperfume 1 %", Eu).named.is_empty(), "0.001 % together");
}

#[test]
fn a3_what_serves_otherwise_is_declared_once_whatever_its_share() {
    let found = label("", "", "water q.s.\nglycerin 2 %\nbenzyl-alcohol 0.0001 %", Eu);
    assert_eq!(names(&found), ["Aqua", "Glycerin", "Benzyl Alcohol"]);
    assert_eq!((found.named.as_slice(), part(&found, "Benzyl Alcohol")), (&["Benzyl Alcohol".to_string()][..], "free"));
    let more = "material perfume { contains benzyl-alcohol 20 %, scent-base remainder  role fragrance }";
    let both = label(more, "", "water q.s.\nglycerin 2 %\nbenzyl-alcohol 0.8 %\nperfume 1 %", Eu);
    assert_eq!(names(&both), ["Aqua", "Glycerin", "Parfum", "Benzyl Alcohol"]);
    assert_eq!(share(&both, "Benzyl Alcohol"), point("4/5"), "by what is not in Parfum");
}

#[test]
fn a4_a_whole_oil_counts_and_what_it_brings_beside_it() {
    let oil = |role: &str| {
        format!(
            "material lavender-oil {{ contains lavender 100 %  brings linalool 30 %, linalyl-acetate 40 %  role {role} }}"
        )
    };
    let lines = "sunflower-oil q.s.\nlavender-oil 0.5 %";
    let scent = label(&oil("fragrance"), "", lines, Eu);
    assert_eq!(names(&scent)[1..], ["Parfum", "Lavandula Oil/Extract", "Linalyl Acetate", "Linalool"]);
    let own = label(&oil("active"), "", lines, Eu);
    assert_eq!(names(&own)[1..], ["Lavandula Angustifolia Oil", "Linalyl Acetate", "Linalool"]);
    assert_eq!(notes(&own), [(NoteCode::AllergenUnderOwnName, "Lavandula Oil/Extract")]);
    // In the scent and beside it: the group is named out of the scent.
    let more = format!("{}\n{}", oil("active"), oil("fragrance").replace("material lavender-oil", "material scent"));
    let both = label(&more, "", &format!("{lines}\nscent 0.1 %"), Eu);
    assert!(both.named.contains(&"Lavandula Oil/Extract".to_string()), "{:?}", names(&both));
}

#[test]
fn a5_the_new_allergens_bind_from_the_first_of_august_2026_and_a6_not_in_great_britain() {
    let more = "material perfume { contains linalool 5 %, linalyl-acetate 5 %, scent-base remainder  role fragrance }";
    let text = formula(more, "", "sunflower-oil q.s.\nperfume 1 %");
    for (market, day, named) in [
        (Eu, "2026-07-31", &["Linalool"][..]),
        (Eu, "2026-08-01", &["Linalool", "Linalyl Acetate"]),
        (Uk, "2026-07-31", &["Linalool"]),
        (Uk, "2026-08-01", &["Linalool"]),
    ] {
        assert_eq!(declared_in(&text, market, day).named, named, "{market:?} {day}");
    }
}

#[test]
fn a7_the_united_states_have_no_rule_on_allergens_yet_and_other_markets_were_not_looked_at() {
    let (more, lines) = scented("5 %", "1 %");
    let us = label(&more, "", &lines, Us);
    assert_eq!(names(&us).last(), Some(&"Fragrance"));
    assert_eq!(notes(&us).last(), Some(&(NoteCode::AllergensNoRuleYet, "us")));
    let ca = label(&more, "", &lines, Ca);
    assert_eq!(notes(&ca).last(), Some(&(NoteCode::MarketNotChecked, "ca")));
    assert!(ca.named.is_empty());
}

#[test]
fn a8_a_range_that_may_be_above_is_named_and_not_sure() {
    let (more, lines) = scented("0.05 % to 0.11 %", "1 %");
    let found = label(&more, "", &lines, Eu);
    let linalool = found.entries.last().unwrap();
    assert_eq!((linalool.name.as_str(), linalool.sure), ("Linalool", false));
    // Up to the threshold and no further it is not named.
    let (more, lines) = scented("0.05 % to 0.1 %", "1 %");
    assert!(label(&more, "", &lines, Eu).named.is_empty());
}

#[test]
fn a9_no_name_of_an_allergen_has_a_blank_within_a_word() {
    let mut looked_at = 0;
    for file in stillroom::shelf::FILES.iter().filter(|file| file.name.starts_with("rules")) {
        for said in file.text.split("\"on the label as ").skip(1) {
            let name = said.split(['"', ';']).next().unwrap();
            assert!(!name.contains("/ ") && !name.contains("- ") && name.trim() == name, "{name}");
            looked_at += 1;
        }
    }
    assert!(looked_at > 100);
}

/// Lactic acid and soda, and the salt of both.
const LACTATE: &str = "substance sodium-lactate { inci \"Sodium Lactate\"  cas \"72-17-3\"  molar-mass 112.06 g/mol  \
                       salt of lactic-acid with 1 sodium }";

#[test]
fn f3_as_added_is_what_is_declared_unasked() {
    let found = label(LACTATE, "", "water q.s.\nlactic-80 5 % active\nsoda-10 8 %", Eu);
    assert_eq!(names(&found), ["Aqua", "Lactic Acid", "Sodium Hydroxide"]);
    assert_eq!((found.basis, found.not_formed), (DeclaredBasis::AsAdded, None));
}

#[test]
fn f3_as_formed_is_the_salt_and_what_is_left_over() {
    let lines = |soda: &str| format!("water q.s.\nlactic-80 9.008 % active\nsoda-10 {soda} %");
    // 0.1 mol of acid in 100 g, with half of it, all of it, and more than all of it in base.
    for (soda, rest, left) in [
        ("19.9985", vec!["Aqua", "Sodium Lactate", "Lactic Acid"], Some(("Lactic Acid", "563/125"))),
        ("39.997", vec!["Aqua", "Sodium Lactate"], None),
        ("49.997", vec!["Aqua", "Sodium Lactate", "Sodium Hydroxide"], Some(("Sodium Hydroxide", "1"))),
    ] {
        let found = label(LACTATE, "declare as formed", &lines(soda), Eu);
        assert_eq!(found.basis, DeclaredBasis::AsFormed);
        assert_eq!(names(&found), rest, "{soda}");
        if let Some((name, share_left)) = left {
            assert_eq!(share(&found, name), point(share_left));
        }
        let sum: Exact = found.entries.iter().map(|entry| entry.share.low.clone()).sum();
        assert_eq!(sum, Exact::HUNDRED, "{soda}");
    }
}

#[test]
fn f4_what_does_not_follow_from_the_amounts_is_declared_as_added_and_the_label_says_why() {
    let lines = "water q.s.\nlactic-80 5 % active\nsoda-10 8 %";
    let why = |more: &str, lines: &str| {
        let found = label(more, "declare as formed", lines, Eu);
        assert_eq!(found.basis, DeclaredBasis::AsAdded);
        found.not_formed.unwrap()
    };
    assert_eq!(why("", lines), "no salt of `lactic-acid` with the base is declared");
    assert_eq!(why(LACTATE, "water q.s.\nlactic-80 5 % active"), "there is no strong base");
    assert_eq!(why(LACTATE, "water q.s.\nsoda-10 5 %"), "there is no acid");
    let citric = format!(
        "{LACTATE}\nsubstance citric-acid {{ inci \"Citric Acid\"  cas \"77-92-9\"  molar-mass 192.12 g/mol  acid pKa 3.13, \
         4.76, 6.40 }}\nmaterial citric-acid {{ role ph-adjuster }}"
    );
    assert_eq!(why(&citric, &format!("{lines}\ncitric-acid 1 %")), "more than one acid");
    assert_eq!(
        why(&citric, "water q.s.\ncitric-acid 2 %\nsoda-10 8 %"),
        "`citric-acid` is an acid of more than one step"
    );
    let potash = format!(
        "{LACTATE}\nsubstance potash {{ inci \"Potassium Hydroxide\"  cas \"1310-58-3\"  molar-mass 56.105 g/mol  strong base \
         }}\nmaterial potash {{ role ph-adjuster  caution \"Gloves.\" }}"
    );
    assert_eq!(why(&potash, &format!("{lines}\npotash 0.5 %")), "more than one strong base");
    assert_eq!(
        why(&potash, "water q.s.\nlactic-80 5 % active\npotash 1 %"),
        "no salt of `lactic-acid` with the base is declared",
        "that of sodium is not that of potassium"
    );
    let arginine = format!(
        "{LACTATE}\nsubstance arginine {{ inci \"Arginine\"  cas \"74-79-3\"  molar-mass 174.2 g/mol  base pKa 8.99 \
         }}\nmaterial arginine {{ role ph-adjuster }}"
    );
    assert_eq!(why(&arginine, &format!("{lines}\narginine 1 %")), "`arginine` is a weak base");
}
