//! The slot of a device: a card that is in it, with its volume mounted.

use self_cell::{MutBorrow, self_cell};

use anyhow::Result;
use holdpoint_shared::app::Event;
use holdpoint_shared::media::MediaError;

use crate::source::{Files, Source};

/// The files of the card, or what is wrong with it.
type Mounted<'s> = Result<Files<'s>, MediaError>;

self_cell!(
    struct Inserted {
        owner: MutBorrow<Source>,
        #[not_covariant]
        dependent: Mounted,
    }
);

/// A card that is in.
pub struct CardIn(Inserted);

impl std::fmt::Debug for CardIn {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("CardIn").finish_non_exhaustive()
    }
}

impl CardIn {
    /// Puts a card in; gives what the device is told.
    ///
    /// # Errors
    /// When there is nothing to be opened.
    pub fn insert(source: Source) -> Result<(Self, Event)> {
        if let Some(card) = source.memory_card() {
            card.set_present(true);
        }
        let mut inserted = Inserted::try_new(MutBorrow::new(source), |source| source.borrow_mut().mount())?;
        let event = inserted.with_dependent_mut(|_, mounted| match mounted {
            Ok(_) => Event::CardInserted,
            Err(fault) => Event::CardUnreadable(*fault),
        });
        Ok((Self(inserted), event))
    }

    /// Lends the card's files; `None` where they cannot be read.
    pub fn with<R>(&mut self, lend: impl FnOnce(Option<&mut Files<'_>>) -> R) -> R {
        self.0.with_dependent_mut(|_, mounted| lend(mounted.as_mut().ok()))
    }

    /// Takes the card out.
    #[must_use]
    pub fn remove(self) -> Source {
        let source = self.0.into_owner().into_inner();
        if let Some(card) = source.memory_card() {
            card.set_present(false);
        }
        source
    }
}
