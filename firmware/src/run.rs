//! The one loop: now → App → actions → drivers.

use core::cell::RefCell;

use holdpoint_shared::app::{App, Event, Now, Progress};
use holdpoint_shared::ledger::Ledger;
use holdpoint_shared::media::{JobFiles, MediaError, MountToken};
use holdpoint_shared::phase::{Beep, Gate, Phase};
use holdpoint_shared::screens::Frame;
use holdpoint_shared::time::Instant;

use crate::board::Board;
use crate::card::{CardFiles, CardSlot};
use crate::clock_file::{self, Proposal};
use crate::drivers::sd_card::Change;
use crate::fault::Fault;
use crate::setup::read_text;

/// Between two looks at the slot.
const SLOT_MS: u64 = 250;
/// Between two readings of the knob: see [`Buttons::sample`](crate::drivers::buttons::Buttons::sample).
const KNOB_MS: u64 = 10;
/// Between two drawings when nothing was pressed: progress and clock move no faster.
const SCREEN_MS: u64 = 100;
/// And while a card is read, where nothing moves but a bar: a drawing takes the time of some twenty blocks (measured on the
/// emulated chip).
const READING_SCREEN_MS: u64 = 500;
/// Between two readings of the probes: a heated part changes by less than half a kelvin meanwhile.
const PROBE_MS: u64 = 250;

/// How long a notice stands when nobody touches the knob: time to come and read it, and to wait for a minute to begin
/// (judgement). What it hides, heat as well, is seen again after it.
const NOTICE_MS: u64 = 60_000;

/// Where the ledger keeps the time that the clock was last set to.
const CLOCK_KEY: u8 = 2;

/// Runs the board for ever. A run that a power cut ended goes on; without a ledger nothing outlives one. `fault` is why
/// the board started anew, if the program failed.
pub fn run<B: Board, C: CardSlot>(
    board: &mut B,
    slot: &RefCell<C>,
    app: &mut App,
    ledger: Option<&mut Ledger<B::Flash>>,
    fault: Option<Fault>,
) -> ! {
    let mut device = Device {
        board,
        app,
        ledger,
        frames: Frames::default(),
        next: Times::default(),
        phase: None,
        gate: None,
        notice: None,
    };
    device.restore();
    if let Some(fault) = fault {
        device.put_up(&fault.screen(), None);
        device.board.sound(Beep::Attention);
    }
    let mut token = MountToken::new();
    loop {
        device.serve::<C, CardFiles<'_, C>>(slot, None, Change::Inserted);
        let mut volume = None;
        match mount(slot, &mut token, &mut volume) {
            Ok(volume) => {
                // A mount is seven blocks (counted on the emulated board): with a card that takes 1.5 ms a block, 15 ms.
                device.tend_now();
                device.ask_clock(volume);
                device.handle(Event::CardInserted);
                device.serve(slot, Some(volume), Change::Removed);
            }
            Err(error) => {
                defmt::warn!("the card: {}", error);
                device.handle(Event::CardUnreadable(error));
                device.serve::<C, CardFiles<'_, C>>(slot, None, Change::Removed);
            }
        }
        device.handle(Event::CardRemoved);
    }
}

/// Mounts the card's volume into its place, which lives as long as the card is in; what mounting takes besides is given
/// back.
#[inline(never)]
fn mount<'v, 's, C: CardSlot>(
    slot: &'s RefCell<C>,
    token: &'s mut MountToken,
    place: &'v mut Option<CardFiles<'s, C>>,
) -> Result<&'v mut CardFiles<'s, C>, MediaError> {
    Ok(place.insert(CardFiles::mount(slot, token)?))
}

struct Device<'b, B: Board> {
    board: &'b mut B,
    app: &'b mut App,
    ledger: Option<&'b mut Ledger<B::Flash>>,
    /// What the gate was last set to.
    gate: Option<Gate>,
    /// What stands before the core's screens.
    notice: Option<Notice>,
    frames: Frames,
    next: Times,
    /// The phase that was logged last.
    phase: Option<Phase>,
}

/// A screen of the board's own, until the knob is touched.
struct Notice {
    until: Instant,
    /// What a press sets the clock to.
    clock: Option<Proposal>,
}

/// The frame on the display, and the one that is drawn beside it.
#[derive(Default)]
struct Frames {
    shown: Frame,
    drawn: Frame,
}

/// When each thing is due again.
#[derive(Default)]
struct Times {
    slot: Instant,
    probes: Instant,
    knob: Instant,
    screen: Instant,
}

