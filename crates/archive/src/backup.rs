//! Backup: a copy of the whole archive folder, checked before it gets its name.
//! Must work while a writer writes; the copy is of one state.

use std::path::Path;

use crate::error::ArchiveError;
use crate::files::{Staging, copy_user_files, sync_file};
use crate::open::{Archive, DB_FILE};

impl Archive {
    /// Copies the archive, the user's own files included, to a folder that does not exist yet. The
    /// copy is an archive itself: open it, or put it in the place of a lost one.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Occupied`], [`ArchiveError::File`], and [`ArchiveError::CheckFailed`] when
    /// the copy is not sound; then it is not kept.
    pub fn backup(&self, to: &Path) -> Result<(), ArchiveError> {
        let staging = Staging::beside(to)?;
        let copy = staging.dir().join(DB_FILE);
        self.db.copy_to(&copy)?;
        sync_file(&copy)?;
        copy_user_files(self.dir(), staging.dir())?;
        Self::open_reader(staging.dir())?
            .must_be_sound(format!("the backup `{}`", to.display()))?;
        staging.finish()
    }
}
