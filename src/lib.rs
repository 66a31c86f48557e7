//! Stillroom: formulas as text, turned into exact batch sheets, or a message that says which line is wrong.
//!
//! A formula is written in percent, with what each bottle holds and what the pH is to be. The library reads such a text,
//! works out every figure as a fraction, looks at it with every check there is, and gives back either diagnostics, each at
//! its line with what would mend it, or the weights that go on the scale. It is what the program `stillroom` is built on,
//! and stands as well in a program of yours.
//!
//! # From a text to its diagnostics and its sheet
//!
//! ```
//! use std::path::PathBuf;
//! use stillroom::render::{CheckJson, sheet};
//! use stillroom::session::check;
//! use stillroom::sheet::BatchOrder;
//! use stillroom::workspace::{Disk, load};
//!
//! let text = r#"
//! use shelf/all
//!
//! formula face-oil {
//!   version "1"
//!   product leave-on face
//!   makes   30 g
//!   scale   0.01 g
//!   phase A {
//!     squalane    q.s.
//!     jojoba-oil  30 %
//!     tocopherol  0.5 %
//!   }
//! }
//! "#;
//!
//! // The text stands in a folder, from which its `use` would be followed; no file of that name is read.
//! let loaded = load(&Disk, &[], Some((PathBuf::from("."), text.into())));
//! let order = BatchOrder::default();
//! let report = check(&loaded.sources, &order, true);
//!
//! // Diagnostics, as values or as JSON. 0.15 g is too little for a scale that shows 0.01 g.
//! let told = CheckJson::new(&loaded.sources, &report.diagnostics);
//! assert_eq!(told.diagnostics.len(), 1);
//! assert_eq!(told.diagnostics[0].code, "below-scale");
//! assert_eq!((told.diagnostics[0].level.as_str(), told.diagnostics[0].line), ("warning", 12));
//!
//! // The sheet of a formula that no error bears on.
//! let formula = &report.formulas[0];
//! assert!(!formula.is_blocked());
//! let sheet = sheet(&loaded.sources, &report, formula, &order).ok_or("it can be weighed")?;
//! let json = serde_json::to_value(&sheet)?;
//! assert_eq!(json["phases"][0]["lines"][0]["material"], "squalane");
//! assert_eq!(json["phases"][0]["lines"][0]["grams"], "20.85");
//! assert_eq!(json["total_g"], "30.00");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Files come from a [`workspace::World`]: [`workspace::Disk`] is the disk, an editor or a page has a world of its own, and
//! `tests/embed` in the repository is a small program with one that is only in memory.
//!
//! # Features
//!
//! Without any, this is the core: the language, the checks, the sheet and the chemistry, results as data, JSON, Markdown
//! and text. That is what to embed: `stillroom = { version = "…", default-features = false }`.
//!
//! | feature | what it adds |
//! | --- | --- |
//! | `git` | `versions`, what changed between two of a formula and which commits did it, and a repository as a world |
//! | `terminal` | `render::human`, diagnostics drawn for a terminal |
//! | `sarif` | `render::sarif`, diagnostics as SARIF |
//! | `bring` | `bring`, a table or a note turned into a formula |
//! | `pages` | `page`, sheets, labels and costs as pages in one file, and pictures |
//! | `editor` | `editor`, the server that an editor speaks to |
//! | `keeping` | `keeping`, files written whole and under a lock |
//! | `server` | `server`, the workroom as a page on the loopback address |
//! | `program` | all of these, and the program with its commands; it is the default |
//!
//! # How data flows
//!
//! Each phase with its way in, in the order of the flow. A module knows those before it and none after.
//!
//! 1. [`workspace::load`] reads the files named and all they `use`.
//! 2. [`syntax::parse`] turns a text into a tree with spans; what does not parse becomes a diagnostic.
//! 3. [`resolve::Resolver`] looks names up and works figures out, into the plain data of [`model`].
//! 4. [`lookup`] answers what the shelf knows under a name, and what could stand in for a material.
//! 5. [`sheet::plan`](sheet::plan()) turns percentages into the weights on a scale, and foresees the pH by the
//!    [`chemistry`] of mixtures.
//! 6. [`mod@check`] holds every check; [`session::check`] runs them over every formula of a session, once.
//! 7. [`batch`] holds the record of a batch against its plan, says what is next, and writes it on; [`label`] says what the
//!    jar carries, of a formula or of a batch.
//! 8. [`why::why`] retells how a figure came about; [`fix`] carries out the edits that are sure.
//! 9. `versions` says what changed between two versions of a formula.
//! 10. [`render`] turns the outcome into formats.
//!
//! [`quantity`] and [`diagnostic`] are the words they all share; [`shelf`] is what the language knows by itself.
//! No input makes any of it panic, and the same input gives the same output to the byte.

#![warn(missing_docs)]
#![deny(
    clippy::disallowed_methods,
    clippy::indexing_slicing,
    clippy::iter_over_hash_type,
    clippy::panic,
    clippy::print_stderr,
    clippy::print_stdout,
    clippy::todo,
    clippy::unimplemented,
    clippy::unreachable,
    clippy::unwrap_used,
    clippy::expect_used
)]
#![cfg_attr(test, allow(clippy::disallowed_methods, reason = "tests write files of their own"))]

// pest's parser names it, where pest is built without `std`.
extern crate alloc;

pub mod batch;
#[cfg(feature = "bring")]
pub mod bring;
pub mod check;
pub mod chemistry;
pub mod cost;
pub mod diagnostic;
#[cfg(feature = "editor")]
pub mod editor;
pub mod fix;
#[cfg(feature = "keeping")]
pub mod keeping;
pub mod label;
pub mod lookup;
pub mod model;
#[cfg(feature = "pages")]
pub mod page;
pub mod quantity;
pub mod render;
pub mod resolve;
#[cfg(feature = "server")]
pub mod server;
pub mod session;
pub mod sheet;
pub mod shelf;
pub mod store;
pub mod syntax;
#[cfg(feature = "git")]
pub mod versions;
pub mod why;
pub mod workspace;
