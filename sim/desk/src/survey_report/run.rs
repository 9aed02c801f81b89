//! The report's sections on what happens when: time, marks, heat, fan, pauses, the end.

use std::io;

use holdpoint_shared::survey::{
    FanUse, HeatStep, Heater, HeaterUse, MarkKind, PauseKind, Survey, Tail, TimeUse, Wait,
};
use holdpoint_shared::units::Celsius;

use super::text::{Page, times};
use crate::amounts::{clock, decimals, mm, percent};

pub(super) fn write(page: &mut Page<'_>, survey: &Survey) -> io::Result<()> {
    time(page, &survey.time)?;
    if !survey.marks.is_empty() {
        page.section("What a person sees begin, clock from the start")?;
    }
    for mark in &survey.marks {
        page.row(&clock(mark.at_s), &format!("{}, line {}", mark_words(mark.kind), mark.line))?;
    }
    named(page, survey)?;
    heat(page, &survey.heat)?;
    fan(page, &survey.fan)?;
    if survey.pause_count > 0 {
        page.section("Stops for a person")?;
    }
    for pause in &survey.pauses {
        let words = pause_words(pause.kind);
        let place = format!("{words}, after {}, line {}", layers(pause.layer), pause.line);
        page.row(&clock(pause.at_s), &place)?;
    }
    let more = survey.pause_count.saturating_sub(u32::try_from(survey.pauses.len()).unwrap_or(u32::MAX));
    if more > 0 {
        page.row("further ones", &more.to_string())?;
    }
    tail(page, &survey.tail)
}

fn named(page: &mut Page<'_>, survey: &Survey) -> io::Result<()> {
    let things = [(survey.named.support(), "supports begin"), (survey.named.bridge(), "a bridge begins")];
    if things.iter().all(|(moment, _)| moment.is_none()) {
        return Ok(());
    }
    page.section("What a comment between the moves names, clock from the start")?;
    for (moment, words) in things {
        if let Some(moment) = moment {
            page.row(&clock(moment.at_s), &format!("{words}, from a comment, line {}", moment.line))?;
        }
    }
    Ok(())
}

fn time(page: &mut Page<'_>, time: &TimeUse) -> io::Result<()> {
    page.section("Time (≈)")?;
    page.row("all", &format!("{} = {} s, pauses for a person apart", clock(time.total_s), time.total_s))?;
    let ms = |ms: u64| format!("{} s", decimals(i64::try_from(ms).unwrap_or(i64::MAX), 3));
    page.row("  moves", &ms(time.moves_ms))?;
    page.row("  dwells", &ms(time.dwell_ms))?;
    let heat = if time.heat_wait_known {
        format!("{} s, from 20 °C", time.heat_wait_s)
    } else {
        "not known: the machine's heaters are not stated".to_owned()
    };
    page.row("  waits for heat", &heat)?;
    page.row("  homing", &format!("{} s", time.home_s))?;
    page.row("  probing", &format!("{} s", time.probe_s))?;
    page.row(
        "look-ahead",
        &format!("{} moves (by the machine sheet, if it says; at most 32)", time.look_ahead),
    )?;
    for (name, at) in [("first feed", time.first_feed_s), ("last bead's end", time.last_bead_s)] {
        page.row(name, &at.map_or_else(|| "never".to_owned(), clock))?;
    }
    Ok(())
}

