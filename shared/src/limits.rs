//! Every capacity of the core: what it holds, what it costs in bytes, and what happens when it is full.

/// Bytes of a file or folder name kept in UTF-8. A longer name is cut at a character and marked with `…` on the
/// screen; the file itself is found by its place, never by this text. Costs its own size in each listed entry.
pub const NAME_BYTES: usize = 64;

/// Bytes of the folder path kept beside a listed job. A longer one is cut at its front.
pub const FOLDER_BYTES: usize = 48;

/// Entries held at once from a card's listing: the screen shows three jobs, the page leaves room on both sides.
/// Older or newer ones are found by scanning the card again, so hundreds of files cost no more memory.
pub const PAGE_ENTRIES: usize = 8;

/// How many folders deep a card is searched. A deeper folder is not entered, and the census says so.
pub const FOLDER_DEPTH: usize = 6;

/// Bytes of one buffer of the job reader: one block of an SD card.
pub const BLOCK_BYTES: usize = 512;
/// [`BLOCK_BYTES`] as 64 bits.
pub(crate) const BLOCK: u64 = BLOCK_BYTES as u64;

/// Bytes at the head of a file in which the job header must stand (formats, 1.1).
pub const HEADER_WINDOW_BYTES: usize = 4096;

/// Bytes of the JSON object in a job header. A longer one is refused by name.
pub const HEADER_JSON_BYTES: usize = 2048;

/// Bytes at the head and at the tail of a file that are searched for comment hints (formats, 1.2).
pub const HINT_WINDOW_BYTES: usize = 16 * 1024;

/// Characters of a material's name as read. A longer one is cut, which can only lose a modifier at its end.
pub const MATERIAL_BYTES: usize = 32;

/// Bytes kept of a list of materials, one for each tool.
pub const MATERIALS_BYTES: usize = 64;

/// Characters of a free text such as a colour, a part's or an author's name.
pub const TEXT_BYTES: usize = 40;

/// Characters of a tag: machine, spool, owner code, plate.
pub const TAG_BYTES: usize = 16;

/// Findings kept for one job. When there are more, the last one says how many were left out.
pub const FINDINGS: usize = 24;

/// Checks settled for a machine or a spool, on the device. When all stand, one must be undone before another is
/// settled. Costs 32 bytes each.
pub const SETTLEMENTS: usize = 16;

/// Characters of a line that are read; RS274/NGC section 3.3 allows 256. A longer line is reported and skipped.
pub const LINE_BYTES: usize = 256;

/// Moves that the time model looks ahead, at most, on the device (motion, Time).
pub const LOOK_AHEAD_MOVES: usize = 32;

/// Tools whose filament is counted apart.
pub const TOOLS: usize = 4;

/// Bytes of a record file (MACHINE.JSN and so on). A longer one is refused.
pub const RECORD_BYTES: usize = 4096;

/// Build plates a machine sheet may list.
pub const PLATES: usize = 4;

/// Tags a machine answers to besides its own.
pub const MACHINE_ALIASES: usize = 6;

/// Different words that are kept by name. Further ones are counted only. More than a machine sheet can list as its
/// own ([`MACHINE_ALIASES`]), so that a full list has one that is not listed.
pub const UNKNOWN_NAMES: usize = 10;
const _: () = assert!(UNKNOWN_NAMES > MACHINE_ALIASES, "a full list of names has one that no sheet lists");

/// Characters of such a name.
pub const WORD_NAME_BYTES: usize = 12;

/// Phase marks kept; later ones are left out.
pub const MARKS: usize = 64;

/// Pauses kept; later ones are counted only.
pub const PAUSES: usize = 8;

/// A nozzle above this is hot: melt in it chars with time, °C (trade convention: the guard against cold feeding).
pub const HOT_NOZZLE_C: i16 = 170;

/// Flow factors up to the first and from the second on are far from 1, thousandths (judgement: wear and calibration ask
/// for 0.85 to 1.15).
pub const FLOW_FACTORS_PERMILLE: [u32; 2] = [800, 1250];

