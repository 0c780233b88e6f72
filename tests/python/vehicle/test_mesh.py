"""Areas, normals and closedness of the panels against trimesh; outer sizes against what cars measure."""
import collections

import numpy as np
import trimesh
from scipy.spatial import cKDTree


def floor_at(panel, u):
    return np.interp(u, np.linspace(0, 1, 241), np.array(panel["floor"]) / 1e6)


def vertices(panel, fine=1):
    """Grid points in metres, each column from its arch upwards."""
    nu, nv = panel["nu"], panel["nv"]
    grid = np.array(panel["points"], float).reshape(nu + 1, nv + 1, 3) / 1e4
    mu, mv = nu * fine, nv * fine
    u = np.linspace(0, 1, mu + 1)[:, None]
    low = floor_at(panel, u)
    v = low + (1 - low) * np.linspace(0, 1, mv + 1)[None]
    a, b = np.broadcast_arrays(u * nu, v * nv)
    i, j = np.minimum(a.astype(int), nu - 1), np.minimum(b.astype(int), nv - 1)
    f, g = (a - i)[..., None], (b - j)[..., None]
    points = (1 - f) * (1 - g) * grid[i, j] + f * (1 - g) * grid[i + 1, j]
    return points + (1 - f) * g * grid[i, j + 1] + f * g * grid[i + 1, j + 1]


def mesh(panel, fine=1):
    p = vertices(panel, fine)
    n, m = p.shape[:2]
    k = np.arange(n * m).reshape(n, m)
    a, b, c, d = k[:-1, :-1].ravel(), k[1:, :-1].ravel(), k[1:, 1:].ravel(), k[:-1, 1:].ravel()
    faces = np.r_[np.c_[a, b, c], np.c_[a, c, d]]
    return trimesh.Trimesh(p.reshape(-1, 3), faces, process=False)


def test_areas_of_patches_add_up_to_the_area_of_the_mesh(panels):
    for panel in panels:
        said = sum(p[6] for p in panel["patches"]) / 1e6
        measured = mesh(panel, 3).area
        assert abs(said - measured) < 0.022 * measured + 2e-5, (panel["form"], panel["panel"], said, measured)


def test_no_patch_is_larger_than_its_share_of_the_mesh(panels):
    """A corner that bends within a patch must not inflate it: the sum of all is the painted surface."""
    for form in {p["form"] for p in panels}:
        paint = [p for p in panels if p["form"] == form and p["class"] == "paint" and p["layer"] == 0]
        if not paint:
            continue
        said = sum(q[6] for p in paint for q in p["patches"]) / 1e6
        measured = sum(mesh(p, 2).area for p in paint)
        assert abs(said / measured - 1) < 0.005, (form, said, measured)


def test_normals_are_those_of_the_nearest_face(panels):
    """Smooth parts: the stated normal lies within 25 degrees of the mesh's there, nearly always within 8."""
    wide = total = 0
    for panel in panels:
        # Tyres bend within a patch; a bed, a grille and a spoiler have edges.
        edged = panel["panel"] in ("load-bed", "rear-spoiler", "grille")
        if edged or panel["layer"] > 1 or panel["class"] in ("tyre", "wheel"):
            continue
        m = mesh(panel, 1)
        patches = np.array(panel["patches"], float)
        _, _, face = trimesh.proximity.closest_point(m, patches[:, :3] / 1e4)
        cos = np.abs((m.face_normals[face] * patches[:, 3:6] / 1e6).sum(1))
        total += len(cos)
        wide += (cos < np.cos(np.radians(8))).sum()
        assert (cos > np.cos(np.radians(25))).mean() > 0.95, (panel["form"], panel["panel"], np.degrees(np.arccos(cos.min())))
    assert wide / total < 0.04, (wide, total)


def test_rays_from_outside_meet_the_side_they_should(panels):
    """From each patch of the skin a short way along its normal one is outside: the body's hull of rays is not met
    on the way further out, except by parts that stand off (mirrors, wheels in arches)."""
    for form in ("hatch-5", "saloon", "van"):
        mine = [p for p in panels if p["form"] == form and p["layer"] == 0 and not p["panel"].endswith("arch-liner")]
        whole = trimesh.util.concatenate([mesh(p) for p in mine if p["panel"] != "grille"])
        origins, normals = [], []
        for p in mine:
            if p["panel"] == "grille":
                continue
            q = np.array(p["patches"], float)
            origins.append(q[:, :3] / 1e4 + q[:, 3:6] / 1e6 * 0.02)
            normals.append(q[:, 3:6] / 1e6)
        met = whole.ray.intersects_any(np.concatenate(origins), np.concatenate(normals))
        assert met.mean() < 0.03, (form, met.mean())


