//! Names that are safe in column headings, keys and file names.
//!
//! In: a name as a person wrote it. Out: ASCII letters in lower case, digits and
//! single hyphens, never empty, never a path.

/// Longest slug; leaves room for a date and an extension under the 255 bytes
/// that common file systems allow.
const MAX_LENGTH: usize = 60;

/// A name reduced to `a-z`, `0-9` and single hyphens; `fallback` where nothing
/// of it remains.
///
/// ```
/// use quarterstop::base::slug::slug;
/// assert_eq!(slug("Corner NE / low", "camera"), "corner-ne-low");
/// assert_eq!(slug("../../etc", "venue"), "etc");
/// assert_eq!(slug("東", "camera"), "camera");
/// ```
pub fn slug(name: &str, fallback: &str) -> String {
    let mut slug = String::new();
    for c in name.chars() {
        if c.is_ascii_alphanumeric() {
            slug.push(c.to_ascii_lowercase());
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
        if slug.len() >= MAX_LENGTH {
            break;
        }
    }
    let slug = slug.trim_end_matches('-');
    if slug.is_empty() { fallback.to_owned() } else { slug.to_owned() }
}

/// One slug for each name, in order, no two alike: a later name that meets one
/// already taken gets the next free number behind it.
///
/// ```
/// use quarterstop::base::slug::unique_slugs;
/// assert_eq!(unique_slugs(["Gantry", "gantry!", "gantry 2"], "camera"),
///     ["gantry", "gantry-3", "gantry-2"]);
/// ```
pub fn unique_slugs<'a>(names: impl IntoIterator<Item = &'a str>, fallback: &str) -> Vec<String> {
    let wanted: Vec<String> = names.into_iter().map(|n| slug(n, fallback)).collect();
    let mut given: Vec<String> = Vec::with_capacity(wanted.len());
    for (index, base) in wanted.iter().enumerate() {
        // a number is free only if no other name asks for it either
        let taken = |s: &String| given.contains(s) || wanted.iter().skip(index + 1).any(|w| w == s);
        let chosen = if given.contains(base) {
            (2..)
                .map(|n| format!("{base}-{n}"))
                .find(|s| !taken(s))
                .unwrap_or_else(|| format!("{base}-{index}"))
        } else {
            base.clone()
        };
        given.push(chosen);
    }
    given
}

/// Unique slugs with underscores: keys of JSON objects and parts of CSV columns.
pub fn unique_ids<'a>(names: impl IntoIterator<Item = &'a str>, fallback: &str) -> Vec<String> {
    unique_slugs(names, fallback).into_iter().map(|s| s.replace('-', "_")).collect()
}
