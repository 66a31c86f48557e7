//! One exact number type: a rational over big integers with a fast path for small ones.
//!
//! Every figure in a formula is carried as an [`Exact`] from the literal to the last step; only what is
//! printed is rounded. Small figures live in two machine words, and grow into big integers on their own.

use num_bigint::BigInt;
use num_integer::Integer;
use num_rational::BigRational;
use num_traits::{One, Signed, ToPrimitive, Zero};
use rust_decimal::Decimal;
use std::cmp::Ordering;
use std::fmt;
use std::ops::{Add, Mul, Neg, Sub};

/// The size an exact figure may reach, in bits of its numerator or denominator. Premixes of premixes
/// multiply literals of up to 28 digits; past this a figure is refused (`number-too-long`) instead of
/// being carried on at any cost.
pub const MAX_BITS: u64 = 4096;

/// An exact rational number. Two equal numbers always have the same form, so equality and hashing are by form.
#[derive(Clone, PartialEq, Eq, Hash)]
pub struct Exact(Form);

#[derive(Clone, PartialEq, Eq, Hash)]
enum Form {
    /// Reduced, the denominator above nought.
    Small { num: i64, den: i64 },
    /// Reduced, and too large for `Small`.
    Big(Box<BigRational>),
}

impl Default for Exact {
    fn default() -> Exact {
        Exact::ZERO
    }
}

impl Exact {
    /// Nought.
    pub const ZERO: Exact = Exact::whole(0);
    /// One.
    pub const ONE: Exact = Exact::whole(1);
    /// A hundred, for percentages.
    pub const HUNDRED: Exact = Exact::whole(100);

    /// A whole number.
    #[must_use]
    pub const fn whole(n: i64) -> Exact {
        Exact(Form::Small { num: n, den: 1 })
    }

    /// The fraction `num / den`; nought where the denominator is nought, so a constant cannot panic.
    #[must_use]
    pub fn ratio(num: i64, den: i64) -> Exact {
        if den == 0 {
            return Exact::ZERO;
        }
        Exact::from_i128(i128::from(num), i128::from(den))
    }

    /// Reads a plain decimal exactly: `None` where it is no decimal or has more than 28 digits.
    #[must_use]
    pub fn parse(text: &str) -> Option<Exact> {
        Decimal::from_str_exact(text).ok().map(|d| Exact::from_decimal(&d))
    }

    /// The exact value of a decimal literal.
    #[must_use]
    pub fn from_decimal(decimal: &Decimal) -> Exact {
        let mantissa = decimal.mantissa();
        let scale = decimal.scale();
        match 10i128.checked_pow(scale) {
            Some(den) if scale <= 18 => Exact::from_i128(mantissa, den),
            _ => Exact::from_big(BigRational::new(BigInt::from(mantissa), BigInt::from(10).pow(scale))),
        }
    }

    fn from_i128(num: i128, den: i128) -> Exact {
        let (num, den) = if den < 0 { (-num, -den) } else { (num, den) };
        // Nearly every figure fits a machine word, where dividing is many times faster.
        if let (Ok(top), Ok(bottom)) = (u64::try_from(num.unsigned_abs()), u64::try_from(den)) {
            let divisor = if bottom == 1 { 1 } else { top.gcd(&bottom).max(1) };
            let (top, bottom) = if divisor == 1 { (top, bottom) } else { (top / divisor, bottom / divisor) };
            if let (Ok(top), Ok(bottom)) = (i64::try_from(top), i64::try_from(bottom)) {
                return Exact(Form::Small { num: if num < 0 { -top } else { top }, den: bottom });
            }
        }
        let divisor = num.gcd(&den).max(1);
        let (num, den) = (num / divisor, den / divisor);
        match (i64::try_from(num), i64::try_from(den)) {
            (Ok(num), Ok(den)) => Exact(Form::Small { num, den }),
            _ => Exact(Form::Big(Box::new(BigRational::new_raw(BigInt::from(num), BigInt::from(den))))),
        }
    }

    fn from_big(value: BigRational) -> Exact {
        match (value.numer().to_i64(), value.denom().to_i64()) {
            (Some(num), Some(den)) => Exact(Form::Small { num, den }),
            _ => Exact(Form::Big(Box::new(value))),
        }
    }

