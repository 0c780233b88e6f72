"""A sample of the path-traced grooves rendered anew: what is committed is what the script gives."""

import json

import mitsuba as mi
import numpy as np

import grooves

SAMPLE = "report-lamp-5"


def test_a_scene_rendered_anew_shows_the_same(tmp_path):
    mi.set_variant("scalar_rgb")
    data = json.loads(grooves.DATA.read_text())
    assert [s["name"] for s in data["scenes"]] == [row[0] for row in grooves.scenes()]
    old = next(s for s in data["scenes"] if s["name"] == SAMPLE)
    row = next(r for r in grooves.scenes() if r[0] == SAMPLE)
    new = json.loads(json.dumps(grooves.made(mi, *row, tmp_path)))
    assert {k: v for k, v in new.items() if k != "cases"} == {k: v for k, v in old.items() if k != "cases"}
    a, b = np.array(old["cases"]), np.array(new["cases"])
    assert a.shape == b.shape and (a[:, :-1] == b[:, :-1]).all()
    # Light is traced by chance, so a contrast near 1 may fall on the other side of it.
    assert np.abs(np.arcsinh(a[:, -1]) - np.arcsinh(b[:, -1])).max() < 0.3
    assert ((a[:, -1] > 1) == (b[:, -1] > 1)).mean() >= 0.99


def test_choosing_and_reporting_share_nothing():
    data = json.loads(grooves.DATA.read_text())
    for key in ("seed", "lamp", "eye", "roughness", "radiance"):
        chosen, told = ({json.dumps(s[key]) for s in data["scenes"] if s["set"] == which} for which in ("choose", "report"))
        assert len(chosen) == len(told) == 14 and not chosen & told, key
