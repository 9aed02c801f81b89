//! A queue that is read in place.
//!
//! The library's hands its first item out by copying it, which on a small board costs as much as what is done with a
//! move; here it stays where it is until another one is put there.

/// Up to `N` items; put behind all others, taken from both ends.
#[derive(Clone, Debug)]
pub(super) struct Ring<T, const N: usize> {
    places: [T; N],
    first: usize,
    len: usize,
}

impl<T: Copy + Default, const N: usize> Ring<T, N> {
    pub(super) fn new() -> Self {
        Self { places: [T::default(); N], first: 0, len: 0 }
    }

    pub(super) const fn len(&self) -> usize {
        self.len
    }

    /// The first item.
    #[inline(always)]
    pub(super) fn front(&self) -> Option<&T> {
        if self.len == 0 { None } else { self.places.get(self.place(0)) }
    }

    /// The first item goes.
    #[inline(always)]
    pub(super) const fn drop_front(&mut self) {
        if self.len > 0 {
            self.len -= 1;
            // Where `N` is a power of two, a mask.
            self.first = (self.first + 1) % N;
        }
    }

    /// Where the item stands that is `after` the first one.
    #[inline(always)]
    const fn place(&self, after: usize) -> usize {
        (self.first + after) % N
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
        if let Some(old) = self.places.get_mut(place) {
            *old = item;
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
