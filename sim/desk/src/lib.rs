//! The desktop's half of Holdpoint that needs no desktop: the core on a simulated machine, card images in memory,
//! scripted runs, and reports as text, JSON, CSV and pictures.
//!
//! It opens no file, draws on no terminal and asks no clock, so that it also builds for a browser. It contains no rule:
//! every verdict comes from the core.

pub mod amounts;
pub mod card;
pub mod clock;
pub mod demo;
pub mod device;
pub mod flash;
pub mod hands;
pub mod image;
pub mod job_file;
pub mod listing;
pub mod memory_card;
pub mod movie;
pub mod plant;
pub mod png;
pub mod power;
pub mod printer;
pub mod reading;
pub mod report;
pub mod script;
pub mod settled;
pub mod setup;
pub mod sheet;
pub mod shown;
pub mod slot;
pub mod stated;
pub mod survey_report;
pub mod verdict;
pub mod vetting;
pub mod world;
