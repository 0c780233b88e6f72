//! Whether the car stands in the way of a ray: its triangles in a tree of boxes. Pure.
//!
//! The tree is split where the surface area heuristic (MacDonald & Booth, The Visual Computer 6, 1990) finds it cheapest;
//! a triangle is hit by the test of Möller & Trumbore (Journal of Graphics Tools 2, 1997), its edges a hair wider so that no
//! ray slips between two triangles. One triangle says that a ray is blocked, so the answer does not depend on the order in
//! which the tree is walked. Glass blocks too: what is looked at through a window is not counted as seen.

use crate::vehicle::{Geometry, V3, add, cross, dot, sub};

/// How much wider than itself a triangle is hit, as a share of its sides.
const EDGE: f64 = 1e-9;
/// Triangles that are not split further.
const LEAF: usize = 4;
/// No tree of a body is deeper; a ray keeps its open branches in so many places.
const DEEPEST: usize = 64;

/// A triangle as the test wants it: a corner and the two sides that leave it.
#[derive(Debug, Clone, Copy)]
struct Triangle {
    corner: V3,
    side: V3,
    other: V3,
}

/// A box with what lies in it: triangles `first..first + count`, or, without any, two boxes from `first` on.
#[derive(Debug, Clone, Copy)]
struct Node {
    low: V3,
    high: V3,
    first: u32,
    count: u32,
}

/// The triangles of a body, found by rays.
#[derive(Debug, Clone)]
pub struct Blocker {
    triangles: Vec<Triangle>,
    nodes: Vec<Node>,
}

/// The triangles of a body's outside, corner by corner, metres: each panel's grid, above what an arch cuts off.
pub fn triangles(geometry: &Geometry) -> Vec<[V3; 3]> {
    let mut out = Vec::new();
    for panel in &geometry.panels {
        let (nu, nv, _) = panel.grid();
        let column = |i: usize| -> Vec<V3> {
            let u = i as f64 / nu as f64;
            let floor = panel.floor(u);
            (0..=nv).map(|j| panel.at(u, floor + (1.0 - floor) * j as f64 / nv as f64)).collect()
        };
        let mut left = column(0);
        for i in 1..=nu {
            let right = column(i);
            for (a, b) in left.windows(2).zip(right.windows(2)) {
                if let ([a, d], [b, c]) = (a, b) {
                    out.push([*a, *b, *c]);
                    out.push([*a, *c, *d]);
                }
            }
            left = right;
        }
    }
    // A pole of a hub or the tip of a cap makes triangles without area: nothing can hit them.
    out.retain(|[a, b, c]| {
        let n = cross(sub(*b, *a), sub(*c, *a));
        dot(n, n) > 1e-20
    });
    out
}

/// Least and greatest of some places.
fn bounds(places: impl Iterator<Item = V3>) -> (V3, V3) {
    let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for p in places {
        for axis in 0..3 {
            low[axis] = low[axis].min(p[axis]);
            high[axis] = high[axis].max(p[axis]);
        }
    }
    (low, high)
}

/// Half the area of a box.
fn area((low, high): (V3, V3)) -> f64 {
    let d = sub(high, low);
    d[0] * d[1] + d[1] * d[2] + d[2] * d[0]
}

fn join(a: (V3, V3), b: (V3, V3)) -> (V3, V3) {
    bounds([a.0, a.1, b.0, b.1].into_iter())
}

impl Blocker {
    /// The tree of some triangles.
    pub fn new(corners: &[[V3; 3]]) -> Blocker {
        let boxes: Vec<(V3, V3)> = corners.iter().map(|t| bounds(t.iter().copied())).collect();
        let mut order: Vec<usize> = (0..corners.len()).collect();
        let mut nodes = Vec::with_capacity(corners.len());
        nodes.push(Node { low: [0.0; 3], high: [0.0; 3], first: 0, count: 0 });
        let mut open = vec![(0, 0, corners.len(), 0)];
        while let Some((node, from, to, depth)) = open.pop() {
            let own = bounds(order[from..to].iter().flat_map(|i| [boxes[*i].0, boxes[*i].1]));
            let split = if to - from <= LEAF || depth + 2 > DEEPEST {
                None
            } else {
                cheapest(&boxes, &mut order[from..to], own)
            };
            nodes[node] = match split {
                None => Node { low: own.0, high: own.1, first: from as u32, count: (to - from) as u32 },
                Some(at) => {
                    let first = nodes.len();
                    nodes.extend([nodes[node], nodes[node]]);
                    open.push((first, from, from + at, depth + 1));
                    open.push((first + 1, from + at, to, depth + 1));
                    Node { low: own.0, high: own.1, first: first as u32, count: 0 }
                }
            };
        }
        let triangle = |i: &usize| {
            let [a, b, c] = corners[*i];
            Triangle { corner: a, side: sub(b, a), other: sub(c, a) }
        };
        Blocker { triangles: order.iter().map(triangle).collect(), nodes }
    }

