//! Class 1: what a controller reads and a reader may not.

use super::super::pen::{At, Row};
use super::super::rng::Rng;
use super::super::shape::Kind;
use super::super::style::{Label, Remarks};
use super::super::{Draft, Wish};
use super::edit::{change, value};
use super::{Fault, fault};

fn bare(draft: &mut Draft) {
    if draft.style.label == Label::Header {
        draft.style.label = Label::None;
    }
}

fn hidden_after_cr(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng) else { return false };
    draft.write_raw(at, b"; all well\rM104 S300\r\n");
    // PC may be printed at 300 °C: read rightly, the command does no harm.
    draft.style.line_end != "\r" && draft.facts.material != "PC"
}

fn control_byte(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng) else { return false };
    let byte = rng.pick(&[1_u8, 7, 8, 0x1a, 0x1b, 0x7f, 0]);
    draft.write_raw(at, &[b"G1 X".as_slice(), &[byte], b"\n"].concat());
    true
}

fn nul_in_remark(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng) else { return false };
    draft.write_raw(at, b"; a remark \0 with a gap\n");
    true
}

fn nothing_laid(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    draft.rows.retain(|row| !row.words.contains(" E"));
    true
}

fn remarks_only(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    draft.style.remarks = Remarks::Semicolon;
    for row in &mut draft.rows {
        row.remark = std::mem::take(&mut row.words);
    }
    true
}

fn heat_only(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    draft.rows.retain(|row| row.words.starts_with('M'));
    true
}

fn returns_only(draft: &mut Draft, _: &mut Rng) -> bool {
    draft.bytes = Some(vec![b'\r'; 5000]);
    true
}

fn a_letter(draft: &mut Draft, rng: &mut Rng) -> bool {
    let text = "Dear room lead,\n\ngreetings from the workshop on the second floor. The grey part from Monday came out \
                very well, could you please print two more of it until Friday?\nMany thanks, X. and Z.\n";
    draft.bytes = Some(text.repeat(1 + rng.below(40)).into_bytes());
    true
}

fn a_model(draft: &mut Draft, rng: &mut Rng) -> bool {
    let mut text = "solid part\n".to_owned();
    for n in 0..50 + rng.below(500) {
        text += &format!(
            " facet normal 0 0 1\n  outer loop\n   vertex {n}.0 1.0 2.0\n   vertex 0.0 {n}.5 2.0\n   vertex 0 0 \
             2\n  endloop\n endfacet\n"
        );
    }
    draft.bytes = Some((text + "endsolid part\n").into_bytes());
    true
}

fn a_picture(draft: &mut Draft, rng: &mut Rng) -> bool {
    let mut bytes = vec![0x89, b'P', b'N', b'G', 13, 10, 26, 10];
    bytes.extend((0..20_000).map(|_| rng.bits() as u8));
    draft.bytes = Some(bytes);
    true
}

/// A bead's words changed into something that controllers read in different ways.
fn odd_words(draft: &mut Draft, rng: &mut Rng, change: impl Fn(&str) -> Option<String>) -> bool {
    bare(draft);
    for _ in 0..30 {
        let Some(at) = draft.bead(rng) else { return false };
        if let Some(words) = change(&draft.rows[at].words) {
            draft.rows[at].words = words;
            return true;
        }
    }
    false
}

fn word(words: &str, letter: char) -> Option<&str> {
    words.split(' ').skip(1).find(|word| word.starts_with(letter))
}

fn long_line(draft: &mut Draft, rng: &mut Rng) -> bool {
    if draft.style.tight {
        return false;
    }
    odd_words(draft, rng, |words| {
        word(words, 'Y').map(|y| words.replacen(y, &format!("{}{y}", " ".repeat(300)), 1))
    })
}

fn twice(draft: &mut Draft, rng: &mut Rng) -> bool {
    odd_words(draft, rng, |words| word(words, 'X').map(|x| format!("{words} {x}9")))
}

fn exponent(draft: &mut Draft, rng: &mut Rng) -> bool {
    odd_words(draft, rng, |words| word(words, 'X').map(|x| words.replacen(x, &format!("{x}e1"), 1)))
}

fn comma(draft: &mut Draft, rng: &mut Rng) -> bool {
    odd_words(draft, rng, |words| {
        let x = word(words, 'X').filter(|x| x.contains('.'))?;
        Some(words.replacen(x, &x.replace('.', ","), 1))
    })
}

