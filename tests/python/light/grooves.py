"""Path-traced shallow grooves on glossy panels: which of them shows? The referee of the rule for fine lines.

    grooves.py                  renders every scene anew (about ten minutes) and writes grooves.json beside this file
    grooves.py NAME…            renders only the named scenes and keeps the others

Renderer: Mitsuba 3 (PyPI `mitsuba`), a rough mirror with Beckmann's distribution, a round lamp or a far one of the sun's
size, and an even dim sky. A groove is round in section: its walls run from -slope to +slope. It is made as a ridge of the
same slopes, so that no hole has to be cut. It *shows* where it is brighter than the paint beside it by more than the
paint's own brightness and a little of the dim sky's: contrast above 1.

Scenes are drawn by chance from their seed. Those of the set `choose` are for choosing thresholds, those of the set `report`
for reporting: no place, light, eye, curve or roughness of one stands in the other.
"""

import json
import math
import pathlib
import sys

import numpy as np

HERE = pathlib.Path(__file__).resolve().parent
DATA = HERE / "grooves.json"

# Half the length and half the width of a groove, metres: a wash mark's order of size, wide enough for the pixels.
HALF_LENGTH, HALF_WIDTH = 0.004, 0.00025
SLOPES = (4.0, 8.0, 15.0, 30.0)
GROOVES = 260
APART = 0.0095
WALL_STEPS = 13
WIDTH, HEIGHT, SAMPLES = 960, 720, 48
# Width of a pixel where the eye looks, metres.
PIXEL = 0.0005
SKY = 0.02
SUN_FAR = 300.0


def unit(v):
    return v / np.linalg.norm(v)


def from_angles(azimuth, elevation):
    a, e = math.radians(azimuth), math.radians(elevation)
    return np.array([math.cos(e) * math.cos(a), math.cos(e) * math.sin(a), math.sin(e)])


def drawn(kind, seed):
    """A scene by chance: everything that the renderer needs, as plain numbers."""
    rng = np.random.default_rng(seed)
    shape = ("flat", "sphere", "cylinder")[int(rng.integers(3))]
    radius = 0.0 if shape == "flat" else float(rng.uniform(0.7, 3.0))
    azimuth, elevation = rng.uniform(0, 360), rng.uniform(28, 72)
    lamp_towards = from_angles(azimuth, elevation)
    # The eye stands about where the panel's middle mirrors the lamp, a turn of up to 14 degrees off.
    eye_towards = from_angles(azimuth + 180 + rng.uniform(-14, 14), np.clip(elevation + rng.uniform(-14, 14), 22, 80))
    scene = dict(
        shape=shape,
        radius_m=radius,
        roughness=float(rng.uniform(0.025, 0.035)),
        eye=(eye_towards * rng.uniform(0.5, 1.1)).tolist(),
    )
    if kind == "lamp":
        size = float(rng.uniform(0.006, 0.02))
        scene.update(
            lamp=(lamp_towards * rng.uniform(0.4, 1.0)).tolist(),
            lamp_radius_m=size,
            radiance=float(3000 * (0.012 / size) ** 2 * rng.uniform(0.5, 2.0)),
        )
    else:
        size = SUN_FAR * math.tan(math.radians(0.27))
        scene.update(lamp=(lamp_towards * SUN_FAR).tolist(), lamp_radius_m=size, radiance=float(3e6 * rng.uniform(0.5, 1.5)))
    return {k: round(v, 6) if isinstance(v, float) else [round(c, 6) for c in v] if isinstance(v, list) else v for k, v in scene.items()}


def scenes():
    """Name, set, kind, seed."""
    table = []
    for which, first in (("choose", 100), ("report", 200)):
        table += [(f"{which}-lamp-{i}", which, "lamp", first + i) for i in range(8)]
        table += [(f"{which}-sun-{i}", which, "sun", first + 50 + i) for i in range(6)]
    return table


