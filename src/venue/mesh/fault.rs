//! Why a mesh file cannot be used.

/// What is wrong with a mesh file, where in it, and how to mend it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("found {found}; allowed: {allowed}{}", help.as_ref().map_or(String::new(), |h| format!("; {h}")))]
pub struct MeshFault {
    /// The file, its line or element, and what it says there.
    pub found: String,
    /// What it may say.
    pub allowed: String,
    /// How to mend it, where that is not plain.
    pub help: Option<String>,
}

impl MeshFault {
    /// A fault that mends itself once it is seen.
    pub fn new(found: impl Into<String>, allowed: impl Into<String>) -> Self {
        Self { found: found.into(), allowed: allowed.into(), help: None }
    }

    /// The same with advice.
    pub fn help(self, help: impl Into<String>) -> Self {
        Self { help: Some(help.into()), ..self }
    }
}
