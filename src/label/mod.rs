//! What the jar carries: the declaration, net quantity, durability, statements, and who answers for it

mod answer;
mod caution;
mod contents;
mod country;
mod items;
mod layout;
mod letters;
mod life;
mod net;
mod statement;

pub use answer::{Answer, Origin, Seller};
pub use caution::{Doubts, cautions};
pub use contents::Bearing;
pub use items::{INGREDIENTS, Item, LabelFacts, NOT_ASKED, items};
pub use layout::{Heights, Layout, Paragraph, Part, PlacedLine, lay_out};
pub use life::{Life, LifeKind, life};
pub use net::{Net, Nominal, Panel, net};
pub use statement::{Statement, is_said, statements};
