//! Slips in a figure or its unit.

use super::edit::{Slip, put, put_at};
use super::view::{View, quantity};
use stillroom::quantity::{Exact, Unit};
use stillroom::syntax::tree::{AmountKind, ContainerField, HeaderField, Item, Quantity};

/// A target of the active, or of a substance, turned into an amount as supplied.
pub fn strength_forgotten(view: &View<'_>) -> Vec<Slip> {
    let of_target = |row: super::view::Row<'_>| match &row.written.amount.kind {
        AmountKind::Active(figure) | AmountKind::Of(figure, _) => Some(vec![put(row.amount(), view.at(figure.span()))]),
        _ => None,
    };
    view.rows().into_iter().filter_map(of_target).collect()
}

/// Two digits that stand beside each other, changed about.
pub fn digits_transposed(view: &View<'_>) -> Vec<Slip> {
    let pairs = |quantity: &&Quantity| {
        let number = view.at(quantity.number);
        let digits: Vec<usize> =
            number.bytes().enumerate().filter(|(_, b)| b.is_ascii_digit()).map(|(at, _)| at).collect();
        let swapped = |pair: &[usize]| {
            let mut bytes = number.as_bytes().to_vec();
            bytes.swap(pair[0], pair[1]);
            let text = String::from_utf8(bytes).unwrap();
            (text != number).then(|| vec![put(quantity.number, text)])
        };
        digits.windows(2).filter_map(swapped).collect::<Vec<Slip>>()
    };
    view.amounts().iter().flat_map(pairs).collect()
}

/// The decimal point one place to the right, and one to the left.
pub fn point_moved(view: &View<'_>) -> Vec<Slip> {
    let moved = |quantity: &&Quantity| {
        [Exact::whole(10), Exact::ratio(1, 10)]
            .into_iter()
            .filter_map(|factor| scaled(quantity, &factor))
            .collect::<Vec<_>>()
    };
    view.amounts().iter().flat_map(moved).collect()
}

/// A figure times a factor, in its own unit.
pub fn scaled(quantity: &Quantity, factor: &Exact) -> Option<Slip> {
    let value = quantity.value.as_ref()? * factor;
    Some(vec![put(quantity.number, value.to_fixed(value.decimals()?))])
}

/// `%` written where `ppm` was meant; of a figure under 100 that might as well be meant.
pub fn percent_for_ppm(view: &View<'_>) -> Vec<Slip> {
    let over = |quantity: &&&Quantity| quantity.value.as_ref().is_some_and(|value| *value > Exact::HUNDRED);
    let of_ppm = view.amounts().into_iter().filter(|quantity| quantity.unit == Unit::Ppm);
    of_ppm.collect::<Vec<_>>().iter().filter(over).map(|quantity| unit(quantity, "%")).collect()
}

/// `ppm` written where `%` was meant.
pub fn ppm_for_percent(view: &View<'_>) -> Vec<Slip> {
    of_unit(view, Unit::Percent, "ppm")
}

/// A volume written where a weight belongs: in an amount, in a scale, and in `makes` where no density is known.
pub fn millilitres_for_grams(view: &View<'_>) -> Vec<Slip> {
    let mut slips = of_unit(view, Unit::Gram, "mL");
    let made = view.header(|field| match field {
        HeaderField::Makes(makes) => Some(&makes.quantity).filter(|quantity| quantity.unit == Unit::Gram),
        _ => None,
    });
    if view.formula.density.is_none() {
        slips.extend(made.map(|(quantity, _)| unit(quantity, "mL")));
    }
    slips.extend(scale_step(view).map(|step| unit(step, "mL")));
    slips
}

/// A weight of thousand times as much: in an amount, in `makes` and in a scale.
pub fn kilograms_for_grams(view: &View<'_>) -> Vec<Slip> {
    let mut slips = of_unit(view, Unit::Gram, "kg");
    let made = view.header(|field| match field {
        HeaderField::Makes(makes) => Some(&makes.quantity).filter(|quantity| quantity.unit == Unit::Gram),
        _ => None,
    });
    slips.extend(made.map(|(quantity, _)| unit(quantity, "kg")));
    slips.extend(scale_step(view).map(|step| unit(step, "kg")));
    slips
}

/// `oz` for `fl-oz` of a container.
pub fn ounces_for_fluid_ounces(view: &View<'_>) -> Vec<Slip> {
    let made = view.header(|field| match field {
        HeaderField::Makes(makes) if makes.count.is_some() => Some(&makes.quantity),
        _ => None,
    });
    let fields = view.items.iter().filter_map(|item| match item {
        Item::Container(container) if view.is_first => Some(&container.fields),
        _ => None,
    });
    let held = fields.flatten().filter_map(|field| match field {
        ContainerField::Holds(holds, _) => Some(holds),
        _ => None,
    });
    let all = made.map(|(quantity, _)| quantity).into_iter().chain(held);
    all.filter(|quantity| quantity.unit == Unit::FluidOunce).map(|quantity| unit(quantity, "oz")).collect()
}

/// The step of the first scale, in grams.
pub fn scale_step<'v>(view: &View<'v>) -> Option<&'v Quantity> {
    let step = view.header(|field| match field {
        HeaderField::Scale(scale) => quantity(&scale.step),
        _ => None,
    });
    step.map(|(step, _)| step).filter(|step| step.unit == Unit::Gram)
}

fn of_unit(view: &View<'_>, wanted: Unit, other: &str) -> Vec<Slip> {
    let those = view.amounts().into_iter().filter(|quantity| quantity.unit == wanted);
    those.map(|quantity| unit(quantity, other)).collect()
}

/// Another unit after the same number.
fn unit(quantity: &Quantity, word: &str) -> Slip {
    vec![put_at(quantity.number.range().end..quantity.span.range().end, format!(" {word}"))]
}
