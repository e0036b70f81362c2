//! Files appear whole or not at all: written to a file next to them, then moved into place.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Puts a new text in the place of a file, with the permissions of the old.
/// Through a link the file that it leads to is replaced, not the link.
pub fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let path = std::fs::canonicalize(path)?;
    let permissions = std::fs::metadata(&path)?.permissions();
    if permissions.readonly() {
        return Err(io::ErrorKind::PermissionDenied.into());
    }
    write(&path, bytes, Some(permissions))
}

/// Makes a plain file, or replaces it where there is one. A device or a pipe is written to and stays what it is. A link to
/// a file is refused: what it leads to was not named.
pub fn put(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let own = match std::fs::symlink_metadata(path) {
        Ok(own) => own.file_type(),
        Err(e) if e.kind() == io::ErrorKind::NotFound => {
            return write(path, bytes, None).map_err(|e| unwritable(&e));
        }
        Err(e) => return Err(unwritable(&e)),
    };
    let meant = match std::fs::metadata(path) {
        Ok(meant) => meant.file_type(),
        Err(_) if own.is_symlink() => {
            return Err("this is a link that leads nowhere; name another file".to_owned());
        }
        Err(e) => return Err(unwritable(&e)),
    };
    if meant.is_dir() {
        return Err(unwritable(&io::ErrorKind::IsADirectory.into()));
    }
    if !meant.is_file() {
        return write_to(path, bytes).map_err(|e| unwritable(&e));
    }
    if own.is_symlink() {
        return Err(
            "this is a link to another file; name that file itself, or - for the terminal"
                .to_owned(),
        );
    }
    replace(path, bytes).map_err(|e| unwritable(&e))
}

/// Writes to what is no plain file: it is neither made nor cut off.
fn write_to(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut to = std::fs::OpenOptions::new().write(true).open(path)?;
    to.write_all(bytes)
}

fn write(path: &Path, bytes: &[u8], permissions: Option<std::fs::Permissions>) -> io::Result<()> {
    let folder = path
        .parent()
        .filter(|p| !p.as_os_str().is_empty())
        .map_or_else(|| PathBuf::from("."), Path::to_owned);
    let mut new = builder(permissions.is_none()).tempfile_in(folder)?;
    new.write_all(bytes)?;
    if let Some(permissions) = permissions {
        new.as_file().set_permissions(permissions)?;
    }
    new.as_file().sync_all()?;
    new.persist(path)?;
    Ok(())
}

/// A new paper may be read by others, as far as the maker's umask lets them; the library's own default is only the maker.
#[cfg_attr(not(unix), allow(unused_mut, unused_variables))]
fn builder(is_new: bool) -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    if is_new {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder
}

pub fn unwritable(e: &io::Error) -> String {
    match e.kind() {
        io::ErrorKind::PermissionDenied => {
            "it may not be written; change its permissions or those of its folder".into()
        }
        io::ErrorKind::NotFound => "its folder does not exist; make it first".into(),
        io::ErrorKind::IsADirectory => "this is a folder; name a file".into(),
        _ => format!("it cannot be written: {e}; what was there is as it was"),
    }
}
