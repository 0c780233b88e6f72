"""Time-stamp authorities that are set up for a check and forgotten: `openssl ts` gives tokens as a real one would; tokens that no
honest authority gives are put together with asn1crypto and the keys of cryptography. All names and keys are invented.

`authority.py FILE SCRATCH` writes the cases that are committed for the tests in Rust (tests/proofs/tokens.json)."""

import base64
import datetime
import hashlib
import json
import random
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from asn1crypto import algos, cms, core, tsp
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec, padding, rsa
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID, ObjectIdentifier

UTC = datetime.timezone.utc
DAY = datetime.timedelta(days=1)
# Every token that is put together here says this time.
MOMENT = datetime.datetime(2026, 6, 9, 8, 10, 0, 123_000, tzinfo=UTC)
STAMPING = ExtendedKeyUsageOID.TIME_STAMPING
HASHES = {"sha256": hashes.SHA256(), "sha384": hashes.SHA384(), "sha512": hashes.SHA512()}


def new_key(kind: str) -> Any:
    match kind:
        case "p256":
            return ec.generate_private_key(ec.SECP256R1())
        case "p384":
            return ec.generate_private_key(ec.SECP384R1())
        case "p521":
            return ec.generate_private_key(ec.SECP521R1())
    return rsa.generate_private_key(public_exponent=65_537, key_size=int(kind))


