//! What may be written at the cursor of a page: what an editor proposes, of it what begins or holds the letters that are
//! typed already.

use super::{LiveText, Units, shown_file};
use crate::editor::complete::{Proposal, ProposalKind, complete};
use crate::editor::occurrences::Names;
use crate::sheet::BatchOrder;
use serde::Serialize;

/// So many are proposed.
const MOST: usize = 40;

/// What may be written, and where. Places count in units of UTF-16.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct LiveProposals {
    /// Where what is typed already begins.
    pub start: usize,
    /// Where it ends.
    pub end: usize,
    /// What may stand there, what is nearest first.
    pub items: Vec<LiveProposal>,
}

/// Something that may be written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LiveProposal {
    /// What it is called.
    pub label: String,
    /// What is written.
    pub insert: String,
    /// What it is, and what is said beside it.
    pub detail: String,
}

impl LiveText {
    /// What may be written at a place of a text.
    pub fn propose(&mut self, text: &str, offset: usize) -> LiveProposals {
        self.with(text);
        let session = &self.session;
        let report = session.check_to_foresee(&BatchOrder::default());
        let Some(file) = shown_file(session) else { return LiveProposals::default() };
        let text = session.sources().text(file);
        let units = Units::of(text);
        let at = units.at_unit(offset);
        let names = Names { sources: session.sources(), scopes: &report.resolver.scopes, surveys: &self.known.surveys };
        let found = complete(&names, &self.known.expectations, file, u32::try_from(at).unwrap_or(u32::MAX));
        let Some(span) = found.first().map(|proposal| proposal.replaces) else { return LiveProposals::default() };
        let typed = text.get(span.range().start..at).unwrap_or_default().to_lowercase();
        let mut near: Vec<(usize, &Proposal)> =
            found.iter().filter(|of| of.replaces == span).filter_map(|of| Some((nearness(of, &typed)?, of))).collect();
        near.sort_by_key(|(nearness, of)| (*nearness, of.rank));
        LiveProposals {
            start: units.at_byte(span.range().start),
            end: units.at_byte(span.range().end.max(at)),
            items: near.into_iter().take(MOST).map(|(_, of)| item(of)).collect(),
        }
    }
}

/// How near a proposal is to what is typed; none where it has nothing of it.
fn nearness(of: &Proposal, typed: &str) -> Option<usize> {
    let (label, found_by) = (of.label.to_lowercase(), of.found_by.to_lowercase());
    let begins = |text: &str| text.split(|letter: char| !letter.is_alphanumeric()).any(|word| word.starts_with(typed));
    match () {
        () if label.starts_with(typed) => Some(0),
        () if begins(&label) => Some(1),
        () if begins(&found_by) => Some(2),
        () if label.contains(typed) || found_by.contains(typed) => Some(3),
        () => None,
    }
}

fn item(of: &Proposal) -> LiveProposal {
    let kind = match of.kind {
        ProposalKind::Material => "material",
        ProposalKind::Substance => "substance",
        ProposalKind::Formula => "formula",
        ProposalKind::Figure => "figure",
        ProposalKind::Group => "group",
        ProposalKind::Container => "container",
        ProposalKind::Phase => "phase",
        ProposalKind::Unit => "unit",
        ProposalKind::Code => "code",
        ProposalKind::File => "file",
        ProposalKind::Field | ProposalKind::Word | ProposalKind::Listed => "",
    };
    let both = [kind, of.detail.as_str()];
    let detail = both.into_iter().filter(|words| !words.is_empty()).collect::<Vec<_>>().join(", ");
    LiveProposal { label: of.label.clone(), insert: of.insert.clone(), detail }
}
