//! What a name weighs out: a raw material, or a premix.

use super::{NameSet, Resolver};
use crate::diagnostic::FileId;
use crate::model::{DeclId, LineMaterial};
use std::sync::Arc;

impl Resolver<'_> {
    /// What a name weighs out, as a file sees it.
    #[must_use]
    pub fn weighs_out(&self, file: FileId, name: &str) -> Option<LineMaterial> {
        self.line_material(self.scopes.find(file, NameSet::Weighable, name)?)
    }

    /// What a declaration weighs out.
    #[must_use]
    pub fn line_material(&self, id: DeclId) -> Option<LineMaterial> {
        match self.formula(id) {
            Some(premix) => Some(LineMaterial::Premix(Arc::clone(&premix.formula))),
            None => self.material(id).map(LineMaterial::Material),
        }
    }
}