/// A part's fan below this hardly turns: it counts as off, thousandths of full (judgement).
pub const FAN_TURNS_PERMILLE: u16 = 100;

/// Heat targets kept; later ones are counted only.
pub const HEAT_STEPS: usize = 24;

/// Ends of layers kept: when full, every second one is dropped and the stride doubles. Three for each point that a run's
/// plan takes of them. 12 bytes each.
pub const LAYER_POINTS: usize = 96;

/// Parts of a job printed one after the other that are kept with their boxes; later ones are counted only.
pub const PARTS: usize = 12;

/// Runs of evenly spaced planes that are kept to recognise a plane again.
pub const PLANE_RUNS: usize = 32;
/// Bytes of a key's full name in an error (`motion.retract_accel`). A longer one is cut; only unknown keys are.
pub const KEY_BYTES: usize = 40;

/// Brackets within each other in a header or record. Deeper text is refused: a parser's stack grows with each.
pub const JSON_DEPTH: u8 = 8;

/// Spans of the week at which somebody is in the room: two a day.
pub const STAFFED_SPANS: usize = 14;

/// Grades that a room bans.
pub const BANNED_GRADES: usize = 8;

/// Moments at which a room's clocks change: two years of them.
pub const CLOCK_CHANGES: usize = 4;

/// Rows of its own in a room's rules that win over the material table's. Costs some 80 bytes each.
pub const OWN_MATERIALS: usize = 4;

/// Further names of such a material.
pub const OWN_MATERIAL_WORDS: usize = 2;

/// Places of a machine's plate that the head must keep out of, such as clips.
pub const KEEP_OUTS: usize = 4;

/// Key words of its own that a room may add for the material in a comment.
pub const HINT_WORDS: usize = 8;

/// Spools whose balance is kept. When another comes, the one that was not used for the longest is forgotten, and the
/// caller is told which. 72 bytes of flash each.
pub const LEDGER_SPOOLS: u8 = 16;

/// Events kept in flash; the oldest makes room. 32 bytes of flash each. A power of two. Where flash is too small for all
/// that the ledger may hold, 8 are kept.
pub const LEDGER_EVENTS: u8 = 64;

/// Learned values kept, under keys from 0. A higher key is refused. At most 144 bytes of flash each.
pub const LEARNED_VALUES: u8 = 16;

/// Bytes of one value in flash: learned values, verdict summaries, pieces of what is longer. A longer one is refused.
pub const LEDGER_VALUE_BYTES: usize = 126;

/// Checks that can be settled are numbered below this: one bit each, 16 bytes for the machine and in every spool's row.
pub const SETTLED_CHECKS: u8 = 128;

/// Bytes of the state of a run that is taken up again after a power cut. A longer one is refused.
pub const RUN_STATE_BYTES: usize = 13 * LEDGER_VALUE_BYTES;

/// Rows of the day book that wait for a card in the ledger, besides the two that a run's state holds. When another
/// comes, the oldest is given up, which the screen and the events say. At most 432 bytes of flash each.
pub const ROWS_KEPT: u8 = 16;

/// Bytes of such a row. A longer one is refused; none is (`app::kept`).
pub const ROW_KEPT_BYTES: usize = 3 * LEDGER_VALUE_BYTES - 10;

/// Rows given up that are kept by name until a card's events tell of them. Of further ones the last is named, and how
/// many there are. 96 bytes of flash each.
pub const ROWS_GIVEN_UP: u8 = 4;

/// Bytes of the first layer's picture, kept from a release to the next. A longer one is refused; a layer of which every
/// cell comes at another time than the one beside it takes almost so many, a usual one a tenth.
pub const PICTURE_BYTES: usize = 19 * LEDGER_VALUE_BYTES;

/// As many of these as there is room for: `collect` panics where they are more.
pub(crate) fn up_to<T, const N: usize>(items: impl IntoIterator<Item = T>) -> heapless::Vec<T, N> {
    let mut kept = heapless::Vec::new();
    for item in items.into_iter().take(N) {
        let _ = kept.push(item);
    }
    kept
}
