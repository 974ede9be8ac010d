//! Complex numbers for phasors: only `+ - * /`, which give the same bits on every target.
//!
//! The usual complex-number crates call `hypot`, which differs between native code and WebAssembly in the last bit.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// A complex number, `re + j im`; as a phasor its length is an RMS value.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Complex {
    /// Real part.
    pub re: f64,
    /// Imaginary part.
    pub im: f64,
}

impl Complex {
    /// Zero.
    pub const ZERO: Complex = Complex { re: 0.0, im: 0.0 };
    /// One.
    pub const ONE: Complex = Complex { re: 1.0, im: 0.0 };

    /// `re + j im`.
    pub const fn new(re: f64, im: f64) -> Self {
        Complex { re, im }
    }

    /// A real number as a complex one.
    pub const fn real(re: f64) -> Self {
        Complex { re, im: 0.0 }
    }

    /// Square of the length.
    pub fn norm_sqr(self) -> f64 {
        self.re * self.re + self.im * self.im
    }

    /// Length. `sqrt` is exact to the last bit by IEEE 754, on every target.
    pub fn abs(self) -> f64 {
        self.norm_sqr().sqrt()
    }

    /// The same number with the opposite imaginary part.
    pub fn conj(self) -> Self {
        Complex { re: self.re, im: -self.im }
    }

    /// Both parts times a real factor.
    pub fn scale(self, k: f64) -> Self {
        Complex { re: self.re * k, im: self.im * k }
    }

    /// The reciprocal; infinite or NaN for zero.
    pub fn recip(self) -> Self {
        let n = self.norm_sqr();
        Complex { re: self.re / n, im: -self.im / n }
    }
}

impl Add for Complex {
    type Output = Complex;
    fn add(self, o: Complex) -> Complex {
        Complex { re: self.re + o.re, im: self.im + o.im }
    }
}

impl Sub for Complex {
    type Output = Complex;
    fn sub(self, o: Complex) -> Complex {
        Complex { re: self.re - o.re, im: self.im - o.im }
    }
}

impl Mul for Complex {
    type Output = Complex;
    fn mul(self, o: Complex) -> Complex {
        Complex { re: self.re * o.re - self.im * o.im, im: self.re * o.im + self.im * o.re }
    }
}

impl Div for Complex {
    type Output = Complex;
    fn div(self, o: Complex) -> Complex {
        let n = o.norm_sqr();
        Complex { re: (self.re * o.re + self.im * o.im) / n, im: (self.im * o.re - self.re * o.im) / n }
    }
}

impl Neg for Complex {
    type Output = Complex;
    fn neg(self) -> Complex {
        Complex { re: -self.re, im: -self.im }
    }
}

impl AddAssign for Complex {
    fn add_assign(&mut self, o: Complex) {
        *self = *self + o;
    }
}

impl SubAssign for Complex {
    fn sub_assign(&mut self, o: Complex) {
        *self = *self - o;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Hand calculation: (3 + 4j) / (1 − 2j) = (3 + 4j)(1 + 2j) / 5 = (−5 + 10j) / 5 = −1 + 2j.
    #[test]
    fn division_by_hand() {
        assert_eq!(Complex::new(3.0, 4.0) / Complex::new(1.0, -2.0), Complex::new(-1.0, 2.0));
        assert_eq!(Complex::new(3.0, 4.0).abs(), 5.0);
        assert_eq!(Complex::new(0.0, 2.0).recip(), Complex::new(0.0, -0.5));
    }
}
