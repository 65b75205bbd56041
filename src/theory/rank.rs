//! Whole numbers in the order of others, to put things in order by.
//!
//! The standard library's sort is compiled anew for each kind of thing that is sorted, some five kilobytes a time, which
//! whoever visits the page would have to wait for. `sort_by_cached_key` sorts the keys alone, so that things sorted by a
//! rank share one sort.

/// A whole number that is larger where `number` is, in the order of [`f64::total_cmp`]; `!rank` is the order turned.
///
/// # Source
/// IEEE 754-2019, 5.10 (totalOrder): the bits of a float are in the order of its magnitude, and a negative one's are
/// turned.
#[must_use]
pub fn rank(number: f64) -> i64 {
    let bits = number.to_bits().cast_signed();
    let turned = ((bits >> 63).cast_unsigned() >> 1).cast_signed();
    bits ^ turned
}

#[cfg(test)]
mod tests {
    use super::rank;

    #[test]
    fn ranks_are_in_the_order_of_the_numbers() {
        let numbers = [
            f64::NEG_INFINITY,
            f64::MIN,
            -3.5,
            -f64::MIN_POSITIVE,
            -0.0,
            0.0,
            5e-324,
            1.0,
            1.0 + f64::EPSILON,
            7.25,
            f64::MAX,
            f64::INFINITY,
            f64::NAN,
        ];
        for a in numbers {
            for b in numbers {
                assert_eq!(rank(a).cmp(&rank(b)), a.total_cmp(&b), "{a} {b}");
                assert_eq!((!rank(a)).cmp(&!rank(b)), b.total_cmp(&a), "{b} {a}");
            }
        }
    }
}
