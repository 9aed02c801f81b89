//! What a loss leaves behind, put in order: it is named in the flash itself, and what must not be taken for newer than
//! it is goes away.

use embedded_storage::nor_flash::NorFlash;

use super::LedgerError;
use super::kind::Kind;
use super::layout::ROW_HEAD;
use super::long::HEAD;
use super::losses::{Losses, Lost};
use super::places::ValuePlace;
use super::store::Store;

/// Rounds at most: while a loss is written down, another may be found.
const ROUNDS: u8 = 4;

impl Kind {
    /// Values in pieces.
    const LONG: [Self; 5] =
        [Self::RunState, Self::MachineSheet, Self::SpoolTicket, Self::RoomRules, Self::Picture];

    /// Whether an older value is better than none, once somebody knows that it is older: balances, what was learned,
    /// the records. An older run would be resumed where it no longer is, and an older point be settled that is not.
    const fn is_kept(self) -> bool {
        match self {
            Self::RunNumber
            | Self::Machine
            | Self::Hold
            | Self::Spool
            | Self::Learned
            | Self::Losses
            // One that is older was on a card already, and the book knows each by its number.
            | Self::WaitingRow
            | Self::GivenUp
            | Self::MachineSheet
            | Self::SpoolTicket
            | Self::RoomRules => true,
            Self::Settled | Self::Event | Self::RunState | Self::Picture => false,
        }
    }
}

impl<F: NorFlash> Store<F> {
    /// The flash's own list of losses, in the buffer.
    pub(super) fn recall_losses(&mut self) {
        let Some((losses, known)) = self.buffer.get(ROW_HEAD..).and_then(Losses::read) else { return };
        self.losses = losses;
        self.losses_known = self.losses_known.max(known);
    }

    /// Writes down what was lost, and takes away what only looks like the newest.
    pub(super) fn settle(&mut self) -> Result<(), LedgerError> {
        if self.settling {
            return Ok(());
        }
        self.settling = true;
        let mut done = Ok(());
        for _ in 0..ROUNDS {
            if !self.unsettled || done.is_err() {
                break;
            }
            self.unsettled = false;
            done = self.settle_once();
            self.unsettled |= done.is_err();
        }
        self.settling = false;
        done
    }

    #[inline(never)]
    fn settle_once(&mut self) -> Result<(), LedgerError> {
        let before = self.losses;
        let rows = core::mem::take(&mut self.lost_rows);
        let mut doubtful = core::mem::take(&mut self.lost_unknown);
        if doubtful {
            self.losses.add(Lost::Unknown);
            if self.places.get(Kind::RunNumber.key(0)).is_none() {
                self.name(Kind::RunNumber.key(0), rows);
            }
        }
        for kind in Kind::LONG {
            let whole = self.is_whole(kind)?;
            // Its own checksum says that all of it belongs together, unless the head itself is an older one.
            if whole && !self.places.is_doubtful(kind.key(HEAD)) {
                self.places.believe(|key| kind.has(key));
            } else if !whole {
                self.losses.add(Lost::of(kind));
            }
        }
        let mut next = self.places.from(0);
        while let Some(ValuePlace { key, doubtful: lost, .. }) = next {
            if lost {
                self.name(key, rows);
                doubtful = true;
            }
            next = self.places.from(key.saturating_add(1));
        }
        if !doubtful && self.losses == before {
            // What was lost had been replaced since.
            return Ok(());
        }
        self.losses.add_rows(rows);
        // First the names, then what follows from them, then that all this is done.
        let lost_to = self.count;
        self.put(Kind::Losses.key(0), self.losses.write(self.losses_known).row())?;
        for kind in Kind::ALL {
            self.take_away(kind)?;
        }
        self.losses_known = lost_to;
        self.put(Kind::Losses.key(0), self.losses.write(lost_to).row())?;
        self.places.believe_all();
        Ok(())
    }

    fn name(&mut self, key: u16, rows: u16) {
        let [_, number] = key.to_be_bytes();
        for kind in Kind::ALL.into_iter().filter(|kind| kind.has(key)) {
            match kind {
                Kind::Spool => self.losses.add_spool(number),
                Kind::RunNumber => self.lost_runs = self.lost_runs.saturating_add(rows),
                _ => {}
            }
            self.losses.add(Lost::of(kind));
        }
    }

    /// Of a kind whose newest value is not known, takes away what must not pass for it.
    fn take_away(&mut self, kind: Kind) -> Result<(), LedgerError> {
        if Kind::LONG.contains(&kind) {
            let whole = self.is_whole(kind)?;
            return if whole && (kind.is_kept() || !self.places.is_doubtful(kind.key(HEAD))) {
                Ok(())
            } else {
                self.remove(kind.key(HEAD))
            };
        }
        if kind.is_kept() {
            return Ok(());
        }
        let mut next = self.places.from(kind.key(0)).filter(|place| kind.has(place.key));
        while let Some(place) = next {
            if place.doubtful {
                self.remove(place.key)?;
            }
            next = self.places.from(place.key.saturating_add(1)).filter(|place| kind.has(place.key));
        }
        Ok(())
    }
}
