//! Where the work stands.

use super::run::Stage;

/// Where the work stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Phase {
    /// No card. Exists so that the machine's own state (spool, balance) has a place to be seen.
    #[default]
    Waiting,
    /// The card is being listed. Exists because a large card takes seconds and must not be pulled meanwhile.
    Reading,
    /// The card holds no job. Exists because a learner with only a model file needs to be told what is missing.
    Nothing,
    /// The list of jobs.
    Jobs {
        /// Rank of the chosen job, 0 = newest.
        chosen: u16,
        /// Jobs on the card.
        jobs: u16,
    },
    /// The confirmation screen of the chosen job.
    Verdict {
        /// Rank of the chosen job.
        chosen: u16,
        /// Jobs on the card.
        jobs: u16,
        /// Points found so far.
        points: u8,
    },
    /// One point of the chosen job.
    Points {
        /// Rank of the chosen job.
        chosen: u16,
        /// Jobs on the card.
        jobs: u16,
        /// Points found so far, at least 1.
        points: u8,
        /// The point on the screen, 0 = worst.
        point: u8,
        /// Whether its remedy is shown rather than its facts.
        remedy: bool,
    },
    /// The card cannot be read. Exists so that the reason and the remedy stay until the card is taken out.
    Fault,
    /// A lead's key is being entered, then its reason. Exists because a HOLD that may be opened is opened by nobody
    /// else, and never without a reason.
    Key {
        /// Digits entered, 0 to 4; 4 = the reason is asked.
        entered: u8,
        /// The digit on the knob.
        digit: u8,
    },
    /// The hand checks. Exists because nothing here can see a plate, a spool or a nozzle.
    Walk,
    /// The hold point itself: press and hold.
    Release,
    /// The card went out in the walk-round. Exists so that answers are not lost to a card pulled too soon, and so
    /// that a card changed meanwhile is found out.
    Away,
    /// After the release.
    Released(Stage),
}

impl Phase {
    /// Whether the gate was opened for the job at hand and a machine may be running.
    #[must_use]
    pub const fn is_released(self) -> bool {
        self.stage().is_some()
    }

    /// The stage after the release.
    #[must_use]
    pub const fn stage(self) -> Option<Stage> {
        match self {
            Self::Released(stage) => Some(stage),
            Self::Waiting
            | Self::Reading
            | Self::Nothing
            | Self::Jobs { .. }
            | Self::Verdict { .. }
            | Self::Points { .. }
            | Self::Fault
            | Self::Key { .. }
            | Self::Walk
            | Self::Release
            | Self::Away => None,
        }
    }
}