    /// How many triangles there are.
    pub fn len(&self) -> usize {
        self.triangles.len()
    }
    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.triangles.is_empty()
    }

    /// Whether something stands between two places.
    pub fn between(&self, from: V3, to: V3) -> bool {
        self.hit(from, sub(to, from), 1.0)
    }
    /// Whether something stands in the way from a place in a direction.
    pub fn towards(&self, from: V3, along: V3) -> bool {
        self.hit(from, along, f64::INFINITY)
    }

    /// Whether a place is within the body: there is something of it above, ahead, behind and on both sides.
    pub fn holds(&self, place: V3) -> bool {
        [[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, -1.0, 0.0]]
            .iter()
            .all(|way| self.towards(place, *way))
    }

    /// Whether a triangle is hit from `from` along `along` before `far` times its length. A way without length, or one that
    /// is no number, hits nothing.
    fn hit(&self, from: V3, along: V3, far: f64) -> bool {
        if self.triangles.is_empty() {
            return false;
        }
        let inverse = along.map(|c| 1.0 / c);
        let mut open = [0_u32; DEEPEST + 2];
        let mut count = 1;
        while count > 0 {
            count -= 1;
            let node = &self.nodes[open[count] as usize];
            if !meets(node, from, inverse, far) {
                continue;
            }
            let first = node.first as usize;
            if node.count == 0 {
                open[count] = node.first;
                open[count + 1] = node.first + 1;
                count += 2;
            } else if self.triangles[first..first + node.count as usize]
                .iter()
                .any(|it| it.hit(from, along, far))
            {
                return true;
            }
        }
        false
    }
}

/// Sorts triangles along the axis on which cutting them in two is cheapest, and says where to cut; nothing where cutting
/// is dearer than trying them all.
fn cheapest(boxes: &[(V3, V3)], order: &mut [usize], own: (V3, V3)) -> Option<usize> {
    let centre = |i: usize, axis: usize| boxes[i].0[axis] + boxes[i].1[axis];
    let mut best: Option<(f64, usize, usize)> = None;
    for axis in 0..3 {
        order.sort_by(|a, b| centre(*a, axis).total_cmp(&centre(*b, axis)).then(a.cmp(b)));
        let mut behind = vec![0.0; order.len()];
        let mut grown = boxes[order[order.len() - 1]];
        for k in (1..order.len()).rev() {
            grown = join(grown, boxes[order[k]]);
            behind[k] = area(grown) * (order.len() - k) as f64;
        }
        let mut grown = boxes[order[0]];
        for (k, after) in behind.iter().enumerate().skip(1) {
            grown = join(grown, boxes[order[k - 1]]);
            let cost = area(grown) * k as f64 + after;
            if best.is_none_or(|(least, _, _)| cost < least) {
                best = Some((cost, axis, k));
            }
        }
    }
    let (cost, axis, at) = best?;
    // A box costs about as much as a triangle.
    if cost + area(own) >= area(own) * order.len() as f64 && order.len() <= 4 * LEAF {
        return None;
    }
    order.sort_by(|a, b| centre(*a, axis).total_cmp(&centre(*b, axis)).then(a.cmp(b)));
    Some(at)
}

/// Whether a ray meets a box (slabs: Kay & Kajiya, SIGGRAPH 1986). A ray along a face gives 0 times infinity, which the
/// comparisons leave out: the box is then entered, which costs time and never an answer.
fn meets(node: &Node, from: V3, inverse: V3, far: f64) -> bool {
    let (mut enter, mut leave) = (0.0_f64, far);
    for axis in 0..3 {
        let a = (node.low[axis] - from[axis]) * inverse[axis];
        let b = (node.high[axis] - from[axis]) * inverse[axis];
        let (near, off) = if a < b { (a, b) } else { (b, a) };
        if near > enter {
            enter = near;
        }
        if off < leave {
            leave = off;
        }
    }
    // A hair of room for what rounding took.
    enter <= leave * (1.0 + 1e-12) + 1e-12
}

impl Triangle {
    fn hit(&self, from: V3, along: V3, far: f64) -> bool {
        let p = cross(along, self.other);
        let det = dot(self.side, p);
        let to = sub(from, self.corner);
        let q = cross(to, self.side);
        // Divided out: with the sign of the determinant, everything is compared to its size.
        let (size, sign) = if det < 0.0 { (-det, -1.0) } else { (det, 1.0) };
        let slack = size * EDGE;
        let (u, v) = (dot(to, p) * sign, dot(along, q) * sign);
        let t = dot(self.other, q) * sign;
        size > 0.0 && u >= -slack && v >= -slack && u + v <= size + slack && t > 0.0 && t < far * size
    }
}

/// A place a little way out from the surface, where a ray can start without meeting the flat triangles that stand for
/// the bent surface under it.
pub fn lifted(place: V3, normal: V3) -> V3 {
    add(place, normal.map(|c| c * LIFT_M))
}

/// How far a flat triangle of the grid may lie above the bent surface, metres.
const LIFT_M: f64 = 0.01;

#[cfg(test)]
mod tests;