def on_surface(scene, x, y):
    """Place and normal of the panel above (x, y)."""
    r = scene["radius_m"]
    if scene["shape"] == "flat":
        return np.array([x, y, 0.0]), np.array([0.0, 0.0, 1.0])
    square = y * y + (x * x if scene["shape"] == "sphere" else 0.0)
    z = math.sqrt(r * r - square) - r
    return np.array([x, y, z]), np.array([x if scene["shape"] == "sphere" else 0.0, y, z + r]) / r


def grooves(scene, seed):
    """Middle, normal, direction and wall slope of every groove."""
    rng = np.random.default_rng(seed + 10_000)
    out = []
    while len(out) < GROOVES:
        x, y = rng.uniform([-0.19, -0.14], [0.19, 0.14])
        a, slope = rng.uniform(0, math.pi), float(rng.choice(SLOPES))
        c, n = on_surface(scene, round(x, 5), round(y, 5))
        # Nearer ones would cross, and one would be called bright for the other's sake.
        if any(np.linalg.norm(c - other[0]) < APART for other in out):
            continue
        t = np.array([math.cos(a), math.sin(a), 0.0])
        out.append((c, n, unit(t - n * (n @ t)), slope))
    return out


def ply(path, vertices, faces):
    head = f"ply\nformat binary_little_endian 1.0\nelement vertex {len(vertices)}\nproperty float x\nproperty float y\nproperty float z\n"
    head += f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    rows = np.zeros(len(faces), dtype=[("n", "u1"), ("i", "<i4", (3,))])
    rows["n"], rows["i"] = 3, faces
    path.write_bytes(head.encode() + vertices.astype("<f4").tobytes() + rows.tobytes())


def ridges(marks):
    """Triangles of the round ridges that stand for the grooves."""
    vertices, faces = [], []
    for c, n, t, slope in marks:
        across, steep = np.cross(n, t), math.radians(slope)
        r = HALF_WIDTH / math.sin(steep)
        base = len(vertices)
        for p in np.linspace(-steep, steep, WALL_STEPS):
            off = across * (r * math.sin(p)) + n * (r * (math.cos(p) - math.cos(steep)) + 2e-6)
            vertices += [c + off - t * HALF_LENGTH, c + off + t * HALF_LENGTH]
        for k in range(base, base + 2 * (WALL_STEPS - 1), 2):
            faces += [(k, k + 1, k + 3), (k, k + 3, k + 2)]
    vertices, faces = np.array(vertices), np.array(faces)
    down = np.cross(vertices[faces[:, 1]] - vertices[faces[:, 0]], vertices[faces[:, 2]] - vertices[faces[:, 0]])[:, 2] < 0
    faces[down] = faces[down][:, ::-1]
    return vertices, faces


def rendered(mi, scene, marks, scratch):
    """The picture, and a function from a place to its pixel."""
    eye = np.array(scene["eye"])
    ply(scratch / "grooves.ply", *ridges(marks))
    gloss = {"type": "roughconductor", "alpha": scene["roughness"], "specular_reflectance": {"type": "rgb", "value": 0.04}}
    turn = mi.ScalarTransform4f()
    r = scene["radius_m"]
    panel = {
        "flat": {"type": "rectangle", "to_world": turn.scale([0.5, 0.5, 1])},
        "sphere": {"type": "sphere", "center": [0, 0, -r], "radius": r},
        "cylinder": {"type": "cylinder", "p0": [-0.5, 0, -r], "p1": [0.5, 0, -r], "radius": r},
    }[scene["shape"]]
    field = 2 * math.degrees(math.atan(WIDTH * PIXEL / 2 / np.linalg.norm(eye)))
    view = mi.load_dict({
        "type": "scene",
        "integrator": {"type": "direct"},
        "sensor": {
            "type": "perspective", "fov": field,
            "to_world": turn.look_at(origin=eye.tolist(), target=[0, 0, 0], up=[0, 0, 1]),
            "film": {"type": "hdrfilm", "width": WIDTH, "height": HEIGHT, "rfilter": {"type": "box"}},
            "sampler": {"type": "independent", "sample_count": SAMPLES},
        },
        "lamp": {
            "type": "sphere", "center": scene["lamp"], "radius": scene["lamp_radius_m"],
            "emitter": {"type": "area", "radiance": {"type": "rgb", "value": scene["radiance"]}},
        },
        "sky": {"type": "constant", "radiance": {"type": "rgb", "value": SKY}},
        "panel": {**panel, "bsdf": gloss},
        "grooves": {"type": "ply", "filename": str(scratch / "grooves.ply"), "face_normals": True,
                    "bsdf": {"type": "twosided", "b": gloss}},
    })
    picture = np.array(mi.render(view, seed=1))[..., 1]
    ahead = unit(-eye)
    right = unit(np.cross(ahead, [0, 0, 1]))
    up = np.cross(right, ahead)
    scale = WIDTH / 2 / math.tan(math.radians(field / 2))

    def pixel(p):
        q = p - eye
        return WIDTH / 2 + (q @ right) / (q @ ahead) * scale, HEIGHT / 2 - (q @ up) / (q @ ahead) * scale

    return picture, pixel


