//! The report's sections on what is laid and where: filament, extents, layers, flow, beads.

use std::io;

use holdpoint_shared::survey::{
    BEAD_BANDS, Beads, Breaks, DEPTH_BAND_NM, MotionFacts, Plane, Pull, ReliefFacts, Survey, ToolUse,
};

use super::text::{Page, bounds, times};
use super::{Surveyed, layer_times};
use crate::amounts::{clock, decimals, mm, path};

pub(super) fn write(page: &mut Page<'_>, surveyed: &Surveyed<'_>) -> io::Result<()> {
    let survey = &*surveyed.job.survey;
    filament(page, survey)?;
    extents(page, survey, surveyed.machine.round)?;
    layers(page, survey)?;
    first_layer(page, survey, surveyed.machine.filament_um)?;
    flow(page, survey)?;
    beads(page, &survey.beads, surveyed.machine.filament_um)?;
    breaks(page, &survey.breaks)?;
    relief(page, &survey.relief)?;
    modes(page, &survey.motion)
}

fn filament(page: &mut Page<'_>, survey: &Survey) -> io::Result<()> {
    let filament = &survey.filament;
    page.section("Filament")?;
    for (number, tool) in filament.tools.iter().enumerate().filter(|(_, tool)| fed(tool)) {
        page.row(&format!("tool T{number}"), &tool_words(tool))?;
    }
    if fed(&filament.beyond) {
        let name = format!("tools T{} to T{}", filament.tools.len(), filament.highest_tool);
        page.row(&name, &tool_words(&filament.beyond))?;
    }
    let needed = decimals(filament.needed().0, 3);
    page.row("needed from the spools", &format!("{needed} mm (highest net, rounded up to 0.001 mm)"))?;
    page.tally("tool words", filament.tool_words)?;
    page.tally("tool changes while printing", filament.tool_changes)?;
    pull(page, "longest pull back", filament.longest_pull)?;
    pull(page, "longest push before layer 1", filament.longest_push_before)?;
    pull(page, "longest push after", filament.longest_push_inside)?;
    pull(page, "most pulled between beads", filament.pulled_inside)?;
    pull(page, "most pushed between beads", filament.pushed_inside)?;
    let [first, above] = filament.unprimed;
    page.tally("not primed, first layer", first)?;
    page.tally("not primed above it", above)?;
    if let Some(um) = filament.volume_um {
        page.row("counted by volume", &format!("of a diameter of {} mm (M200)", decimals(um.into(), 3)))?;
    }
    for part in filament.factored.iter().filter(|part| part.line > 0) {
        let laid = format!("{} % from line {}, over {}", part.permille / 10, part.line, path(part.path_nm));
        page.row("flow factor far from 100 %", &laid)?;
    }
    page.tally("machine-made retracts", filament.machine_retracts)
}

const fn fed(tool: &ToolUse) -> bool {
    tool.forward_nm != 0 || tool.net_nm != 0
}

fn tool_words(tool: &ToolUse) -> String {
    let ToolUse { net_nm, highest_net_nm, forward_nm, first_line } = *tool;
    let begun = if first_line > 0 { format!(", first on line {first_line}") } else { String::new() };
    format!(
        "net at the end {}, highest net {}, all forward {}{begun}",
        mm(net_nm),
        mm(highest_net_nm),
        mm(forward_nm)
    )
}

fn pull(page: &mut Page<'_>, name: &str, pull: Pull) -> io::Result<()> {
    if pull.length_nm == 0 {
        return Ok(());
    }
    page.row(name, &format!("{}, line {}", mm(pull.length_nm), pull.line))
}

