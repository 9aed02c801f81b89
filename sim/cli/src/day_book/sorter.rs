//! Sorts more than fits into memory: sorted runs on a temporary file without a name, merged as they are read.

use std::cmp::Ordering;
use std::collections::BinaryHeap;
use std::fs::File;
use std::io::{Read, Seek, SeekFrom, Write};

use anyhow::{Context, Result};
use serde::Serialize;
use serde::de::DeserializeOwned;

/// Values of a run: some megabytes (judgement).
const RUN: usize = 8_192;

/// Bytes of a run that are read at once.
const READ_BYTES: usize = 16 << 10;

/// What can be sorted.
pub trait Sorted: Serialize + DeserializeOwned {
    /// The order.
    fn order(&self, other: &Self) -> Ordering;
}

/// Takes values in any order; those that are equal keep theirs.
#[derive(Debug)]
pub struct Sorter<T> {
    run: Vec<T>,
    /// The runs that are on the disk: where each begins and ends.
    runs: Vec<(u64, u64)>,
    file: Option<File>,
}

impl<T> Default for Sorter<T> {
    fn default() -> Self {
        Self { run: Vec::new(), runs: Vec::new(), file: None }
    }
}

impl<T: Sorted> Sorter<T> {
    /// Takes one more.
    ///
    /// # Errors
    /// When the temporary file cannot be written.
    pub fn push(&mut self, value: T) -> Result<()> {
        self.run.push(value);
        if self.run.len() == RUN { self.spill().context(SPILL) } else { Ok(()) }
    }

    fn spill(&mut self) -> Result<()> {
        self.run.sort_by(T::order);
        let file = match &mut self.file {
            Some(file) => file,
            none => none.insert(tempfile::tempfile()?),
        };
        let begin = file.seek(SeekFrom::End(0))?;
        let mut lines = Vec::new();
        for value in self.run.drain(..) {
            serde_json::to_writer(&mut lines, &value)?;
            lines.push(b'\n');
        }
        file.write_all(&lines)?;
        self.runs.push((begin, begin + lines.len() as u64));
        Ok(())
    }

    /// All of them in their order.
    ///
    /// # Errors
    /// When the temporary file cannot be read.
    pub fn merge(mut self) -> Result<Merged<T>> {
        self.run.sort_by(T::order);
        let mut merged = Merged { file: self.file, runs: Vec::new(), heads: BinaryHeap::new() };
        let on_disk = self.runs.into_iter();
        merged.runs.extend(on_disk.map(|(at, end)| Run::Disk { at, end, bytes: Vec::new(), used: 0 }));
        // The last run is the latest.
        merged.runs.push(Run::Memory(self.run.into_iter()));
        for run in 0..merged.runs.len() {
            merged.next_of(run)?;
        }
        Ok(merged)
    }
}

const SPILL: &str = "sorting the rows needs a temporary file; is there space left? set TMPDIR to a folder that can be written";

/// The values of a [`Sorter`] in their order.
#[derive(Debug)]
pub struct Merged<T> {
    file: Option<File>,
    runs: Vec<Run<T>>,
    heads: BinaryHeap<Head<T>>,
}

#[derive(Debug)]
enum Run<T> {
    Disk { at: u64, end: u64, bytes: Vec<u8>, used: usize },
    Memory(std::vec::IntoIter<T>),
}

/// The least value that is left of a run. The greatest head is the one that comes next.
#[derive(Debug)]
struct Head<T> {
    value: T,
    run: usize,
}

impl<T: Sorted> Merged<T> {
    /// The next one.
    ///
    /// # Errors
    /// When the temporary file cannot be read.
    pub fn take(&mut self) -> Result<Option<T>> {
        let Some(Head { value, run }) = self.heads.pop() else { return Ok(None) };
        self.next_of(run)?;
        Ok(Some(value))
    }

    fn next_of(&mut self, run: usize) -> Result<()> {
        let value = match self.runs.get_mut(run) {
            Some(Run::Memory(values)) => values.next(),
            Some(Run::Disk { at, end, bytes, used }) => match &mut self.file {
                Some(file) => read(file, (at, *end), bytes, used).context(SPILL)?,
                None => None,
            },
            None => None,
        };
        self.heads.extend(value.map(|value| Head { value, run }));
        Ok(())
    }
}

/// The next line of a run as a value.
fn read<T: Sorted>(
    file: &mut File,
    (at, end): (&mut u64, u64),
    bytes: &mut Vec<u8>,
    used: &mut usize,
) -> Result<Option<T>> {
    loop {
        let rest = bytes.get(*used..).unwrap_or_default();
        if let Some(length) = rest.iter().position(|byte| *byte == b'\n') {
            let value = serde_json::from_slice(rest.get(..length).unwrap_or_default())?;
            *used += length + 1;
            return Ok(Some(value));
        }
        if *at == end {
            return Ok(None);
        }
        bytes.drain(..std::mem::take(used));
        file.seek(SeekFrom::Start(*at))?;
        let read = file.take((end - *at).min(READ_BYTES as u64)).read_to_end(bytes)?;
        anyhow::ensure!(read > 0, "the temporary file is shorter than it was");
        *at += read as u64;
    }
}

impl<T: Sorted> Ord for Head<T> {
    fn cmp(&self, other: &Self) -> Ordering {
        other.value.order(&self.value).then_with(|| other.run.cmp(&self.run))
    }
}

impl<T: Sorted> PartialOrd for Head<T> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<T: Sorted> PartialEq for Head<T> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl<T: Sorted> Eq for Head<T> {}

#[cfg(test)]
mod tests {
    use serde::Deserialize;

    use super::*;

    #[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
    struct Pair(u32, usize, String);

    impl Sorted for Pair {
        fn order(&self, other: &Self) -> Ordering {
            self.0.cmp(&other.0)
        }
    }

    #[test]
    fn many_runs_are_merged_and_equal_values_keep_their_order() {
        for count in [0, 1, RUN - 1, RUN, RUN + 1, 3 * RUN + 7] {
            // Few keys, so that most values have equals in every run.
            let text = |at: usize| "x\n\"".repeat(at % 5);
            let pairs: Vec<Pair> = (0..count)
                .map(|at| Pair((at as u32).wrapping_mul(2_654_435_761) % 101, at, text(at)))
                .collect();
            let mut sorter = Sorter::default();
            pairs.iter().for_each(|pair| sorter.push(pair.clone()).unwrap());
            let mut merged = sorter.merge().unwrap();
            let sorted: Vec<Pair> = std::iter::from_fn(|| merged.take().unwrap()).collect();
            let mut wanted = pairs;
            wanted.sort_by_key(|pair| pair.0);
            assert!(sorted == wanted, "{count}");
        }
    }
}
