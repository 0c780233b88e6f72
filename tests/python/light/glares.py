"""Where the sun glares on path-traced cars, for the heading that is found from it.

    glares.py     renders 200 cases anew (some minutes) and writes glares.json beside this file

Renderer: Mitsuba 3 (PyPI `mitsuba`), a rough mirror with Beckmann's distribution on the grids of the body forms, and a far light.
A case is a form, a heading, a sun, and an eye beside the car. The brightest place of the picture is where the sun glares. What is
kept is what a person would touch: that place, up to 5 cm off along the paint, and where they stand, up to 10 cm off; the
height of the eye is that of the way of looking, which theirs is within 10 cm of.
"""

import json
import math
import pathlib
import sys

import numpy as np

HERE = pathlib.Path(__file__).resolve().parent
DATA = HERE / "glares.json"
FORMS = ("saloon", "hatch-5", "suv", "van", "estate")
HEIGHTS = {"standing": 1.60, "along-side": 1.25, "crouching": 0.90}
CASES, WIDTH, HEIGHT, SAMPLES = 200, 320, 240, 8
TOUCH_M, STAND_M = 0.05, 0.10


def unit(v):
    return v / np.linalg.norm(v)


def towards(azimuth, elevation, heading):
    """Towards the sun in the frame of the car: x forward, y left."""
    a, e = math.radians(azimuth - heading), math.radians(elevation)
    return np.array([math.cos(e) * math.cos(a), -math.cos(e) * math.sin(a), math.sin(e)])


def grid(panel):
    return np.array(panel["points"], float).reshape(panel["nu"] + 1, panel["nv"] + 1, 3) / 10_000


def normals(panel):
    """Of the grid's points, on the side to which its patches face."""
    p = grid(panel)
    n = np.cross(np.gradient(p, axis=0), np.gradient(p, axis=1))
    n /= np.linalg.norm(n, axis=2, keepdims=True) + 1e-12
    middle = np.array(panel["patches"], float)[:, 3:6].mean(axis=0)
    return n if (n.reshape(-1, 3).mean(axis=0) @ middle) > 0 else -n


def fine(values, u, v):
    """Values of a grid at shares (u, v) of it."""
    nu, nv = values.shape[0] - 1, values.shape[1] - 1
    i, j = np.minimum((u * nu).astype(int), nu - 1), np.minimum((v * nv).astype(int), nv - 1)
    a, b = (u * nu - i)[..., None], (v * nv - j)[..., None]
    return (values[i, j] * (1 - a) + values[i + 1, j] * a) * (1 - b) + (values[i, j + 1] * (1 - a) + values[i + 1, j + 1] * a) * b


def at(values, u, v):
    """The value of a grid at one place of it."""
    return fine(values, np.array(u), np.array(v))


def shape(mi, panel, folder):
    """One panel as a mesh with smooth normals whose texture coordinates are (u, v)."""
    p, n = grid(panel), normals(panel)
    nu, nv = panel["nu"], panel["nv"]
    lines = []
    for i in range(nu + 1):
        for j in range(nv + 1):
            lines.append(" ".join(f"{c:.6f}" for c in (*p[i, j], *n[i, j], i / nu, j / nv)))
    faces = []
    for i in range(nu):
        for j in range(nv):
            a, b, c, d = i * (nv + 1) + j, (i + 1) * (nv + 1) + j, (i + 1) * (nv + 1) + j + 1, i * (nv + 1) + j + 1
            faces += [f"3 {a} {b} {c}", f"3 {a} {c} {d}"]
    head = f"ply\nformat ascii 1.0\nelement vertex {len(lines)}\n"
    head += "".join(f"property float {name}\n" for name in ("x", "y", "z", "nx", "ny", "nz", "u", "v"))
    head += f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    path = folder / f"{panel['form']}-{panel['panel']}.ply"
    path.write_text(head + "\n".join(lines + faces) + "\n")
    paint = {"type": "roughconductor", "alpha": 0.03, "specular_reflectance": {"type": "rgb", "value": 0.5}}
    return mi.load_dict({"type": "ply", "filename": str(path), "bsdf": {"type": "twosided", "bsdf": paint}})


def car(mi, panels, form, folder, made={}):
    """The shapes of a form, and fine points of its paint; made once, because most of the time would go into it."""
    if form not in made:
        shapes = [shape(mi, each, folder) for each in panels[form]]
        places = np.meshgrid(np.linspace(0, 1, 81), np.linspace(0, 1, 81), indexing="ij")
        painted = [each for each in panels[form] if each["class"] == "paint"]
        points = [fine(grid(each), *places) for each in painted]
        made[form] = shapes, painted, points
    return made[form]


