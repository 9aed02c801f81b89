//! words → moves: the only place with modal state; what leaves is absolute, in nanometres of the machine's own
//! positions.

mod apply;
mod arc;
mod command;
mod machine;
mod modal;
mod moves;
mod other;
mod readable;
mod root;
mod table;
mod unread;

pub use arc::Arc;
pub(crate) use arc::quadrant;
pub use command::{Heater, Known, LimitWords, PauseKind, Wait, WordClass};
pub use modal::Modal;
pub use moves::{Applied, Axes, MotionSink, Move, MoveWording};
pub use readable::may_act;
pub(crate) use root::nearest;
pub use root::{hypot2, hypot3, length};
pub(crate) use table::is_listed;
pub use table::{When, WordRow, WordSource, rows};
pub use unread::UnreadKind;
