//! Somebody at the machine: does what the screen asks for, whatever happened before, and a short job to do it with.

use std::fmt::Write as _;

use holdpoint_desk::flash::Flash;
use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::power::Power;
use holdpoint_desk::printer::Doing;
use holdpoint_desk::script::{answer, code, settle};
use holdpoint_desk::setup::Overrides;
use holdpoint_desk::slot::NamedCard;
use holdpoint_desk::world::World;
use holdpoint_shared::app::Event;
use holdpoint_shared::phase::{Phase, Stage};

use crate::images::{FileSpec, Kind, Table, card};

/// The demo's records.
const RECORDS: [(&str, &[u8]); 3] = [
    ("HOLDPT/MACHINE.JSN", include_bytes!("../../sim/demo/HOLDPT/MACHINE.JSN")),
    ("HOLDPT/SPOOL.JSN", include_bytes!("../../sim/demo/HOLDPT/SPOOL.JSN")),
    ("HOLDPT/ROOM.JSN", include_bytes!("../../sim/demo/HOLDPT/ROOM.JSN")),
];

/// A job of about eight minutes: a square of 40 mm, 60 layers high, of PLA.
#[must_use]
pub fn short_job() -> String {
    let mut text = String::from(
        "; material = PLA\n; filament diameter = 1.75\n; nozzle diameter: 0.4\nG21\nG90\nM83\nM140 S60\nM104 S215\n\
         M190 S60\nM109 S215\nG28\nG92 E0\nG0 X10 Y5 Z0.3 F9000\nG1 X90 Y5 E3.2 F1500\n",
    );
    for layer in 1..=60 {
        let z = f64::from(layer) * 0.2;
        // Writing to a String cannot fail.
        let _ = write!(text, "G0 Z{z:.1} F600\nG0 X90 Y90 F9000\n");
        for (x, y) in [(130, 90), (130, 130), (90, 130), (90, 90)] {
            let _ = writeln!(text, "G1 X{x} Y{y} E1.50000 F1500");
        }
    }
    text + "G1 E-0.8 F1800\nM104 S0\nM140 S0\nG0 Z40 F600\nG0 X0 Y200 F9000\nM84\n"
}

/// The short job with a first layer that takes four minutes: its square is filled, slowly.
///
/// # Panics
/// When the short job has no second layer.
#[must_use]
pub fn watched_job() -> String {
    let job = short_job();
    let second = job.find("G0 Z0.4").expect("a second layer");
    let (first, rest) = job.split_at(second);
    let mut text = first.to_owned();
    for line in 0..36 {
        // Writing to a String cannot fail.
        let y = 91 + line;
        let _ = write!(text, "G0 X91 Y{y} F9000\nG1 X129 Y{y} E1.26000 F360\n");
    }
    text + rest
}

/// A card with the short job and, above it, what else is wanted.
#[must_use]
pub fn short_card(more: &[FileSpec]) -> Vec<u8> {
    let mut files: Vec<FileSpec> = RECORDS.map(|(name, bytes)| FileSpec::new(name, bytes, 8, 0)).into();
    files.push(FileSpec::new("short.gcode", short_job(), 9, 0));
    files.extend(more.iter().map(|file| FileSpec { ..file.clone() }));
    card(Kind::Fat16, Table::None, &files)
}

/// A world with this card beside the device, on the demo's day.
///
/// # Panics
/// When it cannot be made.
#[must_use]
pub fn world(bytes: Vec<u8>) -> (World, MemoryCard) {
    let card = MemoryCard::new(bytes, Power::new());
    let source = NamedCard::new("the card", card.clone());
    let now = holdpoint_desk::demo::clock();
    let world = World::new(Overrides::default(), source, Flash::blank(), now).expect("a world");
    (world, card)
}

/// The stage after the release, if it was.
#[must_use]
pub fn stage(world: &World) -> Option<Stage> {
    world.app()?.phase().stage()
}

