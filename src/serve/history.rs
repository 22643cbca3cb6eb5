//! The texts of a session, back to the first.
//!
//! In: each new text. Out: the one before, and the one after. Only what differs is kept, so
//! that a day of dragging takes little room.

/// What changed between two texts, and in words.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Step {
    /// Byte at which the texts begin to differ.
    at: usize,
    removed: String,
    inserted: String,
    what: String,
}

/// All texts, and which of them is the present one.
#[derive(Debug, Clone, Default)]
pub struct History {
    text: String,
    steps: Vec<Step>,
    /// Steps that are done; those behind them can be done again.
    done: usize,
}

impl History {
    /// Begins with a text.
    pub fn new(text: String) -> Self {
        Self { text, steps: Vec::new(), done: 0 }
    }

    /// The present text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Takes a new text; steps that were undone are gone.
    pub fn push(&mut self, text: String, what: String) {
        let (at, removed, inserted) = difference(&self.text, &text);
        let step = Step { at, removed: removed.to_owned(), inserted: inserted.to_owned(), what };
        self.steps.truncate(self.done);
        self.steps.push(step);
        self.done += 1;
        self.text = text;
    }

    pub fn can_undo(&self) -> bool {
        self.done > 0
    }

    pub fn can_redo(&self) -> bool {
        self.done < self.steps.len()
    }

    /// The text before.
    pub fn before(&self) -> Option<String> {
        let step = self.steps.get(self.done.checked_sub(1)?)?;
        Some(replaced(&self.text, step.at, step.inserted.len(), &step.removed))
    }

    /// The text after, where steps were undone.
    pub fn after(&self) -> Option<String> {
        let step = self.steps.get(self.done)?;
        Some(replaced(&self.text, step.at, step.removed.len(), &step.inserted))
    }

    /// Makes the text before the present one.
    pub fn undo(&mut self) {
        if let Some(text) = self.before() {
            self.text = text;
            self.done -= 1;
        }
    }

    /// Makes the text after the present one.
    pub fn redo(&mut self) {
        if let Some(text) = self.after() {
            self.text = text;
            self.done += 1;
        }
    }

    /// What was done, in words, newest last, at most so many.
    pub fn words(&self, most: usize) -> Vec<String> {
        let done = &self.steps[..self.done.min(self.steps.len())];
        done.iter().skip(done.len().saturating_sub(most)).map(|step| step.what.clone()).collect()
    }
}

/// Where two texts begin to differ, and what stands there in either.
fn difference<'a>(old: &'a str, new: &'a str) -> (usize, &'a str, &'a str) {
    let same =
        |pairs: &mut dyn Iterator<Item = (u8, u8)>| pairs.take_while(|(a, b)| a == b).count();
    let mut at = same(&mut old.bytes().zip(new.bytes()));
    while !old.is_char_boundary(at) || !new.is_char_boundary(at) {
        at -= 1;
    }
    let (old, new) = (&old[at..], &new[at..]);
    let mut tail = same(&mut old.bytes().rev().zip(new.bytes().rev()));
    while !old.is_char_boundary(old.len() - tail) || !new.is_char_boundary(new.len() - tail) {
        tail -= 1;
    }
    (at, &old[..old.len() - tail], &new[..new.len() - tail])
}

fn replaced(text: &str, at: usize, length: usize, with: &str) -> String {
    let (head, tail) = (text.get(..at).unwrap_or(text), text.get(at + length..).unwrap_or(""));
    [head, with, tail].concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_text_comes_back_in_either_direction() {
        let texts = ["", "top_m = 1\n", "top_m = 12 # é\n", "top_m = 12 # è\n", "é", "éé", "é"];
        let mut history = History::new(texts[0].to_owned());
        for text in &texts[1..] {
            history.push((*text).to_owned(), format!("to {text}"));
        }
        assert_eq!(history.words(2), ["to éé", "to é"]);
        for text in texts[..texts.len() - 1].iter().rev() {
            history.undo();
            assert_eq!(history.text(), *text);
        }
        assert!(!history.can_undo() && history.before().is_none());
        for text in &texts[1..] {
            history.redo();
            assert_eq!(history.text(), *text);
        }
        assert!(!history.can_redo());
        history.undo();
        history.push("other".to_owned(), "other".to_owned());
        assert!(!history.can_redo());
        history.undo();
        assert_eq!(history.text(), "éé");
    }
}
