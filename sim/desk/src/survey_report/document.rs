//! The report for programs: whole numbers, each with its unit in its key's name. [`SCHEMA`] documents it.

use holdpoint_shared::header::HeaderOutcome;
use holdpoint_shared::survey::{
    BEAD_BANDS, Beads, Bounds, DEPTH_BAND_NM, Heater, HeaterUse, LayerPath, MarkKind, MotionFacts, NameTally,
    Named, PauseKind, Reading, ReliefFacts, Survey, Tally, UnreadKind, Wait,
};
use holdpoint_shared::units::Celsius;
use serde_json::{Value, json};

use super::Surveyed;
use super::fed::{breaks, filament};

/// The document of one file.
#[must_use]
pub fn document(surveyed: &Surveyed<'_>) -> Value {
    let survey = &*surveyed.job.survey;
    let filament_um = surveyed.machine.filament_um;
    json!({
        "path": surveyed.path,
        "error": null,
        "prints": surveyed.job.prints_nothing().is_none(),
        "machine": { "tag": surveyed.machine.tag.as_str(), "sheet": surveyed.machine_path },
        "file": file(surveyed),
        "stated": surveyed.rows,
        "filament": filament(&survey.filament),
        "extents": extents(survey),
        "layers": layers(survey),
        "first_layer": first_layer(survey, filament_um),
        "purge": survey.purge.as_ref().map(|purge| json!({
            "bounds": bounds(&purge.bounds),
            "filament_nm": purge.filament_nm,
            "path_nm": purge.path_nm,
            "start_s": purge.start_s,
            "end_s": purge.end_s,
            "line": purge.line,
        })),
        "flow": {
            "peak_nl_s": survey.flow.peak_nl_s,
            "peak_line": survey.flow.peak_line,
            "sustained_nl_s": survey.flow.sustained_nl_s,
            "sustained_line": survey.flow.sustained_line,
            "peak_feed_um_s": survey.flow.peak_feed_um_s,
            "mean_bead_um_s": survey.flow.mean_bead_um_s,
        },
        "beads": beads(&survey.beads),
        "breaks": breaks(&survey.breaks),
        "relief": relief(&survey.relief),
        "modes": modes(&survey.motion),
        "time": {
            "total_s": survey.time.total_s,
            "moves_ms": survey.time.moves_ms,
            "dwell_ms": survey.time.dwell_ms,
            "heat_wait_s": survey.time.heat_wait_known.then_some(survey.time.heat_wait_s),
            "home_s": survey.time.home_s,
            "probe_s": survey.time.probe_s,
            "look_ahead": survey.time.look_ahead,
            "first_feed_s": survey.time.first_feed_s,
            "last_bead_s": survey.time.last_bead_s,
        },
        "marks": survey.marks.iter().map(|mark| json!({
            "what": mark_key(mark.kind), "at_s": mark.at_s, "line": mark.line,
        })).collect::<Vec<_>>(),
        "named": { "support": named(survey.named.support()), "bridge": named(survey.named.bridge()) },
        "heat": heat(&survey.heat),
        "fan": {
            "first_layer_permille": survey.fan.first_layer_permille,
            "highest_permille": survey.fan.highest_permille,
            "mean_permille": survey.fan.mean_permille,
            "on_at_layer": survey.fan.on_at_layer,
        },
        "pause_count": survey.pause_count,
        "pauses": survey.pauses.iter().map(|pause| json!({
            "what": match pause.kind { PauseKind::Stop => "stop", PauseKind::Filament => "filament" },
            "at_s": pause.at_s, "layer": pause.layer, "line": pause.line,
        })).collect::<Vec<_>>(),
        "tail": tail(survey),
        "words": {
            "unknown": tally(survey.reading.unknown),
            "unknown_names": names(&survey.reading.unknown_names),
            "stores": name(&survey.reading.stores),
            "reaches": name(&survey.reading.reaches),
            "shifts": name(&survey.reading.shifts),
            "baby_steps": tally(survey.reading.baby_steps),
            "baby_step_nm": survey.reading.baby_step_nm,
            "renamed_nm": survey.reading.renamed.nm,
            "renamed_line": survey.reading.renamed.line,
        },
        "not_read": not_read(&survey.reading),
    })
}

pub(super) fn tally(met: Tally) -> Value {
    json!({ "count": met.count, "first_line": Some(met.first_line).filter(|line| *line > 0) })
}

