"""Fleet lists beside Python's csv: what csv.writer wrote in every dialect and encoding is read as csv.reader reads it;
lists with a mark put in or taken out are split as csv.reader splits them when it is strict, row by row."""

import csv
import io
import random
from collections.abc import Iterator
from typing import Any

from checks import Checks

COLUMNS = ("plate", "vin", "stock", "form", "finish", "colour", "note")
FORMS = {"van": "van", "Cargo van": "van", "SALOON": "saloon", "sedan": "saloon", "3-door_hatch": "hatch-3"}
FINISHES = {"": "unknown", "Matte or satin paint": "matt", "metallic": "metallic", "pearl": "metallic"}
AWKWARD = ('"', '""', ",", ";", "\t", "\n", "\r\n", " ", "'", "é", "ß", "漢", "🚐", "x", "19", "=1+1", "\\", "\u2028")


def awkward(dice: random.Random, *without: str) -> str:
    parts = [part for part in AWKWARD if part not in without]
    return "".join(dice.choice(parts) for _ in range(dice.randrange(9)))


def invented(dice: random.Random) -> tuple[list[str], list[list[str]]]:
    """A header and rows that can be used, their columns in any order and under any of their names."""
    columns = [*COLUMNS, "Keys", "Bay"]
    dice.shuffle(columns)
    rows = []
    for number in range(dice.randint(1, 12)):
        row = {
            "plate": dice.choice((f"XX {number}", "")),
            "stock": f"D-{number}",
            "form": dice.choice(list(FORMS)),
            "finish": dice.choice(list(FINISHES)),
            "colour": awkward(dice, "\n", "\r\n", "\t", "\u2028"),
            "note": awkward(dice),
            "Keys": awkward(dice),
        }
        rows.append([row.get(column, "") for column in columns])
    spoken = {"stock": "Stock Number", "form": "body_form", "colour": "Color"}
    return [dice.choice((name, name.upper(), spoken.get(name, name))) for name in columns], rows


def written(dice: random.Random, header: list[str], rows: list[list[str]]) -> tuple[str, str]:
    """As a spreadsheet might have saved it, and the mark between cells."""
    mark = dice.choice(",;\t")
    quoting = dice.choice((csv.QUOTE_ALL, csv.QUOTE_MINIMAL))
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=mark, quoting=quoting, lineterminator=dice.choice(("\r\n", "\n")))
    writer.writerow(header)
    for row in rows:
        if dice.random() < 0.1:
            out.write("\r\n")
        writer.writerow(row)
    return out.getvalue(), mark


def encoded(dice: random.Random, text: str) -> bytes:
    mark, encoding = dice.choice((("", "utf-8"), ("\ufeff", "utf-8"), ("\ufeff", "utf-16-le"), ("\ufeff", "utf-16-be")))
    return (mark + text).encode(encoding)


def meaning(name: str) -> str:
    plain = name.lower().replace("_", "").replace(" ", "")
    return {"color": "colour", "bodyform": "form", "stocknumber": "stock"}.get(plain, plain)


def read(text: str, mark: str) -> list[dict[str, Any]]:
    """What csv.reader makes of it, in the shape of a list of ours."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    header = [meaning(name) for name in next(reader)]
    rows, line = [], reader.line_num + 1
    for cells in reader:
        said = dict(zip(header, (cell.strip().replace("\r\n", "\n") for cell in cells), strict=False))
        if any(said.values()):
            row: dict[str, Any] = {name: said[name] or None for name in COLUMNS}
            row |= {"line": line, "form": FORMS[said["form"]], "finish": FINISHES[said["finish"]]}
            rows.append(row)
        line = reader.line_num + 1
    return rows


def split(text: str, mark: str, header: list[str]) -> Iterator[tuple[int, list[str] | None]]:
    """Line and cells of each row that is not blank; none where quotation marks do not pair up or where a cell of one
    line has two: then reading goes on with the next line."""
    lines = text.split("\n")
    at = 0
    while at < len(lines):
        reader = csv.reader(io.StringIO("\n".join(lines[at:])), delimiter=mark, strict=True)
        try:
            cells = [cell.strip() for cell in next(reader, [])]
        except csv.Error:
            yield at + 1, None
            at += 1
            continue
        narrow = [cell for cell, name in zip(cells, header, strict=False) if meaning(name) in COLUMNS[:-1]]
        if any("\n" in cell for cell in narrow):
            yield at + 1, None
            at += 1
            continue
        if any(cells):
            yield at + 1, cells
        at += max(reader.line_num, 1)


def spoiled(dice: random.Random, text: str, mark: str) -> str:
    """The same with a few marks put in or taken out behind the header."""
    head, body = text.split("\n", 1)
    for _ in range(dice.randint(1, 3)):
        place = dice.randrange(len(body) + 1)
        if dice.random() < 0.5:
            body = body[:place] + dice.choice(('"', '"', mark, "\n", '""')) + body[place:]
        elif '"' in body:
            place = dice.choice([at for at, letter in enumerate(body) if letter == '"'])
            body = body[:place] + body[place + 1 :]
    return f"{head}\n{body}"


def disagreement(ours: dict[str, Any], text: str, mark: str, header: list[str]) -> str | None:
    rows = {row["line"]: row for row in ours["rows"]}
    wrong: dict[int, str] = {}
    for error in ours["errors"]:
        wrong[error["line"]] = wrong.get(error["line"], "") + error["reason"]
    theirs = list(split(text, mark, header))[1:]
    if {line for line, _ in theirs} != {*rows, *wrong}:
        return f"rows begin in {[line for line, _ in theirs]}"
    for line, cells in theirs:
        told = "quotation mark" in wrong.get(line, "") and "under no column" not in wrong.get(line, "")
        if (cells is None) != told:
            return f"line {line}: {cells}"
        if cells is not None and line in rows:
            said = dict(zip(map(meaning, header), cells, strict=False))
            for name in ("plate", "vin", "stock", "colour", "note"):
                if (said.get(name) or None) != rows[line][name]:
                    return f"line {line}, {name}: {said.get(name)!r}"
    return None


def check(checks: Checks) -> None:
    dice = random.Random(checks.seed)
    count = 2_000
    lists = []
    for _ in range(count):
        header, rows = invented(dice)
        text, mark = written(dice, header, rows)
        lists.append((header, text, mark))
    told = checks.lines("dump", "fleets", given=[encoded(dice, text).hex() for _, text, _ in lists])
    unknown = [sorted(map(str.lower, ours["unknown_columns"])) for ours in told]
    wrong = [
        (text, ours)
        for (_, text, mark), ours, others in zip(lists, told, unknown, strict=True)
        if (ours["rows"], ours["errors"], others) != (read(text, mark), [], ["bay", "keys"])
    ]
    checks.that(not wrong, f"{count} lists as csv.writer wrote them", wrong[:2])

    lists = [(header, spoiled(dice, text.replace("\r\n", "\n"), mark), mark) for header, text, mark in lists]
    told = checks.lines("dump", "fleets", given=[encoded(dice, text).hex() for _, text, _ in lists])
    torn = [
        (why, text, ours)
        for (header, text, mark), ours in zip(lists, told, strict=True)
        if (why := disagreement(ours, text, mark, header))
    ]
    refused = sum(bool(ours["errors"]) for ours in told)
    checks.that(not torn, f"{count} lists with marks put in or taken out, {refused} of them with errors", torn[:2])
    checks.that(count // 4 < refused < count, "some of them are told, some are still sound", refused)
