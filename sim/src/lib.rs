//! Holdpoint on a desktop.
