//! Hands that change rows.

use super::super::Draft;
use super::super::pen::{At, Row};
use super::super::rng::Rng;

/// The value of a word such as `X12.5` in a row's words.
#[must_use]
pub fn value(words: &str, letter: char) -> Option<f64> {
    words.split(' ').skip(1).find_map(|word| word.strip_prefix(letter)).and_then(|text| text.parse().ok())
}

/// A row's words with one value changed.
pub fn change(row: &mut Row, letter: char, f: impl Fn(f64) -> f64) {
    if row.words.starts_with("G92") || row.words.starts_with('M') {
        return;
    }
    let words: Vec<String> = row
        .words
        .split(' ')
        .enumerate()
        .map(|(n, word)| match word.strip_prefix(letter).and_then(|text| text.parse::<f64>().ok()) {
            Some(old) if n > 0 => format!("{letter}{:.5}", f(old)),
            _ => word.to_owned(),
        })
        .collect();
    row.words = words.join(" ");
}

impl Draft {
    pub fn change_all(&mut self, letter: char, f: impl Fn(f64) -> f64) {
        self.rows.iter_mut().for_each(|row| change(row, letter, &f));
    }

    /// A row inserted before another.
    pub fn insert(&mut self, index: usize, words: &str) {
        let (at, to) = self.rows.get(index).map_or((At::End, [0.0; 3]), |row| (row.at, row.to));
        let row = Row { at, words: words.to_owned(), remark: String::new(), lays: false, travel: false, to };
        self.rows.insert(index.min(self.rows.len()), row);
    }

    /// The first row of a layer, and the one after its last.
    #[must_use]
    pub fn layer(&self, number: u32) -> Option<(usize, usize)> {
        let first = self.rows.iter().position(|row| row.at == At::Layer(number))?;
        let last = self.rows.iter().rposition(|row| row.at == At::Layer(number))?;
        Some((first, last + 1))
    }

    /// A row that lays plastic somewhere in the middle of the job, after layer 1.
    pub fn bead(&self, rng: &mut Rng) -> Option<usize> {
        let beads: Vec<usize> = (0..self.rows.len())
            .filter(|i| self.rows[*i].lays && matches!(self.rows[*i].at, At::Layer(n) if n > 1))
            .collect();
        let middle = beads.get(beads.len() / 5..beads.len() * 4 / 5)?;
        (!middle.is_empty()).then(|| middle[rng.below(middle.len())])
    }

    /// A layer somewhere in the middle of a job with enough of them.
    pub fn middle_layer(&self, rng: &mut Rng) -> Option<u32> {
        (self.facts.layers >= 10).then(|| 3 + rng.below(self.facts.layers as usize - 6) as u32)
    }

    pub fn first_with(&self, start: &str) -> Option<usize> {
        self.rows.iter().position(|row| row.words == start || row.words.starts_with(&format!("{start} ")))
    }

    /// Takes away every row whose words begin so.
    pub fn drop_all(&mut self, starts: &[&str]) -> bool {
        let before = self.rows.len();
        let begins = |row: &Row| {
            starts.iter().any(|start| row.words == *start || row.words.starts_with(&format!("{start} ")))
        };
        self.rows.retain(|row| !begins(row));
        self.rows.len() < before
    }

    /// Text put into the written bytes after so many lines' ends.
    pub fn write_raw(&mut self, row: usize, text: &[u8]) {
        let (head, tail) = self.rows.split_at(row.min(self.rows.len()));
        let numbered = self.style.numbered;
        let mut bytes = super::super::body_of(head, &self.style);
        bytes.extend_from_slice(text);
        let mut style = self.style.clone();
        style.numbered = false;
        bytes.extend_from_slice(&super::super::body_of(tail, if numbered { &style } else { &self.style }));
        self.bytes = Some(bytes);
    }
}
