//! What a value is, in its key.

/// What a value is: the high byte of its key. The low one is its number within the kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub(super) enum Kind {
    RunNumber = 2,
    Machine = 3,
    Hold = 4,
    Settled = 5,
    Spool = 6,
    Event = 7,
    Learned = 8,
    // 9 was a verdict's, in ledgers of earlier versions.
    Losses = 10,
    WaitingRow = 11,
    GivenUp = 12,
    RunState = 16,
    MachineSheet = 17,
    SpoolTicket = 18,
    RoomRules = 19,
    Picture = 20,
}

impl Kind {
    pub(super) const ALL: [Self; 15] = [
        Self::RunNumber,
        Self::Machine,
        Self::Hold,
        Self::Settled,
        Self::Spool,
        Self::Event,
        Self::Learned,
        Self::Losses,
        Self::WaitingRow,
        Self::GivenUp,
        Self::RunState,
        Self::MachineSheet,
        Self::SpoolTicket,
        Self::RoomRules,
        Self::Picture,
    ];

    pub(super) const fn key(self, number: u8) -> u16 {
        u16::from_be_bytes([self as u8, number])
    }

    pub(super) fn has(self, key: u16) -> bool {
        let [kind, _] = key.to_be_bytes();
        kind == self as u8
    }
}