def name(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


@dataclass
class Holder:
    """A certificate and its key."""

    certificate: x509.Certificate
    key: Any

    @property
    def der(self) -> bytes:
        return self.certificate.public_bytes(serialization.Encoding.DER)

    @property
    def pem(self) -> bytes:
        return self.certificate.public_bytes(serialization.Encoding.PEM)

    @property
    def key_pem(self) -> bytes:
        form, clear = serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        return self.key.private_bytes(serialization.Encoding.PEM, form, clear)


def holder(
    title: str,
    above: Holder | None = None,
    kind: str = "p256",
    *,
    ca: bool = False,
    begins: datetime.datetime = MOMENT - 400 * DAY,
    ends: datetime.datetime = MOMENT + 9_000 * DAY,
    purposes: list[ObjectIdentifier] | None = None,
    critical: bool = True,
    signs: bool = True,
    depth: int | None = None,
    strange: bool = False,
    with_hash: str = "sha256",
) -> Holder:
    key = new_key(kind)
    builder = (
        x509.CertificateBuilder()
        .subject_name(name(title))
        .issuer_name(above.certificate.subject if above else name(title))
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(ends)
        .add_extension(x509.BasicConstraints(ca=ca, path_length=depth), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(
            x509.KeyUsage(
                digital_signature=not ca and signs,
                content_commitment=False,
                key_encipherment=not ca and not signs,
                data_encipherment=False,
                key_agreement=False,
                key_cert_sign=ca,
                crl_sign=ca,
                encipher_only=False,
                decipher_only=False,
            ),
            critical=True,
        )
    )
    if purposes is None and not ca:
        purposes = [STAMPING]
    if purposes:
        builder = builder.add_extension(x509.ExtendedKeyUsage(purposes), critical=critical)
    if strange:
        unknown = x509.UnrecognizedExtension(ObjectIdentifier("1.3.6.1.4.1.55555.1"), b"\x05\x00")
        builder = builder.add_extension(unknown, critical=True)
    return Holder(builder.sign(above.key if above else key, HASHES[with_hash]), key)


def said(data: bytes, nonce: int | None, **changes: Any) -> bytes:
    """A TSTInfo (RFC 3161 section 2.4.2)."""
    parts: dict[str, Any] = {
        "version": "v1",
        "policy": "1.3.6.1.4.1.55555.2",
        "message_imprint": {"hash_algorithm": {"algorithm": "sha256"}, "hashed_message": hashlib.sha256(data).digest()},
        "serial_number": 7,
        "gen_time": MOMENT,
        "accuracy": {"seconds": 1, "millis": 2, "micros": 3},
    }
    if nonce is not None:
        parts["nonce"] = nonce
    return tsp.TSTInfo(parts | changes).dump()


def signed_by(key: Any, message: bytes, hashed: str) -> bytes:
    if isinstance(key, rsa.RSAPrivateKey):
        return key.sign(message, padding.PKCS1v15(), HASHES[hashed])
    return key.sign(message, ec.ECDSA(HASHES[hashed]))


def token(
    content: bytes,
    signer: Holder,
    others: list[Holder] | None = None,
    *,
    names: str = "v2",
    named: Holder | None = None,
    hashed: str = "sha256",
    algorithm: str | None = None,
    kind: str = "tst_info",
    attribute_kind: str = "tst_info",
    digest: bytes | None = None,
    alone: bool = False,
    by_key_id: bool = False,
    spoilt: bool = False,
    twice: bool = False,
) -> bytes:
    """Signed data (RFC 5652) around a TSTInfo."""
    named_der = (named or signer).der
    attributes = [
        cms.CMSAttribute({"type": "content_type", "values": [attribute_kind]}),
        cms.CMSAttribute(
            {"type": "message_digest", "values": [digest or hashlib.new(hashed, content).digest()]}
        ),
    ]
    if names == "v2":
        certs = [tsp.ESSCertIDv2({"cert_hash": hashlib.sha256(named_der).digest()})]
        attributes.append(cms.CMSAttribute({"type": "signing_certificate_v2", "values": [tsp.SigningCertificateV2({"certs": certs})]}))
    elif names == "v2-sha512":
        one = {"hash_algorithm": {"algorithm": "sha512"}, "cert_hash": hashlib.sha512(named_der).digest()}
        attributes.append(cms.CMSAttribute({"type": "signing_certificate_v2", "values": [tsp.SigningCertificateV2({"certs": [one]})]}))
    elif names == "v1":
        certs = [tsp.ESSCertID({"cert_hash": hashlib.sha1(named_der).digest()})]
        attributes.append(cms.CMSAttribute({"type": "signing_certificate", "values": [tsp.SigningCertificate({"certs": certs})]}))
    attributes = cms.CMSAttributes(attributes)
    signature = signed_by(signer.key, attributes.dump(), hashed)
    if spoilt:
        signature = signature[:-1] + bytes([signature[-1] ^ 1])
    own = asn1_x509.Certificate.load(signer.der)
    if by_key_id:
        sid = cms.SignerIdentifier({"subject_key_identifier": own.key_identifier})
    else:
        both = cms.IssuerAndSerialNumber({"issuer": own.issuer, "serial_number": own.serial_number})
        sid = cms.SignerIdentifier({"issuer_and_serial_number": both})
    if algorithm is None:
        algorithm = "rsassa_pkcs1v15" if isinstance(signer.key, rsa.RSAPrivateKey) else f"{hashed}_ecdsa"
    info = {
        "version": "v3" if by_key_id else "v1",
        "sid": sid,
        "digest_algorithm": {"algorithm": hashed},
        "signed_attrs": attributes,
        "signature_algorithm": algos.SignedDigestAlgorithm({"algorithm": algorithm}),
        "signature": signature,
    }
    certificates = [] if alone else [asn1_x509.Certificate.load(it.der) for it in [signer, *(others or [])]]
    infos = [cms.SignerInfo(info)]
    if twice:
        infos.append(cms.SignerInfo(info | {"signature": signed_by(signer.key, attributes.dump(), hashed) + b""}))
    data = {
        "version": "v3",
        "digest_algorithms": [{"algorithm": hashed}],
        "encap_content_info": {"content_type": kind, "content": core.ParsableOctetString(content)},
        "signer_infos": infos,
    }
    if certificates:
        data["certificates"] = certificates
    return cms.ContentInfo({"content_type": "signed_data", "content": cms.SignedData(data)}).dump()


def answer(token_der: bytes, status: str = "granted") -> bytes:
    parts = {"status": {"status": status}, "time_stamp_token": cms.ContentInfo.load(token_der)}
    return tsp.TimeStampResp(parts).dump()


@dataclass
class Case:
    """An answer, and what is to be made of it: `verdict` is `Stamp`, or the error's name in Rust."""

    title: str
    verdict: str
    answer: bytes
    data: bytes
    request: bytes
    roots: list[Holder]
    more: list[Holder] = field(default_factory=list)
    at: datetime.datetime = MOMENT

    def line(self) -> dict[str, Any]:
        return {
            "title": self.title,
            "verdict": self.verdict,
            "answer": self.answer.hex(),
            "checkpoint": self.data.hex(),
            "request": self.request.hex(),
            "roots": [root.der.hex() for root in self.roots],
            "more": [more.der.hex() for more in self.more],
        }


def request_of(data: bytes, nonce: int) -> bytes:
    imprint = {"hash_algorithm": {"algorithm": "sha256"}, "hashed_message": hashlib.sha256(data).digest()}
    return tsp.TimeStampReq({"version": "v1", "message_imprint": imprint, "nonce": nonce, "cert_req": True}).dump()


def openssl_answer(scratch: Path, request: bytes, signer: Holder, chain: list[Holder], hashed: str, **options: str) -> bytes:
    """`openssl ts -reply`."""
    scratch = scratch.resolve()
    files = {"signer.pem": signer.pem, "key.pem": signer.key_pem, "request.tsq": request}
    files["chain.pem"] = b"".join(it.pem for it in chain)
    for file, content in files.items():
        (scratch / file).write_bytes(content)
    (scratch / "serial").write_text("0A17\n")
    settings = {
        "serial": scratch / "serial",
        "crypto_device": "builtin",
        "signer_cert": scratch / "signer.pem",
        "signer_key": scratch / "key.pem",
        "signer_digest": hashed,
        "default_policy": "1.3.6.1.4.1.55555.2",
        "digests": "sha256, sha384, sha512",
        "accuracy": "secs:1, millisecs:500, microsecs:100",
        "clock_precision_digits": "3",
        "ordering": "yes",
        "tsa_name": "yes",
        "ess_cert_id_chain": "no",
        "ess_cert_id_alg": "sha256",
    } | options
    if chain:
        settings["certs"] = scratch / "chain.pem"
    config = "[tsa]\ndefault_tsa = set\n[set]\n" + "".join(f"{key} = {value}\n" for key, value in settings.items())
    (scratch / "tsa.cnf").write_text(config)
    command = ["openssl", "ts", "-reply", "-config", "tsa.cnf", "-queryfile", "request.tsq", "-out", "reply.tsr"]
    subprocess.run(command, cwd=scratch, capture_output=True, check=True)
    return (scratch / "reply.tsr").read_bytes()


def cases(scratch: Path, dice: random.Random) -> list[Case]:
    """Good tokens and bad ones, each of one of the ways in which one can be bad."""
    data = f"sidelong/{dice.randbytes(16).hex()}\n{dice.randrange(10_000)}\n".encode()
    nonce = dice.randrange(1 << 62, 1 << 63)
    asked = request_of(data, nonce)
    content = said(data, nonce)
    now = datetime.datetime.now(UTC)
    root = holder("Root of nobody", ca=True)
    middle = holder("Middle of nobody", root, ca=True, depth=0)
    tsa = holder("Time of nobody", root)
    below = holder("Time of nobody below", middle)
    big = holder("Big root of nobody", kind="4096", ca=True, with_hash="sha512")
    big_tsa = holder("Big time of nobody", big, kind="2048", with_hash="sha384")
    found: list[Case] = []

    def add(title: str, verdict: str, reply: bytes, roots: list[Holder] | None = None, **more: Any) -> None:
        found.append(Case(title, verdict, reply, more.pop("data", data), more.pop("asked", asked), roots or [root], **more))

    def openssl(title: str, verdict: str, signer: Holder, chain: list[Holder], hashed: str, **options: str) -> None:
        reply = openssl_answer(scratch, asked, signer, chain, hashed, **options)
        at = MOMENT
        if verdict == "Stamp":
            content = tsp.TimeStampResp.load(reply)["time_stamp_token"]["content"]["encap_content_info"]["content"]
            at = content.parsed["gen_time"].native
        add(title, verdict, reply, [own], at=at)

    for kind, hashed in [("p256", "sha256"), ("p384", "sha384"), ("p256", "sha512"), ("2048", "sha256"), ("3072", "sha512")]:
        own = holder("Root of nobody's openssl", kind="p384" if kind == "p384" else "p256", ca=True, ends=now + 9_000 * DAY)
        signer = holder("Time of nobody's openssl", own, kind=kind, ends=now + 9_000 * DAY)
        openssl(f"openssl, {kind}, {hashed}", "Stamp", signer, [], hashed)
        if kind == "2048":
            openssl("openssl, certificate named by SHA-1", "Stamp", signer, [], hashed, ess_cert_id_alg="sha1")
            openssl("openssl, a certificate twice", "Stamp", signer, [signer, own], hashed)
            two = sorted([own, holder("Another", own)], key=lambda it: it.der, reverse=True)
            openssl("openssl, certificates out of order", "Stamp", signer, two, hashed)
            openssl("openssl refuses the hash", "NotGranted", signer, [], hashed, digests="sha512")

    add("put together here", "Stamp", answer(token(content, tsa)))
    add("granted with modifications", "Stamp", answer(token(content, tsa), "granted_with_mods"))
    add("the token alone", "Stamp", token(content, tsa))
    add("one between", "Stamp", answer(token(content, below, [middle])))
    add("one between, handed in", "Stamp", answer(token(content, below)), more=[middle])
    add("one between, missing", "Untrusted", answer(token(content, below)))
    add("all certificates handed in", "Stamp", answer(token(content, below, alone=True)), more=[middle, below])
    add("no certificate", "NoCertificate", answer(token(content, tsa, alone=True)))
    add("named by key id", "Stamp", answer(token(content, tsa, by_key_id=True)))
    add("RSA and P-256 among the roots", "Stamp", answer(token(content, tsa)), [big, root])
    add("RSA, 4096 above 2048", "Stamp", answer(token(content, big_tsa, hashed="sha384")), [big])
    add("RSA that names its hash", "Stamp", answer(token(content, big_tsa, algorithm="sha256_rsa")), [big])
    add("certificate named by SHA-512", "Stamp", answer(token(content, tsa, names="v2-sha512")))
    add("expired since", "Stamp", answer(token(content, holder("Old", root, ends=MOMENT + DAY))))
    for spelled, gen_time in [("whole seconds", MOMENT.replace(microsecond=0)), ("microseconds", MOMENT.replace(microsecond=987_654))]:
        add(f"time in {spelled}", "Stamp", answer(token(said(data, nonce, gen_time=gen_time), tsa)), at=gen_time)

    add("of other bytes", "OtherBytes", answer(token(content, tsa)), data=data + b"\n")
    wide = {"hash_algorithm": {"algorithm": "sha512"}, "hashed_message": hashlib.sha512(data).digest()}
    add("another hash", "OtherBytes", answer(token(said(data, nonce, message_imprint=wide), tsa)))
    add("another nonce", "OtherRequest", answer(token(said(data, nonce + 1), tsa)))
    add("no nonce", "OtherRequest", answer(token(said(data, None), tsa)))
    # PKIStatusInfo alone: status 2 with failInfo badAlg, and status 0 (asn1crypto does not make an answer without a token).
    add("refused", "NotGranted", bytes.fromhex("3009300702010203020780"))
    add("granted and empty", "Form", bytes.fromhex("30053003020100"))
    add("expired before", "Expired", answer(token(content, holder("Expired", root, ends=MOMENT - DAY))))
    add("not valid yet", "NotYetValid", answer(token(content, holder("Early", root, begins=MOMENT + DAY))))
    old = holder("Old root", ca=True, ends=MOMENT - DAY)
    add("expired root", "Expired", answer(token(content, holder("Under an old root", old))), [old])
    new = holder("New root", ca=True, begins=MOMENT + DAY)
    add("root not valid yet", "NotYetValid", answer(token(content, holder("Under a new root", new))), [new])
    old = holder("Old middle", root, ca=True, ends=MOMENT - DAY)
    add("expired between", "Expired", answer(token(content, holder("Under an old one", old), [old])))
    add("another root", "Untrusted", answer(token(content, tsa)), [holder("Other root of nobody", ca=True)])
    add("another root of the same name", "Chain", answer(token(content, tsa)), [holder("Root of nobody", ca=True)])
    add("a root in the token alone", "Untrusted", answer(token(content, tsa, [root])), [big])
    code = ExtendedKeyUsageOID.CODE_SIGNING
    add("for signing code", "Purpose", answer(token(content, holder("Code", root, purposes=[code]))))
    add("for two purposes", "Purpose", answer(token(content, holder("Both", root, purposes=[STAMPING, code]))))
    add("for no purpose", "Purpose", answer(token(content, holder("None", root, purposes=[]))))
    add("purpose not critical", "Purpose", answer(token(content, holder("Weak", root, critical=False))))
    add("key not for signing", "Purpose", answer(token(content, holder("Cipher", root, signs=False))))
    both = holder("An authority above", root, ca=True, purposes=[STAMPING])
    add("an authority above signs itself", "Purpose", answer(token(content, both)))
    coder = holder("For code", root, ca=True, purposes=[code])
    add("one between for code", "Purpose", answer(token(content, holder("Below code", coder), [coder])))
    leaf = holder("A plain one", root)
    add("vouched for by a plain one", "Chain", answer(token(content, holder("Below a plain one", leaf), [leaf])))
    deep = holder("Too deep", middle, ca=True)
    add("deeper than allowed", "Chain", answer(token(content, holder("Below too deep", deep), [middle, deep])))
    add("a strange critical extension", "Chain", answer(token(content, holder("Strange", root, strange=True))))
    forged = Holder(tsa.certificate, new_key("p256"))
    add("signed with another key", "Signature", answer(token(content, forged)))
    add("a spoilt signature", "Signature", answer(token(content, tsa, spoilt=True)))
    add("a spoilt RSA signature", "Signature", answer(token(content, big_tsa, spoilt=True)), [big])
    add("another content", "Changed", answer(token(content, tsa, digest=hashlib.sha256(content + b"\0").digest())))
    add("names no certificate", "OtherCertificate", answer(token(content, tsa, names="none")))
    add("names another certificate", "OtherCertificate", answer(token(content, tsa, named=root)))
    add("names another by SHA-1", "OtherCertificate", answer(token(content, tsa, named=root, names="v1")))
    add("another kind of content", "Form", answer(token(content, tsa, kind="data")))
    add("the signature is of another kind", "Form", answer(token(content, tsa, attribute_kind="data")))
    add("a content that is none", "Form", answer(token(b"\x30\x03\x02\x01\x01", tsa)))
    add("signed twice", "Form", answer(token(content, tsa, twice=True)))
    add("P-521", "Algorithm", answer(token(content, holder("P-521", root, kind="p521"))))
    add("RSA of 1024 bits", "Signature", answer(token(content, holder("Small", root, kind="1024"))))
    add("not an answer", "Form", b"HTTP/1.1 403 Forbidden\r\n\r\n")
    add("nothing", "Form", b"")
    return found


def main() -> None:
    scratch = Path(sys.argv[2])
    scratch.mkdir(parents=True, exist_ok=True)
    made = [case.line() for case in cases(scratch, random.Random(3161))]
    for case in made:
        for key in ("answer", "checkpoint", "request"):
            case[key] = base64.b64encode(bytes.fromhex(case[key])).decode()
        for key in ("roots", "more"):
            case[key] = [base64.b64encode(bytes.fromhex(it)).decode() for it in case[key]]
    Path(sys.argv[1]).write_text(json.dumps({"made_by": "tests/oracles/authority.py", "cases": made}, indent=1) + "\n")


if __name__ == "__main__":
    main()
