//! Phase, listing and report → the model of the screen.

mod figures;
mod items;
mod run;

use chrono::NaiveTime;

use crate::checks::{Opening, Verdict, opening};
use crate::header::HeaderOutcome;
use crate::media::MediaFault;
use crate::phase::{self, Phase};
use crate::screens::{
    Action, Agreement, CardFault, ClockTime, Closing, Confirmation, Day, End, Figure, HeaderBroken, JobRow,
    Jobs, LoadedSpool, NoJobs, Outcome, PointScreen, ReadingScreen, RecordRefused, ScreenModel, Side,
    Waiting,
};
use crate::time::WallClock;
use crate::words::checks::wording;
use crate::words::words;

use crate::app::device::App;
use crate::app::first_verdict::{FirstVerdict, figure};
use crate::app::notice::{Notice, RefusedRecord};
use crate::app::setup::Now;
use crate::app::vetting::Vetting;

use figures::plate_heat;
use run::with_run;

/// Hands the model of this moment's screen to `draw`.
pub(super) fn with_model<R>(app: &App, now: Now, draw: impl FnOnce(&ScreenModel<'_>) -> R) -> R {
    if let Some(Notice::Refused(RefusedRecord { file, kind, line, column, more })) = app.notices.top {
        let what = words(app.setup.room.language).header_error(&kind);
        let action = Action::Back;
        return draw(&ScreenModel::RecordRefused(RecordRefused { file, what, line, column, more, action }));
    }
    let at_desk = app.lead.wanted.is_some()
        || (app.phase() == Phase::Waiting
            && (app.phase.question().is_some() || app.phase.out_of_use().is_some()));
    if app.notices.top.is_some() || at_desk {
        return with_run(app, now, draw);
    }
    match app.phase() {
        Phase::Waiting => with_waiting(app, now, draw),
        Phase::Reading => draw(&ScreenModel::Reading(reading(app, now))),
        Phase::Nothing => {
            let census = app.jobs.page().census;
            draw(&ScreenModel::NoJobs(NoJobs {
                models: census.models,
                others: census.others,
                not_listed: census.left_out(),
            }))
        }
        Phase::Jobs { chosen, .. } => match jobs(app, now, chosen) {
            Some(jobs) => draw(&ScreenModel::Jobs(jobs)),
            // The page with the chosen job is being fetched.
            None => draw(&ScreenModel::Reading(reading(app, now))),
        },
        Phase::Verdict { .. } => match app.chosen() {
            Some(vetting) => with_verdict(app, now, vetting, draw),
            None => draw(&ScreenModel::Reading(reading(app, now))),
        },
        Phase::Points { point, points, remedy, .. } => match app.chosen() {
            Some(vetting) => with_point(app, now, vetting, point, points, remedy, draw),
            None => draw(&ScreenModel::Reading(reading(app, now))),
        },
        Phase::Fault => {
            let fault = app.fault().map_or(MediaFault::ReadFailed, |error| error.fault);
            draw(&ScreenModel::CardFault(CardFault { fault, action: Action::TakeCardOut }))
        }
        Phase::Key { .. } | Phase::Walk | Phase::Release | Phase::Away | Phase::Released(_) => {
            with_run(app, now, draw)
        }
    }
}

fn with_waiting<R>(app: &App, now: Now, draw: impl FnOnce(&ScreenModel<'_>) -> R) -> R {
    let setup = app.setup();
    let mark = setup.spool_grade().map(|grade| grade.mark());
    let spool = setup.spool.as_ref().map(|spool| LoadedSpool {
        id: &spool.id,
        mark: mark.as_deref(),
        colour: spool.colour.as_deref(),
        left: spool.left,
        left_error: spool.left_error,
    });
    let closing = match (setup.room.hours.is_some(), now.wall) {
        (false, _) => Closing::NoHours,
        (true, None) => Closing::ClockNotSet,
        (true, Some(wall)) => match opening(&setup.room, wall) {
            Opening::NotStated | Opening::Always => Closing::NoHours,
            Opening::Until(at) => Closing::At(ClockTime::new(at, now.wall)),
            Opening::Shut(_) => Closing::ShutToday,
        },
    };
    draw(&ScreenModel::Waiting(Waiting {
        machine: &setup.machine.tag,
        spool,
        last: app.memory.last.map(|last| match last {
            phase::Outcome::Good => Outcome::Good,
            phase::Outcome::Usable => Outcome::Flawed,
            phase::Outcome::Failed | phase::Outcome::Stopped => Outcome::Failed,
        }),
        closing,
        plate: plate_heat(app, app.phase.run_view(now.instant).hot),
    }))
}

fn reading(app: &App, now: Now) -> ReadingScreen {
    let page = app.jobs.page();
    let census = page.census;
    ReadingScreen {
        jobs: census.jobs,
        files: census.jobs.saturating_add(census.models).saturating_add(census.others),
        newest: page
            .entries
            .first()
            .and_then(|entry| entry.saved)
            .map(|saved| ClockTime::new(saved, now.wall)),
    }
}

fn jobs(app: &App, now: Now, chosen: u16) -> Option<Jobs<'_>> {
    let row = |rank: u16| -> Option<JobRow<'_>> {
        let entry = app.jobs.entry(rank)?;
        let first: Option<&FirstVerdict> = app.jobs.first_verdict(rank);
        Some(JobRow {
            name: &entry.name,
            saved: entry.saved.map(|saved| ClockTime::new(saved, now.wall)),
            time: first.and_then(|first| first.time),
            mark: first.and_then(|first| first.mark.as_deref()),
            verdict: first.map(|first| first.verdict),
        })
    };
    Some(Jobs {
        number: chosen.saturating_add(1),
        count: app.jobs.page().census.jobs,
        row: row(chosen)?,
        next: chosen.checked_add(1).and_then(row),
        not_listed: app.jobs.page().census.left_out(),
    })
}

