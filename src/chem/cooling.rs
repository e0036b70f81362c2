//! When it is cool enough, from a few readings of the thermometer.
//!
//! Shapes: readings (minutes on any clock, °C), the room (°C) if it was measured; the time out, on the same
//! clock, with a spread. Method: Newton's law: T = room + A exp(−k t). With the room known, a weighted
//! straight line through ln(T − room); with three or more readings and an unknown room, the room at which
//! that line fits best. Weights follow from a thermometer that is good to [`THERMOMETER_C`]; the spread is
//! two standard errors of the time, with the room's own uncertainty ([`ROOM_C`] where it was measured).
//!
//! Range: one vessel left to itself: stirred alike throughout, no water bath, no lid put on in between.
//! Refused: a target at or below the room, readings that do not fall, a room that the readings cannot tell.
//! Left out: the heat that waxes and butters give off as they set, which holds the pot warm for longer.

use super::ChemError;
use super::root::lowest;

/// What a kitchen thermometer is good to, °C (one standard error).
pub const THERMOMETER_C: f64 = 0.5;
/// What a measured room is good to over the time, °C (one standard error).
pub const ROOM_C: f64 = 1.0;
/// A fitted room that is less certain than this tells nothing, °C.
const ROOM_LOST_C: f64 = 10.0;

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    pub minutes: f64,
    pub celsius: f64,
}

/// A fitted cooling curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Cooling {
    pub room_celsius: f64,
    pub room_fitted: bool,
    /// One standard error of the room, °C.
    pub room_error: f64,
    /// k, per minute.
    pub rate_per_minute: f64,
    readings: Vec<Reading>,
}

/// A time on the clock of the readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Time {
    pub minutes: f64,
    pub earliest: f64,
    pub latest: f64,
}

/// Fits the curve; `room_celsius` none where it was not measured.
pub fn fit(readings: &[Reading], room_celsius: Option<f64>) -> Result<Cooling, ChemError> {
    check(readings)?;
    let coolest = readings
        .iter()
        .map(|r| r.celsius)
        .fold(f64::INFINITY, f64::min);
    let (room, error) = match room_celsius {
        Some(room) if !(-20.0..=60.0).contains(&room) => {
            return Err(ChemError::new("a room has between -20 and 60 °C"));
        }
        Some(room) if room >= coolest - 1.0 => {
            return Err(ChemError::new(
                "it is as cool as the room already: there is nothing left to fall",
            ));
        }
        Some(room) => (room, ROOM_C),
        None => fitted_room(readings, coolest)?,
    };
    let line = line(readings, room)?;
    Ok(Cooling {
        room_celsius: room,
        room_fitted: room_celsius.is_none(),
        room_error: error,
        rate_per_minute: line.rate,
        readings: readings.to_vec(),
    })
}

impl Cooling {
    /// °C at a time.
    pub fn at(&self, minutes: f64) -> Result<f64, ChemError> {
        let line = line(&self.readings, self.room_celsius)?;
        let celsius = self.room_celsius + super::exp(line.start - line.rate * minutes);
        if celsius.is_finite() {
            Ok(celsius)
        } else {
            Err(ChemError::new("that time lies too far away"))
        }
    }

    /// When it has cooled to a temperature.
    pub fn reaches(&self, celsius: f64) -> Result<Time, ChemError> {
        if !celsius.is_finite() || celsius <= self.room_celsius + 0.5 {
            return Err(ChemError::new(
                "left to itself it does not get cooler than the room",
            ));
        }
        let line = line(&self.readings, self.room_celsius)?;
        let minutes = line.time(self.room_celsius, celsius);
        // d(time) by the start is 1/k, by the rate −time/k; start and rate are fitted together.
        let by_line = (line.start_variance + minutes * minutes * line.rate_variance
            - 2.0 * minutes * line.covariance)
            / (line.rate * line.rate);
        let by_room = self.by_room(celsius, minutes);
        let spread = 2.0 * (by_line.max(0.0) + by_room * by_room).sqrt();
        if !minutes.is_finite() || !spread.is_finite() {
            return Err(ChemError::new(
                "the readings are too close together to tell",
            ));
        }
        Ok(Time {
            minutes,
            earliest: minutes - spread,
            latest: minutes + spread,
        })
    }

