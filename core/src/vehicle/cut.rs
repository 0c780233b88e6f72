//! Cutting a skin into panels: the tools that every cut uses, and the shut lines that several cuts share. Pure.
//!
//! A panel is four shut lines, a Coons patch between them, pulled onto the skin. Neighbours use the same line. Only the
//! left half and the middle are cut; the right half is the mirror image.

use super::curve::{Line, coons};
use super::dual::{V3, add, cross, dot, norm, scale, sub};
use super::geometry::{Class, Panel, Rim, Side};
use super::measure::Dims;
use super::names;
use super::nodes::Nodes;
use super::skin::{Skin, TailShape};
use super::surface::{Arch, Family, Grid, Outward, reflected};
use crate::record::words::Form;

/// How a form ends behind its last side window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tail {
    /// One lid with the rear screen in it.
    Hatch,
    /// Separate rear screen and boot lid.
    Boot,
    /// As a boot, under a folding top.
    SoftTop,
    /// Open load bed.
    Bed,
    /// Two doors to the roof.
    Barn,
}

/// What a form has that measures do not say.
#[derive(Debug, Clone, Copy)]
pub(super) struct Kit {
    pub tail: Tail,
    pub rear_doors: bool,
    pub sliding: bool,
    pub third_glass: bool,
    pub cladding: bool,
    pub roof_bars: bool,
    pub spoiler: bool,
    pub sunroof: bool,
    pub exhausts: bool,
}

impl Kit {
    pub fn of(form: Form) -> Kit {
        use Form::{Convertible, Coupe, Estate, Hatch3, Hatch5, PeopleCarrier, Pickup, Saloon, Suv, Van};
        let any = |forms: &[Form]| forms.contains(&form);
        Kit {
            tail: match form {
                Saloon | Coupe => Tail::Boot,
                Convertible => Tail::SoftTop,
                Pickup => Tail::Bed,
                Van => Tail::Barn,
                _ => Tail::Hatch,
            },
            rear_doors: !any(&[Hatch3, Coupe, Convertible, Van]),
            sliding: any(&[PeopleCarrier, Van]),
            third_glass: any(&[Hatch5, Estate, Suv, PeopleCarrier]),
            cladding: any(&[Suv, Pickup]),
            roof_bars: any(&[Estate, Suv]),
            spoiler: any(&[Hatch3, Hatch5, Suv]),
            sunroof: any(&[Estate, Suv]),
            exhausts: !any(&[Van, Pickup]),
        }
    }
}

/// A panel being cut.
pub(super) struct Piece {
    pub id: &'static str,
    pub class: Class,
    pub family: Family,
    pub part_of: Option<&'static str>,
    pub optional: bool,
    pub grid: Grid,
    pub arch: Option<Arch>,
    pub outward: Outward,
    pub lift: f64,
    pub layer: u8,
    pub rim: Rim,
    /// On one side only; otherwise a left piece keeps its place and has its mirror image.
    pub single: Option<Side>,
}

impl Piece {
    pub fn arch(&mut self, arch: Arch) -> &mut Self {
        self.arch = Some(arch);
        self
    }
    pub fn part_of(&mut self, id: &'static str) -> &mut Self {
        self.part_of = Some(id);
        self
    }
    /// Not on every car of the form: asked for only when a job names it.
    pub fn optional(&mut self) -> &mut Self {
        self.optional = true;
        self
    }
    pub fn rim(&mut self, rim: Rim) -> &mut Self {
        self.rim = rim;
        self
    }
    pub fn layer(&mut self, layer: u8) -> &mut Self {
        self.layer = layer;
        self
    }
    pub fn single(&mut self, side: Side) -> &mut Self {
        self.single = Some(side);
        self
    }
}

/// From where the outline of a small part is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum From2 {
    /// (x, z) on the left skin.
    Side,
    /// (y, z) on the nose.
    Nose,
    /// (y, z) on the tail.
    Rear,
    /// (x, y) on the upper skin.
    Top,
}

