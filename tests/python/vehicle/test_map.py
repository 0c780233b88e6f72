"""Touches on the panel map against shapely's geometry."""
import shapely
from shapely.geometry import Point, Polygon


def shapes(sheet):
    for p in sheet["polygons"]:
        polygon = Polygon(p["points"])
        if not polygon.is_valid:
            polygon = shapely.make_valid(polygon, method="structure")
        yield p["panel"], p["layer"], polygon


def test_a_touch_well_inside_one_part_means_it(sheets):
    asked = 0
    for sheet in sheets:
        parts = list(shapes(sheet))
        boxes = [shapely.box(x, y, x + w, y + h) for _, x, y, w, h in sheet["callouts"]]
        names = [c[0] for c in sheet["callouts"]]
        for x, y, hit in sheet["hits"]:
            point = Point(x, y)
            in_box = [n for n, b in zip(names, boxes) if b.contains(point)]
            if in_box:
                assert hit == in_box[0], (sheet["form"], sheet["sheet"], x, y)
                continue
            # Rings are cut open along a seam, so a point near any border is left to the raster of the next test.
            if any(polygon.boundary.distance(point) < 0.3 for _, _, polygon in parts):
                continue
            inside = [(layer, -polygon.area, panel) for panel, layer, polygon in parts if polygon.contains(point)]
            if inside:
                asked += 1
                top = max(layer for layer, _, _ in inside)
                possible = {panel for layer, _, panel in inside if layer == top}
                assert hit in possible, (sheet["form"], sheet["sheet"], x, y, hit, inside)
    assert asked > 3000, asked


def test_a_touch_on_empty_paper_means_a_part_within_reach_or_none(sheets):
    asked = 0
    for sheet in sheets:
        parts = list(shapes(sheet))
        boxes = [shapely.box(x, y, x + w, y + h) for _, x, y, w, h in sheet["callouts"]]
        for x, y, hit in sheet["hits"]:
            point = Point(x, y)
            if any(b.buffer(0.1).contains(point) for b in boxes) or any(p.buffer(0.3).contains(point) for _, _, p in parts):
                continue
            near = {panel: polygon.distance(point) for panel, _, polygon in parts}
            for panel, _, polygon in parts:
                near[panel] = min(near[panel], polygon.distance(point))
            asked += 1
            if hit is None:
                assert min(near.values()) > 39.0, (sheet["form"], sheet["sheet"], x, y)
            else:
                assert near[hit] <= 40.5, (sheet["form"], sheet["sheet"], x, y, hit)
                assert near[hit] <= min(near.values()) + 28.5, (sheet["form"], sheet["sheet"], x, y, hit)
    assert asked > 3000, asked


def test_left_and_right_of_the_flat_sheet_mirror(sheets):
    for sheet in (s for s in sheets if s["sheet"] == "Flat" and s["form"] != "motorcycle"):
        areas = {}
        for panel, _, polygon in shapes(sheet):
            areas[panel] = areas.get(panel, 0) + polygon.area
        for panel, area in areas.items():
            words = panel.split("-")
            if "left" in words:
                twin = "-".join("right" if w == "left" else w for w in words)
                assert abs(areas[twin] - area) < 0.01 * area + 0.5, (sheet["form"], panel)
