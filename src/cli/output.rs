//! Writing results: whole or not at all.

use super::{Failure, Form, OutputArgs, WriteArgs};
use crate::present::text::visible;
use std::io::Write;
use std::path::{Path, PathBuf, is_separator};

/// Sends a result where the arguments say.
///
/// # Errors
/// [`Failure::Call`] where a file stands in the way, [`Failure::Computation`] where writing failed.
pub fn send<F: Form>(args: &OutputArgs<F>, text: &str) -> Result<(), Failure> {
    send_to(&args.write, text)
}

/// The same for a command with one form of output.
///
/// # Errors
/// As [`send`].
pub fn send_to(args: &WriteArgs, text: &str) -> Result<(), Failure> {
    let mut stream = Stream::new(args)?;
    stream.write(text)?;
    stream.finish()
}

/// Prints to standard output; a reader that has gone away is no error.
pub fn print(text: &str) -> Result<(), Failure> {
    Stream::Standard.write(text).map(drop)
}

/// Writes a file whole or not at all: into a new file beside it, which then takes its name.
///
/// # Errors
/// As [`send`].
pub fn write_file(path: &Path, text: &str, force: bool) -> Result<(), Failure> {
    let mut pending = Pending::new(path, force)?;
    pending.write(text)?;
    pending.finish()
}

/// A file in the making: under another name beside it until it is whole.
pub struct Pending {
    file: tempfile::NamedTempFile,
    path: PathBuf,
    force: bool,
}

impl Pending {
    /// Looks whether the file can be written, and begins.
    ///
    /// # Errors
    /// As [`send`].
    pub fn new(path: &Path, force: bool) -> Result<Pending, Failure> {
        let shown = visible(&path.display().to_string());
        let there = match std::fs::symlink_metadata(path) {
            Ok(there) => Some(there),
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => None,
            // Said now, and not after a study of an hour.
            Err(e) => return Err(failed(path, "cannot be looked at", &e)),
        };
        if let Some(there) = &there {
            if there.is_dir() {
                return Err(Failure::Call(format!(
                    "{shown}: this is a folder; name a file"
                )));
            }
            if there.file_type().is_symlink() {
                return Err(Failure::Call(format!(
                    "{shown}: this is a link to somewhere else; name the file itself"
                )));
            }
            // A device or a pipe must not give way to a file.
            if !there.is_file() {
                return Err(Failure::Call(format!(
                    "{shown}: this is a device or a pipe, no file; name a file, or leave -o out and redirect"
                )));
            }
            if !force {
                return Err(Failure::Call(format!(
                    "{shown}: this file exists; choose another name, or add --force"
                )));
            }
        }
        let text = path.as_os_str().to_string_lossy();
        // A dot at the end stands for a folder, which the file's name does not show.
        let folder = |text: &str| text.ends_with(is_separator);
        if path.file_name().is_none() || folder(&text) || text.strip_suffix('.').is_some_and(folder)
        {
            return Err(Failure::Call(format!(
                "{shown}: this names no file; name one"
            )));
        }
        let mut builder = tempfile::Builder::new();
        builder.prefix(".insertwright-");
        // A result is an ordinary file, as far as its owner lets new files be one; a file that is replaced keeps
        // its mode, and is never open to more.
        #[cfg(unix)]
        let mode = {
            use std::os::unix::fs::PermissionsExt;
            let mode = there.map(|there| there.permissions().mode() & 0o777);
            builder.permissions(std::fs::Permissions::from_mode(mode.unwrap_or(0o666)));
            mode
        };
        let file = builder
            .tempfile_in(folder_of(path))
            .map_err(|e| failed(path, "the folder cannot be written", &e))?;
        #[cfg(unix)]
        if let Some(mode) = mode {
            use std::os::unix::fs::PermissionsExt;
            file.as_file()
                .set_permissions(std::fs::Permissions::from_mode(mode))
                .map_err(|e| failed(path, "cannot be written", &e))?;
        }
        Ok(Pending {
            file,
            path: path.to_path_buf(),
            force,
        })
    }

    /// Adds a text.
    ///
    /// # Errors
    /// [`Failure::Computation`] where writing failed.
    pub fn write(&mut self, text: &str) -> Result<(), Failure> {
        self.file
            .write_all(text.as_bytes())
            .map_err(|e| failed(&self.path, "cannot be written", &e))
    }

    /// Puts the file in place.
    ///
    /// # Errors
    /// As [`send`].
    pub fn finish(self) -> Result<(), Failure> {
        let path = self.path;
        self.file
            .as_file()
            .sync_all()
            .map_err(|e| failed(&path, "cannot be written", &e))?;
        let result = if self.force {
            self.file.persist(&path).map(drop)
        } else {
            self.file.persist_noclobber(&path).map(drop)
        };
        result.map_err(|e| failed(&path, "cannot be put in place", &e.error))?;
        // The name is kept through a power cut as well. Not every file system can do this, and the file is whole
        // either way.
        #[cfg(unix)]
        if let Ok(folder) = std::fs::File::open(folder_of(&path)) {
            let _ = folder.sync_all();
        }
        Ok(())
    }
}

/// The folder that a file stands in.
fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

fn failed(path: &Path, what: &str, e: &dyn std::fmt::Display) -> Failure {
    let shown = visible(&path.display().to_string());
    Failure::Computation(format!("{shown}: {what}: {e}; nothing was written"))
}

/// Where results go piece by piece.
pub enum Stream {
    /// A file in the making.
    File(Pending),
    /// Standard output.
    Standard,
}

impl Stream {
    /// Where the arguments say.
    ///
    /// # Errors
    /// As [`send`].
    pub fn new(args: &WriteArgs) -> Result<Stream, Failure> {
        Ok(match &args.output {
            Some(path) => Stream::File(Pending::new(path, args.force)?),
            None => Stream::Standard,
        })
    }
    /// Adds a text; false where its reader has gone away, which is no error.
    ///
    /// # Errors
    /// [`Failure::Computation`] where writing failed.
    pub fn write(&mut self, text: &str) -> Result<bool, Failure> {
        match self {
            Stream::File(pending) => pending.write(text).map(|()| true),
            Stream::Standard => {
                let mut out = std::io::stdout().lock();
                match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
                    Ok(()) => Ok(true),
                    Err(e) if e.kind() == std::io::ErrorKind::BrokenPipe => Ok(false),
                    Err(e) => Err(Failure::Computation(format!(
                        "standard output cannot be written: {e}"
                    ))),
                }
            }
        }
    }
    /// Puts a file in place.
    ///
    /// # Errors
    /// As [`send`].
    pub fn finish(self) -> Result<(), Failure> {
        match self {
            Stream::File(pending) => pending.finish(),
            Stream::Standard => Ok(()),
        }
    }
}
