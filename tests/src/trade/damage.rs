//! What a failing card does to a file: blocks lost, repeated, swapped or scrambled.

use super::rng::Rng;

/// Kinds of damage, as the guide's table names them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Damage {
    Lost,
    Repeated,
    Swapped,
    Scrambled,
}

impl Damage {
    pub const ALL: [Self; 4] = [Self::Lost, Self::Repeated, Self::Swapped, Self::Scrambled];

    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Lost => "lost",
            Self::Repeated => "repeated",
            Self::Swapped => "two swapped",
            Self::Scrambled => "scrambled",
        }
    }
}

/// A file with one damage of `size` bytes in its middle four fifths.
#[must_use]
pub fn damaged(bytes: &[u8], damage: Damage, size: usize, rng: &mut Rng) -> Vec<u8> {
    let (least, most) = (bytes.len() / 10, bytes.len() * 9 / 10 - size);
    let at = least + rng.below(most.saturating_sub(least));
    let block = &bytes[at..at + size];
    let mut out = bytes.to_vec();
    match damage {
        Damage::Lost => drop(out.drain(at..at + size)),
        Damage::Repeated => {
            // As a chain of clusters that names one twice: the block stands again in place of the next.
            let end = (at + 2 * size).min(out.len());
            let next = at + size..end;
            if rng.chance(50) {
                out.splice(next, block.iter().copied());
            } else {
                out.splice(at + size..at + size, block.iter().copied());
            }
        }
        Damage::Swapped => {
            let mut other = least + rng.below(most.saturating_sub(least));
            if other.abs_diff(at) < size {
                other = if at > bytes.len() / 2 { at - size } else { at + size };
            }
            out[at..at + size].copy_from_slice(&bytes[other..other + size]);
            out[other..other + size].copy_from_slice(block);
        }
        // The same bytes in pieces of 1 to 16, mixed: text is still text.
        Damage::Scrambled => {
            let mut pieces = Vec::new();
            let mut from = 0;
            while from < size {
                let to = (from + 1 + rng.below(16)).min(size);
                pieces.push(&block[from..to]);
                from = to;
            }
            for i in (1..pieces.len()).rev() {
                pieces.swap(i, rng.below(i + 1));
            }
            out.splice(at..at + size, pieces.concat());
        }
    }
    out
}
