//! A seed in a file, for a desk. A phone wraps its seed with a key of the platform instead.

use super::io;
use crate::error::Error;
use std::fs::{self, File};
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Keeps one 32-byte seed in a file that only its owner can read (mode 0600 where the system has modes).
#[derive(Debug)]
pub struct FileVault {
    path: PathBuf,
}

impl FileVault {
    /// A vault in the given file.
    pub fn at(path: impl Into<PathBuf>) -> Self {
        Self { path: path.into() }
    }

    /// The seed, if one was saved.
    pub fn load(&self) -> Result<Option<Vec<u8>>, Error> {
        match fs::read(&self.path) {
            Ok(seed) => Ok(Some(seed)),
            Err(why) if why.kind() == std::io::ErrorKind::NotFound => Ok(None),
            Err(why) => Err(io(&self.path, &why)),
        }
    }

    /// Saves the seed; refuses to replace one, because a log could not be continued without its seed.
    pub fn save(&self, seed: &[u8]) -> Result<(), Error> {
        let mut options = File::options();
        options.write(true).create(true).truncate(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        let folder = self.path.parent().filter(|folder| !folder.as_os_str().is_empty());
        let folder = folder.unwrap_or(Path::new("."));
        fs::create_dir_all(folder).map_err(|why| io(folder, &why))?;
        if self.path.exists() {
            return Err(io(&self.path, &std::io::ErrorKind::AlreadyExists.into()));
        }
        // Under another name until it is whole: half a seed would be neither usable nor replaceable.
        let draft = self.path.with_extension("draft");
        let written = options.open(&draft).and_then(|mut file| {
            file.write_all(seed)?;
            file.sync_all()
        });
        written.map_err(|why| io(&draft, &why))?;
        fs::rename(&draft, &self.path).map_err(|why| io(&self.path, &why))?;
        super::photos::sync_folder(folder)
    }
}