def contrasts(picture, pixel, marks):
    """Number and contrast of every groove that lies well within the picture."""
    out = []
    for i, (c, _, t, _) in enumerate(marks):
        x, y = (int(v) for v in pixel(c))
        if not (20 < x < WIDTH - 20 and 20 < y < HEIGHT - 20):
            continue
        line = [pixel(c + t * s) for s in np.linspace(-0.9, 0.9, 9) * HALF_LENGTH]
        on = np.mean([picture[int(b) - 1:int(b) + 2, int(a) - 1:int(a) + 2].max() for a, b in line])
        beside = np.median(picture[y - 9:y + 10, x - 9:x + 10])
        out.append((i, float((on - beside) / (beside + SKY))))
    return out


def case(mark, contrast):
    c, n, t, slope = mark
    numbers = [*c.round(4).tolist(), *n.round(4).tolist(), *t.round(4).tolist(), slope, float(f"{contrast:.3g}")]
    return [int(v) if v == int(v) else v for v in numbers]


def made(mi, name, which, kind, seed, scratch):
    scene = drawn(kind, seed)
    marks = grooves(scene, seed)
    picture, pixel = rendered(mi, scene, marks, scratch)
    cases = [case(marks[i], contrast) for i, contrast in contrasts(picture, pixel, marks)]
    return dict(name=name, set=which, kind=kind, seed=seed, **scene, cases=cases)


def main():
    import tempfile

    import mitsuba as mi

    mi.set_variant("scalar_rgb")
    wanted = sys.argv[1:]
    old = {s["name"]: s for s in json.loads(DATA.read_text())["scenes"]} if DATA.exists() and wanted else {}
    with tempfile.TemporaryDirectory() as scratch:
        for row in scenes():
            if not wanted or row[0] in wanted:
                old[row[0]] = made(mi, *row, pathlib.Path(scratch))
                shows = np.mean([c[-1] > 1 for c in old[row[0]]["cases"]])
                print(row[0], old[row[0]]["shape"], len(old[row[0]]["cases"]), "show:", round(float(shows), 3), flush=True)
    about = "Path traced by grooves.py; a case is cx cy cz nx ny nz tx ty tz slope_deg contrast, metres and unit vectors."
    rows = [json.dumps({k: v for k, v in old[r[0]].items() if k != "cases"})[:-1] + ', "cases": [\n'
            + ",\n".join(json.dumps(c, separators=(",", ":")) for c in old[r[0]]["cases"]) + "]}" for r in scenes() if r[0] in old]
    DATA.write_text('{"about": %s, "made_with": %s, "scenes": [\n' % (json.dumps(about), json.dumps({"mitsuba": mi.__version__})) + ",\n".join(rows) + "]}\n")


if __name__ == "__main__":
    main()
