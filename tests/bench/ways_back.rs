//! Past the far edge by a little, by much and grossly, on formulas of three kinds: what the bench says leads back is put in,
//! and a beaker by the chemistry reads what comes of it. The meter, the bottles and the constants of that beaker are all
//! right, so that whatever does not land is the way back's own fault. What is in the batch then, and what it weighs, is
//! worked by hand beside it.

use crate::common::gel::fed;
use crate::played::{event, reads, with_batch};
use serde_json::Value;
use stillroom::batch::{Do, Setting, View, WayBack, adjuster_per_gram, contents};
use stillroom::chemistry::{Activity, equilibrium};
use stillroom::model::{Batch, Happened, Named};
use stillroom::quantity::Exact;
use stillroom::resolve::Resolver;

/// Grams in a mol of sodium hydroxide and of lactic acid, of the standard atomic weights (IUPAC 2021).
const SODA: f64 = 39.997;
const LACTIC: f64 = 90.078;

/// A formula, and what leads back where its own lines do not, or not well.
struct Kind {
    name: &'static str,
    lines: &'static str,
    /// What is held back, in percent.
    holds: f64,
    window: (f64, f64),
    adjuster: &'static str,
    /// Up, or down.
    way: f64,
    back_with: Option<&'static str>,
    /// How far past the edge, in pH.
    past: &'static [f64],
}

const KINDS: [Kind; 3] = [
    Kind {
        name: "acid serum",
        lines: "    water  q.s.  hold back 40 %\n    lactic-acid-80  5 % active\n    glycerin  4 %\n    sodium-hydroxide-10  q.s. to \
                pH\n",
        holds: 40.0,
        window: (3.7, 4.1),
        adjuster: "sodium-hydroxide-10",
        way: 1.0,
        back_with: None,
        past: &[0.2, 1.5, 6.0, 8.9],
    },
    Kind {
        name: "alkaline wash",
        lines: "    water  q.s.  hold back 20 %\n    decyl-glucoside  10 % active\n    liquid-potash-soap  1 %\n    glycerin  3 \
                %\n    citric-acid-20  q.s. to pH\n",
        holds: 20.0,
        window: (5.0, 5.5),
        adjuster: "citric-acid-20",
        way: -1.0,
        back_with: Some("sodium-hydroxide-10"),
        // No citric acid takes it six pH down.
        past: &[0.2, 1.5, 2.3],
    },
    Kind {
        name: "gel",
        lines: "    water  q.s.  hold back 15 %\n    carbomer  0.5 %\n    glycerin  4 %\n    sodium-hydroxide-10  q.s. to pH\n",
        holds: 15.0,
        window: (5.6, 6.2),
        adjuster: "sodium-hydroxide-10",
        way: 1.0,
        back_with: Some("citric-acid-20"),
        past: &[0.2, 1.5, 6.0],
    },
];

fn text(kind: &Kind, grams: u32) -> String {
    format!(
        "use shelf/all\n\nformula mine {{\n  version \"1\"\n  product leave-on face\n  makes {grams} g\n  scale 0.01 g\n  meter \
         0.05\n  pH {} to {}\n\n  phase A {{\n{}  }}\n}}\n\nbatch one {{\n  formula mine version \"1\"\n}}\n",
        kind.window.0, kind.window.1, kind.lines
    )
}

fn fed_json(text: &str, arguments: &[&str]) -> Value {
    let (out, err) = fed(text, arguments);
    serde_json::from_str(&out).unwrap_or_else(|_| panic!("{err}"))
}

/// The adjuster that takes a beaker so far past its window, to a hundredth of a gram.
fn overshoot(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch, kind: &Kind, past: f64) -> Exact {
    let now = contents(resolver, setting, batch, batch.events.len());
    let adjuster = adjuster_per_gram(resolver, setting, batch).unwrap();
    let edge = if kind.way > 0.0 { kind.window.1 } else { kind.window.0 };
    let is_short = |grams: f64| {
        let ph = equilibrium(&now.without_adjuster.plus(&adjuster, grams), Activity::Davies).unwrap().ph;
        (ph - edge) * kind.way < past
    };
    let (mut low, mut high) = (0.0, 40.0);
    assert!(!is_short(high), "{} is out of reach", kind.name);
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if is_short(middle) { low = middle } else { high = middle }
    }
    Exact::ratio((high * 100.0).round() as i64, 100)
}

