//! The same core on the desktop, over the same card: what the board must show.

use std::path::Path;

use anyhow::{Context as _, Result, ensure};
use holdpoint_shared::app::{App, Event, Now, Progress, Setup};
use holdpoint_shared::ledger::{Ledger, NoFlash};
use holdpoint_shared::media::{BlockDevice, BlockErrorKind, BlockIndex, MountToken, Volume};
use holdpoint_shared::phase::{Answer, Phase, Question};
use holdpoint_shared::screens::{Frame, ScreenModel};
use holdpoint_shared::time::Instant;

/// A block that begins so cannot be read, as in the test image (`drivers/failing_blocks.rs`).
pub const UNREADABLE: &[u8] = b";UNREADABLE BLOCK";

/// A card image in memory, as blocks.
struct Image<'c>(&'c mut Vec<u8>);

impl BlockDevice for Image<'_> {
    type Error = BlockErrorKind;

    fn block_count(&self) -> u64 {
        self.0.len() as u64 / 512
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), BlockErrorKind> {
        let at = usize::try_from(first.0).map_err(|_| BlockErrorKind::Failed)? * 512;
        blocks.copy_from_slice(self.0.get(at..at + blocks.len()).ok_or(BlockErrorKind::Failed)?);
        let fails = blocks.chunks(512).any(|block| block.starts_with(UNREADABLE));
        if fails { Err(BlockErrorKind::Failed) } else { Ok(()) }
    }

    fn writable(&self) -> bool {
        true
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), BlockErrorKind> {
        let at = usize::try_from(first.0).map_err(|_| BlockErrorKind::Failed)? * 512;
        self.0.get_mut(at..at + blocks.len()).ok_or(BlockErrorKind::Failed)?.copy_from_slice(blocks);
        Ok(())
    }
}

/// Far more steps than any test's card wants.
const MOST_STEPS: usize = 1_000_000;

const NO_LEDGER: Option<&mut Ledger<NoFlash>> = None;

/// The core, its card and its time. The board has no clock on the wall; nor has this.
#[derive(Debug)]
pub struct Twin {
    app: App,
    card: Option<Vec<u8>>,
    now: Now,
}

impl Twin {
    /// With no card in, at power-up.
    #[must_use]
    pub fn new(setup: Setup) -> Self {
        Self { app: App::new(setup), card: None, now: Now::default() }
    }

    /// Puts a card in, and does all the work that it brings.
    ///
    /// # Errors
    /// When the image cannot be read, or the work does not end.
    pub fn insert(&mut self, card: &Path) -> Result<()> {
        self.card = Some(std::fs::read(card)?);
        let mut token = MountToken::new();
        let mounted = self.card.as_mut().map(|card| Volume::mount(Image(card), &mut token).map(drop));
        let event = match mounted.context("no card")? {
            Ok(()) => Event::CardInserted,
            Err(error) => Event::CardUnreadable(error),
        };
        self.handle(event)
    }

    /// Takes the card out.
    ///
    /// # Errors
    /// When the work does not end.
    pub fn eject(&mut self) -> Result<()> {
        self.card = None;
        self.handle(Event::CardRemoved)
    }

    /// Takes an event, and does all the work that it brings.
    ///
    /// # Errors
    /// When the work does not end.
    pub fn handle(&mut self, event: Event) -> Result<()> {
        self.app.handle(self.now, event);
        self.work()
    }

    /// Lets time pass, a second at a time.
    ///
    /// # Errors
    /// When the work does not end.
    pub fn wait_ms(&mut self, ms: u64) -> Result<()> {
        let until = self.now.instant.after_ms(ms);
        while self.now.instant < until {
            self.now.instant = Instant(until.0.min(self.now.instant.0 + 1_000));
            self.work()?;
        }
        Ok(())
    }

    fn work(&mut self) -> Result<()> {
        let mut token = MountToken::new();
        let mut volume = self.card.as_mut().and_then(|card| Volume::mount(Image(card), &mut token).ok());
        let settled =
            (0..MOST_STEPS).any(|_| self.app.step(self.now, volume.as_mut(), NO_LEDGER) == Progress::Idle);
        ensure!(settled, "the core is still at work after {MOST_STEPS} steps");
        Ok(())
    }

    /// Where the work stands.
    #[must_use]
    pub fn phase(&self) -> Phase {
        self.app.phase()
    }

    /// The question on the screen, with the turns of the knob that lead to an answer; `None` = another screen.
    #[must_use]
    pub fn turns_to(&self, wanted: Answer) -> Option<(Question, u8)> {
        self.app.with_model(self.now, |model| {
            let ScreenModel::Asked(asked) = model else { return None };
            let place = match wanted {
                Answer::Sticker(place) => place,
                wanted => {
                    (0..u8::MAX).find(|&place| asked.question.answer(asked.order, place) == Some(wanted))?
                }
            };
            // From "—" the first turn leads to the first answer.
            Some((asked.question, asked.place.map_or(place + 1, |from| place - from)))
        })
    }

    /// Numbers of the checks that found something in the chosen job, notes left out.
    #[must_use]
    pub fn points(&self) -> Vec<u8> {
        let report = self.app.chosen().map(|vetting| vetting.report());
        let points =
            report.into_iter().flat_map(|report| (0..report.points()).filter_map(|at| report.point(at)));
        points.map(|finding| finding.check).collect()
    }

    /// The screen.
    #[must_use]
    pub fn frame(&self) -> Frame {
        let mut frame = Frame::new();
        let Ok(()) = self.app.draw(self.now, &mut frame);
        frame
    }
}

/// The core's screens with a card in and after each of these knob events, each once all work was done. The first is
/// the screen before any of them.
///
/// # Errors
/// When the image cannot be read.
pub fn screens(setup: Setup, card: &Path, knob: &[Event]) -> Result<Vec<Frame>> {
    let mut twin = Twin::new(setup);
    twin.insert(card)?;
    let mut frames = vec![twin.frame()];
    for event in knob {
        twin.handle(*event)?;
        frames.push(twin.frame());
    }
    Ok(frames)
}

/// The screen with no card in.
#[must_use]
pub fn waiting(setup: Setup) -> Frame {
    Twin::new(setup).frame()
}
