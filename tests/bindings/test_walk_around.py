"""A whole walk-around through the Python side of the library, with the platform's traits written in Python."""

import hashlib
import time
import uuid
from pathlib import Path

import pytest
import sidelong_core as sl

PHOTO = Path(__file__).parents[2] / "fixtures/photos/arrival-rear-right-door-close.jpg"


def new_id() -> str:
    """A UUID version 7 (RFC 9562 section 5.7)."""
    random = uuid.uuid4().int
    at = int(time.time() * 1000)
    return str(uuid.UUID(int=at << 80 | 7 << 76 | (random >> 64 & 0xFFF) << 64 | 2 << 62 | random & (1 << 62) - 1))


class Clock(sl.Clock):
    def __init__(self) -> None:
        self.at_ms = 1_780_989_000_000
        self.fails = False

    def now(self) -> sl.Now:
        if self.fails:
            raise RuntimeError("no time today")
        self.at_ms += 5_000
        return sl.Now(at_ms=self.at_ms, off_min=60, zone="Europe/London", boot="b", mono_ms=self.at_ms % 10**9)


class Random(sl.Random):
    def __init__(self, name: str) -> None:
        self.state = name.encode()
        self.short = False

    def bytes(self, count: int) -> bytes:
        self.state = hashlib.sha512(self.state).digest()
        return self.state[: count - self.short]


class Vault(sl.SeedVault):
    seed: bytes | None = None

    def load(self) -> bytes | None:
        return self.seed

    def save(self, seed: bytes) -> None:
        self.seed = seed


class LockedVault(Vault):
    def load(self) -> bytes | None:
        raise RuntimeError("the key store is locked")


class FullVault(Vault):
    """Foresees its failure, and says it with the library's own error."""

    def save(self, seed: bytes) -> None:
        raise sl.NotebookError.StorageFull()


class Progress(sl.CheckProgress):
    def __init__(self, answer: bool | Exception = True) -> None:
        self.told: list[tuple[int, int]] = []
        self.answer = answer

    def came(self, checked: int, total: int) -> bool:
        self.told.append((checked, total))
        if isinstance(self.answer, Exception):
            raise self.answer
        return self.answer


class Phone:
    def __init__(self, folder: Path, vault: Vault | None = None) -> None:
        self.folder, self.clock = folder, Clock()
        self.platform = sl.Platform(clock=self.clock, random=Random(str(folder)), vault=vault or Vault())
        self.notebook = sl.Notebook.open(str(folder), self.platform)

    def record(self, job: str, act, id: str | None = None):
        return self.notebook.record_from(str(PHOTO.parent), sl.Input(input=id or new_id(), job=job, act=act))


def mark(length_um: int = 18_000) -> sl.Description:
    return sl.Description(
        panel="rear-right-door",
        _from=sl.Spot(u_ppm=300_000, v_ppm=455_000),
        to=sl.Spot(u_ppm=330_000, v_ppm=470_000),
        kind=sl.MarkKind.SCRATCH,
        catch=sl.Catch.SLIGHT,
        length_um=length_um,
        measured=sl.Measured.RULER,
    )


def opened(phone: Phone) -> str:
    job = new_id()
    opening = sl.OpenJob(form=sl.BodyForm.HATCH5, finish=sl.Finish.METALLIC, scope=[sl.Scope.OUTSIDE], plate="ZZ26 PYT")
    phone.record(job, sl.Act.OPEN_JOB(opening))
    phone.record(job, sl.Act.BEGIN_WALK(sl.BeginWalk(stage=sl.Stage.AS_FOUND)))
    return job


def test_a_whole_walk_around(tmp_path: Path) -> None:
    one = Phone(tmp_path / "one")
    job = opened(one)
    seen = sl.RecordOutcome(panel="roof", outcome=sl.Outcome.NOTHING_SEEN, distance=sl.Distance.CLOSE, light=sl.Light.SOFT)
    one.record(job, sl.Act.RECORD_OUTCOME(seen))
    scratch = new_id()
    recorded = one.record(job, sl.Act.RECORD_MARK(sl.RecordMark(mark=mark())), scratch)
    assert (recorded.mark, recorded.again) == ("1", False)
    assert one.record(job, sl.Act.RECORD_MARK(sl.RecordMark(mark=mark())), scratch).again
    with pytest.raises(sl.NotebookError.InputReused):
        one.record(job, sl.Act.RECORD_MARK(sl.RecordMark(mark=mark(19_000))), scratch)
    one.record(job, sl.Act.ATTACH_PHOTO(sl.AttachPhoto(mark=scratch, view=sl.Framing.CLOSE, file=PHOTO.name)))
    feel = sl.RecordFeel(panel="bonnet", method=sl.FeelMethod.BAG, level=sl.FeelLevel.FEW_SPECKS)
    one.record(job, sl.Act.RECORD_FEEL(feel))
    one.record(job, sl.Act.CORRECT_MARK(sl.CorrectMark(mark=scratch, becomes=mark(20_000), reason="measured again")))

    two = Phone(tmp_path / "two")
    del one.notebook
    joined = two.notebook.join(str(one.folder))
    assert [log.before for log in joined.taken] == [0] and not joined.refused
    two.record(job, sl.Act.RECORD_MARK(sl.RecordMark(mark=mark(21_000))))
    two.record(job, sl.Act.CLOSE_JOB(sl.CloseJob()))
    with pytest.raises(sl.NotebookError.Refused) as refused:
        two.record(job, sl.Act.RECORD_OUTCOME(seen))
    assert refused.value.field == "job"

    view = two.notebook.job(job, sl.Language.EN_GB)
    assert [it.label for it in view.marks] == ["1", "B1"] and len(view.maybe_same) == 1
    assert view.marks[0].size.startswith("20 mm") and len(view.marks[0].history) == 2
    assert view.marks[0].photos[0].sha256 == hashlib.sha256(PHOTO.read_bytes()).hexdigest()
    assert [it.plate for it in two.notebook.jobs("pyt", 10, sl.Language.EN_GB).jobs] == ["ZZ26 PYT"]
    page = two.notebook.report(job, sl.Language.EN_US)
    assert "ZZ26 PYT" in page and "data:image/jpeg" in page and "<script" not in page
    for words in (*view.marks[0].size.split(), view.marks[1].label, "measured again"):
        assert words in page
    progress = Progress()
    check = two.notebook.check(progress)
    assert not check.findings and progress.told and progress.told[-1][0] == check.total