/// A batch that was led back: what went in for it, what was foreseen of the last of it, and the record.
struct Led {
    soda: f64,
    back: f64,
    topped_up: f64,
    last: WayBack,
    batch: Batch,
}

/// Weighs what is asked for, overshoots once, and does as the bench says until the batch is to be filled.
fn led(resolver: &Resolver<'_>, mut batch: Batch, kind: &Kind, past: f64) -> Led {
    let (mut over, mut ways, mut back, mut topped_up) = (None, 0, 0.0, 0.0);
    let mut last: Option<WayBack> = None;
    for _ in 0..40 {
        let view = View::with(resolver, &batch, kind.back_with, None).unwrap();
        let next = &view.next;
        let said = format!("{} {past}: {next:?}", kind.name);
        let named = || Named { text: next.material.clone().unwrap(), place: batch.place };
        let happened = match next.what {
            Do::Weigh => Happened::Weighed(named(), next.grams.clone().unwrap()),
            Do::Add if over.is_none() => {
                assert_eq!(next.material.as_deref(), Some(kind.adjuster), "{said}");
                let grams = overshoot(resolver, &view.setting, &batch, kind, past);
                over = Some(grams.to_f64());
                Happened::Added(named(), grams, None)
            }
            Do::Add => {
                if let Some(Ok(found)) = &view.back {
                    assert_eq!(next.grams.as_ref(), Some(&found.grams), "{said}");
                    assert!(found.whole.0 <= found.grams && found.grams <= found.whole.1, "{said}: {:?}", found.whole);
                    ways += 1;
                    back += found.grams.to_f64();
                    last = Some(found.clone());
                }
                Happened::Added(named(), next.grams.clone().unwrap(), Some("as the bench said".into()))
            }
            Do::Read => {
                let reading = reads(resolver, &view.setting, &batch);
                let is_led = matches!(batch.events.last().unwrap().what, Happened::Added(_, _, Some(_)));
                if let Some(led) = last.as_ref().filter(|_| is_led) {
                    let read = reading.low.to_f64();
                    assert!(led.foreseen.low <= read && read <= led.foreseen.high, "{said}: {read} of {led:?}");
                }
                Happened::Read(reading)
            }
            Do::CheckMeter => {
                let buffer = Exact::ratio((next.buffer.unwrap() * 100.0).round() as i64, 100);
                Happened::Calibrated { buffer: buffer.clone(), reads: buffer }
            }
            Do::TopUp => {
                topped_up += next.grams.as_ref().unwrap().to_f64();
                Happened::ToppedUp { material: named(), grams: next.grams.clone(), to: None }
            }
            Do::Fill => {
                // One that goes the whole way lands at once.
                assert!(ways == 1, "{said}: {ways} ways");
                return Led { soda: over.unwrap(), back, topped_up, last: last.unwrap(), batch };
            }
            _ => panic!("{said}"),
        };
        batch.events.push(event(happened, &batch));
    }
    panic!("{} {past}: no end", kind.name);
}

/// Each lands in its window by the first weight that is said, and with the top-up the batch weighs what it was to.
#[test]
fn what_leads_back_lands_in_the_window() {
    for kind in &KINDS {
        for past in kind.past {
            with_batch(&text(kind, 100), |resolver, batch| {
                let led = led(resolver, batch, kind, *past);
                let view = View::of(resolver, &led.batch).unwrap();
                let (name, whole) = (kind.name, view.ledger.weights.total().to_f64());
                let read = view.last.as_ref().unwrap().reading.low.to_f64();
                assert!(kind.window.0 <= read && read <= kind.window.1, "{name} {past}: {read}");
                // Held back, less what went in of adjuster and way back, is what was topped up.
                assert!((led.topped_up - (kind.holds - led.soda - led.back)).abs() < 0.011, "{name} {past}");
                assert!((whole - 100.0).abs() < 0.031, "{name} {past}: {whole}");
            });
        }
    }
}

/// As much of the acid is salt as there is soda for, and as much acid there as went in: by the moles.
fn is_as_by_hand(led: &Led, whole: f64, acid: f64) {
    let after = led.last.after.iter().find(|of| of.name == "lactic-acid").unwrap();
    assert!((after.made.to_f64() - 100.0 * acid / whole).abs() < 0.02, "{} of {whole}", after.made);
    let (free, salt) = after.free_and_salt.unwrap();
    let by_hand = 100.0 * led.soda * 0.1 / SODA * LACTIC / whole;
    assert!((salt - by_hand).abs() < 0.01 * by_hand, "{salt} by the bench, {by_hand} by hand");
    assert!((free + salt - after.made.to_f64()).abs() < 1e-6);
}

