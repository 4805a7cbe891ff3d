//! The secret of a class, and what is derived from it.

use hmac::{Hmac, KeyInit, Mac};
use sha2::Sha256;

use crate::base::hex;
use crate::language::Phrase;

/// Shortest secret [bytes].
pub const SECRET_LEAST: usize = 16;
/// Longest secret [bytes].
pub const SECRET_MOST: usize = 4096;

/// Why a text is no secret.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum SecretError {
    /// It could be guessed.
    Short(usize),
    /// It is no secret but some other file.
    Long,
}

impl SecretError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            SecretError::Short(length) => {
                Phrase::new("secret-short").with("length", *length).with("least", SECRET_LEAST)
            }
            SecretError::Long => Phrase::new("secret-long").with("most", SECRET_MOST),
        }
    }
}

/// The secret of a class: whoever has it can say what every learner was given.
#[derive(Clone)]
pub struct Secret(Vec<u8>);

impl std::fmt::Debug for Secret {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Secret(..)")
    }
}

impl Secret {
    /// The secret in `bytes`, without the line end that an editor leaves.
    ///
    /// # Errors
    /// When it is too short to be one, or too long.
    pub fn new(bytes: &[u8]) -> Result<Self, SecretError> {
        let bytes = bytes.trim_ascii_end();
        match bytes.len() {
            0..SECRET_LEAST => Err(SecretError::Short(bytes.len())),
            SECRET_LEAST..=SECRET_MOST => Ok(Secret(bytes.to_vec())),
            _ => Err(SecretError::Long),
        }
    }

    /// 32 bytes for one purpose and these fields: HMAC-SHA-256 (RFC 2104), every field with its
    /// length before it, so that no two lists of fields read the same.
    pub(super) fn derive(&self, purpose: &str, fields: &[&str]) -> [u8; 32] {
        keyed(&self.0, purpose, fields)
    }

    /// What a learner is called wherever something is handed on.
    #[must_use]
    pub fn pseudonym(&self, learner: &str) -> String {
        format!("p{}", hex(&self.derive("pseudonym", &[learner])[..6]))
    }

    /// What a file is called wherever something is handed on: its name may be a learner's.
    #[must_use]
    pub fn file_alias(&self, name: &str) -> String {
        format!("f{}", hex(&self.derive("file", &[name])[..8]))
    }
}

/// HMAC-SHA-256 of a purpose and fields.
pub(super) fn keyed(key: &[u8], purpose: &str, fields: &[&str]) -> [u8; 32] {
    // A key of any length will do.
    let Ok(mut mac) = <Hmac<Sha256> as KeyInit>::new_from_slice(key) else { return [0; 32] };
    for field in [&["spoolbench class 1", purpose], fields].concat() {
        mac.update(&(field.len() as u64).to_le_bytes());
        mac.update(field.as_bytes());
    }
    mac.finalize().into_bytes().into()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4231, test case 2, of the primitive itself.
    #[test]
    fn the_hash_is_the_standard_one() {
        let mut mac = <Hmac<Sha256> as KeyInit>::new_from_slice(b"Jefe").unwrap();
        mac.update(b"what do ya want for nothing?");
        let got = hex(&mac.finalize().into_bytes());
        assert_eq!(got, "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843");
    }

    #[test]
    fn purposes_and_fields_are_kept_apart() {
        let secret = Secret::new(b"sixteen bytes or more\r\n").unwrap();
        let same = Secret::new(b"sixteen bytes or more").unwrap();
        assert_eq!(secret.derive("a", &["b"]), same.derive("a", &["b"]));
        let lists: [(&str, &[&str]); 5] = [
            ("a", &["b", "c"]),
            ("a", &["bc"]),
            ("a", &["b", "c", ""]),
            ("ab", &["c"]),
            ("a", &["", "bc"]),
        ];
        let all: std::collections::BTreeSet<[u8; 32]> =
            lists.iter().map(|(p, f)| secret.derive(p, f)).collect();
        assert_eq!(all.len(), lists.len());
        assert_ne!(secret.pseudonym("anna"), secret.pseudonym("Anna"));
        assert_eq!(format!("{secret:?}"), "Secret(..)");
        assert_eq!(Secret::new(b"short\n").unwrap_err(), SecretError::Short(5));
        assert_eq!(Secret::new(&[b'x'; 5000]).unwrap_err(), SecretError::Long);
    }
}
