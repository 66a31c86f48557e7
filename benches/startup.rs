//! What a check of one small file costs over starting the program at all: `stillroom check` beside
//! `stillroom --version`, turn by turn. `cargo bench --bench startup`.
//!
//! A maker checks one formula at a time, after every change. The shelf is in the program as text, and only what a
//! formula reaches for may be parsed: the aim of at most three times `--version` keeps watch over that. Nothing is
//! asserted about time; what is asserted is that the file is sound.

#![allow(clippy::disallowed_methods, reason = "a benchmark writes a file of its own")]

use std::ffi::OsStr;
use std::io;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// How often each is started.
const STARTS: usize = 200;

/// How many times as long as `--version` the check may take.
const AIM: f64 = 3.0;

/// An acid gel out of the shelf: water held back, an acid by its active, an adjuster, a thickener, a preservative.
const GEL: &str = r#"use shelf/all

formula acid-gel {
  title    "Acid gel"
  version  "1.0"
  product  leave-on face
  makes    12 x 30 mL plus 4 %
  density  1.03 g/mL
  scale    0.01 g
  pH       3.6 to 4.0

  phase A "Water phase" {
    water                q.s.  hold back 10 %
    lactic-acid-80       5 % active
    sodium-hydroxide-10  q.s. to pH
  }
  phase B "Thicken and keep" {
    xanthan-gum          0.8 %
    propanediol          (5 * xanthan-gum)
    glycerin             2 %
    panthenol-75         1 % active
    phenoxyethanol       0.9 %
  }
  steps {
    "Weigh {water}, less the water held back, and stir in {lactic-acid-80}."
    "Bring to {pH} with {sodium-hydroxide-10}, a little at a time."
    "Wet out {xanthan-gum} in {propanediol} and {glycerin}; add and leave to swell."
    "Stir in {panthenol-75} and {phenoxyethanol}; top up with the rest of {water}."
  }
  ensure propanediol + glycerin at most 8 %
}
"#;

fn main() -> io::Result<()> {
    let folder = tempfile::tempdir()?;
    let gel = folder.path().join("acid-gel.still");
    std::fs::write(&gel, GEL)?;
    let version = [OsStr::new("--version")];
    let check = [OsStr::new("check"), gel.as_os_str()];
    // The first of each brings the program and the file into memory, and is not counted.
    start(&version)?;
    start(&check)?;
    let mut times = (Vec::new(), Vec::new());
    for _ in 0..STARTS {
        times.0.push(start(&version)?);
        times.1.push(start(&check)?);
    }
    print(times.0, times.1);
    Ok(())
}

/// Starts the program and waits for its end, which must be a good one.
fn start(arguments: &[&OsStr]) -> io::Result<Duration> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stillroom"));
    command.args(arguments).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    let start = Instant::now();
    let status = command.status()?;
    let time = start.elapsed();
    if status.success() { Ok(time) } else { Err(io::Error::other(format!("{arguments:?} ended with {status}"))) }
}

fn print(version: Vec<Duration>, check: Vec<Duration>) {
    let (version, check) = (Spread::of(version), Spread::of(check));
    println!("{STARTS} starts of each, by turns\n");
    println!("{:<22}{:>12}{:>12}", "", "least", "median");
    for (name, spread) in [("stillroom --version", &version), ("stillroom check", &check)] {
        println!("{name:<22}{:>9.2} ms{:>9.2} ms", milliseconds(spread.least), milliseconds(spread.median));
    }
    let ratio = |of: fn(&Spread) -> Duration| milliseconds(of(&check)) / milliseconds(of(&version)).max(1e-6);
    println!(
        "\ncheck ÷ --version     {:>9.2}   {:>9.2}   (aim: at most {AIM} at the median)",
        ratio(|s| s.least),
        ratio(|s| s.median)
    );
}

/// The least and the middle of some times.
struct Spread {
    least: Duration,
    median: Duration,
}

impl Spread {
    fn of(mut times: Vec<Duration>) -> Spread {
        times.sort_unstable();
        let at = |place: usize| times.get(place).copied().unwrap_or_default();
        Spread { least: at(0), median: at(times.len() / 2) }
    }
}

fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}
