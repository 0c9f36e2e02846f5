//! Files that were sent and are being looked at: kept in memory, each for its sender alone, and let go
//! when they are entered, forgotten or too many.

use std::sync::{Arc, Mutex, PoisonError};

use gradeworthy_sheets::intake::Matching;
use gradeworthy_standards::Scale;
use gradeworthy_store::{MemberId, Token};
use jiff::{SignedDuration, Timestamp};
use sha2::{Digest, Sha256};

use crate::jobs::JobId;
use crate::refusal::Refusal;

/// Files kept at once. ASSUMED: a club has one member at its sheets, perhaps two; the oldest goes.
const KEPT: usize = 4;
/// How long a file is kept. ASSUMED: an evening.
const KEPT_FOR: SignedDuration = SignedDuration::from_hours(4);

/// A file that is being looked at.
#[derive(Clone, Debug)]
pub(crate) struct Upload {
    /// Its address.
    pub(crate) id: String,
    /// Who sent it.
    pub(crate) by: MemberId,
    /// When.
    pub(crate) at: Timestamp,
    /// Its name.
    pub(crate) name: String,
    /// Its bytes.
    pub(crate) bytes: Arc<[u8]>,
    /// Their SHA-256.
    pub(crate) sha256: [u8; 32],
    /// The scale of cars whose row gives none.
    pub(crate) scale: Option<Scale>,
    /// Columns read as the sender said.
    pub(crate) matching: Matching,
    /// How often columns were read otherwise.
    pub(crate) revision: u32,
    /// The job that enters it, once there is one.
    pub(crate) entering: Option<JobId>,
}

/// Those that are being looked at.
#[derive(Default)]
pub(crate) struct Uploads(Mutex<Vec<Upload>>);

impl Uploads {
    /// Keeps a file; gives its address.
    pub(crate) fn keep(
        &self,
        by: MemberId,
        at: Timestamp,
        name: &str,
        bytes: &[u8],
        scale: Option<Scale>,
    ) -> Result<String, Refusal> {
        let id = Token::random()?.to_hex();
        let upload = Upload {
            id: id.clone(),
            by,
            at,
            name: name.to_owned(),
            bytes: bytes.into(),
            sha256: Sha256::digest(bytes).into(),
            scale,
            matching: Matching::default(),
            revision: 0,
            entering: None,
        };
        let mut kept = self.lock();
        kept.retain(|own| at.duration_since(own.at) < KEPT_FOR);
        while kept.len() >= KEPT {
            kept.remove(0);
        }
        kept.push(upload);
        Ok(id)
    }

    /// A file that this member sent.
    pub(crate) fn find(&self, by: MemberId, id: &str) -> Result<Upload, Refusal> {
        let kept = self.lock();
        let found = kept.iter().find(|own| own.id == id && own.by == by);
        found.cloned().ok_or(Refusal::UploadGone)
    }

    /// Reads its columns as the sender says.
    pub(crate) fn match_columns(
        &self,
        by: MemberId,
        id: &str,
        columns: impl IntoIterator<Item = (usize, usize, String)>,
    ) -> Result<(), Refusal> {
        let mut kept = self.lock();
        let found = kept.iter_mut().find(|own| own.id == id && own.by == by);
        let upload = found.ok_or(Refusal::UploadGone)?;
        for (sheet, column, heading) in columns {
            upload.matching.read_as(sheet, column, &heading);
        }
        upload.revision += 1;
        Ok(())
    }

    /// Remembers the job that enters it.
    pub(crate) fn is_being_entered(
        &self,
        by: MemberId,
        id: &str,
        job: JobId,
    ) -> Result<(), Refusal> {
        let mut kept = self.lock();
        let found = kept.iter_mut().find(|own| own.id == id && own.by == by);
        found.ok_or(Refusal::UploadGone)?.entering = Some(job);
        Ok(())
    }

    /// Lets a file go.
    pub(crate) fn let_go(&self, by: MemberId, id: &str) {
        self.lock().retain(|own| own.id != id || own.by != by);
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Vec<Upload>> {
        // A thread that panicked left whole files behind.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
