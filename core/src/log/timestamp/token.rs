//! An authority's answer and the token in it (RFC 3161 section 2.4.2, RFC 5652): taken apart, and checked step by step. Pure.
//! The chain of certificates and the algorithms are `trust`'s.

use super::trust::{self, Hashed};
use super::{Imprint, LONGEST, NotStamped, Request, Stamp};
use crate::log::canon;
use chrono::NaiveDate;
use cms::content_info::{CmsVersion, ContentInfo};
use cms::signed_data::{EncapsulatedContentInfo, SignerIdentifier, SignerInfo};
use der::asn1::{Any, BitString, Int, ObjectIdentifier, OctetString, SetOfVec};
use der::{Decode as _, Encode as _, Sequence, Tag, Tagged as _};
use sha1::{Digest as _, Sha1};
use x509_cert::Certificate;
use x509_cert::ext::Extensions;
use x509_cert::ext::pkix::SubjectKeyIdentifier;
use x509_cert::spki::AlgorithmIdentifierOwned;

const SIGNED_DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.2");
/// `id-ct-TSTInfo`, RFC 3161 section 2.4.2.
const TST_INFO: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.1.4");
/// RFC 5652 section 11.
const CONTENT_TYPE: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.3");
const MESSAGE_DIGEST: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.4");
/// RFC 2634 section 5.4 (a hash by SHA-1) and RFC 5035 section 4 (by any).
const SIGNING_CERTIFICATE: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.12");
const SIGNING_CERTIFICATE_V2: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.47");

/// `TimeStampResp` of RFC 3161 section 2.4.2.
#[derive(Sequence)]
struct Answer {
    status: Status,
    #[asn1(optional = "true")]
    token: Option<ContentInfo>,
}

#[derive(Sequence)]
struct Status {
    status: u32,
    #[asn1(optional = "true")]
    said: Option<Vec<String>>,
    #[asn1(optional = "true")]
    failure: Option<BitString>,
}

/// `SignedData` of RFC 5652 section 5.1, with the certificates as the bytes that they are. Authorities put one in twice, which
/// no set in DER may have, so they are taken as a row.
#[derive(Sequence)]
struct Signed {
    version: CmsVersion,
    hashes: Any,
    content: EncapsulatedContentInfo,
    #[asn1(context_specific = "0", tag_mode = "IMPLICIT", constructed = "true", optional = "true")]
    certificates: Option<Vec<Any>>,
    #[asn1(context_specific = "1", tag_mode = "IMPLICIT", constructed = "true", optional = "true")]
    revocations: Option<Vec<Any>>,
    signers: SetOfVec<SignerInfo>,
}

/// `TSTInfo` of RFC 3161 section 2.4.2.
#[derive(Sequence)]
struct Said {
    version: u8,
    policy: ObjectIdentifier,
    imprint: Imprint,
    serial: Int,
    time: Any,
    #[asn1(optional = "true")]
    accuracy: Option<Accuracy>,
    #[asn1(default = "super::no")]
    ordering: bool,
    #[asn1(optional = "true")]
    nonce: Option<Int>,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT", optional = "true")]
    authority: Option<Any>,
    #[asn1(context_specific = "1", tag_mode = "IMPLICIT", constructed = "true", optional = "true")]
    extensions: Option<Extensions>,
}

#[derive(Sequence)]
struct Accuracy {
    #[asn1(optional = "true")]
    seconds: Option<u32>,
    #[asn1(context_specific = "0", tag_mode = "IMPLICIT", optional = "true")]
    millis: Option<u16>,
    #[asn1(context_specific = "1", tag_mode = "IMPLICIT", optional = "true")]
    micros: Option<u16>,
}

/// `SigningCertificate` of RFC 2634 and `SigningCertificateV2` of RFC 5035: the first named is the one that signed.
#[derive(Sequence)]
struct Named {
    certificates: Vec<Any>,
    #[asn1(optional = "true")]
    policies: Option<Any>,
}

#[derive(Sequence)]
struct NamedBySha1 {
    hash: OctetString,
    #[asn1(optional = "true")]
    issuer: Option<Any>,
}

