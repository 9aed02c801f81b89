//! Every word of the screens fits its field, in every language, and is one of ours.

use holdpoint_shared::media::MediaFault;
use holdpoint_shared::records::Language;
use holdpoint_shared::words::{Counted, Trouble, Words, words};
use holdpoint_tests::avoided::{MENU, NEVER};

const LANGUAGES: [Language; 2] = [Language::English, Language::German];
/// Characters of a line of the base grid.
const LINE: usize = 21;

/// Lines that a text takes when it is broken at blanks.
fn lines(text: &str) -> usize {
    let mut count = 1;
    let mut used = 0;
    for word in text.split(' ') {
        let length = word.chars().count();
        assert!(length <= LINE, "{word:?} alone is longer than a line");
        if used > 0 && used + 1 + length > LINE {
            count += 1;
            used = 0;
        }
        used += length + usize::from(used > 0);
    }
    count
}

fn fits(text: &str, most: usize) {
    let length = text.chars().count();
    assert!(length <= most, "{text:?} has {length} characters, its field {most}");
    assert!(length > 0, "a text is missing");
}

fn fits_counted(counted: &Counted, most: usize) {
    fits(counted.one, most);
    fits(counted.many, most);
}

fn troubles(words: &Words) -> [&Trouble; MediaFault::ALL.len()] {
    MediaFault::ALL.map(|fault| words.card_trouble(fault))
}

#[test]
fn titles_fit_line_1() {
    for w in LANGUAGES.map(words) {
        for verdict in [w.verdicts.clear, w.verdicts.look, w.verdicts.hold, w.verdicts.none] {
            fits(verdict, 11);
        }
        // Beside 255/255.
        fits(w.note, 11);
        fits(w.reading_card, 18);
        fits(w.work_on_card, 17);
        for shares_with_name in [w.waiting, w.vetting, w.header_broken, w.record_refused] {
            fits(shares_with_name, 13);
        }
        for beside_notice in troubles(w).map(|trouble| trouble.title).into_iter().chain([w.no_jobs]) {
            // Seven pixels a character, a gap, and the signal word in five.
            let pixels = 7 * beside_notice.chars().count() + 5 + 5 * w.notice.chars().count();
            assert!(pixels <= 128, "{beside_notice:?} takes {pixels} pixels beside {:?}", w.notice);
        }
        for injury in [w.caution, w.warning] {
            fits(injury, 15);
        }
    }
}

#[test]
fn actions_fit_line_6_with_its_mark() {
    for w in LANGUAGES.map(words) {
        let a = &w.actions;
        for action in [
            a.put_card_in,
            a.leave_card_in,
            a.take_card_out,
            a.pick,
            a.walk_round,
            a.other_job,
            a.have_read,
            a.vet_anyway,
            a.read_again,
        ] {
            fits(action, 20);
        }
        for beside_arrows in [a.remedy, a.back] {
            fits(beside_arrows, 19);
        }
        fits(&format!("{} 255 {}", a.press, w.points.many), 20);
    }
}

#[test]
fn lines_and_paragraphs_fit() {
    for w in LANGUAGES.map(words) {
        for text in [w.no_spool_ticket, w.card_empty, w.no_points_so_far] {
            fits(text, LINE);
        }
        // Beside the hot-surface sign.
        fits(w.may_be_hot, 18);
        fits(w.hot_plate, 12);
        for counted in [&w.models, &w.other_files, &w.not_listed, &w.files_seen] {
            fits_counted(counted, LINE - "65535 ".len());
        }
        fits_counted(&w.jobs, 12);
        fits(&format!("255 {} {}", w.points.many, w.so_far), LINE);
        for paragraph in [w.slice_first, w.copy_a_job, w.header_remedy, w.record_remedy] {
            assert!(lines(paragraph) <= 2, "{paragraph:?}");
        }
        for trouble in troubles(w) {
            for paragraph in [trouble.what, trouble.remedy] {
                assert!(lines(paragraph) <= 2, "{paragraph:?}");
            }
        }
        // A header has at most 4,096 lines and columns.
        fits(&format!("{} 4096, {} 4096:", w.line, w.column), 25);
        let h = &w.header;
        for text in [h.version, h.no_end, h.not_a_comment, h.too_long, h.not_utf8, h.syntax, h.trailing] {
            fits(text, LINE);
        }
        for before_key in [h.missing, h.twice, h.value] {
            // The longest key of the header, in the small face.
            fits(&format!("{before_key} first_layer_um"), 25);
        }
    }
}

#[test]
fn small_words_leave_room_for_their_numbers() {
    for w in LANGUAGES.map(words) {
        for day in w.weekdays.iter().chain(&w.months) {
            fits(day, 3);
        }
        for (label, most) in [(w.left, 4), (w.nozzle, 6), (w.bed, 4), (w.ends, 4), (w.spool, 5)] {
            fits(label, most);
        }
        for (before_clock, last) in
            [(w.shuts, w.last_good), (w.shuts, w.last_flawed), (w.shuts, w.last_failed)]
        {
            let pixels = 5 * before_clock.chars().count() + 30 + 5 * last.chars().count();
            assert!(pixels + 4 <= 128, "{before_clock:?} 18:00 {last:?}");
        }
        for (alone, last) in [w.shut_today, w.no_hours, w.clock_not_set].map(|text| (text, w.last_unknown)) {
            let pixels = 5 * alone.chars().count() + 5 * last.chars().count();
            assert!(pixels + 2 <= 128 || alone == w.clock_not_set, "{alone:?} {last:?}");
        }
        for text in [w.today, w.yesterday, w.tomorrow, w.not_vetted, w.no_more, w.end_unknown, w.newest] {
            fits(text, 14);
        }
    }
}

/// Every text of a table, read from its debug form so that a new field is never forgotten. Those of a run are rows
/// of marks and have tests of their own (`words_run.rs`).
fn all(words: &Words) -> Vec<String> {
    let debug = format!("{words:?}");
    let (debug, _) = debug.split_once("run: RunWords").expect("the words of a run stand last");
    debug.split('"').skip(1).step_by(2).map(str::to_owned).collect()
}

#[test]
fn every_letter_is_one_that_the_faces_have() {
    for text in LANGUAGES.into_iter().flat_map(|language| all(words(language))) {
        for c in text.chars() {
            assert!(matches!(c, ' '..='~' | '\u{A1}'..='ÿ'), "{c:?} in {text:?}");
        }
        assert_eq!(text.trim(), text);
    }
}

#[test]
fn no_word_promises_or_belongs_to_a_printers_menu() {
    // These texts are titles and short lines: a menu's noun has no place in them at all.
    for text in LANGUAGES.into_iter().flat_map(|language| all(words(language))) {
        for word in text.to_lowercase().split(|c: char| !c.is_alphabetic()) {
            assert!(!NEVER.contains(&word) && !MENU.contains(&word), "{word:?} in {text:?}");
        }
        assert!(!text.contains('!'), "{text:?}");
    }
}

#[test]
fn the_languages_differ() {
    let [english, german] = LANGUAGES.map(|language| all(words(language)));
    assert_eq!(english.len(), german.len());
    assert!(english.len() > 120, "the debug form holds every text");
    let same = english.iter().zip(&german).filter(|(a, b)| a == b && !a.is_empty()).count();
    // Months, weekdays and the word "so far" for a job may be alike.
    assert!(same < 16, "{same} texts are the same in both languages");
}