    /// How many minutes one standard error of the room makes.
    fn by_room(&self, celsius: f64, minutes: f64) -> f64 {
        let coolest = self
            .readings
            .iter()
            .map(|r| r.celsius)
            .fold(f64::INFINITY, f64::min);
        let off = |step: f64| {
            // A room that warm would never let it get there: the nearest one that does stands in for it.
            let room = (self.room_celsius + step)
                .min(celsius - 0.25)
                .min(coolest - 0.25);
            line(&self.readings, room).map_or(0.0, |l| (l.time(room, celsius) - minutes).abs())
        };
        off(self.room_error).max(off(-self.room_error))
    }
}

/// ln(T − room) = start − rate × minutes, with the errors of both.
struct Line {
    start: f64,
    rate: f64,
    start_variance: f64,
    rate_variance: f64,
    covariance: f64,
    /// Weighted squares of what is left over.
    misfit: f64,
}

impl Line {
    fn time(&self, room: f64, celsius: f64) -> f64 {
        (self.start - super::ln(celsius - room)) / self.rate
    }
}

fn line(readings: &[Reading], room: f64) -> Result<Line, ChemError> {
    let points: Vec<(f64, f64, f64)> = readings
        .iter()
        .map(|r| {
            let above = r.celsius - room;
            (r.minutes, super::ln(above), (above / THERMOMETER_C).powi(2))
        })
        .collect();
    let sum = |f: &dyn Fn(&(f64, f64, f64)) -> f64| points.iter().map(f).sum::<f64>();
    let (w, t, y) = (sum(&|p| p.2), sum(&|p| p.2 * p.0), sum(&|p| p.2 * p.1));
    let (tt, ty) = (sum(&|p| p.2 * p.0 * p.0), sum(&|p| p.2 * p.0 * p.1));
    let determinant = w * tt - t * t;
    let slope = (w * ty - t * y) / determinant;
    let start = (tt * y - t * ty) / determinant;
    if !(slope.is_finite() && start.is_finite()) {
        return Err(ChemError::new(
            "the readings are too close together to tell",
        ));
    }
    if slope >= 0.0 {
        return Err(ChemError::new(
            "the readings do not fall: it is not cooling",
        ));
    }
    let misfit = sum(&|p| p.2 * (p.1 - start - slope * p.0).powi(2));
    // Where the readings scatter more than the thermometer explains, the spread grows with them.
    let freedom = readings.len().saturating_sub(2);
    let scatter = if freedom > 0 {
        (misfit / freedom as f64).max(1.0)
    } else {
        1.0
    };
    Ok(Line {
        start,
        rate: -slope,
        start_variance: scatter * tt / determinant,
        rate_variance: scatter * w / determinant,
        // The rate is minus the slope, so its covariance with the start is plus t/determinant.
        covariance: scatter * t / determinant,
        misfit,
    })
}

/// The room at which the readings lie straightest, and its standard error.
fn fitted_room(readings: &[Reading], coolest: f64) -> Result<(f64, f64), ChemError> {
    if readings.len() < 3 {
        return Err(ChemError::new(
            "two readings need the temperature of the room; three do without",
        ));
    }
    let misfit = |room: f64| line(readings, room).map_or(f64::NAN, |l| l.misfit);
    let (low, high) = (coolest - 150.0, coolest - 0.25);
    let room = lowest(misfit, low, high, 1e-6)?;
    let step = (0.5 * (high - room)).min(0.5);
    let bend = (misfit(room + step) + misfit(room - step) - 2.0 * misfit(room)) / (step * step);
    let freedom = readings.len().saturating_sub(3);
    let scatter = if freedom > 0 {
        (misfit(room) / freedom as f64).max(1.0)
    } else {
        1.0
    };
    let error = (2.0 * scatter / bend).sqrt();
    if !error.is_finite() || error > ROOM_LOST_C || !(-20.0..=60.0).contains(&room) {
        return Err(ChemError::new(
            "the readings do not tell the temperature of the room: measure it, or wait for more",
        ));
    }
    Ok((room, error))
}

fn check(readings: &[Reading]) -> Result<(), ChemError> {
    if readings.len() < 2 {
        return Err(ChemError::new(
            "one reading does not tell how fast it cools: take another in a few minutes",
        ));
    }
    if readings
        .iter()
        .any(|r| !(-20.0..=150.0).contains(&r.celsius) || !r.minutes.is_finite())
    {
        return Err(ChemError::new("a reading lies between -20 and 150 °C"));
    }
    if readings.windows(2).any(|w| w[1].minutes <= w[0].minutes) {
        return Err(ChemError::new(
            "the readings must stand in the order of their times",
        ));
    }
    if readings[readings.len() - 1].celsius >= readings[0].celsius {
        return Err(ChemError::new(
            "the readings do not fall: it is not cooling",
        ));
    }
    Ok(())
}
