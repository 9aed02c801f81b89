//! What a vetted job is expected to be once it runs: survey, report and setup → the phases' terms and plan.

use heapless::Vec;

use crate::checks::{Finding, Level, Opening, Verdict, is_never_silenced, opening};
use crate::heat::{
    BARE_HANDS, ROOM_AIR, milli, release, touch_limit, usual_cool_down_s, usual_warm_up_s, whole,
};
use crate::limits::up_to;
use crate::phase::{
    Ahead, FailReason, LearnedTime, MARKS, Offer, POINTS, Plan, Point, SPOOL_HOURS, Situation, StageMark,
    StartStep, Terms, hands_needed, looks, watch_time,
};
use crate::records::{Attended, Base, Grade, OwnerCode};
use crate::survey::{MarkKind, Named, Survey};
use crate::units::Celsius;

use super::setup::{Now, Setup};
use super::vetting::Vetting;

/// Grades that the sticker's question offers: those of a shared room (common practice, no source), and the job's and
/// the ticket's own where they are others.
pub(super) const GRADES: usize = 12;

const COMMON: [Base; 10] = [
    Base::Petg,
    Base::Abs,
    Base::Pla,
    Base::Tpu,
    Base::Asa,
    Base::Pa6,
    Base::Pc,
    Base::Pval,
    Base::PsHi,
    Base::Pp,
];

/// So long a read sticker holds, ms.
const SPOOL_MS: u64 = SPOOL_HOURS as u64 * 3_600_000;

/// What the sticker may say, the plain grades first.
pub(super) fn stickers(setup: &Setup, job: Option<Grade>) -> Vec<Grade, GRADES> {
    let mut list: Vec<Grade, GRADES> = up_to(COMMON.iter().map(|&base| Grade::plain(base)));
    let ticket = setup.spool.as_ref().and_then(|spool| Grade::parse(&spool.material));
    for grade in [job, ticket].into_iter().flatten() {
        if place(&list, grade).is_none() {
            // There is room: the list has two places more than the common ones.
            let _ = list.push(grade);
        }
    }
    list
}

/// Where a grade stands in the list: same base, blend and filler. Hardness, shares and trade names are the checks'.
fn place(list: &[Grade], grade: Grade) -> Option<u8> {
    let at = list.iter().position(|other| {
        (other.base, other.blend, other.filler) == (grade.base, grade.blend, grade.filler)
    })?;
    u8::try_from(at).ok()
}

/// The lead's key as it is entered; `None` = the sheet states none.
pub(super) fn lead_key(setup: &Setup) -> Option<u16> {
    setup.machine.lead_code.and_then(|code| u16::try_from(code).ok())
}

/// What the phases are offered for the vetted job: first while the survey still runs, then for good.
pub(super) fn offer(
    vetting: &Vetting,
    setup: &Setup,
    (learned, owners): (LearnedTime, &[OwnerCode]),
    now: Now,
) -> Offer {
    let report = vetting.report();
    let list = stickers(setup, report.facts.grade);
    let holds_for_good = report
        .findings
        .iter()
        .any(|finding| finding.level == Level::Hold && is_never_silenced(finding.check))
        // A key gives the machine back (the desk), and opens no job on it meanwhile.
        || setup.known.history.machine_held;
    let answers_hold = report.answers_hold();
    let terms = Terms {
        verdict: vetting.is_done().then_some(report.verdict),
        looks: report.points(),
        code: lead_key(setup).filter(|_| !holds_for_good && !answers_hold && report.verdict == Verdict::Hold),
        grades: u8::try_from(list.len()).unwrap_or(0),
        wanted: report.facts.grade.and_then(|grade| place(&list, grade)),
        asks_owner: setup.room.owner_codes,
        codes: core::array::from_fn(|at| owners.get(at).copied()),
        past_closing: report.findings.iter().any(is_past_closing),
        attended: setup.room.attended == Attended::Always,
        answers_hold,
        first_points: core::array::from_fn(|at| {
            let point = report.point(u8::try_from(at).unwrap_or(u8::MAX))?;
            Some((point.check, point.wording))
        }),
    };
    let plan = plan(vetting, setup, learned, now);
    Offer { terms, body_crc: vetting.survey().map_or(0, |survey| survey.reading.body_crc32), plan }
}

/// The job may end after the room has closed: row 76, and of row 77 what starts in a shut room.
fn is_past_closing(finding: &Finding) -> bool {
    finding.check == 76 || (finding.check == 77 && finding.wording < 2)
}