fn with_verdict<R>(app: &App, now: Now, vetting: &Vetting, draw: impl FnOnce(&ScreenModel<'_>) -> R) -> R {
    let report = vetting.report();
    let points = report.points();
    let may_walk = app.phase.run_view(now.instant).may_walk;
    let action = if may_walk {
        Action::WalkRound
    } else if points > 0 {
        Action::ReadPoints(points)
    } else {
        Action::OtherJob
    };
    if !vetting.is_done() {
        return draw(&ScreenModel::Vetting(crate::screens::VettingScreen {
            name: &vetting.entry().name,
            percent: vetting.percent(),
            left: vetting.left(now.instant),
            points,
            action: if points > 0 || may_walk { action } else { Action::LeaveCardIn },
        }));
    }
    let job_grade = report.facts.grade;
    // What was read on the spool counts before what its ticket says.
    let spool_grade = app.setup().known.answers.sticker.or_else(|| app.setup().spool_grade());
    let job_mark = job_grade.map(|grade| grade.mark());
    let spool_mark = spool_grade.map(|grade| grade.mark());
    let agreement = match (&job_mark, &spool_mark) {
        (Some(job), Some(spool)) if job == spool => Agreement::Same,
        (Some(_), Some(_)) => Agreement::Differ,
        (None, _) | (_, None) => Agreement::Unknown,
    };
    let outlook = &report.outlook;
    // What could not be judged has no time and no end that anybody could plan by.
    let judged = report.verdict != Verdict::NoVerdict;
    let end = match (outlook.duration.filter(|_| judged), outlook.end) {
        (None, _) => End::Unknown,
        (Some(_), None) => End::ClockNotSet,
        (Some(_), Some((from, to))) => End::Window { from: ClockTime::new(from, now.wall), to },
    };
    draw(&ScreenModel::Confirmation(Confirmation {
        verdict: report.verdict,
        was: report.was(),
        read: vetting.is_recalled().then(|| match vetting.read_at() {
            Some(at) => ClockTime::new(at, now.wall),
            None => ClockTime { at: WallClock::MIN, day: Day::NotKept },
        }),
        name: &vetting.entry().name,
        job_mark: job_mark.as_deref(),
        spool_mark: spool_mark.as_deref(),
        agreement,
        nozzle: outlook.nozzle,
        bed: outlook.bed,
        length: report.facts.length.map(|stated| figure(stated.value, stated.source)),
        // A mass always rests on a density.
        mass: outlook.need.map(Figure::estimated),
        left: outlook.left,
        time: report.facts.time.filter(|_| judged).map(|stated| figure(stated.value, stated.source)),
        end,
        action,
    }))
}

/// The check that finds a broken header.
const HEADER_BROKEN: u8 = 89;

fn with_point<R>(
    app: &App,
    now: Now,
    vetting: &Vetting,
    point: u8,
    points: u8,
    remedy: bool,
    draw: impl FnOnce(&ScreenModel<'_>) -> R,
) -> R {
    let Some(finding) = vetting.report().point(point) else {
        return draw(&ScreenModel::Reading(ReadingScreen { jobs: 0, files: 0, newest: None }));
    };
    // A broken header has its own screen: the place is what helps.
    if let (HEADER_BROKEN, false, HeaderOutcome::Broken(error)) =
        (finding.check, remedy, &vetting.report().header)
    {
        return draw(&ScreenModel::HeaderBroken(HeaderBroken {
            name: &vetting.entry().name,
            kind: &error.kind,
            key: &error.key,
            line: error.line,
            column: error.column,
            action: Action::Remedy,
        }));
    }
    let language = app.setup().room.language;
    let settled = Some(finding).filter(|finding| vetting.report().findings.is_settled(finding));
    let settled = settled.and_then(|finding| app.setup().settlement(finding.check));
    // Every check has its wordings (a test of the catalogue holds it); without one its numbers stand alone.
    let shown = wording(finding.check, finding.wording, language);
    let (what, remedy_text) = shown
        .as_ref()
        .map_or(("{0} {1} {2} {3}", ""), |wording| (wording.what.as_str(), wording.remedy.as_str()));
    draw(&ScreenModel::Point(PointScreen {
        number: point.saturating_add(1),
        count: points,
        level: finding.level,
        settled: settled.map(|settled| match settled.day {
            Some(day) => ClockTime::new(day.and_time(NaiveTime::MIN), now.wall),
            None => ClockTime { at: WallClock::MIN, day: Day::NotKept },
        }),
        signal: finding.signal,
        what,
        remedy: remedy_text,
        values: &finding.values,
        side: if remedy { Side::Remedy } else { Side::What },
        scroll: 0,
        action: if remedy { Action::Back } else { Action::Remedy },
    }))
}
