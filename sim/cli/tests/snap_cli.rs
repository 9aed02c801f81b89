//! `holdpoint snap` as a user meets it.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn snap(script: &str, more: &[&str], folder: &Path) -> Output {
    fs::write(folder.join("run.txt"), script).unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_holdpoint"));
    command.args(["snap", "run.txt"]).args(more).current_dir(folder).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn a_script_s_screens_are_drawn_and_read() {
    let folder = tempfile::tempdir().unwrap();
    let script = "# a start\ninsert\nchoose Bohrlehre\nsnap the list\npress\nexpect CLEAR\nsnap verdict\n";
    let run = snap(script, &["--out", "pictures", "--text"], folder.path());
    assert_eq!(run.status.code(), Some(0), "{}", text(&run.stderr));
    let told = text(&run.stdout);
    for word in ["JOBS ON THIS CARD", "left  110 g", "2 screens in pictures"] {
        assert!(told.contains(word), "{word} in {told}");
    }
    for file in ["01-the-list.png", "02-verdict.png", "sheet.png"] {
        let picture = fs::read(folder.path().join("pictures").join(file)).expect(file);
        assert_eq!(&picture[..8], b"\x89PNG\r\n\x1a\n", "{file}");
    }
    assert!(fs::read_to_string(folder.path().join("pictures/screens.txt")).unwrap().contains("CLEAR"));
}

#[test]
fn a_line_that_cannot_be_done_is_named_with_what_was_there() {
    let folder = tempfile::tempdir().unwrap();
    for (script, words) in [
        ("insert\nprest\n", &["run.txt:2", "no instruction `prest`", "--help"][..]),
        ("insert\ninsert\n", &["run.txt:2: insert", "in already"]),
        ("insert\nchoose Brot\n", &["run.txt:2", "no job", "Brot"]),
        ("insert\nexpect HOLD EVERYTHING\n", &["run.txt:2", "the screen says", "JOBS ON THIS CARD"]),
        ("insert\nanswer Bare\n", &["run.txt:2", "nothing is asked", "Jobs"]),
        ("until Plate within 1 min\n", &["run.txt:1", "did not come", "Waiting"]),
        ("card none.img\n", &["none.img", "cannot be read"]),
        ("printer start\n", &["nothing to print"]),
    ] {
        let run = snap(script, &[], folder.path());
        assert_eq!(run.status.code(), Some(3), "{script}");
        let told = text(&run.stderr);
        assert!(told.starts_with("holdpoint: "), "{told}");
        for word in words {
            assert!(told.contains(word), "{word} in {told}");
        }
        assert!(
            !folder.path().join("holdpoint-screens").exists(),
            "nothing is written where nothing was drawn"
        );
    }
}

#[test]
fn what_was_drawn_before_a_line_that_fails_is_there() {
    let folder = tempfile::tempdir().unwrap();
    let script = "insert\nsnap the list\nexpect HOLD EVERYTHING\nsnap never\n";
    let run = snap(script, &["--out", "pictures", "--text"], folder.path());
    assert_eq!(run.status.code(), Some(3));
    assert!(text(&run.stderr).contains("run.txt:3: expect HOLD EVERYTHING"), "{}", text(&run.stderr));
    assert!(text(&run.stdout).contains("1 screen in pictures"), "{}", text(&run.stdout));
    let pictures = folder.path().join("pictures");
    assert!(pictures.join("01-the-list.png").exists() && pictures.join("sheet.png").exists());
    let texts = fs::read_to_string(pictures.join("screens.txt")).unwrap();
    assert!(texts.contains("JOBS ON THIS CARD") && !texts.contains("never"), "{texts}");
}