fn extents(page: &mut Page<'_>, survey: &Survey, round: bool) -> io::Result<()> {
    page.section("Extents")?;
    page.row("beads", &bounds(&survey.printed))?;
    page.row("all moves", &bounds(&survey.reached))?;
    if round && !survey.printed.is_empty() {
        let away = |nm: u64| mm(i64::try_from(nm).unwrap_or(i64::MAX));
        page.row("beads from plate centre", &format!("{} at most", away(survey.motion.farthest_bead_nm)))?;
        page.row("moves from plate centre", &format!("{} at most", away(survey.motion.farthest_move_nm)))?;
    }
    if survey.parts.count > 1 {
        page.row("parts, one after another", &survey.parts.count.to_string())?;
        for (number, part) in (1..).zip(&survey.parts.list) {
            let um = |value: i32| decimals(value.into(), 3);
            let ([x0, y0], [x1, y1]) = (part.min_um.map(um), part.max_um.map(um));
            let top = um(part.top_um);
            let value = format!("X {x0} to {x1} mm, Y {y0} to {y1} mm, top {top} mm, line {}", part.line);
            page.row(&format!("  part {number}"), &value)?;
        }
        if let Some(gap) = survey.parts.least_gap_um() {
            page.row("  least gap", &format!("{} mm", decimals(gap.into(), 3)))?;
        }
    }
    Ok(())
}

fn layers(page: &mut Page<'_>, survey: &Survey) -> io::Result<()> {
    let layers = &survey.layers;
    page.section("Layers")?;
    let most = if layers.exact { "" } else { " at most (planes too irregular to tell)" };
    page.row("planes", &format!("{}{most}", layers.count))?;
    if layers.passes != layers.count {
        page.row("in the order of printing", &layers.passes.to_string())?;
    }
    if layers.spiral_turns > 0 {
        page.row("turns of a spiral", &layers.spiral_turns.to_string())?;
    }
    if layers.count > 0 {
        page.row("top", &format!("{} mm", decimals(layers.top_um.into(), 3)))?;
    }
    if let Some(typical) = layers.typical_um {
        page.row("commonest height", &format!("{} mm", decimals(typical.into(), 3)))?;
    }
    plane(page, "thinnest above the first", layers.thinnest)?;
    plane(page, "thickest above the first", layers.thickest)?;
    let all = layer_times(survey);
    for (name, found) in [
        ("quickest", all.iter().min_by_key(|time| time.mean_ms())),
        ("slowest", all.iter().max_by_key(|time| time.mean_ms())),
    ] {
        if let Some(time) = found {
            let which = if time.first == time.last {
                format!("layer {}", time.last)
            } else {
                format!("a layer, mean of {} to {}", time.first, time.last)
            };
            let seconds = decimals(time.mean_ms().into(), 3);
            let z = decimals(time.z_um.into(), 3);
            page.row(name, &format!("{seconds} s {which}, at Z {z} mm"))?;
        }
    }
    Ok(())
}

fn plane(page: &mut Page<'_>, name: &str, plane: Option<Plane>) -> io::Result<()> {
    match plane {
        Some(plane) => page.row(name, &format!("{} mm, line {}", decimals(plane.z_um.into(), 3), plane.line)),
        None => Ok(()),
    }
}

fn first_layer(page: &mut Page<'_>, survey: &Survey, filament_um: u32) -> io::Result<()> {
    let first = &survey.first_layer;
    page.section("First layer")?;
    let Some(plane) = first.plane else { return page.row("none", "nothing is laid down") };
    page.row("height", &format!("{} mm, line {}", decimals(plane.z_um.into(), 3), plane.line))?;
    page.row("extents", &bounds(&first.bounds))?;
    page.row("filament, path", &format!("{}, {}", mm(first.filament_nm), path(first.path_nm)))?;
    if let Some(width) = first.width_um(filament_um) {
        page.row("bead width", &format!("≈ {} mm, from its volume", decimals(width.into(), 3)))?;
    }
    if let Some(area) = first.area_mm2(filament_um) {
        page.row("area covered", &format!("≈ {area} mm²"))?;
    }
    let speed = |um_s: u32| decimals(um_s.into(), 3);
    page.row(
        "speed",
        &format!("mean {} mm/s, highest {} mm/s", speed(first.mean_um_s), speed(first.peak_um_s)),
    )?;
    page.row("from, to", &format!("{} to {}", clock(first.start_s), clock(first.end_s)))?;
    if let Some(end) = first.second_end_s {
        page.row("end of the second layer", &clock(end))?;
    }
    if let Some(purge) = &survey.purge {
        page.row("purge strip", &bounds(&purge.bounds))?;
        page.row("  filament, path", &format!("{}, {}", mm(purge.filament_nm), path(purge.path_nm)))?;
        let span = format!("{} to {}, line {}", clock(purge.start_s), clock(purge.end_s), purge.line);
        page.row("  from, to", &span)?;
    }
    Ok(())
}

