//! The document's part on what is fed: filament, its pulls and pushes, and what fits nothing round it.

use holdpoint_shared::survey::{Breaks, Factored, Filament, Pull, ToolUse};
use serde_json::{Value, json};

use super::document::tally;

fn tool(tool: &ToolUse) -> Value {
    json!({
        "net_nm": tool.net_nm,
        "highest_net_nm": tool.highest_net_nm,
        "forward_nm": tool.forward_nm,
        "first_line": Some(tool.first_line).filter(|line| *line > 0),
    })
}

fn pull(pull: Pull) -> Option<Value> {
    (pull.length_nm > 0).then(|| json!({ "length_nm": pull.length_nm, "line": pull.line }))
}

fn factored(part: &Factored) -> Option<Value> {
    (part.permille > 0 || part.line > 0).then(|| {
        json!({
            "permille": part.permille, "line": part.line, "path_nm": part.path_nm, "laid_nm": part.laid_nm,
        })
    })
}

pub(super) fn filament(filament: &Filament) -> Value {
    let [first, above] = filament.unprimed;
    let [low, high] = &filament.factored;
    json!({
        "needed_um": filament.needed().0,
        "tools": filament.tools.iter().map(tool).collect::<Vec<_>>(),
        "tools_beyond": tool(&filament.beyond),
        "highest_tool": filament.highest_tool,
        "tool_words": tally(filament.tool_words),
        "tool_changes": tally(filament.tool_changes),
        "laid_nm": filament.laid_nm,
        "volume_um": filament.volume_um,
        "longest_pull": pull(filament.longest_pull),
        "longest_push_before": pull(filament.longest_push_before),
        "longest_push_inside": pull(filament.longest_push_inside),
        "pulled_inside": pull(filament.pulled_inside),
        "pushed_inside": pull(filament.pushed_inside),
        "unprimed_first_layer": tally(first),
        "unprimed_above": tally(above),
        "machine_retracts": tally(filament.machine_retracts),
        "low_flow_factor": factored(low),
        "high_flow_factor": factored(high),
    })
}

pub(super) fn breaks(breaks: &Breaks) -> Value {
    json!({
        "odd": tally(breaks.odd),
        "beads": breaks.beads,
        "unasked": tally(breaks.unasked),
        "pulls": breaks.pulls,
        "legs": tally(breaks.legs),
        "bare": tally(breaks.bare),
        "ways": breaks.ways,
        "far": breaks.far,
    })
}