    fn to_big(&self) -> BigRational {
        match &self.0 {
            Form::Small { num, den } => BigRational::new_raw(BigInt::from(*num), BigInt::from(*den)),
            Form::Big(value) => (**value).clone(),
        }
    }

    /// Division; `None` where the divisor is nought.
    #[must_use]
    pub fn over(&self, divisor: &Exact) -> Option<Exact> {
        if divisor.is_zero() {
            return None;
        }
        Some(match (&self.0, &divisor.0) {
            (Form::Small { num: a, den: b }, Form::Small { num: c, den: d }) => {
                Exact::from_i128(i128::from(*a) * i128::from(*d), i128::from(*b) * i128::from(*c))
            }
            _ => Exact::from_big(self.to_big() / divisor.to_big()),
        })
    }

    /// A hundredth of the figure: a percentage as a share.
    #[must_use]
    pub fn hundredth(&self) -> Exact {
        self * &Exact::ratio(1, 100)
    }

    /// Whether the figure is nought.
    #[must_use]
    pub fn is_zero(&self) -> bool {
        matches!(self.0, Form::Small { num: 0, .. })
    }

    /// Whether the figure is below nought.
    #[must_use]
    pub fn is_negative(&self) -> bool {
        match &self.0 {
            Form::Small { num, .. } => *num < 0,
            Form::Big(value) => value.is_negative(),
        }
    }

    /// Whether the figure is above nought.
    #[must_use]
    pub fn is_positive(&self) -> bool {
        !self.is_zero() && !self.is_negative()
    }

    /// The figure without its sign.
    #[must_use]
    pub fn abs(&self) -> Exact {
        if self.is_negative() { -self.clone() } else { self.clone() }
    }

    /// Whether the figure has outgrown [`MAX_BITS`].
    #[must_use]
    pub fn is_oversized(&self) -> bool {
        match &self.0 {
            Form::Small { .. } => false,
            Form::Big(value) => value.numer().bits() > MAX_BITS || value.denom().bits() > MAX_BITS,
        }
    }

    /// The nearest whole number, half to even.
    #[must_use]
    pub fn round_half_even(&self) -> BigInt {
        let value = self.to_big();
        let floor = value.numer().div_floor(value.denom());
        let twice_rest: BigInt = (value.numer() - &floor * value.denom()) * 2;
        match twice_rest.cmp(value.denom()) {
            Ordering::Less => floor,
            Ordering::Greater => floor + BigInt::one(),
            Ordering::Equal if floor.is_even() => floor,
            Ordering::Equal => floor + BigInt::one(),
        }
    }

    fn in_steps(&self, step: &Exact, round: impl Fn(&Exact) -> BigInt) -> Exact {
        match self.over(step) {
            Some(steps) => &Exact::from_big(BigRational::from_integer(round(&steps))) * step,
            None => self.clone(),
        }
    }

    /// Brought to whole steps, half to even. A step of nought leaves the figure as it is.
    #[must_use]
    pub fn to_step(&self, step: &Exact) -> Exact {
        self.in_steps(step, Exact::round_half_even)
    }

    /// Cut down to whole steps.
    #[must_use]
    pub fn down_to_step(&self, step: &Exact) -> Exact {
        self.in_steps(step, |steps| {
            let value = steps.to_big();
            value.numer().div_floor(value.denom())
        })
    }

    /// Brought up to whole steps.
    #[must_use]
    pub fn up_to_step(&self, step: &Exact) -> Exact {
        self.in_steps(step, |steps| {
            let value = steps.to_big();
            value.numer().div_ceil(value.denom())
        })
    }

    /// How many decimals write the figure exactly; `None` where no number of them does (a third).
    #[must_use]
    pub fn decimals(&self) -> Option<u32> {
        let mut rest = self.to_big().denom().clone();
        let mut count = |factor: u32| {
            let factor = BigInt::from(factor);
            let mut times = 0u32;
            while (&rest % &factor).is_zero() {
                rest /= &factor;
                times += 1;
            }
            times
        };
        let (twos, fives) = (count(2), count(5));
        rest.is_one().then_some(twos.max(fives))
    }

