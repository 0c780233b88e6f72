//! Time tokens of RFC 3161: a time-stamp authority signs the hash of a log's signed head, so that the head, and all that it
//! commits to, is shown to have existed no later than then. Pure: a request is made offline and carried to an authority
//! by whoever has a connection; the answer is read and checked here, offline again.
//!
//! What is stamped is the SHA-256 of a checkpoint's bytes: the signed note with the log's own signature, as it is kept.
//! Checked are, each with an error of its own: the granted answer, the hash, the nonce, the CMS signature (RFC 5652; RSA of 2048 to
//! 4096 bits with PKCS #1 v1.5, ECDSA on P-256 and P-384; SHA-256, SHA-384, SHA-512), the signing-certificate attribute
//! (RFC 2634 section 5.4, RFC 5035 section 4), the certificate's only purpose, critical (RFC 3161 section 2.3), and its chain
//! (RFC 5280, by the crate `rustls-webpki`) up to one of the roots handed in, every certificate valid at the token's
//! time. Not checked: whether a certificate was revoked, which needs a connection. Which authority is one that a court or
//! a law relies on is not for a program to say; the roots are the caller's choice.
//!
//! DER only: an answer in BER's indefinite lengths is refused as unreadable.

mod onrecord;
mod token;
mod trust;

pub use onrecord::{Asked, Reading, Stamped, Times, gap};
pub use token::check;
pub use trust::read_certificates;

use super::canon;
use der::asn1::{Any, Int, Null, ObjectIdentifier, OctetString};
use der::{Decode as _, Encode as _, Sequence};
use x509_cert::spki::AlgorithmIdentifierOwned;

/// Longest answer that is looked at, bytes; those of public authorities have some 5,000 with their certificates.
const LONGEST: usize = 1 << 20;

const SHA256: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.16.840.1.101.3.4.2.1");

/// Why there is no token, or one that is not believed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotStamped {
    /// Bytes that are no request of this kind.
    #[error("not a time-stamp request for a SHA-256 hash with a nonce")]
    Request,
    /// Bytes that are no answer of an authority.
    #[error("not a time-stamp answer: {0}")]
    Form(&'static str),
    /// The authority refused.
    #[error("the authority did not grant it (status {status}): {said}")]
    NotGranted {
        /// `PKIStatus` of RFC 3161 section 2.4.2.
        status: u32,
        /// What the authority says.
        said: String,
    },
    /// The token is of other bytes.
    #[error("the token is of other bytes than these")]
    OtherBytes,
    /// The token answers another request.
    #[error("the token answers another request: the nonce differs")]
    OtherRequest,
    /// The certificate of whoever signed is neither in the token nor handed in.
    #[error("the certificate that signed it is not there")]
    NoCertificate,
    /// The token's content is not what was signed.
    #[error("the token was changed: its content does not have the hash that was signed")]
    Changed,
    /// The attribute that names the signing certificate is missing or names another.
    #[error("the signing certificate is not the one that the token names")]
    OtherCertificate,
    /// An algorithm that is not known here.
    #[error("signed with {0}, which this version does not know")]
    Algorithm(String),
    /// The signature does not fit, or the RSA key is of fewer than 2048 or more than 4096 bits.
    #[error("the signature does not fit, or its RSA key is of a length that is not taken")]
    Signature,
    /// A certificate that is not one of a time-stamp authority.
    #[error("not a certificate of a time-stamp authority: {0}")]
    Purpose(&'static str),
    /// A certificate of the chain had expired at the token's time.
    #[error("a certificate of the chain had expired at the token's time (UTC second {not_after_s})")]
    Expired {
        /// Its last second, UTC seconds since 1970.
        not_after_s: i64,
    },
    /// A certificate of the chain was not valid yet at the token's time.
    #[error(
        "a certificate of the chain was not valid yet at the token's time (from UTC second {not_before_s})"
    )]
    NotYetValid {
        /// Its first second, UTC seconds since 1970.
        not_before_s: i64,
    },
    /// No chain leads to any of the roots.
    #[error("its certificate leads to none of the roots that are trusted")]
    Untrusted,
    /// A chain that breaks a rule.
    #[error("the chain of its certificate does not hold: {0}")]
    Chain(String),
    /// A root that is no certificate.
    #[error("certificate {0} cannot be read")]
    Certificate(usize),
}