fn names(names: &[NameTally]) -> Value {
    names.iter().map(name).collect()
}

/// A word and how often it was met; `null` for none.
fn name(name: &NameTally) -> Value {
    if !name.met.any() {
        return Value::Null;
    }
    json!({ "name": name.name.as_str(), "count": name.met.count, "first_line": name.met.first_line })
}

fn bounds(bounds: &Bounds) -> Value {
    if bounds.is_empty() {
        return Value::Null;
    }
    json!({ "min_nm": bounds.min_nm, "max_nm": bounds.max_nm })
}

fn file(surveyed: &Surveyed<'_>) -> Value {
    let reading = &surveyed.job.survey.reading;
    let (header, error) = match &surveyed.job.header {
        HeaderOutcome::Absent => ("absent", None),
        HeaderOutcome::Read { .. } => ("read", None),
        HeaderOutcome::Broken(error) => ("broken", Some(error)),
    };
    json!({
        "bytes": reading.bytes,
        "lines": reading.lines,
        "move_lines": reading.moves,
        "header": header,
        "header_error": error.map(|error| json!({
            "line": error.line, "column": error.column, "what": error.to_string(),
        })),
        "body_bytes": reading.body_bytes,
        "body_crc32": format!("{:08x}", reading.body_crc32),
        "byte_order_mark": reading.byte_order_mark,
        "comment_conflicts": surveyed.job.hints.conflicts,
    })
}

fn extents(survey: &Survey) -> Value {
    json!({
        "beads": bounds(&survey.printed),
        "moves": bounds(&survey.reached),
        "farthest_bead_nm": survey.motion.farthest_bead_nm,
        "farthest_move_nm": survey.motion.farthest_move_nm,
        "part_count": survey.parts.count,
        "parts": survey.parts.list.iter().map(|part| json!({
            "min_um": part.min_um, "max_um": part.max_um, "top_um": part.top_um, "line": part.line,
        })).collect::<Vec<_>>(),
        "part_least_gap_um": survey.parts.least_gap_um(),
    })
}

fn layers(survey: &Survey) -> Value {
    let layers = &survey.layers;
    let plane = |plane: holdpoint_shared::survey::Plane| json!({ "z_um": plane.z_um, "line": plane.line });
    json!({
        "count": layers.count,
        "exact": layers.exact,
        "passes": layers.passes,
        "spiral_turns": layers.spiral_turns,
        "top_um": layers.top_um,
        "typical_um": layers.typical_um,
        "typical_count": layers.typical_count,
        "thinnest": layers.thinnest.map(plane),
        "thickest": layers.thickest.map(plane),
        "stride": layers.stride,
        "ends": layers.ends.iter().map(|end| json!({ "z_um": end.z_um, "end_s": end.end_s })).collect::<Vec<_>>(),
    })
}

fn first_layer(survey: &Survey, filament_um: u32) -> Value {
    let first = &survey.first_layer;
    let Some(plane) = first.plane else { return Value::Null };
    json!({
        "z_um": plane.z_um,
        "line": plane.line,
        "bounds": bounds(&first.bounds),
        "filament_nm": first.filament_nm,
        "path_nm": first.path_nm,
        "bead_width_um": first.width_um(filament_um),
        "area_mm2": first.area_mm2(filament_um),
        "mean_um_s": first.mean_um_s,
        "peak_um_s": first.peak_um_s,
        "start_s": first.start_s,
        "end_s": first.end_s,
        "second_end_s": first.second_end_s,
    })
}

fn beads(beads: &Beads) -> Value {
    let bands = (0..BEAD_BANDS).zip(beads.path_nm).filter(|(_, path_nm)| *path_nm > 0);
    json!({
        "path_nm": beads.total_nm(),
        "smoothing_nm": beads.smoothing_nm,
        "paired_nm": beads.paired_nm,
        "median_ppm": beads.median_ppm(),
        "bands": bands.map(|(band, path_nm)| json!({
            "lower_ppm": Beads::lower_ppm(band), "path_nm": path_nm,
        })).collect::<Vec<_>>(),
    })
}

