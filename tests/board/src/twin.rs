//! The same core on the desktop, over the same card: what the board must show.

use std::path::Path;

use anyhow::{Result, anyhow};
use holdpoint_shared::app::{App, Event, Now, Progress, Setup};
use holdpoint_shared::media::{BlockDevice, BlockErrorKind, BlockIndex, MountToken, Volume};
use holdpoint_shared::screens::Frame;
use holdpoint_sim::flash::{self, Flash};

/// A card image in memory, as blocks.
struct Image(Vec<u8>);

impl BlockDevice for Image {
    type Error = BlockErrorKind;

    fn block_count(&self) -> u64 {
        self.0.len() as u64 / 512
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), BlockErrorKind> {
        let at = usize::try_from(first.0).map_err(|_| BlockErrorKind::Failed)? * 512;
        blocks.copy_from_slice(self.0.get(at..at + blocks.len()).ok_or(BlockErrorKind::Failed)?);
        Ok(())
    }

    fn write(&mut self, _: BlockIndex, _: &[u8]) -> Result<(), BlockErrorKind> {
        Err(BlockErrorKind::WriteProtected)
    }
}

/// The core's screens with a card in and after each of these knob events, each once all work was done. The first is
/// the screen before any of them.
///
/// # Errors
/// When the image cannot be read.
pub fn screens(setup: Setup, card: &Path, knob: &[Event]) -> Result<Vec<Frame>> {
    // The board has no clock; and its screens must not depend on when they are looked at.
    let now = Now::default();
    let mut app = App::new(setup);
    let mut device = Image(std::fs::read(card)?);
    let mut ledger = flash::open(Flash::blank(), None)?;
    app.take_up(now, &mut ledger);
    let mut token = MountToken::new();
    let mut volume = match Volume::mount(&mut device, &mut token) {
        Ok(volume) => {
            app.handle(now, Event::CardInserted);
            Some(volume)
        }
        Err(error) => {
            app.handle(now, Event::CardUnreadable(error));
            None
        }
    };
    let mut frames = Vec::new();
    for event in std::iter::once(None).chain(knob.iter().copied().map(Some)) {
        if let Some(event) = event {
            app.handle(now, event);
        }
        /// Far more steps than any test's card wants.
        const MOST_STEPS: usize = 1_000_000;
        let settled =
            (0..MOST_STEPS).any(|_| app.step(now, volume.as_mut(), Some(&mut ledger)) == Progress::Idle);
        if !settled {
            return Err(anyhow!("the core is still at work after {MOST_STEPS} steps"));
        }
        frames.push(frame(&app));
    }
    Ok(frames)
}

/// The screen with no card in.
#[must_use]
pub fn waiting(setup: Setup) -> Frame {
    frame(&App::new(setup))
}

fn frame(app: &App) -> Frame {
    let mut frame = Frame::new();
    let Ok(()) = app.draw(Now::default(), &mut frame);
    frame
}
