//! A queue that is read in place.
//!
//! The library's hands its first item out by copying it, which on a small board costs as much as what is done with a
//! move; here it stays where it is until another one is put there.

use heapless::Vec;

/// Up to `N` items, first in, first out.
#[derive(Clone, Debug)]
pub(super) struct Ring<T, const N: usize> {
    /// All places that were ever filled.
    places: Vec<T, N>,
    first: usize,
    len: usize,
}

impl<T, const N: usize> Ring<T, N> {
    pub(super) const fn new() -> Self {
        Self { places: Vec::new(), first: 0, len: 0 }
    }

    pub(super) const fn len(&self) -> usize {
        self.len
    }

    /// The first item.
    #[inline(always)]
    pub(super) fn front(&self) -> Option<&T> {
        if self.len == 0 { None } else { self.places.get(self.first) }
    }

    /// The first item goes.
    #[inline(always)]
    pub(super) const fn drop_front(&mut self) {
        if self.len > 0 {
            self.len -= 1;
            self.first += 1;
            if self.first == N {
                self.first = 0;
            }
        }
    }

    /// Puts one behind all others. One that finds no room is not put.
    #[inline(always)]
    pub(super) fn push_back(&mut self, item: T) {
        if self.len == N {
            return;
        }
        let mut place = self.first + self.len;
        if place >= N {
            place -= N;
        }
        self.len += 1;
        match self.places.get_mut(place) {
            Some(old) => *old = item,
            // The first round fills one place after the other.
            None => drop(self.places.push(item)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::VecDeque;

    proptest! {
        /// As the standard library's queue, whatever is put and taken.
        #[test]
        fn first_in_first_out(steps in proptest::collection::vec(any::<bool>(), 0..200)) {
            let (mut ring, mut queue) = (Ring::<usize, 5>::new(), VecDeque::new());
            for (number, put) in steps.into_iter().enumerate() {
                if put {
                    ring.push_back(number);
                    if queue.len() < 5 {
                        queue.push_back(number);
                    }
                } else {
                    ring.drop_front();
                    queue.pop_front();
                }
                prop_assert_eq!((ring.front(), ring.len()), (queue.front(), queue.len()));
            }
        }
    }
}
