//! Cuts of the house: screens, roof, pillars, side glass. Pure. Lines are invented; see `measure` for what they hang on.

use super::curve::Line;
use super::cut::{Cutter, From2, Tail};
use super::dual::V3;
use super::geometry::Class::{Glass, Paint, Trim};
use super::surface::Family::{End, Side, Top};

/// Half the width of the post between two side windows, and how far its top stands back.
const POST: f64 = 0.03;
const POST_LEAN: f64 = 0.07;

impl Cutter {
    pub fn cut_house(&mut self) {
        let barn = self.kit.tail == Tail::Barn;
        let edge = self.n.screen_edge.clone();
        let (low, high) = (self.n.screen_low.clone(), self.n.screen_high.clone());
        self.cut_middle("windscreen", Glass, End, [&low, &high, &edge.mirrored(), &edge]);
        let roof_edge = self.n.roof_edge.clone();
        let (rear_low, rear_high) = (self.n.rear_low.clone(), self.n.rear_high.clone());
        let rear_edge = self.n.rear_edge.clone();
        let (roof, over) = if self.kit.tail == Tail::SoftTop { ("soft-top", Trim) } else { ("roof", Paint) };
        self.cut_middle(roof, over, Top, [&roof_edge.mirrored(), &roof_edge, &rear_high, &high]);
        if self.kit.tail == Tail::Bed {
            // The cab's wall goes up to the window, not down to the bed only.
            let length = rear_edge.length();
            let (below, above) = (rear_edge.part(0.0, length * 0.36), rear_edge.part(length * 0.36, length));
            let node = below.last();
            let bow = rear_low.0[rear_low.0.len() / 2][0] - rear_low.first()[0];
            let steps = 32;
            let ledge = Line(
                (0..=steps)
                    .map(|i| f64::from(i) / f64::from(steps) * 2.0 - 1.0)
                    .map(|t| self.skin.pull([node[0] + bow * (1.0 - t * t), node[1] * t, node[2]]))
                    .collect(),
            );
            self.cut_middle("cab-back", Paint, End, [&rear_low, &ledge, &below.mirrored(), &below]);
            self.cut_middle("rear-screen", Glass, End, [&ledge, &rear_high, &above.mirrored(), &above]);
        } else if !barn {
            self.cut_middle(
                "rear-screen",
                Glass,
                End,
                [&rear_low, &rear_high, &rear_edge.mirrored(), &rear_edge],
            );
        }

        let s = &self.skin;
        let (ga, gf) = (self.n.glass_front, self.n.glass_up_front);
        let low = s.chord(&[ga, self.n.screen_foot]);
        let high = s.chord(&[gf, self.n.roof_front]);
        let front_edge = self.n.glass_front_edge.clone();
        let rear_head = s.chord(&[self.n.glass_up_rear, self.n.roof_rear]);
        let pillar_head = s.chord(&[self.n.roof_rear, self.n.glass_up_rear]);
        let glass_top = self.n.glass_top.clone();
        self.cut_left("left-a-pillar", Paint, Side, [&low, &high, &front_edge, &edge])
            .part_of("front-left-fender");
        let host = if self.kit.tail == Tail::SoftTop { "soft-top" } else { "roof" };
        self.cut_left("left-cant-rail", over, Side, [&glass_top, &roof_edge, &rear_head, &high])
            .part_of(host);
        if !barn {
            let foot = self.pillar_foot();
            let glass_rear_edge = self.n.glass_rear_edge.clone();
            let lines = [&foot, &pillar_head, &rear_edge, &glass_rear_edge];
            match self.kit.tail {
                Tail::SoftTop => self.cut_left("left-top-quarter", Trim, Side, lines).part_of("soft-top"),
                Tail::Bed => self.cut_left("left-c-pillar", Paint, Side, lines).part_of("rear-left-door"),
                _ if self.kit.third_glass && self.kit.rear_doors => {
                    self.cut_left("left-d-pillar", Paint, Side, lines).part_of("rear-left-quarter")
                }
                _ => self.cut_left("left-c-pillar", Paint, Side, lines).part_of("rear-left-quarter"),
            };
        }
        self.cut_side_glass();
        if self.kit.sunroof {
            let (x0, x1) = (self.n.roof_rear[0], self.n.roof_front[0]);
            let half = self.n.roof_front[1].min(self.n.roof_rear[1]) - 0.10;
            let span = (x0 + 0.44 * (x1 - x0), x1 - 0.09 * (x1 - x0));
            self.on_middle("sunroof", Glass, From2::Top, (half, half), span, (0.06, 0.003)).optional();
        }
    }