/// Checks an authority's answer to `request`: that it is a token of these bytes, made by an authority that one of `roots`
/// vouches for. Roots and `more` (certificates that a token may have left out) are DER. The answer is either the whole
/// response (`application/timestamp-reply`) or the token in it.
pub fn check(
    answer: &[u8],
    checkpoint: &[u8],
    request: Option<&Request>,
    roots: &[Vec<u8>],
    more: &[Vec<u8>],
) -> Result<Stamp, NotStamped> {
    let signed = signed_data(answer)?;
    let content = content(&signed)?;
    let said = Said::from_der(&content).map_err(|_| NotStamped::Form("its content is no TSTInfo"))?;
    if said.version != 1 {
        return Err(NotStamped::Form("a version of TSTInfo that is not known"));
    }
    if !said.imprint.is_of(checkpoint) {
        return Err(NotStamped::OtherBytes);
    }
    if request.is_some_and(|it| it.nonce() != said.nonce.as_ref() || !it.is_of(checkpoint)) {
        return Err(NotStamped::OtherRequest);
    }
    if said.extensions.iter().flatten().any(|it| it.critical) {
        return Err(NotStamped::Form("a critical extension that is not known"));
    }
    let at_us = time_us(&said.time)?;

    let certificates = certificates(&signed, more)?;
    let [signer] = signed.signers.as_slice() else {
        return Err(NotStamped::Form("not exactly one signature"));
    };
    let (der, certificate) =
        certificates.iter().find(|(_, it)| is_named(it, &signer.sid)).ok_or(NotStamped::NoCertificate)?;
    check_attributes(signer, &content, der)?;
    let attributes = signer.signed_attrs.as_ref().and_then(|it| it.to_der().ok());
    let attributes = attributes.ok_or(NotStamped::Form("no signed attributes"))?;
    trust::check_signature(signer, der, &attributes)?;
    trust::check_purpose(certificate)?;
    let others: Vec<&[u8]> = certificates.iter().map(|(der, _)| der.as_slice()).collect();
    let root = trust::check_chain(der, &others, roots, at_us.div_euclid(1_000_000))?;
    Ok(Stamp {
        at_ms: at_us.div_euclid(1_000) + i64::from(at_us.rem_euclid(1_000) > 0),
        accuracy_us: said.accuracy.map(|it| {
            u64::from(it.seconds.unwrap_or(0)) * 1_000_000
                + u64::from(it.millis.unwrap_or(0)) * 1_000
                + u64::from(it.micros.unwrap_or(0))
        }),
        authority: certificate.tbs_certificate.subject.to_string(),
        root,
        policy: said.policy.to_string(),
        serial: canon::hex(said.serial.as_bytes()),
    })
}

fn signed_data(answer: &[u8]) -> Result<Signed, NotStamped> {
    if answer.len() > LONGEST {
        return Err(NotStamped::Form("too long"));
    }
    let token = match ContentInfo::from_der(answer) {
        Ok(token) => token,
        Err(_) => {
            let Answer { status, token } =
                Answer::from_der(answer).map_err(|_| NotStamped::Form("neither a response nor a token"))?;
            // Granted, or granted with modifications.
            if status.status > 1 {
                let mut said = status.said.unwrap_or_default();
                said.extend(status.failure.as_ref().and_then(reason).map(str::to_owned));
                let said = said.join("; ").chars().filter(|it| !it.is_control()).take(500).collect();
                return Err(NotStamped::NotGranted { status: status.status, said });
            }
            token.ok_or(NotStamped::Form("granted, and no token in it"))?
        }
    };
    if token.content_type != SIGNED_DATA {
        return Err(NotStamped::Form("the token is not signed data"));
    }
    let der = token.content.to_der().map_err(|_| NotStamped::Form("the token cannot be read"))?;
    Signed::from_der(&der).map_err(|_| NotStamped::Form("its signed data cannot be read"))
}

/// `PKIFailureInfo` of RFC 3161 section 2.4.2: the first bit that is set.
fn reason(bits: &BitString) -> Option<&'static str> {
    let set = bits.bits().position(|bit| bit)?;
    Some(match set {
        0 => "unrecognised or unsupported hash algorithm",
        2 => "the request is not permitted or supported",
        5 => "the request has the wrong form",
        14 => "its time source is not available",
        15 => "the policy is not supported",
        16 => "an extension is not supported",
        17 => "additional information is not available",
        25 => "the authority's system failed",
        _ => "a reason that RFC 3161 does not name",
    })
}

fn content(signed: &Signed) -> Result<Vec<u8>, NotStamped> {
    if signed.content.econtent_type != TST_INFO {
        return Err(NotStamped::Form("what is signed is no time stamp"));
    }
    let content = signed.content.econtent.as_ref().and_then(|it| it.decode_as::<OctetString>().ok());
    Ok(content.ok_or(NotStamped::Form("nothing is signed"))?.into_bytes())
}

/// Certificates of the token and those handed in, as bytes and read. Other things than certificates are passed over.
fn certificates(signed: &Signed, more: &[Vec<u8>]) -> Result<Vec<(Vec<u8>, Certificate)>, NotStamped> {
    let mut all = Vec::new();
    for any in signed.certificates.iter().flatten().filter(|it| it.tag() == Tag::Sequence) {
        let der = any.to_der().map_err(|_| NotStamped::Form("a certificate in it cannot be read"))?;
        let read = Certificate::from_der(&der)
            .map_err(|_| NotStamped::Form("a certificate in it cannot be read"))?;
        all.push((der, read));
    }
    for (at, der) in (1..).zip(more) {
        all.push((der.clone(), Certificate::from_der(der).map_err(|_| NotStamped::Certificate(at))?));
    }
    Ok(all)
}