    /// Printed with so many decimals, half to even.
    #[must_use]
    pub fn to_fixed(&self, decimals: u32) -> String {
        let factor = Exact::from_big(BigRational::from_integer(BigInt::from(10).pow(decimals)));
        print_decimal(&(self * &factor).round_half_even(), decimals)
    }

    /// Printed with so many significant digits at most, half to even, trailing noughts cut.
    #[must_use]
    pub fn to_significant(&self, digits: u32) -> String {
        if self.is_zero() {
            return "0".to_string();
        }
        // The place of the first digit: 10^place <= |self| < 10^(place + 1). Rounding may carry into the next.
        let place = self.abs().decimal_place();
        let decimals = i64::from(digits) - 1 - place;
        let text = match u32::try_from(decimals) {
            Ok(decimals) => self.to_fixed(decimals),
            Err(_) => {
                let step =
                    Exact::from_big(BigRational::from_integer(BigInt::from(10).pow(decimals.unsigned_abs() as u32)));
                self.to_step(&step).to_fixed(0)
            }
        };
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
    }

    /// The power of ten of the first significant digit of a figure above nought.
    fn decimal_place(&self) -> i64 {
        let value = self.to_big();
        let digits = |n: &BigInt| n.to_string().len() as i64;
        let mut place = digits(value.numer()) - digits(value.denom());
        let power = |n: u64| BigRational::from_integer(BigInt::from(10).pow(n.min(u64::from(u32::MAX)) as u32));
        let below = |place: i64| {
            let bound = if place >= 0 { power(place.unsigned_abs()) } else { power(place.unsigned_abs()).recip() };
            value < bound
        };
        while below(place) {
            place -= 1;
        }
        place
    }

    /// The figure as a reduced fraction `n/d`, or `n` when whole.
    #[must_use]
    pub fn to_fraction(&self) -> String {
        match &self.0 {
            Form::Small { num, den: 1 } => num.to_string(),
            Form::Small { num, den } => format!("{num}/{den}"),
            Form::Big(value) if value.is_integer() => value.numer().to_string(),
            Form::Big(value) => format!("{}/{}", value.numer(), value.denom()),
        }
    }

    /// The nearest binary floating-point number, for what is approximate by nature.
    #[must_use]
    pub fn to_f64(&self) -> f64 {
        const WHOLE: i64 = 1 << 53;
        match &self.0 {
            // Whole numbers of this size are exact in floating point, and one division rounds once.
            Form::Small { num, den } if num.abs() < WHOLE && *den < WHOLE => *num as f64 / *den as f64,
            _ => self.to_big().to_f64().unwrap_or(f64::NAN),
        }
    }

    /// The figure as an unsigned machine integer, where it is one.
    #[must_use]
    pub fn to_u32(&self) -> Option<u32> {
        match &self.0 {
            Form::Small { num, den: 1 } => u32::try_from(*num).ok(),
            _ => None,
        }
    }
}

/// Writes `mantissa · 10^-decimals`; the point is set by rust_decimal where the figure fits it.
fn print_decimal(mantissa: &BigInt, decimals: u32) -> String {
    let small = mantissa.to_i128().and_then(|m| Decimal::try_from_i128_with_scale(m, decimals).ok());
    if let Some(decimal) = small {
        return decimal.to_string();
    }
    let sign = if mantissa.is_negative() { "-" } else { "" };
    let digits = format!("{:0>width$}", mantissa.abs().to_string(), width = decimals as usize + 1);
    let (whole, rest) = digits.split_at(digits.len() - decimals as usize);
    if rest.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{rest}") }
}

impl Add for &Exact {
    type Output = Exact;
    fn add(self, other: &Exact) -> Exact {
        if let (Form::Small { num: a, den: b }, Form::Small { num: c, den: d }) = (&self.0, &other.0) {
            let (a, b, c, d) = (i128::from(*a), i128::from(*b), i128::from(*c), i128::from(*d));
            if b == d {
                return Exact::from_i128(a + c, b);
            }
            if let Some(num) = (a * d).checked_add(c * b) {
                return Exact::from_i128(num, b * d);
            }
        }
        Exact::from_big(self.to_big() + other.to_big())
    }
}

