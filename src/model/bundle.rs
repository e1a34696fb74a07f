//! A dossier in its written forms, whole and in the sections that these forms are made of.

/// Files of one dossier: (path inside its folder, bytes), in order of path; and the sections that its written forms are
/// made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Bundle {
    pub files: Vec<(String, Vec<u8>)>,
    pub sections: Vec<Section>,
}

/// A section: a chapter in every written form, or what stands around the chapters. The forms of all sections, one behind
/// the other, are the written forms of the dossier.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Stable name: of the chapter, or `head`, `places`, `foot`.
    pub name: String,
    /// Who may read it: all, customer, internal or lab.
    pub audience: String,
    /// Number and title of the chapter, empty for what stands around the chapters.
    pub title: String,
    pub markdown: String,
    pub html: String,
    /// Names of its figures, without ending.
    pub figures: Vec<String>,
}
