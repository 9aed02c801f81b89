//! Holdpoint for microcontroller boards.
#![no_std]