def made(mi, panels, number, folder):
    """A case by chance from its number; none where the sun does not glare in the picture."""
    rng = np.random.default_rng(9_000 + number)
    form = FORMS[number % len(FORMS)]
    shapes, painted, fine_points = car(mi, panels, form, folder)
    azimuth, elevation, heading = rng.uniform(70, 290), rng.uniform(10, 62), rng.uniform(0, 360)
    sun = towards(azimuth, elevation, heading)
    way = list(HEIGHTS)[int(rng.integers(len(HEIGHTS)))]
    corners = np.concatenate([grid(p).reshape(-1, 3) for p in painted])
    low, high = corners.min(axis=0), corners.max(axis=0)
    for _ in range(400):
        panel = painted[int(rng.integers(len(painted)))]
        u, v = rng.uniform(0.1, 0.9, 2)
        place, normal = at(grid(panel), u, v), unit(at(normals(panel), u, v))
        mirrored = 2 * (normal @ sun) * normal - sun
        height = HEIGHTS[way] + rng.uniform(-STAND_M, STAND_M)
        if normal @ sun < 0.1 or abs(mirrored[2]) < 0.05:
            continue
        far = (height - place[2]) / mirrored[2]
        eye = place + far * mirrored + np.append(rng.normal(0, 0.1, 2), 0)
        beside = min(eye[0] - low[0], high[0] - eye[0], eye[1] - low[1], high[1] - eye[1]) < 0.3
        if 0.5 < far < 1.8 and beside:
            break
    else:
        return None
    far = {"type": "directional", "direction": (-sun).tolist(), "irradiance": {"type": "rgb", "value": 3.0}}
    look = mi.ScalarTransform4f().look_at(origin=eye.tolist(), target=place.tolist(), up=[0, 0, 1])
    sensor = {
        "type": "perspective", "fov": 55, "to_world": look,
        "film": {"type": "hdrfilm", "width": WIDTH, "height": HEIGHT, "pixel_format": "luminance", "rfilter": {"type": "box"}},
        "sampler": {"type": "independent", "sample_count": SAMPLES},
    }
    scene = {"type": "scene", "integrator": {"type": "direct"}, "sensor": sensor, "sun": far, "sky": {"type": "constant", "radiance": 0.02}}
    scene |= {f"panel{at:03}": each for at, each in enumerate(shapes)}
    scene = mi.load_dict(scene)
    picture = np.array(mi.render(scene, seed=number))[:, :, 0]
    # A little blurred: one pixel by chance is no glare.
    blurred = sum(np.roll(picture, (a, b), (0, 1)) for a in (-1, 0, 1) for b in (-1, 0, 1)) / 9
    row, column = np.unravel_index(blurred[2:-2, 2:-2].argmax(), (HEIGHT - 4, WIDTH - 4))
    row, column = row + 2, column + 2
    if blurred[row, column] < 2:
        return None
    where = mi.ScalarPoint2f((column + 0.5) / WIDTH, (row + 0.5) / HEIGHT)
    ray, _ = scene.sensors()[0].sample_ray(0, 0.5, where, mi.ScalarPoint2f(0.5, 0.5))
    hit = scene.ray_intersect(ray)
    if not hit.is_valid():
        return None
    point = np.array([hit.p[0], hit.p[1], hit.p[2]])
    # Which panel it is on, and where: the nearest of the fine points of each.
    touch = rng.uniform(-TOUCH_M, TOUCH_M, 2)
    off, panel, points = min(
        ((np.linalg.norm(points - point, axis=2).min(), each, points) for each, points in zip(painted, fine_points)),
        key=lambda it: it[0],
    )
    if off > 0.05:
        return None
    i, j = np.unravel_index(np.linalg.norm(points - point, axis=2).argmin(), (81, 81))
    along = unit(points[min(i + 1, 80), j] - points[max(i - 1, 0), j])
    n = unit(at(normals(panel), i / 80, j / 80))
    touched = point + touch[0] * along + touch[1] * np.cross(n, along)
    i, j = np.unravel_index(np.linalg.norm(points - touched, axis=2).argmin(), (81, 81))
    stand = eye[:2] + rng.uniform(-STAND_M, STAND_M, 2)
    return dict(
        number=number, form=form, panel=panel["panel"], u_ppm=int(i * 12_500), v_ppm=int(j * 12_500), way=way,
        x_mm=round(float(stand[0]) * 1000), y_mm=round(float(stand[1]) * 1000), azimuth_deg=round(azimuth, 6),
        elevation_deg=round(elevation, 6), heading_deg=round(heading, 6), glare_m=[round(float(c), 4) for c in point],
    )


def main():
    import tempfile

    import conftest
    import mitsuba as mi

    mi.set_variant("scalar_rgb")
    panels = {}
    for row in conftest.dumped("vehicle", "vehicle"):
        if "panel" in row:
            panels.setdefault(row["form"], []).append(row)
    cases = []
    number = 0
    with tempfile.TemporaryDirectory() as folder:
        while len(cases) < CASES:
            case = made(mi, panels, number, pathlib.Path(folder))
            number += 1
            if case:
                cases.append(case)
                print(len(cases), case["form"], case["panel"], flush=True)
    rows = ",\n".join(json.dumps(case) for case in cases)
    DATA.write_text('{"source": "path-traced with mitsuba 3.9.1, see glares.py", "cases": [\n' + rows + "\n]}\n")


if __name__ == "__main__":
    sys.exit(main())