#[test]
fn what_is_in_a_serum_that_was_led_back_follows_by_hand() {
    let serum = &KINDS[0];
    for past in serum.past {
        with_batch(&text(serum, 100), |resolver, batch| {
            let led = led(resolver, batch, serum, *past);
            is_as_by_hand(&led, 100.0, 0.8 * (6.25 + led.back));
        });
    }
}

/// 20 g that hold back 4.00 g, grossly past. What went over is set right: of the acid, which led back, no more is asked for,
/// since what led back is its share of the larger batch first. Over by o = soda + back − 4.00, the batch grows by
/// o ÷ (0.8975 + 0.0625), water and acid; glycerin has its 4 % of that.
#[test]
fn what_led_back_is_no_more_asked_for_where_it_is_set_right() {
    let serum = Kind { holds: 20.0, ..KINDS[0] };
    let small = text(&serum, 20).replace("hold back 40 %", "hold back 20 %");
    with_batch(&small, |resolver, batch| {
        let led = led(resolver, batch, &serum, 8.9);
        let view = View::of(resolver, &led.batch).unwrap();
        let whole = view.ledger.weights.total().to_f64();
        let over = led.soda + led.back - 4.0;
        assert!(over > 1.5 && led.topped_up == 0.0, "{over}");
        assert!((whole - 20.0 - over / 0.96).abs() < 0.02, "{whole} for {over}");
        assert!((view.ledger.whole().to_f64() - whole).abs() < 0.02, "{whole}");
        let parts = &view.ledger.weights.parts;
        assert!((parts["lactic-acid-80"].to_f64() - 1.25 - led.back).abs() < 1e-9, "{parts:?}");
        assert!((parts["glycerin"].to_f64() - 0.8 - 0.04 * over / 0.96).abs() < 0.011, "{parts:?}");
        is_as_by_hand(&led, 20.0 + over, 0.8 * (1.25 + led.back));
    });
}

const SPARE_SODA: &str = "\
use shelf/all

formula serum {
  version \"1\"
  product leave-on face
  market  eu
  makes   20 g
  scale   0.01 g
  pH      3.7 to 4.1

  phase A {
    water                q.s.  hold back 27.5 %
    lactic-acid-80       6.2 %
    glycerin             4 %
    sodium-hydroxide-10  q.s. to pH
  }
}