impl<B: Board> Device<'_, B> {
    #[inline(never)]
    fn restore(&mut self) {
        let now = self.now();
        if let Some(ledger) = &mut self.ledger {
            self.app.restore(now, ledger);
        }
    }

    /// Asks whether to set the clock, where the card proposes it.
    #[inline(never)]
    fn ask_clock<F: JobFiles>(&mut self, card: &mut F) {
        if self.notice.is_some() || self.app.phase().is_released() {
            return;
        }
        let mut text = [0; clock_file::BYTES];
        let Ok(text) = read_text(card, clock_file::NAME, &mut text) else { return };
        let Some(proposal) = Proposal::read(text) else {
            return defmt::warn!("{=str} names no minute", clock_file::NAME);
        };
        let taken = self.ledger.as_mut().and_then(|ledger| ledger.learned(CLOCK_KEY).ok().flatten());
        if taken != Some(proposal.written()) {
            self.put_up(&proposal.question(), Some(proposal));
        }
    }

    fn set_clock(&mut self, proposal: &Proposal) {
        let taken = self.board.set_wall(proposal.wall);
        if taken {
            self.handle(Event::ClockSet);
        }
        if let (true, Some(ledger)) = (taken, &mut self.ledger)
            && ledger.learn(CLOCK_KEY, proposal.written()).is_err()
        {
            defmt::warn!("the ledger does not keep that the clock was set");
        }
        defmt::info!("clock set: {}", taken);
        self.put_up(&clock_file::answer(taken), None);
    }

    /// Puts up a notice. What was shown is drawn again after it.
    fn put_up(&mut self, frame: &Frame, clock: Option<Proposal>) {
        self.board.show(frame);
        self.frames.shown.clone_from(frame);
        self.notice = Some(Notice { until: self.board.instant().after_ms(NOTICE_MS), clock });
    }

    /// Runs until `wanted` happens at the slot.
    fn serve<C: CardSlot, F: JobFiles>(
        &mut self,
        slot: &RefCell<C>,
        mut card: Option<&mut F>,
        wanted: Change,
    ) {
        let mut was = Progress::Idle;
        loop {
            let now = self.now();
            if self.next.slot <= now.instant {
                self.next.slot = now.instant.after_ms(SLOT_MS);
                let change = slot.borrow_mut().look();
                if let Some(change) = change {
                    defmt::info!("card {}", change);
                }
                if change == Some(wanted) {
                    return;
                }
            }
            self.tend(now);
            let progress = self.app.step(now, card.as_deref_mut(), self.ledger.as_deref_mut());
            self.set_outputs();
            self.log_phase();
            let is_read = was == Progress::Working && progress == Progress::Idle;
            if self.next.screen <= now.instant || is_read {
                let rest_ms = if progress == Progress::Working { READING_SCREEN_MS } else { SCREEN_MS };
                self.next.screen = now.instant.after_ms(rest_ms);
                self.draw();
            }
            was = progress;
            if progress == Progress::Idle {
                self.board.sleep();
            }
        }
    }

    /// What may not wait for longer work: knob, probes, watchdog and beeper.
    #[inline(never)]
    fn tend(&mut self, now: Now) {
        if self.next.knob <= now.instant {
            self.next.knob = now.instant.after_ms(KNOB_MS);
            let Self { board, app, next, notice, .. } = self;
            let mut answered = None;
            board.knob(|event| {
                defmt::info!("knob {}", event);
                if let Some(notice) = notice.take() {
                    // It was read, and the touch means what was seen.
                    answered = notice.clock.filter(|_| event == Event::Press);
                } else {
                    app.handle(now, event);
                }
                next.screen = now.instant;
            });
            if let Some(proposal) = answered {
                self.set_clock(&proposal);
            }
        }
        if self.next.probes <= now.instant {
            self.next.probes = now.instant.after_ms(PROBE_MS);
            let Self { board, app, .. } = self;
            board.probes(|probe, reading| app.handle(now, Event::Probe(probe, reading)));
        }
        self.board.alive();
    }

    fn tend_now(&mut self) {
        let now = self.now();
        self.tend(now);
    }

    fn handle(&mut self, event: Event) {
        let now = self.now();
        self.app.handle(now, event);
        self.next.screen = now.instant;
    }

    fn set_outputs(&mut self) {
        let gate = self.app.gate();
        if self.gate != Some(gate) {
            self.gate = Some(gate);
            self.board.gate(gate);
            defmt::info!("gate {}", gate);
        }
        if let Some(beep) = self.app.take_sound() {
            self.board.sound(beep);
            if beep == Beep::Alarm {
                // It calls somebody to the core's screen.
                self.notice = None;
            }
            defmt::info!("sound {}", beep);
        }
    }

    fn now(&mut self) -> Now {
        Now { instant: self.board.instant(), wall: self.board.wall() }
    }

    fn log_phase(&mut self) {
        let phase = self.app.phase();
        if self.phase != Some(phase) {
            self.phase = Some(phase);
            defmt::info!("phase {}, stack {=usize} bytes", phase, self.board.stack_used_bytes());
            self.next.screen = self.board.instant();
        }
    }

    /// Draws, and shows what was drawn when it is not on the display already.
    fn draw(&mut self) {
        let now = self.now();
        if self.notice.as_ref().is_some_and(|notice| now.instant < notice.until) {
            return;
        }
        self.notice = None;
        let Frames { shown, drawn } = &mut self.frames;
        *drawn = Frame::new();
        let Ok(()) = self.app.draw(now, drawn);
        if drawn != shown {
            self.board.show(drawn);
            shown.clone_from(drawn);
            defmt::info!("screen shown");
        }
    }
}
