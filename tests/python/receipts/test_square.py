"""The receipt's square read by another library (zxing-cpp): from the picture as it is drawn, small, turned, blurred, in grey
light and with a thumb on it. What it reads is handed back and gives the signed head again.

Needs: pytest, pillow, zxing-cpp. The picture is drawn here from the SVG's own numbers: runs of dark modules.
"""
import json
import os
import pathlib
import random
import re
import subprocess

import pytest
import zxingcpp
from PIL import Image, ImageDraw, ImageFilter

ROOT = pathlib.Path(__file__).resolve().parents[3]
TARGET = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
# ISO/IEC 18004 section 6.3.8: four modules of white all round.
QUIET = 4


def prove(what, given):
    text = "".join(json.dumps(line) + "\n" for line in given)
    # Of the whole workspace, as `cargo test --workspace` built it: another choice of features would build the core anew.
    subprocess.run(["cargo", "build", "--quiet", "--workspace", "--bin", "prove"], cwd=ROOT, check=True)
    command = [TARGET / "debug" / "prove", what]
    done = subprocess.run(command, input=text, check=True, capture_output=True, text=True, errors="backslashreplace")
    return [json.loads(line) for line in done.stdout.splitlines()]


@pytest.fixture(scope="module")
def receipts():
    dice = random.Random(7)
    heads = prove(
        "head",
        [
            {"seed": dice.randbytes(32).hex(), "size": size, "root": dice.randbytes(32).hex(), "demo": size % 2 == 1}
            for size in (1, 2, 412, 20_001, (1 << 40) - 1)
        ],
    )
    return list(zip(heads, prove("receipt", heads), strict=True))


def runs(svg):
    """Side of the drawing, and the dark modules as (x, y, width)."""
    side = int(re.search(r'viewBox="0 0 (\d+) \1"', svg).group(1))
    path = re.search(r'<path d="([^"]*)"', svg).group(1)
    found = re.findall(r"M(\d+) (\d+)h(\d+)v1h-(\d+)z", path)
    assert "".join(f"M{x} {y}h{w}v1h-{back}z" for x, y, w, back in found) == path, "nothing else is drawn"
    assert all(w == back for _, _, w, back in found)
    return side, [tuple(map(int, run[:3])) for run in found]


def picture(svg, scale):
    side, dark = runs(svg)
    image = Image.new("L", (side * scale, side * scale), 255)
    pen = ImageDraw.Draw(image)
    for x, y, w in dark:
        pen.rectangle((x * scale, y * scale, (x + w) * scale - 1, (y + 1) * scale - 1), fill=0)
    return image


def read(image):
    (found,) = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)
    return found


def test_the_square_says_the_letters(receipts):
    for head, receipt in receipts:
        for scale in (1, 2, 3, 8):
            assert read(picture(receipt["svg"], scale)).text == receipt["letters"]
        (again,) = prove("read-receipt", [read(picture(receipt["svg"], 3)).text])
        assert (again["note"], again["log"]) == (head["note"], head["log"])


def test_level_quiet_zone_and_size(receipts):
    for _, receipt in receipts:
        found = read(picture(receipt["svg"], 3))
        assert found.ec_level == "M"
        side, dark = runs(receipt["svg"])
        assert side == 53 + 2 * QUIET, "version 9"
        assert min(x for x, _, _ in dark) == min(y for _, y, _ in dark) == QUIET
        assert max(x + w for x, _, w in dark) == max(y + 1 for _, y, _ in dark) == side - QUIET


@pytest.mark.parametrize("turned", [7, 45, 90, 181])
def test_held_askew_blurred_in_grey_light(receipts, turned):
    for _, receipt in receipts:
        image = picture(receipt["svg"], 6).rotate(turned, expand=True, fillcolor=255, resample=Image.Resampling.BICUBIC)
        image = image.filter(ImageFilter.GaussianBlur(2)).point(lambda it: 70 + it * 90 // 255)
        assert read(image).text == receipt["letters"]


def test_a_blot_within_what_level_m_mends(receipts):
    for _, receipt in receipts:
        image = picture(receipt["svg"], 6)
        # 9 by 9 of 53 by 53 modules: 3 %; level M mends up to 15 % of the codewords (ISO/IEC 18004 table 12).
        ImageDraw.Draw(image).rectangle((40 * 6, 40 * 6, 49 * 6, 49 * 6), fill=0)
        assert read(image).text == receipt["letters"]


def test_a_blot_too_large_is_read_as_nothing_wrong(receipts):
    for _, receipt in receipts:
        image = picture(receipt["svg"], 6)
        ImageDraw.Draw(image).rectangle((14 * 6, 14 * 6, 56 * 6, 56 * 6), fill=0)
        found = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)
        assert all(it.text == receipt["letters"] for it in found if it.valid)
