//! What is known at a place, in the words of the protocol: one function for each request, and no knowledge of its own.

mod complete;
mod navigate;
mod show;

pub use complete::{complete, resolve, signature_help};
pub use navigate::{
    definition, highlight, incoming, links, outgoing, prepare_hierarchy, prepare_rename, references, rename,
};
pub use show::{
    document_symbols, folding, hover, inlay_hints, selection, tokens_delta, tokens_full, tokens_legend, tokens_range,
    workspace_symbols,
};