pub(super) struct Cutter {
    pub skin: Skin,
    pub kit: Kit,
    pub left: Vec<Piece>,
    pub middle: Vec<Piece>,
    pub n: Nodes,
}

impl Cutter {
    pub fn new(form: Form, dims: Dims) -> Self {
        let kit = Kit::of(form);
        let square = matches!(kit.tail, Tail::Bed | Tail::Barn);
        let tail = TailShape {
            corner: match kit.tail {
                Tail::Bed => 0.07,
                Tail::Barn => 0.11,
                _ => 0.12,
            },
            lean: if square { 0.008 } else { 0.035 },
            level: kit.tail == Tail::Bed,
        };
        let skin = Skin::new(dims, tail);
        let n = Nodes::new(&skin, kit);
        Cutter { skin, kit, left: Vec::new(), middle: Vec::new(), n }
    }

    /// A panel of the skin between four lines: along u low and high, along v at u = 0 and u = 1.
    fn piece(&self, id: &'static str, class: Class, family: Family, lines: [&Line; 4]) -> Piece {
        let [low, high, start, end] = lines;
        let steps = |a: &Line, b: &Line, most: f64| {
            (a.length().max(b.length()) / 0.036).round().clamp(6.0, most) as usize
        };
        let long = low.length().max(high.length());
        let most = if family == Family::End && long > 2.0 {
            84.0
        } else if self.kit.tail == Tail::Barn && long > 1.5 {
            // A van's side goes round the rear corner: fine enough to follow it.
            72.0
        } else {
            40.0
        };
        // An even count keeps the middle line on the grid.
        let (nu, nv) = ((steps(low, high, most) + 1) & !1, (steps(start, end, 36.0) + 1) & !1);
        let points = self.untangled(coons(low, high, start, end, nu, nv), nu, nv);
        Piece {
            id,
            class,
            family,
            part_of: None,
            optional: false,
            grid: Grid { nu, nv, points },
            arch: None,
            outward: Outward::Skin,
            lift: 0.0,
            layer: 0,
            rim: Rim::Border,
            single: None,
        }
    }
    /// Pulls a grid onto the skin. Where the skin bends sharply neighbouring points can be pulled past each other: the
    /// points of such cells and round them are moved to the middle of their neighbours (Laplacian smoothing) and pulled
    /// again. Borders stay, as neighbours share them.
    fn untangled(&self, points: Vec<V3>, nu: usize, nv: usize) -> Vec<V3> {
        let row = nv + 1;
        let (mut points, mut normals): (Vec<V3>, Vec<V3>) =
            points.into_iter().map(|p| self.skin.pull_with_normal(p)).unzip();
        for _ in 0..24 {
            let facing = |i: usize, j: usize| {
                let at = |a: usize, b: usize| points[a * row + b];
                let n = cross(sub(at(i + 1, j + 1), at(i, j)), sub(at(i, j + 1), at(i + 1, j)));
                let normal = add(normals[i * row + j], normals[(i + 1) * row + j + 1]);
                (dot(n, normal), norm(n) * norm(normal))
            };
            let cells: Vec<(f64, f64)> = (0..nu * nv).map(|k| facing(k / nv, k % nv)).collect();
            let turn = if cells.iter().map(|c| c.0).sum::<f64>() < 0.0 { -1.0 } else { 1.0 };
            let mut moved = vec![false; points.len()];
            let mut any = false;
            for (k, (facing, size)) in cells.iter().enumerate() {
                let (i, j) = (k / nv, k % nv);
                if facing * turn >= 0.15 * size || self.in_arch(points[i * row + j]) {
                    continue;
                }
                any = true;
                for a in i.saturating_sub(1)..=(i + 2).min(nu) {
                    for b in j.saturating_sub(1)..=(j + 2).min(nv) {
                        moved[a * row + b] = a > 0 && a < nu && b > 0 && b < nv;
                    }
                }
            }
            if !any {
                break;
            }
            for k in (0..points.len()).filter(|k| moved[*k]) {
                let sum = add(add(points[k - 1], points[k + 1]), add(points[k - row], points[k + row]));
                (points[k], normals[k]) = self.skin.pull_with_normal(scale(sum, 0.25));
            }
        }
        points
    }
    /// Inside a wheel arch, where nothing of a panel is left.
    fn in_arch(&self, p: V3) -> bool {
        [self.n.front_arch, self.n.rear_arch]
            .iter()
            .any(|(x, z, r)| (p[0] - x) * (p[0] - x) + (p[2] - z) * (p[2] - z) < 0.8 * r * r)
    }
    pub fn cut_left(
        &mut self,
        id: &'static str,
        class: Class,
        family: Family,
        lines: [&Line; 4],
    ) -> &mut Piece {
        let piece = self.piece(id, class, family, lines);
        push(&mut self.left, piece)
    }
    pub fn cut_middle(
        &mut self,
        id: &'static str,
        class: Class,
        family: Family,
        lines: [&Line; 4],
    ) -> &mut Piece {
        let mut piece = self.piece(id, class, family, lines);
        piece.grid.symmetrise(family);
        push(&mut self.middle, piece)
    }
    /// A part that does not lie on the skin, given by its grid.
    pub fn shell(
        &mut self,
        id: &'static str,
        class: Class,
        family: Family,
        grid: Grid,
        outward: Outward,
    ) -> &mut Piece {
        let piece = Piece {
            id,
            class,
            family,
            part_of: None,
            optional: false,
            grid,
            arch: None,
            outward,
            lift: 0.0,
            layer: 1,
            rim: Rim::Border,
            single: None,
        };
        push(&mut self.left, piece)
    }
    pub fn shell_middle(
        &mut self,
        id: &'static str,
        class: Class,
        family: Family,
        mut grid: Grid,
        outward: Outward,
    ) -> &mut Piece {
        grid.symmetrise(family);
        self.shell(id, class, family, grid, outward);
        let piece = self.left.pop();
        self.middle.extend(piece);
        let last = self.middle.len() - 1;
        &mut self.middle[last]
    }

