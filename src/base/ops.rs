//! Transcendental functions that give the same bits on every target.
//!
//! Everything goes through `libm`, which is plain Rust. The methods of `f64` with the same
//! names call the platform's library and may differ in the last bit, so lints forbid them.

/// e raised to `x` [1].
#[must_use]
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// e raised to `x`, less one [1]; accurate near zero.
#[must_use]
pub fn exp_m1(x: f64) -> f64 {
    libm::expm1(x)
}

/// Natural logarithm [1]; `x` > 0.
#[must_use]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// Natural logarithm of 1 + `x` [1]; accurate near zero.
#[must_use]
pub fn ln_1p(x: f64) -> f64 {
    libm::log1p(x)
}

/// Logarithm to base 2 [1]; `x` > 0.
#[must_use]
pub fn log2(x: f64) -> f64 {
    libm::log2(x)
}

/// Logarithm to base 10 [1]; `x` > 0.
#[must_use]
pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// `base` raised to `exponent` [1].
#[must_use]
pub fn pow(base: f64, exponent: f64) -> f64 {
    libm::pow(base, exponent)
}

/// Sine of an angle [rad].
#[must_use]
pub fn sin(x: f64) -> f64 {
    libm::sin(x)
}

/// Cosine of an angle [rad].
#[must_use]
pub fn cos(x: f64) -> f64 {
    libm::cos(x)
}

/// Hyperbolic tangent [1].
#[must_use]
pub fn tanh(x: f64) -> f64 {
    libm::tanh(x)
}

/// Square root of the sum of two squares; plain, without guarding against overflow, because
/// no quantity here comes near 1e150.
#[must_use]
pub fn hypot(x: f64, y: f64) -> f64 {
    (x * x + y * y).sqrt()
}

/// Square, written out because `powi` may differ between builds.
#[must_use]
pub fn square(x: f64) -> f64 {
    x * x
}

/// Rounds to `digits` significant decimal digits, so that a digest or a display does not hang on
/// the last bits. Zero, infinities and NaN come back unchanged.
#[must_use]
pub fn round_significant(x: f64, digits: u32) -> f64 {
    if x == 0.0 || !x.is_finite() {
        return x;
    }
    // Printing and parsing are exact and correctly rounded in the standard library.
    let text = format!("{:.*e}", digits.saturating_sub(1) as usize, x);
    text.parse().unwrap_or(x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_keeps_significant_digits() {
        assert_eq!(round_significant(123_456.0, 3), 123_000.0);
        assert_eq!(round_significant(-0.001_234_56, 3), -0.001_23);
        assert_eq!(round_significant(0.0, 3), 0.0);
    }
}
