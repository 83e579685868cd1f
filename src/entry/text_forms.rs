//! Forms that a single value may have to keep.

/// Whether `text` is a trouble code as in SAE J2012: one of P B C U, a digit from 0 to 3, three hex digits.
pub(crate) fn is_code(text: &str) -> bool {
    match text.as_bytes() {
        [b'P' | b'B' | b'C' | b'U', b'0'..=b'3', rest @ ..] => {
            rest.len() == 3 && rest.iter().all(|byte| matches!(byte, b'0'..=b'9' | b'A'..=b'F'))
        }
        _ => false,
    }
}

/// Whether `text` has the form of a language tag of two or three letters, with an optional region (BCP 47).
pub(crate) fn is_language(text: &str) -> bool {
    let (language, region) = text.split_once('-').map_or((text, None), |(language, region)| (language, Some(region)));
    let is_lower = language.bytes().all(|byte| byte.is_ascii_lowercase());
    let region_good = region.is_none_or(|region| region.len() == 2 && region.bytes().all(|b| b.is_ascii_uppercase()));
    (2..=3).contains(&language.len()) && is_lower && region_good
}

/// Whether `text` is an address on the web, by its scheme, without white space.
pub(crate) fn web_address(text: &str) -> bool {
    let rest = text.strip_prefix("https://").or_else(|| text.strip_prefix("http://"));
    rest.is_some_and(|rest| !rest.is_empty()) && !text.chars().any(|c| c.is_whitespace() || c.is_control())
}