fn modes(motion: &MotionFacts) -> Value {
    let position = |used: holdpoint_shared::survey::PositionUse| {
        json!({
            "count": used.met.count,
            "first_line": Some(used.met.first_line).filter(|line| *line > 0),
            "mean_abs_x_um": used.mean_abs_x_um(),
        })
    };
    let feed = |used: holdpoint_shared::survey::FeedMode| {
        json!({
            "count": used.met.count,
            "first_line": Some(used.met.first_line).filter(|line| *line > 0),
            "rises": used.rises,
            "falls": used.falls,
        })
    };
    json!({
        "absolute": position(motion.absolute),
        "relative": position(motion.relative),
        "absolute_feed": feed(motion.absolute_feed),
        "relative_feed": feed(motion.relative_feed),
        "feed_mode_stated": motion.feed_mode_stated,
        "feed_mode_ambiguous": tally(motion.feed_mode_ambiguous),
        "inch_words": tally(motion.inch_words),
        "inch_moves": tally(motion.inch_moves),
        "homes": tally(motion.homes),
        "probes": tally(motion.probes),
        "before_homing": tally(motion.before_homing),
        "homes_over_part": tally(motion.homes_over_part),
        "motors_off_before_beads": tally(motion.laid_lost),
        "extruder_off_before_beads": tally(motion.extruder_rested),
        "kept_out": tally(motion.kept_out),
        "longest_without_bead": (motion.idle.moves > 0).then(|| json!({
            "moves": motion.idle.moves, "path_nm": motion.idle.path_nm, "line": motion.idle.line,
        })),
        "feed_factor": tally(motion.feed_factor),
        "flow_factor": tally(motion.flow_factor),
        "arcs": motion.arcs,
        "arc_mismatch": tally(motion.arc_mismatch),
        "lowest_sideways_z_nm": motion.lowest_xy_z_nm,
        "lowest_sideways_line": motion.lowest_xy_z_nm.map(|_| motion.lowest_xy_line),
        "low_travel_nm": motion.low_travel_nm,
        "low_travel_line": motion.low_travel_line,
        "highest_feed_um_s": motion.highest_feed_um_s,
        "speed_limits_um_s": motion.speed_words_um_s,
        "accel_limits_mm_s2": motion.accel_words_mm_s2,
        "accel_print_travel_retract_mm_s2": motion.accel_modes_mm_s2,
    })
}

fn relief(relief: &ReliefFacts) -> Value {
    let layer = |met: LayerPath| {
        (met.met_um > 0).then(
            || json!({ "met_um": met.met_um, "path_um": met.path_um, "z_um": met.z_um, "line": met.line }),
        )
    };
    let piled = relief.piled;
    json!({
        "cell_um": relief.cell_um,
        "band_nm": DEPTH_BAND_NM,
        "below_um": relief.below_um,
        "below_line": relief.below_line,
        "slope_um": relief.slope_um,
        "air": layer(relief.air),
        "air_run": layer(relief.air_run),
        "again": layer(relief.again),
        "longest_um": relief.longest_um,
        "above_mm2": relief.above_mm2,
        "feet": relief.feet.iter().filter(|foot| foot.top_um > 0).map(|foot| json!({
            "top_um": foot.top_um, "area_mm2": foot.area_mm2, "side_um": foot.side_um,
        })).collect::<Vec<_>>(),
        "piled": (piled.over_nl > 0).then(|| json!({
            "over_nl": piled.over_nl, "room_nl": piled.room_nl, "z_um": piled.z_um, "line": piled.line,
        })),
    })
}

