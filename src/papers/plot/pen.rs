//! What all drawings are made with: the sheet, lines, hatching, markers, words.

use plotters::coord::Shift;
use plotters::element::DashedPathElement;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

/// Width of every drawing.
pub(super) const WIDTH: f64 = 720.0;
/// Height of the letters, and of those that say less.
pub(super) const LETTER: f64 = 13.0;
pub(super) const SMALL: f64 = 12.0;

pub(super) const INK: RGBColor = RGBColor(0, 0, 0);
pub(super) const GREY: RGBColor = RGBColor(110, 110, 110);
pub(super) const PALE: RGBColor = RGBColor(215, 215, 215);
const PAPER: RGBColor = RGBColor(255, 255, 255);

pub(super) type Point = (f64, f64);

/// How a line is drawn: its dashes tell it apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Dash {
    Whole,
    Long,
    Short,
    Dots,
}

impl Dash {
    pub(super) fn nth(n: usize) -> Dash {
        [Dash::Whole, Dash::Long, Dash::Short, Dash::Dots][n % 4]
    }
}

/// A mark on a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mark {
    Dot,
    Ring,
    Square,
    Diamond,
    Triangle,
}

impl Mark {
    pub(super) fn nth(n: usize) -> Mark {
        [
            Mark::Dot,
            Mark::Square,
            Mark::Triangle,
            Mark::Ring,
            Mark::Diamond,
        ][n % 5]
    }
}

/// What fills an area.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fill {
    /// Only the outline.
    Plain,
    Hatched,
    Solid,
}

/// Where the words stand to their point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    Start,
    Middle,
    End,
}

pub(super) struct Pen<'a> {
    area: DrawingArea<SVGBackend<'a>, Shift>,
}

/// A drawing of this height: its title, what it shows in words, and what is drawn.
pub(super) fn drawing(height: f64, title: &str, words: &str, draw: impl FnOnce(&Pen)) -> String {
    let mut made = String::new();
    {
        let area = SVGBackend::with_string(&mut made, (WIDTH as u32, height.ceil() as u32))
            .into_drawing_area();
        let pen = Pen { area };
        draw(&pen);
        pen.area.present().expect(MEMORY);
    }
    let (_, inside) = made.split_once('>').expect("a drawing begins with its tag");
    let inside = inside.strip_suffix('\n').unwrap_or(inside);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" viewBox=\"0 0 {} {}\" width=\"100%\">\n<title>{}</title>\n<desc>{}</desc>{inside}",
        WIDTH,
        height.ceil(),
        escaped(title),
        escaped(words),
    )
}

const MEMORY: &str = "a drawing goes into memory";

