//! A synthetic camera: a screen showing a code, seen tilted, turned, out of
//! focus, unevenly lit and with sensor noise.

use fastrand::Rng;

/// How the camera sees the screen.
#[derive(Clone, Copy, Debug)]
pub struct Shot {
    /// Frame width, pixels.
    pub width: usize,
    /// Frame height, pixels.
    pub height: usize,
    /// Side of the code with its quiet zone, as a part of the shorter side.
    pub fill: f64,
    /// Turn, degrees.
    pub turn: f64,
    /// Tilt towards or away, degrees; perspective at an arm's length.
    pub tilt: f64,
    /// Gaussian blur, deviation in camera pixels.
    pub blur: f64,
    /// Sensor noise, deviation in grey levels of 255.
    pub noise: f64,
    /// Fall of light across the frame, part of full light.
    pub shade: f64,
}

impl Shot {
    /// A steady hand and good light.
    #[must_use]
    pub fn steady(width: usize, height: usize) -> Self {
        Self {
            width,
            height,
            fill: 0.8,
            turn: 2.0,
            tilt: 3.0,
            blur: 0.8,
            noise: 4.0,
            shade: 0.1,
        }
    }

    /// Any hand: turn, tilt, distance, focus, light and noise drawn afresh.
    #[must_use]
    pub fn handheld(width: usize, height: usize, rng: &mut Rng) -> Self {
        Self {
            width,
            height,
            fill: between(rng, 0.65, 0.95),
            turn: between(rng, -15.0, 15.0),
            tilt: between(rng, -15.0, 15.0),
            blur: between(rng, 0.6, 1.4),
            noise: between(rng, 2.0, 10.0),
            shade: between(rng, 0.0, 0.4),
        }
    }
}

/// The frame the camera delivers, grey, row by row. `dark` gives a module by
/// column and row; `side` is their number, without the quiet zone.
pub fn photograph(
    side: usize,
    dark: impl Fn(usize, usize) -> bool,
    shot: &Shot,
    rng: &mut Rng,
) -> Vec<u8> {
    const FINE: usize = 2;
    let (w, h) = (shot.width, shot.height);
    let span = side as f64 + 8.0;
    let pixels = shot.fill * w.min(h) as f64;
    let (sin, cos) = shot.turn.to_radians().sin_cos();
    let (tilt_sin, tilt_cos) = shot.tilt.to_radians().sin_cos();
    let centre = (between(rng, -0.03, 0.03), between(rng, -0.03, 0.03));
    let mut frame = vec![0f32; w * h];
    for y in 0..h {
        for x in 0..w {
            let mut sum = 0.0;
            for sub in 0..FINE * FINE {
                let px = x as f64 + ((sub % FINE) as f64 + 0.5) / FINE as f64;
                let py = y as f64 + ((sub / FINE) as f64 + 0.5) / FINE as f64;
                let u = (px - w as f64 / 2.0) / pixels - centre.0;
                let v = (py - h as f64 / 2.0) / pixels - centre.1;
                let (a, b) = (cos * u + sin * v, cos * v - sin * u);
                // The screen turned about its level axis, the eye 1.6 sides away.
                let depth = 1.6;
                let b = b * depth / (depth * tilt_cos - b * tilt_sin);
                let a = a * (depth + b * tilt_sin) / depth;
                let (mx, my) = ((a + 0.5) * span - 4.0, (b + 0.5) * span - 4.0);
                sum += if mx < -4.0 || my < -4.0 || mx > span - 4.0 || my > span - 4.0 {
                    70.0
                } else if mx < 0.0 || my < 0.0 || mx >= side as f64 || my >= side as f64 {
                    215.0
                } else if dark(mx as usize, my as usize) {
                    40.0
                } else {
                    215.0
                };
            }
            frame[y * w + x] = (sum / (FINE * FINE) as f64) as f32;
        }
    }
    blur(&mut frame, w, h, shot.blur);
    frame
        .iter()
        .enumerate()
        .map(|(i, grey)| {
            let across = (i % w) as f64 / w as f64 * 0.7 + (i / w) as f64 / h as f64 * 0.3;
            let lit = f64::from(*grey) * (1.0 - shot.shade * across);
            (lit + normal(rng) * shot.noise).clamp(0.0, 255.0) as u8
        })
        .collect()
}

/// A number between two.
pub fn between(rng: &mut Rng, low: f64, high: f64) -> f64 {
    low + (high - low) * rng.f64()
}

/// About normal, mean 0 and deviation 1 (sum of twelve uniforms).
pub fn normal(rng: &mut Rng) -> f64 {
    (0..12).map(|_| rng.f64()).sum::<f64>() - 6.0
}

/// Gaussian, along rows and then along columns.
fn blur(frame: &mut [f32], w: usize, h: usize, deviation: f64) {
    let reach = (deviation * 3.0).ceil() as isize;
    if reach < 1 {
        return;
    }
    let weights: Vec<f32> = (-reach..=reach)
        .map(|d| (-(d * d) as f64 / (2.0 * deviation * deviation)).exp() as f32)
        .collect();
    let total: f32 = weights.iter().sum();
    let pass = |from: &[f32], step: usize, length: usize, at: usize, base: usize| -> f32 {
        let mut sum = 0.0;
        for (k, weight) in weights.iter().enumerate() {
            let i = (at as isize + k as isize - reach).clamp(0, length as isize - 1);
            sum += weight * from[base + i as usize * step];
        }
        sum / total
    };
    let source = frame.to_vec();
    for y in 0..h {
        for x in 0..w {
            frame[y * w + x] = pass(&source, 1, w, x, y * w);
        }
    }
    let source = frame.to_vec();
    for y in 0..h {
        for x in 0..w {
            frame[y * w + x] = pass(&source, w, h, y, x);
        }
    }
}