def test_the_skin_is_closed(panels):
    """All skin panels joined: what is left open is only the underside and the arches. Each panel's border lies on a
    neighbour's surface to within the gap allowed."""
    for form in sorted({p["form"] for p in panels} - {"motorcycle"}):
        mine = [p for p in panels if p["form"] == form and p["layer"] == 0 and not p["panel"].endswith("arch-liner")]
        meshes = {p["panel"]: mesh(p, 2) for p in mine}
        points = {p["panel"]: cKDTree(vertices(p, 8).reshape(-1, 3)) for p in mine}
        low = min(m.bounds[0][2] for m in meshes.values())
        wide = []
        for p in mine:
            if p["panel"] in ("load-bed", "grille"):
                continue
            v = vertices(p, 1)
            edge = np.concatenate([v[:, -1], v[0], v[-1], v[:, 0][np.array([floor_at(p, u) == 0 for u in np.linspace(0, 1, p["nu"] + 1)])]])
            keep = edge[:, 2] > low + 0.03
            hub = [q for q in panels if q["form"] == form and q["panel"] in ("front-left-tyre", "rear-left-tyre")]
            for t in hub:
                b = np.array(t["points"], float).reshape(-1, 3) / 1e4
                c, r = (b.min(0) + b.max(0)) / 2, (b[:, 0].max() - b[:, 0].min()) / 2 + 0.06
                away = np.hypot(edge[:, 0] - c[0], edge[:, 2] - c[2]) > r
                keep &= away & ((np.abs(edge[:, 0] - c[0]) > r) | (edge[:, 2] > c[2]))
            # A point of a neighbour's surface within the gap is near enough; only for the rest is the whole surface looked at.
            each = [tree.query(edge[keep], distance_upper_bound=0.015)[0] for k, tree in points.items() if k != p["panel"]]
            near = np.min(each, axis=0)
            far = edge[keep][np.isinf(near)]
            wide.append((near[np.isfinite(near)].max(initial=0), p["panel"]))
            if len(far):
                others = trimesh.util.concatenate([m for k, m in meshes.items() if k != p["panel"]])
                _, distance, _ = trimesh.proximity.closest_point(others, far)
                wide.append((distance.max(), p["panel"]))
        worst = max(wide)
        assert worst[0] < 0.015, (form, worst)


# From general knowledge of the classes, not of one car: length, width without mirrors, height, metres.
TYPICAL = {
    "hatch-3": ((3.5, 4.2), (1.62, 1.80), (1.38, 1.55)),
    "hatch-5": ((3.9, 4.5), (1.70, 1.85), (1.40, 1.55)),
    "saloon": ((4.4, 5.0), (1.75, 1.90), (1.38, 1.52)),
    "estate": ((4.4, 5.0), (1.75, 1.90), (1.42, 1.55)),
    "suv": ((4.2, 4.9), (1.78, 1.98), (1.58, 1.80)),
    "people-carrier": ((4.3, 5.2), (1.75, 2.0), (1.60, 1.90)),
    "coupe": ((4.1, 4.8), (1.75, 1.95), (1.25, 1.45)),
    "convertible": ((3.9, 4.8), (1.70, 1.92), (1.25, 1.45)),
    "pickup": ((5.1, 5.6), (1.80, 2.0), (1.75, 1.95)),
    "van": ((4.9, 6.0), (1.90, 2.10), (1.90, 2.60)),
    "motorcycle": ((2.0, 2.3), (0.70, 0.95), (1.05, 1.45)),
}


def test_outer_sizes_are_those_of_their_class(panels):
    sizes = collections.defaultdict(list)
    for p in panels:
        if p["form"] == "motorcycle" or p["layer"] < 2:
            sizes[p["form"]].append(np.array(p["points"], float).reshape(-1, 3) / 1e4)
    for form, (length, width, height) in TYPICAL.items():
        all_points = np.concatenate(sizes[form])
        size = all_points.max(0) - np.array([0, 0, 0]) - np.r_[all_points.min(0)[:2], 0]
        for got, (low, high) in zip(size, (length, width, height)):
            assert low <= got <= high, (form, size)


def test_wheels_stand_on_the_ground_and_inside_the_body(panels):
    for p in panels:
        if p["class"] != "tyre":
            continue
        points = np.array(p["points"], float).reshape(-1, 3) / 1e4
        assert abs(points[:, 2].min()) < 0.002, (p["form"], p["panel"])