    /// Foot of the rearmost pillar: from the rear screen's corner along the waistline to the glass.
    pub fn pillar_foot(&self) -> Line {
        let foot = self.n.rear_foot;
        let along = self.skin.belt((foot[0] + 0.05).min(self.n.glass_end - 0.005), self.n.glass_end);
        self.skin.chord(&[foot, along.first()]).then(&along)
    }

    fn cut_side_glass(&mut self) {
        let xb = self.skin.x_front_axle - self.skin.d.x_b;
        let xc = self.skin.x_rear_axle + self.skin.d.x_c;
        let top = self.n.glass_top.clone();
        let piece = |from: f64, to: f64| top.part(top.reach(0, from), top.reach(0, to));
        if self.kit.tail == Tail::Barn {
            let post = self.post(xb, 0.0);
            let low = self.skin.belt(xb, self.n.glass_front[0]);
            let high = piece(xb - POST_LEAN, self.n.glass_up_front[0]);
            let front = self.n.glass_front_edge.clone();
            self.cut_left("front-left-door-glass", Glass, Side, [&low, &high, &post, &front]);
            return;
        }
        let mut cuts = vec![(xb, "left-b-pillar")];
        if self.kit.third_glass && self.kit.rear_doors {
            cuts.push((xc, "left-c-pillar"));
        }
        let glass = if self.kit.rear_doors {
            ["front-left-door-glass", "rear-left-door-glass", "left-quarter-glass"]
        } else {
            ["front-left-door-glass", "left-quarter-glass", "left-quarter-glass"]
        };
        let (mut hi, mut high_hi) = (self.n.glass_front[0], self.n.glass_up_front[0]);
        let mut front = self.n.glass_front_edge.clone();
        for ((x, post_id), glass_id) in cuts.iter().zip(glass) {
            let rear = self.post(*x, POST);
            let low = self.skin.belt(x + POST, hi);
            self.cut_left(
                glass_id,
                Glass,
                Side,
                [&low, &piece(x + POST - POST_LEAN, high_hi), &rear, &front],
            );
            let next = self.post(*x, -POST);
            let low = self.skin.belt(x - POST, x + POST);
            let high = piece(x - POST - POST_LEAN, x + POST - POST_LEAN);
            self.cut_left(post_id, Trim, Side, [&low, &high, &next, &rear]);
            (hi, high_hi, front) = (x - POST, x - POST - POST_LEAN, next);
        }
        if let Some(last) = glass.get(cuts.len()) {
            let low = self.skin.belt(self.n.glass_end, hi);
            let high = piece(self.n.glass_up_rear[0], high_hi);
            let rear = self.n.glass_rear_edge.clone();
            self.cut_left(last, Glass, Side, [&low, &high, &rear, &front]);
        }
    }

    /// A line up a window post: from the waistline at `x + d` to the upper edge of the glass.
    pub fn post(&self, x: f64, d: f64) -> Line {
        let foot = self.skin.waist(x + d) + 0.012;
        let head: V3 = {
            let top = &self.n.glass_top;
            let at = top.reach(0, x + d - POST_LEAN);
            top.part(at, at + 1e-4).first()
        };
        self.skin.side_line(&[(x + d, foot), (head[0], head[2])])
    }
}
