//! A frame with two axes, and where a pair of figures lies in it.

use super::pen::{Dash, GREY, INK, PALE, Pen, Point, SMALL, Side, number};
use plotters::coord::ranged1d::Ranged;
use plotters::coord::types::RangedCoordf64;
use std::ops::Range;

pub(super) struct Frame {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
    x: RangedCoordf64,
    y: RangedCoordf64,
}

impl Frame {
    /// `x` and `y` are what the figures run over; an empty run is widened.
    pub(super) fn new(
        left: f64,
        right: f64,
        top: f64,
        bottom: f64,
        x: Range<f64>,
        y: Range<f64>,
    ) -> Frame {
        let sound = |r: Range<f64>| {
            if r.end > r.start {
                r
            } else {
                r.start - 0.5..r.start + 0.5
            }
        };
        Frame {
            left,
            right,
            top,
            bottom,
            x: sound(x).into(),
            y: sound(y).into(),
        }
    }

    pub(super) fn x(&self, value: f64) -> f64 {
        // The library maps to whole units.
        f64::from(self.x.map(&value, (self.left as i32, self.right as i32)))
            .clamp(self.left, self.right)
    }

    pub(super) fn y(&self, value: f64) -> f64 {
        f64::from(self.y.map(&value, (self.bottom as i32, self.top as i32)))
            .clamp(self.top, self.bottom)
    }

    pub(super) fn at(&self, x: f64, y: f64) -> Point {
        (self.x(x), self.y(y))
    }

    /// The frame, pale lines across, and the figures at the left.
    pub(super) fn draw_y(&self, pen: &Pen, ticks: usize, title: &str) {
        for value in self.y.key_points(ticks) {
            let y = self.y(value);
            pen.line(&[(self.left, y), (self.right, y)], Dash::Whole, 1, PALE);
            pen.line(&[(self.left - 4.0, y), (self.left, y)], Dash::Whole, 1, INK);
            pen.words(&number(value, 2), (self.left - 8.0, y), Side::End, SMALL);
        }
        pen.line(
            &[
                (self.left, self.top),
                (self.left, self.bottom),
                (self.right, self.bottom),
            ],
            Dash::Whole,
            1,
            INK,
        );
        pen.words(title, (4.0, self.top - 16.0), Side::Start, SMALL);
    }

    /// The figures below, and what they are.
    pub(super) fn draw_x(&self, pen: &Pen, ticks: usize, title: &str) {
        for value in self.x.key_points(ticks) {
            let x = self.x(value);
            pen.line(
                &[(x, self.bottom), (x, self.bottom + 4.0)],
                Dash::Whole,
                1,
                INK,
            );
            pen.words(
                &number(value, 3),
                (x, self.bottom + 14.0),
                Side::Middle,
                SMALL,
            );
        }
        pen.line(
            &[(self.left, self.bottom), (self.right, self.bottom)],
            Dash::Whole,
            1,
            INK,
        );
        pen.words(
            title,
            ((self.left + self.right) / 2.0, self.bottom + 32.0),
            Side::Middle,
            SMALL,
        );
    }

    /// Pale lines upright at the figures of the axis.
    pub(super) fn grid_x(&self, pen: &Pen, ticks: usize) {
        for value in self.x.key_points(ticks) {
            pen.line(
                &[(self.x(value), self.top), (self.x(value), self.bottom)],
                Dash::Whole,
                1,
                PALE,
            );
        }
    }

    /// A band from one value of x to another over the whole height, its edges dashed.
    pub(super) fn band_x(&self, pen: &Pen, low: f64, high: f64) {
        if high > low {
            pen.band((self.x(low), self.top), (self.x(high), self.bottom));
        }
        for value in [low, high] {
            pen.line(
                &[
                    (self.x(value), self.top - 4.0),
                    (self.x(value), self.bottom),
                ],
                Dash::Short,
                2,
                GREY,
            );
        }
    }

    /// The same of y over the whole width.
    pub(super) fn band_y(&self, pen: &Pen, low: f64, high: f64) {
        if high > low {
            pen.band((self.left, self.y(high)), (self.right, self.y(low)));
        }
        for value in [low, high] {
            pen.line(
                &[(self.left, self.y(value)), (self.right, self.y(value))],
                Dash::Short,
                2,
                GREY,
            );
        }
    }
}
