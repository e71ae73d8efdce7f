//! A plan as an SVG drawing.
//!
//! One unit is one metre, so the drawing is to scale at any size. Colours come
//! from the page (`currentColor` and classes), so both themes and print work.
//! The same plan always gives the same text.

use alloc::string::String;
use core::fmt::Write;

use libm::{atan2, round};

use super::plan::{Kind, Outline, Plan};
use super::shape::Point;
use super::tape::Units;

/// The plan as one SVG element.
#[must_use]
pub fn svg(plan: &Plan, units: Units) -> String {
    let mut out = String::new();
    // Writing into a string cannot fail.
    let _ = write_svg(plan, units, &mut out);
    out
}

/// A coordinate in millimetres of precision, without a negative zero.
fn num(v: f64) -> f64 {
    let r = round(v * 1000.0) / 1000.0;
    if r == 0.0 { 0.0 } else { r }
}

fn write_svg(plan: &Plan, units: Units, out: &mut String) -> core::fmt::Result {
    let (lo, hi) = (plan.low, plan.high);
    let (w, h) = (hi.x - lo.x, hi.y - lo.y);
    let letter = (w.max(h) / 29.0).max(0.5);
    writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"court-plan\" viewBox=\"{} {} {} {}\" role=\"img\" aria-label=\"Plan of the court, to scale\" fill=\"none\" stroke=\"currentColor\" stroke-linejoin=\"round\" stroke-linecap=\"round\" stroke-width=\"0.08\" font-size=\"{}\">",
        num(lo.x),
        num(-hi.y),
        num(w),
        num(h),
        num(letter)
    )?;
    // One group, so that overlapping run-offs do not add up to darker ground.
    writeln!(out, "<g class=\"run-off\" opacity=\"0.16\">")?;
    for o in plan.outlines.iter().filter(|o| o.kind == Kind::RunOff) {
        shape(o, "fill=\"currentColor\"", out)?;
    }
    writeln!(out, "</g>")?;
    for o in plan.outlines.iter().filter(|o| o.kind != Kind::RunOff) {
        let look = match o.kind {
            Kind::Space => "stroke-width=\"0.14\" stroke-dasharray=\"0.6 0.4\"",
            Kind::Obstacle => "fill=\"currentColor\" fill-opacity=\"0.5\"",
            Kind::NoHitZone => "fill=\"currentColor\" fill-opacity=\"0.12\" stroke=\"none\"",
            Kind::Infield => "stroke-width=\"0.05\" stroke-dasharray=\"0.2 0.3\"",
            Kind::Fence => "stroke-width=\"0.2\"",
            Kind::SafeArea => "fill=\"currentColor\" fill-opacity=\"0.25\"",
            Kind::Base => "fill=\"currentColor\"",
            Kind::FoulHalf => "fill=\"currentColor\" fill-opacity=\"0.6\"",
            _ => "",
        };
        shape(o, look, out)?;
    }
    writeln!(out, "<g class=\"dimensions\" stroke-width=\"0.04\">")?;
    for d in &plan.dimensions {
        let (a, b) = (d.from, d.to);
        writeln!(
            out,
            "<path class=\"dimension\" d=\"M{} {}L{} {}\"/>",
            num(a.x),
            num(-a.y),
            num(b.x),
            num(-b.y)
        )?;
        let along = b.minus(a);
        let tick = along.left().times(0.25 / along.length().max(1e-9));
        for end in [a, b] {
            let (p, q) = (end.plus(tick), end.minus(tick));
            writeln!(
                out,
                "<path class=\"tick\" d=\"M{} {}L{} {}\"/>",
                num(p.x),
                num(-p.y),
                num(q.x),
                num(-q.y)
            )?;
        }
        let middle = a.plus(b).times(0.5);
        // Never upside down.
        let mut angle = -atan2(along.y, along.x).to_degrees();
        if angle > 90.0 {
            angle -= 180.0;
        } else if angle <= -90.0 {
            angle += 180.0;
        }
        writeln!(
            out,
            "<text class=\"length\" transform=\"translate({} {}) rotate({})\" y=\"{}\" text-anchor=\"middle\" fill=\"currentColor\" stroke=\"none\">{}</text>",
            num(middle.x),
            num(-middle.y),
            num(angle),
            num(-letter * 0.3),
            d.length.show(units)
        )?;
    }
    writeln!(out, "</g>")?;
    for l in &plan.labels {
        text(l.at, "label", &l.text, out)?;
    }
    if let Some(at) = plan.sun {
        writeln!(
            out,
            "<circle class=\"sun\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
            num(at.x),
            num(-at.y),
            num(letter * 1.4)
        )?;
        text(at, "label", "sun", out)?;
    }
    out.push_str("</svg>");
    Ok(())
}

fn text(at: Point, class: &str, words: &str, out: &mut String) -> core::fmt::Result {
    // All words are ours: letters, digits, commas and spaces.
    writeln!(
        out,
        "<text class=\"{class}\" x=\"{}\" y=\"{}\" text-anchor=\"middle\" dominant-baseline=\"middle\" fill=\"currentColor\" stroke=\"none\">{words}</text>",
        num(at.x),
        num(-at.y)
    )
}

fn shape(o: &Outline, look: &str, out: &mut String) -> core::fmt::Result {
    if let ([p], true) = (o.points.as_slice(), o.grow > 0.0) {
        return writeln!(
            out,
            "<circle class=\"{}\" cx=\"{}\" cy=\"{}\" r=\"{}\" {look}/>",
            o.kind.word(),
            num(p.x),
            num(-p.y),
            num(o.grow)
        );
    }
    write!(out, "<path class=\"{}\" d=\"", o.kind.word())?;
    for (i, p) in o.points.iter().enumerate() {
        let letter = if i == 0 { 'M' } else { 'L' };
        write!(out, "{letter}{} {}", num(p.x), num(-p.y))?;
    }
    if o.closed {
        out.push('Z');
    }
    out.push('"');
    if o.grow > 0.0 {
        // A stroke twice as wide as the margin grows a shape with round corners.
        write!(out, " stroke-width=\"{}\"", num(o.grow * 2.0))?;
    }
    if !look.is_empty() {
        write!(out, " {look}")?;
    }
    out.push_str("/>\n");
    Ok(())
}
