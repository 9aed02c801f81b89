//! A second insertion of an unchanged job: what is read of it, what is told, and which changes are seen.

use std::cell::Cell;

use holdpoint_desk::image::Image;
use holdpoint_desk::reading;
use holdpoint_desk::script::settle;
use holdpoint_shared::app::{Depth, Now, Setup, Vetting};
use holdpoint_shared::checks::Verdict;
use holdpoint_shared::media::{BlockDevice, Entry, MediaError, MediaFault, MountToken, Volume};
use holdpoint_shared::records::Room;
use holdpoint_shared::time::Instant;
use holdpoint_tests::cards::{Changed, Counted, all_jobs};
use holdpoint_tests::faults::{Fault, Faulty};
use holdpoint_tests::generate::{Plan, job, sheet};
use holdpoint_tests::images::{FileSpec, KINDS, Kind, Table, card, clock};
use holdpoint_tests::person::{act, act_until, short_card, short_job, world};

const BLOCK: usize = 512;
/// Both ends are read for their comments.
const END: usize = 16 * 1024;

fn setup() -> Setup {
    Setup::new(sheet(), None, Room::default())
}

fn at(hour: u32, minute: u32) -> Now {
    Now { instant: Instant(0), wall: Some(clock(hour, minute, 0)) }
}

/// A job of about so many bytes.
fn text(bytes: usize) -> Vec<u8> {
    let text = job(&Plan { bytes, layers: 20_000, ..Plan::default() }).into_bytes();
    assert!((bytes..bytes * 3 / 2).contains(&text.len()), "{}", text.len());
    text
}

fn on_card(kind: Kind, path: &str, bytes: &[u8]) -> Vec<u8> {
    card(kind, Table::None, &[FileSpec::new(path, bytes, 9, 30), FileSpec::new("other.gcode", "G28\n", 8, 0)])
}

/// Where the job's bytes begin in an image; it lies in one piece.
fn place(image: &[u8], text: &[u8]) -> usize {
    let begins = |at: &usize| image[*at..].starts_with(text);
    (0..image.len()).step_by(BLOCK).find(begins).expect("the job lies in one piece")
}

/// What one insertion came to.
#[derive(Debug, PartialEq)]
struct Told {
    recalled: bool,
    /// The whole report and the survey, as text.
    report: String,
    /// Blocks that the vetting read, the listing of jobs before it left out.
    blocks: u64,
}

/// The card's newest job is vetted whole; `change` what the listing says of it.
fn vet(
    vetting: &mut Vetting,
    device: impl BlockDevice,
    setup: &Setup,
    now: Now,
    change: impl FnOnce(&mut Entry),
) -> Result<Told, MediaError> {
    vetting.stop();
    let blocks = Cell::new(0);
    let mut token = MountToken::new();
    let mut volume = Volume::mount(Counted::new(device, &blocks), &mut token)?;
    let (jobs, _) = all_jobs(&mut volume)?;
    // As the list of jobs does: the headers of the others are looked at.
    for other in &jobs {
        vetting.start(other, Depth::Ends);
        nb::block!(vetting.poll(&mut volume, setup, now))?;
        vetting.stop();
    }
    let mut entry = jobs[0].clone();
    change(&mut entry);
    blocks.set(0);
    vetting.start(&entry, Depth::Whole);
    nb::block!(vetting.poll(&mut volume, setup, now))?;
    let survey = vetting.survey();
    let report = format!("{:?}\n{survey:?}", vetting.report());
    Ok(Told { recalled: vetting.is_recalled(), report, blocks: blocks.get() })
}

fn insert(vetting: &mut Vetting, image: &[u8], setup: &Setup, now: Now) -> Told {
    vet(vetting, Image::from_bytes(image.to_vec()), setup, now, |_| {}).expect("a card")
}

/// What a device that has seen nothing yet tells.
fn anew(image: &[u8], setup: &Setup, now: Now) -> Told {
    let told = insert(&mut Vetting::new(), image, setup, now);
    assert!(!told.recalled);
    told
}