batch s-1 {
  formula serum version \"1\"
  weighed water 12.46 g
  weighed lactic-acid-80 1.24 g
  weighed glycerin 0.80 g
  reading pH 2.05
";

/// By hand: 0.55 g of sodium hydroxide are 13.75 mmol, 0.992 g of lactic acid 11.01 mmol. 2.74 mmol of soda are to spare in
/// 17.9 g of water, 0.153 mol/kg at an ionic strength of 0.77; there a single charge has 10^-0.12 of its activity (Davies
/// 1962, with 0.51), and the pH is 13.995 − 0.815 − 0.12 = 13.06. At pH 3.90, pKa 3.86 (CRC Handbook), 10^(0.04 + 0.12) =
/// 1.445 of salt to 1 of acid are 59.1 %; for 13.75 mmol of salt that is 23.27 mmol of lactic acid, 12.26 more than there
/// are: 1.104 g, or 1.38 g at 80 %. At the edges 1.98 and 1.00 g.
#[test]
fn grossly_past_the_weight_is_that_by_hand_and_no_meter_is_blamed() {
    for (reading, off) in [("12.80", 0.3), ("13.00", 0.12), ("13.06", 0.12), ("13.10", 0.15), ("13.20", 0.3)] {
        let json = fed_json(
            &format!("{SPARE_SODA}  added sodium-hydroxide-10 5.50 g\n  reading pH {reading}\n}}\n"),
            &["bench", "-", "--format", "json"],
        );
        assert_eq!(json["doubt"].as_array().unwrap().len(), 0, "{reading}: {:#}", json["doubt"]);
        let truth = |key: &str| json["ph_true"][key].as_f64().unwrap();
        assert!(truth("low") < 13.06 && 13.06 < truth("high"), "{reading}: {}", json["ph_true"]);
        let way = &json["way_back"];
        let grams = |key: &str| way[key].as_str().unwrap().parse::<f64>().unwrap();
        assert_eq!(way["material"], "lactic-acid-80");
        assert!((grams("grams") - 1.38).abs() < off, "{reading}: {way:#}");
        assert!(grams("grams_low") < 1.38 && 1.38 < grams("grams_high"), "{reading}: {way:#}");
        assert!(way["ph_low"].as_f64().unwrap() < 3.9 && 3.9 < way["ph_high"].as_f64().unwrap(), "{way:#}");
        assert_eq!(json["next"]["grams"], way["grams"], "{reading}: {:#}", json["next"]);
    }
}

/// A reading that these weights cannot give leads nowhere: 8 is neither 13 nor the window's.
#[test]
fn what_cannot_be_read_leads_nowhere() {
    let json = fed_json(
        &format!("{SPARE_SODA}  added sodium-hydroxide-10 5.50 g\n  reading pH 8.00\n}}\n"),
        &["bench", "-", "--format", "json", "--back-with", "lactic-acid-80"],
    );
    assert_eq!(json["way_back"]["grams"], Value::Null);
    let words = json["way_back"]["no_way"].as_str().unwrap();
    assert!(words.contains("cannot come from this formula"), "{words}");
}

/// The formula is above an opinion of 2.5 % as it is planned, and is told of it: a way back that brings a little more is no
/// reason to reject the batch. A rule that the plan keeps and the batch breaks still is one.
#[test]
fn an_opinion_that_the_plan_is_beyond_rejects_no_batch() {
    let told = |text: &str| {
        let json = fed_json(text, &["bench", "-", "--format", "json"]);
        let all = json["diagnostics"].as_array().unwrap().iter();
        let broken = all.filter(|one| one["code"] == "rule-broken").map(|one| {
            assert!(one["message"].as_str().unwrap().starts_with("Once all is in"), "{one:#}");
            (one["level"].as_str().unwrap().to_string(), one["help"].as_str().unwrap().to_string())
        });
        broken.collect::<Vec<_>>()
    };
    let back =
        "  added sodium-hydroxide-10 3.00 g\n  reading pH 4.25\n  added lactic-acid-80 0.50 g because \"past\"\n}\n";
    let opinion = told(&format!("{SPARE_SODA}{back}"));
    let [(level, help)] = opinion.as_slice() else { panic!("{opinion:#?}") };
    assert_eq!(level, "warning");
    assert!(!help.contains("rejected because") && help.contains("no reason to reject"), "{help}");
    // The same of a rule of the maker's own that the plan keeps: 4.96 % are planned.
    let own =
        "rule our-limit {\n  market eu\n  limit lactic-acid to 6 % as acid\n  source \"our own\"\n}\n\nformula serum";
    let own = told(&format!("{}{back}", SPARE_SODA.replacen("formula serum", own, 1)));
    assert_eq!(own.len(), 2, "{own:#?}");
    assert!(own.iter().any(|(_, help)| help.contains("else reject the batch")), "{own:#?}");
}

/// 12.46 g of water are asked for; 1.00 g more is weighed for what goes into the air. Until it is heated that is 1.00 g of
/// what is held back, 5.50 g; after it, nobody knows, and the adjuster has all its room. Brought to 15.00 g, 14.50 g less
/// nothing were to be there: what is left over of the extra water, 0.50 g, is all that takes room.
#[test]
fn water_for_the_steam_takes_no_room_of_the_adjusters() {
    let serum = SPARE_SODA.replace("12.46 g", "13.46 g").replace("  reading pH 2.05\n", "");
    let room = |more: &str| {
        let json = fed_json(&format!("{serum}{more}}}\n"), &["bench", "-", "--format", "json"]);
        json["left_of_reserve_g"].as_str().unwrap().to_string()
    };
    assert_eq!(room(""), "4.50");
    assert_eq!(room("  heated 60 °C\n"), "5.50");
    assert_eq!(room("  heated 60 °C\n  added sodium-hydroxide-10 2.00 g\n"), "3.50");
    assert_eq!(room("  heated 60 °C\n  topped-up water to 15.00 g\n"), "5.00");
    assert_eq!(room("  heated 60 °C\n  topped-up water to 14.50 g\n"), "5.50");
}
