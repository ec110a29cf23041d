//! Chance from the system, and comparing what nobody should guess.

use std::fs::File;
use std::io::{self, Read as _};

/// Returns bytes of the system's chance.
///
/// # Errors
/// When the system gives none.
pub fn chance<const LENGTH: usize>() -> io::Result<[u8; LENGTH]> {
    let mut bytes = [0; LENGTH];
    File::open("/dev/urandom")?.read_exact(&mut bytes)?;
    Ok(bytes)
}

/// Returns a new secret: 256 bits, as 64 hexadecimal digits.
///
/// # Errors
/// When the system gives no chance.
pub fn new_secret() -> io::Result<String> {
    let bytes: [u8; 32] = chance()?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// Compares in a time that does not depend on where the texts differ.
#[must_use]
pub fn same(own: &str, shown: &str) -> bool {
    let (own, shown) = (own.as_bytes(), shown.as_bytes());
    own.len() == shown.len() && own.iter().zip(shown).fold(0, |sum, (a, b)| sum | (a ^ b)) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_secret_is_long_and_new() {
        let (first, second) = (new_secret().unwrap(), new_secret().unwrap());
        assert_eq!(first.len(), 64);
        assert!(!same(&first, &second) && same(&first, &first.clone()));
        assert!(!same(&first, &first[1..]));
    }
}
