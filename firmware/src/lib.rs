//! Holdpoint for microcontroller boards: pins and peripherals around the core, and no decision of its own.
//!
//! [`run`](run::run) is the one loop; a [`Board`](board::Board) gives it time, card, display and knob. The parts
//! under [`drivers`] work on any board through embedded-hal's traits; what belongs to one chip stands in that
//! board's folder under [`boards`], the only place with `unsafe`.

#![cfg_attr(not(test), no_std)]
#![deny(missing_docs)]

pub mod board;
pub mod boards;
pub mod card;
pub mod clock_file;
pub mod drivers;
pub mod fault;
pub mod panic;
pub mod run;
pub mod setup;
