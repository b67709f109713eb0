//! Numbers as people write them: with a decimal point or a decimal comma, exact.

use crate::fraction::Fraction;

/// Digits after the point, at most.
const DECIMALS: usize = 4;

/// Reads a number that is not negative; `None` where it is none or has too many digits.
pub(super) fn decimal(text: &str) -> Option<Fraction> {
    let (whole, part) = text.split_once(['.', ',']).unwrap_or((text, "0"));
    let digits = |text: &str, most: usize| {
        (1..=most).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit())
    };
    if !digits(whole, 6) || !digits(part, DECIMALS) {
        return None;
    }
    let scale = 10_i64.pow(part.len() as u32);

    Some(Fraction::new(
        whole.parse::<i64>().ok()? * scale + part.parse::<i64>().ok()?,
        scale,
    ))
}

/// Reads a whole number, which a spreadsheet may have given decimals.
pub(super) fn whole(text: &str) -> Option<i64> {
    decimal(text)
        .filter(Fraction::is_integer)
        .map(|number| number.to_integer())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_with_point_and_comma() {
        let check = |text: &str, expected: Option<(i64, i64)>| {
            let expected = expected.map(|(part, of)| Fraction::new(part, of));
            assert_eq!(decimal(text), expected, "{text}");
        };
        check("3", Some((3, 1)));
        check("10,5", Some((21, 2)));
        check("10.50", Some((21, 2)));
        check("0.3333", Some((3333, 10_000)));
        for none in [
            "", "-1", "+1", "1e3", "1.2.3", "1,000.5", ".5", "5.", "½", "1.33333",
        ] {
            check(none, None);
        }
        assert_eq!(whole("3,0"), Some(3));
        assert_eq!(whole("3,5"), None);
    }
}
