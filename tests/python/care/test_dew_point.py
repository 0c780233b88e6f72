"""Dew points over water and frost points beside PsychroLib's saturation pressures (PyPI `psychrolib`): the pressure at the dew point is
that of the air. PsychroLib's own dew point is compared where it is one: above its triple point it is over water."""

import psychrolib

psychrolib.SetUnitSystem(psychrolib.SI)


def test_dew_points_are_those_of_psychrolib(care):
    rows = [row for row in care if "air_mc" in row]
    above = below = 0
    for row in rows:
        air, rh, dew = row["air_mc"] / 1e3, row["rh_ppm"] / 1e6, row["dew_point_mc"] / 1e3
        if air > 0.01 and dew > 0.01:
            assert abs(psychrolib.GetTDewPointFromRelHum(air, rh) - dew) <= 0.001, row
            above += 1
        # Air above freezing: its vapour is rh of that over water, and freezes where that is saturated over ice.
        if air > 0.01 and dew < 0:
            pressure = rh * psychrolib.GetSatVapPres(air)
            assert abs(psychrolib.GetSatVapPres(row["frost_point_mc"] / 1e3) / pressure - 1) < 2e-4, row
            below += 1
    print(above, "dew points,", below, "frost points")
    assert above > 200 and below > 80