impl Pen<'_> {
    pub(super) fn line(&self, points: &[Point], dash: Dash, width: u32, ink: RGBColor) {
        let style = ink.stroke_width(width);
        let points: Vec<(i32, i32)> = points.iter().map(|p| at(*p)).collect();
        if points.len() < 2 {
            return;
        }
        let (on, off) = match dash {
            Dash::Whole => {
                return self
                    .area
                    .draw(&PathElement::new(points, style))
                    .expect(MEMORY);
            }
            Dash::Long => (12, 5),
            Dash::Short => (5, 4),
            Dash::Dots => (2, 4),
        };
        self.area
            .draw(&DashedPathElement::new(points, on, off, style))
            .expect(MEMORY);
    }

    /// A rectangle between two corners, with its outline.
    pub(super) fn area(&self, from: Point, to: Point, fill: Fill) {
        self.ground(from, to, fill);
        self.area
            .draw(&Rectangle::new([at(from), at(to)], INK.stroke_width(1)))
            .expect(MEMORY);
    }

    /// A rectangle without its outline.
    pub(super) fn ground(&self, from: Point, to: Point, fill: Fill) {
        let ink = if fill == Fill::Solid { GREY } else { PAPER };
        self.area
            .draw(&Rectangle::new([at(from), at(to)], ink.filled()))
            .expect(MEMORY);
        if fill == Fill::Hatched {
            self.hatch(from, to, 6.0, GREY);
        }
    }

    /// A pale band behind everything else.
    pub(super) fn band(&self, from: Point, to: Point) {
        self.area
            .draw(&Rectangle::new([at(from), at(to)], PALE.mix(0.6).filled()))
            .expect(MEMORY);
    }

    /// Slanting lines inside a rectangle.
    pub(super) fn hatch(&self, from: Point, to: Point, step: f64, ink: RGBColor) {
        let (left, right) = (from.0.min(to.0), from.0.max(to.0));
        let (top, bottom) = (from.1.min(to.1), from.1.max(to.1));
        let high = bottom - top;
        // Each runs from the bottom edge up to the right; the anchor keeps neighbouring areas in step.
        let mut x = ((left - high) / step).ceil() * step;
        while x < right {
            let (from_x, to_x) = (x.max(left), (x + high).min(right));
            if to_x > from_x {
                self.line(
                    &[(from_x, bottom - (from_x - x)), (to_x, bottom - (to_x - x))],
                    Dash::Whole,
                    1,
                    ink,
                );
            }
            x += step;
        }
    }

    pub(super) fn mark(&self, p: Point, mark: Mark) {
        let shape = |d: &[(f64, f64)]| -> Vec<(i32, i32)> {
            d.iter().map(|d| at((p.0 + d.0, p.1 + d.1))).collect()
        };
        match mark {
            Mark::Dot => self
                .area
                .draw(&Circle::new(at(p), 4, INK.filled()))
                .expect(MEMORY),
            Mark::Ring => {
                self.area
                    .draw(&Circle::new(at(p), 4, PAPER.filled()))
                    .expect(MEMORY);
                self.area
                    .draw(&Circle::new(at(p), 4, INK.stroke_width(2)))
                    .expect(MEMORY);
            }
            Mark::Square => self
                .area
                .draw(&Polygon::new(
                    shape(&[(-4.0, -4.0), (4.0, -4.0), (4.0, 4.0), (-4.0, 4.0)]),
                    INK.filled(),
                ))
                .expect(MEMORY),
            Mark::Diamond => self
                .area
                .draw(&Polygon::new(
                    shape(&[(0.0, -5.0), (5.0, 0.0), (0.0, 5.0), (-5.0, 0.0)]),
                    INK.filled(),
                ))
                .expect(MEMORY),
            Mark::Triangle => self
                .area
                .draw(&Polygon::new(
                    shape(&[(0.0, -5.0), (5.0, 4.0), (-5.0, 4.0)]),
                    INK.filled(),
                ))
                .expect(MEMORY),
        }
    }

    /// An arrow head that points down at `p`.
    pub(super) fn arrow_down(&self, p: Point) {
        let head = vec![
            at(p),
            at((p.0 - 4.0, p.1 - 8.0)),
            at((p.0 + 4.0, p.1 - 8.0)),
        ];
        self.area
            .draw(&Polygon::new(head, INK.filled()))
            .expect(MEMORY);
    }

    /// An arrow head that points sideways at `p`: to the right, or to the left.
    pub(super) fn arrow_aside(&self, p: Point, right: bool) {
        let back = if right { -8.0 } else { 8.0 };
        let head = vec![
            at(p),
            at((p.0 + back, p.1 - 4.0)),
            at((p.0 + back, p.1 + 4.0)),
        ];
        self.area
            .draw(&Polygon::new(head, INK.filled()))
            .expect(MEMORY);
    }

    /// Words with the middle of their height at the point.
    pub(super) fn words(&self, text: &str, p: Point, side: Side, size: f64) {
        self.write(text, p, side, size, FontStyle::Normal);
    }

    pub(super) fn bold(&self, text: &str, p: Point, side: Side, size: f64) {
        self.write(text, p, side, size, FontStyle::Bold);
    }

    /// Words on a ground of paper, where lines run behind them.
    pub(super) fn words_over(&self, text: &str, p: Point, side: Side, size: f64) {
        let wide = width(text, size) + 4.0;
        let left = match side {
            Side::Start => p.0 - 2.0,
            Side::Middle => p.0 - wide / 2.0,
            Side::End => p.0 - wide + 2.0,
        };
        let ground = [
            at((left, p.1 - size * 0.6)),
            at((left + wide, p.1 + size * 0.6)),
        ];
        self.area
            .draw(&Rectangle::new(ground, PAPER.filled()))
            .expect(MEMORY);
        self.words(text, p, side, size);
    }

    fn write(&self, text: &str, p: Point, side: Side, size: f64, style: FontStyle) {
        let h = match side {
            Side::Start => HPos::Left,
            Side::Middle => HPos::Center,
            Side::End => HPos::Right,
        };
        // The backend divides the size by 1.24.
        let font = FontDesc::new(FontFamily::SansSerif, size * 1.24, style);
        let style = TextStyle::from(font)
            .color(&INK)
            .pos(Pos::new(h, VPos::Center));
        self.area
            .draw(&Text::new(printable(text), at(p), style))
            .expect(MEMORY);
    }
}

