//! What the screens of a run show: which one, and the items that are put into its row of words.

use super::figures::{ClockTime, Figure};
use crate::phase::{OutOfUse, Question};
use crate::survey::Footprint;
use crate::time::WallClock;
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};
use crate::words::run::{RunPage, Term};

/// When the job ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum End {
    /// Within this window, if it starts now; the day is that of `from`.
    Window {
        /// Earliest.
        from: ClockTime,
        /// Latest.
        to: WallClock,
    },
    /// The clock is not set: a duration only.
    ClockNotSet,
    /// The duration is not known.
    Unknown,
}

/// What is known of the surface that a hand would touch first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum PlateHeat {
    /// No probe, or a reading that is not to be believed: it may be hot.
    NoReading,
    /// At or above the burn limit.
    Hot(Figure<Celsius>),
    /// Below the burn limit.
    BelowLimit(Figure<Celsius>),
}

/// Something put into a row of words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Item<'a> {
    /// Not known: `-`.
    Unknown,
    /// A name or code from outside.
    Text(&'a str),
    /// A material as moulded on plastics, without `>` and `<`; `None` = not known, or nothing picked yet.
    Mark(Option<&'a str>),
    /// How many.
    Count(u32),
    /// A place among so many: `2/5`.
    Of(u16, u16),
    /// Percent, 100 at most.
    Percent(u8),
    /// A temperature.
    Heat(Figure<Celsius>),
    /// A temperature and the target that it rises to: `≈180»215°C`.
    Rise {
        /// Now; `None` = not known.
        now: Option<Figure<Celsius>>,
        /// Target; `None` = not known.
        target: Option<Celsius>,
    },
    /// What is known of the plate's heat; for the heat line.
    Plate(PlateHeat),
    /// What is known of the nozzle's; for the heat line.
    Nozzle(PlateHeat),
    /// A mass that is needed, rounded up.
    Need(Figure<Milligrams>),
    /// A mass that is there, rounded down.
    Left(Figure<Milligrams>),
    /// How far a mass may be out: `±20 g`.
    GiveOrTake(Milligrams),
    /// A length, in mm below 10 m.
    Length(Micrometres),
    /// A time span: `45 s`, `45 min`, `2h40`.
    Span(Figure<Seconds>),
    /// A time left: `6:40`, from ten minutes on as a span, as nobody waits by the second then.
    Countdown(Figure<Seconds>),
    /// An o'clock time, its day before it unless it is today.
    Clock(ClockTime),
    /// When the job ends.
    End(End),
    /// Four figures being put in; those before are hidden.
    Key {
        /// How many were put in, 0 to 4.
        entered: u8,
        /// The figure on the knob, 0 to 9.
        figure: u8,
    },
    /// A word of ours.
    Term(Term),
    /// Why the machine is out of use.
    OutOfUse(OutOfUse),
}

/// A screen of a run that is not a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct RunScreen<'a> {
    /// Which.
    pub page: RunPage,
    /// What is put into it, in the order that [`RunPage`] states; one that is missing is shown as not known.
    pub items: &'a [Item<'a>],
}

/// A question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct QuestionScreen<'a> {
    /// Which.
    pub question: Question,
    /// Shifts the answers of killers, see [`Question::answer`].
    pub order: u8,
    /// Place of the answer on the knob, from 0; `None` = nothing was picked yet.
    pub place: Option<u8>,
    /// It was answered too quickly, and is asked once more.
    pub too_quick: bool,
    /// It is asked once more after a break.
    pub last_chance: bool,
    /// What is put into its text, in the order that [`QuestionRows`](crate::words::run::QuestionRows) states.
    pub items: &'a [Item<'a>],
}

/// The watch over the first layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct WatchScreen<'a> {
    /// The job's name.
    pub name: &'a str,
    /// The first layer's beads on the plate.
    pub picture: &'a Footprint,
    /// The plate's usable size, µm, X Y.
    pub plate_um: [i64; 2],
    /// Whether it is round.
    pub round: bool,
    /// Whether the purge strip is laid.
    pub purged: bool,
    /// How much of the first layer's time is over, permille.
    pub done_permille: u16,
    /// How long to stay; `None` = not known.
    pub stay: Option<Figure<Seconds>>,
    /// What is laid now.
    pub now: Term,
    /// What comes next; `None` = nothing that is worth watching.
    pub next: Option<Term>,
}
