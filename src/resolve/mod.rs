//! Names looked up, expressions worked out, amounts brought to percentages.
//!
//! [`Resolver::new`] reads the names of all files; substances and materials are made when something asks for
//! them; [`Resolver::formulas`] makes every formula asked for, each premix and base before what rests on it.

mod amounts;
mod asked_rule;
mod asked_size;
mod avoid;
mod batch;
mod bounds;
mod could_be;
mod count;
mod declaration;
mod definition;
mod demand;
mod digest;
mod duration;
mod everyday;
mod evidence;
mod figure;
mod formula;
mod frozen;
mod gram;
pub mod graph;
mod header;
mod in_water;
mod known_scopes;
mod material;
mod metal;
mod name_set;
mod names;
mod plan_names;
mod resolver;
mod ring;
mod rule;
mod scope;
mod selling;
mod store;
mod substance;
mod titrated;
mod trade;
mod weighed;

pub use asked_rule::{AskedRule, RuleOutcome, within};
pub use asked_size::asked_size;
pub use batch::day_after;
pub use bounds::Bounds;
pub use count::Count;
pub use evidence::Evidence;
pub use figure::{Evaluator, Figure, capital};
pub use formula::{batch_grams, finest, unused_let};
pub use gram::{InWater, Unsure};
pub use header::makes_size;
pub use in_water::substance_of;
pub(crate) use known_scopes::KnownScopes;
pub use name_set::NameSet;
pub use names::want_the_shelf_once;
pub(crate) use resolver::{EXCUSED, Made, with_uses};
pub use resolver::{Resolved, Resolver};
pub use scope::{Scopes, declared, is_formula};
