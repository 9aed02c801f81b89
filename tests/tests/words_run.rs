//! Every row of words of a run fits the panel with its longest items, in every language; the languages agree.

use holdpoint_shared::phase::{Answer, OutOfUse, Question};
use holdpoint_shared::records::Language;
use holdpoint_shared::words::run::{RunPage, Term};
use holdpoint_shared::words::{Words, words};
use holdpoint_tests::avoided::{MENU, NEVER};
use holdpoint_tests::run_items::{EDGES, Kind, LAID, of_page, of_question, questions};

const LANGUAGES: [Language; 2] = [Language::English, Language::German];
/// Pixels across.
const WIDTH: usize = 128;
/// Characters of the base grid.
const COLUMNS: usize = 21;
/// Rows between title and action.
const ROOM: usize = 42;

fn length(text: &str) -> usize {
    text.chars().count()
}

/// The longest text of a kind, written by hand.
fn longest(kind: Kind, words: &Words) -> String {
    let term = |terms: &[Term]| {
        terms.iter().map(|term| words.run.term(*term)).max_by_key(|word| length(word)).unwrap().to_string()
    };
    let day = words.weekdays.iter().max_by_key(|day| length(day)).unwrap();
    match kind {
        // Names of any length stand in titles only, where they are cut.
        Kind::JobName | Kind::Machine => "WWWW".into(),
        Kind::ShortName => "WWWWWW~2.GCO".into(),
        Kind::Owner => "WXYZ".into(),
        Kind::Signs => "WXY[OK]".into(),
        Kind::Face => "textured".into(),
        Kind::File => "MACHINE.JSN".into(),
        Kind::Code => "D12-255".into(),
        Kind::Mark => ">PA66-CF15<".into(),
        Kind::Grade => "PA66".into(),
        Kind::Few => "13".into(),
        Kind::Check => "255".into(),
        Kind::Place => "13/13".into(),
        Kind::Layers => "9999/9999".into(),
        Kind::Percent => "100 %".into(),
        Kind::Plate | Kind::CoolPlate | Kind::NozzleHeat | Kind::NoReading => String::new(),
        Kind::NozzleRise => "≈300»300°C".into(),
        Kind::BedRise => "≈110»110°C".into(),
        Kind::Nozzle => "≈300°C".into(),
        Kind::Bed => "≈110°C".into(),
        Kind::CoolBed => "40°C".into(),
        Kind::Need | Kind::Left => "≈2150 g".into(),
        Kind::Error => "±120 g".into(),
        Kind::Strip => "1234 mm".into(),
        Kind::Bore => "1.25 mm".into(),
        Kind::Long => "≈125 h".into(),
        Kind::Short | Kind::Countdown => "≈59 min".into(),
        Kind::Today => "23:50".into(),
        Kind::Clock => format!("{day} 23:50"),
        Kind::End => format!("{day} 23:50-23:59"),
        Kind::Key => "* * * [9]".into(),
        Kind::Reason => {
            let all = OutOfUse::ALL.iter().map(|reason| words.run.out_of_use(*reason));
            all.max_by_key(|word| length(word)).unwrap().into()
        }
        Kind::Is(terms) => term(terms),
    }
}

/// `{n}` replaced; a number is never parted from its unit.
fn fill(text: &str, kinds: &[Kind], words: &Words) -> String {
    let mut out = text.to_string();
    for (place, &kind) in kinds.iter().enumerate() {
        let number = !matches!(kind, Kind::Is(_) | Kind::Grade | Kind::Face | Kind::File);
        let item = longest(kind, words);
        out = out.replace(&format!("{{{place}}}"), &if number { item.replace(' ', "\u{a0}") } else { item });
    }
    assert!(!out.contains('{'), "{text:?} names an item that it does not take");
    out
}

/// Lines that a text takes when it is broken at blanks.
fn lines(text: &str) -> usize {
    let (mut count, mut used) = (1, 0);
    for word in text.split(' ') {
        let length = length(word);
        assert!(length <= COLUMNS, "{word:?} alone is longer than a line");
        if used > 0 && used + 1 + length > COLUMNS {
            count += 1;
            used = 0;
        }
        used += length + usize::from(used > 0);
    }
    count
}

