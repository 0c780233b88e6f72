//! Who signed a time token: algorithms (by the RustCrypto crates), the certificate's purpose, and its chain to a root (by
//! the crate `rustls-webpki`). Pure.

use super::NotStamped;
use cms::signed_data::SignerInfo;
use der::asn1::ObjectIdentifier;
use der::{Decode as _, Encode as _};
use p256::ecdsa::signature::hazmat::PrehashVerifier as _;
use rsa::pkcs1::DecodeRsaPublicKey as _;
use rsa::traits::PublicKeyParts as _;
use rsa::{Pkcs1v15Sign, RsaPublicKey};
use rustls_pki_types::pem::PemObject as _;
use rustls_pki_types::{
    AlgorithmIdentifier, CertificateDer, InvalidSignature, SignatureVerificationAlgorithm, TrustAnchor,
    UnixTime, alg_id,
};
use sha2::{Digest as _, Sha256, Sha384, Sha512};
use std::time::Duration;
use webpki::EndEntityCert;
use x509_cert::Certificate;
use x509_cert::ext::pkix::{ExtendedKeyUsage, KeyUsage};

/// `id-kp-timeStamping`, RFC 3161 section 2.3.
static TIME_STAMPING: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.6.1.5.5.7.3.8");
const RSA_ENCRYPTION: &str = "1.2.840.113549.1.1.1";
/// Bits; smaller keys were broken, larger ones the crate does not take.
const SMALLEST_RSA: usize = 2_048;

/// A hash function.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hashed {
    Sha256,
    Sha384,
    Sha512,
}

impl Hashed {
    /// By its number (RFC 5754 section 2).
    pub(super) fn of(oid: ObjectIdentifier) -> Result<Self, NotStamped> {
        match oid.to_string().as_str() {
            "2.16.840.1.101.3.4.2.1" => Ok(Self::Sha256),
            "2.16.840.1.101.3.4.2.2" => Ok(Self::Sha384),
            "2.16.840.1.101.3.4.2.3" => Ok(Self::Sha512),
            other => Err(NotStamped::Algorithm(format!("hash {other}"))),
        }
    }

