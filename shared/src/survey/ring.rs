//! A queue that is read in place.
//!
//! The library's hands its first item out by copying it, which on a small board costs as much as what is done with a
//! move; here it stays where it is until another one is put there.

/// Up to `N` items, a power of two; put behind all others, taken from both ends.
#[derive(Clone, Debug)]
pub(super) struct Ring<T, const N: usize> {
    places: [T; N],
    /// How many ever went, and how many were ever put, wrapping.
    gone: usize,
    put: usize,
}

impl<T: Copy + Default, const N: usize> Ring<T, N> {
    const HOLDS: () = assert!(N.is_power_of_two(), "places are counts with a mask");

    pub(super) fn new() -> Self {
        const { Self::HOLDS };
        Self { places: [T::default(); N], gone: 0, put: 0 }
    }

    pub(super) const fn len(&self) -> usize {
        self.put.wrapping_sub(self.gone)
    }

    pub(super) const fn is_empty(&self) -> bool {
        self.put == self.gone
    }

    /// The first item.
    #[inline(always)]
    pub(super) fn front(&self) -> Option<&T> {
        if self.is_empty() { None } else { self.places.get(self.gone & (N - 1)) }
    }

    /// The first item goes.
    #[inline(always)]
    pub(super) const fn drop_front(&mut self) {
        if !self.is_empty() {
            self.gone = self.gone.wrapping_add(1);
        }
    }

    /// The last item.
    #[inline(always)]
    pub(super) fn back(&self) -> Option<&T> {
        if self.is_empty() { None } else { self.places.get(self.put.wrapping_sub(1) & (N - 1)) }
    }

    /// The last item goes.
    #[inline(always)]
    pub(super) const fn drop_back(&mut self) {
        if !self.is_empty() {
            self.put = self.put.wrapping_sub(1);
        }
    }

    /// Puts one behind all others. One that finds no room is not put.
    #[inline(always)]
    pub(super) fn push_back(&mut self, item: T) {
        if self.len() == N {
            return;
        }
        if let Some(old) = self.places.get_mut(self.put & (N - 1)) {
            *old = item;
        }
        self.put = self.put.wrapping_add(1);
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
            let (mut ring, mut queue) = (Ring::<usize, 8>::new(), VecDeque::new());
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
                        if queue.len() < 8 {
                            queue.push_back(number);
                        }
                    }
                }
                prop_assert_eq!((ring.front(), ring.back(), ring.len()), (queue.front(), queue.back(), queue.len()));
            }
        }
    }
}