/// A row's title, lines and action.
fn parts(row: &str) -> (&str, Vec<&str>, &str) {
    let mut parts: Vec<&str> = row.split('|').collect();
    assert!(parts.len() >= 2, "{row:?} has no title or no action");
    let action = parts.pop().unwrap();
    let title = parts.remove(0);
    assert!(parts.iter().all(|part| !part.is_empty()), "{row:?}");
    (title, parts, action)
}

/// Every row with what it takes and how many answers stand in it.
fn rows(words: &'static Words) -> Vec<(&'static str, &'static [Kind], usize)> {
    let pages = RunPage::ALL.iter().map(|&page| (words.run.page(page), of_page(page), 0));
    let asked = questions()
        .into_iter()
        .map(|question| (words.run.question(question), of_question(question), question.answers().len()));
    pages.chain(asked).collect()
}

/// Left and right of `~`, items put in.
fn cells(text: &str, kinds: &[Kind], words: &Words) -> (usize, usize) {
    let (left, right) = text.split_once('~').unwrap_or((text, ""));
    (length(&fill(left, kinds, words)), length(&fill(right, kinds, words)))
}

#[test]
fn titles_and_actions_fit() {
    for words in LANGUAGES.map(words) {
        for (row, kinds, _) in rows(words) {
            let (title, _, action) = parts(row);
            let (word, name) = cells(title.trim_start_matches('*'), kinds, words);
            let tape = if title.starts_with('*') { 12 } else { 0 };
            let pixels = tape + 7 * word + if name > 0 { 5 + 5 * name } else { 0 };
            assert!(pixels <= WIDTH, "{title:?} takes {pixels} pixels");
            assert!(length(action) <= 20, "{action:?}");
        }
    }
}