/// One thing that a person does about what is on the screen, or a little time.
pub fn act(world: &mut World) {
    let Some(phase) = world.app().map(|app| app.phase()) else {
        world.power_on().expect("what the flash holds is a ledger");
        return;
    };
    let page = world.page();
    match page.as_str() {
        "Waiting" if !world.card_is_in() => {
            world.insert().expect("a card");
            settle(world);
        }
        "Waiting" | "CardFault" | "NoJobs" => {
            // A card that says nothing: out with it, and in again.
            let _ = world.pull();
            world.pass(1_000);
        }
        "Sticker?" => say(world, "PLA"),
        "OuterTurn?" => say(world, "TurnsFreely"),
        "Plate?" => say(world, "Bare"),
        "Pins?" => say(world, "TwoPins"),
        "Clean?" => say(world, "Clean"),
        "PurgeArea?" => say(world, "PurgeClear"),
        "Nozzle?" => say(world, "NozzleClean"),
        "Around?" => say(world, "AroundClear"),
        "Release" => {
            world.knob(Event::Hold);
            world.pass(1_750);
            world.knob(Event::LetGo);
        }
        "MoveCard" | "Shown?" => {
            if world.card_is_in() {
                let _ = world.pull();
            }
            if world.printer().doing() == Doing::Idle {
                let _ = world.start_printer();
            }
            say(world, "SameJob");
        }
        "Strip?" => say(world, "Solid"),
        "FirstLayer?" => say(world, "Good"),
        "Running?" => say(world, "Fine"),
        "StillRunning?" => {
            let prints = world.printer().doing() != Doing::Idle;
            say(world, if prints { "Prints" } else { "Ended" });
        }
        "AfterTrouble?" | "AfterFault?" => {
            let prints = world.printer().doing() != Doing::Idle;
            say(
                world,
                if !prints {
                    "Stopped"
                } else if page == "AfterFault?" {
                    "CameRight"
                } else {
                    "GoesOn"
                },
            );
        }
        "PartOff?" => say(world, "Off"),
        "PlateBack?" => say(world, "TwoPins"),
        "Outcome?" => say(world, "Good"),
        "Reason?" => say(world, "Other"),
        "Again?" => say(world, "Free"),
        "Lead?" => say(world, "LookedAt"),
        "Use?" => say(world, "InUse"),
        "Owner?" | "InCharge?" | "CodeEntry" => {
            // As with `say`.
            if code(world, "K7").is_err() {
                world.pass(500);
            }
        }
        "Vetting" | "Reading" | "CardBack" => world.pass(500),
        "CardAway" => world.pass(5_000),
        _ => match phase {
            Phase::Jobs { .. } | Phase::Verdict { .. } => press(world),
            Phase::Points { points, point, remedy, .. } => {
                press(world);
                let stays = world.app().is_some_and(|app| matches!(app.phase(), Phase::Points { .. }));
                if stays && remedy && point + 1 < points {
                    // Read; the next one.
                    world.knob(Event::Turn(1));
                } else if stays && remedy {
                    // All read, and one holds: the card goes back to its owner.
                    let _ = world.pull();
                    world.pass(1_000);
                }
            }
            Phase::Key { .. } => world.pass(61_000),
            // What is read, and what only time brings.
            Phase::Released(Stage::WarmUp | Stage::CoolDown) if !is_notice(&page) => world.pass(5_000),
            Phase::Released(Stage::FirstLayer | Stage::Run) if !is_notice(&page) && page != "MayLeave" => {
                world.pass(5_000);
            }
            _ => press(world),
        },
    }
}

fn is_notice(page: &str) -> bool {
    !matches!(
        page,
        "WarmUp"
            | "WarmUpString"
            | "Homing"
            | "Probing"
            | "PurgeLine"
            | "Watch"
            | "Running"
            | "RunningNoClock"
            | "RunningMore"
            | "Cooling"
            | "CoolingPart"
            | "CoolingByClock"
            | "CoolingByTime"
            | "BoxWarm"
    )
}

fn say(world: &mut World, word: &str) {
    // The power may go in the middle of it, or the question.
    if answer(world, word).is_err() {
        world.pass(500);
    }
}

fn press(world: &mut World) {
    world.pass(700);
    world.knob(Event::Press);
    world.pass(300);
}

/// Acts until `done`, so many times at most; `false` when it did not come to that.
pub fn act_until(world: &mut World, most: usize, mut done: impl FnMut(&World) -> bool) -> bool {
    for _ in 0..most {
        if done(world) {
            return true;
        }
        act(world);
    }
    false
}
