//! What the jar carries: the declaration, net quantity, durability, statements, and who answers for it

mod answer;
mod country;
mod items;
mod life;
mod net;
mod statement;

pub use answer::{Answer, Origin, Seller};
pub use items::{INGREDIENTS, Item, LabelFacts, NOT_ASKED, items};
pub use life::{Life, LifeKind, life};
pub use net::{Net, Nominal, Panel, net};
pub use statement::{Statement, is_said, statements};
