//! Faults planted in sound jobs.