fn at(p: Point) -> (i32, i32) {
    (p.0.round() as i32, p.1.round() as i32)
}

/// Estimated width of a line of words. It is a little wide, because the reader's font is not known.
pub(super) fn width(text: &str, size: f64) -> f64 {
    let one = |c: char| match c {
        'i' | 'j' | 'l' | 't' | 'f' | 'r' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | '!'
        | '(' | ')' | '[' | ']' | '/' | ' ' | '-' => 0.36,
        'm' | 'w' | 'M' | 'W' | '%' | '@' => 0.92,
        '\u{2066}'..='\u{2069}' => 0.0,
        'A'..='Z' | '&' | '<' | '>' => 0.72,
        c if c >= '\u{1100}' => 1.05,
        _ => 0.59,
    };
    text.chars().map(one).sum::<f64>() * size
}

/// Cut to a width, with the sign for what is left out.
pub(super) fn cut(text: &str, room: f64, size: f64) -> String {
    let text = text.trim();
    if width(text, size) <= room {
        return text.to_owned();
    }
    let mut out = String::new();
    for c in text.chars() {
        out.push(c);
        if width(&out, size) + size > room {
            out.pop();
            break;
        }
    }
    out.truncate(out.trim_end().len());
    out.push('…');
    out
}

/// Broken into lines of a width, so many at the most.
pub(super) fn broken(text: &str, room: f64, size: f64, lines: usize) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut words = text.split_whitespace().peekable();
    while let Some(word) = words.peek() {
        let joined = out
            .last()
            .map(|line| format!("{line} {word}"))
            .filter(|joined| width(joined, size) <= room);
        if let (Some(joined), Some(line)) = (joined, out.last_mut()) {
            *line = joined;
        } else if out.len() < lines {
            out.push((*word).to_owned());
        } else {
            break;
        }
        words.next();
    }
    if words.peek().is_some()
        && let Some(last) = out.last_mut()
    {
        // The sign of the cut needs room of its own.
        *last = cut(
            &format!("{last} {}", words.collect::<Vec<_>>().join(" ")),
            room,
            size,
        );
    }
    for line in &mut out {
        *line = cut(line, room, size);
    }
    out
}

/// A name inside other words: one that runs from right to left keeps to itself.
pub(super) fn name(text: &str) -> String {
    let from_the_right = |c: char| matches!(c, '\u{590}'..='\u{8FF}' | '\u{FB1D}'..='\u{FDFF}' | '\u{FE70}'..='\u{FEFF}' | '\u{10800}'..='\u{10FFF}' | '\u{1E800}'..='\u{1EFFF}');
    if text.chars().any(from_the_right) {
        format!("\u{2068}{text}\u{2069}")
    } else {
        text.to_owned()
    }
}

/// Without what XML does not bear, on one line.
fn printable(text: &str) -> String {
    text.chars()
        .map(|c| {
            if c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}') {
                ' '
            } else {
                c
            }
        })
        .collect()
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in printable(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c => out.push(c),
        }
    }
    out
}

/// A number as a maker reads it: so many places at the most, no zeros at the end.
pub(super) fn number(n: f64, places: usize) -> String {
    let shown = format!("{n:.places$}");
    let shown = if shown.contains('.') {
        shown.trim_end_matches('0').trim_end_matches('.')
    } else {
        &shown
    };
    if shown == "-0" {
        "0".to_owned()
    } else {
        shown.to_owned()
    }
}

/// "5 to 5.5", or the one number.
pub(super) fn span(low: f64, high: f64, places: usize) -> String {
    let (low, high) = (number(low, places), number(high, places));
    if low == high {
        low
    } else {
        format!("{low} to {high}")
    }
}
