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

    /// The sum, the other term as `signed` has it; none where a big integer has to take over. The divisors are taken out
    /// of the denominators alone, as Knuth does (The Art of Computer Programming, volume 2, 4.5.1), so that the common
    /// cases of whole numbers and of one denominator need no division at all.
    fn plus(&self, other: &Exact, signed: impl Fn(i64) -> Option<i64>) -> Option<Exact> {
        let (Form::Small { num: a, den: b }, Form::Small { num: c, den: d }) = (&self.0, &other.0) else { return None };
        let (a, b, c, d) = (*a, *b, signed(*c)?, *d);
        if b == d {
            let num = a.checked_add(c)?;
            return Some(if b == 1 { Exact::whole(num) } else { Exact::reduced(num, b) });
        }
        let common = divisor(b, d);
        let (b, d) = (b / common, d / common);
        let num = a.checked_mul(d)?.checked_add(c.checked_mul(b)?)?;
        // What numerator and denominator still share divides what the denominators shared.
        let rest = divisor(num, common);
        let den = b.checked_mul(d)?.checked_mul(common / rest)?;
        Some(Exact(Form::Small { num: num / rest, den }))
    }

    /// The product; none where a big integer has to take over.
    fn times(&self, other: &Exact) -> Option<Exact> {
        let (Form::Small { num: a, den: b }, Form::Small { num: c, den: d }) = (&self.0, &other.0) else { return None };
        if *a == 0 || *c == 0 {
            return Some(Exact::ZERO);
        }
        let (across, back) = (divisor(*a, *d), divisor(*c, *b));
        let num = (a / across).checked_mul(c / back)?;
        let den = (b / back).checked_mul(d / across)?;
        Some(Exact(Form::Small { num, den }))
    }

    /// A fraction whose denominator is above nought, in its least terms.
    fn reduced(num: i64, den: i64) -> Exact {
        let divisor = divisor(num, den);
        Exact(Form::Small { num: num / divisor, den: den / divisor })
    }

    /// Division; `None` where the divisor is nought.
    #[must_use]
    pub fn over(&self, divisor: &Exact) -> Option<Exact> {
        if divisor.is_zero() {
            return None;
        }
        let quotient = match &divisor.0 {
            Form::Small { num, den } if *num > 0 => self.times(&Exact(Form::Small { num: *den, den: *num })),
            _ => None,
        };
        Some(quotient.unwrap_or_else(|| Exact::from_big(self.to_big() / divisor.to_big())))
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
        if let Form::Small { num, den } = self.0 {
            return BigInt::from(half_even(i128::from(num), i128::from(den)));
        }
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

    /// So many steps as `round` makes of the figure, by numerator and denominator: in machine words while they hold it.
    fn in_steps(
        &self,
        step: &Exact,
        round: impl Fn(i128, i128) -> i128,
        round_big: impl Fn(&Exact) -> BigInt,
    ) -> Exact {
        let Some(steps) = self.over(step) else { return self.clone() };
        if let Form::Small { num, den } = steps.0
            && let Ok(whole) = i64::try_from(round(i128::from(num), i128::from(den)))
        {
            return &Exact::whole(whole) * step;
        }
        &Exact::from_big(BigRational::from_integer(round_big(&steps))) * step
    }

    /// Brought to whole steps, half to even. A step of nought leaves the figure as it is.
    #[must_use]
    pub fn to_step(&self, step: &Exact) -> Exact {
        self.in_steps(step, half_even, Exact::round_half_even)
    }

    /// Cut down to whole steps.
    #[must_use]
    pub fn down_to_step(&self, step: &Exact) -> Exact {
        let big = |steps: &Exact| {
            let value = steps.to_big();
            value.numer().div_floor(value.denom())
        };
        self.in_steps(step, |num, den| Integer::div_floor(&num, &den), big)
    }

    /// Brought up to whole steps.
    #[must_use]
    pub fn up_to_step(&self, step: &Exact) -> Exact {
        let big = |steps: &Exact| {
            let value = steps.to_big();
            value.numer().div_ceil(value.denom())
        };
        self.in_steps(step, |num, den| Integer::div_ceil(&num, &den), big)
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
        if let Form::Small { num, den } = self.0
            && let Some(scaled) = 10i128.checked_pow(decimals).and_then(|factor| i128::from(num).checked_mul(factor))
            && let Ok(decimal) = Decimal::try_from_i128_with_scale(half_even(scaled, i128::from(den)), decimals)
        {
            return decimal.to_string();
        }
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

/// The greatest common divisor with a denominator, which is above nought: so is the divisor, and no larger.
fn divisor(num: i64, den: i64) -> i64 {
    if den == 1 || num == 1 {
        return 1;
    }
    // It divides `den`, so it is of its size.
    i64::try_from(num.unsigned_abs().gcd(&den.unsigned_abs())).unwrap_or(1)
}

/// The nearest whole number to a fraction whose denominator is above nought, half to even.
fn half_even(num: i128, den: i128) -> i128 {
    let (floor, rest) = num.div_mod_floor(&den);
    match rest.cmp(&(den - rest)) {
        Ordering::Less => floor,
        Ordering::Greater => floor + 1,
        Ordering::Equal => floor + floor.rem_euclid(2),
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
        self.plus(other, Some).unwrap_or_else(|| Exact::from_big(self.to_big() + other.to_big()))
    }
}

impl Sub for &Exact {
    type Output = Exact;
    fn sub(self, other: &Exact) -> Exact {
        self.plus(other, i64::checked_neg).unwrap_or_else(|| Exact::from_big(self.to_big() - other.to_big()))
    }
}

impl Mul for &Exact {
    type Output = Exact;
    fn mul(self, other: &Exact) -> Exact {
        self.times(other).unwrap_or_else(|| Exact::from_big(self.to_big() * other.to_big()))
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
            (Form::Small { num: a, den: b }, Form::Small { num: c, den: d }) if b == d => a.cmp(c),
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
/// As a maker can use it: a figure of up to eight digits as it is, and of one with more, as a third, four digits, or two
/// decimals where it is a hundred or over.
impl fmt::Display for Exact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const AS_IT_IS: u32 = 8;
        let short = self.to_significant(AS_IT_IS);
        if Exact::parse(&short).is_some_and(|read| read == *self) || self.is_zero() {
            return f.write_str(&short);
        }
        let whole = self.abs().to_fixed(0).len();
        f.write_str(&self.to_significant(u32::try_from(whole).unwrap_or(u32::MAX).saturating_add(2).max(4)))
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
    use proptest::prelude::*;

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
    /// Figures of every size, those at the edge of a machine word among them.
    fn any_exact() -> impl Strategy<Value = (i64, i64)> {
        let num = prop_oneof![-200i64..200, any::<i64>(), Just(i64::MIN), Just(i64::MAX)];
        let den = prop_oneof![1i64..200, 1..i64::MAX, Just(i64::MAX)];
        (num, den)
    }

    proptest! {
        /// What machine words reckon is what big fractions reckon (the num-rational library), in the same form.
        #[test]
        fn machine_words_agree_with_big_fractions((a, b) in any_exact(), (c, d) in any_exact()) {
            let big = |num: i64, den: i64| BigRational::new(BigInt::from(num), BigInt::from(den));
            let (one, other) = (Exact::ratio(a, b), Exact::ratio(c, d));
            prop_assert_eq!(&one + &other, Exact::from_big(big(a, b) + big(c, d)));
            prop_assert_eq!(&one - &other, Exact::from_big(big(a, b) - big(c, d)));
            prop_assert_eq!(&one * &other, Exact::from_big(big(a, b) * big(c, d)));
            prop_assert_eq!(one.cmp(&other), big(a, b).cmp(&big(c, d)));
            prop_assert_eq!(one.round_half_even(), Exact::from_big(big(a, b)).to_big().round_half_even_by_hand());
            if c != 0 {
                let quotient = big(a, b) / big(c, d);
                prop_assert_eq!(one.over(&other), Some(Exact::from_big(quotient.clone())));
                let steps = |whole: BigInt| Exact::from_big(BigRational::from_integer(whole) * big(c, d));
                prop_assert_eq!(one.down_to_step(&other), steps(quotient.floor().to_integer()));
                prop_assert_eq!(one.up_to_step(&other), steps(quotient.ceil().to_integer()));
                prop_assert_eq!(one.to_step(&other), steps(quotient.round_half_even_by_hand()));
            }
        }
    }

    trait ByHand {
        fn round_half_even_by_hand(&self) -> BigInt;
    }

    impl ByHand for BigRational {
        /// The floor, and one more where the rest is over a half, or just a half over an odd number.
        fn round_half_even_by_hand(&self) -> BigInt {
            let floor = self.floor().to_integer();
            let rest = self - BigRational::from_integer(floor.clone());
            let half = BigRational::new(BigInt::one(), BigInt::from(2));
            if rest > half || (rest == half && floor.is_odd()) { floor + 1 } else { floor }
        }
    }
}