def test_refusals_name_the_field(tmp_path: Path) -> None:
    phone = Phone(tmp_path / "phone")
    job = opened(phone)
    with pytest.raises(sl.NotebookError.Refused) as refused:
        phone.record(job, sl.Act.RECORD_OUTCOME(sl.RecordOutcome(panel="keel", outcome=sl.Outcome.NOTHING_SEEN)))
    assert refused.value.field == "act.record_outcome.panel" and "keel" in refused.value.reason
    with pytest.raises(sl.NotebookError.Refused) as misread:
        phone.record("Tuesday's", sl.Act.CLOSE_JOB(sl.CloseJob()))
    assert (misread.value.field, misread.value.reason) == ("id", "an id is not a UUID")
    with pytest.raises(sl.NotebookError.Photo) as photo:
        phone.record(job, sl.Act.ATTACH_PHOTO(sl.AttachPhoto(view=sl.Framing.OVERALL, file="../SOURCES.md")))
    assert photo.value.file == "../SOURCES.md"
    with pytest.raises(sl.NotebookError.InUse):
        sl.Notebook.open(str(phone.folder), phone.platform)


def test_a_vault_that_fails(tmp_path: Path) -> None:
    with pytest.raises(sl.NotebookError.Internal) as locked:
        Phone(tmp_path / "locked", LockedVault())
    assert "key store is locked" in locked.value.code
    with pytest.raises(sl.NotebookError.StorageFull):
        Phone(tmp_path / "full", FullVault())
    # Neither left anything that hinders a later opening; a store whose seed is gone is not begun anew.
    for name in ("locked", "full"):
        phone = Phone(tmp_path / name)
        opened(phone)
        del phone.notebook
        with pytest.raises(sl.NotebookError.SeedMissing):
            Phone(tmp_path / name)
        assert len(sl.Reader.open(str(phone.folder)).jobs(None, 10, sl.Language.EN_GB).jobs) == 1


def test_random_bytes_are_counted(tmp_path: Path) -> None:
    phone = Phone(tmp_path / "phone")
    job = opened(phone)
    phone.platform.random.short = True
    with pytest.raises(sl.NotebookError.Internal) as short:
        phone.record(job, sl.Act.RECORD_MARK(sl.RecordMark(mark=mark())))
    assert short.value.code == "platform.random"
    assert not phone.notebook.job(job, sl.Language.EN_GB).marks


def test_a_check_can_be_stopped(tmp_path: Path) -> None:
    phone = Phone(tmp_path / "phone")
    opened(phone)
    stopped = Progress(answer=False)
    assert not phone.notebook.check(stopped).findings and len(stopped.told) == 1
    with pytest.raises(sl.NotebookError.Internal) as raised:
        phone.notebook.check(Progress(answer=RuntimeError("the screen is gone")))
    assert "the screen is gone" in raised.value.code


def test_a_clock_that_fails_or_is_set_back(tmp_path: Path) -> None:
    phone = Phone(tmp_path / "phone")
    job = opened(phone)
    phone.clock.fails = True
    with pytest.raises(sl.NotebookError.Internal) as failed:
        phone.record(job, sl.Act.RECORD_MARK(sl.RecordMark(mark=mark())))
    assert "no time today" in failed.value.code
    phone.clock.fails = False
    # A clock that was set back is recorded as it was, and the order of entries does not depend on it.
    phone.clock.at_ms -= 86_400_000
    phone.record(job, sl.Act.RECORD_MARK(sl.RecordMark(mark=mark())))
    view = phone.notebook.job(job, sl.Language.EN_GB)
    assert len(view.marks) == 1 and view.marks[0].stamp.at_ms < view.opened.at_ms
    assert not phone.notebook.check(None).findings