    pub(super) fn digest(self, bytes: &[u8]) -> Vec<u8> {
        match self {
            Self::Sha256 => Sha256::digest(bytes).to_vec(),
            Self::Sha384 => Sha384::digest(bytes).to_vec(),
            Self::Sha512 => Sha512::digest(bytes).to_vec(),
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Key {
    Rsa,
    P256,
    P384,
}

/// A way of signing, with its numbers as they stand in keys and signatures.
#[derive(Debug)]
struct Way {
    key: Key,
    hash: Hashed,
    key_id: AlgorithmIdentifier,
    id: AlgorithmIdentifier,
}

const fn way(key: Key, hash: Hashed, key_id: AlgorithmIdentifier, id: AlgorithmIdentifier) -> Way {
    Way { key, hash, key_id, id }
}

static WAYS: [Way; 9] = [
    way(Key::Rsa, Hashed::Sha256, alg_id::RSA_ENCRYPTION, alg_id::RSA_PKCS1_SHA256),
    way(Key::Rsa, Hashed::Sha384, alg_id::RSA_ENCRYPTION, alg_id::RSA_PKCS1_SHA384),
    way(Key::Rsa, Hashed::Sha512, alg_id::RSA_ENCRYPTION, alg_id::RSA_PKCS1_SHA512),
    way(Key::P256, Hashed::Sha256, alg_id::ECDSA_P256, alg_id::ECDSA_SHA256),
    way(Key::P256, Hashed::Sha384, alg_id::ECDSA_P256, alg_id::ECDSA_SHA384),
    way(Key::P256, Hashed::Sha512, alg_id::ECDSA_P256, alg_id::ECDSA_SHA512),
    way(Key::P384, Hashed::Sha256, alg_id::ECDSA_P384, alg_id::ECDSA_SHA256),
    way(Key::P384, Hashed::Sha384, alg_id::ECDSA_P384, alg_id::ECDSA_SHA384),
    way(Key::P384, Hashed::Sha512, alg_id::ECDSA_P384, alg_id::ECDSA_SHA512),
];

impl SignatureVerificationAlgorithm for Way {
    fn verify_signature(&self, key: &[u8], message: &[u8], signature: &[u8]) -> Result<(), InvalidSignature> {
        let digest = self.hash.digest(message);
        let holds = match self.key {
            Key::Rsa => {
                let key = RsaPublicKey::from_pkcs1_der(key).map_err(|_| InvalidSignature)?;
                let scheme = match self.hash {
                    Hashed::Sha256 => Pkcs1v15Sign::new::<Sha256>(),
                    Hashed::Sha384 => Pkcs1v15Sign::new::<Sha384>(),
                    Hashed::Sha512 => Pkcs1v15Sign::new::<Sha512>(),
                };
                key.n().bits() >= SMALLEST_RSA && key.verify(scheme, &digest, signature).is_ok()
            }
            Key::P256 => {
                let key = p256::ecdsa::VerifyingKey::from_sec1_bytes(key).map_err(|_| InvalidSignature)?;
                let signature = p256::ecdsa::Signature::from_der(signature).map_err(|_| InvalidSignature)?;
                key.verify_prehash(&digest, &signature).is_ok()
            }
            Key::P384 => {
                let key = p384::ecdsa::VerifyingKey::from_sec1_bytes(key).map_err(|_| InvalidSignature)?;
                let signature = p384::ecdsa::Signature::from_der(signature).map_err(|_| InvalidSignature)?;
                key.verify_prehash(&digest, &signature).is_ok()
            }
        };
        if holds { Ok(()) } else { Err(InvalidSignature) }
    }

    fn public_key_alg_id(&self) -> AlgorithmIdentifier {
        self.key_id
    }

    fn signature_alg_id(&self) -> AlgorithmIdentifier {
        self.id
    }
}

/// Checks the signature over the signed attributes (RFC 5652 section 5.4). A signature of RSA may name the hash or leave that to
/// the digest algorithm (RFC 3370 section 3.2).
pub(super) fn check_signature(
    signer: &SignerInfo,
    certificate: &[u8],
    attributes: &[u8],
) -> Result<(), NotStamped> {
    let oid = signer.signature_algorithm.oid;
    let plain_rsa = oid.to_string() == RSA_ENCRYPTION;
    let hash = Hashed::of(signer.digest_alg.oid)?;
    let known = |way: &&Way| {
        if plain_rsa { way.key == Key::Rsa && way.hash == hash } else { names(way.id, oid) }
    };
    let certificate = CertificateDer::from(certificate);
    let entity = EndEntityCert::try_from(&certificate).map_err(not_held)?;
    let mut told = NotStamped::Algorithm(oid.to_string());
    for way in WAYS.iter().filter(known) {
        match entity.verify_signature(way, attributes, signer.signature.as_bytes()) {
            Ok(()) => return Ok(()),
            Err(webpki::Error::InvalidSignatureForPublicKey) => told = NotStamped::Signature,
            // A key of another kind than this way's.
            Err(_) => {}
        }
    }
    Err(told)
}

/// Whether an algorithm's identifier begins with this number; the parameters after it are NULL or absent.
fn names(id: AlgorithmIdentifier, oid: ObjectIdentifier) -> bool {
    oid.to_der().is_ok_and(|oid| id.as_ref().starts_with(&oid))
}

/// RFC 3161 section 2.3: one purpose, time-stamping, critical. A key usage, if there is one, must allow signing.
pub(super) fn check_purpose(certificate: &Certificate) -> Result<(), NotStamped> {
    let inner = &certificate.tbs_certificate;
    let purposes =
        inner.get::<ExtendedKeyUsage>().map_err(|_| NotStamped::Purpose("its purpose cannot be read"))?;
    let (critical, purposes) = purposes.ok_or(NotStamped::Purpose("it names no purpose"))?;
    if purposes.0.as_slice() != [TIME_STAMPING] {
        return Err(NotStamped::Purpose("time-stamping is not its only purpose"));
    }
    if !critical {
        return Err(NotStamped::Purpose("its purpose is not marked critical"));
    }
    let usage = inner.get::<KeyUsage>().map_err(|_| NotStamped::Purpose("its key usage cannot be read"))?;
    if usage.is_some_and(|(_, usage)| !usage.digital_signature() && !usage.non_repudiation()) {
        return Err(NotStamped::Purpose("its key is not for signing"));
    }
    Ok(())
}

/// Follows the chain from a certificate to one of the roots, all valid at `time_s`. Gives the root's name.
pub(super) fn check_chain(
    certificate: &[u8],
    others: &[&[u8]],
    roots: &[Vec<u8>],
    time_s: i64,
) -> Result<String, NotStamped> {
    let certificate = CertificateDer::from(certificate);
    let entity = EndEntityCert::try_from(&certificate).map_err(not_held)?;
    let others: Vec<CertificateDer<'_>> = others.iter().map(|it| CertificateDer::from(*it)).collect();
    let ways: Vec<&dyn SignatureVerificationAlgorithm> = WAYS.iter().map(|it| it as _).collect();
    let since = u64::try_from(time_s).map_err(|_| NotStamped::Form("a time before 1970"))?;
    let time = UnixTime::since_unix_epoch(Duration::from_secs(since));
    // Authorities above may be for anything, or for time-stamping among other things.
    let purpose = webpki::KeyUsage::required_if_present(TIME_STAMPING.as_bytes());
    let mut told = NotStamped::Untrusted;
    for (at, root) in (1..).zip(roots) {
        let der = CertificateDer::from(root.as_slice());
        let read = Certificate::from_der(root).map_err(|_| NotStamped::Certificate(at))?;
        let anchor: TrustAnchor<'_> =
            webpki::anchor_from_trusted_cert(&der).map_err(|_| NotStamped::Certificate(at))?;
        let anchors = [anchor];
        let path = entity.verify_for_usage(&ways, &anchors, &others, time, purpose, None, None);
        match path.map_err(not_held).and_then(|_| valid_at(&read, time_s)) {
            Ok(()) => return Ok(read.tbs_certificate.subject.to_string()),
            // Another root may do; what is wrong with a chain says more than that there is none.
            Err(NotStamped::Untrusted) => {}
            Err(why) => told = why,
        }
    }
    Err(told)
}

/// The crate takes a root as it is given; here it has to be valid too.
fn valid_at(root: &Certificate, time_s: i64) -> Result<(), NotStamped> {
    let seconds =
        |time: x509_cert::time::Time| i64::try_from(time.to_unix_duration().as_secs()).unwrap_or(i64::MAX);
    let validity = root.tbs_certificate.validity;
    let (not_before_s, not_after_s) = (seconds(validity.not_before), seconds(validity.not_after));
    match time_s {
        time if time < not_before_s => Err(NotStamped::NotYetValid { not_before_s }),
        time if time > not_after_s => Err(NotStamped::Expired { not_after_s }),
        _ => Ok(()),
    }
}

fn not_held(why: webpki::Error) -> NotStamped {
    let seconds = |time: UnixTime| i64::try_from(time.as_secs()).unwrap_or(i64::MAX);
    match why {
        webpki::Error::CertExpired { not_after, .. } => {
            NotStamped::Expired { not_after_s: seconds(not_after) }
        }
        webpki::Error::CertNotValidYet { not_before, .. } => {
            NotStamped::NotYetValid { not_before_s: seconds(not_before) }
        }
        webpki::Error::UnknownIssuer => NotStamped::Untrusted,
        webpki::Error::CaUsedAsEndEntity => NotStamped::Purpose("it is one that vouches for others"),
        webpki::Error::RequiredEkuNotFoundContext(_) => {
            NotStamped::Purpose("one in its chain is not for time-stamping")
        }
        webpki::Error::InvalidSignatureForPublicKey => {
            NotStamped::Chain("a signature in it does not fit".into())
        }
        webpki::Error::EndEntityUsedAsCa => NotStamped::Chain("one in it may not vouch for others".into()),
        webpki::Error::PathLenConstraintViolated => NotStamped::Chain("longer than one in it allows".into()),
        webpki::Error::UnsupportedCriticalExtension => {
            NotStamped::Chain("a critical extension that is not known".into())
        }
        other => NotStamped::Chain(format!("{other:?}")),
    }
}

/// Certificates from a file: PEM, one or several, or one in DER.
pub fn read_certificates(bytes: &[u8]) -> Result<Vec<Vec<u8>>, NotStamped> {
    let all = if bytes.first() == Some(&0x30) {
        vec![bytes.to_vec()]
    } else {
        let each = CertificateDer::pem_slice_iter(bytes).map(|it| it.map(|der| der.to_vec()));
        each.collect::<Result<Vec<_>, _>>().map_err(|_| NotStamped::Certificate(1))?
    };
    if all.is_empty() {
        return Err(NotStamped::Certificate(1));
    }
    for (at, der) in (1..).zip(&all) {
        Certificate::from_der(der).map_err(|_| NotStamped::Certificate(at))?;
    }
    Ok(all)
}
