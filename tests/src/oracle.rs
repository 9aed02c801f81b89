//! What a ledger may say after damage: each value as it was, or an older one or none under a name that it is lost.

use holdpoint_shared::ledger::{Losses, Lost};

use crate::kept::Kept;

/// How a damaged ledger came through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Survived {
    /// Every value is the last one.
    Exact,
    /// So many are not, and each is named.
    Told(usize),
}

/// Holds what was found against every state that the ledger ever had, the last of which it should have.
///
/// # Errors
/// What is older, missing or was never so, without a word.
pub fn judge(found: &Kept, history: &[Kept], losses: Losses) -> Result<Survived, String> {
    let last = history.last().ok_or("no history")?;
    let mut wrong = 0;
    let mut hold = |same: bool, was: bool, lost: Lost, what: &dyn Fn() -> String| {
        if same {
            return Ok(());
        }
        wrong += 1;
        if !was {
            return Err(format!("never so: {}", what()));
        }
        if losses.contains(lost) || losses.contains(Lost::Unknown) {
            Ok(())
        } else {
            Err(format!("older or missing without a word ({losses:?}): {}", what()))
        }
    };
    let ever = |is: &dyn Fn(&Kept) -> bool| history.iter().any(is);
    let tags = history.iter().flat_map(|kept| kept.spools.keys()).collect::<std::collections::BTreeSet<_>>();
    for tag in tags {
        let now = found.spools.get(tag);
        let was = now.is_none() || ever(&|kept| kept.spools.get(tag) == now);
        hold(last.spools.get(tag) == now, was, Lost::Spool, &|| format!("spool {tag} {now:?}"))?;
    }
    let settled = ever(&|kept| kept.settled == found.settled) || found.settled.is_empty();
    hold(last.settled == found.settled, settled, Lost::Settled, &|| format!("settled {:?}", found.settled))?;
    let machine = ever(&|kept| kept.machine == found.machine);
    hold(last.machine == found.machine, machine, Lost::Machine, &|| format!("{:?}", found.machine))?;
    let held = ever(&|kept| kept.hold == found.hold);
    hold(last.hold == found.hold, held, Lost::Hold, &|| format!("hold {:?}", found.hold))?;
    // A number is never given twice.
    hold(last.run == found.run, found.run > last.run, Lost::RunNumber, &|| format!("run {}", found.run))?;
    let saved = found.saved.is_empty();
    hold(last.saved == found.saved, saved, Lost::Run, &|| format!("{} bytes of a run", found.saved.len()))?;
    let picture = found.picture.is_empty();
    hold(last.picture == found.picture, picture, Lost::Picture, &|| "picture".into())?;
    let names = [Lost::MachineSheet, Lost::SpoolTicket, Lost::RoomRules];
    for (number, name) in names.into_iter().enumerate() {
        let now = &found.records[number];
        let was = now.is_empty() || ever(&|kept| kept.records[number] == *now);
        hold(last.records[number] == *now, was, name, &|| format!("record {number}"))?;
    }
    let events = found.events.iter().all(|event| last.events.contains(event));
    hold(last.events == found.events, events, Lost::Events, &|| format!("{} events", found.events.len()))?;
    let keys = history.iter().flat_map(|kept| kept.learned.keys()).collect::<std::collections::BTreeSet<_>>();
    for key in keys {
        let now = found.learned.get(key);
        let was = now.is_none() || ever(&|kept| kept.learned.get(key) == now);
        hold(last.learned.get(key) == now, was, Lost::Learned, &|| format!("learned {key}"))?;
    }
    for number in history.iter().flat_map(|kept| kept.rows.keys()).collect::<std::collections::BTreeSet<_>>()
    {
        let now = found.rows.get(number);
        let was = now.is_none() || ever(&|kept| kept.rows.get(number) == now);
        hold(last.rows.get(number) == now, was, Lost::Rows, &|| format!("row {number}"))?;
    }
    let given_up = found.given_up.iter().all(|number| ever(&|kept| kept.given_up.contains(number)));
    let names = &|| format!("given up: {:?}", found.given_up);
    hold(last.given_up == found.given_up, given_up, Lost::Rows, names)?;
    Ok(if wrong == 0 { Survived::Exact } else { Survived::Told(wrong) })
}