#[test]
fn a_job_of_three_megabytes_is_known_again_by_less_than_a_tenth_of_its_blocks() {
    let text = text(3_000_000);
    let setup = setup();
    for kind in [Kind::Fat16, Kind::Fat32, Kind::ExFat] {
        let image = on_card(kind, "part.gcode", &text);
        let mut vetting = Vetting::new();
        let first = insert(&mut vetting, &image, &setup, at(10, 0));
        let all = (text.len() / BLOCK) as u64;
        assert!(!first.recalled && first.blocks > all, "{kind:?}: {} of {all}", first.blocks);
        let second = insert(&mut vetting, &image, &setup, at(10, 0));
        assert!(second.recalled && second.blocks < all / 10, "{kind:?}: {} of {all}", second.blocks);
        assert_eq!(second.report, first.report, "{kind:?}");
        assert_eq!(vetting.read_at(), Some(clock(10, 0, 0)));
    }
}

#[test]
fn it_is_known_on_another_card_under_another_name_and_told_by_the_facts_of_now() {
    let text = text(100_000);
    let mut setup = setup();
    let mut vetting = Vetting::new();
    insert(&mut vetting, &on_card(Kind::Fat16, "part.gcode", &text), &setup, at(10, 0));
    for kind in KINDS {
        let other = on_card(kind, "class/Schraube für alle.gcode", &text);
        // Another spool, another hour.
        setup.spool =
            Some(holdpoint_shared::records::Spool { material: "ABS".try_into().unwrap(), ..spool() });
        let told = insert(&mut vetting, &other, &setup, at(17, 55));
        assert!(told.recalled, "{kind:?}");
        assert_eq!(told.report, anew(&other, &setup, at(17, 55)).report, "{kind:?}");
        assert_eq!(vetting.read_at(), Some(clock(10, 0, 0)), "{kind:?}");
    }
}

fn spool() -> holdpoint_shared::records::Spool {
    holdpoint_shared::records::Spool::from_json(include_bytes!("../../sim/demo/HOLDPT/SPOOL.JSN"))
        .expect("the demo's")
}

/// Each of these is another job, or the same one for another machine, or too little tells.
#[test]
fn whatever_may_be_another_job_is_surveyed_whole() {
    let text = text(200_000);
    let image = on_card(Kind::Fat16, "part.gcode", &text);
    let setup = setup();
    let mut other_sheet = setup.clone();
    other_sheet.machine.motion.print_accel_mm_s2 += 1;
    let longer = [&text[..], b"; one line more\n"].concat();
    let mut head = text.clone();
    head[40] ^= 1;
    let mut tail = text.clone();
    let last = tail.len() - 2;
    tail[last] ^= 1;
    // A byte out and another in: all between them is shifted.
    let mut shifted = text.clone();
    shifted.remove(END + 100);
    shifted.insert(text.len() - END - 100, b' ');
    let image_of = |text: &[u8]| on_card(Kind::Fat16, "part.gcode", text);
    let later = card(Kind::Fat16, Table::None, &[FileSpec::new("part.gcode", &text[..], 9, 31)]);
    let cases = [
        ("cut tail", image_of(&text[..text.len() - 700]), &setup),
        ("longer", image_of(&longer), &setup),
        ("head", image_of(&head), &setup),
        ("tail", image_of(&tail), &setup),
        ("shifted", image_of(&shifted), &setup),
        ("saved later", later, &setup),
        ("other sheet", image.clone(), &other_sheet),
    ];
    for (what, other, other_setup) in cases {
        let mut vetting = Vetting::new();
        insert(&mut vetting, &image, &setup, at(10, 0));
        let told = insert(&mut vetting, &other, other_setup, at(10, 5));
        assert!(!told.recalled, "{what}");
        assert_eq!(told.report, anew(&other, other_setup, at(10, 5)).report, "{what}");
        // And that one stands now.
        assert!(insert(&mut vetting, &other, other_setup, at(10, 6)).recalled, "{what}");
        assert!(!insert(&mut vetting, &image, &setup, at(10, 7)).recalled, "{what}");
    }
    let without_time = |vetting: &mut Vetting| {
        let device = Image::from_bytes(image.clone());
        vet(vetting, device, &setup, at(10, 0), |entry| entry.saved = None).expect("a card").recalled
    };
    let mut vetting = Vetting::new();
    assert_eq!([without_time(&mut vetting), without_time(&mut vetting)], [false; 2]);
}