fn is_named(certificate: &Certificate, signer: &SignerIdentifier) -> bool {
    let inner = &certificate.tbs_certificate;
    match signer {
        SignerIdentifier::IssuerAndSerialNumber(it) => {
            it.issuer == inner.issuer && it.serial_number == inner.serial_number
        }
        SignerIdentifier::SubjectKeyIdentifier(it) => {
            inner.get::<SubjectKeyIdentifier>().is_ok_and(|own| own.is_some_and(|(_, own)| own == *it))
        }
    }
}

/// What RFC 5652 section 5.3 and RFC 3161 section 2.4.2 want of the signed attributes.
fn check_attributes(signer: &SignerInfo, content: &[u8], certificate: &[u8]) -> Result<(), NotStamped> {
    let missing = NotStamped::Form("a signed attribute is missing, doubled or cannot be read");
    let kind = attribute(signer, CONTENT_TYPE).and_then(|it| it.decode_as::<ObjectIdentifier>().ok());
    if kind.ok_or_else(|| missing.clone())? != TST_INFO {
        return Err(NotStamped::Form("the signature is of another kind of content"));
    }
    let digest = attribute(signer, MESSAGE_DIGEST).and_then(|it| it.decode_as::<OctetString>().ok());
    let digest = digest.ok_or(missing)?;
    let hash = Hashed::of(signer.digest_alg.oid)?;
    if hash.digest(content) != digest.as_bytes() {
        return Err(NotStamped::Changed);
    }
    let first = |oid| {
        attribute(signer, oid)
            .and_then(|it| it.decode_as::<Named>().ok())
            .and_then(|it| it.certificates.into_iter().next())
    };
    let by_sha1 = first(SIGNING_CERTIFICATE).map(|it| names_by_sha1(&it, certificate));
    let by_any = first(SIGNING_CERTIFICATE_V2).map(|it| names_by_any(&it, certificate));
    match (by_sha1, by_any) {
        (Some(true), None | Some(true)) | (None, Some(true)) => Ok(()),
        _ => Err(NotStamped::OtherCertificate),
    }
}

/// The only value of the only attribute of this type.
fn attribute(signer: &SignerInfo, oid: ObjectIdentifier) -> Option<&Any> {
    let mut of_type = signer.signed_attrs.iter().flat_map(SetOfVec::iter).filter(|it| it.oid == oid);
    let (only, None) = (of_type.next()?, of_type.next()) else { return None };
    match only.values.as_slice() {
        [value] => Some(value),
        _ => None,
    }
}

fn names_by_sha1(named: &Any, certificate: &[u8]) -> bool {
    let hash = named.decode_as::<NamedBySha1>();
    hash.is_ok_and(|it| it.hash.as_bytes() == Sha1::digest(certificate).as_slice())
}

/// `ESSCertIDv2`: an algorithm that is left out is SHA-256. Issuer and serial number, which may follow, add nothing to a hash of the
/// whole certificate.
fn names_by_any(named: &Any, certificate: &[u8]) -> bool {
    let parts: der::Result<Vec<Any>> = named.decode_as();
    let Ok(parts) = parts else { return false };
    let (algorithm, hash) = match parts.as_slice() {
        [hash, ..] if hash.tag() == Tag::OctetString => (super::SHA256, hash),
        [algorithm, hash, ..] => match algorithm.decode_as::<AlgorithmIdentifierOwned>() {
            Ok(algorithm) => (algorithm.oid, hash),
            Err(_) => return false,
        },
        _ => return false,
    };
    hash.tag() == Tag::OctetString
        && Hashed::of(algorithm).is_ok_and(|it| it.digest(certificate) == hash.value())
}

/// `GeneralizedTime` with a fraction (RFC 3161 section 2.4.2): UTC microseconds since 1970; what is finer is rounded up.
fn time_us(time: &Any) -> Result<i64, NotStamped> {
    let unreadable = NotStamped::Form("its time cannot be read");
    if time.tag() != Tag::GeneralizedTime {
        return Err(unreadable);
    }
    let read = || {
        let text = std::str::from_utf8(time.value()).ok()?.strip_suffix('Z')?;
        let (whole, fraction) = text.split_once('.').map_or((text, None), |(a, b)| (a, Some(b)));
        let digits = |it: &str| !it.is_empty() && it.bytes().all(|byte| byte.is_ascii_digit());
        if whole.len() != 14 || !digits(whole) || !fraction.is_none_or(digits) {
            return None;
        }
        let part = |from: usize, to: usize| whole.get(from..to)?.parse::<u32>().ok();
        let date = NaiveDate::from_ymd_opt(whole.get(..4)?.parse().ok()?, part(4, 6)?, part(6, 8)?)?;
        let moment = date.and_hms_opt(part(8, 10)?, part(10, 12)?, part(12, 14)?)?;
        let fraction = fraction.unwrap_or("0");
        let (micros, finer) = fraction.split_at(fraction.len().min(6));
        let micros: i64 = format!("{micros:0<6}").parse().ok()?;
        Some(moment.and_utc().timestamp_micros() + micros + i64::from(finer.bytes().any(|it| it != b'0')))
    };
    read().ok_or(unreadable)
}
