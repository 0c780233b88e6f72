//! A panel map as SVG: plain lines, one weight for outlines and a thinner one for the rest. Pure.
//!
//! SVG path data: W3C SVG 1.1, section 8.3.

use std::fmt::Write;

use super::map::{Outline, PanelMap, Weight};

/// Path data of a polyline.
fn path(points: &[(f64, f64)], closed: bool) -> String {
    let mut d = String::with_capacity(points.len() * 12);
    for (k, p) in points.iter().enumerate() {
        // Writing to a string cannot fail.
        let _ = write!(d, "{}{} {}", if k == 0 { 'M' } else { 'L' }, short(p.0), short(p.1));
    }
    if closed {
        d.push('Z');
    }
    d
}

/// Two decimals at most, none where there is nothing behind the point.
fn short(v: f64) -> String {
    let text = format!("{:.2}", v);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

impl Outline {
    /// The line as SVG path data.
    pub fn d(&self) -> String {
        path(&self.points, self.closed)
    }
}

impl PanelMap {
    /// SVG path data round a part, one closed piece for each view that shows it; none where this sheet does not.
    pub fn panel_path(&self, panel: &str) -> Option<String> {
        let pieces: Vec<String> = self.panel_polygons(panel).iter().map(|p| path(p, true)).collect();
        if pieces.is_empty() { None } else { Some(pieces.concat()) }
    }

    /// SVG path data of all lines of a weight.
    pub fn lines_path(&self, weight: Weight) -> String {
        self.outlines.iter().filter(|o| o.weight == weight).map(|o| path(&o.points, o.closed)).collect()
    }

    /// The plain line drawing as an SVG document `width_mm` wide on paper, in the current text colour, without words.
    pub fn svg(&self, width_mm: f64) -> String {
        let mut out = String::new();
        let height_mm = width_mm * self.height / self.width;
        let _ = write!(
            out,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {} {}\" width=\"{}mm\" height=\"{}mm\">",
            short(self.width),
            short(self.height),
            short(width_mm),
            short(height_mm)
        );
        out.push_str(&self.svg_lines());
        out.push_str("</svg>");
        out
    }

    /// The drawing as an SVG group, to be laid into a larger picture.
    pub fn svg_lines(&self) -> String {
        let mut out = String::new();
        out.push_str(
            "<g fill=\"none\" stroke=\"currentColor\" stroke-linecap=\"round\" stroke-linejoin=\"round\">",
        );
        let thin = self.lines_path(Weight::Shut) + &self.lines_path(Weight::Detail);
        let _ = write!(out, "<path stroke-width=\"0.7\" d=\"{thin}\"/>");
        let _ = write!(out, "<path stroke-width=\"1.6\" d=\"{}\"/>", self.lines_path(Weight::Outline));
        for c in &self.callouts {
            let corners =
                [(c.x, c.y), (c.x + c.width, c.y), (c.x + c.width, c.y + c.height), (c.x, c.y + c.height)];
            let _ = write!(
                out,
                "<path stroke-width=\"0.7\" d=\"{}{}\"/>",
                path(&corners, true),
                path(&c.leader, false)
            );
            if let Some(tip) = c.leader.first() {
                let (x, y) = (short(tip.0), short(tip.1));
                let _ = write!(
                    out,
                    "<circle cx=\"{x}\" cy=\"{y}\" r=\"1.6\" fill=\"currentColor\" stroke=\"none\"/>"
                );
            }
        }
        out.push_str("</g>");
        out
    }
}
