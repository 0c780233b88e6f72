"""Time tokens from a notebook to a stranger: a request of the command, answered by `openssl ts` as the authority, taken in, carried in
a bundle, and checked by the command, by openssl and by the lines of VERIFY.txt. What is wrong with an answer is told when it
comes, and nothing of it is recorded."""

import datetime
import json
import re
import shutil
import sys
from pathlib import Path
from typing import Any

from asn1crypto import tsp
from authority import DAY, STAMPING, Holder, answer, holder, openssl_answer, said, token
from checks import Checks
from cryptography.x509.oid import ExtendedKeyUsageOID
from guide import _list, lines_of, run
from tokens import nonce_of


def bad_answers(request: bytes, root: Holder, now: datetime.datetime) -> dict[str, bytes]:
    """What an authority should not have signed, or what is no answer to this request, by the words in which it is told."""
    imprint = tsp.TimeStampReq.load(request)["message_imprint"].native
    imprint = {"hash_algorithm": {"algorithm": "sha256"}, "hashed_message": imprint["hashed_message"]}
    nonce = nonce_of(request)

    def made(signer: Holder, number: int = nonce, **changes: Any) -> bytes:
        parts = {"message_imprint": imprint, "gen_time": now} | changes
        return answer(token(said(b"", number, **parts), signer))

    good = holder("Time of nobody", root)
    code = holder("Code of nobody", root, purposes=[ExtendedKeyUsageOID.CODE_SIGNING])
    both = holder("Both of nobody", root, purposes=[STAMPING, ExtendedKeyUsageOID.CODE_SIGNING])
    other = {"hash_algorithm": {"algorithm": "sha256"}, "hashed_message": bytes(32)}
    return {
        "had expired at the token's time": made(holder("Old of nobody", root, ends=now - DAY)),
        "was not valid yet": made(holder("New of nobody", root, begins=now + DAY)),
        "time-stamping is not its only purpose": made(code),
        "not its only purpose": made(both),
        "of none of the heads that were asked for": made(good, message_imprint=other),
        "answers another request": made(good, nonce ^ 1),
        "leads to none of the roots": made(holder("Time of somebody", holder("Root of somebody", ca=True))),
    }


