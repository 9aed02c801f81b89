//! The guide's table of checks is the catalogue's own, and no link in the pages for people leads nowhere.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use holdpoint_shared::checks::write_markdown;
use pulldown_cmark::{Event, Parser, Tag, TagEnd};

const BEGIN: &str = "<!-- checks -->\n";
const END: &str = "<!-- end of checks -->";

/// With `UPDATE_GUIDE` set the table is written anew instead.
#[test]
fn the_guide_lists_the_catalogue_as_it_is() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../sim/guide/src/checks.md");
    let text = fs::read_to_string(&path).expect("the page");
    let (before, rest) = text.split_once(BEGIN).expect("where the table begins");
    let (table, after) = rest.split_once(END).expect("where the table ends");
    let mut wanted = String::new();
    write_markdown(&mut wanted).expect("a string takes all");
    if std::env::var_os("UPDATE_GUIDE").is_some() {
        fs::write(&path, format!("{before}{BEGIN}{wanted}{END}{after}")).expect("the page can be written");
        return;
    }
    assert!(
        table == wanted,
        "the guide and the catalogue differ; write the table anew with: UPDATE_GUIDE=1 cargo test -p holdpoint-tests --test guide"
    );
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The pages that people read.
fn pages() -> Vec<PathBuf> {
    let mut pages =
        ["README.md", "DEVELOPERS.md", "firmware/README.md"].map(|name| root().join(name)).to_vec();
    let guide = fs::read_dir(root().join("sim/guide/src")).expect("the guide");
    let guide = guide.map(|entry| entry.expect("a page").path());
    pages.extend(guide.filter(|path| path.extension().is_some_and(|end| end == "md")));
    pages
}

/// Where a page's links lead.
fn links(text: &str) -> Vec<String> {
    Parser::new(text)
        .filter_map(|event| match event {
            Event::Start(Tag::Link { dest_url, .. } | Tag::Image { dest_url, .. }) => {
                Some(dest_url.into_string())
            }
            _ => None,
        })
        .collect()
}

/// The anchors of a page's headings: small letters, blanks as hyphens, without other signs.
fn anchors(text: &str) -> BTreeSet<String> {
    let (mut anchors, mut heading) = (BTreeSet::new(), None::<String>);
    for event in Parser::new(text) {
        match (event, &mut heading) {
            (Event::Start(Tag::Heading { .. }), _) => heading = Some(String::new()),
            (Event::Text(text) | Event::Code(text), Some(heading)) => heading.push_str(&text),
            (Event::End(TagEnd::Heading(_)), _) => {
                let heading = heading.take().unwrap_or_default().to_lowercase().replace(' ', "-");
                anchors
                    .insert(heading.chars().filter(|c| c.is_alphanumeric() || "-_".contains(*c)).collect());
            }
            _ => {}
        }
    }
    anchors
}

#[test]
fn every_link_of_a_page_leads_somewhere() {
    let (mut seen, mut wrong) = (0, Vec::new());
    for page in pages() {
        let text = fs::read_to_string(&page).expect("a page");
        for link in links(&text).into_iter().filter(|link| !link.contains("://")) {
            seen += 1;
            let (path, anchor) = link.split_once('#').unwrap_or((&link, ""));
            let target =
                if path.is_empty() { page.clone() } else { page.parent().expect("a folder").join(path) };
            let there = target.exists()
                && (anchor.is_empty()
                    || fs::read_to_string(&target).is_ok_and(|text| anchors(&text).contains(anchor)));
            // The guide is built as a book, where nothing outside its folder is.
            let leaves = page.to_string_lossy().contains("guide") && path.contains("..");
            if !there || leaves {
                wrong.push(format!("{}: {link}", page.display()));
            }
        }
    }
    assert!(seen > 20, "{seen} links");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_page_of_the_guide_is_in_its_summary_and_the_readme_is_short() {
    let summary = fs::read_to_string(root().join("sim/guide/src/SUMMARY.md")).expect("the summary");
    let listed: BTreeSet<_> = links(&summary).into_iter().collect();
    for page in pages().into_iter().filter(|page| page.to_string_lossy().contains("guide")) {
        let name = page.file_name().expect("a name").to_string_lossy().into_owned();
        assert!(name == "SUMMARY.md" || listed.contains(&name), "{name} is not in the summary");
    }
    let readme = fs::read_to_string(root().join("README.md")).expect("the README");
    let lines = readme.lines().count();
    assert!(lines <= 150, "README.md has {lines} lines");
    // A reader waits for the pictures.
    for picture in links(&readme).iter().filter(|link| link.ends_with(".png")) {
        let bytes = fs::metadata(root().join(picture)).expect("a picture").len();
        assert!(bytes <= 300_000, "{picture}: {bytes} bytes");
    }
}

const DAMAGE: [&str; 2] = ["<!-- damage -->\n", "<!-- end of damage -->"];

/// The README's rows of damage: for each size the lowest share of all kinds of jobs in the guide's table.
fn lowest_of_the_guide() -> String {
    let page = fs::read_to_string(root().join("sim/guide/src/damage.md")).expect("the page");
    // By size: four kinds of damage without a header, and the lowest of all with one.
    let mut lowest = BTreeMap::<u32, [u32; 5]>::new();
    for row in page.lines().filter_map(|line| line.strip_prefix("| ")) {
        let mut cells = row.split(" | ");
        let Some((size, kind)) = cells.next().and_then(|head| head.split_once(" bytes, ")) else { continue };
        let size = size.parse().expect("a size");
        let sums = lowest.entry(size).or_insert([100; 5]);
        for (at, cell) in cells.enumerate() {
            let share = cell.trim_end_matches(" |").trim_end_matches(" %").parse().expect("a share");
            let at = if kind == "with a header" { 4 } else { at };
            sums[at] = sums[at].min(share);
        }
    }
    let mut table =
        "| damage, not CLEAR | lost | repeated | two swapped | scrambled | any, with a header |\n\
                     | --- | ---: | ---: | ---: | ---: | ---: |\n"
            .to_owned();
    for (size, shares) in lowest {
        let cells = shares.map(|share| format!("{share} %")).join(" | ");
        table += &format!("| {size} bytes | {cells} |\n");
    }
    table
}

/// With `UPDATE_GUIDE` set the table is written anew instead.
#[test]
fn the_readme_shows_the_guides_lowest_shares_of_damage() {
    let path = root().join("README.md");
    let text = fs::read_to_string(&path).expect("the README");
    let (before, rest) = text.split_once(DAMAGE[0]).expect("where the table begins");
    let (table, after) = rest.split_once(DAMAGE[1]).expect("where the table ends");
    let wanted = lowest_of_the_guide();
    if std::env::var_os("UPDATE_GUIDE").is_some() {
        fs::write(&path, [before, DAMAGE[0], &wanted, DAMAGE[1], after].concat())
            .expect("the README can be written");
        return;
    }
    assert_eq!(wanted.lines().count(), 5, "three sizes");
    assert_eq!(
        table, wanted,
        "write it anew with: UPDATE_GUIDE=1 cargo test -p holdpoint-tests --test guide"
    );
}
