//! What a command writes besides its own text: never over what it reads, and over another file only where that is of the
//! kind that is written.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use holdpoint_desk::shown::Shown;
use holdpoint_shared::limits::BLOCK_BYTES;
use same_file::is_same_file;
use tempfile::NamedTempFile;

use crate::args::Settings;
use crate::atomic::{self, Existing};
use crate::source::is_boot_block;

/// Kinds of files that may be replaced by one of the same kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A PNG picture.
    Png,
    /// An SVG picture.
    Svg,
    /// The text of a run's screens.
    Screens,
    /// The image of a card.
    Card,
}

impl Form {
    /// Whether a file that begins so is of this kind. An empty file is of every kind.
    fn is_form_of(self, head: &[u8]) -> bool {
        let begins: &[&[u8]] = match self {
            Self::Card => return head.is_empty() || is_boot_block(head),
            // The signature of PNG (ISO/IEC 15948, 5.2).
            Self::Png => &[b"\x89PNG\r\n\x1a\n"],
            Self::Svg => &[b"<svg", b"<?xml"],
            Self::Screens => &[b"1 "],
        };
        head.is_empty() || begins.iter().any(|begin| head.starts_with(begin))
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Png => "a PNG picture",
            Self::Svg => "an SVG picture",
            Self::Screens => "the text of a run's screens",
            Self::Card => "a card image",
        }
    }
}

/// The files that a command reads.
#[derive(Clone, Debug, Default)]
pub struct Inputs(Vec<PathBuf>);

impl Inputs {
    /// What the settings name, and these.
    pub fn new<'p>(settings: &'p Settings, paths: impl IntoIterator<Item = &'p Path>) -> Self {
        let records = [&settings.machine, &settings.spool, &settings.room];
        let records = records.into_iter().flatten().map(PathBuf::as_path);
        Self(records.chain(paths).map(Path::to_path_buf).collect())
    }

    /// Refuses to write to one of them, whatever name or link it is written as.
    ///
    /// # Errors
    /// When `path` leads to a file that is read.
    pub fn refuse(&self, path: &Path) -> Result<()> {
        // To compare files opens them, which waits forever at a pipe. A path that leads to nothing is the same as none.
        let is_input = |input: &&PathBuf| {
            input.is_file() && path.is_file() && is_same_file(input, path).unwrap_or(false)
        };
        match self.0.iter().find(is_input) {
            Some(input) => bail!(
                "{}: would overwrite {}, which is read here; name another file",
                path.shown(),
                input.shown()
            ),
            None => Ok(()),
        }
    }

    /// Writes a file whole or not at all; an older one of its kind is replaced.
    ///
    /// # Errors
    /// When it would overwrite what is read or a file of another kind, or cannot be written.
    pub fn write(
        &self,
        path: &Path,
        form: Form,
        fill: impl FnOnce(&mut NamedTempFile) -> Result<()>,
    ) -> Result<()> {
        self.refuse(path)?;
        match head(path)
            .with_context(|| format!("{}: cannot be looked at before it is replaced", path.shown()))?
        {
            Some(head) if !form.is_form_of(&head) => bail!(
                "{}: is another file, not {}; name one that does not exist yet, or delete it first",
                path.shown(),
                form.word()
            ),
            _ => atomic::write(path, Existing::Replaced, None, fill),
        }
    }
}

/// The first bytes of a file; `None` = there is none.
fn head(path: &Path) -> std::io::Result<Option<Vec<u8>>> {
    let mut head = Vec::new();
    match File::open(path) {
        Ok(file) => file.take(BLOCK_BYTES as u64).read_to_end(&mut head).map(|_| Some(head)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
    }
}

#[cfg(test)]
mod tests {
    use std::fs;
    use std::io::Write;

    use super::*;

    #[test]
    fn what_is_read_is_never_overwritten_whatever_its_name() {
        let folder = tempfile::tempdir().unwrap();
        let job = folder.path().join("x.svg");
        fs::write(&job, "<svg G28").unwrap();
        fs::hard_link(&job, folder.path().join("hard.svg")).unwrap();
        fs::create_dir(folder.path().join("inner")).unwrap();
        #[cfg(unix)]
        std::os::unix::fs::symlink(&job, folder.path().join("soft.svg")).unwrap();
        let inputs = Inputs::new(&Settings::default(), [job.as_path()]);
        for name in ["x.svg", "hard.svg", "inner/../x.svg", "soft.svg"] {
            let to = folder.path().join(name);
            if !to.exists() {
                continue; // no links on this system
            }
            let said = inputs.write(&to, Form::Svg, |file| Ok(file.write_all(b"<svg/>")?)).unwrap_err();
            assert!(said.to_string().contains("would overwrite"), "{said}");
            assert_eq!(fs::read(&job).unwrap(), b"<svg G28");
        }
    }

    #[test]
    fn only_a_file_of_the_same_kind_is_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let at = folder.path().join("file");
        let write =
            |form| Inputs::default().write(&at, form, |file| Ok(file.write_all(b"\x89PNG\r\n\x1a\n new")?));
        write(Form::Png).unwrap();
        write(Form::Png).unwrap();
        assert!(write(Form::Svg).unwrap_err().to_string().contains("is another file"));
        fs::write(&at, "G28\n").unwrap();
        assert!(write(Form::Png).is_err());
        assert_eq!(fs::read(&at).unwrap(), b"G28\n");
        fs::write(&at, "").unwrap();
        write(Form::Png).unwrap();
    }
}
