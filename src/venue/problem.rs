//! What is wrong with a venue file, key by key.
//!
//! In: findings of the reader and of the builders. Out: a list in which each
//! entry names its key, what was found, what is allowed and how to mend it.

/// One mistake in a venue file.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// Where: the key's path, such as `stand[2].roof.front_height_m`. Counting
    /// of repeated tables starts at 0.
    pub key: String,
    /// What the table around the key is called, such as `Mill Stand`.
    pub name: Option<String>,
    /// What the file says.
    pub found: String,
    /// What it may say.
    pub allowed: String,
    /// How to mend it, where that is not plain.
    pub help: Option<String>,
}

impl Problem {
    /// Name and key, as messages begin with them; empty where the whole file is meant.
    pub fn place(&self) -> String {
        match &self.name {
            Some(name) => format!("{name}, {}", self.key),
            None => self.key.clone(),
        }
    }
}

/// A count with its noun: "1 camera", "5 cameras".
pub(crate) fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

/// Collects problems, so that several are reported together.
#[derive(Debug, Default)]
pub struct Problems {
    list: Vec<Problem>,
    /// Of those in the list that name a key which nothing knows: JSON pointer of the table and
    /// the key in it.
    unknown: Vec<(String, String)>,
}

impl Problems {
    /// How many so far.
    pub(crate) fn len(&self) -> usize {
        self.list.len()
    }

    /// Notes a problem.
    pub fn add(
        &mut self,
        key: impl Into<String>,
        found: impl Into<String>,
        allowed: impl Into<String>,
    ) {
        self.list.push(Problem {
            key: key.into(),
            name: None,
            found: found.into(),
            allowed: allowed.into(),
            help: None,
        });
    }

    /// Notes a problem with advice.
    pub fn add_with_help(
        &mut self,
        key: impl Into<String>,
        found: impl Into<String>,
        allowed: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.add(key, found, allowed);
        if let Some(last) = self.list.last_mut() {
            last.help = Some(help.into());
        }
    }

    /// Notes a key that nothing knows, in the table at a JSON pointer.
    pub(super) fn add_unknown(&mut self, table: &str, key: &str, path: String, help: String) {
        let found = format!("an unknown key `{key}`");
        self.add_with_help(path, found, "a key that is known here", help);
        self.unknown.push((table.to_owned(), key.to_owned()));
    }

    /// The unknown keys, where nothing else is wrong.
    pub(super) fn only_unknown(&self) -> Option<&[(String, String)]> {
        (self.unknown.len() == self.list.len()).then_some(&self.unknown)
    }

    /// Notes a problem that was found elsewhere.
    pub(super) fn push(&mut self, problem: Problem) {
        self.list.push(problem);
    }

    /// Whether nothing was found.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// All that was found.
    pub fn into_list(self) -> Vec<Problem> {
        self.list
    }
}
