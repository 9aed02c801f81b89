//! Heat: the core's model against closed forms, and against a simulated machine that shares nothing with it.

#[path = "heat/closed_form.rs"]
mod closed_form;
#[path = "heat/faults.rs"]
mod faults;
#[path = "heat/job.rs"]
mod job;
#[path = "heat/world.rs"]
mod world;