fn plan(vetting: &Vetting, setup: &Setup, learned: LearnedTime, now: Now) -> Plan {
    let report = vetting.report();
    let (nozzle, bed) = (report.outlook.nozzle, report.outlook.bed);
    let air = setup.room.ambient.map_or(ROOM_AIR, milli);
    let touch = touch_limit(setup.room.age_group);
    let lets_go =
        report.facts.grade.map_or(touch, |grade| release(&grade, setup.room.row(grade.base).release, air));
    let cool_s = bed
        .filter(|bed| bed.0 > 0)
        .and_then(|bed| usual_cool_down_s(&setup.machine, air, bed, lets_go.min(BARE_HANDS)));
    let mut plan = Plan {
        hands: hands(vetting, setup, now),
        time_permille: learned.time_permille,
        spread_permille: learned.spread_permille,
        nozzle_c: nozzle.map_or(0, |nozzle| nozzle.0),
        bed_c: bed.map_or(0, |bed| bed.0),
        touch_c: BARE_HANDS.min(touch).0.div_euclid(1000) as i16,
        release_c: whole(lets_go).0,
        warm_s: short(usual_warm_up_s(&setup.machine, air, nozzle, bed)),
        need_mg: report.outlook.need.map_or(0, |need| u32::try_from(need.0).unwrap_or(0)),
        closing_in_s: closing_in_s(setup, now),
        end_s: report.facts.time.as_ref().map_or(0, |time| time.value.0),
        ..Plan::default()
    };
    if let Some(cool_s) = cool_s {
        plan.cool_s = short(cool_s);
    }
    if let Some(survey) = vetting.survey() {
        surveyed(&mut plan, survey, may_lift(vetting));
    }
    plan
}

/// What only the moves can tell.
fn surveyed(plan: &mut Plan, survey: &Survey, may_lift: bool) {
    let time = &survey.time;
    // Job seconds begin when the heat is reached; the survey's begin with the file. What a file does between two waits
    // for heat is a part of the warm-up.
    let first = |kind: MarkKind| survey.marks.iter().position(|mark| mark.kind == kind);
    let start = first(MarkKind::FirstLayer).unwrap_or(survey.marks.len());
    let is_wait = |mark: &crate::survey::Mark| matches!(mark.kind, MarkKind::NozzleWait | MarkKind::BedWait);
    let last_wait = survey.marks.iter().take(start).rposition(is_wait);
    let within = |kind: MarkKind| first(kind).is_some_and(|at| last_wait.is_some_and(|last| at < last));
    let (homes, probes) = (within(MarkKind::Homing), within(MarkKind::Probing));
    let part = |is: bool, seconds: u32| if is { seconds } else { 0 };
    let between_s = part(homes, time.home_s).saturating_add(part(probes, time.probe_s));
    let warm_s = time.heat_wait_s.saturating_add(between_s);
    let job_s = |at_s: u32| at_s.saturating_sub(warm_s);
    if time.heat_wait_known && time.heat_wait_s > 0 {
        plan.warm_s = short(warm_s);
    }
    (plan.home_s, plan.probe_s) = (short(part(!homes, time.home_s)), short(part(!probes, time.probe_s)));
    plan.end_s = job_s(time.total_s);
    let layer = &survey.first_layer;
    let begins = job_s(layer.start_s);
    // Whatever stands before the first layer's first bead is the lead: the strip, and a skirt's way there.
    let known = u32::from(plan.home_s) + u32::from(plan.probe_s);
    plan.purge_s = short(begins.saturating_sub(known));
    let lasts = layer.end_s.saturating_sub(layer.start_s);
    let second = layer.second_end_s.map_or(0, |end_s| end_s.saturating_sub(layer.end_s));
    plan.watch = watch_time(lasts, second, 0);
    marks(&mut plan.marks, survey, job_s, [homes, probes]);
    plan.stops = up_to(survey.pauses.iter().map(|pause| job_s(pause.at_s)));
    plan.layers = u16::try_from(survey.layers.passes).unwrap_or(u16::MAX);
    points(plan, survey, job_s);
    let named = |moment: Option<Named>| moment.map(|moment| job_s(moment.at_s));
    plan.looks = looks(&Ahead {
        leave_s: begins.saturating_add(plan.watch.stay_s.into()),
        end_s: plan.end_s,
        layer_one_end_s: plan.watch.look_at_layer_one.then(|| job_s(layer.end_s)),
        support_s: named(survey.named.support()),
        bridge_s: named(survey.named.bridge()),
        may_lift,
    });
}

