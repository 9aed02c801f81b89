//! Words that no text of a screen may use.

/// Never said: what promises, shouts or begs, and what belongs to other programs.
pub const NEVER: [&str; 10] =
    ["safe", "sicher", "danger", "gefahr", "please", "bitte", "continue", "ready", "slicer", "queue"];

/// Nouns of printers' menus: no text alone. Inside a sentence they may tell a person what to do.
pub const MENU: [&str; 18] = [
    "prepare",
    "control",
    "tune",
    "motion",
    "temperature",
    "configuration",
    "preheat",
    "cooldown",
    "home",
    "level",
    "statistics",
    "print",
    "resume",
    "pause",
    "stop",
    "profile",
    "dashboard",
    "farm",
];