/// One bit of one block changed in place, for every block of a job, its length and its time kept. All of both ends are
/// seen, and 32 blocks between them, spread so that no stretch of a thirty-second part and one block more is missed.
#[test]
fn a_change_in_place_is_seen_in_both_ends_and_in_thirty_two_blocks_between_them() {
    let text = text(120_000);
    let image = on_card(Kind::Fat16, "part.gcode", &text);
    let (setup, begins) = (setup(), place(&image, &text));
    let middle = END / BLOCK..(text.len() - END).div_ceil(BLOCK);
    let mut vetting = Vetting::new();
    insert(&mut vetting, &image, &setup, at(10, 0));
    let mut seen = Vec::new();
    for block in 0..text.len().div_ceil(BLOCK) {
        let byte = begins + (block * BLOCK + 300).min(text.len() - END - 1).max(block * BLOCK);
        let mut changed = Changed::new(&image, (image.len() / BLOCK) as u64);
        changed.put(byte, &[image[byte] ^ 1]);
        let told = vet(&mut vetting, changed, &setup, at(10, 0), |_| {}).expect("a card");
        if told.recalled {
            assert!(middle.contains(&block), "block {block} of an end");
            continue;
        }
        if middle.contains(&block) {
            seen.push(block);
        }
        assert!(!insert(&mut vetting, &image, &setup, at(10, 0)).recalled, "the changed one stood");
    }
    assert_eq!(seen.len(), 32, "{seen:?}");
    let bounds: Vec<usize> = [middle.start - 1].into_iter().chain(seen).chain([middle.end]).collect();
    let widest = bounds.windows(2).map(|pair| pair[1] - pair[0] - 1).max().unwrap();
    assert!(widest <= middle.len() / 32, "{widest} of {}", middle.len());
}

#[test]
fn a_job_of_two_ends_and_little_between_is_compared_whole() {
    // 32 blocks between the ends, the last one begun.
    let text = text(60_000)[..2 * END + 31 * BLOCK + 100].to_vec();
    let image = on_card(Kind::Fat12, "part.gcode", &text);
    let (setup, begins) = (setup(), place(&image, &text));
    for byte in (0..text.len()).step_by(BLOCK).chain([text.len() - 1]) {
        let mut vetting = Vetting::new();
        insert(&mut vetting, &image, &setup, at(10, 0));
        let mut changed = Changed::new(&image, (image.len() / BLOCK) as u64);
        changed.put(begins + byte, &[image[begins + byte] ^ 1]);
        let told = vet(&mut vetting, changed, &setup, at(10, 0), |_| {}).expect("a card");
        assert!(!told.recalled, "byte {byte}");
    }
}

/// A read that fails at each place of the second insertion, and a card that goes there: nothing is taken for read that
/// was not, and the next insertion of the sound card is told as the first.
#[test]
fn a_fault_at_each_read_of_the_second_insertion_is_told_and_the_survey_still_stands() {
    let text = text(150_000);
    let image = on_card(Kind::Fat16, "part.gcode", &text);
    let setup = setup();
    let mut vetting = Vetting::new();
    let first = insert(&mut vetting, &image, &setup, at(10, 0));
    let device = || Image::from_bytes(image.clone());
    let reads = {
        let reads = Cell::new(0);
        let device = Counted::new(device(), &reads);
        vet(&mut vetting, device, &setup, at(10, 0), |_| {}).expect("a card");
        reads.get()
    };
    let (mut no_verdict, mut gone) = (0, 0);
    for after in 0..reads {
        let faulty = Faulty::new(device(), Fault::FailedRead { after });
        match vet(&mut vetting, faulty, &setup, at(10, 0), |_| {}) {
            // In mounting, listing or the other jobs' names.
            Err(error) => assert_eq!(error.fault, MediaFault::ReadFailed, "{after}"),
            Ok(told) if told.recalled => assert_eq!(told.report, first.report, "{after}"),
            Ok(_) => {
                no_verdict += 1;
                assert_eq!(vetting.report().verdict, Verdict::NoVerdict, "{after}");
                assert_eq!(vetting.report().fault.map(|error| error.fault), Some(MediaFault::ReadFailed));
                assert!(vetting.survey().is_none(), "{after}");
            }
        }
        let vanishing = Faulty::new(device(), Fault::VanishAfterReads(after));
        match vet(&mut vetting, vanishing, &setup, at(10, 0), |_| {}) {
            Err(error) => {
                gone += 1;
                assert_eq!(error.fault, MediaFault::Gone, "{after}");
                assert!(vetting.survey().is_none(), "{after}");
            }
            // Fewer calls than blocks: all were done by then.
            Ok(told) => assert_eq!((told.recalled, told.report), (true, first.report.clone()), "{after}"),
        }
        let sound = insert(&mut vetting, &image, &setup, at(10, 0));
        assert_eq!((sound.recalled, sound.report), (true, first.report.clone()), "{after}");
    }
    // The two ends and 32 samples, in more than one read each.
    assert!(no_verdict > 32 && gone > 32, "{no_verdict} {gone}");
}