fn heat(heat: &HeaterUse) -> Value {
    let c = |target: Option<Celsius>| target.map(|target| target.0);
    let steps = heat.steps.iter().map(|step| {
        json!({
            "heater": match step.heater {
                Heater::Nozzle => "nozzle",
                Heater::Bed => "bed",
                Heater::Chamber => "chamber",
            },
            "tool": step.tool,
            "target_c": step.target.0,
            "wait": match step.wait {
                Wait::No => "no",
                Wait::Heat => "heat",
                Wait::HeatOrCool => "heat or cool",
            },
            "at_s": step.at_s,
            "layer": step.layer,
            "line": step.line,
        })
    });
    json!({
        "step_count": heat.step_count,
        "steps": steps.collect::<Vec<_>>(),
        "highest_nozzle_bed_chamber_c": heat.highest.map(|target| target.0),
        "highest_nozzle_bed_chamber_line": heat.highest_line,
        "nozzle_lowest_feeding_c": c(heat.nozzle_lowest_feeding),
        "nozzle_lowest_feeding_line": heat.nozzle_lowest_feeding.map(|_| heat.nozzle_lowest_line),
        "nozzle_highest_feeding_c": c(heat.nozzle_highest_feeding),
        "nozzle_highest_feeding_line": heat.nozzle_highest_feeding.map(|_| heat.nozzle_highest_line),
        "nozzle_first_layer_c": c(heat.nozzle_first_layer),
        "nozzle_typical_c": c(heat.nozzle_typical),
        "bed_first_layer_c": c(heat.bed_first_layer),
        "bed_lowest_first_layer_c": c(heat.bed_lowest_first),
        "bed_waited_c": heat.bed_waited.0,
        "bed_then_c": c(heat.bed_then),
        "bed_target_to_bead_s": heat.bed_target_to_bead_s,
        "bed_lowest_laying_c": c(heat.bed_lowest_laying),
        "bed_highest_laying_c": c(heat.bed_highest_laying),
        "waited_before_feed": heat.waited_before_feed,
        "target_to_feed_s": heat.target_to_feed_s,
        "nozzle_then_c": c(heat.nozzle_then),
        "fed_after_off": tally(heat.fed_after_off),
        "waits_for_nothing": tally(heat.waits_for_nothing),
        "waits_of_an_hour_and_more": tally(heat.unreached),
        "cool_waits": tally(heat.cool_waits),
        "idle_before_s": heat.idle_before_s,
        "idle_inside_s": heat.idle_inside_s,
        "idle_inside_line": Some(heat.idle_inside_line).filter(|line| *line > 0),
        "end_nozzle_bed_chamber_c":
            heat.end_known.then_some([heat.nozzle_end.0, heat.bed_end.0, heat.chamber_end.0]),
    })
}

fn tail(survey: &Survey) -> Value {
    let tail = &survey.tail;
    json!({
        "last_line_ended": tail.last_line_ended,
        "last_line_readable": tail.last_line_readable,
        "last_move_lays": tail.last_move_lays,
        "last_bead_line": Some(tail.last_bead_line).filter(|line| *line > 0),
        "heat_off": tail.heat_off,
        "heat_off_after_s": tail.heat_off_after_s,
        "motors_off": tail.motors_off,
        "end_word": tail.end_word,
        "parked": tail.parked,
        "lift_nm": tail.lift_nm,
        "ends_over_part": tail.ends_over_part,
        "beads_after_end": tally(tail.beads_after_end),
        "malformed_after_end": tally(tail.malformed_after_end),
    })
}

fn not_read(reading: &Reading) -> Value {
    json!({
        "long_lines": tally(reading.long_lines),
        "malformed": tally(reading.malformed),
        "rounded": tally(reading.rounded),
        "repeated": tally(reading.repeated),
        "block_deleted": tally(reading.block_deleted),
        "deleted_commands": tally(reading.deleted_commands),
        "doubtful": tally(reading.doubtful),
        "control_characters": tally(reading.controls.met),
        "no_move": tally(reading.unread.met),
        "no_move_why": reading.unread.first.map(unread_key),
        "checksums": reading.checksums.checked,
        "checksums_failed": tally(reading.checksums.failed),
        "non_text_bytes": reading.non_text_bytes,
        "non_text_at_byte": reading.non_text_at,
        "blank_bytes": reading.blank.bytes,
        "blank_at_byte": (reading.blank.bytes > 0).then_some(reading.blank.at_byte),
        "blank_value": (reading.blank.bytes > 0).then_some(reading.blank.value),
    })
}

/// A moment that a comment names.
fn named(moment: Option<Named>) -> Value {
    moment.map_or(
        Value::Null,
        |moment| json!({ "at_s": moment.at_s, "line": moment.line, "source": "comment" }),
    )
}

const fn mark_key(kind: MarkKind) -> &'static str {
    match kind {
        MarkKind::NozzleWait => "nozzle wait",
        MarkKind::BedWait => "bed wait",
        MarkKind::ChamberWait => "chamber wait",
        MarkKind::Homing => "homing",
        MarkKind::Probing => "probing",
        MarkKind::Purge => "purge",
        MarkKind::FirstLayer => "first layer",
        MarkKind::SecondLayer => "second layer",
        MarkKind::NextPart => "next part",
        MarkKind::Pause => "pause",
        MarkKind::Tool => "tool",
        MarkKind::HeatOff => "heat off",
        MarkKind::End => "end",
    }
}