fn flow(page: &mut Page<'_>, survey: &Survey) -> io::Result<()> {
    let flow = &survey.flow;
    page.section("Flow")?;
    if flow.peak_nl_s == 0 {
        return page.row("none", "nothing is laid down");
    }
    let rate = |nl_s: u32, line: u32| format!("{} mm³/s, line {line}", decimals(nl_s.into(), 3));
    page.row("highest at any moment", &rate(flow.peak_nl_s, flow.peak_line))?;
    page.row("highest over half a second", &rate(flow.sustained_nl_s, flow.sustained_line))?;
    page.row("mean speed of laying", &format!("{} mm/s", decimals(flow.mean_bead_um_s.into(), 3)))?;
    page.row("fastest feed", &format!("{} mm/s of filament", decimals(flow.peak_feed_um_s.into(), 3)))
}

/// What fits nothing round it, where anything does not.
fn breaks(page: &mut Page<'_>, breaks: &Breaks) -> io::Result<()> {
    if breaks.odd.any() {
        page.row("unlike those round them", &format!("{}, of {} beads", times(breaks.odd), breaks.beads))?;
    }
    if breaks.unasked.any() {
        let pushes = format!("{}, beside {} pulls", times(breaks.unasked), breaks.pulls);
        page.row("pushes that answer no pull", &pushes)?;
    }
    Ok(())
}

fn beads(page: &mut Page<'_>, beads: &Beads, filament_um: u32) -> io::Result<()> {
    let Some(median) = beads.median_ppm() else { return Ok(()) };
    page.section("Beads above the first layer")?;
    page.row("path", &path(beads.total_nm()))?;
    if beads.smoothing_nm > 0 {
        page.row("beside it, smoothing passes", &path(beads.smoothing_nm))?;
    }
    page.row("middle cross-section", &format!("≈ {}", section(median, filament_um)))?;
    let used = |band: &usize| beads.path_nm.get(*band).is_some_and(|path| *path > 0);
    let (low, high) = ((0..BEAD_BANDS).find(used), (0..BEAD_BANDS).rfind(used));
    if let (Some(low), Some(high)) = (low, high) {
        let (low, high) = (Beads::lower_ppm(low), Beads::lower_ppm(high + 1));
        page.row(
            "smallest to largest",
            &format!("{} to {}, each within 13 %", section(low, filament_um), section(high, filament_um)),
        )?;
    }
    Ok(())
}

/// Cross-section of a bead with so many millionths of filament length a path length, mm²: r π d²/4.
fn section(ppm: u32, filament_um: u32) -> String {
    let d = u128::from(filament_um);
    // π = 355/113. In µm², to the thousandth of a mm².
    let square_um = u128::from(ppm) * d * d * 355 / (452 * 1_000_000);
    let thousandths = (square_um + 500) / 1000;
    format!("{} mm²", decimals(i64::try_from(thousandths).unwrap_or(i64::MAX), 3))
}

