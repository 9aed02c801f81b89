//! Planting a fault in a job's own text.

use holdpoint_shared::app::Setup;
use holdpoint_shared::records::{Machine, Room, Spool};

use super::{CardFaults, Job};

impl Job {
    /// The job's text.
    #[must_use]
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.files[0].1).into_owned()
    }

    /// With its text changed.
    #[must_use]
    pub fn edited(mut self, change: impl FnOnce(String) -> String) -> Self {
        self.files[0].1 = change(self.text()).into_bytes();
        self
    }

    /// With its bytes changed.
    #[must_use]
    pub fn damaged(mut self, change: impl FnOnce(&mut Vec<u8>)) -> Self {
        change(&mut self.files[0].1);
        self
    }

    /// With other text in the first place where a text stands.
    ///
    /// # Panics
    /// When it does not stand there: the fault would not be planted.
    #[must_use]
    pub fn with(self, text: &str, other: &str) -> Self {
        assert!(self.text().contains(text), "{}: no {text:?}", self.what);
        self.edited(|job| job.replacen(text, other, 1))
    }

    /// With other text in all places where a text stands.
    ///
    /// # Panics
    /// When it stands nowhere: the fault would not be planted.
    #[must_use]
    pub fn with_all(self, text: &str, other: &str) -> Self {
        assert!(self.text().contains(text), "{}: no {text:?}", self.what);
        self.edited(|job| job.replace(text, other))
    }

    /// With the setup changed.
    #[must_use]
    pub fn setup(mut self, change: impl FnOnce(&mut Setup)) -> Self {
        change(&mut self.setup);
        self
    }

    /// With the machine sheet changed.
    #[must_use]
    pub fn machine(self, change: impl FnOnce(&mut Machine)) -> Self {
        self.setup(|setup| change(&mut setup.machine))
    }

    /// With the spool ticket changed.
    #[must_use]
    pub fn spool(self, change: impl FnOnce(&mut Spool)) -> Self {
        self.setup(|setup| {
            if let Some(spool) = &mut setup.spool {
                change(spool);
            }
        })
    }

    /// With the room rules changed.
    #[must_use]
    pub fn room(self, change: impl FnOnce(&mut Room)) -> Self {
        self.setup(|setup| change(&mut setup.room))
    }

    /// At another hour and minute of the Wednesday.
    #[must_use]
    pub fn at(mut self, hour: u32, minute: u32) -> Self {
        self.now = Some(super::wednesday(hour, minute));
        self
    }

    /// With a clock that is not set.
    #[must_use]
    pub fn without_clock(mut self) -> Self {
        self.now = None;
        self
    }

    /// On a card with faults.
    #[must_use]
    pub fn on(mut self, card: CardFaults) -> Self {
        self.card = card;
        self
    }

    /// Under another name.
    #[must_use]
    pub fn named(mut self, name: &str) -> Self {
        name.clone_into(&mut self.files[0].0);
        self
    }

    /// With another file beside it, saved so many minutes before.
    #[must_use]
    pub fn beside(mut self, name: &str, minutes: i64) -> Self {
        self.files.push((name.to_owned(), b"M84\n".to_vec(), minutes));
        self
    }
}