fn commas_all_over(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    draft.rows.iter_mut().for_each(|row| row.words = row.words.replace('.', ","));
    true
}

fn unreadable(draft: &mut Draft, rng: &mut Rng) -> bool {
    let bad = rng.pick(&["X--5", "X1.2.3", "X", "X5-3", "X+-2", "X1O5"]);
    odd_words(draft, rng, |words| word(words, 'X').map(|x| words.replacen(x, bad, 1)))
}

fn unreadable_heat(draft: &mut Draft, rng: &mut Rng) -> bool {
    let Some(at) = draft.bead(rng) else { return false };
    bare(draft);
    let words = rng.pick(&["M104 S2e2", "M104 S190,5", "M104 S200 S290", "M104 S", "M140 S--60"]);
    draft.insert(at, words);
    true
}

fn lost_letter(draft: &mut Draft, rng: &mut Rng) -> bool {
    odd_words(draft, rng, |words| word(words, 'Y').map(|y| words.replacen(y, &y[1..], 1)))
}

fn arc_off_its_circle(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let is_arc =
        |row: &Row| row.lays && matches!(row.at, At::Layer(n) if n > 0) && value(&row.words, 'I').is_some();
    let arcs: Vec<usize> = (0..draft.rows.len()).filter(|i| is_arc(&draft.rows[*i])).collect();
    if arcs.is_empty() {
        return false;
    }
    // The centre lies elsewhere than the number says: machines refuse such an arc, or bend it to its end.
    change(&mut draft.rows[arcs[rng.below(arcs.len())]], 'I', |i| i + 1.5);
    true
}

fn round_part() -> Wish {
    Wish { kind: Some(Kind::Cylinder), ..Wish::default() }
}

fn wrong_checksum(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    if !draft.style.numbered {
        return false;
    }
    let Some(at) = draft.bead(rng) else { return false };
    draft.write_raw(at, b"N77 G1 X12 Y12 *1\n");
    true
}

fn hole_of_zeros(draft: &mut Draft, rng: &mut Rng) -> bool {
    let mut bytes = draft.bytes();
    let at = bytes.len() / 3 + rng.below(bytes.len() / 3);
    let fill = rng.pick(&[0_u8, 0xff]);
    let end = (at + rng.pick(&[512, 4096])).min(bytes.len() - 200);
    bytes[at..end].fill(fill);
    draft.bytes = Some(bytes);
    true
}

fn cut_short(draft: &mut Draft, rng: &mut Rng) -> bool {
    let mut bytes = draft.bytes();
    let least = bytes.len() / 4;
    bytes.truncate(least + rng.below(bytes.len() / 2));
    draft.bytes = Some(bytes);
    true
}

fn cut_at_a_line(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng) else { return false };
    draft.rows.truncate(at);
    true
}

fn stale_tail(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng) else { return false };
    let tail: Vec<Row> =
        draft.rows[at..].iter().filter(|row| matches!(row.at, At::Layer(_))).take(200).cloned().collect();
    draft.rows.extend(tail);
    true
}

pub(super) const ALL: &[Fault] = &[
    fault("1", "hidden command after a CR", hidden_after_cr),
    fault("1", "control byte", control_byte),
    fault("1", "NUL in a remark", nul_in_remark),
    fault("1", "lays nothing", nothing_laid),
    fault("1", "remarks only", remarks_only),
    fault("1", "heat only", heat_only),
    fault("1", "returns only", returns_only),
    fault("1", "a letter", a_letter),
    fault("1", "a model", a_model),
    fault("1", "a picture", a_picture),
    fault("1", "long line", long_line),
    fault("1", "a word twice", twice),
    fault("1", "exponent", exponent),
    fault("1", "decimal comma", comma),
    fault("1", "decimal commas all over", commas_all_over),
    fault("1", "unreadable number", unreadable),
    fault("1", "unreadable heat", unreadable_heat),
    fault("1", "number without its letter", lost_letter),
    fault("1", "wrong checksum", wrong_checksum),
    Fault { class: "1", name: "arc off its circle", plant: arc_off_its_circle, wish: round_part },
    fault("job", "hole of zeros", hole_of_zeros),
    fault("job", "cut short", cut_short),
    fault("job", "cut at a line's end", cut_at_a_line),
    fault("job", "stale tail", stale_tail),
];
