//! Helpers of the tests of the whole.

pub mod attacks;
pub mod avoided;
pub mod canvas;
pub mod cards;
pub mod corpus;
pub mod exfat;
pub mod fat_folders;
pub mod faults;
pub mod generate;
pub mod images;
pub mod kept;
pub mod nor;
pub mod on_device;
pub mod oracle;
pub mod person;
pub mod reference;
pub mod reference_time;
pub mod run_items;
pub mod slices;
pub mod soak;
pub mod stamp;
pub mod tools;
pub mod trade;