fn marks(
    marks: &mut Vec<StageMark, MARKS>,
    survey: &Survey,
    job_s: impl Fn(u32) -> u32,
    [homes, probes]: [bool; 2],
) {
    for mark in &survey.marks {
        let part = match mark.kind {
            // Done while it still warms up.
            MarkKind::Homing if homes => continue,
            MarkKind::Probing if probes => continue,
            MarkKind::Homing => StartStep::Homing,
            MarkKind::Probing => StartStep::Probing,
            MarkKind::Purge => StartStep::Purge,
            MarkKind::FirstLayer => StartStep::Walls,
            MarkKind::SecondLayer => StartStep::SecondLayer,
            MarkKind::NozzleWait
            | MarkKind::BedWait
            | MarkKind::ChamberWait
            | MarkKind::NextPart
            | MarkKind::Pause
            | MarkKind::Tool
            | MarkKind::HeatOff
            | MarkKind::End => continue,
        };
        // Full: the first minutes are over by then.
        let _ = marks.push(StageMark { at_s: job_s(mark.at_s), part });
    }
}

/// Time, filament and layers at evenly spread layer ends.
fn points(plan: &mut Plan, survey: &Survey, job_s: impl Fn(u32) -> u32) {
    let ends = &survey.layers.ends;
    let whole_um = ends.last().map_or(0, |last| last.laid_um);
    let step = ends.len().div_ceil(POINTS - 1).max(1);
    let begins = Point { at_s: job_s(survey.first_layer.start_s), share: 0, layer: 0 };
    let _ = plan.points.push(begins);
    for (place, end) in ends.iter().enumerate() {
        let last = place + 1 == ends.len();
        if !last && (place + 1) % step != 0 {
            continue;
        }
        let layer =
            if last { survey.layers.passes } else { (place as u32 + 1).saturating_mul(survey.layers.stride) };
        let point = Point {
            at_s: job_s(end.end_s),
            share: permille(end.laid_um, whole_um),
            layer: u16::try_from(layer).unwrap_or(u16::MAX),
        };
        let _ = plan.points.push(point);
    }
}

/// Part of a whole; in 32 bits, by dropping what a permille does not see.
fn permille(part: u32, whole: u32) -> u16 {
    let drop = 22_u32.saturating_sub(whole.leading_zeros().min(22));
    let (part, whole) = (part >> drop, whole >> drop);
    u16::try_from((part.min(whole).saturating_mul(1000)).checked_div(whole).unwrap_or(0)).unwrap_or(1000)
}

fn may_lift(vetting: &Vetting) -> bool {
    // 40 tall and thin, 41 wide and flat: the checks that know it.
    vetting.report().findings.iter().any(|finding| matches!(finding.check, 40 | 41))
}

/// The hand checks that this job on this machine wants; the checks' own findings say most of it.
fn hands(vetting: &Vetting, setup: &Setup, now: Now) -> u16 {
    let findings = &vetting.report().findings;
    let found = |check: u8| findings.iter().find(|finding| finding.check == check);
    let face = found(70).map(|finding| finding.wording);
    let history = &setup.known.history;
    let grade = vetting.report().facts.grade.or(setup.known.answers.sticker).or_else(|| setup.spool_grade());
    hands_needed(&Situation {
        spool_known: setup.known.spool_answered.is_some_and(|at| now.instant.since_ms(at) < SPOOL_MS),
        closed_out: !history.last_run_open,
        last_failure: if history.last_came_off {
            Some(FailReason::CameOff)
        } else {
            setup.known.last_failure
        },
        wash_due: found(71).is_some(),
        other_melt: found(64).is_some(),
        choose_face: face == Some(2),
        film: face == Some(0),
        vent: found(79).is_some(),
        door_shut: setup.machine.enclosed && grade.is_some_and(|grade| setup.room.row(grade.base).warm_box),
        door_open: setup.machine.enclosed && grade.is_some_and(|grade| setup.room.row(grade.base).cool_air),
        first_of_day: now.wall.is_none_or(|wall| setup.known.started_on != Some(wall.date())),
    })
}

/// Until the room closes; `None` = it does not, or there is no clock to tell.
pub(super) fn closing_in_s(setup: &Setup, now: Now) -> Option<u32> {
    let wall = now.wall?;
    match opening(&setup.room, wall) {
        Opening::Until(at) => u32::try_from((at - wall).num_seconds()).ok(),
        Opening::NotStated | Opening::Always | Opening::Shut(_) => None,
    }
}

/// Held to what 16 bits take: eighteen hours.
fn short(seconds: u32) -> u16 {
    u16::try_from(seconds).unwrap_or(u16::MAX)
}

/// Targets for the heat's models while a job runs.
pub(super) fn target(celsius: i16) -> Option<Celsius> {
    (celsius > 0).then_some(Celsius(celsius))
}