impl NotStamped {
    /// True when the token itself is wrong: of other bytes, changed, or by somebody who was no authority at its time. False
    /// when only more knowledge is missing, of a root, a certificate or an algorithm.
    pub fn is_wrong(&self) -> bool {
        !matches!(self, Self::NoCertificate | Self::Algorithm(_) | Self::Untrusted | Self::Certificate(_))
    }
}

/// What a believed token says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamp {
    /// The authority's time, UTC milliseconds since 1970, rounded up.
    pub at_ms: i64,
    /// How far off it may be either way, as the authority itself says, microseconds.
    pub accuracy_us: Option<u64>,
    /// Name of the authority, as in its certificate.
    pub authority: String,
    /// Name of the root that vouches for it.
    pub root: String,
    /// The policy under which it was made: numbers with dots.
    pub policy: String,
    /// Serial number of the token, hex.
    pub serial: String,
}

impl Stamp {
    /// The latest moment at which the bytes came to exist, if the authority is right: its time and its accuracy, UTC
    /// milliseconds, rounded up. An authority that states no accuracy is taken at its word.
    pub fn not_later_than_ms(&self) -> i64 {
        not_later_than_ms(self.at_ms, self.accuracy_us)
    }
}

fn not_later_than_ms(at_ms: i64, accuracy_us: Option<u64>) -> i64 {
    let slack_ms = accuracy_us.unwrap_or(0).div_ceil(1_000);
    at_ms.saturating_add(i64::try_from(slack_ms).unwrap_or(i64::MAX))
}

/// `MessageImprint` of RFC 3161 section 2.4.1.
#[derive(Debug, Clone, PartialEq, Eq, Sequence)]
struct Imprint {
    algorithm: AlgorithmIdentifierOwned,
    hash: OctetString,
}

impl Imprint {
    /// Whether it is the SHA-256 of these bytes.
    fn is_of(&self, bytes: &[u8]) -> bool {
        self.algorithm.oid == SHA256 && self.hash.as_bytes() == canon::sha256(bytes)
    }
}

/// `TimeStampReq` of RFC 3161 section 2.4.1.
#[derive(Debug, Clone, PartialEq, Eq, Sequence)]
struct Query {
    version: u8,
    imprint: Imprint,
    #[asn1(optional = "true")]
    policy: Option<ObjectIdentifier>,
    #[asn1(optional = "true")]
    nonce: Option<Int>,
    #[asn1(default = "no")]
    with_certificates: bool,
}

fn no() -> bool {
    false
}

/// A request for a token. Its bytes go to the authority as they are (`application/timestamp-query`, RFC 3161 section 3.4).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request(Query);

impl Request {
    /// A request for these bytes. `nonce` is random; it ties the answer to this request.
    pub fn of(checkpoint: &[u8], mut nonce: [u8; 8]) -> Result<Self, NotStamped> {
        // A positive integer of always eight bytes, whatever the dice say.
        nonce[0] = nonce[0] & 0x3f | 0x40;
        let algorithm = AlgorithmIdentifierOwned { oid: SHA256, parameters: Some(Any::from(Null)) };
        let hash = OctetString::new(canon::sha256(checkpoint)).map_err(|_| NotStamped::Request)?;
        Ok(Self(Query {
            version: 1,
            imprint: Imprint { algorithm, hash },
            policy: None,
            nonce: Some(Int::new(&nonce).map_err(|_| NotStamped::Request)?),
            with_certificates: true,
        }))
    }

    /// Reads a request that was kept.
    pub fn read(der: &[u8]) -> Result<Self, NotStamped> {
        let asked = Query::from_der(der).map_err(|_| NotStamped::Request)?;
        let usable = asked.version == 1 && asked.imprint.algorithm.oid == SHA256 && asked.nonce.is_some();
        if usable { Ok(Self(asked)) } else { Err(NotStamped::Request) }
    }

    /// The bytes to send.
    pub fn to_der(&self) -> Result<Vec<u8>, NotStamped> {
        self.0.to_der().map_err(|_| NotStamped::Request)
    }

    /// Whether it asks for a token of these bytes.
    pub fn is_of(&self, checkpoint: &[u8]) -> bool {
        self.0.imprint.is_of(checkpoint)
    }

    fn nonce(&self) -> Option<&Int> {
        self.0.nonce.as_ref()
    }
}
