//! Rules of the order and of names, one by one at their edges. The numbers are those of the project's list of rules: O the
//! order, N the names.

use crate::declaration::{assert_adds_to_100, declared_in};
use crate::declaration_case::{DAY, formula, label, names, notes, part, point, share};
use stillroom::label::{Bound, Declaration, NoteCode, Settling};
use stillroom::quantity::Exact;
use stillroom::syntax::vocabulary::Market::{Eu, Uk, Us};

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
fn o4_zinc_oxide_that_colours_has_its_listed_name_in_the_united_states() {
    let more = "use shelf/all\nmaterial zinc-white { contains zinc-oxide 100 %  role colourant }";
    let text = |market: &str| {
        format!(
            "{more}\nformula f {{\ntitle \"White\"\nversion \"1\"\nproduct leave-on body\nmarket {market}\nmakes 100 g\nscale \
             0.01 g\nphase A {{\nsqualane q.s.\nzinc-white 5 %\n}}\n}}\n"
        )
        .replace("  role", "\nrole")
        .replace("{ contains", "{\ncontains")
        .replace("colourant }", "colourant\n}")
    };
    // 21 CFR 73.2991, from memory.
    assert_eq!(names(&declared_in(&text("us"), Us, DAY)), ["Squalane", "Zinc Oxide"]);
    assert_eq!(names(&declared_in(&text("eu"), Eu, DAY)), ["Squalane", "CI 77947"]);
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
fn what_is_foreseen_of_an_adjuster_may_prove_an_order_that_what_is_held_back_does_not() {
    let more = "substance arginine { inci \"Arginine\"  cas \"74-79-3\"  molar-mass 174.2 g/mol  base pKa 8.99 }\n\
                material arginine { role ph-adjuster }";
    let lines =
        |acid: &str| format!("water q.s. hold back 20 %\nlactic-80 {acid} % active\nglycerin 6 %\narginine q.s. to pH");
    // 2 % of acid takes 3.6 to 3.9 % of arginine, between itself and the 6 % of glycerin.
    let found = label(more, "pH 5.0 to 5.4", &lines("2"), Us);
    assert_eq!(names(&found), ["Water", "Glycerin", "Arginine", "Lactic Acid"]);
    assert!(found.is_proven(), "{found:#?}");
    assert_eq!(notes(&found), [(NoteCode::AdjusterForeseen, "arginine")]);
    let arginine = found.entries.iter().find(|entry| entry.name == "Arginine").unwrap();
    assert!(arginine.share.low > Exact::whole(3) && arginine.share.high < Exact::whole(5), "{arginine:?}");
    // 3.3 % of acid takes about 6 % of it: what is foreseen proves nothing, and all that is held back is told.
    let open = label(more, "pH 5.0 to 5.4", &lines("3.3"), Us);
    assert_eq!(share(&open, "Arginine"), ("0".into(), "20".into()));
    assert!(open.unproven.contains(&("Arginine".into(), "Glycerin".into())), "{:?}", open.unproven);
}

#[test]
fn adjusters_of_one_reserve_share_it_and_those_of_two_do_not() {
    let more = "material lactic-10 { contains lactic-acid 10 % active, water remainder  role ph-adjuster  caution \"Gloves.\" }";
    let one = "water q.s. hold back 10 %\nglycerin 20 %\nsoda-10 q.s. to pH\nlactic-10 q.s. to pH";
    let found = label(more, "pH 4.0 to 4.4", one, Eu);
    assert_eq!(share(&found, "Aqua"), ("79".into(), "80".into()), "one tenth of the ten, whichever it is");
    let two = "water q.s. hold back 10 %\nrose-water 20 % hold back 5 %\nsoda-10 q.s. to pH from water\n\
               lactic-10 q.s. to pH from rose-water";
    let found = label(more, "pH 4.0 to 4.4", two, Eu);
    assert_eq!(share(&found, "Rosa Damascena Flower Water"), ("15".into(), "20".into()));
    assert_eq!(share(&found, "Aqua"), ("79".into(), "169/2".into()));
    assert_eq!(share(&found, "Lactic Acid"), ("0".into(), "1/2".into()));
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
    // All of it is named, so that the ingredients are whole.
    assert!(found.undisclosed.is_empty());
}

/// The pair, the material, the substance and the figure of each line of what would settle an order.
fn settled(found: &Declaration) -> Vec<(String, String, String)> {
    let one = |of: &Settling| {
        (format!("{}, {}", of.first, of.then), format!("{} in {}", of.substance, of.material), of.bound.words())
    };
    found.settles.iter().map(one).collect()
}

fn told(pair: &str, what: &str, figure: &str) -> (String, String, String) {
    (pair.to_string(), what.to_string(), figure.to_string())
}

#[test]
fn the_smallest_fact_that_settles_a_pair_as_it_is_printed_is_named_and_settles_it() {
    let mix = |least: &str, most: &str| {
        format!("material mix {{ contains betaine {least} to {most}, water remainder  role humectant }}")
    };
    // Before what is lighter it is the first of the two, and a least figure settles it.
    let lines = "water q.s.\nmix 25 %\nglycerin 3 %";
    let open = label(&mix("0 %", "40 %"), "", lines, Eu);
    assert_eq!(settled(&open), [told("Betaine, Glycerin", "betaine in mix", "12 % or more")]);
    assert_eq!(open.settles[0].bound, Bound::AtLeast(Exact::whole(12)), "3 % of the product");
    let proven = label(&mix("12 %", "40 %"), "", lines, Eu);
    assert!(proven.is_proven());
    assert_eq!(names(&proven), names(&open));
    assert!(!label(&mix("11.999 %", "40 %"), "", lines, Eu).is_proven());
    // Behind what is heavier it is the second of the two, and a most figure does.
    let behind = "water q.s.\nmix 25 %\nglycerin 6 %";
    let open = label(&mix("0 %", "40 %"), "", behind, Eu);
    assert_eq!(settled(&open), [told("Glycerin, Betaine", "betaine in mix", "24 % or less")]);
    assert!(label(&mix("0 %", "24 %"), "", behind, Eu).is_proven());
    assert!(!label(&mix("0 %", "24.001 %"), "", behind, Eu).is_proven());
}

#[test]
fn no_figure_is_asked_for_that_cannot_be_and_each_proves_its_own_pair() {
    let material = |parts: &str| format!("material moist {{ contains betaine 30 %, {parts}  role humectant }}");
    let lines = "water q.s.\nmoist 10 %";
    let open = label(&material("glycerin, allantoin"), "", lines, Eu);
    assert_eq!(
        settled(&open),
        [
            told("Allantoin, Glycerin", "allantoin in moist", "35 % or more"),
            told("Allantoin, Betaine", "allantoin in moist", "30 % or more"),
            told("Glycerin, Betaine", "glycerin in moist", "30 % or more"),
        ]
    );
    let is_open =
        |found: &Declaration, first: &str, then: &str| found.unproven.contains(&(first.to_string(), then.to_string()));
    // What allantoin leaves of 70 % is at most 35 % then.
    let followed = label(&material("glycerin, allantoin 35 % to 70 %"), "", lines, Eu);
    assert!(
        !is_open(&followed, "Allantoin", "Glycerin") && !is_open(&followed, "Allantoin", "Betaine"),
        "{followed:#?}"
    );
    assert_eq!(names(&followed)[1], "Allantoin");
    // A little less leaves it open.
    let short = label(&material("glycerin, allantoin 34.9 % to 70 %"), "", lines, Eu);
    assert!(is_open(&short, "Allantoin", "Glycerin"));
    // None of it at all is no figure of what is in it.
    for found in [&open, &followed, &short] {
        assert!(settled(found).iter().all(|(_, _, figure)| !figure.starts_with("0 %")), "{:?}", settled(found));
    }
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