impl Sub for &Exact {
    type Output = Exact;
    fn sub(self, other: &Exact) -> Exact {
        self + &(-other.clone())
    }
}

impl Mul for &Exact {
    type Output = Exact;
    fn mul(self, other: &Exact) -> Exact {
        match (&self.0, &other.0) {
            (Form::Small { num: a, den: b }, Form::Small { num: c, den: d }) => {
                Exact::from_i128(i128::from(*a) * i128::from(*c), i128::from(*b) * i128::from(*d))
            }
            _ => Exact::from_big(self.to_big() * other.to_big()),
        }
    }
}

impl Neg for Exact {
    type Output = Exact;
    fn neg(self) -> Exact {
        match self.0 {
            Form::Small { num, den } => Exact::from_i128(-i128::from(num), i128::from(den)),
            Form::Big(value) => Exact::from_big(-*value),
        }
    }
}

impl<'a> std::iter::Sum<&'a Exact> for Exact {
    fn sum<I: Iterator<Item = &'a Exact>>(items: I) -> Exact {
        items.fold(Exact::ZERO, |total, item| &total + item)
    }
}

impl std::iter::Sum for Exact {
    fn sum<I: Iterator<Item = Exact>>(items: I) -> Exact {
        items.fold(Exact::ZERO, |total, item| &total + &item)
    }
}

impl Ord for Exact {
    fn cmp(&self, other: &Exact) -> Ordering {
        match (&self.0, &other.0) {
            (Form::Small { num: a, den: b }, Form::Small { num: c, den: d }) => {
                (i128::from(*a) * i128::from(*d)).cmp(&(i128::from(*c) * i128::from(*b)))
            }
            _ => self.to_big().cmp(&other.to_big()),
        }
    }
}

impl PartialOrd for Exact {
    fn partial_cmp(&self, other: &Exact) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// As [`Exact::to_significant`] with ten digits: the way a figure stands in a message.
impl fmt::Display for Exact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.to_significant(10))
    }
}

impl fmt::Debug for Exact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.to_fraction())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exact(text: &str) -> Exact {
        Exact::parse(text).unwrap()
    }

    #[test]
    fn small_figures_grow_into_big_ones_and_come_back() {
        let huge = exact("9999999999999999999999999999");
        let product = &huge * &huge;
        assert_eq!(product.over(&huge), Some(huge.clone()));
        assert_eq!((&huge - &huge), Exact::ZERO);
        let least = Exact::whole(i64::MIN);
        assert_eq!(-(-least.clone()), least);
        assert_eq!((&least + &least).over(&Exact::whole(2)), Some(least));
    }

    #[test]
    fn halves_go_to_the_even_step() {
        let step = exact("0.01");
        assert_eq!(exact("0.125").to_step(&step), exact("0.12"));
        assert_eq!(exact("0.135").to_step(&step), exact("0.14"));
        assert_eq!(exact("-0.125").to_step(&step), exact("-0.12"));
        assert_eq!(exact("0.129").down_to_step(&step), exact("0.12"));
        assert_eq!(exact("385.632").up_to_step(&step), exact("385.64"));
    }

    #[test]
    fn prints_by_decimals_and_by_significant_digits() {
        assert_eq!(exact("1.005").to_fixed(2), "1.00");
        assert_eq!(exact("-0.001").to_fixed(2), "0.00");
        assert_eq!(Exact::ratio(60, 7).to_significant(10), "8.571428571");
        assert_eq!(exact("99.99999999999").to_significant(10), "100");
        assert_eq!(exact("12345678901234").to_significant(10), "12345678900000");
        assert_eq!(exact("0.000012").to_significant(10), "0.000012");
        assert_eq!(Exact::ratio(1, 3).decimals(), None);
        assert_eq!(exact("0.050").decimals(), Some(2));
        assert_eq!(Exact::ratio(60, 7).to_fraction(), "60/7");
        let wide = &exact("9999999999999999999999999999") * &exact("1.5");
        assert_eq!(wide.to_fixed(3), "14999999999999999999999999998.500");
    }
}
