//! Writing results: whole or not at all.

use super::{Failure, OutputArgs};
use crate::present::text::visible;
use std::io::Write;
use std::path::Path;

/// Sends a result where the arguments say.
///
/// # Errors
/// [`Failure::Call`] where a file stands in the way, [`Failure::Computation`] where writing failed.
pub fn send(args: &OutputArgs, text: &str) -> Result<(), Failure> {
    match &args.output {
        Some(path) => write_file(path, text, args.force),
        None => print(text),
    }
}

/// Prints to standard output; a reader that has gone away is no error.
pub fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => Err(Failure::Computation(format!(
            "standard output cannot be written: {e}"
        ))),
        _ => Ok(()),
    }
}

/// Writes a file whole or not at all: into a new file beside it, which then takes its name.
///
/// # Errors
/// As [`send`].
pub fn write_file(path: &Path, text: &str, force: bool) -> Result<(), Failure> {
    let shown = visible(&path.display().to_string());
    if let Ok(there) = std::fs::symlink_metadata(path) {
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
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let failed = |what: &str, e: &dyn std::fmt::Display| {
        Failure::Computation(format!("{shown}: {what}: {e}; nothing was written"))
    };
    let mut file = tempfile::Builder::new()
        .prefix(".insertwright-")
        .tempfile_in(folder)
        .map_err(|e| failed("the folder cannot be written", &e))?;
    file.write_all(text.as_bytes())
        .map_err(|e| failed("cannot be written", &e))?;
    file.as_file()
        .sync_all()
        .map_err(|e| failed("cannot be written", &e))?;
    // The temporary file is private to its owner; a result is an ordinary file.
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        file.as_file()
            .set_permissions(std::fs::Permissions::from_mode(0o644))
            .map_err(|e| failed("cannot be written", &e))?;
    }
    let result = if force {
        file.persist(path).map(drop)
    } else {
        file.persist_noclobber(path).map(drop)
    };
    result.map_err(|e| failed("cannot be put in place", &e.error))
}
