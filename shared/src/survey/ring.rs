//! A queue that is read in place.
//!
//! The library's hands its first item out by copying it, which on a small board costs as much as what is done with a
//! move; here it stays where it is until another one is put there.

use heapless::Vec;

/// Up to `N` items; put behind all others, taken from both ends.
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

    /// Where the item stands that is `after` the first one.
    #[inline(always)]
    const fn place(&self, after: usize) -> usize {
        let place = self.first + after;
        if place >= N { place - N } else { place }
    }

    /// The last item.
    #[inline(always)]
    pub(super) fn back(&self) -> Option<&T> {
        if self.len == 0 { None } else { self.places.get(self.place(self.len - 1)) }
    }

    /// The last item goes.
    #[inline(always)]
    pub(super) const fn drop_back(&mut self) {
        self.len = self.len.saturating_sub(1);
    }

    /// Puts one behind all others. One that finds no room is not put.
    #[inline(always)]
    pub(super) fn push_back(&mut self, item: T) {
        if self.len == N {
            return;
        }
        let place = self.place(self.len);
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
        fn as_a_queue(steps in proptest::collection::vec(0_u8..4, 0..200)) {
            let (mut ring, mut queue) = (Ring::<usize, 5>::new(), VecDeque::new());
            for (number, step) in steps.into_iter().enumerate() {
                match step {
                    0 => {
                        ring.drop_front();
                        queue.pop_front();
                    }
                    1 => {
                        ring.drop_back();
                        queue.pop_back();
                    }
                    _ => {
                        ring.push_back(number);
                        if queue.len() < 5 {
                            queue.push_back(number);
                        }
                    }
                }
                prop_assert_eq!((ring.front(), ring.back(), ring.len()), (queue.front(), queue.back(), queue.len()));
            }
        }
    }
}