    /// A point of the skin seen from a direction.
    fn seen(&self, from: From2, a: f64, b: f64) -> V3 {
        let s = &self.skin;
        match from {
            From2::Side => s.side(a, b),
            From2::Top => s.top(a, b, 0.5),
            From2::Nose => {
                let x = s.x_front_axle;
                s.cast([x, a, b], [1.0, 0.0, 0.0], 1.6, s.x_front - x - 0.1)
            }
            From2::Rear => {
                let x = s.x_rear_axle;
                s.cast([x, a, b], [-1.0, 0.0, 0.0], 2.0, x - s.x_rear - 0.1)
            }
        }
    }
    /// A small part that lies on a panel, `lift` above the skin; its outline is given in a view, by four corners
    /// (low start, low end, high start, high end) and how far the edges bow out towards a circle (0 to 1).
    fn overlay(&self, from: From2, corners: [(f64, f64); 4], bow: f64, lift: f64) -> Grid {
        let n = 6;
        let mut points = Vec::with_capacity((n + 1) * (n + 1));
        for i in 0..=n {
            for j in 0..=n {
                let (p, q) = (i as f64 / n as f64 * 2.0 - 1.0, j as f64 / n as f64 * 2.0 - 1.0);
                // Square to disc by P. Nowell's elliptical mapping (2005), blended by `bow`.
                let (dp, dq) = (p * (1.0 - q * q / 2.0).sqrt(), q * (1.0 - p * p / 2.0).sqrt());
                let (u, v) = ((1.0 + p + (dp - p) * bow) / 2.0, (1.0 + q + (dq - q) * bow) / 2.0);
                let [a, b, c, d] = corners;
                let mix = |s: f64, t: f64, k: f64| s + (t - s) * k;
                let x = mix(mix(a.0, b.0, u), mix(c.0, d.0, u), v);
                let y = mix(mix(a.1, b.1, u), mix(c.1, d.1, u), v);
                let foot = self.seen(from, x, y);
                points.push(add(foot, scale(self.skin.normal(foot), lift)));
            }
        }
        Grid { nu: n, nv: n, points }
    }
    fn overlay_piece(&self, id: &'static str, class: Class, from: From2, grid: Grid, lift: f64) -> Piece {
        let family = match from {
            From2::Side => Family::Side,
            From2::Top => Family::Top,
            From2::Nose | From2::Rear => Family::End,
        };
        Piece {
            id,
            class,
            family,
            part_of: None,
            optional: false,
            grid,
            arch: None,
            outward: Outward::Skin,
            lift,
            layer: 2,
            rim: Rim::Border,
            single: None,
        }
    }
    pub fn on_left(
        &mut self,
        id: &'static str,
        class: Class,
        from: From2,
        corners: [(f64, f64); 4],
        bow: f64,
        lift: f64,
    ) -> &mut Piece {
        let grid = self.overlay(from, corners, bow, lift);
        let piece = self.overlay_piece(id, class, from, grid, lift);
        push(&mut self.left, piece)
    }
    /// As `on_left`, over the middle line: half width and two heights (or lengths, from the rear, in plan).
    pub fn on_middle(
        &mut self,
        id: &'static str,
        class: Class,
        from: From2,
        half: (f64, f64),
        span: (f64, f64),
        (bow, lift): (f64, f64),
    ) -> &mut Piece {
        let corners = if from == From2::Top {
            [(span.0, -half.0), (span.1, -half.1), (span.0, half.0), (span.1, half.1)]
        } else {
            [(-half.0, span.0), (half.0, span.0), (-half.1, span.1), (half.1, span.1)]
        };
        let grid = self.overlay(from, corners, bow, lift);
        let mut piece = self.overlay_piece(id, class, from, grid, lift);
        piece.grid.symmetrise(piece.family);
        push(&mut self.middle, piece)
    }