#[test]
fn bodies_fit_with_their_longest_items() {
    let mut wrong = Vec::new();
    for words in LANGUAGES.map(words) {
        for (row, kinds, answers) in rows(words) {
            let (mut tall, mut base) = (0, 0);
            for line in parts(row).1 {
                let (pixels, high) = match line.as_bytes()[0] {
                    b'#' => {
                        let face = if line.starts_with("##") { 7 } else { 5 };
                        let (label, value) = cells(line.trim_start_matches('#'), kinds, words);
                        (face * label + 7 * value + 2, 11)
                    }
                    b'!' => {
                        let signal = if line.starts_with("!!") { words.warning } else { words.caution };
                        let (none, about) = cells(line.trim_start_matches('!'), kinds, words);
                        assert_eq!(none, 0, "{line:?}");
                        (17 + 7 * length(signal) + 2 + 5 * about, 11)
                    }
                    b'^' => {
                        let (label, value) = cells(&line[1..], kinds, words);
                        (20 + 5 * (label + value) + 2, 11)
                    }
                    b'=' => (0, 11),
                    _ if line.contains('~') => {
                        let (left, right) = cells(line, kinds, words);
                        base += 1;
                        (5 * (left + right) + 2, 0)
                    }
                    _ => {
                        base += lines(&fill(line, kinds, words));
                        (0, 0)
                    }
                };
                tall += high;
                if pixels > WIDTH {
                    wrong.push(format!("{line:?} takes {pixels} pixels"));
                }
            }
            // A list of more than four answers is turned through; three of it are seen at least.
            let seen = if answers > 4 { 3 } else { answers };
            let high = tall + 9 * (base + seen);
            if high > ROOM {
                wrong.push(format!("{row:?} is {high} rows high"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn answers(question: Question) -> impl Iterator<Item = Answer> {
    question.answers().iter().copied()
}

#[test]
fn answers_and_terms_fit_and_are_told_apart() {
    for words in LANGUAGES.map(|language| &words(language).run) {
        for question in questions() {
            let mut texts: Vec<_> = answers(question).map(|answer| words.answer(answer)).collect();
            for text in &texts {
                assert!((1..=18).contains(&length(text)), "{text:?}");
            }
            texts.sort_unstable();
            texts.dedup();
            assert_eq!(texts.len(), question.answers().len(), "{question:?}");
        }
        for &term in Term::ALL {
            let most = if EDGES.contains(&term) || LAID.contains(&term) { 12 } else { COLUMNS };
            assert!((1..=most).contains(&length(words.term(term))), "{term:?}");
        }
        for &reason in OutOfUse::ALL {
            assert!((1..=13).contains(&length(words.out_of_use(reason))), "{reason:?}");
        }
        // Beside the first layer's picture: 76 pixels.
        for (label, value) in [(words.stay, 7 * "≈19 min".chars().count()), (words.by_time, 5 * 6)] {
            assert!(5 * length(label) + 2 + value <= 76, "{label:?}");
        }
        for label in [words.now, words.next] {
            for &term in LAID {
                assert!(5 * (length(label) + length(words.term(term))) + 2 <= 76, "{label:?} {term:?}");
            }
        }
        assert!(length(words.first_layer) <= 12 && length(words.watch) <= 12);
        assert!(
            length(words.read_on) <= 20 && length(words.too_quick) <= 20 && length(words.last_chance) <= 14
        );
    }
}

/// Marks of a row and the items that it names, without its words.
fn marks(row: &str) -> Vec<(String, Vec<char>)> {
    row.split('|')
        .map(|line| {
            let marks: String = line.chars().take_while(|c| "#!^=*".contains(*c)).collect();
            let mut items: Vec<char> =
                line.split('{').skip(1).filter_map(|tail| tail.chars().next()).collect();
            items.sort_unstable();
            (marks + if line.contains('~') { "~" } else { "" }, items)
        })
        .collect()
}

#[test]
fn the_languages_agree_on_marks_and_items() {
    let [english, german] = LANGUAGES.map(|language| rows(words(language)));
    for ((english, kinds, _), (german, ..)) in english.into_iter().zip(german) {
        assert_eq!(marks(english), marks(german), "{english:?} {german:?}");
        let named: Vec<_> = marks(english).into_iter().flat_map(|(_, items)| items).collect();
        for place in 0..kinds.len() {
            let digit = char::from_digit(place as u32, 10).unwrap();
            assert!(named.contains(&digit), "{english:?} does not show item {place}");
        }
        assert_ne!(english, german);
    }
}

/// Every text of a run, without its marks.
fn texts(words: &'static Words) -> Vec<String> {
    let debug = format!("{:?}", words.run);
    debug
        .split('"')
        .skip(1)
        .step_by(2)
        .flat_map(|list| {
            list.split("\\n").flat_map(|row| row.split(['|', '~'])).map(str::to_owned).collect::<Vec<_>>()
        })
        .map(|text| text.trim_start_matches(['#', '!', '^', '=', '*']).to_string())
        .collect()
}

#[test]
fn every_letter_is_one_that_the_faces_have() {
    for text in LANGUAGES.into_iter().flat_map(|language| texts(words(language))) {
        for c in text.chars() {
            assert!(matches!(c, ' '..='~' | '\u{A1}'..='ÿ'), "{c:?} in {text:?}");
        }
        assert_eq!(text.trim(), text);
    }
}

#[test]
fn no_word_promises_shouts_or_is_a_printers_menu() {
    let mut count = 0;
    for text in LANGUAGES.into_iter().flat_map(|language| texts(words(language))) {
        count += 1;
        let small = text.to_lowercase();
        for word in small.split(|c: char| !c.is_alphabetic()) {
            assert!(!NEVER.contains(&word), "{word:?} in {text:?}");
        }
        assert!(!MENU.contains(&small.as_str()), "{text:?}");
        assert!(!text.contains('!'), "{text:?}");
    }
    assert!(count > 500, "only {count} texts were seen");
}

/// A cut or a burn wants its word; nothing else may wear it (ANSI Z535.4).
#[test]
fn signal_words_stand_where_a_person_can_be_hurt_and_nowhere_else() {
    let warned = [RunPage::WarmUp, RunPage::WarmUpString, RunPage::Runaway, RunPage::Smoke, RunPage::HotMess];
    let cautioned = [
        RunPage::WarmStopped,
        RunPage::Homing,
        RunPage::Probing,
        RunPage::Blob,
        RunPage::Strands,
        RunPage::StoodStill,
        RunPage::PauseNow,
        RunPage::HeatStillOn,
        RunPage::PartHolds,
        RunPage::NozzleBlob,
        RunPage::VentOff,
    ];
    for words in LANGUAGES.map(|language| &words(language).run) {
        for &page in RunPage::ALL {
            let row = words.page(page);
            assert_eq!(row.contains("|!!"), warned.contains(&page), "{page:?}");
            assert_eq!(row.contains("|!") && !row.contains("|!!"), cautioned.contains(&page), "{page:?}");
        }
    }
}