def check(checks: Checks) -> None:
    scratch = checks.scratch / "anchors"
    shutil.rmtree(scratch, ignore_errors=True)
    scratch.mkdir()
    at = lambda name: str(scratch / name)  # noqa: E731 # a path, many times
    phone = at("demo/phone-1")

    def sidelong(*words: str) -> tuple[int, str]:
        return run(checks.programs["sidelong"], *words, cwd=scratch)

    def told(*words: str) -> Any:
        return json.loads(checks.run("sidelong", *words, "--json"))

    def verdict(report: Any, code: str = "time.not_later_than") -> tuple[str, str]:
        return next((claim["verdict"], claim["text"]) for claim in report["claims"] if claim["code"] == code)

    checks.run("sidelong", "demo", at("demo"))
    asked = told("time-token", "ask", "-o", at("a.tsq"), "--store", phone)
    again = told("time-token", "ask", "-o", at("b.tsq"), "--store", phone)
    request = (scratch / "a.tsq").read_bytes()
    checks.that(request == (scratch / "b.tsq").read_bytes() and again["again"], "asked again, it is the same request", again)
    now = datetime.datetime.now(datetime.timezone.utc)
    root = holder("Root of nobody", ca=True)
    (scratch / "roots.pem").write_bytes(root.pem)
    (scratch / "other.pem").write_bytes(holder("Another root of nobody", ca=True).pem)
    signer = holder("Time of nobody", root)
    (scratch / "a.tsr").write_bytes(openssl_answer(scratch, request, signer, [root], "sha256"))

    wrong = []
    for words, bad in bad_answers(request, root, now).items():
        (scratch / "bad.tsr").write_bytes(bad)
        code, text = sidelong("time-token", "add", "--answer", at("bad.tsr"), "--roots", at("roots.pem"), "--store", phone)
        wrong += [] if code == 1 and words in text else [(words, code, text)]
    checks.that(not wrong, "seven answers that are wrong are refused, each with its reason", wrong)
    waits = told("time-token", "list", "--store", phone)
    checks.that((len(waits["waiting"]), waits["tokens"]) == (1, []), "nothing of them is on record", waits)

    taken = ("time-token", "add", "--answer", at("a.tsr"), "--roots", at("roots.pem"), "--store", phone)
    token_told, twice = told(*taken), told(*taken)
    stated = tsp.TimeStampResp.load((scratch / "a.tsr").read_bytes())["time_stamp_token"]["content"]["encap_content_info"]["content"]
    # openssl is asked to state an accuracy of 1.5001 s.
    latest = stated.parsed["gen_time"].native.timestamp() * 1000 + 1_501
    checks.that(abs(token_told["not_later_than_ms"] - latest) <= 1, "an answer of openssl's is believed, with its time", token_told)
    checks.that("CN=Time of nobody" in token_told["text"] and " before" in token_told["text"], "and its gap is told", token_told)
    checks.that((token_told["again"], twice["again"]) == (False, True), "the same answer is recorded once", twice)
    listed = told("time-token", "list", "--store", phone)
    checks.that((listed["waiting"], len(listed["tokens"])) == ([], 1), "and nothing waits any more", listed)

    # A later request of the phone, answered at a desk that joined its log, where the token is recorded.
    checks.run("sidelong", "recorder", "another detailer", "--store", phone)
    checks.run("sidelong", "time-token", "ask", "-o", at("c.tsq"), "--store", phone)
    checks.run("sidelong", "join", phone, "--store", at("desk"))
    checks.run("sidelong", "time-token", "list", "--requests", at("waiting"), "--store", at("desk"))
    (carried,) = (scratch / "waiting").iterdir()
    checks.that(carried.read_bytes() == (scratch / "c.tsq").read_bytes(), "a desk has a phone's request that waits", carried)
    (scratch / "c.tsr").write_bytes(openssl_answer(scratch, carried.read_bytes(), signer, [root], "sha256"))
    at_desk = ("time-token", "add", "--answer", at("c.tsr"), "--roots", at("roots.pem"), "--store", at("desk"))
    checks.that(told(*at_desk)["log"] == asked["log"], "and takes its answer in")

    for store, name in ((phone, "bundle"), (phone, "same"), (at("desk"), "from-desk")):
        checks.run("sidelong", "bundle", "YY26", at(name), "--store", store)
    files = {path.relative_to(scratch / "bundle"): path.read_bytes() for path in (scratch / "bundle").rglob("*") if path.is_file()}
    same = {path.relative_to(scratch / "same"): path.read_bytes() for path in (scratch / "same").rglob("*") if path.is_file()}
    checks.that(files == same, "a bundle with a token is the same again, byte for byte")
    page = (scratch / "bundle/data/report.html").read_text()
    checks.that("<dt>Stamped</dt>" in page and "says the time-stamp authority CN=Time of nobody" in page, "its page says so")
    for name in ("bundle", "from-desk"):
        anchors = sorted(path.name.split(".")[-1] for path in (scratch / name / "data/anchors").iterdir())
        checks.that(anchors == ["checkpoint", "consistency", "tsr"], f"{name}: one token, the first that covers all", anchors)
        for roots, wanted in (((), "NOT PROVEN"), (("roots.pem",), "PASS"), (("other.pem",), "NOT PROVEN")):
            report = told("verify", at(name), *(word for it in roots for word in ("--roots", at(it))))
            checks.that(verdict(report)[0] == wanted, f"{name}, roots {roots}: {wanted}", verdict(report))
            checks.that(verdict(report, "bag.meaning")[0] == "PASS", f"{name}: every file has its place", report)
    report = told("verify", at("bundle"), "--roots", at("roots.pem"))
    phrase = verdict(report)[1]
    counted = re.match(r"(\d+) of (\d+) entries", phrase)
    checks.that(bool(counted) and counted[1] == counted[2], "all entries of the visit are covered", phrase)
    code, _ = sidelong("verify", at("bundle"), "--require", "time.not_later_than")
    checks.that(code == 2, "without roots a required time is not proven", code)
    code, _ = sidelong("verify", at("bundle"), "--require", "time.not_later_than", "--roots", at("roots.pem"))
    checks.that(code == 0, "with them it is", code)

    guide = (scratch / "bundle/data/VERIFY.txt").read_text()
    for name, behind in (("check.sh", "as check.sh"), ("check.py", "as check.py"), ("times.sh", "as times.sh")):
        (scratch / name).write_text(lines_of(guide, f"Save the lines below {behind}"))
    strangers = {
        "openssl": lambda folder: run("sh", "check.sh", folder, cwd=scratch),
        "Python": lambda folder: run(sys.executable, "check.py", folder, cwd=scratch),
        "openssl ts": lambda folder: run("sh", "times.sh", folder, "roots.pem", cwd=scratch),
    }
    results = {who: ask(scratch / "bundle") for who, ask in strangers.items()}
    checks.that(all(code == 0 for code, _ in results.values()), "VERIFY.txt's lines take the bundle with its token", results)
    checks.that("of which a time token is here" in results["Python"][1], "Python's follow the log from the stamped head", results)
    checks.that("Verification: OK" in results["openssl ts"][1] and "Time stamp:" in results["openssl ts"][1], "openssl's tell the time", results)
    code, text = run("sh", "times.sh", scratch / "bundle", "other.pem", cwd=scratch)
    checks.that(code != 0, "and under another root openssl does not believe it", text)

    # Listed anew, so that no hash tells it: the proof from the stamped head, and the head itself.
    for ending, act in (("consistency", lambda text: text.replace("old ", "old 1", 1)), ("checkpoint", lambda text: text.replace("\n", "\n1", 1))):
        copy = scratch / "changed"
        shutil.rmtree(copy, ignore_errors=True)
        shutil.copytree(scratch / "bundle", copy)
        (changed,) = (copy / "data/anchors").glob(f"*.{ending}")
        changed.write_text(act(changed.read_text()))
        listed_files = sorted(path.relative_to(copy).as_posix() for path in (copy / "data").rglob("*") if path.is_file())
        _list(copy, "manifest-sha256.txt", listed_files)
        report = json.loads(run(checks.programs["sidelong"], "verify", copy, "--roots", "roots.pem", "--json", cwd=scratch)[1])
        checks.that(verdict(report)[0] == "FAIL", f"a changed {ending} of a stamped head fails", verdict(report))
