//! Bytes as hexadecimal digits.

/// `bytes` as lower-case digits, two a byte.
///
/// ```
/// assert_eq!(spoolbench::base::hex(&[0, 0xaf]), "00af");
/// ```
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    let digit = |nibble: u8| char::from(DIGITS[usize::from(nibble & 15)]);
    bytes.iter().flat_map(|byte| [digit(byte >> 4), digit(*byte)]).collect()
}