fn heat(page: &mut Page<'_>, heat: &HeaterUse) -> io::Result<()> {
    page.section("Heat")?;
    for step in &heat.steps {
        let HeatStep { target, wait, at_s, layer, line, .. } = *step;
        let what = format!("{} {}", heater_words(step), target_words(target));
        let wait = match wait {
            Wait::No => "",
            Wait::Heat => ", waits",
            Wait::HeatOrCool => ", waits, for cooling too",
        };
        page.row(&clock(at_s), &format!("{what}{wait}; after {}, line {line}", layers(layer)))?;
    }
    let more = heat.step_count.saturating_sub(u32::try_from(heat.steps.len()).unwrap_or(u32::MAX));
    if more > 0 {
        page.row("further targets", &more.to_string())?;
    }
    if heat.step_count == 0 {
        page.row("no target", "the file sets no heater; a start macro of the machine may")?;
    }
    let highest = heat.highest.iter().zip(heat.highest_line).zip(["nozzle", "bed", "chamber"]);
    for ((target, line), name) in highest.filter(|((target, _), _)| target.0 > 0) {
        page.row(&format!("highest, {name}"), &format!("{target}, line {line}"))?;
    }
    for (name, target, line) in [
        ("lowest nozzle feeding", heat.nozzle_lowest_feeding, heat.nozzle_lowest_line),
        ("highest nozzle feeding", heat.nozzle_highest_feeding, heat.nozzle_highest_line),
    ] {
        if let Some(target) = target {
            page.row(name, &format!("{}, line {line}", target_words(target)))?;
        }
    }
    for (name, target) in [
        ("nozzle, first layer", heat.nozzle_first_layer),
        ("nozzle above it", heat.nozzle_typical),
        ("bed, first layer", heat.bed_first_layer),
        ("bed, first layer, lowest", heat.bed_lowest_first),
        ("bed above it, lowest", heat.bed_lowest_laying),
        ("bed above it, highest", heat.bed_highest_laying),
    ] {
        if let Some(target) = target {
            page.row(name, &target_words(target))?;
        }
    }
    if let Some(waited) = heat.waited_before_feed {
        let [nozzle, ..] = heat.highest;
        let words = match (nozzle.0 > 0, waited) {
            (false, _) => "the file sets no nozzle target".to_owned(),
            (true, true) => format!("the nozzle's target is waited for, {} s before", heat.target_to_feed_s),
            (true, false) => {
                let then =
                    heat.nozzle_then.map_or(String::new(), |then| format!("; {then} by then, from 20 °C"));
                format!("the nozzle's target is NOT waited for, {} s before{then}", heat.target_to_feed_s)
            }
        };
        page.row("before the first feed", &words)?;
    }
    if heat.bed_first_layer.is_some_and(|target| target.0 > 0) {
        let waited = match heat.bed_waited.0 {
            0 => "the bed is NOT waited for".to_owned(),
            _ => format!("the bed is waited for, {}", heat.bed_waited),
        };
        let then = heat.bed_then.map_or(String::new(), |then| format!("; {then} by then, from 20 °C"));
        page.row(
            "before the first layer",
            &format!("{waited}, {} s before{then}", heat.bed_target_to_bead_s),
        )?;
    }
    page.tally("fed after it was turned off", heat.fed_after_off)?;
    page.tally("waits for no target", heat.waits_for_nothing)?;
    page.tally("waits of an hour and more", heat.unreached)?;
    page.tally("waits that may cool", heat.cool_waits)?;
    page.row("hot before the first feed", &format!("{} s", heat.idle_before_s))?;
    if heat.idle_inside_s > 0 {
        let value = format!("{} s at most, to line {}", heat.idle_inside_s, heat.idle_inside_line);
        page.row("hot between two feeds", &value)?;
    }
    let end = [("nozzle", heat.nozzle_end), ("bed", heat.bed_end), ("chamber", heat.chamber_end)];
    let end: Vec<_> = end.iter().map(|(name, target)| format!("{name} {}", target_words(*target))).collect();
    let end =
        if heat.end_known { end.join(", ") } else { "not known: heated by no word of the job".to_owned() };
    page.row("at the end", &end)
}

fn layers(count: u32) -> String {
    if count == 1 { "1 layer".to_owned() } else { format!("{count} layers") }
}

fn target_words(target: Celsius) -> String {
    if target.0 == 0 { "off".to_owned() } else { target.to_string() }
}

fn heater_words(step: &HeatStep) -> String {
    match step.heater {
        Heater::Nozzle => format!("nozzle T{}", step.tool),
        Heater::Bed => "bed".to_owned(),
        Heater::Chamber => "chamber".to_owned(),
    }
}

fn fan(page: &mut Page<'_>, fan: &FanUse) -> io::Result<()> {
    page.section("Part fan")?;
    page.row("first layer, highest", &percent(fan.first_layer_permille))?;
    let above = format!("highest {}, mean {}", percent(fan.highest_permille), percent(fan.mean_permille));
    page.row("above it", &above)?;
    page.row("first on at", &fan.on_at_layer.map_or("never".to_owned(), |layer| format!("layer {layer}")))
}

fn tail(page: &mut Page<'_>, tail: &Tail) -> io::Result<()> {
    page.section("How it ends")?;
    let yes = |is: bool| if is { "yes" } else { "NO" };
    for (name, is) in [
        ("the last line has its end", tail.last_line_ended),
        ("last line can be read", tail.last_line_readable),
        ("last move lays nothing", !tail.last_move_lays),
        ("heaters off", tail.heat_off),
        ("motors off", tail.motors_off),
        ("end word", tail.end_word),
        ("moved away", tail.parked),
        ("ends beside the part", !tail.ends_over_part),
    ] {
        page.row(name, yes(is))?;
    }
    if tail.last_bead_line > 0 {
        page.row("last bead", &format!("line {}", tail.last_bead_line))?;
        page.row("lift after it", &mm(tail.lift_nm))?;
    }
    if let Some(after) = tail.heat_off_after_s {
        page.row("heaters off after", &format!("{after} s"))?;
    }
    for (name, met) in
        [("beads after an end", tail.beads_after_end), ("unreadable after an end", tail.malformed_after_end)]
    {
        if met.any() {
            page.row(name, &times(met))?;
        }
    }
    Ok(())
}

/// What begins, in words.
pub(super) const fn mark_words(kind: MarkKind) -> &'static str {
    match kind {
        MarkKind::NozzleWait => "wait for the nozzle",
        MarkKind::BedWait => "wait for the bed",
        MarkKind::ChamberWait => "wait for the chamber",
        MarkKind::Homing => "homing",
        MarkKind::Probing => "probing",
        MarkKind::Purge => "purge strip",
        MarkKind::FirstLayer => "first layer",
        MarkKind::SecondLayer => "second layer",
        MarkKind::NextPart => "next part",
        MarkKind::Pause => "stop for a person",
        MarkKind::Tool => "change of tool",
        MarkKind::HeatOff => "all heaters off",
        MarkKind::End => "end word",
    }
}

/// Why it stops, in words.
pub(super) const fn pause_words(kind: PauseKind) -> &'static str {
    match kind {
        PauseKind::Stop => "waits for a press",
        PauseKind::Filament => "filament change",
    }
}