const fn unread_key(kind: UnreadKind) -> &'static str {
    match kind {
        UnreadKind::ArcPlane => "arc plane",
        UnreadKind::ArcIncomplete => "arc incomplete",
        UnreadKind::ArcRadius => "arc radius",
        UnreadKind::TwoCommands => "two commands",
        UnreadKind::FeedForm => "feed form",
        UnreadKind::Volumetric => "volumetric",
        UnreadKind::TooLarge => "too large",
        UnreadKind::ManyWords => "several commands",
    }
}

/// What the keys mean, for the command's help.
pub const SCHEMA: &str = "\
The JSON document (--json):
  survey  version of this shape, now 1; a key more does not change it
  jobs    a list in the order of the command line, each with path, and error where it cannot be
          read, else
    prints       false = it lays nothing, or is no job: no verdict can be given on it
    machine      {tag, sheet}: whose speeds and plate; sheet null = a common machine's
    file         bytes, lines, move_lines, header (\"absent\", \"read\" or \"broken\"),
                 header_error {line, column, what}, body_bytes, body_crc32, byte_order_mark,
                 comment_conflicts
    stated       [{fact, header, comment, moves, differs}]: one fact by source, the unit in
                 the fact's name
    filament     needed_um; each tool's net_nm, highest_net_nm, forward_nm, first_line; laid_nm, in
                 beads; volume_um (M200's diameter); single pulls and pushes (longest_...), and
                 all between two beads (pulled_inside, pushed_inside) {length_nm, line}; beads
                 that begin with a pull not made good (unprimed_...); what is laid under a flow
                 factor far from 1 {permille, line, path_nm, laid_nm}
    extents      beads and moves as {min_nm, max_nm} [X, Y, Z]; parts one after another
    layers       count, passes (in the order of printing), typical_um, thinnest and thickest
                 {z_um, line}; ends [{z_um, end_s}]: entry k ends layer (k + 1) x stride, the
                 last entry the last layer
    first_layer  z_um, bounds, filament_nm, path_nm, bead_width_um, area_mm2, mean_um_s,
                 peak_um_s, start_s, end_s, second_end_s
    purge        the purge strip: bounds, filament_nm, path_nm, start_s, end_s, line
    flow         peak_nl_s, sustained_nl_s (over half a second); 1 nl/s = 0.001 mm³/s;
                 mean_bead_um_s, mean speed of laying
    beads        above the first layer: path in bands of filament length a path length (ppm); beside
                 them smoothing passes, and filling on every second layer (paired)
    breaks       beads unlike those before and after them (odd, of beads), pushes that answer
                 no pull (unasked, of pulls), ways between beads in several legs (legs, of ways),
                 far ways with nothing drawn back (bare, of far)
    modes        how positions, feed, units, homing and limits are used
    relief       what a height map of the plate shows: below_um, path of moves below a cell's
                 top by depth; the layers with the most path in the air (air) and laid again
                 (again) {met_um, path_um, z_um, line}, and where the most plastic lies beyond
                 the room for it (piled) {over_nl, room_nl, z_um, line}; the feet of the most
                 slender pieces {top_um, area_mm2, side_um}, and the longest piece
    time         total_s, and of it moves_ms, dwell_ms, heat_wait_s (null = not known),
                 home_s, probe_s; look_ahead: the moves that they are reckoned with
    marks        [{what, at_s, line}]: what a person sees begin
    named        support, bridge: the first of each above the first layer that a comment between
                 the moves names, {at_s, line, source}; null = none does
    heat         steps [{heater, tool, target_c, wait, at_s, layer, line}] and what follows;
                 bed_waited_c, the highest bed target waited for before the first layer, and
                 bed_then_c, how warm the bed was by then; nozzle_then_c, how hot the nozzle at the
                 first feed (null = the sheet states no heaters)
    fan          first_layer_permille, highest_permille, mean_permille, on_at_layer
    pauses       [{what, at_s, layer, line}], pause_count
    tail         how the job ends
    words        unknown words, and words that change what the machine remembers
    not_read     what was not read, by reason
  {count, first_line} says how often and where first. Lines count from 1, bytes from 0; all
  numbers are whole, times from the job's first line; null = there is none.";
