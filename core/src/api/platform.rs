//! What the core asks of the platform: time, random bytes, and a safe place for the signing seed.

use super::work::AlarmBell;
use crate::error::Error;
use crate::record::words::KeyHeld;
use std::sync::Arc;

/// The platform's clocks, read at one moment.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Now {
    /// UTC, milliseconds since 1970.
    pub at_ms: i64,
    /// Offset of the device's time zone from UTC, minutes.
    pub off_min: i32,
    /// Name of the device's time zone, for example `Europe/London`.
    pub zone: String,
    /// Id of the device's running since it was last started.
    pub boot: String,
    /// Milliseconds since then, sleep included; never set by anybody.
    pub mono_ms: u64,
}

/// The platform's clocks.
#[uniffi::export(with_foreign)]
pub trait Clock: Send + Sync {
    /// Reads them.
    ///
    /// # Errors
    /// The platform could not tell the time; nothing is recorded then.
    fn now(&self) -> Result<Now, Error>;
}

/// The platform's source of random bytes, fit for keys.
#[uniffi::export(with_foreign)]
pub trait Random: Send + Sync {
    /// Exactly `count` random bytes.
    ///
    /// # Errors
    /// The platform has none; nothing is recorded then.
    fn bytes(&self, count: u32) -> Result<Vec<u8>, Error>;
}

/// A place for the 32-byte signing seed: wrapped by a key of the platform on a phone, a file on a desk. Seeds are in
/// no backup.
#[uniffi::export(with_foreign)]
pub trait SeedVault: Send + Sync {
    /// The seed, if one was saved.
    fn load(&self) -> Result<Option<Vec<u8>>, Error>;
    /// Saves the seed.
    fn save(&self, seed: Vec<u8>) -> Result<(), Error>;
}

/// A key of the device's own on P-256, apart from the seed, which signs closings once more: kept in the device's hardware, which
/// does not give it away, or at a desk in a file. Each entry that it signed stays on record with its public half.
#[uniffi::export(with_foreign)]
pub trait HardwareKey: Send + Sync {
    /// The public key: an uncompressed point (SEC 1, 65 bytes) or a SubjectPublicKeyInfo (DER).
    ///
    /// # Errors
    /// The platform does not give it; nothing is co-signed then.
    fn public_key(&self) -> Result<Vec<u8>, Error>;
    /// An ECDSA signature (DER) of the SHA-256 of these bytes.
    ///
    /// # Errors
    /// The platform does not sign; nothing is co-signed then.
    fn sign(&self, statement: Vec<u8>) -> Result<Vec<u8>, Error>;
    /// Where the key lies; it is part of what is signed.
    ///
    /// # Errors
    /// The platform does not know; nothing is co-signed then.
    fn held(&self) -> Result<KeyHeld, Error>;
}

/// Everything that the core asks of the platform.
#[derive(Clone, uniffi::Record)]
pub struct Platform {
    /// Clocks.
    pub clock: Arc<dyn Clock>,
    /// Random bytes.
    pub random: Arc<dyn Random>,
    /// The signing seed.
    pub vault: Arc<dyn SeedVault>,
    /// True for a demonstration: its log is named so, and every page made from it says so.
    #[uniffi(default = false)]
    pub demo: bool,
    /// A key of the device's own that co-signs closings; none where there is none.
    #[uniffi(default = None)]
    pub hardware: Option<Arc<dyn HardwareKey>>,
    /// What rings when a section is due; without one nothing rings.
    #[uniffi(default = None)]
    pub bell: Option<Arc<dyn AlarmBell>>,
}

impl std::fmt::Debug for Platform {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Platform").field("demo", &self.demo).finish_non_exhaustive()
    }
}

impl Platform {
    /// `N` random bytes; an error when the platform gave another number.
    pub(super) fn random<const N: usize>(&self) -> Result<[u8; N], Error> {
        let count = u32::try_from(N).unwrap_or(u32::MAX);
        self.random.bytes(count)?.try_into().map_err(|_| Error::internal("platform.random"))
    }
}