fn modes(page: &mut Page<'_>, motion: &MotionFacts) -> io::Result<()> {
    page.section("Positions, feed and limits")?;
    for (name, used) in
        [("X words, absolute (G90)", motion.absolute), ("X words, relative (G91)", motion.relative)]
    {
        if used.met.any() {
            let mean = decimals(i64::try_from(used.mean_abs_x_um()).unwrap_or(i64::MAX), 3);
            page.row(name, &format!("{}; mean |X| {mean} mm", times(used.met)))?;
        }
    }
    for (name, used) in
        [("E words, absolute (M82)", motion.absolute_feed), ("E words, relative (M83)", motion.relative_feed)]
    {
        if used.met.any() {
            page.row(name, &format!("{}; {} rise, {} fall", times(used.met), used.rises, used.falls))?;
        }
    }
    if (motion.absolute_feed.met.any() || motion.relative_feed.met.any()) && !motion.feed_mode_stated {
        page.row("feed mode", "not stated before the first E word: absolute is assumed")?;
    }
    for (name, met) in [
        ("feed mode in doubt", motion.feed_mode_ambiguous),
        ("inches set (G20)", motion.inch_words),
        ("moves in inches", motion.inch_moves),
        ("homing", motion.homes),
        ("probing", motion.probes),
        ("moves before homing", motion.before_homing),
        ("homing over the part", motion.homes_over_part),
        ("beads with motors off", motion.laid_lost),
        ("beads with feed motor off", motion.extruder_rested),
        ("where to keep out", motion.kept_out),
        ("feed factor not 100 %", motion.feed_factor),
        ("flow factor not 100 %", motion.flow_factor),
        ("arcs that miss their end", motion.arc_mismatch),
    ] {
        page.tally(name, met)?;
    }
    let idle = motion.idle;
    if idle.moves > 0 {
        let way = format!("{} in {} moves, line {}", path(idle.path_nm), idle.moves, idle.line);
        page.row("longest way with no bead", &way)?;
    }
    if motion.arcs > 0 {
        page.row("arcs", &motion.arcs.to_string())?;
    }
    if let Some(z) = motion.lowest_xy_z_nm {
        page.row("lowest Z of a sideways move", &format!("{}, line {}", mm(z), motion.lowest_xy_line))?;
    }
    for (band, (nm, line)) in (0..).zip(motion.low_travel_nm.iter().zip(motion.low_travel_line)) {
        if *nm > 0 {
            let name =
                format!("travel at Z {} to {} mm", decimals(band * 50, 3), decimals((band + 1) * 50, 3));
            page.row(&name, &format!("{}, first on line {line}", path(*nm)))?;
        }
    }
    limits(page, motion)
}

/// What the height map shows, where it shows anything.
fn relief(page: &mut Page<'_>, relief: &ReliefFacts) -> io::Result<()> {
    let bands = (0_i64..).zip(relief.below_um.iter().zip(relief.below_line));
    if let Some((band, (um, line))) = bands.filter(|(_, (um, _))| **um > 0).last() {
        let deep = decimals(band * DEPTH_BAND_NM / 1000, 3);
        let text = format!("over {deep} mm deep for {} mm, line {line}", decimals((*um).into(), 3));
        page.row("moves through plastic", &text)?;
    }
    if relief.piled.over_nl > 0 {
        let [over, room] = [relief.piled.over_nl, relief.piled.room_nl].map(|nl| decimals(nl.into(), 3));
        let text = format!("{over} mm³ beyond {room} mm³ of room, line {}", relief.piled.line);
        page.row("piled up", &text)?;
    }
    for (name, met) in [
        ("in the air", relief.air),
        ("longest run in the air", relief.air_run),
        ("laid a second time", relief.again),
    ] {
        if met.met_um > 0 {
            let [met_mm, path_mm] = [met.met_um, met.path_um].map(|um| decimals(um.into(), 3));
            page.row(name, &format!("{met_mm} of {path_mm} mm, line {}", met.line))?;
        }
    }
    Ok(())
}

fn limits(page: &mut Page<'_>, motion: &MotionFacts) -> io::Result<()> {
    page.row("highest feed asked for", &format!("{} mm/s", decimals(motion.highest_feed_um_s.into(), 3)))?;
    let listed = |names: &[&str], values: &[u32], places: u32| {
        let set = names.iter().zip(values).filter(|(_, value)| **value > 0);
        let set: Vec<_> =
            set.map(|(name, value)| format!("{name} {}", decimals((*value).into(), places))).collect();
        set.join(", ")
    };
    let axes = ["X", "Y", "Z", "E"];
    for (name, values, unit) in [
        ("speed limits (M203)", listed(&axes, &motion.speed_words_um_s, 3), "mm/s"),
        ("acceleration limits (M201)", listed(&axes, &motion.accel_words_mm_s2, 0), "mm/s²"),
        (
            "accelerations (M204)",
            listed(&["print", "travel", "retract"], &motion.accel_modes_mm_s2, 0),
            "mm/s²",
        ),
    ] {
        if !values.is_empty() {
            page.row(name, &format!("{values} {unit}"))?;
        }
    }
    Ok(())
}