/// Both ends of a worn card read differently the second time: that is told of every time, by a whole survey.
#[test]
fn a_survey_whose_reads_differed_is_made_again() {
    use holdpoint_tests::corpus::{Card, CardFaults};
    let files = [("PART.GCO".to_owned(), text(60_000), 30)];
    let setup = setup();
    let mut vetting = Vetting::new();
    for _ in 0..2 {
        let worn = CardFaults { worn: true, ..CardFaults::default() };
        let mut card = Card::new(&files, clock(10, 0, 0), worn);
        vetting.start(&card.entry(0), Depth::Whole);
        nb::block!(vetting.poll(&mut card, &setup, at(10, 0))).expect("a card");
        assert!(!vetting.is_recalled());
        assert!(vetting.report().findings.iter().any(|finding| finding.check == 4));
    }
}

/// A survey that was left before its end stands for nothing.
#[test]
fn a_survey_that_was_broken_off_is_begun_anew() {
    let text = text(100_000);
    let image = on_card(Kind::Fat16, "part.gcode", &text);
    let setup = setup();
    let whole = anew(&image, &setup, at(10, 0));
    let mut token = MountToken::new();
    let mut volume = Volume::mount(Image::from_bytes(image.clone()), &mut token).expect("a card");
    let (jobs, _) = all_jobs(&mut volume).expect("jobs");
    for percent in [0, 1, 50, 90, 99] {
        let mut vetting = Vetting::new();
        vetting.start(&jobs[0], Depth::Whole);
        while vetting.percent() < percent && !vetting.is_done() {
            let _ = vetting.poll(&mut volume, &setup, at(10, 0));
        }
        vetting.stop();
        let told = insert(&mut vetting, &image, &setup, at(10, 0));
        assert_eq!((told.recalled, told.report), (false, whole.report.clone()), "{percent}");
    }
}

/// The short job, with a long comment in its middle.
fn long_job() -> Vec<u8> {
    let text = short_job();
    let half = text.find("G0 Z6.0").expect("its middle");
    let filler = "; nothing is to be done on this line of the job, nor on the next\n".repeat(4_000);
    [&text[..half], &filler, &text[half..]].concat().into_bytes()
}

/// On the device: the second insertion says what it rests on; and the one change that it cannot see, a byte between the
/// samples with length and time kept, is seen when the card comes back into the walk-round, where every byte is read.
#[test]
fn the_device_says_that_it_was_read_before_and_a_card_that_was_out_in_the_walk_round_is_read_whole() {
    let job = long_job();
    let image = short_card(&[FileSpec::new("long.gcode", job.clone(), 9, 30)]);
    let begins = place(&image, &job);
    let (mut world, card) = world(image.clone());
    let verdict = |world: &holdpoint_desk::world::World| world.page() == "Confirmation";
    assert!(act_until(&mut world, 100, verdict), "{}", world.page());
    assert!(!reading::read(&world.frame()).contains("read 1"), "{}", reading::read(&world.frame()));
    let time = world.app().unwrap().chosen().unwrap().read_at().unwrap().format("%H:%M").to_string();
    world.pull().unwrap();
    world.pass(120_000);
    // Every block of the comment but the sampled ones would do; the first of them is none.
    let mut changed = image;
    changed[begins + END + 10] ^= 1;
    card.replace(changed.clone());
    assert!(act_until(&mut world, 100, verdict), "{}", world.page());
    assert!(world.app().unwrap().chosen().unwrap().is_recalled());
    let text = reading::read(&world.frame());
    assert!(text.contains(&format!("read {time}")), "{text}");
    let walks = |world: &holdpoint_desk::world::World| {
        world.app().is_some_and(|app| app.phase() == holdpoint_shared::phase::Phase::Walk)
    };
    assert!(act_until(&mut world, 100, walks), "{}", world.page());
    world.pull().unwrap();
    world.pass(5_000);
    world.insert().unwrap();
    settle(&mut world);
    assert!(world.pass_until(60_000, 100, |world| world.page() == "CardChanged"), "{}", world.page());
    // Vetted again, by what is on the card now.
    act(&mut world);
    assert!(act_until(&mut world, 100, verdict), "{}", world.page());
    let survey = world.app().unwrap().chosen().unwrap().survey().unwrap().clone();
    assert_eq!(
        survey.reading.body_crc32,
        crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC).checksum(&changed[begins..begins + job.len()])
    );
}
