//! How a number of the venue file is named.
//!
//! In and out: TOML's own dotted keys, with the name of a table in the place
//! where TOML would count: `stand."Mill Stand".roof.front_height_m`. Corners and
//! coordinates are counted from 0, as arrays are.

use std::fmt;
use std::str::FromStr;

use toml_edit::Key;

/// Names one number of a venue file.
///
/// ```
/// use quarterstop::venue::Address;
/// let address: Address = r#"camera."2 corner".at.2"#.parse().unwrap();
/// assert_eq!(address.parts(), ["camera", "2 corner", "at", "2"]);
/// assert_eq!(address.to_string(), r#"camera."2 corner".at.2"#);
/// let spaced: Address = "field . bearing_deg".parse().unwrap();
/// assert_eq!(spaced.to_string(), "field.bearing_deg");
/// assert!("stand..roof".parse::<Address>().is_err());
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Address(Vec<String>);

/// A text that is no dotted key.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{text}` is no address of a number: write the table, its name and the key with dots \
     between, such as field.bearing_deg or stand.\"North Stand\".roof.front_height_m"
)]
pub struct NoAddress {
    text: String,
}

impl Address {
    /// From its parts, outermost first.
    pub fn from_parts(parts: impl IntoIterator<Item = impl Into<String>>) -> Self {
        Self(parts.into_iter().map(Into::into).collect())
    }

    /// Its parts, outermost first, without quotes.
    pub fn parts(&self) -> &[String] {
        &self.0
    }

    /// The address of something inside.
    pub(super) fn join(&self, part: &str) -> Self {
        Self(self.0.iter().cloned().chain([part.to_owned()]).collect())
    }
}

impl FromStr for Address {
    type Err = NoAddress;

    fn from_str(text: &str) -> Result<Self, NoAddress> {
        let refused = || NoAddress { text: text.to_owned() };
        let keys = Key::parse(text.trim()).map_err(|_| refused())?;
        Ok(Self(keys.iter().map(|key| key.get().trim().to_owned()).collect()))
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, part) in self.0.iter().enumerate() {
            if i > 0 {
                f.write_str(".")?;
            }
            f.write_str(&Key::new(part.as_str()).display_repr())?;
        }
        Ok(())
    }
}

impl serde::Serialize for Address {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