    /// Quantises, mirrors and cuts into patches.
    pub fn finish(self) -> Vec<Panel> {
        finish(Some(&self.skin), self.left, self.middle)
    }
}

/// Quantises pieces, mirrors those of the left, and cuts all into patches.
pub(super) fn finish(skin: Option<&Skin>, left: Vec<Piece>, middle: Vec<Piece>) -> Vec<Panel> {
    let mut panels = Vec::with_capacity(left.len() * 2 + middle.len());
    for piece in &middle {
        let mut panel = whole(piece, skin, Side::Middle);
        panel.surface.pair(piece.family, &mut panel.patches);
        panels.push(panel);
    }
    let lefts: Vec<Panel> = left.iter().map(|piece| whole(piece, skin, Side::Left)).collect();
    for (panel, piece) in lefts.into_iter().zip(&left) {
        if let Some(id) = names::other_side(panel.id).filter(|_| piece.single != Some(Side::Left)) {
            let part_of = panel.part_of.map(|host| names::other_side(host).unwrap_or(host));
            let patches = panel.patches.iter().map(|p| reflected(*p)).collect();
            let surface = panel.surface.mirrored();
            panels.push(Panel { id, side: Side::Right, part_of, patches, surface, ..panel });
        }
        if piece.single != Some(Side::Right) {
            panels.push(panel);
        }
    }
    panels
}

fn whole(piece: &Piece, skin: Option<&Skin>, side: Side) -> Panel {
    let surface = piece.grid.surface(piece.arch);
    let patches = surface.patches(skin, piece.outward, piece.lift);
    Panel {
        id: piece.id,
        class: piece.class,
        side,
        family: piece.family,
        part_of: piece.part_of,
        optional: piece.optional,
        patches,
        layer: piece.layer,
        rim: piece.rim,
        surface,
    }
}

fn push(list: &mut Vec<Piece>, piece: Piece) -> &mut Piece {
    list.push(piece);
    let last = list.len() - 1;
    &mut list[last]
}
