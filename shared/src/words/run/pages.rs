//! Which screens a run has besides its questions, and the terms that are put into them.

use crate::phase::{
    Answer, FirstLayer, LookAt, PartOff, PlateBack, Running, Seen, Shown, StartStep, StillRunning, Strip,
};

/// An enum with the list of its values.
macro_rules! listed {
    ($(#[$doc:meta])* $name:ident { $($(#[$of:meta])* $variant:ident,)+ }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        pub enum $name { $($(#[$of])* $variant,)+ }

        impl $name {
            /// Every one, in the order of its rows.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)+];
        }
    };
}

listed! {
    /// A screen of a run. The items that it takes, from `{0}` on, stand beside each.
    RunPage {
        /// HOLD: file and sticker differ. Job's mark, sticker's mark.
        WrongSpool,
        /// A code is put in. Its signs, the one on the knob last.
        CodeEntry,
        /// Somebody must be there when it ends, and nobody will. No items.
        NobodyThere,
        /// Press and hold. Name, percent of the holding, hand checks told.
        Release,
        /// The gate is open. Name as the printer shows it, place of the last hand check.
        MoveCard,
        /// A lead's key. The point's place, the key.
        LeadKey,
        /// It was another key. No items.
        KeyWrong,
        /// Too many were wrong. Time until one is taken again.
        KeyRests,
        /// A lead's key for anything but a HOLD. The key.
        DeskKey,
        /// A point that no key opens. No items.
        NoKey,
        /// The printer shows a job that was not vetted. No items.
        OtherJob,
        /// Name, the nozzle's rise, the plate's rise, time to the first move.
        WarmUp,
        /// The same, with the string to pull off. Name, nozzle now.
        WarmUpString,
        /// It takes too long. Usual time, time now.
        WarmSlow,
        /// It rises no more. Its rise.
        WarmStopped,
        /// It rises above its limit. Temperature, limit.
        Runaway,
        /// No current through the probe. The plate's heat.
        ProbeOpen,
        /// A short across the probe. The plate's heat.
        ProbeShort,
        /// Its reading is not to be believed. The plate's heat.
        ProbeOdd,
        /// Name, time left.
        Homing,
        /// Name, time left.
        Probing,
        /// Edge, length, time left.
        PurgeLine,
        /// The purge strip is thin. No items.
        StripThin,
        /// Nothing comes out. No items.
        NothingComes,
        /// The first layer comes loose. The plate's heat, the nozzle's.
        NotSticking,
        /// The first layer has gaps. No items.
        Gaps,
        /// The first layer is pressed too flat. No items.
        TooFlat,
        /// Strings. No items.
        Strings,
        /// It lies in a wrong place. No items.
        WrongPlace,
        /// A blob on the nozzle. No items.
        Blob,
        /// Owner code, time of the next look, what begins then, end.
        MayLeave,
        /// The same without a clock: owner code, time to the look, what begins then, time to the end.
        MayLeaveNoClock,
        /// Name, percent by time, end, next look, the plate's heat.
        Running,
        /// The same without a clock: times to the end and to the look.
        RunningNoClock,
        /// Its other side. Name, layer of layers, spool then, next look, what begins then.
        RunningMore,
        /// Its third side, where a person was told. Name, owner's code, who is in charge at its end, end, the plate's heat.
        RunningWho,
        /// The room shuts soon. The same.
        Closing,
        /// A look is due. Name, what begins, the plate's heat.
        LookDue,
        /// The part let go. No items.
        Strands,
        /// Layers are shifted. No items.
        Shifted,
        /// It stands still by itself. No items.
        StoodStill,
        /// Smoke, flame or arcing. No items.
        Smoke,
        /// A pause is due. Name, clock time, what to do, time until then.
        PauseSoon,
        /// It waits for a person. What to do, since when.
        PauseNow,
        /// Latest end, now, plate.
        HeatStillOn,
        /// Earliest end, now, plate.
        CoolingEarly,
        /// Time over, latest end, the plate's heat.
        Overdue,
        /// The plate's heat, time until it may be lifted, the nozzle's heat.
        ShouldBeDone,
        /// The same, the plate being cool enough to lift. The plate's heat, the nozzle's.
        DoneCool,
        /// The same, nothing being measured. The plate's heat, the nozzle's.
        DoneNoProbe,
        /// Name, time until the plate may be touched, time to release, the plate's heat, the nozzle's.
        Cooling,
        /// The plate may be touched, the part does not let go yet. Name, time to release, the plate's heat, the nozzle's.
        CoolingPart,
        /// The air in the housing is too warm to cool in. Air, limit, the plate's heat, the nozzle's.
        BoxWarm,
        /// No probe. Clock time until which to wait, the nozzle's heat.
        CoolingByClock,
        /// No probe and no clock. Time to wait, the nozzle's heat.
        CoolingByTime,
        /// Plate now, the nozzle's heat.
        MayLift,
        /// The same by clock, without a probe. The nozzle's heat.
        MayLiftByClock,
        /// Somebody lifts the plate before it has cooled. Time until it may be lifted, the plate's heat, the nozzle's.
        LiftHot,
        /// The part still holds. The nozzle's heat.
        PartHolds,
        /// The plate was lifted and is not back. Time since, the nozzle's heat.
        PlateOff,
        /// The last job is not closed out. Machine.
        NotFree,
        /// Machine, spool's mark, left, nozzle's bore, its hours, time to closing, longest job now.
        Free,
        /// Stopped in mid-job. Time to wait, the nozzle's heat.
        HotMess,
        /// The power was off during a run. Name, the plate's heat.
        PowerBack,
        /// The file is not the vetted one. No items.
        CardChanged,
        /// The card left before its verdict. No items.
        CardEarly,
        /// The day book's row stays in the device: the card is full or only read. No items.
        DayBookHere,
        /// A lead holds the machine. Reason, since when, the plate's heat.
        OutOfUse,
        /// A lead settled a point. The check's number.
        Settled,
        /// A lead undid that. The check's number.
        Unsettled,
        /// Records on the card are not those in use. No items.
        TakeOver,
        /// They were taken over. No items.
        TakenOver,
        /// The device itself failed. Code.
        DeviceFault,
        /// Something of the device's memory was lost, or only an older value is left. What it is.
        MemoryLost,
        /// The balance of a spool is an older one. The spool's number.
        BalanceLost,
        /// A row of the day book was given up: no card took it. The job's name, when it was started.
        RowLost,
        /// The device's flash holds something else, or failed. No items.
        MemoryForeign,
        /// The outer turn sticks. No items.
        SpoolSticks,
        /// Something is on the plate. The plate's heat, the nozzle's.
        PlateOccupied,
        /// There is no plate. The nozzle's heat.
        PlateMissing,
        /// The plate rocks. The plate's heat, the nozzle's.
        PlateRocks,
        /// The plate is not clean. The plate's heat, the nozzle's.
        PlateGreasy,
        /// An old strip lies where the new one goes. The plate's heat, the nozzle's.
        PurgeScrap,
        /// A blob on the nozzle before the start. No items.
        NozzleBlob,
        /// The wrong face is up. The plate's heat, the nozzle's.
        FaceOther,
        /// Release film is missing. The plate's heat, the nozzle's.
        FilmMissing,
        /// The ventilation is off. No items.
        VentOff,
        /// The door is open and wants to be shut. No items.
        ShutDoor,
        /// The door is shut and wants to be open. No items.
        OpenDoor,
        /// Something lies within 30 cm. No items.
        ClearRound,
        /// Bits were left. The nozzle's heat.
        BitsLeft,
        /// Nobody is sure of the plate. No items.
        GetHelp,
        /// The card went out before the release. No items.
        CardAway,
        /// It is back and is compared with the vetted file. Percent of the comparing.
        CardBack,
    }
}

listed! {
    /// A word that is put into a row; at most 21 characters, edges at most 12, what is laid at most 12.
    Term {
        /// Edge of the plate.
        FrontEdge,
        /// Edge of the plate.
        BackEdge,
        /// Edge of the plate.
        LeftEdge,
        /// Edge of the plate.
        RightEdge,
        /// No edge: within the plate.
        OnThePlate,
        /// What is laid: the head finds its zero.
        Homing,
        /// What is laid: the head feels the plate.
        Probing,
        /// What is laid: the purge strip.
        Purge,
        /// What is laid: the lines round the part.
        Skirt,
        /// What is laid: the first layer's outlines.
        Walls,
        /// What is laid: the first layer's filling.
        Infill,
        /// What is laid: the second layer.
        SecondLayer,
        /// What begins: nothing; whether it still holds.
        HoldsOn,
        /// What begins: the first layer ends.
        FirstLayerEnds,
        /// What begins: a quarter of the time is over.
        QuarterDone,
        /// What begins: supports.
        Supports,
        /// What begins: a bridge.
        Bridge,
        /// What begins: the room shuts soon.
        RoomShuts,
        /// What begins: nothing more, it comes to its end.
        ItEnds,
        /// At a pause: change the spool.
        ChangeSpool,
        /// At a pause: do what the job's owner planned.
        AsPlanned,
        /// A person: nobody.
        Nobody,
        /// A person: a code that is not in the list.
        AnotherCode,
        /// Lost of the memory: nobody knows what.
        LostUnknown,
        /// Lost of the memory: the newest run's number.
        LostRunNumber,
        /// Lost of the memory: how the last run ended.
        LostMachine,
        /// Lost of the memory: whether a lead holds the machine.
        LostHold,
        /// Lost of the memory: what is settled for the machine.
        LostSettled,
        /// Lost of the memory: a spool's balance.
        LostSpool,
        /// Lost of the memory: some of the last events.
        LostEvents,
        /// Lost of the memory: what was learned.
        LostLearned,
        /// Lost of the memory: the run that was on.
        LostRun,
        /// Lost of the memory: the machine sheet.
        LostMachineSheet,
        /// Lost of the memory: the spool ticket.
        LostSpoolTicket,
        /// Lost of the memory: the room rules.
        LostRoomRules,
        /// Lost of the memory: the first layer's picture.
        LostPicture,
        /// Lost of the memory: rows that waited for a card.
        LostRows,
    }
}

impl RunPage {
    /// What helps where an answer is not as it should be; `None` where it is, where somebody has dealt with it, or
    /// where no page of its own helps. A wrong sticker has [`RunPage::WrongSpool`].
    #[must_use]
    pub const fn remedy(answer: Answer) -> Option<Self> {
        Some(match answer {
            Answer::Sticker(_) => Self::WrongSpool,
            Answer::Seen(Seen::Sticks) => Self::SpoolSticks,
            Answer::Seen(Seen::Occupied) => Self::PlateOccupied,
            Answer::Seen(Seen::NoPlate) => Self::PlateMissing,
            Answer::Seen(Seen::Rocks) => Self::PlateRocks,
            Answer::Seen(Seen::Greasy) => Self::PlateGreasy,
            Answer::Seen(Seen::PurgeScrap) => Self::PurgeScrap,
            Answer::Seen(Seen::NozzleBlob) => Self::NozzleBlob,
            Answer::Seen(Seen::OtherFace) => Self::FaceOther,
            Answer::Seen(Seen::NoFilm) => Self::FilmMissing,
            Answer::Seen(Seen::VentOff) => Self::VentOff,
            Answer::Seen(Seen::DoorOpen) => Self::ShutDoor,
            Answer::Seen(Seen::DoorShut) => Self::OpenDoor,
            Answer::Seen(Seen::AroundThings) => Self::ClearRound,
            Answer::Shown(Shown::OtherJob) => Self::OtherJob,
            Answer::Strip(Strip::Thin) => Self::StripThin,
            Answer::Strip(Strip::Nothing)
            | Answer::FirstLayer(FirstLayer::Nothing)
            | Answer::Running(Running::Air) => Self::NothingComes,
            Answer::FirstLayer(FirstLayer::NotSticking) => Self::NotSticking,
            Answer::FirstLayer(FirstLayer::Gaps) => Self::Gaps,
            Answer::FirstLayer(FirstLayer::TooFlat) => Self::TooFlat,
            Answer::FirstLayer(FirstLayer::Strings) => Self::Strings,
            Answer::FirstLayer(FirstLayer::WrongPlace) => Self::WrongPlace,
            Answer::FirstLayer(FirstLayer::Blob) => Self::Blob,
            Answer::Running(Running::Strands) => Self::Strands,
            Answer::Running(Running::Shifted) => Self::Shifted,
            Answer::Running(Running::Waits) => Self::PauseNow,
            Answer::Running(Running::StoodStill) | Answer::StillRunning(StillRunning::StoodStill) => {
                Self::StoodStill
            }
            Answer::Running(Running::Smoke) => Self::Smoke,
            Answer::Nobody => Self::NobodyThere,
            Answer::PartOff(PartOff::Holds) => Self::PartHolds,
            Answer::PartOff(PartOff::BitsLeft) => Self::BitsLeft,
            Answer::PlateBack(PlateBack::NotSure) => Self::GetHelp,
            Answer::Seen(_)
            | Answer::Shown(_)
            | Answer::Strip(_)
            | Answer::FirstLayer(_)
            | Answer::AfterFault(_)
            | Answer::Running(_)
            | Answer::AfterTrouble(_)
            | Answer::StillRunning(_)
            | Answer::PartOff(_)
            | Answer::PlateBack(_)
            | Answer::Outcome(_)
            | Answer::Reason(_)
            | Answer::Lead(_)
            | Answer::Again(_)
            | Answer::Use(_)
            | Answer::Owner
            | Answer::InCharge => return None,
        })
    }
}

impl From<StartStep> for Term {
    fn from(part: StartStep) -> Self {
        match part {
            StartStep::Homing => Self::Homing,
            StartStep::Probing => Self::Probing,
            StartStep::Purge => Self::Purge,
            StartStep::Skirt => Self::Skirt,
            StartStep::Walls => Self::Walls,
            StartStep::Infill => Self::Infill,
            StartStep::SecondLayer => Self::SecondLayer,
        }
    }
}

impl From<LookAt> for Term {
    fn from(look: LookAt) -> Self {
        match look {
            LookAt::Soon | LookAt::HalfHour => Self::HoldsOn,
            LookAt::LayerOne => Self::FirstLayerEnds,
            LookAt::Quarter => Self::QuarterDone,
            LookAt::Support => Self::Supports,
            LookAt::Bridge => Self::Bridge,
            LookAt::Closing => Self::RoomShuts,
        }
    }
}
