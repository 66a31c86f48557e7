//! What metals and what holds them come to at one activity of hydrogen ions.

/// How metals and the families that hold them stand at one activity of hydrogen ions.
pub struct Settled {
    /// The metals.
    pub metals: Vec<Standing>,
    /// The families that hold them.
    pub holders: Vec<Held>,
}

/// How a metal stands; amounts in mol.
pub struct Standing {
    /// The number of its family.
    pub family: usize,
    /// Its charge.
    pub charge: f64,
    /// How much of it is free.
    pub free: f64,
    /// How much has fallen out.
    pub fallen: f64,
}

/// A family that may hold metals.
pub struct Held {
    /// The number of the family.
    pub family: usize,
    /// How much of it is dissolved, in mol.
    pub dissolved: f64,
    /// Its forms without metal: what it lost of its protons, and how much there is, in mol.
    pub free: Vec<(u32, f64)>,
    /// Its forms with metal.
    pub bound: Vec<Bound>,
}

/// A form of a family with a metal.
pub struct Bound {
    /// The number of the metal's family.
    pub metal: usize,
    /// What the form has lost of its protons.
    pub lost: u32,
    /// The charge of the metal.
    pub charge: f64,
    /// How much there is, in mol.
    pub moles: f64,
}
