//! Values of the table of a year, and their kinds.

/// A value of one row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum YearCell {
    Whole(i64),
    Real(f64),
    Word(&'static str),
    Empty,
}

impl YearCell {
    /// The number in it.
    pub fn number(self) -> Option<f64> {
        match self {
            YearCell::Real(value) => Some(value),
            YearCell::Whole(value) => Some(value as f64),
            YearCell::Word(_) | YearCell::Empty => None,
        }
    }

    pub fn word(self) -> Option<&'static str> {
        match self {
            YearCell::Word(word) => Some(word),
            _ => None,
        }
    }
}

/// What kind of value a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CellKind {
    /// Milliseconds since 1970-01-01T00:00Z.
    Instant,
    /// Days since 1970-01-01.
    Date,
    Whole,
    /// May be absent.
    Real,
    /// One of [`super::WORDS`]; may be absent.
    Word,
}
